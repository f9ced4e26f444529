"""Two builds side by side, on one screen: what is different, and what that brings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from packyoke.answers.changes import FindingChange, counted
from packyoke.answers.check.page import CAUTIONS
from packyoke.answers.inherited import inherited, of_both, places_taken
from packyoke.core.findings import Amount, shown
from packyoke.core.paths import PartPath, heading_of, name_of
from packyoke.page import strict
from packyoke.page.bars import scale_end, scale_of
from packyoke.page.page import Bar, Level, Lines, Page, Table, Verdict, filled
from packyoke.verdict.report import PartLine, Report

SCHEMA = "packyoke/compare/1"
Cells = tuple[str, ...]
MOST_MARGINS = 8
MOST_DIFFERENCES = 12


class FigurePair(NamedTuple):
    """One figure of either build; None where it is not known or there is none. `better` is `more`, `less` or empty."""

    name: str
    unit: str
    before: float | None
    after: float | None
    better: str = ""


class FileDifference(NamedTuple):
    """A line of the file that is not the same; a whole part has no field. Empty where there is none."""

    part: PartPath
    field: str
    before: str
    after: str


class Margin(NamedTuple):
    """A part whose current or limit is not the same."""

    part: PartPath
    before: PartLine | None
    after: PartLine | None


class PriceStep(NamedTuple):
    """What the parts cost that come, less those that go, and what of them has no price, in words."""

    amount: Decimal
    currency: str
    unpriced: tuple[str, ...]


class CompareView(NamedTuple):
    """All that is printed. `refused`: a stop or an open question that was not there before."""

    old: Report
    new: Report
    refused: bool
    differences: tuple[FileDifference, ...]
    turns: tuple[FindingChange, ...]
    margins: tuple[Margin, ...]
    figures: tuple[FigurePair, ...]
    notes: tuple[str, ...] = ()
    price: PriceStep | None = None

    @property
    def answered(self) -> bool:
        """Whether it may be built: nothing is at stop or open, whether the change brought it or not."""
        return not self.refused and self.new.verdict not in ("stop", "open")


def compare_page(view: CompareView) -> Page:
    """The answer, what is different in the file, findings, figures, currents."""
    blocks = filled(
        Lines("Different in the file", tuple(difference_words(view.differences))),
        Table("Findings", ("change", "level", "finding"), tuple(_turns(view)), "lll"),
        _figures(view),
        _margins(view.margins),
        Lines("Notes", tuple(view.notes)),
        places_taken(of_both(view.old, view.new)),
    )
    return Page(
        title=f"{view.new.name or view.new.file}: before and after",
        verdict=_answer(view),
        lead=(f"before: {_of(view.old)}", f"after: {_of(view.new)}"),
        blocks=blocks,
        closing=(CAUTIONS,),
    )


def _answer(view: CompareView) -> Verdict:
    counts = counted(view.turns)
    if view.refused:
        brings = [turn for turn in view.turns if turn.kind in ("new", "worse")]
        level: Level = "stop" if any(turn.told.severity == "stop" for turn in brings) else "open"
        return Verdict(level, level.upper(), f"The change brings what was not there before. Findings: {counts}.")
    if view.new.verdict in ("stop", "open"):
        stands: Level = "stop" if view.new.verdict == "stop" else "open"
        still = "it is at stop, as it was before" if stands == "stop" else "it has open questions, as it had before"
        said = "Nothing that counts is different" if not view.differences and not view.turns else "Nothing new stops it"
        return Verdict(stands, stands.upper(), f"{said}; {still}. Findings: {counts or 'the same'}.")
    if not view.differences and not view.turns:
        return Verdict("good", "SAME", "Nothing that counts is different.")
    text = f"No stop and nothing open that was not there before. Findings: {counts or 'the same'}."
    return Verdict("good", "", text)


def _of(report: Report) -> str:
    verdict = "no fault found" if report.verdict == "none-found" else report.verdict.upper()
    return f"{report.file}: {verdict}"


def _figures(view: CompareView) -> Table:
    rows = [
        (each.name, _figure(each.before, each.unit), _figure(each.after, each.unit), _step(each))
        for each in view.figures
    ]
    notes: tuple[str, ...] = ()
    if view.price is not None:
        rows.append(("parts added, less parts removed", "", "", f"{view.price.amount:+.2f} {view.price.currency}"))
        if view.price.unpriced:
            notes = (f"Without a price on the shelf: {', '.join(view.price.unpriced)}.",)
    return Table("Figures", ("figure", "before", "after", "change"), tuple(rows), "lrrr", notes=notes)


def difference_words(differences: Sequence[FileDifference]) -> Iterator[str]:
    for each in differences[:MOST_DIFFERENCES]:
        name = name_of(each.part)
        if not each.field:
            what = "only after" if not each.before else "only before"
            yield f"{heading_of(each.part)}: {name}, {what}"
        else:
            yield f"{name}: {each.field} {each.before} -> {each.after}"
    if len(differences) > MOST_DIFFERENCES:
        yield f"and {len(differences) - MOST_DIFFERENCES} more (--format json has them all)"


def _turns(view: CompareView) -> Iterator[Cells]:
    """Each change of a finding: how it turned, how grave it is, what it says with its figures."""
    for turn in view.turns:
        yield turn.kind, turn.told.severity.upper(), turned(turn)


def turned(turn: FindingChange) -> str:
    """What a finding says, with its figures, and what it was before."""
    told, was = turn.told, ""
    if turn.before is not None and turn.kind in ("worse", "better"):
        was = f"; was {turn.before.severity}"
        was += f", {_bare(turn.before.found)}" if turn.before.found else ""
    figure = f", {_bare(told.found)} (limit {_bare(told.limit)})" if told.found and told.limit else ""
    return f"{told.label}: {told.message}{figure}{was}"


def _bare(amount: Amount) -> str:
    return f"{shown(amount.value)} {amount.unit}".rstrip()


def _figure(value: float | None, unit: str) -> str:
    return "?" if value is None else f"{_rounded(value)} {unit}".rstrip()


def _rounded(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 100 else shown(value)


def _step(figure: FigurePair) -> str:
    if figure.before is None or figure.after is None:
        return ""
    step = figure.after - figure.before
    if abs(step) < 5e-4 * max(abs(figure.after), abs(figure.before)):
        return "same"
    sign = "+" if step > 0 else "-"
    return f"{sign}{_rounded(abs(step))} {figure.unit}".rstrip()


def _margins(margins: Sequence[Margin]) -> Table:
    tight = sorted(margins, key=lambda each: each.after.margin if each.after else 9.0)
    shown = tight[:MOST_MARGINS]
    rows = tuple((name_of(each.part), _line(each.before), _line(each.after)) for each in shown)
    more = len(tight) - MOST_MARGINS
    notes = (f"and {more} with more room",) if more > 0 else ()
    used = {
        (row, at): line.most.value / line.limit.value
        for row, each in enumerate(shown)
        for at, line in _either(each)
        if line.limit.value
    }
    end = scale_end(max(100.0, 100.0 * max(used.values(), default=1.0)))
    bars = {place: Bar(100.0 * share / end, 0.0) for place, share in used.items()}
    scale = scale_of(end, "% of the rating", "highest current", "")
    heads, about = ("part", "before", "after"), "highest / rating"
    return Table("Currents", heads, rows, "lrr", about, notes, bars=bars, scale=scale)


def _either(each: Margin) -> Iterator[tuple[int, PartLine]]:
    """What is known of a part before and after, with the column that it stands in."""
    yield from ((at, line) for at, line in ((1, each.before), (2, each.after)) if line is not None)


def _line(line: PartLine | None) -> str:
    if line is None:
        return "-"
    return f"{shown(line.most.value)} of {line.limit}"


def compare_json(view: CompareView) -> str:
    """Everything, schema `packyoke/compare/1`."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "old": _report(view.old),
        "new": _report(view.new),
        "refused": view.refused,
        "differences": [each._asdict() for each in view.differences],
        "findings": [turn_data(turn) for turn in view.turns],
        "parts": [
            {"part": each.part, "before": _part(each.before), "after": _part(each.after)} for each in view.margins
        ],
        "figures": [each._asdict() for each in view.figures],
        "price": view.price._asdict() if view.price else None,
        "notes": list(view.notes),
    }
    return strict.written(data)


def turn_data(turn: FindingChange) -> dict[str, Any]:
    """One change of a finding for JSON."""
    told, before = turn.told, turn.before
    return {
        "change": turn.kind,
        "rule": told.rule,
        "part": told.part,
        "severity": told.severity,
        "severity_before": before.severity if before else None,
        "message": told.message,
        "found": _amount(told.found),
        "found_before": _amount(before.found) if before else None,
        "limit": _amount(told.limit),
        "fingerprint": told.fingerprint,
    }


def _report(report: Report) -> dict[str, Any]:
    return {
        "file": report.file,
        "name": report.name,
        "verdict": report.verdict,
        "fingerprint": report.fingerprint,
        "inherited": list(inherited(report, places=True)),
    }


def _amount(amount: Amount | None) -> dict[str, Any] | None:
    return {"value": amount.value, "unit": amount.unit} if amount else None


def _part(line: PartLine | None) -> dict[str, Any] | None:
    return {"worst_a": line.worst.value, "limit_a": line.limit.value, "margin": line.margin} if line else None
