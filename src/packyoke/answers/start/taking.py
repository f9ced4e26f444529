"""What an answer does to the draft: the words of people made into lines of the file."""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.answers.start.draft import MOST_PACKS, Draft
from packyoke.answers.start.prompts import PROMPTS
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.ends import shelf_family
from packyoke.buildfile.reading.heard import NUMBER, only_word
from packyoke.buildfile.reading.hedges import unhedged
from packyoke.buildfile.reading.spoken import Meant, meant
from packyoke.buildfile.reading.spoken_words import MEANINGS, fold
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.unknown_words import is_unknown
from packyoke.buildfile.reading.walk import Slot
from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.paths import heading_of, is_joiner, is_lead, name_of
from packyoke.core.units import Kind
from packyoke.model import Build

YES = ("yes", "y", "jawohl", "yeah", "same", "identical", "sure", "true", "yep", "ja", "si", "oui")
NO = ("no", "n", "nope", "nah", "not", "false", "different", "nein", "non", "ne")
NOT_SURE = "Answer yes or no. Not sure? Answer no."
HALF = ("but", "except", "nearly", "almost", "think", "mostly", "some", "maybe", "kind", "sort", "or")
"""A yes with one of these is none."""
NUMBERS = {
    word: number for number, word in enumerate(("one", "two", "three", "four", "five", "six", "seven", "eight"), 1)
}
NUMBERS |= {"both": 2, "couple": 2, "pair": 2}
BUILT_IN = re.compile(
    r"\b(?:built.?in(?:to the (?:bike|controller))?|(?:in|inside|into|on|of) the controller|controller (?:has|with)|"
    r"port|ports|factory|maker|maker's|(?:second|two|2) (?:slots?|bays?))\b",
    re.I,
).search
BLANK = frozenset(("nothing", "none", "no label", "blank", "worn off", "gone", "no", "nothing printed"))
UNITS = {
    Kind.CURRENT: ("amps", "A"),
    Kind.VOLTAGE: ("volts", "V"),
    Kind.CHARGE: ("Ah", "Ah"),
    Kind.POWER: ("watts", "W"),
}
"""What a question that names its unit may be answered with: a number by itself."""


class Again(Exception):
    """The answer cannot be taken; the text says why and what to type."""


def slot_of(part: str, inner: str) -> Slot | None:
    """How the reader takes a field of a part."""
    section = heading_of(part)
    slots = TABLES["controllers" if section == "controller" else section if section in TABLES else "file"]
    slot = None
    for step in keys_of(inner):
        slot = slots.get(step)
        if slot is None:
            return None
        slots = slot.children
    return slot


def of_figures(part: str, inner: str) -> bool:
    """Whether a field of a part is a number, alone or with a unit."""
    slot = slot_of(part, inner)
    one = slot.short if slot is not None and slot.short is not None else slot
    return one is not None and one.field is not None and (one.kind is not None or one.field.kind == "count")


def field_example(part: str, inner: str) -> str:
    slot = slot_of(part, inner)
    return slot.field.example if slot is not None and slot.field is not None else "..."


def understood(draft: Draft, part: str, inner: str, text: str) -> Meant:
    """A text as the file has it, with what was made of it. Raises Again for what nothing can be made of.

    What the reader takes as it stands means what it says; only what it refuses is looked up among the words of people.
    """
    slot = slot_of(part, inner)
    if typed := re.fullmatch(rf"{keys_of(inner)[-1]} ?: +(\S.*)", text):
        text = typed[1]  # as a line of the file
    if inner == "series" and (count := re.fullmatch(r"([0-9]{1,2}) ?s(?: ?[0-9]{1,2} ?p)?", text, re.I)):
        text = count[1]
    if inner in ("voltage.max", "ceiling") and (
        span := re.fullmatch(rf"{NUMBER} ?v?(?: ?- ?| to )({NUMBER} ?v.*)", text, re.I)
    ):
        return understood(draft, part, inner, span[1])._replace(message="asked for is the highest")
    sure, doubt = sure_part(text)
    unit = _unit_of(part, inner, slot)
    if unit and re.fullmatch(NUMBER, sure):
        plain = Meant(f"{sure} {unit}{doubt}", "a number by itself", "")
    else:
        plain = Meant(spaced(text), "", "")
    _no_name_for_a_limit(draft, part, inner, plain.value)
    trial = draft.copy()
    trial.put(part, inner, plain.value)
    if isinstance(load(trial.text(), "draft"), Build):
        return plain
    found = meant(slot, text) if slot is not None else None
    if found is not None and not found.value:
        raise Again(as_answer(found.message, found.do))
    if found is None and fold(text) in BLANK:
        raise Again("Nothing there to read? Press Enter: it stays open.")
    return found or plain


