"""Rides that were really ridden: the spread after them against plain rejection, and against riders who were made up."""

from __future__ import annotations

from math import exp, log, sqrt
from random import Random
from statistics import NormalDist, median
from types import SimpleNamespace
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, rundown
from packyoke.analysis.ride.drive_power import rate
from packyoke.analysis.ride.known import Odd, _Seen, rider_of
from packyoke.analysis.ride.named import Input, swung
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.buildfile.reading import load
from packyoke.core.findings import Span
from packyoke.model import Build, KnownRide
from tests.support import edited

SKERRY, BREAKWATER, QUAY = "skerry-long-tail", "breakwater-three-packs", "quay-plain-trike"
POINT = 1.2815516
NORMAL = NormalDist()
SIGMA_DAY = log(1.08) / POINT
"""80 of 100 rides within 8 % of the rider's mean."""


def built(name: str, ride: str = "") -> Build:
    found = load(edited(name, {"ride.own": ride} if ride else {}), name)
    assert isinstance(found, Build), found
    return found


def known(km: float, packs: tuple[str, ...], first: float = 1.0, last: float = 0.2, **more: float) -> KnownRide:
    return KnownRide(
        name="known ride",
        path="ride.own.known",
        span=Span(1, 1, 1, 1),
        spans={},
        packs=packs,
        from_fraction=first,
        to_fraction=last,
        distance_m=1000.0 * km,
        **more,
    )


def estimated(case: Case, packs: tuple[str, ...], ride: str, *rides: KnownRide) -> RangeEstimate:
    found = range_of(case, packs, ride, known=rides)
    assert isinstance(found, RangeEstimate), found
    return found


def sigma(ride: KnownRide) -> float:
    """By hand: 4 points at either end, 3 % of the way, 8 % from day to day, each as a 90 % point."""
    used = ride.from_fraction - ride.to_fraction
    return sqrt((0.04 * sqrt(2) / used) ** 2 + log(1.03) ** 2 + log(1.08) ** 2) / POINT


class Anybody:
    """Riders drawn from the spreads of a ride, each figure from its two halves; every pack nobody tested by itself."""

    def __init__(self, case: Case, ride: str, seed: int) -> None:
        self.case, self.ride, self.rng = case, ride, Random(seed)
        self.z: dict[str, float] = {}

    def another(self) -> None:
        self.z = {}

    def _at(self, key: str, low: float, likely: float, high: float) -> float:
        z = self.z.setdefault(key, self.rng.gauss(0.0, 1.0))
        return likely + z / POINT * (high - likely if z > 0.0 else likely - low)

    def given_j_per_m(self, before: RangeEstimate, told: tuple[str, ...]) -> float:
        """What this rider needs of what a rundown says; `before`: the ride with these packs when nobody is known."""
        drawn = {each.attr: self._of(each) for each in before.ride.inputs if not each.known}
        worth = {name: self.case.build.packs[name].capacity_coulomb or 0.0 for name in before.packs}
        left = 1.0
        for name in before.packs:
            key = name if name in told else "others"
            share = worth[name] / sum(worth.values())
            left -= share * (1.0 - min(1.0, self._at(f"left in {key}", 0.8, 0.9, 1.0)))
        usable = min(1.0, self._at("usable", 0.86, 0.93, 0.99))
        return rate(swung(before.ride.riding, drawn)).j_per_m / usable / left

    def _of(self, each: Input) -> float:
        return self._at(each.attr, each.low, each.likely, each.high)


def given_j(case: Case, ride: KnownRide, before: RangeEstimate) -> float:
    """What packs give between two states of charge at the mean load of the ride."""
    power_w = before.rate.j_per_m / before.rate.s_per_m - before.ride.riding.accessories_w
    whole = []
    for state in (ride.from_fraction, ride.to_fraction):
        start = dict.fromkeys(ride.packs, state) if state < 1.0 else None
        found = rundown(case, ride.packs, start=start, load=Draw(power_w=power_w), temperature_k=288.15, series=False)
        assert isinstance(found, Rundown)
        whole.append(found.energy_to_load_j + found.taps_j)
    return whole[0] - whole[1]


REJECTED = [
    (SKERRY, "", (55.0, ("keel",)), ("keel",)),
    (SKERRY, "", (55.0, ("keel",)), ("keel", "pannier")),
    (SKERRY, "", (40.0, ("pannier",), 0.9, 0.3), ("keel",)),
    (
        SKERRY,
        "{rider: 75 kg, speed: 22 km/h, hills: 8 m per km, position: upright}",
        (100.0, ("keel", "pannier")),
        ("pannier",),
    ),
    (QUAY, "", (45.0, ("old",), 1.0, 0.1), ("old",)),
]


@pytest.mark.parametrize(("name", "ride", "ridden", "packs"), REJECTED)
def test_the_spread_is_what_is_left_of_a_plain_monte_carlo(
    name: str, ride: str, ridden: tuple[float, tuple[str, ...]], packs: tuple[str, ...]
) -> None:
    """Riders are drawn from the spreads and kept with the chance that they ride what was ridden: the rest is thrown
    away. 10, 50 and 90 % points within 2.5 %, which is what so few riders as are left say."""
    build = built(name, ride)
    case, style = Case(build), "own" if ride else "everyday"
    fact = known(*ridden)
    found = estimated(case, packs, style, fact)
    there, here = estimated(case, fact.packs, style), estimated(case, packs, style)
    per_m = given_j(case, fact, there) / fact.distance_m
    anybody = Anybody(case, style, 7)
    reached = []
    for _ in range(8000):
        anybody.another()
        off = log(anybody.given_j_per_m(there, fact.packs) / per_m) / sigma(fact)
        if anybody.rng.random() < exp(-off * off / 2):
            next_one = exp(SIGMA_DAY * anybody.rng.gauss(0.0, 1.0))
            reached.append(found.given_j / anybody.given_j_per_m(here, fact.packs) / next_one)
    reached.sort()
    assert len(reached) > 700
    for share, point in zip((0.1, 0.5, 0.9), found.distance_m, strict=True):
        assert point == pytest.approx(reached[int(share * len(reached))], rel=0.025)


