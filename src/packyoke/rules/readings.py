"""A reading beyond a limit is a finding of the rule whose limit it is, before anything that is no graver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from packyoke.analysis.bench.beyond_limits import Beyond, beyond
from packyoke.analysis.case import Case, if_known
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Amount, Severity
from packyoke.model import Part
from packyoke.rules.outcome import Failed, Outcome, Undecided, level
from packyoke.rules.rule import Rule


def measured_parts(case: Case) -> list[Part]:
    """Every part at which something was measured, once."""
    build = case.build
    return [build.part(path) for path in dict.fromkeys(reading.part for reading in build.measured)]


def heeding_readings(rule: Rule) -> Rule:
    """The rule, which looks first at what was measured at a part, on whatever part that was."""

    def parts(case: Case) -> Iterable[Part]:
        mine = list(rule.parts(case))
        paths = {part.path for part in mine}
        return [*mine, *(part for part in measured_parts(case) if part.path not in paths)]

    def check(case: Case, part: Any) -> Outcome:
        if not case.build.measured:
            return rule.check(case, part)
        found = beyond(case, part, rule.name)
        read = None if found is None else _failed(found)
        if level(read) == Severity.STOP or part.path not in {each.path for each in rule.parts(case)}:
            return read
        # What is not known leaves it open, which it is already.
        outcome = if_known(rule.check, case, part) if level(read) == Severity.OPEN else rule.check(case, part)
        return outcome if read is None or level(outcome) > level(read) else read

    return replace(rule, parts=parts, check=check)


def _failed(each: Beyond) -> Failed | Undecided:
    note = f"(measured {each.reading.date})"
    if each.severity == Severity.OPEN:
        return Undecided(
            each.message,
            (),
            found=_amount(each, each.found, note),
            limit=_amount(each, each.limit, ""),
            why=each.why,
            do=each.do,
            cause="measured",
        )
    return Failed(
        severity=each.severity,
        message=each.message,
        found=_amount(each, each.found, note),
        limit=_amount(each, each.limit, ""),
        relation=each.relation,
        why=each.why,
        do=each.do,
        cause="measured",
    )


def _amount(each: Beyond, value: float, note: str) -> Amount:
    return Amount(value - ZERO_C_K if each.unit == "degC" else value * each.scale, each.unit, note)
