"""A stop stays one with a fact forgotten of which no value would mend it: drawn bikes do not talk a rule out of it."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.verdict.check import check
from tests.support import edited

CHARGER = {"chargers.counter": {"output": "67.2 V", "current": "4 A"}, "packs.keel.charge_inlet": "XLR 3 socket"}
"""16 cells, for packs of 14; it has no plug in the file, so it goes into whatever there is."""


@pytest.mark.parametrize(
    ("rule", "put", "drop", "forgotten"),
    [
        ("charger-voltage", CHARGER, (), ("packs.keel.series",)),
        # 50 V are marked on it, and no pack that is sold as 52 V is charged to less.
        ("ceiling-exceeded", {"joiners.yoke.marked": "50 V"}, ("joiners.yoke.ceiling",), ("packs.keel.series",)),
        (
            "ceiling-exceeded",
            {"joiners.yoke.marked": "50 V"},
            ("joiners.yoke.ceiling",),
            ("packs.keel.series", "packs.keel.chemistry"),
        ),
        ("lead-overheats", {"leads.main lead.gauge": "20 AWG"}, (), ("packs.keel.resistance", "packs.keel.cut_off")),
    ],
)
def test_what_nothing_mends_stays_a_stop(
    rule: str, put: dict[str, Any], drop: tuple[str, ...], forgotten: tuple[str, ...]
) -> None:
    for gone in (drop, (*drop, *forgotten)):
        build = load(edited("skerry-long-tail", put, gone), "case.yaml")
        assert isinstance(build, Build), build
        found = {each.rule for each in check(build, brief=True).findings if each.severity == Severity.STOP}
        assert rule in found
