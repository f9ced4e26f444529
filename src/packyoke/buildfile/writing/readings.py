"""Readings of a finished build put into the text of its file: everything that stands there stays as it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

_ROOT = re.compile(r"([ ]*)[\"']?packyoke[\"']?[ ]*:")
_PLAIN = re.compile(r"[A-Za-z0-9_](?:[A-Za-z0-9_. /-]*[A-Za-z0-9_])?\Z").match
_OVER = re.compile(r"\.\.\.(?:\s|\Z)").match
"""The line that ends a document: behind it nothing is read."""
_SPACE_OR_COMMENT = re.compile(r"[ \t]*(?:#.*)?\Z").match


class CannotInsert(Exception):
    """The file's `measured:` is written in a way in which nothing can be added."""


class Entry(NamedTuple):
    """One reading in the words of the file; `at` is empty for one without load."""

    date: str
    part: str
    what: str
    value: str
    at: str = ""
    inlet: str = ""

    def __str__(self) -> str:
        inlet = f", inlet: {_quoted(self.inlet)}" if self.inlet else ""
        at = f", at: {self.at}" if self.at else ""
        return f"{{date: {self.date}, part: {_quoted(self.part)}{inlet}, what: {self.what}, value: {self.value}{at}}}"


def with_readings(text: str, entries: Sequence[Entry]) -> str:
    """The text of a build file with readings at the end of its `measured:`, which is added where there is none.

    Raises CannotInsert where that is neither a list below the key nor one in brackets.
    """
    mark = "\r\n" if "\r\n" in text else "\n"
    lines = text.replace("\r\n", "\n").split("\n")
    root = next((found[1] for line in lines if (found := _ROOT.match(line))), "")
    key = re.compile(rf"{root}[\"']?measured[\"']?[ ]*:(.*)\Z")
    at = next((n for n, line in enumerate(lines) if key.match(line)), None)
    if at is None:
        over = next((n for n, line in enumerate(lines) if _OVER(line)), len(lines))
        end = max((n for n, line in enumerate(lines[:over]) if line.strip()), default=-1) + 1
        more = [f"{root}measured:", *(f"{root}  - {entry}" for entry in entries)]
        return mark.join([*lines[:end], *more, *(lines[end:] or [""])])
    found = key.match(lines[at])
    rest = found[1] if found else ""
    if _SPACE_OR_COMMENT(rest):
        last, indent = _items_below(lines, at, root)
        lines[last + 1 : last + 1] = [f"{indent}- {entry}" for entry in entries]
        return mark.join(lines)
    if rest.lstrip().startswith("["):
        return mark.join(lines[:at] + _in_brackets("\n".join(lines[at:]), entries).split("\n"))
    raise CannotInsert("measured: is neither a list below the key nor one in brackets")


def _items_below(lines: Sequence[str], at: int, root: str) -> tuple[int, str]:
    """The last line that belongs to a list below its key, and how far its items are indented."""
    last, indent = at, ""
    for n in range(at + 1, len(lines)):
        line = lines[n]
        if _SPACE_OR_COMMENT(line):
            continue
        begins = line[: len(line) - len(line.lstrip())]
        item = line.lstrip().startswith("-")
        if len(begins) < len(root) or (len(begins) == len(root) and not item):
            break
        if item and last == at:
            indent = begins
        last = n
    return last, indent if last > at else f"{root}  "


def _in_brackets(text: str, entries: Sequence[Entry]) -> str:
    """A list in brackets with more items before the bracket that closes it."""
    depth, quote, n, bare = 0, "", text.index("["), 0
    while n < len(text):
        character = text[n]
        if quote:
            if character == "\\" and quote == '"':
                n += 1
            elif character == quote:
                quote = ""
                bare = n
        elif character in "\"'" and text[n - 1] in " [{,:\n":
            quote = character
        elif character == "#" and text[n - 1] in " \t\n":
            n = text.find("\n", n)
            if n < 0:
                break
        elif character in "[{":
            depth += 1
            bare = n
        elif character in "]}":
            depth -= 1
            if depth == 0:
                joint = "" if bare == text.index("[") else " " if text[bare] == "," else ", "
                return text[: bare + 1] + joint + ", ".join(map(str, entries)) + text[bare + 1 :]
            bare = n
        elif not character.isspace():
            bare = n
        n += 1
    raise CannotInsert("the brackets of measured: do not close")


def _quoted(name: str) -> str:
    if _PLAIN(name):
        return name
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
