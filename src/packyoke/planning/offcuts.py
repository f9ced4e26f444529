"""Wire is sold in whole steps: of fewer kinds less is left over, which a search by the metre does not see."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from packyoke.making.bill import bill
from packyoke.model import Build
from packyoke.model.shop import OtherShelf, Stock
from packyoke.planning.catalogue import Catalogue
from packyoke.planning.result import Plan, Stuck

WORTH = 0.001
"""Share of what all parts cost that is left over, from which on other wires are tried: below it are half coins."""
DOUBT = "wire is sold in whole steps: of one kind for all leads it was tried, not every mixture"


def with_less_over(best: Plan, shelf: Catalogue, planned: Callable[[Catalogue], Plan]) -> Plan:
    """The plan, or one with wire of one kind where that is the better one with all that has to be bought.

    planned: the plan with another shelf
    """
    if best.offcut <= WORTH * float(best.totals.parts) or len(shelf.cables) < 2:
        return best
    found = best
    for cable in shelf.cables:
        with suppress(Stuck):
            found = min(found, planned(replace(shelf, cables=(cable,))), key=_figures)
    said = "; ".join(each for each in (best.doubt, DOUBT) if each)
    return replace(found, proved=False, doubt=said)


def left_over(build: Build, shop: Stock | None) -> float:
    """What whole steps of wire cost beyond what is used of them [currency]."""
    if shop is None or not any(each.section == "wires" and each.step is not None for each in shop.items):
        return 0.0
    items = [replace(each, step=None) if each.section == "wires" else each for each in shop.items]
    return float(bill(build, shop).totals.parts - bill(build, OtherShelf(shop.file, items, shop.rates)).totals.parts)


def _figures(plan: Plan) -> tuple[float, ...]:
    """What counts, in its order, with what is left over: the cost has it in it, what is weighed has not."""
    names = plan.objective.names
    return tuple(
        value + plan.offcut if name == "weighed" else value
        for name, value in zip(names, plan.objective.values, strict=True)
    )
