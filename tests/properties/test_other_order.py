"""Order of sections and parts, names and the seed of hashes change nothing, in any command."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.properties.drawn_builds import drawn
from tests.properties.drawn_values import flow
from tests.properties.other_order import differences, turned
from tests.support import EXAMPLES, ROOT

DRAWN = range(10, 10 + int(os.environ.get("PACKYOKE_DRAWN", "2")))


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_examples(path: Path, tmp_path: Path) -> None:
    assert differences(flow(path.read_text(encoding="utf-8")), tmp_path) == []


@pytest.mark.parametrize("seed", DRAWN)
def test_drawn_builds(seed: int, tmp_path: Path) -> None:
    assert differences(drawn(seed), tmp_path) == []


def test_a_turned_build_is_the_same_one_in_another_order() -> None:
    tree = flow((EXAMPLES / "breakwater-three-packs.yaml").read_text(encoding="utf-8"))
    other = turned(tree)
    assert other == tree
    assert list(other["packs"]) == list(tree["packs"])[::-1]
    assert list(turned(other)) == list(tree)


@pytest.mark.parametrize("command", ["check", "plan", "charge", "range"])
def test_seed_of_hashes(command: str) -> None:
    def said(seed: str) -> tuple[int, bytes]:
        call = [sys.executable, "-m", "packyoke", command, str(EXAMPLES / "quay-plain-trike.yaml"), "--format", "json"]
        found = subprocess.run(call, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed}, check=False)
        return found.returncode, found.stdout

    assert said("1") == said("2") == said("77")


JUDGED = """
from packyoke.api import check
from tests.properties.worse_builds import read, varied
from tests.properties.drawn_values import TODAY

for build in [varied(seed) for seed in range(6)] + [read(seed) for seed in (5, 8, 11, 47)]:
    report = check(build, today=TODAY)
    print(report.verdict, report.findings, report.to_find_out, report.good_for, report.assumed)
"""


def test_seed_of_hashes_and_drawn_builds() -> None:
    """All that a check says, word for word, of builds that were varied and drawn."""

    def told(seed: str) -> bytes:
        call = [sys.executable, "-c", JUDGED]
        return subprocess.run(
            call, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed}, check=True, cwd=ROOT
        ).stdout

    first = told("1")
    assert first.count(b"\n") == 10
    assert first == told("3")
