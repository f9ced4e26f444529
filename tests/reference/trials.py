"""Consumption in published trials, beside what a range is counted with for a ride of which only that much is said."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from packyoke.analysis.case import Case
from packyoke.analysis.ride.needs import Band
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.reference.case import rows
from tests.support import edited

WH_KM = 3.6
FORMS = {
    "rider": "rider: {} kg",
    "km_h": "speed: {} km/h",
    "climb": "hills: {} m per km",
    "stops": "stops: {} per km",
    "watts": "assist: rider {} W",
    "cargo": "load: {} kg",
}


def counted(inputs: str) -> Band:
    """Energy out of the packs [Wh/km]: little, likely, much. A commuter's bike: 25 kg with a pack of 3 kg, help up to
    25 km/h; what the inputs do not say is not said in the file either."""
    said = dict(pair.split("=") for pair in inputs.split())
    ride = ", ".join(FORMS[name].format(value) for name, value in said.items())
    put = {"ride.own": f"{{{ride}}}", "bike.mass": "25 kg", "packs.carrier pack.mass": "3 kg"}
    build = load(edited("slipway-city-dock", put), "commuter")
    assert isinstance(build, Build), build
    found = range_of(Case(build), ("carrier pack",), "own")
    assert isinstance(found, RangeEstimate), found
    return Band(*(each / WH_KM for each in found.taken_j_per_m))


@dataclass(frozen=True)
class Trial:
    """A trial: theirs as a span [Wh/km], at the wall where `wall` is below 1 (share that arrives in the pack)."""

    id: str
    inputs: str
    low: float
    high: float
    wall: float
    source: str
    locator: str
    status: str
    note: str

    @cached_property
    def ours(self) -> Band:
        return Band(*(each / self.wall for each in counted(self.inputs)))

    @property
    def deviation(self) -> float:
        """How far our likely figure lies outside theirs, as a share of the nearer end; 0 inside [-]."""
        near = min(max(self.ours.likely, self.low), self.high)
        return self.ours.likely / near - 1

    @property
    def inside(self) -> bool:
        """Whether theirs and what we count with, from little to much, have something in common."""
        return self.ours.low <= self.high and self.low <= self.ours.high


TRIALS = tuple(
    Trial(
        row["id"],
        row["inputs"],
        float(row["low"]),
        float(row["high"]),
        float(row["wall"]),
        *(row[name] for name in ("source", "locator", "status", "note")),
    )
    for row in rows("trials.csv")
)
