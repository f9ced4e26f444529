"""The rules' own pages, read from the text that stands at the top of each rule."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from textwrap import dedent

from packyoke.core.docstrings import docstring
from packyoke.rules import RULES
from packyoke.rules.symptoms import ranked, things

SECTIONS = ("What", "Why", "Limit", "Do", "Rider notices", "Fails", "Passes", "Sources")
AS_WRITTEN = ("Fails", "Passes")


@dataclass(frozen=True, slots=True)
class RulePage:
    """One rule's page: a title and its sections, each as the lines that were written."""

    name: str
    title: str
    kind: str
    sections: tuple[tuple[str, str], ...]

    def section(self, title: str) -> str:
        return next((text for name, text in self.sections if name == title), "")


@cache
def all_pages() -> tuple[RulePage, ...]:
    """The pages of all rules, by name."""
    return tuple(
        sorted(
            (_page(rule.name, rule.kind, rule.page or _source(rule.name)) for rule in RULES), key=lambda page: page.name
        )
    )


def _source(name: str) -> str:
    """The page of a rule where python -OO has thrown it away."""
    return docstring(f"packyoke.rules.{name.replace('-', '_')}")


def _page(name: str, kind: str, text: str) -> RulePage:
    title, _, rest = text.strip().partition("\n")
    parts = re.split(rf"^({'|'.join(SECTIONS)})$", rest, flags=re.MULTILINE)
    sections = tuple((parts[at], dedent(parts[at + 1].strip("\n"))) for at in range(1, len(parts) - 1, 2))
    return RulePage(name, title, kind, sections)


def names() -> list[str]:
    return [page.name for page in all_pages()]


def page(name: str) -> RulePage | None:
    """The page of a rule; None when there is no rule of that name."""
    return next((each for each in all_pages() if each.name == name), None)


def by_symptom(text: str) -> list[tuple[RulePage, str]]:
    """The pages whose symptoms are most like a text, best first, with the symptom that fits."""
    found = ranked(text, [(each.name, _symptoms(each)) for each in all_pages()])
    most = max((likeness for likeness, _, _ in found), default=0.0)
    pages = {each.name: each for each in all_pages()}
    return [(pages[name], symptom) for likeness, name, symptom in found if likeness >= most / 3]


def _symptoms(each: RulePage) -> list[str]:
    text = " ".join(each.section("Rider notices").split())
    return [symptom.strip() for symptom in text.split(";") if symptom.strip() and symptom.strip() != "nothing"]


ALARM = frozenset(("bulg", "smell", "his", "hiss", "fir", "flam"))
ALARM_WORDS = (
    "Smoke, a smell, hissing or a swollen pack: stop, switch off, get away from it and warn others; outdoors with it "
    "only if that can be done without danger. Flames: the fire brigade."
)


def alarms(text: str) -> bool:
    """Whether a symptom is one at which nobody goes on reading."""
    return bool(things(text) & ALARM)
