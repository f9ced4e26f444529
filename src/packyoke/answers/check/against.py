"""A check against an earlier one: what is new, worse, gone, better or the same, by the fingerprints of findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from packyoke.answers.changes import KINDS, Fate, FindingChange, changes, told_by, whole
from packyoke.answers.results import NotAResult, Result
from packyoke.core.findings import Finding
from packyoke.verdict.report import Report


class Against(NamedTuple):
    """What became of the findings of an earlier run, by file; a finding is known by its file and its fingerprint."""

    source: str
    changed: dict[str, list[FindingChange]]
    not_checked: dict[str, str]
    """Files of the earlier run that this run has not read, and why where it is known."""
    moved: dict[str, str]
    """Files that hold a build which the earlier run found in another file: that one."""

    def state(self, file: str, finding: Finding) -> Fate:
        return next(each.kind for each in self.changed[file] if each.told.fingerprint == finding.fingerprint)

    def of(self, kind: Fate) -> list[tuple[str, FindingChange]]:
        return [(file, each) for file, found in self.changed.items() for each in found if each.kind == kind]

    @property
    def said(self) -> str:
        counts = ", ".join(f"{len(self.of(kind))} {kind}" for kind in KINDS[:-1])
        moved = f"; {len(self.moved)} in another file" if self.moved else ""
        return f"against {self.source}: {counts}, {len(self.of('same'))} the same{moved}"


def against(
    source: str,
    before: Result,
    reports: list[Report],
    only: frozenset[str] | None = None,
    skipped: Iterable[tuple[str, str]] = (),
) -> Against:
    """What became of the findings of an earlier check.

    :param only: the rules that this run is about; the earlier one must have looked at them
    :param skipped: files that were passed over, and why
    Raises NotAResult where it has not.
    """
    if before.only is not None and (only is None or not only <= before.only):
        raise NotAResult(f"it holds only {', '.join(sorted(before.only))}; give --only with these, or check again")
    read = {report.file for report in reports if report.verdict != "unreadable" and whole(report.findings)}
    moved = _moved(before, reports)
    changed = {}
    for report in reports:
        earlier = before.builds.get(moved.get(report.file, report.file))
        was = {} if earlier is None else earlier.findings
        was = {print_: each for print_, each in was.items() if only is None or each.rule in only}
        changed[report.file] = changes(was, told_by(report), read=report.file in read)
    broken = {
        report.file: "cannot be read" if report.verdict == "unreadable" else "failed in the program"
        for report in reports
        if report.file not in read
    }
    why = dict(skipped) | broken
    known = {*read, *moved.values()}
    return Against(source, changed, {file: why.get(file, "") for file in before.builds if file not in known}, moved)


def _moved(before: Result, reports: list[Report]) -> dict[str, str]:
    """Builds that stand in another file, the same to the last figure and in their name; of several alike one each."""
    here = {report.file for report in reports}
    gone: dict[tuple[str, str], list[str]] = {}
    for file, each in before.builds.items():
        if file not in here and each.fingerprint:
            gone.setdefault((each.fingerprint, bare_name(each.name)), []).append(file)
    return {
        report.file: left.pop(0)
        for report in reports
        if report.file not in before.builds and (left := gone.get((report.fingerprint, bare_name(report.name))))
    }


def bare_name(name: str) -> str:
    """The name of a build, without what a run of some rules adds to it."""
    return name.partition(" (only ")[0]


def failing(made: Against, severities: frozenset[str]) -> set[str]:
    """The files with new and worse findings of these severities that nobody accepted; those that could not be read are
    counted as such."""
    return {
        file
        for kind in ("new", "worse")
        for file, each in made.of(kind)
        if not each.told.accepted and each.told.severity in severities and each.told.rule != "unreadable"
    }


def against_text(made: Against) -> str:
    """New, worse and better findings with their lines, gone ones, and how many stay."""
    said = made.said
    lines = [f"{said[:1].upper()}{said[1:]}.", *(f"  {line}" for line in _lines(made))]
    lines += [f"  moved  {file}: was {was}" for file, was in made.moved.items()]
    lines += [f"  not checked now: {file}{f' ({why})' if why else ''}" for file, why in made.not_checked.items()]
    return "\n".join(lines) + "\n"


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
    moved = [{"file": file, "was": was} for file, was in made.moved.items()]
    return {"source": made.source, **kept, "gone": gone, "moved": moved, "not_checked": list(made.not_checked)}
