"""The harness on a page: as a tree with what each part carries and bears, and as a wiring diagram."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from packyoke.answers.in_units import in_units
from packyoke.page.cells import WIDTH, cells, wrapped
from packyoke.page.page import Figure
from packyoke.verdict.report import Report, TreeLine

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

ABOVE = 1e-9


def harness_of(report: Report, *, drawn: bool = False, system: str = "metric") -> Figure:
    """The harness of a report; `drawn`: with its wiring diagram, for pages that can show one."""
    tree = in_units(report.tree, system, report.build)
    if not drawn:
        return harness_figure(tree)
    # Imported where it is wanted: a screen of text needs no drawing.
    from packyoke.answers.drawn import of_report

    return harness_figure(tree, of_report(report, system))


def harness_figure(tree: Iterable[TreeLine], drawings: tuple[ET.Element, ...] = ()) -> Figure:
    """The tree of a harness, parts over their limit with a mark."""
    drawn: list[str] = []
    marked: set[int] = set()
    lines = [*tree]
    for line in lines:
        over = line.margin is not None and line.margin < -ABOVE
        if over:
            marked.add(len(drawn))
        drawn += tree_line(line, over)
    words = "; ".join(f"{line.name} {line.worst}".strip() for line in lines)
    about = "highest current / rating; ! is over a limit" if marked else "highest current / rating"
    return Figure("The harness", tuple(drawn), words, about, drawings, frozenset(marked))


def tree_line(line: TreeLine, over: bool) -> list[str]:
    """One part of the tree, on as many lines as its name takes."""
    first = "! " if over else "  "
    stem = "".join("   " if last else "|  " for last in line.last[:-1])
    branch = ("`- " if line.last[-1] else "|- ") if line.last else ""
    under = stem + ("   " if not line.last or line.last[-1] else "|  ")
    room = WIDTH - len(stem) - 5 - (len(line.worst) + 1 if line.worst else 0)
    name, *rest = wrapped(f"{line.name}  {line.about}" if line.about else line.name, most=max(room, 20))
    left = f"{first}{stem}{branch}{name}"
    gap = " " * max(1, WIDTH - cells(left) - len(line.worst))
    return [f"{left}{gap}{line.worst}".rstrip(), *(f"  {under}{more}" for more in rest)]
