"""A track as a way to ride: pieces with their grade, distance and climb, and what of it is not known."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise
from math import inf
from typing import NamedTuple

from packyoke.model.track import Track, TrackPoint
from packyoke.physics.track import between_m, climb_m, ellipsoid_distance_m, smoothed_m

PIECE_M = 50.0
REACH_COUNT = 1
"""Heights are smoothed over three of them, 150 m: raw ones overstate the climb by 45 to 160 %."""
SWING_M = 5.0
"""Rises smaller than this do not count as climb."""
MOST_BETWEEN_M = 200.0
"""Heights are taken to lie on a straight line between two that are known and no further apart than this."""
MOST_STRAIGHT_M = 2_000.0
"""Of a way between two points that follow one another but lie further apart nobody knows the hills: judgement."""
MOVING_M_S = 0.5
STEEPEST_FRACTION = 0.30
"""Hardly any street is steeper (the steepest are about 35 %): more than this is a mistake of the heights."""


class Piece(NamedTuple):
    """A stretch of one grade. `from_m` counts along the way; a grade of None is not known."""

    from_m: float
    length_m: float
    grade_fraction: float | None


@dataclass(frozen=True, slots=True)
class Route:
    """A way in pieces of about 50 m, and what it comes to.

    Distances are those on a map; the road is longer by half the grade squared, 0.5 % at 10 %. Climb and descent are
    None unless the heights of the whole way are known. `raw_climb_m` counts every rise in the file, noise and all.
    `between_m`: straight lines from the end of each segment to the start of the next, which count nowhere.
    `recorded_s`, `moving_s`: None unless every point has its time. `doubtful_m`: steeper than any road.
    """

    name: str
    file: str
    segment_count: int
    pieces: tuple[Piece, ...]
    distance_m: float
    climb_m: float | None
    descent_m: float | None
    raw_climb_m: float | None
    without_elevation_fraction: float
    doubtful_m: float
    between_m: float
    recorded_s: float | None
    moving_s: float | None


def route_of(track: Track) -> Route:
    """The way of a track, its segments one after the other and nothing between them.

    Parameters
        track: points in the order of the way [deg], [m], [s]
    Returns
        pieces, distance, climb and what is not known [m], [s]
    Valid
        each segment is cut into equal pieces as near to 50 m as can be; one in which every height is exactly 0 has none
        (planners write that where they know none)
    """
    pieces: list[Piece] = []
    climbs_m, raw_ups_m = [], []
    start_m = 0.0
    apart_m = [[_apart_m(a, b) for a, b in pairwise(points)] for points in track.segments]
    for points, steps_m in zip(track.segments, apart_m, strict=True):
        at_m = [0.0, *accumulate(steps_m)]
        count = max(1, round(at_m[-1] / PIECE_M))
        step_m = at_m[-1] / count
        if step_m == 0.0:
            continue
        heights_m = _smoothed(_heights_m(points, at_m, [step_m * n for n in range(count + 1)]))
        for before_m, after_m in pairwise(heights_m):
            grade = None if before_m is None or after_m is None else (after_m - before_m) / step_m
            pieces.append(Piece(start_m, step_m, grade))
            start_m += step_m
        climbs_m.append(_climbs_m(heights_m, SWING_M))
        raw_ups_m.append(_climbs_m([point.elevation_m for point in points], 0.0)[0])
    unknown_m = sum(piece.length_m for piece in pieces if piece.grade_fraction is None)
    # What is not known of a part is not known of the whole.
    ups_m, downs_m = zip(*climbs_m, strict=True) if pieces and not unknown_m else (None, None)
    recorded_s, moving_s = _times_s(track.segments, apart_m)
    return Route(
        track.name,
        track.file,
        len(track.segments),
        tuple(pieces),
        start_m,
        sum(ups_m) if ups_m else None,
        sum(downs_m) if downs_m else None,
        sum(raw_ups_m) if ups_m else None,
        unknown_m / start_m if pieces else 1.0,
        sum((piece.length_m for piece in pieces if abs(piece.grade_fraction or 0.0) > STEEPEST_FRACTION), 0.0),
        sum((_apart_m(before[-1], after[0]) for before, after in pairwise(track.segments)), 0.0),
        recorded_s,
        moving_s,
    )


def _apart_m(a: TrackPoint, b: TrackPoint) -> float:
    return ellipsoid_distance_m(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg)


def _heights_m(points: Sequence[TrackPoint], at_m: Sequence[float], wanted_m: Sequence[float]) -> list[float | None]:
    """Heights at places along a segment; None in the middle of a stretch without any, or without a point."""
    known = [(n, at_m[n], point.elevation_m) for n, point in enumerate(points) if point.elevation_m is not None]
    if not any(height_m for _, _, height_m in known):
        return [None] * len(wanted_m)
    _, places_m, heights_m = zip(*known, strict=True)
    gaps_m = [(-inf, places_m[0] - MOST_BETWEEN_M)]
    for (n, low_m, _), (m, high_m, _) in pairwise(known):
        if high_m - low_m > (MOST_BETWEEN_M if m > n + 1 else MOST_STRAIGHT_M):
            gaps_m.append((low_m, high_m))
    gaps_m.append((places_m[-1] + MOST_BETWEEN_M, inf))
    starts_m = [low_m for low_m, _ in gaps_m]
    found: list[float | None] = []
    for place_m, height_m in zip(wanted_m, between_m(places_m, heights_m, wanted_m), strict=True):
        n = bisect_left(starts_m, place_m) - 1
        found.append(None if n >= 0 and place_m < gaps_m[n][1] else height_m)
    return found


def _smoothed(heights_m: Sequence[float | None]) -> list[float | None]:
    """Each unbroken run of heights smoothed by itself."""
    found: list[float | None] = []
    for missing, run in groupby(heights_m, lambda height_m: height_m is None):
        each = list(run)
        found += each if missing else smoothed_m([height_m for height_m in each if height_m is not None], REACH_COUNT)
    return found


def _climbs_m(heights_m: Sequence[float | None], swing_m: float) -> tuple[float, float]:
    """Up and down."""
    known = [height_m for height_m in heights_m if height_m is not None]
    return climb_m(known, swing_m), climb_m([-height_m for height_m in known], swing_m)


def _times_s(
    segments: Sequence[Sequence[TrackPoint]], apart_m: Sequence[Sequence[float]]
) -> tuple[float | None, float | None]:
    """How long the segments took, and how long of that somebody moved; None where a time is missing or runs back."""
    recorded_s = moving_s = 0.0
    for points, steps_m in zip(segments, apart_m, strict=True):
        for (a, b), step_m in zip(pairwise(points), steps_m, strict=True):
            if a.time_s is None or b.time_s is None or b.time_s < a.time_s:
                return None, None
            taken_s = b.time_s - a.time_s
            recorded_s += taken_s
            if step_m > MOVING_M_S * taken_s:
                moving_s += taken_s
    return (recorded_s, moving_s) if recorded_s > 0.0 else (None, None)
