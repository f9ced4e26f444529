"""Bikes that a build may be, all that is missing drawn: a stop on what nobody knows is only told where all have it.

Ends of spans are turned one at a time; where several have to stand together, a few bikes at random find the way out.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from random import Random
from typing import Any

from packyoke.analysis.bench.beyond_limits import OF_CHARGE
from packyoke.analysis.unknowns.spans import filled
from packyoke.model import Build, Pack

MOST_BIKES, MOST_DRAWN = 12, 36
"""Bikes that are tried, and draws for them: some draws are no bike that anybody could build."""
ALIKE, BETWEEN = 0.75, 0.3
"""How often a pack is of the kind of another one, as most are, and a figure between its ends. Judgement."""


class Bikes:
    """The bikes of one build, each drawn when it is asked for, and once."""

    def __init__(self, build: Build) -> None:
        self._drawn = filter(can_be, (a_bike(build, number) for number in range(MOST_DRAWN)))
        self._found: list[Build] = []

    def __iter__(self) -> Iterator[Build]:
        for at in range(MOST_BIKES):
            if at == len(self._found):
                self._found += islice(self._drawn, 1)
            yield from self._found[at : at + 1]


def a_bike(build: Build, number: int) -> Build:
    """The build with all that is missing drawn from its spans: an end, or between two; the same for each number."""
    dice = Random(number)
    kinds = {attr: [getattr(each, attr) for each in build.packs.values()] for attr in ("chemistry", "series")}

    def choose(attr: str, values: tuple[Any, ...]) -> Any:
        value = dice.choice(values)
        if len(values) == 2 and isinstance(value, float) and dice.random() < BETWEEN:
            value = dice.uniform(*values)
        if attr in kinds:
            if dice.random() < ALIKE:
                value = next((each for each in kinds[attr] if each in values), value)
            kinds[attr].append(value)
        return value

    return filled(build, choose)[0]


def can_be(build: Build) -> bool:
    """Whether somebody could build it: a pack is empty below full charge and gives nothing below its cut-off, and a
    joiner bears what is marked on it."""
    packs, joiners = build.packs.values(), build.joiners.values()
    readings = [(build.part(each.part), each.value) for each in build.measured if each.what in OF_CHARGE]
    return not (
        any(each.cut_off_v and each.full_charge_v and each.cut_off_v >= each.full_charge_v for each in packs)
        or any(each.ceiling_v and each.marked_v and each.ceiling_v < each.marked_v for each in joiners)
        or any(isinstance(part, Pack) and volts_v < (part.cut_off_v or 0.0) for part, volts_v in readings)
    )
