"""Rides that a customer has really ridden: as typed, and what they told, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.ride.known import Odd, RideTold, known_of, rider_of
from packyoke.answers.typed import WrongInput, pack_names, quantity
from packyoke.core.findings import Span, clean, percent
from packyoke.core.paths import path_inside, path_to
from packyoke.core.tape import far
from packyoke.core.units import Kind, show
from packyoke.model import Build, KnownRide, Unknown
from packyoke.model.fields import field_for
from packyoke.rules.ride_fits_nobody import ride_words, words

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
    path = path_inside(path_to("ride", "everyday"), "known")
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
        raise odd_one(found, typed, system)


def odd_one(odd: Odd, typed: Sequence[KnownRide], system: str) -> WrongInput:
    """What the check says of a ride that fits nobody, in one go, and where the ride stands."""
    where = "--known" if odd.ride in typed else f"{odd.ride.path}, line {odd.ride.span.line}"
    said = words(odd, system)
    return WrongInput(f"{where}: {said.message}. {said.why} {said.do}")


def told_words(told: tuple[RideTold, ...], system: str) -> Iterator[str]:
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
