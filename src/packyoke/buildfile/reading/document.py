"""A build file as a tree of texts with their places. The only user of yaml.

The tree is built from the events of the YAML parser and not by its constructor: nothing is converted, so `no`, `012`
and `1:30` stay what was typed, and nothing is followed, so aliases and tags are refused where they stand. Slips that
YAML swallows without a word (a decimal comma in braces, a number sign) are told here; `slips` has their wording.
"""

from __future__ import annotations

import re
from codecs import BOM_UTF16_BE, BOM_UTF16_LE, BOM_UTF32_BE, BOM_UTF32_LE
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    StreamEndEvent,
)

from packyoke.buildfile.reading import slips
from packyoke.buildfile.reading.slips import mistake
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Borrowed, Finding, Span, clean
from packyoke.core.letters import composed

__all__ = ["Document", "Mapping", "Node", "Scalar", "Sequence", "mistake", "parse"]

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

MOST_BYTES = 1_000_000
_MOST_LEVELS = 32
_MOST_NODES = 20_000
_MOST_CHARACTERS = 4096
_MOST_MISTAKES = 100
_NOT_IN_YAML = "[^\t\n\r -~\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
_HALF = re.compile("[\ud800-\udfff]")
_SUSPECT = re.compile(r"#(?<=[ \t:]#)\S|\t")  # a comment that may be none, or a tab: worth a second look
_MARKS = {"UTF-32": (BOM_UTF32_LE, BOM_UTF32_BE), "UTF-16": (BOM_UTF16_LE, BOM_UTF16_BE)}  # the one begins as the other
_FILE_START = Span(1, 1, 1, 1)
_NOTHING = ("", "~", "null", "Null", "NULL")


class _Placed:
    """Keeps the parser's marks and makes a Span of them only when asked: most places are never printed.

    `origin`: where the line stands, `shop.yaml:14`, when it was taken over from another file.
    """

    __slots__ = ("_end", "_start", "origin")
    _start: Any
    _end: Any
    origin: str

    @property
    def span(self) -> Span:
        start, end = self._start, self._end
        found = Span(start.line + 1, start.column + 1, end.line + 1, end.column + 1)
        return Borrowed.of(found, self.origin) if self.origin else found


class Scalar(_Placed):
    """A text as typed, its letters composed with their accents; `plain` when it had no quotes."""

    __slots__ = ("plain", "text")

    def __init__(self, text: str, start: Any, end: Any, plain: bool, origin: str = "") -> None:
        self.text = text
        self._start = start
        self._end = end
        self.plain = plain
        self.origin = origin

    @property
    def nothing(self) -> bool:
        """Whether YAML reads it as no value: an empty line or one of its words for that, without quotes."""
        return self.plain and self.text in _NOTHING


class Mapping(_Placed):
    """Names with their values, in the order of the file."""

    __slots__ = ("entries",)

    def __init__(self, start: Any, end: Any, origin: str = "") -> None:
        self._start, self._end, self.origin = start, end, origin
        self.entries: list[tuple[Scalar, Node]] = []


class Sequence(_Placed):
    """A list, in the order of the file."""

    __slots__ = ("items",)

    def __init__(self, start: Any, end: Any, origin: str = "") -> None:
        self._start, self._end, self.origin = start, end, origin
        self.items: list[Node] = []


Node = Scalar | Mapping | Sequence


@dataclass(slots=True)
class Document:
    """A file whose tree could be made: the tree, its lines for excerpts, and what was wrong on the way."""

    root: Mapping
    lines: list[str]
    file: str
    mistakes: list[Finding] = field(default_factory=list)


class _Stop(Exception):
    """Nothing more can be read after the last mistake."""


