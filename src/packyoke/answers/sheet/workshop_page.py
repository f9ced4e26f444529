"""The work sheet for the bench: everything decided beforehand, as HTML to print, as text and as Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from xml.etree import ElementTree as ET

from packyoke.answers.drawn import pictures
from packyoke.answers.sheet.labels_page import LABELS, add_labels, label_lines
from packyoke.answers.sheet.labels_page import STYLE as LABEL_STYLE
from packyoke.making.labels import Labels
from packyoke.page.elements import add_scroll
from packyoke.page.html import add, new_page, written
from packyoke.page.page import Block, Lines, Page, Ticks, filled
from packyoke.page.page import Table as PageTable
from packyoke.page.wiring import Wiring


class Table(NamedTuple):
    """Rows with columns for the pen behind them: `reads` take a reading, `ticks` a tick."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    reads: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ()


class Section(NamedTuple):
    """A heading, sentences, steps with a box each, a table, and what is to be known about it.

    `signed` has a line for name and day below it.
    """

    title: str
    lines: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    table: Table | None = None
    notes: tuple[str, ...] = ()
    signed: bool = False


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


DRAWN, FIRST, SIGN = "The harness", "Before anything else", "Handed on"
SIGNED = "Done and tested by, day"
WRITE, TICK, LINE_TO_WRITE = "________", "[ ]", "_" * 30

STYLE = """
:root { color-scheme: only light; }
@page { margin: 12mm 12mm 15mm;
  @bottom-left { content: %s; font: 8.5pt Arial, Helvetica, "Liberation Sans", sans-serif; }
  @bottom-right { content: "page " counter(page) " of " counter(pages);
    font: 8.5pt Arial, Helvetica, "Liberation Sans", sans-serif; } }
* { box-sizing: border-box; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font: 9.5pt/1.21 Arial, Helvetica, "Liberation Sans", sans-serif; color: #111; background: #fff; margin: 0; }
main { max-width: 186mm; margin: 4mm auto; overflow-wrap: anywhere; }
.head { display: flex; justify-content: space-between; gap: 1em; border-bottom: 1.5pt solid #111; margin: 0; }
.head span:last-child { flex: none; }
h1 { font-size: 1.6em; line-height: 1.15; margin: .25em 0 .2em; }
h2 { font-size: 1.15em; margin: 0 0 .2em; break-after: avoid; }
p { margin: 0 0 .2em; orphans: 2; widows: 2; }
section { margin: 0 0 .6em; } .lead { break-after: avoid; }
.new { break-before: page; } .whole { break-inside: avoid; }
ul { margin: .2em 0 .3em; padding-left: 1.25em; } li { margin: 0 0 .2em; break-inside: avoid; }
.first { border: 1.5pt solid #111; padding: .4em .7em; }
ol.steps { list-style: none; margin: 0 0 .3em; padding: 0; counter-reset: step; }
ol.steps li { counter-increment: step; position: relative; padding: 0 0 0 13mm; min-height: 5mm; margin: 0 0 .2em; }
ol.steps li::before { content: counter(step); position: absolute; left: 0; width: 5mm; text-align: right; }
.box { display: inline-block; width: 3.6mm; height: 3.6mm; border: 1pt solid #111; vertical-align: -.4mm; }
ol.steps .box { position: absolute; left: 7mm; top: .4mm; }
table { border-collapse: collapse; width: 100%%; margin: .2em 0 .4em; }
tr { break-inside: avoid; }
thead th { overflow-wrap: break-word; } tbody tr:last-child { break-before: avoid; }
th, td { text-align: left; vertical-align: top; padding: .14em .4em; border: .5pt solid #777; }
thead th { border-bottom: 1.25pt solid #111; vertical-align: bottom; font-weight: 600; background: #eee; }
tbody th { font-weight: 600; min-width: 20mm; }
.read { width: 17mm; } .tick { width: 15mm; text-align: center; } td.tick { vertical-align: middle; }
.many .tick { width: 12.5mm; } .many .read { width: 14mm; } .many thead th { font-size: 9pt; }
.held { white-space: nowrap; }
.scroll { overflow-x: auto; } .scroll svg { display: block; } .scroll:has(.turned) { display: none; }
@media print { .scroll { overflow: visible; } .scroll svg { max-width: 100%%; height: auto; max-height: 235mm; }
  .scroll:has(.upright) { display: none; } .scroll:has(.turned) { display: block; } .turned { margin: 0 auto; } }
.sign { margin: 1.3em 0 .2em; padding: 0; list-style: none; display: flex; gap: 8mm; break-inside: avoid; }
.sign li { flex: 1; border-top: .75pt solid #111; padding-top: .1em; font-size: 9pt; }
.sign.one { margin-left: 45%%; break-before: avoid; }
.foot { font-size: 9pt; border-top: .5pt solid #111; padding-top: .3em; margin: 0; }
@media screen and (max-width: 40rem) { main { padding: 0 .8rem; } table { display: block; overflow-x: auto; }
  thead th { overflow-wrap: anywhere; } .held { white-space: normal; } }
@media print { main { margin: 0; max-width: none; } }
"""

