"""Deciding a rule when something is not known: try what the missing values may be, and see what that changes.

All at their worse ends pass: passed, on an assumption that is listed. All at their better ends fail: failed. Otherwise
the question is open where the worse end is a stop, and an assumption with its turning figure where it is a caution.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from packyoke.analysis.unknowns.spans import ends
from packyoke.core.findings import Severity
from packyoke.core.paths import PartPath
from packyoke.model import Key
from packyoke.model.field import MUST
from packyoke.model.fields import field_for
from packyoke.rules.outcome import Failed, Outcome, Undecided, level
from packyoke.rules.rule import Rule
from packyoke.verdict.leaf import Given, Leaf
from packyoke.verdict.trials import Trials


class Decision(NamedTuple):
    """What was decided of one part by one rule.

    severity 0: nothing to say. `outcome` is what to print, `asks` the fields that settle an open question, `assumed`
    the fields that were missing and did not change the verdict (`turns` among them those that a worse value turns).
    `worse` and `better` are the values that were tried for them at the worst and at the best outcome; `tried` is every
    set of them that was tried, `complete` whether that is every set of ends. `told` are the answers that the rule
    itself puts in words, for the fields that it asks for by name; an empty one where that hangs on other values.
    """

    rule: Rule
    path: PartPath
    severity: int
    outcome: Outcome
    asks: tuple[Key, ...] = ()
    assumed: tuple[Key, ...] = ()
    turns: tuple[Key, ...] = ()
    worse: Given = ()
    better: Given = ()
    tried: tuple[Given, ...] = ()
    complete: bool = True
    told: tuple[tuple[Key, str], ...] = ()


def decide(trials: Trials, rule: Rule, path: PartPath) -> Decision:
    """The verdict of one rule on one part, unknowns included."""
    found = trials.search(rule, path)
    leaves = found.leaves
    best, worst = level(found.best.outcome), level(found.worst.outcome)
    given = dict.fromkeys(key for leaf in leaves for key, _ in leaf.given)
    asked = tuple(key for key in given if not (_follows(trials, leaves, key) and _had_a_span(trials, key)))
    if not found.complete and best <= Severity.CAUTION:
        # Not everything was tried: nothing that was seen to be no stop is known to be none.
        worst = max(worst, Severity.OPEN if rule.gravest > Severity.CAUTION else rule.gravest)
    if best == Severity.CAUTION and isinstance(found.best.outcome, Failed) and not found.best.outcome.message:
        return Decision(rule, path, 0, None, assumed=asked)
    if worst < Severity.CAUTION or (best in (Severity.CAUTION, Severity.STOP) and best == worst):
        return Decision(rule, path, best, _shown(trials, rule, path, found.best), assumed=asked)
    tried = tuple(dict.fromkeys(leaf.given for leaf in leaves))
    if worst == Severity.CAUTION:
        turning = _turning(leaves, asked, Severity.CAUTION)
        # A note that stands whatever the value is is said; that it may be a caution stands with the assumption.
        note = _shown(trials, rule, path, found.best) if best == Severity.NOTE else None
        return Decision(
            rule,
            path,
            best if note else 0,
            note,
            assumed=asked,
            turns=turning,
            worse=found.worst.given,
            better=found.best.given,
            tried=tried,
            complete=found.complete,
        )
    asked = tuple(key for key in asked if not _follows(trials, leaves, key))
    must = tuple(key for key in asked if field_for(*key).need == MUST)
    turning = _turning(leaves, asked, Severity.OPEN)
    asks = turning if turning or all(isinstance(leaf.outcome, Undecided) for leaf in leaves) else must or asked
    told: dict[Key, list[str]] = {}
    for leaf in leaves:
        if isinstance(leaf.outcome, Undecided):
            asks += tuple(Key(part.path, attr) for part, attr in leaf.outcome.asks)
            for key, words in _told(leaf.outcome):
                told.setdefault(key, []).append(words)
    outcome = found.worst.outcome
    if not isinstance(outcome, Failed | Undecided):
        outcome = Undecided(message="", asks=())
    return Decision(
        rule,
        path,
        Severity.OPEN,
        outcome,
        asks=tuple(dict.fromkeys(asks)),
        worse=found.worst.given,
        better=found.best.given,
        tried=tried,
        complete=found.complete,
        told=tuple((key, _one(said, found.complete)) for key, said in told.items()),
    )


def _one(said: list[str], complete: bool) -> str:
    """What a rule says whatever the other missing values are; empty where it says one thing or another, or where too
    little was tried to know."""
    return said[0] if len(set(said)) == 1 and complete else ""


def _follows(trials: Trials, leaves: Iterable[Leaf], key: Key) -> bool:
    """Whether a field had one value only wherever it was asked for: others say what it is, nobody looks it up."""
    if key not in trials.follows:
        return False
    counts = [
        count for leaf in leaves for (each, _), count in zip(leaf.given, leaf.choices, strict=False) if each == key
    ]
    return max(counts, default=1) == 1


def _had_a_span(trials: Trials, key: Key) -> bool:
    """Whether the file leaves more than one value for a field: what it leaves one for is assumed to be that."""
    return len(ends(trials.build, trials.build.part(key.path), key.attr)) > 1


def _told(outcome: Undecided) -> tuple[tuple[Key, str], ...]:
    return tuple((Key(part.path, attr), outcome.passes_if) for part, attr in outcome.asks if outcome.passes_if)


def _shown(trials: Trials, rule: Rule, path: PartPath, best: Leaf) -> Outcome:
    """What is printed of leaves that agree: the figures at what printed numbers count with, where it is no worse."""
    likely = trials.likely(rule, path)
    return likely.outcome if likely is not None and level(likely.outcome) == level(best.outcome) else best.outcome


def _turning(leaves: Iterable[Leaf], asked: tuple[Key, ...], fails: int) -> tuple[Key, ...]:
    """The fields that alone turn a pass into a failure somewhere, the others standing as they are."""
    found = dict.fromkeys(asked, False)
    passing = [set(leaf.given) for leaf in leaves if level(leaf.outcome) < fails]
    failing = [(set(leaf.given), {key for key, _ in leaf.given}) for leaf in leaves if level(leaf.outcome) >= fails]
    for first in passing:
        for second, there in failing:
            differ = (key for key, _ in first - second if key in there)
            alone = next(differ, None)
            if alone is not None and next(differ, None) is None:
                found[alone] = True
    return tuple(key for key, turns in found.items() if turns)
