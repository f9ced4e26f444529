"""What a sheet calls the parts: by name, or by a letter or number where names are too long to say them often."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from string import ascii_uppercase
from typing import NamedTuple
from unicodedata import bidirectional

from packyoke.core.findings import clean
from packyoke.core.paths import name_of, path_to
from packyoke.model import Build

MOST_LETTERS, MOST_NAMED = 40, 3
"""Of all names together, and how many packs, before they get letters."""
LONG_NAME = 20
"""Letters of a name that a column holds in two lines; where one of a kind is longer, all of that kind get signs."""


def said(text: str, most: int = 40) -> str:
    """A name of the user's as it is printed: nothing unseen in it, and letters that run from right to left set apart,
    so that the numbers beside them stay in order."""
    shown = clean(text, most)
    return f"\u2068{shown}\u2069" if any(bidirectional(each) in ("R", "AL", "AN") for each in shown) else shown


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


class Signs(NamedTuple):
    """What the bench calls the parts of a build: `pack A`, `joiner 1`, `lead 3` by the number of the drawing.

    Names of a kind that are all short stay. Chargers and places are kept by path: they may share a name with a part.
    """

    signs: Mapping[str, str]

    def short(self, name: str) -> str:
        """Where a part is spoken of."""
        return self.signs.get(name) or said(name)

    def lead(self, name: str, number: int) -> str:
        """A lead with its number: `3  keel lead`, or `lead 3`."""
        return self.signs.get(name) or f"{number}  {said(name)}"

    def charger(self, name: str) -> str:
        return self.signs.get(path_to("chargers", name)) or said(name)

    def place(self, name: str) -> str:
        return self.signs.get(path_to("places", name)) or said(name)

    def told(self) -> Iterator[tuple[str, str]]:
        """Every sign with the name that it stands for, as in the file."""
        for name, sign in self.signs.items():
            yield sign, name_of(name)


def signs(build: Build) -> Signs:
    """The signs of a build. Letters and numbers follow the order of the file, packs as on the customer's sheet. Where a
    part is called like one of the signs, the parts of that kind keep their names."""
    kinds: tuple[tuple[str, Iterable[str], str], ...] = (
        ("pack", build.packs, ""),
        ("joiner", build.joiners, ""),
        ("controller", build.controllers, ""),
        ("accessory", build.accessories, ""),
        ("lead", build.leads, ""),
        ("charger", build.chargers, "chargers"),
        ("place", build.places, "places"),
    )
    taken = {name.casefold() for _, names, _ in kinds for name in names}
    found: dict[str, str] = {}
    for kind, names, section in kinds:
        marks = ascii_uppercase if kind == "pack" else ""
        every = [*names]
        marked = {
            (path_to(section, name) if section else name): f"{kind} {marks[at - 1] if len(every) <= len(marks) else at}"
            for at, name in enumerate(every, 1)
        }
        own = {(name_of(name).casefold(), sign.casefold()) for name, sign in marked.items()}
        clash = any(sign in taken and sign != name for name, sign in own)
        if max(map(len, every), default=0) > LONG_NAME and not clash:
            found |= marked
    return Signs(found)
