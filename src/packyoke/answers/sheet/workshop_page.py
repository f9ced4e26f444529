"""The work sheet for the bench: everything decided beforehand, as HTML to print, as text and as Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

from packyoke.answers.drawn import pictures
from packyoke.answers.sheet.labels_page import LABELS, add_labels, label_lines
from packyoke.answers.sheet.labels_page import STYLE as LABEL_STYLE
from packyoke.making.labels import Labels
from packyoke.page.elements import add_scroll
from packyoke.page.html import LONGEST, add, new_page, written
from packyoke.page.letters import wide
from packyoke.page.page import Block, Lines, Page, Table, Ticks, filled
from packyoke.page.wiring import Wiring


class PenTable(NamedTuple):
    """Rows with columns for the pen behind them: `reads` take a reading, `ticks` a tick.

    `same`: what stood in every row alike, said once over them.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    reads: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ()
    same: str = ""


Data = Mapping[str, Any]
Rows = list[tuple[tuple[str, ...], Data]]
"""Each row in words, and its figures for programs: names as in the file, SI units."""


class Section(NamedTuple):
    """A heading, sentences, steps with a box each, a table, and what is to be known about it.

    `signed` has a line for name and day below it. `long`: its cells or steps are whole sentences, across the page.
    `name`, `test` and `data` are for programs: what the section is, the number of a test, and its rows with numbers in
    SI units.
    """

    title: str
    lines: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    table: PenTable | None = None
    notes: tuple[str, ...] = ()
    signed: bool = False
    long: bool = False
    name: str = ""
    test: int | None = None
    data: tuple[Data, ...] = ()

    def with_rows(
        self,
        heads: tuple[str, ...],
        rows: Iterable[tuple[tuple[str, ...], Data]],
        reads: tuple[str, ...] = (),
        ticks: tuple[str, ...] = (),
    ) -> Section:
        """The section with a table; `rows`: each in words, and its figures."""
        found = [*rows]
        words = tuple(cells for cells, _ in found)
        return self._replace(table=PenTable(heads, words, reads, ticks), data=tuple(data for _, data in found))

    @property
    def short(self) -> bool:
        """Whether it is not parted between two columns or pages."""
        few = self.table is not None and len(self.table.rows) <= MOST_TOGETHER
        return self.signed and few and not self.steps

    @property
    def wide(self) -> bool:
        """Whether it goes across the page; on paper the others stand in two columns."""
        if self.table is None or not self.table.rows or self.long:
            return self.long
        lines = MOST_LINES if len(self.table.rows) > FEW_ROWS else FEW_ROWS_LINES
        names, *others = zip(*self.table.rows, strict=True)
        words_mm = _needed_mm(names, lines, SHORT_NAME, True) + sum(_needed_mm(each, lines) for each in others)
        pens = ((self.table.reads, READ_MM), (self.table.ticks, TICK_MM))
        pens_mm = sum(_pen_mm(head, least_mm) for heads, least_mm in pens for head in heads)
        return words_mm + pens_mm > HALF_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkshopSheet:
    """All that the bench needs. `head` is the shop, the ticket and the day; `first` stands in a frame on top."""

    title: str
    head: tuple[str, ...]
    basis: tuple[str, ...]
    first: tuple[str, ...]
    drawing: Wiring
    sections: tuple[Section, ...]
    labels: Labels
    signatures: tuple[str, ...]
    cautions: str
    fingerprint: str


INCH_MM, INCH_PT = 25.4, 72.0
DRAWN, FIRST, SIGN, NAMES = "The harness", "Before anything else", "Handed on", "Names"
SAME = "The same in every row:"
LEAST_ALIKE = 2
BEFORE_DRAWING, BEFORE_PARTS = 1, 3
"""Sections that stand over the drawing: what the check found; the packs and what is prepared, too, where it has several
parts; and the names, where they have signs."""
SIGNED = "Done and tested by, day"
WRITE, TICK, LINE_TO_WRITE = "________", "[ ]", "_" * 30

