"""Packs that are like one that comes off: its lines are written out at the first of them, the others are like that."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from packyoke.buildfile.reading.copies import merged
from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar, parse
from packyoke.buildfile.writing.places import Text
from packyoke.buildfile.writing.words import text_word
from packyoke.core.findings import Span

IN_FLOW = set(",[]{}#\n")
"""What a text without quotes has none of where it stands inside braces."""


def written_out(text: str, gone: Collection[str]) -> str:
    """The file with no pack like one of those that come off.

    :param text: content of the file, which was read without a mistake
    :param gone: names of the packs that come off
    """
    document = parse(text, "")
    assert isinstance(document, Document)
    body = Text(text)
    edits = sorted(_edits(body, document.root, {each.casefold() for each in gone}), reverse=True)
    for start, end, put in edits:
        text = text[:start] + put + text[end:]
    return text


def _edits(body: Text, root: Mapping, gone: Collection[str]) -> Iterator[tuple[int, int, str]]:
    """Start, end and the text that stands there instead."""
    packs = next((node for key, node in root.entries if key.text == "packs" and isinstance(node, Mapping)), None)
    parts = {key.text: node for key, node in packs.entries if isinstance(node, Mapping)} if packs is not None else {}
    heirs: dict[str, str] = {}
    for name, part in parts.items():
        said = next((node for key, node in part.entries if key.text == "like" and isinstance(node, Scalar)), None)
        base = said.text.casefold() if said is not None else ""
        if said is None or base not in gone or name.casefold() in gone:
            continue
        if base in heirs:
            yield *_places(body, said.span, said.span), text_word(heirs[base])
            continue
        heirs[base] = name
        key = next(key for key, _ in part.entries if key.text == "like")
        lines = list(_lines(part, next(node for other, node in parts.items() if other.casefold() == base)))
        start, end = _places(body, key.span, said.span)
        if body.in_braces(_key_of(packs, name)):
            yield start, end, ", ".join(lines)
        else:  # what is said behind the line is said of it, and goes with it
            end = body.starts[said.span.line - 1] + len(body.lines[said.span.line - 1].rstrip("\r\n"))
            yield start, end, (body.newline + " " * (key.span.column - 1)).join(lines)


def _key_of(packs: Mapping | None, name: str) -> Span:
    assert packs is not None
    return next(key.span for key, _ in packs.entries if key.text == name)


def _places(body: Text, first: Span, last: Span) -> tuple[int, int]:
    return body.offset(first.line, first.column), body.offset(last.end_line, last.end_column)


def _lines(part: Mapping, base: Mapping) -> Iterator[str]:
    """The lines that a part takes over from another one, as lines of its own."""
    own = [(key, node) for key, node in part.entries if key.text != "like"]
    yield from (f"part: {_flow(node)}" for key, node in base.entries if key.text == "part")
    yield from (f"{key.text}: {_flow(node)}" for key, node in merged(own, base.entries)[len(own) :])


def _flow(node: Node) -> str:
    """A value as it stands inside braces."""
    if isinstance(node, Scalar):
        as_it_is = node.plain and not IN_FLOW & {*node.text} and ": " not in node.text
        return node.text if as_it_is else text_word(node.text)
    if isinstance(node, Mapping):
        return f"{{{', '.join(f'{text_word(key.text)}: {_flow(value)}' for key, value in node.entries)}}}"
    return f"[{', '.join(map(_flow, node.items))}]"
