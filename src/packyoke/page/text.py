"""A page as text for a terminal: 80 columns whatever the names, the answer first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packyoke.page.cells import WIDTH, cells, isolated, lines, table_rows, wrapped
from packyoke.page.page import Block, Fact, Facts, Figure, FindingBlock, Lines, Page, Steps, Table, Ticks, Verdict

INDENT = 6
LABEL = 13
COLOURS = {"stop": "31;1", "open": "35;1", "caution": "33;1", "note": "36", "good": "32;1"}
MARK, TICK = "!", "[ ]"


def page_text(page: Page, *, colour: bool = False) -> str:
    """One page."""
    found = [*_head(page, colour)]
    for block in page.blocks:
        found += ["", *_block(block, colour)]
    for each in page.signatures:
        found += ["", "", "_" * (WIDTH // 2), *wrapped(each)]
    if page.closing:
        found += ["", *lines(page.closing, 0, 0)]
    return "\n".join(line.rstrip() for line in found) + "\n"


def _head(page: Page, colour: bool) -> Iterator[str]:
    if page.verdict is not None:
        yield from _loud(page.verdict, colour)
    else:
        yield from wrapped(page.title, 0, INDENT)
    about = page.title if page.verdict is not None and page.title.partition(":")[0] not in page.verdict.text else ""
    yield from lines(filter(None, (*page.lead, about, page.source)), INDENT, INDENT)


def _loud(said: Verdict | FindingBlock, colour: bool) -> list[str]:
    """The word in its colour, then the sentence."""
    if not said.word:
        return wrapped(said.text, 0, INDENT)
    word = f"{said.word:<{INDENT}}" if len(said.word) < INDENT else f"{said.word}  "
    first, *rest = _after(word, said.text)
    return [painted(first, said.word, said.level) if colour else first, *rest]


def _after(word: str, text: str) -> list[str]:
    """A text behind a word, further lines indented."""
    found = wrapped(text, len(word), INDENT)
    return [word + found[0][len(word) :], *found[1:]] if found else [word.rstrip()]


def painted(line: str, word: str, level: str) -> str:
    """The line with its first `word` in the colour of a level."""
    return line.replace(word, f"\x1b[{COLOURS[level]}m{word}\x1b[0m", 1) if level in COLOURS else line


def _block(block: Block, colour: bool) -> Iterator[str]:
    if isinstance(block, FindingBlock):
        yield from _loud(block, colour)
        yield from _facts(block.facts, INDENT)
        return
    yield from _heading(block.heading, block.about)
    if isinstance(block, Facts):
        yield from _facts(block.facts, 2)
    elif isinstance(block, Lines):
        yield from lines(block.lines)
    elif isinstance(block, Ticks):
        yield from lines((f"{TICK} {text}" for text in block.lines), 2, 6)
    elif isinstance(block, Steps):
        for number, step in enumerate(block.steps, 1):
            yield from wrapped(f"{number}  {step}", 2, 5)
    elif isinstance(block, Table):
        yield from _table(block, colour)
        yield from lines(block.notes)
    elif isinstance(block, Figure):
        for at, line in enumerate(block.text):
            yield painted(line, MARK, "stop") if colour and at in block.marked else line


def _table(block: Table, colour: bool) -> Iterator[str]:
    """The lines of a table, rows over a limit with a mark in front of them."""
    first = 1 if any(block.heads) else 0
    for at, row in enumerate(table_rows(block.rows, block.align, block.heads), -first):
        for number, line in enumerate(row):
            if at in block.marked and number == 0:
                marked = MARK + line[1:]
                yield painted(marked, MARK, "stop") if colour else marked
            else:
                yield line


def _heading(heading: str, about: str) -> list[str]:
    if not heading:
        return []
    return wrapped(f"{heading.upper()}  ({about})" if about else heading.upper(), 0, 2)


def _facts(facts: Iterable[Fact], indent: int) -> Iterator[str]:
    rows = [fact for fact in facts if fact.text]
    wide = max((cells(fact.label) for fact in rows), default=0) + 1
    wide = max(wide, LABEL - INDENT) if indent == INDENT else wide + 1
    for label, text in rows:
        first, *rest = wrapped(text, indent + wide, indent + wide)
        gap = " " * (wide - cells(label))
        yield f"{' ' * indent}{isolated(label)}{gap}{first[indent + wide :]}"
        yield from rest
