"""What becomes of one finding between two results: by how much it weighs, then by how far it is beyond its limit."""

from __future__ import annotations

import pytest

from packyoke.answers.changes import ToldFinding, changes
from packyoke.core.findings import Amount


def told(
    found: float | None,
    limit: float,
    relation: str = "at most",
    severity: str = "stop",
    unit: str = "A",
    accepted: bool = False,
) -> dict[str, ToldFinding]:
    figure = None if found is None else Amount(found, unit)
    one = ToldFinding("rule", "part", "part", severity, "", figure, Amount(limit, unit), relation, accepted, "print", 1)
    return {"print": one}


@pytest.mark.parametrize(
    ("before", "now", "kind"),
    [
        (told(30, 20), told(30, 20), "same"),
        (told(30, 20), told(30.09, 20), "same"),  # 0.45 % of the limit
        (told(30, 20), told(30.11, 20), "worse"),  # 0.55 %
        (told(30, 20), told(29, 20), "better"),
        (told(30, 20), told(30, 15), "worse"),  # the limit came down
        (told(30, 20), told(30, 25), "better"),
        (told(30, 20), told(60, 40), "same"),  # half above its limit, before and now
        (told(3, 5, "at least"), told(2, 5, "at least"), "worse"),
        (told(3, 5, "at least"), told(4, 5, "at least"), "better"),
        (told(44, 43, "below"), told(46, 43, "below"), "worse"),
        (told(44, 43, "below"), told(43.2, 43, "below"), "better"),
        (told(4, 5, "as"), told(6.5, 5, "as"), "worse"),  # farther away, on the other side
        (told(4, 5, "as"), told(5.5, 5, "as"), "better"),
        (told(3, 0), told(6, 0), "worse"),
        (told(3, 0), told(3, 0), "same"),
        (told(None, 20), told(30, 20), "same"),
        (told(30, 20), told(30, 20, unit="V"), "same"),
        (told(float("inf"), 20), told(30, 20), "same"),
        (told(30, 20, severity="caution"), told(25, 20, severity="open"), "worse"),
        (told(25, 20), told(30, 20, severity="caution"), "better"),
        (told(25, 20, severity="caution"), told(25, 20, severity="caution", accepted=True), "better"),
        (told(25, 20, severity="caution", accepted=True), told(25, 20, severity="caution"), "worse"),
        (told(25, 20, severity="caution", accepted=True), told(25, 20, severity="note"), "same"),
        ({}, told(30, 20), "new"),
        (told(30, 20), {}, "gone"),
    ],
)
def test_what_became_of_a_finding(before: dict[str, ToldFinding], now: dict[str, ToldFinding], kind: str) -> None:
    (one,) = changes(before, now)
    assert one.kind == kind


def test_of_what_cannot_be_read_nothing_is_gone() -> None:
    assert changes(told(30, 20), {}, read=False) == []


@pytest.mark.parametrize(
    ("before", "now", "grave"),
    [
        ({}, told(1, 1, severity="caution"), False),
        ({}, told(1, 1, severity="open"), True),
        (told(1, 1, severity="caution"), told(1, 1, severity="stop"), True),
        (told(1, 1, severity="open"), told(1, 1, severity="stop"), True),
        (told(30, 20), told(40, 20), False),  # it was at stop before
        (told(1, 1), {}, False),
    ],
)
def test_a_change_is_grave_where_it_brings_a_stop_or_a_question(
    before: dict[str, ToldFinding], now: dict[str, ToldFinding], grave: bool
) -> None:
    (one,) = changes(before, now)
    assert one.grave is grave
