"""Parts written as a list or in one text: the mistake says how the same stands in a file, and that is read.

What is offered is written by hand beside what was typed.
"""

from __future__ import annotations

import pytest

from packyoke.api import load
from packyoke.buildfile.reading.shapes import example_of
from packyoke.buildfile.reading.table import TABLES

LISTS = [
    ("packs:\n  - name: left\n    label: 48 V\n    capacity: 14 Ah\n", "packs: {left: {label: 48 V, capacity: 14 Ah}}"),
    ("packs:\n  - ID: left\n    label: 48 V\n", "packs: {left: {label: 48 V}}"),
    ("packs: [{label: 48 V}, {label: 36 V}]\n", "packs: {NAME: {label: 48 V}}"),
    ("leads:\n  - {from: left, to: yoke}\n", "leads: {NAME: {from: left, to: yoke}}"),
    ("joiners:\n  - name: yoke\n    type: diode\n", "joiners: {yoke: {type: diode}}"),
    ("chargers:\n  - {name: home, output: 54.6 V}\n", "chargers: {home: {output: 54.6 V}}"),
    ("racks:\n  - {name: rear, limit: 25 kg}\n", "racks: {rear: {limit: 25 kg}}"),
]
TEXTS = [
    ("packs: {left: 48V 20Ah}", "left: {label: 48 V, capacity: 20 Ah}"),
    ("packs: {left: 14 Ah}", "left: {capacity: 14 Ah}"),
    (
        "packs: {left: 36 V 10.4 Ah 20 A 2.9 kg}",
        "left: {label: 36 V, capacity: 10.4 Ah, discharge: 20 A, mass: 2.9 kg}",
    ),
    ("packs: 48V 20Ah", "packs: {NAME: {label: 48 V, capacity: 20 Ah}}"),
    ("controller: 25A", "controller: {battery_current: 25 A}"),
    ("controller: 25 amps", "controller: {battery_current: 25 amps}"),
    ("joiners: {yoke: diode}", "yoke: {type: diode}"),
    ("joiners: {yoke: Schottky}", "yoke: {type: diode}"),
    ("joiners: {yoke: 40 A}", "yoke: {current: 40 A}"),
    ("leads: {a: left -> yoke}", "a: {from: left, to: yoke}"),
    ("leads: {a: from left to yoke}", "a: {from: left, to: yoke}"),
    ("leads: {a: 400 mm}", "a: {length: 400 mm}"),
    ("chargers: {home: 54.6V 4A}", "home: {output: 54.6 V, current: 4 A}"),
    ("accessories: {lamp: 0.5 A}", "lamp: {current: 0.5 A}"),
    ("racks: {rear: 25 kg}", "rear: {limit: 25 kg}"),
    ("bike: 31 kg", "bike: {mass: 31 kg}"),
]
# Figures that a part has no line for, two of a kind, a figure without a unit: none of them is said to be anything.
UNTOLD = [
    "packs: {left: 48}",
    "packs: {left: 48 V 54.6 V 42 V}",
    "packs: {left: 13s4p}",
    "joiners: {yoke: 60 V}",
    "accessories: {lamp: 60 V 0.5 A}",
    "controller: 48V 25A",
    "controller: big one",
    "leads: {a: yoke}",
    "chargers: {home: 240 VAC in, 54.6 V}",
]


def told(text: str) -> tuple[str, str]:
    found = load(f"packyoke: 1\nname: Skerry\n{text}\n")
    assert isinstance(found, list), "it was read"
    return found[0].message, found[0].do


@pytest.mark.parametrize(("typed", "offered"), LISTS, ids=[each[1] for each in LISTS])
def test_a_list_of_parts_is_told_with_names_in_front(typed: str, offered: str) -> None:
    said = f"Write  {offered}  and so on: no dashes, each name in front."
    assert told(typed) == ("a list, it needs its own indented lines", said)
    assert "indented" not in " ".join(each.message for each in load_mistakes(offered))


def load_mistakes(text: str) -> list:
    found = load(f"packyoke: 1\nname: Skerry\n{text}\n")
    return found if isinstance(found, list) else []


@pytest.mark.parametrize(("typed", "offered"), TEXTS, ids=[each[0] for each in TEXTS])
def test_a_part_in_one_text_is_told_in_its_lines(typed: str, offered: str) -> None:
    message, do = told(typed)
    assert message.endswith('", it needs its own indented lines')
    assert do == f"Write  {offered}"
    section = typed.partition(":")[0]
    whole = offered if offered.startswith(section) else f"{section}: {{{offered}}}"
    assert not [each for each in load_mistakes(whole) if "indented" in each.message or "no field" in each.message]


@pytest.mark.parametrize("typed", UNTOLD)
def test_what_nobody_can_tell_gets_an_example(typed: str) -> None:
    assert told(typed)[1].startswith("Write for example  ")


def test_one_controller_in_a_list() -> None:
    said = "Write  controller: {battery_current: 25 A}  without the dash."
    assert told("controller:\n  - battery_current: 25 A")[1] == said


def test_the_name_of_a_part_is_no_line_of_it() -> None:
    said = "The name of a part stands before the colon above its lines. Take this line out."
    assert told("packs: {left: {name: left, label: 48 V}}") == ('no field "name"', said)
    assert told("joiners: {yoke: {id: 7}}") == ('no field "id"', said)


@pytest.mark.parametrize("section", [name for name in TABLES if name not in ("file", "FUSE", "shop")])
def test_an_example_has_fields_that_are_read(section: str) -> None:
    inside = example_of(section).strip("[]{}")
    for key in (each.partition(":")[0].strip() for each in inside.split(", ") if ":" in each.partition("{")[0]):
        assert key in {*TABLES[section], *TABLES["file"]}, (section, key)


LISTED = ("runs", "measured", "accept", "sets")
WHOLE = ("bike", "controller", "all_leads", "parts")
NAMED = (
    "packs", "racks", "joiners", "controllers", "leads", "accessories", "chargers", "places", "ride",
)  # fmt: skip


@pytest.mark.parametrize("section", [*LISTED, *WHOLE, *NAMED])
def test_what_is_offered_for_a_section_can_be_typed(section: str) -> None:
    """Whoever writes a number there is shown what may stand there; it names parts that his file may not have."""
    for typed in ("5", "{left: 5}") if section in NAMED else ("5",):
        _, do = told(f"{section}: {typed}")
        line = do.partition("Write for example  ")[2].replace("NAME", "left")
        offered = line if line.startswith(f"{section}: ") else f"{section}: {{{line}}}"
        found = load(f"packyoke: 1\nregion: EU\n{offered}\n", "a.yaml")
        said = [each.message for each in found if each.span.line == 3] if isinstance(found, list) else []
        assert line
        assert [each for each in said if not each.startswith("no part ")] == [], offered


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("{type: XT60, gender: female}", "XT60 pin  or  XT60 socket"),
        ("{connector: XT90, plus: pin}", "XT90 pin  or  XT90 socket"),
        ("{gender: male}", "XT60 pin  or  XT60 socket"),
    ],
)
def test_an_end_is_one_text(typed: str, offered: str) -> None:
    said = "Write the connector and the metal of its poles in one text:"
    assert told(f"packs: {{left: {{outlet: {typed}}}}}")[1] == f"{said}  {offered}"


def test_an_end_without_pins_and_sockets_is_its_name() -> None:
    assert told("packs: {left: {outlet: {kind: M6 ring, gender: male}}}")[1] == "Write it in one text:  M6 ring"
