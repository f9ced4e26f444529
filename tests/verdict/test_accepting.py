"""Which acceptance covers which caution: at the accepted value, half a per cent worse, and just over that."""

from __future__ import annotations

from dataclasses import replace

import pytest

from packyoke.buildfile.reading import load
from packyoke.core.findings import Amount, Finding, Severity
from packyoke.model import Acceptance, Build
from packyoke.model.build import NOWHERE
from packyoke.verdict.accepting import accepted, covers
from packyoke.verdict.check import check
from tests.support import base_text, edited


def acceptance(found: float, unit: str, rule: str = "voltage-drop", part: str = "build") -> Acceptance:
    return Acceptance(
        name="1",
        path="accept.1",
        span=NOWHERE,
        spans={},
        rule=rule,
        part=part,
        found=found,
        found_unit=unit,
        because="short rides",
        by="Oda",
        until="2027-05-14",
    )


def caution(
    found: Amount | None, relation: str = "at most", severity: Severity = Severity.CAUTION, rule: str = "voltage-drop"
) -> Finding:
    return Finding(rule=rule, severity=severity, part="build", message="", span=NOWHERE, found=found, relation=relation)


@pytest.mark.parametrize(
    ("found", "relation", "covered"),
    [
        (4.0, "at most", True),
        (1.0, "at most", True),
        (4.02, "at most", True),  # 4 x 1.005
        (4.021, "at most", False),
        (4.0, "at least", True),
        (9.0, "at least", True),
        (3.98, "at least", True),  # 4 x 0.995
        (3.979, "at least", False),
    ],
)
def test_no_worse_than_what_was_accepted(found: float, relation: str, covered: bool) -> None:
    assert covers(acceptance(4.0, "%"), caution(Amount(found, "%"), relation)) is covered


@pytest.mark.parametrize(
    ("accepted", "unit", "found", "covered"),
    [
        (12.0, "A", Amount(12.0, "A"), True),
        (12000.0, "mA", Amount(12.0, "A"), True),
        (11900.0, "mA", Amount(12.0, "A"), False),
        (12.0, "V", Amount(12.0, "A"), False),
        (12.0, "A", Amount(12.0, "pieces"), False),
        (12.0, "pieces", Amount(12.0, "pieces"), True),
        (11.0, "pieces", Amount(12.0, "pieces"), False),
        (12.0, "A", None, False),
        (0.0, "", None, True),
    ],
)
def test_units(accepted: float, unit: str, found: Amount | None, covered: bool) -> None:
    """A unit covers those of its own kind; what has no figure is accepted without a unit, and cannot get worse."""
    assert covers(acceptance(accepted, unit), caution(found)) is covered


@pytest.mark.parametrize("severity", [Severity.NOTE, Severity.OPEN, Severity.STOP])
def test_only_cautions_are_accepted(severity: Severity) -> None:
    assert not covers(acceptance(4.0, "%"), caution(Amount(1.0, "%"), severity=severity))


def test_another_rule_or_part_is_not_covered() -> None:
    assert not covers(acceptance(4.0, "%", rule="lead-overheats"), caution(Amount(1.0, "%")))
    assert not covers(acceptance(4.0, "%", part="packs.keel"), caution(Amount(1.0, "%")))


@pytest.mark.parametrize(
    ("today", "counts"), [("2027-05-13", True), ("2027-05-14", True), ("2027-05-15", False), ("", True)]
)
def test_an_acceptance_counts_to_its_last_day(today: str, counts: bool) -> None:
    """After it the finding stands again, and the entry is no longer told to cover nothing."""
    given = acceptance(4.0, "%")
    build = replace(load(base_text("skerry-long-tail"), "x.yaml"), accept=(given,))  # type: ignore[type-var]
    assert isinstance(build, Build)
    (found,) = accepted(build, [caution(Amount(3.0, "%"))], today)
    assert bool(found.accepted) is counts
    left = accepted(build, [caution(Amount(9.0, "%"))], today)
    assert [each.rule for each in left] == ["voltage-drop", *(["acceptance-stale"] if counts else [])]


LAMP = "{from: yoke, gauge: 22 AWG, max: 60 V, current: 0.5 A, standby: 400 mA, fuse: FUSE}"


@pytest.mark.parametrize(
    ("fuse", "found", "accepted_of"),
    [
        ("{family: 10x38, rating: 2 A, voltage: 1000 V}", "400 mA", {"standby": True}),
        ("none", "400 mA", {"wire": False, "standby": True}),
        ("none", "0", {"wire": True, "standby": False}),
    ],
)
def test_a_lamp_that_drains_is_accepted_and_loses_its_fuse_later(
    fuse: str, found: str, accepted_of: dict[str, bool]
) -> None:
    """What was accepted of the current that it draws says nothing of a thin wire without a fuse."""
    entry = {"rule": "accessory-tap", "part": "accessories.lamp", "found": found, "because": "seldom left"}
    put = {
        "accessories.lamp": LAMP.replace("FUSE", fuse),
        "accept": [entry | {"by": "the lead", "until": "2027-05-14"}],
    }
    build = load(edited("skerry-long-tail", put), "b.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    told = [each for each in check(build, today="2026-11-25").findings if each.rule == "accessory-tap"]
    cautions = [each for each in told if each.severity == Severity.CAUTION]
    assert {each.cause: bool(each.accepted) for each in cautions} == accepted_of


@pytest.mark.parametrize(
    ("found", "relation", "told"),
    [
        (4.0, "at most", []),
        (2.0, "at most", []),  # half of what was accepted
        (1.99, "at most", ["wide"]),
        (8.0, "at least", []),  # twice of it
        (8.01, "at least", ["wide"]),
        (4.1, "at most", ["unused"]),
        (0.0, "at most", []),  # no share of nothing
    ],
)
def test_far_more_than_what_is_found_is_not_accepted_in_silence(found: float, relation: str, told: list[str]) -> None:
    build = replace(load(base_text("skerry-long-tail"), "x.yaml"), accept=(acceptance(4.0, "%"),))  # type: ignore[type-var]
    assert isinstance(build, Build)
    first, *others = accepted(build, [caution(Amount(found, "%"), relation)], "")
    assert bool(first.accepted) is ("unused" not in told)
    assert [each.cause for each in others] == told
    assert {each.severity for each in others if each.cause == "wide"} <= {Severity.CAUTION}


def test_what_is_accepted_far_too_wide_is_told_with_what_to_write() -> None:
    """The lamp draws 400 mA when it is off."""
    put = {
        "accessories.lamp": LAMP.replace("FUSE", "{family: 10x38, rating: 2 A, voltage: 1000 V}"),
        "accept": [
            {"rule": "accessory-tap", "part": "accessories.lamp", "found": "9 A", "because": "x"}
            | {"by": "the lead", "until": "2027-05-14"}
        ],
    }
    build = load(edited("skerry-long-tail", put), "b.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    found = check(build, today="2026-11-25")
    (told,) = [each for each in found.findings if each.rule == "acceptance-stale"]
    assert told.message == "accepts 9 A of accessory-tap on accessories.lamp, and 400 mA is found"
    assert told.do == "Accept what is found now:  found: 400 mA"
    assert found.verdict == "caution"
