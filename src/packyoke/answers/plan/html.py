"""A plan as one HTML page with its drawing, and the drawing alone."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree as ET

from packyoke.answers.plan.page import (
    BENCH_CAUTIONS,
    CUT_HEADS,
    JOINT_HEADS,
    PlanView,
    answer,
    bill_notes,
    bill_table,
    choice_lines,
    cut_rows,
    joint_rows,
    left_lines,
    setting_words,
)
from packyoke.page.drawing import harness_svg
from packyoke.page.elements import add, add_table, new_page, written


def plan_html(view: PlanView) -> str:
    """The answer, the drawing, then the lists in the order of the work."""
    html, main = new_page(f"{view.name}: plan")
    add(main, "h1", f"{view.name}: plan")
    for said in answer(view):
        add(main, "p", said)
    _lines(main, "Chosen", choice_lines(view))
    add(main, "h2", "The harness")
    main.append(harness_svg(view.drawing))
    add_table(main, "To buy or take from the shelf", *bill_table(view.plan.bill))
    for said in bill_notes(view.plan, view.valid):
        add(main, "p", said)
    add_table(main, "To cut (two conductors of this length each)", CUT_HEADS, cut_rows(view))
    add_table(main, "To join", JOINT_HEADS, joint_rows(view.plan.joints))
    add_table(
        main,
        "To set",
        ["controller", "setting", "value"],
        [[each.part, each.what, setting_words(each)] for each in view.plan.settings],
    )
    _lines(main, "To write on it", view.plan.labels)
    _lines(main, "Still found by the check", left_lines(view.plan))
    _lines(main, "Notes", view.plan.notes)
    add(main, "p", BENCH_CAUTIONS)
    return written(html)


def plan_svg(view: PlanView) -> str:
    """The drawing of the harness as a file of its own."""
    svg = harness_svg(view.drawing)
    svg.set("xmlns", "http://www.w3.org/2000/svg")
    return ET.tostring(svg, encoding="unicode") + "\n"


def _lines(main: ET.Element, title: str, lines: Iterable[str]) -> None:
    texts = [*lines]
    if texts:
        add(main, "h2", title)
        found = ET.SubElement(main, "ul")
        for text in texts:
            add(found, "li", text)