def test_riders_who_were_made_up_are_found_again() -> None:
    """Of 40 riders 32 of the next rides should lie between the low and the high figure: fewer than 26 or more than 38
    come by chance once in 100 times. One ride, read as it was, leaves half of the riders within 3 %."""
    case = Case(built(SKERRY))
    packs, both = ("keel",), ("keel", "pannier")
    there, here = estimated(case, packs, "everyday"), estimated(case, both, "everyday")
    anybody, covered, missed = Anybody(case, "everyday", 11), 0, []
    energy_j = given_j(case, known(1.0, packs), there)
    for _ in range(40):
        anybody.another()
        exact_m = energy_j / anybody.given_j_per_m(there, packs)
        noise = exp(sigma(known(1.0, packs)) * anybody.rng.gauss(0.0, 1.0))
        found = range_of(case, both, "everyday", known=(known(exact_m * noise / 1000, packs),))
        if isinstance(found, NoRundown):
            continue
        truth_m = found.given_j / anybody.given_j_per_m(here, packs)
        next_m = truth_m * exp(SIGMA_DAY * anybody.rng.gauss(0.0, 1.0))
        covered += found.distance_m.low <= next_m <= found.distance_m.high
        exact = range_of(case, packs, "everyday", known=(known(exact_m / 1000, packs),))
        if isinstance(exact, RangeEstimate):
            missed.append(abs(exact.given_j / anybody.given_j_per_m(there, packs) / exact.distance_m.likely - 1))
    assert 26 <= covered <= 38
    assert len(missed) >= 38
    assert median(missed) < 0.03


def test_one_ride_narrows_and_a_second_one_more() -> None:
    case = Case(built(SKERRY))
    widths = []
    for rides in ((), (known(60, ("keel",)),), (known(60, ("keel",)), known(30, ("keel",), 0.9, 0.5))):
        low, likely, high = estimated(case, ("keel",), "everyday", *rides).distance_m
        widths.append((high - low) / likely)
    assert widths[1] < 0.5 * widths[0]
    assert widths[2] < widths[1]


def test_farther_ridden_is_farther_ranged() -> None:
    case = Case(built(SKERRY))
    reached = [estimated(case, ("keel",), "everyday", known(km, ("keel",))).distance_m for km in (40, 50, 60, 80, 110)]
    for row in zip(*reached, strict=True):
        assert list(row) == sorted(row)


def test_what_one_pack_told_of_its_capacity_stays_with_that_pack() -> None:
    """Little way out of keel: keel may be worn. What is left in pannier is as unknown as before, and only how the
    rider rides shortens its way; keel loses more than pannier does."""
    case, short = Case(built(SKERRY)), known(36, ("keel",))
    left = {}
    for name in ("keel", "pannier"):
        shares = {each.attr: each for each in estimated(case, (name,), "everyday", short).shares}
        left[name] = shares["untested"].likely
    assert left["keel"] < left["pannier"] == pytest.approx(0.9, abs=0.005)


@pytest.mark.parametrize(("km", "alone"), [(9.0, True), (400.0, True)])
def test_a_ride_that_no_rider_rides_is_none(km: float, alone: bool) -> None:
    case = Case(built(SKERRY))
    found = rider_of(case, "everyday", (known(km, ("keel",)),), None)
    assert isinstance(found, Odd)
    assert found.alone is alone
    assert isinstance(range_of(case, ("keel",), "everyday", known=(known(km, ("keel",)),)), NoRundown)


def test_two_rides_that_do_not_go_together_are_none() -> None:
    """Twice as far on half of the charge: no rider, though each by itself is one."""
    case = Case(built(SKERRY))
    rides = (known(36, ("keel",), 1.0, 0.2), known(78, ("keel",), 1.0, 0.2))
    for each in rides:
        assert isinstance(range_of(case, ("keel",), "everyday", known=(each,)), RangeEstimate)
    found = rider_of(case, "everyday", rides, None)
    assert isinstance(found, Odd)
    assert not found.alone


def test_a_hilly_track_makes_the_same_way_worth_more() -> None:
    """Who came as far over 20 m of climb for each km as another on the hills of the ride gets farther on those."""
    case = Case(built(SKERRY))
    level, hilly = (
        estimated(case, ("keel",), "everyday", known(55, ("keel",), **more)).distance_m.likely
        for more in ({}, {"hills_fraction": 0.02})
    )
    assert hilly > 1.03 * level


@pytest.mark.parametrize(("taken", "off"), [(200.0, log(2.0)), (0.1, log(1e-3)), (0.0, log(1e-3)), (-3.0, log(1e-3))])
def test_a_rider_who_takes_nothing_from_the_packs_has_an_end(taken: float, off: float) -> None:
    """Behind a controller of half an ampere hardly anything is taken, and some riders would need nothing."""
    outing: Any = SimpleNamespace(given_j_per_m=lambda _at: taken)
    assert _Seen(outing, 100.0, 0.1).off({}) == pytest.approx(off)
