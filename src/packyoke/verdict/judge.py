"""Running every rule on every part of a build; a rule that crashes is a stop, never a pass."""

from __future__ import annotations

import traceback
from collections.abc import Sequence

from packyoke.core.findings import Severity
from packyoke.model import Build, Part, Unknown
from packyoke.rules import rule_crashed
from packyoke.rules.outcome import Failed, Passed, level
from packyoke.rules.rule import Rule
from packyoke.verdict.explore import Decision, decide
from packyoke.verdict.trials import Trials


def judge(trials: Trials, rules: Sequence[Rule]) -> list[Decision]:
    """What every rule says of every part where it has something to say or had to assume something."""
    found: list[Decision] = []
    plain = trials.plain
    for rule in rules:
        try:
            parts: Sequence[Part] = tuple(rule.parts(plain))
            check = rule.check
        except Exception as error:
            found.append(crashed(rule, "build", error))
            continue
        for part in parts:
            try:
                outcome = check(plain, part)
                if outcome is None or type(outcome) is Passed:
                    continue
                decision = Decision(rule, part.path, level(outcome), outcome)
                if decision.severity == Severity.OPEN:
                    decision = decide(trials, rule, part.path)
            except Unknown:
                try:
                    decision = decide(trials, rule, part.path)
                except Exception as error:
                    decision = crashed(rule, part.path, error)
            except Exception as error:
                decision = crashed(rule, part.path, error)
            found.append(decision)
    return found


def judge_build(build: Build, rules: Sequence[Rule]) -> list[Decision]:
    """What every rule says of a build."""
    return judge(Trials(build), rules)


def crashed(rule: Rule, path: str, error: Exception) -> Decision:
    """A rule that failed in the program: a stop, so that it cannot look like a pass."""
    where = traceback.extract_tb(error.__traceback__)[-1]
    outcome = Failed(
        severity=Severity.STOP,
        message=f"the rule {rule.name} failed in the program and decided nothing",
        why=f"{type(error).__name__} at {where.name}, line {where.lineno}: {error}",
        do="Treat the part as not checked, and send the build file to whoever looks after the program.",
        kind="unknown",
        cause=rule.name,
    )
    return Decision(rule_crashed.RULE, path, Severity.STOP, outcome)
