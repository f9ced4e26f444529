"""What is shown, in US units: lengths as on a tape, degF, miles, pounds.

A page is words and figures as they are read, whoever wrote them; so it is the page that is put into other units, once,
for every command and every form. Where the value itself is at hand it is shown in them from the start (`show`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from copy import deepcopy
from dataclasses import fields, is_dataclass
from functools import partial
from itertools import zip_longest
from typing import Any, TypeVar
from xml.etree import ElementTree as ET

from packyoke.core.findings import Fixed, shown
from packyoke.core.units import Kind, show, to_si

Shown = TypeVar("Shown")
Say = Callable[[float], str]

KINDS = {
    "m per km": Kind.CLIMB,
    "per km": Kind.COUNT_PER_DISTANCE,
    "Wh/km": Kind.ENERGY_PER_DISTANCE,
    "km/h": Kind.SPEED,
    "m/s": Kind.SPEED,
    "degC": Kind.TEMPERATURE,
    "\u00b0C": Kind.TEMPERATURE,
    "km": Kind.LENGTH,
    "cm": Kind.LENGTH,
    "mm": Kind.LENGTH,
    "kg": Kind.MASS,
    "m": Kind.LENGTH,
    "g": Kind.MASS,
}
"""Units that are put into others. mm2 is none: wire is sold by it, and has it printed on."""
OTHERS: dict[str, Say] = {
    "K": lambda value: f"{shown(value * 1.8)} degF",  # a step, not a temperature
    "m2": lambda value: f"{shown(value / 0.3048**2)} ft2",
}
SIGNS = {"\u00b0C": "\u00b0F"}
"""Units whose sign is printed where a page has letters for it, and the sign that stands for them then."""
NOTHING = {"km": "mi", "m": "ft"}
"""What nothing of a unit is called: 0 m is no 0 in."""
_UNIT = "|".join(re.escape(each) for each in sorted([*KINDS, *OTHERS], key=len, reverse=True))
_NUMBER = r"(?:(?<![\w.,-])[-\u2212])?(?<![\w.,])[0-9]+(?:\.[0-9]+)?"
_JOINT = r"(?: to | or | and |-|\u2013| x | \u00d7 )"
_MORE = rf"(?:{_JOINT}[-\u2212]?[0-9]+(?:\.[0-9]+)?)"
_SPAN = rf"(?: \([-\u2212]?[0-9]+(?:\.[0-9]+)?{_MORE}\))?"
QUANTITY = re.compile(
    rf"(?P<numbers>{_NUMBER}{_MORE}*{_SPAN}|_{{3,}})[ \u00a0](?P<unit>{_UNIT})(?![\w/\u00b2])(?! per )"
)
"""One number or several with the unit that they share, or a line to write one on."""


COPPER = re.compile(r"(?<![\w.,-])(?P<area>[0-9]+(?:\.[0-9]+)?)[ \u00a0](?:mm2|mm\u00b2)(?![\w/])(?! per )")
BESIDE = 16
"""So many letters away an AWG size still belongs to a copper area: `4 mm2, between ...`, `12 AWG (3.31 mm2)`."""


def in_us(what: Shown, keep: Iterable[str] = (), copper: Say | None = None) -> Shown:
    """The same page, block, drawing or text in US units.

    :param keep: names that somebody gave or that are of the trade ("4 mm bullet"): they stay as they are
    :param copper: says a size in mm2 in AWG, for wire that is told in mm2 alone; drawings have no room for both
    """
    held = sorted({each for each in keep if QUANTITY.search(each)}, key=len, reverse=True)
    names = re.compile("|".join(map(re.escape, held))) if held else None
    found: Shown = _mapped(what, partial(_text, names=names, copper=copper))
    return found


def _mapped(what: Any, say: Callable[..., str]) -> Any:
    """The same structure with every text in it said otherwise; models and numbers are left as they are."""
    if isinstance(what, str):
        return say(what)
    if isinstance(what, ET.Element):
        return _drawn(what, partial(say, copper=None))
    if isinstance(what, tuple):
        found = [_mapped(each, say) for each in what]
        return type(what)(*found) if hasattr(what, "_fields") else tuple(found)
    if isinstance(what, list):
        return [_mapped(each, say) for each in what]
    if isinstance(what, Mapping):
        return {_mapped(key, say): _mapped(value, say) for key, value in what.items()}
    if isinstance(what, Fixed):
        return what.but(**{key: _mapped(value, say) for key, value in vars(what).items()})
    if is_dataclass(what) and not isinstance(what, type):
        return type(what)(**{each.name: _mapped(getattr(what, each.name), say) for each in fields(what)})
    return what


def _drawn(picture: ET.Element, say: Callable[[str], str]) -> ET.Element:
    """A picture with its words said otherwise, also those that are only heard."""
    found = deepcopy(picture)
    for each in found.iter():
        each.text, each.tail = each.text and say(each.text), each.tail and say(each.tail)
        if "aria-label" in each.attrib:
            each.set("aria-label", say(each.attrib["aria-label"]))
    return found


def _text(text: str, names: re.Pattern[str] | None, copper: Say | None = None) -> str:
    return _on_both_scales(_other_units(text, names), copper) if copper else _other_units(text, names)


def _on_both_scales(text: str, copper: Say) -> str:
    """Wire told in mm2 alone, with AWG behind it."""

    def said(found: re.Match[str]) -> str:
        near = text[max(0, found.start() - BESIDE) : found.end() + BESIDE]
        told = "" if "AWG" in near else copper(float(found["area"]))
        return f"{found.group()} ({told})" if told else found.group()

    return COPPER.sub(said, text)


def _other_units(text: str, names: re.Pattern[str] | None) -> str:
    if names is None:
        return _between_names(text)
    found, at = [], 0
    for name in names.finditer(text):
        found += [_between_names(text[at : name.start()]), name.group()]
        at = name.end()
    return "".join([*found, _between_names(text[at:])])


def _between_names(text: str) -> str:
    """Quantities, then signs that stand alone at the head of a column."""
    text = QUANTITY.sub(_said, text)
    for sign, other in SIGNS.items():
        text = text.replace(sign, other)
    return text


def _said(found: re.Match[str]) -> str:
    """Each number in its own unit; what joins them stays, and a unit that they share stands once."""
    unit, numbers = found["unit"], found["numbers"]
    if numbers.startswith("_"):
        return f"{numbers} {_unit_of(0.0, unit)}"
    parts = re.split(rf"(?<=[0-9])({_JOINT}| \(|\))", numbers)
    told = [each and _one(float(each.replace("\u2212", "-")), unit) for each in parts[::2]]
    units = {each.partition(" ")[2] for each in told if each}
    if len(units) == 1 and not re.search(r"(?:^| )[0-9]", shared := units.pop()):
        told, parts = [each.partition(" ")[0] for each in told], [*parts, f" {shared}"]
    return "".join(each for pair in zip_longest(told, parts[1::2], fillvalue="") for each in pair)


def _unit_of(number: float, unit: str) -> str:
    return _one(number, unit).partition(" ")[2]


def _one(number: float, unit: str) -> str:
    if unit in OTHERS:
        return OTHERS[unit](number)
    if unit in SIGNS:
        return f"{_one(number, 'degC').partition(' ')[0]} {SIGNS[unit]}"
    if number == 0.0 and unit in NOTHING:
        return f"0 {NOTHING[unit]}"
    return show(to_si(number, unit), KINDS[unit], "us")
