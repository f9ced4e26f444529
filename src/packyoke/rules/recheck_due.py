"""A bike whose own date for the next look has come.

What
    The file says when this bike is to be looked at again, and that month or day has come.
Why
    Connectors loosen, packs age and jackets rub through where nobody looks. The check knows the bike
    as it was written down, not as it is by now.
Limit
    The month (from its first day) or the day of `recheck`, against today. Where no day is given to
    compare with, days are not compared.
Do
    Look the bike over, measure again what was measured, write the readings down, and write the next
    date.
Rider notices
    nothing
Fails
    in skerry-long-tail
    recheck: 2025-01
Passes
    in skerry-long-tail
    recheck: 2031-05
Sources
    Our own rule (judgement).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, whole


def check(case: Case, build: Build) -> Outcome:
    if not build.today or not build.recheck:
        return None
    if build.recheck > build.today:  # a month sorts before its days, so it is due from the first on
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message=f"due to be looked at again since {build.recheck}",
        why="Nobody has written down since then what it is like by now.",
        do="Look it over, measure again, then write the next date:  recheck",
        field="recheck",
        cause="due",
    )


RULE = Rule(
    name="recheck-due",
    kind="paper",
    doubt="whether it is due to be looked at again",
    page=__doc__ or "",
    basis=("judgement",),
    parts=whole,
    check=check,
)
