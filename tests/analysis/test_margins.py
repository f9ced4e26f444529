"""What parts bear, what is above it and what to set: at, just over and just under each limit, by hand."""

from __future__ import annotations

from math import e, expm1, inf, pi, sqrt
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.bonded import let_through_a
from packyoke.analysis.circuit.currents import Flow
from packyoke.analysis.limits.contacts import Contact, contact, fits_ends, misfit
from packyoke.analysis.limits.heat import heat_law, joiner_current_a, lead_copper_k, lead_surface_k, touch_current_a
from packyoke.analysis.limits.leads import end_contacts_ohm, loaded_conductors, outlet_of
from packyoke.analysis.limits.margins import (
    Bearing,
    Limit,
    PeakStep,
    families,
    lead_limit,
    limits_of,
    parts_on_ways,
    peak_limit_a,
    peaks_borne,
)
from packyoke.analysis.limits.settings import Excess, at_least_a, at_most_a, excesses, fitting_setting
from packyoke.buildfile.reading import load
from packyoke.model import Build, End, Gauge
from packyoke.physics import conductor, heat
from packyoke.shelf import wires
from tests.support import edited


def case_of(base: str = "skerry-long-tail", put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def flowing(forward_a: float, peak_a: float | None = None, peak_s: float | None = None, back_a: float = 0.0) -> Flow:
    return Flow(forward_a, peak_a, peak_s, back_a, (), (), "braking")


@pytest.mark.parametrize(
    ("limit", "peak_s", "expected_a"),
    [
        (Limit(30, 60, 10), 9.0, 60),
        (Limit(30, 60, 10), 10.0, 60),
        (Limit(30, 60, 10), 10.1, 30),
        (Limit(30, 60, 10), None, 30),
        (Limit(30, 60, None), 5.0, 30),
        (Limit(30, None, 10), 5.0, 30),
        (Limit(30, 20, 10), 5.0, 30),
        (Limit(20, warms_s=100), None, 20),
        # From cold, after one time constant 1 - 1/e of the whole rise is there: I^2 (1 - 1/e) = 20^2.
        (Limit(20, warms_s=100), 100.0, 20 / sqrt(1 - 1 / e)),
        # Heat that goes with the current itself: I (1 - 1/e) = 20.
        (Limit(20, warms_s=100, law=1.0), 100.0, 20 / (1 - 1 / e)),
    ],
)
def test_a_peak_is_borne_for_as_long_as_is_stated(limit: Limit, peak_s: float | None, expected_a: float) -> None:
    assert peak_limit_a(limit, peak_s) == pytest.approx(expected_a, rel=1e-12)


@pytest.mark.parametrize("continuous_a", [20.0, 25.0])
def test_a_warm_part_bears_no_peak(continuous_a: float) -> None:
    assert peak_limit_a(Limit(20, warms_s=100), 100.0, continuous_a) == 20


FALLING = flowing(16, 30, 10)._replace(later=((22.0, 60.0),))
"""Two controllers: 18 A for 10 s, then 10 A, beside 12 A for 60 s, then 6 A."""


@pytest.mark.parametrize(
    ("limit", "borne_a"),
    [
        (Limit(24, 30, 10), [30, 24]),
        (Limit(24, 30, 9.9), [24, 24]),
        (Limit(21, 30, 10), [30, 21]),
        (Limit(21, 30, 60), [30, 30]),
        # From 16^2, after 10 s as warm as 20^2: I^2 = 256 + 144 / (1 - e^-0.1). At 30 A it is warmed to
        # 256 + 644 (1 - e^-0.1) = 317.3, and 50 s more bring it to 400: 317.3 + 82.7 / (1 - e^-0.5).
        (Limit(20, warms_s=100), [sqrt(256 + 144 / (1 - e**-0.1)), sqrt(317.284 + 82.716 / (1 - e**-0.5))]),
        # 16 A all the time are not borne: then no step is.
        (Limit(15, warms_s=100), [15, 15]),
    ],
)
def test_a_peak_that_falls_in_steps_is_held_against_each_of_them(limit: Limit, borne_a: list[float]) -> None:
    found = peaks_borne(limit, FALLING)
    assert [(each.asked_a, each.until_s) for each in found] == [(30, 10), (22, 60)]
    assert [each.limit_a for each in found] == pytest.approx(borne_a, rel=1e-5)


@pytest.mark.parametrize(
    ("borne_a", "told", "margin"),
    [
        ((30.0, 24.0), (30.0, 30.0, 10.0), 0.0),
        ((40.0, 22.0), (22.0, 22.0, 60.0), 0.0),
        ((40.0, 21.0), (22.0, 21.0, 60.0), -1 / 21),
        ((60.0, 60.0), (16.0, 24.0, None), 8 / 24),
    ],
)
def test_the_step_that_leaves_least_is_told(
    borne_a: tuple[float, float], told: tuple[float, float, float | None], margin: float
) -> None:
    peaks = tuple(PeakStep(*step, each_a) for step, each_a in zip(FALLING.steps, borne_a, strict=True))
    found = Bearing("leads.a", FALLING, 24.0, peaks, "wire")
    assert (found.told, found.margin) == (told, pytest.approx(margin, abs=1e-12))


@pytest.mark.parametrize(
    ("path", "flow", "limit_a", "expected"),
    [
        ("leads.a", flowing(25), 30.0, 5 / 30),
        ("leads.a", flowing(30), 30.0, 0.0),
        ("leads.a", flowing(25, 40, 5), 30.0, (32 - 40) / 32),
        ("leads.a", flowing(25, 30, 5)._replace(later=((28.8, 9.0),)), 30.0, (32 - 30) / 32),
        ("leads.a", flowing(25, 0, 5), 30.0, 5 / 30),
        ("leads.a", flowing(25, back_a=33), 30.0, -0.1),
        ("joiners.a", flowing(25, back_a=33), 30.0, -0.1),
        ("packs.a", flowing(25, back_a=33), 30.0, 5 / 30),
        ("leads.a", flowing(25), 0.0, -1.0),
    ],
)
def test_the_margin_is_the_worst_of_load_peak_and_what_flows_back(
    path: str, flow: Flow, limit_a: float, expected: float
) -> None:
    """What flows back into a pack is held against its charge limit, by another rule."""
    peaks = tuple(PeakStep(*step, 32.0) for step in flow.steps)
    assert Bearing(path, flow, limit_a, peaks, "wire").margin == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("put", "limited"),
    [
        ({"length": "180 mm"}, True),
        ({"length": "179 mm"}, False),
        ({"length": "179 mm", "ends": ["joint crimp", "joint crimp"]}, True),
        ({"length": "179 mm", "ends": ["joint crimp", "XT90 socket"]}, False),
    ],
)
def test_of_a_tail_up_to_180_mm_the_connector_decides(put: dict[str, Any], limited: bool) -> None:
    """A joint takes any wire, so there the wire counts."""
    case = case_of(put={f"leads.main lead.{key}": value for key, value in put.items()})
    assert (lead_limit(case, case.build.leads["main lead"]) is not None) == limited


