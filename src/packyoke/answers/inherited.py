"""What a build has from the shop file: said wherever it is counted with, and always in the same words."""

from __future__ import annotations

from packyoke.core.findings import clean, name_of
from packyoke.model import Build
from packyoke.model.build import FROM_SHOP, Stated
from packyoke.page.page import Lines
from packyoke.verdict.report import Assumed, Report

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
            found.append(f"{_said(each)} ({FROM_SHOP})")
    return tuple(found)


def with_places(text: str, build: Build) -> str:
    """Why a command has no answer, with what the build has from the shop file and where it stands there: the cause may
    be there."""
    taken = [each for each in build.stated if each.basis == FROM_SHOP]
    if not taken:
        return text
    lines = "".join(f"\n  {_said(each)} ({FROM_SHOP}, {each.origin})" for each in taken)
    return f"{text}\nTaken over; a line in the file counts instead:{lines}"


def taken_in(report: Report) -> tuple[str, ...]:
    """The same of a build of which there is only what the check says."""
    return tuple(f"{_said(each)} ({FROM_SHOP})" for each in report.assumed if each.basis == FROM_SHOP)


def _said(each: Stated | Assumed) -> str:
    if each.part == "build":
        return each.text
    return f"{clean(name_of(each.part))}: {each.text}"
