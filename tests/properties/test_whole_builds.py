"""Drawn builds of every shape end in a verdict or in a line that says what is wrong with the file."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from packyoke.analysis.case import Case
from packyoke.answers.check.as_json import batch_json
from packyoke.api import check, load
from packyoke.core.findings import Finding, Severity
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.verdict.layout import tree_lines
from packyoke.verdict.report import Batch, Report
from tests.properties.drawn_builds import read
from tests.properties.drawn_shop import SHOPS, shop_file
from tests.properties.drawn_values import TODAY
from tests.properties.every_command import broken
from tests.properties.every_rule import failing
from tests.properties.odd_drawings import SHAPES

BROKE = Path(__file__).parents[1] / "data" / "broke"
COUNT = int(os.environ.get("PACKYOKE_DRAWN", "8"))
"""How many builds are drawn and checked; an eighth as many go through the other commands."""


def _judged(build: Build | list[Finding]) -> Report:
    report = check(build, "x.yaml", today=TODAY, brief=True)
    assert not [each for each in report.findings if each.rule == "rule-crashed" or "in the program" in each.message]
    assert batch_json(Batch(tool="0", rules="0", shelf="0", reports=(report,), skipped=()), with_ticket=False)
    return report


@pytest.mark.parametrize("seed", range(100, 100 + COUNT))
def test_a_drawn_build(seed: int) -> None:
    _judged(read(seed))


@pytest.mark.parametrize("path", sorted(BROKE.glob("*.yaml")), ids=lambda path: path.stem)
def test_a_build_that_once_broke_a_rule(path: Path) -> None:
    """With each drawn shop file that has the parts which it names."""
    read = [load(path.read_text("utf-8"), path.name, shop=shop_file(n), today=TODAY) for n in (None, *SHOPS)]
    builds = [each for each in read if isinstance(each, Build)]
    assert builds
    for build in builds[:3]:
        _judged(build)


@pytest.mark.parametrize("seed", range(300, 300 + COUNT // 8))
def test_every_other_command(seed: int, tmp_path: Path) -> None:
    assert not broken(seed, tmp_path, ("plan", "rundown", "range", "charge", "meter", "compare", "sheet"))


@pytest.mark.parametrize("seed", range(500, 500 + COUNT))
def test_every_rule(seed: int, tmp_path: Path) -> None:
    assert not failing(seed, tmp_path)


def test_a_rule_that_fails_is_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def fails(_case: Case, _part: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("tests.properties.every_rule.RULES", tuple(replace(rule, check=fails) for rule in RULES[:3]))
    assert any("ZeroDivisionError" in told for seed in range(500, 506) for told in failing(seed, tmp_path))


@pytest.mark.parametrize("name", SHAPES)
def test_an_odd_drawing(name: str) -> None:
    """None of them crashes a rule; what leads round or beside is refused, whatever the joiners are."""
    report = _judged(load(SHAPES[name], "x.yaml", today=TODAY))
    assert report.verdict in ("stop", "open", "caution")
    if any(words in name for words in ("round", "itself", "side by side", "past", "ring")):
        assert "harness-broken" in [each.rule for each in report.findings if each.severity == Severity.STOP]


def test_side_by_side_leads_do_not_multiply_the_drawing() -> None:
    """Six joiners one behind the other with three leads each: 3^6 ways, 18 leads to show."""
    leads = {"p lead": ("keel", "y0")} | {f"l{n}{k}": (f"y{n}", f"y{n + 1}") for n in range(5) for k in range(3)}
    lines = [f"  {name}: {{from: {source}, to: {target}}}" for name, (source, target) in leads.items()]
    joiners = "".join(f"  y{n}: {{type: ideal-diode, inputs: 3}}\n" for n in range(6))
    text = (
        "packyoke: 1\nname: x\npacks: {keel: {chemistry: NMC, series: 13}}\njoiners:\n"
        + joiners
        + "leads:\n"
        + "\n".join(lines)
        + "\n  main: {from: y5, to: controller}\ncontroller: {battery_current: 20 A}\n"
    )
    build = load(text, "x.yaml", today=TODAY)
    assert isinstance(build, Build)
    assert len([line for line in tree_lines(Case(build)) if line.name in leads]) == len(leads)
