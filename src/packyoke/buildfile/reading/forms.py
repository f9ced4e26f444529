"""Lines that are more than one number or one word of a list."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from packyoke.buildfile.reading.alike import fold
from packyoke.buildfile.reading.bounds import out_of_bounds
from packyoke.buildfile.reading.document import Node, Scalar, Sequence
from packyoke.buildfile.reading.names import find
from packyoke.buildfile.reading.slips import COUNTS
from packyoke.buildfile.reading.spoken_words import LEAVE_OUT
from packyoke.buildfile.reading.unknown_words import is_unknown
from packyoke.buildfile.reading.walk import (
    DraftPart,
    Reader,
    Slot,
    guessed,
    read_quantity,
    read_text,
    shown_text,
    start_of,
    within,
)
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.paths import path_to
from packyoke.core.units import Kind, QuantityError, read, show
from packyoke.model import NONE, Gauge, Run

_COUNT = re.compile(r"0|[1-9][0-9]{0,5}").fullmatch
_COUNT_FIRST = re.compile(r"[1-9][0-9]{0,2}(?=[ sS])(?! *(?:or|to|and|-|/) *[0-9])").match
SWITCH_WORDS = {"yes": True, "no": False, "true": True, "false": False}
_BESIDE_COUNT = re.compile(r"beside[ _]*([0-9]{1,2})[ _-]*(?:others?(?:[ _-]leads?)?|leads?)", re.I).fullmatch
_LABEL_VOLTS = re.compile(
    r"(?:(?P<other>[0-9]+(?:[.,][0-9]+)*) ?v? ?(?:-|–|—|/|~|\.\.+|…|to|or) ?)?"
    r"(?<![0-9.,])(?P<volts>[0-9]+(?:[.,][0-9]+)*) ?v(?:olts?)?(?: ?d\.?c\.?)?"
    r"(?![a-z]|[0-9](?![0-9.]* ?(?:m?ah|wh|a)(?![a-z])))",
    re.I,
).finditer
"""A figure in volts, and the one that it is tied to: `36-48 V`, `36/48V`. Ampere hours may follow, `48V14Ah`."""
_PLAIN_LABEL = re.compile(r"[0-9.]+ ?v(?:dc)?(?:[ ,]*[0-9.]+ ?m?ah)?", re.I).fullmatch
_SIGNED = re.compile(r"\s*[-+\u2212] ?(?=[0-9.])").match
AMOUNT = re.compile(r"(-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?)(?: ?([^\s0-9].{0,15}))?").fullmatch


def read_count(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    number, guess = guessed(text.text)
    if _COUNT(number) is None:
        first = _COUNT_FIRST(number)
        count = first[0] if first else COUNTS.get(number.casefold().strip())
        do = f"Write  {slot.key}: {count}" if count else f"Write a whole number, for example  {slot.example}"
        reader.tell(text.span, path, f'"{clean(number)}" is not a whole number', do)
    elif not slot.low <= int(number) <= slot.high:
        low, high = (int(bound) for bound in (slot.field.low, slot.field.high))  # type: ignore[union-attr,arg-type]
        reader.tell(
            text.span,
            path,
            f"{number} is out of bounds",
            f"The {slot.key.replace('_', ' ')} here is between {low} and {high}.",
        )
    else:
        reader.keep(draft, slot, node, int(number), guess)


def said_by(node: Node) -> str:
    return fold(node.text) if isinstance(node, Scalar) else ""


def read_yes_no(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    value = SWITCH_WORDS.get(fold(text.text))
    if value is None:
        reader.tell(text.span, path, f'"{clean(text.text)}" is neither yes nor no', f"Write  {slot.key}: yes")
    else:
        reader.keep(draft, slot, node, value)


def read_gauge(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A wire size, or a range of them from thin to thick."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None or slot.kind is None:
        return
    try:
        gauges, guess = _gauges(text.text, slot.kind)
    except QuantityError as error:
        do = _otherwise(text.text) or error.advice
        reader.tell(within(text, error.start, error.end), path, error.message, do)
        return
    if all(0.2 <= gauge.size <= 70 if gauge.family == "mm2" else -3 <= gauge.size <= 24 for gauge in gauges):
        reader.keep(draft, slot, node, gauges[0] if len(gauges) == 1 else gauges, guess)
    else:
        do = "Wires here are between 24 AWG and 4/0 AWG, or 0.2 mm2 and 70 mm2."
        reader.tell(text.span, path, f"{clean(text.text)} is out of bounds", do)


@lru_cache(maxsize=512)
def _gauges(text: str, kind: Kind) -> tuple[tuple[Gauge, ...], bool]:
    """One wire size or two, and whether it is a guess. The same few stand all over a file."""
    found = read(text, kind)
    sizes = (found.value,) if found.second is None else (found.value, found.second)
    return tuple(Gauge(found.family, size) for size in sizes), found.guess


def _otherwise(text: str) -> str:
    from packyoke.buildfile.reading.other_names import of_circular_mils, of_other_metal, of_several  # for mistakes

    return of_other_metal(text) or of_several(text) or of_circular_mils(text)


def read_insulation(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A material, or the degrees that are marked on the wire."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    word, guess = guessed(text.text)
    material = slot.words.get(fold(word))
    if material is not None:
        reader.keep(draft, slot, node, material.partition(" ")[0], guess)
    elif word[:1].isdigit():
        found = reader.quantity(text, Kind.TEMPERATURE, path)
        if found is not None and slot.low <= found.value <= slot.high:
            reader.keep(draft, slot, node, show(found.value, Kind.TEMPERATURE), guess)
        elif found is not None:
            out_of_bounds(reader, text, slot, Kind.TEMPERATURE, found.value, path)
    else:
        known = "Known: PVC, XLPE, silicone, or the degrees that are marked on it, for example  105 degC"
        do = _otherwise(word) or known
        reader.tell(text.span, path, f'no insulation "{clean(word)}"', do)


def run_of(reader: Reader, node: Node, path: str) -> Run | None:
    """How a lead is laid: one word, or a list of them."""
    items = node.items if isinstance(node, Sequence) else [node]
    said: dict[str, Any] = {"in_frame": False, "moving": False, "beside": 0}
    leads: list[str] = []
    opened = False
    good = True
    for item in items:
        text = reader.scalar(item, path, "run: [in frame, beside 2 others]")
        if text is None:
            good = False
            continue
        word = fold(text.text)
        count = _BESIDE_COUNT(text.text.strip())
        if word in ("in frame", "moving"):
            said[word.replace(" ", "_")] = True
        elif word == "open":
            opened = True
        elif count:
            said["beside"] += int(count[1])
            if int(count[1]) > 20:
                reader.tell(text.span, path, f"{clean(text.text)} is out of bounds", "At most 20 others are read.")
                good = False
        elif word.startswith("beside "):
            name = find(reader, text, ("leads",), path, text.text[6:].strip())
            if name is not None and path == line_in(path_to("leads", name), "run"):
                reader.tell(text.span, path, "a lead beside itself", "Name the other lead, or say how many there are.")
                name = None
            good = good and name is not None
            leads.append(name or "")
        else:
            reader.tell(
                text.span,
                path,
                f'"{clean(text.text)}" is not one of the words here',
                "Known: open, in frame, moving, beside 2 others, beside LEAD NAME",
            )
            good = False
    if opened and said["in_frame"]:
        reader.tell(start_of(node), path, "open and in frame", "A lead is one or the other.")
        good = False
    return Run(**said, beside_leads=tuple(leads)) if good else None


def read_run(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    run = run_of(reader, node, line_in(where, slot.key))
    if run is not None:
        reader.keep(draft, slot, node, run)


def read_current_or_none(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if said_by(node) == NONE:
        draft.values["charges_at_outlet"] = False
        draft.spans[slot.attr] = draft.spans["charges_at_outlet"] = node
    else:
        read_quantity(reader, draft, node, slot, where)


def read_no_limit(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A limit, or none at all."""
    if said_by(node) == NONE:
        reader.keep(draft, slot, node, float("inf"))
    elif isinstance(node, Scalar) and fold(node.text.rstrip("? ")) == NONE:
        do = "None is read here. Find it out, or leave the line out."
        reader.tell(node.span, line_in(where, slot.key), f'"{clean(node.text)}" is a guess', do)
    else:
        read_quantity(reader, draft, node, slot, where)


