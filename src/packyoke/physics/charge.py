"""Charging at a constant current, then at a constant voltage while the current falls: exact on a curve of straight
pieces."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, log1p

from packyoke.physics.cell import Curve, curve_charge_fraction, curve_v


def knee_fraction(curve_fraction_v: Curve, resistance_ohm: float, current_a: float, output_v: float) -> float:
    """State of charge at which a charger stops giving all its current, because the pack has come up to its voltage.

        E(s) + I R = V

    Parameters
        curve_fraction_v: open-circuit voltage of the pack, state of charge and voltage rising [- and V]
        resistance_ohm: of the pack and the way to it [ohm]
        current_a: of the charger [A]
        output_v: what the charger holds at the end [V]
    Returns
        state of charge; 0 or 1 where that lies beyond the ends of the curve [-]
    Valid
        a charger that holds its current and then its voltage.
    Raises
        ValueError: fewer than two points, resistance or current not above zero.
    Reference
        Ohm's law.

    >>> f"{knee_fraction([(0.0, 3.0), (1.0, 4.0)], 0.1, 2.0, 4.0):.3f}"
    '0.800'
    """
    _positive(resistance_ohm, current_a)
    return curve_charge_fraction(curve_fraction_v, output_v - current_a * resistance_ohm)


def tapered_fraction(curve_fraction_v: Curve, resistance_ohm: float, taper_a: float, output_v: float) -> float:
    """State of charge at which the current of a charger that holds its voltage has fallen to a last one.

        E(s) = V - i R

    Parameters
        curve_fraction_v: open-circuit voltage of the pack, state of charge and voltage rising [- and V]
        resistance_ohm: of the pack and the way to it [ohm]
        taper_a: current at which it counts as full [A]
        output_v: what the charger holds [V]
    Returns
        state of charge; 1 where the curve ends before [-]
    Valid
        as `knee_fraction`.
    Raises
        ValueError: fewer than two points, resistance or current not above zero.
    Reference
        Ohm's law.

    >>> f"{tapered_fraction([(0.0, 3.0), (1.0, 4.0)], 0.1, 0.5, 4.0):.3f}"
    '0.950'
    """
    return knee_fraction(curve_fraction_v, resistance_ohm, taper_a, output_v)


def charge_time_s(
    curve_fraction_v: Curve,
    start_fraction: float,
    end_fraction: float,
    capacity_coulomb: float,
    resistance_ohm: float,
    current_a: float,
    output_v: float,
) -> float:
    """Time from one state of charge to another at a constant current, then at a constant voltage.

        t = Q (s_k - s)/I, then on each piece Q R/(dE/ds) ln(i0/i1) = Q ds ln(i0/i1)/(i0 - i1), i = (V - E)/R

    Parameters
        curve_fraction_v: open-circuit voltage of the pack, state of charge and voltage rising [- and V]
        start_fraction: state of charge at the start [-]
        end_fraction: state of charge that is wanted [-]
        capacity_coulomb: charge from empty to full [C]
        resistance_ohm: of the pack and the way to it, the same all the time [ohm]
        current_a: of the charger [A]
        output_v: what the charger holds at the end [V]
    Returns
        time; nothing where it is there already, infinite where the charger never gets there [s]
    Valid
        exact for a pack that is its curve behind a resistance. Cells lag behind that: see `tests/cross`.
    Raises
        ValueError: states outside the curve, capacity, resistance or current not above zero.
    Reference
        the constant-voltage part is a capacitor charged through a resistor, on each piece.

    >>> f"{charge_time_s([(0.0, 3.0), (1.0, 4.0)], 0.0, 0.8, 3600.0, 0.1, 2.0, 4.0):.0f} s"
    '1440 s'
    >>> f"{charge_time_s([(0.0, 3.0), (1.0, 4.0)], 0.8, 0.95, 3600.0, 0.1, 2.0, 4.0) / (360 * log1p(3.0)):.6f}"
    '1.000000'
    """
    if not capacity_coulomb > 0.0:
        raise ValueError("capacity must be above 0")
    knee = knee_fraction(curve_fraction_v, resistance_ohm, current_a, output_v)
    curve_v(curve_fraction_v, start_fraction)
    curve_v(curve_fraction_v, end_fraction)
    coulomb = max(0.0, min(end_fraction, knee) - start_fraction) * capacity_coulomb
    time_s = coulomb / current_a
    for start, end in _pieces(curve_fraction_v, max(start_fraction, knee), end_fraction):
        first_a = min(current_a, (output_v - curve_v(curve_fraction_v, start)) / resistance_ohm)
        last_a = min(current_a, (output_v - curve_v(curve_fraction_v, end)) / resistance_ohm)
        if not last_a > 0.0:
            return inf
        fallen_a = first_a - last_a
        per_ampere = log1p(fallen_a / last_a) / fallen_a if fallen_a > 1e-12 * last_a else 1.0 / last_a
        time_s += (end - start) * capacity_coulomb * per_ampere
    return time_s


def charge_energy_j(
    curve_fraction_v: Curve,
    start_fraction: float,
    end_fraction: float,
    capacity_coulomb: float,
    resistance_ohm: float,
    current_a: float,
    output_v: float,
) -> float:
    """Energy that the charger puts into a pack between two states of charge, the heat in its resistance with it.

        W = Q (integral of E ds + I R ds) up to the knee, Q V ds from there

    Parameters
        curve_fraction_v: open-circuit voltage of the pack, state of charge and voltage rising [- and V]
        start_fraction: state of charge at the start [-]
        end_fraction: state of charge at the end [-]
        capacity_coulomb: charge from empty to full [C]
        resistance_ohm: of the pack and the way to it [ohm]
        current_a: of the charger [A]
        output_v: what the charger holds at the end [V]
    Returns
        energy; nothing where the end is not above the start [J]
    Valid
        as `charge_time_s`, and only for an end that the charger reaches.
    Raises
        ValueError: states outside the curve, capacity, resistance or current not above zero.
    Reference
        definition.

    >>> f"{charge_energy_j([(0.0, 3.0), (1.0, 4.0)], 0.0, 1.0, 3600.0, 0.1, 2.0, 4.0) / 3600:.2f} Wh"
    '3.68 Wh'
    """
    if not capacity_coulomb > 0.0:
        raise ValueError("capacity must be above 0")
    knee = knee_fraction(curve_fraction_v, resistance_ohm, current_a, output_v)
    volts = output_v * max(0.0, end_fraction - max(start_fraction, knee))
    for start, end in _pieces(curve_fraction_v, start_fraction, min(end_fraction, knee)):
        middle_v = (curve_v(curve_fraction_v, start) + curve_v(curve_fraction_v, end)) / 2
        volts += (end - start) * (middle_v + current_a * resistance_ohm)
    return capacity_coulomb * volts


def _pieces(curve: Curve, start: float, end: float) -> Sequence[tuple[float, float]]:
    """The pieces of the curve between two states of charge, those at the ends cut there."""
    found, before = [], start
    for fraction in (*(fraction for fraction, _ in curve if start < fraction < end), end):
        if fraction > before:
            found.append((before, fraction))
        before = fraction
    return found


def _positive(resistance_ohm: float, current_a: float) -> None:
    if not (resistance_ohm > 0.0 and current_a > 0.0):
        raise ValueError("resistance and current must be above 0")
