"""Estimates of heat against printed figures, and against each other."""

from __future__ import annotations

from math import exp, isinf
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.drop import wire_drop_v
from packyoke.analysis.circuit.load import Load
from packyoke.analysis.limits.heat import (
    TOUCH_K,
    joiner_current_a,
    joiner_warmth,
    lead_copper_k,
    lead_surface_k,
    peak_borne_a,
    settled_current_a,
    touch_current_a,
)
from packyoke.analysis.limits.leads import share_one_load
from packyoke.buildfile.reading import load
from packyoke.model import Build, Gauge
from tests.support import edited

AIR_K = 303.15


def case(base: str = "skerry-long-tail", put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build)
    return Case(build)


def test_leads_that_meet_in_a_blocking_joiner_share_one_load() -> None:
    skerry = case()
    leads = skerry.build.leads
    assert share_one_load(skerry, leads["keel lead"], leads["pannier lead"])
    assert not share_one_load(skerry, leads["keel lead"], leads["main lead"])
    windlass = case("windlass-two-outlets")
    leads = windlass.build.leads
    assert share_one_load(windlass, leads["fore lead"], leads["aft lead"])
    assert not share_one_load(windlass, leads["left lead"], leads["right lead"])


def test_voltage_drop_of_iec_60228_table_3() -> None:
    """2.5 mm2, class 5, 7.98 mohm/m, 1.5 m, 20 A: 0.4788 V there and back; the table is printed to 0.01 mohm/m."""
    found = case(put={"leads.main lead.length": "1.5 m", "controller.battery_current": "20 A"})
    assert wire_drop_v(found, found.build.leads["main lead"], Gauge("mm2", 2.5)) == pytest.approx(0.4788, abs=0.001)


@pytest.mark.parametrize(
    ("gauge", "current_a", "rise_k", "source"),
    [
        (12, 25.0, 30.0, "33 CFR 183.425 table 5, 60 degC column"),
        (10, 40.0, 30.0, "33 CFR 183.425 table 5, 60 degC column"),
        (8, 55.0, 30.0, "33 CFR 183.425 table 5, 60 degC column"),
        (12, 40.0, 60.0, "33 CFR 183.425 table 5, 90 degC column"),
        (10, 55.0, 60.0, "33 CFR 183.425 table 5, 90 degC column"),
        (8, 70.0, 60.0, "33 CFR 183.425 table 5, 90 degC column"),
    ],
)
def test_a_pair_at_table_amps_stays_within_the_column(gauge: int, current_a: float, rise_k: float, source: str) -> None:
    """The table's amps hold the conductor at the column's temperature; the estimate is good for 25 % of the rise."""
    found_k = lead_copper_k(Gauge("AWG", gauge), current_a, AIR_K) - AIR_K
    assert 0.4 * rise_k < found_k < 1.25 * rise_k, source


def test_the_outside_reaches_touch_just_before_the_copper() -> None:
    gauge = Gauge("AWG", 12)
    current_a = touch_current_a(gauge, AIR_K)
    copper_k = lead_copper_k(gauge, current_a, AIR_K)
    assert TOUCH_K < copper_k < TOUCH_K + 5
    assert lead_surface_k(gauge, current_a, AIR_K) == pytest.approx(TOUCH_K, abs=0.01)
    assert touch_current_a(gauge, TOUCH_K) == 0.0


def test_copper_that_never_settles() -> None:
    """18 AWG at 500 A has no steady state (logic: the copper would melt first)."""
    assert isinf(lead_copper_k(Gauge("AWG", 18), 500.0, AIR_K))
    assert isinf(lead_surface_k(Gauge("AWG", 18), 500.0, AIR_K))


def test_a_peak_warms_by_its_share() -> None:
    asked = Load(20.0, 40.0, 120.0)
    share = 1 - exp(-1)
    assert settled_current_a(asked, 120.0) == pytest.approx((400 + 1200 * share) ** 0.5, rel=1e-12)
    assert settled_current_a(asked, 120.0, 1.0) == pytest.approx(20 + 20 * share, rel=1e-12)
    assert settled_current_a(Load(20.0), 120.0) == 20.0


@pytest.mark.parametrize(
    ("later", "settled"),
    [
        # From 400, after 12 of 120 s at 40 A, 400 + 1200 x 0.09516 = 514.2; then 108 s more.
        (((30.0, 120.0),), 514.195 + (900 - 514.195) * (1 - exp(-0.9))),
        (((21.0, 120.0),), 514.195),  # less than what it has come to: it does not warm any more
        (((30.0, 12.0),), 514.195),
    ],
)
def test_a_peak_that_falls_in_steps_warms_step_by_step(later: tuple[tuple[float, float]], settled: float) -> None:
    asked = Load(20.0, 40.0, 12.0, later=later)
    assert settled_current_a(asked, 120.0) == pytest.approx(settled**0.5, rel=1e-5)


@pytest.mark.parametrize("law", [1.0, 2.0])
def test_the_peak_that_is_borne_warms_to_the_limit(law: float) -> None:
    peak_a = peak_borne_a(30.0, 20.0, 60.0, 120.0, law)
    assert settled_current_a(Load(20.0, peak_a, 60.0), 120.0, law) == pytest.approx(30.0, rel=1e-12)
    assert peak_borne_a(30.0, 31.0, 60.0, 120.0, law) == 30.0


@pytest.mark.parametrize(
    "put",
    [
        {"joiners.yoke.mount": "open air"},
        {"joiners.yoke.mount": "wrapped", "joiners.yoke.resistance": "4 mohm"},
    ],
    ids=["open air", "wrapped"],
)
def test_the_current_at_a_temperature_gives_that_temperature(put: dict[str, str]) -> None:
    found = case(put=put)
    build = found.build
    joiner = build.joiners["yoke"]
    for share in (0.0, 0.5):
        current_a = joiner_current_a(found, joiner, 350.0, share)
        limited = build.with_value("controller", "limit_a", current_a - 0.5)
        warmth = joiner_warmth(Case(limited), "yoke")
        assert (warmth.low_k, warmth.middle_k)[share > 0] == pytest.approx(350.0, abs=1e-6)
    assert joiner_current_a(found, joiner, build.warmest_k) == 0.0


def braking(current: str) -> dict[str, Any]:
    return {"controller.regen": {"current": current}}


PLAIN = {"joiners.yoke.type": "plain"}
DIODE = {"joiners.yoke.type": "diode", "joiners.yoke.forward_voltage": "0.5 V"}
CHARGED = {"chargers.counter.through": "yoke", "chargers.counter.current": "28 A"}
BLOCKS, OHM = "joiners.yoke.blocks_in", "joiners.yoke.resistance"


@pytest.mark.parametrize(
    ("put", "drop", "current_a"),
    [
        (PLAIN, (BLOCKS,), 25.5),
        (PLAIN | braking("25.4 A"), (BLOCKS,), 25.5),
        (PLAIN | braking("30 A"), (BLOCKS,), 30.0),
        (PLAIN | CHARGED, (BLOCKS, "leads.pannier lead"), 28.0),
        # Nothing comes back through what blocks.
        (braking("30 A"), (), 25.5),
        (DIODE | braking("30 A"), (OHM,), 25.5),
    ],
)
def test_a_joiner_is_warmed_by_the_load_or_by_what_comes_back(
    put: dict[str, Any], drop: tuple[str, ...], current_a: float
) -> None:
    """25 A of the controller and 0.5 A of the lamp, or what brakes or charges through it, if that is more."""
    assert joiner_warmth(case(put=put, drop=drop), "yoke").current_a == pytest.approx(current_a)
