"""Which packs are plugged in and out together: those that are joined for good are one in every set."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joining import meetings
from packyoke.model import Build

PackUnit = tuple[str, ...]
"""Packs that are never parted: mostly one."""


def units(build: Build) -> tuple[PackUnit, ...]:
    """The packs of a build in the order of the file, those behind a bonded joiner as one."""
    drawing = harness(Case(build))
    of: dict[str, frozenset[str]] = {name: frozenset((name,)) for name in build.packs}
    for joiner in build.joiners.values():
        if joiner.bonded is not None:
            whole = frozenset[str]().union(*(of[name] for name in drawing.packs_behind.get(joiner.path, ())))
            of.update(dict.fromkeys(whole, whole))
    return tuple(dict.fromkeys(tuple(name for name in build.packs if name in of[each]) for each in build.packs))


def on_wires_of_others(case: Case, unit: PackUnit) -> bool:
    """Whether the wires of packs are those of others too, whatever keeps them apart: an empty plug may be live."""
    return any(meetings(case, other, mine) for mine in unit for other in case.build.packs if other not in unit)


def every_set(build: Build, sizes: Iterable[int]) -> tuple[tuple[str, ...], ...]:
    """The sets of so many units each, by their packs in the order of the file."""
    parts = units(build)
    return tuple(
        tuple(name for name in build.packs if any(name in unit for unit in chosen))
        for size in sizes
        for chosen in combinations(parts, size)
    )
