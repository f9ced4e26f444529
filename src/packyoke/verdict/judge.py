"""Running every rule on every part of a build; a rule that crashes is a stop, never a pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from packyoke.core.findings import Severity
from packyoke.core.paths import BUILD, PartPath
from packyoke.model import Build, Part, Unknown
from packyoke.model.order import by_name
from packyoke.rules import rule_crashed
from packyoke.rules.outcome import Failed, Passed, level
from packyoke.rules.rule import Rule, each_check
from packyoke.verdict.explore import Decision, decide
from packyoke.verdict.trials import Trials


class Judgement(NamedTuple):
    """What every rule says of one build, and the build with its what-ifs, for whoever goes on with them.

    `trials` are of the build in the order of names, `build` has the order of the file.
    """

    trials: Trials
    decisions: list[Decision]
    build: Build


def judge(trials: Trials, rules: Sequence[Rule]) -> Iterator[Decision]:
    """What every rule says of every part where it has something to say or had to assume something, rule by rule."""
    plain = trials.plain
    for rule in rules:
        try:
            parts: Sequence[Part] = tuple(rule.parts(plain))
        except Exception as error:
            yield crashed(rule, BUILD, error)
            continue
        for part in parts:
            for each in each_check(rule):
                decision = judge_part(trials, each, part)
                if decision is not None:
                    yield decision


def judge_at(build: Build, rules: Sequence[Rule], path: PartPath) -> Iterator[Decision]:
    """What every rule says of one part of a build, rule by rule."""
    trials = Trials(by_name(build))
    part = trials.plain.build.part(path)
    for rule in rules:
        if any(each.path == path for each in rule.parts(trials.plain)):
            found = (judge_part(trials, each, part) for each in each_check(rule))
            yield from (each for each in found if each is not None)


def judge_part(trials: Trials, rule: Rule, part: Part) -> Decision | None:
    """What one check of a rule says of one part; None where it has nothing to say and assumed nothing."""
    try:
        try:
            outcome = rule.check(trials.plain, part)
        except Unknown:
            return decide(trials, rule, part.path)
        if outcome is None or type(outcome) is Passed:
            return None
        if level(outcome) == Severity.OPEN:
            return decide(trials, rule, part.path)
        return Decision(rule, part.path, level(outcome), outcome)
    except Exception as error:
        return crashed(rule, part.path, error)


def judge_build(build: Build, rules: Sequence[Rule]) -> list[Decision]:
    """What every rule says of a build."""
    return judgement(build, rules).decisions


def judgement(build: Build, rules: Sequence[Rule]) -> Judgement:
    """What every rule says of a build, with what was worked out and tried for it."""
    trials = Trials(by_name(build))
    return Judgement(trials, list(judge(trials, rules)), build)


def crashed(rule: Rule, path: PartPath, error: Exception) -> Decision:
    """A rule that failed in the program: a stop, so that it cannot look like a pass."""
    from traceback import extract_tb  # a start-up of its own, and rules do not crash

    where = extract_tb(error.__traceback__)[-1]
    outcome = Failed(
        severity=Severity.STOP,
        message=f"the rule {rule.name} failed in the program and decided nothing",
        why=f"{type(error).__name__} at {where.name}, line {where.lineno}: {error}",
        do="Treat the part as not checked, and send the build file to whoever looks after the program.",
        kind="unknown",
        cause=rule.name,
    )
    return Decision(rule_crashed.RULE, path, Severity.STOP, outcome)
