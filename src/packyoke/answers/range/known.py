"""Rides that a customer has really ridden: as typed, and what they told, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.ride.known import Odd, Told, known_of, rider_of
from packyoke.answers.range.words import far
from packyoke.answers.typed import WrongInput, pack_names, quantity
from packyoke.core.findings import Span, clean, percent
from packyoke.core.units import Kind, show
from packyoke.model import Build, KnownRide, Unknown
from packyoke.model.fields import field_for

_TYPED = re.compile(r"(?P<way>.+?) from (?P<first>.+?) to (?P<last>.+?)(?: with (?P<packs>.+?))?(?: at (?P<air>.+))?")
EXAMPLE = '"42 km from 100 % to 20 % with keel"'
LEAST_FRACTION = 0.2


def typed_ride(build: Build, text: str) -> KnownRide:
    """What stands after --known, for example `42 km from 100 % to 20 % with keel, pannier at 5 degC`."""
    found = _TYPED.fullmatch(" ".join(text.split()))
    if found is None:
        raise WrongInput(f'--known "{clean(text)}": write for example {EXAMPLE}')
    if found["packs"] is None and len(build.packs) > 1:
        raise WrongInput(f'--known "{clean(text)}": with which packs? Write for example {EXAMPLE}')
    packs = pack_names(build, found["packs"]) if found["packs"] else tuple(build.packs)
    values: dict[str, Any] = {
        "distance_m": quantity(found["way"], Kind.LENGTH, "--known", EXAMPLE),
        "from_fraction": _state(found["first"]),
        "to_fraction": _state(found["last"]),
    }
    if found["air"]:
        values["air_k"] = quantity(found["air"], Kind.TEMPERATURE, "--known", '"42 km from 100 % to 20 % at 5 degC"')
    path = "ride.everyday.known"
    for attr, value in values.items():
        row = field_for(path, attr)
        assert row.low is not None
        assert row.high is not None
        if not row.low - 1e-9 <= value <= row.high + 1e-9:
            kind = Kind[row.kind.upper()]
            raise WrongInput(
                f'--known "{clean(text)}": {show(value, kind)} is out of bounds; between {show(row.low, kind)} and '
                f"{show(row.high, kind)} is read"
            )
    if values["from_fraction"] - values["to_fraction"] < LEAST_FRACTION - 1e-9:
        raise WrongInput(
            f'--known "{clean(text)}": that says too little; at least {percent(LEAST_FRACTION)} of the charge must go'
        )
    place = Span(1, 1, 1, 1)
    return KnownRide(name="known ride", path=path, span=place, spans={}, packs=packs, **values)


def _state(text: str) -> float:
    """A state of charge; `100` is 100 %."""
    return quantity(f"{text} %" if text.isdigit() else text, Kind.FRACTION, "--known", EXAMPLE)


def must_fit(case: Case, ride: str, typed: tuple[KnownRide, ...], health_fraction: float | None, system: str) -> None:
    """Raises WrongInput where no rider rides as it is said."""
    rides = known_of(case.build, ride) + typed
    try:
        found = rider_of(case, ride, rides, health_fraction) if rides else None
    except Unknown:
        return
    if isinstance(found, Odd):
        where = "--known" if found.ride in typed else f"{found.ride.path}, line {found.ride.span.line}"
        raise WrongInput(f"{where}: {odd_words(found, system)}")


def ride_words(ride: KnownRide, system: str) -> str:
    """`42 km from 100 % to 20 % with keel`."""
    packs = " + ".join(clean(name) for name in ride.packs)
    ends = f"from {percent(ride.from_fraction)} to {percent(ride.to_fraction)}"
    air = f" at {show(ride.air_k, Kind.TEMPERATURE)}" if ride.air_k is not None else ""
    return f"{far(ride.distance_m, system)} {ends} with {packs}{air}"


def odd_words(odd: Odd, system: str) -> str:
    """That no rider rides like this, by how much, and what to look at."""
    low_m, likely_m, high_m = odd.likely_m
    said, way_m = ride_words(odd.ride, system), odd.ride.distance_m
    if not odd.alone:
        return f"{said} does not go with the other known rides. Take out the one that was another way, or read wrong."
    usual = f"on that charge most riders get {far(low_m, system)} to {far(high_m, system)}"
    if way_m < likely_m:
        share = percent(way_m / likely_m)
        return (
            f"{said} fits no rider: {usual}; this is {share} of what is likely. Is the pack worn (test its capacity), "
            "does a brake or tyre drag, were distance and charge read right?"
        )
    return (
        f"{said} fits no rider: {usual}. Was it charged on the way, ridden with the motor off, or is the distance "
        "wrong?"
    )


def told_words(told: tuple[Told, ...], system: str) -> Iterator[str]:
    """What each known ride told of the rider."""
    for each in told:
        farther = round(100 * each.farther_fraction)
        said = (
            f"{farther} of 100 riders get farther"
            if 1 <= farther <= 99
            else ("nearly every rider gets farther" if farther > 99 else "hardly any rider gets farther")
        )
        yield (
            f"{ride_words(each.ride, system)}. For a rider of whom nothing is known {far(each.anybody_m, system)} "
            f"is likely; {said}."
        )
