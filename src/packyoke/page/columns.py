"""Rows in columns, within the width of a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill

from tabulate import tabulate

from packyoke.page.wrapping import WIDTH

LEAST = 12
"""No column is made narrower than this by breaking what stands in it."""


def columns(rows: Sequence[Sequence[str]], align: str, heads: Sequence[str] = ()) -> list[str]:
    """Rows in columns two apart, indented by two; `align` has l or r for each.

    Where they are too wide the last column wraps, then the widest of the others; words are never broken.

    >>> columns([["keel", "97 %"], ["pannier", "8 %"]], "lr")
    ['  keel     97 %', '  pannier   8 %']
    """
    if not rows:
        return []
    sides = ["left" if each == "l" else "right" for each in align]
    table = [[*heads], *rows] if heads else rows
    wide = _widths([max(len(row[at]) for row in table) for at in range(len(align))])
    cut = [[fill(each, most, break_long_words=False) for each, most in zip(row, wide, strict=True)] for row in table]
    text = tabulate(cut, tablefmt="plain", colalign=sides, disable_numparse=True)
    return [f"  {line}".rstrip() for line in text.splitlines()]


def _widths(wide: list[int]) -> list[int]:
    """The widths of the columns, narrowed until they fit a terminal or none may be narrowed further."""
    *others, last = wide
    spare = WIDTH - sum(each + 2 for each in others) - 2
    wide = [*others, max(min(last, LEAST), min(last, spare))]
    while sum(each + 2 for each in wide) > WIDTH and max(wide) > LEAST:
        at = wide.index(max(wide))
        wide[at] -= 1
    return [max(each, 1) for each in wide]
