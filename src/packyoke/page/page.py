"""A page: everything that a command has to show, in the order in which it is read, whatever it is written as.

One page is written as text, Markdown and HTML by the three files beside this one. They compute nothing and leave
nothing out: what stands in one stands in all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

from packyoke.core.findings import Fixed

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

Level = Literal["stop", "open", "caution", "note", "good", "plain"]
"""How loud something is said: a stop is a filled band, open a hatched one, a caution an outline."""


class Verdict(NamedTuple):
    """The answer in one word and a sentence: `STOP`, `Skerry mail: do not build it like this`."""

    level: Level
    word: str
    text: str


class Fact(NamedTuple):
    """A short label and what it says."""

    label: str
    text: str


class Facts(NamedTuple):
    """Labels with what they say, under a heading."""

    heading: str
    facts: tuple[Fact, ...]
    about: str = ""


class FindingBlock(NamedTuple):
    """One thing found: how loud, where and what, then its facts (found, limit, why, do, rule)."""

    level: Level
    word: str
    text: str
    facts: tuple[Fact, ...]


class Lines(NamedTuple):
    """Sentences under a heading, each a paragraph in text and a point in a list elsewhere."""

    heading: str
    lines: tuple[str, ...]
    about: str = ""


class Steps(NamedTuple):
    """Sentences in the order in which they are done."""

    heading: str
    steps: tuple[str, ...]
    about: str = ""


class Ticks(NamedTuple):
    """Sentences with a box each, to be ticked with a pen."""

    heading: str
    lines: tuple[str, ...]
    about: str = ""


class Bar(NamedTuple):
    """A bar under a cell and under the `across` - 1 cells right of it, filled up to `solid` and hatched up to `to`.

    Both are shares of the one scale of all bars of a table.
    """

    solid: float
    to: float
    across: int = 1


class Scale(NamedTuple):
    """What the bars of a table mean: the figures at their ticks, and words for what is filled and what is hatched."""

    ticks: str
    solid: str
    hatched: str


class Table(NamedTuple):
    """Rows under heads; `align` has l or r for each column. Rows named in `marked` are over a limit.

    `bars` are drawn at (row, column) where something can be drawn; what they show stands in the cells as figures.
    `plain`: columns of plain characters that are such bars themselves, left out where bars are drawn.
    """

    heading: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    about: str = ""
    notes: tuple[str, ...] = ()
    marked: frozenset[int] = frozenset()
    bars: Mapping[tuple[int, int], Bar] = MappingProxyType({})
    scale: Scale | None = None
    plain: frozenset[int] = frozenset()


class Figure(NamedTuple):
    """A drawing: as lines of plain characters, and as SVG where there is one; `words` say it to those who hear it."""

    heading: str
    text: tuple[str, ...]
    words: str
    about: str = ""
    drawings: tuple[ET.Element, ...] = ()
    marked: frozenset[int] = frozenset()
    """Lines of the text that are over a limit."""
    alike: bool = False
    """Whether the drawings say all that the text says: on paper the text is left out then."""


Block = Facts | FindingBlock | Lines | Steps | Ticks | Table | Figure


def filled(*blocks: Block) -> tuple[Block, ...]:
    """The blocks that have something in them: an empty list has no heading either."""
    return tuple(block for block in blocks if _inside(block))


def _inside(block: Block) -> object:
    if isinstance(block, Lines | Ticks):
        return block.lines
    if isinstance(block, Table):
        return block.rows or block.notes
    return block.steps if isinstance(block, Steps) else True


class Page(Fixed):
    """One page of one command about one build."""

    title: str
    verdict: Verdict | None = None
    lead: tuple[str, ...] = ()
    """What stands under the verdict: what to do now, what it is good for."""
    blocks: Sequence[Block] = ()
    signatures: tuple[str, ...] = ()
    """Who signs below all blocks, a line for each."""
    closing: tuple[str, ...] = ()
    """The cautions at the foot of the page."""
    source: str = ""
    """The file that it is about."""
    made: str = ""
    """What made it: versions, fingerprint; at the foot of pages that are kept."""
