"""What pages and drawings share: an element with a text, and a region that scrolls."""

from __future__ import annotations

from xml.etree import ElementTree as ET


def add(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    """An element with a text, whatever the text holds; control characters become question marks."""
    element = ET.SubElement(parent, tag, attributes)
    element.text = "".join(c if c >= " " or c in "\n\t" else "?" for c in text)
    return element


def add_scroll(parent: ET.Element, name: str) -> ET.Element:
    """A region of its own that scrolls sideways where a telephone is narrower than what stands in it."""
    # The writer of HTML leaves this sign in attributes as it is: harmless, but nobody should have to think about it.
    about = {"class": "scroll", "role": "region", "aria-label": name.replace("<", "\u2039"), "tabindex": "0"}
    return ET.SubElement(parent, "div", about)
