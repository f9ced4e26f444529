"""Wire is sold in whole steps: of fewer kinds less is left over, which a search by the metre does not see."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from packyoke.planning.catalogue import Catalogue
from packyoke.planning.result import Objective, Plan, Stuck

WORTH, WORTH_BRIEF = 0.001, 0.01
"""Share of what all parts cost that is left over, from which on other wires are tried: below it are half coins. For one
of many plans, as in a quote, more (judgement)."""
DOUBT = "wire is sold in whole steps: of one kind for all leads it was tried, not every mixture"


def with_less_over(best: Plan, shelf: Catalogue, planned: Callable[[Catalogue], Plan], *, brief: bool) -> Plan:
    """The plan, or one with wire of one kind where that is the better one with all that has to be bought.

    planned: the plan with another shelf
    """
    worth = (WORTH_BRIEF if brief else WORTH) * float(best.totals.parts)
    if best.offcut <= worth or len(shelf.cables) < 2:
        return best
    found = best
    for cable in shelf.cables:
        with suppress(Stuck):
            found = min(found, planned(replace(shelf, cables=(cable,))), key=_figures)
    said = "; ".join(each for each in (best.doubt, DOUBT) if each)
    return replace(found, proved=False, doubt=said)


def left_over(counted: Objective, cost: float) -> float:
    """What whole steps cost beyond what was counted by the metre, and half coins [currency]."""
    return cost - counted.values[counted.names.index("cost")] if "cost" in counted.names else 0.0


def _figures(plan: Plan) -> tuple[float, ...]:
    """What counts, in its order, with what is left over: the cost has it in it, what is weighed has not."""
    names = plan.objective.names
    return tuple(
        value + plan.offcut if name == "weighed" else value
        for name, value in zip(names, plan.objective.values, strict=True)
    )
