"""One class, one name: whoever reads a name finds one thing that it can mean."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support import ROOT

SRC = ROOT / "src" / "packyoke"


def named(source: str) -> Iterator[tuple[str, str]]:
    """What a module gives a name to that could be a type: `class`, or the words of an alias."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, "class"
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            target, value = node.targets[0].id, node.value
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value is not None:
            target, value = node.target.id, node.value
        else:
            continue
        if target.lstrip("_")[:1].isupper() and not target.isupper():
            yield target, ast.unparse(value)


def shared(modules: dict[str, str]) -> dict[str, set[str]]:
    """Names of classes that another module gives to something else as well, with the modules."""
    meanings: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for where, source in modules.items():
        for name, what in named(source):
            meanings[name].append((what, where))
    return {
        name: {where for _, where in found}
        for name, found in meanings.items()
        if len(found) > 1 and any(what == "class" for what, _ in found)
    }


def test_one_class_one_name() -> None:
    modules = {str(path.relative_to(SRC)): path.read_text(encoding="utf-8") for path in Path(SRC).rglob("*.py")}
    assert sum(len([*named(source)]) for source in modules.values()) > 400
    assert shared(modules) == {}


@pytest.mark.parametrize(
    ("other", "found"),
    [
        ("class Plan: ...", {"a.py", "b.py"}),
        ("def work():\n    class Plan: ...", {"a.py", "b.py"}),
        ("Plan = tuple[int, ...]", {"a.py", "b.py"}),
        ("Plan: TypeAlias = int", {"a.py", "b.py"}),
        ("PLAN = 3", set()),
        ("class Plans: ...", set()),
        ("from a import Plan", set()),
    ],
)
def test_a_second_meaning_is_seen(other: str, found: set[str]) -> None:
    assert shared({"a.py": "class Plan: ...", "b.py": other}).get("Plan", set()) == found
