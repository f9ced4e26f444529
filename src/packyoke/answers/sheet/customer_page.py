"""The customer's sheet: one page with everything decided beforehand, as HTML, text and Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from textwrap import wrap
from typing import NamedTuple, Protocol
from unicodedata import east_asian_width
from xml.etree import ElementTree as ET

from packyoke.page.drawing import Drawing, harness_svg, natural_size, range_bar
from packyoke.page.elements import add, new_page, written
from packyoke.page.markdown import cell, table

WIDTH = 80


class Ride(NamedTuple):
    """One way of riding that ranges are given for."""

    name: str
    about: str


class Figure(NamedTuple):
    """A range: what to count on, what is likely, and both as shares of the longest on the sheet for the bar.

    Without a likely figure `count_on` is a word that says why there is none.
    """

    count_on: str
    likely: str
    low_share: float
    likely_share: float


class RangeLine(NamedTuple):
    """One set of packs, and how far it goes on each ride."""

    packs: str
    figures: tuple[Figure, ...]


class ChargeLine(NamedTuple):
    """One charger, and how long it takes for which packs."""

    charger: str
    packs: str


class Block(NamedTuple):
    """Some sentences under a heading."""

    title: str
    lines: tuple[str, ...]


class HasRanges(Protocol):
    """A page that says how far."""

    @property
    def rides(self) -> tuple[Ride, ...]: ...
    @property
    def ranges(self) -> tuple[RangeLine, ...]: ...
    @property
    def range_notes(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerSheet:
    """All that a customer takes home. `head` is the shop, the ticket and the day."""

    title: str
    head: tuple[str, ...]
    intro: str
    drawing: Drawing
    rides: tuple[Ride, ...] = ()
    ranges: tuple[RangeLine, ...] = ()
    range_notes: tuple[str, ...]
    using: tuple[Block, ...]
    chargers: tuple[ChargeLine, ...] = ()
    charging: tuple[str, ...]
    warnings: tuple[Block, ...]
    basis: tuple[Block, ...]
    signatures: tuple[str, ...]
    cautions: str
    fingerprint: str


HOW_FAR, JOINED, CHARGING = "How far", "How it is joined", "Charging"
COUNT_ON, LIKELY = "count on", "likely"
CHARGER, FULL = "charger", "from empty to full"

STYLE = """
@page { margin: 9mm 12mm; }
* { box-sizing: border-box; }
body { font: 9.4pt/1.25 Arial, Helvetica, "Liberation Sans", sans-serif; color: #111; background: #fff; margin: 0; }
main { max-width: 186mm; margin: 4mm auto; overflow-wrap: anywhere; }
.head { display: flex; justify-content: space-between; gap: 1em; border-bottom: 1.5pt solid #111; margin: 0; }
.head span + span, .foot span { white-space: nowrap; }
h1 { font-size: 1.7em; line-height: 1.1; margin: .2em 0 .1em; }
h2 { font-size: 1.05em; margin: 0 0 .1em; }
p { margin: 0 0 .2em; }
ul { margin: 0; padding-left: 1.25em; } li { margin: 0 0 .1em; }
table { border-collapse: collapse; width: 100%; margin: 0 0 .3em; }
th, td { text-align: left; vertical-align: top; padding: .1em .5em .1em 0; border-bottom: .5pt solid #777; }
th { font-weight: 600; } thead th { border-bottom: 1pt solid #111; vertical-align: bottom; }
.about { display: block; font-weight: 400; font-size: .85em; }
.far tbody th { width: 25%; vertical-align: middle; }
.far b { font-size: 1.6em; line-height: 1; } .far b, .far td span { white-space: nowrap; }
.bar { display: block; width: 100%; height: 1.6mm; }
.one .figure, .small .figure, .tiny .figure { display: flex; align-items: center; gap: .5em; line-height: 1.1; }
.figure b { flex: 0 0 3.7em; } .figure span { flex: 0 0 6.6em; } .one .bar { height: 3mm; }
.wiring { margin: .3em 0; } .wiring svg { display: block; max-width: 100%; height: auto; max-height: 60mm; }
.columns { columns: 2; column-gap: 7mm; margin-top: .3em; }
section { margin: 0 0 .45em; } .columns section { break-inside: avoid; }
.run h2, .run p { display: inline; } .run h2::after { content: ": "; }
.warning { border: 1.5pt solid #111; padding: .25em .5em; }
.signatures { display: flex; gap: 7mm; margin: 1.6em 0 .4em; padding: 0; list-style: none; }
.signatures li { flex: 1; border-top: .75pt solid #111; padding-top: .1em; font-size: .85em; }
.foot { font-size: .85em; border-top: .5pt solid #111; padding-top: .2em; margin: 0; }
.tight { font-size: .94em; line-height: 1.2; }
.small { font-size: .86em; } .tiny { font-size: .8em; line-height: 1.14; }
.tight .far b { font-size: 1.35em; } .tight .wiring svg { max-height: 40mm; }
@media screen and (max-width: 40rem) { main { padding: 0 .8rem; } .columns { columns: 1; } }
@media print { main { margin: 0; max-width: none; } }
"""

DENSITIES = ((61.0, "roomy"), (71.0, "tight"), (78.0, "tight small"))
"""How many lines a sheet may take with larger letters: 9.4, 8.8, 8.1 and at last 7.5 points."""
LINE_UNITS = 15.7
"""Height of a line of the largest letters, in the units of the drawing."""
NARROW = 420.0
"""Drawings of at most this width stand in a column."""


def customer_html(sheet: CustomerSheet) -> str:
    """One page of A4 or US Letter; no scripts, nothing from outside."""
    html, main = new_page(sheet.title, STYLE)
    main.set("class", _density(sheet))
    head = ET.SubElement(main, "p", {"class": "head"})
    for each in sheet.head:
        add(head, "span", each)
    add(main, "h1", sheet.title)
    add(main, "p", sheet.intro)
    add_ranges(main, sheet)
    wide = natural_size(sheet.drawing)[0] > NARROW
    if wide:
        _wiring(main, sheet.drawing)
    columns = ET.SubElement(main, "div", {"class": "columns"})
    if not wide:
        _wiring(columns, sheet.drawing)
    for block in sheet.using:
        add_block(columns, block)
    _charging(columns, sheet)
    for block in sheet.warnings:
        add_block(columns, block, "warning")
    for block in sheet.basis:
        add_block(columns, block)
    places = ET.SubElement(main, "ul", {"class": "signatures"})
    for each in sheet.signatures:
        add(places, "li", each)
    foot = add(main, "p", f"{sheet.cautions} ", **{"class": "foot"})
    add(foot, "span", sheet.fingerprint)
    return written(html)


def _density(sheet: CustomerSheet) -> str:
    lines = page_lines(sheet)
    return next((name for most, name in DENSITIES if lines <= most), "tight tiny")


def page_lines(sheet: CustomerSheet) -> float:
    """About how many lines of the largest letters the page takes; fitted to what a browser makes of it."""
    top = _rows(" ".join(sheet.head), 95) + 1.8 * _rows(sheet.title, 52) + _rows(sheet.intro, 108) + 1.2
    if sheet.ranges:
        share = 1 / max(1, len(sheet.rides))
        top += 1.3 + max(_rows(ride.name, 75 * share) + _rows(ride.about, 90 * share) for ride in sheet.rides)
        row = 2.1 if len(sheet.rides) > 1 else 1.75
        top += sum(max(row, 0.3 + _rows(line.packs, 23)) for line in sheet.ranges)
    top += sum(1.1 * _rows(note, 108) for note in sheet.range_notes)
    wide, high = natural_size(sheet.drawing)
    scale = min(1.0, 700.0 / wide) if wide > NARROW else min(1.0, 335.0 / wide)
    drawn = 1.8 + min(high * scale, 227.0) / LINE_UNITS
    blocks = (*sheet.using, *sheet.warnings, *sheet.basis, Block(CHARGING, sheet.charging))
    column = sum(1.05 * _rows(line, 52) for block in blocks for line in block.lines) + 1.4 * len(blocks)
    column += 2.0 + sum(max(_rows(line.charger, 17), _rows(line.packs, 30)) * 1.15 for line in sheet.chargers)
    bottom = 2.8 + 3.2
    return top + bottom + (drawn + column / 2 if wide > NARROW else (drawn + column) / 2)


def _rows(text: str, letters: float) -> int:
    """How many lines a text takes where so many usual letters fit on one."""
    wide = sum(2.0 if east_asian_width(each) in "WF" else 1.4 if each.isupper() else 1.0 for each in text)
    return max(1, ceil(wide / letters))


def add_block(parent: ET.Element, block: Block, kind: str = "") -> ET.Element:
    """A block as a section: one line runs on behind its heading, several are a list."""
    section = ET.SubElement(parent, "section", {"class": kind} if kind else {})
    add(section, "h2", block.title)
    if len(block.lines) == 1:
        section.set("class", f"{kind} run".strip())
        add(section, "p", block.lines[0])
        return section
    lines = ET.SubElement(section, "ul")
    for line in block.lines:
        add(lines, "li", line)
    return section


def add_ranges(main: ET.Element, sheet: HasRanges) -> None:
    """The table of ranges with its bars, and its notes."""
    section = ET.SubElement(main, "section")
    add(section, "h2", HOW_FAR)
    if sheet.ranges:
        far = ET.SubElement(section, "table", {"class": "far one" if len(sheet.rides) == 1 else "far"})
        heads = ET.SubElement(ET.SubElement(far, "thead"), "tr")
        add(heads, "th", "packs plugged in", scope="col")
        for ride in sheet.rides:
            head = add(heads, "th", ride.name, scope="col")
            add(head, "span", ride.about, **{"class": "about"})
            head[-1].tail = f"{COUNT_ON}, {LIKELY}"
        body = ET.SubElement(far, "tbody")
        for line in sheet.ranges:
            row = ET.SubElement(body, "tr")
            add(row, "th", line.packs, scope="row")
            for figure in line.figures:
                _figure(ET.SubElement(row, "td"), figure)
    for note in sheet.range_notes:
        add(section, "p", note)


def _figure(parent: ET.Element, figure: Figure) -> None:
    if not figure.likely:
        parent.text = figure.count_on
        return
    inside = ET.SubElement(parent, "div", {"class": "figure"})
    add(inside, "b", figure.count_on).tail = " "
    add(inside, "span", f"{LIKELY} {figure.likely}")
    inside.append(range_bar(figure.low_share, figure.likely_share))


def _wiring(parent: ET.Element, drawing: Drawing) -> None:
    section = ET.SubElement(parent, "section", {"class": "wiring"})
    add(section, "h2", JOINED)
    section.append(harness_svg(drawing))


def _charging(parent: ET.Element, sheet: CustomerSheet) -> None:
    section = add_block(parent, Block(CHARGING, sheet.charging))
    if not sheet.chargers:
        return
    chargers = ET.Element("table")
    heads = ET.SubElement(ET.SubElement(chargers, "thead"), "tr")
    add(heads, "th", CHARGER, scope="col")
    add(heads, "th", FULL, scope="col")
    body = ET.SubElement(chargers, "tbody")
    for line in sheet.chargers:
        row = ET.SubElement(body, "tr")
        add(row, "th", line.charger, scope="row")
        add(row, "td", line.packs)
    section.insert(1, chargers)


def customer_text(sheet: CustomerSheet) -> str:
    """The same for a terminal or a letter: 80 columns."""
    lines = [line for each in sheet.head for line in wrap(each, WIDTH)]
    lines += ["", *wrap(sheet.title, WIDTH), "", *wrap(sheet.intro, WIDTH)]
    for at, ride in enumerate(sheet.rides):
        rows = [(line.packs, line.figures[at]) for line in sheet.ranges]
        lines += ["", *ride_text(ride, rows)]
    lines += [] if sheet.ranges else ["", HOW_FAR.upper()]
    for note in sheet.range_notes:
        lines += wrap(note, WIDTH, initial_indent="  ", subsequent_indent="  ")
    lines += section_text(Block(JOINED, (sheet.drawing.words,)))
    for block in sheet.using:
        lines += section_text(block)
    chargers = tuple(f"{each.charger}: {each.packs}" for each in sheet.chargers)
    lines += section_text(Block(CHARGING, (*chargers, *sheet.charging)))
    for block in (*sheet.warnings, *sheet.basis):
        lines += section_text(block)
    for each in sheet.signatures:
        lines += ["", "", "_" * 40, *wrap(each, WIDTH)]
    return "\n".join([*lines, "", *wrap(f"{sheet.cautions} {sheet.fingerprint}", WIDTH)]) + "\n"


def ride_text(ride: Ride, rows: Sequence[tuple[str, Figure]]) -> Iterator[str]:
    """The lines of one ride: its sets of packs with their figures."""
    yield from wrap(f"{HOW_FAR.upper()}: {ride.name}", WIDTH)
    yield from wrap(ride.about, WIDTH, initial_indent="  ", subsequent_indent="  ")
    yield f"  {'packs plugged in':<44} {COUNT_ON:>18} {LIKELY:>12}"
    for packs, figure in rows:
        *before, last = wrap(packs, 43) or [""]
        yield from (f"  {line}" for line in before)
        yield f"  {last:<44} {figure.count_on:>18} {figure.likely:>12}".rstrip()


def section_text(block: Block) -> list[str]:
    """A block as lines of text."""
    lines = ["", block.title.upper()]
    for line in block.lines:
        lines += wrap(line, WIDTH, initial_indent="  - ", subsequent_indent="    ", break_on_hyphens=False)
    return lines


def customer_markdown(sheet: CustomerSheet) -> str:
    """The same for a ticket or a mail."""
    lines = [f"# {cell(sheet.title)}", "", *(f"{cell(each)}  " for each in sheet.head), "", cell(sheet.intro), ""]
    lines += [f"## {HOW_FAR}", ""]
    heads = ["packs plugged in"]
    heads += [cell(f"{ride.name}: {what}") for ride in sheet.rides for what in (COUNT_ON, LIKELY)]
    rows = [[line.packs, *(text for each in line.figures for text in each[:2])] for line in sheet.ranges]
    lines += table(heads, rows)
    lines += [f"- {cell(f'{ride.name}: {ride.about}')}" for ride in sheet.rides if ride.about]
    lines += [*(f"- {cell(note)}" for note in sheet.range_notes), ""]
    lines += section_markdown(Block(JOINED, (sheet.drawing.words,)))
    for block in sheet.using:
        lines += section_markdown(block)
    lines += [f"## {CHARGING}", ""]
    lines += table([CHARGER, FULL], [[each.charger, each.packs] for each in sheet.chargers])
    lines += [*(f"- {cell(line)}" for line in sheet.charging), ""]
    for block in (*sheet.warnings, *sheet.basis):
        lines += section_markdown(block)
    lines += [*(f"- {cell(each)}: \\_\\_\\_\\_\\_\\_\\_\\_" for each in sheet.signatures), ""]
    return "\n".join([*lines, cell(f"{sheet.cautions} {sheet.fingerprint}"), ""])


def section_markdown(block: Block) -> list[str]:
    """A block as lines of Markdown."""
    return [f"## {cell(block.title)}", "", *(f"- {cell(line)}" for line in block.lines), ""]