def _no_name_for_a_limit(draft: Draft, part: str, inner: str, value: str) -> None:
    """`48 V` on a controller of 48 V packs is what it is called; full they have more. Raises Again."""
    found = re.fullmatch(rf"({NUMBER}) V", value)
    if found is None or line_in(heading_of(part), inner) not in ("controller.voltage.max", "joiners.ceiling"):
        return
    labels = [re.match(NUMBER, lines.get("label", "")) for path, lines in draft.parts.items() if path in draft.packs]
    if any(label and float(found[1]) <= float(label[0]) for label in labels):
        raise Again(
            f"{value} is what such parts are called; full packs have more. Does it say that this is the limit?  Write  "
            f"{value} max.  Else press Enter: it stays open."
        )


def sure_part(text: str) -> tuple[str, str]:
    """An answer without its words of doubt, and the mark of a guess where it had any."""
    rest = unhedged(text)
    if rest is None and text.endswith("?"):
        rest = text.rstrip("? ")
    return (text, "") if rest is None else (rest, " ?")


def _unit_of(part: str, inner: str, slot: Slot | None) -> str:
    """The unit that the question itself names ("how many amps"); empty where it names none."""
    prompt = PROMPTS.get(line_in(heading_of(part), inner))
    if prompt is None or slot is None or slot.kind not in UNITS:
        return ""
    word, unit = UNITS[slot.kind]
    return unit if re.search(rf"\b{word}\b", prompt.ask) else ""


def spaced(text: str) -> str:
    """`20A` and `20 amps` are `20 A`: the file stays readable."""
    found = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) ?([A-Za-z%][A-Za-z0-9/%]*)( ?\?)?", text)
    if found is None:
        return text
    unit = {"amps": "A", "amp": "A", "a": "A", "volts": "V", "volt": "V", "v": "V", "awg": "AWG"}.get(
        found[2], found[2]
    )
    return f"{found[1]} {unit}{' ?' if found[3] else ''}"


def put(draft: Draft, part: str, inner: str, text: str) -> str:
    found = understood(draft, part, inner, text)
    draft.put(part, inner, spaced(found.value), f"said: {text}" if found.message and found.value != text else "")
    if found.peak_a:
        draft.peaks[part] = (inner, found.peak_a if part != "controller" else found.value.removesuffix(" A"))
        draft.falls = found.peak_a if part == "controller" else draft.falls
        if found.peak_s:
            seconds_of(part, *draft.peaks.pop(part))(draft, f"{found.peak_s} s")
    return plain_words(spaced(found.value)) if found.message else ""


def plain_words(value: str) -> str:
    """`{family: blade, rating: 30 A}` as somebody says it.

    >>> plain_words("{family: blade, rating: 30 A}")
    'blade, 30 A'
    """
    return re.sub(r"[{}]|[a-z_]+: ", "", value) if value.startswith("{") else value


def as_answer(*sentences: str) -> str:
    """What the reader of files says, as it is said to somebody who answers: he has no line to leave out."""
    text = " ".join(f"{each}." if each[-1:] not in ".?!:" else each for each in sentences if each)
    return re.sub(
        r"(l)eave the line out(?: when it is not known)?"
        r"(?:: it (?:then goes on the list of things to find out|is asked for))?",
        lambda found: f"{'P' if found[1] == 'L' else 'p'}ress Enter",
        text,
        flags=re.I,
    )


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
            draft.put(part, line_in(*keys_of(inner)[:-1], "peak"), f"{amps} A for {time}")
        draft.remarks.pop((part, inner), None)
        return ""

    return take


_OF_THEM = r"(?:both|all|each|every one)(?: of (?:them|those))?(?: (?:packs|leads|joiners))?"
_FOR_ALL = re.compile(
    rf"[ ,]+(?:(?:for|on|in) )?{_OF_THEM}[ .!]*$|^{_OF_THEM}(?: (?:are|have|is|has))?[ ,:]+(?=\S)", re.I
)
"""Words that give one answer to all parts that are asked about."""


