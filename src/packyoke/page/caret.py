"""The source line of a finding with the carets under the place that it is about."""

from __future__ import annotations

from unicodedata import combining, east_asian_width

from packyoke.core.findings import Finding, seen

_COLUMNS = 76
_LEFT = 20  # columns kept before the place in a line that is cut


def _width(text: str) -> int:
    return sum(0 if combining(c) else 2 if east_asian_width(c) in "WF" else 1 for c in text)


def caret_lines(finding: Finding) -> list[str]:
    """The source line of a finding, cut to 76 columns round the place, and the line with the carets; or nothing."""
    span, line = finding.span, finding.excerpt
    if span is None or not line.strip():
        return []
    start = min(span.column - 1, len(line))
    end = min(span.end_column - 1, len(line)) if span.end_line == span.line else len(line)
    left, before, after = 0, "", ""
    if len(line) > _COLUMNS or _width(line) > _COLUMNS:
        left = max(0, start - _LEFT)
        before = "..." if left else ""
        right, room = left, _COLUMNS - 2 * 3
        while right < len(line) and (room := room - _width(line[right])) >= 0:
            right += 1
        after = "..." if right < len(line) else ""
        line = line[left:right]
    shown = "".join(map(seen, line))
    carets = _width(shown[start - left : end - left]) or 1
    return [before + shown.rstrip() + after, " " * (len(before) + _width(shown[: start - left])) + "^" * carets]
