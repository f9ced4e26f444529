"""How far a set of packs carries a ride: what to count on, what is likely, and what it hangs on.

What a ride takes comes from `riding`, what the packs give at that load from the rundown. Each figure that is not known
closely is swung to its 10 and 90 % points. Their changes add in quadrature as energy for each metre; the low and the
high figure are worked out with all of them moved at once, each by its part of that sum, because hills, wind and a small
drive make each other worse. All three are shifted: for a quantity with 10 and 90 % points at -d and +u of its likely
value, half of its chance on either side, the mean lies 0.311 (u - d) above it. What the packs give of what is worked
out, and the least that real rides take, then act on the whole spread, not on its middle.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import exp, hypot, log1p, pi, prod, sqrt
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.discharge.course import End
from packyoke.analysis.discharge.rundown import Draw, Refusal, Rundown, rundown
from packyoke.analysis.ride.drive_power import Rate, rate
from packyoke.analysis.ride.fitting import fit
from packyoke.analysis.ride.known import Odd, Rider, Told, known_of, rider_of
from packyoke.analysis.ride.named import Input, RideInputs, packs_kg, resolved, swung
from packyoke.analysis.ride.shares import shares_of, untested_parts
from packyoke.analysis.ride.spread import POINT, had_of, over_shares
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.core.constants import KM_H
from packyoke.model import Key, KnownRide, Unknown
from packyoke.shelf.road import figure

SHIFT = 0.311
"""Mean of a normal spread with one half for each side, over (u - d): 1/(sqrt(2 pi) 1.2816)."""
LEAST_DRAW_W = 1.0
ORDINARY_KG = 3.0
"""A pack of about 500 Wh, with which the least that rides take was seen: common practice."""
WALKING_M_S = 6 * KM_H
PEDALLED = 12.0
"""What road and drive take multiplies; what a rider gives is taken off that, so that it rather adds up. A weight fitted
to a Monte Carlo over the styles of riding in the tests; 0 and without end miss the middle by up to 10 and 3 %."""


class Band(NamedTuple):
    """What to count on, what is likely, and what a good day gives: 10, 50 and 90 % points."""

    low: float
    likely: float
    high: float


class Swing(NamedTuple):
    """How far the likely range moves when one figure goes to its 10 % and to its 90 % point [m]."""

    figure: Input
    at_low_m: float
    at_high_m: float

    @property
    def size_m(self) -> float:
        return max(abs(self.at_low_m), abs(self.at_high_m))


NoteKind = Literal[
    "motor is silent",
    "slows on hills",
    "walks on hills",
    "beyond the rating",
    "no throttle",
    "least counts",
    "limit not known",
]


class Note(NamedTuple):
    """Something to be said of a ride: what is wanted, and what there is; SI."""

    kind: NoteKind
    wanted: float = 0.0
    found: float = 0.0


class RangeEstimate(NamedTuple):
    """How far a set of packs carries a ride.

    `distance_m` low: count on it. `taken_j_per_m` is what leaves the packs for each metre: low is little. `given_j` is
    what the packs give at this load by the rundown; `usable_j` the part of it that is likely to be had. `extra_m` is
    what the packs beyond the lightest cost in range by their mass. `assumed` are fields that are not in the file, as in
    `Rundown`. `told`: what rides said that were really ridden; figures and shares are then those after them.
    """

    packs: tuple[str, ...]
    ride: RideInputs
    distance_m: Band
    taken_j_per_m: Band
    rate: Rate
    given_j: float
    usable_j: float
    label_j: float
    mean_w: float
    mean_a: float
    speed_m_s: float
    ended: End
    extra_kg: float
    extra_m: float
    swings: tuple[Swing, ...]
    shares: tuple[Input, ...]
    notes: tuple[Note, ...]
    assumed: tuple[Key, ...]
    told: tuple[Told, ...] = ()

    @property
    def duration_s(self) -> float:
        """Time on the move for the likely range [s]."""
        return self.distance_m.likely / self.speed_m_s

    @property
    def usable_fraction(self) -> float:
        """What is likely to be had over what the labels promise [-]."""
        return self.usable_j / self.label_j

    @property
    def delivers(self) -> bool:
        """Whether the packs can give this load at all, and the controller goes on at what they give."""
        return self.ended != "cannot deliver" and self.distance_m.likely > 0.0


def range_of(
    case: Case,
    packs: tuple[str, ...],
    ride: str,
    *,
    air_k: float | None = None,
    health_fraction: float | None = None,
    known: tuple[KnownRide, ...] = (),
    rider: Rider | None = None,
    brief: bool = False,
) -> RangeEstimate | Refusal:
    """How far a set of packs carries a ride.

        s = x E(P)/(w + aux/v), P = v w

    Parameters
        packs: names of the packs that are on the bike and plugged in; the others stay at home [-]
        ride: a ride of the file or of the shelf, as `known_rides` names them [-]
        air_k: air on the ride, and so the cells; else what the ride says [K]
        health_fraction: capacity left of the marked in packs that nobody tested; None: not known [-]
        known: rides that were really ridden in this way, besides those of the file
        rider: who rides, where that was worked out on the bike as it was before; replaces both [-]
        brief: without what it hangs on and what the mass of further packs costs [-]
    Returns
        the estimate, or why there is none
    Valid
        packs full at the start, a steady mean load; hills and starts in the mean. No electrical braking.
    Raises
        NoRide: no such ride. ValueError: as of `rundown`.
    """
    rides = () if rider is not None else known_of(case.build, ride) + known
    return _range(case, packs, ride, air_k, health_fraction, rides, rider, brief)


@once
def _range(
    case: Case,
    packs: tuple[str, ...],
    name: str,
    air_k: float | None,
    health_fraction: float | None,
    known: tuple[KnownRide, ...],
    rider: Rider | Odd | Refusal | None,
    brief: bool,
) -> RangeEstimate | Refusal:
    counted, assumed = filled_case(case)
    try:
        rider = rider_of(case, name, known, health_fraction) if known else rider
        ride = resolved(counted, packs, name, air_k)
        extra_kg = _extra_kg(counted, packs)
        shares = shares_of(counted, packs, health_fraction)
    except Unknown as unknown:
        return Refusal("not known", unknown.part.path, unknown.attr, assumed)
    if isinstance(rider, Odd):
        return Refusal("fits no rider", f"ride.{name}", "", assumed)
    if isinstance(rider, Refusal):
        return rider
    fitted = None
    if rider is not None:
        fitted = fit(rider, ride, shares, untested_parts(counted, packs, health_fraction))
        ride, shares = fitted.ride, fitted.shares
    base = rate(ride.riding)
    spread = _Spread(ride, base)
    had = prod(each.likely for each in shares)
    worked_out = Band(*fitted.taken_j_per_m) if fitted else spread.band()
    scale = worked_out.likely / base.j_per_m if ride.measured else 1.0
    extra_j_per_m = scale * _for_mass_j_per_m(ride, base, extra_kg)
    # What more than one ordinary pack takes by its mass comes on top of the least.
    more_j_per_m = _for_mass_j_per_m(ride, base, ride.riding.packs_kg - ORDINARY_KG)
    least = 0.0 if ride.measured or fitted else least_j_per_m() + more_j_per_m
    needed = Band(*fitted.given_j_per_m) if fitted else _for_given(worked_out, least, shares)
    if fitted or brief:
        without = max(needed.likely / 2, needed.likely - extra_j_per_m / had)
    else:
        lighter = Band(*(max(0.0, each - extra_j_per_m) for each in worked_out))
        without = over_shares(lighter, max(0.0, least - extra_j_per_m), _had(shares), 0.5)
    taken = Band(
        min(max(least, worked_out.low), needed.likely * had),
        needed.likely * had,
        max(least, worked_out.high, needed.likely * had),
    )
    speed_m_s = 1 / base.s_per_m
    draw_w = max(LEAST_DRAW_W, taken.likely * speed_m_s - ride.riding.accessories_w)
    found = rundown(
        case,
        packs,
        load=Draw(power_w=draw_w),
        temperature_k=ride.air_k,
        health_fraction=health_fraction or 1.0,
        series=False,
    )
    if isinstance(found, Refusal):
        return found
    given_j = found.energy_to_load_j + found.taps_j
    usable_j = given_j * had
    return RangeEstimate(
        packs=packs,
        ride=ride,
        distance_m=Band(*(given_j / each for each in reversed(needed))),
        taken_j_per_m=taken,
        rate=base,
        given_j=given_j,
        usable_j=usable_j,
        label_j=found.label_energy_j,
        mean_w=taken.likely * speed_m_s,
        mean_a=_mean_a(found),
        speed_m_s=speed_m_s,
        ended=found.ended,
        extra_kg=extra_kg,
        extra_m=given_j / without - given_j / needed.likely,
        swings=() if brief else _swings(spread, shares, given_j),
        shares=shares,
        notes=tuple(_notes(case, ride, base, worked_out, least)),
        assumed=found.assumed,
        told=rider.told if rider else (),
    )


def least_j_per_m() -> float:
    """The least that is counted with: nobody pedals a town on less, whatever the physics says."""
    return figure("least energy", "pedalled").likely


class _End(NamedTuple):
    """One figure at one end of its span, and what that adds to (or takes from) the energy for a metre."""

    figure: Input
    at: float
    more_j_per_m: float


class _Spread:
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

    def _end(self, each: Input, value: float) -> _End:
        return _End(each, value, self({each.attr: value}) - self.likely_j_per_m)

    def over(self, shares: Sequence[Input]) -> list[tuple[_End, _End]]:
        """The ends when only a share of what the packs give is had, which swings too: as if more were taken."""
        had = prod(share.likely for share in shares)
        found = [
            (low._replace(more_j_per_m=low.more_j_per_m / had), high._replace(more_j_per_m=high.more_j_per_m / had))
            for low, high in self.ends
        ]
        worth = self.likely_j_per_m / had
        return found + [
            (
                _End(each, each.low, worth * (each.likely / each.low - 1)),
                _End(each, each.high, worth * (each.likely / each.high - 1)),
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

    def _together(self, ends: Sequence[_End]) -> float:
        """With all these figures moved at once, each by its part of the sum in quadrature."""
        whole = hypot(*(end.more_j_per_m for end in ends))
        return self(
            {
                end.figure.attr: end.figure.likely + (end.at - end.figure.likely) * abs(end.more_j_per_m) / whole
                for end in ends
            }
        )


def _for_given(taken: Band, least_j_per_m: float, shares: Sequence[Input]) -> Band:
    """What the packs have to give for each metre [J/m]: what is taken, none of it below the least, over what is had of
    what they give. 10, 50 and 90 % points: where the least bites, the rides above it still count."""
    had = _had(shares)
    return Band(*(over_shares(taken, least_j_per_m, had, chance) for chance in (0.1, 0.5, 0.9)))


def _had(shares: Sequence[Input]) -> Sequence[tuple[float, float]]:
    return had_of(tuple((each.low, each.likely, each.high) for each in shares))


def _swings(spread: _Spread, shares: Sequence[Input], given_j: float) -> tuple[Swing, ...]:
    """What each figure moves, the largest first; the packs' shares among them."""
    worth = spread.likely_j_per_m / prod(share.likely for share in shares)
    found = [
        Swing(low.figure, *(given_j / (worth + end.more_j_per_m) - given_j / worth for end in (low, high)))
        for low, high in spread.over(shares)
    ]
    return tuple(sorted(found, key=lambda each: -each.size_m))