def take_each(draft: Draft, parts: tuple[str, ...], inner: str, text: str) -> str:
    """One answer for all parts, or one for each with commas."""
    if len(parts) > 1 or parts[0] in draft.packs:
        text = _FOR_ALL.sub("", text)
    tight = re.findall(r"(?<![0-9])[0-9]+,[0-9]+(?![0-9,])", text)
    if tight and len(parts) > 1 and of_figures(parts[0], inner):
        raise Again(
            f'"{tight[0]}" may be one number or two. For a decimal write a point:  {tight[0].replace(",", ".")}  For '
            f"two answers put a blank behind the comma:  {tight[0].replace(',', ', ')}"
        )
    each = [item.strip() for item in re.split(r"[,;]\s*", text) if item.strip()]
    slashed = [item.strip() for item in text.split("/")]
    if len(slashed) == len(parts) > 2 and all(re.fullmatch(rf"{NUMBER} ?[A-Za-z]*", one) for one in slashed):
        unit = re.sub(r"[0-9. ]", "", slashed[-1])  # 30/20/15 A: of three parts that is one for each
        each = [one if re.search("[A-Za-z]", one) else f"{one} {unit}".strip() for one in slashed]
    if len(parts) > 1 and len(each) == len(parts):
        told = [put(draft, part, inner, one) for part, one in zip(parts, each, strict=True) if not is_unknown(one)]
    elif len(each) > 1 and len(parts) > 2 and all(re.fullmatch(rf"{NUMBER} ?[A-Za-z]*", one) for one in each):
        names = ", ".join(map(name_of, parts))
        raise Again(f"{len(each)} answers for {len(parts)} parts. Write one for each, in this order: {names}; or one.")
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
        raise Again(f"A number from 1 to {MOST_PACKS} is needed: the most that are ever plugged in together.")
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
    if unhedged(text) is not None:
        raise Again(NOT_SURE)
    if first in YES and not any(word in (*NO, *HALF) or word.endswith("n't") for word in words):
        return True
    if first in NO and not any(word in ("yes", "yeah") for word in words):
        return False
    raise Again(NOT_SURE)


def take_alike(draft: Draft, text: str) -> str:
    draft.set_alike(_yes(text))
    return ""


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
    told = [put(draft, path, "type", text) for path in draft.parts if is_joiner(path)]
    return next(iter(told), "")


def take_connectors(draft: Draft, text: str) -> str:
    if text.casefold().startswith("differ"):
        return "each one is asked"
    sure, doubt = sure_part(text)
    known = _family_in(sure)
    if known is not None and doubt:
        draft.seen = known[0]
        return f"perhaps {known[0]}: asked for again until its name was read"
    if known is None:
        raise Again(
            f'"{text}" is not on the shelf. XT30, XT60, XT90, 4 mm bullet ... (it is moulded into most of '
            "them). Several families, or soldered joints?  Write  differ"
        )
    draft.family = known[0]
    return known[0] if known[0] != text else ""


_BESIDE = re.compile(
    r"\b(?:(?:fe)?male|pins?|sockets?|plugs?|connectors?|yellow|black|blue|red|green|white|of them|"
    r"they are|anti.?spark|the same|the|an?|type|style|ones?|"
    r"(?:(?:for|on|at) )?(?:all|both|each|every|everything|everywhere|throughout)(?: (?:ends?|sides?|joints?))?)\b",
    re.I,
)


def _family_in(text: str) -> tuple[str, ...] | None:
    """The one family of the shelf that an answer names, whatever is said of its colour and its halves."""
    family = " ".join(_BESIDE.sub(" ", text).strip(" ,/+-").split())
    return shelf_family(family) or shelf_family(re.sub(r"(?i)^(xt ?-?[0-9]+)[ -]?[hs]$", r"\1", family))


def take_towards(draft: Draft, text: str) -> str:
    family = draft.family
    if not _yes(text):
        return "then each one is asked"
    pin, socket = f"{family} pin", f"{family} socket"
    for path in draft.distinct:
        draft.put(path, "outlet", socket)
    for path, lines in draft.parts.items():
        if is_joiner(path):
            lines["inlets"] = pin
            if not draft.built_in:
                lines["outlet"] = socket
        elif is_lead(path):
            lines["ends"] = f"[{pin}, {socket}]"
    draft.put("controller", "inlet", pin)
    return ""
