"""A check against an earlier one: what is new, worse, gone or the same, told by the fingerprints of findings."""

from __future__ import annotations

import json
from collections.abc import Iterator
from math import isfinite
from typing import Any, Literal, NamedTuple

from packyoke.answers.check.as_json import SCHEMA
from packyoke.core.findings import WORDS, Amount, Finding
from packyoke.verdict.report import Report

State = Literal["new", "worse", "same"]
RANK: dict[str, int] = {word: rank for rank, word in WORDS.items()}
WORSE_BY = 0.005
"""A figure that moved away from its limit by less than this share of it is the same: judgement."""


class NotAResult(Exception):
    """The file is no JSON of `packyoke check`; the text says what it is."""


class Earlier(NamedTuple):
    """One finding of an earlier check."""

    file: str
    rule: str
    severity: str
    part: str
    message: str
    found: float | None
    limit: float | None


class Against(NamedTuple):
    """The findings of a run by what became of them; a finding is known by its file and its fingerprint."""

    source: str
    states: dict[tuple[str, str], State]
    gone: tuple[Earlier, ...]
    not_checked: tuple[str, ...]
    """Files of the earlier run that this run has not read."""

    def state(self, file: str, finding: Finding) -> State:
        return self.states[file, finding.fingerprint]

    def count(self, state: State) -> int:
        return sum(each == state for each in self.states.values())

    @property
    def said(self) -> str:
        return (
            f"against {self.source}: {self.count('new')} new, {self.count('worse')} worse, {len(self.gone)} gone, "
            f"{self.count('same')} the same"
        )


def earlier_findings(text: bytes) -> dict[tuple[str, str], Earlier]:
    """The findings in the JSON of an earlier check, accepted ones left out. Raises NotAResult."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise NotAResult("it is no JSON") from None
    if not isinstance(data, dict) or data.get("schema") != SCHEMA:
        raise NotAResult(f"it is not of the schema {SCHEMA}; write it with  packyoke check --format json")
    found = {}
    try:
        for build in data["builds"]:
            for each in build["findings"]:
                if not each["accepted"]:
                    found[build["file"], each["fingerprint"]] = Earlier(
                        build["file"],
                        each["rule"],
                        each["severity"],
                        each["part"],
                        each["message"],
                        _value(each["found"]),
                        _value(each["limit"]),
                    )
    except (KeyError, TypeError):
        raise NotAResult("lines that every result has are missing") from None
    return found


def _value(amount: Any) -> float | None:
    return float(amount["value"]) if amount and amount["value"] is not None else None


def against(source: str, before: dict[tuple[str, str], Earlier], reports: list[Report]) -> Against:
    """What became of the findings of an earlier check."""
    states: dict[tuple[str, str], State] = {}
    for report in reports:
        for finding in report.findings:
            key = (report.file, finding.fingerprint)
            if not finding.accepted:
                states[key] = _worst(states.get(key), _state(before.get(key), finding))
    read = {report.file for report in reports}
    gone = tuple(each for key, each in before.items() if key not in states and key[0] in read)
    left = dict.fromkeys(file for file, _ in before if file not in read)
    return Against(source, states, gone, tuple(left))


def _worst(one: State | None, other: State) -> State:
    order: tuple[State, ...] = ("same", "worse", "new")
    return other if one is None else max(one, other, key=order.index)


def _state(before: Earlier | None, now: Finding) -> State:
    if before is None:
        return "new"
    if RANK[now.severity.word] != RANK.get(before.severity, 0):
        return "worse" if RANK[now.severity.word] > RANK.get(before.severity, 0) else "same"
    was, found = _excess(before.found, before.limit), _excess(_plain(now.found), _plain(now.limit))
    return "worse" if was is not None and found is not None and found > was + WORSE_BY * max(abs(was), 1.0) else "same"


def _plain(amount: Amount | None) -> float | None:
    return amount.value if amount is not None and isfinite(amount.value) else None


def _excess(found: float | None, limit: float | None) -> float | None:
    """How far a figure is from its limit, as a share of it; None where there is none to compare."""
    return abs(found - limit) / abs(limit) if found is not None and limit else None


def failing(made: Against, reports: list[Report], severities: frozenset[str]) -> Iterator[tuple[Report, Finding]]:
    """The new and worse findings of these severities."""
    for report in reports:
        for finding in report.findings:
            if (
                not finding.accepted
                and finding.severity.word in severities
                and made.state(report.file, finding) != "same"
            ):
                yield report, finding


def against_text(made: Against, reports: list[Report]) -> str:
    """New and worse findings with their lines, gone ones, and how many stay."""
    lines = []
    for report in reports:
        for finding in report.findings:
            if not finding.accepted and (state := made.state(report.file, finding)) != "same":
                line = finding.span.line if finding.span else 1
                part = "" if finding.part == "build" else f"{finding.part}: "
                head = f"{state:<5}  {report.file}:{line}: {finding.severity.word}: {finding.rule}"
                lines.append(f"{head}: {part}{finding.message}")
    for each in made.gone:
        part = "" if each.part == "build" else f"{each.part}: "
        lines.append(f"gone   {each.file}: {each.severity}: {each.rule}: {part}{each.message}")
    lines += [f"not checked now: {file}" for file in made.not_checked]
    said = made.said
    return "\n".join([f"{said[:1].upper()}{said[1:]}.", *(f"  {line}" for line in lines)]) + "\n"


def against_data(made: Against) -> dict[str, Any]:
    """The same for JSON."""
    by_state = {
        state: [{"file": file, "fingerprint": print_} for (file, print_), each in made.states.items() if each == state]
        for state in ("new", "worse", "same")
    }
    gone = [{"file": each.file, "rule": each.rule, "part": each.part, "severity": each.severity} for each in made.gone]
    return {"source": made.source, **by_state, "gone": gone, "not_checked": list(made.not_checked)}
