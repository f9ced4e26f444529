"""The labels of a bike to cut out, to size: with the work sheet or on a page of their own."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree as ET

from packyoke.answers.sheet.called import said
from packyoke.making.labels import PLUS, Labels
from packyoke.page.html import add, new_page, written
from packyoke.page.page import Lines, Page, filled

LABELS = "Labels to cut out and stick on"
CHECK = "Print at 100 %. Check: this line is 50 mm long."
FOLD = "Flags fold round the cable at the dashed lines; sleeves go under clear shrink tube."
FLAGS, SLEEVES = "Flags: one at each end of each lead", "Sleeves: one on each conductor, at each end"
PLATES, EMPTY = "Plates", "At each plug that can be left empty"
LIVE = "Live while any pack is in: keep the cap on"
CABLE = "cable"
LONGEST = 200

STYLE = """
.labels { overflow-wrap: anywhere; word-break: normal; }
.labels h3 { font-size: 1.1em; margin: 9pt 0 4pt; border-bottom: .75pt solid #000; break-after: avoid; }
.check { display: flex; flex-wrap: wrap; gap: 2pt 8pt; align-items: center; }
.mm50 { flex: none; width: 50mm; height: 3mm; border-left: .75pt solid #000; border-right: .75pt solid #000;
  position: relative; }
.mm50::after { content: ""; position: absolute; left: 0; right: 0; top: 1.4mm; border-top: .75pt solid #000; }
.flags, .sleeves, .plates, .warnings { list-style: none; margin: 0; padding: 0; display: flex; flex-wrap: wrap;
  gap: 2.5mm; align-items: stretch; }
.labels li { margin: 0; break-inside: avoid; border: .75pt solid #000; }
.flags li { display: grid; grid-template-columns: 38mm 8mm 38mm; width: 84.6mm; }
.flags li > span { padding: 1mm 2mm; line-height: 1.2; min-width: 0; }
.flags .half > b:first-child { font-size: 1.5em; }
.flags .here { display: block; }
.flags li > .cable { padding: 0; border: dashed #000; border-width: 0 1pt; text-align: center; align-self: stretch;
  display: grid; place-items: center; font-size: 8.5pt; writing-mode: vertical-rl; }
.sleeves li > span:last-child, .warnings li > span { min-width: 0; }
.sleeves li { display: flex; gap: 2mm; align-items: center; min-width: 27mm; max-width: 60mm; min-height: 8mm;
  padding: 1mm 2mm; font-weight: 700; }
.pole { flex: none; width: 4.4mm; height: 4.4mm; border: 1pt solid #000; border-radius: 50%; display: grid;
  place-items: center; line-height: 1; font-size: 11pt; }
.pole.plus { background: #000; color: #fff; -webkit-text-stroke: .2px; }
.plates li { width: 60mm; border-radius: 1.5mm; padding: 1.5mm 2.5mm; min-height: 20mm; line-height: 1.2; }
.plates li > * { display: block; } .plates b { font-size: 1.2em; } .plates strong { font-size: 1.45em; }
.parts { break-inside: avoid; }
.warnings li { width: 60mm; border-width: 1.75pt; padding: 2mm; display: flex; gap: 2mm; align-items: center;
  font-weight: 700; font-size: 1.15em; line-height: 1.2; }
.warnings svg { flex: none; width: 7mm; height: 7mm; }
.warnings small { display: block; font-weight: 400; font-size: 9pt; }
@media screen and (max-width: 40rem) { .flags li { width: auto; grid-template-columns: 1fr 8mm 1fr; } }
"""
PAGE = """
:root { color-scheme: only light; }
@page { margin: 12mm; }
* { box-sizing: border-box; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font: 9.4pt/1.3 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff; margin: 0; }
main { max-width: 186mm; margin: 5mm auto; padding: 0; } h1 { font-size: 1.6em; margin: 0 0 4pt; } p { margin: 0; }
@media screen and (max-width: 50rem) { main { padding: 0 .8rem; } }
@media print { main { margin: 0; max-width: none; } }
"""


def labels_html(title: str, labels: Labels, made: str) -> str:
    """A page of labels and nothing else."""
    html, main = new_page(title, PAGE + STYLE)
    add(main, "h1", title)
    add_labels(main, labels, made)
    return written(html)


def add_labels(parent: ET.Element, labels: Labels, made: str = "") -> None:
    """Every label to size, with the line to check the printer by."""
    section = ET.SubElement(parent, "div", {"class": "labels"})
    check = ET.SubElement(section, "p", {"class": "check"})
    add(check, "span", CHECK)
    ET.SubElement(check, "span", {"class": "mm50"})
    add(check, "span", f"{FOLD} {made}".strip())
    if labels.flags:
        flags = _list(section, f"{FLAGS} ({len(labels.flags)})", "flags")
        for flag in labels.flags:
            item = ET.SubElement(flags, "li")
            for side in (0, 1):
                half = ET.SubElement(item, "span", {"class": "half"})
                add(half, "b", str(flag.number)).tail = " "
                if flag.lead:
                    add(half, "b", said(flag.lead, LONGEST))
                ends = ET.SubElement(half, "span", {"class": "here"})
                add(ends, "b", said(flag.here, LONGEST)).tail = " to "
                add(ends, "span", said(flag.there, LONGEST))
                if side == 0:
                    add(item, "span", CABLE, class_="cable")
    if labels.sleeves:
        sleeves = _list(section, f"{SLEEVES} ({len(labels.sleeves)})", "sleeves")
        for sleeve in labels.sleeves:
            item = ET.SubElement(sleeves, "li")
            add(item, "span", sleeve.pole, class_="pole plus" if sleeve.pole == PLUS else "pole")
            add(item, "span", f"{sleeve.number} {said(sleeve.at, LONGEST)}")
    parts = ET.SubElement(section, "div", {"class": "parts"})
    if labels.plates:
        plates = _list(parts, PLATES, "plates")
        for plate in labels.plates:
            item = ET.SubElement(plates, "li")
            for tag, text in (("b", plate.part), ("span", plate.what), ("strong", plate.figure), ("span", plate.about)):
                if text:
                    add(item, tag, said(text, LONGEST))
    if labels.empty:
        warnings = _list(parts, f"{EMPTY} ({len(labels.empty)})", "warnings")
        for where in labels.empty:
            item = ET.SubElement(warnings, "li")
            _flash(item)
            add(add(item, "span", LIVE), "small", said(where, LONGEST))


def _list(parent: ET.Element, heading: str, kind: str) -> ET.Element:
    add(parent, "h3", heading)
    return ET.SubElement(parent, "ul", {"class": kind})


def _flash(parent: ET.Element) -> None:
    """The sign for electricity, after ISO 7010 W012: a flash in a triangle."""
    sign = ET.SubElement(parent, "svg", {"viewBox": "0 0 24 24", "aria-hidden": "true"})
    about = {"fill": "#fff", "stroke": "#000", "stroke-width": "2", "stroke-linejoin": "round"}
    ET.SubElement(sign, "path", {"d": "M 12 2 L 23 21.5 L 1 21.5 Z", **about})
    ET.SubElement(sign, "path", {"d": "M 13 7.5 L 9.5 14 H 12 L 10.8 19.5 L 15 12.5 H 12.4 Z", "fill": "#000"})


def label_lines(labels: Labels) -> Iterator[str]:
    """Every label in words, for a terminal or a ticket: one line for each lead and part."""
    for here, there in zip(labels.flags[::2], labels.flags[1::2], strict=True):
        flags = (f"\u201c{each.here} to {each.there}\u201d" for each in (here, there))
        lead = f"{here.number} {here.lead}" if here.lead else f"lead {here.number}"
        yield f"{lead}: flags {', '.join(flags)}"
        yield f"{lead}: sleeves + and \u2212 at {here.here}, + and \u2212 at {there.here}"
    for plate in labels.plates:
        told = [each for each in (plate.what, plate.figure, plate.about) if each]
        yield f"{plate.part}: {', '.join(told)}"
    for where in labels.empty:
        yield f"{where}: {LIVE}"


def labels_page(title: str, labels: Labels, made: str) -> Page:
    """The labels in words, for a terminal or a ticket."""
    return Page(title=title, blocks=filled(Lines("", tuple(label_lines(labels)))), closing=(made,))
