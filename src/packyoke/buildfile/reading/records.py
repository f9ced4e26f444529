"""Lines of records: days, readings, what was accepted."""

from __future__ import annotations

import re
from datetime import date

from packyoke.buildfile.reading.alike import fold
from packyoke.buildfile.reading.document import Node, Scalar
from packyoke.buildfile.reading.forms import AMOUNT, SWITCH_WORDS
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.units import Kind, QuantityError, read

_RULE = re.compile(r"[a-z]+(?:-[a-z]+)*").fullmatch


def read_date(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A day, or for a re-check also a month."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None or slot.field is None:
        return
    month = slot.field.kind == "month or day" and re.fullmatch(r"[0-9]{4}-[0-9]{2}", text.text)
    if day_of(text.text + ("-01" if month else "")) is None:
        reader.tell(text.span, path, f'"{clean(text.text)}" is no date', f"Write for example  {slot.example}")
    else:
        reader.keep(draft, slot, node, text.text)


def day_of(text: str) -> date | None:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def read_rule(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    text = reader.scalar(node, line_in(where, slot.key), slot.example)
    if text is None:
        return
    if _RULE(text.text):
        reader.keep(draft, slot, node, text.text)
    else:
        reader.tell(
            text.span, line_in(where, slot.key), f'"{clean(text.text)}" is no rule', "Write its name as printed."
        )


def amount(text: str) -> tuple[float, str] | None:
    """A number as printed by a check, with its unit as written; the unit must be a known one, or none for a count."""
    found = AMOUNT(text)
    if found is None:
        return None
    unit = (found[2] or "").strip()
    for kind in Kind if unit else ():
        try:
            read(text, kind)
        except QuantityError:
            continue
        return float(found[1]), unit
    return None if unit else (float(found[1]), "")


def read_found(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    found = amount(text.text) if text else None
    if text is None:
        return
    if found is None:
        reader.tell(text.span, path, f'"{clean(text.text)}" is no quantity', "Write it as check prints it:  3.4 %")
        return
    draft.values["found_unit"] = found[1]
    reader.keep(draft, slot, node, found[0])


def read_later(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A reading, whose kind follows from what was measured: its text is kept until that is known."""
    text = reader.scalar(node, line_in(where, slot.key), slot.example)
    if text is not None:
        reader.keep(draft, slot, node, text)


_READING_KINDS = {
    "voltage": Kind.VOLTAGE,
    "voltage under load": Kind.VOLTAGE,
    "resistance": Kind.RESISTANCE,
    "drop": Kind.VOLTAGE,
    "capacity": Kind.CHARGE,
    "temperature": Kind.TEMPERATURE,
    "fuse": Kind.CURRENT,
}


_NOT_BELOW = (
    "Measure again with the probes the other way round, and write it without a minus. Where plus and minus are "
    "swapped at the plug itself, write  what: polarity  and  value: no"
)
_NOT_NOTHING = "Measure again, on a range that shows it, or leave the reading out."


def reading_value(reader: Reader, node: Scalar, what: str, path: str) -> float | None:
    """The value of a reading in SI: a quantity of what was measured; `blocks`, `polarity` and `fuse` take yes or no."""
    word = SWITCH_WORDS.get(fold(node.text))
    kind = _READING_KINDS.get(what)
    if word is not None and what in ("blocks", "polarity", "fuse"):
        return float(word)
    if kind is None:
        reader.tell(node.span, path, f'"{clean(node.text)}" is neither yes nor no', "Write  value: yes  or  value: no")
        return None
    found = reader.quantity(node, kind, path)
    if found is not None and found.value < 0.0 and kind is not Kind.TEMPERATURE:
        reader.tell(node.span, path, f'"{clean(node.text)}" is below 0', _NOT_BELOW)
        return None
    if found is not None and found.value == 0.0 and kind in (Kind.RESISTANCE, Kind.CHARGE):
        reader.tell(node.span, path, f'"{clean(node.text)}": a {what} is above 0', _NOT_NOTHING)
        return None
    return found.value if found else None
