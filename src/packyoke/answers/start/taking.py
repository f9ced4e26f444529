"""What an answer does to the draft: the words of people made into lines of the file."""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.answers.start.draft import MOST_PACKS, NAMES, Draft
from packyoke.answers.start.prompts import PROMPTS
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.ends import shelf_family
from packyoke.buildfile.reading.heard import NUMBER, only_word
from packyoke.buildfile.reading.spoken import Meant, meant
from packyoke.buildfile.reading.spoken_words import MEANINGS, fold, is_unknown
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import Slot
from packyoke.core.units import Kind
from packyoke.model import Build

YES = ("yes", "y", "yeah", "same", "identical", "sure", "true", "yep", "ja", "si", "oui")
NO = ("no", "n", "nope", "not", "false", "different", "nein", "non")
HALF = ("but", "except", "nearly", "almost", "think", "mostly", "some", "maybe", "kind", "sort", "or")
"""A yes with one of these is none."""
NUMBERS = {
    word: number for number, word in enumerate(("one", "two", "three", "four", "five", "six", "seven", "eight"), 1)
}
NUMBERS |= {"both": 2, "couple": 2, "pair": 2}
BUILT_IN = re.compile(
    r"\b(?:built.?in|port|ports|factory|maker|maker's|(?:second|two|2) (?:slots?|bays?))\b", re.I
).search
BLANK = frozenset(("nothing", "none", "no label", "blank", "worn off", "gone", "no", "nothing printed"))
ORDINALS = {word: at for at, word in enumerate(NAMES)}
UNITS = {
    Kind.CURRENT: ("amps", "A"),
    Kind.VOLTAGE: ("volts", "V"),
    Kind.CHARGE: ("Ah", "Ah"),
    Kind.POWER: ("watts", "W"),
}
"""What a question that names its unit may be answered with: a number by itself."""
_FIGURES = re.compile(rf"(?<![A-Za-z0-9.,])({NUMBER}) ?(mAh|Ah|amp ?hours?|Wh|V|volts?|VDC|mA|A|amps?)\b", re.I).findall
_CELLS = re.compile(r"(?<![0-9A-Za-z.])([0-9]{1,2})s(?:[0-9]{1,2}p)?(?![0-9A-Za-z])", re.I).findall
_LIKE = re.compile(rf"(?:the )?(?:same|like|as)(?: as)?(?: the)? ({'|'.join(NAMES)})(?: one| pack)?", re.I).fullmatch
_COMMA = re.compile(r"([0-9]+),([0-9]+)").search


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
    slot = slot_of(part, inner)
    unit = _unit_of(part, inner, slot)
    bare = re.fullmatch(rf"(?P<about>~ ?|about |ca\.? )?(?P<n>{NUMBER}) ?(?P<mark>\?)?", text)
    if unit and bare:
        guess = " ?" if bare["about"] or bare["mark"] else ""
        plain = Meant(f"{bare['n']} {unit}{guess}", "a number by itself", "")
    else:
        plain = Meant(_spaced(text), "", "")
    trial = draft.copy()
    trial.put(part, inner, plain.value)
    if isinstance(load(trial.text(), "draft"), Build):
        return plain
    found = meant(slot, text) if slot is not None else None
    if found is not None and not found.value:
        raise Again(f"{found.message}. {found.do}")
    if found is None and fold(text) in BLANK:
        raise Again("Nothing there to read? Press Enter: it stays open.")
    return found or plain


def _unit_of(part: str, inner: str, slot: Slot | None) -> str:
    """The unit that the question itself names ("how many amps"); empty where it names none."""
    prompt = PROMPTS.get(f"{part.partition('.')[0]}.{inner}")
    if prompt is None or slot is None or slot.kind not in UNITS:
        return ""
    word, unit = UNITS[slot.kind]
    return unit if re.search(rf"\b{word}\b", prompt.ask) else ""


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
    count = _count(text)
    if not 1 <= count <= MOST_PACKS:
        raise Again(f"A number from 1 to {MOST_PACKS} is needed.")
    draft.set_packs(count)
    return "" if text.strip() == str(count) else str(count)


def _count(text: str) -> int:
    """The one number in an answer ("2 packs", "both", "two of them"); 0 where there is none or more than one."""
    found = [
        NUMBERS.get(word) or int(word)
        for word in re.findall(r"[a-z]+|[0-9]+", text.casefold())
        if word in NUMBERS or word.isdigit()
    ]
    return found[0] if len(found) == 1 and not re.search(r"[-.,/][0-9]", text) else 0


def _yes(text: str) -> bool:
    """Yes or no by the first word; a yes that is taken back in the same breath is none. Raises Again."""
    words = re.findall(r"[a-z']+", text.casefold())
    first = next(iter(words), "")
    first = words[1] if first == "the" and len(words) > 1 else first
    if first in YES and not any(word in (*NO, *HALF) or word.endswith("n't") for word in words):
        return True
    if first in NO and not any(word in ("yes", "yeah") for word in words):
        return False
    raise Again("Answer yes or no. Not sure? Answer no.")


def take_alike(draft: Draft, text: str) -> str:
    draft.set_alike(_yes(text))
    return ""


