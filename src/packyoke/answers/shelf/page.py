"""The page of `packyoke shelf`."""

from __future__ import annotations

import re

from packyoke.answers.shelf.answer import Shelf
from packyoke.core.constants import HOUR_S
from packyoke.core.findings import shown
from packyoke.page import strict
from packyoke.page.page import Block, Lines, Page, Table, filled

SCHEMA = "packyoke/shelf/1"
FIGURES = ("value", "low", "likely", "high")
FOOT_M, MILE_M, POUND_KG = 0.3048, 1609.344, 0.45359237
US: dict[str, tuple[str, float, float]] = {
    "degC": ("degF", 1.8, 32.0),
    "kg": ("lb", 1 / POUND_KG, 0.0),
    "km/h": ("mph", 1000 / MILE_M, 0.0),
    "m/s": ("mph", HOUR_S / MILE_M, 0.0),
    "m/km": ("ft/mi", MILE_M / 1000 / FOOT_M, 0.0),
    "1/km": ("1/mi", MILE_M / 1000, 0.0),
    "m2": ("ft2", FOOT_M**-2, 0.0),
    "mohm/m": ("mohm/ft", FOOT_M, 0.0),
    "K/W": ("degF/W", 1.8, 0.0),
}
"""Units of the shelf: their names in the US, the factor, and what is added (exact: NIST SP 811, appendix B)."""


def shelf_page(tables: list[Shelf], version: str, system: str = "metric") -> Page:
    """The tables. A figure has its unit in the cell beside it: into US units it is put here, cell by cell."""
    if system == "us":
        tables = [each._replace(rows=tuple(_us(row, each.heads) for row in each.rows)) for each in tables]
    blocks: list[Block] = [
        Table(each.name.capitalize(), each.heads, each.rows, _align(each), notes=each.notes) for each in tables
    ]
    sources = dict.fromkeys(source for each in tables for source in each.sources)
    blocks += filled(Lines("Sources", tuple(f"{key}: {title}" for key, title in sources)))
    about = "Ratings are the cautious ones. Status: read, derived, practice, memory or assumption."
    return Page(title=f"The shelf, version {version}", lead=(about,), blocks=blocks)


def _us(row: tuple[str, ...], heads: tuple[str, ...]) -> tuple[str, ...]:
    """A row with its figures in US units."""
    if "unit" not in heads or (unit := row[heads.index("unit")]) not in US:
        return row
    name, factor, added = US[unit]
    return tuple(
        name
        if head == "unit"
        else shown(float(cell) * factor + added)
        if head in FIGURES and re.fullmatch(r"-?[0-9.]+", cell)
        else cell
        for head, cell in zip(heads, row, strict=True)
    )


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