class _Builder:
    """One file on its way from events to a tree; collects what is wrong with it."""

    def __init__(self, loader: Any, lines: list[str], mistakes: list[Finding]) -> None:
        self.take = loader.get_event
        self.lines = lines
        self.mistakes = mistakes
        self.keys: list[str] = []
        self.nodes = 0
        self.levels = 0

    def path(self) -> str:
        return clean(line_in("", *self.keys), 120)

    def add(self, finding: Finding) -> None:
        self.mistakes.append(finding)
        if len(self.mistakes) >= _MOST_MISTAKES:
            raise _Stop

    def tell(self, span: Span, message: str, do: str) -> None:
        self.add(mistake(self.lines, span, message, do, "", self.path()))

    def document(self) -> Node | None:
        """The root of the only document, None if there is none."""
        root: Node | None = None
        while True:
            event = self.take()
            if isinstance(event, StreamEndEvent):
                return root
            if not isinstance(event, DocumentStartEvent):
                continue
            if root is not None:
                self.tell(
                    _span(event), "a second document starts here", "Put each build in a file of its own, without  ---"
                )
                raise _Stop
            root = self.node(self.take())

    def node(self, event: Any) -> Node:
        self.nodes += 1
        if self.nodes > _MOST_NODES:
            self.tell(
                _span(event), f"more than {_MOST_NODES} values in one file", "A build needs some hundred at most."
            )
            raise _Stop
        kind = event.__class__
        if kind is ScalarEvent:
            if event.anchor is not None or event.tag is not None or len(event.value) > _MOST_CHARACTERS:
                self.refuse(event)
            if event.style == '"' and _HALF.search(event.value):  # libyaml refuses them itself
                self.half(event.start_mark)
            return Scalar(composed(event.value), event.start_mark, event.end_mark, not event.style)
        if kind is AliasEvent:
            do = f'Write it out, or put it in quotes:  "*{clean(event.anchor)}"'
            self.tell(_span(event), "an alias (*) is not read", do)
            return Scalar("", event.start_mark, event.end_mark, False)
        if event.anchor is not None or event.tag is not None:
            self.refuse(event)
        if self.levels >= _MOST_LEVELS:
            self.tell(_span(event), f"nested deeper than {_MOST_LEVELS} levels", "A build needs six at most.")
            raise _Stop
        self.levels += 1
        node = self.mapping(event) if kind is MappingStartEvent else self.sequence(event)
        self.levels -= 1
        return node

    def refuse(self, event: Any) -> None:
        if event.anchor is not None:
            do = f'Write the value again, or use  like: NAME . A text with & needs quotes:  "&{clean(event.anchor)}"'
            self.tell(_span(event), "an anchor (&) is not read", do)
        if event.tag is not None:
            self.tell(
                _span(event), "a tag (!) is not read", "Leave it out, or put a text that starts with ! in quotes."
            )
        if len(getattr(event, "value", "")) > _MOST_CHARACTERS:
            self.tell(_span(event), f"a text of more than {_MOST_CHARACTERS} characters", "Shorten it.")

    def half(self, start: Any) -> None:
        """The first half of a character behind a place where there is one."""
        at, column = start.line, start.column
        while not (found := slips.HALF.search(self.lines[at], column)):
            at, column = at + 1, 0
        self.add(slips.half(self.lines, at, found.start()))
        raise _Stop

    def mapping(self, event: Any) -> Mapping:
        take, node, keys = self.take, self.node, self.keys
        mapping = Mapping(event.start_mark, event.end_mark)
        entries = mapping.entries
        braces = event.flow_style
        seen: dict[str, Scalar] = {}
        while True:
            event = take()
            if event.__class__ is MappingEndEvent:
                mapping._end = event.end_mark
                return mapping
            key = node(event)
            if key.__class__ is not Scalar:
                self.tell(key.span, "a list or a mapping cannot be a name", "Write  name: value")
                key = Scalar("", event.start_mark, event.end_mark, False)
            name = key.text
            keys.append(name)
            value = node(take())
            swallowed = False
            if value.__class__ is Scalar and value.plain:
                if ":" in value.text:
                    self.swallowed_line(key, value)
                elif braces and not value.text:
                    swallowed = self.swallowed_item(mapping, key)
            keys.pop()
            if not swallowed and (seen.setdefault(name.casefold(), key) is not key or name == "<<"):
                self.name(key, seen)
            entries.append((key, value))

    def sequence(self, event: Any) -> Sequence:
        sequence = Sequence(event.start_mark, event.end_mark)
        while True:
            event = self.take()
            if event.__class__ is SequenceEndEvent:
                sequence._end = event.end_mark
                return sequence
            sequence.items.append(self.node(event))

    def name(self, key: Scalar, seen: dict[str, Scalar]) -> None:
        if key.text == "<<" and key.plain:
            self.tell(key.span, "a merge key (<<) is not read", "Use  like: NAME  in a pack, joiner or lead.")
        first = seen.setdefault(key.text.casefold(), key)
        if first is not key:
            line = first.span.line
            do = f"First on line {line}. Keep one of them, or give the second its own name."
            self.tell(key.span, f'"{clean(key.text)}" is there twice', do)

    def swallowed_line(self, key: Scalar, value: Scalar) -> None:
        """A line like `volts:48` below a name is taken for text, alone or as the end of the text above."""
        for line in range(key.span.line, value.span.end_line):
            bare = slips.bare_line(self.lines, line, self.path())
            if bare:
                self.add(bare)

    def swallowed_item(self, mapping: Mapping, key: Scalar) -> bool:
        """In braces a name without a value: `continuous:25 A`, or what a decimal comma left over."""
        path = clean(line_in("", *self.keys[:-1]), 120)
        parts = re.match(r"([^:]+):(?!//)(\S.*)", key.text) if key.plain else None
        if parts:
            self.add(slips.no_space(self.lines, key.span, parts[1], parts[2], path, braces=True))
            return True
        before = mapping.entries[-1][1] if mapping.entries else None
        if not (isinstance(before, Scalar) and before.plain and before.text[-1:].isdigit() and key.text[:1].isdigit()):
            return False
        start, end = before.span, key.span
        if self.lines[start.end_line - 1][start.end_column - 1 : end.column - 1] != ",":
            return False
        span = Span(start.line, start.column, end.end_line, end.end_column)
        self.add(slips.comma_in_number(self.lines, span, before.text, key.text, path))
        return True

    def look_again(self, root: Node) -> None:
        """Number signs and tabs that YAML passes over, told where a text stands right beside them."""
        suspects = {line for line, text in enumerate(self.lines) if _SUSPECT.search(text)}
        for path, key, value in _texts(root, (), None):
            line, column = value.span.end_line - 1, value.span.end_column - 1
            if line not in suspects or not value.plain:
                continue
            if key and key.span.end_line == value.span.line == line + 1:
                place = self.lines[line].find("\t", key.span.end_column - 1, value.span.column - 1)
                if place >= 0:
                    self.add(slips.tab(self.lines, line, place, path))
            found = slips.comment(self.lines, line, column, key.text if key else "", value.text, path)
            if found:
                self.add(found)


