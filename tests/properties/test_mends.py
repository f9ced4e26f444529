"""What is advised, applied to the build, removes its finding and adds none: over rule cases and random drafts.

Findings are compared as they stand in reports, by rule, part and cause; the examples have their own test.
"""

from __future__ import annotations

import random
from typing import Any

import pytest
import yaml

from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judge, judge_build
from packyoke.verdict.mending import MOST_EFFORT, Tried, Workshop, _all_of, changed, identity
from packyoke.verdict.trials import Trials
from tests.properties.drawn_builds import read
from tests.properties.test_any_build import TODAY, TREES, without_some
from tests.rules.test_cases import every_case
from tests.support import edited

FAILING = [each.values[1] for each in every_case() if each.values[1]["expect"] in ("caution", "stop")]


def found(build: Build) -> dict[tuple[str, str, str], int]:
    return {identity(each): each.severity for each in judge_build(build, RULES) if each.severity >= Severity.CAUTION}


def whatever_is_advised_works(build: Build) -> int:
    decisions = judge_build(build, RULES)
    before = found(build)
    workshop = Workshop(Trials(build), decisions, lambda other: judge(other, RULES))
    advised = workshop.advised(decisions, Severity.CAUTION)
    alike: dict[tuple[str, str], list[tuple[Decision, Tried]]] = {}
    for decision, mends in zip(decisions, advised, strict=True):
        for tried in mends:
            alike.setdefault((decision.rule.name, tried.mend.text), []).append((decision, tried))
            held(build, before, [decision], tried.mend.changes, tried.lowers)
    # Findings of one rule with the same advice are told as one: whoever reads that does it to all their parts.
    for together in alike.values() if workshop._left > 0 and workshop._effort_left > 0 else ():
        changes = _all_of(build, [tried.mend.changes for _, tried in together])
        held(build, before, [each for each, _ in together], changes, any(tried.lowers for _, tried in together))
    return sum(map(len, advised))


def held(
    build: Build, before: dict[tuple[str, str, str], int], mended: list[Decision], changes: Any, lowers: bool
) -> None:
    after, own = found(changed(build, changes)), {identity(each) for each in mended}
    if lowers:
        mine = {each[:2] for each in own}
        after = {key: weight for key, weight in after.items() if key[:2] not in mine or weight > Severity.CAUTION}
    assert not own & after.keys(), changes
    added = {key for key, weight in after.items() if weight > before.get(key, 0)}
    assert not added, f"{changes}: {added}"


@pytest.mark.parametrize("case", FAILING[::7], ids=lambda case: str(case["name"]))
def test_in_the_cases_of_the_rules(case: dict[str, object]) -> None:
    build = load(edited(case["base"], case.get("set"), case.get("drop", ())), "case.yaml", today=TODAY)  # type: ignore[arg-type]
    assert isinstance(build, Build)
    whatever_is_advised_works(build)


@pytest.mark.parametrize("seed", range(24))
def test_in_drafts_with_lines_left_out_and_numbers_changed(seed: int) -> None:
    dice = random.Random(seed)
    tree = without_some(TREES[sorted(TREES)[seed % len(TREES)]], dice, 0.03)
    assert isinstance(tree, dict)
    for lead in tree.get("leads", {}).values():
        if isinstance(lead, dict) and "gauge" in lead:
            lead["gauge"] = dice.choice(("18 AWG", "16 AWG", "12 AWG", "10 AWG", "8 AWG", "2.5 mm2"))
    build = load(yaml.dump({"packyoke": "1", "name": "x", **tree}), "x.yaml", today=TODAY)
    if isinstance(build, Build):
        whatever_is_advised_works(build)


def test_what_mends_take_is_bounded() -> None:
    """Of a build of which little is known no mend but the last is begun beyond the effort that is allowed."""
    build = read(5030)
    assert isinstance(build, Build)
    decisions, efforts = judge_build(build, RULES), []

    def judged(trials: Trials) -> list[Decision]:
        found = list(judge(trials, RULES))
        efforts.append(trials.effort)
        return found

    workshop = Workshop(Trials(build), decisions, judged)
    for decision in decisions:
        if decision.severity == Severity.STOP:
            workshop.first_of_each_family(decision)
    assert efforts
    assert sum(efforts[:-1]) < MOST_EFFORT < 3 * efforts[-1]