STYLE = """
:root { color-scheme: only light; }
@page { margin: 7mm 10mm 11mm;
  @bottom-left { content: %s; font: 8.5pt Arial, Helvetica, "Liberation Sans", sans-serif; }
  @bottom-right { content: "page " counter(page) " of " counter(pages);
    font: 8.5pt Arial, Helvetica, "Liberation Sans", sans-serif; } }
* { box-sizing: border-box; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font: 9.4pt/1.15 Arial, Helvetica, "Liberation Sans", sans-serif; color: #000; background: #fff; margin: 0; }
main { max-width: 190mm; margin: 4mm auto; overflow-wrap: anywhere; }
.head { display: flex; justify-content: space-between; gap: 1em; border-bottom: 1.5pt solid #000; margin: 0; }
.head span:last-child { flex: none; }
h1 { font-size: 1.6em; line-height: 1.15; margin: .2em 0 .15em; }
h2 { font-size: 1.12em; margin: 0 0 .15em; break-after: avoid; }
p { margin: 0 0 .15em; break-inside: avoid; }
section { margin: 0 0 .45em; } .wide { margin-top: .3em; } .lead:not(:has(+ .lead)) { break-after: avoid; }
.new { break-before: page; margin: 0; }
.last, .notes { break-before: avoid; } .notes { break-inside: avoid; } .whole { break-inside: avoid; }
ul { margin: .1em 0 .2em; padding-left: 1.15em; } li { margin: 0 0 .1em; break-inside: avoid; }
.first { border: 1.5pt solid #000; padding: .3em .7em .2em; }
ol.steps { list-style: none; margin: 0 0 .2em; padding: 0; counter-reset: step; }
ol.steps li { counter-increment: step; position: relative; padding: 0 0 0 10.5mm; min-height: 4.4mm;
  margin: 0 0 .05em; }
ol.steps li::before { content: counter(step); position: absolute; left: 0; width: 3.5mm; text-align: right; }
.box { display: inline-block; width: 3.4mm; height: 3.4mm; border: 1pt solid #000; vertical-align: -.4mm; }
td .box { vertical-align: middle; width: 3.2mm; height: 3.2mm; }
ol.steps .box { position: absolute; left: 5.2mm; top: .3mm; }
table { border-collapse: collapse; width: 100%%; margin: .15em 0 .3em; font-size: 9pt; line-height: 1.12; }
tr { break-inside: avoid; }
th, td { overflow-wrap: break-word; } .long { overflow-wrap: anywhere; } tbody tr:last-child { break-before: avoid; }
th, td { text-align: left; vertical-align: top; padding: .1em .3em; border: .5pt solid #000; }
thead th { border-bottom: 1.25pt solid #000; vertical-align: bottom; font-weight: 600; }
tbody th { font-weight: 600; }
.wide tbody th { min-width: 20mm; }
.read { width: 10.5mm; } .wide .read { width: 15mm; }
.tick { width: 8mm; text-align: center; } td.tick { vertical-align: middle; line-height: 0; }
.held { white-space: nowrap; }
.pen { text-decoration: underline 1.2pt; text-decoration-skip-ink: none; text-underline-offset: 1pt; }
.scroll { overflow-x: auto; } .scroll svg { display: block; }
.sign { margin: 1.5em 0 .1em; padding: 0; list-style: none; display: flex; gap: 8mm; break-inside: avoid; }
.sign li { flex: 1; border-top: .75pt solid #000; padding-top: .1em; font-size: 9pt; }
.sign.one { break-before: avoid; }
.last .sign { flex-flow: row wrap; gap: 7mm 8mm; } .last .sign li { flex: 1 0 auto; min-width: 50mm; }
.foot { font-size: 9pt; border-top: .5pt solid #000; padding-top: .3em; margin: 0; }
@media screen { .sign.one { margin-left: 45%%; } }
@media screen and (max-width: 40rem) { main { padding: 0 .8rem; } .head, .head span { display: block; }
  td, tbody th { min-width: 4.5rem; } .read { min-width: 3rem; } .tick, .held { min-width: 0; } }
@media print { main { margin: 0; padding-right: 1px; max-width: none; columns: 2; column-gap: 5mm; }
  .wide, .head, h1, .basis { column-span: all; }
  .wide ol.steps, .wide ul.notes:has(li + li) { columns: 2; column-gap: 5mm; break-inside: avoid; }
  /* Under a heading that must not stand alone browsers part a step rather than move both; a line they do not part. */
  ol.steps li:first-child { display: inline-block; width: 100%%; vertical-align: top; }
  .made { display: none; }
  .scroll { overflow: visible; } .scroll svg { max-width: 100%%; height: auto; break-inside: avoid; } }
"""