def _span(event: Any) -> Span:
    start, end = event.start_mark, event.end_mark
    return Span(start.line + 1, start.column + 1, end.line + 1, end.column + 1)


def _texts(node: Node, path: tuple[str, ...], key: Scalar | None) -> Iterator[tuple[str, Scalar | None, Scalar]]:
    if isinstance(node, Scalar):
        yield clean(line_in("", *path), 120), key, node
    elif isinstance(node, Mapping):
        for name, value in node.entries:
            yield from _texts(value, (*path, name.text), name)
    else:
        for item in node.items:
            yield from _texts(item, path, None)


def parse(text: bytes | str, file: str) -> Document | list[Finding]:
    """The tree of a build file with its mistakes, or only mistakes where no tree could be made of it.

    :param text: content of the file; bytes must be UTF-8, a byte-order mark is passed over
    :param file: its name, as findings print it
    """
    try:
        data = text.encode() if isinstance(text, str) else text
        if len(data) > MOST_BYTES:
            return [
                mistake([], _FILE_START, "more than 1 MB", "A build file has some kilobytes. Is this the right one?")
            ]
        source = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return [_not_utf8(data, error)]
    except UnicodeEncodeError as error:
        return [_unseen(str(text), error.start)]
    if "\ufeff" in source:  # the parser passes over it without counting its column
        return [_unseen(source, source.index("\ufeff"))]
    lines = source.splitlines()
    mistakes: list[Finding] = []
    root: Node | None = None
    try:
        builder = _Builder(_Loader(source.encode()), lines, mistakes)
        root = builder.document()
        if root is not None and _SUSPECT.search(source):
            builder.look_again(root)
        if isinstance(root, Mapping):
            return Document(root, lines, file, _in_order(mistakes))
        if not mistakes:
            mistakes.append(_no_mapping(root, lines))
    except _Stop:
        pass
    except yaml.MarkedYAMLError as error:
        at, opened = _from_zero(error.problem_mark), _from_zero(error.context_mark)
        found = slips.syntax(lines, error.problem or "", at or opened or (0, 0), opened)
        if found.span not in [told.span for told in mistakes]:
            mistakes.append(found)
    except (yaml.YAMLError, ValueError):  # the second is what Python's own parser says to  \U00110000
        unseen = re.search(_NOT_IN_YAML, source)
        mistakes.append(_unseen(source, unseen.start() if unseen else 0))
    return _in_order(mistakes)


def _in_order(mistakes: list[Finding]) -> list[Finding]:
    return sorted(mistakes, key=lambda finding: finding.span or _FILE_START)


def _from_zero(mark: Any) -> tuple[int, int] | None:
    return (mark.line, mark.column) if mark else None


def _no_mapping(root: Node | None, lines: list[str]) -> Finding:
    if root is None or (isinstance(root, Scalar) and not root.text.strip()):
        return mistake(lines, _FILE_START, "the file is empty", "The shortest build starts with  packyoke: 1")
    bare = slips.bare_line(lines, root.span.line - 1) if isinstance(root, Scalar) else None
    what = "a list" if isinstance(root, Sequence) else "one text"
    return bare or mistake(lines, root.span, f"the file is {what}", "A build is lines of  name: value")


def _place(before: str) -> tuple[int, int]:
    """Line and column, from 1, of what follows a text."""
    lines = f"{before}|".splitlines()
    return len(lines), len(lines[-1])


def _unseen(text: str, start: int) -> Finding:
    line, column = _place(text[:start])
    span = Span(line, column, line, column + 1)
    return mistake(text.splitlines(), span, "a character that has no place in a text file", "Type the line anew.")


def _not_utf8(data: bytes, error: UnicodeDecodeError) -> Finding:
    text = data.decode("utf-8", "replace")
    line, column = _place(data[: error.start].decode("utf-8-sig", "replace"))
    span = Span(line, column, line, column + 1)
    what = next(
        (f"written in {name}" for name, marks in _MARKS.items() if data.startswith(marks)), "not written in UTF-8"
    )
    return mistake(text.splitlines(), span, what, "Save the file as UTF-8 in your editor.")
