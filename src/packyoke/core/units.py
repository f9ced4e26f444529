"""Quantities as people write them, and back: text -> SI float, SI float -> text.

One plain decimal number and one spelling from the closed list of its kind are read here; the factor of the unit stands
in a table that was worked out by pint (`unit_factors`). pint itself is imported only to say what an unknown unit is.
Powers of ten are moved in the text of the number, so that `35 mohm` and `0.035 ohm` are the same float.
"""

from __future__ import annotations

import re
from functools import lru_cache
from math import isfinite
from typing import NamedTuple

from packyoke.core.letters import compatible, of_another_script
from packyoke.core.tape import tape, tape_m
from packyoke.core.unit_factors import FACTORS
from packyoke.core.unit_names import (
    CURRENCIES,
    EITHER,
    EXAMPLES,
    HINTS,
    METRIC,
    PAIRS,
    US,
    Kind,
    Unit,
    spellings,
    without_case,
)
from packyoke.core.unit_slips import decimal_of, slip

__all__ = [
    "Kind",
    "QuantityError",
    "Reading",
    "UnknownUnit",
    "from_si",
    "number_in",
    "read",
    "show",
    "show_gauge",
    "show_pair",
    "thousands",
    "to_si",
    "units_of",
]


class Reading(NamedTuple):
    """A quantity in SI. `second` is the later figure of a pair, `guess` a trailing `?`, `family` a gauge's or currency.

    A gauge keeps its size number in `value`: `12 AWG` is 12, `1/0` is 0, `2/0` is -1; square millimetres stay as they
    are. A range of gauges runs from the thin wire (`value`) to the thick one (`second`).
    """

    value: float
    second: float | None
    unit: str
    guess: bool
    family: str = ""