COLUMN_MM, READ_MM, TICK_MM, HALF_MM = 13.0, 10.5, 8.0, 92.5
"""The least that a column of words, of readings and of ticks needs, and how wide half a page is."""
TABLE_PT, SIDES_MM = 9.0, 2.2
FEW_ROWS, FEW_ROWS_LINES, MOST_LINES = 8, 4, 2
"""Letters of a table, what stands beside the words of a cell, and how many lines a cell of half a page may have: more
where it has few rows."""
MOST_TOGETHER = 6
"""Tables of so many rows are not parted over two pages."""
SHORT, SHORT_NAME = 10, 14
"""Cells of so few letters are not broken: `6 mm`, `controller`; nor names in front of a row: `2 south lead`."""


def _needed_mm(cells: Sequence[str], lines: int, short: int = 0, bold: bool = False) -> float:
    """How wide a column is whose cells keep to a few lines; short cells are not broken, nor words."""
    return max(_cell_mm(text, lines, short or SHORT, bold, COLUMN_MM) for text in cells)


def _cell_mm(text: str, lines: int, short: int, bold: bool, least_mm: float) -> float:
    whole = wide(text, TABLE_PT, bold)
    longest = max((wide(word, TABLE_PT, bold) for word in text.split()), default=0.0)
    points = whole if len(text) <= short else max(longest, whole / lines)
    return max(least_mm, points * INCH_MM / INCH_PT + SIDES_MM)


def _pen_mm(head: str, least_mm: float) -> float:
    """How wide a column for the pen is: its head may have any number of lines."""
    return max(_cell_mm(word, 1, 0, True, least_mm) for word in head.split())


def _told_once(section: Section) -> Section:
    """The section without the columns in which every row says the same: that is said once, over the rows."""
    table = section.table
    if table is None or section.long or len(table.rows) < LEAST_ALIKE:
        return section
    alike = [at for at in range(1, len(table.heads)) if len({row[at] for row in table.rows}) == 1]
    first, left = table.rows[0], [at for at in range(len(table.heads)) if at not in alike]
    told = "; ".join(f"{table.heads[at]}: {first[at]}" for at in alike if first[at])
    folded = table._replace(
        heads=tuple(table.heads[at] for at in left),
        rows=tuple(tuple(row[at] for at in left) for row in table.rows),
        same=f"{SAME} {told.removesuffix('.')}." if told else "",
    )
    return section._replace(table=folded)


def workshop_html(sheet: WorkshopSheet) -> str:
    """Some pages of A4 or US Letter; no scripts, nothing from outside."""
    html, main = new_page(sheet.title, STYLE % _css_text(f"{sheet.title[:60]} · {sheet.fingerprint}") + LABEL_STYLE)
    head = ET.SubElement(main, "p", {"class": "head"})
    for each in sheet.head:
        add(head, "span", each)
    add(main, "h1", sheet.title)
    for line in sheet.basis:
        add(main, "p", line, class_="basis")
    frame = ET.SubElement(main, "section", {"class": "first whole wide"})
    add(frame, "h2", FIRST)
    _list(frame, sheet.first)
    drawn = pictures(sheet.drawing)
    before = BEFORE_DRAWING if len(drawn) == 1 else BEFORE_PARTS
    before += any(section.title == NAMES for section in sheet.sections)
    for at, section in enumerate(map(_told_once, sheet.sections)):
        if at == before:
            _drawing(main, drawn)
        _section(main, section)
    last = ET.SubElement(main, "section", {"class": "whole wide last"})
    add(last, "h2", SIGN)
    _list(last, sheet.signatures, "sign")
    foot = add(last, "p", f"{sheet.cautions} ", class_="foot")
    add(foot, "span", sheet.fingerprint, class_="made")  # on paper it stands at the foot of every page
    labels = ET.SubElement(main, "section", {"class": "new wide"})
    add(labels, "h2", LABELS)
    add_labels(labels, sheet.labels)
    return written(html)


def _drawing(main: ET.Element, drawn: Sequence[ET.Element]) -> None:
    section = ET.SubElement(main, "section", {"class": "wide" if len(drawn) > 1 else "whole wide"})
    add(section, "h2", DRAWN)
    for at, picture in enumerate(drawn, 1):
        add_scroll(section, DRAWN if len(drawn) == 1 else f"{DRAWN}, part {at} of {len(drawn)}").append(picture)


