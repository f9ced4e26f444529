"""Where in the text of a build file something can be put: behind the last line of a part, inside its braces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from packyoke.core.findings import Span

OPENING, CLOSING = "{[", "}]"


class CannotWrite(Exception):
    """The file is written in a way that nothing can be put into; the text says where."""


class Insertion(NamedTuple):
    """A text to be put in at an offset."""

    offset: int
    text: str


class Text:
    """The text of a file with the offsets of its lines. Lines and columns count from 1, as in spans."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.lines = text.splitlines(keepends=True)
        self.starts = [0]
        for line in self.lines:
            self.starts.append(self.starts[-1] + len(line))
        self.newline = "\r\n" if self.lines and self.lines[0].endswith("\r\n") else "\n"

    def offset(self, line: int, column: int) -> int:
        return self.starts[line - 1] + column - 1

    def value_start(self, key: Span) -> int:
        """The offset of the first character of a key's value; blanks, line ends and comments are passed over."""
        at = self.offset(key.end_line, key.end_column)
        at = self.text.index(":", at) + 1
        while at < len(self.text):
            if self.text[at] in " \t\r\n":
                at += 1
            elif self.text[at] == "#" and self.text[at - 1] in " \t\r\n":
                at = self._line_end(at)
            else:
                break
        return at

    def in_braces(self, key: Span) -> bool:
        return self.text[self.value_start(key) : self.value_start(key) + 1] == "{"

    def closing(self, start: int) -> int:
        """The offset of the brace that closes the one at `start`, past quotes, comments and inner braces."""
        depth, at, token = 0, start, True
        while at < len(self.text):
            here = self.text[at]
            if here in "'\"" and token:
                at = self._quote_end(at)
            elif here == "#" and self.text[at - 1] in " \t\r\n":
                at = self._line_end(at)
                continue
            elif here in OPENING:
                depth += 1
            elif here in CLOSING:
                depth -= 1
                if depth == 0:
                    return at
            if here not in " \t\r\n":
                token = here in OPENING + ",:"
            at += 1
        raise CannotWrite("a brace is not closed")

    def last_inside(self, start: int) -> int:
        """The offset behind the last thing that stands inside the braces that open at `start`."""
        last, at, end = start + 1, start + 1, self.closing(start)
        token = True
        while at < end:
            here = self.text[at]
            if here == "#" and self.text[at - 1] in " \t\r\n":
                at = self._line_end(at)
                continue
            if here in "'\"" and token:
                at = self._quote_end(at)
            if here not in " \t\r\n":
                last, token = at + 1, here in OPENING + ",:"
            at += 1
        return last

    def block_end(self, key: Span) -> int:
        """The last line of what belongs to a key: further in than the key, or inside its braces."""
        if self.in_braces(key):
            return self.line_of(self.closing(self.value_start(key)))
        last = max(key.end_line, self.line_of(min(self.value_start(key), max(len(self.text) - 1, 0))))
        if last > key.end_line and self.indent(last) < key.column:
            last = key.end_line
        for number in range(last + 1, len(self.lines) + 1):
            stripped = self.lines[number - 1].strip()
            if not stripped or stripped.startswith("#"):
                continue
            if self.indent(number) < key.column:
                break
            last = number
        return last

    def list_end(self, first: Span) -> int:
        """The offset behind the last line of a list with a dash to each of its lines, the first of them given."""
        last = first.line
        for number in range(first.line + 1, len(self.lines) + 1):
            stripped = self.lines[number - 1].strip()
            if stripped.startswith("- ") and self.indent(number) == first.column - 1:
                last = number
            elif stripped and not stripped.startswith("#"):
                break
        return self.starts[last - 1] + len(self.lines[last - 1].rstrip("\r\n"))

    def indent(self, line: int) -> int:
        """Blanks at the start of a line."""
        text = self.lines[line - 1]
        return len(text) - len(text.lstrip(" "))

    def line_of(self, offset: int) -> int:
        return next((number for number, start in enumerate(self.starts[1:], 1) if offset < start), len(self.lines))

    def after_line(self, line: int, added: Sequence[str]) -> Insertion:
        """Whole lines to be put in behind a line."""
        end = self.starts[min(line, len(self.lines))]
        whole = self.newline.join(added) + self.newline
        broken = end > 0 and not self.text[:end].endswith(("\n", "\r"))
        return Insertion(end, (self.newline if broken else "") + whole)

    def _line_end(self, at: int) -> int:
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end

    def _quote_end(self, at: int) -> int:
        """The offset of the mark that closes a quote; two in a row stand for one, a backslash takes the next along."""
        mark = self.text[at]
        at += 1
        while at < len(self.text):
            if mark == '"' and self.text[at] == "\\":
                at += 1
            elif self.text[at] == mark:
                if mark == "'" and self.text[at + 1 : at + 2] == "'":
                    at += 1
                else:
                    return at
            at += 1
        raise CannotWrite("a quote is not closed")


def with_all(text: str, puts: Sequence[Insertion]) -> str:
    """The text with everything put in; what is put in at one place keeps its order."""
    pieces, last = [], 0
    for put in sorted(puts, key=lambda each: each.offset):
        pieces += [text[last : put.offset], put.text]
        last = put.offset
    return "".join([*pieces, text[last:]])
