"""No rule has code for what is not known: a rule asks, and the verdict tries. Checked on the text of the rules."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import packyoke

RULES = sorted((Path(packyoke.__file__).parent / "rules").glob("*.py"))


@pytest.mark.parametrize("path", RULES, ids=lambda path: path.stem)
def test_no_rule_catches_an_unknown_or_reads_a_type_that_may_be_missing(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        assert not isinstance(node, ast.Try), f"{path.name}, line {node.lineno}: a rule catches nothing"
        if isinstance(node, ast.Name):
            assert node.id not in ("Unknown", "suppress"), f"{path.name}, line {node.lineno}"
        if isinstance(node, ast.Attribute):
            assert node.attr not in ("type", "blocking"), f"{path.name}, line {node.lineno}: ask joiner_type"
