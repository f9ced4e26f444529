"""What a ride takes: drag areas, rolling resistance, drives and named rides, each as a span with its likely value."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from packyoke.core.constants import KM_H, WH_J
from packyoke.core.sources import Source
from packyoke.shelf.tables import BadTable, Row, rows

SI: Mapping[str, float] = {
    "1": 1.0,
    "m": 1.0,
    "m2": 1.0,
    "m/s": 1.0,
    "W": 1.0,
    "kg": 1.0,
    "ohm": 1.0,
    "V s": 1.0,
    "N m": 1.0,
    "km/h": KM_H,
    "m/km": 1e-3,
    "1/km": 1e-3,
    "Wh/km": WH_J / 1000,
}
RIDE_QUANTITIES = (
    "rider",
    "more load",
    "speed",
    "climb",
    "wind",
    "stops",
    "rider power",
    "drag area",
    "rolling resistance",
)
UNKNOWN = "unknown"
REFERENCE_W, REFERENCE_M_S = 150.0, 25 * KM_H
"""Power at the wheel and road speed for which the efficiencies of the table hold."""


class FigureSpan(NamedTuple):
    """A figure that is not known closely: its 10 % point, what is likely, its 90 % point; SI."""

    low: float
    likely: float
    high: float
    source: Source
    locator: str
    status: str


class Drive(NamedTuple):
    """A kind of drive: efficiency from battery to wheel at 150 W and 25 km/h, and the shape of its two losses.

    `shape`: the drive whose losses are taken. `geared`: the rider's gears keep the motor near one speed, whatever the
    road speed is.
    """

    type: str
    shape: str
    efficiency: FigureSpan
    friction_j: float
    resistance_ohm: float
    emf_v_s: float
    control_w: float
    wheel_m: float
    geared: bool


class ShelfRide(NamedTuple):
    """A named way of riding. `spans` by quantity; without rider power above 0 nobody pedals."""

    name: str
    about: str
    spans: Mapping[str, FigureSpan]


@cache
def drive(kind: str | None) -> Drive:
    """A drive by its type in the file; None: the type is not known, efficiencies of all, losses of a geared hub."""
    shape = kind or "geared hub"
    return Drive(
        kind or UNKNOWN,
        shape,
        figure("efficiency", kind or UNKNOWN),
        figure("friction torque", shape).likely,
        figure("motor resistance", shape).likely,
        figure("motor constant", shape).likely,
        figure("controller power").likely,
        figure("wheel radius").likely,
        shape == "mid motor",
    )


def figure(kind: str, item: str = "any") -> FigureSpan:
    """A figure of the table; KeyError when there is none.

    >>> figure("drag area", UNKNOWN).likely, figure("rolling resistance", UNKNOWN).likely
    (0.559, 0.0077)
    """
    return _figures()[kind, item]


def ride(name: str) -> ShelfRide | None:
    """The named ride of the shelf, compared without case; None when there is no such ride."""
    return _rides().get(name.casefold())


def ride_names() -> tuple[str, ...]:
    """Names of all rides of the shelf."""
    return tuple(found.name for found in _rides().values())


@cache
def _figures() -> dict[tuple[str, str], FigureSpan]:
    found: dict[tuple[str, str], FigureSpan] = {}
    for row in rows("road"):
        key = row.cells["kind"], row.cells["item"]
        if key in found:
            raise BadTable(f"{row.file}, line {row.line}: {' of '.join(key)} is there twice")
        found[key] = _span(row)
    return found


@cache
def _rides() -> dict[str, ShelfRide]:
    found: dict[str, dict[str, FigureSpan]] = {}
    about: dict[str, str] = {}
    for row in rows("rides"):
        name, quantity = row.cells["ride"], row.cells["quantity"]
        if quantity not in RIDE_QUANTITIES or quantity in found.setdefault(name, {}):
            raise BadTable(f"{row.file}, line {row.line}: {quantity} of {name} is unknown or there twice")
        found[name][quantity] = _span(row)
        about[name] = row.conditions
    return {name.casefold(): ShelfRide(name, about[name], spans) for name, spans in found.items()}


def _span(row: Row) -> FigureSpan:
    """A row in SI; without ends the likely value stands alone."""
    unit = row.cells["unit"]
    if unit not in SI:
        raise BadTable(f"{row.file}, line {row.line}: unknown unit {unit!r}")
    likely = row.number("likely")
    low, high = row.number_or_none("low"), row.number_or_none("high")
    low, high = likely if low is None else low, likely if high is None else high
    if not low <= likely <= high:
        raise BadTable(f"{row.file}, line {row.line}: the likely value is not between its ends")
    factor = SI[unit]
    return FigureSpan(low * factor, likely * factor, high * factor, row.source, row.locator, row.status)
