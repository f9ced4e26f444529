"""Builds that nobody may ride: each is told so, by the rule that it is for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.api import Build, check, load
from packyoke.core.findings import Severity
from tests.support import edited

TABLE: list[dict[str, Any]] = yaml.load(
    (Path(__file__).parent / "bad_builds.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader
)
DAY = "2026-11-28"


@pytest.mark.parametrize("case", TABLE, ids=[case["says"] for case in TABLE])
def test_it_is_told(case: dict[str, Any]) -> None:
    build = load(edited(case["on"], case.get("put"), case.get("drop", ())), "x.yaml", today=DAY)
    if "refused" in case:
        assert not isinstance(build, Build)
        return
    assert isinstance(build, Build), build
    report = check(build, today=DAY, brief=True)
    least = Severity[case.get("at", "open").upper()]
    wanted = case["finds"] if isinstance(case["finds"], list) else [case["finds"]]
    said = {(each.rule, each.severity.word) for each in report.findings if each.severity >= least}
    assert any(rule in wanted for rule, _ in said), said
    if least >= Severity.OPEN:
        assert report.verdict in ("stop", "open")
