"""The check as JUnit XML, for build servers: a suite a build, a test case a finding, a passed one where none is."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.answers.check.against import Against
from packyoke.core.findings import Finding, Severity
from packyoke.verdict.report import Batch, Report


def batch_junit(batch: Batch, *, strict: bool = False, against: Against | None = None) -> str:
    """All reports of a run. What fails is what the exit status counts: with `strict` cautions that nobody accepted,
    too; against an earlier run only what is new or worse."""
    root = ET.Element("testsuites", name="packyoke")
    for report in batch.reports:
        _suite(root, report, Severity.CAUTION if strict else Severity.OPEN, against)
    for count in ("tests", "failures", "errors", "skipped"):
        root.set(count, str(sum(int(suite.get(count, "0")) for suite in root)))
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _suite(root: ET.Element, report: Report, fails_from: Severity, against: Against | None) -> None:
    findings = [each for each in report.findings if each.severity >= Severity.CAUTION]
    unreadable = report.verdict == "unreadable"
    failing = [] if unreadable else [each for each in findings if _fails(report.file, each, fails_from, against)]
    errors = findings if unreadable else []
    suite = ET.SubElement(
        root,
        "testsuite",
        name=_legal(report.file),
        tests=str(max(1, len(findings))),
        failures=str(len(failing)),
        errors=str(len(errors)),
        skipped=str(len(findings) - len(failing) - len(errors)),
    )
    for finding in findings:
        case = ET.SubElement(
            suite, "testcase", classname=_legal(report.file), name=f"{finding.rule} {_legal(finding.part)}"
        )
        if unreadable or finding in failing:
            tag = "error" if unreadable else "failure"
            failure = ET.SubElement(case, tag, type=finding.severity.word, message=_legal(finding.message))
            failure.text = _legal(_text(report.file, finding))
        else:
            told = finding.accepted or f"{finding.severity.word}: {finding.message}"
            ET.SubElement(case, "skipped", message=_legal(told))
    if not findings:
        ET.SubElement(suite, "testcase", classname=_legal(report.file), name="no fault found in what was described")


def _fails(file: str, finding: Finding, fails_from: Severity, against: Against | None) -> bool:
    there_before = against is not None and against.state(file, finding) not in ("new", "worse")
    return finding.severity >= fails_from and not finding.accepted and not there_before


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
