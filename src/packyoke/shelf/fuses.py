"""Fuse families: the voltages they exist for, the largest, what they break."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from packyoke.core.sources import Source
from packyoke.shelf.tables import items


class FuseFamily(NamedTuple):
    """One kind of fuse. Breaking capacity (lowest, highest of the family) holds at its standard d.c. voltages only."""

    name: str
    voltage_v: tuple[float, float]
    highest_a: float | None
    breaking_a: tuple[float, float] | None
    status: str
    source: Source
    locator: str


def fuse_family(name: str) -> FuseFamily | None:
    """The family of this short name, compared without case; None when the shelf does not know it.

    >>> fuse_family("blade").voltage_v, fuse_family("blade").breaking_a
    ((32.0, 58.0), (1000.0, 1000.0))
    """
    return _families().get(" ".join(name.casefold().split()))


@cache
def _families() -> dict[str, FuseFamily]:
    found = {}
    for name, figures in items("fuses").items():
        voltage = figures["highest voltage"]
        highest = figures.get("highest current")
        low, high = figures.get("lowest breaking capacity"), figures.get("highest breaking capacity")
        found[name.casefold()] = FuseFamily(
            name,
            (figures["lowest voltage"].value, voltage.value),
            highest.value if highest else None,
            (low.value, high.value) if low and high else None,
            voltage.status,
            voltage.source,
            voltage.locator,
        )
    return found
