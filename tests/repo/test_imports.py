"""Data flows one way: who may import whom. The same table stands in DEVELOPERS.md."""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

import pytest

from tests.support import ROOT

SRC = ROOT / "src" / "packyoke"


def table() -> dict[str, tuple[set[str], set[str]]]:
    """Room -> (rooms of ours, packages from outside), as DEVELOPERS.md prints it."""
    rows = {}
    for line in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines():
        found = re.fullmatch(r"\| `([a-z_]+)` \| ([^|]*) \| ([^|]*) \|", line)
        if found:
            rooms, outside = (set(re.findall(r"`([a-z_]+)`", cell)) for cell in found.group(2, 3))
            rows[found.group(1)] = (rooms, outside)
    return rows


def room(path: Path) -> str:
    relative = path.relative_to(SRC)
    return relative.parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Every module that a file imports, inside functions too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found.add(node.module or "")
            if node.module == "packyoke":
                found.update(f"packyoke.{alias.name}" for alias in node.names)
    return found


FILES = sorted(SRC.rglob("*.py"))
LONGER = {
    "model/fields_harness.py": 450,  # a table
    "answers/meter/page.py": 450,  # one page and the sentences on it
}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SRC)))
def test_imports_follow_the_table(path: Path) -> None:
    mine = room(path)
    if mine == "__init__":
        assert imports(path) <= {"__future__"}
        return
    assert mine in table(), f"{mine} has no row in the import table of DEVELOPERS.md"
    rooms, outside = table()[mine]
    for module in imports(path):
        top, _, rest = module.partition(".")
        if top == "packyoke":
            other = rest.partition(".")[0]
            # `from packyoke import __version__` names no room.
            if other and other != mine and (SRC / other).exists() | (SRC / f"{other}.py").exists():
                assert other in rooms, f"{path.name} imports packyoke.{other}"
        elif top not in sys.stdlib_module_names:
            assert top in outside, f"{path.name} imports {top}"
        elif mine == "physics":
            assert top in ("math", "__future__", "typing", "collections", "dataclasses"), f"{path.name} imports {top}"


def test_the_table_names_only_rooms_that_exist() -> None:
    rooms = {room(path) for path in FILES} - {"__init__"}
    assert set(table()) == rooms


@pytest.mark.parametrize("path", sorted((SRC / "rules").glob("*.py")), ids=lambda path: path.name)
def test_rules_do_not_print_read_or_round(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("print", "open", "round"), f"{path.name}:{node.lineno}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SRC)))
def test_no_file_grows_beyond_a_room(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGER.get(str(path.relative_to(SRC)), 400)
