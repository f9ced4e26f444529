"""The walk through the tree of a build file: every text is typed, checked and placed by its row of the field table.

Nothing stops at the first mistake; the forms that are more than a number or a word are in `forms`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from collections.abc import Mapping as Items
from typing import Any

from packyoke.buildfile.reading.alike import fold, nearest
from packyoke.buildfile.reading.bounds import out_of_bounds, thousands_asked
from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.doubted import QUESTIONED, questioned
from packyoke.buildfile.reading.slips import mistake
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Borrowed, Finding, Span, clean
from packyoke.core.letters import of_another_script
from packyoke.core.paths import PartPath, heading_of
from packyoke.core.units import Kind, QuantityError, Reading, read, show_pair
from packyoke.model import Key, Stated
from packyoke.model.field import ABSENT, DEFAULT, Field
from packyoke.model.fields import file_name

MOST_MISTAKES = 200
INFINITE = float("inf")
INSTEAD = "A line of the build counts instead."
_TWO_NUMBERS = re.compile(r"([0-9.]+) *(?:V)? *(?:-|–|to|\.\.) *([0-9.]+) *([A-Za-z]{1,5})").fullmatch

ReadValue = Callable[["Reader", "DraftPart", Node, "Slot", str], None]


class Slot:
    """One key that a mapping may have: how its value is read, and the keys inside it when that is a mapping."""

    __slots__ = (
        "also",
        "attr",
        "children",
        "example",
        "field",
        "high",
        "key",
        "kind",
        "low",
        "questioned",
        "read",
        "short",
        "words",
    )

    def __init__(self, key: str) -> None:
        self.key = key
        self.example = f"{key}: {{ }}"
        self.children: Slots = {}
        self.short: Slot | None = None
        self.read: ReadValue = read_nested
        self.field: Field | None = None
        self.kind: Kind | None = None
        self.attr = ""
        self.also: tuple[str, ...] = ()
        self.low, self.high = -INFINITE, INFINITE
        self.words: dict[str, Any] = {}
        self.questioned = False

    def take(self, field: Field, read_value: ReadValue, kind: Kind | None) -> None:
        self.field, self.read, self.kind, self.attr, self.also = field, read_value, kind, field.attr, field.also
        self.example = f"{self.key}: {field.example}"
        self.questioned = field.path in QUESTIONED
        self.words = {word: word for word in field.words} | {fold(word): word for word in field.words}
        if field.low is not None and field.high is not None:  # a hair of room, so that a bound itself passes
            self.low, self.high = field.low - abs(field.low) * 1e-9, field.high + abs(field.high) * 1e-9


Slots = dict[str, Slot]


class Spans(Items[str, Span]):
    """Where the lines of a part stand, worked out from the tree only when somebody asks."""

    __slots__ = ("_nodes",)

    def __init__(self, nodes: dict[str, Node]) -> None:
        self._nodes = nodes

    def __getitem__(self, attr: str) -> Span:
        return self._nodes[attr].span

    def __iter__(self) -> Iterator[str]:
        return iter(self._nodes)

    def __len__(self) -> int:
        return len(self._nodes)

    def __repr__(self) -> str:
        return repr(dict(self))


class DraftPart:
    """A part while it is being read: its attributes so far, and where they stand."""

    __slots__ = ("name", "path", "span", "spans", "values")

    def __init__(self, name: str, path: PartPath, span: Span) -> None:
        self.name, self.path, self.span = name, path, span
        self.values: dict[str, Any] = {}
        self.spans: dict[str, Node] = {}

    def head(self) -> dict[str, Any]:
        return {"name": self.name, "path": self.path, "span": self.span, "spans": Spans(self.spans)}


class Reader:
    """One file on its way from the tree to the model; collects mistakes, guesses and what was not written as such."""

    def __init__(self, document: Document, today: str | None = None) -> None:
        self.lines = document.lines
        self._slips = document.mistakes
        self.today = today
        self.findings: list[Finding] = []
        self.guesses: dict[Key, Any] = {}
        self.stated: list[Stated] = []
        self.items: dict[PartPath, str] = {}
        self.shop_file = ""
        self.beside = ""
        self.names: dict[str, dict[str, str]] = {}
        self.paths: dict[str, PartPath] = {}
        self.contacts: dict[str, tuple[str, str | None]] = {}
        self.new_families: dict[str, str] = {}
        self._told: set[tuple[Span, str]] = set()

    def tell(self, span: Span, path: str, message: str, do: str = "", why: str = "") -> None:
        """Note a mistake. Copied lines are read again with each copy: the same mistake is told once."""
        if (span, message) in self._told or len(self.findings) >= MOST_MISTAKES:
            return
        self._told.add((span, message))
        why = " ".join(filter(None, (why, self._taken_over(span))))
        self.findings.append(mistake(self.lines, span, message, do, why, path))

    def _taken_over(self, span: Span) -> str:
        """Which line of the shop file is meant, or takes part (`beside`): it may have to be mended there."""
        if isinstance(span, Borrowed):
            return f"This line is from the shop file, {span.origin}. {INSTEAD}"
        return f"Lines beside it are from the shop file, {self.beside}. {INSTEAD}" if self.beside else ""

    def mistakes(self) -> list[Finding]:
        """All that is wrong with the file, in its order.

        A slip in the YAML leaves odd values where it happened: there, what is said of the slip is enough.
        """
        odd = [finding for finding in self.findings if not any(_left_by(slip, finding) for slip in self._slips)]
        return sorted(self._slips + odd, key=lambda finding: finding.span or Span(1, 1, 1, 1))

    def fill(self, draft: DraftPart, entries: Collection[tuple[Scalar, Node]], slots: Slots, where: str) -> None:
        """Read every line of a mapping into a part."""
        for key, node in entries:
            slot = slots.get(key.text)
            if slot is None:
                self.unknown_key(key, slots, where, entries)
                continue
            told = len(self.findings)
            slot.read(self, draft, node, slot, where)
            if len(self.findings) > told:
                self._say_what_was_meant(told, node, slot)

    def _say_what_was_meant(self, told: int, node: Node, slot: Slot) -> None:
        """Where one text cannot be read and yet is known to people, say what to type in its place."""
        from packyoke.buildfile.reading.spoken import instead  # for mistakes only, and a start-up would wait for it

        found = instead(slot, node) if isinstance(node, Scalar) else None
        if found is not None:
            first = self.findings[told]
            why = self._taken_over(node.span)
            self.findings[told:] = [mistake(self.lines, node.span, found.message, found.do, why, first.field)]

    def unknown_key(
        self, key: Scalar, known: Iterable[str], where: str, entries: Iterable[tuple[Scalar, Node]] = ()
    ) -> None:
        """A line with a name that the file does not know, of those in `entries`."""
        from packyoke.buildfile.reading.other_names import instead_of  # for mistakes only, as `meant` is

        if len(self.findings) >= MOST_MISTAKES:  # each looks at all others: ten thousand of them took half a minute
            return
        lines = {each.text: node.text if isinstance(node, Scalar) and node.text else None for each, node in entries}
        do = instead_of(key.text, list(known), heading_of(where), lines)
        self.tell(key.span, where or "build", f'no field "{clean(key.text)}"', do, of_another_script(key.text))

    def keep(self, draft: DraftPart, slot: Slot, node: Node, value: Any, guess: bool = False) -> None:
        """Store a value. A guess is set apart, so that nothing passes by it; one that replaces a default counts.

        Nothing asks for that one, nor for what may well not be there: they are told.
        """
        draft.spans[slot.attr] = node
        if guess:
            self.guesses[Key(draft.path, slot.attr)] = value
            if slot.field is not None and slot.field.need in (DEFAULT, ABSENT):
                said = f"{file_name(slot.field)} {clean(node.text) if isinstance(node, Scalar) else 'as written'}"
                said += ", which no check counts" if slot.field.need == ABSENT else ""
                self.stated.append(Stated(draft.path, said, "a guess in the file"))
            if slot.field is None or slot.field.need != DEFAULT:
                return
        draft.values[slot.attr] = value

    def scalar(self, node: Node, path: str, example: str) -> Scalar | None:
        """The node, if it is a text with something in it."""
        if not isinstance(node, Scalar):
            what = "a list" if isinstance(node, Sequence) else "a mapping"
            self.tell(start_of(node), path, f"{what}, where one value is needed", f"Write for example  {example}")
            return None
        if not node.text or node.nothing:
            self.tell(node.span, path, "nothing here", "Write a value, or leave the line out when it is not known.")
            return None
        return node

    def mapping(self, node: Node, path: str, example: str, do: str = "") -> Mapping | None:
        """The node, if it is a mapping; if it is something else, `do` says what to write in its place."""
        if isinstance(node, Mapping):
            return node
        empty = isinstance(node, Scalar) and (not node.text or node.nothing)
        found = "nothing here" if empty else f"{shown_text(node)}, it needs its own indented lines"
        do = do if do and not empty else f"Write for example  {example}" + ("  or leave the line out." if empty else "")
        self.tell(start_of(node) if isinstance(node, Sequence) else node.span, path, found, do)
        return None

    def quantity(self, node: Scalar, kind: Kind, path: str) -> Reading | None:
        """A quantity, or None after a mistake."""
        try:
            return read(node.text, kind)
        except QuantityError as error:
            self.tell(within(node, error.start, error.end), path, error.message, error.advice)
            return None


def _left_by(slip: Finding, finding: Finding) -> bool:
    """Whether a mistake is only what a slip in the YAML left on its line, in the same field."""
    if slip.span is None or finding.span is None or slip.span.line != finding.span.line:
        return False
    return finding.field.startswith(slip.field) or slip.field.startswith(finding.field)


def within(node: Scalar, start: int, end: int) -> Span:
    """The place of some characters of a text; the whole text when it is quoted or runs over lines."""
    span = node.span
    if not node.plain or span.line != span.end_line:
        return span
    return Span(span.line, span.column + start, span.line, span.column + max(end, start + 1))


def start_of(node: Node) -> Span:
    """Where a list or mapping begins: its first line only, so that the caret stays short."""
    span = node.span
    return span if span.line == span.end_line else Span(span.line, span.column, span.line, span.column + 1)


def shown_text(node: Node) -> str:
    if isinstance(node, Scalar):
        return f'"{clean(node.text)}"'
    return "a list" if isinstance(node, Sequence) else "a mapping"


def guessed(text: str) -> tuple[str, bool]:
    """A text without the question mark that marks a guess."""
    if text.endswith("?"):
        return text[:-1].rstrip(), True
    return text, False


def read_nested(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A mapping inside a part; a single value stands for its first field where the file format says so."""
    path = line_in(where, slot.key)
    if isinstance(node, Mapping):
        reader.fill(draft, node.entries, slot.children, path)
    elif slot.short is not None:
        slot.short.read(reader, draft, node, slot.short, where)
    elif isinstance(node, Scalar) and "min" in slot.children and (two := _TWO_NUMBERS(node.text)):
        do = f"Write  {{min: {two[1]} {two[3]}, max: {two[2]} {two[3]}}}"
        reader.tell(node.span, path, f'"{clean(node.text)}" is two numbers', do)
    else:
        inside = ", ".join(f"{key}: {child.field.example}" for key, child in slot.children.items() if child.field)
        reader.mapping(node, path, f"{slot.key}: {{{inside}}}")


