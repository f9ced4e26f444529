"""Our pages in a real browser: the customer's sheet prints on one page of A4 and of US Letter, however long the names,
the work sheet on a handful with nothing cut off;
axe finds nothing to mend for screen readers; the Nu Html Checker finds nothing wrong."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import zlib
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from packyoke.answers.check.page import batch_html, check_page
from packyoke.answers.drawn import drawing, of_report, pictures
from packyoke.answers.plan.answer import planned
from packyoke.answers.plan.answer import view as plan_view
from packyoke.answers.plan.page import plan_page
from packyoke.answers.rundown.answer import view
from packyoke.answers.rundown.page import rundown_page
from packyoke.answers.sheet.customer_html import customer_html
from packyoke.answers.sheet.labels_page import LABELS
from packyoke.answers.sheet.quote_page import quote_html
from packyoke.answers.sheet.workshop import workshop_sheet
from packyoke.answers.sheet.workshop_page import DRAWN, TICK, WRITE, WorkshopSheet, workshop_html, workshop_page
from packyoke.answers.sheet.workshop_words import LAST
from packyoke.api import batch, check, check_file
from packyoke.page.html import page_html
from packyoke.page.page import Lines, Table, Ticks
from packyoke.planning.result import Plan
from tests.browser.commands import RIGHT_TO_LEFT, command_pages
from tests.browser.session import PAPERS, Browser
from tests.odd import ODD
from tests.report.test_quote_sheet import sheet as quote_of
from tests.sheets import TODAY, built, chain_text, example_sheet, sheet_of
from tests.support import EXAMPLES, ROOT, base_text

MODULES = ROOT / "tests" / "browser" / "node_modules"
AXE = MODULES / "axe-core" / "axe.min.js"
CHECKER = MODULES / "vnu-jar" / "build" / "dist" / "vnu.jar"
MISSING = [
    *(name for name in ("chromium", "pdftotext", "java") if shutil.which(name) is None),
    *(path.name for path in (AXE, CHECKER) if not path.exists()),
]
pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)} (npm ci in tests/browser)"),
]

LONG_S = 120
WORK_SHEETS = {
    "skerry-long-tail": 5,
    "breakwater-three-packs": 5,
    "saltpan-planned": 7,
    "slipway-city-dock": 5,
    "two-packs": 5,
    "three-packs": 5,
    "four-packs": 7,
    "five-packs": 8,
    "six-packs": 8,
    "six-long": 9,
}
"""At most so many pages of A4 and of US Letter, labels and drawing among them."""
MORE_ON_LETTER = {"six-packs": 1, "six-long": 1}
EXAMPLES_WORKED = ("skerry-long-tail", "breakwater-three-packs", "saltpan-planned")
MADE_UP = {"two-packs": 2, "three-packs": 3, "four-packs": 4, "five-packs": 5, "six-packs": 6}
PLAIN_NAMES = (*EXAMPLES_WORKED, *MADE_UP, "six-long")
MARGIN_POINTS = 9.5 / 25.4 * 72
"""Margins of 10 mm; a browser rounds the width of a page up to whole pixels."""
EXAMPLE_SHEETS = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp", "slipway-city-dock")
CROWDED = ("4-wide", "5-wide", "6-wide")
"""Every name of forty letters W, a telephone number of a hundred: what was told may stand on a second page."""
HOSTILE = {
    "shop": "<script>alert(1)</script> & Sons \u202e reversed",
    "contact": 'javascript:"x"; </style></title>' + "W" * 80,
}


def sheets() -> Iterator[tuple[str, str]]:
    """The examples, one to six packs with short, long and wide names, and hostile names."""
    shop = {"shop": "Ropewalk workshop", "contact": "workshop@harbour.example, +00 000 000"}
    for name in EXAMPLE_SHEETS:
        yield name, customer_html(example_sheet(name, **shop))
        yield f"{name}-us", customer_html(example_sheet(name, system="us"))
    for packs in range(1, 7):
        yield f"{packs}-short", customer_html(sheet_of(chain_text(packs), **shop))
        long = chain_text(packs, long=True, rides=3, chargers=3)
        yield f"{packs}-long", customer_html(sheet_of(long, shop="S" * 80, contact="c" * 100))
        yield f"{packs}-named", customer_html(sheet_of(long, **shop))
        wide = chain_text(packs, long=True, wide=True, rides=3, chargers=3)
        yield f"{packs}-wide", customer_html(sheet_of(wide, **HOSTILE))
    turned = base_text("skerry-long-tail").replace("keel", RIGHT_TO_LEFT)
    yield "right-to-left", customer_html(sheet_of(turned, **HOSTILE))
    yield "quote-sheet", quote_html(quote_of())


def worked_texts() -> dict[str, str]:
    """Build files for the bench: examples, chains of two to six packs; long, wide and right-to-left names."""
    texts = {name: base_text(name) for name in WORK_SHEETS if name not in (*MADE_UP, "six-long")}
    texts |= {name: chain_text(packs) for name, packs in MADE_UP.items()}
    texts["six-long"] = chain_text(6, long=True, chargers=3)
    texts["two-wide"] = chain_text(2, long=True, wide=True)
    texts["right-to-left"] = base_text("skerry-long-tail").replace("keel", RIGHT_TO_LEFT)
    return texts


def work_sheets() -> Iterator[tuple[str, WorkshopSheet]]:
    """A drawn build, a chain of two joiners, one that is planned first, a dock; six packs with long and wide names."""
    for name, text in worked_texts().items():
        yield f"work-{name}", workshop_sheet(built(text), None, today=TODAY, **HOSTILE)


def other_pages() -> Iterator[tuple[str, str]]:
    for path in sorted(EXAMPLES.glob("*.yaml")):
        yield f"check-{path.stem}", batch_html(batch([check_file(path)]))
    for name in ("skerry-long-tail", "breakwater-three-packs"):
        yield f"rundown-{name}", page_html(rundown_page(view(built(base_text(name)), load="12 A")))
    build = built(base_text("saltpan-planned"))
    plan = planned(build, None, None)
    assert isinstance(plan, Plan)
    yield "plan-saltpan", page_html(plan_page(plan_view(build, plan, TODAY)))
    yield "odd", page_html(check_page(check(built(ODD["three joiners in a ring"]), today=TODAY)))
    yield from command_pages()


@pytest.fixture(scope="module")
def printed() -> dict[str, str]:
    return dict(sheets())


@pytest.fixture(scope="module")
def worked() -> dict[str, str]:
    return {name: workshop_html(sheet) for name, sheet in work_sheets()}


@pytest.fixture(scope="module")
def pages(printed: dict[str, str], worked: dict[str, str]) -> dict[str, str]:
    return {**printed, **worked, **dict(other_pages())}


def run(*arguments: str | Path) -> str:
    return subprocess.run([*map(str, arguments)], capture_output=True, text=True, timeout=LONG_S, check=False).stdout


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_prints_on_one_page(paper: str, browser: Browser, printed: dict[str, str]) -> None:
    """Whoever prints chooses the paper, not the page."""
    wrong = {}
    for name, html in printed.items():
        assert "size:" not in re.sub(r"(font|box)-siz\w+:", "", html.partition("</style>")[0])
        browser.show(html)
        count = len(re.findall(rb"/Type /Page\b", browser.pdf(paper)))
        if count > (2 if name in CROWDED else 1):
            wrong[name] = count
    assert wrong == {}


MEASURE = """(() => {
  const small = [], outside = [], over = [], boxes = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const wide = document.documentElement.clientWidth;
  while (walk.nextNode()) {
    const node = walk.currentNode, parent = node.parentElement;
    if (!node.data.trim() || parent.closest('title, desc, style, script')) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    if (!box.width || !box.height) continue;
    const drawn = parent.closest('svg');
    let size = parseFloat(getComputedStyle(parent).fontSize);
    if (drawn) size *= Math.abs(parent.getScreenCTM().a || parent.getScreenCTM().b);
    const scrolled = parent.closest('.scroll, pre, .wiring');
    if (size < LEAST * 96 / 72 - 0.05) small.push([node.data.trim(), size * 72 / 96]);
    if (!scrolled && (box.left < -0.5 || box.right > wide + 0.5)) outside.push(node.data.trim());
    if (!scrolled) for (const each of range.getClientRects()) boxes.push([each, node]);
  }
  for (let i = 0; i < boxes.length; i++) for (let k = i + 1; k < boxes.length; k++) {
    const [a, one] = boxes[i], [b, other] = boxes[k];
    if (one === other) continue;
    const x = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (x > 1.5 && y > Math.min(a.height, b.height) * 0.35) over.push([one.data.trim(), other.data.trim()]);
  }
  return [small, outside, over, document.documentElement.scrollWidth > wide + 1];
})()"""


def test_no_word_on_paper_is_small_outside_or_over_another(
    browser: Browser, printed: dict[str, str], worked: dict[str, str]
) -> None:
    """Nothing under 9 points, axes and the foot of a page under 8.5; as wide as A4 within its margins, with the
    drawings of a work sheet."""
    wrong = {}
    for name, html in {**printed, **worked}.items():
        browser.show(html, width=703 if name in printed else 718, media="print")
        small, outside, over, _ = browser.ask(MEASURE.replace("LEAST", "8.5"))
        found = [small, outside, over]
        if any(found):
            wrong[name] = found
    assert wrong == {}


@pytest.mark.parametrize(("paper", "width"), [("A4", 703), ("Letter", 725), ("screen", 1280)])
def test_no_word_of_a_command_is_small_outside_or_over_another(
    paper: str, width: int, browser: Browser, tmp_path: Path
) -> None:
    """The pages of commands as wide as a paper within its margins, and on a screen: at least 9 points; bars are as long
    as their figures."""
    wrong = {}
    for name, html in command_pages():
        browser.show(html, width=width, media="screen" if paper == "screen" else "print")
        small, outside, over, sideways = browser.ask(MEASURE.replace("LEAST", "8.9"))
        if small or outside or over or sideways:
            wrong[name] = (small, outside, over, sideways)
        lying = browser.ask(
            "[...document.querySelectorAll('td svg.bar')].map(bar => { const b = bar.getBoundingClientRect(), "
            "c = bar.closest('td').getBoundingClientRect(); return [b.width > 40, b.right <= c.right + 1]; })"
        )
        assert all(all(each) for each in lying), name
        assert lying or not name.startswith(("range-s", "charge", "meter-s", "quote")), name
        if paper in PAPERS:
            pdf = tmp_path / f"{name}.pdf"
            pdf.write_bytes(browser.pdf(paper))
            told = run("pdftotext", "-bbox", pdf, "-")
            wide = float(re.findall(r'<page width="([\d.]+)"', told)[0])
            places = re.findall(r'<word xMin="([-\d.]+)" yMin="[-\d.]+" xMax="([-\d.]+)"', told)
            assert places
            assert all(float(left) > 10 and float(right) < wide - 10 for left, right in places), name
            assert alone(run("pdftotext", "-layout", pdf, "-"), html) == [], name
    assert wrong == {}


def alone(told: str, html: str) -> list[str]:
    """Pages of paper that hold next to nothing, or only the foot of the whole; headings with nothing under them."""
    pages = [re.sub(r"\s+", " ", page).strip() for page in told.rstrip("\f\n ").split("\f")]
    heads = [_words(each) for each in re.findall(r"<h2>(.*?)</h2>", html, re.S)]
    foot = _words("".join(re.findall(r"<footer>(.*?)</footer>", html, re.S)))
    bare = [f"page {at}: {page}" for at, page in enumerate(pages, 1) if len(page) < 20 or _words(page) in foot]
    ends = [
        f"page {at} ends with {head}"
        for at, page in enumerate(pages, 1)
        for head in heads
        if head and _words(page).endswith(head)
    ]
    return bare + ends


def _words(html: str) -> str:
    """What is read of a piece of a page, without spaces."""
    return re.sub(r"<[^>]*>|[\s\u2066-\u2069]", "", unescape(html))


PARTED = """(() => {
  const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (node.parentElement.closest('svg, title, style, pre')) continue;
    for (const word of node.data.matchAll(/[^ \\n\\t-]+/g)) {
      if (word[0].length > LONGEST || /[\\u3000-\\u9fff\\u202e]/.test(word[0])) continue;
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].filter(r => r.width > 0).map(r => Math.round(r.top)));
      if (lines.size > 1) found.push(word[0]);
    }
  }
  return found;
})()"""


def test_every_page_is_read_on_a_telephone_without_scrolling_sideways(browser: Browser, pages: dict[str, str]) -> None:
    """No word of up to 16 letters is parted, nor a number from its unit; tables and drawings scroll by themselves."""
    wrong = {}
    for name, html in pages.items():
        browser.show(html, width=390)
        _, outside, over, sideways = browser.ask(MEASURE.replace("LEAST", "0"))
        parted = browser.ask(PARTED.replace("LONGEST", "16"))
        if outside or over or sideways or parted:
            wrong[name] = (outside, over, sideways, parted)
    assert wrong == {}


@pytest.mark.parametrize("dark", [False, True])
def test_what_is_filled_is_told_from_what_is_not(dark: bool, browser: Browser, printed: dict[str, str]) -> None:
    """Bars, pack signs and the lines of the drawing, in light and where a browser darkens every page."""
    browser.show(printed["breakwater-three-packs"], width=800, dark=dark)
    script = """(() => {
      const at = (e, x, y) => {
        const b = e.getBoundingClientRect();
        return [b.left + b.width * x - 1, b.top + b.height * y - 1];
      };
      const one = name => document.querySelector(name);
      const signs = document.querySelectorAll('.far tbody tr:nth-child(2) .sign');
      return {solid: at(one('.solid'), .5, .5), empty: at(one('.far tbody tr:last-child .bar'), .97, .5),
        full: at(signs[0], .5, .6), hollow: at(signs[2], .5, .6)};
    })()"""
    places = {name: browser.picture(*at) for name, at in browser.ask(script).items()}
    assert places["solid"] != places["empty"]
    assert places["full"] != places["hollow"]


def test_bars_are_drawn_to_one_scale(browser: Browser, printed: dict[str, str]) -> None:
    """As many pixels for a kilometre in every bar of a sheet."""
    script = """[...document.querySelectorAll('.far td')].filter(cell => cell.querySelector('.bar')).map(cell => [
      parseFloat(cell.querySelector('strong').textContent),
      cell.querySelector('.solid').getBoundingClientRect().width])"""
    for name in EXAMPLE_SHEETS:
        browser.show(printed[name], width=703, media="print")
        bars = browser.ask(script)
        most_km, most_px = max(bars)
        assert len(bars) > 1
        for km, px in bars:
            assert abs(px / most_px - km / most_km) < 1.5 / most_km, name


@pytest.mark.parametrize("paper", PAPERS)
def test_a_work_sheet_prints_whole(paper: str, browser: Browser, worked: dict[str, str], tmp_path: Path) -> None:
    """Every word stands on some page, inside its margins, and every page says which of how many it is."""
    for name, html in worked.items():
        browser.show(html)
        pdf = tmp_path / f"{name}.pdf"
        pdf.write_bytes(browser.pdf(paper))
        told = run("pdftotext", "-bbox", pdf, "-")
        count = told.count("<page ")
        kind = name.removeprefix("work-")
        assert count <= WORK_SHEETS.get(kind, 20) + (paper == "Letter") * MORE_ON_LETTER.get(kind, 0), name
        page_wide = float(re.findall(r'<page width="([\d.]+)"', told)[0])
        words = re.findall(r'<word xMin="([-\d.]+)" yMin="[-\d.]+" xMax="([-\d.]+)" yMax="[-\d.]+">(.*?)</word>', told)
        beyond = [
            word
            for left, right, word in words
            if float(left) < MARGIN_POINTS - 1 or float(right) > page_wide - MARGIN_POINTS + 1
        ]
        assert beyond == [], name
        assert alone(run("pdftotext", "-layout", pdf, "-"), html) == [], name
        text = run("pdftotext", pdf, "-")
        assert [f"page {at} of {count}" for at in range(1, count + 1)] == re.findall(r"page \d+ of \d+", text), name


def sentences(sheet: WorkshopSheet) -> Iterator[str]:
    """Every title, sentence, step and cell of the text form, without what is there for the pen."""
    for block in workshop_page(sheet).blocks:
        yield block.heading
        if isinstance(block, Lines | Ticks) and block.heading not in (LABELS, DRAWN):
            yield from (re.sub(r"^\d  |: _+$", "", line) for line in block.lines)
        if isinstance(block, Table):
            yield from (cell for row in (block.heads, *block.rows) for cell in row if cell not in (WRITE, TICK))
    yield from (*sheet.signatures, *sheet.head, *sheet.basis, sheet.cautions)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_work_sheet_says_all_that_its_text_says_and_breaks_no_short_table(
    paper: str, browser: Browser, tmp_path: Path
) -> None:
    """On paper, the words of one cell together. Tables of up to six rows stand in one column of one page: their first
    head and their last row are marked with a word of their own, and the words are looked for."""
    for name, sheet in work_sheets():
        if name.removeprefix("work-") not in PLAIN_NAMES:
            continue
        html = workshop_html(sheet)
        parts = html.split("<table")
        short = [at for at, part in enumerate(parts) if 0 < part.count("<tr>") - 1 <= 6]
        assert len(short) > 3
        for at in short:
            first, rest = parts[at].split("</th>", 1)
            before, _, after = rest.rpartition("</tr>")
            token = '<i style="font-size: 1px">{}</i>'
            last = f"{before.removesuffix('</td>')}{token.format(f'zq{at}e')}</td></tr>{after}"
            parts[at] = f"{first}{token.format(f'zq{at}s')}</th>{last}"
        browser.show(html)
        pdf = tmp_path / "sheet.pdf"
        pdf.write_bytes(browser.pdf(paper))
        foot = "".join(f"{sheet.title[:60]} · {sheet.fingerprint}".split())
        told = re.sub(r"page\d+of\d+|\x0c", "", _run_together(pdf).replace(foot, ""))
        missing = [each for each in sentences(sheet) if "".join(each.split()) not in told]
        assert missing == [], f"{name}: not there, or parted between two pages"
        pages = [_together(page) for page in run("pdftotext", "-raw", pdf, "-").split("\x0c")]
        last = [
            next(at for at, page in enumerate(pages) if _together(each) in page)
            for each in (LAST[0], *sheet.signatures)
        ]
        assert len({*last}) == 1, f"{name}: what is left to do and who signs stand on one page"
        browser.show("<table".join(parts))
        pdf.write_bytes(browser.pdf(paper))
        pages = run("pdftotext", "-raw", pdf, "-").split("\x0c")
        for at in short:
            held = [[f"zq{at}{end}" in page for page in pages] for end in "se"]
            assert held[0] == held[1], (name, at)
            assert sum(held[0]) == 1, (name, at)


@pytest.mark.parametrize("paper", PAPERS)
def test_no_step_of_a_work_sheet_is_parted(paper: str, browser: Browser, tmp_path: Path) -> None:
    """Its first and its last words, marked, stand on one page, the last not above the first: in one column."""
    texts = worked_texts()
    for name in ("breakwater-three-packs", "four-packs", "six-long"):
        sheet = workshop_sheet(built(texts[name]), None, today=TODAY, shop="Ropewalk workshop", contact="01 555 0100")
        parts = re.split(r'(<li><span class="box">.*?</li>)', workshop_html(sheet))
        marked = [
            re.sub(r"<span>(.*)</span></li>", rf"<span>{_token(at, 's')}\1{_token(at, 'e')}</span></li>", part)
            for at, part in enumerate(parts)
        ]
        browser.show("".join(marked))
        pdf = tmp_path / "steps.pdf"
        pdf.write_bytes(browser.pdf(paper))
        places: dict[str, tuple[int, float]] = {}
        for page, told in enumerate(run("pdftotext", "-bbox", pdf, "-").split("<page ")):
            for y, word in re.findall(r'yMin="([-\d.]+)" xMax="[-\d.]+" yMax="[-\d.]+">(.*?)</word>', told):
                places |= {token: (page, float(y)) for token in re.findall(r"zq\d+[se]", word)}
        steps = range(1, len(parts), 2)
        assert len(steps) > 15
        for at in steps:
            first, last = places[f"zq{at}s"], places[f"zq{at}e"]
            assert first[0] == last[0], (name, parts[at])
            assert first[1] < last[1] + 5.0, (name, parts[at])


def _token(at: int, end: str) -> str:
    return f'<i style="font-size: 1px">zq{at}{end}</i>'


def _run_together(pdf: Path) -> str:
    return "".join(run("pdftotext", "-raw", pdf, "-").split(" ")).replace("\n", "").replace("\u00a0", "")


def _together(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("names", ["short", "long", "wide", "right to left"])
def test_a_wiring_diagram_is_read_on_paper(names: str, browser: Browser) -> None:
    """One to six packs as wide as A4 within its margins: letters of 9 points and more, no word over another, over a
    conductor or outside, however long the names."""
    for packs in range(1, 7):
        text = chain_text(packs, long=names in ("long", "wide"), wide=names == "wide")
        text = text.replace("Pack ", f"{RIGHT_TO_LEFT} ") if names == "right to left" else text
        drawn = pictures(drawing(built(text)))
        assert len(drawn) == 1 if packs < 3 else len(drawn) <= packs
        page = "".join(f"<p>{ET.tostring(each, encoding='unicode')}</p>" for each in drawn)
        browser.show(f'<meta charset="utf-8"><style>body {{ margin: 0 }}</style>{page}', width=717, media="print")
        small, outside, over, sideways = browser.ask(MEASURE.replace("LEAST", "9"))
        struck = browser.ask(STRUCK)
        assert (small, outside, over, sideways, struck) == ([], [], [], False, []), packs


def test_an_odd_harness_is_read_on_paper(browser: Browser) -> None:
    """Rings, leads side by side, dead ends, inlets left empty: nothing over another thing, no lead left out."""
    for name, text in ODD.items():
        build = built(text)
        drawn = of_report(check(build, today=TODAY))
        page = "".join(f"<p>{ET.tostring(each, encoding='unicode')}</p>" for each in drawn)
        browser.show(f'<meta charset="utf-8"><style>body {{ margin: 0 }}</style>{page}', width=717, media="print")
        assert browser.ask(MEASURE.replace("LEAST", "9")) == [[], [], [], False], name
        assert browser.ask(STRUCK) == [], name
        told = browser.ask("[...document.querySelectorAll('svg text')].map(each => each.textContent)")
        assert {*build.packs, *build.joiners, "controller"} <= {*told}, name
        assert {str(at) for at in range(1, len(build.leads) + 1)} <= {*told}, name


STRUCK = """(() => {
  const found = [];
  for (const svg of document.querySelectorAll('svg')) {
    const lines = [];
    for (const line of svg.querySelectorAll('polyline[stroke="#000"]')) {
      const half = parseFloat(line.getAttribute('stroke-width')) / 2;
      if (half < 1.4) continue;
      const points = [...line.points].map(p => p.matrixTransform(line.getScreenCTM()));
      for (let i = 1; i < points.length; i++) {
        const [a, b] = [points[i - 1], points[i]];
        lines.push([Math.min(a.x, b.x) - half, Math.min(a.y, b.y) - half,
          Math.max(a.x, b.x) + half, Math.max(a.y, b.y) + half]);
      }
    }
    for (const text of svg.querySelectorAll('text')) {
      const box = text.getBoundingClientRect(), size = parseFloat(text.getAttribute('font-size'));
      const foot = text.getScreenCTM().f + parseFloat(text.getAttribute('y'));
      const [left, top, right, low] = [box.left + 0.6, foot - 0.7 * size, box.right - 0.6, foot];
      if (lines.some(l => l[0] < right && l[2] > left && l[1] < low && l[3] > top)) found.push(text.textContent);
    }
  }
  return found;
})()"""


def test_axe_finds_nothing(browser: Browser, pages: dict[str, str]) -> None:
    axe = AXE.read_text(encoding="utf-8")
    asked = (
        "axe.run().then(found => [found.passes.length, "
        "found.violations.map(each => [each.id, each.help, each.nodes.map(node => node.html)])])"
    )
    wrong = {}
    for name, html in pages.items():
        browser.show(html)
        browser.ask(f"{axe}; null")
        passes, violations = browser.ask(asked)
        assert passes > 5, name
        if violations:
            wrong[name] = violations
    assert wrong == {}


def test_the_html_checker_finds_nothing(pages: dict[str, str], tmp_path: Path) -> None:
    files = []
    for name, html in pages.items():
        files.append(tmp_path / f"{name}.html")
        files[-1].write_text(html, encoding="utf-8")
    broken = tmp_path / "broken.html"
    broken.write_text("<!DOCTYPE html><html lang=en><title>x</title><p><div></p>", encoding="utf-8")
    told = json.loads(run("java", "-jar", CHECKER, "--stdout", "--format", "json", *files, broken))
    messages = [(Path(each["url"]).name, each.get("lastLine"), each["message"]) for each in told["messages"]]
    assert any(name == broken.name for name, _, _ in messages), "the checker does not find what is wrong"
    assert [each for each in messages if each[0] != broken.name] == []


@pytest.mark.parametrize("dark", [False, True])
def test_a_stop_is_a_block_of_another_tone_than_the_page(dark: bool, browser: Browser) -> None:
    """In light, and where a browser darkens every page and the ground of the line with it."""
    report = check(built(base_text("quay-plain-trike")), today=TODAY)
    browser.show(page_html(check_page(report)), width=800, dark=dark)
    script = """(() => {
      const b = document.querySelector('.verdict.stop').getBoundingClientRect();
      return {inside: [b.left + 8, b.top + b.height / 2], beside: [b.left - 8, b.top + b.height / 2]};
    })()"""
    tones = {name: tone(browser.picture(*at)) for name, at in browser.ask(script).items()}
    assert abs(tones["inside"] - tones["beside"]) > 0.2


def tone(png: bytes) -> float:
    """How light the first pixel is, from 0 to 1: no filter of a PNG changes that one (ISO/IEC 15948, clause 9)."""
    packed = b""
    at = 8
    while at < len(png):
        length, kind = int.from_bytes(png[at : at + 4]), png[at + 4 : at + 8]
        packed += png[at + 8 : at + 8 + length] if kind == b"IDAT" else b""
        at += 12 + length
    return sum(zlib.decompress(packed)[1:4]) / (3 * 255)