def label_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        if like := _LIKE(text.strip()):
            return _like(draft, pack, ORDINALS[like[1].casefold()])
        if fold(text) in BLANK:
            return "nothing printed"
        if comma := _COMMA(text):
            raise Again(f"For a decimal write a point:  {comma[1]}.{comma[2]}")
        found = _figures(text)
        volts = [number for number, unit in found if unit.casefold() in ("v", "volt", "volts", "vdc")]
        hours = [(number, unit) for number, unit in found if re.fullmatch("m?ah|amp ?hours?", unit, re.I)]
        if len(volts) != 1 or len(hours) > 1 or re.search(r"[0-9] ?[-/] ?[0-9.]+ ?v", text, re.I):
            draft.put(pack, "label", _spaced(text))
            return ""
        told = {"label": f"{volts[0]} V"}
        if hours:
            told["capacity"] = f"{hours[0][0]} {'mAh' if hours[0][1][:1] in 'mM' else 'Ah'}"
        if len(cells := _CELLS(text)) == 1:
            told["series"] = cells[0]
        if chemistry := only_word(MEANINGS["packs.*.chemistry"] | {"nmc": "NMC", "nca": "NCA", "lfp": "LFP"}, text):
            told["chemistry"] = chemistry
        plain = _spaced(text) == told["label"]
        for key, value in told.items():
            draft.put(pack, key, value, "" if plain or key != "label" else f"printed: {text}")
        return "" if plain else ", ".join(value if key != "series" else f"{value}S" for key, value in told.items())

    return take


def _like(draft: Draft, pack: str, at: int) -> str:
    """This pack is one more of a model that was described."""
    name = draft.parts.get(f"packs.{NAMES[at]}", {}).get("like", NAMES[at]) if at < draft.count else ""
    if not name or f"packs.{name}" == pack or NAMES.index(name) > draft.packs.index(pack):
        raise Again("Name a pack that was described before this one.")
    draft.parts[pack] = {"like": name}
    fits = draft.parts.get(f"chargers.{name} charger")
    if fits is not None:
        fits["fits"] = f"{fits['fits'][:-1]}, {name_of(pack)}]"
    return f"like {name}"


def charger_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        output = re.split(r"output", text, flags=re.I)[-1]
        found = _figures(output)
        volts = [number for number, unit in found if unit[:1] in "vV"]
        amps = [(number, unit) for number, unit in found if unit[:1] in "aA" or unit.casefold() == "ma"]
        clear = len(volts) == 1 and len(amps) <= 1 and not _COMMA(output) and _rest_is_words(output)
        if text.startswith(("{", "[")):
            raise Again("Only what stands on the label, for example  54.6V 4A")
        put(draft, pack, "charger_label", f"{volts[0]} V" if clear else text)
        alone = draft.alike or draft.count == 1
        charger = "chargers.charger" if alone else f"chargers.{name_of(pack)} charger"
        draft.put(charger, "output", draft.parts[pack]["charger_label"])
        told = f"{volts[0]} V" if clear else ""
        if clear and amps:
            current = f"{amps[0][0]} {'mA' if amps[0][1][:1] in 'mM' else 'A'}"
            draft.put(charger, "current", current)
            told += f", {current}"
        if not alone:
            draft.put(charger, "fits", f"[{name_of(pack)}]")
        return told if told.replace(" ", "").replace(",", "") != text.replace(" ", "").replace(",", "") else ""

    return take


def _figures(text: str) -> list[tuple[str, str]]:
    """Every number with a unit of packs and chargers, `48V14Ah` too."""
    return _FIGURES(re.sub(rf"({NUMBER} ?(?:V|Ah|A))(?=[0-9])", r"\1 ", text, flags=re.I))


def _rest_is_words(text: str) -> bool:
    """Whether no further figure stands in a text; LiFePO4 is a word."""
    left = re.sub(rf"(?<![A-Za-z0-9.,]){NUMBER} ?(?:volts?|VDC|V|mA|amps?|A)\b", " ", text, flags=re.I)
    return not re.search(r"(?<![A-Za-z0-9])[0-9]", left)


def take_inlets(draft: Draft, text: str) -> str:
    inlets = _count(text)
    if not 2 <= inlets <= draft.count:
        raise Again(f"A number from 2 to {draft.count} is needed.")
    draft.set_joiners(inlets)
    return ""


def take_joiner(draft: Draft, text: str) -> str:
    kinds = {word: kind for word, kind in MEANINGS["joiners.*.type"].items() if kind != "unknown"}
    if BUILT_IN(text) and not only_word(kinds, text):
        draft.set_built_in()
        return "built in: the bike maker has to say which packs, how many, how many amps"
    told = [put(draft, path, "type", text) for path in draft.parts if path.startswith("joiners.")]
    return next(iter(told), "")


def take_connectors(draft: Draft, text: str) -> str:
    if text.casefold().startswith("differ"):
        return "each one is asked"
    family = re.sub(r"\b(?:fe)?male\b|\bpins?\b|\bsockets?\b|\bplugs?\b", "", text, flags=re.I).strip(" ,/+-")
    known = shelf_family(family) or shelf_family(re.sub(r"(?i)^(xt ?-?[0-9]+)[ -]?[hs]\b.*", r"\1", family))
    if known is None:
        raise Again(
            f'"{text}" is not on the shelf. XT30, XT60, XT90, 4 mm bullet ... (it is moulded into most of '
            "them). Several families, or soldered joints?  Write  differ"
        )
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