def read_breaks(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if said_by(node) == "isolates only":
        draft.values["isolates_only"] = True
        draft.spans[slot.attr] = draft.spans["isolates_only"] = node
    else:
        read_quantity(reader, draft, node, slot, where)


def read_label(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """What is printed on a pack: a voltage, or words with a voltage in them."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    if len(text.text) > 80:
        reader.tell(text.span, path, f"{len(text.text)} characters", "At most 80 characters are read.")
        return
    if is_unknown(text.text):
        reader.tell(text.span, path, f'"{clean(text.text)}" is no answer', LEAVE_OUT)
        return
    if not _PLAIN_LABEL(text.text) and _doubted(text.text):
        reader.tell(text.span, path, f'"{clean(text.text)}" is a guess', "A guess has a question mark behind it.")
        return
    draft.values["label"] = text.text
    draft.spans["label"] = node
    found = list(_LABEL_VOLTS(text.text))
    said = list(dict.fromkeys(each["volts"] for each in found))
    advice = _label_advice(text.text, found, said)
    if advice is not None:
        reader.tell(text.span, path, *advice)
    elif not said:
        if text.text.lstrip(" .")[:1].isdigit():
            read_quantity(reader, draft, node, slot, where)
    elif slot.low <= float(said[0]) <= slot.high:
        reader.keep(draft, slot, node, float(said[0]), text.text.endswith("?"))
    else:
        out_of_bounds(reader, text, slot, Kind.VOLTAGE, float(said[0]), path)


def read_plug(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A plug as somebody calls it: what says that nobody knows is none, and a guess stays one."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    said, guess = guessed(text.text)
    if not said or is_unknown(said) or fold(said) in (NONE, *SWITCH_WORDS):
        reader.tell(text.span, path, f'"{clean(text.text)}" is no plug', LEAVE_OUT)
    elif _doubted(said):
        do = f"A guess has a question mark behind it:  {slot.example} ?"
        reader.tell(text.span, path, f'"{clean(text.text)}" is a guess', do)
    elif guess:
        reader.keep(draft, slot, node, clean(said, len(said)), True)
    else:
        read_text(reader, draft, node, slot, where)


def _doubted(text: str) -> bool:
    from packyoke.buildfile.reading.hedges import unhedged  # a start-up of its own, and labels are mostly plain

    return unhedged(text) is not None


def _label_advice(text: str, found: list[re.Match[str]], said: list[str]) -> tuple[str, str] | None:
    """What is asked when a label says no voltage that can be told apart from another one."""
    signed = _SIGNED(text)
    if signed:
        return f'"{clean(text)}" has a sign in front', f"A label has none. Write  label: {clean(text[signed.end() :])}"
    if any("," in volts for volts in said):
        point = re.sub(r"(?<=[0-9]),(?=[0-9]+ ?v)", ".", text, flags=re.I)
        return f'"{clean(text)}" has a comma in the number', f"For a decimal write a point:  {clean(point)}"
    both = [*dict.fromkeys(each for match in found for each in (match["other"], match["volts"]) if each)]
    if len(both) > 1:
        one = "  or  ".join(f"label: {volts} V" for volts in both[:3])
        return f'"{clean(text)}" has more than one voltage', f"Which one names the pack? Write  {one}"
    if re.search(r"[0-9] ?[x\u00d7*] ?[0-9.]+ ?v(?:olts?)?(?![a-z])", text, re.I):
        return f'"{clean(text)}" is a voltage times a number', "Write the voltage of the whole pack, as it is printed."
    if said and re.match(r"0[0-9]|.*\..*\.", said[0]):
        return f'"{clean(text)}" has no plain number of volts', "Write the voltage alone, for example  label: 48 V"
    return None


def read_drop(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """`45 mV at 20 A`: a resistance that was measured under load."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    found = reader.quantity(text, Kind.VOLTAGE_AT_CURRENT, path) if text else None
    if text is None or found is None:
        return
    drop_v, current_a, guess = found.value, found.second, found.guess
    if not current_a or not slot.low <= drop_v / current_a <= slot.high:
        reader.tell(
            text.span,
            path,
            f"{clean(text.text)} is out of bounds",
            "The drop over the current here is between 0.05 mohm and 100 mohm.",
        )
    else:
        reader.keep(draft, slot, node, drop_v / current_a, guess)


def read_forward(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A diode's drop, with or without the current it was measured at."""
    if isinstance(node, Scalar) and re.search(r"\bat\b|@", node.text):
        found = reader.quantity(node, Kind.VOLTAGE_AT_CURRENT, line_in(where, slot.key))
        if found is not None and slot.low <= found.value <= slot.high:
            reader.keep(draft, slot, node, found.value, found.guess)
        elif found is not None:
            out_of_bounds(reader, node, slot, Kind.VOLTAGE, found.value, line_in(where, slot.key))
    else:
        read_quantity(reader, draft, node, slot, where)


def read_assist(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """The rider's share: `rider 80 W`, `ratio 2` or `throttle`."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None or slot.field is None:
        return
    word, _, rest = text.text.partition(" ")
    word = word.casefold()
    low, high = slot.field.second or (0.0, 0.0)
    if word == "rider" and rest:
        try:
            reading = read(rest, Kind.POWER)
        except QuantityError as error:
            begin = len(text.text) - len(rest)
            reader.tell(within(text, begin + error.start, begin + error.end), path, error.message, error.advice)
            return
        if reading.guess:
            do = "None is read here. Find it out, or leave the line out."
            reader.tell(text.span, path, f'"{clean(text.text)}" is a guess', do)
            return
        watts = reading.value
        if not slot.low <= watts <= slot.high:
            out_of_bounds(reader, text, slot, Kind.POWER, watts, path)
            return
        draft.values["rider_w"] = watts
    elif word == "ratio" and (ratio := AMOUNT(rest)) and not ratio[2] and low <= float(ratio[1]) <= high:
        draft.values["assist_ratio"] = float(ratio[1])
    elif text.text.casefold() != "throttle":
        reader.tell(
            text.span,
            path,
            f'"{clean(text.text)}" is no share of the rider',
            f"Write  rider 80 W,  ratio 2  (between {low:g} and {high:g})  or  throttle",
        )
        return
    draft.values["assist"] = word
    for attr in (slot.attr, *slot.also):
        draft.spans[attr] = node


def read_mates(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    if not isinstance(node, Sequence):
        reader.tell(
            start_of(node), path, f"{shown_text(node)}, where a list is needed", f"Write for example  {slot.example}"
        )
        return
    texts = [reader.scalar(item, path, slot.example) for item in node.items]
    reader.keep(draft, slot, node, tuple(text.text for text in texts if text is not None))
