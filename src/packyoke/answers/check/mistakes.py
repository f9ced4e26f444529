"""The mistakes of a file as text: each with its place, carets under it, and how to write it."""

from __future__ import annotations

from collections.abc import Iterable

from packyoke.core.findings import Finding
from packyoke.page.caret import caret_lines
from packyoke.page.cells import lines


def mistakes_text(file: str, findings: Iterable[Finding]) -> str:
    """Every mistake of a file, and how many there are."""
    blocks = []
    for finding in findings:
        place = f"{file}:{finding.span.line}:{finding.span.column}" if finding.span else file
        field = f"{finding.field}: " if finding.field else ""
        said = [f"{place}: {field}{finding.message}", *(f"  {line}" for line in caret_lines(finding))]
        said += lines(filter(None, (finding.why, finding.do)), 2, 2)
        blocks.append("\n".join(said))
    count = len(blocks)
    blocks.append(f"{file}: {count} mistake{'s' if count != 1 else ''}; nothing in this file was checked.")
    return "\n\n".join(blocks) + "\n"
