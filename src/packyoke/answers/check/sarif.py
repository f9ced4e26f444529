"""The check as SARIF 2.1.0, for code hosts and editors. Accepted findings go along, marked as suppressed."""

from __future__ import annotations

from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from packyoke.core.findings import Finding, Severity
from packyoke.page import strict
from packyoke.verdict.report import Batch

SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"
LEVELS = {Severity.STOP: "error", Severity.OPEN: "error", Severity.CAUTION: "warning", Severity.NOTE: "note"}


def batch_sarif(batch: Batch) -> str:
    """All findings of a run as one SARIF log."""
    rules = sorted({finding.rule for report in batch.reports for finding in report.findings})
    results = [_result(report.file, finding, rules) for report in batch.reports for finding in report.findings]
    driver = {
        "name": "packyoke",
        "version": batch.tool,
        "rules": [{"id": rule, "shortDescription": {"text": rule.replace("-", " ")}} for rule in rules],
    }
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
    return strict.written({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})


def _result(file: str, finding: Finding, rules: list[str]) -> dict[str, Any]:
    region: dict[str, int] = {"startLine": 1}
    if finding.span is not None:
        region = {"startLine": finding.span.line, "startColumn": finding.span.column}
    figures = f" Found {finding.found}, limit {finding.limit}." if finding.found and finding.limit else ""
    part = "" if finding.part == "build" else f"{finding.part}: "
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": rules.index(finding.rule),
        "level": LEVELS[finding.severity],
        "message": {"text": f"{part}{finding.message}.{figures} {finding.do}".strip()},
        "locations": [{"physicalLocation": {"artifactLocation": {"uri": uri(file)}, "region": region}}],
        "partialFingerprints": {"packyokeFinding/1": finding.fingerprint},
        "properties": {"severity": finding.severity.word, "kind": finding.kind},
    }
    if finding.accepted:
        result["suppressions"] = [{"kind": "inSource", "justification": finding.accepted}]
    return result


def uri(file: str) -> str:
    """A file name as a relative reference; `-` is standard input."""
    path = PurePath(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())
