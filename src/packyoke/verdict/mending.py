"""Working out what to change: each mend is tried on the whole build before it is advised."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from packyoke.findings import Severity
from packyoke.model import Build, Unknown
from packyoke.rules.outcome import Change, Failed, Mend, level
from packyoke.rules.rule import Rule
from packyoke.verdict.explore import Decision, Trials, decide

Identity = tuple[str, str, str]
"""Rule, part path and cause: what makes a finding the same finding in two builds."""


class Tried(NamedTuple):
    """A mend that works, and the findings that it settles."""

    mend: Mend
    settles: frozenset[Identity]


def identity(decision: Decision) -> Identity:
    outcome = decision.outcome
    return decision.rule.name, decision.path, getattr(outcome, "cause", "") if outcome else ""


def weighty(decisions: list[Decision]) -> frozenset[Identity]:
    """The findings at stop or open: what a mend must not add to."""
    return frozenset(identity(each) for each in decisions if each.severity >= Severity.OPEN)


def changed(build: Build, changes: tuple[Change, ...]) -> Build:
    for change in changes:
        build = build.with_value(change.path, change.attr, change.value)
    return build


class Workshop:
    """Tries mends on one build. `judge` judges a whole build, without mends."""

    def __init__(self, build: Build, before: list[Decision], judge: Callable[[Build], list[Decision]]) -> None:
        self.build = build
        self.before = weighty(before)
        self.judge = judge
        self._tried: dict[tuple[Change, ...], frozenset[Identity]] = {}

    def works(self, decision: Decision, mend: Mend) -> Tried | None:
        """The mend, if it settles a finding and brings no new stop or open question."""
        if not self._settles(decision.rule, decision.path, mend):
            return None
        after = self._tried.get(mend.changes)
        if after is None:
            after = self._tried[mend.changes] = weighty(self.judge(changed(self.build, mend.changes)))
        if after - self.before or identity(decision) in after:
            return None
        return Tried(mend, self.before - after)

    def first_of_each_family(self, decision: Decision) -> list[Tried]:
        """For each family of mends the first that works."""
        outcome = decision.outcome
        if not isinstance(outcome, Failed):
            return []
        found = []
        for family in outcome.mends:
            for mend in family:
                tried = self.works(decision, mend)
                if tried is not None:
                    found.append(tried)
                    break
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
