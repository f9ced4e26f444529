"""What is printed on packs and their chargers, as somebody types it: volts, Ah, cells, or "the same as the first"."""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.answers.start.draft import NAMES, Draft
from packyoke.answers.start.taking import BLANK, Again, put, spaced, sure_part
from packyoke.buildfile.reading.heard import NUMBER, only_word
from packyoke.buildfile.reading.spoken_words import MEANINGS, fold
from packyoke.core.paths import in_section, name_of, path_to

ORDINALS = {word: at for at, word in enumerate(NAMES)}
_FIGURES = re.compile(
    rf"(?<![A-Za-z0-9.,])({NUMBER}) ?(mAh|Ah|amp(?:ere)?[ -]?hours?|Wh|V|volts?|VDC|mA|A|amp(?:ere)?s?)\b", re.I
).findall
_CELLS = re.compile(r"(?<![0-9A-Za-z.])([0-9]{1,2})s(?:[0-9]{1,2}p)?(?![0-9A-Za-z])", re.I).findall
_LIKE = re.compile(rf"(?:the )?(?:same|like|as)(?: as)?(?: the)? ({'|'.join(NAMES)})(?: one| pack)?", re.I).fullmatch
_SAME = re.compile(
    r"(?:(?:the )?same(?: again| here| one| charger| as (?:the )?(?:others?|first|above|before))?|ditto|idem|"
    r"(?:one|1) for (?:all|both)|shared|as (?:above|before|first))[.!]*",
    re.I,
).fullmatch
LI_ION = ("li ion", "liion", "lithium ion")
"""A family of chemistries: as an answer to "which cells" it is the same guess."""
_COMMA = re.compile(r"([0-9]+),([0-9]+)").search


def label_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        if like := _LIKE(text.strip()):
            return _like(draft, pack, ORDINALS[like[1].casefold()])
        if _SAME(text.strip()):
            before = [path for path in draft.distinct if path != pack][: draft.packs.index(pack)]
            if len(before) != 1:
                raise Again("The same as which?  Write  same as first  or  same as second.")
            return _like(draft, pack, draft.packs.index(before[0]))
        if fold(text) in BLANK:
            return "nothing printed"
        _no_comma(text)
        sure, doubt = sure_part(text)
        found = _figures(sure)
        volts = [number for number, unit in found if unit.casefold() in ("v", "volt", "volts", "vdc")]
        hours = [(number, unit) for number, unit in found if re.fullmatch("m?ah|amp(?:ere)?[ -]?hours?", unit, re.I)]
        if len(volts) != 1 or len(hours) > 1 or re.search(r"[0-9] ?[-/] ?[0-9.]+ ?v", sure, re.I):
            draft.put(pack, "label", spaced(text))
            if len(hours) != 1:
                return ""
            value = f"{hours[0][0]} {'mAh' if hours[0][1][:1] in 'mM' else 'Ah'}"
            draft.put(pack, "capacity", f"{value}{doubt}")
            return f"{value}{doubt}; the rest stays as it was written"
        told = {"label": f"{volts[0]} V"}
        if hours:
            told["capacity"] = f"{hours[0][0]} {'mAh' if hours[0][1][:1] in 'mM' else 'Ah'}"
        if len(cells := _CELLS(sure)) == 1:
            told["series"] = cells[0]
        if chemistry := only_word(MEANINGS["packs.*.chemistry"] | {"nmc": "NMC", "nca": "NCA", "lfp": "LFP"}, sure):
            told["chemistry"] = chemistry
        elif only_word(dict.fromkeys(LI_ION, "some"), sure):
            told["chemistry"] = "NMC ?"
        plain = spaced(text) == told["label"]
        for key, value in told.items():
            draft.put(
                pack,
                key,
                value if value.endswith("?") else f"{value}{doubt}",
                "" if plain or key != "label" else f"printed: {text}",
            )
        said = ", ".join(value if key != "series" else f"{value}S" for key, value in told.items())
        return "" if plain else f"{said}, a guess" if doubt else said

    return take


