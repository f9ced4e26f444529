"""A ride with a set of packs after the rides that are known of its rider: every figure, and what it takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from packyoke.analysis.ride.known import Outing, Rider, next_day, usable_fraction
from packyoke.analysis.ride.named import Input, RideInputs, swung
from packyoke.analysis.ride.spread import LowToHigh, at_deviation

FITTED = "fitted to the known ride"
KEPT = 256
"""Rides with what each draw takes on them that are kept."""


class Fitted(NamedTuple):
    """`given_j_per_m` is what packs must hold by the rundown, with one ride after another; 10, 50 and 90 % points."""

    ride: RideInputs
    shares: tuple[Input, ...]
    taken_j_per_m: LowToHigh
    given_j_per_m: LowToHigh


def fit(rider: Rider, ride: RideInputs, shares: Sequence[Input], untested: Mapping[str, float]) -> Fitted:
    """The ride after the known rides.

    Parameters
        rider: of `rider_of` for the same ride
        ride: with these packs, as nobody knows the rider [-]
        shares: what is had of what the packs give, likewise [-]
        untested: the part of each pack that nobody has tested, of `untested_parts` [-]
    Returns
        figures and shares with their points after the rides; what is taken and given for each metre [J/m]
    """
    outing = Outing(ride, untested, rider.packs)
    at = list(rider.at(outing.keys))

    def moved(each: Input) -> Input:
        found = outing.bands.get(each.attr)
        if found is None:
            return each
        key, band = found
        return _at(each, rider.points([at_deviation(band, one[key]) for one in at]))

    inputs = tuple(moved(each) for each in ride.inputs)
    riding = swung(ride.riding, {each.attr: each.likely for each in inputs})
    measured = moved(ride.measured) if ride.measured else None
    usable = rider.points([usable_fraction(each) for each in at])
    left = rider.points([outing.untested_fraction(each) for each in at])
    after = tuple(_at(each, usable if each.attr == "usable" else left) for each in shares)
    found = ride._replace(inputs=inputs, riding=riding, measured=measured)
    taken = rider.points(_taken_j_per_m(rider, ride))
    return Fitted(found, after, taken, given_j_per_m(rider, ride, untested))


def given_j_per_m(rider: Rider, ride: RideInputs, untested: Mapping[str, float]) -> LowToHigh:
    """What packs must hold by the rundown for each metre after the known rides [J/m]; parameters as of `fit`."""
    outing = Outing(ride, untested, rider.packs)
    had = [outing.had_fraction(each) for each in rider.at(outing.keys)]
    taken = _taken_j_per_m(rider, ride)
    return rider.points([energy / share * day for energy, share, day in zip(taken, had, next_day(), strict=True)])


@lru_cache(maxsize=KEPT)
def _taken_j_per_m(rider: Rider, ride: RideInputs) -> tuple[float, ...]:
    """What is taken for each metre, for each draw of the rider [J/m]: the same of packs that weigh the same."""
    outing = Outing(ride, {}, rider.packs)
    return tuple([outing.taken_j_per_m(each) for each in rider.at(outing.keys)])


def _at(each: Input, points: LowToHigh) -> Input:
    low, likely, high = points
    return each._replace(low=low, likely=likely, high=high, basis=FITTED)
