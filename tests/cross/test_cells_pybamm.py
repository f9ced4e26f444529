"""Open-circuit curves and discharges against the cell models of a battery modelling library, with published cells.

Chen et al. 2020 is one of the sets that the shelf's curve is the median of; the band around it comes from ten sets, so
that what these tests show is that curve and band were copied and scaled rightly (0 % at 3.00 V, 100 % at 4.20 V), and
how far one resistance that does not change with time is from a cell whose inside lags behind.
"""

from __future__ import annotations

import os
from typing import Any

import pytest

from packyoke.analysis.circuit.curves import Demand
from packyoke.analysis.discharge.course import discharge
from packyoke.shelf.chemistry import ocv_curve
from tests.rundowns import assert_balanced, audited, battery, together

os.environ.setdefault("PYBAMM_DISABLE_TELEMETRY", "true")
pybamm: Any = pytest.importorskip("pybamm", reason="the library of cell models is not installed")
np: Any = pytest.importorskip("numpy", reason="the library of cell models is not installed")

pytestmark = [pytest.mark.cross, pytest.mark.filterwarnings("ignore")]

# Marks: the band stated for modern nickel-rich cells, and for an unknown layered oxide, above 10 %; 2 mV of rounding
# and of the way in which 0 % is found. O'Regan 2022 is 51 mV low at half charge.
NICKEL_RICH_V, ANY_LAYERED_V = 0.052, 0.137


def open_circuit(name: str) -> Any:
    """Voltage of a full cell against its state of charge between 3.00 and 4.20 V."""
    values = pybamm.ParameterValues(name)
    parameters = pybamm.LithiumIonParameters()
    x_0, x_100, y_100, y_0 = pybamm.lithium_ion.ElectrodeSOHSolver(values, parameters).get_min_max_stoichiometries()
    positive, negative = (
        values.process_symbol(electrode.prim.U(pybamm.InputParameter("at"), parameters.T_ref))
        for electrode in (parameters.p, parameters.n)
    )

    def volts_v(share: float) -> float:
        high = positive.evaluate(inputs={"at": y_0 + share * (y_100 - y_0)})
        low = negative.evaluate(inputs={"at": x_0 + share * (x_100 - x_0)})
        return float(np.squeeze(high)) - float(np.squeeze(low))

    def share_at(wanted_v: float) -> float:
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if volts_v(middle) < wanted_v else (low, middle)
        return low

    empty, full = share_at(3.00), share_at(4.20)
    return lambda charge: volts_v(empty + charge * (full - empty))


@pytest.mark.parametrize(
    ("name", "allowed_v"),
    [
        ("Chen2020", NICKEL_RICH_V),
        ("ORegan2022", NICKEL_RICH_V),
        ("NCA_Kim2011", ANY_LAYERED_V),
        ("Mohtat2020", ANY_LAYERED_V),
        ("Ecker2015", ANY_LAYERED_V),
    ],
)
def test_open_circuit_curve(name: str, allowed_v: float) -> None:
    curve = ocv_curve("NMC")
    assert curve is not None
    theirs = open_circuit(name)
    for (charge, ours_v), (_, low_v), (_, high_v) in zip(curve.points, curve.lowest, curve.highest, strict=True):
        assert low_v - 0.002 <= theirs(charge) <= high_v + 0.002
        if charge >= 0.10:
            assert ours_v == pytest.approx(theirs(charge), abs=allowed_v), charge


@pytest.fixture(scope="module", params=["Chen2020", "ORegan2022"])
def cell(request: pytest.FixtureRequest) -> tuple[str, Any, float]:
    """A cell with its resistance: a current of half its capacity for 10 s, at half charge, 25 degC."""
    model = pybamm.lithium_ion.DFN({"thermal": "lumped"})
    values = pybamm.ParameterValues(request.param)
    steps = pybamm.Experiment([("Rest for 1 minute", "Discharge at 0.5C for 10 seconds")], period="1 second")
    found = pybamm.Simulation(model, parameter_values=values, experiment=steps).solve(initial_soc=0.5)
    volts_v, amps_a = found["Terminal voltage [V]"].entries, found["Current [A]"].entries
    rested_v = volts_v[amps_a < 1e-6][-1]
    return request.param, values, float((rested_v - volts_v[-1]) / amps_a[-1])


@pytest.mark.parametrize("rate", [0.2, 1.0])
def test_discharge_of_one_cell(cell: tuple[str, Any, float], rate: float) -> None:
    """Ours gives more, never less: the diffusion inside the cell that lasts longer than 10 s is left out.

    Energy down to 3.00 V under load, of a cell of 5 Ah as marked that warms up as the model says. Seen:
    Chen 1.1 % at 0.2 C, 4.0 % at 1 C (mean voltage 5 and 26 mV high); O'Regan 7.6 % and 17 % (42 and 117 mV; kept at
    25 degC even 30 %), of which 6 % are that the cell holds less above 3.00 V at 0.2 C than is marked on it.
    """
    name, values, ohm = cell
    model = pybamm.lithium_ion.DFN({"thermal": "lumped"})
    steps = pybamm.Experiment([f"Discharge at {rate}C until 3.0 V"], period="30 seconds")
    found = pybamm.Simulation(model, parameter_values=values, experiment=steps).solve(initial_soc="4.2 V")
    theirs_j = float(
        np.trapezoid(found["Terminal voltage [V]"].entries * found["Current [A]"].entries, found["Time [s]"].entries)
    )
    one = battery("cell", 5.0, ohm, 3.0, series=1)
    with audited():
        run = discharge(together([one]), Demand(5.0 * rate), [one], [1.0], 0.0)
    assert_balanced(run)
    most = {("Chen2020", 0.2): 0.02, ("Chen2020", 1.0): 0.05, ("ORegan2022", 0.2): 0.08, ("ORegan2022", 1.0): 0.18}
    assert 0.0 < run.energy_to_load_j / theirs_j - 1.0 < most[name, rate]
