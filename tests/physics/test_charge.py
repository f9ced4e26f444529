"""Charging times and energies, against hand-worked cases and against plain integration in small steps."""

from __future__ import annotations

from math import exp, inf, log

import pytest

from packyoke.physics.charge import charge_energy_j, charge_time_s, knee_fraction, tapered_fraction

STRAIGHT = [(0.0, 3.0), (1.0, 4.0)]
BENT = [(0.0, 3.0), (0.1, 3.4), (0.6, 3.6), (0.9, 3.65), (1.0, 4.2)]
FLAT = [(0.0, 3.0), (0.2, 3.3), (0.8, 3.3), (1.0, 3.6)]


def integrated(
    curve: list[tuple[float, float]], start: float, end: float, coulomb: float, ohm: float, amps: float, volts: float
) -> tuple[float, float]:
    """Time and energy in steps of a hundred-thousandth of the charge, the voltage read off by hand."""
    steps = 100_000
    step = (end - start) / steps
    time_s = energy_j = 0.0
    at = 0
    for n in range(steps):
        charge = start + (n + 0.5) * step
        while charge > curve[at + 1][0]:
            at += 1
        (x0, v0), (x1, v1) = curve[at : at + 2]
        emf_v = v0 + (charge - x0) * (v1 - v0) / (x1 - x0)
        current_a = min(amps, (volts - emf_v) / ohm)
        time_s += step * coulomb / current_a
        energy_j += step * coulomb * (emf_v + ohm * current_a)
    return time_s, energy_j


@pytest.mark.parametrize("curve", [STRAIGHT, BENT, FLAT], ids=["straight", "bent", "with a flat piece"])
@pytest.mark.parametrize(("start", "end"), [(0.0, 0.99), (0.3, 0.7), (0.95, 0.98)])
@pytest.mark.parametrize("amps", [0.5, 2.0, 8.0])
def test_same_as_integrated(curve: list[tuple[float, float]], start: float, end: float, amps: float) -> None:
    """Midpoints of steps: their error falls with the square of the step, far below 1e-6."""
    volts = curve[-1][1]
    time_s, energy_j = integrated(curve, start, end, 18000.0, 0.05, amps, volts)
    assert charge_time_s(curve, start, end, 18000.0, 0.05, amps, volts) == pytest.approx(time_s, rel=1e-6)
    assert charge_energy_j(curve, start, end, 18000.0, 0.05, amps, volts) == pytest.approx(energy_j, rel=1e-6)


def test_a_capacitor_through_a_resistor() -> None:
    """A straight curve is a capacitor of Q/dE: i = i0 exp(-t/RC). From the knee at 2 A to 0.5 A: RC ln 4."""
    farad = 3600.0 / 1.0
    knee = knee_fraction(STRAIGHT, 0.1, 2.0, 4.0)
    end = tapered_fraction(STRAIGHT, 0.1, 0.5, 4.0)
    assert (knee, end) == (pytest.approx(0.8), pytest.approx(0.95))
    found = charge_time_s(STRAIGHT, knee, end, 3600.0, 0.1, 2.0, 4.0)
    assert found == pytest.approx(0.1 * farad * log(4.0), rel=1e-12)
    assert 2.0 * exp(-found / (0.1 * farad)) == pytest.approx(0.5)


def test_a_charger_of_too_little_voltage_never_gets_there() -> None:
    """3.5 V on a curve from 3 to 4 V: half, and that only in the limit."""
    assert charge_time_s(STRAIGHT, 0.0, 0.49, 3600.0, 0.1, 2.0, 3.5) < inf
    assert charge_time_s(STRAIGHT, 0.0, 0.5, 3600.0, 0.1, 2.0, 3.5) == inf
    assert charge_time_s(STRAIGHT, 0.0, 0.6, 3600.0, 0.1, 2.0, 3.5) == inf


def test_nothing_to_do() -> None:
    assert charge_time_s(STRAIGHT, 0.7, 0.7, 3600.0, 0.1, 2.0, 4.0) == 0.0
    assert charge_time_s(STRAIGHT, 0.7, 0.2, 3600.0, 0.1, 2.0, 4.0) == 0.0
    assert charge_energy_j(STRAIGHT, 0.7, 0.2, 3600.0, 0.1, 2.0, 4.0) == 0.0


@pytest.mark.parametrize(
    "wrong",
    [
        {"capacity_coulomb": 0.0},
        {"resistance_ohm": 0.0},
        {"current_a": 0.0},
        {"start_fraction": -0.1},
        {"end_fraction": 1.1},
        {"curve_fraction_v": [(0.0, 3.0)]},
    ],
    ids=lambda wrong: next(iter(wrong)),
)
def test_what_cannot_be(wrong: dict[str, object]) -> None:
    right: dict[str, object] = {
        "curve_fraction_v": STRAIGHT,
        "start_fraction": 0.0,
        "end_fraction": 1.0,
        "capacity_coulomb": 3600.0,
        "resistance_ohm": 0.1,
        "current_a": 2.0,
        "output_v": 4.2,
    }
    with pytest.raises(ValueError, match=r"above 0|outside the curve|two points"):
        charge_time_s(**{**right, **wrong})  # type: ignore[arg-type]
