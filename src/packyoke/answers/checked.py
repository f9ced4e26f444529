"""What the check has to say where another command answers: its findings decide, whatever that command works out."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from packyoke.core.findings import Finding, Severity
from packyoke.model import Build
from packyoke.verdict.check import check
from packyoke.verdict.report import Report
from packyoke.verdict.touching import Action, touching

MOST_NAMED = 3
"""So many findings are said where another command answers; all of them are in the check."""


class Checked(NamedTuple):
    """The findings of a check that touch a question."""

    question: Action
    findings: tuple[Finding, ...]
    report: Report

    @property
    def stops(self) -> int:
        return sum(each.severity == Severity.STOP for each in self.findings)

    @property
    def answer(self) -> str:
        """`no` where something stops it, `not yet` where something has to be found out first, else `yes`."""
        return "no" if self.stops else "not yet" if self.findings else "yes"

    @property
    def said(self) -> str:
        """A sentence on a build that is not to be ridden as it is; empty where nothing touches the question."""
        if self.stops:
            word = "stops" if self.stops > 1 else "stop"
            return f"packyoke check stops this build ({self.stops} {word}): not to be ridden as it is."
        return "packyoke check has things to find out first: nobody rides it before that." if self.findings else ""

    @property
    def lines(self) -> tuple[str, ...]:
        """The findings in a sentence each, worst first."""
        found = tuple(dict.fromkeys(map(self._line, self.findings)))
        more = len(found) - MOST_NAMED
        return (*found[:MOST_NAMED], *((f"{more} more: packyoke check has them.",) if more > 0 else ()))

    def _line(self, each: Finding) -> str:
        where = "" if each.part == "build" else f"{self.report.label(each.part)}: "
        return f"{where}{each.message} ({each.severity.word}, {each.rule})."


def checked(build: Build, question: Action, packs: Collection[str] = ()) -> Checked:
    """The check of a build, readings included, as far as it touches a question about these packs (all when empty)."""
    report = check(build, brief=True, mends=False, today=build.today)
    return Checked(question, touching(build, report.findings, question, packs), report)
