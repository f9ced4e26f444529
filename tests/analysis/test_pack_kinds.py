"""When two packs are of one kind, what a resting voltage says, what chargers and braking add: by hand."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.packs.states import NoState, StateSpan, state_of
from packyoke.analysis.packs.unequal import mixed, unequal
from packyoke.analysis.packs.voltages import highest_braking, highest_charger, lowest_cut_off_v, way_ohm
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import edited


def case_of(base: str = "skerry-long-tail", put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def two(full_v: float, other_v: float, other: dict[str, Any]) -> Case:
    build = case_of(put={f"packs.pannier.{key}": value for key, value in other.items()}).build
    build = build.with_value("packs.keel", "full_charge_v", full_v)
    return Case(build.with_value("packs.pannier", "full_charge_v", other_v))


@pytest.mark.parametrize(
    ("full_v", "other_v", "other", "expected"),
    [
        (58.8, 58.8, {}, False),
        (58.8, 58.8 + 0.70, {}, False),
        (58.8, 58.8 + 0.71, {}, True),
        (58.8 + 0.71, 58.8, {}, True),
        (58.8, 58.8, {"series": "13"}, True),
        (50.0, 51.0, {"chemistry": "LFP", "series": "14"}, False),
        (50.0, 51.1, {"chemistry": "LFP", "series": "14"}, True),
        (51.0, 50.0, {"chemistry": "LFP", "series": "14"}, False),
        (51.1, 50.0, {"chemistry": "LFP", "series": "14"}, True),
        (50.0, 50.0, {"chemistry": "LFP", "series": "16"}, False),
    ],
)
def test_packs_that_stand_apart(full_v: float, other_v: float, other: dict[str, Any], expected: bool) -> None:
    """One chemistry: as many cells, and 0.05 V a cell (0.70 V of 14); two: 2 % of the lower (1 V of 50 V)."""
    case = two(full_v, other_v, other)
    assert unequal(case.build.packs["keel"], case.build.packs["pannier"]) == expected


@pytest.mark.parametrize(
    ("other_v", "chemistry", "expected"),
    [
        (58.8, "NMC", False),
        (58.8, "NCA", False),  # one curve for all layered cells
        (58.8, "LFP", True),
        (58.8, "LTO", True),  # no curve on file
        (70.0, "LFP", False),  # apart: that is told instead
    ],
)
def test_packs_of_one_full_charge_that_come_down_differently(other_v: float, chemistry: str, expected: bool) -> None:
    case = two(58.8, other_v, {"chemistry": chemistry, "cut_off": "25 V"})
    one, other = case.build.packs["keel"], case.build.packs["pannier"]
    assert mixed(one, other) == expected
    assert mixed(other, one) == expected


def test_a_resting_voltage_and_its_width() -> None:
    """Layered cells by the shelf: 3.244 V at 5 % in the middle, 0 % at 3.00 V and 100 % at 4.20 V."""
    pack = case_of().build.packs["keel"]
    middle = state_of(pack, 14 * 3.244)
    assert isinstance(middle, StateSpan)
    assert middle.likely == pytest.approx(0.05)
    assert middle.low < 0.05 < middle.high
    empty, full = state_of(pack, 14 * 3.0), state_of(pack, 14 * 4.2)
    assert isinstance(empty, StateSpan)
    assert empty.likely == 0.0
    assert isinstance(full, StateSpan)
    assert full.likely == 1.0


@pytest.mark.parametrize("cell_v", [2.99, 4.21])
def test_a_voltage_outside_what_the_cells_show_says_nothing(cell_v: float) -> None:
    found = state_of(case_of().build.packs["keel"], 14 * cell_v)
    assert isinstance(found, NoState)
    assert (found.low_v, found.high_v) == pytest.approx((42.0, 58.8))


@pytest.mark.parametrize(
    ("put", "drop", "reason"),
    [
        ({}, ("packs.keel.chemistry",), "its chemistry or its cells in series are not known"),
        ({}, ("packs.keel.series",), "its chemistry or its cells in series are not known"),
        ({"packs.keel.chemistry": "LTO", "packs.keel.cut_off": "25 V"}, (), "no open-circuit curve of LTO is on file"),
    ],
)
def test_no_state_without_a_curve(put: dict[str, Any], drop: tuple[str, ...], reason: str) -> None:
    assert state_of(case_of(put=put, drop=drop).build.packs["keel"], 50.0) == NoState(reason)


@pytest.mark.parametrize(
    ("put", "drop", "expected_v"),
    [
        ({}, (), 42.0),
        ({}, ("packs.keel.cut_off",), 14 * 2.5),
        ({}, ("packs.keel.cut_off", "packs.keel.chemistry"), 14 * 1.5),
    ],
)
def test_where_a_protection_opens_at_the_lowest(put: dict[str, Any], drop: tuple[str, ...], expected_v: float) -> None:
    """2.5 V a layered cell by the shelf; of an unknown chemistry 1.5 V, the lowest there is."""
    assert lowest_cut_off_v(case_of(put=put, drop=drop).build.packs["keel"], 14) == expected_v


PORT = {"current": "5 A", "blocks": "each pack", "inlet": "XT60 socket", "reaches": ["keel"]}


@pytest.mark.parametrize(
    ("put", "drop", "path", "expected_v"),
    [
        ({"chargers.counter.output": "62 V"}, (), "leads.keel lead", 62.0),
        ({"chargers.counter.output": "62 V"}, ("chargers.counter.fits",), "leads.keel lead", 62.0),
        ({}, ("chargers.counter.fits", "chargers.counter.output"), "leads.keel lead", None),
        ({"chargers.counter.through": "yoke", "joiners.yoke.charge_port": PORT}, (), "leads.keel lead", 58.8),
        ({"chargers.counter.through": "yoke", "joiners.yoke.charge_port": PORT}, (), "leads.pannier lead", None),
        ({"chargers.counter.through": "yoke"}, (), "leads.main lead", 58.8),
    ],
)
def test_the_charger_that_reaches_a_part(
    put: dict[str, Any], drop: tuple[str, ...], path: str, expected_v: float | None
) -> None:
    found = highest_charger(case_of(put=put, drop=drop), path)
    assert (None if found is None else found.volts_v) == expected_v


@pytest.mark.parametrize(
    ("regen", "expected_v"),
    [
        ("none", None),
        ({"current": "8 A"}, 54.6 + 8 * 0.149 + 8 * 0.0012),
        ({"current": "8 A", "stops_at": "55 V"}, 55.0),
        ({"current": "8 A", "stops_at": "70 V"}, 54.6 + 8 * 0.149 + 8 * 0.0012),
    ],
)
def test_braking_lifts_the_voltage_until_the_controller_stops_it(regen: Any, expected_v: float | None) -> None:
    """8 A through 149 mohm, two contacts of 0.2 mohm and 0.8 mohm of wire, as in test_voltages.py."""
    found = highest_braking(case_of("slipway-bench-pair", {"controller.regen": regen}), "leads.main lead")
    assert (None if found is None else found.volts_v) == (None if expected_v is None else pytest.approx(expected_v))


def test_the_way_counts_leads_and_bought_joiners_up_to_a_part() -> None:
    case = case_of()
    lead = way_ohm(case, "keel", "leads.keel lead")
    assert lead > 0.0
    assert way_ohm(case, "keel", "joiners.yoke") == pytest.approx(lead + 0.002)
    built_in = {"joiners.yoke": {"built_in": {"current": "33 A"}}}
    case = case_of(put=built_in, drop=("leads.main lead",))
    assert way_ohm(case, "keel", "joiners.yoke") == way_ohm(case, "keel", "leads.keel lead")
