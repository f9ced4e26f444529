"""A page as HTML: one file, no scripts, nothing from outside; readable without colour, on paper and on a telephone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from packyoke.page.bars import KEY, bar_svg
from packyoke.page.cells import isolated, kept
from packyoke.page.elements import add_scroll
from packyoke.page.markdown import sentence
from packyoke.page.page import Bar, Block, Facts, Figure, FindingBlock, Lines, Page, Scale, Steps, Table, Ticks, Verdict

STYLE = """
:root { color-scheme: only light; --rule: #777; }
* { print-color-adjust: exact; -webkit-print-color-adjust: exact; box-sizing: border-box; }
body { font: 16px/1.45 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff;
  max-width: 60rem; margin: 1.5rem auto; padding: 0 1rem; overflow-wrap: break-word; }
h1 { font-size: 1.5rem; margin: 0 0 .4rem; }
h2 { font-size: 1.1rem; margin: 1.5rem 0 .4rem; break-after: avoid; break-inside: avoid; }
h2 small { font-weight: 400; font-size: .9em; }
p.verdict, h1.verdict { font-weight: 700; font-size: 1.15rem; border: 3px solid #000; padding: .4rem .8rem;
  margin: 0 0 .8rem; }
/* The thick border is a ground where browsers that darken pages have turned the ground like the page. */
/* White letters are made heavier: a dark copy eats them. */
.verdict.stop { background: #000; color: #fff; -webkit-text-stroke: .2px; border-left-width: 1.3rem; }
.verdict.open { background: repeating-linear-gradient(135deg, #fff 0 9px, #000 9px 10.5px); }
.verdict.open span { background: #fff; padding: 0 .3em; }
main .verdict.good, main .verdict.note, main .verdict.plain { border-width: 1px; font-weight: 600; }
section.finding { border-left: 8px solid #000; padding: .1rem 0 .1rem .8rem; margin: 1rem 0; break-inside: avoid; }
section.finding h2 { margin: .2rem 0; }
section.open { border-left: 8px double #000; } section.caution { border-left: 4px dashed #000; }
section.note, section.good, section.plain { border-left: 1px solid #000; }
dl { display: grid; grid-template-columns: minmax(4.5rem, max-content) 1fr; gap: 0 .8rem; margin: .3rem 0; }
dd { margin: 0; min-width: 0; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid var(--rule); padding: .2rem .5rem; text-align: left; vertical-align: top;
  overflow-wrap: normal; }
td.r, th.r { text-align: right; } tr.over { font-weight: 700; } tr.over td:first-child::before { content: "! "; }
.figures { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 0 .6em; }
table.even { table-layout: fixed; min-width: 36rem; } .even tr > :first-child { width: 28%; }
.figures span:first-child, .group { font-weight: 700; } td.short { white-space: nowrap; }
svg.bar, .scroll svg.bar { display: block; overflow: visible; width: 100%; max-width: none; height: .6rem; }
.ticks { list-style: square; } .signatures { list-style: none; padding: 0; display: flex; gap: 2rem; margin-top: 3rem; }
.signatures li { flex: 1; border-top: 1px solid #000; }
p { margin: .4rem 0; }
.pen { text-decoration: underline 1.2pt; text-decoration-skip-ink: none; text-underline-offset: 1pt; }
.key { display: flex; flex-wrap: wrap; gap: .2rem 1.2rem; font-size: .9rem; margin: .4rem 0; }
.key svg.bar { display: inline-block; width: 2.5rem; margin-right: .4rem; }
pre { overflow-x: auto; border-left: 1px solid var(--rule); padding: .6rem; line-height: 1.25; }
figure { margin: 0 0 .6rem; } figcaption { font-weight: 600; }
.scroll svg { display: block; }
@media screen and (max-width: 40rem) { .name { min-width: 9rem; } }
footer { border-top: 1px solid var(--rule); margin-top: 1.6rem; padding-top: .4rem; font-size: .9rem; }
/* On paper everything is black or white: a bad copier knows nothing else. */
@media print { :root { --rule: #000; }
  body { font-size: 9.5pt; line-height: 1.25; margin: 0; padding: 0 1px 0 0; max-width: none; }
  footer, .key { font-size: 9pt; } p { margin: .2rem 0; }
  footer { margin-top: .6rem; break-before: avoid; break-inside: avoid; } footer p { margin: .1rem 0; }
  h1.verdict, p.verdict { font-size: 12pt; padding: .2rem .8rem; margin-bottom: .4rem; }
  h2 { font-size: 11.5pt; margin: .6rem 0 .2rem; }
  th, td { padding: .1rem .4rem; }
  section.finding { margin: .5rem 0; padding-top: 0; } section.finding h2 { margin: 0 0 .1rem; }
  dl, ul, ol { margin: .2rem 0; } dl { line-height: 1.2; }
  pre { break-inside: avoid; padding: .2rem .6rem; margin: .3rem 0; line-height: 1.15; } .alike { display: none; }
  tbody tr:nth-child(-n+2) { break-after: avoid; } tbody tr:nth-last-child(-n+2) { break-before: avoid; }
  .long, .group, .figures span { overflow-wrap: anywhere; }
  .scroll { overflow: visible; } table.even { min-width: 0; }
  figure svg { max-width: 100%; height: auto; }
  tr, svg, li, figure { break-inside: avoid; } thead { display: table-header-group; } h1 { font-size: 15pt; } }
"""

LONGEST = 20
"""Letters of a word that a column holds without being parted."""
SHORT = 14
"""Letters that stand in one line beside a bar."""


def page_html(page: Page, style: str = STYLE) -> str:
    """One page."""
    return pages_html([page], page.title, style)


def pages_html(pages: Iterable[Page], title: str, style: str = STYLE) -> str:
    """All pages of a run on one."""
    html, main = new_page(title, style)
    for page in pages:
        _page(main, page)
    return written(html)


def new_page(title: str, style: str = STYLE) -> tuple[ET.Element, ET.Element]:
    """An empty page and its main element, to be filled."""
    html = ET.Element("html", lang="en")
    head = ET.SubElement(html, "head")
    ET.SubElement(head, "meta", charset="utf-8")
    ET.SubElement(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    ET.SubElement(head, "title").text = printable(title)
    ET.SubElement(head, "style").text = style
    return html, ET.SubElement(ET.SubElement(html, "body"), "main")


def written(html: ET.Element) -> str:
    """The page as text."""
    return "<!DOCTYPE html>\n" + ET.tostring(html, encoding="unicode", method="html") + "\n"


def printable(text: str) -> str:
    """The text with question marks for what no page may hold."""
    return "".join(c if c.isprintable() or c in "\n\t\u00a0\u2068\u2069" else "?" for c in text)


def add(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    """An element with a text, whatever the text holds: units stay with numbers, right-to-left names by themselves."""
    element = ET.SubElement(parent, tag, {name.rstrip("_"): value for name, value in attributes.items()})
    for at, each in enumerate(_SET_APART.split(isolated(kept(printable(text))))):
        if at % 2 and each.startswith(PEN):
            ET.SubElement(element, "span", {"class": "pen"}).text = each
        elif at % 2:
            ET.SubElement(element, "bdi").text = each.strip("\u2068\u2069")
        elif len(element):
            element[-1].tail = each
        else:
            element.text = each
    return element


PEN = "____"
_SET_APART = re.compile(f"(\u2068[^\u2068\u2069]*\u2069|{PEN}_*)")
"""Names that run from right to left, and lines to write on: drawn heavier than letters, or a copy loses them."""


def _page(main: ET.Element, page: Page) -> None:
    if page.verdict is None or not page.verdict.text.startswith(page.title):
        add(main, "h1", page.title)
    if page.verdict is not None:
        _verdict(main, page.verdict, page.title)
    _points(main, page.lead)
    for block in page.blocks:
        _block(main, block)
    _points(main, page.signatures, "signatures")
    foot = [said for said in (*page.closing, " · ".join(filter(None, (page.source, page.made)))) if said]
    footer = ET.SubElement(main, "footer") if foot else main
    for said in foot:
        add(footer, "p", said)


def _verdict(main: ET.Element, verdict: Verdict, title: str) -> None:
    """The answer in its box; it is the title of the page where it says that, too."""
    tag = "h1" if verdict.text.startswith(title) else "p"
    box = ET.SubElement(main, tag, {"class": f"verdict {verdict.level}"})
    add(box, "span", f"{verdict.word}  {verdict.text}".strip())


def _points(parent: ET.Element, texts: Sequence[str], kind: str = "") -> None:
    if len(texts) == 1 and not kind:
        add(parent, "p", texts[0])
    elif texts:
        points = ET.SubElement(parent, "ul", {"class": kind} if kind else {})
        for text in texts:
            add(points, "li", text)


def _heading(parent: ET.Element, heading: str, about: str) -> None:
    if heading:
        element = add(parent, "h2", sentence(heading))
        if about:
            element.text = f"{element.text} " if not len(element) else element.text
            add(element, "small", f"({about})")


def _block(main: ET.Element, block: Block) -> None:
    if isinstance(block, FindingBlock):
        section = ET.SubElement(main, "section", {"class": f"finding {block.level}"})
        add(section, "h2", f"{block.word}  {block.text}".strip())
        _facts(section, block.facts)
        return
    drawn = isinstance(block, Figure) and block.alike and block.drawings
    _heading(main, block.heading, "" if drawn else block.about)
    if isinstance(block, Facts):
        _facts(main, block.facts)
    elif isinstance(block, Lines):
        _points(main, block.lines)
    elif isinstance(block, Ticks):
        _points(main, block.lines, "ticks")
    elif isinstance(block, Steps):
        steps = ET.SubElement(main, "ol")
        for step in block.steps:
            add(steps, "li", step)
    elif isinstance(block, Table):
        _table(main, block)
        _points(main, block.notes)
    elif isinstance(block, Figure):
        _figure(main, block)


def _facts(parent: ET.Element, facts: Sequence[tuple[str, str]]) -> None:
    rows = [(label, text) for label, text in facts if text]
    if rows:
        listed = ET.SubElement(parent, "dl")
        for label, text in rows:
            add(listed, "dt", label)
            add(listed, "dd", text)


def _table(main: ET.Element, block: Table) -> None:
    scroll = add_scroll(main, _own_name(main, sentence(block.heading) or "table"))
    spans = {at: bar.across for (_, at), bar in block.bars.items()}
    # Where every row has its bar the columns under it are one; else rows without keep their cells apart.
    parted = {at for at in spans if any((row, at) not in block.bars for row in range(len(block.rows)))}
    table = ET.SubElement(scroll, "table", {"class": "even"} if len(spans) > 1 else {})
    shown = [at for at in range(len(block.align)) if not (block.bars and at in block.plain)]
    sides = [{"class": "r"} if each == "r" else {} for each in block.align]
    if any(block.heads):
        line = ET.SubElement(ET.SubElement(table, "thead"), "tr")
        under = 0
        for at in shown:
            # A column without a name has no header cell: an empty one says nothing to somebody who hears the page.
            head = block.heads[at]
            if at in spans:
                under = at + spans[at]
                _side_by_side(line, "th", block.heads[at:under], at in parted, scope="col")
            elif at >= under:
                add(line, "th", head, scope="col", **_wide(sides[at], head)) if head else ET.SubElement(line, "td")
    body = ET.SubElement(table, "tbody")
    for row, cells in enumerate(block.rows):
        line = ET.SubElement(body, "tr", {"class": "over"} if row in block.marked else {})
        under = 0
        for at in shown:
            bar = block.bars.get((row, at))
            if bar is not None:
                under = at + bar.across
                _side_by_side(line, "td", cells[at:under], at in parted).append(bar_svg(bar))
            elif at >= under:
                add(line, "td", cells[at], **_wide(sides[at], cells[at], alone=len(spans) == 1))
    if block.bars and block.scale is not None:
        _key(main, block.scale)


def _own_name(main: ET.Element, name: str) -> str:
    """A name that no other region of the page has."""
    taken = sum((each.get("aria-label") or "").partition(" (")[0] == name for each in main.iter("div"))
    return f"{name} ({taken + 1})" if taken else name


def _wide(about: dict[str, str], text: str, alone: bool = False) -> dict[str, str]:
    """The attributes of a cell; a word longer than a column may be is parted on paper, which does not scroll. Several
    words that are longer have room for more than one a line on a telephone, which does. Beside bars that stand `alone`
    in their column, and would take all the room, short texts stay in one line."""
    kind = "name" if len(text) > LONGEST else ""
    kind = "long" if max(map(len, text.split()), default=0) > LONGEST else kind
    kind = "short" if alone and len(text) <= SHORT else kind
    return {**about, "class": f"{about.get('class', '')} {kind}".strip()} if kind else about


def _side_by_side(line: ET.Element, tag: str, texts: Sequence[str], parted: bool, **about: str) -> ET.Element:
    """One cell with what stands in several columns; over them where they are `parted` in other rows."""
    span = {"colspan": str(len(texts))} if parted and len(texts) > 1 else {}
    cell = ET.SubElement(line, tag, {**about, **span})
    if tag == "th" and ": " in texts[0]:
        group, _, first = texts[0].rpartition(": ")
        add(cell, "div", f"{group}:", class_="group")
        texts = [first, *texts[1:]]
    inside = ET.SubElement(cell, "div", {"class": "figures"})
    for text in texts:
        add(inside, "span", text)
    return cell


def _key(main: ET.Element, scale: Scale) -> None:
    key = ET.SubElement(main, "p", {"class": "key"})
    for bar, word in ((Bar(1.0, 1.0), scale.solid), (Bar(0.0, 1.0), scale.hatched)):
        if word:
            one = ET.SubElement(key, "span")
            one.append(bar_svg(bar, KEY))
            one[-1].tail = word
    add(key, "span", f"One scale for all bars, ticks at {scale.ticks}.")


def _figure(main: ET.Element, block: Figure) -> None:
    for drawing in block.drawings:
        figure = ET.SubElement(main, "figure")
        title = drawing.findtext("title") or ""
        if title and title != block.heading and len(block.drawings) > 1:
            add(figure, "figcaption", title)
        add_scroll(figure, title or block.heading).append(drawing)
    if block.text and block.alike and block.drawings:
        text = ET.SubElement(main, "div", {"class": "alike"})
        add(text, "p", f"({block.about})")
        add(text, "pre", "\n".join(block.text), tabindex="0")
    elif block.text:
        add(main, "pre", "\n".join(block.text), tabindex="0")
