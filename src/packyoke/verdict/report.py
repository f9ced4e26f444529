"""What a check has to say, complete and frozen: every printer is a function of this and computes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from packyoke.core.findings import Amount, Finding, Fixed, Severity, Span
from packyoke.core.paths import PartPath, is_pack, name_of
from packyoke.model import Build
from packyoke.verdict.fingerprint import fingerprint

VERDICTS = ("none-found", "caution", "open", "stop", "unreadable")


class PartLine(NamedTuple):
    """One part of the harness, the worst current through it and the lowest of its limits."""

    part: PartPath
    worst: Amount
    back: Amount
    limit: Amount
    margin: float
    by: str
    packs_in: tuple[str, ...]
    charges: tuple[tuple[str, float], ...]

    @property
    def most(self) -> Amount:
        """What presses the limit: the load, or what flows back, which is no matter of a pack's discharge limit."""
        return self.worst if self.back.value <= self.worst.value or is_pack(self.part) else self.back


class TreeLine(NamedTuple):
    """One line of the harness as a tree, from a controller down to the packs.

    `last` says for each level above, and for the line itself, whether it is the last of its branch.
    """

    last: tuple[bool, ...]
    name: str
    about: str
    worst: str
    margin: float | None


class Question(NamedTuple):
    """One field to find out, what it settles, and which answer passes or which other fields that depends on."""

    part: PartPath
    field: str
    span: Span | None
    ask: str
    question: str
    passes_if: str
    settles: tuple[str, ...]
    depends_on: tuple[str, ...] = ()


class Assumed(NamedTuple):
    """A value nobody wrote, that the verdict stands on; `turns_into` says from where on it would change, `origin` file
    and line of a value from the shop file."""

    part: PartPath
    field: str
    text: str
    basis: str
    turns_into: str = ""
    origin: str = ""


class PackSet(NamedTuple):
    """One set of packs plugged in together: energy by the label and likely to be had on the everyday ride, how far that
    carries (count on it, likely); None where it is not known."""

    packs: tuple[str, ...]
    label_wh: float | None
    usable_wh: float | None
    range_m: tuple[float, float] | None
    works_first: str
    verdict: str
    weakest: str
    worst: str


class GoodFor(NamedTuple):
    """What the harness as drawn bears from the controller, and what the controller may ask."""

    continuous: Amount | None
    peak: Amount | None
    asked: Amount | None
    asked_peak: Amount | None
    weakest: tuple[tuple[str, str], ...]
    open_parts: tuple[str, ...]


class Cure(NamedTuple):
    """The one change that settles most findings; `parts` are the names of all that it changes."""

    do: str
    settles: tuple[str, ...]
    parts: tuple[str, ...]


class Report(Fixed):
    """All that is said of one build file. `unreadable` reports hold only findings."""

    file: str
    name: str = ""
    ticket: str = ""
    status: str = ""
    recheck: str = ""
    verdict: str
    findings: tuple[Finding, ...] = ()
    good_for: GoodFor | None = None
    cure: Cure | None = None
    parts: tuple[PartLine, ...] = ()
    tree: tuple[TreeLine, ...] = ()
    to_find_out: tuple[Question, ...] = ()
    sets: tuple[PackSet, ...] = ()
    rides: bool = True
    """Whether it was asked how far the sets carry the everyday ride."""
    assumed: tuple[Assumed, ...] = ()
    sources: tuple[tuple[str, str, str], ...] = ()
    meanwhile: str = ""
    labels: Mapping[PartPath, str]
    """What people call each part: its name, for leads with where they run."""
    build: Build | None = None
    """What was checked, for whoever draws it; none of an unreadable file."""

    @property
    def fingerprint(self) -> str:
        """Short name of what was checked, worked out when asked for; nothing of an unreadable file."""
        return fingerprint(self.build) if self.build else ""

    def label(self, path: PartPath) -> str:
        return self.labels.get(path) or name_of(path)

    def count(self, severity: Severity) -> int:
        """Findings of this weight that nobody accepted."""
        return sum(finding.severity == severity and not finding.accepted for finding in self.findings)

    @property
    def accepted(self) -> int:
        return sum(bool(finding.accepted) for finding in self.findings)


class Batch(NamedTuple):
    """The reports of one run, what was left out and why, and the rules that it was only about (all: None)."""

    tool: str
    rules: str
    shelf: str
    reports: tuple[Report, ...]
    skipped: tuple[tuple[str, str], ...] = ()
    only: tuple[str, ...] | None = None
