"""Cautions that somebody accepted knowingly: which acceptance covers which finding, and which covers none."""

from __future__ import annotations

from dataclasses import replace

from packyoke.core.findings import Amount, Finding, Severity
from packyoke.core.unit_names import spellings
from packyoke.core.units import from_si, to_si
from packyoke.model import Acceptance, Build

WORSE_FRACTION = 0.005
"""A value worse than the accepted one by more than this share of it opens the caution again."""

MOST_TIMES = 2.0
"""An accepted value so many times the one that is found stands for more than anybody looked at: judgement."""


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


def too_wide(acceptance: Acceptance, finding: Finding) -> bool:
    """Whether a caution that is covered would have to grow far worse before it is told again."""
    accepted = _in_unit(acceptance, finding.found) if finding.found is not None else None
    if accepted is None or finding.found is None:
        return False
    better, worse = (
        (accepted, finding.found.value) if finding.relation == "at least" else (finding.found.value, accepted)
    )
    return worse > MOST_TIMES * better * (1 + 1e-9) and better > 0.0


def accepted(build: Build, findings: list[Finding], today: str) -> list[Finding]:
    """The findings with the acceptances of the file applied; a note for each acceptance that covers nothing, and a
    caution for one that covers far worse than what is found."""
    used: dict[str, list[Finding]] = {}
    marked = []
    for finding in findings:
        for acceptance in build.accept:
            if today and acceptance.until < today:
                continue
            if covers(acceptance, finding):
                used.setdefault(acceptance.path, []).append(finding)
                finding = replace(
                    finding, accepted=f"{acceptance.because} (by {acceptance.by}, until {acceptance.until})"
                )
                break
        marked.append(finding)
    for acceptance in build.accept:
        covered = used.get(acceptance.path, [])
        if covered and all(too_wide(acceptance, finding) for finding in covered):
            amounts = [finding.found.bare for finding in covered if finding.found is not None]
            marked.append(
                Finding(
                    rule="acceptance-stale",
                    severity=Severity.CAUTION,
                    part=acceptance.path,
                    message=f"accepts {Amount(acceptance.found, acceptance.found_unit)} of {acceptance.rule} on "
                    f"{acceptance.part}, and {amounts[0]} is found",
                    span=acceptance.span,
                    kind="paper",
                    why="It would hide this caution when it has grown far worse, which nobody has looked at.",
                    do=f"Accept what is found now:  found: {amounts[0]}",
                    field="found",
                    cause="wide",
                )
            )
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
