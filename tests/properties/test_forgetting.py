"""What is forgotten never makes a verdict better: where a rule stops a build, without one of its facts it is open."""

from __future__ import annotations

import random
from collections.abc import Iterator
from importlib import import_module
from typing import Any

import pytest

from packyoke.analysis.unknowns.spans import ends
from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build, Key
from packyoke.verdict.explore import decide
from packyoke.verdict.trials import Trials
from tests.properties.worse_builds import known_fields
from tests.rules.test_cases import every_case, part_path
from tests.support import edited

TODAY = "2026-11-25"
MOST = 10
"""Facts that are forgotten in one build, one at a time."""
STOPPED = [each for each in every_case() if each.values[1]["expect"] in ("stop", "open")]
NOT_FACTS = ("name", "source", "target", "sources", "ends", "inlets", "outlets")


ASKED_ELSEWHERE = {
    "presence": "fuse-missing asks whether there is a fuse; what follows from one is decided then",
    "outlet": "live-pins asks what it is",
    "inlet": "live-pins asks what it is",
    "packs_count": "built-in-unknown asks for it",
    "plug": "charger-mixup asks which plug it has",
    "full_charge_v": "follows from the cells and their chemistry",
    "cut_off_v": "counts at the lowest that the chemistry is built with, where a reading is held against it",
}
"""Facts that another rule asks for whenever they are missing, and those that have a value to count with."""


def facts(build: Build, dice: random.Random) -> Iterator[Key]:
    """Some of the facts; not those that lie outside of what is usual, for what is missing counts as usual."""
    found = []
    for path, attr in known_fields(build):
        if attr in NOT_FACTS or attr in ASKED_ELSEWHERE:
            continue
        part = build.part(path)
        value, span = getattr(part, attr), ends(build.with_value(path, attr, None), part, attr)
        if not (isinstance(value, float) and span and not min(span) <= value <= max(span)):
            found.append((path, attr))
    yield from dice.sample(found, min(MOST, len(found)))


@pytest.mark.parametrize(("rule_name", "case"), STOPPED)
def test_forgetting_a_fact_is_no_way_out(rule_name: str, case: dict[str, Any]) -> None:
    rule = import_module(f"packyoke.rules.{rule_name.replace('-', '_')}").RULE
    build = load(edited(case["base"], case.get("set"), case.get("drop", ())), "case.yaml", today=TODAY)
    assert isinstance(build, Build)
    path = part_path(build, case.get("part", "build"))
    for key in facts(build, random.Random(str(case["name"]))):
        less = build.with_value(*key, None)
        trials = Trials(less)
        if path not in [part.path for part in rule.parts(trials.plain)]:
            pytest.fail(f"without {key} nobody looks at {path}")
        assert decide(trials, rule, path).severity >= Severity.OPEN, f"without {key}"
