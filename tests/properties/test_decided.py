"""What is decided with values missing is so whatever they are: what passes, and what is a caution, is never a stop; a
stop is always one."""

from __future__ import annotations

import random

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.unknowns.spans import first_asked
from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.core.paths import BUILD
from packyoke.model import Build, Key, Unknown
from packyoke.rules import RULES
from packyoke.rules.outcome import level
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judge
from packyoke.verdict.trials import Trials
from tests.properties.drawn_builds import drawn
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.test_answers import DRAWS, can_be, filled

KNOWN_ONCE = (2389, 2483)
"""Joiners of unknown type that were a caution, "too hot to touch", and with a diode are a stop."""


STOPS_ONCE = (4000029, 4000289, 4000407, 4000521, 4000531, 4000549, 4000897, 4002425)
"""Stops from which only several values together got out: no turn of one showed it."""


def stops(decision: Decision, build: Build) -> bool:
    """Whether the rule stops a build in which all that is missing was drawn; what it asks for beside is not drawn."""
    try:
        return level(decision.rule.check(Case(build), build.part(decision.path))) == Severity.STOP
    except Unknown:
        return False


def passes(decision: Decision, build: Build, whole: Build) -> bool:
    """Whether the rule lets the build pass, or leaves it at a caution, with what it asks for as the whole one has it:
    what it counts with where a line is missing stays that."""
    for _ in range(50):
        try:
            return level(decision.rule.check(Case(build), build.part(decision.path))) < Severity.OPEN
        except Unknown as missing:
            part, attr = first_asked(missing.part, missing.attr)
            value = getattr(whole.part(part.path), attr)
            if value is None:
                return False
            build = build.with_value(part.path, attr, value)
    return False


@pytest.mark.parametrize("most", [60, 800])
@pytest.mark.parametrize("seed", [*range(30), *KNOWN_ONCE])
def test_what_is_below_a_stop_is_none(seed: int, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("packyoke.verdict.trials.MOST_FOR_ONE", most)
    build = load(as_text(drawn(seed)), "x.yaml", today=TODAY)
    if not isinstance(build, Build) or len(build.packs) > 4:
        return
    dice = random.Random(seed)
    below = [each for each in judge(Trials(build), RULES) if each.severity < Severity.OPEN and each.assumed]
    for _ in range(DRAWS):
        whole = filled(build, dice, Key(BUILD, ""))
        if can_be(whole):
            assert [f"{each.rule.name} on {each.path}" for each in below if stops(each, whole)] == []


@pytest.mark.parametrize("seed", [*range(30), *STOPS_ONCE])
def test_what_is_a_stop_is_one(seed: int) -> None:
    build = load(as_text(drawn(seed)), "x.yaml", today=TODAY)
    if not isinstance(build, Build) or len(build.packs) > 4:
        return
    dice = random.Random(seed)
    at_stop = [each for each in judge(Trials(build), RULES) if each.severity == Severity.STOP and each.assumed]
    for _ in range(DRAWS):
        whole = filled(build, dice, Key(BUILD, ""))
        if can_be(whole):
            assert [f"{each.rule.name} on {each.path}" for each in at_stop if passes(each, build, whole)] == []
