"""A guess stays one in whatever way it is written, and in the line that is offered instead of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.api import Build, load
from packyoke.model import Key
from packyoke.model.field import ABSENT, DEFAULT
from packyoke.model.fields import FIELDS

COMPLETE = (Path(__file__).parent / "complete.yaml").read_text(encoding="utf-8")


def written(path: str, value: str) -> Any:
    """What the reader makes of the complete file with this text at a line."""
    tree: Any = yaml.load(COMPLETE, Loader=yaml.BaseLoader)
    tree["places"], tree["ride"] = {"box": {}}, {"everyday": {}}
    at, (*way, last) = tree, path.split(".")
    for step in way:
        at = at[step]
    at[last] = "@"
    text = yaml.dump(tree, sort_keys=False, allow_unicode=True, width=1000).replace("'@'", value)
    return load(text, "x.yaml")


WORDS = [
    (field.path, word)
    for field in FIELDS
    if field.kind == "word" and field.path.split(".")[0] in ("joiners", "places", "ride", "packs")
    for word in field.words
    if word != "unknown" and not field.path.endswith((".makes", ".charged"))  # of other joiners than the file has
]
ANYWHERE = {
    "packs.*": "packs.keel",
    "joiners.*": "joiners.yoke",
    "places.NAME": "places.box",
    "ride.*": "ride.everyday",
}


@pytest.mark.parametrize(("path", "word"), WORDS)
def test_a_word_with_a_question_mark_is_never_a_fact(path: str, word: str) -> None:
    start, rest = next((new, path[len(old) :]) for old, new in ANYWHERE.items() if path.startswith(old))
    if rest == ".charge_port.blocks":
        rest, word = ".charge_port", f"{{current: 5 A, blocks: {word} ?}}"
    elif rest.startswith(".bms."):
        rest, word = ".bms", f"{{{rest.removeprefix('.bms.')}: {word} ?}}"
    else:
        word = f"{word} ?"
    build = written(start + rest, word)
    assert isinstance(build, Build), build
    field = next(each for each in FIELDS if each.path == path)
    owner = f"{start}.charge_port" if "charge_port" in path else start
    assert Key(owner, field.attr) in build.guesses  # type: ignore[arg-type]
    told = [each for each in build.stated if each.part == owner and each.basis == "a guess in the file"]
    assert bool(told) == (field.need in (DEFAULT, ABSENT)), "what no question asks for is told"


@pytest.mark.parametrize(
    ("path", "value", "do"),
    [
        ("packs.keel.resistance", "95 ?", "resistance: 95 mohm ?"),
        ("packs.keel.resistance", "~95", "resistance: 95 mohm ?"),
        ("controller.battery_current", "~25", "battery_current: 25 A ?"),
        ("controller.battery_current", "25?", "battery_current: 25 A ?"),
        ("warmest", "about 35", "warmest: 35 degC ?  or  warmest: 35 degF ?"),
        ("packs.keel.label", "maybe 48V", "label: 48 V ?"),
        ("packs.keel.label", "~52 V", "label: 52 V ?"),
        ("ride.everyday.assist", "rider 80 W ?", "Find it out, or leave the line out"),
        ("region", "US-CA", "region: US"),  # no "ca." behind US
    ],
)
def test_the_line_that_is_offered_says_no_more(path: str, value: str, do: str) -> None:
    (found,) = written(path, value)
    assert do in found.do
    assert not do.endswith("US") or not found.do.endswith("?")


@pytest.mark.parametrize(
    ("path", "value", "do"),
    [
        ("accessories.lamp.current", "500", "Write  500 mA"),  # 10 mA to 100 A
        ("accessories.lamp.standby", "8", "Write  8 mA"),  # 0 A to 1 A
        (
            "packs.keel.charge",
            "0",
            "Write a number and a unit, for example  20 A",
        ),  # no unit makes 0 one of 0.1 A and more
        ("packs.keel.series", "13 or 14", "Write a whole number, for example  series: 14"),
        ("packs.keel.series", "14 in series", "Write  series: 14"),
        ("controller.battery_current", "25 A ±1", "The most counts. Write  26 A"),
        ("coldest", "–5 °C", "Write  -5 °C"),
        ("coldest", "minus 5 °C", "Write  -5 °C"),
        ("leads.keel lead.run", "beside -1 others", "Parts it can be: keel lead, pannier lead, main lead."),
        ("leads.keel lead.run", "beside keel lead", "Name the other lead, or say how many there are."),
        ("leads.keel lead.run", "beside Keel Lead", "Name the other lead, or say how many there are."),
        ("packs.keel.label", "2x26V", "Write the voltage of the whole pack, as it is printed."),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked_about(path: str, value: str, do: str) -> None:
    (found,) = written(path, value)
    assert found.do == do


@pytest.mark.parametrize(
    ("value", "do"),
    [
        ("none", ""),
        ("None", ""),
        ("54 V ?", ""),
        ("none ?", "None is read here. Find it out, or leave the line out."),
        ("never", "Write  stops_at: none"),
        ("no limit", "Write  stops_at: none"),
        ("off", "Write a number and a unit, for example  36 V"),
    ],
)
def test_braking_that_nothing_ends(value: str, do: str) -> None:
    found = written("controller.regen", f"{{current: 2 A, stops_at: {value}}}")
    assert [each.do for each in found] == [do] if isinstance(found, list) else not do
    if isinstance(found, Build) and value.casefold() == "none":
        assert found.controllers["controller"].regen_stops_at_v == float("inf")


@pytest.mark.parametrize(
    ("end", "said"),
    [
        ("maybe XT60 socket", '"maybe XT60 socket" is a guess'),  # was a connector of its own, as were most of these
        ("XT60 socket maybe", '"XT60 socket maybe" is a guess'),
        ("probably XT60 socket ?", '"probably XT60 socket ?" is a guess'),
        ("i think XT60 socket", '"i think XT60 socket" is a guess'),
        ("looks like XT60 socket", '"looks like XT60 socket" is a guess'),
        ("about XT60 socket", '"about XT60 socket" is a guess'),
        ("unknown XT60 socket", '"unknown XT60" is not one connector'),
        ("some plug pin", '"some plug" is not one connector'),
        ("{family: maybe XT60, plus: socket, minus: pin}", '"maybe XT60" has a word of doubt'),
        ("handsome socket", ""),
        ("Likely Lane socket", ""),
    ],
)
def test_an_end_that_somebody_doubts_is_no_connector(end: str, said: str) -> None:
    for path, value in (("packs.keel.outlet", end), ("joiners.yoke.inlets", f"[{end}, XT60 pin]")):
        found = written(path, value)
        assert isinstance(found, Build) is not said, found
        if said and path == "packs.keel.outlet":
            (told,) = found
            assert told.message == said


@pytest.mark.parametrize(("value", "volts"), [("52V14Ah", 52.0), ("52V20A", 52.0), ("52V728Wh", 52.0), ("V52", None)])
def test_a_label_in_one_word(value: str, volts: float | None) -> None:
    build = written("packs.keel.label", value)
    assert isinstance(build, Build), build
    assert (build.packs["keel"].label, build.packs["keel"].label_v) == (value, volts)


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        ("region", "CA ?", "region CA ?"),  # these count where nothing else does
        ("status", "built ?", "status built ?"),
        ("controller.precharge", "plug ?", "precharge plug ?"),
        ("controller.switched_by", "key ?", "switched_by key ?"),
        (
            "bike.drive.throttle",
            "full ?",
            "drive.throttle full ?, which no check counts",
        ),  # these were dropped in silence
        ("packs.keel.owner", "customer ?", "owner customer ?, which no check counts"),
        ("chargers.counter.owner", "customer ?", "owner customer ?, which no check counts"),
        ("packs.keel.bms", "{wired_data: to controller ?}", "bms.wired_data to controller ?, which no check counts"),
        ("packs.keel.fuse", "{owner: shop ?}", "owner shop ?, which no check counts"),
        ("packs.keel.tested_capacity", "15 Ah ?", "tested_capacity 15 Ah ?, which no check counts"),
        ("accessories.lamp.standby", "8 mA ?", "standby 8 mA ?, which no check counts"),
        ("controller.voltage", "{min: 39 V ?, max: 60 V}", "voltage.min 39 V ?, which no check counts"),
        ("packs.keel.condition", "sound ?", ""),  # these are asked for
        ("bike.drive.type", "mid motor ?", ""),
        ("region", "CA", ""),
    ],
)
def test_a_guess_that_nothing_asks_for_is_told(path: str, value: str, told: str) -> None:
    build = written(path, value)
    assert isinstance(build, Build), build
    said = {
        each.text for each in build.stated if each.basis == "a guess in the file" and not each.part.endswith("pannier")
    }
    assert said == ({told} if told else set())


def lines_of(tree: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], str]]:
    """Every text of a tree, and the keys that lead to it."""
    if isinstance(tree, str):
        yield path, tree
    else:
        for key, inside in tree.items() if isinstance(tree, dict) else enumerate(tree):
            yield from lines_of(inside, (*path, key))


NO_FACTS = (("packyoke",), ("name",), ("ticket",))
"""Lines of which no check asks anything."""


@pytest.mark.parametrize("path", [path for path, _ in lines_of(yaml.load(COMPLETE, Loader=yaml.BaseLoader))])
def test_no_line_with_a_question_mark_behind_it_counts_or_goes_without_a_word(path: tuple[Any, ...]) -> None:
    tree: Any = yaml.load(COMPLETE, Loader=yaml.BaseLoader)
    at = tree
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] += " ?"
    before, found = load(COMPLETE, "x.yaml"), load(yaml.dump(tree, sort_keys=False, allow_unicode=True), "x.yaml")
    assert isinstance(before, Build)
    if isinstance(found, Build) and path not in NO_FACTS:
        assert set(found.guesses) > set(before.guesses) or len(found.stated) > len(before.stated)


@pytest.mark.parametrize(
    ("plug", "do"),
    [
        ("XLR 3 ?", ""),  # counted as one that it does not have
        ("5.5 mm barrel?", ""),
        ("maybe XLR 3", "A guess has a question mark behind it:  plug: XLR 3 ?"),
        ("XLR 3 i think", "A guess has a question mark behind it:  plug: XLR 3 ?"),
        ("unknown", "Not known? Leave the line out: it then goes on the list of things to find out."),
        ("n/a", "Not known? Leave the line out: it then goes on the list of things to find out."),
        ("none", "Not known? Leave the line out: it then goes on the list of things to find out."),
        ("unknown ?", "Not known? Leave the line out: it then goes on the list of things to find out."),
        ('"?"', "Not known? Leave the line out: it then goes on the list of things to find out."),
        ("yes", "Not known? Leave the line out: it then goes on the list of things to find out."),
    ],
)
def test_a_plug_that_nobody_knows_is_none(plug: str, do: str) -> None:
    found = written("chargers.counter.plug", plug)
    if do:
        assert [each.do for each in found] == [do]
    else:
        assert found.chargers["counter"].plug is None
        assert found.guesses[Key("chargers.counter", "plug")] == plug.rstrip("? ")  # type: ignore[arg-type]
