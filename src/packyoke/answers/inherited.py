"""What a build has from the shop file: said wherever it is counted with, and always in the same words.

Where there is no answer, or two builds may have two shop files, the place in the shop file stands beside each line:
the cause may be there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from packyoke.buildfile.reading.copies import NO_SHOP
from packyoke.core.findings import clean
from packyoke.core.paths import name_of
from packyoke.model import Build
from packyoke.model.build import FROM_SHOP, Stated
from packyoke.model.shop import ShelfItem, Stock
from packyoke.page.page import Lines
from packyoke.verdict.report import Assumed

PARTS = "part"
"""Stands for every part that was taken over from the shelf, whatever it is."""
_INSTEAD = "a line in the file counts instead"


def from_shop(text: str, origin: str = "") -> str:
    """A value with where it is from; `origin`: file and line there."""
    return f"{text} ({FROM_SHOP}, {origin})" if origin else f"{text} ({FROM_SHOP})"


class HasAssumed(Protocol):
    """What a check says of a build, now or stored."""

    @property
    def assumed(self) -> tuple[Assumed, ...]: ...


def inherited(of: Build | HasAssumed, *about: str, places: bool = False) -> tuple[str, ...]:
    """Each line and each part that came from the shop file, with its value and those words.

    `about` (`region`, `warmest`, `coldest`, `all leads`, `ride`, `part`) leaves it at those; without it all are given.
    `places`: with file and line of each.
    """
    stated: tuple[Stated | Assumed, ...] = of.stated if isinstance(of, Build) else of.assumed
    found = []
    for each in stated:
        if each.basis != FROM_SHOP:
            continue
        whole = each.part == "build"
        if not about or (each.text.startswith(about) if whole else PARTS in about):
            said = each.text if whole else f"{clean(name_of(each.part))}: {each.text}"
            found.append(from_shop(said, each.origin if places else ""))
    return tuple(found)


def of_both(old: Build | HasAssumed | None, new: Build | HasAssumed | None) -> tuple[str, ...]:
    """What two builds have from a shop file, with places; what only one has is said of that one."""
    before, after = (inherited(each, places=True) if each is not None else () for each in (old, new))
    came = (each if each in before else f"after: {each}" for each in after)
    return *came, *(f"before: {each}" for each in before if each not in after)


def taken_over(taken: tuple[str, ...]) -> Lines:
    """The same beside an answer; nothing where nothing was taken over."""
    return Lines("Taken over", ("; ".join(taken),) if taken else (), _INSTEAD)


def places_taken(taken: tuple[str, ...]) -> Lines:
    """The same with places, where there is no answer: each on a line of its own."""
    return Lines("Taken over", taken, _INSTEAD)


def with_places(text: str, build: Build) -> str:
    """Why a command has no answer, with what the build has from the shop file and where it stands there."""
    taken = inherited(build, places=True)
    lines = "".join(f"\n  {each}" for each in taken)
    return f"{text}\nTaken over; {_INSTEAD}:{lines}" if taken else text


def looked_into(stock: Stock | None) -> str:
    """Which shop file prices and parts are from, or that none is used."""
    return f"The shop file is  {stock.file}" if stock is not None else NO_SHOP


def unpriced(items: Sequence[ShelfItem]) -> str:
    """Which of some items of a shelf have no price, by name and line."""
    bare = [each.part for each in items if each.price is None]
    return f": {', '.join(f'{each.name} (line {each.span.line})' for each in bare)}" if bare else ""
