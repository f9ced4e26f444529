"""Bikes that a build may be: which of the drawn ones somebody could build. And what rules say of one part alone."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile.reading import load
from packyoke.core.paths import path_to
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.verdict.bikes import can_be
from packyoke.verdict.judge import judge_at, judgement
from tests.support import edited


def build_of(put: dict[str, Any]) -> Build:
    build = load(edited("skerry-long-tail", put), "bike.yaml")
    assert isinstance(build, Build), build
    return build


def reading(volts: float, part: str = "packs.keel", what: str = "voltage", unit: str = "V") -> dict[str, Any]:
    return {"measured": [{"date": "2027-05-14", "part": part, "what": what, "value": f"{volts} {unit}"}]}


KEEL = "packs.keel"


@pytest.mark.parametrize(
    ("put", "could_be"),
    [
        ({}, True),
        # Whoever read 42 V on a pack has none that cuts off above that.
        ({f"{KEEL}.cut_off": "42 V"} | reading(42.1), True),
        ({f"{KEEL}.cut_off": "42 V"} | reading(42.0), True),
        ({f"{KEEL}.cut_off": "42 V"} | reading(41.9), False),
        ({f"{KEEL}.cut_off": "42 V"} | reading(41.9, what="voltage under load"), False),
        # The volts of a charger, and what is read on a pack besides, are held against no cut-off.
        ({f"{KEEL}.cut_off": "42 V"} | reading(12.0, "chargers.counter"), True),
        ({f"{KEEL}.cut_off": "42 V"} | reading(12.0, what="resistance", unit="mohm"), True),
    ],
)
def test_a_bike_that_somebody_could_build(put: dict[str, Any], could_be: bool) -> None:
    assert can_be(build_of(put)) is could_be


@pytest.mark.parametrize(("cut_off", "could_be"), [(58.7, True), (58.8, False), (58.9, False)])
def test_a_pack_is_empty_below_full_charge(cut_off: float, could_be: bool) -> None:
    build = build_of({})
    keel = build.packs["keel"].but(cut_off_v=cut_off, full_charge_v=58.8)
    assert can_be(build.but(packs={**build.packs, "keel": keel})) is could_be


@pytest.mark.parametrize(("marked", "could_be"), [(59.9, True), (60.0, True), (60.1, False)])
def test_a_joiner_bears_what_is_marked_on_it(marked: float, could_be: bool) -> None:
    build = build_of({})
    yoke = build.joiners["yoke"].but(ceiling_v=60.0, marked_v=marked)
    assert can_be(build.but(joiners={**build.joiners, "yoke": yoke})) is could_be


@pytest.mark.parametrize(
    ("section", "name", "put", "rule"),
    [
        # 67 V on a pack that is full at 58.8 V.
        ("chargers", "counter", {"chargers.counter.output": "67 V"}, "charger-voltage"),
        ("packs", "keel", {"packs.keel.condition": "opened"}, "pack-unsound"),
        ("joiners", "yoke", {"joiners.yoke.ceiling": "50 V"}, "ceiling-exceeded"),
    ],
)
def test_of_one_part_alone_the_same_is_said_as_of_it_among_all(
    section: str, name: str, put: dict[str, Any], rule: str
) -> None:
    build, path = build_of(put), path_to(section, name)
    found = {(each.rule.name, each.path, each.severity) for each in judge_at(build, RULES, path)}
    every = {(each.rule.name, each.path, each.severity) for each in judgement(build, RULES).decisions}
    assert found == {each for each in every if each[1] == path}
    assert found
    assert any(each[0] == rule for each in found)
