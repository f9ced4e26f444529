"""What a workshop has on its shelf, with price, time and stock, for planning and finding."""

from __future__ import annotations

from packyoke.core.findings import Fixed
from packyoke.model.parts import Gauge, Part


class Wire(Part):
    """A cable by the metre."""

    gauge: Gauge | None = None
    insulation: str | None = None
    pole: str | None = None
    colour: str | None = None


class ShelfItem(Fixed):
    """One item of the shelf. `section` is packs, joiners, controllers, chargers, connectors, wires or fuses.

    `price` is in `currency`, of a wire for each metre; `stock` is a count, of a wire metres.
    """

    section: str
    part: Part
    price: float | None = None
    currency: str = ""
    minutes_s: float | None = None
    stock: float | None = None
    source: str = ""
    status: str = ""
