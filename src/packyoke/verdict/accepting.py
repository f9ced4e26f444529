"""Cautions that somebody accepted knowingly: which acceptance covers which finding, and which covers none."""

from __future__ import annotations

from dataclasses import replace

from packyoke.core.findings import Amount, Finding, Severity
from packyoke.core.unit_names import spellings
from packyoke.core.units import from_si, to_si
from packyoke.model import Acceptance, Build

WORSE_FRACTION = 0.005
"""A value worse than the accepted one by more than this share of it opens the caution again."""


def covers(acceptance: Acceptance, finding: Finding) -> bool:
    """Whether an acceptance is about this caution and the value is no worse than what was accepted."""
    if finding.severity != Severity.CAUTION or (acceptance.rule, acceptance.part) != (finding.rule, finding.part):
        return False
    if finding.found is None:
        # A figure with its unit was accepted of something else that the rule says of this part.
        return not acceptance.found_unit
    accepted = _in_unit(acceptance, finding.found)
    if accepted is None:
        return False
    slack = WORSE_FRACTION * abs(accepted) * (1 + 1e-9)
    worse = accepted - finding.found.value if finding.relation == "at least" else finding.found.value - accepted
    return worse <= slack


def _in_unit(acceptance: Acceptance, found: Amount) -> float | None:
    if acceptance.found_unit == found.unit:
        return acceptance.found
    units = {acceptance.found_unit, found.unit}
    if not any(units <= {unit.name for unit in of_a_kind.values()} for of_a_kind in spellings().values()):
        return None  # 12 V accepts no 12 A.
    return from_si(to_si(acceptance.found, acceptance.found_unit), found.unit)


def accepted(build: Build, findings: list[Finding], today: str) -> list[Finding]:
    """The findings with the acceptances of the file applied, and a note for each acceptance that covers nothing."""
    used: set[str] = set()
    marked = []
    for finding in findings:
        for acceptance in build.accept:
            if today and acceptance.until < today:
                continue
            if covers(acceptance, finding):
                used.add(acceptance.path)
                finding = replace(
                    finding, accepted=f"{acceptance.because} (by {acceptance.by}, until {acceptance.until})"
                )
                break
        marked.append(finding)
    for acceptance in build.accept:
        if acceptance.path not in used and not (today and acceptance.until < today):
            marked.append(
                Finding(
                    rule="acceptance-stale",
                    severity=Severity.NOTE,
                    part=acceptance.path,
                    message=f"accepts {acceptance.rule} on {acceptance.part}, which is not there or is worse by now",
                    span=acceptance.span,
                    kind="paper",
                    do="Take the entry out, or look at the finding again and accept what it says now.",
                    cause="unused",
                )
            )
    return marked
