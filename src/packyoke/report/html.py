"""The report as one HTML page: no scripts, nothing from outside, readable without colour."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.findings import Finding
from packyoke.report.markdown import VERDICTS
from packyoke.report.report import Batch, Report
from packyoke.report.text import CAUTIONS, counts_text, cure_text, good_for_text, mistakes_text, tree_text

STYLE = """
body { font: 16px/1.45 system-ui, sans-serif; color: #111; background: #fff; max-width: 60rem; margin: 1.5rem auto;
  padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; }
.verdict { font-weight: 700; font-size: 1.15rem; border: 2px solid #111; display: inline-block; padding: .1rem .6rem; }
section.finding { border-left: 5px solid #111; padding: .1rem 0 .1rem .8rem; margin: 1rem 0; }
section.caution { border-left-style: dashed; } section.note { border-left-width: 1px; }
section.open { border-left-style: double; }
dl { display: grid; grid-template-columns: 5rem 1fr; margin: .3rem 0; } dt { color: #444; } dd { margin: 0; }
table { border-collapse: collapse; width: 100%; } th, td { border: 1px solid #777; padding: .2rem .5rem;
  text-align: left; vertical-align: top; } pre { overflow-x: auto; background: #f4f4f4; padding: .6rem; }
@media print { body { font-size: 11px; margin: 0; max-width: none; } section.finding, tr { break-inside: avoid; } }
"""


def batch_html(batch: Batch) -> str:
    """All reports of a run on one page."""
    html = ET.Element("html", lang="en")
    head = ET.SubElement(html, "head")
    ET.SubElement(head, "meta", charset="utf-8")
    ET.SubElement(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    title = batch.reports[0].name or batch.reports[0].file if len(batch.reports) == 1 else "Checked builds"
    _text(head, "title", title)
    _text(head, "style", STYLE)
    main = ET.SubElement(ET.SubElement(html, "body"), "main")
    for report in batch.reports:
        _report(main, report)
    _text(main, "p", CAUTIONS)
    _text(main, "p", f"packyoke {batch.tool}, rules {batch.rules}, shelf {batch.shelf}")
    return "<!DOCTYPE html>\n" + ET.tostring(html, encoding="unicode", method="html") + "\n"


def _text(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    element = ET.SubElement(parent, tag, attributes)
    element.text = "".join(c if c >= " " or c in "\n\t" else "?" for c in text)
    return element


def _report(main: ET.Element, report: Report) -> None:
    _text(main, "h1", report.name or report.file)
    _text(main, "p", VERDICTS[report.verdict], **{"class": "verdict"})
    if report.verdict == "unreadable":
        _text(main, "pre", mistakes_text(report.file, report.findings))
        return
    facts = ET.SubElement(main, "ul")
    texts = [counts_text(report), report.meanwhile]
    texts += good_for_text(report.good_for, report) if report.good_for else []
    texts += [cure_text(report)] if report.cure else []
    for text in (*texts, report.file, f"build {report.fingerprint}"):
        if text:
            _text(facts, "li", text)
    if report.tree:
        _text(main, "h2", "The harness (worst current, of what the part bears)")
        _text(main, "pre", "\n".join(tree_text(report.tree)))
    for finding in report.findings:
        _finding(main, report, finding)
    _table(
        main, "To find out (nothing here has passed)", ["where to look", "part", "field", "what", "passes", "line"],
        [[q.ask, q.part, q.field, q.question, q.passes_if, str(q.span.line) if q.span else ""]
         for q in report.to_find_out],
    )  # fmt: skip
    _table(
        main, "Which packs are in", ["packs", "label", "works first", "result", "weakest"],
        [[" + ".join(s.packs), f"{s.label_wh:.0f} Wh" if s.label_wh is not None else "?", s.works_first,
          "-" if s.verdict == "none-found" else s.verdict.upper(), f"{s.weakest} {s.worst}".strip()]
         for s in report.sets],
    )  # fmt: skip
    _table(
        main, "Assumed (write it in the file and that counts instead)",
        ["part", "field", "value", "basis", "turns into"],
        [[report.label(a.part), a.field, a.text, a.basis, a.turns_into] for a in report.assumed],
    )  # fmt: skip


def _finding(main: ET.Element, report: Report, finding: Finding) -> None:
    section = ET.SubElement(main, "section", {"class": f"finding {finding.severity.word}"})
    _text(section, "h2", f"{finding.severity.word.upper()}  {report.label(finding.part)}: {finding.message}")
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
            _text(facts, "dt", label)
            _text(facts, "dd", text)


def _table(main: ET.Element, title: str, heads: list[str], rows: list[list[str]]) -> None:
    if not rows:
        return
    _text(main, "h2", title)
    table = ET.SubElement(main, "table")
    line = ET.SubElement(ET.SubElement(table, "thead"), "tr")
    for head in heads:
        _text(line, "th", head, scope="col")
    body = ET.SubElement(table, "tbody")
    for row in rows:
        line = ET.SubElement(body, "tr")
        for each in row:
            _text(line, "td", each)
