"""What DEVELOPERS.md names is there: every file, and every function that it puts beside a file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FILES = sorted(set(re.findall(r"`((?:[a-z_]+/)+[a-z_]+\.py)`", PAGE)))
WALK = [line.split("|")[1:-1] for line in PAGE.splitlines() if line.startswith("| ") and ".py`" in line]


@pytest.mark.parametrize("name", FILES)
def test_file_is_there(name: str) -> None:
    assert (ROOT / name).is_file() or (ROOT / "src" / "packyoke" / name).is_file()


def test_functions_of_the_walk_are_in_their_files() -> None:
    named = []
    for _, where, what in WALK:
        text = "".join(
            (ROOT / "src" / "packyoke" / name).read_text(encoding="utf-8")
            for name in re.findall(r"`([a-z_/]+\.py)`", where)
        )
        for word in re.findall(r"`([a-z_]+)`", what):
            named.append(word)
            assert re.search(rf"\b{word}\b", text), f"{word} is not in {where.strip()}"
    assert {"read_gauge", "ampacity", "piece"} <= set(named)
