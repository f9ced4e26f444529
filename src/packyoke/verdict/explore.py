"""Deciding a rule when something is not known: try what the missing values may be, and see what that changes.

All at their worse ends pass: passed, on an assumption that is listed. All at their better ends fail: failed. Otherwise
the question is open where the worse end is a stop, and an assumption with its turning figure where it is a caution.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import keep_drawing
from packyoke.analysis.unknowns.spans import ends, first_asked, likely
from packyoke.core.findings import Severity
from packyoke.model import Build, Key, Part, Unknown
from packyoke.rules.outcome import Failed, Outcome, Undecided, level
from packyoke.rules.rule import Rule

MOST_UNKNOWNS = 6
"""Missing values tried together for one part; with more than that the question is open, for all of them."""

MOST_LEAVES = 48
"""Sets of tried values for one rule on one part; with more than that the question is open too."""
MOST_TRIED = 2500
"""Sets of tried values for one build; beyond it each part gets `FEWEST_LEAVES`: nothing may take for ever."""
FEWEST_LEAVES = 4

Given = tuple[tuple[Key, Any], ...]
"""Values tried for fields that are not known, in the order in which they were asked for."""


class Leaf(NamedTuple):
    """One set of tried values and what the rule says then."""

    given: Given
    outcome: Outcome


class Trials:
    """One build and its what-ifs: a case for each set of tried values, worked out once."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self.plain = Case(build)
        self.tried = 0
        self.follows: set[Key] = set()
        """Fields that follow from others that were tried: nobody has to look them up."""
        self._cases: dict[frozenset[tuple[Key, Any]], Case] = {frozenset(): self.plain}

    def case(self, given: Given) -> Case:
        key = frozenset(given)
        found = self._cases.get(key)
        if found is None:
            before = self.case(given[:-1])
            (path, attr), value = given[-1]
            found = self._cases[key] = Case(before.build.with_value(path, attr, value))
            if not path.startswith("leads."):
                keep_drawing(before, found)
        return found

    def outcome(self, rule: Rule, path: str, given: Given) -> Outcome:
        """What a rule says with these values tried. Raises Unknown when it asks for one more."""
        self.tried += 1
        case = self.case(given)
        return rule.check(case, case.build.part(path))

    def leaves(self, rule: Rule, path: str) -> list[Leaf]:
        """Every end of every missing value that the rule asks for, as far as `MOST_UNKNOWNS` together."""
        found: list[Leaf] = []
        open_trials: list[Given] = [()]
        most = MOST_LEAVES if self.tried < MOST_TRIED else FEWEST_LEAVES
        while open_trials:
            given = open_trials.pop()
            if len(found) + len(open_trials) >= most:
                keys = dict.fromkeys(key for trial in (given, *open_trials) for key, _ in trial)
                asks = tuple((self.build.part(path), attr) for path, attr in keys)
                return [*found, Leaf(tuple((key, None) for key in keys), _too_many(rule, asks))]
            try:
                found.append(Leaf(given, self.outcome(rule, path, given)))
                continue
            except Unknown as unknown:
                part, attr = first_asked(unknown.part, unknown.attr)
                key = (part.path, attr)
                build = self.case(given).build
                choices = ends(build, part, attr) if len(given) < MOST_UNKNOWNS else ()
            if any(key == asked for asked, _ in given):
                raise RuntimeError(f"{rule.name} asks for {key} again")
            if not choices:
                asks = ((self.build.part(key[0]), key[1]),)
                found.append(Leaf((*given, (key, None)), _too_many(rule, asks)))
            if len(choices) == 1 and given:
                self.follows.add(key)
            open_trials.extend((*given, (key, value)) for value in reversed(choices))
        return found

    def likely(self, rule: Rule, path: str) -> Leaf | None:
        """What the rule says with every missing value at what numbers are printed for."""
        given: Given = ()
        while len(given) <= 4 * MOST_UNKNOWNS:
            try:
                return Leaf(given, self.outcome(rule, path, given))
            except Unknown as unknown:
                part, attr = first_asked(unknown.part, unknown.attr)
                try:
                    value = likely(self.case(given).build, part, attr)
                except IndexError:
                    return None
                given = (*given, ((part.path, attr), value))
        return None


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided of one part by one rule.

    severity 0: nothing to say. `outcome` is what to print, `asks` the fields that settle an open question, `assumed`
    the fields that were missing and did not change the verdict (`turns` among them those that a worse value turns).
    `worse` and `better` are the values that were tried for them at the worst and at the best outcome.
    """

    rule: Rule
    path: str
    severity: int
    outcome: Outcome
    asks: tuple[Key, ...] = ()
    assumed: tuple[Key, ...] = ()
    turns: tuple[Key, ...] = ()
    worse: Given = ()
    better: Given = ()


def decide(trials: Trials, rule: Rule, path: str) -> Decision:
    """The verdict of one rule on one part, unknowns included."""
    leaves = trials.leaves(rule, path)
    if len(leaves) == 1 and not leaves[0].given:
        return _plain(trials, rule, path, leaves[0].outcome)
    levels = [level(leaf.outcome) for leaf in leaves]
    worst, best = max(levels), min(levels)
    asked = tuple(dict.fromkeys(key for leaf in leaves for key, _ in leaf.given))
    worst_leaf, best_leaf = leaves[levels.index(worst)], leaves[levels.index(best)]
    if best == Severity.CAUTION and isinstance(best_leaf.outcome, Failed) and not best_leaf.outcome.message:
        return Decision(rule, path, 0, None, assumed=asked)
    if worst < Severity.CAUTION or (best in (Severity.CAUTION, Severity.STOP) and best == worst):
        return Decision(rule, path, best, _shown(trials, rule, path, best_leaf), assumed=asked)
    if worst == Severity.CAUTION:
        turning = _alone(leaves, asked, worst_leaf, best_leaf, Severity.CAUTION)
        # A note that stands whatever the value is is said; that it may be a caution stands with the assumption.
        note = _shown(trials, rule, path, best_leaf) if best == Severity.NOTE else None
        return Decision(
            rule,
            path,
            best if note else 0,
            note,
            assumed=asked,
            turns=turning,
            worse=worst_leaf.given,
            better=best_leaf.given,
        )
    asks = _alone(leaves, asked, worst_leaf, best_leaf, Severity.OPEN) or asked
    asks = tuple(key for key in asks if key not in trials.follows)
    for leaf in leaves:
        if isinstance(leaf.outcome, Undecided):
            asks += tuple((part.path, attr) for part, attr in leaf.outcome.asks)
    return Decision(
        rule,
        path,
        Severity.OPEN,
        worst_leaf.outcome,
        asks=tuple(dict.fromkeys(asks)),
        worse=worst_leaf.given,
        better=best_leaf.given,
    )


def _shown(trials: Trials, rule: Rule, path: str, best: Leaf) -> Outcome:
    """What is printed of leaves that agree: the figures at what printed numbers count with, where it is no worse."""
    likely = trials.likely(rule, path)
    return likely.outcome if likely is not None and level(likely.outcome) == level(best.outcome) else best.outcome


def _too_many(rule: Rule, asks: tuple[tuple[Part, str], ...]) -> Outcome:
    """Where too little is known to try it all: an open question, or for a rule that only cautions an assumption."""
    if rule.gravest > Severity.CAUTION:
        return Undecided(message="", asks=asks)
    return Failed(severity=rule.gravest, message="")


def _plain(trials: Trials, rule: Rule, path: str, outcome: Outcome) -> Decision:
    if isinstance(outcome, Undecided):
        asks = tuple((part.path, attr) for part, attr in outcome.asks)
        return Decision(rule, path, Severity.OPEN, outcome, asks=asks)
    return Decision(rule, path, level(outcome), outcome)


def _alone(leaves: list[Leaf], asked: tuple[Key, ...], worst: Leaf, best: Leaf, fails: int) -> tuple[Key, ...]:
    """Fields that alone make it fail (all others at their better ends) or pass (all others at their worse)."""
    best_values, worst_values = dict(best.given), dict(worst.given)
    found = []
    for key in asked:
        for leaf in leaves:
            failed = level(leaf.outcome) >= fails
            differs = _differ(leaf, best_values) == {key} if failed else _differ(leaf, worst_values) == {key}
            if differs:
                found.append(key)
                break
    return tuple(found)


def _differ(leaf: Leaf, values: dict[Key, Any]) -> set[Key]:
    return {key for key, value in leaf.given if key in values and values[key] != value}
