"""From two builds to a comparison ready to print, with what the parts cost that come and go."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from packyoke.answers.compare.differences import akin, compared
from packyoke.answers.compare.page import CompareView, PriceStep
from packyoke.making.bill import WHOLE_PARTS, bill
from packyoke.model import Build
from packyoke.model.shop import Stock
from packyoke.planning.result import Stuck
from packyoke.verdict.check import check

NO_PRICE = "What comes and goes has no price here: one of the drawings has a fault, see its findings."


def view(old: Build, new: Build, stock: Stock | None, today: str) -> CompareView | None:
    """The second build against the first; None when they are two bikes with nothing in common."""
    if not akin(old, new):
        return None
    before, after = (check(each, today=today, mends=False) for each in (old, new))
    found = compared(old, new, before, after)
    try:
        return found._replace(price=price_step(old, new, stock))
    except Stuck:
        return found._replace(notes=(*found.notes, NO_PRICE))


def price_step(old: Build, new: Build, stock: Stock | None) -> PriceStep | None:
    """What the bill of the new build comes to, less that of the old one, line by line; None without prices.

    Raises Stuck for a drawing with a fault in it.
    """
    if stock is None or all(item.price is None for item in stock.items):
        return None
    before, after = ({line[:3]: line for line in bill(build, stock).lines} for build in (old, new))
    unpriced = []
    amount = Decimal(0)
    for key in dict.fromkeys([*before, *after]):
        gone, come = before.get(key), after.get(key)
        step = (come.quantity if come else Decimal(0)) - (gone.quantity if gone else Decimal(0))
        line = come or gone
        assert line is not None
        if line.amount is not None:
            amount += ((come.amount or 0) if come else 0) - ((gone.amount or 0) if gone else 0)
        elif step:
            unpriced.append(f"{step:+f}{' m' if line.unit == 'm' else ''} {line.item}")
    unpriced += [*(f"+1 {name}" for name in _off_shelf(new, old)), *(f"-1 {name}" for name in _off_shelf(old, new))]
    return PriceStep(amount, next(item.currency for item in stock.items if item.currency), tuple(unpriced))


def _off_shelf(build: Build, other: Build) -> Iterator[str]:
    """Whole parts that only one build has, and that no bill has a line for: nobody says what they cost."""
    for section in WHOLE_PARTS:
        theirs = getattr(other, section)
        for name, part in getattr(build, section).items():
            if name not in theirs and part.path not in build.items and part.owner is None:
                yield name
