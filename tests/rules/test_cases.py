"""Every rule at, just over and under its limit, and when it cannot be decided: the cases beside the rules."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.model.fields import field_for
from packyoke.rules.outcome import Failed, Passed, Undecided, told
from packyoke.rules.rule import each_check
from packyoke.verdict.explore import decide
from packyoke.verdict.questions import answer_to
from packyoke.verdict.trials import Trials
from tests.support import edited

CASES = Path(__file__).parent / "cases"
WORDS = {"note": Severity.NOTE, "caution": Severity.CAUTION, "open": Severity.OPEN, "stop": Severity.STOP, "pass": 0}
TODAY = "2026-11-25"


def every_case() -> list[Any]:
    found = []
    for path in sorted(CASES.glob("*.yaml")):
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        assert data["rule"] == path.stem, f"{path.name} is about {data['rule']}"
        names = [case["name"] for case in data["cases"]]
        assert len(names) == len(set(names)), f"{path.name}: a name stands twice"
        found += [pytest.param(data["rule"], case, id=f"{path.stem}: {case['name']}") for case in data["cases"]]
    return found


def part_path(build: Build, name: str) -> str:
    """Cases name parts as findings do (`leads.keel lead`, `build`) or as the file does, without the section."""
    if name == "build" or "." in name or name == "controller":
        return name
    for section in ("packs", "joiners", "leads", "accessories", "chargers", "racks", "controllers"):
        if name in getattr(build, section):
            return str(getattr(build, section)[name].path)
    raise AssertionError(f"no part {name}")


@pytest.mark.parametrize(("rule_name", "case"), every_case())
def test_case(rule_name: str, case: dict[str, Any]) -> None:
    rule = import_module(f"packyoke.rules.{rule_name.replace('-', '_')}").RULE
    assert rule.name == rule_name
    text = edited(case["base"], case.get("set"), case.get("drop", ()))
    build = load(text, "case.yaml", today=TODAY)
    assert isinstance(build, Build), "\n".join(f"{each.part}: {each.message}" for each in build)
    trials = Trials(build)
    path = part_path(build, case.get("part", "build"))
    judged = [part.path for part in rule.parts(trials.plain)]
    if path not in judged:
        assert case["expect"] == "pass", f"{rule_name} does not look at {path}: {judged}"
        return
    # Of a rule with several checks a case is about the first that says something.
    decisions = [decide(trials, each, path) for each in each_check(rule)]
    decision = next((each for each in decisions if each.severity), decisions[0])
    outcome = told(decision.outcome)
    assert decision.severity == WORDS[case["expect"]], f"{decision}"
    if decision.severity and outcome is not None and not isinstance(outcome, Passed):
        for key in ("found", "limit"):
            if key in case:
                assert str(getattr(outcome, key)).startswith(str(case[key])), f"{key}: {getattr(outcome, key)}"
        for text in _texts(case.get("says", ())):
            assert text in said(outcome), said(outcome)
        for text in _texts(case.get("says not", ())):
            assert text not in said(outcome), said(outcome)
        for key in ("field", "kind", "cause"):
            if key in case:
                assert getattr(outcome, key) == case[key]
        if "mends" in case:
            assert isinstance(outcome, Failed)
            assert [mend.text for family in outcome.mends for mend in family] == case["mends"]
        if "also" in case:
            assert [part.path for part in outcome.also] == case["also"]
        if "charges" in case:
            assert isinstance(outcome, Failed)
            assert dict(outcome.charges) == case["charges"]
    if "changes" in case:
        assert isinstance(outcome, Failed)
        assert [f"{each.path}.{each.attr}" for each in outcome.mends[0][0].changes] == case["changes"]
    if "asks" in case:
        asked = {f"{part}.{field_for(part, attr).path.rpartition('.')[2]}" for part, attr in decision.asks}
        assert {_last_two(each) for each in case["asks"]} <= {_last_two(each) for each in asked}, asked
    if "asks only" in case:
        assert [f"{part}.{attr}" for part, attr in decision.asks] == case["asks only"]
    if "assumes" in case:
        assumed = {f"{part}.{attr}" for each in decisions for part, attr in each.assumed}
        assert set(case["assumes"]) <= assumed, assumed
        assert case["assumes"] or not assumed, assumed
    if "passes_at" in case:
        found = answer_to(trials, decision, decision.asks[0])
        assert [found.relation, *map(str, found.values)] == [str(each) for each in case["passes_at"]]


def _texts(given: str | Sequence[str]) -> Sequence[str]:
    return (given,) if isinstance(given, str) else given


def _last_two(path: str) -> str:
    return ".".join(path.split(".")[-2:])


def said(outcome: Failed | Undecided) -> str:
    """Everything that a person could read of an outcome."""
    texts = [outcome.message, outcome.why, outcome.do, str(outcome.found), str(outcome.limit)]
    if isinstance(outcome, Failed):
        texts += [mend.text for family in outcome.mends for mend in family]
    else:
        texts.append(outcome.passes_if)
    return "\n".join(texts)
