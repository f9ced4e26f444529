"""Lengths as a tape in feet and inches has them: `5 ft 3 3/4 in`, written and read; and ways as they are told."""

from __future__ import annotations

import re
from functools import cache
from math import ceil, floor

INCH_M = 0.0254
INCHES, FEET = 12, 100
"""From one foot on a tape is read to 1/8 in, below to 1/16; from a hundred feet on whole feet are enough: judgement."""

MILE_M = 5280 * INCHES * INCH_M

MARKS = (2, 4, 8, 16, 32)
FOOT_WORDS, INCH_WORDS = ("ft", "foot", "feet"), ("in", "inch", "inches")


def pattern(foot: str, inch: str) -> str:
    """The pattern of such a length, with patterns for the words; its groups: feet, inches below a foot and their part,
    then without feet: inches and their part."""
    part = "|".join(f"{n}/{of}" for of in MARKS for n in range(1, of, 2))
    below = rf"(?:(1[01]|[0-9])(?:[ -]({part}))?|({part}))"
    alone = rf"(?:([0-9]{{1,4}})[ -])?({part})"
    return rf"(?:([0-9]{{1,4}}) *(?:{foot}) +{below} *(?:{inch})|{alone} *(?:{inch}))"


@cache
def _whole() -> re.Pattern[str]:
    return re.compile(rf"{pattern('|'.join(FOOT_WORDS), '|'.join(INCH_WORDS))}\Z", re.I)


def tape(metres: float) -> str | None:
    """A length to the nearest mark of a tape; None where it is shorter than half a mark, or too long for any tape.

    >>> tape(1.62), tape(0.4), tape(0.008), tape(12.192)
    ('5 ft 3 3/4 in', '1 ft 3 3/4 in', '5/16 in', '40 ft')
    """
    from fractions import Fraction  # a start-up of its own, and few files are in feet

    inches = abs(metres) / INCH_M
    if inches > INCHES * FEET:
        return None
    marks = 8 if inches >= INCHES else 16
    found = Fraction(round(inches * marks), marks)
    if not found:
        return None
    feet, rest = divmod(found, INCHES)
    whole, part = divmod(rest, 1)
    words = [f"{feet} ft"] if feet else []
    if rest:
        words.append(" ".join([*([str(whole)] if whole else []), *([str(part)] if part else []), "in"]))
    return f"{'-' if metres < 0 else ''}{' '.join(words)}"


def tape_m(text: str) -> float | None:
    """The metres of a length that is written as on a tape; None for anything else.

    >>> tape_m("1 ft 3 3/4 in"), tape_m("1/2 in"), tape_m("1 ft 13 in")
    (0.40005, 0.0127, None)
    """
    from fractions import Fraction

    found = _whole().match(text)
    if found is None:
        return None
    feet, *inches = (Fraction(each or 0) for each in found.groups())
    return float((feet * INCHES + sum(inches)) * 254 / 10000)


def far(metres: float, system: str, asked_m: float | None = None) -> str:
    """A way in whole kilometres or miles, rounded down; to a tenth below ten, and beside a way that is asked for to a
    tenth.

    >>> far(123_900.0, "metric"), far(9_870.0, "metric"), far(160_934.4, "us"), far(74_460.0, "metric", 74_500.0)
    ('123 km', '9.8 km', '100 mi', '74.4 km')
    """
    unit, number = _miles(metres, system)
    number += 1e-9
    whole = number >= 10.0 and (asked_m is None or _tenths(asked_m, system) % 10 == 0)
    return f"{floor(number)} {unit}" if whole else f"{floor(10 * number) / 10:g} {unit}"


def wanted(metres: float, system: str) -> str:
    """A way that somebody asks for, to a tenth and rounded up: what falls short of it is told as less.

    >>> wanted(74_500.0, "metric"), wanted(80_000.0, "metric"), wanted(80_467.2, "us"), wanted(80_467.2, "metric")
    ('74.5 km', '80 km', '50 mi', '80.5 km')
    """
    return f"{_tenths(metres, system) / 10:g} {_miles(metres, system)[0]}"


def _tenths(metres: float, system: str) -> int:
    return ceil(10 * _miles(metres, system)[1] - 1e-6)


def _miles(metres: float, system: str) -> tuple[str, float]:
    return ("mi", metres / MILE_M) if system == "us" else ("km", metres / 1000.0)
