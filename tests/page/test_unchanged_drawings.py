"""Drawings as they were when somebody looked at them: what moves is seen. `tests/page/drawings.py` keeps new ones."""

from __future__ import annotations

import pytest

from tests.page.drawings import BUILDS, CHARTS, KEPT, kept_line

BEFORE = {line.partition(" ")[0]: line for line in KEPT.read_text(encoding="utf-8").splitlines()}


def test_unchanged_names_of_drawings() -> None:
    assert [*BUILDS, *CHARTS] == [*BEFORE]


@pytest.mark.parametrize("name", [*BUILDS, *CHARTS])
def test_unchanged_drawing(name: str) -> None:
    assert kept_line(name) == BEFORE[name]
