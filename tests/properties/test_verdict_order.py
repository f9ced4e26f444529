"""The verdict hangs on what is drawn: not on order, names or spelling; and what gets worse never looks better."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from packyoke.api import check, load
from packyoke.model import Build
from tests.properties.drawn_values import TODAY, as_text, flow

RANK = {"none-found": 0, "caution": 1, "open": 2, "stop": 3}
GOOD = (Path(__file__).parents[2] / "examples" / "foghorn-lfp.yaml").read_text(encoding="utf-8")

WORSE: dict[str, tuple[str, str]] = {
    "thinner wire": ("gauge: 12 AWG", "gauge: 18 AWG"),
    "lower fuse voltage": ("voltage: 1000 V", "voltage: 32 V"),
    "weaker connector": ("XT60", "XT30"),
    "lower pack limit": ("{continuous: 30 A}\n    charge", "{continuous: 9 A}\n    charge"),
    "lower joiner limit": ("{continuous: 30 A}\n    resistance", "{continuous: 9 A}\n    resistance"),
    "older pack": ("condition: sound", "condition: swollen"),
    "worse insulation": ("insulation: silicone", "insulation: PVC"),
    "lower ceiling": ("ceiling: 60 V", "ceiling: 50 V"),
    "larger load": ("battery_current: 18 A", "battery_current: 60 A"),
    "wire not known": ("gauge: 12 AWG, ", ""),
    "fuse voltage not known": (", voltage: 1000 V}", "}"),
    "condition not known": ("    condition: sound\n", ""),
    "joiner ceiling not known": ("    ceiling: 60 V\n", ""),
    "braking not known": ("  regen: none\n", ""),
    "wire a guess": ("gauge: 12 AWG", "gauge: 12 AWG ?"),
    "limit a guess": ("{continuous: 30 A}", "{continuous: 30 A ?}"),
    "resistance a guess": ("resistance: 70 mohm", "resistance: 70 mohm ?"),
}
"""What is worse, by hand: what stands in the file, and what stands there instead."""
MUST_SHOW = (
    "lower fuse voltage",
    "lower pack limit",
    "lower joiner limit",
    "older pack",
    "lower ceiling",
    "larger load",
    "condition not known",
    "joiner ceiling not known",
    "wire not known",
    "wire a guess",
    "limit a guess",
    "fuse voltage not known",
)
"""Those that turn this build, which has no stop and nothing open."""
SAME = {
    "gauge: 12 AWG": "gauge: 12AWG",
    "length: 400 mm": "length: 0.4 m",
    "rating: 25 A": "rating: 25000 mA",
    "resistance: 70 mohm": "resistance: 0.07 ohm",
    "max: 60 V": "max: 60V",
}


def _said(text: str) -> tuple[str, list[tuple[str, int]]]:
    """The verdict, and every rule with a finding and its level."""
    build = load(text, "x.yaml", today=TODAY)
    assert isinstance(build, Build), build
    report = check(build, "x.yaml", today=TODAY, brief=True)
    return report.verdict, sorted((each.rule, int(each.severity)) for each in report.findings)


def _backwards(tree: Any) -> Any:
    """The same build with the parts of every section in the opposite order."""
    turned = ("packs", "joiners", "leads", "accessories", "chargers")
    parts = {
        key: dict(reversed(part.items())) if key in turned and isinstance(part, dict) else part
        for key, part in tree.items()
    }
    return dict(reversed(parts.items()))


def test_order_changes_nothing() -> None:
    assert _said(as_text(_backwards(flow(GOOD)))) == _said(GOOD)


def test_names_change_nothing() -> None:
    assert _said(
        GOOD.replace("port", "zebra")
        .replace("charge_zebra", "charge_port")
        .replace("yoke:", "aft:")
        .replace("to: yoke", "to: aft")
        .replace("from: yoke", "from: aft")
        .replace("packaft:", "packyoke:")
    ) == _said(GOOD)


def test_spelling_changes_nothing() -> None:
    text = GOOD
    for usual, other in SAME.items():
        assert usual in text
        text = text.replace(usual, other)
    assert _said(text) == _said(GOOD)


@pytest.mark.parametrize("worse", WORSE)
def test_what_gets_worse_never_looks_better(worse: str) -> None:
    now, then = WORSE[worse]
    assert now in GOOD
    before, after = RANK[_said(GOOD)[0]], RANK[_said(GOOD.replace(now, then))[0]]
    assert after >= before
    assert after >= RANK["open"] or worse not in MUST_SHOW
