"""Notes that stand on nearly every bike: on request on pages, always in what programs read."""

from __future__ import annotations

import json

import pytest

from packyoke.answers.check.as_json import batch_json
from packyoke.answers.check.lines import batch_lines
from packyoke.answers.check.page import batch_html, batch_markdown, batch_text
from packyoke.answers.check.sarif import batch_sarif
from packyoke.api import Batch, Build, batch, check, load
from packyoke.core.findings import Severity
from tests.support import edited

USUAL = ("plug-in-spark", "local-law")
PAGES = (batch_text, batch_markdown, batch_html)


def checked(put: dict[str, object] | None = None) -> Batch:
    build = load(edited("breakwater-three-packs", put), "breakwater.yaml")
    assert isinstance(build, Build)
    return batch([check(build)], [])


@pytest.mark.parametrize("written", PAGES)
def test_pages_show_them_on_request(written: object) -> None:
    found = checked()
    assert callable(written)
    short, whole = written(found), written(found, everything=True)
    for rule in USUAL:
        assert rule not in short
        assert rule in whole
    assert "controller-window" in short  # a note about this bike stays


@pytest.mark.parametrize("written", [batch_json, batch_sarif, batch_lines])
def test_what_programs_read_has_every_finding(written: object) -> None:
    assert callable(written)
    text = written(checked())
    assert [rule for rule in USUAL if rule not in text] == []


def test_the_headline_counts_what_is_shown() -> None:
    found = checked()
    notes = json.loads(batch_json(found))["builds"][0]["counts"]["note"]
    assert notes == 3
    short, whole = batch_text(found), batch_text(found, everything=True)
    assert short.count("\nNOTE") == 1
    assert "1 note, 2 more with --all." in short
    assert whole.count("\nNOTE") == 3
    assert "3 notes." in whole


def test_the_same_rule_above_its_line_is_shown() -> None:
    # 3 mF x (54.6 V)^2 / 2 = 4.5 J, above 3 J; 500 W where 250 W are the limit.
    text = batch_text(checked({"controller.capacitance": "3 mF", "bike.drive.rated_power": "500 W"}))
    for rule in USUAL:
        assert rule in text
    assert "--all" not in text


@pytest.mark.parametrize("put", [None, {"controller.capacitance": "3 mF", "region": "US"}, {"region": "other"}])
def test_only_notes_are_usual(put: dict[str, object] | None) -> None:
    for report in checked(put).reports:
        assert {each.severity for each in report.findings if each.usual} <= {Severity.NOTE}
