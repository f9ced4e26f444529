"""The public Python interface, which the command line itself uses: load a build file, check it."""

from __future__ import annotations

from pathlib import Path

from packyoke import __version__
from packyoke.buildfile.reading import Document, Shop, is_build, is_foreign, is_shop, load_shop, parse, read_build
from packyoke.buildfile.reading import load as _load
from packyoke.core.findings import Finding, Severity, Span
from packyoke.model import Build
from packyoke.rules import VERSION as RULES_VERSION
from packyoke.shelf import SHELF
from packyoke.verdict.check import check as _check
from packyoke.verdict.check import failed, unreadable
from packyoke.verdict.report import Batch, Report

__all__ = [
    "Batch",
    "Build",
    "Finding",
    "Report",
    "Severity",
    "Shop",
    "Span",
    "batch",
    "check",
    "check_file",
    "load",
    "load_found",
    "load_shop",
]


def load(text: str | bytes, file: str = "-", *, shop: Shop | None = None, today: str = "") -> Build | list[Finding]:
    """Read a build from its text. Gives the build, or every mistake that was found in it."""
    return _load(text, file, shop=shop, today=today or None)


def load_found(text: bytes, file: str, *, shop: Shop | None = None, today: str = "") -> Build | list[Finding] | str:
    """Read a file that was found in a folder: like `load`, but a file that is no build gives the reason to skip it."""
    document = parse(text, file)
    if not isinstance(document, Document):
        # What cannot be parsed cannot be said to be no build, unless it is plain that it is something else.
        return "YAML of something else" if is_foreign(text) else document
    if is_shop(document):
        return "a shop file"
    if not is_build(document):
        return "no packyoke line"
    return read_build(document, shop=shop, today=today or None)


def check(
    build: Build | list[Finding], file: str = "-", *, today: str = "", brief: bool = False, rides: bool = True
) -> Report:
    """Check a build, or report why there is none.

    `today` (ISO 8601) decides which acceptances still count; `brief` leaves it at verdict, findings and questions;
    without `rides` it is not worked out how far each set of packs carries the everyday ride.
    """
    if isinstance(build, Build):
        try:
            return _check(build, today=today, brief=brief, rides=rides)
        except Exception as error:
            return failed(build, error)
    return unreadable(file, build)


def check_file(path: Path, *, today: str = "") -> Report:
    """Read and check one file. Raises OSError when it cannot be opened."""
    return check(load(path.read_bytes(), str(path), today=today), str(path), today=today)


def batch(
    reports: list[Report], skipped: list[tuple[str, str]] | None = None, only: frozenset[str] | None = None
) -> Batch:
    """Reports of one run with the versions that made them, and the rules that it was `only` about."""
    return Batch(
        tool=__version__,
        rules=RULES_VERSION,
        shelf=SHELF,
        reports=tuple(reports),
        skipped=tuple(skipped or ()),
        only=None if only is None else tuple(sorted(only)),
    )
