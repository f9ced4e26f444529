"""Printed on a bad copier: 100 dots to the inch, black or white and nothing between, too light or too dark.

What is told apart on a good print is told apart on the copy: no tone but black and white, no line and no dot that
vanishes, bars, conductors and broken lines of a chart each as they are.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from itertools import groupby, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from packyoke.answers.drawn import drawing, pictures
from packyoke.answers.sheet.customer_html import customer_html
from packyoke.answers.sheet.labels_page import labels_html
from packyoke.answers.sheet.quote_page import quote_html
from packyoke.answers.sheet.workshop import workshop_sheet
from packyoke.answers.sheet.workshop_page import workshop_html
from packyoke.making.labels import labels_of
from packyoke.page import chart
from packyoke.page.html import new_page, page_html, written
from packyoke.page.page import Page, Verdict
from tests.browser.commands import command_pages
from tests.browser.copier import DARK, FAIR, INCH_MM, INCH_PX, Copy, copies, lost_lines
from tests.browser.session import Browser
from tests.report.test_quote_sheet import sheet as quote_of
from tests.sheets import TODAY, built, chain_text, example_sheet
from tests.support import base_text

MISSING = [name for name in ("chromium", "pdftoppm") if shutil.which(name) is None]
pytestmark = [pytest.mark.cross, pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}")]

TONES = (FAIR, DARK)
SHOP = {"shop": "Ropewalk workshop", "contact": "workshop@harbour.example, +00 000 000"}


def printed() -> Iterator[tuple[str, str]]:
    """What is handed to a customer, lies on the bench or goes into a folder; a verdict of each kind."""
    for name in ("breakwater-three-packs", "skerry-long-tail"):
        yield name, customer_html(example_sheet(name, **SHOP))
        yield f"work-{name}", workshop_html(workshop_sheet(built(base_text(name)), None, today=TODAY, **SHOP))
    yield "work-six", workshop_html(workshop_sheet(built(chain_text(6)), None, today=TODAY))
    yield "quote-sheet", quote_html(quote_of())
    yield "labels", labels_html("Labels", labels_of(built(base_text("skerry-long-tail"))), "packyoke")
    for level in ("stop", "open", "caution", "good"):
        yield f"verdict-{level}", page_html(Page(title="Bike", verdict=Verdict(level, level.upper(), "what it is")))
    yield from (each for each in command_pages() if not each[0].endswith(("-long", "-to-left")))


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    return dict(printed())


TONED = """(() => {
  const found = new Set(), seen = colour => {
    const parts = (colour.match(/rgba?\\([^)]*\\)/g) || []).map(each => each.match(/[\\d.]+/g).map(Number));
    for (const [r, g, b, a = 1] of parts) {
      const tone = (0.2126 * r + 0.7152 * g + 0.0722 * b) / 255 * a + 1 - a;
      if (a > 0 && tone > 0.02 && tone < 0.98) return true;
    }
    return false;
  };
  for (const element of document.body.querySelectorAll('*')) {
    for (const part of [null, '::before', '::after']) {
      const style = getComputedStyle(element, part);
      if (part && style.content === 'none') continue;
      const told = [style.backgroundColor, style.backgroundImage, style.fill, style.stroke, style.color];
      for (const side of ['Top', 'Right', 'Bottom', 'Left'])
        if (parseFloat(style[`border${side}Width`])) told.push(style[`border${side}Color`]);
      for (const each of told) if (seen(each)) found.add(`${element.tagName} ${element.className} ${each}`);
      if (parseFloat(style.opacity) < 1) found.add(`${element.tagName} is let through`);
    }
  }
  return [...found];
})()"""


def test_on_paper_everything_is_black_or_white(browser: Browser, pages: dict[str, str]) -> None:
    browser.show("<p style='color: #444'>grey</p>", media="print")
    assert browser.ask(TONED), "a grey word is not found"
    wrong = {}
    for name, html in pages.items():
        browser.show(html, media="print")
        found = browser.ask(TONED)
        if found:
            wrong[name] = found
    assert wrong == {}


def printed_copies(browser: Browser, html: str, folder: Path, paper: str = "A4") -> dict[float, list[Copy]]:
    """The page on paper, copied well and too dark."""
    browser.show(html)
    pdf = folder / "page.pdf"
    pdf.write_bytes(browser.pdf(paper))
    return {tone: copies(pdf, tone) for tone in TONES}


def test_no_line_vanishes_on_a_copy(browser: Browser, pages: dict[str, str], tmp_path: Path) -> None:
    """What a dark copy shows, a fair one shows, too."""
    thin = '<meta charset="utf-8"><div style="border-top: 1px solid #999; width: 200px"></div>'
    made = printed_copies(browser, thin, tmp_path)
    assert any(lost_lines(*each) for each in zip(made[FAIR], made[DARK], strict=True)), "a grey line is not missed"
    wrong = {}
    for name, html in pages.items():
        made = printed_copies(browser, html, tmp_path)
        for at, (fair, dark) in enumerate(zip(made[FAIR], made[DARK], strict=True), 1):
            gone = lost_lines(fair, dark)
            if gone:
                wrong[f"{name}, page {at}"] = gone[:8]
    assert wrong == {}


def test_nothing_at_the_right_edge_is_cut(browser: Browser, pages: dict[str, str]) -> None:
    """A browser lays a page out as wide as the next whole pixel above its paper, and cuts what is beyond."""
    script = """(most => [...document.body.querySelectorAll('*')].filter(each => {
      const style = getComputedStyle(each);
      return parseFloat(style.borderRightWidth) && each.getBoundingClientRect().right > most + 0.01;
    }).map(each => `${each.tagName} ${each.className} ${each.getBoundingClientRect().right}`))"""
    wrong = {}
    for name, html in pages.items():
        margin = re.search(r"@page \{ margin: ?(?:[\d.]+mm )?([\d.]+)mm", html)
        paper = (210.0 - 2 * float(margin[1] if margin else 10.0)) / INCH_MM * INCH_PX
        browser.show(html, width=int(paper) + 1, media="print")
        found = browser.ask(f"{script}({paper})")
        if found:
            wrong[name] = found
    assert wrong == {}


BARS = """[...document.querySelectorAll('.far .bar, td svg.bar')].map(bar => {
  const parts = bar.tagName === 'svg' ? [bar.querySelector('rect'), bar.querySelector('path:nth-of-type(4)')]
    : [bar.querySelector('.solid'), bar.querySelector('.hatch')];
  return [bar, ...parts].map(each => {
    const box = each && each.getBoundingClientRect();
    return box && [box.left, box.top, box.right, box.bottom];
  });
})"""


@pytest.mark.parametrize(
    ("name", "side_mm", "top_mm"),
    [("breakwater-three-packs", 12.0, 9.0), ("quote-sheet", 12.0, 9.0), ("range-short", 10.0, 10.0)],
)
def test_solid_hatched_and_empty_stay_apart(
    name: str, side_mm: float, top_mm: float, browser: Browser, pages: dict[str, str], tmp_path: Path
) -> None:
    """Bars of a page that is one page on paper: there they stand where they stand in a window of that width."""
    made = printed_copies(browser, pages[name], tmp_path)
    x, y = (side / INCH_MM * INCH_PX for side in (side_mm, top_mm))
    browser.show(pages[name], width=int((210.0 - 2 * side_mm) / INCH_MM * INCH_PX) + 1, media="print")
    bars = [each for each in browser.ask(BARS) if each[0][3] < 900 and each[2] and each[2][2] - each[2][0] > 12]
    assert len(bars) > 3
    for tone in TONES:
        for whole, solid, hatched in bars:
            empty = [hatched[2] + 2, whole[1], whole[2] - 2, whole[3]]
            shares = [
                made[tone][0].share(box[0] + x, box[1] + y, box[2] + x, box[3] + y)
                for box in (solid, hatched, empty)
                if box[2] - box[0] > 6
            ]
            assert shares[0] > 0.97, (tone, solid)
            assert 0.1 < shares[1] < 0.75, (tone, hatched)
            assert all(each < 0.1 for each in shares[2:]), (tone, empty)


def on_bare_paper(*drawn: ET.Element) -> str:
    """Drawings one under the other from the corner of the paper on."""
    style = "@page { margin: 0 } body { margin: 0; background: #fff } svg { display: block }"
    html, main = new_page("drawing", style)
    main.extend(drawn)
    return written(html)


CONDUCTORS = """[...document.querySelectorAll('polyline')].map(line => [
  line.getAttribute('stroke-width'), line.getAttribute('stroke'), !!line.getAttribute('stroke-dasharray'),
  [...line.points].map(p => p.matrixTransform(line.getScreenCTM())).map(p => [p.x, p.y])])"""


@pytest.mark.parametrize("packs", [2, 3])
def test_plus_and_minus_stay_apart(packs: int, browser: Browser, tmp_path: Path) -> None:
    """Along most of every conductor a plus is black right through, and a minus has a white middle between black."""
    html = on_bare_paper(*pictures(drawing(built(chain_text(packs)))))
    made = printed_copies(browser, html, tmp_path)
    browser.show(html, width=794, media="print")
    told = [
        (width, pair)
        for width, colour, dashed, points in browser.ask(CONDUCTORS)
        if colour == "#000" and width in ("3", "5") and not dashed
        for pair in pairwise(points)
        if max(abs(pair[0][0] - pair[1][0]), abs(pair[0][1] - pair[1][1])) > 40
    ]
    kinds = [width for width, _ in told]
    assert kinds.count("3") > packs
    assert kinds.count("5") > packs
    for tone in TONES:
        for width, ((x, y), (to_x, to_y)) in told:
            right = [
                _across(made[tone][0], x + (to_x - x) * at / 40, y + (to_y - y) * at / 40, y == to_y)
                for at in range(3, 38)
            ]
            wanted = "black" if width == "3" else "hollow"
            assert right.count(wanted) > 0.6 * len(right), (tone, width, x, y, right)


def _across(copy: Copy, x: float, y: float, level: bool) -> str:
    """What stands across a line: one stretch of black, or two with white between."""
    dots = [
        copy.black(x, y + by) if level else copy.black(x + by, y) for by in (at * INCH_PX / 100 for at in range(-4, 5))
    ]
    runs = [black for black, _ in groupby(dots)]
    return {1: "black", 2: "hollow"}.get(runs.count(True), "else")


def test_broken_lines_keep_their_gaps_and_their_dots(browser: Browser, tmp_path: Path) -> None:
    """As many dashes on the copy as in the drawing, wherever between two dots of the copier they lie."""
    patterns = [(dash, "2") for dash in chart.DASHES[1:]] + [(chart.DOTTED, chart.DOTS), (chart.GRID, chart.DOTS)]
    svg = ET.Element("svg", {"width": "420", "height": "900", "viewBox": "0 0 420 900"})
    places = []
    for at, (dash, width) in enumerate(patterns):
        for place in range(4):
            y = 10.3 + 14.0 * (4 * at + place) + 0.3 * place
            line = {"points": f"{10 + 0.27 * place},{y} {310 + 0.27 * place},{y}", "stroke": "#000"}
            ET.SubElement(svg, "polyline", {**line, "stroke-width": width, "stroke-dasharray": dash})
            places.append((dash, y))
    made = printed_copies(browser, on_bare_paper(svg), tmp_path)
    for tone in TONES:
        for dash, y in places:
            lengths = [float(each) for each in dash.split()]
            strokes = 300 / sum(lengths) * len(lengths) / 2
            page = made[tone][0]
            rows = [
                [black for black, _ in groupby(page.black(9 + at * INCH_PX / 100, y + by) for at in range(320))].count(
                    True
                )
                for by in (-1.0, 0.0, 1.0)
            ]
            assert min(abs(each - strokes) for each in rows) <= 2, (tone, dash, y, rows, strokes)
