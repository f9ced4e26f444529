"""No function, class or constant without a caller: what only a test uses belongs to the tests."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support import ROOT

SRC = ROOT / "src" / "packyoke"
BY_CLICK = {"format_commands"}


def defined(source: str) -> Iterator[str]:
    """What a module gives a name to; commands are called by click, `__dunder__` names by Python."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("__"):
            continue
        if not any("command" in ast.unparse(each) for each in node.decorator_list):
            yield node.name
    for node in ast.parse(source).body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            yield node.targets[0].id


def used(source: str) -> Iterator[str]:
    """Every name that code reads, or that a text spells out for `getattr`; words and doctests do not call anything."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            yield node.value


def uncalled(sources: list[str]) -> set[str]:
    """Names that nothing reads."""
    called = {name for source in sources for name in used(source)}
    return {name for source in sources for name in defined(source)} - called


def test_everything_has_a_caller() -> None:
    sources = [path.read_text(encoding="utf-8") for path in Path(SRC).rglob("*.py")]
    assert uncalled(sources) - BY_CLICK == set()


@pytest.mark.parametrize(
    ("sources", "found"),
    [
        (["def lone(): ..."], {"lone"}),
        (["class A:\n    def lone(self): ...", "A()"], {"lone"}),
        (["LONE = 3"], {"LONE"}),
        (['def lone():\n    """\n    >>> lone()\n    """'], {"lone"}),
        (["def called(): ..."], {"called"}),
        (["def called(): ...", "import a\na.called()"], set()),
        (["def called(): ...", "called()"], set()),
        (["def called(): ...", "getattr(a, 'called')"], set()),
        (["@click.command()\ndef lone(): ..."], set()),
    ],
)
def test_a_lone_name_is_seen(sources: list[str], found: set[str]) -> None:
    assert uncalled(sources) == found
