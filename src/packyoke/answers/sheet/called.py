"""What a sheet calls the packs: by name, or by letter where the names are too long to say them often."""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_uppercase
from typing import NamedTuple
from unicodedata import bidirectional

from packyoke.core.findings import clean
from packyoke.model import Build

MOST_LETTERS, MOST_NAMED = 40, 3
"""Of all names together, and how many packs, before they get letters."""


def said(text: str, most: int = 40) -> str:
    """A name of the user's as it is printed: nothing unseen in it, and letters that run from right to left set apart,
    so that the numbers beside them stay in order."""
    shown = clean(text, most)
    return f"\u2068{shown}\u2069" if any(bidirectional(each) in ("R", "AL", "AN") for each in shown) else shown


def listed(texts: Iterable[str], word: str = "and") -> str:
    shown = [*texts]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} {word} {shown[-1]}"


class Called(NamedTuple):
    """The names of the packs of one build, and their letters; no letters where the names are short."""

    letters: dict[str, str]

    def full(self, name: str) -> str:
        """Where a pack is introduced: `keel`, or `A (Big pack in the left bag)`."""
        letter = self.letters.get(name)
        return f"{letter} ({said(name)})" if letter else said(name)

    def short(self, name: str) -> str:
        """Where it is spoken of: `keel`, or `A`."""
        return self.letters.get(name) or said(name)

    def set(self, names: Iterable[str]) -> str:
        """Packs that are plugged in together: `keel + pannier`."""
        return " + ".join(map(self.short, names))


def called(build: Build) -> Called:
    names = [*build.packs]
    if len(names) == 1 or (len(names) <= MOST_NAMED and sum(map(len, names)) <= MOST_LETTERS):
        return Called({})
    return Called(dict(zip(names, ascii_uppercase, strict=False)))
