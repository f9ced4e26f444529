"""What people type who do not know the words of the file: what they most likely mean, and the line to type.

The reader looks here only after a mistake, and for the few values that are read and yet hardly meant (a charger of
48 V). `packyoke start` takes the same meanings as answers.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from packyoke.buildfile.reading.spoken_words import (
    ASKED,
    LEAVE_OUT,
    LITHIUM,
    MEANINGS,
    OTHER_CELLS,
    fold,
    is_unknown,
)
from packyoke.core.constants import AH_C
from packyoke.core.findings import clean, shown
from packyoke.core.units import Kind, QuantityError, read
from packyoke.shelf.chemistry import series_rows

if TYPE_CHECKING:
    from packyoke.buildfile.reading.walk import Slot
    from packyoke.model.field import Field

MOST_AH = 60.0
"""A pack of a bike hardly has more (judgement: 60 Ah at 48 V are 2.9 kWh and 15 kg)."""

_ABOUT = r"~|≈|ca\.?(?![a-z])|circa|about|approx(?:imately|\.)?|around|roughly|maybe|perhaps|probably|i think|guess:?"
_GUESS_BEFORE = re.compile(rf"(?:{_ABOUT})\s*(?P<rest>\S.*)", re.I).fullmatch
_GUESS_AFTER = re.compile(
    r"(?P<rest>.*?\S)\s*(?:\(?(?:approx\.?|about|or so|ish|maybe|probably|i think|guess)\)?|-ish|\?{2,})", re.I
).fullmatch
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_WORD = r"cont(?:inuous|\.)?|nominal|rated|max(?:imum|\.)?|peak|burst|surge"
_JOINT = r"/|,|;|\+|\(|and\b|&"
_TWO_CURRENTS = re.compile(
    rf"(?P<a>{_NUMBER})(?! ?[0-9.])(?: ?(?:a|amps?)\b)? ?(?P<aw>{_WORD})? ?(?:{_JOINT})? ?"
    rf"(?:(?P<w>{_WORD}) )?(?<![0-9.])(?P<b>{_NUMBER}) ?(?:a|amps?) ?(?P<bw>{_WORD})? ?\)?",
    re.I,
).fullmatch
_PRINTED = re.compile(rf"(?P<v>{_NUMBER}) ?v[^0-9]*(?P<ah>{_NUMBER}) ?(?P<unit>m?ah)\b.*", re.I).match
_PRINTED_TURNED = re.compile(rf"(?P<ah>{_NUMBER}) ?(?P<unit>m?ah)[^0-9]*(?P<v>{_NUMBER}) ?v\b.*", re.I).match
_WATT_HOURS = re.compile(rf"(?P<wh>{_NUMBER}) ?wh", re.I).fullmatch
_GAUGE_WORDS = re.compile(r"#? ?(?P<size>[0-9]{1,2}) ?(?:ga|gauge|g)\.?|# ?(?P<size2>[0-9]{1,2})", re.I).fullmatch
_FUSE_AMPS = re.compile(rf"(?P<amps>{_NUMBER}) ?(?:a|amps?)?(?P<kind>[^0-9]*|.*10 ?x ?38.*?)(?: fuse)?", re.I).fullmatch
_PEAK_WORDS = ("max", "peak", "burst", "surge")
FAMILIES = ("blade", "strip", "bolt", "class T", "10x38", "miniature", "battery link", "breaker")
_AMPS_OF_PARTS = ("packs.*.discharge.continuous", "joiners.*.current.continuous")
_FULL_CHARGES = ("chargers.*.output", "packs.*.charger_label")
_CAPACITIES = ("packs.*.capacity",)


class Meant(NamedTuple):
    """What somebody most likely meant.

    `value`: as the file has it; empty where the line is left out or only the person can say. `message` and `do`: what
    is said of it. `peak_a`: a second current that counts only with its seconds.
    """

    value: str
    message: str
    do: str
    peak_a: str = ""


def meant(slot: Slot, text: str) -> Meant | None:
    """What was most likely meant by a text that cannot be read at this field; None when nobody can tell."""
    field = slot.field or (slot.short.field if slot.short is not None else _first(slot))
    path = field.path if field is not None else ""
    text = text.strip()
    said, word = f'"{clean(text)}"', fold(text)
    key = slot.key
    value = MEANINGS.get(path, {}).get(word)
    inside = slot.children.get("type") if slot.field is None and slot.short is None else None
    if inside is not None and (kind := inside.words.get(word) or value):
        return Meant(f"{{type: {kind}}}", f"{said} is one of several things", f"Write  {key}: {{type: {kind}}}")
    if value is not None:
        return _meaning(path, key, said, value)
    if is_unknown(text):
        return Meant("", f"{said} is no answer", LEAVE_OUT)
    if path in ASKED and word in ASKED[path][0]:
        return Meant("", f"{said} may be two things", ASKED[path][1])
    if path == "packs.*.chemistry":
        return _cells(said, word)
    for guess in (_GUESS_BEFORE(text), _GUESS_AFTER(text)):
        if guess:
            rest = _plain(slot, guess["rest"])
            return Meant(f"{rest} ?", f"{said} is a guess", f"A guess has a question mark behind it:  {key}: {rest} ?")
    return _figures(slot, path, text, said) or _whole(slot, path, text, said)


def _first(slot: Slot) -> Field | None:
    """The field that stands for a mapping written as one word."""
    inside = slot.children.get("min") or slot.children.get("type")
    return inside.field if inside is not None else None


def _meaning(path: str, key: str, said: str, value: str) -> Meant:
    if path == "packs.*.condition" and value == "sound":
        do = "Look for swelling, dents, water, an opened case. Nothing of that?  Write  condition: sound"
        return Meant(value, f"{said} does not say what was looked at", do)
    if path == "joiners.*.type" and value == "unknown":
        do = "Write  type: unknown  and test it: one pack in, meter on the other inlet."
        return Meant(value, f"{said} does not say what is inside", do)
    return Meant(value, f"{said} is called otherwise here", f"Write  {key}: {value}")


def _cells(said: str, word: str) -> Meant | None:
    if word in LITHIUM:
        do = (
            "The volts on the charger tell: 4.20 V a cell (54.6 V, 58.8 V) is NMC or NCA, 3.65 V a cell (58.4 V) is "
            "LFP. A guess has a question mark:  chemistry: NMC ?"
        )
        return Meant("NMC ?", f"{said} is a family of chemistries", do)
    if word in OTHER_CELLS:
        return Meant("", f"{said} cells are not covered", "Nothing here holds for them; this pack cannot be checked.")
    return None


def _plain(slot: Slot, text: str) -> str:
    """A quantity with a blank between number and unit, where that is what it is."""
    found = re.fullmatch(rf"({_NUMBER}) ?([^0-9\s].*)", text.strip())
    return f"{found[1]} {found[2]}" if found and slot.kind is not None else text.strip()


def _figures(slot: Slot, path: str, text: str, said: str) -> Meant | None:
    two = _TWO_CURRENTS(text)
    if two and path in (*_AMPS_OF_PARTS, "controller.battery_current.limit"):
        return _two_currents(path, slot.key, two, said)
    if path in _CAPACITIES:
        return _capacity(text, said)
    if path == "leads.*.gauge" and (size := _GAUGE_WORDS(text)):
        number = size["size"] or size["size2"]
        do = f"Write  {number} AWG  where the jacket says AWG; {number} SAE is thinner. Or the copper area in mm2."
        return Meant("", f"{said} is a size on two scales", do)
    if path.endswith(".fuse") and (fuse := _FUSE_AMPS(text)):
        return _fuse(fuse, said)
    if path == "controller.regen" and re.fullmatch(rf"{_NUMBER} ?a", text, re.I):
        value = f"{{current: {_plain(slot, text).rstrip('aA').strip()} A}}"
        return Meant(value, f"{said} is a current by itself", f"Write  regen: {value}")
    return None


def _whole(slot: Slot, path: str, text: str, said: str) -> Meant | None:
    """A word or a figure where a part has lines of its own."""
    if slot.field is None and path == "controller.voltage.min" and re.fullmatch(rf"{_NUMBER} ?v?", text, re.I):
        do = "Its name is not its limit. What stands on it as the highest?  voltage: {max: 60 V}"
        return Meant("", f"{said} is one figure", do)
    most = re.fullmatch(
        rf"(?P<rest>{_NUMBER} ?[A-Za-z]+) ?(?:max\.?|maximum|nominal|nom\.?|rated|total|each)", text, re.I
    )
    if most and not path.startswith(("packs.*.discharge", "controller.battery", "joiners.*.current")):
        return Meant(most["rest"], f"{said} has a word behind its unit", f"Write  {most['rest']}")
    return None


def _two_currents(path: str, key: str, two: re.Match[str], said: str) -> Meant | None:
    """`25/50A`: the smaller is continuous, the larger a peak, which counts only with its time."""
    low, high = sorted((two["a"], two["b"]), key=float)
    for amps, word in ((two["a"], two["aw"]), (two["b"], two["bw"] or two["w"])):
        if word and word.lower().startswith(_PEAK_WORDS) and amps != high:
            return None
    if float(low) == float(high):
        return None
    ask = f"is {low} A, and a peak of {high} A for how long?"
    if path.startswith("controller"):
        both = f"{{limit: {high} A, falls_to: {low} A after 10 s}}"
        do = f"Write  {both}  with the seconds of the settings; without them  {high} A"
        return Meant(f"{high} A", f"{said} {ask}", do, low)
    both = f"{{continuous: {low} A, peak: {high} A for 10 s}}"
    do = f"Write  {both}  with the seconds of the label; without them  {low} A"
    return Meant(f"{low} A", f"{said} {ask}", do, high)


def _capacity(text: str, said: str) -> Meant | None:
    printed = printed_on(text)
    if printed:
        do = f"Write  capacity: {printed[1]}  and the volts apart:  label: {printed[0]}"
        return Meant(printed[1], f"{said} is volts and ampere hours", do)
    watt_hours = _WATT_HOURS(text)
    if watt_hours:
        do = "Ah is Wh divided by the volts of the label: 720 Wh on 48 V are 15 Ah. Look for Ah on the label first."
        return Meant("", f"{said} is an energy", do)
    return None


def printed_on(text: str) -> tuple[str, str] | None:
    """Volts and ampere hours of a pack's label, as the file has them: `48V 20Ah`, `17.5Ah/52V`."""
    found = _PRINTED(text.strip()) or _PRINTED_TURNED(text.strip())
    if not found:
        return None
    unit = "mAh" if found["unit"].lower() == "mah" else "Ah"
    return f"{found['v']} V", f"{found['ah']} {unit}"


