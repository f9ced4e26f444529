"""Whether a file that was found in a folder is a build: what looks like one is one, even when it is broken."""

from __future__ import annotations

import re
from collections.abc import Iterable

from packyoke.buildfile.reading.document import Document, Mapping, Scalar

SECTIONS = {
    "packs": "packs",
    "leads": "leads",
    "joiners": "joiners",
    "controller": "controller",
    "controllers": "controller",
}
_KEY = re.compile(r"(?:^|[{,])[ \t]*[\"']?([A-Za-z][A-Za-z_-]{2,20})[\"']?[ \t]*:", re.MULTILINE)
_FOREIGN = re.compile(r"[&*][A-Za-z_]|^---|!!?[a-z]|<<:", re.MULTILINE)
"""Anchors, aliases, tags, merge keys, several documents: YAML that no build file ever holds."""


def is_build(document: Document) -> bool:
    """Whether a file has a top-level `packyoke`, however it is spelled, or two sections of a build; or a key has it all
    inside, as when somebody has put a name over it. A job that is called `packyoke` is none."""
    inside = [value.entries for _, value in document.root.entries if isinstance(value, Mapping)]
    return _says_build(key.text for key, _ in document.root.entries) or any(
        _says_build(key.text for key, value in entries if isinstance(value, Scalar) or key.text in SECTIONS)
        for entries in inside
    )


def is_shop(document: Document) -> bool:
    return any(key.text == "packyoke-shop" for key, _ in document.root.entries)


def is_foreign(text: bytes) -> bool:
    """Whether a file that cannot be parsed is plainly the YAML of something else, with nothing of a build in it.

    What is no text is nothing plain: it may be a build that was packed, locked or damaged.
    """
    try:
        source = text.decode("utf-16" if text.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig")
    except UnicodeDecodeError:
        return False
    return (
        "\0" not in source
        and bool(_FOREIGN.search(source))
        and not _says_build(found[1] for found in _KEY.finditer(source))
    )


def _says_build(keys: Iterable[str]) -> bool:
    names = {key.strip().casefold() for key in keys}
    if "packyoke" in names or len({SECTIONS[name] for name in names & SECTIONS.keys()}) >= 2:
        return True
    like = [name for name in names if name.startswith("p") and 6 <= len(name) <= 10]
    if not like:
        return False
    from difflib import get_close_matches  # only for files that are no builds at first sight

    return bool(get_close_matches("packyoke", like, 1, 0.85))
