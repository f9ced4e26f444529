"""Tracks against the library for GPX files that is most used: what is read, distances, raw climb.

It takes the Earth for a ball of the equator's radius, on which short ways are flat. Ours are those of WGS84; how much
shorter or longer a way of one direction is there follows from the two radii of curvature at its latitude.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest

from packyoke.analysis.ride.pieces import route_of
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model.track import Track
from packyoke.physics.track import climb_m, ellipsoid_distance_m
from tests.reference.made_track import made_track
from tests.support import EXAMPLES

gpxpy: Any = pytest.importorskip("gpxpy", reason="the library for GPX files is not installed")
library: Any = pytest.importorskip("gpxpy.gpx", reason="the library for GPX files is not installed")

pytestmark = pytest.mark.cross

FLATTENING = 1 / 298.257223563
FLAT = 3e-5
"""What flat ways are off within some hundred metres, to 65 degrees of latitude, and rounding of degrees on the way."""


def wandering(seed: int) -> str:
    """A random track of one to four segments to 65 degrees north or south, as that library writes it."""
    chance = random.Random(seed)
    file = library.GPX()
    track = library.GPXTrack(name=f"way {seed}")
    file.tracks.append(track)
    latitude, longitude, height = chance.uniform(-65, 65), chance.uniform(-179, 179), chance.uniform(0, 2000)
    time = datetime(2026, 5, 1, tzinfo=UTC)
    for _ in range(chance.randrange(1, 5)):
        segment = library.GPXTrackSegment()
        track.segments.append(segment)
        latitude += chance.uniform(-0.05, 0.05)
        for _ in range(chance.randrange(2, 200)):
            latitude += chance.uniform(-2e-3, 2e-3)
            longitude += chance.uniform(-2e-3, 2e-3)
            height = max(0.1, height + chance.uniform(-10, 10))
            time += timedelta(seconds=chance.randrange(20, 60))
            elevation = None if chance.random() < 0.05 else round(height, 1)
            segment.points.append(library.GPXTrackPoint(latitude, longitude, elevation, time))
    text: str = file.to_xml(version=chance.choice(["1.0", "1.1"]))
    return text


def texts() -> Iterator[Any]:
    yield pytest.param(made_track(), id="made")
    yield pytest.param((EXAMPLES / "skerry-round.gpx").read_text(encoding="utf-8"), id="skerry-round.gpx")
    for seed in range(20):
        yield pytest.param(wandering(seed), id=f"way {seed}")


TEXTS = pytest.mark.parametrize("text", [*texts()])


def both(text: str) -> tuple[Track, list[Any]]:
    ours = load_track(text, "a.gpx")
    assert isinstance(ours, Track)
    return ours, [segment for track in gpxpy.parse(text).tracks for segment in track.segments if segment.points]


@TEXTS
def test_the_same_points_are_read(text: str) -> None:
    ours, theirs = both(text)
    assert [[point[:4] for point in segment] for segment in ours.segments] == [
        [
            (point.latitude, point.longitude, point.elevation, point.time.timestamp() if point.time else None)
            for point in segment.points
        ]
        for segment in theirs
    ]


@TEXTS
def test_distance(text: str) -> None:
    ours, theirs = both(text)
    squared = FLATTENING * (2 - FLATTENING)
    latitudes = [abs(point.latitude_deg) for segment in ours.segments for point in segment]
    bounds = []
    for latitude in (min(latitudes), max(latitudes)):
        w = 1 - squared * math.sin(math.radians(latitude)) ** 2
        bounds += [(1 - squared) / w**1.5, 1 / math.sqrt(w)]
    found_m = 0.0
    for segment, other in zip(ours.segments, theirs, strict=True):
        length_m = sum(ellipsoid_distance_m(*a[:2], *b[:2]) for a, b in pairwise(segment))
        assert min(bounds) - FLAT <= length_m / other.length_2d() <= max(bounds) + FLAT
        found_m += length_m
    assert route_of(ours).distance_m == pytest.approx(found_m, rel=1e-12)


@TEXTS
def test_raw_climb(text: str) -> None:
    """Theirs is the sum of rises of heights that are weighted 0.3, 0.4, 0.3 with their neighbours."""
    ours, theirs = both(text)
    for segment, other in zip(ours.segments, theirs, strict=True):
        raw = [point.elevation_m for point in segment if point.elevation_m is not None]
        weighted = raw[:1] + [0.3 * a + 0.4 * b + 0.3 * c for a, b, c in zip(raw, raw[1:], raw[2:], strict=False)]
        weighted += raw[1:][-1:]
        up_m, down_m = other.get_uphill_downhill()
        assert climb_m(weighted, 0.0) == pytest.approx(up_m, abs=1e-6)
        assert climb_m([-height_m for height_m in weighted], 0.0) == pytest.approx(down_m, abs=1e-6)


@TEXTS
def test_time(text: str) -> None:
    ours, theirs = both(text)
    recorded_s = route_of(ours).recorded_s
    if recorded_s is not None:
        assert recorded_s == pytest.approx(sum(segment.get_duration() for segment in theirs))
    else:
        assert any(point.time is None for segment in theirs for point in segment.points)
