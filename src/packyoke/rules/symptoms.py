"""Which rules a rider's sentence points to: what happens, to which part, when; and what does not happen.

Words become the few things that the pages speak of, so that wordings do not matter. A word after "not" is another thing
than the word itself, and speaks against pages on which it does happen.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from math import fsum, log, sqrt

_PHRASES = (
    (r"[’`]", "'"),
    (r"\b(can|could|would|should|does|do|did|is|are|was|were|has|have|must|need)n'?t\b", "not"),
    (
        r"\b(when|while) (it is |nobody |it's )?(not (in use|used|ridden|charging)|nobody uses it)\b|\bat rest\b",
        "atrest",
    ),
    (r"\bcan'?t\b|\b(wo|wi|ai)n'?t\b|\bcannot\b|\brefuses? to\b|\bfail(s|ed)? to\b|\bno longer\b|\bunable to\b", "not"),
    (
        r"\b(turn|switch|power|start|come|go|wake|boot|light|fire)(s|es|ed|ing)? (it |the bike |the pack )?(on|up)\b",
        "switchon",
    ),
    (r"\b(turn|switch|power|shut|go|cut|click|trip)(s|es|ed|ing|ting)?( itself)? (off|out|down)\b", "dies"),
    (
        r"\b(plug|connect|hook|put|click)(s|ed|ing|ged|ging|ting)? ((?!not )\w+ ){0,3}(in|up|together)\b"
        r"|\bgoes (in|on)\b",
        "plugin",
    ),
    (r"\b(over|during|through|in) (the )?(winter|holidays?|night|weekend|summer)\b", "holidays"),
    (r"\b(one|first|other|second) (battery|pack|accu) (\w+ ){0,3}(other|second|first)\b", "oneother"),
    (r"\b(wrong|different|another|neighbou?r'?s|other|mixed up( the)?|swapped( the)?) charger\b", "wrongcharger"),
    (r"\bcharger (of|from|for) (\w+ ){0,2}(other|another|different|old|neighbou?r'?s) \w+", "wrongcharger"),
    (r"\bcharger (was |is |got )?(mixed up|swapped|the wrong one)\b", "wrongcharger"),
    (r"\b(over|on|crossing) (bumps?|cobbles?|kerbs?|potholes?)\b", "bumps"),
    (r"\b(any ?more|any longer)\b", ""),
    (r"\b(straight|right) away\b|\bimmediately\b|\binstantly\b|\bat once\b", "atonce"),
    (r"\bun(plug|hook)(s|ged|ging)?\b|\b(pull|take)(s|ing)? (\w+ ){0,2}(plug|battery|pack) out\b", "unplug"),
    (r"\b(sticker|badge)\b", "label"),
    (r"\b(by|on) (its own|itself|themselves)\b", ""),
)
"""What several words say together."""

_ALIKE = {
    "hills": "hill uphill climb climbs climbing climbed slope slopes steep gradient ascent ramp",
    "descent": "downhill descents descending braking brake brakes",
    "pack": "battery batteries packs accu accus akku",
    "lead": "cable cables wire wires wiring leads cord harness",
    "plug": "plugs connector connectors socket sockets contact contacts inlet",
    "bulges": "bulge bulging bulged fat thicker splitting split expanded expanding swollen "
    "swells swelling swelled swell bloated puffy puffed puffs pillow bloating",
    "wet": "water soaked soaking drenched rain rained flooded submerged puddle damp moisture "
    "washed lake river sea pond canal ditch swim swam hose hosed",
    "fell": "dropped fallen crash crashed accident drop dent dented",
    "smell": "smells smelling smelt smoke smokes smoking burning burnt burned stinks stink smelly",
    "hot": "warm heat heats heated heating hotter overheats overheating overheated toasty",
    "tingle": "tingles shock shocks shocked zap zapped tickle tickles prickle",
    "holidays": "holiday parked standing stood unused week weeks month months winter storage stored overnight garage",
    "empty": "drained drains drain flat discharged",
    "dies": "die died dying stops stopped stop quits quit cuts cut dead",
    "charge": "charges charged charging recharge recharging",
    "spark": "sparks sparked sparking arc arcs arcing crack cracks pop pops bang flash snaps",
    "melted": "melt melts melting browned brown discoloured welded scorched",
    "switchon": "start starts wakes",
    "range": "distance far reach kilometres miles",
    "bike": "ebike motor",
}
"""Words of riders that say the same as one of the pages."""
_SAME = {word: same for same, words in _ALIKE.items() for word in words.split()}
_SMALL = frozenset(
    {
        "a",
        "about",
        "after",
        "again",
        "all",
        "also",
        "always",
        "an",
        "and",
        "any",
        "are",
        "as",
        "at",
        "be",
        "been",
        "bit",
        "but",
        "by",
        "can",
        "did",
        "do",
        "does",
        "even",
        "every",
        "for",
        "from",
        "get",
        "gets",
        "getting",
        "goes",
        "going",
        "got",
        "had",
        "has",
        "have",
        "he",
        "her",
        "him",
        "his",
        "how",
        "i",
        "if",
        "in",
        "into",
        "is",
        "it",
        "its",
        "just",
        "keeps",
        "like",
        "little",
        "me",
        "my",
        "now",
        "of",
        "on",
        "one",
        "or",
        "our",
        "out",
        "really",
        "she",
        "so",
        "some",
        "sometimes",
        "still",
        "than",
        "that",
        "the",
        "their",
        "them",
        "then",
        "there",
        "they",
        "thing",
        "this",
        "to",
        "today",
        "too",
        "up",
        "us",
        "very",
        "was",
        "we",
        "were",
        "what",
        "when",
        "whenever",
        "where",
        "while",
        "will",
        "with",
        "yesterday",
        "you",
        "your",
    }
)
_NOT = frozenset({"not", "no", "never", "nothing", "without", "hardly", "neither"})
TWICE_NOT = re.compile(r"\b(?:not|never)\s+((?:[a-z]+\s+){1,4}?)(?:without|not)\b")
"""What never happens without a thing happens with it."""
ELSEWHERE = re.compile(r"\bnot\s+(?:get\s+|go\s+)?([a-z]+)\s*,?\s+but\s+((?:[a-z]+\s+){1,4}?)(?:does|do|is|are)\b")
"""Not this part but that one: what does not happen here happens there."""
SCOPE = 4
"""So many words after a "not" it still holds for the next one that says something."""


def things(text: str) -> frozenset[str]:
    """What a sentence speaks of; `not x` where it says that x does not happen.

    >>> sorted(things("The battery won't charge")), sorted(things("my plug doesn't get hot"))
    (['not charg', 'pack'], ['not hot', 'plu'])
    """
    text = text.lower()
    for pattern, said in _PHRASES:
        text = re.sub(pattern, f" {said} " if said != "'" else said, text)
    text = TWICE_NOT.sub(r" \1 ", text)
    text = ELSEWHERE.sub(r"not \1, \2 \1 ", text)
    found, since_not = set(), SCOPE + 1
    for word in re.findall(r"[a-z]+", text):
        since_not += 1
        if word in _NOT:
            since_not = 0
        elif word not in _SMALL and len(word) > 1:
            stem = re.sub(r"(ing|es|s|ed|e|g)$", "", _SAME.get(word, word)) or word
            found.add(f"not {stem}" if since_not <= SCOPE else stem)
            since_not = SCOPE + 1
    return frozenset(found)


def ranked(text: str, symptoms: Iterable[tuple[str, Sequence[str]]]) -> list[tuple[float, str, str]]:
    """Likeness, name and symptom of the names whose symptoms are most like a text, best first.

    A thing counts the more the fewer names have it: everybody's symptoms speak of packs.
    """
    table = tuple((name, tuple(each)) for name, each in symptoms)
    weights, wanted = _weights(table), things(text)
    denied = {each.removeprefix("not ") for each in wanted if each.startswith("not ")} - wanted
    size = sqrt(fsum(weights[each] ** 2 for each in wanted if each in weights)) or 1.0
    found = []
    for name, said in table:
        best = (0.0, "")
        for symptom in said:
            here = things(symptom)
            if here & denied:
                continue
            common = fsum(weights[each] ** 2 for each in wanted & here)
            best = max(best, (common / size / (sqrt(fsum(weights[each] ** 2 for each in here)) or 1.0), symptom))
        if best[0] > 0.0:
            found.append((best[0], name, best[1]))
    return sorted(found, key=lambda each: (-each[0], each[1]))


@cache
def _weights(table: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, float]:
    having = Counter(each for _, said in table for each in frozenset().union(*map(things, said), frozenset()))
    return {each: log((1 + len(table)) / count) for each, count in having.items()}
