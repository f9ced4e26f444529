"""The report as Markdown, for a ticket or a page: the same content as the text, in tables."""

from __future__ import annotations

import re

from tabulate import tabulate

from packyoke.answers.check.text import (
    CAUTIONS,
    counts_text,
    cure_text,
    good_for_text,
    report_text,
    set_energy,
    set_range,
)
from packyoke.core.findings import Finding
from packyoke.verdict.report import Batch, Report

VERDICTS = {
    "stop": "STOP",
    "open": "OPEN",
    "caution": "CAUTION",
    "none-found": "no fault found in what was described",
    "unreadable": "cannot be read",
}


def batch_markdown(batch: Batch) -> str:
    """All reports of a run."""
    return "\n".join(report_markdown(report) for report in batch.reports)


def cell(text: str) -> str:
    """Text that stays text inside a Markdown table or line, whatever somebody called their bike."""
    safe = text.replace("\\", "\\\\").replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    for mark in "|*_`[]#":
        safe = safe.replace(mark, "\\" + mark)
    return " ".join(safe.split())


def table(heads: list[str], rows: list[list[str]]) -> list[str]:
    """A table; the cells are escaped here and nowhere else. Nobody reads the padding, so it goes."""
    if not rows:
        return []
    made = tabulate([[cell(each) for each in row] for row in rows], heads, "github", disable_numparse=True)
    first, _, *rest = (re.sub(r" {2,}", " ", line) for line in made.splitlines())
    return [first, "|" + "---|" * len(heads), *rest, ""]


def report_markdown(report: Report) -> str:
    """One build."""
    lines = [f"# {cell(report.name or report.file)}", "", f"**{VERDICTS[report.verdict]}**", ""]
    if report.verdict == "unreadable":
        fence = ["```", report_text(report).replace("```", "'''").rstrip(), "```", ""]
        return "\n".join([*lines, *fence])
    facts = [counts_text(report), report.meanwhile]
    if report.good_for is not None:
        facts += good_for_text(report.good_for, report)
    if report.cure is not None:
        facts.append(cure_text(report))
    lines += [*(f"- {cell(fact)}" for fact in facts if fact), f"- {cell(report.file)}", ""]
    for finding in report.findings:
        lines += _finding(report, finding)
    if report.to_find_out:
        lines += ["## To find out", ""]
        rows = [
            [each.ask, each.part, each.field, each.question, each.passes_if, str(each.span.line) if each.span else ""]
            for each in report.to_find_out
        ]
        lines += table(["where to look", "part", "field", "what", "passes", "line"], rows)
    lines += ["## The harness", ""]
    rows = [
        [report.label(each.part), str(each.worst), str(each.limit), each.by, f"{100 * each.margin:.0f} %"]
        for each in report.parts
    ]
    lines += table(["part", "worst", "bears", "by", "left"], rows)
    if report.sets:
        lines += ["## Which packs are in", ""]
        rows = [
            [
                " + ".join(each.packs),
                set_energy(each),
                set_range(each),
                each.works_first,
                "-" if each.verdict == "none-found" else each.verdict,
                f"{each.weakest} {each.worst}".strip(),
            ]
            for each in report.sets
        ]
        lines += table(["packs", "gives", "everyday ride", "works first", "result", "weakest"], rows)
    if report.assumed:
        lines += ["## Assumed", ""]
        rows = [
            [report.label(each.part), each.field, each.text, each.basis, each.turns_into] for each in report.assumed
        ]
        lines += table(["part", "field", "value", "basis", "turns into"], rows)
    return "\n".join([*lines, CAUTIONS, ""])


def _finding(report: Report, finding: Finding) -> list[str]:
    head = f"## {finding.severity.word.upper()}: {cell(report.label(finding.part))}: {cell(finding.message)}"
    line = f", line {finding.span.line}" if finding.span else ""
    facts = (
        ("found", str(finding.found or "")),
        ("limit", str(finding.limit or "")),
        ("why", finding.why),
        ("do", finding.do),
        ("accepted", finding.accepted),
        ("rule", f"{finding.rule}{line}; {'; '.join(finding.basis)}"),
    )
    return [head, "", *(f"- {label}: {cell(text)}" for label, text in facts if text), ""]
