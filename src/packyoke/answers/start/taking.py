"""What an answer does to the draft: the words of people made into lines of the file."""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.answers.start.draft import MOST_PACKS, Draft
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.ends import shelf_family
from packyoke.buildfile.reading.spoken import Meant, meant, printed_on
from packyoke.buildfile.reading.spoken_words import is_unknown
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import Slot
from packyoke.model import Build

YES = ("yes", "y", "yeah", "same", "true", "yep", "ja", "si", "oui")
NO = ("no", "n", "nope", "not", "false", "different", "nein", "non")
NUMBERS = {word: number for number, word in enumerate(
    ("one", "two", "three", "four", "five", "six", "seven", "eight"), 1)}  # fmt: skip
BUILT_IN = ("built in", "builtin", "built-in", "port", "second port", "maker", "maker's", "bike maker's", "factory")
_CHARGER = re.compile(r"(?P<v>[0-9]+(?:\.[0-9]+)?) ?v[^0-9]*(?:(?P<a>[0-9]+(?:\.[0-9]+)?) ?a.*)?", re.I).fullmatch


class Again(Exception):
    """The answer cannot be taken; the text says why and what to type."""


def name_of(path: str) -> str:
    return path.partition(".")[2] or path


def slot_of(part: str, inner: str) -> Slot | None:
    """How the reader takes a field of a part."""
    section = part.partition(".")[0]
    slots = TABLES["controllers" if section == "controller" else section if section in TABLES else "file"]
    slot = None
    for step in inner.split("."):
        slot = slots.get(step)
        if slot is None:
            return None
        slots = slot.children
    return slot


def field_example(part: str, inner: str) -> str:
    slot = slot_of(part, inner)
    return slot.field.example if slot is not None and slot.field is not None else "..."


def understood(draft: Draft, part: str, inner: str, text: str) -> Meant:
    """A text as the file has it, with what was made of it. Raises Again for what nothing can be made of.

    What the reader takes as it stands means what it says; only what it refuses is looked up among the words of people.
    """
    trial, plain = draft.copy(), Meant(_spaced(text), "", "")
    trial.put(part, inner, plain.value)
    if isinstance(load(trial.text(), "draft"), Build):
        return plain
    slot = slot_of(part, inner)
    found = meant(slot, text) if slot is not None else None
    if found is not None and not found.value:
        raise Again(f"{found.message}. {found.do}")
    return found or plain


def _spaced(text: str) -> str:
    """`20A` is `20 A`: the file stays readable."""
    found = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) ?([A-Za-z%][A-Za-z0-9/%]*)( ?\?)?", text)
    return f"{found[1]} {found[2]}{' ?' if found[3] else ''}" if found else text


def put(draft: Draft, part: str, inner: str, text: str) -> str:
    found = understood(draft, part, inner, text)
    draft.put(part, inner, found.value, f"said: {text}" if found.message and found.value != text else "")
    if found.peak_a:
        draft.peaks[part] = (inner, found.peak_a if part != "controller" else found.value.removesuffix(" A"))
        draft.falls = found.peak_a if part == "controller" else draft.falls
    return found.value if found.message else ""


def seconds_of(part: str, inner: str, amps: str) -> Callable[[Draft, str], str]:
    """A peak counts only with its seconds."""

    def take(draft: Draft, text: str) -> str:
        found = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) ?(s|sec|secs|seconds?|min|minutes?)?", text.strip(), re.I)
        if found is None:
            raise Again("A number of seconds is needed, for example  10")
        time = f"{found[1]} {'min' if (found[2] or '').lower().startswith('m') else 's'}"
        if part == "controller":
            draft.put(part, "battery_current.falls_to", f"{draft.falls} A after {time}")
        else:
            draft.put(part, f"{inner.rpartition('.')[0]}.peak", f"{amps} A for {time}")
        draft.remarks.pop((part, inner), None)
        return ""

    return take


