"""The shortest way for a lead between two places of the bike, along the runs that were measured."""

from __future__ import annotations

from functools import reduce
from heapq import heappop, heappush
from math import ceil
from typing import NamedTuple

from packyoke.model import Build, Controller, Joiner, Lead, Pack, Run, RunBetween
from packyoke.model.parts import OPEN_RUN

BENDS_FRACTION = 0.10
"""Cable lost in bends, over the length of the way: common practice."""
SERVICE_M = 0.050
"""Spare cable at each end, enough to put one new connector on: common practice."""
CUT_STEP_MM = 10
"""Leads are cut to whole centimetres, never shorter than worked out."""
LEAST_M = 0.150
"""The shortest lead that can be made: a connector with its sleeve at each end, 45 mm each, and a bend: judgement."""
HOLDER_M = 0.100
"""What a fuse holder in the lead takes beyond that, its joints and sleeves included: judgement."""
EXACT_MM = 1e-6
"""Keeps a length that comes out round from the next centimetre."""


class CableRoute(NamedTuple):
    """A way between two places: its length [m] without slack, the places that it passes and the runs that it takes."""

    length_m: float
    places: tuple[str, ...]
    runs: tuple[RunBetween, ...]

    @property
    def run(self) -> Run:
        """How a lead lies along the whole way: in the frame, moving or beside others where any part of it is."""
        return reduce(_together, (each.run for each in self.runs), OPEN_RUN)


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
        found.update(_from(start, beside))
    return found


def _from(start: str, beside: dict[str, list[tuple[str, RunBetween]]]) -> Routes:
    found: Routes = {}
    waiting: list[tuple[float, int, tuple[str, ...], int, tuple[RunBetween, ...]]] = [(0.0, 0, (start,), 0, ())]
    pushed = 0
    while waiting:
        length_m, steps, places, _, taken = heappop(waiting)
        here = places[-1]
        if (start, here) in found:
            continue
        found[start, here] = CableRoute(length_m, places, taken)
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


def route_of(build: Build, ways: Routes, lead: Lead) -> CableRoute | None:
    """The way along which a lead is laid, where both ends have a place and the places are connected."""
    first, last = part_of(build, lead.source).place_name, part_of(build, lead.target).place_name
    return ways.get((first, last)) if first is not None and last is not None else None


def least_length_m(holder: bool) -> float:
    """The shortest lead that can be made, with a fuse holder in it or without [m]."""
    return LEAST_M + HOLDER_M if holder else LEAST_M


def cut_length_m(way_m: float, holder: bool = False) -> float:
    """The length to cut a lead to [m].

        L = way (1 + 0.10) + 2 x 50 mm, at least what can be made, up to whole centimetres

    Parameters
        way_m: length of the way along the runs [m]
        holder: whether a fuse holder sits in the lead [-]
    Returns
        length of the lead, slack for bends and for one new connector at each end included [m]
    Reference
        common practice; the least length: judgement.

    >>> cut_length_m(0.7), cut_length_m(0.0), cut_length_m(0.0, holder=True)
    (0.87, 0.15, 0.25)
    """
    exact_mm = 1000 * max(least_length_m(holder), way_m * (1 + BENDS_FRACTION) + 2 * SERVICE_M)
    return ceil((exact_mm - EXACT_MM) / CUT_STEP_MM) * CUT_STEP_MM / 1000
