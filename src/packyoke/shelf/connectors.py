"""Connector families: cautious ratings, contact resistance, the wire they take, what can be touched."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from packyoke.core.sources import Source
from packyoke.shelf.tables import rows
from packyoke.shelf.wires import copper_area_m2

CONTACTS = ("pin and socket", "genderless", "joint")
_GENDERLESS = re.compile(r"genderless (\d{1,3}(?:\.\d+)?) ?a")
_JOINTS = ("joint", "joint solder", "joint crimp")


class Connector(NamedTuple):
    """One family of ends. No `per_contact_a`: the wire is what limits. `short_*` only where a time is stated.

    `keyed`: its shape lets plus meet plus only; contacts that come one by one are not (shape of the connectors).
    """

    family: str
    contacts: str
    both_poles_reachable: bool
    keyed: bool
    mains: bool
    per_contact_a: float | None
    short_a: float | None
    short_s: float | None
    contact_resistance_ohm: tuple[float, float]
    wire_m2: tuple[float, float] | None
    status: str
    source: Source
    locator: str


def connector(family: str) -> Connector | None:
    """The family of this name, compared without case; None when the shelf does not know it.

    `genderless 45 A` is a housing whose amps are part of its name; `joint` may be followed by solder or crimp.

    >>> connector("xt60").per_contact_a, connector("genderless 45 A").per_contact_a
    (30.0, 45.0)
    """
    name = " ".join(family.casefold().split())
    if name in _JOINTS:
        return _families()["joint"]
    match = _GENDERLESS.fullmatch(name)
    if match is not None and float(match[1]) > 0.0:
        rating_a = float(match[1])
        return _families()["genderless"]._replace(family=f"genderless {match[1]} A", per_contact_a=rating_a)
    return None if name == "genderless" else _families().get(name)


def connector_names() -> tuple[str, ...]:
    """Names of all families; that of a genderless housing goes on with its amps."""
    return tuple(found.family for found in _families().values())


@cache
def _families() -> dict[str, Connector]:
    found = {}
    for row in rows("connectors"):
        contacts = row.cells["contacts"]
        if contacts not in CONTACTS:
            raise ValueError(f"{row.file}, line {row.line}: contacts {contacts!r} are none of {', '.join(CONTACTS)}")
        thin, thick = row.cells["wire_thin"], row.cells["wire_thick"]
        wire_m2 = (_area_m2(thin) if thin else 0.0, _area_m2(thick)) if thick else None
        found[row.cells["family"].casefold()] = Connector(
            row.cells["family"],
            contacts,
            row.flag("both_poles_reachable"),
            row.flag("keyed"),
            row.flag("mains"),
            row.number_or_none("per_contact_a"),
            row.number_or_none("short_a"),
            row.number_or_none("short_s"),
            (row.number("lowest_mohm") * 1e-3, row.number("highest_mohm") * 1e-3),
            wire_m2,
            row.status,
            row.source,
            row.locator,
        )
    return found


def _area_m2(gauge: str) -> float:
    size, family = gauge.split()
    return copper_area_m2(family, float(size))