def take_each(draft: Draft, parts: tuple[str, ...], inner: str, text: str) -> str:
    """One answer for all parts, or one for each with commas."""
    each = [item.strip() for item in re.split(r"[,;]\s*", text) if item.strip()]
    if len(parts) > 1 and len(each) == len(parts):
        told = [put(draft, part, inner, one) for part, one in zip(parts, each, strict=True) if not is_unknown(one)]
    else:
        told = [put(draft, part, inner, text) for part in parts]
    return ", ".join(dict.fromkeys(filter(None, told)))


def field(part: str, inner: str) -> Callable[[Draft, str], str]:
    return lambda draft, text: put(draft, part, inner, text)


def take_name(draft: Draft, text: str) -> str:
    draft.name = text
    return ""


def take_count(draft: Draft, text: str) -> str:
    word = text.casefold().removesuffix("packs").removesuffix("pack").strip()
    count = NUMBERS.get(word) or (int(word) if re.fullmatch("[0-9]{1,2}", word) else 0)
    if not 1 <= count <= MOST_PACKS:
        raise Again(f"A number from 1 to {MOST_PACKS} is needed.")
    draft.set_packs(count)
    return ""


def _yes(text: str) -> bool:
    word = text.casefold().strip(" .!")
    if word in YES:
        return True
    if word in NO:
        return False
    raise Again("Answer yes or no.")


def take_alike(draft: Draft, text: str) -> str:
    draft.set_alike(_yes(text))
    return ""


def label_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        printed = printed_on(text)
        draft.put(pack, "label", printed[0] if printed else _spaced(text), f"printed: {text}" if printed else "")
        if printed:
            draft.put(pack, "capacity", printed[1])
        return f"{printed[0]}, {printed[1]}" if printed else ""

    return take


def charger_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        found = _CHARGER(text)
        volts = f"{found['v']} V" if found else text
        put(draft, pack, "charger_label", volts)
        charger = "chargers.charger" if draft.alike or draft.count == 1 else f"chargers.{name_of(pack)} charger"
        draft.put(charger, "output", draft.parts[pack]["charger_label"])
        if found and found["a"]:
            draft.put(charger, "current", f"{found['a']} A")
        if charger != "chargers.charger":
            draft.put(charger, "fits", f"[{name_of(pack)}]")
        return ""

    return take


def take_inlets(draft: Draft, text: str) -> str:
    word = text.casefold().strip()
    inlets = NUMBERS.get(word) or (int(word) if re.fullmatch("[0-9]{1,2}", word) else 0)
    if not 2 <= inlets <= draft.count:
        raise Again(f"A number from 2 to {draft.count} is needed.")
    draft.set_joiners(inlets)
    return ""


def take_joiner(draft: Draft, text: str) -> str:
    if text.casefold() in BUILT_IN:
        draft.set_built_in()
        return "built in: the bike maker has to say which packs, how many, how many amps"
    told = [put(draft, path, "type", text) for path in draft.parts if path.startswith("joiners.")]
    return next(iter(told), "")


def take_connectors(draft: Draft, text: str) -> str:
    if text.casefold().startswith("differ"):
        return "each one is asked"
    family = re.sub(r"\b(?:fe)?male\b|\bpins?\b|\bsockets?\b|\bplugs?\b", "", text, flags=re.I).strip(" ,/+-")
    known = shelf_family(family)
    if known is None:
        raise Again(f'"{family}" is not on the shelf. XT30, XT60, XT90, 4 mm bullet ...; or write  differ')
    draft.family = known[0]
    return known[0] if known[0] != text else ""


def take_towards(draft: Draft, text: str) -> str:
    family = draft.family
    if not _yes(text):
        return "then each one is asked"
    pin, socket = f"{family} pin", f"{family} socket"
    for path in draft.distinct:
        draft.put(path, "outlet", socket)
    for path, lines in draft.parts.items():
        if path.startswith("joiners."):
            lines["inlets"] = pin
            if not draft.built_in:
                lines["outlet"] = socket
        elif path.startswith("leads."):
            lines["ends"] = f"[{pin}, {socket}]"
    draft.put("controller", "inlet", pin)
    return f"{socket} towards the packs, {pin} on the other side, at every joint"
