"""A known ride along a track is judged once the track was read, and not before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from packyoke.analysis.case import Case
from packyoke.api import load
from packyoke.model import Build
from packyoke.rules.outcome import level
from packyoke.rules.ride_fits_nobody import RULE
from tests.support import edited


@pytest.mark.parametrize(
    ("km", "climb", "found"),
    [
        (12, None, False),  # nobody has read the track
        (12, 0.01, True),  # most riders get 52 to 125 km
        (80, None, False),
        (80, 0.01, False),
    ],
)
def test_a_known_ride_on_a_track_of_its_own(km: int, climb: float | None, found: bool) -> None:
    ridden = f"{{packs: [keel], from: 100 %, to: 20 %, distance: {km} km, on: round.gpx}}"
    build = load(edited("skerry-long-tail", {"ride.everyday.known": ridden}), "x.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    ride = build.rides["everyday"]
    ride = replace(ride, known=tuple(replace(each, hills_fraction=climb) for each in ride.known))
    assert bool(level(RULE.check(Case(replace(build, rides={"everyday": ride})), ride))) == found
