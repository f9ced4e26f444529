"""Values that can be read and are hardly meant, and what is asked of them: a charger of 48 V, a pack of 200 Ah."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from packyoke.core.constants import AH_C
from packyoke.core.findings import clean, one, shown
from packyoke.core.units import Kind, QuantityError, read
from packyoke.shelf.chemistry import series_rows

if TYPE_CHECKING:
    from packyoke.buildfile.reading.walk import Slot

MOST_AH = 60.0
"""A pack of a bike hardly has more (judgement: 60 Ah at 48 V are 2.9 kWh and 15 kg)."""
MOST_CHARGER_V = 120.0
"""The bound of the fields of chargers."""
MAINS = ("100", "110", "115", "120", "127", "220", "230", "240")
FULL_CHARGES = ("chargers.*.output", "packs.*.charger_label")
CAPACITY = "packs.*.capacity"
QUESTIONED = frozenset((*FULL_CHARGES, CAPACITY))
"""Fields in which a value that can be read is looked at once more."""
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?").match


class Doubt(NamedTuple):
    """What is odd about a value, and what to look for or to write if it is so all the same."""

    message: str
    do: str


def questioned(slot: Slot, text: str) -> Doubt | None:
    """What is asked of a value that can be read and is hardly meant; None when there is nothing to ask."""
    path = slot.field.path if slot.field is not None else ""
    typed = text.strip().rstrip("?").strip()
    number = _NUMBER(typed)
    if number is None or "." in number[0]:
        return None
    if path in FULL_CHARGES and number[0] in MAINS:
        return mains(slot.key, number[0], typed)
    if path in FULL_CHARGES:
        return _nominal(slot.key, number[0], typed)
    if path == CAPACITY:
        try:
            ah = read(typed, Kind.CHARGE).value / AH_C
        except QuantityError:
            return None
        if ah > MOST_AH:
            so = f"{ah:g}" if ah % 1 else f"{ah:.1f}"  # a point says that the figure is meant
            do = f"Did you mean  {shown(ah / 10)} Ah ?  If it is so, write  {so} Ah"
            return Doubt(f'"{clean(typed)}" is more than packs of bikes have', do)
    return None


def named_by() -> list[float]:
    """The volts that packs are named by and none of those is charged to."""
    known = {volts for each in series_rows() for volts in each.labels_v}
    return sorted(volts for volts in known if volts not in _charged_to(volts))


def _charged_to(volts: float) -> list[float]:
    return sorted({round(each.full_v, 1) for each in series_rows() if volts in each.labels_v})


def mains(key: str, number: str, typed: str) -> Doubt:
    """What is said of the volts of the mains where a charger gives direct current."""
    fits = float(number) <= MOST_CHARGER_V
    do = f"Look behind OUTPUT on its label.{f' If it really is so, write  {key}: {number}.0 V' if fits else ''}"
    return Doubt(f'"{clean(typed)}" is what the mains give', do)


def _nominal(key: str, number: str, typed: str) -> Doubt | None:
    """A voltage that packs are named by is not what they are charged to."""
    volts = float(number)
    full = _charged_to(volts)
    if not full or volts in full or not re.fullmatch(rf"{re.escape(number)} ?v(?:olts?|dc| ?d\.?c\.?)?", typed, re.I):
        return None
    *others, last = [f"{each:.1f} V" for each in full]
    gives = f"{', '.join(others)} or {last}" if others else last
    do = (
        f"A charger of {one(f'{shown(volts)} V')} pack gives {gives}: look behind OUTPUT on its label. "
        f"If it really is so, write  {key}: {shown(volts)}.0 V"
    )
    return Doubt(f'"{clean(typed)}" is what packs are called, not what they are charged to', do)
