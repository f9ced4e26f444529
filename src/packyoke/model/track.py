"""A recorded way: what a GPX file tells of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class TrackPoint(NamedTuple):
    """A place on the way. `time_s` counts from 1970 in UTC; `line` is where it stands in the file."""

    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    time_s: float | None
    line: int


@dataclass(frozen=True, slots=True)
class Track:
    """Stretches that were recorded without a break, in the order of the file; between two of them nothing is known."""

    segments: tuple[tuple[TrackPoint, ...], ...]
    name: str
    file: str
