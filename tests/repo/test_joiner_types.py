"""No rule and no analysis reads the type of a joiner raw: one that is missing or a guess is tried as every type."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "src" / "packyoke"
ALLOWED = {
    "analysis/harness/joiners.py": "asks for it, and has the one exception: the bike maker's own joiner",
    "analysis/harness/joining.py": "one that is known to block settles a way before the others are asked for",
    "analysis/circuit/load.py": "puts a type into the bike maker's own joiner",
    "analysis/unknowns/spans.py": "the span of a resistance is the widest while the type is not known",
    "analysis/bench/as_built.py": "whether packs may rush: through any joiner that is not known to block",
    "analysis/bench/joiner_tests.py": "the bench says whether a reading is as described, or that nothing is described",
}
"""Where the raw field is read all the same, and why nothing passes because of it."""


def readers() -> Iterator[tuple[str, int]]:
    for folder in ("rules", "analysis"):
        for path in sorted((SOURCE / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if (
                    isinstance(node, ast.Attribute)
                    and node.attr in ("type", "blocking")
                    and isinstance(node.ctx, ast.Load)
                ):
                    yield str(path.relative_to(SOURCE)), node.lineno


def test_nothing_reads_a_type_that_may_not_be_known() -> None:
    assert [each for each in readers() if each[0] not in ALLOWED] == []


def test_every_exception_is_one() -> None:
    assert ALLOWED.keys() <= {path for path, _ in readers()}
