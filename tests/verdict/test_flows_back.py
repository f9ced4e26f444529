"""What is told where a part carries most towards its pack: figures, what it comes from, what is advised.

Two packs behind a joiner that blocks, and a third beside them on a plain one: all that is pushed goes into the third.
"""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.compare.differences import compared
from packyoke.answers.compare.page import compare_page
from packyoke.answers.drawn import over_limit
from packyoke.api import Build, Report, check, load
from packyoke.page.page import Table
from tests.support import edited

DAY = "2026-11-30"
BLOCKING = {"joiners.y2.type": "ideal-diode", "joiners.y2.blocks_in": "positive"}


def build(put: dict[str, Any] | None = None) -> Build:
    """13 cells from 54.6 to 36 V, 400 mm leads of 12 AWG with XT60 at both ends, `link` between the joiners."""
    found = load(edited("blocked-pair-and-one", put), "x.yaml", today=DAY)
    assert isinstance(found, Build), found
    return found


def told(report: Report, rule: str, part: str) -> tuple[str, str]:
    (found,) = [each for each in report.findings if (each.rule, each.part) == (rule, part)]
    return str(found.found), found.do


def test_the_drawing_has_the_current_that_is_too_much() -> None:
    """112 A go into the third pack: 18.6 V over 165.7 mohm (see below); 20 A come out of it at most."""
    report = check(build(), today=DAY, rides=False)
    (line,) = [each for each in report.tree if each.name == "c lead"]
    assert line.worst == "112 of 30 A XT60"
    assert over_limit(report)["leads.c lead"] == "112 A, limit 30 A"


def test_a_comparison_has_the_current_that_is_too_much() -> None:
    plain, apart = build(), build(BLOCKING)
    view = compared(plain, apart, *(check(each, today=DAY, rides=False) for each in (plain, apart)))
    (table,) = [each for each in compare_page(view).blocks if isinstance(each, Table) and each.heading == "Currents"]
    assert ("c lead", "112 of 30 A", "20 of 30 A") in table.rows


# Two packs of R beside each other, each with 2 mohm of the joiner and 5.5 mohm of lead and contacts (4.27 and 1.2),
# then twice 5.97 mohm up to the third of R: 18.6 V / (R/2 + R + 15.7 mohm) are 112.3 A of 100 mohm, 24.3 A of 500 mohm.
# Of what is pushed in at the last joiner so much more goes into the third as its way has of the conductance: 0.36 of it
# at 100 mohm, 0.34 at 500 mohm.
BACK = [
    ("packs alone", {}, "112 A from pack to pack", "An ideal-diode joiner in place of y2"),
    (
        "braking besides",
        {"controller.regen": {"current": "3 A"}},
        "113 A braking, 112 A of it from pack to pack",
        "An ideal-diode joiner in place of y2",
    ),
    (
        "a charger besides",
        {"chargers": {"home": {"output": "54.6 V", "current": "3 A", "plug": "XT60", "through": "y2"}}},
        "113 A charging with home, 112 A of it from pack to pack",
        "An ideal-diode joiner in place of y2",
    ),
    (
        "too much with braking only",
        {"controller.regen": {"current": "20 A"}, "packs.a.resistance": "500 mohm"},
        "31.1 A braking, 24.3 A of it from pack to pack",
        "XT90 on both halves, 45 A (cautious); or switch braking off",
    ),
]


@pytest.mark.parametrize(("name", "put", "found", "do"), BACK, ids=[each[0] for each in BACK])
def test_what_is_too_much_is_told_with_what_it_comes_from(name: str, put: dict[str, Any], found: str, do: str) -> None:
    report = check(build(put), today=DAY, rides=False)
    figures, advice = told(report, "connector-overloaded", "leads.c lead")
    assert figures == found
    assert do in advice


def test_fuses_on_both_sides_of_a_lead_are_parted_by_a_joiner_that_blocks() -> None:
    """90 A of fuses, 60 A of wire; a fuse at one end leaves those at the other."""
    report = check(build(), today=DAY, rides=False)
    assert told(report, "fuse-oversized", "leads.c lead")[1].startswith("An ideal-diode joiner in place of y2")
