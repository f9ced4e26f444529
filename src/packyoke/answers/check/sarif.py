"""The check as SARIF 2.1.0, for code hosts and editors. Accepted findings go along, marked as suppressed."""

from __future__ import annotations

import os
import re
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from packyoke.answers.check.against import Against
from packyoke.core.findings import Finding, Severity, Span
from packyoke.page import strict
from packyoke.rules.pages import RulePage, page
from packyoke.verdict.report import Batch

SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"
LEVELS = {Severity.STOP: "error", Severity.OPEN: "error", Severity.CAUTION: "warning", Severity.NOTE: "note"}
BASELINE = {"new": "new", "worse": "updated", "better": "updated", "same": "unchanged"}
_SHOWN = re.compile(rb"\\(?:[\\tnr]|x[0-9a-f]{2}|u[0-9a-f]{4}|U[0-9a-f]{8})").sub
HELPED = ("What", "Why", "Limit", "Do", "Sources")


def batch_sarif(batch: Batch, against: Against | None = None) -> str:
    """All findings of a run as one SARIF log; against an earlier run with what became of each."""
    rules = sorted({finding.rule for report in batch.reports for finding in report.findings})
    results = [_result(report.file, finding, rules, against) for report in batch.reports for finding in report.findings]
    driver = {"name": "packyoke", "version": batch.tool, "rules": [_rule(rule) for rule in rules]}
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
    return strict.written({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})


def _rule(name: str) -> dict[str, Any]:
    """A rule with its page, so that an editor can show why it matters and what to do."""
    found: dict[str, Any] = {"id": name, "name": "".join(part.title() for part in name.split("-"))}
    about = page(name)
    if about is None:
        return {**found, "shortDescription": {"text": name.replace("-", " ")}}
    return {
        **found,
        "shortDescription": {"text": about.title},
        "help": {"text": _help(about, "{}"), "markdown": _help(about, "**{}**")},
    }


def _help(about: RulePage, head: str) -> str:
    found = [f"{head.format(title)}\n\n{text}" for title in HELPED if (text := about.section(title).strip())]
    return "\n\n".join([about.title, *found])


def _result(file: str, finding: Finding, rules: list[str], against: Against | None) -> dict[str, Any]:
    figures = f" Found {finding.found}, limit {finding.limit}." if finding.found and finding.limit else ""
    part = "" if finding.part == "build" else f"{finding.part}: "
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": rules.index(finding.rule),
        "level": LEVELS[finding.severity],
        "message": {"text": f"{part}{finding.message}.{figures} {finding.do}".strip()},
        "locations": [_place(file, finding.span)],
        "partialFingerprints": {"packyokeFinding/1": finding.fingerprint},
        "properties": {"severity": finding.severity.word, "kind": finding.kind},
    }
    also = [{**_place(file, span), "message": {"text": name}} for name, span in finding.also if span is not None]
    if also:
        result["relatedLocations"] = also
    if finding.accepted:
        result["suppressions"] = [{"kind": "inSource", "justification": finding.accepted}]
    if against is not None:
        result["baselineState"] = BASELINE[against.state(file, finding)]
    return result


def _place(file: str, span: Span | None) -> dict[str, Any]:
    region: dict[str, int] = {"startLine": 1}
    if span is not None:
        region = {
            "startLine": span.line,
            "startColumn": span.column,
            "endLine": span.end_line,
            "endColumn": span.end_column,
        }
    return {"physicalLocation": {"artifactLocation": {"uri": uri(file)}, "region": region}}


def uri(file: str) -> str:
    """A file, told by its name as it is shown, as a relative reference; `-` is standard input."""
    raw = os.fsencode(file)
    path = PurePath(os.fsdecode(raw if os.sep == "\\" else _SHOWN(_letter, raw)))
    return path.as_uri() if path.is_absolute() else quote(os.fsencode(path.as_posix()))


def _letter(found: re.Match[bytes]) -> bytes:
    """What of a name is shown so: `\\x1b`, a byte; `\\u202e`, a letter; a backslash, doubled."""
    letter = found[0].decode("unicode_escape")
    return letter.encode("latin-1") if found[0].startswith(rb"\x") else os.fsencode(letter)
