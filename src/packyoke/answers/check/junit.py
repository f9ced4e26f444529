"""The check as JUnit XML, for build servers: a suite a build, a test case a finding, a passed one where none is."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.core.findings import Finding, Severity
from packyoke.verdict.report import Batch, Report


def batch_junit(batch: Batch) -> str:
    """All reports of a run."""
    root = ET.Element("testsuites", name="packyoke")
    for report in batch.reports:
        _suite(root, report)
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _suite(root: ET.Element, report: Report) -> None:
    findings = [each for each in report.findings if each.severity >= Severity.CAUTION]
    failing = [each for each in findings if each.severity >= Severity.OPEN]
    skipped = len(findings) - len(failing)
    suite = ET.SubElement(
        root,
        "testsuite",
        name=_legal(report.file),
        tests=str(max(1, len(findings))),
        failures=str(len(failing)),
        skipped=str(skipped),
        errors="0",
    )
    for finding in findings:
        case = ET.SubElement(
            suite, "testcase", classname=_legal(report.file), name=f"{finding.rule} {_legal(finding.part)}"
        )
        if finding.severity >= Severity.OPEN:
            failure = ET.SubElement(case, "failure", type=finding.severity.word, message=_legal(finding.message))
            failure.text = _legal(_text(report.file, finding))
        else:
            ET.SubElement(case, "skipped", message=_legal(finding.accepted or f"caution: {finding.message}"))
    if not findings:
        ET.SubElement(suite, "testcase", classname=_legal(report.file), name="no fault found in what was described")


def _text(file: str, finding: Finding) -> str:
    line = finding.span.line if finding.span else 1
    parts = [
        f"{file}:{line}",
        f"found {finding.found}" if finding.found else "",
        f"limit {finding.limit}" if finding.limit else "",
        finding.why,
        finding.do,
    ]
    return "\n".join(part for part in parts if part)


def _legal(text: str) -> str:
    """Text without the characters that XML 1.0 cannot hold."""
    return "".join(
        c if c in "\t\n" or (c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\ufffe\uffff") else "?"
        for c in text
    )
