"""A named ride of a build, or of the shelf, resolved: low, likely and high figures for everything, and who says so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf
from typing import Any, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import controller_load
from packyoke.analysis.harness.taps import packs_feeding
from packyoke.analysis.law import assist_limit_m_s
from packyoke.analysis.ride.drive_power import Riding
from packyoke.analysis.unknowns.spans import ends, known_energy_j, likely
from packyoke.model import FROM_SHOP, Build, Key, Ride, Unknown, known
from packyoke.physics.road import air_density_kg_m3
from packyoke.shelf import road
from packyoke.shelf.road import FigureSpan, ShelfRide

DEFAULT_RIDES = ("everyday", "loaded", "hard")
"""What is ridden when neither the file nor the shop says it."""
STANDARD_AIR_K = 288.15
FILE, SHOP, GUESS, ASSUMED = "the file", "the shop file", "a guess in the file", "assumed"


class Input(NamedTuple):
    """One figure of a ride: `attr` of `Riding`, its 10 % point, what is likely, its 90 % point, and who says so."""

    attr: str
    low: float
    likely: float
    high: float
    basis: str

    @property
    def known(self) -> bool:
        """Whether it is taken as it stands."""
        return self.low == self.high


class RideInputs(NamedTuple):
    """A ride with everything that the range model needs.

    `measured` replaces what is worked out: energy for each metre, low, likely, high. `basis` tells where what is not
    an input comes from: air, cut-off speed, limit of the drive. `rise_fraction`: how much higher its track ends than it
    starts, for each metre; the hills are there and back.
    """

    name: str
    about: str
    inputs: tuple[Input, ...]
    riding: Riding
    air_k: float
    measured: Input | None
    throttle: bool
    gpx: str | None
    basis: tuple[tuple[str, str], ...]
    rise_fraction: float = 0.0


class NoRide(KeyError):
    """No ride of this name, neither in the build nor on the shelf."""


def rides_of(build: Build) -> tuple[str, ...]:
    """The rides that are answered when nobody names any: those of the file, else three of the shelf."""
    return tuple(build.rides) or DEFAULT_RIDES


def known_rides(build: Build) -> tuple[str, ...]:
    """Names of all rides: of the file, then of the shelf."""
    return tuple(dict.fromkeys((*build.rides, *road.ride_names())))


def resolved(case: Case, packs: Sequence[str], name: str, air_k: float | None = None) -> RideInputs:
    """A ride with what the file says, else what the shelf's ride of that name says, else what its everyday ride says.

    Parameters
        case: a build in which what printed numbers need is filled (`filled_case`) [-]
        packs: the packs that are on the bike [-]
        name: the ride [-]
        air_k: air on the ride, instead of what the file says [K]
    Returns
        its figures [kg], [m/s], [W], [-]
    Raises
        NoRide: no such ride. Unknown: a capacity or chemistry without which the packs have no mass.
    """
    build = case.build
    found = next((ride for key, ride in build.rides.items() if key.casefold() == name.casefold()), None)
    if found is not None and found.gpx is not None and found.hills_fraction is None:
        raise Unknown(found, "gpx")
    shelf = road.ride(name)
    if found is None and shelf is None:
        raise NoRide(name)
    named = shelf if shelf is not None else road.ride("everyday")
    assert named is not None, "the shelf has an everyday ride"
    throttle = found.assist == "throttle" if found and found.assist else named.spans["rider power"].high == 0.0
    inputs = tuple(_inputs(build, packs, found, named, throttle))
    air_k = air_k if air_k is not None else found.air_k if found and found.air_k is not None else STANDARD_AIR_K
    cut_m_s, cut_basis = _cut_off(build)
    most_w, most_basis = _most_w(case, packs)
    accessories_w = _accessories_w(case, packs)
    riding = Riding(
        **{each.attr: each.likely for each in inputs},
        air_kg_m3=air_density_kg_m3(air_k),
        drive=road.drive(build.bike.drive_type),
        cut_m_s=cut_m_s,
        most_w=most_w,
        accessories_w=accessories_w,
    )
    measured = None
    if found and found.measured_j_per_m is not None:
        spread = road.figure("as stated", "measured")
        worth = found.measured_j_per_m
        measured = Input("measured", worth * spread.low, worth, worth * spread.high, FILE)
    basis = (("cut-off speed", cut_basis), ("limit of the drive", most_basis))
    about = "" if found else named.about
    gpx, rise = (found.gpx, found.rise_fraction) if found else (None, 0.0)
    name = found.name if found else named.name
    return RideInputs(name, about, inputs, riding, air_k, measured, throttle, gpx, basis, rise)


def swung(riding: Riding, changed: Mapping[str, float]) -> Riding:
    """The same ride with some figures changed, kept to what can be."""
    values: dict[str, Any] = {}
    for name, value in changed.items():
        low, high = _BOUNDS.get(name, (0.0, inf))
        values[name] = min(max(value, low), high)
    return riding._replace(**values)


_BOUNDS = {
    "speed_m_s": (1.5, inf),
    "slope_fraction": (0.005, inf),
    "drag_area_m2": (0.2, inf),
    "rolling_factor": (0.002, inf),
    "efficiency_fraction": (0.3, 0.95),
    "pedalling_fraction": (0.0, 1.0),
    "braked_fraction": (0.0, 1.0),
    "rider_kg": (30.0, inf),
    "bike_kg": (8.0, inf),
}
"""Spans end at 10 and 90 %: what lies beyond their ends still has to be possible."""


_STATED = {
    "speed_m_s": "speed",
    "rider_w": "rider power",
    "assist_ratio": "assist ratio",
    "climb_fraction": "climb",
    "wind_m_s": "wind",
    "stops_per_m": "stops",
}
"""What a customer tells is right to within a share of it, by the table; what was weighed is right."""
_FROM_RIDE = (
    ("rider_kg", "rider_kg", "rider"),
    ("speed_m_s", "speed_m_s", "speed"),
    ("climb_fraction", "hills_fraction", "climb"),
    ("wind_m_s", "wind_m_s", "wind"),
    ("stops_per_m", "stops_per_m", "stops"),
)
"""Input, field of the ride, quantity of the shelf."""


def _inputs(
    build: Build, packs: Sequence[str], found: Ride | None, named: ShelfRide, throttle: bool
) -> Iterator[Input]:
    for attr, field, quantity in _FROM_RIDE:
        yield _ridden(build, found, named, attr, field, quantity)
    yield from _assist(build, found, named, throttle)
    yield _load(build, found, named)
    yield _bike(build)
    yield packs_kg(build, packs)
    yield _words("drag_area_m2", "drag area", _word(build, found, "position"), named)
    yield _words("rolling_factor", "rolling resistance", _word(build, found, "surface"), named)
    yield _plain("efficiency_fraction", road.drive(build.bike.drive_type).efficiency)
    yield _plain("slope_fraction", road.figure("hill slope"))
    yield _plain("braked_fraction", road.figure("braked share"))
    yield _plain("pedalling_fraction", road.figure("pedalling share"))
    yield _plain("auxiliaries_w", road.figure("auxiliaries"))


def _ridden(build: Build, found: Ride | None, named: ShelfRide, attr: str, field: str, quantity: str) -> Input:
    """A figure of the ride: as the file says it, with how far a word of mouth may be off; else the shelf's."""
    value = getattr(found, field) if found else None
    if found is not None and value is not None:
        spread = road.figure("as stated", _STATED[attr]) if attr in _STATED else None
        low, high = (spread.low, spread.high) if spread else (1.0, 1.0)
        return Input(attr, low * value, value, high * value, _says(build, found))
    fallback = road.ride("everyday")
    assert fallback is not None
    span = named.spans.get(quantity) or fallback.spans[quantity]
    guess = build.guesses.get(Key(found.path, field)) if found else None
    if guess is not None:
        return Input(attr, min(span.low, guess), guess, max(span.high, guess), GUESS)
    return Input(attr, span.low, span.likely, span.high, f"ride {named.name} of the shelf")


