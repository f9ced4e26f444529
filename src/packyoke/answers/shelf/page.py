"""The page of `packyoke shelf`."""

from __future__ import annotations

import re

from packyoke.answers.shelf.answer import Shelf
from packyoke.page import strict
from packyoke.page.page import Block, Lines, Page, Table, filled

SCHEMA = "packyoke/shelf/1"


def shelf_page(tables: list[Shelf], version: str) -> Page:
    blocks: list[Block] = [
        Table(each.name.capitalize(), each.heads, each.rows, _align(each), notes=each.notes) for each in tables
    ]
    sources = dict.fromkeys(source for each in tables for source in each.sources)
    blocks += filled(Lines("Sources", tuple(f"{key}: {title}" for key, title in sources)))
    about = "Ratings are the cautious ones. Status: read, derived, practice, memory or assumption."
    return Page(title=f"The shelf, version {version}", lead=(about,), blocks=blocks)


def _align(table: Shelf) -> str:
    """Columns of bare numbers stand to the right."""
    columns = zip(*table.rows, strict=True)
    numbers = [
        all(re.fullmatch(r"-|[0-9.]+", cell) for cell in column) and any(cell != "-" for cell in column)
        for column in columns
    ]
    return "".join("r" if each else "l" for each in numbers) or "l" * len(table.heads)


def shelf_json(tables: list[Shelf], version: str) -> str:
    found = {each.name: [dict(zip(each.heads, row, strict=True)) for row in each.rows] for each in tables}
    return strict.written({"schema": SCHEMA, "shelf": version, "tables": found})
