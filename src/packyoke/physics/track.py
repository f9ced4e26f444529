"""Points on the Earth and heights along a way: distance, resampling, smoothing, climb."""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, cos, dist, radians, sin, sqrt

EQUATOR_M = 6378137.0
FLATTENING = 1.0 / 298.257223563
"""WGS84, in which GPX gives latitude and longitude."""
MEAN_RADIUS_M = 6371008.8
"""IUGG; only bends the straight line between two points into an arc."""


def ellipsoid_distance_m(
    from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> float:
    """Distance between two neighbouring points of a track, as a map shows it.

        d = 2 R asin(c/(2 R)), c the straight line through the WGS84 ellipsoid at sea level

    On a sphere of the mean radius ways along a meridian or the equator are up to 0.6 % off; this has no special cases
    at the poles or at 180 degrees, and is as short.

    Parameters
        from_latitude_deg: geodetic latitude, north positive [deg]
        from_longitude_deg: longitude, east positive [deg]
        to_latitude_deg: geodetic latitude, north positive [deg]
        to_longitude_deg: longitude, east positive [deg]
    Returns
        distance at sea level [m]
    Valid
        to 200 km within 1e-6 of the geodesic, above that worse (4 % from pole to pole). At 1000 m above the sea the
        ground is 0.016 % longer.
    Raises
        ValueError: a latitude beyond the poles.
    Reference
        WGS84 (NGA.STND.0036); Flinders Peak to Buninyong, the worked example of the Australian datum manual: 54972.3 m.

    >>> f"{ellipsoid_distance_m(-37.95103342, 144.42486789, -37.65282114, 143.92649553):.1f} m"
    '54972.3 m'
    """
    if not (abs(from_latitude_deg) <= 90.0 and abs(to_latitude_deg) <= 90.0):
        raise ValueError("latitude runs from -90 to 90 degrees")
    chord_m = dist(_place_m(from_latitude_deg, from_longitude_deg), _place_m(to_latitude_deg, to_longitude_deg))
    return 2.0 * MEAN_RADIUS_M * asin(min(1.0, chord_m / (2.0 * MEAN_RADIUS_M)))


def _place_m(latitude_deg: float, longitude_deg: float) -> tuple[float, float, float]:
    """Place from the centre of the Earth, at sea level."""
    phi, lam = radians(latitude_deg), radians(longitude_deg)
    squared = FLATTENING * (2.0 - FLATTENING)
    normal_m = EQUATOR_M / sqrt(1.0 - squared * sin(phi) ** 2)
    return (
        normal_m * cos(phi) * cos(lam),
        normal_m * cos(phi) * sin(lam),
        normal_m * (1.0 - squared) * sin(phi),
    )


def climb_m(heights_m: Sequence[float], threshold_m: float) -> float:
    """Sum of all rises from a low to the next high, swings below a threshold left out.

        sum (high - low), each high - low >= threshold

    Parameters
        heights_m: heights in the order of the way; their negatives give the descent [m]
        threshold_m: swings smaller than this are taken for noise; 0: every rise counts [m]
    Returns
        climb [m]
    Valid
        what is left of noise counts: smooth first.
    Raises
        ValueError: a threshold below zero.
    Reference
        definition; 0, 10, 8, 20, 0 m: with 5 m the dip of 2 m is noise, 20 m; with 0 m 22 m.

    >>> climb_m([0, 10, 8, 20, 0], 5), climb_m([0, 10, 8, 20, 0], 0)
    (20.0, 22.0)
    """
    if not threshold_m >= 0.0:
        raise ValueError("a threshold cannot be below 0")
    if not heights_m:
        return 0.0
    total_m, low_m = 0.0, heights_m[0]
    high_m, rising = low_m, False
    for height_m in heights_m:
        if rising:
            high_m = max(high_m, height_m)
            if high_m - height_m >= threshold_m and high_m > height_m:
                total_m, low_m, rising = total_m + high_m - low_m, height_m, False
        else:
            low_m = min(low_m, height_m)
            if height_m - low_m >= threshold_m and height_m > low_m:
                high_m, rising = height_m, True
    return total_m + (high_m - low_m if rising else 0.0)


def between_m(at_m: Sequence[float], heights_m: Sequence[float], wanted_m: Sequence[float]) -> list[float]:
    """Heights at other places along the way, on straight lines between those that are known.

        h = h_i + (x - x_i) (h_(i+1) - h_i)/(x_(i+1) - x_i)

    Parameters
        at_m: where heights are known, not falling [m]
        heights_m: the heights there [m]
        wanted_m: where they are wanted, not falling; before the first and after the last the nearest holds [m]
    Returns
        heights [m]
    Valid
        between neighbours that are near each other.
    Raises
        ValueError: no height, lists of different length.
    Reference
        definition.

    >>> between_m([0, 100], [10, 20], [-5, 25, 200])
    [10, 12.5, 20]
    """
    if not at_m or len(at_m) != len(heights_m):
        raise ValueError("each place needs a height, and there must be one")
    found, n = [], 0
    for place_m in wanted_m:
        while n < len(at_m) and at_m[n] <= place_m:
            n += 1
        if n == 0 or n == len(at_m):
            found.append(heights_m[min(n, len(at_m) - 1)])
            continue
        low_m, high_m = at_m[n - 1], at_m[n]
        part = (place_m - low_m) / (high_m - low_m)
        found.append(heights_m[n - 1] + part * (heights_m[n] - heights_m[n - 1]))
    return found


def smoothed_m(heights_m: Sequence[float], reach_count: int) -> list[float]:
    """Each height as the mean of itself and its neighbours on both sides.

        h_i = mean(h_(i-k) ... h_(i+k)), k = reach, as far as there are neighbours

    Parameters
        heights_m: heights at equal distances [m]
        reach_count: neighbours on each side [-]
    Returns
        smoothed heights [m]
    Valid
        equal distances. A straight slope keeps its heights, but near the ends, which come nearer to each other by the
        rise over half the width.
    Raises
        ValueError: a reach below zero.
    Reference
        moving average.

    >>> smoothed_m([0, 3, 0, 3, 6], 1)
    [1.5, 1.0, 2.0, 3.0, 4.5]
    """
    if reach_count < 0:
        raise ValueError("a reach cannot be below 0")
    sums_m = [0.0]
    for height_m in heights_m:
        sums_m.append(sums_m[-1] + height_m)
    found = []
    for n in range(len(heights_m)):
        first, last = max(0, n - reach_count), min(len(heights_m), n + reach_count + 1)
        found.append((sums_m[last] - sums_m[first]) / (last - first))
    return found
