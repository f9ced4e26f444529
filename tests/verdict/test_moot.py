"""Under a stop for plain joining only what still decides with a blocking joiner in place is asked, and all of that."""

from __future__ import annotations

import pytest

from packyoke.api import Build, Report, check, load
from packyoke.verdict.moot import FIRST
from tests.support import edited

DAY = "2026-11-28"
LABELS = """
packyoke: 1
name: labels only
packs:
  big: {label: 48 V, capacity: 14 Ah}
  small: {label: 48 V, capacity: 10 Ah}
joiners:
  y: {type: plain}
leads:
  a: {from: big, to: y}
  b: {from: small, to: y}
  c: {from: y, to: controller}
controller: {battery_current: 15 A}
"""
THIN = {
    "labels only": LABELS,
    "known but for the joiner's label and looks": edited(
        "quay-plain-trike", None, ["joiners.y.current", "joiners.y.ceiling", "packs.old.condition"]
    ),
    "charge path and data not looked at": edited("quay-plain-trike", None, ["packs.old.bms"]),
}


def report(text: str) -> Report:
    build = load(text, "x.yaml", today=DAY)
    assert isinstance(build, Build), build
    return check(build, today=DAY)


def asked(found: Report) -> set[tuple[str, str]]:
    return {(each.part, each.field) for each in found.to_find_out if not each.part.startswith("joiners.y")}


@pytest.mark.parametrize("text", THIN.values(), ids=THIN)
def test_what_decides_after_the_mend_is_asked_and_nothing_else(text: str) -> None:
    plain = report(text)
    after = text.replace("{type: plain}", "{type: ideal-diode, blocks_in: positive}")
    after = after.replace("    type: plain\n", "    type: ideal-diode\n    blocks_in: positive\n")
    mended = report(after)
    assert plain.verdict == "stop"
    assert not [each for each in plain.to_find_out if each.part.startswith("joiners.y")]
    assert asked(plain) == asked(mended)
    opens = [each for each in plain.findings if each.severity.word == "open"]
    of_rules = {(each.rule, each.part) for each in opens if each.do != FIRST}
    left = {(each.rule, each.part) for each in mended.findings if each.severity.word in ("open", "stop")}
    assert of_rules <= left, of_rules - left


def test_without_such_a_stop_everything_is_asked() -> None:
    bonded = report(edited("bonded-front-load", None, ["packs.p1.bms", "joiners.tee.ceiling"]))
    assert {"joiners.tee", "packs.p1", "packs.p2"} <= {each.part for each in bonded.to_find_out}


@pytest.mark.parametrize(
    ("joiner", "asked_for"),
    [("plain", False), ("selector", True)],
)
def test_only_of_a_plain_joiner_nothing_is_asked_any_more(joiner: str, asked_for: bool) -> None:
    """A selector that makes before it breaks is a stop too; its mend is another one, of which the same is asked."""
    put = {"joiners.bar.type": joiner, **({"joiners.bar.makes": "before break"} if joiner == "selector" else {})}
    found = report(edited("slipway-bench-pair", put, ["joiners.bar.ceiling"]))
    assert "packs-rush" in {each.rule for each in found.findings if each.severity.word == "stop"}
    assert (("joiners.bar", "ceiling") in {(each.part, each.field) for each in found.to_find_out}) == asked_for