def test_a_direct_connection_has_no_wire_to_bear_anything() -> None:
    case = case_of(put={"leads.keel lead": {"from": "keel", "to": "yoke", "direct": "true"}})
    lead = case.build.leads["keel lead"]
    assert lead_limit(case, lead) is None
    first, second = families(case, lead)
    assert [end.family for end in first] == ["XT60", "XT90"]
    assert [end.family for end in second] == ["XT90", "XT60"]


def test_families_at_an_end_are_told_once() -> None:
    case = case_of(put={"leads.keel lead.ends": ["XT60 pin", "XT60 socket"]})
    first, second = families(case, case.build.leads["keel lead"])
    assert [end.family for end in first] == ["XT60"]
    assert [end.family for end in second] == ["XT60", "XT90"]
    case = case_of(drop=("leads.keel lead.ends",))
    first, second = families(case, case.build.leads["keel lead"])
    assert [end.family for end in first] == ["XT60"]
    assert [end.family for end in second] == ["XT90"]
    case = case_of(drop=("packs.keel.outlet",))
    first, _ = families(case, case.build.leads["keel lead"])
    assert [end.family for end in first] == ["XT60"]
    case = case_of(drop=("packs.keel.outlet", "leads.keel lead.ends"))
    assert families(case, case.build.leads["keel lead"])[0] == ()


