"""What known rides move, and how figures that are not known closely add up: by hand."""

from __future__ import annotations

from math import exp, prod
from types import SimpleNamespace
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.ride.drive_power import rate
from packyoke.analysis.ride.known import Odd, Rider, _least_amount, _Seen, rider_of
from packyoke.analysis.ride.named import swung
from packyoke.analysis.ride.needs import needed_j_per_m
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.analysis.ride.spread import at_deviation, over_shares, weighted_points
from packyoke.buildfile.reading import load
from packyoke.core.findings import Span
from packyoke.model import Build, KnownRide
from tests.support import edited


def case_of(put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited("skerry-long-tail", put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def seen(offs: float, moves: dict[str, float], sigma: float) -> _Seen:
    """A known ride whose logarithm is `offs` too far for anybody and moves in a straight line with the figures."""
    outing: Any = SimpleNamespace(
        keys=list(moves),
        given_j_per_m=lambda at: exp(offs + sum(each * at[key] for key, each in moves.items())),
    )
    return _Seen(outing, 1.0, sigma)


@pytest.mark.parametrize(
    ("rides", "expected"),
    [
        # One figure of slope s: z = -s o/(s^2 + sigma^2).
        ([seen(0.5, {"a": 1.0}, 0.5)], {"a": -0.5 / 1.25}),
        # Two figures share what is to be explained by their slopes.
        ([seen(0.5, {"a": 1.0, "b": 2.0}, 1.0)], {"a": -0.5 / 6, "b": -1.0 / 6}),
        # Two rides with nothing in common are explained each by itself.
        (
            [seen(0.5, {"a": 1.0}, 0.5), seen(-0.3, {"b": 1.0}, 1.0)],
            {"a": -0.5 / 1.25, "b": 0.3 / 2},
        ),
        # Two that hang on one figure: -(o1/s1^2 + o2/s2^2)/(1 + 1/s1^2 + 1/s2^2).
        (
            [seen(0.5, {"a": 1.0}, 0.5), seen(-0.3, {"a": 1.0}, 1.0)],
            {"a": -(0.5 / 0.25 - 0.3) / (1 + 4 + 1)},
        ),
        # Nobody is reckoned with beyond four standard deviations.
        ([seen(9.0, {"a": 1.0}, 0.1)], {"a": -4.0}),
    ],
)
def test_the_figures_are_moved_least_that_explain_what_was_ridden(
    rides: list[_Seen], expected: dict[str, float]
) -> None:
    at, slopes = _least_amount(rides, list(expected))
    assert at == pytest.approx(expected)
    assert len(slopes) == len(rides)


def test_steps_go_on_until_nothing_moves_any_more() -> None:
    """Of a ride that bends with its figure, f = 0.5 + z + 0.2 z^2: z + f f'/sigma^2 is 0 where z^2 + (f/sigma)^2 is
    least."""
    outing: Any = SimpleNamespace(keys=["a"], given_j_per_m=lambda at: exp(0.5 + at["a"] + 0.2 * at["a"] ** 2))
    at, _ = _least_amount([_Seen(outing, 1.0, 0.3)], ["a"])
    z = at["a"]
    assert z + (0.5 + z + 0.2 * z * z) * (1 + 0.4 * z) / 0.3**2 == pytest.approx(0.0, abs=0.01)


def known(km: float, pack: str, **more: float) -> KnownRide:
    named: dict[str, Any] = {"name": "known ride", "path": "ride.own.known", "span": Span(1, 1, 1, 1), "spans": {}}
    return KnownRide(**named, packs=(pack,), from_fraction=1.0, to_fraction=0.2, distance_m=1000.0 * km, **more)


def after(packs: tuple[str, ...], *rides: KnownRide) -> RangeEstimate:
    found = range_of(case_of(), packs, "everyday", known=rides)
    assert isinstance(found, RangeEstimate)
    return found


def test_hills_of_its_own_say_nothing_of_those_of_the_ride() -> None:
    """Who came not far rode over hills, unless his track says on which: then 5 m/km stay what they are."""

    def hills(**more: float) -> float:
        inputs = after(("keel",), known(36, "keel", **more)).ride.inputs
        return next(each.likely for each in inputs if each.attr == "climb_fraction")

    assert hills() > 0.007
    assert hills(hills_fraction=0.005) == pytest.approx(0.005, rel=0.02)


def test_each_pack_that_was_ridden_with_tells_of_itself() -> None:
    """2 km for each Ah of keel and 2.6 of pannier, by the same rider: keel is worn, pannier is not."""
    rides = known(40, "keel"), known(34, "pannier")
    left = {
        name: next(each.likely for each in after((name,), *rides).shares if each.attr == "untested")
        for name in ("keel", "pannier")
    }
    assert left["keel"] < 0.86
    assert left["pannier"] > 0.92


@pytest.mark.parametrize("order", [1, -1])
def test_of_rides_that_do_not_fit_the_one_farthest_off_is_told(order: int) -> None:
    rides = (known(55, "keel"), known(400, "keel"))[::order]
    found = rider_of(case_of(), "everyday", rides, None)
    assert isinstance(found, Odd)
    assert found.ride.distance_m == 400_000.0


def test_what_a_second_pack_costs_after_known_rides() -> None:
    """What 5.6 kg take is taken off what was ridden: less for each metre over the share that is had."""
    found = after(("keel", "pannier"), known(60, "keel"))
    light = rate(swung(found.ride.riding, {"packs_kg": found.ride.riding.packs_kg - 5.6})).j_per_m
    needed = found.given_j / found.distance_m.likely
    without = needed - (found.rate.j_per_m - light) / prod(each.likely for each in found.shares)
    assert found.extra_m == pytest.approx(found.given_j / without - found.distance_m.likely)


def test_what_a_ride_needs_is_after_its_known_rides_or_of_the_rider_who_is_named() -> None:
    """Who went 80 km out of 80 % of keel needs less than nobody knows; who is named replaces the rides of the file."""
    far = {"ride.everyday": "{known: {packs: [keel], from: 100 %, to: 20 %, distance: 80 km}}"}
    short = {"ride.everyday": "{known: {packs: [keel], from: 100 %, to: 20 %, distance: 40 km}}"}
    needed = []
    heavy = {"packs.keel.mass": "4 kg"}
    for put in (far, {}, short):
        case = case_of(put | heavy)
        found = range_of(case, ("keel",), "everyday")
        assert isinstance(found, RangeEstimate)
        needed.append(needed_j_per_m(case, ("keel",), "everyday"))
        assert needed[-1] == pytest.approx(found.given_j / found.distance_m.low)
    assert needed == sorted(needed, key=lambda each: each or 0.0)
    rides = case_of(far).build.rides["everyday"].known
    who = rider_of(case_of(far | heavy), "everyday", rides, None)
    assert isinstance(who, Rider)
    assert needed_j_per_m(case_of(short | heavy), ("keel",), "everyday", who) == pytest.approx(needed[0])
    assert needed_j_per_m(case_of(drop=("packs.keel.capacity",)), ("keel",), "everyday") is None


@pytest.mark.parametrize("known", [False, True])
@pytest.mark.parametrize("mass", ["4 kg", "4.1 kg", "4.95 kg", None])
def test_what_a_ride_needs_at_least_is_that_of_packs_of_whole_kilograms(mass: str | None, known: bool) -> None:
    """Never more than what is needed, and nearly as much: a kilogram of some 130 is less than 1 %."""
    put = {"ride.everyday": "{known: {packs: [keel], from: 100 %, to: 20 %, distance: 60 km}}"} if known else {}
    case = case_of(put | ({"packs.keel.mass": mass} if mass else {}), () if mass else ("packs.keel.mass",))
    found, least = range_of(case, ("keel",), "everyday"), needed_j_per_m(case, ("keel",), "everyday")
    assert isinstance(found, RangeEstimate)
    exact = found.given_j / found.distance_m.low
    assert least is not None
    assert 0.99 * exact < least <= exact * (1 + 1e-12)
    if mass is not None:
        rides = case.build.rides["everyday"].known if known else ()
        who = rider_of(case, "everyday", rides, None) if rides else None
        assert who is None or isinstance(who, Rider)
        whole = case_of({"packs.keel.mass": "4 kg"})
        assert least == pytest.approx(needed_j_per_m(whole, ("keel",), "everyday", who))
        assert (least < exact) == (mass != "4 kg")


# Spreads


@pytest.mark.parametrize(("deviations", "value"), [(-1.2815516, 1.0), (-0.6407758, 1.5), (0.0, 2.0), (1.2815516, 4.0)])
def test_a_figure_so_many_standard_deviations_from_its_middle(deviations: float, value: float) -> None:
    """1.2816 of them to the 10 and to the 90 % point, on either side as far as that side is wide."""
    assert at_deviation((1.0, 2.0, 4.0), deviations) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("band", "least", "chances"),
    [
        ((1.0, 2.0, 4.0), 0.0, (1.0, 2.0, 4.0)),
        ((10.0, 10.0, 10.0), 0.0, (10.0, 10.0, 10.0)),
        # All of the lower half lies at the middle, and none of the upper one; and the other way round.
        ((12.0, 12.0, 16.0), 0.0, (12.0, 12.0, 16.0)),
        ((6.0, 8.0, 8.0), 0.0, (6.0, 8.0, 8.0)),
        ((2.0, 3.0, 4.0), 6.0, (6.0, 6.0, 6.0)),
        ((2.0, 3.0, 4.0), 3.0, (3.0, 3.0, 4.0)),
    ],
)
def test_points_of_a_figure_that_is_never_below_a_least_one(
    band: tuple[float, float, float], least: float, chances: tuple[float, float, float]
) -> None:
    found = tuple(over_shares(band, least, [(1.0, 1.0)], chance) for chance in (0.1, 0.5, 0.9))
    assert found == pytest.approx(chances, rel=1e-5)


def test_where_little_is_had_the_points_lie_far_out() -> None:
    """10 over a share of 0.1 or of 1, each as likely: 10 or 100."""
    had = [(0.1, 0.5), (1.0, 0.5)]
    assert over_shares((10.0, 10.0, 10.0), 0.0, had, 0.4) == pytest.approx(10.0, rel=1e-4)
    assert over_shares((10.0, 10.0, 10.0), 0.0, had, 0.9) == pytest.approx(100.0, rel=1e-4)


def test_only_the_half_without_width_lies_at_the_middle() -> None:
    """8, and 16 as 90 % point: the search comes past 8 itself. 70 % is 0.5244 deviations above it, at 11.274."""
    assert over_shares((8.0, 8.0, 16.0), 0.0, [(1.0, 1.0)], 0.7) == pytest.approx(8 + 8 * 0.5244 / 1.28155, rel=1e-4)


@pytest.mark.parametrize(
    ("values", "weights", "expected"),
    [
        # Middles at 25 and 75 %: 50 % lies between the two, 10 and 90 % beyond them.
        ([0.0, 10.0], [0.5, 0.5], (0.0, 5.0, 10.0)),
        ([10.0, 0.0], [0.5, 0.5], (0.0, 5.0, 10.0)),
        # Middles at 5, 50 and 95 %: 10 % is a ninth of the way from the first to the second.
        ([0.0, 9.0, 18.0], [0.1, 0.8, 0.1], (1.0, 9.0, 17.0)),
        ([7.0], [1.0], (7.0, 7.0, 7.0)),
        ([0.0, 10.0], [0.0, 1.0], (2.0, 10.0, 10.0)),
    ],
)
def test_points_of_weighted_values(values: list[float], weights: list[float], expected: tuple[float, ...]) -> None:
    assert weighted_points(values, weights) == pytest.approx(expected)
