"""A line without a value, at every place of the field table: the schema for editors says of it what the reader says."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.api import load
from packyoke.buildfile.reading.names import NAMED
from packyoke.model.fields import FIELDS
from tests.editors import agrees, trees, validator

WHOLE = yaml.load(
    (Path(__file__).parent.parent / "reading" / "complete.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader
) | {"places": {"seat tube": {"holds": "1"}, "rear rack": {"holds": "0"}}}
BUILD = [field.path for field in FIELDS if not field.path.startswith("shop")]
PLACES = sorted(
    {".".join(path.split(".")[:count]) for path in BUILD for count in range(1, path.count(".") + 2)} - {"FUSE"}
)
"""Every path of the table and every path above one."""
NEEDED: dict[str, dict[str, Any]] = {
    "leads": {"from": "keel", "to": "yoke"},
    "accessories": {"from": "yoke"},
    "runs": {"between": ["seat tube", "rear rack"], "length": "700 mm"},
    "measured": {"date": "2027-05-14", "part": "packs.keel", "what": "voltage", "value": "57.9 V"},
    "accept": {
        "rule": "voltage-drop",
        "part": "build",
        "found": "3.4 %",
        "because": "frame too long",
        "by": "workshop lead",
        "until": "2027-12-31",
    },
    "known": {"packs": ["keel"], "from": "100 %", "to": "20 %", "distance": "42 km"},
    "bonded": {"by": "0.1 V", "charged": "together"},
}
"""What a part needs beside any other line."""
NOTHING = ("null", "~", "NULL", "", '""', "{}", "[]", "[null]", "[~]", "{a: null}", "{a: }")
NAMES_ONLY = {"packs", "joiners", "racks"}
"""Sections whose parts are named elsewhere: with another part in them a name is one that nobody has."""


class Bare(str):
    """A text that stands in the file as it is."""


def flow(tree: Any) -> str:
    if isinstance(tree, Bare):
        return str(tree)
    if isinstance(tree, dict):
        return "{" + ", ".join(f"{flow(key)}: {flow(value)}" for key, value in tree.items()) + "}"
    return f"[{', '.join(map(flow, tree))}]" if isinstance(tree, list) else "'" + tree.replace("'", "''") + "'"


def with_a_line(path: str, line: str) -> str:
    """The whole file with a line at a path, in a part of its own that has else what it needs."""
    steps = path.replace("FUSE", "packs.*.fuse").split(".")
    tree = copy.deepcopy(WHOLE)
    if steps[0] == "controllers":
        del tree["controller"], tree["leads"]
    at: Any = tree
    for step, below in zip(steps, [*steps[1:], None], strict=True):
        name = "new" if step in ("*", "NAME") else step
        if below is None:
            at.append(Bare(line)) if isinstance(at, list) else at.update({name: Bare(line)})
        elif isinstance(at, list):
            at.append({})
            at = at[-1]
        else:
            if not isinstance(at.get(name), dict):
                at[name] = [] if name in ("runs", "measured", "accept") else {}
            at = at[name]
        owner = "known" if step == "known" else "bonded" if step == "bonded" else steps[0] if name == "new" else ""
        if below is not None and isinstance(at, dict):
            at.update(copy.deepcopy(NEEDED.get(owner, {})))
    return flow(tree)


@pytest.mark.parametrize("path", PLACES)
def test_a_line_without_a_value_is_judged_alike_at_every_place(path: str) -> None:
    for line in NOTHING:
        text = with_a_line(path, line)
        found = load(text)
        if path in NAMES_ONLY and line.startswith("{a"):
            assert isinstance(found, list)
            assert all(mistake.message.startswith("no ") for mistake in found)
        else:
            assert agrees(text) is not isinstance(found, list), line


def test_the_places_are_those_of_the_table_and_most_lines_without_a_value_are_refused() -> None:
    taken = [(path, line) for path in PLACES for line in NOTHING if not isinstance(load(with_a_line(path, line)), list)]
    nothing = {path for path, line in taken if line in ("null", "~", "NULL")}
    parts = {f"{section}.{name}" for section in NAMED for name in ("NAME", "*")} & {*PLACES}
    leads_and_lamps = {f"{section}.{name}" for section in ("leads", "accessories") for name in ("NAME", "*")}
    assert nothing == parts - leads_and_lamps | {"bike", "controller"}
    assert all((path, line) in taken for path in nothing for line in ("null", "~", "NULL", "", "{}"))


@pytest.mark.parametrize("word", ["", " ", "null", "~"])
@pytest.mark.parametrize(
    ("above", "below"), [("joiners:\n  y:", ""), ("packs:\n  keel:", "  hers: {like: keel}"), ("controller:", "")]
)
def test_a_part_of_which_nothing_is_known_yet(above: str, below: str, word: str) -> None:
    text = f"packyoke: 1\nname: x\n{above} {word}\n{below}\n"
    assert not isinstance(load(text), list)
    assert agrees(text)


@pytest.mark.parametrize("word", ["", "null", "~"])
@pytest.mark.parametrize("section", ["packs", "leads", "all_leads", "sets", "runs"])
def test_a_section_of_nothing_is_told_as_such(section: str, word: str) -> None:
    found = load(f"packyoke: 1\nname: x\n{section}: {word}\n")
    assert isinstance(found, list)
    assert section in ("sets", "runs") or found[0].message == "nothing here"


@pytest.mark.parametrize(
    ("line", "taken"),
    [("null", False), ("~", False), ("Null", False), ("", False), ('"null"', True), ('""', True), ("nullo", True)],
)
def test_nothing_is_nothing_unless_it_is_quoted(line: str, taken: bool) -> None:
    text = f"packyoke: 1\nname: x\nticket: {line}\n"
    assert (not isinstance(load(text), list)) is taken
    assert all(validator().is_valid(tree) is taken for tree in trees(text))
