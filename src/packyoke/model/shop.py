"""What a workshop has on its shelf, with price, time and stock, and what it charges."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple, Protocol

from packyoke.core.findings import Fixed
from packyoke.model.parts import Gauge, Part

VALID_DAYS = 30
"""How long a quote holds, common practice."""
WITH_TAX = "with tax"


class Wire(Part):
    """A cable by the metre."""

    gauge: Gauge | None = None
    insulation: str | None = None
    pole: str | None = None
    colour: str | None = None


class Sundry(Part):
    """Something small that goes with a harness. `use`: holder, sleeve, cap, precharge or labels."""

    use: str | None = None


class ShelfItem(Fixed):
    """One item of the shelf. `section` is packs, joiners, controllers, chargers, connectors, wires, fuses or sundries.

    `price` is in `currency`, of a wire for each metre; `stock` is a count, of a wire metres; `step` what it is sold by;
    `holder` the name of the sundry that holds a fuse.
    """

    section: str
    part: Part
    price: Decimal | None = None
    currency: str = ""
    minutes_s: float | None = None
    stock: float | None = None
    step: float | None = None
    lead_days: int | None = None
    holder: str = ""
    source: str = ""
    status: str = ""


class Rates(Fixed):
    """What a shop charges: money an hour, shares of the whole (0.25: a quarter), days, the step of the whole amount."""

    labour: Decimal | None = None
    mark_up: Decimal | None = None
    tax: Decimal | None = None
    prices: str = "before tax"
    valid_days: int = VALID_DAYS
    rounding: Decimal | None = None
    currency: str = ""


NO_RATES = Rates()


class Stock(Protocol):
    """What has a shelf: a shop file as it was read."""

    @property
    def file(self) -> str: ...
    @property
    def items(self) -> Sequence[ShelfItem]: ...
    @property
    def rates(self) -> Rates: ...


class OtherShelf(NamedTuple):
    """A shelf with other items than those of the shop file."""

    file: str
    items: Sequence[ShelfItem]
    rates: Rates
