"""Which fuse to fit, what feeds a lead, what flows into a short: figures worked by hand."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.limits.fusing import (
    Feed,
    breaking_capacity_a,
    family_for,
    feed_of,
    fuse_fits,
    fuse_kind,
    fused,
    highest_full_charge_v,
    highest_nominal_v,
    is_tree,
    largest_fuse_a,
    leads_to_thicken,
    needed_a,
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


def test_the_least_resistance_of_the_span_decides() -> None:
    """Of 18 Ah 13 x 0.10 ohm Ah / 18 Ah + 10 mohm are 82.2 mohm: 54.6 V drive 1022 A, too much for a blade fuse."""
    case = case_of("breakwater-three-packs", {"packs.north.capacity": "18 Ah"}, ("packs.north.resistance",))
    assert fuse_kind(case, "packs.north", 30.0)[0] == "10x38"


@pytest.mark.parametrize(
    ("amps", "volts", "short_a", "expected"),
    [
        (30.0, 54.6, 900.0, ("blade", 58.0)),
        # IEC 60269-6: links of 1000 to 1500 V; the lowest mark is enough as long as the pack is not above it.
        (30.0, 500.0, 900.0, ("10x38", 1000.0)),
        (30.0, 1000.0, 900.0, ("10x38", 1000.0)),
        (30.0, 1001.0, 900.0, ("10x38", 1500.0)),
        (40.0, 160.0, 900.0, ("class T", 160.0)),
        # Battery links begin at 80 V, below what is made for mains and solar voltages: the highest mark is asked for.
        (40.0, 54.6, 15_000.0, ("battery link", 1500.0)),
    ],
)
def test_the_mark_to_ask_for(amps: float, volts: float, short_a: float, expected: tuple[str, float]) -> None:
    assert family_for(amps, volts, short_a) == expected


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


def test_packs_at_a_plain_joiner_with_nothing_beyond_feed_each_other() -> None:
    """The keel's 40 A from one end, the pannier's 35 A from the other."""
    built_in = {"joiners.yoke": {"type": "plain", "built_in": "true", "inlets": "XT90 pin"}}
    feed = feed_of(case_of("skerry-long-tail", built_in, ("leads.main lead",)), "keel lead")
    assert feed.total_a == 75.0


def test_a_pack_alone_at_a_plain_joiner_feeds_its_lead_from_one_end() -> None:
    case = case_of("skerry-long-tail", {"joiners.yoke.type": "plain"}, ("leads.pannier lead", "joiners.yoke.blocks_in"))
    assert feed_of(case, "keel lead").total_a == 40.0


def test_a_selector_lets_the_packs_on_one_at_a_time() -> None:
    put = {"joiners.yoke.type": "selector", "joiners.yoke.makes": "after break"}
    case = case_of("skerry-long-tail", put, ("joiners.yoke.blocks_in",))
    assert feed_of(case, "main lead").total_a == 40.0
    assert feed_of(case, "keel lead").total_a == 40.0
    plain = case_of("skerry-long-tail", {"joiners.yoke.type": "plain"}, ("joiners.yoke.blocks_in",))
    assert feed_of(plain, "main lead").total_a == 75.0
    assert short_circuit_a(case, "leads.main lead", True) == pytest.approx(58.8 / (0.65 * 0.095))


def test_what_has_a_fuse() -> None:
    assert [part.path for part in fused(case_of("skerry-long-tail"))] == [
        "packs.keel",
        "packs.pannier",
        "accessories.lamp",
    ]
    names = [part.name for part in fused(case_of("breakwater-three-packs"))]
    assert names == ["north", "south", "box", "motor lead"]
    without = {"packs.keel.fuse": "none", "accessories.lamp.fuse": "none"}
    assert [part.path for part in fused(case_of("skerry-long-tail", without))] == ["packs.pannier"]


def test_a_drawing_with_a_ring_is_no_tree() -> None:
    back = {"from": "second", "to": "first", "length": "300 mm", "gauge": "12 AWG"}
    assert is_tree(case_of("breakwater-three-packs"))
    assert is_tree(case_of("breakwater-three-packs", {}, ("leads.motor lead",)))
    assert not is_tree(case_of("breakwater-three-packs", {"leads.back": back}))


@pytest.mark.parametrize(
    ("fuse", "volts", "expected_a"),
    [
        ({"family": "blade", "rating": "30 A", "voltage": "58 V"}, 54.6, (1000.0, 1000.0)),
        ({"family": "blade", "rating": "30 A", "voltage": "58 V"}, 58.1, (0.0, float("inf"))),
        ({"family": "blade", "rating": "30 A", "voltage": "80 V"}, 54.6, (0.0, float("inf"))),
        ({"family": "blade", "rating": "30 A", "voltage": "58 V", "breaking": "700 A"}, 90.0, (700.0, 700.0)),
    ],
)
def test_what_a_fuse_breaks(fuse: dict[str, str], volts: float, expected_a: tuple[float, float]) -> None:
    """ISO 8820-3: 1000 A at up to 58 V; beyond the voltage of its family nobody says."""
    pack = case_of("breakwater-three-packs", {"packs.north.fuse": fuse}).build.packs["north"]
    assert breaking_capacity_a(pack.fuse, volts) == expected_a


def test_what_a_load_needs_of_its_fuse() -> None:
    """25 A and the lamp's 0.5 A over 0.8; a peak of 40 A is more than 25.5 A over 0.8 and counts as it is."""
    case = case_of("skerry-long-tail")
    assert needed_a(case, case.build.packs["keel"]) == pytest.approx(25.5 / 0.8)
    assert needed_a(case, case.build.accessories["lamp"]) == pytest.approx(0.5 / 0.8)
    peak = {"controller.battery_current": {"limit": "39.5 A", "falls_to": "25 A after 5 s"}}
    case = case_of("skerry-long-tail", peak)
    assert needed_a(case, case.build.packs["keel"]) == pytest.approx(40.0)
    case = case_of("skerry-long-tail", {}, ("controller.battery_current",))
    assert needed_a(case, case.build.packs["keel"]) is None


