"""Fewer places, where there are too many to work through: those that lie well for the packs and the load."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import nsmallest

from packyoke.planning.growing import ROOT
from packyoke.planning.layout import Layout

MOST_SITES = 48
"""Joiners at places up to which each is worked through."""
NEAREST = 2
"""Packs that a place is held against: so many are brought together there at the least."""


def thinned(layout: Layout, used: Sequence[str] = ()) -> Layout:
    """The same bike with joiners at the most promising places only; there is room for all that it takes.

    used: places that are promising whatever the leads to them cost, the most promising ones first
    """
    if len(layout.puts) <= MOST_SITES:
        return layout
    places = [*dict.fromkeys([*used, *_ranked(layout)])]
    needed, waiting = layout.joiners_needed(), set(layout.topology.free)
    for count in range(1, len(places)):
        one = layout.at(places[:count])
        at_home = {name for put in one.puts for name in put.kind.names}
        if len(one.puts) >= MOST_SITES and one.room() > needed and waiting <= at_home:
            return one
    return layout


def _ranked(layout: Layout) -> list[str]:
    """Places by what the leads of two packs to them and one on to the load cost, the cheapest first."""
    count = len(layout.spots)
    cost: dict[str, int] = {}
    for number, put in enumerate(layout.puts):
        leads = [_least(layout, node, count + number) for node in range(count)]
        near = nsmallest(NEAREST, [each for each in leads if each is not None])
        onward = _least(layout, count + number, ROOT)
        if onward is not None and len(near) == NEAREST:
            found = sum(near) + onward
            cost[put.place] = min(found, cost.get(put.place, found))
    return sorted(cost, key=cost.__getitem__)


def _least(layout: Layout, node: int, target: int) -> int | None:
    return min((option.score for option in layout.problem.wires(node, target, 0)), default=None)
