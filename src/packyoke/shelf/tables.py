"""Reads the catalogue's files: long tables hold one figure a row, wide ones a row of a printed table."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from packyoke.core.constants import AH_C, ZERO_C_K
from packyoke.core.sources import STATUSES, Source, Sourced

DATA = Path(__file__).parent / "data"
PROVENANCE = ("source", "locator", "status", "conditions")
# Tables keep the units they are printed in; SI value = factor x printed value + shift.
SI: Mapping[str, tuple[float, float]] = {
    "1": (1.0, 0.0),
    "A": (1.0, 0.0),
    "V": (1.0, 0.0),
    "s": (1.0, 0.0),
    "K/W": (1.0, 0.0),
    "mohm": (1e-3, 0.0),
    "mohm/m": (1e-3, 0.0),
    "mm2": (1e-6, 0.0),
    "ohm Ah": (AH_C, 0.0),
    "degC": (1.0, ZERO_C_K),
}


class BadTable(ValueError):
    """A row of the catalogue that cannot be trusted; the message names file and line."""


class Row(NamedTuple):
    """One line of a table."""

    file: str
    line: int
    cells: Mapping[str, str]
    source: Source
    locator: str
    status: str
    conditions: str

    def number(self, column: str) -> float:
        """The number in a column; refuses anything else."""
        text = self.cells[column]
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise BadTable(f"{self.file}, line {self.line}: {column} {text!r} is not a number")
        return value

    def number_or_none(self, column: str) -> float | None:
        """The number in a column, or None where the cell is blank: the source does not say."""
        return self.number(column) if self.cells[column] else None

    def flag(self, column: str) -> bool:
        """A column of yes and no."""
        text = self.cells[column]
        if text not in ("yes", "no"):
            raise BadTable(f"{self.file}, line {self.line}: {column} {text!r} is neither yes nor no")
        return text == "yes"


@cache
def sources() -> Mapping[str, Source]:
    """Every document and practice the catalogue draws on, by key."""
    found: dict[str, Source] = {}
    for line, cells in _lines(DATA / "sources.csv", ("key", "title", "status")):
        key, status = cells["key"], cells["status"]
        if status not in STATUSES:
            raise BadTable(f"sources.csv, line {line}: unknown status {status!r}")
        if not key or key in found:
            raise BadTable(f"sources.csv, line {line}: key {key!r} is blank or there twice")
        found[key] = Source(key, cells["title"], status)
    return found


def source(key: str) -> Source:
    """The source with this key; KeyError when there is none."""
    return sources()[key]


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of a table of the catalogue, checked."""
    return read(DATA / f"{table}.csv")


@cache
def read(path: Path) -> tuple[Row, ...]:
    """All rows of a file in the form of the catalogue, checked.

    Raises
        BadTable: unknown source or status, cells missing or too many.
    """
    found = []
    for line, cells in _lines(path, PROVENANCE):
        key, status = cells["source"], cells["status"]
        if key not in sources():
            raise BadTable(f"{path.name}, line {line}: unknown source {key!r}")
        if status not in STATUSES:
            raise BadTable(f"{path.name}, line {line}: unknown status {status!r}")
        if not cells["locator"]:
            raise BadTable(f"{path.name}, line {line}: no locator")
        found.append(Row(path.name, line, cells, sources()[key], cells["locator"], status, cells["conditions"]))
    return tuple(found)


@cache
def items(table: str) -> Mapping[str, Mapping[str, Sourced]]:
    """A long table as item -> property -> figure in SI units."""
    return read_items(DATA / f"{table}.csv")


@cache
def read_items(path: Path) -> Mapping[str, Mapping[str, Sourced]]:
    """A long file (item, property, value, unit and provenance) as item -> property -> figure in SI units.

    Raises
        BadTable: a value that is no number, an unknown unit, a property given twice, and all that `read` refuses.
    """
    found: dict[str, dict[str, Sourced]] = {}
    for row in read(path):
        item, name, unit = row.cells["item"], row.cells["property"], row.cells["unit"]
        if unit not in SI:
            raise BadTable(f"{path.name}, line {row.line}: unknown unit {unit!r}")
        factor, shift = SI[unit]
        figure = Sourced(factor * row.number("value") + shift, row.source, row.locator, row.status)
        if found.setdefault(item, {}).setdefault(name, figure) is not figure:
            raise BadTable(f"{path.name}, line {row.line}: {name} of {item} is there twice")
    return found


def _lines(path: Path, needed: tuple[str, ...]) -> list[tuple[int, dict[str, str]]]:
    with path.open(newline="", encoding="utf-8") as file:
        reader = csv.reader(file)
        head = next(reader, [])
        missing = [column for column in needed if column not in head]
        if missing:
            raise BadTable(f"{path.name}, line 1: no column {', '.join(missing)}")
        found = []
        for cells in reader:
            if len(cells) != len(head):
                raise BadTable(f"{path.name}, line {reader.line_num}: {len(cells)} cells, the head has {len(head)}")
            found.append((reader.line_num, dict(zip(head, cells, strict=True))))
        return found
