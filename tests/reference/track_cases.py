"""Figures from outside for distances on the Earth and for the climb of a track whose hills are known."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from packyoke.analysis.ride.pieces import Route, route_of
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model.track import Track
from packyoke.physics.track import ellipsoid_distance_m
from tests.reference.case import Case
from tests.reference.made_track import CLIMB_M, DISTANCE_M, made_track, raw_climb_m

TRACK = "track made by a function, 15 km in three segments (invented)"
WHERE = "tests/reference/made_track.py"


@cache
def made() -> Route:
    track = load_track(made_track(), "made.gpx")
    assert isinstance(track, Track)
    return route_of(track)


def climbed(route: Route) -> float:
    assert route.climb_m is not None
    return route.climb_m


def raw(route: Route) -> float:
    assert route.raw_climb_m is not None
    return route.raw_climb_m


def distance(id: str, source: str, locator: str, theirs: float, tolerance: float, reason: str, *degrees: float) -> Case:
    def ours() -> float:
        return ellipsoid_distance_m(*degrees)

    return Case(id, "ellipsoid_distance", source, locator, theirs, "m", tolerance, reason, "memory", ours)


def climb(id: str, quantity: str, theirs: float, tolerance: float, reason: str, ours: Callable[[Route], float]) -> Case:
    return Case(id, quantity, TRACK, WHERE, theirs, "m", tolerance, reason, "calc", lambda: ours(made()))


WGS84 = "length of a degree on WGS84, NGA"
CASES: tuple[Case, ...] = (
    distance(
        "flinders-buninyong",
        "Geocentric Datum of Australia technical manual",
        "worked example of the inverse formula",
        54972.271,
        0.05,
        "1e-6, which the function claims",
        -37.951033417,
        144.424867889,
        -37.652821139,
        143.926495528,
    ),
    distance("latitude-0", WGS84, "latitude 0", 110574.0, 0.6, "last digit printed", -0.5, 10.0, 0.5, 10.0),
    distance("latitude-45", WGS84, "latitude 45", 111132.0, 0.6, "last digit printed", 44.5, -70.0, 45.5, -70.0),
    distance("latitude-90", WGS84, "over the pole", 111694.0, 0.6, "last digit printed", 89.5, 20.0, 89.5, -160.0),
    distance("longitude-0", WGS84, "equator, over 180 deg", 111319.5, 0.3, "last digit", 0.0, 179.5, 0.0, -179.5),
    climb("track-distance", "route_distance", DISTANCE_M, 0.1, "nine decimals", lambda route: route.distance_m),
    climb("track-raw", "raw_climb", raw_climb_m(), 0.05, "half of a decimetre", raw),
    climb("track-climb", "route_climb", CLIMB_M, 12.4, "2 %: the mean over 150 m lowers tops and fills dips", climbed),
)