class UnknownUnit(ValueError):
    """A name that is none of those that `show` prints."""


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind; `start` and `end` are offsets in it for the caret."""

    def __init__(self, message: str, advice: str, start: int, end: int) -> None:
        super().__init__(message)
        self.message, self.advice, self.start, self.end = message, advice, start, end


_MOST_CHARACTERS = 64
_DECIMAL = r"(?:(?:0|[1-9][0-9]*)(?:\.[0-9]+)?|\.[0-9]+)"
_NUMBER = re.compile(rf"\s*(-?{_DECIMAL}) *").match
_SIZE = rf"[1-4]/0|0{{2,4}}|{_DECIMAL}"
_AREA = r"mm2|mm²|mm\^2|sq\.? ?mm|qmm"
_GAUGE = re.compile(rf"(?:(AWG|SAE) *)?({_SIZE}) *(AWG|SAE|{_AREA})?\Z", re.I).match
_RANGE = rf"(.*?)\s*(?:\bto\b|-|–|\.\.)\s*(?=({_SIZE}) *(AWG|SAE|{_AREA})\Z)"
_GAUGES = (Kind.GAUGE, Kind.GAUGE_RANGE)
_WORD = re.compile(r"[A-Za-z]{2,20}\Z").match
_ODD_PREFIX = re.compile(r"m+fd", re.I).match  # an old way to write microfarads, which looks like milli
_THOUSANDS = re.compile(r"\s*-?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9])").match
_INCH_MARKS = ('"', "''", "″", "”", "“")
_FOOT_MARKS = ("'", "′", "’")
_TYPED = str.maketrans({"\u2126": "Ω", "\u03bc": "µ", "\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " "})

_JOINTS = {"for": r"\s*\bfor\b\s*", "after": r"\s*\bafter\b\s*", "at": r"\s*(?:\bat\b|@)\s*"}


_UNITS = spellings()
_FOLDED = {kind: without_case(known) for kind, known in _UNITS.items()}
_NAMES = {unit.name: unit for known in _UNITS.values() for unit in known.values()}


def _find(kind: Kind, spelling: str) -> Unit | None:
    known, folded = _UNITS[kind], _FOLDED[kind]
    return (
        known.get(spelling) or folded.get(spelling[:1] + spelling[1:].lower()) or folded.get(spelling.lower())
        if spelling
        else None
    )


@lru_cache(maxsize=2048)  # the same figures stand all over the files of a workshop
def read(text: str, kind: Kind) -> Reading:
    """A quantity of the wanted kind, in SI.

    :param text: one number and one unit, or one of the listed forms; at most 64 characters
    :param kind: what the field measures
    :raises QuantityError: for anything else, with the line to type
    """
    if len(text) > _MOST_CHARACTERS:
        raise QuantityError(f"too long for {kind.value}", f"Write for example  {EXAMPLES[kind]}", 0, _MOST_CHARACTERS)
    number = _NUMBER(text)
    if number is not None:
        unit = _UNITS[kind].get(text[number.end() :])
        if unit is not None:
            return _of_unit(number[1], unit)
    return _read_slowly(text, kind)


def _read_slowly(text: str, kind: Kind) -> Reading:
    typed = text.translate(_TYPED)
    start = len(typed) - len(typed.lstrip()) if typed.strip() else 0
    typed = typed.strip()
    if not typed.isprintable():
        place = start + next(i for i, character in enumerate(typed) if not character.isprintable())
        raise QuantityError("has a character that cannot be seen", "Type the line anew.", place, place + 1)
    body = typed.removesuffix("?").rstrip()
    guess = body != typed
    if kind in PAIRS:
        return _read_pair(body, kind, start, guess)
    reading = _read_gauge(body, kind) if kind in _GAUGES else _read_one(body, kind)
    if reading is None:
        raise QuantityError(*_mistake(body, kind), start, start + max(len(typed), 1))
    return Reading(reading.value, reading.second, reading.unit, guess, reading.family)


def _read_one(text: str, kind: Kind) -> Reading | None:
    number = _NUMBER(text)
    if number is None:
        return None
    spelling = text[number.end() :]
    if kind is Kind.MONEY:
        code = spelling.upper()
        return Reading(float(number[1]), None, code, False, code) if code in CURRENCIES else None
    unit = _find(kind, " ".join(spelling.split()))
    if unit is None:
        length = tape_m(text) if kind is Kind.LENGTH else None
        return None if length is None else Reading(length, None, "in", False)
    return _of_unit(number[1], unit)


def _of_unit(number: str, unit: Unit) -> Reading:
    return Reading(float(f"{number}e{unit.power}") * FACTORS[unit.expression] + unit.offset, None, unit.name, False)


def _read_pair(text: str, kind: Kind, start: int, guess: bool) -> Reading:
    first_kind, second_kind, word = PAIRS[kind]
    joint = re.search(_JOINTS[word], text, re.I)
    if joint is None:
        first = _read_one(text, first_kind)
        second = second_kind.value.split()[1]
        message = f'"{text}" has no {second}' if first else f'"{text}" is not {kind.value}'
        example = f"{text} {word} {EXAMPLES[second_kind]}" if first else EXAMPLES[kind]
        raise QuantityError(message, f"Write  {example}", start, start + max(len(text), 1))
    readings = []
    for part, part_kind, place, side in (
        (text[: joint.start()], first_kind, start, "before"),
        (text[joint.end() :], second_kind, start + joint.end(), "after"),
    ):
        if not part:
            message = f'"{text}" has nothing {side} "{joint[0].strip()}"'
            raise QuantityError(message, f"Write for example  {EXAMPLES[kind]}", start, start + len(text))
        try:
            readings.append(read(part, part_kind))
        except QuantityError as error:
            raise QuantityError(error.message, error.advice, place + error.start, place + error.end) from None
    return Reading(readings[0].value, readings[1].value, readings[0].unit, guess or any(r.guess for r in readings))


def _read_gauge(text: str, kind: Kind) -> Reading | None:
    if kind is Kind.GAUGE_RANGE:
        ends = re.match(_RANGE, text, re.I)
        if ends is None:
            return None
        thick = _read_gauge(f"{ends[2]} {ends[3]}", Kind.GAUGE)
        thin = _read_gauge(ends[1], Kind.GAUGE) or _read_gauge(f"{ends[1]} {ends[3]}", Kind.GAUGE)
        if thick is None or thin is None or thin.family != thick.family:
            return None
        thin_first = sorted((thin.value, thick.value), reverse=thin.family != "mm2")
        return Reading(thin_first[0], thin_first[1], thin.unit, False, thin.family)
    found = _GAUGE(text)
    if found is None or (found[1] is None) == (found[3] is None):
        return None
    family = (found[1] or found[3]).upper()
    size = found[2]
    if family not in ("AWG", "SAE"):
        return Reading(float(size), None, "mm2", False, "mm2") if "/" not in size and float(size) > 0 else None
    if "." in size:
        return None
    value = 1 - int(size[0]) if "/" in size else 1 - len(size) if size.startswith("0") else int(size)
    return Reading(float(value), None, family, False, family)


def _mistake(text: str, kind: Kind) -> tuple[str, str]:
    """What is wrong with a text that is no quantity of this kind, and what to type instead."""
    if not text:
        return "nothing here", f"Write for example  {EXAMPLES[kind]}"
    ascii_text = "".join(str(int(c)) if c.isdecimal() else c for c in text)
    if ascii_text != text:
        line = compatible(ascii_text)
        told = f"Write  {line}" if _taken(line, kind) else "Write the digits as 0 to 9."
        return f'"{text}" has digits of another script', told
    if kind is Kind.GAUGE and re.match(r"[-+]?[0-9./]+ *(?:AWG|SAE)\Z|(?:AWG|SAE) *[-+]?[0-9./]+\Z", text, re.I):
        return f'"{text}" is not on that scale', "AWG and SAE sizes are whole numbers, or 1/0 to 4/0 for the thickest."
    found = slip(text, kind, lambda line: _taken(line, kind))
    if found is not None:
        return f'"{text}" {found[0]}', found[1]
    number = _NUMBER(text)
    return _unit_mistake(text, number[1], text[number.end() :], kind) if number else _no_number(text, kind)


def _taken(text: str, kind: Kind) -> bool:
    """Whether a line that is offered would be read."""
    return (_read_gauge(text, kind) if kind in _GAUGES else _read_one(text, kind)) is not None


def thousands(text: str, kind: Kind) -> tuple[float, tuple[str, str]] | None:
    """What `1.250 W` is when its point parts thousands, in SI, and how to write either number; None without it.

    :param text: what was typed and read
    :param kind: what it measures
    """
    found = _THOUSANDS(text)
    if found is None:
        return None
    body = text.strip().removesuffix("?").rstrip()
    whole = body.replace(".", "", 1)
    return read(whole, kind).value, (whole, decimal_of(body))


def number_in(text: str) -> str:
    """The number in a text that `read` took, as typed: money is not counted in floats."""
    found = _NUMBER(text.translate(_TYPED))
    assert found is not None
    return found[1]


def units_of(kind: Kind) -> tuple[str, ...]:
    """The units that a number of this kind is usually written with."""
    return EITHER.get(kind, (EXAMPLES[kind].split(maxsplit=1)[1],))


def _no_number(text: str, kind: Kind) -> tuple[str, str]:
    turned = re.match(rf"([^0-9.]+?) *(-?{_DECIMAL})\Z", text)
    minus = re.match(r"(?:minus|[\u2010-\u2015\ufe63\uff0d]) *(?=[0-9.])", text, re.I)
    if minus and _read_one(f"-{text[minus.end() :]}", kind):
        return f'"{text}" has another sign for its minus', f"Write  -{text[minus.end() :]}"
    if _find(kind, text):
        return f'"{text}" has no number', f"Write for example  {EXAMPLES[kind]}"
    if turned and _read_one(f"{turned[2]} {turned[1]}", kind):
        return f'"{text}" has its unit in front', f"Write  {turned[2]} {turned[1]}"
    return f'"{text}" is not {kind.value}', f"Write a number and a unit, for example  {EXAMPLES[kind]}"


def _unit_mistake(text: str, number: str, spelling: str, kind: Kind) -> tuple[str, str]:
    example = EXAMPLES[kind]
    if not spelling and kind is Kind.FRACTION and float(number) < 1:
        return f'"{text}" has no unit', f"Write it in per cent, for example  {example}"
    if not spelling:
        return f'"{text}" has no unit', "Write  " + "  or  ".join(f"{number} {unit}" for unit in units_of(kind))
    if kind is Kind.LENGTH and spelling in _INCH_MARKS + _FOOT_MARKS:
        mark, unit = ("inch", "in") if spelling in _INCH_MARKS else ("foot", "ft")
        metric = show(to_si(float(number), unit), kind, unit="mm")
        return f"the {mark} mark is not read", f"Write  {number} {unit}  (that is {metric})"
    if kind is Kind.LENGTH and spelling.lower() in ("mil", "mils"):
        return f'"{spelling}" may be two things', f"Thousandths of an inch? Write  {float(number) * 0.0254:.4g} mm"
    if re.match(r"[AVW]? ?(?:a\.? ?c\b|~|∼|rms\b|r\.m\.s)", spelling, re.I):
        return f'"{text}" is for alternating current', "Only a d.c. figure counts. None marked? Leave the line out."
    others = (k for k in Kind if k is not kind and not (k is Kind.MONEY and kind in _GAUGES))
    other = next((k for k in others if (_read_gauge(text, k) if k in _GAUGES else _read_one(text, k))), None)
    if other is not None:
        needed = f"{kind.value.capitalize()} is needed, for example  {example}"
        return f'"{text}" is {other.value}', HINTS.get((kind, other), needed).format(
            number, "m" * spelling.startswith("m")
        )
    names = dict.fromkeys(unit.name for unit in _UNITS[kind].values())
    known = "AWG, SAE, mm2" if kind in _GAUGES else ", ".join(names) or "ISO currency codes"
    from difflib import get_close_matches  # costs a start-up as much as half of this module

    if kind is Kind.TEMPERATURE and spelling in ("°", "deg", "degrees", "degree"):
        return f'"{number} {spelling}" of which kind?', f"Write  {number} degC  or  {number} degF"
    near = [] if _ODD_PREFIX(spelling) else get_close_matches(spelling.lower(), list(_FOLDED[kind]), 1, 0.6)
    near = [each for each in near if each[0] == spelling[0].lower() and _taken(f"{number} {each}", kind)]
    elsewhere = None if near else _elsewhere(text, number, spelling, kind)
    if elsewhere is not None:
        return elsewhere
    advice = f"Did you mean  {number} {_FOLDED[kind][near[0]].name} ?" if near else f"Write for example  {example}"
    return f'no unit "{spelling}"', " ".join(filter(None, (of_another_script(spelling), f"{advice}  Known: {known}")))


def _elsewhere(text: str, number: str, spelling: str, kind: Kind) -> tuple[str, str] | None:
    """What a unit that is on none of our lists measures, and the line to type where that is what is wanted."""
    if not _WORD(spelling):
        return None
    from packyoke.core.unit_words import meaning  # pint takes as long to load as a build to check

    found = meaning(spelling)
    if found is None:
        return None
    other, factor = found
    if other is kind:
        line = show(float(number) * factor, kind)
        told = abs(read(line, kind).value / factor - float(number)) <= 0.01 * abs(float(number))
        return (f'no unit "{spelling}"', f"Write  {line}  (that is {number} {spelling})") if told else None
    return f'"{text}" is {other.value}', f"{kind.value.capitalize()} is needed, for example  {EXAMPLES[kind]}"


def _unit(name: str) -> Unit:
    if name not in _NAMES:
        raise UnknownUnit(f"unknown unit {name}")
    return _NAMES[name]


def to_si(value: float, unit: str) -> float:
    """A number of a known unit in SI.

    :param unit: name of the unit as `show` prints it
    :raises UnknownUnit: for an unknown name
    """
    known = _unit(unit)
    shifted = value * 10.0**known.power if known.power >= 0 else value / 10.0**-known.power
    return shifted * FACTORS[known.expression] + known.offset


def from_si(value_si: float, unit: str) -> float:
    """The number of a known unit that an SI value makes; the inverse of `to_si`.

    :param unit: name of the unit as `show` prints it
    :raises UnknownUnit: for an unknown name
    """
    known = _unit(unit)
    plain = (value_si - known.offset) / FACTORS[known.expression]
    return plain / 10.0**known.power if known.power >= 0 else plain * 10.0**-known.power


def _figures(value: float) -> str:
    text = f"{value:.0f}" if abs(value) >= 100 else f"{value + 0.0:.3g}"  # not "-0"
    if "e" not in text:
        return text
    from decimal import Decimal  # a start-up of its own, for figures that are rare

    return format(Decimal(text), "f")


def show(value_si: float, kind: Kind, system: str = "metric", *, unit: str | None = None) -> str:
    """A quantity for people: three figures and the unit that they read this kind in; millimetres and money are rounded.

    :param value_si: SI value; money: the amount
    :param kind: what it measures; pairs have `show_pair`, gauges `show_gauge`
    :param system: "metric" or "us" (miles, feet and inches as on a tape, pounds, degF)
    :param unit: a unit to use instead; money: its currency code, needed
    :raises ValueError: for a kind without a single number, an unknown system or unit
    """
    if kind is Kind.MONEY and unit is not None:
        return f"{value_si:.2f}".removesuffix(".00") + f" {unit}"
    table = {"metric": METRIC, "us": US}.get(system)
    if table is None or kind not in table:
        raise ValueError(f"cannot show {kind.value} in system {system}")
    if not isfinite(value_si):
        return "no limit"
    if system == "us" and kind is Kind.LENGTH and unit is None and (told := tape(value_si)):
        return told
    name = unit or next((name for least, name in table[kind] if abs(value_si) >= least), table[kind][-1][1])
    number = from_si(value_si, name)
    return f"{number:.0f} {name}" if name == "mm" else f"{_figures(number)} {name}"


def show_pair(value_si: float, second_si: float, kind: Kind, system: str = "metric") -> str:
    """The two quantities of a pair, such as `60 A for 10 s`.

    :param value_si: SI value of the first quantity
    :param second_si: SI value of the second quantity
    :param kind: one of the pairs
    :param system: "metric" or "us"
    """
    first, second, word = PAIRS[kind]
    return f"{show(value_si, first, system)} {word} {show(second_si, second, system)}"


def show_gauge(family: str, size: float) -> str:
    """A wire size as it is printed on the insulation: "AWG", "SAE" or "mm2", and `size` as in `Reading.value`."""
    return f"{size:g} {family}" if family == "mm2" or size > 0 else f"{1 - size:g}/0 {family}"