@pytest.mark.parametrize(
    ("path", "put", "expected"),
    [
        ("packs.keel", {}, {"protection": 40.0, "fuse": 40.0}),
        ("packs.keel", {"packs.keel.fuse": "none"}, {"protection": 40.0}),
        ("leads.main lead", {"leads.main lead.switch": {"rating": "45 A"}}, {"switch": 45.0}),
        (
            "leads.main lead",
            {"leads.main lead.fuse": {"family": "class T", "rating": "35 A", "voltage": "160 V"}},
            {"fuse": 35.0},
        ),
        ("leads.main lead", {}, {}),
        ("joiners.yoke", {}, {"joiner": 40.0}),
        ("joiners.yoke", {"joiners.yoke": {"built_in": {"current": "33 A"}}}, {"maker": 33.0}),
    ],
)
def test_every_limit_of_a_part(path: str, put: dict[str, Any], expected: dict[str, float]) -> None:
    drop = ("leads.main lead",) if "joiners.yoke" in put else ()
    found = {limit.by: limit.continuous_a for limit in limits_of(case_of(put=put, drop=drop), path)}
    written = ("protection", "fuse", "switch", "joiner", "maker")
    assert {by: amps_a for by, amps_a in found.items() if by in written} == expected
    assert ("heat" in found) == (path == "joiners.yoke" and not put)
    assert ("wire" in found) == path.startswith("leads.")


def test_what_is_on_no_way_is_not_listed() -> None:
    assert "leads.keel lead" in parts_on_ways(case_of())
    without = parts_on_ways(case_of(drop=("leads.keel lead", "leads.pannier lead")))
    assert "leads.main lead" not in without
    assert "joiners.yoke" not in without


@pytest.mark.parametrize(
    ("current_a", "most_a", "least_a"),
    [
        (19.99, 19.9, 20.0),
        (20.0, 20.0, 20.0),
        (99.96, 99.9, 100.0),
        (100.0, 100.0, 100.0),
        (100.7, 100.0, 101.0),
        (0.3 / 0.1 * 10, 30.0, 30.0),
    ],
)
def test_figures_to_set_and_to_look_for_are_rounded_away_from_the_limit(
    current_a: float, most_a: float, least_a: float
) -> None:
    """To a tenth of an ampere below 100 A, to a whole one from there on."""
    assert at_most_a(current_a) == most_a
    assert at_least_a(current_a) == least_a


FALLS = {"controller.battery_current": {"limit": "30 A", "falls_to": "25 A after 5 s"}}


@pytest.mark.parametrize(
    ("put", "limit", "expected"),
    [
        ({}, Limit(20), (19.5, None)),  # the lamp takes 0.5 A
        ({}, Limit(60), (25.0, None)),  # no more than it draws
        ({}, Limit(8.9), (8.4, None)),  # just over a third of 25 A
        ({}, Limit(8.8), None),
        ({}, Limit(0.5), None),
        (FALLS, Limit(20, 60, 10), (30.0, 19.5)),
        (FALLS, Limit(20, 25, 10), (24.5, 19.5)),
        (FALLS, Limit(20, 60, 4), (19.5, 19.5)),
    ],
)
def test_the_highest_setting_that_fits(
    put: dict[str, Any], limit: Limit, expected: tuple[float, float | None] | None
) -> None:
    found = fitting_setting(case_of(put=put), "packs.keel", limit)
    assert (None if found is None else (found.limit_a, found.falls_to_a)) == expected


def test_no_setting_cures_two_controllers_or_packs_that_feed_each_other() -> None:
    assert fitting_setting(case_of("windlass-two-outlets"), "packs.fore", Limit(20)) is None
    assert fitting_setting(case_of("quay-plain-trike"), "packs.old", Limit(20)) is None
    assert fitting_setting(case_of("quay-plain-trike"), "leads.main lead", Limit(20)) is not None


@pytest.mark.parametrize(
    ("limit", "flow", "expected"),
    [
        (Limit(30), flowing(30), []),
        (Limit(30), flowing(30.01), [(30.01, 30, None, "")]),
        (Limit(30, 60, 10), flowing(29, 60, 5), []),
        (Limit(30, 60, 10), flowing(29, 60.01, 5), [(60.01, 60, 5, "")]),
        (Limit(30, 60, 10), flowing(31, 60, 5), [(31, 30, None, "")]),
        (Limit(30, 60, 10), flowing(31, 61, 5), [(31, 30, None, ""), (61, 60, 5, "")]),
        (Limit(30), flowing(10, back_a=30), []),
        (Limit(30), flowing(10, back_a=30.01), [(30.01, 30, None, "braking")]),
    ],
)
def test_what_is_above_a_limit(limit: Limit, flow: Flow, expected: list[tuple[Any, ...]]) -> None:
    assert [tuple(each)[:4] for each in excesses(limit, flow)] == expected


def test_an_excess_as_a_share_of_its_limit() -> None:
    assert Excess(45.0, 30.0, None).share == 1.5
    assert Excess(45.0, 0.0, None).share == inf


