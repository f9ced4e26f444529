"""A part that gets worse, a fact that is forgotten: no rule says less of good builds, varied ones and drawn ones."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest

from packyoke.api import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from tests.properties.drawn_builds import read
from tests.properties.drawn_values import TODAY
from tests.properties.worse_builds import GOOD, WORSE, found_in, less_said, parts, said, varied, worsened

MORE = int(os.environ.get("PACKYOKE_DRAWN", "1"))
CHEAP = (1, 5, 8, 11, 16, 21)
"""Drawn builds that are judged quickly."""


def good(path: Path) -> Build:
    build = load(path.read_text(encoding="utf-8"), path.name, today=TODAY)
    assert isinstance(build, Build), build
    return build


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_good_builds(path: Path) -> None:
    assert found_in(good(path), random.Random(path.stem), most=10) == []


@pytest.mark.parametrize("first", range(0, 40 * MORE, 10))
def test_varied_builds(first: int) -> None:
    found = [(seed, found_in(varied(seed), random.Random(seed))) for seed in range(first, first + 10)]
    assert [each for each in found if each[1]] == []


@pytest.mark.parametrize("seed", [*CHEAP, *range(1000, 999 + MORE)])
def test_drawn_builds(seed: int) -> None:
    build = read(seed)
    if isinstance(build, Build):
        assert found_in(build, random.Random(seed), most=4) == []


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_a_fuse_that_nobody_knows_of_is_asked_for_where_none_is_a_stop(path: Path) -> None:
    """What other rules say of a fuse hangs on whether there is one: that is one rule's to ask, wherever it decides."""
    build = good(path)
    for pack in build.packs.values():
        none, unknown = (said(build.with_value(pack.fuse.path, "presence", each)) for each in ("none", None))
        if none.get("fuse-missing") == Severity.STOP:
            assert unknown["fuse-missing"] >= Severity.OPEN


def test_less_is_noticed() -> None:
    """A better build is one of which less is said: the same comparison the other way round finds it."""
    build = next(good(path) for path in GOOD if path.stem == "foghorn-lfp")
    before = said(build)
    worse = {what: said(other) for what, other, _ in worsened(build)}
    shown = {what: less_said(after, before, True, {}) for what, after in worse.items()}
    assert any("ceiling_v" in what and "ceiling-exceeded 4 -> 0" in found for what, found in shown.items())
    assert sum(map(bool, shown.values())) >= 10


def test_each_way_to_get_worse_comes_up() -> None:
    builds = [good(path) for path in GOOD] + [build for seed in range(80) if isinstance(build := read(seed), Build)]
    changed = {
        row
        for build in builds
        for part in parts(build)
        for row in WORSE
        if type(part) is row[0] and (now := getattr(part, row[1])) is not None and WORSE[row].way(now) != now
    }
    assert set(WORSE) - changed == set()
