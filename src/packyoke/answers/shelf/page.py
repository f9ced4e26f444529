"""The page of `packyoke shelf`."""

from __future__ import annotations

from packyoke.answers.shelf.answer import Shelf
from packyoke.page import strict
from packyoke.page.page import Page, Table

SCHEMA = "packyoke/shelf/1"


def shelf_page(tables: list[Shelf], version: str) -> Page:
    blocks = [
        Table(each.name.upper(), each.heads, each.rows, "l" * len(each.heads), notes=each.notes) for each in tables
    ]
    about = "Ratings are the cautious ones. Status: read, derived, practice, memory or assumption."
    return Page(title=f"The shelf, version {version}", lead=(about,), blocks=blocks)


def shelf_json(tables: list[Shelf], version: str) -> str:
    found = {each.name: [dict(zip(each.heads, row, strict=True)) for row in each.rows] for each in tables}
    return strict.written({"schema": SCHEMA, "shelf": version, "tables": found})