@pytest.mark.parametrize(
    ("wire", "expected"),
    [
        ((2.00e-6, 4.00e-6), 0),
        ((2.00e-6, 2.95e-6), 0),
        ((2.00e-6, 2.94e-6), 1),
        ((3.71e-6, 5.00e-6), 0),
        ((3.72e-6, 5.00e-6), -1),
        (None, 0),
    ],
)
def test_a_wire_fits_to_half_a_gauge(wire: tuple[float, float] | None, expected: int) -> None:
    """12 AWG is 3.309 mm2 and half a number a factor of 92^(1/39) = 1.123 in area (ASTM B258): 2.947 to 3.716 mm2."""
    found = Contact("own", 30, None, None, (0, 0), None, wire, "pin and socket", False, True, "")
    assert misfit(found, Gauge("AWG", 12.0)) == expected


def test_a_wire_must_fit_both_ends_as_far_as_they_are_known() -> None:
    case = case_of(put={"parts": {"connectors": {"small one": {"per_contact": "20 A", "wire": "14 to 12 AWG"}}}})
    small, large = End("small one", "pin", "pin"), End("XT90", "pin", "pin")
    assert fits_ends(case, (small, None), Gauge("AWG", 12.0))
    assert not fits_ends(case, (None, small), Gauge("AWG", 10.0))
    assert not fits_ends(case, (large, small), Gauge("AWG", 10.0))
    assert fits_ends(case, (End("of nobody", "pin", "pin"), small), Gauge("AWG", 12.0))


def test_a_connector_of_the_file_comes_before_that_of_the_shelf() -> None:
    """Two contacts of 30 A at each pole carry 0.8 x 60 A, and have half the resistance of one."""
    own = {"per_contact": "30 A", "contacts_each_pole": "2", "contact_resistance": "0.5 mohm", "wire": "10 to 14 AWG"}
    found = contact(case_of(put={"parts": {"connectors": {"xt60": own}}}), End("XT60", "pin", "pin"))
    assert found is not None
    assert found.limit_a == 48.0
    assert found.resistance_ohm == pytest.approx((0.0005, 0.0005))
    assert found.wire_m2 == pytest.approx((2.081e-6, 5.261e-6), rel=1e-3)
    assert found.contacts == "pin and socket"
    one = contact(case_of(put={"parts": {"connectors": {"xt60": {"per_contact": "30 A"}}}}), End("XT60", "pin", "pin"))
    assert one is not None
    assert one.limit_a == 30.0
    assert one.wire_m2 is None


@pytest.mark.parametrize(
    ("path", "put", "held_a", "peak_a"),
    [
        ("packs.keel", {}, 40.0, 40.0),
        ("packs.keel", {"packs.keel.fuse": "none"}, 40.0, 60.0),
        ("packs.keel", {"packs.keel.fuse": "none", "packs.keel.discharge": {}}, inf, inf),
        ("leads.keel lead", {}, 40.0, 40.0),
        (
            "leads.keel lead",
            {"leads.keel lead.fuse": {"family": "class T", "rating": "30 A", "voltage": "160 V"}},
            30,
            30,
        ),
        ("joiners.yoke", {}, 70.0, 75.0),
        ("leads.main lead", {}, 70.0, 75.0),
    ],
)
def test_what_packs_let_through_before_something_opens(
    path: str, put: dict[str, Any], held_a: float, peak_a: float
) -> None:
    """The keel's fuse of 40 A, the pannier's protection of 30 A; for a peak the fuse of 35 A where it gives that."""
    if "pannier" not in path and path in ("joiners.yoke", "leads.main lead"):
        put = {"packs.pannier.discharge": {"continuous": "30 A", "peak": "50 A for 10 s"}}
    case = case_of(put=put)
    assert let_through_a(case, path, False) == held_a
    assert let_through_a(case, path, True) == peak_a


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        (["XT60 pin", "XT90 socket"], {"wire", "XT60", "XT90"}),
        (["joint crimp", "joint crimp"], {"wire", "XT60", "XT90"}),
        (["XT60 pin", "XT60 socket"], {"wire", "XT60", "XT90"}),
    ],
)
def test_a_joint_limits_nothing_and_what_it_is_joined_to_does(ends: list[str], expected: set[str]) -> None:
    limits = limits_of(case_of(put={"leads.keel lead.ends": ends}), "leads.keel lead")
    assert {limit.by for limit in limits} == expected
    assert all(limit.continuous_a > 0 for limit in limits)


