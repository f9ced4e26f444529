"""The report of a check as one HTML page."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.answers.check.markdown import VERDICTS
from packyoke.answers.check.text import (
    CAUTIONS,
    counts_text,
    cure_text,
    good_for_text,
    mistakes_text,
    set_energy,
    set_range,
    tree_text,
)
from packyoke.core.findings import Finding
from packyoke.page.elements import add, add_table, new_page, written
from packyoke.verdict.report import Batch, Report


def batch_html(batch: Batch) -> str:
    """All reports of a run on one page."""
    title = batch.reports[0].name or batch.reports[0].file if len(batch.reports) == 1 else "Checked builds"
    html, main = new_page(title)
    for report in batch.reports:
        _report(main, report)
    add(main, "p", CAUTIONS)
    add(main, "p", f"packyoke {batch.tool}, rules {batch.rules}, shelf {batch.shelf}")
    return written(html)


def _report(main: ET.Element, report: Report) -> None:
    add(main, "h1", report.name or report.file)
    add(main, "p", VERDICTS[report.verdict], **{"class": "verdict"})
    if report.verdict == "unreadable":
        add(main, "pre", mistakes_text(report.file, report.findings), tabindex="0")
        return
    facts = ET.SubElement(main, "ul")
    texts = [counts_text(report), report.meanwhile]
    texts += good_for_text(report.good_for, report) if report.good_for else []
    texts += [cure_text(report)] if report.cure else []
    for text in (*texts, report.file, f"build {report.fingerprint}"):
        if text:
            add(facts, "li", text)
    if report.tree:
        add(main, "h2", "The harness (worst current, of what the part bears)")
        add(main, "pre", "\n".join(tree_text(report.tree)), tabindex="0")
    for finding in report.findings:
        _finding(main, report, finding)
    add_table(
        main,
        "To find out (nothing here has passed)",
        ["where to look", "part", "field", "what", "passes", "line"],
        [
            [q.ask, q.part, q.field, q.question, q.passes_if, str(q.span.line) if q.span else ""]
            for q in report.to_find_out
        ],
    )
    add_table(
        main,
        "Which packs are in",
        ["packs", "gives", "everyday ride", "works first", "result", "weakest"],
        [
            [
                " + ".join(s.packs),
                set_energy(s),
                set_range(s),
                s.works_first,
                "-" if s.verdict == "none-found" else s.verdict.upper(),
                f"{s.weakest} {s.worst}".strip(),
            ]
            for s in report.sets
        ],
    )
    add_table(
        main,
        "Assumed (write it in the file and that counts instead)",
        ["part", "field", "value", "basis", "turns into"],
        [[report.label(a.part), a.field, a.text, a.basis, a.turns_into] for a in report.assumed],
    )


def _finding(main: ET.Element, report: Report, finding: Finding) -> None:
    section = ET.SubElement(main, "section", {"class": f"finding {finding.severity.word}"})
    add(section, "h2", f"{finding.severity.word.upper()}  {report.label(finding.part)}: {finding.message}")
    facts = ET.SubElement(section, "dl")
    line = f", line {finding.span.line}" if finding.span else ""
    for label, text in (
        ("found", str(finding.found or "")),
        ("limit", str(finding.limit or "")),
        ("why", finding.why),
        ("do", finding.do),
        ("accepted", finding.accepted),
        ("rule", f"{finding.rule}{line}; {'; '.join(finding.basis)}"),
    ):
        if text:
            add(facts, "dt", label)
            add(facts, "dd", text)
