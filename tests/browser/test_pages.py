"""Our pages in a real browser: the customer's sheet prints on one page of A4 and of US Letter, however long the names,
the work sheet on a handful with nothing cut off;
axe finds nothing to mend for screen readers; the Nu Html Checker finds nothing wrong."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from packyoke.answers.check.page import batch_html
from packyoke.answers.plan.answer import planned
from packyoke.answers.plan.answer import view as plan_view
from packyoke.answers.plan.page import plan_page
from packyoke.answers.rundown.answer import view
from packyoke.answers.rundown.page import rundown_page
from packyoke.answers.sheet.customer_html import customer_html
from packyoke.answers.sheet.workshop import workshop_sheet
from packyoke.answers.sheet.workshop_page import workshop_html
from packyoke.api import batch, check_file
from packyoke.page.html import page_html
from packyoke.planning.result import Plan
from tests.sheets import TODAY, built, chain_text, example_sheet, sheet_of
from tests.support import EXAMPLES, ROOT, base_text

MODULES = ROOT / "tests" / "browser" / "node_modules"
AXE = MODULES / "axe-core" / "axe.min.js"
CHECKER = MODULES / "vnu-jar" / "build" / "dist" / "vnu.jar"
MISSING = [
    *(name for name in ("chromium", "pdfinfo", "pdftotext", "java") if shutil.which(name) is None),
    *(path.name for path in (AXE, CHECKER) if not path.exists()),
]
pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)} (npm ci in tests/browser)"),
]

CHROMIUM = (
    "chromium",
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-dev-shm-usage",
)
LONG_S = 120
WORK_SHEETS = {"skerry-long-tail": 8, "breakwater-three-packs": 9, "saltpan-planned": 9, "slipway-city-dock": 8}
"""How many pages are sensible, one of labels among them."""
PLAIN_NAMES = ("work-skerry-long-tail", "work-breakwater-three-packs", "work-saltpan-planned")
MARGIN_POINTS = 12 / 25.4 * 72
EXAMPLE_SHEETS = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp", "slipway-city-dock")
HOSTILE = {
    "shop": "<script>alert(1)</script> & Sons \u202e reversed",
    "contact": 'javascript:"x"; </style></title>' + "W" * 80,
}
RIGHT_TO_LEFT = "דגם ארוך עם שם בעברית"


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
        wide = chain_text(packs, long=True, wide=True, rides=3, chargers=3)
        yield f"{packs}-wide", customer_html(sheet_of(wide, **HOSTILE))
    turned = base_text("skerry-long-tail").replace("keel", RIGHT_TO_LEFT)
    yield "right-to-left", customer_html(sheet_of(turned, **HOSTILE))


def work_sheets() -> Iterator[tuple[str, str]]:
    """A drawn build, a chain of two joiners, one that is planned first, a dock; six packs with long and wide names."""
    texts = {name: base_text(name) for name in WORK_SHEETS}
    texts["six-long"] = chain_text(6, long=True, chargers=3)
    texts["two-wide"] = chain_text(2, long=True, wide=True)
    texts["right-to-left"] = base_text("skerry-long-tail").replace("keel", RIGHT_TO_LEFT)
    for name, text in texts.items():
        yield f"work-{name}", workshop_html(workshop_sheet(built(text), None, today=TODAY, **HOSTILE))


def other_pages() -> Iterator[tuple[str, str]]:
    for path in sorted(EXAMPLES.glob("*.yaml")):
        yield f"check-{path.stem}", batch_html(batch([check_file(path)]))
    for name in ("skerry-long-tail", "breakwater-three-packs"):
        yield f"rundown-{name}", page_html(rundown_page(view(built(base_text(name)), load="12 A")))
    build = built(base_text("saltpan-planned"))
    plan = planned(build, None, None)
    assert isinstance(plan, Plan)
    yield "plan-saltpan", page_html(plan_page(plan_view(build, plan, TODAY)))


@pytest.fixture(scope="module")
def printed() -> dict[str, str]:
    return dict(sheets())


@pytest.fixture(scope="module")
def pages(printed: dict[str, str]) -> dict[str, str]:
    return {**printed, **dict(work_sheets()), **dict(other_pages())}


def run(*arguments: str | Path) -> str:
    return subprocess.run([*map(str, arguments)], capture_output=True, text=True, timeout=LONG_S, check=False).stdout


@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), ("Letter", "letter")])
def test_a_sheet_prints_on_one_page(paper: str, size: str, printed: dict[str, str], tmp_path: Path) -> None:
    """Whoever prints chooses the paper, not the page: the copies here only stand in for that choice."""
    counts = {name: pages_of(print_out(name, html, paper, tmp_path), size) for name, html in printed.items()}
    assert {name: count for name, count in counts.items() if count != 1} == {}


def print_out(name: str, html: str, paper: str, folder: Path) -> Path:
    """The page as a PDF on this paper."""
    assert "size:" not in re.sub(r"(font|box)-siz\w+:", "", html.partition("</style>")[0])
    page, pdf = folder / f"{name}.html", folder / f"{name}.pdf"
    page.write_text(html.replace("</style>", f"@page {{ size: {paper} }}</style>", 1), encoding="utf-8")
    run(
        *CHROMIUM,
        f"--user-data-dir={folder / 'profile'}",
        "--no-pdf-header-footer",
        f"--print-to-pdf={pdf}",
        page.as_uri(),
    )
    return pdf


def pages_of(pdf: Path, size: str) -> int:
    told = run("pdfinfo", pdf)
    assert size in told, f"{pdf.name}: {told}"
    found = re.search(r"Pages:\s+(\d+)", told)
    assert found is not None
    return int(found[1])


@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), ("Letter", "letter")])
def test_a_work_sheet_prints_whole(paper: str, size: str, tmp_path: Path) -> None:
    """Every word stands on some page, inside its margins, and every page says which of how many it is."""
    for name, html in work_sheets():
        pdf = print_out(name, html, paper, tmp_path)
        count = pages_of(pdf, size)
        assert count <= WORK_SHEETS.get(name.removeprefix("work-"), 20), name
        told = run("pdftotext", "-bbox", pdf, "-")
        page_wide = float(re.findall(r'<page width="([\d.]+)"', told)[0])
        words = re.findall(r'<word xMin="([-\d.]+)" yMin="[-\d.]+" xMax="([-\d.]+)" yMax="[-\d.]+">(.*?)</word>', told)
        beyond = [
            word
            for left, right, word in words
            if float(left) < MARGIN_POINTS - 1 or float(right) > page_wide - MARGIN_POINTS + 1
        ]
        assert beyond == [], name
        text = run("pdftotext", pdf, "-")
        assert [f"page {at} of {count}" for at in range(1, count + 1)] == re.findall(r"page \d+ of \d+", text), name
        if name in PLAIN_NAMES:
            shown = re.sub(r"<(style|title|desc)\b.*?</\1>", "", html, flags=re.DOTALL)
            said = [unescape(each) for each in re.findall(r">([^<]+)<", shown)]
            letters = "".join(text.split())
            singles = [each for each in said if len(each.split()) == 1]
            assert [each for each in singles if each.strip() not in letters] == [], name


def test_axe_finds_nothing(pages: dict[str, str], tmp_path: Path) -> None:
    script = (
        f'<script src="{AXE.as_uri()}"></script><script>axe.run().then(found => {{const told = '
        "document.createElement('pre'); told.id = 'axe'; told.textContent = JSON.stringify([found.passes.length, "
        "found.violations.map(each => [each.id, each.help, each.nodes.map(node => node.html)])]); "
        "document.body.append(told)})</script>"
    )
    wrong = {}
    for name, html in pages.items():
        page = tmp_path / f"{name}.html"
        page.write_text(html.replace("</body>", f"{script}</body>", 1), encoding="utf-8")
        shown = run(
            *CHROMIUM,
            f"--user-data-dir={tmp_path / 'profile'}",
            "--virtual-time-budget=30000",
            "--dump-dom",
            page.as_uri(),
        )
        found = re.search(r'<pre id="axe">(.*?)</pre>', shown, re.DOTALL)
        assert found is not None, f"axe did not run on {name}"
        passes, violations = json.loads(found[1].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"))
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
