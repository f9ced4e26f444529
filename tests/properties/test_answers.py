"""What a question says would pass is put into the build, the other missing values drawn: the finding is settled."""

from __future__ import annotations

import random
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.unknowns.spans import ends, missing_fields
from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build, Joiner, Key, Pack, Part, Unknown
from packyoke.rules import RULES
from packyoke.rules.outcome import Undecided, level
from packyoke.rules.rule import Rule
from packyoke.verdict.judge import judge
from packyoke.verdict.questions import asked_by
from packyoke.verdict.trials import Trials
from tests.properties.drawn_builds import drawn
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.test_any_build import TREES, without_some

DRAWS = 6
GIVES = ("voltage", "voltage under load")


def between(dice: random.Random, values: tuple[Any, ...]) -> Any:
    """One value of a span: an end, or for numbers anything between."""
    if isinstance(values[0], float) and len(values) == 2 and dice.random() < 0.5:
        return dice.uniform(*values)
    return dice.choice(values)


def settled_elsewhere(build: Build, part: Part, attr: str) -> bool:
    """What no rule that is asked for an answer has to reckon with."""
    if attr == "output_v":  # a charger of another voltage than its packs is stopped by a rule of its own
        return True
    # No rule passes a lead without a gauge; what a controller with a power limit draws counts no drop in it till then.
    if attr == "gauge" and any(each.power_limit_w for each in build.controllers.values()):
        return True
    if attr == "presence":  # whether there is a fuse is asked by a rule of its own; what follows from one is asked then
        return True
    if attr == "dc":  # a mark is one for direct current, unless it is one of those for alternating current
        return True
    # Inside the bike maker's own joiner nobody looks: what it does is asked by its own rule.
    return attr == "type" and isinstance(part, Joiner) and part.built_in is not None


def filled(build: Build, dice: random.Random, keep: Key) -> Build:
    """The build with every other missing value drawn from its span."""
    for path, attr in missing_fields(build):
        part = build.part(path)
        if settled_elsewhere(build, part, attr):
            continue
        values = ends(build, part, attr)
        if (path, attr) != keep and getattr(part, attr) is None and values:
            value = between(dice, values)
            if attr in ("chemistry", "series"):  # packs of unlike voltage are stopped by a rule of their own
                others = (getattr(each, attr) for each in build.packs.values())
                value = next((each for each in others if each in values), value)
            build = build.with_value(path, attr, value)
    return build


def can_be(build: Build) -> bool:
    """Whether such a bike is: a pack is empty below its full charge and gives nothing below its cut-off, a joiner bears
    what is marked on it, and no two chargers have the plug that only one of them has."""
    packs, joiners = build.packs.values(), build.joiners.values()
    alone = [each.plug for each in build.chargers.values() if str(each.plug).startswith("a plug that only")]
    return not (
        any(each.cut_off_v and each.full_charge_v and each.cut_off_v >= each.full_charge_v for each in packs)
        or any(each.what in GIVES and below_cut_off(build.part(each.part), each.value) for each in build.measured)
        or any(each.ceiling_v and each.marked_v and each.ceiling_v < each.marked_v for each in joiners)
        or len(alone) > len({*alone})
    )


def below_cut_off(part: Part, volts_v: float) -> bool:
    return isinstance(part, Pack) and part.cut_off_v is not None and volts_v < part.cut_off_v


def asks_for(rule: Rule, build: Build, path: str, said: str) -> set[Key]:
    """What still keeps a rule from deciding; empty where it decided, and did not fail."""
    try:
        outcome = rule.check(Case(build), build.part(path))
    except Unknown as unknown:
        return {(unknown.part.path, unknown.attr)}
    assert level(outcome) < Severity.STOP, f"{said}: {outcome}"
    return {(part.path, attr) for part, attr in outcome.asks} if isinstance(outcome, Undecided) else set()


def held(build: Build, seed: int) -> int:
    """Every answer of every open finding, tried."""
    dice = random.Random(seed)
    trials = Trials(build)
    count = 0
    for decision in list(judge(trials, RULES)):
        if decision.severity != Severity.OPEN:
            continue
        for asked in asked_by(trials, decision):
            assert not (asked.passes_if and asked.answer.depends)
            for value in asked.answer.values if asked.passes_if else ():
                count += 1
                for _ in range(DRAWS):
                    tried = filled(build.with_value(*asked.key, value), dice, asked.key)
                    if not can_be(tried):
                        continue
                    said = f"{decision.rule.name} on {decision.path}: {asked.key} {asked.passes_if}"
                    assert asked.key not in asks_for(decision.rule, tried, decision.path, said), said
    return count


@pytest.mark.parametrize("name", sorted(TREES))
def test_answers_hold_in_examples_with_facts_left_out(name: str) -> None:
    dice = random.Random(name)
    for _ in range(2):
        tree = without_some(TREES[name], dice, 0.1)
        assert isinstance(tree, dict)
        build = load(as_text({"packyoke": "1", "name": "x", **tree}), "x.yaml", today=TODAY)
        if isinstance(build, Build) and len(build.packs) < 5:
            held(build, 1)


@pytest.mark.parametrize("seed", range(40))
def test_answers_hold_in_drawn_builds(seed: int) -> None:
    build = load(as_text(drawn(seed)), "x.yaml", today=TODAY)
    if isinstance(build, Build) and len(build.packs) < 5:
        held(build, seed)


@pytest.mark.parametrize("most", [30, 120, 300])
@pytest.mark.parametrize("seed", range(40))
def test_answers_hold_where_little_was_tried(seed: int, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is judged roughly, because judging took long, has no answer that does not hold."""
    monkeypatch.setattr("packyoke.verdict.trials.MOST_FOR_ONE", most)
    build = load(as_text(drawn(seed)), "x.yaml", today=TODAY)
    if isinstance(build, Build) and len(build.packs) < 5:
        held(build, seed)
