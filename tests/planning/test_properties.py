"""What holds for any plan: the check passes, nothing that was given changes, the file that is written says the same."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.complete import completed_text
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.planning.changes import differs
from packyoke.planning.plan import plan
from packyoke.planning.result import NoPlan, Plan
from packyoke.rules import RULES
from packyoke.verdict.judge import judge_build
from tests.planning.bikes import build_of, random_bike
from tests.planning.judging import figures

SEEDS = st.integers(0, 2**32 - 1)
AS_SUMMED = 2e-5
AVOIDABLE = {
    "lead-overheats",
    "fuse-oversized",
    "fuse-missing",
    "fuse-nuisance",
    "fuse-voltage",
    "fuse-breaking",
    "ends-do-not-mate",
    "live-pins",
    "wire-does-not-fit",
    "harness-broken",
    "joiner-overloaded",
}
"""Rules whose findings another choice of wire, end, fuse or joiner avoids on these bikes."""


def some_bike(seed: int) -> str:
    rng = Random(seed)
    return random_bike(
        rng,
        rng.randint(1, 4),
        rng.randint(2, 6),
        joiner_kinds=rng.randint(1, 2),
        families=("XT60", "XT90"),
        holds=rng.randint(1, 3),
    )


def read_back(text: str, build: Build, found: Plan) -> Build:
    done = load(completed_text(text, build, found), "completed.yaml")
    assert isinstance(done, Build), done
    return done


@given(SEEDS)
@settings(max_examples=25, deadline=None)
def test_a_plan_passes_the_check_and_is_what_it_says(seed: int) -> None:
    build = build_of(some_bike(seed))
    found = plan(build)
    if isinstance(found, NoPlan):
        assert found.constraint
        return
    assert isinstance(found, Plan), found
    decisions = judge_build(found.build, RULES)
    assert not [each for each in decisions if each.severity == Severity.STOP]
    left = {each.rule.name for each in decisions if each.severity >= Severity.CAUTION}
    assert not left & AVOIDABLE
    if not any(pack.resistance_ohm is None for pack in build.packs.values()):
        assert found.objective.values == pytest.approx(figures(found.build, build), abs=AS_SUMMED)


@given(SEEDS)
@settings(max_examples=25, deadline=None)
def test_the_written_file_says_what_the_plan_says(seed: int) -> None:
    text = some_bike(seed)
    build = build_of(text)
    found = plan(build)
    if not isinstance(found, Plan):
        return
    done = read_back(text, build, found)
    for section in ("packs", "joiners", "leads", "controllers", "accessories", "places"):
        mine, theirs = getattr(done, section), getattr(found.build, section)
        assert list(mine) == list(theirs)
        for name, part in theirs.items():
            assert not differs(part, mine[name]), f"{section}.{name}"
    kept = [line for line in text.splitlines() if "{" not in line]
    lines = iter(completed_text(text, build, found).splitlines())
    assert all(any(line == other for other in lines) for line in kept)


@given(SEEDS)
@settings(max_examples=15, deadline=None)
def test_a_planned_file_has_nothing_left_to_plan(seed: int) -> None:
    text = some_bike(seed)
    build = build_of(text)
    found = plan(build)
    if isinstance(found, Plan):
        again = plan(read_back(text, build, found))
        assert isinstance(again, Plan), again
        assert not again.filled
        assert not again.new
        assert again.bill == found.bill


@given(SEEDS)
@settings(max_examples=10, deadline=None)
def test_order_of_packs_and_runs_changes_no_figure(seed: int) -> None:
    text = some_bike(seed)
    lines = text.splitlines(keepends=True)
    first = next(n for n, line in enumerate(lines) if line.startswith("packs:")) + 1
    last = next(n for n, line in enumerate(lines) if line.startswith("joiners:"))
    turned = "".join([*lines[:first], *reversed(lines[first:last]), *lines[last:]])
    one, other = plan(build_of(text)), plan(build_of(turned))
    assert type(one) is type(other)
    if isinstance(one, Plan) and isinstance(other, Plan):
        assert one.objective.values == pytest.approx(other.objective.values, abs=AS_SUMMED)


def test_more_than_six_packs_are_planned_and_proved_or_said_to_be_not() -> None:
    build = build_of(random_bike(Random(3), 8, 8, families=("XT60",), holds=3))
    found = plan(build)
    assert isinstance(found, Plan), found
    # A plan at the bound is proved, however many packs there are.
    assert found.proved or ("more than 6 packs" in found.doubt and "above the best possible" in found.doubt)
    assert not [each for each in judge_build(found.build, RULES) if each.severity == Severity.STOP]
