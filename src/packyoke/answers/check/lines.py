"""One line a finding, `file:line:column: severity: rule: ...`, as editors and build servers read it."""

from __future__ import annotations

import re

from packyoke.core.findings import Finding
from packyoke.verdict.report import Batch, Report

KEYS = (
    *("file", "line", "column", "end_line", "end_column", "severity", "rule", "part", "message", "found", "limit"),
    *("do", "fingerprint"),
)
"""What a template may name in braces."""


class BadTemplate(Exception):
    """A template names something that a finding has not; the text says what."""


def batch_lines(batch: Batch, template: str = "") -> str:
    """Every finding of a run that nobody accepted on a line of its own.

    :param template: `{file}:{line}: {message}`, with the names in KEYS; empty for our own form
    Raises BadTemplate.
    """
    return "".join(build_lines(report, template) for report in batch.reports)


def build_lines(report: Report, template: str = "") -> str:
    """The same of one report."""
    lines = []
    for finding in report.findings:
        if finding.accepted:
            continue
        if template:
            lines.append(" ".join(_filled(template, report.file, finding).splitlines()))
            continue
        place = f"{finding.span.line}:{finding.span.column}" if finding.span else "1:1"
        part = "" if finding.part == "build" else f"{finding.part}: "
        figures = f" ({finding.found}, limit {finding.limit})" if finding.found and finding.limit else ""
        head = f"{report.file}:{place}: {finding.severity.word}: {finding.rule}"
        lines.append(f"{head}: {part}{finding.message}{figures}")
    return "".join(f"{line}\n" for line in lines)


def checked_template(template: str) -> str:
    """The template. Raises BadTemplate for a name in braces that is not in KEYS."""
    for name in re.findall(r"\{([^{}]*)\}", template):
        if name not in KEYS:
            raise BadTemplate(f"{{{name}}} is not known; known: {', '.join(f'{{{key}}}' for key in KEYS)}")
    return template


def _filled(template: str, file: str, finding: Finding) -> str:
    """Names in braces replaced, in one pass: what a message holds is never taken for a name."""
    span = finding.span
    values = {
        "file": file,
        "line": span.line if span else 1,
        "column": span.column if span else 1,
        "end_line": span.end_line if span else 1,
        "end_column": span.end_column if span else 1,
        "severity": finding.severity.word,
        "rule": finding.rule,
        "part": finding.part,
        "message": finding.message,
        "found": finding.found or "",
        "limit": finding.limit or "",
        "do": finding.do,
        "fingerprint": finding.fingerprint,
    }
    return re.sub(r"\{([^{}]*)\}", lambda found: str(values[found[1]]), template)
