"""Our pages in a real browser: the customer's sheet prints on one page of A4 and of US Letter, however long the names;
axe finds nothing to mend for screen readers; the Nu Html Checker finds nothing wrong."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from packyoke.api import batch, check_file
from packyoke.report.html import batch_html
from packyoke.report.rundown_page import rundown_html
from packyoke.report.sheet import customer_html
from packyoke.running.rundown import view
from tests.sheets import built, chain_text, example_sheet, sheet_of
from tests.support import EXAMPLES, ROOT, base_text

MODULES = ROOT / "tests" / "browser" / "node_modules"
AXE = MODULES / "axe-core" / "axe.min.js"
CHECKER = MODULES / "vnu-jar" / "build" / "dist" / "vnu.jar"
MISSING = [
    *(name for name in ("chromium", "pdfinfo", "java") if shutil.which(name) is None),
    *(path.name for path in (AXE, CHECKER) if not path.exists()),
]
pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)} (npm ci in tests/browser)"),
]

CHROMIUM = (
    "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-dev-shm-usage",
)  # fmt: skip
LONG_S = 120
EXAMPLE_SHEETS = ("skerry-long-tail", "heron-three-packs", "lantern-lfp", "tern-city-dock")
HOSTILE = {
    "shop": "<script>alert(1)</script> & Sons \u202e reversed",
    "contact": 'javascript:"x"; </style></title>' + "W" * 80,
}  # fmt: skip
RIGHT_TO_LEFT = "דגם ארוך עם שם בעברית"


def sheets() -> Iterator[tuple[str, str]]:
    """The examples, one to six packs with short, long and wide names, and hostile names."""
    shop = {"shop": "Harbour Street Cycles", "contact": "workshop@harbour.example, +00 000 000"}
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


def other_pages() -> Iterator[tuple[str, str]]:
    for path in sorted(EXAMPLES.glob("*.yaml")):
        yield f"check-{path.stem}", batch_html(batch([check_file(path)]))
    for name in ("skerry-long-tail", "heron-three-packs"):
        yield f"rundown-{name}", rundown_html(view(built(base_text(name)), load="12 A"))


@pytest.fixture(scope="module")
def printed() -> dict[str, str]:
    return dict(sheets())


@pytest.fixture(scope="module")
def pages(printed: dict[str, str]) -> dict[str, str]:
    return {**printed, **dict(other_pages())}


def run(*arguments: str | Path) -> str:
    return subprocess.run(
        [*map(str, arguments)], capture_output=True, text=True, timeout=LONG_S, check=False
    ).stdout  # fmt: skip


@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), ("Letter", "letter")])
def test_a_sheet_prints_on_one_page(paper: str, size: str, printed: dict[str, str], tmp_path: Path) -> None:
    """Whoever prints chooses the paper, not the page: the copies here only stand in for that choice."""
    counts = {}
    for name, html in printed.items():
        assert "size:" not in re.sub(r"(font|box)-siz\w+:", "", html.partition("</style>")[0])
        page, pdf = tmp_path / f"{name}.html", tmp_path / f"{name}.pdf"
        page.write_text(html.replace("</style>", f"@page {{ size: {paper} }}</style>", 1), encoding="utf-8")
        run(*CHROMIUM, f"--user-data-dir={tmp_path / 'profile'}", "--no-pdf-header-footer", f"--print-to-pdf={pdf}",
            page.as_uri())  # fmt: skip
        told = run("pdfinfo", pdf)
        assert size in told, f"{name}: {told}"
        found = re.search(r"Pages:\s+(\d+)", told)
        assert found is not None
        counts[name] = int(found[1])
    assert {name: count for name, count in counts.items() if count != 1} == {}


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
        shown = run(*CHROMIUM, f"--user-data-dir={tmp_path / 'profile'}", "--virtual-time-budget=30000", "--dump-dom",
                    page.as_uri())  # fmt: skip
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
