"""The quote for a customer: one page of A4 or US Letter as HTML, the same as text and Markdown."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple
from xml.etree import ElementTree as ET

from packyoke.answers.sheet.blocks import SheetBlock, add_block
from packyoke.answers.sheet.customer_html import STYLE, add_ranges, widths
from packyoke.answers.sheet.customer_page import CustomerRide, RangeLine, range_blocks
from packyoke.page.html import add, new_page, written
from packyoke.page.page import Lines, Page, Table, filled

ROOMY = 38
"""Lines up to which the letters are large."""
PRICE = "What you get, and what it costs"
MORE_STYLE = """
.columns { display: block; columns: 2; } .columns section { break-inside: avoid; }
.columns section:first-child h2 { margin-top: 0; }
.warning { border: 1.75pt solid #000; padding: 0 6pt 4pt; margin-top: 6pt; }
.signatures { display: flex; gap: 7mm; margin: 10mm 0 4pt; padding: 0; list-style: none; }
.price { table-layout: auto; } .price th, .price td { border-bottom: .5pt solid #000; }
@media screen and (max-width: 40rem) { .columns { columns: 1; } }
.price td { text-align: right; white-space: nowrap; } .price th { font-weight: 400; }
.price .whole th, .price .whole td { font-weight: 700; font-size: 1.25em; border-bottom: 1.5pt solid #000; }
"""


class PriceLine(NamedTuple):
    """What is got and its price; `whole` is what is to be paid.

    `kind` is the kind of part, or wiring, work, tax, rounding, altogether; `amount` is None without a price.
    """

    what: str
    price: str
    whole: bool = False
    kind: str = ""
    item: str | None = None
    amount: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteSheet:
    """All that a customer decides by. `subject`: what has to be found out first, where anything has."""

    title: str
    head: tuple[str, ...]
    subject: SheetBlock | None
    intro: str = ""
    scale: float = 0.0
    rides: tuple[CustomerRide, ...]
    ranges: tuple[RangeLine, ...]
    range_notes: tuple[str, ...]
    prices: tuple[PriceLine, ...]
    blocks: tuple[SheetBlock, ...]
    signatures: tuple[str, ...]
    cautions: str
    fingerprint: str

    @property
    def told(self) -> tuple[SheetBlock, ...]:
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


def quote_page(sheet: QuoteSheet) -> Page:
    """The same for a terminal, a letter, a ticket or a mail."""
    prices = tuple((line.what, line.price) for line in sheet.prices)
    return Page(
        title=sheet.title,
        lead=(*sheet.head, *filter(None, [sheet.intro])),
        blocks=filled(
            *(Lines(block.title, block.lines) for block in ([sheet.subject] if sheet.subject is not None else [])),
            Table(PRICE, ("what", "price"), prices, "lr"),
            *range_blocks(sheet),
            *(Lines(block.title, block.lines) for block in sheet.told),
        ),
        signatures=sheet.signatures,
        closing=(f"{sheet.cautions} {sheet.fingerprint}",),
    )
