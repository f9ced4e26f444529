"""One line a finding, `file:line:column: severity: rule: ...`, as editors and build servers read it."""

from __future__ import annotations

from packyoke.verdict.report import Batch


def batch_lines(batch: Batch) -> str:
    """Every finding of a run that nobody accepted on a line of its own."""
    lines = []
    for report in batch.reports:
        for finding in report.findings:
            if finding.accepted:
                continue
            place = f"{finding.span.line}:{finding.span.column}" if finding.span else "1:1"
            part = "" if finding.part == "build" else f"{finding.part}: "
            figures = f" ({finding.found}, limit {finding.limit})" if finding.found and finding.limit else ""
            head = f"{report.file}:{place}: {finding.severity.word}: {finding.rule}"
            lines.append(f"{head}: {part}{finding.message}{figures}")
    return "".join(f"{line}\n" for line in lines)
