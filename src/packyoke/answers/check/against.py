"""A check against an earlier one: what is new, worse, gone, better or the same, by the fingerprints of findings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from packyoke.answers.changes import KINDS, Change, Kind, changes, told_by
from packyoke.answers.results import NotAResult, Result
from packyoke.core.findings import Finding
from packyoke.verdict.report import Report


class Against(NamedTuple):
    """What became of the findings of an earlier run, by file; a finding is known by its file and its fingerprint."""

    source: str
    changed: dict[str, list[Change]]
    not_checked: tuple[str, ...]
    """Files of the earlier run that this run has not read."""

    def state(self, file: str, finding: Finding) -> Kind:
        return next(each.kind for each in self.changed[file] if each.told.fingerprint == finding.fingerprint)

    def of(self, kind: Kind) -> list[tuple[str, Change]]:
        return [(file, each) for file, found in self.changed.items() for each in found if each.kind == kind]

    @property
    def said(self) -> str:
        counts = ", ".join(f"{len(self.of(kind))} {kind}" for kind in KINDS[:-1])
        return f"against {self.source}: {counts}, {len(self.of('same'))} the same"


def against(source: str, before: Result, reports: list[Report], only: frozenset[str] | None = None) -> Against:
    """What became of the findings of an earlier check.

    :param only: the rules that this run is about; the earlier one must have looked at them
    Raises NotAResult where it has not.
    """
    if before.only is not None and (only is None or not only <= before.only):
        raise NotAResult(f"it holds only {', '.join(sorted(before.only))}; give --only with these, or check again")
    read = {report.file for report in reports if report.verdict != "unreadable"}
    changed = {}
    for report in reports:
        earlier = before.builds.get(report.file)
        was = {} if earlier is None else earlier.findings
        was = {print_: each for print_, each in was.items() if only is None or each.rule in only}
        changed[report.file] = changes(was, told_by(report), read=report.file in read)
    return Against(source, changed, tuple(file for file in before.builds if file not in read))


def failing(made: Against, severities: frozenset[str]) -> set[str]:
    """The files with new and worse findings of these severities that nobody accepted."""
    return {
        file
        for kind in ("new", "worse")
        for file, each in made.of(kind)
        if not each.told.accepted and each.told.severity in severities
    }


def against_text(made: Against) -> str:
    """New, worse and better findings with their lines, gone ones, and how many stay."""
    said = made.said
    lines = [f"{said[:1].upper()}{said[1:]}.", *(f"  {line}" for line in _lines(made))]
    return "\n".join([*lines, *(f"  not checked now: {file}" for file in made.not_checked)]) + "\n"


def _lines(made: Against) -> Iterator[str]:
    for kind in KINDS[:-1]:
        for file, each in made.of(kind):
            told = each.told
            place = file if kind == "gone" else f"{file}:{told.line}"
            part = "" if told.part == "build" else f"{told.part}: "
            yield f"{kind:<6} {place}: {told.severity}: {told.rule}: {part}{told.message}"


def against_data(made: Against) -> dict[str, Any]:
    """The same for JSON."""
    kept: dict[str, Any] = {
        kind: [{"file": file, "fingerprint": each.told.fingerprint} for file, each in made.of(kind)]
        for kind in KINDS
        if kind != "gone"
    }
    gone = [
        {"file": file, "rule": each.told.rule, "part": each.told.part, "severity": each.told.severity}
        for file, each in made.of("gone")
    ]
    return {"source": made.source, **kept, "gone": gone, "not_checked": list(made.not_checked)}
