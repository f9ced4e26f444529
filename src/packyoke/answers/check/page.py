"""The page of a check: the verdict and what to do now, findings, the harness, what to find out, the pack sets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from packyoke.answers.check.asking import assumed, listed, to_find_out
from packyoke.answers.check.harness import harness_of
from packyoke.answers.check.mistakes import mistakes_text
from packyoke.answers.in_units import in_units
from packyoke.core.findings import Finding, Severity
from packyoke.core.paths import name_of
from packyoke.model import Build
from packyoke.page.cells import WIDTH, wrapped
from packyoke.page.page import Block, Fact, Figure, FindingBlock, Level, Page, Table, Verdict
from packyoke.page.text import page_text
from packyoke.verdict.report import Batch, GoodFor, PackSet, Report

if TYPE_CHECKING:
    pass

CAUTIONS = (
    "Lithium packs can burn, high current arcs, and voltages shock; measure before you join. This is advice: the "
    "makers' instructions, local rules and a qualified person decide. Adding a pack, joiner or charger is usually "
    "outside the bike maker's instructions and may end certification, warranty and insurance."
)
NOTHING_FOUND = "no fault found in what was described"
DO_NOT = {
    "stop": "Do not build it like this.",
    "open": "Do not build it before the questions are answered.",
}
MOST_SETS = 31
"""Up to this many pack sets have a line; of more, the set of all packs and each pack alone."""
WIDEST_PAIR = 44  # found and limit stand on one line when they are shorter than this together
ABOVE = 1e-9
MEANWHILE = ("packs-rush", "packs-unequal", "back-charged", "pack-unsound")
"""Open questions that have a block of their own: something must not be done before they are answered."""


def batch_text(batch: Batch, *, colour: bool = False, everything: bool = False, system: str = "metric") -> str:
    """All reports of a run for a person at a terminal; of a file that cannot be read its mistakes."""
    blocks = [
        mistakes_text(report.file, report.findings)
        if report.verdict == "unreadable"
        else page_text(check_page(report, everything=everything, system=system), colour=colour)
        for report in batch.reports
    ]
    if len(blocks) > 1:
        blocks.append("".join(f"{line}\n" for each in batch.reports for line in wrapped(summary_line(each), 0, 12)))
    return ("\n" + "=" * WIDTH + "\n\n").join(blocks)


def summary_line(report: Report) -> str:
    """One file in one line: `STOP     builds/a.yaml: 2 stops, 3 to find out`."""
    if report.verdict == "unreadable":
        count = len(report.findings)
        return f"UNREADABLE  {report.file}: {count} mistake{'s' if count > 1 else ''}"
    word = {"none-found": "-"}.get(report.verdict, report.verdict.upper())
    counts = counts_text(report, [*report.findings])
    return f"{word:<10}  {report.file}: {counts or 'no findings'}"


def batch_markdown(batch: Batch, *, everything: bool = False, system: str = "metric") -> str:
    """All reports of a run as Markdown."""
    from packyoke.page.markdown import pages_markdown

    return pages_markdown(batch_pages(batch, everything=everything, system=system))


def batch_html(batch: Batch, *, everything: bool = False, system: str = "metric") -> str:
    """All reports of a run on one HTML page."""
    from packyoke.page.html import pages_html

    pages = batch_pages(batch, everything=everything, drawn=True, system=system)
    return pages_html(pages, pages[0].title if len(pages) == 1 else "Checked builds")


def batch_pages(batch: Batch, *, everything: bool = False, drawn: bool = False, system: str = "metric") -> list[Page]:
    """A page for each report of a run; `drawn`: with the wiring diagram for those that can show it."""
    made = f"packyoke {batch.tool}, rules {batch.rules}, shelf {batch.shelf}"
    more = {"made": made, "system": system}
    return [check_page(report, **more, everything=everything, drawn=drawn) for report in batch.reports]


def check_page(
    report: Report, *, made: str = "", everything: bool = False, drawn: bool = False, system: str = "metric"
) -> Page:
    """The page of one build; `everything` shows the notes that stand on every bike, too; `system`: metric or us."""
    if report.verdict == "unreadable":
        return _unreadable(report, made)
    findings = shown_findings(report, everything)
    blocks: list[Block] = [_finding(report, group) for group in _groups(report, findings)]
    blocks += [harness_of(report, drawn=drawn, system=system)] if report.tree else []
    blocks += to_find_out(report)
    blocks += _sets(report)
    blocks += assumed(report.assumed)
    page = Page(
        title=report.name or report.file,
        verdict=_verdict(report),
        lead=tuple(filter(None, _lead(report, findings))),
        blocks=blocks,
        closing=(CAUTIONS,),
        source=report.file,
        made=", ".join(filter(None, (made, f"build {report.fingerprint}" if report.fingerprint else ""))),
    )
    return in_units(page, system, report.build, report.file)


def _unreadable(report: Report, made: str) -> Page:
    """The mistakes as they stand on a terminal, with the carets under their places."""
    told = tuple(mistakes_text(report.file, report.findings).splitlines())
    verdict = Verdict("stop", "", "cannot be read: nothing in this file was checked")
    return Page(title=report.file, verdict=verdict, blocks=(Figure("", told, "the mistakes of the file"),), made=made)


def _verdict(report: Report) -> Verdict:
    if report.verdict == "none-found":
        return Verdict("good", "", f"{report.name}: {NOTHING_FOUND}")
    level: Level = "stop" if report.verdict == "stop" else "open" if report.verdict == "open" else "caution"
    return Verdict(level, report.verdict.upper(), report.name or report.file)


def shown_findings(report: Report, everything: bool) -> list[Finding]:
    """The findings of a page: without the notes that stand on every bike, unless they are asked for."""
    return [each for each in report.findings if everything or not each.usual]


def _lead(report: Report, findings: list[Finding]) -> Iterator[str]:
    yield " ".join(filter(None, (DO_NOT.get(report.verdict, ""), report.meanwhile)))
    counts = counts_text(report, findings)
    yield f"{counts[:1].upper()}{counts[1:]}." if counts else ""
    if report.good_for is not None:
        yield from carries_text(report.good_for, draw_words(report.build))
    yield cure_text(report)


def counts_text(report: Report, findings: list[Finding]) -> str:
    """How many findings of each weight are shown: `2 stops, 1 to find out, 1 caution, 3 notes, 2 more with --all`."""
    notes = sum(each.severity == Severity.NOTE and not each.accepted for each in findings)
    more = len(report.findings) - len(findings)
    words = [
        (report.count(Severity.STOP), "stop", "stops"),
        (len(report.to_find_out), "to find out", "to find out"),
        (report.count(Severity.CAUTION), "caution", "cautions"),
        (notes, "note", "notes"),
        (report.accepted, "accepted", "accepted"),
        (more, *(("more with --all",) * 2 if notes else ("note with --all", "notes with --all"))),
    ]
    return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in words if count)


def cure_text(report: Report) -> str:
    """The one change that goes furthest, where it settles more than one finding that stands on the page: what only
    waits for answers is counted there as what is to be found out."""
    cure = report.cure
    if cure is None:
        return ""
    told = sum(each.fingerprint in cure.settles and not _waits(report, each) for each in report.findings)
    if told < 2:
        return ""
    where = " and ".join(name_of(part) for part in cure.parts)
    return f"One change, at {where}, settles {told} of these: {cure.do.rstrip('.')}."


def draw_words(build: Build | None) -> str:
    """Who draws what a harness is asked for: its controller, or several together."""
    several = build is not None and len(build.controllers) > 1
    return "the controllers together draw" if several else "the controller draws"


def carries_text(good: GoodFor, draw: str = "the controller draws") -> Iterator[str]:
    """What the harness carries, what the controller draws, and the weakest parts."""
    if good.continuous is None:
        yield "What this harness carries is not decided: a current or a limit is not known."
        return
    if good.continuous.value == 0:
        yield "This harness carries no current at all."
    else:
        peak = f", {good.peak}" if good.peak else ""
        draws = f"; {draw} {good.asked}" if good.asked is not None else ""
        draws += f", and {good.asked_peak}" if good.asked_peak else ""
        known = f" (without {', '.join(map(name_of, good.open_parts[:3]))}: not known)" if good.open_parts else ""
        yield f"This harness carries {good.continuous} continuous{peak}{draws}{known}."
    weakest = ", then ".join(f"{name_of(path)} ({by})" if by else name_of(path) for path, by in good.weakest)
    if weakest:
        yield f"Weakest: {weakest}."


class _Group(NamedTuple):
    """Findings that are said in one block: the same on several parts, and what the same change settles with them."""

    same: list[Finding]
    also: list[Finding]


def _groups(report: Report, findings: list[Finding]) -> Iterator[_Group]:
    """The findings, worst first. What the one change settles stands in one block, under the worst of it."""
    merged: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        if _waits(report, finding):
            continue
        kind = finding.found and (finding.found.unit, finding.relation)
        key = (
            finding.rule,
            finding.severity,
            finding.message,
            kind,
            finding.limit,
            finding.why,
            "" if _asked(finding) else finding.do,
            finding.accepted,
            _cured(report, finding),
        )
        merged.setdefault(key, []).append(finding)
    root: _Group | None = None
    groups = []
    for same in merged.values():
        if _cured(report, same[0]) and root is not None:
            root.also.extend(same)
            continue
        groups.append(_Group(same, []))
        if _cured(report, same[0]):
            root = groups[-1]
    yield from groups


def _asked(finding: Finding) -> bool:
    """Whether a finding only waits for answers that stand under To find out."""
    return finding.severity == Severity.OPEN and bool(finding.asks)


def _waits(report: Report, finding: Finding) -> bool:
    """Whether a finding stands under To find out only, where it waits for answers; one that says what not to do
    meanwhile has a block besides. What nobody is asked because a stop makes it moot has one where that stop is not on
    the page."""
    if not _asked(finding):
        return False
    if not _in_list(report, finding):
        return any(each.rule == "packs-rush" and each.severity == Severity.STOP for each in report.findings)
    return finding.rule not in MEANWHILE


def _in_list(report: Report, finding: Finding) -> bool:
    return any(finding.fingerprint in each.settles for each in report.to_find_out)


def _cured(report: Report, finding: Finding) -> bool:
    """Whether the one change is what settles this one: words alone may be those of a change somewhere else."""
    cure = report.cure
    return cure is not None and finding.fingerprint in cure.settles and finding.do.rstrip(".") == cure.do.rstrip(".")


def _worst(same: list[Finding]) -> Finding:
    sign = -1 if same[0].relation == "at least" else 1
    return max(same, key=lambda finding: sign * finding.found.value if finding.found else 0.0)


def _finding(report: Report, group: _Group) -> FindingBlock:
    finding = _worst(group.same)
    found = str(finding.found) if finding.found else ""
    limit = str(finding.limit) if finding.limit else ""
    if found and len({str(one.found) for one in group.same}) > 1:
        others = [name_of(one.part) for one in group.same if one is not finding]
        alike = len({one.found.bare for one in group.same if one.found}) == 1
        found += f"; the same of {listed(others)}" if alike else f"; {name_of(finding.part)} is the worst"
    if found and len(finding.packs_in) > 1:
        found += f", with {' + '.join(finding.packs_in)} in"
    if found and limit and len(found) + len(limit) < WIDEST_PAIR:
        found, limit = f"{found}; limit {limit}", ""
    # A note is for knowing, not for acting: its page says why.
    why = finding.why if finding.severity > Severity.NOTE or not finding.do else ""
    return FindingBlock(
        finding.severity.word,
        finding.severity.word.upper(),
        f"{_who(report, group.same)}{finding.message}",
        (
            Fact("at worst" if _asked(finding) else "found", found),
            Fact("limit", limit),
            Fact("why", why),
            Fact("do", _do(report, group.same)),
            Fact("with", "; ".join(_briefly(report, group.also))),
            Fact("taken", f"accepted: {finding.accepted}" if finding.accepted else ""),
            Fact("rule", _rule(group.same)),
        ),
    )


def _do(report: Report, same: list[Finding]) -> str:
    finding = same[0]
    if _asked(finding) and _in_list(report, finding):
        settled = {one.fingerprint for one in same}
        fields = dict.fromkeys(each.field for each in report.to_find_out if settled.intersection(each.settles))
        return f"Find out {listed([*fields])}: see To find out."
    return "The one change named above." if _cured(report, finding) and cure_text(report) else finding.do


def _who(report: Report, same: list[Finding]) -> str:
    names = [report.label(same[0].part)] if len(same) == 1 else [name_of(one.part) for one in same]
    if names == ["the build"]:
        return ""
    return f"{listed(names)}: "


def _briefly(report: Report, also: list[Finding]) -> Iterator[str]:
    """What else the same change settles: each headline once, with its figures."""
    merged: dict[tuple[str, str], list[Finding]] = {}
    for finding in also:
        merged.setdefault((finding.rule, finding.message), []).append(finding)
    for same in merged.values():
        worst = _worst(same)
        figures = f" ({worst.found.bare}, limit {worst.limit.bare})" if worst.found and worst.limit else ""
        yield f"{_who(report, same)}{worst.message}{figures}, rule {worst.rule}"


def _rule(same: list[Finding]) -> str:
    finding = same[0]
    mine = sorted({one.span.line for one in same if one.span})
    also = sorted({span.line for one in same for _, span in one.also if span} - set(mine))
    text = finding.rule
    for word, numbers in ((", ", mine), (", with ", also)):
        if numbers:
            text += f"{word}line{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
    basis = "; ".join(one for one in finding.basis if one != "common practice")
    return f"{text}; {basis}" if basis and finding.severity >= Severity.CAUTION else text


def _sets(report: Report) -> Iterator[Table]:
    """What each set gives and how far that carries; where something stops the build, its weakest part instead."""
    if not report.sets:
        return
    sets = report.sets
    if len(sets) > MOST_SETS:
        sizes = (max(len(one.packs) for one in sets), min(len(one.packs) for one in sets))
        sets = tuple(one for one in sets if len(one.packs) in sizes)
    stopped = report.verdict in ("stop", "open") or all(one.range_m is None for one in report.sets)
    merged: dict[tuple[str, ...], list[str]] = {}
    for one in sets:
        merged.setdefault((str(len(one.packs)), *_set_cells(one, stopped)), []).append(" + ".join(one.packs))
    rows = tuple((" or ".join(names), *figures) for (_, *figures), names in merged.items())
    energy = ("Wh on label",) if stopped else ("gives", "everyday ride")
    heads = ("packs", *energy, "supplies first", "result", *(("weakest",) if stopped else ()))
    notes = []
    if len(sets) < len(report.sets):
        notes.append(f"And {len(report.sets) - len(sets)} sets more: --format json has them all.")
    if not stopped:
        notes.append("Count on the shorter way; packyoke range says what it is based on.")
    yield Table("Pack sets", heads, rows, "lrlll" if stopped else "lrrll", notes=tuple(notes))


def _set_cells(one: PackSet, stopped: bool) -> tuple[str, ...]:
    first = one.works_first if len(one.packs) > 1 else "-"
    result = "-" if one.verdict == "none-found" else one.verdict.upper()
    if stopped:
        worst = one.worst.partition(" for ")[0]
        return set_energy(one, label_only=True), first, result, f"{one.weakest} {worst}".strip()
    return set_energy(one), set_range(one), first, result


def set_energy(one: PackSet, label_only: bool = False) -> str:
    """Energy of a set: `1544 of 1663 Wh`, or what the labels say."""
    if one.label_wh is None:
        return "?"
    if label_only or one.usable_wh is None:
        return f"{one.label_wh:.0f} Wh"
    return f"{one.usable_wh:.0f} of {one.label_wh:.0f} Wh"


def set_range(one: PackSet) -> str:
    """How far a set carries: what to count on, and what is likely, in whole kilometres rounded down."""
    if one.range_m is None:
        return "?"
    return " - ".join(f"{metres // 1000:.0f}" for metres in one.range_m) + " km"