MOST_TOGETHER = 6
"""Tables of so many rows are not parted over two pages."""
SHORT = 10
"""Cells of so few letters are not broken: `6 mm`, `controller`."""
MANY = 3
"""From this many columns for the pen on they are made narrower."""


def workshop_html(sheet: WorkshopSheet) -> str:
    """Some pages of A4 or US Letter; no scripts, nothing from outside."""
    html, main = new_page(sheet.title, STYLE % _css_text(f"{sheet.title[:60]} · {sheet.fingerprint}") + LABEL_STYLE)
    head = ET.SubElement(main, "p", {"class": "head"})
    for each in sheet.head:
        add(head, "span", each)
    add(main, "h1", sheet.title)
    for line in sheet.basis:
        add(main, "p", line)
    frame = ET.SubElement(main, "section", {"class": "first whole"})
    add(frame, "h2", FIRST)
    _list(frame, sheet.first)
    drawn = pictures(sheet.drawing)
    if len(drawn) == 1:
        _drawing(main, drawn)
    for section in sheet.sections:
        _section(main, section)
    last = ET.SubElement(main, "section", {"class": "whole"})
    add(last, "h2", SIGN)
    _list(last, sheet.signatures, "sign")
    add(last, "p", f"{sheet.cautions} {sheet.fingerprint}", class_="foot")
    if len(drawn) > 1:
        _drawing(main, drawn)  # lying on its side it fills a page, to be pinned up
    labels = ET.SubElement(main, "section", {"class": "new"})
    add(labels, "h2", LABELS)
    add_labels(labels, sheet.labels)
    return written(html)


def _drawing(main: ET.Element, drawn: Sequence[ET.Element]) -> None:
    section = ET.SubElement(main, "section", {"class": "whole new" if len(drawn) > 1 else "whole"})
    add(section, "h2", DRAWN)
    for picture in drawn:
        add_scroll(section, DRAWN).append(picture)


def _css_text(text: str) -> str:
    """A string of a style sheet, whatever the text holds: all but letters, figures and spaces by their number."""
    plain = (each if each.isascii() and (each.isalnum() or each == " ") else f"\\{ord(each):06x} " for each in text)
    return f'"{"".join(plain)}"'


def _list(parent: ET.Element, texts: Sequence[str], kind: str = "") -> None:
    found = ET.SubElement(parent, "ul", {"class": kind} if kind else {})
    for text in texts:
        add(found, "li", text)


def _section(main: ET.Element, section: Section) -> None:
    parent = ET.SubElement(main, "section")
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
        _table(parent, section.table)
    if section.notes:
        _list(parent, section.notes)
    if section.signed:
        _list(parent, (SIGNED,), "sign one")


def _table(parent: ET.Element, table: Table) -> None:
    many = len(table.reads) + len(table.ticks) >= MANY
    kinds = [*(["many"] if many else []), *(["whole"] if len(table.rows) <= MOST_TOGETHER else [])]
    found = ET.SubElement(parent, "table", {"class": " ".join(kinds)} if kinds else {})
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
        add(line, "th", row[0], scope="row")
        for text in row[1:]:
            add(line, "td", text, **({"class": "held"} if len(text) <= SHORT else {}))
        for _ in table.reads:
            ET.SubElement(line, "td", {"class": "read"})
        for _ in table.ticks:
            add(ET.SubElement(line, "td", {"class": "tick"}), "span", "", class_="box")


def workshop_page(sheet: WorkshopSheet) -> Page:
    """The same for a terminal or a ticket."""
    return Page(
        title=sheet.title,
        lead=(*sheet.head, *sheet.basis),
        blocks=filled(
            Lines(FIRST, sheet.first),
            Lines(DRAWN, (sheet.drawing.words,)),
            *(block for section in sheet.sections for block in _blocks(section)),
            Lines(LABELS, tuple(label_lines(sheet.labels))),
        ),
        signatures=sheet.signatures,
        closing=(f"{sheet.cautions} {sheet.fingerprint}",),
    )


def _blocks(section: Section) -> Iterator[Block]:
    """A section: sentences, steps to tick, a table with room for the pen, notes; the heading stands over the first."""
    notes = (*section.notes, *([f"{SIGNED}: {LINE_TO_WRITE}"] if section.signed else []))
    found: list[Lines | Ticks | PageTable] = [
        Lines("", section.lines),
        Ticks("", tuple(f"{number}  {step}" for number, step in enumerate(section.steps, 1))),
    ]
    if section.table is not None:
        table = section.table
        pen = (*(WRITE,) * len(table.reads), *(TICK,) * len(table.ticks))
        heads = (*table.heads, *table.reads, *table.ticks)
        found.append(PageTable("", heads, tuple((*row, *pen) for row in table.rows), "l" * len(heads)))
    found = [block for block in (*found, Lines("", notes)) if filled(block)]
    for at, block in enumerate(found):
        yield block._replace(heading=section.title) if at == 0 else block
