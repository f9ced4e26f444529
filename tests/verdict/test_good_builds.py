"""Ordinary bikes in other words and units: quiet."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.api import Build, check, load
from packyoke.core.findings import Severity
from tests.support import edited

TABLE: list[dict[str, Any]] = yaml.load(
    (Path(__file__).parent / "good_builds.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader
)
DAY = "2026-11-28"
MOST_CAUTIONS = 2


@pytest.mark.parametrize("case", TABLE, ids=[case["says"] for case in TABLE])
def test_it_is_quiet(case: dict[str, Any]) -> None:
    build = load(edited(case["on"], case.get("put"), case.get("drop", ())), "x.yaml", today=DAY)
    assert isinstance(build, Build), build
    said = [each for each in check(build, today=DAY, brief=True).findings if each.severity >= Severity.CAUTION]
    assert not [(each.rule, each.part) for each in said if each.severity >= Severity.OPEN]
    assert len(said) <= MOST_CAUTIONS, [(each.rule, each.part) for each in said]
