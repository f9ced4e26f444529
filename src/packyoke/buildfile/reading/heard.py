"""The one thing that a longer answer says: "2 schottky diodes" is diode, "max 63V" is 63 V. Two things are none."""

from __future__ import annotations

import re
from collections.abc import Mapping

from packyoke.buildfile.reading.hedges import HEDGED
from packyoke.buildfile.reading.spoken_words import DENIED, fold
from packyoke.core.findings import shown

NUMBER = r"[0-9]+(?:\.[0-9]+)?"
SHORTEST = 3
"""A shorter word stands for too much to be looked for inside others (judgement)."""
_FILLER = re.compile(r"\s+(?:thing(?:y|ie)?|type|kind|sort|ones?|piece|bit|style)$", re.I)
_ARTICLE = re.compile(r"(?:an?|the|my|some|its|it's|it is|they are|only|just)\s+", re.I)
_BEFORE = re.compile(
    r"(?:max(?:imum)?\.?|min(?:imum)?\.?|<=|≤|up to|at most|no more than|output|rated(?: at| for)?|marked|"
    r"label(?: says)?|it says|"
    r"d\.?c\.?|it's|it is|measured|:|=)\s*(?=[0-9])",
    re.I,
)
_PEAK_BEFORE = re.compile(r"(?:max(?:imum)?|up to|at most|no more than|peak|burst)\b", re.I)
_BEHIND = re.compile(
    rf"(?P<rest>{NUMBER} ?(?:[A-Za-zµΩ%]+2?|mm²))[ ,]*\(?(?P<word>max\.?|maximum|nominal|nom\.?|rated|total|each|"
    r"cont\.?|continuous(?:ly)?|dauer(?:nd|strom)?|"
    r"typ\.?|typical|min\.?|minimum|weighed|scales|measured|stranded|silicone(?: wire)?|wire|copper|"
    r"per (?:channel|path|input|inlet))\)?",
    re.I,
)


def without_article(word: str) -> str:
    """`a box` is `box`, `a y thing` is `y`."""
    word = _ARTICLE.sub("", word, count=1) if _ARTICLE.match(word) else word
    return _FILLER.sub("", word)


def only_word(words: Mapping[str, str], text: str) -> str:
    """The one value of which a word stands in a text; empty where it names none or two, denies or doubts
    anything.

    >>> only_word({"diode": "diode", "ideal diode": "ideal-diode"}, "an ideal diode module")
    'ideal-diode'
    >>> only_word({"swollen": "swollen", "wet": "wet"}, "not swollen")
    ''
    """
    rest = f" {fold(re.sub('[,;:()!]', ' ', text))} "
    if "?" in text or DENIED.search(rest) or HEDGED(text):
        return ""
    found = set()
    for word in sorted(words, key=len, reverse=True):
        if len(word) >= SHORTEST and f" {word} " in rest:
            rest = rest.replace(f" {word} ", "  ")
            found.add(words[word])
    return found.pop() if len(found) == 1 else ""


def only_figure(text: str) -> tuple[str, bool]:
    """The one figure with its unit in a text with words round it, and whether they call it the most.

    >>> only_figure("max 63V"), only_figure("30 amps cont"), only_figure("phase 60A")
    (('63V', True), ('30 amps', False), ('', False))
    """
    rest = text.strip()
    most = bool(_PEAK_BEFORE.match(rest))
    rest = _BEFORE.sub("", rest, count=1) if _BEFORE.match(rest) else rest
    behind = _BEHIND.fullmatch(rest)
    if behind:
        most = most or behind["word"].lower().startswith("max")
        rest = behind["rest"]
    plain = rest != text.strip() and re.fullmatch(rf"{NUMBER} ?(?:[A-Za-zµΩ%]+2?|mm²)", rest)
    return (rest, most) if plain else ("", False)


_AT_VOLTS = re.compile(rf"(?P<a>{NUMBER}) ?(?:a|amps?) ?(?:at|@|on|from) ?(?P<v>{NUMBER}) ?v(?:olts?)?", re.I).fullmatch
_BOTH_WAYS = re.compile(
    rf"2 ?[x×*] ?(?P<one>{NUMBER}) ?(?P<unit>mm|cm|m|in|ft)|(?P<both>{NUMBER}) ?(?P<unit2>mm|cm|m|in|ft),? ?"
    r"(?:there and back|both ways|round trip|in all)",
    re.I,
).fullmatch
CONVERTED = 0.9
"""What a voltage converter passes on: judgement."""
LOW_48_V = 39.0
"""Where a controller for 13 cells usually cuts: an example."""


def behind_a_converter(text: str) -> str:
    """What to do where a current is told with the volts behind a converter; else empty."""
    found = _AT_VOLTS(text)
    if found is None:
        return ""
    watts = float(found["a"]) * float(found["v"])
    return (
        f"What it draws from the packs counts. {shown(watts)} W through a converter that passes on nine tenths are "
        f"{shown(watts / CONVERTED / LOW_48_V)} A at {shown(LOW_48_V)} V, the lowest of a 48 V pack."
    )


def one_way(text: str) -> str:
    """The length of a cable that is told there and back; else empty.

    >>> one_way("2 x 300 mm"), one_way("3 ft there and back"), one_way("300 mm")
    ('300 mm', '1.5 ft', '')
    """
    found = _BOTH_WAYS(text)
    if found is None:
        return ""
    return f"{found['one'] or shown(float(found['both']) / 2)} {found['unit'] or found['unit2']}"