@pytest.mark.parametrize(
    ("feed", "fits"),
    [
        (Feed((), 30.0, 30.0, 30.0), True),
        (Feed((), 45.0, 45.0, 45.0), True),
        (Feed((), 50.0, 50.0, 50.0), False),
        (Feed((), 30.0, 45.0, 45.0), True),
        (Feed((), 30.0, 45.1, 45.1), False),
        (Feed((), 30.0, float("inf"), 45.0), True),
        (Feed((), 30.0, float("inf"), 45.1), False),
    ],
)
def test_a_wire_of_30_a_below_50_v_takes_45_a_of_fuses(feed: Feed, fits: bool) -> None:
    """33 CFR 183.455(c): a fuse of up to 150 % below 50 V; several together no more (judgement)."""
    assert fuse_fits(30.0, feed, 48.0) == fits


def test_a_wire_that_bears_nothing_takes_no_fuse() -> None:
    assert largest_fuse_a(0.0, 48.0) == 0.0


def test_leads_on_the_way_that_their_fuses_do_not_guard() -> None:
    """22 AWG is thinner than the first row of the table and bears nothing; 30 A ask for a thicker one."""
    case = case_of("breakwater-three-packs", {"leads.north lead.gauge": "22 AWG"})
    found = leads_to_thicken(case, "packs.north")
    assert found is not None
    assert [lead.name for lead, _ in found] == ["north lead"]
    assert leads_to_thicken(case, "packs.south") == []
    direct = case_of("breakwater-three-packs", {"leads.north lead": {"from": "north", "to": "first", "direct": "true"}})
    assert leads_to_thicken(direct, "packs.north") == []
    huge = {"family": "class T", "rating": "500 A", "voltage": "160 V"}
    assert leads_to_thicken(case_of("breakwater-three-packs", {"packs.north.fuse": huge}), "packs.north") is None


def test_an_accessory_at_a_pack_is_fed_by_that_pack_alone() -> None:
    case = case_of("skerry-long-tail", {"accessories.lamp.from": "keel", "packs.pannier.series": "15"})
    assert highest_full_charge_v(case, "accessories.lamp") == pytest.approx(14 * 4.2)
    assert highest_nominal_v(case, "accessories.lamp") == pytest.approx(14 * 3.6)
    case = case_of("skerry-long-tail", {"packs.pannier.series": "15"})
    assert highest_full_charge_v(case, "accessories.lamp") == pytest.approx(15 * 4.2)
    assert highest_nominal_v(case, "accessories.lamp") == pytest.approx(15 * 3.6)


def test_an_accessory_at_two_packs_is_shorted_by_the_one_that_gives_more() -> None:
    """58.8 V behind 95 and 150 mohm, 0.65 of them in the first moment."""
    case = case_of("skerry-long-tail", {"accessories.lamp.from": ["keel", "pannier"]})
    assert short_circuit_a(case, "accessories.lamp", True) == pytest.approx(58.8 / (0.65 * 0.095))
