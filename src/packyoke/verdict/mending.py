"""Working out what to change: each mend is tried on the whole build before it is advised."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from packyoke.core.findings import Severity
from packyoke.core.paths import PartPath, name_of
from packyoke.model import Build
from packyoke.rules.outcome import Change, Failed, Mend
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judge_part
from packyoke.verdict.stock import shelf_first
from packyoke.verdict.trials import Trials

MOST_WHOLE = 400
"""Mends of a build of one pack that are tried on the whole build; fewer by the square of the packs."""
FEWEST_WHOLE = 3
MOST_EFFORT = 3000
"""Runs of rules, as trials count them, to judge whole builds with a mend each; the one that goes beyond is the last."""
MOST_ALONE = 1500
"""The same to see whether a mend settles its own finding; what lies beyond is not tried."""
HOPELESS = 3
"""Findings that a mend adds with which it is none, and none with another mend either, whatever it was tried for: one of
them may be what is left of its own."""
MOST_TRIED = 12
"""Mends of one family that are tried."""

Identity = tuple[str, str, str]
"""Rule, part path and cause: what makes a finding the same finding in two builds."""


class Tried(NamedTuple):
    """A mend that works and the findings that it settles; `lowers`: what it was tried for becomes a caution only."""

    mend: Mend
    settles: frozenset[Identity]
    lowers: bool = False


def identity(decision: Decision) -> Identity:
    """An open question has no cause: which one it shows is that of a value that was only tried."""
    cause = "" if decision.severity == Severity.OPEN else getattr(decision.outcome, "cause", "")
    return decision.rule.name, decision.path, cause


def weights(decisions: list[Decision]) -> dict[Identity, int]:
    """The findings at caution or above, each with how much it weighs."""
    found: dict[Identity, int] = {}
    for each in decisions:
        if each.severity >= Severity.CAUTION:
            found[identity(each)] = max(each.severity, found.get(identity(each), 0))
    return found


def changed(build: Build, changes: tuple[Change, ...]) -> Build:
    for change in changes:
        build = build.with_value(change.path, change.attr, change.value)
    return build


def _all_of(build: Build, several: list[tuple[Change, ...]]) -> tuple[Change, ...]:
    """Several changes as one; of a list (the inlets of a joiner) each changes its own places."""
    found: dict[tuple[PartPath, str], Change] = {}
    for change in (each for changes in several for each in changes):
        before = getattr(build.part(change.path), change.attr)
        now = found[change[:2]].value if change[:2] in found else before
        value = change.value
        if type(value) is tuple and type(before) is tuple and len(value) == len(before):
            value = tuple(was if new == old else new for new, old, was in zip(value, before, now, strict=True))
        found[change[:2]] = change._replace(value=value)
    return tuple(found.values())


class Workshop:
    """Tries mends on one build. `judge` judges a whole build by its trials, decision by decision, without mends.

    How many are tried on the whole build is bounded, by their number for large builds and by their effort for those of
    which little is known: the advice of the rule stands when nothing was tried.
    """

    def __init__(self, trials: Trials, before: list[Decision], judge: Callable[[Trials], Iterable[Decision]]) -> None:
        self.build = build = trials.build
        self.plain = trials.plain
        self.before = weights(before)
        self.judge = judge
        self._trials: dict[tuple[Change, ...], Trials] = {}
        self._tried: dict[tuple[Change, ...], list[Decision]] = {}
        # Bonded packs are run down from full to empty, which takes longer than its effort says the more they are.
        bonded = any(each.bonded for each in build.joiners.values())
        size = max(1, len(build.packs), len(build.leads) // 4) * (2 if bonded else 1)
        slow = max(1, size // 2) if bonded else 1
        self._alone_left = MOST_ALONE // slow
        self._left = max(FEWEST_WHOLE, MOST_WHOLE // size**2)
        self._effort_left = MOST_EFFORT // slow

    def works(self, decision: Decision, mend: Mend) -> Tried | None:
        """The mend, if it settles a finding, or makes a caution of a stop, and adds nothing at caution or above."""
        if self._alone_left <= 0:
            return None
        left_over = self._alone(decision, mend)
        lowers = left_over == Severity.CAUTION < decision.severity
        if left_over >= Severity.CAUTION and not lowers:
            return None
        if mend.changes not in self._tried:
            if self._left <= 0 or self._effort_left <= 0:
                return None
            self._left -= 1
            trials = self._changed(mend)
            before = trials.effort
            self._tried[mend.changes] = self._judged(trials)
            self._effort_left -= trials.effort - before
        after, own = weights(self._tried[mend.changes]), identity(decision)
        added = self._added(mend)
        if lowers:
            added = [each for each in added if identity(each)[:2] != own[:2]]
        if added or (own in after and not lowers):
            return None
        grave = {each for each, weight in self.before.items() if weight >= Severity.OPEN}
        return Tried(mend, frozenset(grave - after.keys()), lowers)

    def first_of_each_family(self, decision: Decision) -> list[Tried]:
        """For each family of mends the first that settles the finding, else the first that makes a caution of it.

        Those that settle it come first. Within a family what the shop has on its shelf is tried first.
        """
        outcome = decision.outcome
        if not isinstance(outcome, Failed):
            return []
        found = []
        for family in outcome.mends:
            best: Tried | None = None
            for mend in shelf_first(self.build, family)[:MOST_TRIED]:
                tried = self.works(decision, mend)
                best = best or tried
                if tried is not None and not tried.lowers:
                    best = tried
                    break
            if best is not None:
                found.append(best)
        if not found:
            firsts = [mend for family in outcome.mends for mend in family[:1]]
            found = [both for mend in firsts if (both := self._with_another(decision, mend)) is not None]
        return sorted(found, key=lambda each: each.lowers)

    def advised(self, decisions: list[Decision], least: Severity) -> list[list[Tried]]:
        """The mends of each finding that is this bad or worse; of several findings with one advice that all follow it.

        Where no more may be tried, an advice for several stands as it was tried for each of them alone.
        An open question is answered, not mended: a mend would be worked out from a value that was only tried.
        """
        found = [
            self.first_of_each_family(each) if each.severity >= least and each.severity != Severity.OPEN else []
            for each in decisions
        ]
        alike: dict[tuple[str, str], list[int]] = {}
        for number, mends in enumerate(found):
            for tried in mends:
                alike.setdefault((decisions[number].rule.name, tried.mend.text), []).append(number)
        for (_, text), numbers in alike.items():
            each_alone = [each.mend.changes for number in numbers for each in found[number] if each.mend.text == text]
            every = Mend(text, _all_of(self.build, each_alone))
            if every.changes == each_alone[0]:
                continue
            if min(self._alone_left, self._left, self._effort_left) <= 0:
                break
            first = decisions[numbers[0]]
            if self.works(first, every) is not None:
                continue
            # Each alone is a mend, all of them are none: together with what settles that, or not at all.
            other = self._with_another(first, every)
            for number in numbers:
                instead = [other if each.mend.text == text else each for each in found[number]]
                found[number] = [each for each in instead if each is not None]
        return found

    def _changed(self, mend: Mend) -> Trials:
        """The build with a mend, once: what one rule has worked out of it serves the others."""
        trials = self._trials.get(mend.changes)
        if trials is None:
            trials = self._trials[mend.changes] = Trials(changed(self.build, mend.changes), self.plain)
        return trials

    def _judged(self, trials: Trials) -> list[Decision]:
        """What the rules say of a changed build, as far as the mend can still be one."""
        found, added = [], 0
        for each in self.judge(trials):
            found.append(each)
            added += self._more(each)
            if added >= HOPELESS:
                break
        return found

    def _more(self, decision: Decision) -> bool:
        """Whether something stands at caution or above and weighs more than before."""
        return decision.severity >= Severity.CAUTION and decision.severity > self.before.get(identity(decision), 0)

    def _added(self, mend: Mend) -> list[Decision]:
        """What stands at caution or above after a mend that was tried, and weighs more than before."""
        return [each for each in self._tried[mend.changes] if self._more(each)]

    def _with_another(self, decision: Decision, mend: Mend) -> Tried | None:
        """A mend that adds one finding, together with what settles that one: no part of it is advised alone.

        Where what settles it puts another value in the same place, that one counts and is advised alone. An added
        question is answered, not mended: its mend would come from a value that was only tried.
        """
        added = self._added(mend) if mend.changes in self._tried else []
        if len(added) != 1 or added[0].severity == Severity.OPEN or not isinstance(added[0].outcome, Failed):
            return None
        for family in added[0].outcome.mends:
            for other in family[:1]:
                if {change[:2] for change in mend.changes} & {change[:2] for change in other.changes}:
                    both = other
                else:
                    where = name_of(added[0].path)
                    elsewhere = "" if added[0].path == decision.path or where in other.text else f"at {where}: "
                    text = f"{mend.text}, and with it {elsewhere}{other.text[:1].lower()}{other.text[1:]}"
                    both = Mend(text, (*mend.changes, *other.changes))
                tried = self.works(decision, both)
                if tried is not None and not tried.lowers:
                    return tried
        return None

    def _alone(self, decision: Decision, mend: Mend) -> int:
        """What the rule itself says after the change: cheap, so it is asked first."""
        trials = self._changed(mend)
        before = trials.effort
        found = judge_part(trials, decision.rule, trials.build.part(decision.path))
        self._alone_left -= 1 + trials.effort - before
        return found.severity if found is not None else 0
