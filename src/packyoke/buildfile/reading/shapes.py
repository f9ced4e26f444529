"""A part that was written as a list or as one text: the same as the file has it, a name in front and lines below.

The reader looks here only after a mistake.
"""

from __future__ import annotations

import re

from packyoke.buildfile.reading.document import Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.spoken import reads
from packyoke.buildfile.reading.spoken_words import MEANINGS, fold
from packyoke.buildfile.reading.table import TABLES
from packyoke.core.findings import clean
from packyoke.core.units import Kind

NAMES = ("name", "id", "called")
"""Lines in which people put the name of a part."""
EXAMPLES = {
    "packs": "{label: 48 V, capacity: 14 Ah}",
    "joiners": "{type: diode, ceiling: 60 V}",
    "leads": "{from: keel, to: yoke, length: 400 mm, gauge: 12 AWG}",
    "controllers": "{battery_current: 25 A}",
    "accessories": "{from: yoke, max: 60 V, current: 0.5 A}",
    "chargers": "{output: 54.6 V, current: 4 A}",
    "racks": "{limit: 27 kg}",
    "parts": "{connectors: {dock blade: {per_contact: 15 A}}}",
}
"""What a part says first, where that is not the first field of its table, nor the example of the section."""
_FIGURES = {
    "packs": (("label", Kind.VOLTAGE), ("capacity", Kind.CHARGE), ("discharge", Kind.CURRENT), ("mass", Kind.MASS)),
    "joiners": (("current", Kind.CURRENT),),
    "leads": (("length", Kind.LENGTH),),
    "controllers": (("battery_current", Kind.CURRENT),),
    "accessories": (("current", Kind.CURRENT),),
    "chargers": (("output", Kind.VOLTAGE), ("current", Kind.CURRENT)),
    "racks": (("limit", Kind.MASS),),
    "bike": (("mass", Kind.MASS),),
}
"""Which field a figure by itself stands for, by what it measures. A joiner's
or an accessory's bare voltage is its name and no limit."""
_FIGURE = re.compile(r"(?<![A-Za-z0-9.,])([0-9]+(?:\.[0-9]+)?) ?([A-Za-z]+)(?![A-Za-z0-9])")
_FROM_TO = re.compile(r"(?:from )?(.+?) *(?:->|=>|\u2192| to ) *(.+)", re.I).fullmatch


def example_of(section: str) -> str:
    """What a part of a section may look like."""
    if section in EXAMPLES:
        return EXAMPLES[section]
    slot = TABLES["file"].get(section)
    if slot is not None and slot.field is not None:
        return slot.field.example
    inside = next(child for child in TABLES[section].values() if child.field and child.field.example)
    return f"{{{inside.example}}}"


def instead(section: str, name: str, node: Node) -> tuple[str, str]:
    """What to write in place of a part (`name`), or of all of a section (no name), that is no mapping: an example, and
    the same with what was written, where that can be told."""
    alone = bool(name) or section in ("all_leads", "parts")

    def line(lines: str) -> str:
        return f"{name or section}: {lines if alone else f'{{NAME: {lines}}}'}"

    do = ""
    if isinstance(node, Sequence) and name in ("", "controller", "bike"):
        first = next((item for item in node.items if isinstance(item, Mapping)), None)
        if first is not None and alone:
            do = f"Write  {line(_parted(first)[1])}  without the dash."
        elif first is not None:
            called, lines = _parted(first)
            do = f"Write  {section}: {{{called or 'NAME'}: {lines}}}  and so on: no dashes, each name in front."
    elif isinstance(node, Scalar) and (lines := _lines(section, node.text.strip())):
        do = f"Write  {line(lines)}"
    return line(example_of(section)), do


def _parted(item: Mapping) -> tuple[str, str]:
    """The name of an item of a list, and its other lines."""
    called, lines = "", []
    for key, value in item.entries:
        text = clean(value.text) if isinstance(value, Scalar) else "..."
        if key.text.casefold() in NAMES and isinstance(value, Scalar):
            called = text
        else:
            lines.append(f"{clean(key.text)}: {text}")
    return called, f"{{{', '.join(lines)}}}"


def _lines(section: str, text: str) -> str:
    """The lines that one text stands for; empty where nobody can tell."""
    ends = _FROM_TO(text) if section == "leads" else None
    if ends is not None:
        return f"{{from: {clean(ends[1])}, to: {clean(ends[2])}}}"
    kinds = MEANINGS["joiners.*.type"] | TABLES["joiners"]["type"].words
    kind = kinds.get(fold(text)) if section == "joiners" else None
    if kind is not None:
        return f"{{type: {kind}}}"
    fields, found = dict(_FIGURES.get(section, ())), []
    for number, unit in _FIGURE.findall(text):
        field = next((each for each, kind in fields.items() if reads(f"{number} {unit}", kind)), None)
        if field is None:
            return ""
        del fields[field]
        found.append(f"{field}: {number} {unit}")
    rest = _FIGURE.sub(" ", text)
    return f"{{{', '.join(found)}}}" if found and not re.search("[0-9]", rest) else ""
