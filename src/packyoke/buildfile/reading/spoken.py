"""What people type who do not know the words of the file: what they most likely mean, and the line to type.

The reader looks here only after a mistake. `packyoke start` takes the same meanings as answers.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, NamedTuple

from packyoke.buildfile.reading.doubted import FULL_CHARGES, MAINS, mains
from packyoke.buildfile.reading.heard import behind_a_converter, one_way, only_figure, only_word, without_article
from packyoke.buildfile.reading.hedges import unhedged
from packyoke.buildfile.reading.spoken_words import (
    ASKED,
    HEARD,
    LEAVE_OUT,
    LITHIUM,
    MEANINGS,
    OTHER_CELLS,
    SETTLED,
    fold,
)
from packyoke.buildfile.reading.unknown_words import is_unknown
from packyoke.core.field_paths import keys_of
from packyoke.core.findings import clean, shown
from packyoke.core.unit_names import EXAMPLES
from packyoke.core.units import Kind, QuantityError, read, units_of

if TYPE_CHECKING:
    from packyoke.buildfile.reading.document import Scalar
    from packyoke.buildfile.reading.walk import Slot
    from packyoke.model.field import Field


MOST_SAID = 100
"""Longer than anything that people have a word for."""
NEVER_GUESSED = ("yes/no", "run", "money per hour", "per cent", "amount", "days")
"""Kinds of fields that take no question mark."""
MISTYPED = 0.8
"""As much alike as a word and the same with a slip or two of the keys: judgement."""

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_WORD = r"cont(?:inuous|\.)?|nominal|rated|max(?:imum|\.)?|peak|burst|surge|dauernd|dauer|spitze"
_JOINT = r"/|,|;|\+|\(|and\b|&"
_FOR = r"(?: ?(?:(?:for|@) ?)?(?P<{}>[0-9]+) ?s(?:ec(?:onds?)?)?\b)?"
_TWO_CURRENTS = re.compile(
    rf"(?:(?P<pw>{_WORD})[ :]+)?(?P<a>{_NUMBER})(?! ?[0-9.])(?: ?(?:a|amps?)\b)? ?(?P<aw>{_WORD})?{_FOR.format('at')} ?"
    rf"(?:{_JOINT})? ?"
    rf"(?:(?P<w>{_WORD}) )?(?<![0-9.])(?P<b>{_NUMBER}) ?(?:a|amps?) ?(?P<bw>{_WORD})?{_FOR.format('bt')} ?\)?",
    re.I,
).fullmatch
_BARE_AMPS = re.compile(rf"(?<![0-9.])({_NUMBER}) ?(?=(?:{_WORD})(?![a-z]))", re.I).sub
"""In `25 A peak, 18 cont` both are amps."""
_COMMA = re.compile(r".*[0-9],[0-9].*").fullmatch
"""A decimal comma, or two figures: who can tell."""
_SPREAD = re.compile(
    rf"(?=.*a)(?P<a>{_NUMBER}) ?(?:amps?|a)? ?(?:±|\+/?-) ?(?P<b>{_NUMBER}) ?(?:amps?|a)?", re.I
).fullmatch
_PER_CELL = re.compile(rf"(?P<v>{_NUMBER}) ?v(?:olts?)? ?(?:/|per|a|each) ?cell", re.I).fullmatch
_DEGREES = re.compile(
    r"(?P<n>[0-9]{2,3}) ?(?:deg ?|°)?c?(?: degrees)?[ ,]+(?:silicone|pvc|xlpe|wire|cable|rated)+.*", re.I
).fullmatch
_PRINTED = re.compile(rf"(?P<v>{_NUMBER}) ?v[^0-9]*(?P<ah>{_NUMBER}) ?(?P<unit>m?ah)\b.*", re.I).match
_PRINTED_TURNED = re.compile(rf"(?P<ah>{_NUMBER}) ?(?P<unit>m?ah)[^0-9]*(?P<v>{_NUMBER}) ?v\b.*", re.I).match
_WATT_HOURS = re.compile(rf"(?P<wh>{_NUMBER}) ?wh", re.I).fullmatch
_OHMS = re.compile(rf"(?:resistor|through)?[ ,:]*{_NUMBER} ?k?(?:ohms?|\u03a9|\u2126|r)(?: resistor)?", re.I).fullmatch
_GAUGE_WORDS = re.compile(r"#? ?(?P<size>[0-9]{1,2}) ?(?:ga|gauge|g)\.?|# ?(?P<size2>[0-9]{1,2})", re.I).fullmatch
_AMPS = re.compile(rf"(?<![A-Za-z0-9.])({_NUMBER}) ?(?:amps?|a)(?![A-Za-z])", re.I).findall
_VOLTS = re.compile(rf"(?<![A-Za-z0-9.])({_NUMBER}) ?(?:volts?|vdc|v)(?![A-Za-z])", re.I).findall
_FIGURE = re.compile(rf"(?<![A-Za-z0-9.]){_NUMBER} ?(?:amps?|a|volts?|vdc|v)(?![A-Za-z])", re.I)
_BRAKES = re.compile(rf"(?:yes|regen|on)?[ ,:]*(?P<amps>{_NUMBER}) ?(?:a|amps?)", re.I).fullmatch
_BESIDE_FUSES = re.compile(
    r"\b(?:fuse|sicherung|yes|ja|an?|d\.?c\.?|inline|holder|is|each|both|all)\b|[,;()]", re.I
).sub
_PEAK_WORDS = ("max", "peak", "burst", "surge", "spitze")
FAMILIES = ("blade", "strip", "bolt", "class T", "10x38", "miniature", "battery link", "breaker")
_AMPS_OF_PARTS = ("packs.*.discharge.continuous", "joiners.*.current.continuous")
_LIMITS_OF_VOLTS = ("controller.voltage.max", "joiners.*.ceiling")
_CAPACITIES = ("packs.*.capacity",)


class Meant(NamedTuple):
    """What somebody most likely meant.

    `value`: as the file has it; empty where the line is left out or only the person can say. `message` and `do`: what
    is said of it. `peak_a`: a second current that counts only with its seconds, `peak_s` where they were said.
    """

    value: str
    message: str
    do: str
    peak_a: str = ""
    peak_s: str = ""


def meant(slot: Slot, text: str) -> Meant | None:
    """What was most likely meant by a text that cannot be read at this field; None when nobody can tell."""
    if len(text) > MOST_SAID:
        return None
    field = slot.field or (slot.short.field if slot.short is not None else _first(slot))
    path = field.path if field is not None else ""
    text = text.strip()
    said, word = f'"{clean(text)}"', without_article(fold(text))
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
        many = "says no number" if slot.kind is not None else "may be two things"
        return Meant("", f"{said} {many}", ASKED[path][1])
    if path == "controller.precharge" and _OHMS(text):
        return Meant("resistor", f"{said} says how large it is", f"No rule asks for its ohms. Write  {key}: resistor")
    if path == "packs.*.chemistry" and (cells := _cells(said, word)):
        return cells
    rest = unhedged(text)
    if rest is None and text.endswith("?") and (slot.kind is None or re.fullmatch(_NUMBER, text.rstrip("? "))):
        rest = text.rstrip("? ")
    if rest is not None:
        return _guess(slot, key, said, rest)
    return _figures(slot, path, text, said) or _inside(slot, path, text, said) or _whole(slot, path, text, said)


def instead(slot: Slot, node: Scalar) -> Meant | None:
    """What to type in place of a text that cannot be read; of a line that is needed it is not to leave it out."""
    found = meant(slot, node.text) if node.text else None
    if slot.field is not None and slot.field.needed and (node.nothing or not node.text or is_unknown(node.text)):
        message = found.message if found is not None else "nothing here"
        return Meant("", message, f"It cannot be left out. Write for example  {slot.example}")
    return found


def _guess(slot: Slot, key: str, said: str, rest: str) -> Meant | None:
    """What somebody is not sure of: what he means by it, as a guess."""
    field = slot.field
    if field and (field.kind in NEVER_GUESSED or field.path[:5] == "shop:" or field.path == "joiners.*.charge_port"):
        return Meant("", f"{said} is a guess", "None is read here. Find it out, or leave the line out.")
    figure = slot.short if slot.kind is None and slot.short is not None else slot
    if figure.kind is not None and not re.search("[0-9]", rest):
        example = figure.field.example if figure.field else ""
        do = f"A guess is a number and a unit with a question mark:  {key}: {example} ?"
        return Meant("", f"{said} is a guess", do)
    if figure.kind is not None and re.fullmatch(_NUMBER, rest) and (fit := _fitting(figure, figure.kind, rest)):
        do = f"A guess has a question mark behind it:  {'  or  '.join(f'{key}: {each} ?' for each in fit)}"
        return Meant("", f"{said} is a guess without a unit", do)
    found = meant(slot, rest)
    if found is not None and not found.value:
        return found
    known = slot.words.get(fold(rest))
    value = found.value if found else known if isinstance(known, str) else _plain(slot, rest)
    if not found and slot.words and not known:
        return None  # nobody can tell, and what was typed is what is shown
    value = value.removesuffix(" ?")
    if value.startswith("{"):
        return None  # a guess has one value
    return Meant(f"{value} ?", f"{said} is a guess", f"A guess has a question mark behind it:  {key}: {value} ?")


def _inside(slot: Slot, path: str, text: str, said: str) -> Meant | None:
    """The one word of a closed list in a longer text. Nothing is found sound, and no black box known, that way."""
    if path not in HEARD:
        asked = ASKED.get(path, (frozenset(), ""))
        found = path in ASKED and only_word(dict.fromkeys(asked[0], "ask"), text)
        many = "says no number" if slot.kind is not None else "may be two things"
        return Meant("", f"{said} {many}", asked[1]) if found else None
    words = {fold(word): str(value) for word, value in slot.words.items() if isinstance(value, str)}
    words |= {word: value for word, value in MEANINGS[path].items() if value not in ("sound", "unknown")}
    if path == "packs.*.chemistry":
        words |= dict.fromkeys(OTHER_CELLS, "")
    words.pop("sound", None)
    value = only_word(words | dict.fromkeys(ASKED.get(path, (frozenset(), ""))[0], "ask"), text)
    if path in SETTLED and (value == "ask" or not value):
        value = only_word(words, text) or value
    if value == "ask":
        return Meant("", f"{said} may be two things", ASKED[path][1])
    near = get_close_matches(fold(text), words, n=1, cutoff=MISTYPED)
    if near and words[near[0]] and words[near[0]] != value:
        # `ideel-diode` is no diode: a word with a slip, and not one word among others
        do = f"Did you mean  {near[0]} ?  Then write  {slot.key}: {words[near[0]]}"
        return Meant("", f"{said} is not one of the words here", do)
    if value:
        return _meaning(path, slot.key, said, value)
    boxes = {word: "unknown" for word, each in MEANINGS[path].items() if each == "unknown"}
    return _meaning(path, slot.key, said, "unknown") if boxes and only_word(words | boxes, text) == "unknown" else None


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
    two = None if _COMMA(text) else _TWO_CURRENTS(_BARE_AMPS(r"\1 A ", text))
    limit = "controller.battery_current.limit"
    if path == limit and (spread := _SPREAD(text)):
        most = f"{shown(float(spread['a']) + float(spread['b']))} A"
        return Meant(most, f"{said} is up to {most}", f"The most counts. Write  {most}")
    if two and path in (*_AMPS_OF_PARTS, limit):
        return _two_currents(path, slot.key, two, said)
    if path in FULL_CHARGES and (volts := re.fullmatch(rf"({'|'.join(MAINS)}) ?v(?:ac)?", text, re.I)):
        return Meant("", *mains(slot.key, volts[1], text))
    if path in _CAPACITIES and (capacity := _capacity(text, said)):
        return capacity
    if path == "accessories.*.current" and (do := behind_a_converter(text)):
        return Meant("", f"{said} is behind a converter", do)
    if path == "leads.*.length" and (line := one_way(text)):
        return Meant(line, f"{said} is there and back", f"The cable counts, one way. Write  {line}")
    if path == "leads.*.gauge" and (size := _GAUGE_WORDS(text)):
        number = size["size"] or size["size2"]
        do = f"Write  {number} AWG  where the jacket says AWG; {number} SAE is thinner. Or the copper area in mm2."
        return Meant("", f"{said} is a size on two scales", do)
    if keys_of(path)[-1] == "fuse" and (fuse := _fuse(text, said)):
        return fuse
    if path == "controller.regen" and (amps := _BRAKES(text)):
        value = f"{{current: {amps['amps']} A}}"
        return Meant(value, f"{said} is a current by itself", f"Write  regen: {value}")
    return None


def _whole(slot: Slot, path: str, text: str, said: str) -> Meant | None:
    """A word or a figure where a part has lines of its own."""
    if slot.field is None and path == "controller.voltage.min" and re.fullmatch(rf"{_NUMBER} ?v?", text, re.I):
        do = "Its name is not its limit. What stands on it as the highest?  voltage: {max: 60 V}"
        return Meant("", f"{said} is one figure", do)
    if path == "leads.*.insulation" and (degrees := _DEGREES(text)):
        return Meant(
            f"{degrees['n']} degC", f"{said} is called otherwise here", f"Write  {slot.key}: {degrees['n']} degC"
        )
    kind = slot.kind or (slot.short.kind if slot.short is not None else None)
    if kind is None:
        return None
    figure, most = only_figure(text)
    if most and path in _AMPS_OF_PARTS:
        do = f"Continuous? Write  {figure}.  A peak? Write  {{continuous: ..., peak: {figure} for 10 s}}"
        return Meant("", f"{said} may be two things", do)
    if figure and path in _LIMITS_OF_VOLTS and re.search(r"nom(?:inal|\.)?\b", text, re.I):
        do = "A nominal voltage is a name, not a limit. Only that is on it? Leave the line out: it is asked for."
        return Meant("", f"{said} is what it is called", do)
    if figure:
        return Meant(
            figure,
            f"{said} has a word {'behind its unit' if text[0].isdigit() else 'before its figure'}",
            f"Write  {figure}",
        )
    if path == "packs.*.cut_off" and (cell := _PER_CELL(text)):
        volts = shown(13 * float(cell["v"]))
        do = f"The volts of the whole pack are needed. On 13 cells in series:  {slot.key}: {volts} V"
        return Meant("", f"{said} is volts of a cell", do)
    return _bounded(slot, kind, text, said) or _one_of_two(kind, text, said)


def _bounded(slot: Slot, kind: Kind, text: str, said: str) -> Meant | None:
    """A number without a unit: only the units with which it may be at all."""
    if not re.fullmatch(_NUMBER, text):
        return None
    fit = _fitting(slot.short or slot, kind, text)
    if fit == [f"{text} {unit}" for unit in units_of(kind)] or (kind is Kind.FRACTION and float(text) < 1):
        return None  # the reader says so itself
    do = f"Write  {'  or  '.join(fit)}" if fit else f"Write a number and a unit, for example  {EXAMPLES[kind]}"
    return Meant("", f"{said} has no unit", do)


def _fitting(slot: Slot, kind: Kind, number: str) -> list[str]:
    """A number with each usual unit with which it may be at all; where there is none, with a thousandth of one."""
    offered = [[f"{number} {prefix}{unit}" for unit in units_of(kind)] for prefix in ("", "m")]
    kept = [[each for each in lines if reads(each, kind) and _within(slot, each, kind)] for lines in offered]
    return kept[0] or kept[1]


def _within(slot: Slot, text: str, kind: Kind) -> bool:
    return slot.low <= read(text, kind).value <= slot.high


def _one_of_two(kind: Kind, text: str, said: str) -> Meant | None:
    """`54.6V 4A` where volts are wanted: the one figure that can be meant, when every other one has another unit."""
    figures = re.findall(rf"(?<![A-Za-z0-9.,]){_NUMBER} ?[A-Za-zµΩ]+2?(?![A-Za-z0-9])", text)
    rest = re.sub(r"[\s/,;=~+-]|dc", "", re.sub("|".join(map(re.escape, figures)) or "$", "", text), flags=re.I)
    if len(figures) != 2 or rest:
        return None
    if not all(any(reads(figure, each) for each in Kind) for figure in figures):
        return None
    fit = [figure for figure in figures if reads(figure, kind)]
    do = f"Write  {fit[0]}  here, without the other figure." if len(fit) == 1 else ""
    return Meant(fit[0], f"{said} is two quantities", do) if do else None


def reads(text: str, kind: Kind) -> bool:
    """Whether a text is a quantity of a kind."""
    try:
        read(text, kind)
    except QuantityError:
        return False
    return True


def _two_currents(path: str, key: str, two: re.Match[str], said: str) -> Meant | None:
    """`25/50A`: the smaller is continuous, the larger a peak, which counts only with its time."""
    low, high = sorted((two["a"], two["b"]), key=float)
    # Words in front, "peak 40 A cont 20 A": then what stands between belongs to the second.
    first, second = (two["pw"], two["bw"] or two["w"] or two["aw"]) if two["pw"] else (two["aw"], two["bw"] or two["w"])
    for amps, word in ((two["a"], first), (two["b"], second)):
        if word and amps != (high if word.lower().startswith(_PEAK_WORDS) else low):
            return None
    if float(low) == float(high):
        return None
    of_low, of_high = (two["bt"], two["at"]) if high == two["a"] else (two["at"], two["bt"])
    if of_low:
        return None
    ask = "is two currents" if of_high else f"is {low} A, and a peak of {high} A for how long?"
    if path.startswith("controller"):
        both = f"{{limit: {high} A, falls_to: {low} A after {of_high or 10} s}}"
        unsaid = f"  with the seconds of the settings; without them  {high} A"
        return Meant(f"{high} A", f"{said} {ask}", f"Write  {both}{'' if of_high else unsaid}", low, of_high or "")
    both = f"{{continuous: {low} A, peak: {high} A for {of_high or 10} s}}"
    unsaid = f"  with the seconds of the label; without them  {low} A"
    return Meant(f"{low} A", f"{said} {ask}", f"Write  {both}{'' if of_high else unsaid}", high, of_high or "")


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


def _fuse(text: str, said: str) -> Meant | None:
    """Amps, d.c. volts and a family in any order: `30A blade`, `blade 30A 58V`, `10x38 30 A`."""
    if bare := re.fullmatch(rf"(?:yes|ja)?[ ,:]*({_NUMBER})", text, re.I):
        return Meant("", f"{said} has no unit", f"Are these the amps that are marked on it?  Write  {bare[1]} A")
    size = re.search(r"10 ?[x*] ?38(?: ?mm)?", text, re.I)
    rest = text.replace(size[0], " ") if size else text
    amps, volts = _AMPS(rest), _VOLTS(rest)
    said_of_it = _FIGURE.sub(" ", rest)
    words = fold(_BESIDE_FUSES(" ", said_of_it))
    families = MEANINGS["FUSE.family"] | {fold(each): each for each in FAMILIES}
    family = "10x38" if size else families.get(words, "")
    if len(amps) != 1 or len(volts) > 1 or (words and not size and not family) or (size and words) or _COMMA(text):
        return None
    inside = ["family: " + family] if family else []
    inside += [f"rating: {amps[0]} A", *(f"voltage: {each} V" for each in volts)]
    value = f"{{{', '.join(inside)}}}"
    if family and volts:
        return Meant(value, f"{said} is a fuse in one line", f"Write  fuse: {value}")
    lacks = (
        "the d.c. volts that are marked on it, for example  voltage: 58 V"
        if not volts
        else "its kind, for example  family: blade"
    )
    return Meant(
        value, f"{said} is amps {'and volts' if volts else 'by themselves'}", f"Write  fuse: {value}  and add {lacks}"
    )
