"""What the check has to say where another command answers."""

from __future__ import annotations

from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.verdict.check import check


def said_by_check(build: Build) -> str:
    """A word on a build that nobody should ride as it is; empty where the check finds no more than cautions."""
    found = check(build, brief=True)
    stops = sum(each.severity == Severity.STOP for each in found.findings)
    if stops:
        return f"packyoke check stops this build ({stops} stop{'s' if stops > 1 else ''}): not to be ridden as it is."
    if found.verdict == "open":
        return "packyoke check has things to find out first: nobody rides it before that."
    return ""
