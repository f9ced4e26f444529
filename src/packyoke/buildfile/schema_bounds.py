"""What is surely out of the bounds of a field, as a pattern for the JSON Schema.

A pattern compares digits, so a number is told off where its whole part or its zeros behind the point already say it:
`121 V` where 120 V is the most, not `120.5 V`. What the reader takes is never told off; the rest of it the reader does.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import ceil, floor, log10

from packyoke.core.unit_names import Kind, spellings
from packyoke.core.units import read

NEARLY = 1e-6
"""A bound that went through SI and back may lie that much beside the figure that was meant."""
_END = r"(?=\s*(\?|$|[fF][oO]|[aA][fFtT]|@))"
"""Behind the unit: the end, the mark of a guess, or the second figure of a pair."""


def outside(kind: Kind, low: float, high: float, units: Callable[[Kind, tuple[str, ...]], str]) -> str:
    """Texts of a kind that are surely out of bounds, which are SI; `units` makes a pattern of spellings."""
    found = [
        f"({beyond((low - zero) / factor, (high - zero) / factor)}){units(kind, names)}"
        for (zero, factor), names in _scales(kind).items()
    ]
    return rf"^\s*({'|'.join(found)}){_END}"


@cache
def _scales(kind: Kind) -> dict[tuple[float, float], tuple[str, ...]]:
    """The spellings of a kind by what their zero and their one are in SI."""
    found: dict[tuple[float, float], tuple[str, ...]] = {}
    for name in spellings()[kind]:
        zero = read(f"0 {name}", kind).value
        scale = zero, read(f"1 {name}", kind).value - zero
        found[scale] = (*found.get(scale, ()), name)
    return found


def beyond(low: float, high: float) -> str:
    """Decimal numbers surely below `low` or above `high`; `-0` is nothing."""
    rest = r"(\.[0-9]+)?"
    found = [f"{above(floor(high + NEARLY))}{rest}"] if high >= 0 else []
    found.append("-[0-9.]*[1-9][0-9.]*" if low >= 0 else f"-{above(floor(-low + NEARLY))}{rest}")
    if low > 0:
        found.append("-?[0.]+")
    if low >= 1:
        found.append(rf"{below(floor(low + NEARLY))}{rest}|\.[0-9]+")
    elif low > 0:
        found.append(rf"0?\.0{{{ceil(-log10(low) - NEARLY)},}}[0-9]+")
    return "|".join(found)


def above(limit: int) -> str:
    """Whole numbers of more than `limit`, without zeros in front.

    >>> above(120)
    '([1-9][0-9]{3,}|[2-9][0-9][0-9]|1[3-9][0-9]|12[1-9])'
    """
    digits = str(limit)
    more = [f"[1-9][0-9]{{{len(digits)},}}"]
    for at, digit in enumerate(digits):
        if digit != "9":
            more.append(f"{digits[:at]}[{int(digit) + 1}-9]{'[0-9]' * (len(digits) - at - 1)}")
    return f"({'|'.join(more)})"


def below(limit: int) -> str:
    """Whole numbers of less than `limit`, which is at least 1.

    >>> below(20), below(105)
    ('([0-9]|[1-1][0-9])', '([0-9]|[1-9][0-9]|10[0-4])')
    """
    digits = str(limit)
    less = [f"[1-9]{'[0-9]' * (count - 1)}" if count > 1 else "[0-9]" for count in range(1, len(digits))]
    for at, digit in enumerate(digits):
        least = 0 if at else (1 if len(digits) > 1 else 0)
        if int(digit) > least:
            less.append(f"{digits[:at]}[{least}-{int(digit) - 1}]{'[0-9]' * (len(digits) - at - 1)}")
    return f"({'|'.join(less)})"
