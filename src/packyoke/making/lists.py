"""What the bench needs, as data: what to cut, to join, to buy, to set and to write on it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, NamedTuple

from packyoke.core.findings import Amount
from packyoke.model import Gauge
from packyoke.model.shop import VALID_DAYS


class CutPiece(NamedTuple):
    """One lead to cut: two conductors of `length_m`. `planned` is false for a lead that the file gives whole."""

    lead: str
    source: str
    target: str
    gauge: Gauge | None
    insulation: str | None
    length_m: float | None
    mark_from: str
    mark_to: str
    plus_item: str
    minus_item: str
    way: tuple[str, ...]
    planned: bool


class Joint(NamedTuple):
    """One conductor to be joined to one contact. `end` is `from`, `to` or `fuse`, `method` as the trade does it.

    `bare_m`: how far it is bared [m]; None where the connector's maker says.
    """

    lead: str
    conductor: str
    end: str
    at: str
    connector: str
    contact: str
    method: str
    bare_m: float | None = None


class BillLine(NamedTuple):
    """One item to take from the shelf or to buy, in exact decimals.

    `price_each` with the shop's mark-up, `amount` in whole units of the currency's smallest coin; both None without a
    price. `minutes_s` for one; `short` is what the stock lacks, in whole steps of what it is sold by.
    """

    section: str
    item: str
    about: str
    quantity: Decimal
    unit: str
    price_each: Decimal | None
    amount: Decimal | None
    minutes_s: float | None
    stock: Decimal | None
    short: Decimal
    lead_days: int | None
    on_shelf: bool


class Totals(NamedTuple):
    """What a bill comes to. Parts, labour, tax on top and rounding add up to the amount, to the last coin.

    `labour` is None where the shop has no rate for it, `tax` where it has none; `tax_in_it` is the tax that prices have
    in them already. `unpriced` names the lines without a price, which are in no sum.
    """

    amount: Decimal
    currency: str
    parts: Decimal
    labour: Decimal | None
    tax: Decimal | None
    tax_in_it: Decimal | None
    rounding: Decimal
    unpriced: tuple[str, ...]
    minutes: int
    untimed_count: int

    @property
    def unpriced_count(self) -> int:
        return len(self.unpriced)


class Terms(NamedTuple):
    """The rates that a bill was made with, as the shop file has them, and what is in none of its lines."""

    labour: Decimal | None = None
    tax: Decimal | None = None
    mark_up: Decimal | None = None
    valid_days: int = VALID_DAYS
    owned: tuple[str, ...] = ()
    unmeasured: tuple[str, ...] = ()


class Setting(NamedTuple):
    """A figure to program into a controller."""

    part: str
    what: str
    value: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Lists:
    """All that the bench needs: what to cut, to join, to buy, to set and to write on it."""

    pieces: tuple[CutPiece, ...]
    joints: tuple[Joint, ...]
    bill: tuple[BillLine, ...]
    totals: Totals
    terms: Terms
    settings: tuple[Setting, ...]
    labels: tuple[str, ...]

    def lists(self) -> dict[str, Any]:
        """Each list by its name."""
        return {each.name: getattr(self, each.name) for each in fields(Lists)}
