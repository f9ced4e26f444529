"""Plain shop English: what is printed never uses the riddles that were once found hard to read.

Every string of the program is looked at, and the docstrings that become pages; a comment or a developer's docstring is
nobody's screen.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
SOURCE = ROOT / "src" / "packyoke"
INSTEAD = {
    r"\basked are\b": "the controller draws",
    r"\bgood for [{\d].* continuous\b": "carries ... continuous",
    r"\bof what (the|a) part bears\b": "rating",
    r"\bworks? first\b|\bbegins to supply\b": "supplies first",
    r"\bnobody has said\b|\bnobody said\b": "not in the file",
    r"\bin a state to be used\b": "condition not given",
    r"\bsees more volts\b": "voltage above its rating",
    r"\bcontacts bear\b": "contacts overloaded",
    r"\bbare hands\b": "over 60 V d.c.: shock hazard",
    r"\bthan it stands\b|\ba hand stands\b": "above its limit, too hot to touch",
    r"\basked for more than\b": "load above the limit",
    r"\bdoes not plug onto\b": "connectors do not mate",
    r"\bmeasured otherwise\b": "reading differs from the file",
    r"\bhalves of one family\b": "a matching pin and socket",
    r"\bturn them round\b": "swap",
    r"\ba mapping is needed\b": "needs its own indented lines",
    r"\bno word \"": "not one of",
    r"\bis no (fuse|count|day|number)\b": "not a ...",
    r"\bit is a slip\b": "looks like a typing error",
    r"\bpoints of charge\b": "percentage points",
    r"\bas many cells\b": "the same number of cells",
    r"^at most \{.*\} of it$": "or keep the wire and shorten it",
    r"\bhold a build against\b": "compare",
    r"\bparts? that comes? and goe?s?\b": "parts added, parts removed",
    r"\bwhat it is counted with\b": "based on",
    r"\bpublic limits of\b": "the figures themselves",
    r"\bwhether (it|its \w+|the \w+) bears?\b": "is rated for",
}


def _strings(file: Path) -> Iterator[tuple[int, str]]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    room = file.relative_to(SOURCE).parts[0]
    silent: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):
            command = room == "cli" and isinstance(node, ast.FunctionDef) and bool(node.decorator_list)
            page = room == "rules" and isinstance(node, ast.Module)
            for n, line in enumerate(body):
                shown = n == 0 and (command or page)
                if isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant) and not shown:
                    silent.add(id(line.value))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            text = "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
            silent.update(id(part) for part in node.values)
            yield node.lineno, text
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.lineno, node.value


def riddles(text: str) -> list[str]:
    """The wordings in a text that have a plainer one, each with it."""
    flat = " ".join(text.split())
    return [f"{found[0]!r}: write {plain!r}" for odd, plain in INSTEAD.items() if (found := re.search(odd, flat, re.I))]


@pytest.mark.parametrize("file", sorted(SOURCE.rglob("*.py")), ids=lambda file: str(file.relative_to(SOURCE)))
def test_strings_are_plain(file: Path) -> None:
    assert [f"line {line}: {each}" for line, text in _strings(file) for each in riddles(text)] == []


PAGES = [
    *(
        file
        for file in sorted((ROOT / "docs").rglob("*.md"))
        if file.name != "changelog.md" and "decisions" not in file.parts
    ),
    ROOT / "README.md",
    *sorted((SOURCE / "shelf" / "data").glob("*.csv")),
]


@pytest.mark.parametrize("file", PAGES, ids=lambda file: str(file.relative_to(ROOT)))
def test_pages_are_plain(file: Path) -> None:
    lines = file.read_text(encoding="utf-8").splitlines()
    assert [f"line {n}: {each}" for n, line in enumerate(lines, 1) for each in riddles(line)] == []


def test_a_riddle_is_noticed() -> None:
    assert riddles("asked are 25 A")
    assert riddles('no word "good" here')
    assert riddles("nobody has\nsaid it")
    assert not riddles("The controller draws 25 A; not in the file.")
