"""What the rules have said of leads that were only tried, kept from one plan to the next.

The packs of a quote come on again and again: the same pack on the same lead to the same controller is judged once. Two
builds are the same only where every value in them is; where anything differs the rules are asked again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from packyoke.model import Build, Part
from packyoke.planning.result import Obstacle


class PassingWire(NamedTuple):
    """One wire that passes, by its place among those that were tried: findings, and what it bears [A]."""

    number: int
    findings: int
    amps_a: float


class WiresTold(NamedTuple):
    """The wires that pass; where none does, why."""

    wires: tuple[PassingWire, ...]
    obstacles: Mapping[tuple[str, str, str], Obstacle]


class Said:
    """What was asked, with the builds that it was asked of and the answers."""

    def __init__(self) -> None:
        self._told: dict[object, list[tuple[Build, WiresTold]]] = {}

    def of(self, asked: object, build: Build) -> WiresTold | None:
        """What was said of this; None where it was not asked of such a build."""
        return next((told for other, told in self._told.get(asked, ()) if same(build, other)), None)

    def keep(self, asked: object, build: Build, told: WiresTold) -> None:
        """Remember an answer."""
        self._told.setdefault(asked, []).append((build, told))


def same(one: Any, other: Any) -> bool:
    """Whether two values are the same through and through, places in the file among them."""
    if one is other:
        return True
    if isinstance(one, Part) and type(one) is type(other):
        return same(vars(one), vars(other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(value, other[key]) for key, value in one.items())
    return bool(one == other)