def _like(draft: Draft, pack: str, at: int) -> str:
    """This pack is one more of a model that was described."""
    name = draft.parts.get(path_to("packs", NAMES[at]), {}).get("like", NAMES[at]) if at < draft.count else ""
    if not name or path_to("packs", name) == pack or NAMES.index(name) > draft.packs.index(pack):
        raise Again("Name a pack that was described before this one.")
    draft.parts[pack] = {"like": name}
    fits = draft.parts.get(path_to("chargers", f"{name} charger"))
    if fits is not None:
        fits["fits"] = f"{fits['fits'][:-1]}, {name_of(pack)}]"
    return f"like {name}"


def charger_of(pack: str) -> Callable[[Draft, str], str]:
    def take(draft: Draft, text: str) -> str:
        if _SAME(text.strip()):
            return _same_charger(draft, pack)
        sure, doubt = sure_part(re.sub(r"input.*?(?=output|$)", "", text, flags=re.I))
        output = next((each for each in re.split(r"output", sure, flags=re.I)[::-1] if _figures(each)), sure)
        _no_comma(output)
        found = _figures(output)
        volts = [number for number, unit in found if unit[:1] in "vV"]
        amps = [(number, unit) for number, unit in found if unit[:1] in "aA" or unit.casefold() == "ma"]
        clear = len(volts) == 1 and len(amps) <= 1 and _rest_is_words(output)
        if text.startswith(("{", "[")):
            raise Again("Only what stands on the label, for example  54.6V 4A")
        put(draft, pack, "charger_label", f"{volts[0]} V{doubt}" if clear else text)
        alone = draft.alike or draft.count == 1
        charger = path_to("chargers", "charger" if alone else f"{name_of(pack)} charger")
        draft.put(charger, "output", draft.parts[pack]["charger_label"])
        told = f"{volts[0]} V" if clear else f"{draft.parts[pack]['charger_label']}; nothing else was understood"
        if clear and amps:
            current = f"{amps[0][0]} {'mA' if amps[0][1][:1] in 'mM' else 'A'}{doubt}"
            draft.put(charger, "current", current)
            told += f", {current}"
        if not alone:
            draft.put(charger, "fits", f"[{name_of(pack)}]")
        return told if told.replace(" ", "").replace(",", "") != text.replace(" ", "").replace(",", "") else ""

    return take


def _same_charger(draft: Draft, pack: str) -> str:
    """One charger for this pack and the one before it."""
    before = [path for path in draft.distinct[: draft.distinct.index(pack)] if "charger_label" in draft.parts[path]]
    chargers = [path for path in draft.parts if in_section(path, "chargers") and "fits" in draft.parts[path]]
    mine = [
        path for path in chargers if before and name_of(before[-1]) in draft.parts[path]["fits"].strip("[]").split(", ")
    ]
    if not mine:
        raise Again("No charger was named before this one. Write what its label says after OUTPUT.")
    draft.put(pack, "charger_label", draft.parts[before[-1]]["charger_label"])
    draft.parts[mine[0]]["fits"] = f"{draft.parts[mine[0]]['fits'][:-1]}, {name_of(pack)}]"
    return f"the charger of {name_of(before[-1])}, {draft.parts[mine[0]]['output']}"


def _no_comma(text: str) -> None:
    """Raises Again for a decimal comma."""
    if comma := _COMMA(text):
        raise Again(f"For a decimal write a point:  {comma[1]}.{comma[2]}")


def _figures(text: str) -> list[tuple[str, str]]:
    """Every number with a unit of packs and chargers, `48V14Ah` too."""
    return _FIGURES(re.sub(rf"({NUMBER} ?(?:V|Ah|A))(?=[0-9])", r"\1 ", text, flags=re.I))


def _rest_is_words(text: str) -> bool:
    """Whether no further figure stands in a text; LiFePO4 is a word."""
    left = re.sub(rf"(?<![A-Za-z0-9.,]){NUMBER} ?(?:volts?|VDC|V|mA|amp(?:ere)?s?|A)\b", " ", text, flags=re.I)
    return not re.search(r"(?<![A-Za-z0-9])[0-9]", left)
