"""Sentences under a heading, as pages, texts and tickets for a customer write them."""

from __future__ import annotations

from typing import NamedTuple
from xml.etree import ElementTree as ET

from packyoke.page.html import add


class SheetBlock(NamedTuple):
    """Some sentences under a heading."""

    title: str
    lines: tuple[str, ...]


def add_block(parent: ET.Element, block: SheetBlock, kind: str = "") -> ET.Element:
    """A block as a section: a heading and a list."""
    section = ET.SubElement(parent, "section", {"class": kind} if kind else {})
    add(section, "h2", block.title)
    lines = ET.SubElement(section, "ul")
    for line in block.lines:
        add(lines, "li", line)
    return section
