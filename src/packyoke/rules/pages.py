"""The rules' own pages, read from the text that stands at the top of each rule."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from math import log
from textwrap import dedent, wrap

from packyoke.rules import RULES

WIDTH = 80
SECTIONS = ("What", "Why", "Limit", "Do", "Rider notices", "Fails", "Passes", "Sources")
AS_WRITTEN = ("Fails", "Passes")


@dataclass(frozen=True, slots=True)
class Page:
    """One rule's page: a title and its sections, each as the lines that were written."""

    name: str
    title: str
    kind: str
    sections: tuple[tuple[str, str], ...]

    def section(self, title: str) -> str:
        return next((text for name, text in self.sections if name == title), "")


@cache
def all_pages() -> tuple[Page, ...]:
    """The pages of all rules, by name."""
    return tuple(sorted((_page(rule.name, rule.kind, rule.page) for rule in RULES), key=lambda page: page.name))


def _page(name: str, kind: str, text: str) -> Page:
    title, _, rest = text.strip().partition("\n")
    parts = re.split(rf"^({'|'.join(SECTIONS)})$", rest, flags=re.MULTILINE)
    sections = tuple((parts[at], dedent(parts[at + 1].strip("\n"))) for at in range(1, len(parts) - 1, 2))
    return Page(name, title, kind, sections)


def in_lines(each: Page, notices: str = "") -> list[str]:
    """A page in a list: its name and title, and the symptom that fits."""
    lines = wrap(each.title, WIDTH, initial_indent=f"{each.name:<24} ", subsequent_indent=" " * 25)
    more = " " * 27
    return lines + (
        wrap(f"a rider notices: {notices}", WIDTH, initial_indent=more, subsequent_indent=more) if notices else []
    )


def names() -> list[str]:
    return [page.name for page in all_pages()]


def page(name: str) -> Page | None:
    """The page of a rule; None when there is no rule of that name."""
    return next((each for each in all_pages() if each.name == name), None)


def by_symptom(text: str) -> list[tuple[Page, str]]:
    """The pages whose symptoms are most like a text, best first, with the symptom that fits.

    A word counts the more the fewer rules have it: everybody's symptoms speak of packs.
    """
    wanted = _words(text)
    found = []
    for each in all_pages():
        likeness, symptom = max(((_likeness(wanted, _words(one)), one) for one in _symptoms(each)), default=(0.0, ""))
        if likeness:
            found.append((likeness, each, symptom))
    most = max((likeness for likeness, _, _ in found), default=0.0)
    fitting = [entry for entry in found if entry[0] >= most / 3]
    return [(each, symptom) for _, each, symptom in sorted(fitting, key=lambda entry: -entry[0])]


def _likeness(first: frozenset[str], second: frozenset[str]) -> float:
    return sum(map(_weight, first & second)) / (sum(map(_weight, first | second)) or 1.0)


@cache
def _weight(word: str) -> float:
    having = sum(any(word in _words(symptom) for symptom in _symptoms(each)) for each in all_pages())
    return max(LEAST, log(len(all_pages()) / (COMMON * max(1, having))))


COMMON, LEAST = 4, 0.1
"""A word that one rule in four has says next to nothing."""


def _symptoms(each: Page) -> list[str]:
    text = " ".join(each.section("Rider notices").split())
    return [symptom.strip() for symptom in text.split(";") if symptom.strip() and symptom.strip() != "nothing"]


_SMALL = frozenset(
    (
        "a",
        "an",
        "and",
        "at",
        "by",
        "does",
        "get",
        "gets",
        "goes",
        "got",
        "has",
        "have",
        "i",
        "in",
        "is",
        "it",
        "its",
        "my",
        "not",
        "of",
        "on",
        "one",
        "or",
        "so",
        "than",
        "that",
        "the",
        "to",
        "too",
        "up",
        "very",
        "was",
        "were",
        "when",
        "with",
    )
)


_ALIKE = {
    "hills": "uphill climb climbs climbing slope steep",
    "pack": "battery batteries packs accu",
    "lead": "cable cables wire wires wiring leads",
    "plug": "plugs connector connectors socket sockets contact contacts",
    "bulges": "bulge bulging bulged swollen swells swelling swelled bloated",
    "smell": "smells smelling smelt smoke smokes smoking burning burnt burned stinks stink",
    "hot": "warm heat heats heated heating hotter",
    "tingle": "tingles shock shocks shocked zap zapped",
    "holidays": "holiday parked standing stood unused week weeks month months",
    "dies": "die died dying stops stopped quits",
    "charge": "charges charged charging",
}
"""Words of riders that say the same as one of the pages."""
_SAME = {word: same for same, words in _ALIKE.items() for word in words.split()}

ALARM = frozenset(("bulges", "smell", "hiss", "hisses", "hissing", "fire", "flame", "flames"))
ALARM_WORDS = (
    "Smoke, a smell, hissing or a swollen pack: stop, switch off, get away from it and warn others; outdoors with it "
    "only if that can be done without danger. Flames: the fire brigade."
)


def alarms(text: str) -> bool:
    """Whether a symptom is one at which nobody goes on reading."""
    return any(_SAME.get(word, word) in ALARM for word in re.findall(r"[a-z]+", text.lower()))


@cache
def _words(text: str) -> frozenset[str]:
    words = re.findall(r"[a-z]+", text.lower())
    return frozenset(re.sub(r"(ing|es|s|ed|g)$", "", _SAME.get(word, word)) for word in words if word not in _SMALL)


def text(each: Page) -> str:
    """A page as plain text."""
    lines = [each.name, *wrap(each.title, WIDTH), ""]
    for title, body in each.sections:
        lines += [title, *_indented(title, body), ""]
    return "\n".join(lines).rstrip()


def _indented(title: str, body: str) -> list[str]:
    if title in AS_WRITTEN:
        return [f"    {line}".rstrip() for line in body.splitlines()]
    paragraphs = [wrap(" ".join(part.split()), WIDTH - 4, break_on_hyphens=False) for part in body.split("\n\n")]
    lines = [line for paragraph in paragraphs for line in (*paragraph, "")]
    return [f"    {line}".rstrip() for line in lines[:-1]]