def test_contacts_that_nobody_knows_count_from_nothing_to_a_milliohm() -> None:
    case = case_of()
    assert end_contacts_ohm(case, None) == (0.0, 0.001)
    assert end_contacts_ohm(case, End("of nobody", "pin", "pin")) == (0.0, 0.001)
    own = case_of(put={"parts": {"connectors": {"own": {"per_contact": "30 A", "contact_resistance": "0.4 mohm"}}}})
    assert end_contacts_ohm(own, End("own", "pin", "pin")) == pytest.approx((0.0008, 0.0008))


def test_each_lead_has_the_outlet_of_its_place() -> None:
    case = case_of("windlass-two-outlets", {"joiners.fork.outlet": ["XT90 socket", "XT60 socket"]})
    ends = [outlet_of(case, case.build.leads[name]) for name in ("left lead", "right lead")]
    assert [end.family if end else None for end in ends] == ["XT90", "XT60"]
    case = case_of("windlass-two-outlets", {"joiners.fork.outlet": "XT90 socket"})
    assert outlet_of(case, case.build.leads["left lead"]) == End("XT90", "socket", "socket")
    fore = outlet_of(case, case.build.leads["fore lead"])
    assert fore == End("XT90", "socket", "socket")


@pytest.mark.parametrize(
    ("put", "expected"),
    [
        ({}, 2),
        ({"leads.keel lead.run": "beside 1 other"}, 4),
        ({"leads.keel lead.run": "beside pannier lead"}, 2),  # they meet in a joiner that blocks
        # a pack that feeds nothing: its lead carries nothing
        (
            {
                "leads.keel lead.run": "beside pannier lead",
                "joiners.spare": {"like": "yoke"},
                "leads.pannier lead.to": "spare",
            },
            2,
        ),
        ({"leads.keel lead.run": "beside main lead"}, 4),  # one behind the other, each carries the whole load
    ],
)
def test_conductors_that_warm_each_other(put: dict[str, Any], expected: int) -> None:
    case = case_of(put=put)
    assert loaded_conductors(case, case.build.leads["keel lead"]) == expected


@pytest.mark.parametrize(
    ("put", "drop", "law", "growth_per_k"),
    [
        ({}, (), 2.0, 0.006),
        ({"joiners.yoke.type": "plain"}, ("joiners.yoke.blocks_in",), 2.0, 0.00393),
        (
            {"joiners.yoke.type": "diode", "joiners.yoke.forward_voltage": "0.5 V"},
            ("joiners.yoke.resistance",),
            1.0,
            0.0,
        ),
    ],
)
def test_the_current_that_warms_a_joiner(
    put: dict[str, Any], drop: tuple[str, ...], law: float, growth_per_k: float
) -> None:
    """P = I^2 R (1 + a (T - 25 degC)) or I U. Copper grows by 0.00393 /K (IEC 60028), a transistor by 0.006 (memory).

    From one current at 45 degC in air of 35 degC, that at 85 degC follows: the heat is five times as much.
    """
    case = case_of(put=put, drop=drop)
    joiner = case.build.joiners["yoke"]
    assert heat_law(joiner) == law
    low_a, high_a = (joiner_current_a(case, joiner, 273.15 + celsius) for celsius in (45, 85))
    grown = (1 + 60 * growth_per_k) / (1 + 20 * growth_per_k)
    assert (high_a / low_a) ** law == pytest.approx(5 / grown)
    assert joiner_current_a(case, joiner, 273.15 + 35) == 0.0
    assert low_a > 0.0


def test_warmer_air_leaves_nothing_for_a_hand() -> None:
    assert touch_current_a(Gauge("AWG", 12.0), 333.15) == 0.0
    assert touch_current_a(Gauge("AWG", 12.0), 333.14) > 0.0


@pytest.mark.parametrize(("gauge", "wall_m"), [(12.0, 0.8e-3), (10.0, 1.0e-3)])
def test_the_wall_of_a_wire_up_to_4_mm2_is_thinner(gauge: float, wall_m: float) -> None:
    """Copper warmer than the outside by I^2 R ln((d + 2 w)/d)/(2 pi k): w from both temperatures."""
    size = Gauge("AWG", gauge)
    copper_k, surface_k = lead_copper_k(size, 30.0, 298.15), lead_surface_k(size, 30.0, 298.15)
    loss_w_per_m = 30.0**2 * wires.resistance20_ohm_per_m(*size) * conductor.resistance_temperature_factor(copper_k)
    diameter_m = conductor.strand_bundle_diameter_m(wires.copper_area_m2(*size))
    log_ratio = (copper_k - surface_k) / loss_w_per_m * 2 * pi * heat.INSULATION_W_PER_M_K
    assert diameter_m / 2 * expm1(log_ratio) == pytest.approx(wall_m)
