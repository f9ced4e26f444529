"""Numbers that nobody means: out of the bounds of their field, or with a point that may part thousands."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from packyoke.buildfile.reading.document import Node, Scalar
from packyoke.core.findings import clean
from packyoke.core.units import Kind, read, show, thousands

if TYPE_CHECKING:
    from packyoke.buildfile.reading.walk import Reader, Slot

_NUMBER = re.compile(r"\s*-?[0-9]*\.?[0-9]+").match
MOST_FIGURES = 20
"""A number of more is none that somebody wrote with the wrong unit, and may be longer than a quantity is read."""
_OTHER_UNITS = {
    Kind.VOLTAGE: ("V", "mV", "kV"),
    Kind.CURRENT: ("A", "mA", "kA"),
    Kind.CHARGE: ("Ah", "mAh"),
    Kind.POWER: ("W", "kW", "mW"),
    Kind.RESISTANCE: ("mohm", "ohm", "uohm"),
    Kind.CAPACITANCE: ("uF", "mF", "nF", "F"),
    Kind.LENGTH: ("mm", "cm", "m", "in"),
    Kind.MASS: ("kg", "g", "lb"),
    Kind.SPEED: ("km/h", "mph", "m/s"),
    Kind.TEMPERATURE: ("degC", "degF", "K"),
}


def out_of_bounds(reader: Reader, node: Node, slot: Slot, kind: Kind, value: float, path: str) -> None:
    """A value that nobody means: say what is possible, and the unit with which it would be."""
    field = slot.field
    assert field is not None
    assert field.low is not None
    assert field.high is not None
    text = node.text if isinstance(node, Scalar) else ""
    number = _NUMBER(text)
    units = _OTHER_UNITS.get(kind, ()) if number and len(number[0]) <= MOST_FIGURES else ()
    others = (f"{number[0].strip()} {unit}" for unit in units) if number else ()
    likely = next((other for other in others if slot.low <= read(other, kind).value <= slot.high), "")
    low, high = (_bound(bound, kind) for bound in (field.low, field.high))
    do = f"The {slot.key.replace('_', ' ')} here is between {low} and {high}."
    reader.tell(
        node.span, path, f"{clean(text)} is out of bounds", do + (f"  Did you mean  {likely} ?" if likely else "")
    )


def _bound(value: float, kind: Kind) -> str:
    if kind is Kind.VOLTAGE_AT_CURRENT:
        return show(value, Kind.RESISTANCE)
    if kind is Kind.MONEY:
        return f"{value:.0f}"
    return show(
        value,
        {
            Kind.CURRENT_FOR_TIME: Kind.CURRENT,
            Kind.CURRENT_AFTER_TIME: Kind.CURRENT,
            Kind.SPEED_AT_VOLTAGE: Kind.SPEED,
        }.get(kind, kind),
    )


def thousands_asked(reader: Reader, node: Scalar, slot: Slot, kind: Kind, path: str) -> bool:
    """`1.250 EUR` may be a bit more than one or more than a thousand: asked where the field may be either."""
    whole = thousands(node.text, kind)
    if whole is None or not slot.low <= whole[0] <= slot.high:
        return False
    lines = whole[1] if slot.low <= read(whole[1][1], kind).value <= slot.high else whole[1][:1]
    reader.tell(
        node.span, path, f'"{clean(node.text)}" may have a point for its thousands', f"Write  {'  or  '.join(lines)}"
    )
    return True
