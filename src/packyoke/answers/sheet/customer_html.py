"""The customer's sheet as a page to print and hang up: one page of A4 and of US Letter."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree as ET

from packyoke.answers.sheet.customer_fit import LONG_TITLE, MOST_SIGNS, SIZES, fitted
from packyoke.answers.sheet.customer_page import (
    CHARGING,
    HOW_FAR,
    JOINED,
    LIKELY,
    NEVER,
    PLUGGING,
    RESTS,
    STOP,
    TOLD,
    CustomerSheet,
    HasRanges,
    RangeFigure,
    RangeLine,
)
from packyoke.page.drawing import harness_svg
from packyoke.page.html import add, new_page, written

SHORT_CONTACT = 24
"""Letters that stand on one line beside the name and in the box."""
WIDEST_BAR = 560.0
"""The column of a sheet with one ride [CSS px]."""

STYLE = """
:root { color-scheme: only light; }
@page { margin: 9mm 12mm; }
* { box-sizing: border-box; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font: 10pt/1.2 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff; margin: 0; }
main { max-width: 186mm; margin: 5mm auto; overflow-wrap: break-word; }
.s102 { font-size: 10.2pt; } .s98 { font-size: 9.8pt; } .s94 { font-size: 9.4pt; } .s90 { font-size: 9pt; }
h1, h2, p, ul, ol { margin: 0; }
.head { display: flex; justify-content: space-between; align-items: flex-end; gap: 1.5em; padding-bottom: 3pt;
  border-bottom: 1.5pt solid #000; }
h1 { font-size: 1.9em; line-height: 1.1; min-width: 0; } h1.long { font-size: 1.5em; }
.head p { text-align: right; flex: 0 1 auto; max-width: 45%; min-width: 0; } .head b { font-size: 1.15em; }
h2 { font-size: 1.2em; line-height: 1.2; margin: 4pt 0 1pt; break-after: avoid; }
ul, ol { padding-left: 1.5em; } li { margin: 0 0 1.5pt; padding-left: .1em; } li, p { text-wrap: pretty; }
table { border-collapse: collapse; width: 100%; table-layout: fixed; }
th, td { text-align: left; vertical-align: top; padding: 1.5pt 6pt 1.5pt 0; font-weight: 400; }
.far tbody tr { border-bottom: .5pt solid #000; break-inside: avoid; } .far tbody th { font-weight: 700; width: 27%; }
.far thead tr:first-child td { width: 27%; } .far thead th { padding-bottom: 0; }
.far b { display: block; font-size: 1.1em; }
.axis { display: flex; justify-content: space-between; margin-top: 1pt; }
.axis span { width: 3em; text-align: center; } .axis span:first-child { text-align: left; }
.axis span:last-child { text-align: right; }
.packs { display: flex; gap: 5pt; align-items: center; } .packs > span:last-child { min-width: 0; }
.signs { flex: none; white-space: nowrap; }
.sign { width: 8pt; height: 13pt; margin-right: 1.5pt; vertical-align: middle; }
.figure { display: flex; flex-wrap: wrap; justify-content: space-between; align-items: baseline; column-gap: 3pt; }
.figure strong { font-size: 1.6em; line-height: 1.05; } .figure span { white-space: nowrap; }
.bar { display: flex; height: 6pt; border-left: 1pt solid #000; border-right: .5pt solid #000; margin-top: 1pt;
  position: relative; }
.bar::after { content: ""; position: absolute; left: 50%; height: 6pt; border-left: .5pt solid #000; }
.bar i, .bar svg { display: block; height: 6pt; flex: none; }
/* A border, no ground: browsers that darken pages turn it light. */
.bar i.solid, .key i.solid { height: 0; border-top: 6pt solid #000; }
.hatch { border: .75pt solid #000; border-left: 0; overflow: hidden; stroke: #000; }
.key { margin-top: 3pt; } .key > span { margin-right: 12pt; } .key > span:last-child { margin: 0; }
.key i, .key svg { display: inline-block; width: 24pt; height: 6pt; margin-right: 4pt; }
.key .hatch { border-left: .75pt solid #000; }
.columns { display: flex; gap: 7mm; align-items: flex-start; } .columns > div { flex: 1 1 0; min-width: 0; }
.stop { border: 1.75pt solid #000; margin-top: 8pt; break-inside: avoid; }
.head p, .stop h2 { overflow-wrap: anywhere; } .held { white-space: nowrap; }
.stop h2 { background: #000; color: #fff; -webkit-text-stroke: .2px; margin: 0; padding: 3pt 6pt; display: flex;
  flex-wrap: wrap; justify-content: space-between; gap: 0 1em; }
.stop ul { padding: 3pt 6pt 0 1.8em; } .stop p { font-weight: 700; padding: 1pt 6pt 4pt; }
.write { flex: 1 0 30mm; border-bottom: 1pt solid #fff; }
.never { margin-top: 5pt; } .due { font-size: 1.15em; margin-top: 4pt; }
.charge { list-style: none; padding: 0; margin-bottom: 2pt; }
.charge li { border-bottom: .5pt solid #000; padding: 1pt 0; } .charge b { margin-right: .6em; }
.wiring svg { display: block; max-width: 100%; height: auto; background: #fff; }
.told { border-top: 1.25pt solid #000; margin-top: 7pt; break-inside: avoid; }
.told ul { list-style: none; padding: 0; } .told .tick { display: flex; gap: 6pt; overflow-wrap: anywhere; }
.box { flex: none; width: 3.2mm; height: 3.2mm; border: 1pt solid #000; margin-top: .5pt; }
.told .signatures { display: flex; gap: 7mm; margin: 7mm 0 4pt; }
.signatures li { flex: 1; border-top: .75pt solid #000; padding: 1pt 0 0; margin: 0; }
.foot { font-size: 9pt; line-height: 1.2; border-top: .75pt solid #000; padding-top: 2pt; }
@media screen and (max-width: 40rem) {
  main { padding: 0 .8rem; font-size: 16px; } .columns { display: block; } .head { display: block; }
  .head p { text-align: left; max-width: none; margin-top: .3em; } .foot { font-size: 14px; }
  .far tbody th, .far thead tr:first-child td { width: 24%; } .packs { display: block; } th, td { padding-right: 4px; }
  .axis span:nth-child(2) { visibility: hidden; } .wiring { overflow-x: auto; } .wiring svg { max-width: none; }
}
/* What does not fit otherwise: less between the lines, letters of the same size. */
.tight li { margin-bottom: .5pt; } .tight h2 { margin: 2.5pt 0 .5pt; } .tight .stop h2 { margin: 0; }
.tight .figure strong { font-size: 1.3em; } .tight .far tbody > tr > * { padding-top: .75pt; padding-bottom: .75pt; }
.tight .signatures li { margin: 0; }
@media print { .stacked { display: block; } .stacked p { text-align: left; max-width: none; } }
/* What is free on the lower of the two papers stands between the parts of the page. */
@media print { main { margin: 0; max-width: none; min-height: 254mm; display: flex; flex-direction: column;
  justify-content: space-between; } }
"""
TIGHT_PAGE = "@page { margin: 7mm 12mm; }\n"


def customer_html(sheet: CustomerSheet) -> str:
    """One page of A4 or US Letter; no scripts, nothing from outside."""
    fit = fitted(sheet)
    html, main = new_page(sheet.title, STYLE + (TIGHT_PAGE if fit.tight else "") + widths(sheet))
    main.set("class", f"{SIZES[fit.size]}{' tight' * fit.tight}")
    head = ET.SubElement(main, "div", {"class": f"head{' stacked' * fit.stacked}"})
    add(head, "h1", sheet.title, **({"class_": "long"} if len(sheet.title) > LONG_TITLE else {}))
    _head(ET.SubElement(head, "p"), sheet)
    add_ranges(main, sheet)
    columns = ET.SubElement(main, "div", {"class": "columns"})
    left, right = ET.SubElement(columns, "div"), ET.SubElement(columns, "div")
    add(left, "h2", PLUGGING)
    _listed(left, "ol", sheet.plugging)
    _charging(left, sheet)
    if fit.drawing == "column":
        _wiring(left, sheet)
    _stop(right, sheet)
    never = ET.SubElement(right, "p", {"class": "never"})
    add(never, "b", NEVER).tail = f" {sheet.never}"
    add(right, "h2", RESTS)
    _listed(right, "ul", sheet.rests)
    add(left if fit.due_left else right, "p", sheet.due, class_="due")
    if fit.drawing == "page":
        _wiring(main, sheet)
    told = ET.SubElement(main, "section", {"class": "told"})
    add(told, "h2", TOLD)
    if sheet.told:
        ticks = ET.SubElement(told, "ul")
        for text in sheet.told:
            tick = ET.SubElement(ticks, "li", {"class": "tick"})
            ET.SubElement(tick, "span", {"class": "box"})
            add(tick, "span", text)
    else:
        add(told, "p", sheet.nothing_told)
    _listed(told, "ul", sheet.signatures, "signatures")
    add(told, "p", f"{sheet.cautions} {sheet.fingerprint}", class_="foot")
    return written(html)


def _head(parent: ET.Element, sheet: CustomerSheet) -> None:
    if sheet.shop:
        add(parent, "span", sheet.shop).tail = " "
    if sheet.contact:
        add(parent, "b", sheet.contact, **_held(sheet.contact))
    if (sheet.shop or sheet.contact) and sheet.head:
        ET.SubElement(parent, "br")
    add(parent, "span", " · ".join(sheet.head))


def _held(contact: str) -> dict[str, str]:
    """A telephone number is not broken."""
    return {"class_": "held"} if len(contact) <= SHORT_CONTACT else {}


def _listed(parent: ET.Element, tag: str, texts: Iterable[str], kind: str = "") -> None:
    found = ET.SubElement(parent, tag, {"class": kind} if kind else {})
    for text in texts:
        add(found, "li", text)


def _share(share: float) -> int:
    """A share in tenths of a percent."""
    return round(1000 * min(max(share, 0.0), 1.0))


def _bars(sheet: HasRanges) -> Iterable[tuple[int, int]]:
    """How long the filled and the hatched part of each bar are."""
    for line in sheet.ranges:
        for each in line.figures:
            low = _share(each.low_share)
            yield low, max(0, _share(each.likely_share) - low)


def widths(sheet: HasRanges) -> str:
    """A rule for each length of a bar: attributes of style do not get past strict pages."""
    return "".join(
        f".w{each} {{ width: {each / 10:g}%; }}\n" for each in sorted({w for bar in _bars(sheet) for w in bar})
    )


def add_ranges(main: ET.Element, sheet: HasRanges) -> None:
    """The ranges as bars of one scale, with the key to them and the notes."""
    section = ET.SubElement(main, "section")
    add(section, "h2", HOW_FAR)
    first, *notes = sheet.range_notes or ("",)
    add(section, "p", f"{sheet.intro} {first}".strip() if sheet.ranges else first)
    if sheet.ranges:
        far = ET.SubElement(section, "table", {"class": "far"})
        heads = ET.SubElement(far, "thead")
        names, axes = ET.SubElement(heads, "tr"), ET.SubElement(heads, "tr", {"aria-hidden": "true"})
        ET.SubElement(names, "td")
        ET.SubElement(axes, "td")
        for ride in sheet.rides:
            head = ET.SubElement(names, "th", {"scope": "col"})
            add(head, "b", ride.name)
            add(head, "span", ride.about)
            axis = ET.SubElement(ET.SubElement(axes, "td"), "span", {"class": "axis"})
            for share in (0.0, 0.5, 1.0):
                add(axis, "span", f"{share * sheet.scale:g}")
        body = ET.SubElement(far, "tbody")
        for line in sheet.ranges:
            row = ET.SubElement(body, "tr")
            _packs(ET.SubElement(row, "th", {"scope": "row"}), line)
            for figure in line.figures:
                _figure(ET.SubElement(row, "td"), figure)
        key = ET.SubElement(section, "p", {"class": "key"})
        for kind, word in (("solid", "count on"), ("hatch", "likely")):
            one = ET.SubElement(key, "span")
            (ET.SubElement(one, "i", {"class": kind}) if kind == "solid" else _hatch(one)).tail = word
        add(key, "span", " ".join(notes))
    else:
        for note in notes:
            add(section, "p", note)


def _packs(parent: ET.Element, line: RangeLine) -> None:
    inside = ET.SubElement(parent, "span", {"class": "packs"})
    if 1 < len(line.taken) <= MOST_SIGNS:
        signs = ET.SubElement(inside, "span", {"class": "signs", "aria-hidden": "true"})
        for taken in line.taken:
            sign = ET.SubElement(signs, "svg", {"class": "sign", "viewBox": "0 0 10 16"})
            ET.SubElement(sign, "rect", {"x": "3", "y": "0.5", "width": "4", "height": "2", "fill": "#000"})
            about = {"x": "1", "y": "2.5", "width": "8", "height": "12.5", "rx": "1.2", "stroke": "#000"}
            ET.SubElement(sign, "rect", {**about, "fill": "#000" if taken else "none", "stroke-width": "1.2"})
    add(inside, "span", line.packs)


def _figure(parent: ET.Element, figure: RangeFigure) -> None:
    if not figure.likely:
        parent.text = figure.count_on
        return
    number, _, unit = figure.count_on.partition(" ")
    inside = ET.SubElement(parent, "div", {"class": "figure"})
    count_on = ET.SubElement(inside, "span")
    add(count_on, "strong", number).tail = f"\u00a0{unit} "
    add(inside, "span", f"{LIKELY} {figure.likely.partition(' ')[0]}")
    low = _share(figure.low_share)
    bar = ET.SubElement(parent, "div", {"class": "bar", "aria-hidden": "true"})
    ET.SubElement(bar, "i", {"class": f"solid w{low}"})
    _hatch(bar, f"w{max(0, _share(figure.likely_share) - low)}", figure.likely_share - figure.low_share)


def _hatch(parent: ET.Element, width: str = "", share: float = 0.1) -> ET.Element:
    """A hatched piece of a bar, its strokes as long as it may get: a gradient takes a printer seconds."""
    found = ET.SubElement(parent, "svg", {"class": f"hatch {width}".strip(), "aria-hidden": "true"})
    strokes = range(-6, int(WIDEST_BAR * max(share, 0.0)) + 6, 4)
    ET.SubElement(found, "path", {"d": " ".join(f"M{at} 8L{at + 8} 0" for at in strokes), "stroke-width": "1"})
    return found


def _wiring(parent: ET.Element, sheet: CustomerSheet) -> None:
    add(parent, "h2", JOINED)
    scroll = ET.SubElement(parent, "div", {"class": "wiring", "role": "region", "aria-label": JOINED, "tabindex": "0"})
    scroll.append(harness_svg(sheet.drawing))


def _charging(parent: ET.Element, sheet: CustomerSheet) -> None:
    add(parent, "h2", CHARGING)
    if sheet.chargers:
        chargers = ET.SubElement(parent, "ul", {"class": "charge"})
        for line in sheet.chargers:
            row = ET.SubElement(chargers, "li")
            add(row, "b", f"{line.charger}:")
            add(row, "span", line.packs)
    for text in sheet.charging:
        add(parent, "p", text)


def _stop(parent: ET.Element, sheet: CustomerSheet) -> None:
    box = ET.SubElement(parent, "section", {"class": "stop"})
    head = ET.SubElement(box, "h2")
    add(head, "span", STOP)
    if sheet.contact:
        add(head, "span", sheet.contact, **_held(sheet.contact))
    else:
        ET.SubElement(head, "span", {"class": "write"})
    *first, last = sheet.stop
    _listed(box, "ul", first)
    add(box, "p", last)
