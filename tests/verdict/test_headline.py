"""The one change of the headline: what it counts stands on the page, and no part of it comes from a tried value."""

from __future__ import annotations

import re

import pytest

from packyoke.answers.check.page import check_page, counts_text, cure_text
from packyoke.api import Build, Report, check, load
from packyoke.core.findings import Severity
from packyoke.page.text import page_text
from tests.support import LABELS_ONLY, edited

DAY = "2026-11-28"
BUILDS = {
    "labels only": LABELS_ONLY,
    "labels and a load": LABELS_ONLY.replace("controller: {}", "controller: {battery_current: 20 A}"),
    "unlike labels": LABELS_ONLY.replace(
        "hers: {label: 36 V, charger_label: 42 V", "hers: {label: 52 V, charger_label: 58.8 V"
    ),
    "a plain joiner that is known": edited("quay-plain-trike"),
    "a plain joiner, half known": edited("quay-plain-trike", None, ["packs.old.condition", "joiners.y.current"]),
}


def report(text: str) -> Report:
    build = load(text, "x.yaml", today=DAY)
    assert isinstance(build, Build), build
    return check(build, today=DAY, rides=False)


@pytest.mark.parametrize("text", BUILDS.values(), ids=BUILDS)
def test_as_many_findings_as_it_settles_stand_on_the_page(text: str) -> None:
    found = report(text)
    words = re.search(r"settles (\d+) of these", cure_text(found))
    if words is None:
        assert "named above" not in page_text(check_page(found))
        return
    assert found.cure is not None
    stops = [each for each in found.findings if each.severity == Severity.STOP]
    blocks = {
        each.rule
        for each in found.findings
        if each.severity == Severity.OPEN and f"rule   {each.rule}" in page_text(check_page(found))
    }
    settled = {each for each in found.findings if each.fingerprint in found.cure.settles}
    seen = [each for each in settled if each in stops or each.rule in blocks]
    assert int(words[1]) == len(seen) >= 2
    assert counts_text(found, [*found.findings])


@pytest.mark.parametrize("text", [BUILDS["labels only"], BUILDS["labels and a load"], BUILDS["unlike labels"]])
def test_a_drive_that_is_not_known_changes_no_part(text: str) -> None:
    """Behind a joiner that blocks, a direct-drive hub would need parts for more volts; nobody said that it is one."""
    found = report(text)
    said = page_text(check_page(found))
    assert "parts that bear" not in said
    assert any(each.field == "drive.type" for each in found.to_find_out)


def test_a_drive_that_is_known_still_does() -> None:
    """42 km/h at 50 V are 65 km/h at 77.4 V: the controller for 63 V and the joiner have to bear 78 V."""
    found = report(edited("quay-plain-trike", {"joiners.y.ceiling": "60 V"}))
    assert "parts that bear 78 V" in page_text(check_page(found))


@pytest.mark.parametrize(
    ("label", "chemistry", "series"),
    [
        ("48 V", "NMC", 13),
        ("52 V", "NMC", 14),
        ("36 V", "NMC", 10),
        ("72 V", "NMC", 20),
        ("51.2 V", "LFP", 16),
        ("48 V", "LFP", 15),
        ("24 V", "LFP", 8),
    ],
)
def test_figures_of_a_label_are_those_of_the_pack_that_is_sold_under_it(
    label: str, chemistry: str, series: int
) -> None:
    """3.6 V a cell, LFP 3.2 V: 48 V are 13.3 cells of NMC and 15 of LFP."""
    other = (
        "{label: 24 V, chemistry: NMC, capacity: 10 Ah}"
        if label != "24 V"
        else "{label: 72 V, chemistry: NMC, capacity: 10 Ah}"
    )
    text = LABELS_ONLY.replace(
        "{label: 36 V, charger_label: 42 V, capacity: 10 Ah}",
        f"{{label: {label}, chemistry: {chemistry}, capacity: 10 Ah}}",
    )
    text = text.replace("{label: 36 V, charger_label: 42 V, capacity: 17 Ah}", other)
    unequal = [
        each for each in report(text).findings if each.rule == "packs-unequal" and each.severity == Severity.STOP
    ]
    assert f"full ({series}s {chemistry})" in " ".join(f"{each.found} {each.limit}" for each in unequal)