def _fuse(found: re.Match[str], said: str) -> Meant | None:
    kind = fold(found["kind"].replace("fuse", ""))
    family = MEANINGS["FUSE.family"].get(
        kind, kind if kind in ("blade", "strip", "bolt", "miniature", "breaker") else ""
    )
    family = "class T" if kind == "class t" else family
    if kind and not family:
        return None
    value = f"{{{f'family: {family}, ' if family else ''}rating: {found['amps']} A}}"
    do = f"Write  fuse: {value}  and add the d.c. volts that are marked on it, for example  voltage: 58 V"
    return Meant(value, f"{said} is amps by themselves", do)


def questioned(slot: Slot, text: str) -> Meant | None:
    """What is asked of a value that can be read and is hardly meant; None when there is nothing to ask."""
    path = slot.field.path if slot.field is not None else ""
    typed = text.strip().rstrip("?").strip()
    number = re.match(_NUMBER, typed)
    if number is None or "." in number[0]:
        return None
    if path in _FULL_CHARGES:
        return _nominal(slot.key, number[0], typed)
    if path in _CAPACITIES:
        try:
            ah = read(typed, Kind.CHARGE).value / AH_C
        except QuantityError:
            return None
        if ah > MOST_AH:
            do = f"Did you mean  {shown(ah / 10)} Ah ?  If it is so, write  {shown(ah)}.0 Ah"
            return Meant("", f'"{clean(typed)}" is more than packs of bikes have', do)
    return None


def _nominal(key: str, number: str, typed: str) -> Meant | None:
    """A voltage that packs are named by is not what they are charged to."""
    volts = float(number)
    full = sorted({round(each.full_v, 1) for each in series_rows() if volts in each.labels_v})
    if not full or volts in full or not re.fullmatch(rf"{re.escape(number)} ?v(?:olts?|dc| ?d\.?c\.?)?", typed, re.I):
        return None
    *others, last = [f"{each:.1f} V" for each in full]
    gives = f"{', '.join(others)} or {last}" if others else last
    do = (
        f"A charger of a {shown(volts)} V pack gives {gives}: look behind OUTPUT on its label. "
        f"If it really is so, write  {key}: {shown(volts)}.0 V"
    )
    return Meant("", f'"{clean(typed)}" is what packs are called, not what they are charged to', do)
