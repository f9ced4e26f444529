"""A track that nobody rode: hills of a known height, heights with the noise of a receiver, drawn from one seed.

What it climbs is known from the function that made it, not from a program that read it: every hill is a raised cosine.
It runs along the equator, where a degree of longitude is 2 pi/360 of the Earth's radius there.
"""

from __future__ import annotations

import random
from itertools import pairwise
from math import cos, pi
from typing import NamedTuple

SEED = 20260511
DEGREE_M = 2 * pi * 6378137.0 / 360
"""One degree of the equator on WGS84."""
NOISE_M = 0.8
"""How far a height is off at most: a receiver with a pressure sensor; judgement."""


class Stretch(NamedTuple):
    """One recording: its length, the distance between its points, how many hills it has and how high they are."""

    length_m: float
    apart_m: float
    hills: int
    high_m: float


STRETCHES = (Stretch(4000.0, 10.0, 4, 35.0), Stretch(6000.0, 16.0, 3, 80.0), Stretch(5000.0, 12.5, 2, 120.0))
PAUSE_M = 250.0
"""Between two recordings, neither ridden nor counted."""
LOWEST_M = 200.0
DISTANCE_M = sum(each.length_m for each in STRETCHES)
CLIMB_M = sum(each.hills * each.high_m for each in STRETCHES)


def heights_m() -> list[list[float]]:
    """The heights of every recording as a receiver would note them, in decimetres."""
    chance = random.Random(SEED)
    found = []
    for each in STRETCHES:
        count = round(each.length_m / each.apart_m)
        hill = [LOWEST_M + each.high_m * (1 - cos(2 * pi * each.hills * n / count)) / 2 for n in range(count + 1)]
        found.append([round(height + chance.uniform(-NOISE_M, NOISE_M), 1) for height in hill])
    return found


def raw_climb_m() -> float:
    """Every rise from one noted height to the next, noise and all."""
    return sum(max(0.0, later - earlier) for part in heights_m() for earlier, later in pairwise(part))


def made_track() -> str:
    """The track as GPX 1.0 in three segments, an empty one before them."""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.0" creator="invented: made by a function" xmlns="http://www.topografix.com/GPX/1/0">',
        "<trk><name>invented</name><trkseg></trkseg></trk>",
    ]
    start_m = 0.0
    for each, heights in zip(STRETCHES, heights_m(), strict=True):
        lines.append("<trk><name>invented</name><trkseg>")
        lines += (
            f'<trkpt lat="0" lon="{(start_m + n * each.apart_m) / DEGREE_M:.9f}"><ele>{height:.1f}</ele></trkpt>'
            for n, height in enumerate(heights)
        )
        lines.append("</trkseg></trk>")
        start_m += each.length_m + PAUSE_M
    return "\n".join([*lines, "</gpx>", ""])
