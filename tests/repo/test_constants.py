"""273.15, 3600 and 3.6 stand in one place; physics, which imports nothing of ours, has the one of its own."""

from __future__ import annotations

import ast
from pathlib import Path

SOURCE = Path(__file__).parent.parent.parent / "src" / "packyoke"
WHERE = {
    "core/constants.py": {273.15, 3600.0, 3.6},
    "core/unit_factors.py": {3600.0},  # written by docgen from pint
    "core/unit_names.py": {273.15},  # the data that docgen hands to pint
    "physics/conductor.py": {273.15},
    "rules/label_misleads.py": {3.6},  # volts of a cell
    "model/fields_harness.py": {3600.0},  # an hour is as long as a peak may be stated for
}


def test_each_constant_stands_in_one_place() -> None:
    found: dict[str, set[float]] = {}
    for file in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and node.value in (273.15, 3600, 3.6) and not isinstance(node.value, str):
                found.setdefault(str(file.relative_to(SOURCE).as_posix()), set()).add(float(node.value))
    assert found == WHERE