def _assist(build: Build, found: Ride | None, named: ShelfRide, throttle: bool) -> Iterator[Input]:
    if throttle:
        basis = _says(build, found) if found and found.assist else f"ride {named.name} of the shelf"
        yield Input("rider_w", 0.0, 0.0, 0.0, basis)
        yield Input("assist_ratio", 0.0, 0.0, 0.0, basis)
    elif found and found.assist_ratio:
        yield Input("rider_w", 0.0, 0.0, 0.0, _says(build, found))
        yield _ridden(build, found, named, "assist_ratio", "assist_ratio", "rider power")
    else:
        yield _ridden(build, found, named, "rider_w", "rider_w", "rider power")
        yield Input("assist_ratio", 0.0, 0.0, 0.0, "the rider's power counts")


def _load(build: Build, found: Ride | None, named: ShelfRide) -> Input:
    if found and found.load_kg is not None:
        return Input("load_kg", found.load_kg, found.load_kg, found.load_kg, _says(build, found))
    racks_kg = sum(rack.load_kg for rack in build.racks.values())
    more = named.spans.get("more load") if found is None else None
    if more is None:
        return Input("load_kg", racks_kg, racks_kg, racks_kg, "what the file puts on the racks")
    basis = f"what the file puts on the racks, and ride {named.name} of the shelf"
    return Input("load_kg", racks_kg + more.low, racks_kg + more.likely, racks_kg + more.high, basis)