def _extra_kg(case: Case, packs: tuple[str, ...]) -> float:
    """Mass of the packs beyond the lightest [kg]."""
    each_kg = [packs_kg(case.build, (name,)).likely for name in packs]
    return sum(each_kg) - min(each_kg)


def _for_mass_j_per_m(ride: RideInputs, base: Rate, kg: float) -> float:
    """What so many kilograms of the packs take [J/m]."""
    if kg <= 0.0:
        return 0.0
    return max(0.0, base.j_per_m - rate(swung(ride.riding, {"packs_kg": ride.riding.packs_kg - kg})).j_per_m)


def _mean_a(found: Rundown) -> float:
    return sum(pack.charge_out_coulomb for pack in found.packs) / found.duration_s if found.duration_s else 0.0


def _notes(case: Case, ride: RideInputs, base: Rate, worked_out: Band, least: float) -> Iterator[Note]:
    riding, bike = ride.riding, case.build.bike
    if riding.speed_m_s > riding.cut_m_s * (1 + 1e-9):
        yield Note("motor is silent", riding.speed_m_s, base.level.speed_m_s)
    if base.up.held_back:
        kind: NoteKind = "walks on hills" if base.up.speed_m_s < WALKING_M_S else "slows on hills"
        yield Note(kind, max(riding.slope_fraction, 2 * riding.climb_fraction), base.up.speed_m_s)
    if bike.rated_power_w is not None and base.level.motor_w > bike.rated_power_w:
        yield Note("beyond the rating", base.level.motor_w, bike.rated_power_w)
    if ride.throttle and bike.throttle != "full":
        yield Note("no throttle")
    if worked_out.likely <= least:
        yield Note("least counts", least, base.j_per_m)
    if dict(ride.basis)["limit of the drive"].startswith("not known"):
        yield Note("limit not known")
