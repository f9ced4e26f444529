"""The quote for a customer: one page of A4 or US Letter as HTML, the same as text and Markdown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple
from xml.etree import ElementTree as ET

from packyoke.answers.sheet.blocks import Block, add_block, section_markdown, section_text
from packyoke.answers.sheet.customer_html import STYLE, add_ranges, widths
from packyoke.answers.sheet.customer_page import COUNT_ON, HOW_FAR, LIKELY, RangeLine, Ride, ride_text
from packyoke.page.cells import wrapped
from packyoke.page.html import add, new_page, written
from packyoke.page.markdown import cell, table

ROOMY = 38
"""Lines up to which the letters are large."""
PRICE = "What you get, and what it costs"
MORE_STYLE = """
.columns { display: block; columns: 2; } .columns section { break-inside: avoid; }
.columns section:first-child h2 { margin-top: 0; }
.warning { border: 1.75pt solid #111; padding: 0 6pt 4pt; margin-top: 6pt; }
.signatures { display: flex; gap: 7mm; margin: 10mm 0 4pt; padding: 0; list-style: none; }
.price { table-layout: auto; } .price th, .price td { border-bottom: .5pt solid #777; }
@media screen and (max-width: 40rem) { .columns { columns: 1; } }
.price td { text-align: right; white-space: nowrap; } .price th { font-weight: 400; }
.price .whole th, .price .whole td { font-weight: 700; font-size: 1.25em; border-bottom: 1.5pt solid #111; }
"""


class PriceLine(NamedTuple):
    """What is got and its price; `whole` is what is to be paid."""

    what: str
    price: str
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteSheet:
    """All that a customer decides by. `subject`: what has to be found out first, where anything has."""

    title: str
    head: tuple[str, ...]
    subject: Block | None
    intro: str = ""
    scale: float = 0.0
    rides: tuple[Ride, ...]
    ranges: tuple[RangeLine, ...]
    range_notes: tuple[str, ...]
    prices: tuple[PriceLine, ...]
    blocks: tuple[Block, ...]
    signatures: tuple[str, ...]
    cautions: str
    fingerprint: str

    @property
    def told(self) -> tuple[Block, ...]:
        """The blocks that say something."""
        return tuple(block for block in self.blocks if block.lines)


def quote_html(sheet: QuoteSheet) -> str:
    """One page; no scripts, nothing from outside."""
    html, main = new_page(sheet.title, STYLE + MORE_STYLE + widths(sheet))
    main.set("class", "s98" if _rows(sheet) <= ROOMY else "s90")
    head = ET.SubElement(main, "p", {"class": "head"})
    for each in sheet.head:
        add(head, "span", each)
    add(main, "h1", sheet.title)
    if sheet.subject is not None:
        add_block(main, sheet.subject, "warning")
    section = ET.SubElement(main, "section")
    add(section, "h2", PRICE)
    body = ET.SubElement(ET.SubElement(section, "table", {"class": "price"}), "tbody")
    for line in sheet.prices:
        row = ET.SubElement(body, "tr", {"class": "whole"} if line.whole else {})
        add(row, "th", line.what, scope="row")
        add(row, "td", line.price)
    add_ranges(main, sheet)
    columns = ET.SubElement(main, "div", {"class": "columns"})
    for block in sheet.told:
        add_block(columns, block)
    places = ET.SubElement(main, "ul", {"class": "signatures"})
    for each in sheet.signatures:
        add(places, "li", each)
    add(main, "p", f"{sheet.cautions} {sheet.fingerprint}", class_="foot")
    return written(html)


def _rows(sheet: QuoteSheet) -> int:
    """About how many lines it takes."""
    blocks = (*sheet.told, *([sheet.subject] if sheet.subject else []))
    return (
        len(sheet.prices) + 2 * len(sheet.ranges) + sum(len(line) // 60 + 1 for block in blocks for line in block.lines)
    )


def quote_text(sheet: QuoteSheet) -> str:
    """The same for a terminal or a letter: 80 columns."""
    lines = [line for each in sheet.head for line in wrapped(each)]
    lines += ["", *wrapped(sheet.title)]
    lines += section_text(sheet.subject) if sheet.subject is not None else []
    lines += ["", PRICE.upper(), *_price_text(sheet.prices)]
    for at, ride in enumerate(sheet.rides):
        lines += ["", *ride_text(ride, [(line.packs, line.figures[at]) for line in sheet.ranges])]
    for note in sheet.range_notes:
        lines += wrapped(note, 2)
    for block in sheet.told:
        lines += section_text(block)
    for each in sheet.signatures:
        lines += ["", "", "_" * 40, *wrapped(each)]
    return "\n".join([*lines, "", *wrapped(f"{sheet.cautions} {sheet.fingerprint}")]) + "\n"


def _price_text(prices: Sequence[PriceLine]) -> list[str]:
    lines = []
    for line in prices:
        *before, last = wrapped(line.what, most=58) or [""]
        lines += [f"  {each}" for each in before]
        if line.whole:
            lines.append(f"  {'-' * 76}")
        lines.append(f"  {last:<58} {line.price:>17}")
    return lines


def quote_markdown(sheet: QuoteSheet) -> str:
    """The same for a ticket or a mail."""
    lines = [f"# {cell(sheet.title)}", "", *(f"{cell(each)}  " for each in sheet.head), ""]
    lines += section_markdown(sheet.subject) if sheet.subject is not None else []
    lines += [f"## {PRICE}", "", *table(["what", "price"], [[line.what, line.price] for line in sheet.prices])]
    lines += [f"## {HOW_FAR}", ""]
    heads = ["packs plugged in", *(f"{ride.name}: {what}" for ride in sheet.rides for what in (COUNT_ON, LIKELY))]
    lines += table(
        heads, [[line.packs, *(text for each in line.figures for text in each[:2])] for line in sheet.ranges]
    )
    lines += [*(f"- {cell(note)}" for note in sheet.range_notes), ""]
    for block in sheet.told:
        lines += section_markdown(block)
    lines += [*(f"- {cell(each)}: \\_\\_\\_\\_\\_\\_\\_\\_" for each in sheet.signatures), ""]
    return "\n".join([*lines, cell(f"{sheet.cautions} {sheet.fingerprint}"), ""])