def _bike(build: Build) -> Input:
    bike = build.bike
    if bike.mass_kg is not None:
        return Input("bike_kg", bike.mass_kg, bike.mass_kg, bike.mass_kg, FILE)
    low_kg, high_kg = ends(build, bike, "mass_kg")
    basis = GUESS if (bike.path, "mass_kg") in build.guesses else ASSUMED
    worth_kg = likely(build, bike, "mass_kg")
    return Input("bike_kg", min(low_kg, worth_kg), worth_kg, max(high_kg, worth_kg), basis)


def packs_kg(build: Build, packs: Sequence[str]) -> Input:
    """The packs that are on the bike, as weighed, else 5 to 6 kg for each kWh."""
    sums, guessed = [0.0, 0.0, 0.0], False
    for name in packs:
        pack = build.packs[name]
        if pack.mass_kg is not None:
            each = (pack.mass_kg,) * 3
        else:
            known_energy_j(pack)
            low_kg, high_kg = ends(build, pack, "mass_kg")
            worth_kg = likely(build, pack, "mass_kg")
            each, guessed = (min(low_kg, worth_kg), worth_kg, max(high_kg, worth_kg)), True
        sums = [total + more for total, more in zip(sums, each, strict=True)]
    low_kg, likely_kg, high_kg = sums
    return Input("packs_kg", low_kg, likely_kg, high_kg, "5 to 6 kg for each kWh" if guessed else FILE)


def _word(build: Build, found: Ride | None, field: str) -> str | None:
    """A word of the file, or a guess at it."""
    if found is None:
        return None
    word: str | None = getattr(found, field)
    return word if word is not None else build.guesses.get(Key(found.path, field))


def _words(attr: str, quantity: str, word: str | None, named: ShelfRide) -> Input:
    """A figure that hangs on a word of the file."""
    if word is None and quantity in named.spans:
        span = named.spans[quantity]
        return Input(attr, span.low, span.likely, span.high, f"ride {named.name} of the shelf")
    span = road.figure(quantity, word or road.UNKNOWN)
    return Input(attr, span.low, span.likely, span.high, f"{word}, in the file" if word else ASSUMED)


def _plain(attr: str, span: FigureSpan) -> Input:
    return Input(attr, span.low, span.likely, span.high, ASSUMED)


def _says(build: Build, ride: Ride | None) -> str:
    """Whether a ride stands in the build file or came from the shop's."""
    from_shop = any(each.basis == FROM_SHOP and each.text.startswith("ride") for each in build.stated)
    return SHOP if ride is not None and from_shop else FILE


def _cut_off(build: Build) -> tuple[float, str]:
    """Above which speed the motor no longer helps: of the bike, else of the region, else none [m/s]."""
    if build.bike.assist_limit_m_s is not None:
        return build.bike.assist_limit_m_s, FILE
    found_m_s = assist_limit_m_s(build.region)
    return (found_m_s, f"region {build.region}") if found_m_s is not None else (inf, "none on file")


def _most_w(case: Case, packs: Sequence[str]) -> tuple[float, str]:
    """What the controllers let the drive take all the time, at the voltage of the label [W]."""
    build = case.build
    try:
        amps_a = sum(controller_load(case, name, tuple(packs)).continuous_a for name in build.controllers)
        return amps_a * nominal_v(build, packs), "battery current of the controller, all the time"
    except Unknown:
        return inf, "not known: taken as enough for the hills"


def _accessories_w(case: Case, packs: Sequence[str]) -> float:
    """What accessories that these packs feed draw all the time [W]."""
    build = case.build
    fed = [
        each for each in build.accessories.values() if {pack.name for pack in packs_feeding(case, each.name)} & {*packs}
    ]
    amps_a = sum(known(each.current_a, each, "current_a") for each in fed)
    return amps_a * nominal_v(build, packs) if amps_a else 0.0


def nominal_v(build: Build, packs: Sequence[str]) -> float:
    """Voltage of these packs as their labels count it, by charge [V]."""
    chosen = [build.packs[name] for name in packs]
    coulomb = sum(known(pack.capacity_coulomb, pack, "capacity_coulomb") for pack in chosen)
    return sum(known_energy_j(pack) for pack in chosen) / coulomb
