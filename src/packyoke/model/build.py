"""One bike: everything that a build file says, and the way to ask what would be if one thing were different."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple, TypeVar

from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Span
from packyoke.core.paths import BUILD, PartPath, steps_of
from packyoke.model.parts import (
    OPEN_RUN,
    Acceptance,
    Accessory,
    Bike,
    Charger,
    ConnectorPart,
    Controller,
    Joiner,
    Lead,
    Measured,
    Pack,
    Part,
    Place,
    Rack,
    Ride,
    Run,
    RunBetween,
)
from packyoke.model.shop import ShelfItem

T = TypeVar("T")


class Key(NamedTuple):
    """Which field of which part. Equal to the plain pair, by which it may be looked up."""

    path: PartPath
    attr: str


class Unknown(Exception):
    """Something that decides was not written in the file, or only guessed."""

    def __init__(self, part: Part, attr: str) -> None:
        super().__init__(f"{part.path}: {attr} is not known")
        self.part = part
        self.attr = attr


def known(value: T | None, part: Part, attr: str) -> T:
    """The value, needed for a verdict. Raises Unknown, for whoever tries the ends of its span."""
    if value is None:
        raise Unknown(part, attr)
    return value


FROM_SHOP = "from the shop file"
"""Where a value comes from that the build inherits; said wherever the value is told."""


class Stated(NamedTuple):
    """A value that was not written as such: deduced, assumed by default or taken from the shop file (`origin`:
    file and line there)."""

    part: PartPath
    text: str
    basis: str
    origin: str = ""


class Build(Part):
    """A bike as described. Guesses (`18 A ?`) stand as None in the parts and as numbers in `guesses`.

    Where something was measured the reading stands in its part, and `described` has what the file says instead.
    `items` says which parts are one of the shop's shelf, by its name there; `shelf` is all that the shop has.
    `today` (ISO 8601) decides which acceptances have run out; empty: dates are not compared.
    `lead_insulation` and `lead_run` are those of leads that the file does not draw yet; those that it draws have them.
    """

    file: str = ""
    ticket: str = ""
    status: str = "quoted"
    recheck: str | None = None
    region: str = "other"
    warmest_k: float = 303.15
    coldest_k: float = ZERO_C_K
    bike: Bike
    racks: Mapping[str, Rack]
    packs: Mapping[str, Pack]
    joiners: Mapping[str, Joiner]
    leads: Mapping[str, Lead]
    controllers: Mapping[str, Controller]
    accessories: Mapping[str, Accessory]
    chargers: Mapping[str, Charger]
    connectors: Mapping[str, ConnectorPart]
    lead_insulation: str | None = None
    lead_run: Run = OPEN_RUN
    sets: tuple[tuple[str, ...], ...] | None = None
    places: Mapping[str, Place]
    runs: tuple[RunBetween, ...] = ()
    rides: Mapping[str, Ride]
    measured: tuple[Measured, ...] = ()
    accept: tuple[Acceptance, ...] = ()
    guesses: Mapping[Key, Any]
    described: tuple[tuple[Key, Any], ...] = ()
    items: Mapping[PartPath, str]
    stated: tuple[Stated, ...] = ()
    shop: str = ""
    shelf: tuple[ShelfItem, ...] = ()
    today: str = ""

    def part(self, path: PartPath) -> Part:
        """The part at a path as findings print it: `packs.keel`, `packs.keel.fuse`, `controller`, `accept.1`."""
        if path == BUILD:
            return self
        section, name, sub = steps_of(path)
        if section == "bike":
            return self.bike
        parts: Any = getattr(self, section)
        part: Part = parts[int(name) - 1] if isinstance(parts, tuple) else parts[name]
        return getattr(part, sub) if sub else part

    def with_value(self, path: PartPath, attr: str, value: Any) -> Build:
        """The same build with one field changed."""
        if path == BUILD:
            return self.but(**{attr: value})
        return self.with_part(path, self.part(path).but(**{attr: value}))

    def with_part(self, path: PartPath, part: Part) -> Build:
        """The same build with another part in the place of one that has a name, or of the bike."""
        section, name, sub = steps_of(path)
        if section == "bike":
            return self.but(bike=part)
        parts: Mapping[str, Part] = getattr(self, section)
        if sub:
            part = parts[name].but(**{sub: part})
        return self.but(**{section: {**parts, name: part}})


NOWHERE = Span(1, 1, 1, 1)
