"""What differs between two files where something else stands in the place of the line: a reading, or a lead."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.compare.differences import _differences
from packyoke.model import Build
from tests.planning.bikes import build_of
from tests.support import edited

READ = {
    "joiners.yoke": "{date: 2025-05-14, part: joiners.yoke, what: drop, value: 48 mV, at: 20 A}",
    "packs.keel": "{date: 2025-05-14, part: packs.keel, what: resistance, value: 100 mohm}",
    "volts": "{date: 2025-05-14, part: packs.keel, what: voltage, value: 57 V}",
}
YOKE, KEEL, VOLTS = READ["joiners.yoke"], READ["packs.keel"], READ["volts"]


def built(readings: tuple[str, ...], put: dict[str, Any]) -> Build:
    text = edited("skerry-long-tail", put)
    return build_of(text + (f"measured: [{', '.join(readings)}]\n" if readings else ""))


@pytest.mark.parametrize(
    ("readings", "put", "told"),
    [
        (((), ()), {"joiners.yoke.resistance": "1.8 mohm"}, ["resistance 2 mohm 1.8 mohm"]),
        (((YOKE,), (YOKE,)), {"joiners.yoke.resistance": "1.8 mohm"}, ["resistance as described 2 mohm 1.8 mohm"]),
        (((YOKE,), (YOKE,)), {}, []),
        # The reading came: it is told for itself, and the line only where it is another one, too.
        (((), (YOKE,)), {}, ["resistance 2 mohm 2.4 mohm"]),
        (
            ((), (YOKE,)),
            {"joiners.yoke.resistance": "1.8 mohm"},
            ["resistance 2 mohm 2.4 mohm", "resistance as described 2 mohm 1.8 mohm"],
        ),
        (((YOKE,), ()), {"joiners.yoke.resistance": "2.4 mohm"}, ["resistance as described 2 mohm 2.4 mohm"]),
        (((KEEL,), (KEEL,)), {"packs.keel.resistance": "90 mohm"}, ["resistance as described 95 mohm 90 mohm"]),
        (((KEEL,), (KEEL,)), {"joiners.yoke.resistance": "1.8 mohm"}, ["resistance 2 mohm 1.8 mohm"]),
        # Volts stand in no line's place.
        (((VOLTS,), (VOLTS,)), {"packs.keel.resistance": "90 mohm"}, ["resistance 95 mohm 90 mohm"]),
    ],
)
def test_a_line_is_not_lost_behind_a_reading(
    readings: tuple[tuple[str, ...], tuple[str, ...]], put: dict[str, Any], told: list[str]
) -> None:
    old, new = built(readings[0], {}), built(readings[1], put)
    found = [f"{each.field} {each.before} {each.after}" for each in _differences(old, new)]
    assert [line for line in found if "resistance" in line] == told


def test_a_part_that_is_gone_is_told_once() -> None:
    old = built((KEEL, YOKE), {})
    new = old.but(packs={name: pack for name, pack in old.packs.items() if name != "keel"}, described=())
    lines = [each for each in _differences(old, new) if each.part == "packs.keel"]
    assert [(each.field, each.before, each.after) for each in lines] == [("", "there", "")]


@pytest.mark.parametrize(
    ("drawn", "line", "told"),
    [
        (False, "{insulation: silicone, run: open}", []),
        (False, "{insulation: XLPE, run: open}", ["build: all_leads.insulation silicone XLPE"]),
        (False, "{insulation: silicone, run: beside 3 others}", ["build: all_leads.run open beside 3 others"]),
        (False, "{run: open}", ["build: all_leads.insulation silicone not known"]),
        (
            True,
            "{insulation: XLPE, run: open}",
            ["build: all_leads.insulation silicone XLPE", "leads.main lead: insulation silicone XLPE"],
        ),
    ],
)
def test_what_all_leads_have_is_told(drawn: bool, line: str, told: list[str]) -> None:
    drop = () if drawn else ("leads",)
    old, new = (
        build_of(edited("skerry-long-tail", {"all_leads": put}, drop))
        for put in ("{insulation: silicone, run: open}", line)
    )
    found = [f"{each.part}: {each.field} {each.before} {each.after}" for each in _differences(old, new)]
    assert [each for each in found if "pannier lead" not in each and "keel lead" not in each] == told
