"""Which mends a shop can make with what lies on its shelf."""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.limits.margins import above
from packyoke.model import Build, Fuse, Joiner, Lead, Part
from packyoke.model.shop import ShelfItem, Wire
from packyoke.rules.outcome import Mend


def shelf_first(build: Build, mends: Sequence[Mend]) -> list[Mend]:
    """Mends in their order, those whose wires, fuses and joiners are on the shelf before the others, and said so."""
    if not build.shelf:
        return list(mends)
    found = [(_in_stock(build, mend), mend) for mend in mends]
    found.sort(key=lambda each: each[0] is False)
    return [mend._replace(text=f"{mend.text}, on the shelf") if there else mend for there, mend in found]


def _in_stock(build: Build, mend: Mend) -> bool | None:
    """Whether everything that has to be bought is there; None where nothing is bought."""
    after = build
    for change in mend.changes:
        after = after.with_value(*change)
    bought = [
        any(_same(part, item) for item in build.shelf)
        for path in dict.fromkeys(change.path for change in mend.changes)
        if isinstance(part := after.part(path), Lead | Fuse | Joiner)
        and any(change.path == path and change.attr in BOUGHT for change in mend.changes)
    ]
    return all(bought) if bought else None


BOUGHT = ("gauge", "insulation", "family", "rating_a", "type")
"""Fields that another wire, fuse or joiner changes."""


def _same(part: Part, item: ShelfItem) -> bool:
    if item.stock == 0:
        return False
    there = item.part
    if isinstance(part, Lead) and isinstance(there, Wire):
        return there.gauge == part.gauge and there.insulation in (None, part.insulation)
    if isinstance(part, Fuse) and isinstance(there, Fuse):
        volts = there.voltage_v is None or part.voltage_v is None or not above(part.voltage_v, there.voltage_v)
        return there.rating_a == part.rating_a and there.family == part.family and volts
    return isinstance(part, Joiner) and isinstance(there, Joiner) and there.type == part.type
