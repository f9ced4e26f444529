"""A set of packs on a route: likely, and with all that the range counts on going wrong together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from math import prod
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.drive_power import Riding, on_route, starts_j_per_m
from packyoke.analysis.ride.on_route import Along, along
from packyoke.analysis.ride.pieces import Piece, Route
from packyoke.analysis.ride.reach import RangeEstimate, range_of


class Routed(NamedTuple):
    """A route with a set of packs. `careful` is to be counted on: the same ride with what is left of the packs after
    everything that may go wrong, as in the range's low figure. `heights_known`: else hills are those of the ride."""

    packs: tuple[str, ...]
    mean: RangeEstimate
    likely: Along
    careful: Along
    heights_known: bool

    @property
    def arrives(self) -> bool:
        return self.careful.ended == "arrived"


def routed(
    case: Case,
    packs: tuple[str, ...],
    ride: str,
    route: Route,
    *,
    start: Mapping[str, float] | None = None,
    air_k: float | None = None,
    health_fraction: float | None = None,
) -> Routed | NoRundown:
    """Ride a route.

        P_k = on_route(grade_k) x w/w_physics, Q = Q_marked x share x (s_low/s_likely)

    Parameters
        packs: names of the packs that are on the bike and plugged in [-]
        ride: whose rider, speed, load and weather [-]
        route: with at least one piece [m]
        start: states of charge by name; full where there is none [-]
        air_k, health_fraction: as of `range_of` [K], [-]
    Returns
        the packs along the way, or why it cannot be said
    Valid
        as `range_of` and `along`. Where the heights of a piece are not known it takes the mean of the ride.
    Raises
        NoRide: no such ride. ValueError: a route without pieces; as of `rundown`.
    """
    mean = range_of(case, packs, ride, air_k=air_k, health_fraction=health_fraction)
    if isinstance(mean, NoRundown):
        return mean
    riding, worth = mean.ride.riding, mean.taken_j_per_m.likely / mean.rate.j_per_m
    ridden = _ridden(case, riding)

    def power_of(piece: Piece) -> tuple[float, float]:
        if piece.grade_fraction is None:
            return mean.mean_w - riding.accessories_w, piece.length_m / mean.speed_m_s
        power_w, taken_s = ridden(piece.length_m, piece.grade_fraction)
        return power_w * worth, taken_s

    share = prod(each.likely for each in mean.shares)
    low = mean.distance_m.low / mean.distance_m.likely if mean.distance_m.likely else 1.0
    runs = []
    for given in (share, share * low):
        run = along(
            case,
            packs,
            route.pieces,
            power_of,
            start=start,
            temperature_k=mean.ride.air_k,
            health_fraction=health_fraction or 1.0,
            given_fraction=given,
        )
        if isinstance(run, NoRundown):
            return run
        runs.append(run)
    return Routed(packs, mean, runs[0], runs[1], all(piece.grade_fraction is not None for piece in route.pieces))


@once
def _ridden(_case: Case, riding: Riding) -> Callable[[float, float], tuple[float, float]]:
    """`on_route` of one way to ride, by length and grade: sets of packs of one mass ride the same pieces."""
    start_j_per_m = starts_j_per_m(riding)

    @cache
    def ridden(length_m: float, grade_fraction: float) -> tuple[float, float]:
        return on_route(riding, length_m, grade_fraction, start_j_per_m)

    return ridden
