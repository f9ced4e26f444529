"""Patterns that the JSON Schema is put together from: words, units, quantities as the reader takes them.

They keep to what every dialect of regular expressions knows: no flags, no look-behind.
"""

from __future__ import annotations

import re

from packyoke.buildfile.schema_bounds import outside
from packyoke.core import tape
from packyoke.core.unit_names import CURRENCIES, PAIRS, Kind, spellings
from packyoke.model.field import Field

NUMBER = r"-?((0|[1-9][0-9]*)(\.[0-9]+)?|\.[0-9]+)"
GUESS = r"\s*\??\s*"
BLANK = r"[ \u00a0\u202f\u2009]*"
_GAP = r"[ \u00a0\u202f\u2009]+"
JOINTS = {
    "for": f"{_GAP}[fF][oO][rR]{_GAP}",
    "after": f"{_GAP}[aA][fF][tT][eE][rR]{_GAP}",
    "at": f"({_GAP}[aA][tT]{_GAP}|{BLANK}@{BLANK})",
}


def any_case(text: str) -> str:
    """A pattern for a text in whatever case; the micro sign has no capital of its own."""
    return "".join(
        f"[{c.lower()}{c.upper()}]" if c.lower() != c.upper() and c.upper().lower() == c.lower() else re.escape(c)
        for c in text
    )


def any_word(word: str) -> str:
    """A pattern for a word as the reader compares it: without case, blanks for hyphens and underscores."""
    return r"[\s_-]+".join(any_case(part) for part in re.split(r"[ _-]+", word))


def units_in(kind: Kind, only: tuple[str, ...] = ()) -> str:
    """Every spelling of a kind, or some: those that another unit has in another case keep their first letter."""
    known = spellings()[kind]
    meant: dict[str, set[object]] = {}
    for spelling, unit in known.items():
        meant.setdefault(spelling.lower(), set()).add(unit)
    found = []
    for spelling in only or known:
        loose = len(meant[spelling.lower()]) == 1
        text = any_case(spelling) if loose else re.escape(spelling[0]) + any_case(spelling[1:])
        found.append(text.replace(r"\ ", " +").replace(r"\-", "-").replace(r"\/", "/"))
    return "|".join(sorted(dict.fromkeys(found), key=lambda each: (-len(each), each)))


def amount(kind: Kind) -> str:
    """The pattern of one quantity, without anchors."""
    if kind is Kind.MONEY:
        return rf"{NUMBER} *({'|'.join(sorted(any_case(code) for code in CURRENCIES))})"
    found = rf"{NUMBER}{BLANK}({units_in(kind)})"
    if kind is not Kind.LENGTH:
        return found
    foot, inch = ("|".join(map(any_case, words)) for words in (tape.FOOT_WORDS, tape.INCH_WORDS))
    return rf"({found}|{tape.pattern(foot, inch).replace('(?:', '(')})"


def out_of(field: Field, kind: Kind) -> str:
    first = PAIRS[kind][0] if kind in PAIRS else kind
    return outside(first, field.low or 0.0, field.high or 0.0, spelled)


def spelled(kind: Kind, names: tuple[str, ...]) -> str:
    return f"{BLANK}({units_in(kind, names)})"


def kind_of(field: Field) -> Kind | None:
    return Kind.__members__.get(field.kind.upper().replace(" ", "_"))
