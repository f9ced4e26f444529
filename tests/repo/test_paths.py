"""Only one module knows how the path of a part is written, and one how a line of the file is called.

Everywhere else they are asked: no text is cut at its points, looked at by its beginning or put together.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.support import ROOT

SRC = ROOT / "src" / "packyoke"
KNOW = {
    "core/paths.py",
    "core/field_paths.py",
    "buildfile/schema_bounds.py",  # cuts numbers at their decimal point
    "buildfile/reading/number_words.py",  # puts one into a number
}
HEADINGS = (
    "packs",
    "joiners",
    "leads",
    "controllers",
    "controller",
    "accessories",
    "chargers",
    "racks",
    "places",
    "runs",
    "parts.connectors",
    "ride",
    "measured",
    "accept",
    "shelf",
    "defaults",
)
INSIDE = ("fuse", "switch", "charge_port", "built_in", "bonded", "known")
_BEGINS = re.compile(rf"(?:{'|'.join(map(re.escape, HEADINGS))})\.(?:[a-z_*]+\.)*").fullmatch
_ENDS = re.compile(rf"\.(?:{'|'.join(INSIDE)})").fullmatch
_KEYS = re.compile(r"(?:\.[a-z_]+)+").fullmatch
CUTS = ("partition", "rpartition", "split", "rsplit", "count", "find", "rfind", "index")
TESTS = ("startswith", "endswith", "removeprefix", "removesuffix")


def found(source: str) -> list[int]:
    """The lines of a module that cut a path, look at its beginning or put one together."""
    return sorted({node.lineno for node in ast.walk(ast.parse(source)) if _is_one(node)})


def _is_one(node: ast.AST) -> bool:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        said = [*_texts(*node.args)]
        if node.func.attr in CUTS:
            return "." in said
        if node.func.attr in TESTS:
            return any(_BEGINS(text) or _ENDS(text) for text in said) or any(
                _builds(each, whole=False) for each in node.args
            )
        return node.func.attr == "join" and isinstance(node.func.value, ast.Constant) and node.func.value.value == "."
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        between = isinstance(node.left, ast.BinOp) and [*_texts(node.left.right)] == ["."]
        return between or any(_BEGINS(text) or _ENDS(text) for text in _texts(node.left, node.right))
    return isinstance(node, ast.JoinedStr) and _builds(node)


def _builds(node: ast.AST, whole: bool = True) -> bool:
    """Whether a formatted text is a path: `packs.{name}`, `{path}.fuse`, `{path}.{name}`; or begins one: `{path}.`."""
    if not isinstance(node, ast.JoinedStr):
        return False
    said = [each.value if isinstance(each, ast.Constant) else None for each in node.values]
    if isinstance(said[0], str) and _BEGINS(said[0]):
        return True
    if isinstance(said[-1], str) and (_ENDS(said[-1]) or (_is_path(node.values[0]) and _KEYS(said[-1]))):
        return True
    return said == [None, "."][: len(said)] * (len(said) // 2) + [None] * whole and len(said) > 1


def _is_path(node: ast.expr) -> bool:
    """Whether a value is called a path: `path`, `lead.path`."""
    value = node.value if isinstance(node, ast.FormattedValue) else node
    return (value.attr if isinstance(value, ast.Attribute) else getattr(value, "id", "")).endswith("path")


def _texts(*nodes: ast.AST) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        elif isinstance(node, ast.Tuple):
            yield from _texts(*node.elts)


def test_nobody_else_cuts_a_path() -> None:
    sources = {str(path.relative_to(SRC)): path.read_text(encoding="utf-8") for path in SRC.rglob("*.py")}
    assert sources.keys() > KNOW
    assert {where: lines for where, text in sources.items() if where not in KNOW and (lines := found(text))} == {}


@pytest.mark.parametrize("where", sorted(KNOW))
def test_who_is_let_off_needs_it(where: str) -> None:
    assert found((SRC / where).read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "source",
    [
        'section, _, name = path.partition(".")',
        'path.rpartition(".")[2]',
        'part.split(".")[:2]',
        'part.rsplit(".", 1)',
        'path.count(".") >= 2',
        'path.startswith("leads.")',
        'path.startswith(("joiners.", "leads."))',
        'path.startswith("parts.connectors.")',
        'path.startswith(f"{section}.")',
        'path.startswith(f"{owner.path}.")',
        'path.endswith(".fuse")',
        'path.removeprefix("joiners.")',
        'path.removesuffix(".charge_port")',
        '".".join(part.split(".")[:2])',
        '".".join(keys)',
        'f"packs.{name}"',
        'f"packs.{name} label"',
        'f"leads.{name}.fuse"',
        'f"{path}.fuse"',
        'f"{draft.path}.voltage.min"',
        'f"{section}.{name}"',
        'f"{section}.{name}.{inside}"',
        '"packs." + name',
        'path + ".fuse"',
        'section + "." + name',
    ],
)
def test_what_cuts_or_makes_a_path_is_seen(source: str) -> None:
    assert found(source) == [1]


@pytest.mark.parametrize(
    "source",
    [
        'path_to("leads", name)',
        'steps_of(path).section == "leads"',
        'text.split(", ")',
        'text.replace(",", ".")',
        '"." in number',
        'said.rstrip(".")',
        'f"{sentence}."',
        'sentence + "."',
        'f"{number:.1f} V"',
        'f"{amps}.5"',
        'f"{table}.csv"',
        'f"Of {builds}.{more}"',
        '"Charge both packs."',
        'f"{first}. {second}"',
        'name.endswith(".yaml")',
        '"leads.keel lead"',
    ],
)
def test_what_is_no_path_is_let_pass(source: str) -> None:
    assert found(source) == []
