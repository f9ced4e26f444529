"""What a harness is good for, as told: with and without a peak, and with what nobody knows."""

from __future__ import annotations

from math import sqrt
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.bonded import groups, inside
from packyoke.analysis.circuit.conducting import Solved, StandingTree
from packyoke.analysis.circuit.currents import left_with, mixing_joiners
from packyoke.analysis.circuit.curves import CannotDeliver, Demand, PackSource
from packyoke.analysis.circuit.load import Load
from packyoke.analysis.limits import good_for
from packyoke.analysis.limits.good_for import bearings, capability, worse_end
from packyoke.analysis.limits.margins import Bearing, bearing
from packyoke.analysis.unknowns.spans import ends, likely
from packyoke.buildfile.reading import load
from packyoke.model import Build, Unknown
from tests.support import edited


def case_of(base: str = "skerry-long-tail", put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


@pytest.mark.parametrize("base", ["skerry-long-tail", "quay-plain-trike"])
def test_a_peak_is_told_where_one_is_asked(base: str) -> None:
    steady = capability(case_of(base))
    assert steady is not None
    assert steady.continuous_a is not None
    assert steady.peak_a is None
    peak = capability(case_of(base, {"controller.battery_current": {"limit": "25 A", "falls_to": "20 A after 5 s"}}))
    assert peak is not None
    assert peak.continuous_a is not None
    assert peak.peak_a is not None
    assert peak.peak_a >= peak.continuous_a


def test_a_resistance_that_nobody_knows_counts_with_its_worse_end() -> None:
    case = case_of(put={"joiners.yoke.mount": "wrapped"}, drop=("joiners.yoke.resistance",))
    joiner = case.build.joiners["yoke"]
    worst_ohm = max(ends(case.build, joiner, "resistance_ohm"))
    known_case = Case(case.build.with_value("joiners.yoke", "resistance_ohm", worst_ohm))
    told, same = worse_end(case, "joiners.yoke", 4), worse_end(known_case, "joiners.yoke", 0)
    assert told is not None
    assert told == same


@pytest.mark.parametrize(
    ("asked_a", "as_printed"),
    [
        # Wrapped, with no more than the worst resistance it bears 20.8 A, with the one that printed numbers count with
        # 26.8 A. The lamp takes half an ampere.
        (20.0, False),
        (25.0, False),
        (26.0, False),
        (27.0, True),
        (30.0, True),
    ],
)
def test_what_is_over_its_limit_with_the_numbers_that_are_printed_is_told_with_them(
    asked_a: float, as_printed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    put = {"joiners.yoke.mount": "wrapped", "controller.battery_current": f"{asked_a} A"}
    build = case_of(put=put, drop=("joiners.yoke.resistance",)).build
    joiner = build.joiners["yoke"]
    worst_ohm, printed_ohm = max(ends(build, joiner, "resistance_ohm")), likely(build, joiner, "resistance_ohm")

    def told(case: Case) -> Bearing | None:
        return next((each for each in bearings(case)[0] if each.path == "joiners.yoke"), None)

    at_worst = told(Case(build.with_value("joiners.yoke", "resistance_ohm", worst_ohm)))
    found = told(Case(build))
    assert at_worst is not None
    assert found is not None
    # The heat goes with the square of the current and with the resistance.
    more = sqrt(worst_ohm / printed_ohm) if as_printed else 1.0
    assert found.told[:2] == pytest.approx((asked_a + 0.5, at_worst.told[1] * more))
    assert 20.5 < at_worst.told[1] < 21.0
    # With too much missing to try it all it is not known, but where those numbers are over the limit by themselves.
    monkeypatch.setattr(good_for, "MOST_SPANS", 0)
    again = told(Case(build))
    assert (again is not None) is as_printed
    assert ("joiners.yoke" in bearings(Case(build))[1]) is not as_printed


def test_a_span_is_tried_as_long_as_there_are_any_to_try_and_a_rating_never() -> None:
    with pytest.raises(Unknown):
        worse_end(case_of(drop=("joiners.yoke.resistance",)), "joiners.yoke", 0)
    with pytest.raises(Unknown):
        worse_end(case_of(drop=("packs.keel.discharge",)), "packs.keel", 4)


@pytest.mark.parametrize(
    ("path", "put", "by"),
    [
        ("leads.main lead", {}, "XT90"),  # 45 A; 10 AWG bears more
        ("leads.main lead", {"leads.main lead.gauge": "14 AWG"}, "wire"),
        ("packs.pannier", {}, "protection"),  # 30 A, before 35 A of the fuse
        ("packs.pannier", {"packs.pannier.fuse.rating": "25 A"}, "fuse"),
        ("joiners.yoke", {}, "joiner"),
        ("joiners.yoke", {"joiners.yoke.mount": "wrapped"}, "heat"),
    ],
)
def test_what_the_lowest_limit_of_a_part_comes_from(path: str, put: dict[str, Any], by: str) -> None:
    found = bearing(case_of(put=put), path)
    assert found is not None
    assert found.by == by


FALLS = {"controller.battery_current": {"limit": "28 A", "falls_to": "20 A after 5 s"}}
PEAK = FALLS | {"packs.pannier.discharge": {"continuous": "30 A", "peak": "60 A for 10 s"}}


@pytest.mark.parametrize(
    ("put", "continuous_a", "peak_a"),
    [
        # pannier alone: 30 A less the lamp's 0.5 A.
        ({}, 29.5, None),
        (FALLS, 29.5, 29.5),
        # For 5 s its protection lets out 60 A, its fuse 35 A.
        (PEAK, 29.5, 34.5),
        ({"accessories.lamp.current": "30 A"}, 0.0, None),
        ({"accessories.lamp.current": "31 A"}, 0.0, None),
        (PEAK | {"accessories.lamp.current": "36 A"}, 0.0, 0.0),
    ],
)
def test_what_is_left_for_the_controller(put: dict[str, Any], continuous_a: float, peak_a: float | None) -> None:
    told = capability(case_of(put=put))
    assert told is not None
    assert told.continuous_a == pytest.approx(continuous_a)
    assert told.peak_a == (peak_a if peak_a is None else pytest.approx(peak_a))


def test_what_two_controllers_ask_together_lasts_as_long_as_the_shorter_one_then_the_longer_goes_on() -> None:
    falls = {
        f"controllers.{name}.battery_current": {"limit": "20 A", "falls_to": "15 A after " + time}
        for name, time in zip(case_of("windlass-two-outlets").build.controllers, ("5 s", "9 s"), strict=True)
    }
    told = capability(case_of("windlass-two-outlets", falls))
    assert told is not None
    assert told.asked == Load(30.0, 40.0, 5.0, later=((35.0, 9.0),))


@pytest.mark.parametrize(
    ("aft", "continuous_a", "peak_a"),
    [
        ({"continuous": "40 A"}, 40.0, 40.0),
        ({"continuous": "36 A", "peak": "40 A for 5 s"}, 36.0, 40.0),  # 35 A go on for 9 s
        ({"continuous": "35 A", "peak": "40 A for 5 s"}, 35.0, 40.0),
        # For the 9 s 34 A are borne: of the 35 A that share, of the 40 A as much.
        ({"continuous": "34 A", "peak": "40 A for 5 s"}, 34.0, 40 * 34 / 35),
        ({"continuous": "34 A", "peak": "40 A for 9 s"}, 34.0, 40.0),
    ],
)
def test_what_is_left_for_two_controllers_in_the_step_that_leaves_least(
    aft: dict[str, str], continuous_a: float, peak_a: float
) -> None:
    falls = {
        f"controllers.{name}.battery_current": {"limit": "20 A", "falls_to": "15 A after " + time}
        for name, time in zip(case_of("windlass-two-outlets").build.controllers, ("5 s", "9 s"), strict=True)
    }
    told = capability(case_of("windlass-two-outlets", falls | {"packs.aft.discharge": aft}))
    assert told is not None
    assert (told.continuous_a, told.peak_a) == pytest.approx((continuous_a, peak_a))


def test_where_no_limit_is_known_no_figure_is_told() -> None:
    leads = ("keel lead", "pannier lead", "main lead")
    packs, gauges = ("packs.keel.discharge", "packs.pannier.discharge"), tuple(f"leads.{name}.gauge" for name in leads)
    told = capability(case_of(drop=(*packs, *gauges, "joiners.yoke.current")))
    assert told is not None
    assert (told.continuous_a, told.peak_a, told.weakest) == (None, None, ())
    assert len(told.unknown) == 6


BONDED = {"joiners.yoke.type": "plain", "joiners.yoke.bonded": {"by": "0.1 V", "charged": "together"}}


def test_who_is_bonded_to_whom() -> None:
    drop = ("joiners.yoke.blocks_in",)
    (group,) = groups(case_of(put=BONDED, drop=drop))
    assert (group.packs, group.joiner, group.by_v) == (("keel", "pannier"), "yoke", pytest.approx(0.1))
    assert groups(case_of(put={"joiners.yoke.type": "plain"}, drop=drop)) == ()
    assert groups(case_of(put=BONDED, drop=(*drop, "leads.pannier lead"))) == ()


def test_a_part_lies_inside_a_group_when_some_of_it_is_beside() -> None:
    case = case_of(put=BONDED, drop=("joiners.yoke.blocks_in",))
    assert inside(case, "leads.keel lead") == groups(case)[0]
    assert inside(case, "packs.keel") == groups(case)[0]
    assert inside(case, "leads.main lead") is None
    assert inside(case, "joiners.yoke") is None
    assert inside(case, "leads.nowhere") is None
    assert inside(case_of(), "leads.keel lead") is None


@pytest.mark.parametrize(
    ("put", "path", "expected"),
    [
        ({}, "leads.keel lead", (25.5, 25.5, ("keel",))),
        ({}, "leads.main lead", (0.0, 0.0, ())),
        ({}, "packs.keel", (0.0, 0.0, ())),
        (
            {"leads.keel lead.fuse": "20 A", "leads.pannier lead.fuse": "22 A"},
            "leads.keel lead",
            (20.0, 20.0, ("keel",)),
        ),
        (
            {"leads.keel lead.fuse": "20 A", "leads.pannier lead.fuse": "22 A"},
            "joiners.yoke",
            (22.0, 22.0, ("pannier",)),
        ),
        ({"leads.keel lead.fuse": "22 A", "leads.pannier lead.fuse": "20 A"}, "joiners.yoke", (22.0, 22.0, ("keel",))),
        (
            {"controller.battery_current": {"limit": "35 A", "falls_to": "25 A after 5 s"}},
            "leads.keel lead",
            (25.5, 35.5, ("keel",)),
        ),
    ],
)
def test_what_a_bonded_pack_is_left_with(put: dict[str, Any], path: str, expected: tuple[Any, ...]) -> None:
    """The controller's 25 A and the lamp's 0.5 A, or what its own fuse lets through of it."""
    fuses = {
        key: {"family": "class T", "rating": each, "voltage": "160 V"} if key.endswith("fuse") else each
        for key, each in put.items()
    }
    assert left_with(case_of(put=BONDED | fuses, drop=("joiners.yoke.blocks_in",)), path) == expected


def test_a_wiring_that_is_solved_again_says_when_it_cannot_deliver() -> None:
    """600 W over 0.1 ohm: V = (50 + sqrt(50^2 - 4 x 0.1 x 600))/2 V; of 10 V no more than 10^2/(4 x 0.1) = 250 W."""
    wiring = StandingTree(PackSource("pack", 50.0, 0.1), Demand(power_w=600.0), ["pack"], set())
    for _ in range(2):
        found = wiring.solve([50.0], [0.1])
        assert isinstance(found, Solved)
        assert found.bus_v == pytest.approx((50 + sqrt(2500 - 240)) / 2)
    assert isinstance(wiring.solve([10.0], [0.1]), CannotDeliver)


def least_margin_a(case: Case, amps: float, asked_a: float) -> float:
    """What is left at the part that is loaded most, with what the controllers draw scaled to a figure."""
    build = case.build
    for controller in case.build.controllers.values():
        for attr in ("limit_a", "adjustable_a", "falls_to_a", "power_limit_w"):
            value = getattr(controller, attr)
            if value is not None:
                build = build.with_value(controller.path, attr, value * amps / asked_a)
    found, _ = bearings(Case(build))
    return min(each.limit_a - each.flow.forward_a for each in found)


def test_where_packs_feed_each_other_every_part_bears_what_is_told_and_one_does_not_bear_more() -> None:
    case = case_of(put=BONDED, drop=("joiners.yoke.blocks_in",))
    assert mixing_joiners(case)
    told = capability(case)
    assert told is not None
    assert told.asked is not None
    assert told.continuous_a is not None
    assert told.continuous_a > 0.0
    asked_a = told.asked.continuous_a
    assert least_margin_a(case, 0.999 * told.continuous_a, asked_a) >= 0.0
    assert least_margin_a(case, 1.001 * told.continuous_a, asked_a) < 0.0


def test_where_packs_feed_each_other_a_peak_is_borne_and_not_more() -> None:
    case = case_of(put=BONDED | PEAK, drop=("joiners.yoke.blocks_in",))
    told = capability(case)
    assert told is not None
    assert told.asked is not None
    assert told.peak_a is not None

    def left_a(share: float) -> float:
        scale = share * (told.peak_a or 0.0) / (told.asked.most_a if told.asked else 1.0)
        build = case.build
        for attr in ("limit_a", "falls_to_a"):
            build = build.with_value("controller", attr, scale * getattr(build.controllers["controller"], attr))
        return min(peak.limit_a - peak.asked_a for each in bearings(Case(build))[0] for peak in each.peaks)

    assert left_a(0.999) >= 0.0
    assert left_a(1.001) < 0.0


def test_where_packs_alone_send_more_through_a_lead_than_it_bears_nothing_is_left_to_draw() -> None:
    case = case_of("quay-plain-trike")
    told = capability(case)
    assert told is not None
    assert told.asked is not None
    assert told.continuous_a == 0.0
    assert least_margin_a(case, 1e-6, told.asked.continuous_a) < 0.0
