"""What every HTML page of ours shares: one file, no scripts, nothing from outside, readable without colour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

STYLE = """
body { font: 16px/1.45 system-ui, sans-serif; color: #111; background: #fff; max-width: 60rem; margin: 1.5rem auto;
  padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; break-after: avoid; }
.verdict { font-weight: 700; font-size: 1.15rem; border: 2px solid #111; display: inline-block; padding: .1rem .6rem; }
section.finding { border-left: 5px solid #111; padding: .1rem 0 .1rem .8rem; margin: 1rem 0; }
section.caution { border-left-style: dashed; } section.note { border-left-width: 1px; }
section.open { border-left-style: double; }
dl { display: grid; grid-template-columns: 5rem 1fr; margin: .3rem 0; } dt { color: #444; } dd { margin: 0; }
table { border-collapse: collapse; width: 100%; } th, td { border: 1px solid #777; padding: .2rem .5rem;
  text-align: left; vertical-align: top; } pre { overflow-x: auto; background: #f4f4f4; padding: .6rem; }
svg { max-width: 100%; height: auto; }
@media print { body { font-size: 11px; margin: 0; max-width: none; } section.finding, tr, svg { break-inside: avoid; } }
"""


def new_page(title: str, style: str = STYLE) -> tuple[ET.Element, ET.Element]:
    """An empty page and its main element, to be filled."""
    html = ET.Element("html", lang="en")
    head = ET.SubElement(html, "head")
    ET.SubElement(head, "meta", charset="utf-8")
    ET.SubElement(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    add(head, "title", title)
    add(head, "style", style)
    return html, ET.SubElement(ET.SubElement(html, "body"), "main")


def written(html: ET.Element) -> str:
    """The page as text."""
    return "<!DOCTYPE html>\n" + ET.tostring(html, encoding="unicode", method="html") + "\n"


def add(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    """An element with a text, whatever the text holds; control characters become question marks."""
    element = ET.SubElement(parent, tag, attributes)
    element.text = "".join(c if c >= " " or c in "\n\t" else "?" for c in text)
    return element


def add_scroll(parent: ET.Element, name: str) -> ET.Element:
    """A region of its own that scrolls sideways where a telephone is narrower than what stands in it."""
    about = {"class": "scroll", "role": "region", "aria-label": name, "tabindex": "0"}
    return ET.SubElement(parent, "div", about)


def add_table(parent: ET.Element, title: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """A heading and its table; neither where there are no rows."""
    rows = [*rows]
    if not rows:
        return
    add(parent, "h2", title)
    table = ET.SubElement(parent, "table")
    line = ET.SubElement(ET.SubElement(table, "thead"), "tr")
    for head in heads:
        add(line, "th", head, scope="col")
    body = ET.SubElement(table, "tbody")
    for row in rows:
        line = ET.SubElement(body, "tr")
        for each in row:
            add(line, "td", each)
