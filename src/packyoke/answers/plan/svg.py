"""The drawing of a planned harness as a file of its own."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.answers.plan.page import PlanView
from packyoke.page.wired import wiring_svg


def plan_svg(view: PlanView) -> str:
    """An SVG file."""
    svg = wiring_svg(view.drawing)
    svg.set("xmlns", "http://www.w3.org/2000/svg")
    return ET.tostring(svg, encoding="unicode") + "\n"
