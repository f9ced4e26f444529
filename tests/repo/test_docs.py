"""Generated pages agree with the code, and what is printed keeps to the words that may be printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from packyoke.api import check, load
from packyoke.docgen import pages
from packyoke.rules import RULES
from packyoke.rules.pages import SECTIONS, all_pages, page
from tests.support import ROOT

FORBIDDEN = re.compile(r"\b(safe|safely|certified|guaranteed?)\b", re.IGNORECASE)
PROMISES = re.compile(r"\b(legal|up to)\b", re.IGNORECASE)


def test_generated_pages_are_up_to_date() -> None:
    wrong = [str(path.relative_to(ROOT)) for path, text in pages(ROOT) if path.read_text(encoding="utf-8") != text]
    assert not wrong, f"run python -m packyoke.docgen: {wrong}"


def test_no_page_is_left_over() -> None:
    wanted = {path for path, _ in pages(ROOT)}
    assert set((ROOT / "docs" / "rules").glob("*.md")) <= wanted


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_has_a_whole_page(rule) -> None:  # type: ignore[no-untyped-def]
    found = page(rule.name)
    assert found is not None
    assert found.title.endswith(".")
    titles = [title for title, _ in found.sections]
    if rule.name in ("unreadable", "rule-crashed"):
        assert {"What", "Why", "Do"} <= set(titles)
    else:
        assert titles == list(SECTIONS)
        assert all(body.strip() for _, body in found.sections)


def test_every_rule_has_cases_and_a_page_and_nothing_else_does() -> None:
    names = {rule.name for rule in RULES}
    assert len(names) == len(RULES), "two rules share a name"
    assert names == {each.name for each in all_pages()}
    cases = {path.stem for path in (ROOT / "tests" / "rules" / "cases").glob("*.yaml")}
    assert cases == names - {"unreadable", "rule-crashed"}


PRINTED = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


@pytest.mark.parametrize("path", PRINTED, ids=lambda path: path.name)
def test_printed_words(path: Path) -> None:
    """Never safe, certified, guaranteed, and in output neither legal nor up to: the tool advises, others decide."""
    if path.parent.name == "decisions" or path.name == "changelog.md":
        return
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        found = FORBIDDEN.search(line) or (path.name == "examples.md" and PROMISES.search(line))
        assert not found, f"{path.name}:{number}: {line}"


def test_the_readme_sets_up_in_two_lines() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)
    assert len(blocks) >= 2
    assert all(block.count("\n") == 1 for block in blocks[:2])


def test_the_readme_is_one_screen_and_a_bike_of_ones_own() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.count("\n") < 200
    (bike,) = re.findall(r"<!-- file (\S+) -->", text)
    assert (ROOT / bike).read_text(encoding="utf-8").count("\n") <= 15
    report = check(load((ROOT / bike).read_bytes(), bike), bike)
    assert report.verdict == "none-found"


def test_nothing_names_a_machine() -> None:
    for path in ROOT.rglob("*"):
        parts = path.relative_to(ROOT).parts
        if not path.is_file() or parts[0].startswith(".") or "__pycache__" in parts or path.suffix == ".pyc":
            continue
        text = path.read_text(encoding="utf-8", errors="replace")
        assert not re.search(r"(?<![\w.])/(work|root|home|farm)/\w", text), path
