"""Tracks as ways to ride: figures from outside, ways made by formula, and what is not known."""

from __future__ import annotations

import math
import random
from itertools import pairwise
from math import cos, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.analysis.ride.pieces import MOST_BETWEEN_M, PIECE_M, Route, route_of
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model.track import Track, TrackPoint
from packyoke.physics.track import between_m, climb_m, ellipsoid_distance_m, smoothed_m
from tests.reference.case import Case
from tests.reference.made_track import CLIMB_M, STRETCHES, made_track, raw_climb_m
from tests.reference.track_cases import CASES, climbed, made
from tests.support import EXAMPLES

DEGREE_M = 111319.490793
"""One degree of the equator on WGS84: 2 pi 6378137 m/360."""


def eastward(
    heights: list[float | None], apart_m: float = 25.0, from_m: float = 0.0, seconds: float | None = None
) -> tuple[TrackPoint, ...]:
    """Points along the equator at equal distances."""
    return tuple(
        TrackPoint(0.0, (from_m + n * apart_m) / DEGREE_M, height, None if seconds is None else n * seconds, n + 1)
        for n, height in enumerate(heights)
    )


def route(*segments: tuple[TrackPoint, ...]) -> Route:
    return route_of(Track(segments, "way", "way.gpx"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_figures_from_outside(case: Case) -> None:
    assert case.compute() == pytest.approx(case.theirs, abs=case.tolerance)


def test_noise_of_a_receiver_is_no_climb() -> None:
    """The hills of the made track are 620 m; as noted, with noise, they are a tenth more."""
    route = made()
    assert raw_climb_m() > 1.05 * CLIMB_M
    assert climbed(route) == pytest.approx(CLIMB_M, rel=0.02)
    track = load_track(made_track(), "")
    assert isinstance(track, Track)
    for stretch, points in zip(STRETCHES, track.segments, strict=True):
        alone = route_of(Track((points,), "", ""))
        # A wave, each height the mean of three 50 m apart, keeps (1 + 2 cos(2 pi 50 m/length))/3 of itself.
        kept = (1 + 2 * cos(2 * pi * 50.0 * stretch.hills / stretch.length_m)) / 3
        assert climbed(alone) == pytest.approx(kept * stretch.hills * stretch.high_m, rel=0.015)
        assert alone.distance_m == pytest.approx(stretch.length_m, abs=0.1)


def test_a_steady_slope() -> None:
    """2 km at 4 %: the smoothed ends come nearer by half the width in all, 50 m of way or 2 m of height."""
    found = route(eastward([0.04 * 25 * n for n in range(81)]))
    assert found.distance_m == pytest.approx(2000.0, rel=1e-9)
    assert len(found.pieces) == 40
    assert [piece.grade_fraction for piece in found.pieces[1:-1]] == pytest.approx([0.04] * 38)
    assert found.climb_m == pytest.approx(80.0 - 2.0)
    assert found.descent_m == 0.0
    assert found.raw_climb_m == pytest.approx(80.0)


def test_smooth_hills_keep_their_climb() -> None:
    """Ten waves of 2 km and 40 m. The mean of three heights 50 m apart leaves (1 + 2 cos(2 pi/40))/3 of a wave."""
    found = route(eastward([50 + 20 * math.cos(2 * math.pi * n / 80) for n in range(801)]))
    expected_m = 400.0 * (1 + 2 * math.cos(2 * math.pi / 40)) / 3
    # At each end the mean is of two heights: a tenth of a metre.
    assert found.climb_m == pytest.approx(expected_m, abs=0.1)
    assert found.descent_m == pytest.approx(expected_m, abs=0.1)


def test_noise_is_no_climb() -> None:
    """A flat road and heights that wander by 3 m from one point to the next."""
    chance = random.Random(7)
    found = route(eastward([100 + chance.uniform(-3, 3) for _ in range(2000)], apart_m=10.0))
    assert found.raw_climb_m is not None
    assert found.raw_climb_m > 1500.0
    assert found.climb_m == 0.0


def test_segments_are_never_bridged() -> None:
    """Two flat segments a kilometre apart, the second 500 m higher: no kilometre and no climb between them."""
    found = route(eastward([10.0] * 41), eastward([510.0] * 41, from_m=2000.0))
    assert found.distance_m == pytest.approx(2000.0)
    assert (found.climb_m, found.raw_climb_m, found.segment_count) == (0.0, 0.0, 2)
    assert all(piece.grade_fraction == 0.0 for piece in found.pieces)
    assert found.between_m == pytest.approx(1000.0)


def test_pieces_fill_each_segment() -> None:
    found = route(eastward([1.0] * 4, 40.0), eastward([1.0] * 2, 7.0), eastward([1.0] * 2, 0.0))
    assert [piece.length_m for piece in found.pieces] == pytest.approx([60.0, 60.0, 7.0])
    assert [piece.from_m for piece in found.pieces] == pytest.approx([0.0, 60.0, 120.0])


class TestUnknownHeights:
    def test_none_at_all(self) -> None:
        found = route(eastward([None] * 81))
        assert found.distance_m == pytest.approx(2000.0)
        assert (found.climb_m, found.descent_m, found.raw_climb_m) == (None,) * 3
        assert found.without_elevation_fraction == pytest.approx(1.0)
        assert {piece.grade_fraction for piece in found.pieces} == {None}

    def test_zero_everywhere_is_not_the_sea(self) -> None:
        assert route(eastward([0.0] * 81)).climb_m is None
        assert route(eastward([*[0.0] * 80, 0.1])).climb_m == 0.0

    def test_a_part_of_the_way(self) -> None:
        """500 m without heights in 2 km: what is not known of a part is not known of the whole."""
        heights = [None if 30 < n < 50 else 5.0 for n in range(81)]
        found = route(eastward(heights))
        assert found.climb_m is None
        # Marks stand at 50 m: the gap lies between those of 750 m and 1250 m.
        assert found.without_elevation_fraction == pytest.approx(0.25)
        assert [n for n, piece in enumerate(found.pieces) if piece.grade_fraction is None] == list(range(15, 25))

    def test_one_segment_of_two(self) -> None:
        found = route(eastward([1.0] * 41), eastward([None] * 41, from_m=1000.0))
        assert found.climb_m is None
        assert found.without_elevation_fraction == pytest.approx(0.5)

    def test_short_gaps_are_bridged(self) -> None:
        """Heights on a straight line across a gap of 175 m, and the nearest at the ends."""
        heights = [None if 40 < n < 47 or n < 2 else 0.04 * 25 * n for n in range(81)]
        assert MOST_BETWEEN_M > 7 * 25
        found = route(eastward(heights))
        assert found.without_elevation_fraction == 0.0
        assert found.climb_m == pytest.approx(78.0 - 1.0, abs=1.0)

    @pytest.mark.parametrize(
        ("apart_m", "known"), [(1000.0, True), (1999.0, True), (2001.0, False), (190_000.0, False)]
    )
    def test_two_points_with_heights_are_a_straight_slope_up_to_2_km(self, apart_m: float, known: bool) -> None:
        found = route(eastward([1.0, 41.0], apart_m=apart_m))
        assert (found.climb_m is not None) is known
        if known:
            assert found.climb_m == pytest.approx(40.0 * (1 - 50.0 / apart_m), abs=0.5)
        else:
            assert found.without_elevation_fraction > 0.95


def test_times() -> None:
    """Ten steps of 25 m in 5 s each, then four on the spot; 0.5 m/s are 25 m in 50 s."""
    moving = eastward([1.0] * 11, seconds=5.0)
    standing = tuple(moving[-1]._replace(time_s=50.0 + 5.0 * n) for n in range(1, 5))
    found = route((*moving, *standing))
    assert (found.recorded_s, found.moving_s) == (pytest.approx(70.0), pytest.approx(50.0))
    assert route(eastward([1.0] * 3, seconds=49.9)).moving_s == pytest.approx(99.8)
    assert route(eastward([1.0] * 3, seconds=50.1)).moving_s == 0.0
    assert route(eastward([1.0] * 3)).recorded_s is None
    assert route((*moving, moving[0])).recorded_s is None


def test_steeper_than_any_road_is_doubtful() -> None:
    found = route(eastward([0.0, *[0.0] * 20, *[60.0] * 20], apart_m=50.0))
    assert found.doubtful_m == pytest.approx(150.0)


def test_the_example_is_a_loop_by_formula() -> None:
    """Length of the curve and climb of the heights from the formula written in the file, by quadrature."""
    steps = 100_000

    def place(n: int) -> tuple[float, float, float]:
        u = 2 * math.pi * n / steps
        r_m = 3200 * (1 + 0.16 * math.sin(3 * u + 0.4) + 0.05 * math.sin(7 * u + 1.3))
        height_m = 62 + 28 * math.sin(2 * u - 0.6) + 17 * math.sin(5 * u + 0.9) + 5 * math.sin(13 * u)
        return r_m * math.cos(u), r_m * math.sin(u), height_m

    places = [place(n) for n in range(steps + 1)]
    length_m = sum(math.dist(a[:2], b[:2]) for a, b in pairwise(places))
    rise_m = sum(max(0.0, b[2] - a[2]) for a, b in pairwise(places))
    track = load_track((EXAMPLES / "skerry-round.gpx").read_bytes(), "")
    assert isinstance(track, Track)
    found = route_of(track)
    # Its degree of latitude is that of 52 deg, its degree of longitude 0.2 % shorter than that of WGS84 there.
    assert found.distance_m == pytest.approx(length_m, rel=2e-3)
    assert found.raw_climb_m == pytest.approx(rise_m, rel=5e-3)
    # The mean over 150 m takes 1 % of the shortest of its hills and more of the tops between; 5 m leave out the least.
    assert found.climb_m is not None
    assert 0.93 * rise_m < found.climb_m < rise_m
    for n, point in enumerate(track.segments[0]):
        u = 2 * math.pi * n / 400
        assert point.elevation_m == pytest.approx(place(n * 250)[2], abs=0.051)
        assert point.latitude_deg == pytest.approx(52 + place(n * 250)[1] / 111260, abs=6e-7), u


HEIGHTS = st.lists(st.none() | st.floats(-100, 3000), min_size=2, max_size=60)


@given(HEIGHTS, st.floats(0.0, 400.0))
def test_laws_of_every_way(heights: list[float | None], apart_m: float) -> None:
    found = route(eastward(heights, apart_m))
    assert sum(piece.length_m for piece in found.pieces) == pytest.approx(found.distance_m)
    assert found.distance_m == pytest.approx(apart_m * (len(heights) - 1), rel=1e-9, abs=1e-6)
    assert all(PIECE_M / 2 <= piece.length_m <= PIECE_M * 1.5 for piece in found.pieces) or found.distance_m < PIECE_M
    assert 0.0 <= found.without_elevation_fraction <= 1.0
    assert (found.climb_m is None) == (found.without_elevation_fraction > 0.0)
    if found.climb_m is not None and found.raw_climb_m is not None:
        assert found.climb_m <= found.raw_climb_m + 1e-6
        back = route(tuple(reversed(eastward(heights, apart_m))))
        assert back.descent_m == pytest.approx(found.climb_m, abs=1e-6)


@given(st.lists(st.floats(-1000, 1000), max_size=50), st.floats(0, 100))
def test_climb_less_descent_is_the_difference(heights_m: list[float], threshold_m: float) -> None:
    """Without a threshold exactly; with one to within two swings that are left out."""
    down_m = climb_m([-height_m for height_m in heights_m], threshold_m)
    up_m = climb_m(heights_m, threshold_m)
    rise_m = heights_m[-1] - heights_m[0] if heights_m else 0.0
    assert climb_m(heights_m, 0.0) - climb_m([-each for each in heights_m], 0.0) == pytest.approx(rise_m, abs=1e-6)
    assert abs(up_m - down_m - rise_m) <= 2 * threshold_m + 1e-6
    assert up_m <= climb_m(heights_m, 0.0) + 1e-6


def test_what_cannot_be_asked() -> None:
    for wrong in (
        lambda: climb_m([1.0], -1.0),
        lambda: smoothed_m([1.0], -1),
        lambda: between_m([], [], [1.0]),
        lambda: between_m([1.0], [1.0, 2.0], [1.0]),
        lambda: ellipsoid_distance_m(91.0, 0.0, 0.0, 0.0),
    ):
        with pytest.raises(ValueError):  # noqa: PT011
            wrong()


@pytest.mark.parametrize("latitude", [0.0, 30.0, 60.0, 88.0])
def test_200_km_along_a_meridian(latitude: float) -> None:
    """The arc of the ellipse by quadrature: integral of a (1 - e2)/(1 - e2 sin^2)^(3/2)."""
    squared, steps, far = (2 - 1 / 298.257223563) / 298.257223563, 5_000, 1.79
    middles = [math.radians(latitude + far * (n + 0.5) / steps) for n in range(steps)]
    arc_m = sum(6378137 * (1 - squared) / (1 - squared * math.sin(each) ** 2) ** 1.5 for each in middles)
    arc_m *= math.radians(far) / steps
    assert ellipsoid_distance_m(latitude, 5.0, latitude + far, 5.0) == pytest.approx(arc_m, rel=1e-6)
