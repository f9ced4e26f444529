"""What is missing is tried: the bounds of the search decide how precise a question is, never the verdict."""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest

from packyoke.api import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.model.field import MUST, SPAN
from packyoke.model.fields import field_for
from packyoke.rules import RULES
from packyoke.rules.outcome import level
from packyoke.verdict import explore
from packyoke.verdict.explore import Asking, Leaf, Trials, decide
from tests.support import EXAMPLES

TODAY = "2026-11-25"
NAMES = ("skerry-long-tail", "heron-three-packs", "quay-plain-trike", "lantern-lfp", "oakum-draft", "tern-city-dock")


@cache
def whole(name: str) -> Build:
    build = load((EXAMPLES / f"{name}.yaml").read_bytes(), f"{name}.yaml", today=TODAY)
    assert isinstance(build, Build)
    return build


def thinned(build: Build, dice: random.Random, count: int) -> Build:
    """The build without so many of the values that a verdict may need."""
    keys = []
    for section in (build.packs, build.joiners, build.leads, build.controllers):
        for part in section.values():
            for attr in type(part).__dataclass_fields__:
                if getattr(part, attr) is None or attr in ("source", "target", "inlets", "outlets", "ends"):
                    continue
                try:
                    field = field_for(part.path, attr)
                except KeyError:
                    continue
                if field.need in (MUST, SPAN) and field.attr == attr and isinstance(getattr(part, attr), float | str):
                    keys.append((part.path, attr))
    for path, attr in dice.sample(keys, min(count, len(keys))):
        build = build.with_value(path, attr, None)
    return build


def enumerated(trials: Trials, rule: Any, path: str, most: int = 400) -> list[Leaf] | None:
    """Every set of ends, by the plainest search there is; None when there are more than `most`."""
    open_trials: list[tuple[tuple[Any, Any], ...]] = [()]
    found = []
    while open_trials:
        if len(found) + len(open_trials) > most:
            return None
        given = open_trials.pop()
        step = trials.step(rule, path, given)
        if isinstance(step, Asking):
            open_trials += [(*given, (step.key, value)) for value in step.values]
        else:
            found.append(Leaf(given, step))
    return found


@pytest.mark.parametrize("seed", range(24))
def test_the_bounded_search_says_what_every_set_of_values_says(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing enumerated: never a pass that some value turns, never a stop that some value cures."""
    dice = random.Random(seed)
    build = thinned(whole(NAMES[seed % len(NAMES)]), dice, dice.choice((2, 4, 6, 9)))
    monkeypatch.setattr(explore, "MOST_UNKNOWNS", 0)
    monkeypatch.setattr(explore, "MOST_TRIED", 10**9)
    trials, plain = Trials(build), Trials(build)
    for rule in RULES:
        for part in rule.parts(trials.plain):
            leaves = enumerated(plain, rule, part.path)
            if leaves is None or not leaves[0].given:
                continue
            levels = [level(leaf.outcome) for leaf in leaves]
            decision = decide(trials, rule, part.path)
            where = f"{rule.name} on {part.path}: {sorted(levels)} and {decision.severity}"
            if min(levels) == Severity.STOP:
                assert decision.severity == Severity.STOP, where
            elif max(levels) >= Severity.OPEN:
                assert decision.severity == Severity.OPEN, where
            else:
                assert decision.severity in (max(levels), min(levels), 0, Severity.OPEN), where
