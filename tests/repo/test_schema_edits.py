"""Slips of people who edit a build file by hand, in its text: what the schema for editors says of it and the reader."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml

from packyoke.api import load
from packyoke.core.findings import Finding
from tests.editors import agrees
from tests.support import EXAMPLES, edited

WHOLE = Path(__file__).parent.parent / "reading" / "complete.yaml"
FILES = [*sorted(EXAMPLES.glob("*.yaml")), *sorted(EXAMPLES.glob("first-steps/*.yaml")), WHOLE]
EVENTS = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
OF_A_NAME = re.compile(
    r'no [a-z]+ called "|no part at |the name is taken|like itself|nothing on the shelf|.*" is (no answer|an? [a-z]+)$|'
    r".* is itself like another$"
).match
"""What hangs on the names of a file: a schema is one for all files."""
COMPARED = re.compile(r'min is not below max|not below warmest|.* is no full charge of |no connector "').match
"""Figures held against one another, and connectors that are nearly one of the shelf."""
EACH, MOST_PASSED_BY = 30, 0.05


class Leaf(NamedTuple):
    """One value in a text: where it stands, and what it is."""

    start: int
    end: int
    value: str


def leaves(text: str) -> Iterator[Leaf]:
    def walk(node: Any) -> Iterator[Leaf]:
        if isinstance(node, yaml.MappingNode):
            for _, value in node.value:
                yield from walk(value)
        elif isinstance(node, yaml.SequenceNode):
            for value in node.value:
                yield from walk(value)
        else:
            yield Leaf(node.start_mark.index, node.end_mark.index, text[node.start_mark.index : node.end_mark.index])

    yield from walk(yaml.compose(text, Loader=EVENTS))


def neighbours(text: str, dice: random.Random) -> str:
    """The value of the line above or below."""
    found = list(leaves(text))
    at = dice.randrange(1, len(found))
    one, other = dice.choice(((at, at - 1), (at - 1, at)))
    return text[: found[one].start] + found[other].value + text[found[one].end :]


def swapped(text: str, dice: random.Random) -> str:
    found = list(leaves(text))
    at = dice.randrange(1, len(found))
    one, other = found[at - 1], found[at]
    return text[: one.start] + other.value + text[one.end : other.start] + one.value + text[other.end :]


def unlisted(text: str, dice: random.Random) -> str:
    """A list without its brackets."""
    found = [*re.finditer(r"\[([^\[\]{}]*)\]", text)]
    one = dice.choice(found) if found else None
    return text if one is None else text[: one.start()] + one[1] + text[one.end() :]


def in_a_value(change: Callable[[str, random.Random], str]) -> Callable[[str, random.Random], str]:
    def changed(text: str, dice: random.Random) -> str:
        one = dice.choice([*leaves(text)])
        return text[: one.start] + change(one.value, dice) + text[one.end :]

    return changed


def in_a_number(change: Callable[[str, random.Random], str]) -> Callable[[str, random.Random], str]:
    def changed(text: str, dice: random.Random) -> str:
        one = dice.choice([each for each in leaves(text) if NUMBER.match(each.value) and " " in each.value])
        return text[: one.start] + NUMBER.sub(lambda n: change(n[0], dice), one.value, count=1) + text[one.end :]

    return changed


def any_of(*forms: str) -> Callable[[str, random.Random], str]:
    return lambda was, dice: dice.choice(forms).format(was, was.replace(".", ""))


NOTHING = ("[]", "{{}}", '""', "null", "~", "[null]", "{{a: 1}}")
KINDS: dict[str, Callable[[str, random.Random], str]] = {
    "value of the neighbour": neighbours,
    "two values swapped": swapped,
    "list without brackets": unlisted,
    "nothing": in_a_value(any_of(*NOTHING)),
    "yes or no": in_a_value(any_of("yes", "no", "on", "off", "y", "true", "False", "1", "0")),
    "sign in front": in_a_value(any_of("={}", ".{}", "+{}", "'{}'", "({})")),
    "sign behind": in_a_value(any_of("{},", "{}.", '"{};"', "{} x", '"{}:"')),
    "tab inside": in_a_value(lambda was, dice: was.replace(" ", "\t")),
    "word for unknown": in_a_value(any_of("TBD", "??", "n/a", "unknown", "not sure", "see photo")),
    "minus": in_a_number(any_of("-{}", "\u2212{}", "- {}")),
    "way of writing": in_a_number(any_of("0{}", "+{}", "{}.", "{}.0", ".{1}", "{}.50", "1 1/2", "{}e1", "{},5")),
    "thousands": in_a_number(any_of("1,000", "1'000", "1 000", "1.000", "12.500")),
    "ten times": in_a_number(any_of("{}0", "{}00")),
    "a tenth": in_a_number(lambda was, dice: str(float(was) / 10)),
    "two of them": in_a_number(any_of("{}-99", "{} to 99", "{}/99", "{} or 99")),
    "number alone": in_a_value(lambda was, dice: was.partition(" ")[0]),
}


def edits(kind: str, count: int, seed: int) -> Iterator[str]:
    dice, tried = random.Random(f"{seed} {kind}"), 0
    texts = [path.read_text(encoding="utf-8") for path in FILES]
    while count and tried < 500:
        text = dice.choice(texts)
        found, tried = KINDS[kind](text, dice), tried + 1
        try:
            yaml.compose(found, Loader=EVENTS)
        except yaml.YAMLError:
            continue
        if found != text:
            count -= 1
            yield found


def told(found: list[Finding]) -> bool:
    return any(not OF_A_NAME(mistake.message) and not COMPARED(mistake.message) for mistake in found)


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_reader_takes_is_never_marked(kind: str) -> None:
    for text in edits(kind, EACH, 1):
        assert agrees(text) or isinstance(load(text), list), text


def test_hardly_any_slip_that_the_reader_refuses_is_passed_over() -> None:
    found = [(text, load(text)) for kind in KINDS for text in edits(kind, EACH, 2)]
    refused = [text for text, mistakes in found if isinstance(mistakes, list) and told(mistakes)]
    passed = [text for text in refused if agrees(text)]
    assert len(refused) > 0.4 * len(found)
    assert len(passed) <= MOST_PASSED_BY * len(refused)


LABELS = {
    **dict.fromkeys(
        ("-48 V", "+48 V", "\u221248 V", ".36 V", "36.50.2 V", "048 V", "1 000 V", "1'000 V", "48e-3 V"), False
    ),
    **dict.fromkeys(
        ("36-48 V", "36/48V", "36V 48V", "Freighter 36 V or 48 V", "36,5 V", "480 V", "mains 230 V"), False
    ),
    **dict.fromkeys(
        ("48 V", "36.50 V", "BAT-48V", "48V-48V", "36 V 10 Ah", "36V36 V", "Model 500, 48 V d.c.", "48V~"), True
    ),
}
BESIDE = {
    "packs.keel.capacity": ("packs.keel.discharge", "packs.keel.mass"),
    "packs.keel.mass": ("packs.keel.capacity",),
}
"""Lines that would be held against the one that is changed."""
LINES: dict[str, dict[str, bool]] = {
    "packs.keel.label": LABELS,
    "packs.keel.capacity": {"60 Ah": True, "61 Ah": False, "61.0 Ah": True, "60001 mAh": False, "200 Ah ?": False},
    "packs.keel.resistance": {"95 mohm": True, "1.000 mohm": False, "1.250 mohm ?": False, "1.25 mohm": True},
    "packs.keel.mass": {"1.250 kg": True, "1.250 g": False, "0.1 kg": False, "0.25 kg": True, "60.5 kg": False},
    "packs.keel.fuse": {"inside not confirmed": True, "inside,not confirmed": True, "inside ?": True, "outside": False},
    "packs.keel.outlet": {
        "XT60 pin, XT90 socket": False,
        "XT60 + XT90 socket": False,
        "=foo socket": False,
        "(foo) socket": False,
        "5.5 x 2.1 mm barrel socket": True,
        "foo bar socket": True,
    },
    "chargers.counter.output": {"48 V": False, "48 V ?": False, "48.0 V": True, "230 V": False, "58.8 V": True},
    "joiners.yoke.mount": {"frame\tmetal": True, " frame  metal ": True, "frame_metal": True, "framemetal": False},
    "joiners.yoke.type": {"ideal\tdiode": True, "-ideal-diode": True, "ideal diode ?": True, "ideal": False},
    "controller.capacitance": {"1 mF": True, "0.8 MF": False, "800 uF": True},
    "controller.power_limit": {"49.9 W": False, "50 W": True, "20.01 kW": False, "20 kW": True},
}


@pytest.mark.parametrize(
    ("path", "line", "taken"), [(p, line, ok) for p, each in LINES.items() for line, ok in each.items()]
)
def test_a_line_is_judged_alike(path: str, line: str, taken: bool) -> None:
    key, quoted = path.rpartition(".")[2], line.replace("'", "''")
    drop = BESIDE.get(path, ())
    text = edited("skerry-long-tail", {path: "x"}, drop).replace(f"{key}: x\n", f"{key}: '{quoted}'\n")
    found = load(text)
    assert (not isinstance(found, list)) is taken, found
    assert agrees(text) is taken


@pytest.mark.parametrize("name", ["true", "no", "1", "1.5", "null", "12 V"])
def test_a_name_that_yaml_takes_for_something_else(name: str) -> None:
    """The reader takes names as typed; an editor may have a number or a truth there."""
    text = f"packyoke: 1\nname: x\nracks: {{{name}: {{limit: 20 kg}}}}\npacks: {{keel: {{rack: {name}}}}}\n"
    if name in ("1.5", "null"):
        assert isinstance(load(text), list)
    else:
        assert not isinstance(load(text), list)
        assert agrees(text)
