"""The page of `packyoke find`."""

from __future__ import annotations

from collections import Counter

from packyoke.answers.find.answer import Hit
from packyoke.page import strict
from packyoke.page.page import Lines, Page, Table, filled

SCHEMA = "packyoke/find/1"


def find_page(hits: list[Hit], sought: str, read: int, unread: list[str]) -> Page:
    """The builds first, for whoever calls their owners, then every line; what was not read may hold it, too."""
    files = Counter(hit.file for hit in hits)
    builds = f"{len(files)} of {read} build{'s' if read != 1 else ''}"
    rows = tuple((f"{hit.file}:{hit.line}", hit.path, hit.text) for hit in hits)
    counts = tuple((file, str(count)) for file, count in files.items()) if len(files) > 1 else ()
    return Page(
        title=f"{sought}: in {builds}",
        lead=() if hits else ("No line of a file that was read says so.",),
        blocks=filled(
            Lines("Not read", tuple(unread), "what these files use is not known"),
            Table("Builds", ("build", "lines"), counts, "lr"),
            Table("Lines", ("file and line", "part and field", "as written"), rows, "lll"),
        ),
    )


def find_json(hits: list[Hit], sought: str, read: int, unread: list[str]) -> str:
    found = [hit._asdict() for hit in hits]
    return strict.written({"schema": SCHEMA, "sought": sought, "read": read, "unreadable": unread, "found": found})