def _css_text(text: str) -> str:
    """A string of a style sheet, whatever the text holds: all but letters, figures and spaces by their number."""
    plain = (each if each.isascii() and (each.isalnum() or each == " ") else f"\\{ord(each):06x} " for each in text)
    return f'"{"".join(plain)}"'


def _list(parent: ET.Element, texts: Sequence[str], kind: str = "") -> None:
    found = ET.SubElement(parent, "ul", {"class": kind} if kind else {})
    for text in texts:
        add(found, "li", text)


def _section(main: ET.Element, section: Section) -> None:
    kinds = ["wide"] * section.wide + ["whole"] * section.short
    parent = ET.SubElement(main, "section", {"class": " ".join(kinds)} if kinds else {})
    add(parent, "h2", section.title)
    for line in section.lines:
        add(parent, "p", line, class_="lead")
    if section.steps:
        steps = ET.SubElement(parent, "ol", {"class": "steps"})
        for step in section.steps:
            item = ET.SubElement(steps, "li")
            add(item, "span", "", class_="box")
            add(item, "span", step)
    if section.table is not None:
        if section.table.same:
            add(parent, "p", section.table.same, class_="lead")
        _table(parent, section.title, section.table)
    if section.notes:
        _list(parent, section.notes, "notes")
    if section.signed:
        _list(parent, (SIGNED,), "sign one")


def _table(parent: ET.Element, title: str, table: PenTable) -> None:
    found = ET.SubElement(
        add_scroll(parent, title), "table", {"class": "whole"} if len(table.rows) <= MOST_TOGETHER else {}
    )
    heads = ET.SubElement(ET.SubElement(found, "thead"), "tr")
    for head in table.heads:
        add(heads, "th", head, scope="col")
    for head in table.reads:
        add(heads, "th", head, scope="col", class_="read")
    for head in table.ticks:
        add(heads, "th", head, scope="col", class_="tick")
    body = ET.SubElement(found, "tbody")
    for row in table.rows:
        line = ET.SubElement(body, "tr")
        add(line, "th", row[0], scope="row", **_kept(row[0], SHORT_NAME))
        for text in row[1:]:
            add(line, "td", text, **_kept(text))
        for _ in table.reads:
            ET.SubElement(line, "td", {"class": "read"})
        for _ in table.ticks:
            add(ET.SubElement(line, "td", {"class": "tick"}), "span", "", class_="box")


def _kept(text: str, short: int = SHORT) -> dict[str, str]:
    """A short cell is not broken; a word longer than a column may be."""
    if len(text) <= short:
        return {"class": "held"}
    return {"class": "long"} if max(map(len, text.split())) > LONGEST else {}


def workshop_page(sheet: WorkshopSheet) -> Page:
    """The same for a terminal or a ticket."""
    return Page(
        title=sheet.title,
        lead=(*sheet.head, *sheet.basis),
        blocks=filled(
            Lines(FIRST, sheet.first),
            Lines(DRAWN, (sheet.drawing.words,)),
            *(block for section in map(_told_once, sheet.sections) for block in _blocks(section)),
            Lines(LABELS, tuple(label_lines(sheet.labels))),
        ),
        signatures=sheet.signatures,
        closing=(f"{sheet.cautions} {sheet.fingerprint}",),
    )


def _blocks(section: Section) -> Iterator[Block]:
    """A section: sentences, steps to tick, a table with room for the pen, notes; the heading stands over the first."""
    notes = (*section.notes, *([f"{SIGNED}: {LINE_TO_WRITE}"] if section.signed else []))
    found: list[Lines | Ticks | Table] = [
        Lines("", section.lines),
        Ticks("", tuple(f"{number}  {step}" for number, step in enumerate(section.steps, 1))),
    ]
    if section.table is not None:
        table = section.table
        pen = (*(WRITE,) * len(table.reads), *(TICK,) * len(table.ticks))
        heads = (*table.heads, *table.reads, *table.ticks)
        found.append(Lines("", (table.same,) if table.same else ()))
        found.append(Table("", heads, tuple((*row, *pen) for row in table.rows), "l" * len(heads)))
    found = [block for block in (*found, Lines("", notes)) if filled(block)]
    for at, block in enumerate(found):
        yield block._replace(heading=section.title) if at == 0 else block
