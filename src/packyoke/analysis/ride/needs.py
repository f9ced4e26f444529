"""What packs have to give for each metre of a ride: little, likely, much; whatever leads them to the controller.

What a ride takes comes from `riding`. Each figure that is not known closely is swung to its 10 and 90 % points. Their
changes add in quadrature as energy for each metre; the low and the high figure are worked out with all of them moved at
once, each by its part of that sum, because hills, wind and a small drive make each other worse. All three are shifted:
for a quantity with 10 and 90 % points at -d and +u of its likely value, half of its chance on either side, the mean
lies 0.311 (u - d) above it. What the packs give of what is worked out, and the least that real rides take, then act on
the whole spread, not on its middle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import exp, hypot, log1p, pi, prod, sqrt
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.drive_power import Rate, rate
from packyoke.analysis.ride.fitting import fit, given_j_per_m
from packyoke.analysis.ride.known import Odd, Rider, RideTold, known_of, rider_of
from packyoke.analysis.ride.named import Input, RideInputs, packs_kg, resolved, swung
from packyoke.analysis.ride.shares import shares_of, untested_parts
from packyoke.analysis.ride.spread import POINT, LowToHigh, had_of, over_shares
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.core.paths import path_to
from packyoke.model import KnownRide, Unknown
from packyoke.shelf.road import figure

SHIFT = 0.311
"""Mean of a normal spread with one half for each side, over (u - d): 1/(sqrt(2 pi) 1.2816)."""
ORDINARY_KG = 3.0
"""A pack of about 500 Wh, with which the least that rides take was seen: common practice."""
PEDALLED = 12.0
"""What road and drive take multiplies; what a rider gives is taken off that, so that it rather adds up. A weight fitted
to a Monte Carlo over the styles of riding in the tests; 0 and without end miss the middle by up to 10 and 3 %."""

KEPT = 256
"""Rides that are kept: the choices of a quote are ridden alike, and many weigh the same."""
GRAMS = 3
"""Places of a kilogram to which the spread of a mass is the same one."""


class Band(NamedTuple):
    """What to count on, what is likely, and what a good day gives: 10, 50 and 90 % points."""

    low: float
    likely: float
    high: float


class Needs(NamedTuple):
    """What a ride takes, before anything is said of how the packs run down. `worked_out`, `least_j_per_m`: what leaves
    them, as the physics says and at least; `scale`: that over what the physics alone says."""

    ride: RideInputs
    shares: tuple[Input, ...]
    base: Rate
    spread: Spread
    scale: float
    worked_out: Band
    least_j_per_m: float
    needed: Band
    extra_kg: float
    fitted: bool
    told: tuple[RideTold, ...]


def needed_j_per_m(
    case: Case, packs: tuple[str, ...], ride: str, rider: Rider | None = None, step_kg: float = 1.0
) -> float | None:
    """What packs have to give at least for each metre that is counted on, whatever leads them to the controller [J/m].

    They count as lighter than they are, by less than a step: many choices of a quote are then one and the same ride.

    Parameters
        packs, ride, rider: as of `range_of` [-]
        step_kg: their mass is the next lower multiple of it [kg]
    Returns
        the energy, or None where it hangs on what is not known
    Raises
        NoRide: no such ride.
    """
    if rider is None:
        found = needs(case, packs, ride, None, None, known_of(case.build, ride), None, step_kg)
        return None if isinstance(found, NoRundown) else found.needed.high
    counted, _ = filled_case(case)
    try:
        lighter = _in_steps(resolved(counted, packs, ride, None), step_kg)
        return given_j_per_m(rider, lighter, untested_parts(counted, packs, None))[2]
    except Unknown:
        return None


@once
def needs(
    case: Case,
    packs: tuple[str, ...],
    name: str,
    air_k: float | None,
    health_fraction: float | None,
    known: tuple[KnownRide, ...],
    rider: Rider | Odd | NoRundown | None,
    step_kg: float = 0.0,
) -> Needs | NoRundown:
    """What packs have to give for each metre of a ride, and what that comes from; parameters as of `range_of`, all
    positional. `step_kg`: with packs of whole steps, never heavier than they are; 0 as heavy as they are."""
    counted, assumed = filled_case(case)
    try:
        rider = rider_of(case, name, known, health_fraction) if known else rider
        ride = resolved(counted, packs, name, air_k)
        ride = _in_steps(ride, step_kg) if step_kg else ride
        extra_kg = _extra_kg(counted, packs)
        shares = shares_of(counted, packs, health_fraction)
    except Unknown as unknown:
        return NoRundown("not known", unknown.part.path, unknown.attr, assumed)
    if isinstance(rider, Odd):
        return NoRundown("fits no rider", path_to("ride", name), "", assumed)
    if isinstance(rider, NoRundown):
        return rider
    fitted = None
    if rider is not None:
        fitted = fit(rider, ride, shares, untested_parts(counted, packs, health_fraction))
        ride, shares = fitted.ride, fitted.shares
    spread, likely = _spread_of(ride)
    base = spread.base
    worked_out = Band(*fitted.taken_j_per_m) if fitted else likely
    scale = worked_out.likely / base.j_per_m if ride.measured else 1.0
    # What more than one ordinary pack takes by its mass comes on top of the least.
    more_j_per_m = for_mass_j_per_m(ride, base, ride.riding.packs_kg - ORDINARY_KG)
    least = 0.0 if ride.measured or fitted else least_j_per_m() + more_j_per_m
    return Needs(
        ride=ride,
        shares=shares,
        base=base,
        spread=spread,
        scale=scale,
        worked_out=worked_out,
        least_j_per_m=least,
        needed=Band(*fitted.given_j_per_m) if fitted else _for_given(worked_out, least, points(shares)),
        extra_kg=extra_kg,
        fitted=fitted is not None,
        told=rider.told if rider else (),
    )


def _in_steps(ride: RideInputs, step_kg: float) -> RideInputs:
    """The ride with packs that weigh the next lower multiple of a step."""
    less_kg = ride.riding.packs_kg % step_kg

    def less(each: Input) -> Input:
        low, likely, high = (round(value - less_kg, GRAMS) for value in (each.low, each.likely, each.high))
        return each._replace(low=low, likely=likely, high=high)

    inputs = tuple(less(each) if each.attr == "packs_kg" else each for each in ride.inputs)
    return ride._replace(inputs=inputs, riding=swung(ride.riding, {"packs_kg": round(ride.riding.packs_kg - less_kg)}))


@lru_cache(maxsize=KEPT)
def _spread_of(ride: RideInputs) -> tuple[Spread, Band]:
    """Worked out once for packs of the same mass."""
    spread = Spread(ride, rate(ride.riding))
    return spread, spread.band()


def least_j_per_m() -> float:
    """The least that is counted with: nobody pedals a town on less, whatever the physics says."""
    return figure("least energy", "pedalled").likely


class SpanEnd(NamedTuple):
    """One figure at one end of its span, and what that adds to (or takes from) the energy for a metre."""

    figure: Input
    at: float
    more_j_per_m: float


class Spread:
    """Energy for each metre and how every figure that is not known closely moves it."""

    def __init__(self, ride: RideInputs, base: Rate) -> None:
        self.ride, self.base = ride, base
        unsure = [each for each in ((ride.measured,) if ride.measured else ride.inputs) if not each.known]
        self.likely_j_per_m = self({})
        self.ends = [(self._end(each, each.low), self._end(each, each.high)) for each in unsure]

    def __call__(self, changed: Mapping[str, float]) -> float:
        if self.ride.measured:
            return changed.get("measured", self.ride.measured.likely)
        return rate(swung(self.ride.riding, changed)).j_per_m if changed else self.base.j_per_m

    def _end(self, each: Input, value: float) -> SpanEnd:
        return SpanEnd(each, value, self({each.attr: value}) - self.likely_j_per_m)

    def over(self, shares: Sequence[Input]) -> list[tuple[SpanEnd, SpanEnd]]:
        """The ends when only a share of what the packs give is had, which swings too: as if more were taken."""
        had = prod(share.likely for share in shares)
        found = [
            (low._replace(more_j_per_m=low.more_j_per_m / had), high._replace(more_j_per_m=high.more_j_per_m / had))
            for low, high in self.ends
        ]
        worth = self.likely_j_per_m / had
        return found + [
            (
                SpanEnd(each, each.low, worth * (each.likely / each.low - 1)),
                SpanEnd(each, each.high, worth * (each.likely / each.high - 1)),
            )
            for each in shares
        ]

    def band(self) -> Band:
        """Energy for each metre: little, likely, much."""
        shift = SHIFT * sum(end.more_j_per_m for pair in self.ends for end in pair) if len(self.ends) > 1 else 0.0
        riding = self.ride.riding
        pedalled_w = 0.0 if self.ride.measured else PEDALLED * riding.rider_at_wheel_w
        rider = pedalled_w * self.base.s_per_m / riding.efficiency_fraction
        middle = max(0.0, (self.likely_j_per_m + rider) * exp(self._to_the_middle(rider)) - rider)
        most = [max(pair, key=lambda end: end.more_j_per_m) for pair in self.ends]
        least = [min(pair, key=lambda end: end.more_j_per_m) for pair in self.ends]
        much = self._together([end for end in most if end.more_j_per_m > 0.0]) + shift
        little = self._together([end for end in least if end.more_j_per_m < 0.0]) + shift
        return Band(min(middle, little), middle, max(middle, much))

    def _to_the_middle(self, rider_j_per_m: float) -> float:
        """How far the middle of what is taken, the rider's part with it, lies above what it is with every figure at
        its middle, as a logarithm: the mean, less what the middle of a skewed spread lies below that (third moment
        over six times the second: Cornish and Fisher 1938)."""
        whole = self.likely_j_per_m + rider_j_per_m
        shift = second = third = 0.0
        for ends in self.ends:
            a, b = (log1p(end.more_j_per_m / whole) / POINT for end in ends)
            mean, square, cube = (a + b) / sqrt(2 * pi), (a**2 + b**2) / 2, (a**3 + b**3) * sqrt(2 / pi)
            shift += mean
            second += square - mean**2
            third += cube - 3 * mean * square + 2 * mean**3
        # The middle of one figure alone is its own.
        return shift - third / (6 * second) if len(self.ends) > 1 and second > 0.0 else 0.0

    def _together(self, ends: Sequence[SpanEnd]) -> float:
        """With all these figures moved at once, each by its part of the sum in quadrature."""
        whole = hypot(*(end.more_j_per_m for end in ends))
        return self(
            {
                end.figure.attr: end.figure.likely + (end.at - end.figure.likely) * abs(end.more_j_per_m) / whole
                for end in ends
            }
        )


@lru_cache(maxsize=KEPT)
def _for_given(taken: Band, least_j_per_m: float, shares: tuple[LowToHigh, ...]) -> Band:
    """What the packs have to give for each metre [J/m]: what is taken, none of it below the least, over what is had of
    what they give. 10, 50 and 90 % points: where the least bites, the rides above it still count."""
    had = had_of(shares)
    return Band(*(over_shares(taken, least_j_per_m, had, chance) for chance in (0.1, 0.5, 0.9)))


def points(shares: Sequence[Input]) -> tuple[LowToHigh, ...]:
    """The shares as 10, 50 and 90 % points."""
    return tuple((each.low, each.likely, each.high) for each in shares)


def _extra_kg(case: Case, packs: tuple[str, ...]) -> float:
    """Mass of the packs beyond the lightest [kg]."""
    each_kg = [packs_kg(case.build, (name,)).likely for name in packs]
    return sum(each_kg) - min(each_kg)


def for_mass_j_per_m(ride: RideInputs, base: Rate, kg: float) -> float:
    """What so many kilograms of the packs take [J/m]."""
    if kg <= 0.0:
        return 0.0
    return max(0.0, base.j_per_m - rate(swung(ride.riding, {"packs_kg": ride.riding.packs_kg - kg})).j_per_m)
