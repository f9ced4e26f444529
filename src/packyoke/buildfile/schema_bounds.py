"""What is surely out of the bounds of a field, as a pattern for the JSON Schema.

A pattern compares digits, so a bound that is no short decimal in a unit is looked at a little further out. What the
reader takes is never told off; the rest of it the reader does.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from functools import cache

from packyoke.core.unit_names import Kind, spellings
from packyoke.core.units import read

HAIR = 1e-9
"""A bound that went through SI and back may lie that much of it beside the figure that was meant."""
_END = r"(?=\s*(\?|$|[fF][oO]|[aA][fFtT]|@))"
"""Behind the unit: the end, the mark of a guess, or the second figure of a pair."""


def outside(kind: Kind, low: float, high: float, units: Callable[[Kind, tuple[str, ...]], str]) -> str:
    """Texts of a kind that are surely out of bounds, which are SI; `units` makes a pattern of spellings."""
    found = [
        f"({beyond((low - zero) / factor, (high - zero) / factor)}){units(kind, names)}"
        for (zero, factor), names in scales(kind).items()
    ]
    return rf"^\s*({'|'.join(found)}){_END}"


@cache
def scales(kind: Kind) -> dict[tuple[float, float], tuple[str, ...]]:
    """The spellings of a kind by what their zero and their one are in SI."""
    found: dict[tuple[float, float], tuple[str, ...]] = {}
    for name in spellings()[kind]:
        zero = read(f"0 {name}", kind).value
        scale = zero, read(f"1 {name}", kind).value - zero
        found[scale] = (*found.get(scale, ()), name)
    return found


def beyond(low: float, high: float) -> str:
    """Decimal numbers surely below `low` or above `high`; `-0` is nothing."""
    found = [above(digits(high, ROUND_CEILING))] if high >= 0 else []
    found.append("-[0-9.]*[1-9][0-9.]*" if low >= 0 else f"-{above(digits(-low, ROUND_CEILING))}")
    if low > 0:
        found += ["-?[0.]+", below(digits(low, ROUND_FLOOR))]
    return "|".join(found)


def digits(bound: float, outwards: str) -> str:
    """A bound as it was meant, else as a figure of four digits a little further out."""
    for places, rounding in ((6, ROUND_HALF_EVEN), (4, outwards)):
        exact = Decimal(bound)
        step = Decimal(1).scaleb(min(exact.adjusted() + 1 - places, 0)) if exact else Decimal(1)
        found = exact.quantize(step, rounding)
        if abs(found - exact) <= abs(exact) * Decimal(HAIR):
            break
    whole, _, rest = f"{found:f}".partition(".")
    return f"{whole}.{rest.rstrip('0')}" if rest.rstrip("0") else whole


def above(limit: str) -> str:
    """Decimal numbers of more than `limit`, without zeros in front.

    >>> above("120")
    '(([1-9][0-9]{3,}|[2-9][0-9][0-9]|1[3-9][0-9]|12[1-9])(\\\\.[0-9]+)?|120\\\\.(0*[1-9][0-9]*))'
    """
    whole, _, rest = limit.partition(".")
    more = [f"[1-9][0-9]{{{len(whole)},}}"]
    more += [
        f"{whole[:at]}[{int(digit) + 1}-9]{'[0-9]' * (len(whole) - at - 1)}"
        for at, digit in enumerate(whole)
        if digit != "9"
    ]
    behind = [f"{rest[:at]}[{int(digit) + 1}-9][0-9]*" for at, digit in enumerate(rest) if digit != "9"]
    behind.append(f"{rest}0*[1-9][0-9]*")
    return rf"(({'|'.join(more)})(\.[0-9]+)?|{_before(whole)}\.({'|'.join(behind)}))"


def below(limit: str) -> str:
    """Decimal numbers of less than `limit`, which is above 0.

    >>> below("20"), below("0.25")
    ('([0-9]|[1-1][0-9])(\\\\.[0-9]+)?|\\\\.[0-9]+', '0|0?\\\\.([0-1][0-9]*|2|2[0-4][0-9]*)')
    """
    whole, _, rest = limit.partition(".")
    less = [f"[1-9]{'[0-9]' * (count - 1)}" if count > 1 else "[0-9]" for count in range(1, len(whole))]
    for at, digit in enumerate(whole):
        least = 0 if at or len(whole) == 1 else 1
        if int(digit) > least:
            less.append(f"{whole[:at]}[{least}-{int(digit) - 1}]{'[0-9]' * (len(whole) - at - 1)}")
    found = [rf"({'|'.join(less)})(\.[0-9]+)?", r"\.[0-9]+"] if int(whole) else []
    if rest:
        behind = []
        for at, digit in enumerate(rest):
            behind += [rest[:at]] if at else []
            behind += [f"{rest[:at]}[0-{int(digit) - 1}][0-9]*"] if digit != "0" else []
        found += [whole, rf"{_before(whole)}\.({'|'.join(behind)})"]
    return "|".join(found)


def _before(whole: str) -> str:
    """What stands before the point: nought may be left out there."""
    return "0?" if whole == "0" else whole
