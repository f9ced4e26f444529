"""The energy of a range, worked out in longer steps than a rundown, against steps so short that it is exact."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Demand
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.rundown import Circuit, Draw, circuit_with
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import edited

EXACT_A = 2e-5
BIKES = [
    "skerry-long-tail",
    "breakwater-three-packs",
    "headland-72-volts",
    "foghorn-lfp",
    "quay-plain-trike",
    "slipway-city-dock",
]


@pytest.mark.parametrize("ride", ["gentle", "loaded", "throttle"])
@pytest.mark.parametrize("name", BIKES)
def test_it_is_right_to_some_millionths(name: str, ride: str) -> None:
    build = load(edited(name, {}), name)
    assert isinstance(build, Build), build
    packs = tuple(build.packs)
    found = range_of(Case(build), packs, ride, brief=True)
    assert isinstance(found, RangeEstimate), found
    circuit = circuit_with(Case(build), packs, {}, found.ride.air_k, 1.0, Draw())
    assert isinstance(circuit, Circuit), circuit
    draw_w = found.mean_w - found.ride.riding.accessories_w
    exact = discharge(
        circuit.root,
        Demand(power_w=draw_w),
        circuit.batteries,
        circuit.states,
        circuit.cut_v,
        series=False,
        off_a=EXACT_A,
    )
    assert found.ended == exact.ended
    assert found.given_j == pytest.approx(exact.energy_to_load_j + exact.taps_j, rel=1e-5)
