"""A ride that the customer reports, and that no rider and no sound pack explains.

What
    The file says how far a ride went on a charge. Nobody gets that little, or that much, on it with
    these packs: not by speed, load, hills or wind, nor by what packs of this age usually have left.
Why
    A worn pack shows here first: it takes a full charge in half the time and carries half as far.
    Else something drags, or a figure was read wrong; then every range that rests on it is wrong too.
Limit
    All that is not known of rider, bike, road and packs is moved by as little as explains the ride.
    Where that is more than three standard deviations the ride fits nobody; with several known rides
    3 of 1000 riders are beyond the limit for all of them together. Where the capacity of one of its
    packs is a guess or not in the file, or its track was not read, no ride is held against it.
Do
    Test the pack's capacity, look for a brake or a tyre that drags, and read distance and charge
    again. Take the ride out of the file where it was another way than its lines say.
Rider notices
    far less range than before; a pack that is full soon and empty soon
Fails
    in skerry-long-tail
    ride.everyday.known: {packs: [keel], from: 100 %, to: 20 %, distance: 12 km}
Passes
    in skerry-long-tail
    ride.everyday.known: {packs: [keel], from: 100 %, to: 20 %, distance: 48 km}
Sources
    The line of three standard deviations, chi square of 9 with one degree of freedom, is our own
    choice (judgement). What riders and roads take: the sources of the range.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.ride.known import Odd, known_of, odd_of
from packyoke.core.findings import Severity, clean, percent
from packyoke.core.tape import far
from packyoke.core.units import Kind, show
from packyoke.model import KnownRide, Ride
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule


class RideWords(NamedTuple):
    """What is said of such a ride, wherever it is said: what is, how far off, what to look at."""

    message: str
    why: str
    do: str


def rides(case: Case) -> Iterable[Ride]:
    return [each for each in case.build.rides.values() if each.known]


def check(case: Case, ride: Ride) -> Outcome:
    ways: tuple[Ride | KnownRide, ...] = (ride, *ride.known)
    if any(each.gpx is not None and each.hills_fraction is None for each in ways):
        return None  # the climb is in a track that was not read
    known = known_of(case.build, ride.name)
    packs = {name: case.build.packs[name] for each in known for name in each.packs}
    if any(if_known(counted_capacity_coulomb, each) is None for each in packs.values()):
        return None  # held against a capacity that is a guess, it would say more of the guess than of the ride
    found = odd_of(case, ride.name, known)
    if not isinstance(found, Odd):
        return PASSED
    said = words(found)
    return Failed(
        severity=Severity.CAUTION,
        message=said.message,
        why=said.why,
        do=said.do,
        field="known",
        also=(found.ride,) if len(known) > 1 else (),
        cause="less" if found.ride.distance_m < found.likely_m[1] else "more",
    )


def words(odd: Odd, system: str = "metric") -> RideWords:
    """That no rider rides like this, by how much, and what to look at."""
    said, way_m = ride_words(odd.ride, system), odd.ride.distance_m
    low_m, likely_m, high_m = odd.likely_m
    if not odd.alone:
        return RideWords(
            f"{said} does not go with the other known rides",
            "One rider on one bike does not ride as differently as that.",
            "Take out the one that was another way, or read wrong.",
        )
    usual = f"On that charge most riders get {far(low_m, system)} to {far(high_m, system)}"
    if way_m < likely_m:
        return RideWords(
            f"{said} fits no rider",
            f"{usual}; this is {percent(way_m / likely_m)} of what is likely.",
            "Is the pack worn (test its capacity), does a brake or tyre drag, were distance and charge read right?",
        )
    return RideWords(
        f"{said} fits no rider",
        f"{usual}.",
        "Was it charged on the way, ridden with the motor off, or is the distance wrong?",
    )


def ride_words(ride: KnownRide, system: str = "metric") -> str:
    """`42 km from 100 % to 20 % with keel`."""
    packs = " + ".join(clean(name) for name in ride.packs)
    ends = f"from {percent(ride.from_fraction)} to {percent(ride.to_fraction)}"
    air = f" at {show(ride.air_k, Kind.TEMPERATURE)}" if ride.air_k is not None else ""
    return f"{far(ride.distance_m, system)} {ends} with {packs}{air}"


RULE = Rule(
    name="ride-fits-nobody",
    kind="wear",
    doubt="whether anybody rides as it is said",
    page=__doc__ or "",
    basis=("judgement",),
    parts=rides,
    check=check,
    gravest=Severity.CAUTION,
)
