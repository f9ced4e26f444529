"""Many builds against what they were: two folders, or two results of the check; a build is known by its path."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

from packyoke.answers.changes import FindingChange, ToldFinding, changes, counted, told_by, whole
from packyoke.answers.compare.differences import akin, compared
from packyoke.answers.compare.page import FileDifference
from packyoke.answers.inherited import of_both
from packyoke.answers.results import NotAResult, Result
from packyoke.core.findings import clean
from packyoke.model import Build
from packyoke.verdict.report import Report

Of = Literal["folders", "results"]
NOT_PASSED = ("stop", "open")
RETIRED, NO_BUILD = "retired", "no build"
OTHER_BIKE = "another bike: no pack, no joiner and no name in common"


class Pair(NamedTuple):
    """One build before and after. A verdict is that of the check, `retired`, `no build` where the file is none, or
    empty where there is no such file. `note`: what else is to be said; `inherited`: what is from a shop file; `whole`:
    every rule came to its end in both."""

    file: str
    name: str
    before: str
    after: str
    turns: tuple[FindingChange, ...] = ()
    differences: tuple[FileDifference, ...] = ()
    note: str = ""
    inherited: tuple[str, ...] = ()
    whole: bool = True

    @property
    def refused(self) -> bool:
        """Whether the change brings a stop or an open question; what was not there before was not changed."""
        return bool(self.before) and any(turn.grave for turn in self.turns)

    @property
    def answered(self) -> bool:
        """Whether it may be built; one that is only before asks nothing."""
        return not self.refused and self.after not in NOT_PASSED

    @property
    def counts(self) -> str:
        return counted(self.turns)

    @property
    def unreadable(self) -> bool:
        return not {"unreadable", NO_BUILD}.isdisjoint((self.before, self.after))

    @property
    def changed(self) -> bool:
        return bool(self.turns or self.differences or self.note) or self.before != self.after


class ManyView(NamedTuple):
    """All that is printed: what was compared, the builds by their paths, and what is to be known of it."""

    of: Of
    old: str
    new: str
    pairs: tuple[Pair, ...]
    notes: tuple[str, ...] = ()
    written: tuple[Build, ...] = ()
    """The builds themselves, where they are at hand."""

    @property
    def answered(self) -> bool:
        return not self.unreadable and all(each.answered for each in self.pairs)

    @property
    def unreadable(self) -> int:
        return sum(each.unreadable for each in self.pairs)

    @property
    def whole(self) -> bool:
        """Whether every rule came to its end. If not, nobody knows what is new or gone."""
        return all(each.whole for each in self.pairs)

    @property
    def counts(self) -> str:
        return counted(turn for each in self.pairs for turn in each.turns)


class Folder(NamedTuple):
    """What was found below a folder, by the path below it: reports, and what was passed over and why."""

    name: str
    reports: Mapping[str, Report]
    skipped: Mapping[str, str]

    def verdict(self, path: str) -> str:
        if path in self.reports:
            return self.reports[path].verdict
        why = self.skipped.get(path, "")
        return RETIRED if why == RETIRED else NO_BUILD if why else ""


def of_folders(before: Folder, after: Folder) -> ManyView:
    """The builds of two folders by their paths below them."""
    paths = sorted({*before.reports, *after.reports})
    pairs = tuple(_of_files(path, before, after) for path in paths)
    reports = (*before.reports.values(), *after.reports.values())
    return ManyView(
        "folders", before.name, after.name, pairs, written=tuple(each.build for each in reports if each.build)
    )


def _of_files(path: str, before: Folder, after: Folder) -> Pair:
    old, new = before.reports.get(path), after.reports.get(path)
    name = next((each.name for each in (new, old) if each and each.name), "")
    verdicts = before.verdict(path), after.verdict(path)
    ended = all(whole(each.findings) for each in (old, new) if each)
    if old is None or new is None or old.build is None or new.build is None:
        was, now = (told_by(each) if each else None for each in (old, new))
        return Pair(
            path,
            name,
            *verdicts,
            _turns(was, now, verdicts[1]),
            inherited=of_both(old and old.build, new and new.build),
            whole=ended,
        )
    found = compared(old.build, new.build, old, new)
    note = "" if akin(old.build, new.build) else OTHER_BIKE
    return Pair(path, name, *verdicts, found.turns, found.differences, note, of_both(old.build, new.build), ended)


def of_results(old: str, new: str, before: Result, after: Result) -> ManyView:
    """The builds of two results of the check. Raises NotAResult where they are not about the same."""
    if before.only != after.only:
        raise NotAResult(
            f"{old} is about {_rules(before)}, {new} about {_rules(after)}: check both with the same --only"
        )
    if not {*before.builds} & {*after.builds}:
        first, second = (next(iter(each.builds), "no build") for each in (before, after))
        raise NotAResult(
            f"{old} and {new} have no file in common ({clean(first)}; {clean(second)}): "
            "check both from the same folder, with the same names"
        )
    pairs = []
    for path in sorted({*before.builds, *after.builds}):
        was, now = before.builds.get(path), after.builds.get(path)
        name = next((each.name for each in (now, was) if each and each.name), "")
        verdicts = was.verdict if was else "", now.verdict if now else ""
        turns = _turns(was and was.findings, now and now.findings, verdicts[1])
        ended = all(whole(each.findings.values()) for each in (was, now) if each)
        pairs.append(Pair(path, name, *verdicts, turns, inherited=of_both(was, now), whole=ended))
    return ManyView("results", old, new, tuple(pairs), tuple(_versions(before, after)))


def _turns(
    was: dict[str, ToldFinding] | None, now: dict[str, ToldFinding] | None, verdict: str
) -> tuple[FindingChange, ...]:
    """What became of the findings; of a build that is not there any more, or cannot be read, nothing is known."""
    if now is None or verdict == "unreadable":
        return ()
    return tuple(each for each in changes(was or {}, now) if each.kind != "same")


def _rules(result: Result) -> str:
    return "all rules" if result.only is None else f"only {', '.join(sorted(result.only))}"


def _versions(before: Result, after: Result) -> Iterable[str]:
    """A finding may come or go because the program has changed and not the bike."""
    differ = [
        f"{what} {old}, now {new}"
        for what, old, new in (
            ("packyoke", before.tool, after.tool),
            ("rules", before.rules, after.rules),
            ("shelf", before.shelf, after.shelf),
        )
        if old != new
    ]
    if differ:
        yield f"Made by other versions: {'; '.join(differ)}. What changed can come from that, not from the bike."
