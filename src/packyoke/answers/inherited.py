"""What a build has from the shop file: said wherever it is counted with, and always in the same words."""

from __future__ import annotations

from packyoke.core.findings import clean
from packyoke.model import Build
from packyoke.model.build import FROM_SHOP
from packyoke.page.page import Lines

PARTS = "part"
"""Stands for every part that was taken over from the shelf, whatever it is."""


def taken_over(taken: tuple[str, ...]) -> Lines:
    """The same as lines of a page; nothing where nothing was taken over."""
    return Lines("Taken over", ("; ".join(taken),) if taken else (), "a line in the file counts instead")


def inherited(build: Build, *about: str) -> tuple[str, ...]:
    """Each line and each part that came from the shop file, with its value and those words.

    `about` (`region`, `warmest`, `coldest`, `all leads`, `ride`, `part`) leaves it at those; without it all are given.
    """
    found = []
    for each in build.stated:
        if each.basis != FROM_SHOP:
            continue
        whole = each.part == "build"
        if not about or (each.text.startswith(about) if whole else PARTS in about):
            where = "" if whole else f"{clean(each.part.partition('.')[2])}: "
            found.append(f"{where}{each.text} ({FROM_SHOP})")
    return tuple(found)
