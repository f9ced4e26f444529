"""What is missing is tried: the bounds of the search decide how precise a question is, never the verdict."""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest
import yaml

from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.model.field import MUST, SPAN
from packyoke.model.fields import field_for
from packyoke.rules import RULES
from packyoke.rules.outcome import level
from packyoke.verdict import trials as trying
from packyoke.verdict.explore import decide
from packyoke.verdict.leaf import Leaf
from packyoke.verdict.trials import Asking, Trials
from tests.support import EXAMPLES, edited

TODAY = "2026-11-25"
NAMES = (
    "skerry-long-tail",
    "breakwater-three-packs",
    "quay-plain-trike",
    "foghorn-lfp",
    "oakum-draft",
    "slipway-city-dock",
)


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


@pytest.mark.parametrize("seed", range(12))
def test_the_bounded_search_says_what_every_set_of_values_says(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing enumerated: never a pass that some value turns, never a stop that some value cures."""
    dice = random.Random(seed)
    build = thinned(whole(NAMES[seed % len(NAMES)]), dice, dice.choice((2, 4, 6, 9)))
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    monkeypatch.setattr(trying, "MOST_TRIED", 10**9)
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


def test_a_plain_joint_of_two_ordinary_packs_is_a_stop_from_their_labels_alone() -> None:
    """54.6 V onto at most 39 V (13 x 3.0 V), at the very most 0.21 ohm in each pack (13 x 0.2 ohm Ah by 14 Ah and
    25 mohm) and 24 AWG of 2 m in each lead (0.34 ohm): more than 13 A, where 0.5 C of 14 Ah is 7 A."""
    pack = {"chemistry": "NMC", "series": "13", "capacity": "14 Ah", "discharge": "30 A"}
    tree = {
        "packyoke": "1",
        "name": "labels",
        "packs": {"a": pack, "b": dict(pack)},
        "joiners": {"y": {"type": "plain"}},
        "leads": {
            "la": {"from": "a", "to": "y"},
            "lb": {"from": "b", "to": "y"},
            "main": {"from": "y", "to": "controller"},
        },
        "controller": {"voltage": {"max": "60 V"}, "battery_current": "20 A"},
    }
    build = load(yaml.dump(tree), "labels.yaml", today=TODAY)
    assert isinstance(build, Build)
    stops = [each for each in check(build, today=TODAY).findings if each.severity == Severity.STOP]
    assert [(each.rule, each.part) for each in stops] == [("packs-rush", "joiners.y")]
    assert "joiner that blocks" in stops[0].do or "ideal-diode joiner in place of y" in stops[0].do


def test_braking_that_is_written_without_a_figure_is_never_none() -> None:
    for written in ({}, {"current": "50 A ?"}):
        build = load(edited("skerry-long-tail", {"controller.regen": written}), "x.yaml", today=TODAY)
        assert isinstance(build, Build)
        (found,) = [each for each in check(build, today=TODAY).findings if each.rule == "regen-trapped"]
        assert found.severity >= Severity.OPEN


def test_a_guessed_type_does_not_pass_where_that_type_is_a_stop() -> None:
    """25.5 A through 0.55 V in a wrapped body is 14 W behind 17 K/W at the least: above 85 degC."""
    put = {"joiners.yoke.type": "diode ?", "joiners.yoke.forward_voltage": "0.55 V", "joiners.yoke.mount": "wrapped"}
    build = load(edited("skerry-long-tail", put, ("joiners.yoke.resistance",)), "x.yaml", today=TODAY)
    assert isinstance(build, Build)
    (found,) = [each for each in check(build, today=TODAY).findings if each.rule == "joiner-overheats"]
    assert found.severity >= Severity.OPEN
