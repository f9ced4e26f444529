"""The failing and the corrected example of every rule's page, executed."""

from __future__ import annotations

import re

import pytest

from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.rules.pages import page
from packyoke.rules.rule import Rule
from packyoke.verdict.explore import decide
from packyoke.verdict.trials import Trials
from tests.support import edited

JUDGED = [rule for rule in RULES if rule.name not in ("unreadable", "rule-crashed")]
TODAY = "2026-11-25"


def example(rule: Rule, title: str) -> tuple[str, dict[str, str], list[str]]:
    """The base build, the lines that are set and the lines that are left out."""
    found = page(rule.name)
    assert found is not None
    first, *rest = [line for line in found.section(title).splitlines() if line.strip()]
    put, drop = {}, []
    for line in rest:
        if line.startswith("- "):
            drop.append(line[2:].strip())
            continue
        path, _, value = line.partition(": ")
        put[path.strip()] = value
    return first.removeprefix("in ").strip().removesuffix(".yaml"), put, drop


def severities(rule: Rule, title: str) -> list[int]:
    base, put, drop = example(rule, title)
    build = load(edited(base, put, drop), f"{base}.yaml", today=TODAY)
    assert isinstance(build, Build), [finding.message for finding in build]
    trials = Trials(build)
    return [decide(trials, rule, part.path).severity for part in rule.parts(trials.plain)]


@pytest.mark.parametrize("rule", JUDGED, ids=lambda rule: rule.name)
def test_the_failing_example_fails(rule: Rule) -> None:
    assert max(severities(rule, "Fails"), default=0) >= Severity.NOTE
    assert all(severity < Severity.OPEN for severity in severities(rule, "Passes"))


@pytest.mark.parametrize("rule", JUDGED, ids=lambda rule: rule.name)
def test_the_corrected_example_passes(rule: Rule) -> None:
    failing = max(severities(rule, "Fails"))
    assert max(severities(rule, "Passes"), default=0) < min(failing, Severity.CAUTION)


FORMULA = re.compile(r"[A-Za-z][\w /*()-]* (<=|>=|=) \S")


@pytest.mark.parametrize("rule", JUDGED, ids=lambda rule: rule.name)
def test_a_formula_stands_in_a_paragraph_of_its_own(rule: Rule) -> None:
    """On a screen the lines of a paragraph are run together: a formula in its middle could not be read."""
    found = page(rule.name)
    assert found is not None
    for paragraph in found.section("Limit").split("\n\n"):
        assert not [line for line in paragraph.splitlines()[1:] if FORMULA.match(line.strip())]


@pytest.mark.parametrize("name", ["fuse-missing", "fuse-oversized", "lead-overheats"])
def test_a_limit_that_was_made_for_boats_says_so(name: str) -> None:
    found = page(name)
    assert found is not None
    sources = " ".join(found.section("Sources").split())
    assert "for boats, taken as the best public table" in sources
