"""What is said where there is no drawing to hand over: a drawing of words, so that an SVG file stays one."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.page.elements import add
from packyoke.page.page import Page
from packyoke.page.text import page_text

_LINE_PX, _LETTER_PX = 18, 8


def svg_notice(page: Page) -> str:
    """The words of a page as an SVG file."""
    title, told = page.title, page_text(page)
    lines = [title, "", *told.splitlines()]
    width, height = _LETTER_PX * max(map(len, lines)) + 20, _LINE_PX * (len(lines) + 1)
    svg = ET.Element("svg", xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {width} {height}", role="img")
    add(svg, "title", title)
    ET.SubElement(svg, "rect", width=str(width), height=str(height), fill="#fff")
    for at, line in enumerate(lines, 1):
        add(
            svg,
            "text",
            line.replace(" ", "\u00a0"),
            x="10",
            y=str(_LINE_PX * at),
            fill="#000",
            **{"font-family": "monospace", "font-size": "13"},
        )
    return ET.tostring(svg, encoding="unicode") + "\n"
