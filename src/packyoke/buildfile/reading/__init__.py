"""From the text of a build file to the model, or to everything that is wrong with it."""

from __future__ import annotations

from packyoke.buildfile.reading.build import read_build
from packyoke.buildfile.reading.document import Document, parse
from packyoke.buildfile.reading.looks import is_build, is_foreign, is_shop
from packyoke.buildfile.reading.shop import Shop, read_shop
from packyoke.core.findings import Finding
from packyoke.model import Build

__all__ = [
    "Document",
    "Shop",
    "is_build",
    "is_foreign",
    "is_shop",
    "load",
    "load_shop",
    "parse",
    "read_build",
    "read_shop",
]


def load(text: bytes | str, file: str, shop: Shop | None = None, today: str | None = None) -> Build | list[Finding]:
    """The build in the text of a file, or all mistakes that could be told.

    :param text: content of the file
    :param file: its name, as findings print it
    :param shop: defaults and shelf of the workshop
    :param today: ISO 8601 day against which the dates of acceptances are checked
    """
    document = parse(text, file)
    return read_build(document, shop=shop, today=today) if isinstance(document, Document) else document


def load_shop(text: bytes | str, file: str) -> Shop | list[Finding]:
    """The shop file in a text, or all mistakes that could be told."""
    document = parse(text, file)
    return read_shop(document) if isinstance(document, Document) else document
