"""Lines in public documents by region. They inform; the document and the authority decide."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.core.sources import Source
from packyoke.shelf.tables import Row, rows

REGIONS = ("EU", "GB", "US", "US-NY", "CA", "AU", "NZ", "other")
DEFERS = "The document itself and the local authority decide."
NOTHING_ON_FILE = "No document of this region is on file: ask the local authority."


class LawLine(NamedTuple):
    """One line in our own words; `source` is None when no document is on file."""

    text: str
    source: Source | None
    locator: str
    status: str


def law_lines(region: str) -> tuple[LawLine, ...]:
    """Lines of a region, those of the country before those of its part; never empty.

    >>> law_lines("NZ")[0].source is None
    True
    """
    found = tuple(
        LawLine(f"{row.cells['text']} {DEFERS}", row.source, row.locator, row.status) for row in _rows(region)
    )
    return found or (LawLine(NOTHING_ON_FILE, None, "", "assumption"),)


def assist_limit_m_s(region: str) -> float | None:
    """Road speed above which the motor no longer helps by the region's documents [m/s]; None when none is on file."""
    limits = [row.number_or_none("assist_km_h") for row in _rows(region)]
    return next((limit / 3.6 for limit in limits if limit is not None), None)


def _rows(region: str) -> list[Row]:
    if region not in REGIONS:
        raise ValueError(f"unknown region {region!r}; known: {', '.join(REGIONS)}")
    return [
        row for row in rows("regions") if region == row.cells["region"] or region.startswith(row.cells["region"] + "-")
    ]
