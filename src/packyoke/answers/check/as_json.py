"""The check as JSON, schema `packyoke/check/1`: a stored contract, documented in docs/json.md."""

from __future__ import annotations

from typing import Any

from packyoke.core.field_paths import joined
from packyoke.core.findings import Amount, Finding, Span
from packyoke.page import strict
from packyoke.verdict.report import Batch, PartLine, Report

SCHEMA = "packyoke/check/1"


def batch_json(batch: Batch, *, with_ticket: bool = False, against: dict[str, Any] | None = None) -> str:
    """All reports of a run as one JSON document; against an earlier run with what became of each finding."""
    data = batch_data(batch, with_ticket=with_ticket)
    return strict.written(data if against is None else {**data, "against": against})


def batch_data(batch: Batch, *, with_ticket: bool = False) -> dict[str, Any]:
    """The same as plain dictionaries and lists."""
    return {
        "schema": SCHEMA,
        "tool": batch.tool,
        "rules": batch.rules,
        "shelf": batch.shelf,
        "rides": all(report.rides for report in batch.reports),
        **({} if batch.only is None else {"only": list(batch.only)}),
        "builds": [_report(report, with_ticket) for report in batch.reports],
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
        "good_for": _good_for(report),
        "cure": {
            "do": report.cure.do,
            "parts": list(report.cure.parts),
            "settles": list(report.cure.settles),
        }
        if report.cure
        else None,
        "findings": [_finding(each) for each in report.findings],
        "parts": [_part(each) for each in report.parts],
        "to_find_out": [
            {
                "field": joined(each.part, each.field),
                **_place(each.span),
                "ask": each.ask,
                "settles": len(each.settles),
                "passes_if": each.passes_if,
                "depends_on": list(each.depends_on),
                "findings": list(each.settles),
            }
            for each in report.to_find_out
        ],
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
        "assumed": [
            {
                "field": joined(each.part, each.field) if each.field else each.part,
                "value": each.text,
                "basis": each.basis,
                "turns_into": each.turns_into,
                "origin": each.origin,
            }
            for each in report.assumed
        ],
        "sources": [{"source": source, "rule": rule} for source, rule, _ in report.sources],
    }
    if with_ticket:
        data["ticket"] = report.ticket
    return data


def _good_for(report: Report) -> dict[str, Any] | None:
    good = report.good_for
    if good is None:
        return None
    return {
        "continuous": _amount(good.continuous),
        "peak": _amount(good.peak),
        "asked": _amount(good.asked),
        "asked_peak": _amount(good.asked_peak),
        "weakest": [{"part": part, "by": by} for part, by in good.weakest],
        "not_known": list(good.open_parts),
    }


def _finding(finding: Finding) -> dict[str, Any]:
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
        "found": _amount(finding.found),
        "limit": _amount(finding.limit),
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
        "worst": _amount(line.worst),
        "back": _amount(line.back),
        "limit": _amount(line.limit),
        "relation": "at most",
        "margin": line.margin,
        "limited_by": line.by,
        "packs_in": list(line.packs_in),
        "charges": dict(line.charges),
    }


def _amount(amount: Amount | None) -> dict[str, Any] | None:
    if amount is None:
        return None
    data: dict[str, Any] = {"value": amount.value, "unit": amount.unit}
    return {**data, "note": amount.note} if amount.note else data


def _place(span: Span | None) -> dict[str, int | None]:
    return {"line": span.line if span else None, "column": span.column if span else None}
