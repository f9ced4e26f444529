"""Cells and packs: curves, resistance, packs put straight onto each other."""

from __future__ import annotations

from collections.abc import Sequence

Curve = Sequence[tuple[float, float]]


def curve_v(curve_fraction_v: Curve, charge_fraction: float) -> float:
    """Voltage at a state of charge on a curve of straight pieces.

        E = E_i + (s - s_i) (E_(i+1) - E_i)/(s_(i+1) - s_i)

    Parameters
        curve_fraction_v: points, state of charge rising [- and V]
        charge_fraction: state of charge, 0 to 1 [-]
    Returns
        voltage [V]
    Valid
        between the first and the last point.
    Raises
        ValueError: state of charge outside the curve, fewer than two points.
    Reference
        definition.

    >>> curve_v([(0.0, 3.0), (0.5, 3.7), (1.0, 4.2)], 0.25)
    3.35
    """
    (start, start_v), (end, end_v) = _piece(curve_fraction_v, charge_fraction)
    return start_v + (charge_fraction - start) * (end_v - start_v) / (end - start)


def curve_charge_fraction(curve_fraction_v: Curve, voltage_v: float) -> float:
    """State of charge at a rested voltage, on a curve of straight pieces.

        s = s_i + (E - E_i) (s_(i+1) - s_i)/(E_(i+1) - E_i)

    Parameters
        curve_fraction_v: points, state of charge and voltage both rising [- and V]
        voltage_v: rested voltage [V]
    Returns
        state of charge; 0 below and 1 above the curve's ends [-]
    Valid
        layered oxides, to about 17 points; an LFP voltage says nothing about the charge.
    Raises
        ValueError: fewer than two points.
    Reference
        definition.

    >>> curve_charge_fraction([(0.0, 3.0), (0.5, 3.7), (1.0, 4.2)], 3.35)
    0.25
    """
    if len(curve_fraction_v) < 2:
        raise ValueError("a curve has two points at least")
    start, start_v = curve_fraction_v[0]
    for end, end_v in curve_fraction_v:
        if voltage_v <= end_v:
            return start if end_v == start_v else start + (voltage_v - start_v) * (end - start) / (end_v - start_v)
        start, start_v = end, end_v
    return start


def pack_resistance_ohm(series_count: int, parallel_count: float, cell_ohm: float, extra_ohm: float) -> float:
    """Resistance of a pack at its outlet.

        R = n_s/n_p x R_cell + R_extra

    Parameters
        series_count: cells in series [-]
        parallel_count: cells in parallel [-]
        cell_ohm: resistance of one cell [ohm]
        extra_ohm: protection circuit, leads and contacts [ohm]
    Returns
        pack resistance [ohm]
    Valid
        equal cells.
    Raises
        ValueError: counts below 1, resistances below zero.
    Reference
        Ohm's law; 13s4p of 45 mohm cells and 15 mohm besides: 161.25 mohm.

    >>> f"{pack_resistance_ohm(13, 4, 0.045, 0.015) * 1e3:.2f} mohm"
    '161.25 mohm'
    """
    if not (series_count >= 1 and parallel_count >= 1):
        raise ValueError("a pack has one cell at least")
    if not (cell_ohm >= 0.0 and extra_ohm >= 0.0):
        raise ValueError("resistance cannot be below 0")
    return series_count / parallel_count * cell_ohm + extra_ohm


def _piece(curve_fraction_v: Curve, charge_fraction: float) -> tuple[tuple[float, float], tuple[float, float]]:
    if len(curve_fraction_v) < 2:
        raise ValueError("a curve has two points at least")
    if charge_fraction >= curve_fraction_v[0][0]:
        for index in range(1, len(curve_fraction_v)):
            if charge_fraction <= curve_fraction_v[index][0]:
                return curve_fraction_v[index - 1], curve_fraction_v[index]
    raise ValueError(f"state of charge {charge_fraction} is outside the curve")
