"""The check as JSON, schema `packyoke/check/1`: a stored contract, documented in docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from packyoke.core.field_paths import line_in
from packyoke.core.findings import Amount, Finding, Span
from packyoke.page import strict
from packyoke.verdict.report import Assumed, Batch, PartLine, Question, Report

SCHEMA = "packyoke/check/1"


def batch_json(batch: Batch, *, with_ticket: bool = False, against: dict[str, Any] | None = None) -> str:
    """All reports of a run as one JSON document; against an earlier run with what became of each finding."""
    data = batch_data(batch, with_ticket=with_ticket)
    return strict.written(data if against is None else {**data, "against": against})


def batch_data(batch: Batch, *, with_ticket: bool = False) -> dict[str, Any]:
    """The same as plain dictionaries and lists."""
    builds = [_report(report, with_ticket) for report in batch.reports]
    return _document(batch, builds, all(report.rides for report in batch.reports))


def build_json(report: Report, *, with_ticket: bool = False) -> str:
    """One report as it stands in that document."""
    return strict.JsonText.at(2, _report(report, with_ticket))


def document_json(batch: Batch, builds: Sequence[str], *, rides: bool) -> str:
    """The document of a run whose reports were written one by one; those that `batch` holds are passed over."""
    return strict.written(_document(batch, [strict.JsonText(each) for each in builds], rides))


def _document(batch: Batch, builds: list[Any], rides: bool) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "tool": batch.tool,
        "rules": batch.rules,
        "shelf": batch.shelf,
        "rides": rides,
        **({} if batch.only is None else {"only": list(batch.only)}),
        "builds": builds,
        "skipped": [{"file": file, "why": why} for file, why in batch.skipped],
    }


def _report(report: Report, with_ticket: bool) -> dict[str, Any]:
    data: dict[str, Any] = {
        "file": report.file,
        "name": report.name,
        "status": report.status,
        "fingerprint": report.fingerprint,
        "verdict": report.verdict,
        "counts": {
            "stop": sum(each.severity.word == "stop" for each in report.findings),
            "open": sum(each.severity.word == "open" for each in report.findings),
            "caution": sum(each.severity.word == "caution" and not each.accepted for each in report.findings),
            "note": sum(each.severity.word == "note" for each in report.findings),
            "accepted": report.accepted,
        },
        "good_for": good_for_data(report),
        "cure": cure_data(report),
        "findings": [finding_data(each) for each in report.findings],
        "parts": [_part(each) for each in report.parts],
        "to_find_out": [question_data(each) for each in report.to_find_out],
        "sets": [
            {
                "packs": list(each.packs),
                "label_wh": each.label_wh,
                "usable_wh": each.usable_wh,
                "range_km": [metres / 1000 for metres in each.range_m] if each.range_m else None,
                "works_first": each.works_first,
                "verdict": each.verdict,
                "weakest": each.weakest,
                "worst": each.worst,
            }
            for each in report.sets
        ],
        "assumed": [assumed_data(each) for each in report.assumed],
        "sources": [{"source": source, "rule": rule} for source, rule, _ in report.sources],
    }
    if with_ticket:
        data["ticket"] = report.ticket
    return data


def cure_data(report: Report) -> dict[str, Any] | None:
    """The one change that settles most findings."""
    cure = report.cure
    return {"do": cure.do, "parts": list(cure.parts), "settles": list(cure.settles)} if cure else None


def question_data(question: Question) -> dict[str, Any]:
    """One field to find out."""
    return {
        "field": line_in(question.part, question.field),
        **_place(question.span),
        "ask": question.ask,
        "settles": len(question.settles),
        "passes_if": question.passes_if,
        "depends_on": list(question.depends_on),
        "findings": list(question.settles),
    }


def assumed_data(assumed: Assumed) -> dict[str, Any]:
    """One value that nobody wrote."""
    return {
        "field": line_in(assumed.part, assumed.field) if assumed.field else assumed.part,
        "value": assumed.text,
        "basis": assumed.basis,
        "turns_into": assumed.turns_into,
        "origin": assumed.origin,
    }


def good_for_data(report: Report) -> dict[str, Any] | None:
    """What the harness bears as drawn, and what is asked of it."""
    good = report.good_for
    if good is None:
        return None
    return {
        "continuous": amount_data(good.continuous),
        "peak": amount_data(good.peak),
        "asked": amount_data(good.asked),
        "asked_peak": amount_data(good.asked_peak),
        "weakest": [{"part": part, "by": by} for part, by in good.weakest],
        "not_known": list(good.open_parts),
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding, with its figures."""
    return {
        "rule": finding.rule,
        "severity": finding.severity.word,
        "kind": finding.kind,
        "part": finding.part,
        "also": [part for part, _ in finding.also],
        **_place(finding.span),
        "message": finding.message,
        "why": finding.why,
        "do": finding.do,
        "found": amount_data(finding.found),
        "limit": amount_data(finding.limit),
        "ask": finding.ask or None,
        "passes_if": finding.passes_if or None,
        "relation": finding.relation or None,
        "field": finding.field or None,
        "packs_in": list(finding.packs_in),
        "charges": dict(finding.charges),
        "basis": list(finding.basis),
        "fingerprint": finding.fingerprint,
        "accepted": finding.accepted or None,
    }


def _part(line: PartLine) -> dict[str, Any]:
    return {
        "part": line.part,
        "worst": amount_data(line.worst),
        "back": amount_data(line.back),
        "limit": amount_data(line.limit),
        "relation": "at most",
        "margin": line.margin,
        "limited_by": line.by,
        "packs_in": list(line.packs_in),
        "charges": dict(line.charges),
    }


def amount_data(amount: Amount | None) -> dict[str, Any] | None:
    """A figure with its unit beside it."""
    if amount is None:
        return None
    data: dict[str, Any] = {"value": amount.value, "unit": amount.unit}
    return {**data, "note": amount.note} if amount.note else data


def _place(span: Span | None) -> dict[str, int | None]:
    return {"line": span.line if span else None, "column": span.column if span else None}
