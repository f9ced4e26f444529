"""Which fuse to fit, what feeds a lead, what flows into a short: figures worked by hand."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.limits.fusing import (
    feed_of,
    fuse_kind,
    highest_full_charge_v,
    owner_name,
    short_circuit_a,
    standard_fuses_a,
    thicker_gauges,
)
from packyoke.buildfile.reading import load
from packyoke.model import Build, Gauge
from tests.support import edited


def case_of(base: str, put: dict[str, object] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), f"{base}.yaml")
    assert isinstance(build, Build), [each.message for each in build]
    return Case(build)


@pytest.mark.parametrize(
    ("volts", "milliohm", "amps", "family"),
    [
        pytest.param(54.6, 120, 30.0, "blade", id="ISO 8820-3: 58 V, 100 A, 1000 A"),
        pytest.param(58.0, 120, 30.0, "blade", id="ISO 8820-3: exactly 58 V"),
        pytest.param(58.1, 120, 30.0, "10x38", id="ISO 8820-3: above 58 V"),
        pytest.param(54.6, 120, 100.0, "blade", id="ISO 8820-3: exactly 100 A"),
        pytest.param(54.6, 120, 110.0, "class T", id="ISO 8820-3: above 100 A"),
        pytest.param(52.0, 80, 30.0, "blade", id="ISO 8820-3: 52 V over 0.65 x 80 mohm is exactly 1000 A"),
        pytest.param(52.0, 79, 30.0, "10x38", id="ISO 8820-3: 52 V over 0.65 x 79 mohm is 1013 A"),
        pytest.param(58.1, 120, 32.0, "10x38", id="IEC 60269-6: links of 10 x 38 mm up to 32 A"),
        pytest.param(58.1, 120, 35.0, "class T", id="IEC 60269-6: above 32 A"),
    ],
)
def test_the_family_to_fit(volts: float, milliohm: int, amps: float, family: str) -> None:
    case = case_of("breakwater-three-packs", {"packs.north.resistance": f"{milliohm} mohm"})
    case = Case(case.build.with_value("packs.north", "full_charge_v", volts))
    assert fuse_kind(case, "packs.north", amps)[0] == family


def test_the_family_to_fit_without_a_resistance_goes_by_the_worst_of_its_span() -> None:
    """13 x 0.10 ohm Ah / 17.5 Ah + 10 mohm = 84.3 mohm, in the first moment 0.65 of it: 54.6 V drive 997 A, which a
    blade fuse (1000 A) breaks."""
    case = case_of("breakwater-three-packs", drop=("packs.north.resistance",))
    assert fuse_kind(case, "packs.north", 30.0) == ("blade", 58.0)


def test_standard_sizes_include_both_limits() -> None:
    assert standard_fuses_a(30.0, 40.0) == (30.0, 35.0, 40.0)
    assert standard_fuses_a(30.1, 39.9) == (35.0,)
    assert standard_fuses_a(36.0, 39.0) == ()


def test_sizes_thicker_than_one_leave_it_out() -> None:
    assert next(thicker_gauges(Gauge("AWG", 12.0))) == Gauge("AWG", 10.0)
    assert next(thicker_gauges(Gauge("mm2", 1.7))) == Gauge("mm2", 2.5)


def test_a_link_between_plain_joiners_is_fed_from_both_ends() -> None:
    put = {"joiners.first.type": "plain", "joiners.second.type": "plain"}
    case = case_of("breakwater-three-packs", put, ("joiners.first.blocks_in",))
    feed = feed_of(case, "link")
    assert [owner_name(fuse) for fuse in feed.fuses] == ["north", "south", "box"]
    assert feed.total_a == 90.0


def test_a_lead_behind_two_plain_joiners_is_fed_from_beyond_the_next() -> None:
    put = {"joiners.first.type": "plain", "joiners.second.type": "plain"}
    case = case_of("breakwater-three-packs", put, ("joiners.first.blocks_in",))
    feed = feed_of(case, "north lead")
    assert sorted(owner_name(fuse) for fuse in feed.fuses) == ["box", "north", "south"]


def test_a_fuse_in_the_link_stands_for_what_comes_back_through_it() -> None:
    put = {
        "joiners.first.type": "plain",
        "joiners.second.type": "plain",
        "leads.link.fuse": {"family": "blade", "rating": "20 A", "voltage": "58 V"},
    }
    case = case_of("breakwater-three-packs", put, ("joiners.first.blocks_in",))
    feed = feed_of(case, "north lead")
    assert sorted(owner_name(fuse) for fuse in feed.fuses) == ["link", "north", "south"]
    assert feed.total_a == 80.0


def test_a_blocking_second_joiner_keeps_the_last_pack_from_the_link() -> None:
    put = {"joiners.first.type": "plain", "joiners.second.type": "ideal-diode"}
    case = case_of("breakwater-three-packs", put, ("joiners.first.blocks_in",))
    assert feed_of(case, "link").total_a == 60.0
    assert feed_of(case, "north lead").total_a == 60.0


def test_packs_without_leads_feed_a_short_in_parallel() -> None:
    case = case_of("breakwater-three-packs")
    # 120, 120 and 145 mohm in parallel are 42.44 mohm, 0.65 of it in the first moment: 54.6 V drive 1979 A.
    expected_a = 54.6 * (2 / 0.120 + 1 / 0.145) / 0.65
    assert short_circuit_a(case, "leads.motor lead", True) == pytest.approx(expected_a, rel=1e-12)
    assert short_circuit_a(case, "leads.motor lead", False) < short_circuit_a(case, "leads.motor lead", True)


def test_a_lead_that_no_pack_feeds_counts_with_the_highest_pack() -> None:
    case = case_of("breakwater-three-packs", drop=("leads.motor lead",))
    assert highest_full_charge_v(case, "leads.link") == pytest.approx(54.6, rel=1e-12)
