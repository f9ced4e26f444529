"""What became of findings between two results of the check: one computation for `check --against` and `compare`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Literal, NamedTuple, get_args

from packyoke.core.findings import WORDS, Amount, Finding, Severity
from packyoke.verdict.report import Report

Fate = Literal["new", "worse", "gone", "better", "same"]
KINDS: tuple[Fate, ...] = get_args(Fate)
GRAVITY: dict[str, int] = {word: rank for rank, word in WORDS.items()}
FURTHER = 0.005
"""A figure that moved from its limit, or to it, by less than this share of the limit is the same: judgement."""


class ToldFinding(NamedTuple):
    """One finding as a result tells it; `label` is what people call the part."""

    rule: str
    part: str
    label: str
    severity: str
    message: str
    found: Amount | None
    limit: Amount | None
    relation: str
    accepted: bool
    fingerprint: str
    line: int

    @property
    def gravity(self) -> int:
        """How much it weighs; an accepted caution as a note."""
        return min(GRAVITY[self.severity], Severity.NOTE) if self.accepted else GRAVITY[self.severity]


class FindingChange(NamedTuple):
    """What became of one finding: as it is now, or was where it is gone; `before` is None where it is new."""

    kind: Fate
    told: ToldFinding
    before: ToldFinding | None

    @property
    def grave(self) -> bool:
        """Whether it brings a stop or an open question that was not there before."""
        was = max(self.before.gravity if self.before else 0, Severity.CAUTION)
        return self.kind in ("new", "worse") and self.told.gravity > was


def whole(findings: Iterable[ToldFinding | Finding]) -> bool:
    """Whether every rule came to its end. If not, a finding that is not there any more may be there all the same."""
    return all(each.rule != "rule-crashed" for each in findings)


def told_by(report: Report) -> dict[str, ToldFinding]:
    """The findings of a report by their fingerprints."""
    return by_print(
        ToldFinding(
            each.rule,
            each.part,
            report.label(each.part),
            each.severity.word,
            each.message,
            each.found,
            each.limit,
            each.relation,
            bool(each.accepted),
            each.fingerprint,
            each.span.line if each.span else 1,
        )
        for each in report.findings
    )


def by_print(findings: Iterable[ToldFinding]) -> dict[str, ToldFinding]:
    """Findings by their fingerprints; of two with the same one the worse counts."""
    found: dict[str, ToldFinding] = {}
    for each in findings:
        other = found.get(each.fingerprint)
        if other is None or _kind(other, each) == "worse":
            found[each.fingerprint] = each
    return found


def changes(
    before: Mapping[str, ToldFinding], after: Mapping[str, ToldFinding], *, read: bool = True
) -> list[FindingChange]:
    """What became of every finding of two results of one build: new ones first, of each kind the gravest first.

    :param read: whether the file could be read now: of one that could not, nothing is gone; nor where a rule failed
    """
    read = read and whole(after.values())
    found = []
    for print_ in dict.fromkeys([*after, *before]):
        was, now = before.get(print_), after.get(print_)
        if now is not None:
            found.append(FindingChange(_kind(was, now) if was else "new", now, was))
        elif was is not None and read:
            found.append(FindingChange("gone", was, was))
    return sorted(found, key=lambda each: (KINDS.index(each.kind), -each.told.gravity))


def counted(found: Iterable[FindingChange], kinds: Iterable[Fate] = KINDS[:-1]) -> str:
    """How many there are of each kind, in words; empty where there is none."""
    all_kinds = [each.kind for each in found]
    return ", ".join(f"{count} {kind}" for kind in kinds if (count := all_kinds.count(kind)))


def _kind(before: ToldFinding, now: ToldFinding) -> Fate:
    step = now.gravity - before.gravity or _further(before, now)
    return "worse" if step > 0 else "better" if step < 0 else "same"


def _further(before: ToldFinding, now: ToldFinding) -> float:
    """How much further beyond its limit a figure stands than before, as a share of it; 0 where the two cannot be held
    against each other."""
    figures = (before.found, before.limit, now.found, now.limit)
    if len({each.unit for each in figures if each}) != 1 or not all(each and isfinite(each.value) for each in figures):
        return 0.0
    was, is_ = (_beyond(each, before) for each in (before, now))
    return is_ - was if abs(is_ - was) > FURTHER * max(abs(was), 1.0) else 0.0


def _beyond(told: ToldFinding, before: ToldFinding) -> float:
    assert told.found is not None
    assert told.limit is not None
    assert before.found is not None
    over = told.found.value - told.limit.value
    share = over / (abs(told.limit.value) or abs(before.found.value) or 1.0)
    if told.relation in ("", "at most", "below"):
        return share
    return -share if told.relation == "at least" else abs(share)
