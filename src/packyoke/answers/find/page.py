"""The page of `packyoke find`."""

from __future__ import annotations

from packyoke.answers.find.answer import Hit
from packyoke.page import strict
from packyoke.page.page import Page, Table

SCHEMA = "packyoke/find/1"


def find_page(hits: list[Hit], sought: str, read: int) -> Page:
    files = len({hit.file for hit in hits})
    builds = f"{files} of {read} build{'s' if read != 1 else ''}"
    rows = tuple((f"{hit.file}:{hit.line}", hit.path, hit.text) for hit in hits)
    table = Table("LINES", ("file and line", "part and field", "as written"), rows, "lll")
    return Page(title=f"{sought}: in {builds}", blocks=[table] if rows else [])


def find_json(hits: list[Hit], sought: str, read: int, unread: list[str]) -> str:
    found = [hit._asdict() for hit in hits]
    return strict.written({"schema": SCHEMA, "sought": sought, "read": read, "unreadable": unread, "found": found})
