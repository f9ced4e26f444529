"""The rules' own pages, read from the text that stands at the top of each rule."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from textwrap import dedent

from packyoke.rules import RULES

SECTIONS = ("What", "Why", "Limit", "Do", "Rider notices", "Fails", "Passes", "Sources")


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


def names() -> list[str]:
    return [page.name for page in all_pages()]


def page(name: str) -> Page | None:
    """The page of a rule; None when there is no rule of that name."""
    return next((each for each in all_pages() if each.name == name), None)


def by_symptom(text: str) -> list[tuple[Page, str]]:
    """The pages whose symptoms are most like a text, best first, with the symptom that fits."""
    wanted = _words(text)
    found = []
    for each in all_pages():
        likeness, symptom = max(((_likeness(wanted, _words(one)), one) for one in _symptoms(each)), default=(0.0, ""))
        if likeness:
            found.append((likeness, each, symptom))
    most = max((likeness for likeness, _, _ in found), default=0.0)
    fitting = [entry for entry in found if entry[0] >= most / 3]
    return [(each, symptom) for _, each, symptom in sorted(fitting, key=lambda entry: -entry[0])]


def _likeness(first: set[str], second: set[str]) -> float:
    return len(first & second) / len(first | second) if first and second else 0.0


def _symptoms(each: Page) -> list[str]:
    text = " ".join(each.section("Rider notices").split())
    return [symptom.strip() for symptom in text.split(";") if symptom.strip() and symptom.strip() != "nothing"]


_SMALL = frozenset(
    ("a", "an", "and", "at", "by", "does", "goes", "has", "have", "in", "is", "it", "its", "my", "of", "off", "on",
     "one", "or", "than", "that", "the", "to", "up", "when", "with")
)  # fmt: skip


def _words(text: str) -> set[str]:
    words = re.findall(r"[a-z]+", text.lower())
    return {re.sub(r"(ing|es|s|ed)$", "", word) for word in words if word not in _SMALL}


def text(each: Page) -> str:
    """A page as plain text."""
    lines = [each.name, each.title, ""]
    for title, body in each.sections:
        lines += [title, *(f"    {line}".rstrip() for line in body.splitlines()), ""]
    return "\n".join(lines).rstrip()
