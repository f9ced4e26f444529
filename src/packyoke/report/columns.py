"""Rows in columns, within the width of a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill

from tabulate import tabulate

from packyoke.report.wrapping import WIDTH

LEAST = 12
"""The last column gets at least this, though the line then is too long."""


def columns(rows: Sequence[Sequence[str]], align: str, heads: Sequence[str] = ()) -> list[str]:
    """Rows in columns two apart, indented by two; `align` has l or r for each. The last column wraps where it must.

    >>> columns([["keel", "97 %"], ["pannier", "8 %"]], "lr")
    ['  keel     97 %', '  pannier   8 %']
    """
    if not rows:
        return []
    sides = ["left" if each == "l" else "right" for each in align]
    table = [[*heads], *rows] if heads else rows
    others = sum(max(len(row[at]) for row in table) + 2 for at in range(len(align) - 1))
    cut = [[*row[:-1], fill(row[-1], max(LEAST, WIDTH - 2 - others))] for row in table]
    text = tabulate(cut, tablefmt="plain", colalign=sides, disable_numparse=True)
    return [f"  {line}".rstrip() for line in text.splitlines()]
