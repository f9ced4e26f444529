"""Working out what to change: each mend is tried on the whole build before it is advised."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from packyoke.core.findings import Severity
from packyoke.model import Build, Unknown
from packyoke.rules.outcome import Change, Failed, Mend, level
from packyoke.rules.rule import Rule
from packyoke.verdict.explore import Decision, decide
from packyoke.verdict.trials import Trials

MOST_WHOLE = 400
FEWEST_WHOLE = 3
TRIALS_FOR_ONE = 25
MOST_TRIED = 12
"""Mends of one family that are tried."""

Identity = tuple[str, str, str]
"""Rule, part path and cause: what makes a finding the same finding in two builds."""


class Tried(NamedTuple):
    """A mend that works, the findings that it settles, and whether it costs a new caution."""

    mend: Mend
    settles: frozenset[Identity]
    cautions: bool


def identity(decision: Decision) -> Identity:
    outcome = decision.outcome
    return decision.rule.name, decision.path, getattr(outcome, "cause", "") if outcome else ""


def weighty(decisions: list[Decision]) -> frozenset[Identity]:
    """The findings at stop or open: what a mend must not add to."""
    return frozenset(identity(each) for each in decisions if each.severity >= Severity.OPEN)


def cautions(decisions: list[Decision]) -> frozenset[Identity]:
    return frozenset(identity(each) for each in decisions if each.severity == Severity.CAUTION)


def changed(build: Build, changes: tuple[Change, ...]) -> Build:
    for change in changes:
        build = build.with_value(change.path, change.attr, change.value)
    return build


class Workshop:
    """Tries mends on one build. `judge` judges a whole build, without mends.

    How many are tried on the whole build is bounded, less for large builds and for those of which little is known
    (`trials`, values tried to judge it once): the advice of the rule stands when nothing was tried.
    """

    def __init__(
        self, build: Build, before: list[Decision], judge: Callable[[Build], list[Decision]], trials: int = 0
    ) -> None:
        self.build = build
        self.before = weighty(before)
        self.cautions_before = cautions(before)
        self.judge = judge
        self._tried: dict[tuple[Change, ...], list[Decision]] = {}
        # Packs that are bonded are run down from full to empty for each of them.
        packs = max(1, len(build.packs)) * (2 if any(each.bonded for each in build.joiners.values()) else 1)
        self._left = max(FEWEST_WHOLE, MOST_WHOLE // packs**2 - trials // TRIALS_FOR_ONE)

    def works(self, decision: Decision, mend: Mend) -> Tried | None:
        """The mend, if it settles a finding and brings no new stop or open question."""
        if not self._settles(decision.rule, decision.path, mend):
            return None
        decisions = self._tried.get(mend.changes)
        if decisions is None:
            if self._left <= 0:
                return None
            self._left -= 1
            decisions = self._tried[mend.changes] = self.judge(changed(self.build, mend.changes))
        after, new = weighty(decisions), cautions(decisions) - self.cautions_before - self.before
        if after - self.before or identity(decision) in after:
            return None
        return Tried(mend, self.before - after, bool(new))

    def first_of_each_family(self, decision: Decision) -> list[Tried]:
        """For each family of mends the first that works and brings no new caution, else the first that works."""
        outcome = decision.outcome
        if not isinstance(outcome, Failed):
            return []
        found = []
        for family in outcome.mends:
            best: Tried | None = None
            for mend in family[:MOST_TRIED]:
                tried = self.works(decision, mend)
                best = best or tried
                if tried is not None and not tried.cautions:
                    best = tried
                    break
            if best is not None:
                found.append(best)
        return found

    def _settles(self, rule: Rule, path: str, mend: Mend) -> bool:
        """Whether the rule itself is content after the change: cheap, so it is asked first."""
        trials = Trials(changed(self.build, mend.changes))
        try:
            found: Any = trials.outcome(rule, path, ())
        except Unknown:
            return decide(trials, rule, path).severity < Severity.CAUTION
        except (KeyError, AttributeError):
            return False
        return level(found) < Severity.CAUTION
