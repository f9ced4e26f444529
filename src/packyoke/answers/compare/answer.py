"""From two builds to a comparison ready to print, with what the parts cost that come and go."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

from packyoke.answers.compare.differences import compared
from packyoke.answers.compare.page import CompareView, PriceStep
from packyoke.core.findings import shown
from packyoke.making.as_drawn import drawn_lists
from packyoke.model import Build
from packyoke.planning.catalogue import Stock
from packyoke.planning.result import Stuck
from packyoke.planning.routes import routes
from packyoke.verdict.check import check

WHOLE_PARTS = ("packs", "joiners", "controllers", "chargers")
NO_PRICE = "What comes and goes has no price here: one of the drawings has a fault, see its findings."
NOTHING_M = 1e-6
"""Less wire than this is none: lengths of two files added up in another order."""


class Carried(NamedTuple):
    """One thing that a build is made of; `section` of the shelf; `price` None: the shelf has none for it."""

    section: str
    what: str
    quantity: float
    unit: str
    price: float | None


def view(old: Build, new: Build, stock: Stock | None, today: str) -> CompareView | None:
    """The second build against the first; None when they are two bikes with nothing in common."""
    found = compared(old, new, check(old, today=today), check(new, today=today))
    if found is None:
        return None
    try:
        return found._replace(price=price_step(old, new, stock))
    except Stuck:
        return found._replace(notes=(*found.notes, NO_PRICE))


def price_step(old: Build, new: Build, stock: Stock | None) -> PriceStep | None:
    """What the parts cost that are only after, less those that are only before; None without prices.

    Wires, connectors and fuses of the drawn leads, and the parts that are one of the shelf (`part:`) by their name;
    a fuse at a pack goes with the pack. Raises Stuck for a drawing with a fault in it.
    """
    if stock is None or all(item.price is None for item in stock.items):
        return None
    before, after = (_added_up(_carried(build, stock)) for build in (old, new))
    amount, unpriced = 0.0, []
    for key in dict.fromkeys([*before, *after]):
        step = (after[key].quantity if key in after else 0.0) - (before[key].quantity if key in before else 0.0)
        thing = after.get(key) or before[key]
        if abs(step) < NOTHING_M:
            continue
        if thing.price is None:
            unpriced.append(f"{'+' if step > 0 else ''}{shown(step)}{' m' if thing.unit == 'm' else ''} {thing.what}")
        else:
            amount += step * thing.price
    return PriceStep(amount, next(item.currency for item in stock.items if item.currency), tuple(unpriced))


def _added_up(things: Iterator[Carried]) -> dict[tuple[str, str], Carried]:
    found: dict[tuple[str, str], Carried] = {}
    for each in things:
        key = (each.section, each.what)
        before = found.get(key)
        found[key] = each if before is None else each._replace(quantity=before.quantity + each.quantity)
    return found


def _carried(build: Build, stock: Stock) -> Iterator[Carried]:
    return chain(_whole_parts(build, stock), _lead_parts(build, stock))


def _whole_parts(build: Build, stock: Stock) -> Iterator[Carried]:
    prices = {(item.section, item.part.name.casefold()): item.price for item in stock.items}
    for section in WHOLE_PARTS:
        for part in getattr(build, section).values():
            item = build.items.get(part.path)
            price = prices.get((section, item.casefold())) if item is not None else None
            yield Carried(section, item or part.name, 1, "piece", price)


def _lead_parts(build: Build, stock: Stock) -> Iterator[Carried]:
    for line in drawn_lists(build, stock, routes(build)).bill:
        yield Carried(line.section, line.item, line.quantity, line.unit, line.price_each)
