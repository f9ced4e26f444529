"""A bill as every page and every JSON has it: the same lines, the same sums, the same words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Protocol

from packyoke.core.findings import shown
from packyoke.making.lists import BillLine, Terms, Totals

Cells = tuple[str, ...]
HEADS = ("how much", "what", "each", "amount", "work", "stock")
NEVER = "tests and ride, delivery, disposal"


class HasBill(Protocol):
    """Whatever has a bill: a plan, the lists of a build, an offer."""

    @property
    def bill(self) -> tuple[BillLine, ...]: ...
    @property
    def totals(self) -> Totals: ...
    @property
    def terms(self) -> Terms: ...


def valid_until(lists: HasBill, day: date) -> str:
    """The last day on which the prices of a bill hold (ISO 8601); empty where nothing on it has a price."""
    if all(line.price_each is None for line in lists.bill):
        return ""
    return (day + timedelta(days=lists.terms.valid_days)).isoformat()


def bill_table(lists: HasBill) -> tuple[Cells, tuple[Cells, ...]]:
    """Heads and rows; without prices only how much, what, and what the stock lacks."""
    rows = tuple(_row(line) for line in lists.bill)
    if any(line.price_each is not None for line in lists.bill):
        return HEADS, rows
    return (HEADS[0], HEADS[1], HEADS[5]), tuple((row[0], row[1], row[5]) for row in rows)


def _row(line: BillLine) -> Cells:
    about = "" if line.about in ("", line.item) else f" ({line.about})"
    price = "" if line.price_each is None else each(line.price_each, line.amount)
    amount = "" if line.amount is None else plain(line.amount)
    work = "" if line.minutes_s is None else f"{round(line.minutes_s * float(line.quantity) / 60, 1):g} min"
    return quantity_words(line), f"{line.item}{about}", price, amount, work, _stock(line)


def quantity_words(line: BillLine) -> str:
    """`3` pieces, or `1.74 m`."""
    return f"{line.quantity:.2f} m" if line.unit == "m" else f"{line.quantity:f}"


def _stock(line: BillLine) -> str:
    if line.short:
        days = f", {line.lead_days} days" if line.lead_days is not None else ""
        return f"{shown(float(line.short))}{' m' if line.unit == 'm' else ''} to order{days}"
    return "" if line.on_shelf else "to buy"


def sums(lists: HasBill) -> tuple[Cells, ...]:
    """Rows of what the lines come to, and what comes on top; the last is what is asked for. None without prices."""
    totals, terms = lists.totals, lists.terms
    if all(line.price_each is None for line in lists.bill):
        return ()
    named: list[tuple[str, Decimal | None]] = [("parts", totals.parts)]
    if totals.labour is not None and terms.labour is not None:
        named.append((f"work, {totals.minutes} min at {plain(terms.labour)} {totals.currency}/h", totals.labour))
    if totals.tax is not None and terms.tax is not None:
        named.append((f"tax, {share(terms.tax)} %", totals.tax))
    if totals.rounding:
        named.append(("rounding", totals.rounding))
    rows = [("", what, "", plain(amount), "", "") for what, amount in named if amount is not None]
    return (*(rows if len(rows) > 1 else ()), ("", f"altogether, {totals.currency}", "", plain(totals.amount), "", ""))


def each(price: Decimal, amount: Decimal | None) -> str:
    """The price of one, with all its figures and at least those of its amount."""
    whole = price if amount is None else price.quantize(amount)
    return plain(whole if whole == price else price)


def plain(amount: Decimal) -> str:
    """A number without an exponent, with at least the decimals that it was given with."""
    return f"{amount:f}"


def share(fraction: Decimal) -> str:
    """A share in per cent, with its own figures: `20`, `7.7`."""
    return f"{(100 * fraction).normalize():f}"


def bill_notes(lists: HasBill, valid: str) -> list[str]:
    """Until when the prices hold (empty: there are none), what has no price, what is not in it."""
    totals, terms = lists.totals, lists.terms
    if not lists.bill:
        return []
    notes = []
    priced = any(line.price_each is not None for line in lists.bill)
    if priced:
        notes.append(f"Altogether {_altogether(totals, terms)}.")
    if valid:
        notes.append(f"Prices hold until {valid}.")
    if priced and totals.unpriced:
        notes.append(f"Without a price, and in no sum: {', '.join(dict.fromkeys(totals.unpriced))}.")
    if totals.minutes and totals.labour is None:
        notes.append(f"Fitting them: {totals.minutes} min.")
    if totals.minutes and totals.untimed_count:
        notes.append(f"{totals.untimed_count} items without minutes.")
    if terms.unmeasured:
        notes.append(f"Not measured, and not in it: the wire of {', '.join(terms.unmeasured)}.")
    return [*notes, not_in_it(lists)]


def _altogether(totals: Totals, terms: Terms) -> str:
    """The whole amount and whether the tax is in it."""
    amount = f"{plain(totals.amount)} {totals.currency}"
    if terms.tax is None:
        return f"{amount}, taxes not counted"
    if totals.tax_in_it is not None:
        return f"{amount}, of which {plain(totals.tax_in_it)} are tax ({share(terms.tax)} %)"
    return f"{amount}, tax of {share(terms.tax)} % in it"


def not_in_it(lists: HasBill) -> str:
    """What a bill leaves out, in words."""
    terms = lists.terms
    words = ["packs, joiners, chargers and the controller that are not items of the shelf"]
    words += [f"the customer's own ({', '.join(terms.owned)})"] if terms.owned else []
    words += ["clamps", *(["the hourly rate"] if terms.labour is None else [])]
    words += ["taxes"] if terms.tax is None else []
    return f"Not in it: {', '.join(words)}, {NEVER}."


def bill_json(lists: HasBill) -> dict[str, Any]:
    """`bill`, `totals` and `terms`; money and amounts are texts, exact to the last coin."""
    return {
        "bill": [{name: _exact(value) for name, value in line._asdict().items()} for line in lists.bill],
        "totals": {name: _exact(value) for name, value in lists.totals._asdict().items()},
        "terms": {name: _exact(value) for name, value in lists.terms._asdict().items()},
    }


def _exact(value: Any) -> Any:
    if isinstance(value, Decimal):
        return plain(value)
    return list(value) if isinstance(value, Sequence) and not isinstance(value, str) else value
