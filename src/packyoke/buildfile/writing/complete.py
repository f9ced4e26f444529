"""A completed build file: the user's own lines with what was planned put in between, never written anew."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any, Protocol

from packyoke.buildfile.reading.document import Document, parse
from packyoke.buildfile.writing.places import CannotWrite, Insertion, Text, with_all
from packyoke.buildfile.writing.words import end_words, fuse_words, length_words, run_words, text_word, value_words
from packyoke.core.paths import in_section, is_joiner, name_of
from packyoke.model import Build, Joiner, Lead, Part

WIDEST = 120
"""Columns up to which something is put behind what stands on a line already."""
IN_BRACES = ("packs.", "joiners.", "leads.", "accessories.", "chargers.", "controller")
BEFORE = {"joiners": ("packs", "racks", "bike"), "leads": ("joiners", "packs")}
"""The sections behind which a new section is put."""


class FilledField(Protocol):
    """A field of a part of the file that has a value now."""

    @property
    def path(self) -> str: ...
    @property
    def attr(self) -> str: ...
    @property
    def value(self) -> Any: ...


class AddedPart(Protocol):
    """A part that the file has not: a joiner `like` another one or an `item` of the shelf, or a lead."""

    @property
    def path(self) -> str: ...
    @property
    def like(self) -> str: ...
    @property
    def item(self) -> str: ...


class Completion(Protocol):
    """What a plan adds to a build."""

    @property
    def build(self) -> Build: ...
    @property
    def filled(self) -> Sequence[FilledField]: ...
    @property
    def new(self) -> Sequence[AddedPart]: ...


def completed_text(text: str, build: Build, plan: Completion) -> str:
    """The text of a build file with a plan written into it.

    Parameters
        text: content of the file as it was read [-]
        build: the build that was read from it [-]
        plan: what is added to it, a plan of that build [-]
    Returns
        the same text with lines put in; comments, order and spelling stay [-]
    Raises
        CannotWrite: the file is written so that nothing can be put in, for example all of it in one pair of braces.
    """
    return _Writer(Text(text), build, plan).done()


class _Writer:
    def __init__(self, text: Text, build: Build, plan: Completion) -> None:
        self.text, self.build, self.plan = text, build, plan
        document = parse(text.text, build.file)
        assert isinstance(document, Document)  # a build was read from it
        start = document.root.span
        if document.lines[start.line - 1][start.column - 1] == "{":
            raise CannotWrite("the whole file stands in braces")
        self.indent = start.column - 1
        self.puts: list[Insertion] = []

    def done(self) -> str:
        for path, fields in groupby(self.plan.filled, key=lambda each: each.path):
            self._fill(self.build.part(path), list(fields))
        for section in ("joiners", "leads"):
            new = [each for each in self.plan.new if in_section(each.path, section)]
            if new:
                self._add(section, new)
        return with_all(self.text.text, self.puts)

    def _fill(self, part: Part, fields: Sequence[FilledField]) -> None:
        words = [f"{key}: {value}" for key, value in (value_words(each.attr, each.value) for each in fields)]
        if part.path.startswith(IN_BRACES) and self.text.in_braces(part.span):
            self._into_braces(self.text.value_start(part.span), words, part.span.column - 1)
            return
        column = self._inner_column(part)
        self.puts.append(self.text.after_line(self.text.block_end(part.span), [" " * column + each for each in words]))

    def _inner_column(self, part: Part) -> int:
        """Blanks before the lines of a part that is written below its name."""
        at = self.text.value_start(part.span)
        line = self.text.line_of(at)
        if line > part.span.end_line and self.text.indent(line) > part.span.column - 1:
            return self.text.indent(line)
        return part.span.column + 1

    def _into_braces(self, start: int, words: Sequence[str], column: int) -> None:
        text = self.text.text
        at = self.text.last_inside(start)
        before = "" if text[at - 1] in "{," else ", "
        before = " " if text[at - 1] == "," else before
        added = before + ", ".join(words)
        line_start = text.rfind("\n", 0, at) + 1
        rest = text.find("\n", at)
        width = (len(text) if rest < 0 else rest) - line_start + len(added)
        if width > WIDEST:
            added = before.rstrip() + self.text.newline + " " * (column + 2) + ", ".join(words)
        self.puts.append(Insertion(at, added))

    def _add(self, section: str, new: Sequence[AddedPart]) -> None:
        parts: Mapping[str, Part] = getattr(self.build, section)
        if parts:
            last = max(parts.values(), key=lambda part: part.span)
            braces = self._section_braces(section)
            if braces is not None:
                words = [each for part in new for each in self._lines(part, 0, flat=True)]
                self._into_braces(braces, words, self.indent)
                return
            column = last.span.column - 1
            lines = [line for each in new for line in self._lines(each, column)]
            self.puts.append(self.text.after_line(self.text.block_end(last.span), lines))
            return
        braces = self._section_braces(section)
        if braces is not None:
            self._into_braces(braces, [each for part in new for each in self._lines(part, 0, flat=True)], self.indent)
            return
        lines = [line for each in new for line in self._lines(each, self.indent + 2)]
        header = ["", f"{' ' * self.indent}{section}:"]
        self.puts.append(self.text.after_line(self._behind(section), header + lines))

    def _section_braces(self, section: str) -> int | None:
        """The offset of the brace in which a whole section stands, where it does."""
        found = re.search(rf"^ {{{self.indent}}}[\"']?{section}[\"']?\s*:\s*(?={{)", self.text.text, re.MULTILINE)
        return found.end() if found is not None else None

    def _behind(self, section: str) -> int:
        """The line behind which a new section goes."""
        for other in BEFORE[section]:
            parts: Mapping[str, Part] = getattr(self.build, other) if other != "bike" else {"bike": self.build.bike}
            placed = [part for part in parts.values() if part.span.line > 1]
            if placed:
                return self.text.block_end(max(placed, key=lambda part: part.span).span)
        return len(self.text.lines)

    def _lines(self, new: AddedPart, column: int, *, flat: bool = False) -> list[str]:
        name = name_of(new.path)
        if is_joiner(new.path):
            words = joiner_words(self.plan.build.joiners[name], new)
        else:
            words = lead_words(self.plan.build.leads[name])
        first = f"{' ' * column}{text_word(name)}: {{{', '.join(words)}}}"
        if flat or len(first) <= WIDEST:
            return [first]
        lines = [f"{' ' * column}{text_word(name)}:"]
        line = ""
        for number, word in enumerate(words):
            more = word + ("," if number < len(words) - 1 else "}")
            start = f"{' ' * (column + 2)}{'{' if number == 0 else ' '}"
            if not line:
                line = start + more
            elif len(line) + 1 + len(more) <= WIDEST:
                line += f" {more}"
            else:
                lines.append(line)
                line = start + more
        return [*lines, line]


def joiner_words(joiner: Joiner, new: AddedPart) -> list[str]:
    """A joiner that is like another one or an item of the shelf, and where it sits."""
    words = [f"like: {text_word(new.like)}" if new.like else f"part: {text_word(new.item)}"]
    if joiner.owner is not None:
        words.append(f"owner: {joiner.owner}")
    if joiner.place_name is not None:
        words.append(f"place: {text_word(joiner.place_name)}")
    if joiner.mount is not None:
        words.append(f"mount: {joiner.mount}")
    return words


def lead_words(lead: Lead) -> list[str]:
    """A lead, whole; how it is laid is always said, for the file may have a default of its own."""
    words = [f"from: {text_word(lead.source)}", f"to: {text_word(lead.target)}"]
    if lead.inlet is not None:
        words.append(f"inlet: {lead.inlet}")
    if lead.length_m is not None:
        words.append(f"length: {length_words(lead.length_m)}")
    if lead.gauge is not None:
        words.append(f"gauge: {value_words('gauge', lead.gauge)[1]}")
    if lead.insulation is not None:
        words.append(f"insulation: {text_word(lead.insulation)}")
    words.append(f"run: {run_words(lead.run)}")
    if all(lead.ends):
        words.append(f"ends: [{', '.join(end_words(end) for end in lead.ends if end is not None)}]")
    if lead.fuse.presence not in (None, "none"):
        words.append(f"fuse: {fuse_words(lead.fuse)}")
    return words
