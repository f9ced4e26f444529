"""How far a set of packs carries a ride: what to count on, what is likely, and what it hangs on.

What a ride takes for each metre comes from `needs`, what the packs give at that load from the rundown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import prod
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.discharge.course import EndedBy
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, rundown
from packyoke.analysis.ride.drive_power import Rate
from packyoke.analysis.ride.known import Odd, Rider, RideTold, known_of
from packyoke.analysis.ride.named import Input, RideInputs
from packyoke.analysis.ride.needs import Band, Spread, for_mass_j_per_m, needs, points
from packyoke.analysis.ride.spread import had_of, over_shares
from packyoke.core.constants import KM_H
from packyoke.model import Key, KnownRide

LEAST_DRAW_W = 1.0
OFF_SHARE = 0.01
"""How far off currents may seem to be in a step of which the energy alone counts: that is right to some millionths."""
WALKING_M_S = 6 * KM_H


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
    "there and back",
]
ONE_WAY = 0.002
"""A track that rises or falls more than that for each metre is one way: less may be the drift of a height meter."""


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
    ended: EndedBy
    extra_kg: float
    extra_m: float
    swings: tuple[Swing, ...]
    shares: tuple[Input, ...]
    notes: tuple[Note, ...]
    assumed: tuple[Key, ...]
    told: tuple[RideTold, ...] = ()

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
) -> RangeEstimate | NoRundown:
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
    rider: Rider | Odd | NoRundown | None,
    brief: bool,
) -> RangeEstimate | NoRundown:
    found = needs(case, packs, name, air_k, health_fraction, known, rider)
    if isinstance(found, NoRundown):
        return found
    ride, shares, needed, base = found.ride, found.shares, found.needed, found.base
    had_fraction = prod(each.likely for each in shares)
    extra_j_per_m = found.scale * for_mass_j_per_m(ride, base, found.extra_kg)
    if found.fitted or brief:
        without = max(needed.likely / 2, needed.likely - extra_j_per_m / had_fraction)
    else:
        lighter = Band(*(max(0.0, each - extra_j_per_m) for each in found.worked_out))
        without = over_shares(lighter, max(0.0, found.least_j_per_m - extra_j_per_m), had_of(points(shares)), 0.5)
    taken = Band(
        min(max(found.least_j_per_m, found.worked_out.low), needed.likely * had_fraction),
        needed.likely * had_fraction,
        max(found.least_j_per_m, found.worked_out.high, needed.likely * had_fraction),
    )
    speed_m_s = 1 / base.s_per_m
    draw_w = max(LEAST_DRAW_W, taken.likely * speed_m_s - ride.riding.accessories_w)
    course = rundown(
        case,
        packs,
        load=Draw(power_w=draw_w),
        temperature_k=ride.air_k,
        health_fraction=health_fraction or 1.0,
        series=False,
        off_share=OFF_SHARE,
    )
    if isinstance(course, NoRundown):
        return course
    given_j = course.energy_to_load_j + course.taps_j
    usable_j = given_j * had_fraction
    return RangeEstimate(
        packs=packs,
        ride=ride,
        distance_m=Band(*(given_j / each for each in reversed(needed))),
        taken_j_per_m=taken,
        rate=base,
        given_j=given_j,
        usable_j=usable_j,
        label_j=course.label_energy_j,
        mean_w=taken.likely * speed_m_s,
        mean_a=_mean_a(course),
        speed_m_s=speed_m_s,
        ended=course.ended,
        extra_kg=found.extra_kg,
        extra_m=given_j / without - given_j / needed.likely,
        swings=() if brief else _swings(found.spread, shares, given_j),
        shares=shares,
        notes=tuple(_notes(case, ride, base, found.worked_out, found.least_j_per_m)),
        assumed=course.assumed,
        told=found.told,
    )


def _swings(spread: Spread, shares: Sequence[Input], given_j: float) -> tuple[Swing, ...]:
    """What each figure moves, the largest first; the packs' shares among them."""
    worth = spread.likely_j_per_m / prod(share.likely for share in shares)
    found = [
        Swing(low.figure, *(given_j / (worth + end.more_j_per_m) - given_j / worth for end in (low, high)))
        for low, high in spread.over(shares)
    ]
    return tuple(sorted(found, key=lambda each: -each.size_m))


def _mean_a(found: Rundown) -> float:
    return sum(pack.charge_out_coulomb for pack in found.packs) / found.duration_s if found.duration_s else 0.0


def _notes(case: Case, ride: RideInputs, base: Rate, worked_out: Band, least: float) -> Iterator[Note]:
    riding, bike = ride.riding, case.build.bike
    if riding.speed_m_s > riding.cut_m_s * (1 + 1e-9):
        yield Note("motor is silent", riding.speed_m_s, base.level.speed_m_s)
    if base.up.held_back:
        kind: NoteKind = "walks on hills" if base.up.speed_m_s < WALKING_M_S else "slows on hills"
        yield Note(kind, riding.hill_fraction, base.up.speed_m_s)
    if bike.rated_power_w is not None and base.level.motor_w > bike.rated_power_w:
        yield Note("beyond the rating", base.level.motor_w, bike.rated_power_w)
    if ride.throttle and bike.throttle != "full":
        yield Note("no throttle")
    if worked_out.likely <= least:
        yield Note("least counts", least, base.j_per_m)
    if dict(ride.basis)["limit of the drive"].startswith("not known"):
        yield Note("limit not known")
    if ride.measured is None and abs(ride.rise_fraction) > ONE_WAY:
        yield Note("there and back", ride.rise_fraction, riding.climb_fraction)
