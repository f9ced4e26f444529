"""An accepted caution whose time has run out, or that is no longer there.

What
    Cautions can be accepted knowingly, with a reason and a last day. This entry has passed its last
    day, covers no caution of this build any more, or covers far worse than what is found.
Why
    An old acceptance hides that nobody has looked again. A caution that grew worse since is another
    caution.
Limit
    The day until which it holds, against today; at most two years ahead. A value worse than the
    accepted one by more than 0.5 % opens the caution again. An accepted value of more than twice
    what is found is a caution of its own. Where no day is given to compare with,
    days are not compared.
Do
    Look at the caution again. Write a new last day, or what is found now, mend it, or take the entry out.
Rider notices
    nothing
Fails
    in skerry-long-tail
    accept: [{rule: voltage-drop, part: build, found: 4 %, because: ok, by: me, until: 2025-01-31}]
Passes
    in skerry-long-tail
    accept: []
Sources
    Our own rule (judgement).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.core.findings import Severity
from packyoke.model import Acceptance
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule


def acceptances(case: Case) -> tuple[Acceptance, ...]:
    return case.build.accept


def check(case: Case, acceptance: Acceptance) -> Outcome:
    today = case.build.today
    if not today:
        return None
    if acceptance.until >= today:
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message=f"accepting {acceptance.rule} on {acceptance.part} ended on {acceptance.until}",
        why="Nobody has looked at this caution since; it counts again.",
        do="Look at it again; then write a new last day, mend it, or take the entry out.",
        field="until",
        cause="expired",
    )


RULE = Rule(
    name="acceptance-stale",
    kind="paper",
    doubt="whether what was accepted still holds",
    page=__doc__ or "",
    basis=("judgement",),
    parts=acceptances,
    check=check,
)
