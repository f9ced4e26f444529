"""What is said where there is nothing to hand over, in the form that was asked for: a page stays a page."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from packyoke.page.elements import add, new_page, written

FORMS = ("text", "markdown", "html", "svg")
_LINE_PX, _LETTER_PX = 18, 8


def notice(form: str, title: str, told: str) -> str:
    """A title and a text as one file; `form` is one of FORMS."""
    if form == "html":
        html, main = new_page(title)
        add(main, "h1", title)
        add(main, "pre", told)
        return written(html)
    if form == "svg":
        return _svg(title, told)
    if form == "markdown":
        return f"# {title}\n\n" + "".join(f"    {line}".rstrip() + "\n" for line in told.splitlines())
    return told if told.startswith(title) else f"{title}\n\n{told}"


def _svg(title: str, told: str) -> str:
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
            fill="#111",
            **{"font-family": "monospace", "font-size": "13"},
        )
    return ET.tostring(svg, encoding="unicode") + "\n"
