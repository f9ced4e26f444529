"""Charging times against the cell models of a battery modelling library, with three published cells.

A cell at rest at 3.00 V (0 % of our curve) is charged at a constant current to 4.20 V, then held there until a
twentieth of its capacity flows. Ours has the shelf's curve, the capacity as marked, and the cell's own resistance of
10 s at half charge. What follows from that: ours leaves out the diffusion that lasts longer than 10 s, so that its
current begins to fall later and its end comes sooner than that of a cell which lags behind; and a cell that holds
less between 3.00 and 4.20 V than is marked on it fills sooner.
"""

from __future__ import annotations

import os
from typing import Any, NamedTuple

import pytest

from packyoke.analysis.charging.order import MOSTLY, Refill, times
from packyoke.analysis.discharge.energy import cold_factor
from packyoke.analysis.unknowns.spans import OHMIC_SHARE
from packyoke.shelf.chemistry import ocv_curve

os.environ.setdefault("PYBAMM_DISABLE_TELEMETRY", "true")
pybamm: Any = pytest.importorskip("pybamm", reason="the library of cell models is not installed")

pytestmark = [pytest.mark.cross, pytest.mark.filterwarnings("ignore")]

HOUR_S = 3600.0


class Cell(NamedTuple):
    name: str
    values: Any
    amp_hours: float
    ohm: float


def run(values: Any, steps: list[Any], period: str, start: Any) -> Any:
    model = pybamm.lithium_ion.DFN()
    experiment = pybamm.Experiment(steps, period=period)
    # The solver's own tolerances (1e-4, 1e-6) stall one cell at 1 C; tighter ones carry it through.
    solver = pybamm.IDAKLUSolver(rtol=1e-5, atol=1e-7)
    return pybamm.Simulation(model, parameter_values=values, experiment=experiment, solver=solver).solve(
        initial_soc=start
    )


@pytest.fixture(scope="module", params=["Chen2020", "ORegan2022", "Mohtat2020"])
def cell(request: pytest.FixtureRequest) -> Cell:
    values = pybamm.ParameterValues(request.param)
    found = run(values, [("Rest for 1 minute", "Charge at 0.5C for 10 seconds")], "1 second", 0.5)
    volts_v, amps_a = found["Terminal voltage [V]"].entries, found["Current [A]"].entries
    rested_v = volts_v[abs(amps_a) < 1e-6][-1]
    ohm = float((volts_v[-1] - rested_v) / -amps_a[-1])
    return Cell(request.param, values, float(values["Nominal cell capacity [A.h]"]), ohm)


FOUND: dict[tuple[str, float, float], tuple[float, float, float]] = {}
"""Charges that were simulated already: each takes a second."""
WARM_C = 25.0
"""What the resistance of a pack is given for."""


def theirs_h(cell: Cell, rate: float, celsius: float = WARM_C) -> tuple[float, float, float]:
    """Time at constant current, in all, and until four fifths of what it takes in all are in it [h]."""
    key = (cell.name, rate, celsius)
    if key not in FOUND:
        FOUND[key] = _simulated_h(cell, rate, celsius)
    return FOUND[key]


def _simulated_h(cell: Cell, rate: float, celsius: float) -> tuple[float, float, float]:
    steps = [(f"Charge at {rate}C until 4.2 V", "Hold at 4.2 V until C/20")]
    values = cell.values.copy()
    for name in ("Ambient temperature [K]", "Initial temperature [K]"):
        values[name] = celsius + 273.15
    found = run(values, steps, "30 seconds", "3.0 V")
    constant, held = found.cycles[0].steps
    ends = [float(step["Time [h]"].entries[-1]) for step in (constant, held)]
    begins = float(constant["Time [h]"].entries[0])
    times_h, taken = found["Time [h]"].entries, -found["Discharge capacity [A.h]"].entries
    share = (taken - taken[0]) / (taken[-1] - taken[0])
    mostly_h = next(time_h for time_h, each in zip(times_h, share, strict=True) if each >= MOSTLY)
    return ends[0] - begins, ends[1] - begins, float(mostly_h) - begins


def ours_h(cell: Cell, rate: float) -> float:
    curve = ocv_curve("NMC")
    assert curve is not None
    refill = Refill(cell.name, curve.points, cell.amp_hours * HOUR_S, cell.ohm, 0.0)
    return times(refill, rate * cell.amp_hours, 4.20).full_s / HOUR_S


# How far ours may be below and above theirs, as a share of theirs. Seen: Chen 2020 -1.0, -10.6, -24.8 % at 0.2, 0.5 and
# 1 C; O'Regan 2022 +3.6 (it holds 3 to 4 % less than is marked on it), -3.9, -32.4 %; Mohtat 2020 +0.8, -2.2, -8.1 %.
# One resistance stands for a lag that grows with the current, so that the bounds do too.
BOUNDS = {0.2: (0.02, 0.04), 0.5: (0.12, 0.0), 1.0: (0.35, 0.0)}


@pytest.mark.parametrize("rate", BOUNDS)
def test_time_to_full(cell: Cell, rate: float) -> None:
    _, theirs, _ = theirs_h(cell, rate)
    ours = ours_h(cell, rate)
    below, above = BOUNDS[rate]
    print(f"{cell.name} at {rate} C: theirs {theirs:.2f} h, ours {ours:.2f} h, {100 * (ours / theirs - 1):+.1f} %")
    assert -below <= ours / theirs - 1.0 <= above


@pytest.mark.parametrize("celsius", [WARM_C, 0.0])
@pytest.mark.parametrize("rate", BOUNDS)
def test_no_cell_takes_longer_than_what_is_said_of_slow_cells(cell: Cell, rate: float, celsius: float) -> None:
    """The times of slow cells come from these, rounded up: this holds them to it, to 80 % and to the end."""
    curve = ocv_curve("NMC")
    assert curve is not None
    chill = cold_factor(celsius + 273.15)
    refill = Refill(cell.name, curve.points, cell.amp_hours * HOUR_S, chill * cell.ohm, 0.0, chill)
    found = times(refill, rate * cell.amp_hours, 4.20)
    _, full_h, mostly_h = theirs_h(cell, rate, celsius)
    assert full_h * HOUR_S <= found.full_s + found.lag_s
    assert found.mostly_s is not None
    assert mostly_h * HOUR_S <= found.mostly_s + found.mostly_lag_s


def test_constant_current_ends_sooner_than_ours(cell: Cell) -> None:
    """A cell that lags behind comes to its voltage earlier: 0.94 of the charge at 0.2 C, far less at 1 C."""
    curve = ocv_curve("NMC")
    assert curve is not None
    refill = Refill(cell.name, curve.points, cell.amp_hours * HOUR_S, cell.ohm, 0.0)
    for rate in BOUNDS:
        assert theirs_h(cell, rate)[0] * rate < times(refill, rate * cell.amp_hours, 4.20).knee_fraction


def test_first_moment(cell: Cell) -> None:
    """The resistance within the first second of a load step, of that after 10 s: 0.81, 0.67 and 0.82."""
    found = run(cell.values, [("Rest for 1 minute", "Charge at 0.5C for 10 seconds")], "0.1 seconds", 0.5)
    volts_v, amps_a = found["Terminal voltage [V]"].entries, found["Current [A]"].entries
    rested_v = volts_v[abs(amps_a) < 1e-6][-1]
    first = next(n for n, amps in enumerate(amps_a) if abs(amps) > 1e-6)
    share = float((volts_v[first] - rested_v) / -amps_a[first]) / cell.ohm
    assert OHMIC_SHARE <= share < 0.85
