"""What fuzzing has found once is tried again, and so is what it begins with."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.properties import fuzz
from tests.properties.fuzz_targets import TARGETS

KEPT = [(path.parent.name, path) for path in sorted(fuzz.CORPUS.glob("*/*"))]


@pytest.mark.parametrize(("target", "path"), KEPT, ids=lambda each: each.name if isinstance(each, Path) else each)
def test_kept_input(target: str, path: Path) -> None:
    TARGETS[target](path.read_bytes())


@pytest.mark.parametrize("target", fuzz.TARGETS)
def test_first_inputs(target: str) -> None:
    inputs = list(fuzz.first_inputs(target))
    assert inputs
    for data in inputs[:40]:
        TARGETS[target](data)


def test_every_target_has_its_inputs_kept() -> None:
    assert {path.name for path in fuzz.CORPUS.iterdir() if path.is_dir()} == set(TARGETS) == set(fuzz.TARGETS)
