"""A page as Markdown, for a ticket or a page: the same content as the text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from packyoke.page.page import Block, Facts, Figure, FindingBlock, Lines, Page, Steps, Table, Ticks

WRITE = "________"
"""A line to write on."""


def pages_markdown(pages: Iterable[Page]) -> str:
    """All pages of a run."""
    return "\n".join(page_markdown(page) for page in pages)


def page_markdown(page: Page) -> str:
    """One page."""
    found = [f"# {cell(page.title)}", ""]
    if page.verdict is not None:
        word = f"**{cell(page.verdict.word)}** " if page.verdict.word else ""
        found += [f"{word}{cell(page.verdict.text)}", ""]
    found += _points((*page.lead, page.source, page.made))
    for block in page.blocks:
        found += _block(block)
    found += _points(f"{each}: {WRITE}" for each in page.signatures)
    return "\n".join([*found, *(cell(said) + "\n" for said in page.closing)])


def cell(text: str) -> str:
    """Text that stays text inside a Markdown table or line, whatever somebody called their bike."""
    held = text.replace("\\", "\\\\").replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    for mark in "|*_`[]#":
        held = held.replace(mark, "\\" + mark)
    return " ".join(held.split())


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A table; the cells are escaped here and nowhere else. Nobody reads the padding, so it goes."""
    if not rows:
        return []
    from tabulate import tabulate  # takes as long to load as a build to check, and only Markdown needs it

    made = tabulate([[cell(each) for each in row] for row in rows], [*heads], "github", disable_numparse=True)
    first, _, *rest = (re.sub(r" {2,}", " ", line) for line in made.splitlines())
    return [first, "|" + "---|" * len(heads), *rest, ""]


def _points(texts: Iterable[str]) -> list[str]:
    found = [f"- {cell(text)}" for text in texts if text]
    return [*found, ""] if found else []


def _block(block: Block) -> list[str]:
    if isinstance(block, FindingBlock):
        head = f"## {cell(block.word)}: {cell(block.text)}" if block.word else f"## {cell(block.text)}"
        return [head, "", *_points(f"{label}: {text}" for label, text in block.facts if text)]
    about = f" ({cell(block.about)})" if block.about else ""
    found = [f"## {cell(sentence(block.heading))}{about}", ""] if block.heading else []
    if isinstance(block, Facts):
        found += _points(f"{label}: {text}" for label, text in block.facts if text)
    elif isinstance(block, Lines):
        found += _points(block.lines)
    elif isinstance(block, Ticks):
        found += [*(f"- [ ] {cell(text)}" for text in block.lines), ""]
    elif isinstance(block, Steps):
        found += [*(f"{number}. {cell(step)}" for number, step in enumerate(block.steps, 1)), ""]
    elif isinstance(block, Table):
        rows = [[f"! {row[0]}", *row[1:]] if at in block.marked else row for at, row in enumerate(block.rows)]
        found += [*table(block.heads, rows), *_points(block.notes)]
    elif isinstance(block, Figure):
        drawn = [line.replace("```", "'''") for line in block.text]
        found += ["```text", *drawn, "```", ""] if drawn else [cell(block.words), ""]
    return found


def sentence(heading: str) -> str:
    """A heading with one capital, abbreviations left alone."""
    return heading[:1].upper() + heading[1:]