def read_quantity(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    kind = slot.kind
    assert kind is not None
    if not isinstance(node, Scalar) or not node.text or node.nothing:
        reader.scalar(node, line_in(where, slot.key), slot.example)
        return
    try:
        reading = read(node.text, kind)
    except QuantityError as error:
        path = line_in(where, slot.key)
        reader.tell(within(node, error.start, error.end), path, error.message, error.advice)
        return
    if "." in node.text and thousands_asked(reader, node, slot, kind, line_in(where, slot.key)):
        return
    if not slot.low <= reading.value <= slot.high:
        out_of_bounds(reader, node, slot, kind, reading.value, line_in(where, slot.key))
    elif slot.questioned and _asked(reader, node, slot, where):
        return
    elif reading.second is not None:
        _keep_pair(reader, draft, node, slot, where, reading)
    elif reading.guess:
        reader.keep(draft, slot, node, reading.value, True)
    else:
        draft.values[slot.attr] = reading.value
        draft.spans[slot.attr] = node


def _asked(reader: Reader, node: Scalar, slot: Slot, where: str) -> bool:
    """Whether a value that can be read is hardly meant: then it is asked about."""
    found = questioned(slot, node.text)
    if found is not None:
        reader.tell(node.span, line_in(where, slot.key), found.message, found.do)
    return found is not None


def _keep_pair(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str, reading: Reading) -> None:
    """Store both figures of `60 A for 10 s`."""
    field, kind, second = slot.field, slot.kind, reading.second
    assert field is not None
    assert kind is not None
    assert second is not None
    if field.second and not field.second[0] <= second <= field.second[1]:
        low, high = (show_pair(reading.value, end, kind) for end in field.second)
        reader.tell(
            node.span,
            line_in(where, slot.key),
            f"{shown_text(node)} is out of bounds",
            f"It is between  {low}  and  {high}.",
        )
        return
    reader.keep(draft, slot, node, reading.value, reading.guess)
    draft.spans[field.also[0]] = node
    if reading.guess:
        reader.guesses[Key(draft.path, field.also[0])] = second
    else:
        draft.values[field.also[0]] = second


def read_word(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if isinstance(node, Scalar):
        value = slot.words.get(node.text)
        if value is not None:
            draft.values[slot.attr] = value
            draft.spans[slot.attr] = node
            return
    text = reader.scalar(node, line_in(where, slot.key), slot.example)
    if text is None:
        return
    word, guess = guessed(text.text)
    value = slot.words.get(fold(word))
    if value is None:
        unknown_word(reader, text, slot, where)
    else:
        # "unknown ?" guesses nothing: it is no value that the field may have.
        reader.keep(draft, slot, node, value, guess and value != "unknown")


def unknown_word(reader: Reader, node: Scalar, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    names = list((slot.field.words if slot.field else ()) or slot.words)
    near = nearest(node.text, names)
    do = (f"Did you mean  {near} ?  " if near else "") + f"Known: {', '.join(names)}"
    reader.tell(node.span, path, f'"{clean(node.text)}" is not one of the words here', do, of_another_script(node.text))


def read_text(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example) if not (isinstance(node, Scalar) and not node.plain) else node
    if text is None:
        return
    length = len(text.text) if text.text.strip() else 0
    if not slot.low <= length <= slot.high:
        low, high = (int(bound) for bound in (slot.field.low, slot.field.high))  # type: ignore[union-attr,arg-type]
        reader.tell(text.span, path, f"{length} characters", f"Between {low} and {high} characters are needed.")
    else:
        # What is not seen would act on a terminal: it is shown as such wherever the text is printed.
        reader.keep(draft, slot, node, clean(text.text, len(text.text)))
