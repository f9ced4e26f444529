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


def curve_slope_v(curve_fraction_v: Curve, charge_fraction: float) -> float:
    """How steep the curve is: change of voltage over change of state of charge, on the piece that holds the point.

        dE/ds = (E_(i+1) - E_i)/(s_(i+1) - s_i)

    Parameters
        curve_fraction_v: points, state of charge rising [- and V]
        charge_fraction: state of charge, 0 to 1; on a knot the piece below it counts [-]
    Returns
        slope for the whole charge [V]
    Valid
        between the first and the last point.
    Raises
        ValueError: state of charge outside the curve, fewer than two points.
    Reference
        definition.

    >>> curve_slope_v([(0.0, 3.0), (0.5, 3.5), (1.0, 4.2)], 0.25)
    1.0
    """
    (start, start_v), (end, end_v) = _piece(curve_fraction_v, charge_fraction)
    return (end_v - start_v) / (end - start)


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


def rush_current_a(difference_v: float, total_ohm: float) -> float:
    """Current at the moment when two packs are put straight onto each other.

        I0 = dV/(R1 + R2 + R_leads)

    Parameters
        difference_v: voltage of the fuller pack less that of the other, both rested [V]
        total_ohm: both packs, leads and contacts [ohm]
    Returns
        current out of the fuller pack [A]
    Valid
        first moment; the resistance of the first milliseconds is lower than that of 10 s.
    Raises
        ValueError: resistance not above zero.
    Reference
        Ohm's law; 54.6 V onto 48.0 V through 0.32 ohm: 20.625 A.

    >>> f"{rush_current_a(54.6 - 48.0, 0.32):.3f} A"
    '20.625 A'
    """
    if not total_ohm > 0.0:
        raise ValueError("resistance must be above 0")
    return difference_v / total_ohm


def capacity_coulomb_per_volt(capacity_coulomb: float, slope_v: float) -> float:
    """Charge that lifts a pack's rested voltage by one volt: the pack seen as a capacitor.

        C = Q/(dE/ds)

    Parameters
        capacity_coulomb: charge from empty to full [C]
        slope_v: slope of the pack's curve at its state of charge, for the whole charge [V]
    Returns
        charge for each volt [C/V]
    Valid
        small changes, on one piece of the curve.
    Raises
        ValueError: capacity or slope not above zero.
    Reference
        definition; 14 Ah, 13s at 54 %: 4038 F.

    >>> f"{capacity_coulomb_per_volt(14 * 3600, 13 * 0.048 / 0.05):.0f} F"
    '4038 F'
    """
    if not (capacity_coulomb > 0.0 and slope_v > 0.0):
        raise ValueError("capacity and slope must be above 0")
    return capacity_coulomb / slope_v


def rush_time_constant_s(total_ohm: float, first_coulomb_per_volt: float, second_coulomb_per_volt: float) -> float:
    """Time after which the rush between two packs has fallen to 37 %.

        tau = R C1 C2/(C1 + C2)

    Parameters
        total_ohm: both packs, leads and contacts [ohm]
        first_coulomb_per_volt: charge for each volt of one pack [C/V]
        second_coulomb_per_volt: charge for each volt of the other [C/V]
    Returns
        time constant [s]
    Valid
        small differences, both packs on one piece of their curves.
    Raises
        ValueError: anything not above zero.
    Reference
        two capacitors through a resistor; 0.32 ohm and twice 4038 F: 646 s.

    >>> f"{rush_time_constant_s(0.32, 4038, 4038):.0f} s"
    '646 s'
    """
    if not (total_ohm > 0.0 and first_coulomb_per_volt > 0.0 and second_coulomb_per_volt > 0.0):
        raise ValueError("resistance and capacities must be above 0")
    return (
        total_ohm
        * first_coulomb_per_volt
        * second_coulomb_per_volt
        / (first_coulomb_per_volt + second_coulomb_per_volt)
    )


def _piece(curve_fraction_v: Curve, charge_fraction: float) -> tuple[tuple[float, float], tuple[float, float]]:
    if len(curve_fraction_v) < 2:
        raise ValueError("a curve has two points at least")
    if charge_fraction >= curve_fraction_v[0][0]:
        for index in range(1, len(curve_fraction_v)):
            if charge_fraction <= curve_fraction_v[index][0]:
                return curve_fraction_v[index - 1], curve_fraction_v[index]
    raise ValueError(f"state of charge {charge_fraction} is outside the curve")
