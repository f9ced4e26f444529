"""Lines in public documents by region. They inform; the document and the authority decide."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.core.constants import KM_H
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

    >>> law_lines("other")[0].source is None
    True
    """
    found = tuple(
        LawLine(f"{row.cells['text']} {DEFERS}", row.source, row.locator, row.status) for row in _rows(region)
    )
    return found or (LawLine(NOTHING_ON_FILE, None, "", "assumption"),)


class Figures(NamedTuple):
    """The figures of a region's documents that a bike can be held against; None where they have none.

    `most_w` is allowed, `below_w` is not reached; `assist_m_s` holds for the motor, `pedal_m_s` for help to one
    who pedals; `pedal_only`: the motor runs only while the rider pedals.
    """

    most_w: float | None
    below_w: float | None
    assist_m_s: float | None
    pedal_m_s: float | None
    pedal_only: bool


def figures(region: str) -> Figures:
    """The figures of a region's documents.

    >>> figures("EU").most_w, figures("US-NY").most_w
    (250.0, None)
    """
    found = _rows(region)

    def first(column: str) -> float | None:
        return next((value for row in found if (value := row.number_or_none(column)) is not None), None)

    assist, pedal = first("assist_km_h"), first("pedal_km_h")
    assist_m_s = assist * KM_H if assist is not None else None
    return Figures(
        first("most_w"),
        first("below_w"),
        assist_m_s,
        pedal * KM_H if pedal is not None else assist_m_s,
        any(row.flag("pedal_only") for row in found),
    )


def assist_limit_m_s(region: str) -> float | None:
    """Road speed above which the motor no longer helps by the region's documents [m/s]; None when none is on file."""
    return figures(region).assist_m_s


def _rows(region: str) -> list[Row]:
    if region not in REGIONS:
        raise ValueError(f"unknown region {region!r}; known: {', '.join(REGIONS)}")
    return [
        row for row in rows("regions") if region == row.cells["region"] or region.startswith(row.cells["region"] + "-")
    ]
