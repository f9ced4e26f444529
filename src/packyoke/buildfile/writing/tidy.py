"""A build file with its sections and fields in one order, that of the field table. Comments go with their lines."""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar
from packyoke.buildfile.reading.table import TABLES

Entries = Sequence[tuple[Scalar, Node]]
SECTIONS = (
    *(
        "packyoke",
        "name",
        "ticket",
        "status",
        "recheck",
        "region",
        "warmest",
        "coldest",
        "bike",
        "racks",
        "parts",
        "packs",
    ),
    *(
        "joiners",
        "all_leads",
        "leads",
        "controller",
        "controllers",
        "accessories",
        "chargers",
        "sets",
        "places",
        "runs",
    ),
    *("ride", "measured", "accept"),
)
"""In the order in which a bike is described: what it is, then from the packs to the controller, then its use."""
_ONE_PART = {"bike": "bike", "controller": "controllers", "all_leads": "all_leads"}


def tidied(text: str, document: Document) -> str:
    """The same lines in the order of the field table. What stands in braces, and the order of parts, stays.

    :param text: content of the file
    :param document: the tree that was read from it
    """
    lines = text.splitlines(keepends=True)
    if lines and not lines[-1].endswith(("\n", "\r")):
        lines[-1] += lines[0][len(lines[0].rstrip("\r\n")) :] or "\n"  # a line ends as the others do
    entries = document.root.entries
    first = entries[0][0].span.line - 1 if entries else 0
    return "".join(lines[:first] + _ordered(lines, entries, first, len(lines), SECTIONS, ""))


def _ordered(
    lines: list[str], entries: Entries, start: int, end: int, order: Sequence[str] | None, section: str
) -> list[str]:
    """The lines from `start` to `end`, which hold these entries, in an order; None keeps the order of the file."""
    begins = [key.span.line - 1 for key, _ in entries]
    if len(set(begins)) < len(begins) or any(begin < start for begin in begins):
        return lines[start:end]
    ends = [_last(lines, begin, after) for begin, after in zip(begins, [*begins[1:], end], strict=True)]
    chunks: list[tuple[int, int, list[str]]] = []
    from_line = start
    for place, ((key, node), begin, last) in enumerate(zip(entries, begins, ends, strict=True)):
        own = _inside(lines, key, node, begin, last, section)
        rank = order.index(key.text) if order is not None and key.text in order else place if order is None else 999
        chunks.append((rank, place, lines[from_line:begin] + own))
        from_line = last
    chunks.sort(key=lambda chunk: chunk[:2])
    return [line for _, _, chunk in chunks for line in chunk] + lines[from_line:end]


def _inside(lines: list[str], key: Scalar, node: Node, begin: int, last: int, section: str) -> list[str]:
    """The lines of one entry, with the order of what stands below it."""
    below = isinstance(node, Mapping) and node.entries and node.entries[0][0].span.line - 1 > begin
    if not isinstance(node, Mapping) or not below or _braces(lines, node):
        return lines[begin:last]
    name = key.text
    if not section:
        inner = _ONE_PART.get(name)
        order = [*TABLES[inner]] if inner else None
        below_section = "part" if inner else name
    elif section in TABLES and section != "part":
        order, below_section = [*TABLES[section]], "part"
    else:
        return lines[begin:last]
    return [lines[begin], *_ordered(lines, node.entries, begin + 1, last, order, below_section)]


def _braces(lines: list[str], node: Mapping) -> bool:
    span = node.span
    return lines[span.line - 1][span.column - 1 : span.column] == "{"


def _last(lines: list[str], begin: int, after: int) -> int:
    """The line behind the last one that says something; what follows it belongs to the next entry."""
    last = after
    while last > begin + 1 and (not lines[last - 1].strip() or lines[last - 1].lstrip().startswith("#")):
        last -= 1
    return last
