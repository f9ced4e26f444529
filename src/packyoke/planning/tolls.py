"""What joiners take up, as digits of one number, and a toll on whatever of it is short.

Bounds count every place as if it held any number of joiners, and no joiner of the file as one that has to be used. With
a toll a crowded place looks as dear as it is, and a joiner that has to be used looks cheap. Whatever keeps to the room
pays no more than all of it costs: so what the bounds come to, less that, is a bound still, and a closer one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

FIELD_BITS = 6
FIELD = 1 << FIELD_BITS


class Room(NamedTuple):
    """One thing that is taken up, as its unit: how much of it at the least, and at the most."""

    unit: int
    least: int
    most: int

    def taken(self, used: int) -> int:
        return used // self.unit % FIELD

    def beyond(self, used: int, toll: float) -> int:
        """By how much too much is taken up, below zero too little; what costs a toll is to be taken up in full."""
        taken = self.taken(used)
        low = self.most if toll > 0 else self.least
        high = self.least if toll < 0 else self.most
        return taken - min(max(taken, low), high)


class Tolls(NamedTuple):
    """A score for each unit of what is short; below zero for what has to be used."""

    rooms: Sequence[Room] = ()
    each: Sequence[int] = ()

    def paid(self, used: int) -> int:
        return sum(toll * room.taken(used) for room, toll in zip(self.rooms, self.each, strict=True) if toll)

    def most(self) -> int:
        """What a plan pays at the most."""
        return sum(
            toll * (room.most if toll > 0 else room.least) for room, toll in zip(self.rooms, self.each, strict=True)
        )


NO_TOLLS = Tolls()


def fields(capacities: Sequence[int]) -> tuple[list[int], int, int]:
    """One unit of each capacity as a number, and limit and high bits that show when a sum of units is too much."""
    units = [1 << FIELD_BITS * place for place in range(len(capacities))]
    top = 1 << FIELD_BITS - 1
    limit = sum((top - 1 - most) << FIELD_BITS * place for place, most in enumerate(capacities))
    high = sum(top << FIELD_BITS * place for place in range(len(capacities)))
    return units, limit, high
