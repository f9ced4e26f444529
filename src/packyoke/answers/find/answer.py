"""Which stored builds use a part: every line of a file that names it, for a recall or a changed rating."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Sequence
from collections.abc import Mapping as Items
from typing import NamedTuple

from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar
from packyoke.core.field_paths import keys_of, line_in

Stocked = Items[str, Items[str, Mapping]]
"""The lines of a shop file's shelf, by section and item."""


KIND_OF_WIRE = "all_leads.kind"
"""The one line beside `part` that says an item of the shelf."""


class Hit(NamedTuple):
    """One line of a build that names what is looked for."""

    file: str
    line: int
    column: int
    path: str
    text: str


def pattern(word: str) -> re.Pattern[str]:
    """A word as people spell it: without case, with or without blanks, hyphens and underscores between its letters."""
    letters = [re.escape(letter) for letter in word if letter not in " -_"]
    joined = "[ _-]?".join(letters)
    return re.compile(rf"(?<![A-Za-z0-9.]){joined}(?![A-Za-z0-9]|\.[0-9])", re.I)


def hits(document: Document, words: tuple[str, ...], shelf: Stocked | None = None) -> list[Hit]:
    """The lines of one build that name any of the words, in the order of the file.

    A part that is `like` another one, or an item of the `shelf`, has all that those have: its line names them.
    """
    patterns = [pattern(word) for word in words]
    found = [
        Hit(document.file, node.span.line, node.span.column, path, node.text)
        for path, node in _texts(document.root, "")
        if any(each.search(node.text) for each in patterns)
    ]
    found += _items(document, shelf or {}, patterns, {hit.path for hit in found})
    return found + _likes(document, found)


def _items(
    document: Document, shelf: Stocked, patterns: Sequence[re.Pattern[str]], told: Container[str]
) -> Iterator[Hit]:
    """The parts that are an item of the shop's shelf of which a line there has a hit."""
    for path, node in _texts(document.root, ""):
        section, *rest = keys_of(path)
        if path == KIND_OF_WIRE:
            section = "wires"
        elif rest[-1:] != ["part"] or len(rest) > 2:
            continue
        if path in told:
            continue
        item = shelf.get("controllers" if section == "controller" else section, {}).get(node.text.casefold())
        for _, text in _texts(item, "") if item is not None else ():
            if any(each.search(text.text) for each in patterns):
                said = f"{node.text} of the shop file: {text.text}"
                yield Hit(document.file, node.span.line, node.span.column, path, said)
                break


def _likes(document: Document, found: list[Hit]) -> list[Hit]:
    """The parts that copy a part with a hit, its name in capitals or not."""
    named = {(keys[0], keys[1].casefold()) for hit in found if len(keys := keys_of(hit.path)) > 2}
    more = []
    for path, node in _texts(document.root, ""):
        section, *rest = keys_of(path)
        if rest[-1:] != ["like"] or (section, rest[0].casefold()) in named:
            continue
        if (section, node.text.casefold()) in named:
            more.append(Hit(document.file, node.span.line, node.span.column, path, f"like {node.text}"))
    return more


def dates_before(document: Document, day: str) -> list[Hit]:
    """Readings and re-check dates of one build that are older than a day (ISO 8601)."""
    return [
        Hit(document.file, node.span.line, node.span.column, path, node.text)
        for path, node in _texts(document.root, "")
        if (path == "recheck" or (len(keys := keys_of(path)) > 1 and (keys[0], keys[-1]) == ("measured", "date")))
        and re.fullmatch(r"[0-9]{4}-[0-9]{2}(-[0-9]{2})?", node.text)
        and node.text < day
    ]


def _texts(node: Node, path: str) -> Iterator[tuple[str, Scalar]]:
    """Every text of a tree with its path; names of parts count as texts of their own."""
    if isinstance(node, Scalar):
        yield path, node
    elif isinstance(node, Mapping):
        for key, value in node.entries:
            inner = line_in(path, key.text)
            if path in ("packs", "joiners", "chargers", "accessories", "leads", "controllers"):
                yield inner, key
            yield from _texts(value, inner)
    else:
        for number, item in enumerate(node.items, 1):
            yield from _texts(item, line_in(path, str(number)))
