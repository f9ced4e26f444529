"""What of a shop's shelf a harness takes: wire for both conductors, halves of connectors, fuses, small things."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from packyoke.analysis.limits.contacts import area_m2
from packyoke.model import End, Fuse, Gauge
from packyoke.model.shop import ShelfItem, Sundry, Wire

UNMARKED_INSULATION = "PVC"
"""What a wire of the shelf without a word about its insulation counts as: the lowest column."""
COPPER_KG_PER_M3 = 8890.0
"""Density of copper at 20 degC, IEC 60028."""
DEAREST = Decimal("Infinity")
LEAST_M = Decimal("0.000001")
"""Lengths are billed to the micrometre: a cut length is in whole centimetres, one of the file may be in inches."""


class Cable(NamedTuple):
    """Wire for a lead: the items of its two conductors, None where the shelf has none."""

    gauge: Gauge
    insulation: str | None
    plus: ShelfItem | None = None
    minus: ShelfItem | None = None
    poles: bool = True
    """Whether the shop file says which of the two is the plus."""

    @property
    def price_per_m(self) -> Decimal | None:
        """Both conductors, for each metre of lead."""
        if self.plus is None or self.minus is None or self.plus.price is None or self.minus.price is None:
            return None
        return self.plus.price + self.minus.price

    @property
    def copper_kg_per_m(self) -> float:
        """Copper of both conductors, for each metre of lead."""
        return 2 * area_m2(self.gauge) * COPPER_KG_PER_M3


def metres(length_m: float) -> Decimal:
    """A length as it is billed [m]."""
    return Decimal(str(round(length_m, 6))).quantize(LEAST_M).normalize()


def cables(items: Iterable[ShelfItem]) -> tuple[Cable, ...]:
    """Wires by size and insulation, thin to thick. A wire of the shelf is one conductor: a lead takes two."""
    kinds: dict[tuple[Gauge, str], list[ShelfItem]] = {}
    for item in items:
        if item.section == "wires" and isinstance(item.part, Wire) and item.part.gauge is not None:
            kinds.setdefault((item.part.gauge, item.part.insulation or UNMARKED_INSULATION), []).append(item)
    found = [Cable(gauge, insulation, *_conductors(same)) for (gauge, insulation), same in kinds.items()]
    whole = [each for each in found if each.plus is not None and each.minus is not None] or found
    return tuple(sorted(whole, key=lambda cable: (area_m2(cable.gauge), cable.insulation or "")))


def _conductors(same: list[ShelfItem]) -> tuple[ShelfItem | None, ShelfItem | None, bool]:
    """The items for plus and minus, and whether the shop file says which is which: that is never guessed."""
    if any(each.part.pole is not None for each in same if isinstance(each.part, Wire)):
        plus, minus = (
            min(
                (each for each in same if _pole(each) in (pole, "either")),
                key=lambda each: (_pole(each) == "either", price_of(each)),
                default=None,
            )
            for pole in ("plus", "minus")
        )
        return plus, minus, True
    return same[0], same[-1], False


def _pole(item: ShelfItem) -> str | None:
    return item.part.pole if isinstance(item.part, Wire) else None


def price_of(item: ShelfItem | None) -> Decimal:
    """What it costs; more than anything else where nobody says."""
    return DEAREST if item is None or item.price is None else item.price


def connector_item(items: Sequence[ShelfItem], end: End) -> ShelfItem | None:
    """The item of one half of a connector, by its whole name or by its family."""
    return item_named(items, "connectors", str(end)) or item_named(items, "connectors", end.family)


def item_named(items: Sequence[ShelfItem], section: str, name: str) -> ShelfItem | None:
    return _by_name(tuple(items)).get((section, name.casefold()))


@lru_cache(maxsize=8)
def _by_name(items: tuple[ShelfItem, ...]) -> dict[tuple[str, str], ShelfItem]:
    return {(each.section, each.part.name.casefold()): each for each in reversed(items)}


def fuse_item(items: Sequence[ShelfItem], fuse: Fuse) -> ShelfItem | None:
    """The fuse of the shelf that has the same marks; one without a voltage there stands for every voltage."""
    for item in items:
        kind = item.part
        same = isinstance(kind, Fuse) and (kind.family, kind.rating_a) == (fuse.family, fuse.rating_a)
        if same and isinstance(kind, Fuse) and kind.voltage_v in (None, fuse.voltage_v):
            return item
    return None


def sundry(items: Sequence[ShelfItem], use: str) -> ShelfItem | None:
    """The first of the shelf that is for a use."""
    return next((each for each in items if isinstance(each.part, Sundry) and each.part.use == use), None)
