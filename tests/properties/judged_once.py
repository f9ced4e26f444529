"""Commands that share one judgement of a build, where many of them are run in one process over the same file.

Each command judges what it reads by itself; twelve of them on one build do the same work six to ten times. What they
do with it is what is tried here, so equal builds get the judgement and the report that were made first. A judgement is
kept with what was tried for it: a command that follows finds that done.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.rules.rule import Rule
from packyoke.verdict import check as reports
from packyoke.verdict import judge as judgements
from packyoke.verdict.judge import Judgement
from packyoke.verdict.report import Report


@contextmanager
def judged_once() -> Iterator[None]:
    """Whatever is judged inside is judged once, and reported once for each way to ask."""
    judge, report = judgements.judgement, reports.report_of
    judged: dict[tuple[str, int], Judgement] = {}
    reported: dict[tuple[object, ...], Report] = {}

    def judgement(build: Build, rules: Sequence[Rule]) -> Judgement:
        key = (repr(build), id(rules))
        if key not in judged:
            judged[key] = judge(build, rules)
        return judged[key]

    def report_of(found: Judgement, *, rules: Sequence[Rule] = RULES, **asked: object) -> Report:
        if all(found is not each for each in judged.values()):
            return report(found, rules=rules, **asked)  # type: ignore[arg-type]
        key = (id(found), id(rules), *sorted(asked.items()))
        if key not in reported:
            reported[key] = report(found, rules=rules, **asked)  # type: ignore[arg-type]
        return reported[key]

    with _in_place_of(judge, judgement), _in_place_of(report, report_of):
        yield


@contextmanager
def _in_place_of(old: Callable[..., object], new: Callable[..., object]) -> Iterator[None]:
    """A function put in place of another one wherever the program calls it by its name."""
    name = old.__name__
    _swap(name, old, new)
    try:
        yield
    finally:
        _swap(name, new, old)  # in rooms that were opened meanwhile as well


def _swap(name: str, old: object, new: object) -> None:
    for room in list(sys.modules.values()):
        if getattr(room, name, None) is old:
            setattr(room, name, new)
