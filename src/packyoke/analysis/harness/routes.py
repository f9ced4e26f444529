"""The shortest way for a lead between two places of the bike, along the runs that were measured."""

from __future__ import annotations

from functools import reduce
from heapq import heappop, heappush
from typing import NamedTuple

from packyoke.model import Build, Controller, Joiner, Lead, Pack, Run, RunBetween
from packyoke.model.parts import OPEN_RUN


class CableRoute(NamedTuple):
    """A way between two places: its length [m] without slack, the places that it passes and the runs that it takes.

    `laid`: how all leads of the bike lie, wherever they go.
    """

    length_m: float
    places: tuple[str, ...]
    runs: tuple[RunBetween, ...]
    laid: Run = OPEN_RUN

    @property
    def run(self) -> Run:
        """How a lead lies along the whole way: in the frame, moving or beside others where any part of it is."""
        return reduce(_together, (each.run for each in self.runs), self.laid)


def _together(one: Run, other: Run) -> Run:
    names = dict.fromkeys((*one.beside_leads, *other.beside_leads))
    return Run(one.in_frame or other.in_frame, one.moving or other.moving, max(one.beside, other.beside), tuple(names))


Routes = dict[tuple[str, str], CableRoute]
"""The shortest way for every pair of places that are connected, both ways round; a place to itself has length 0."""


def routes(build: Build) -> Routes:
    """The shortest way between every two connected places.

    Dijkstra from every place; of equal lengths the way with fewer runs, then the first by the names of its places
    Parameters
        build: its `places` and `runs` [-]
    Returns
        ways by (from, to); pairs without a way are left out [-]
    """
    beside: dict[str, list[tuple[str, RunBetween]]] = {name: [] for name in build.places}
    for each in build.runs:
        one, other = each.between
        beside[one].append((other, each))
        beside[other].append((one, each))
    found: Routes = {}
    for start in build.places:
        found.update(_from(start, beside, build.lead_run))
    return found


def _from(start: str, beside: dict[str, list[tuple[str, RunBetween]]], laid: Run) -> Routes:
    found: Routes = {}
    waiting: list[tuple[float, int, tuple[str, ...], int, tuple[RunBetween, ...]]] = [(0.0, 0, (start,), 0, ())]
    pushed = 0
    while waiting:
        length_m, steps, places, _, taken = heappop(waiting)
        here = places[-1]
        if (start, here) in found:
            continue
        found[start, here] = CableRoute(length_m, places, taken, laid)
        for other, each in beside[here]:
            if (start, other) not in found:
                pushed += 1
                further = (length_m + each.length_m, steps + 1, (*places, other), pushed, (*taken, each))
                heappush(waiting, further)
    return found


PlacedPart = Pack | Joiner | Controller


def part_of(build: Build, name: str) -> PlacedPart:
    """The pack, joiner or controller of a name."""
    return build.packs.get(name) or build.joiners.get(name) or build.controllers[name]


def says_its_run(build: Build, lead: Lead) -> bool:
    """Whether a lead says by itself how it lies: what all leads have is no line of its own."""
    return "run" in lead.spans and lead.spans["run"] != build.spans.get("lead_run")


def route_of(build: Build, ways: Routes, lead: Lead) -> CableRoute | None:
    """The way along which a lead is laid, where both ends have a place and the places are connected."""
    first, last = part_of(build, lead.source).place_name, part_of(build, lead.target).place_name
    return ways.get((first, last)) if first is not None and last is not None else None
