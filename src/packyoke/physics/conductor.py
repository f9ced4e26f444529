"""Copper conductors: gauge, resistance, ambient correction."""

from __future__ import annotations

import math

ZERO_CELSIUS_K = 273.15
# IEC 60028:1925, annealed copper at 20 degC.
COPPER_RESISTIVITY20_OHM_M = 1.7241e-8
# Temperature below 0 degC at which the straight line of copper's resistance reaches zero: 1/0.00393 - 20 (IEC 60028).
COPPER_ZERO_RESISTANCE_K = ZERO_CELSIUS_K - 234.5


def awg_diameter_m(gauge_number: float) -> float:
    """Diameter of a solid conductor from its American Wire Gauge number.

        d = 0.127 mm x 92^((36 - n)/39)

    Parameters
        gauge_number: gauge; 1/0 is 0, 2/0 is -1, 4/0 is -3 [-]
    Returns
        diameter [m]
    Valid
        4/0 to 40 AWG; gauges between the whole numbers are read off the same progression.
    Raises
        ValueError: gauge outside 4/0 to 40 AWG.
    Reference
        ASTM B258-02, definition (36 AWG is 0.0050 in, 4/0 is 0.4600 in, 39 equal ratios between them).

    >>> f"{awg_diameter_m(12) * 1e3:.4f} mm, {awg_diameter_m(-3) / 25.4e-3:.4f} in"
    '2.0525 mm, 0.4600 in'
    """
    if not -3.0 <= gauge_number <= 40.0:
        raise ValueError(f"gauge {gauge_number} is outside 4/0 to 40 AWG")
    return float(0.127e-3 * 92.0 ** ((36.0 - gauge_number) / 39.0))


def awg_area_m2(gauge_number: float) -> float:
    """Copper area from the American Wire Gauge number.

        A = pi/4 d^2

    Parameters
        gauge_number: gauge; 1/0 is 0, 2/0 is -1, 4/0 is -3 [-]
    Returns
        copper area, the same for solid and stranded conductors of that gauge [m2]
    Valid
        4/0 to 40 AWG.
    Raises
        ValueError: gauge outside 4/0 to 40 AWG.
    Reference
        ASTM B258-02, definition.

    >>> f"{awg_area_m2(10) * 1e6:.3f} mm2"
    '5.261 mm2'
    """
    return math.pi / 4.0 * awg_diameter_m(gauge_number) ** 2


def strand_bundle_diameter_m(area_m2: float) -> float:
    """Diameter over the strands of a stranded conductor.

        d = sqrt(4 A/(pi 7/9)): seven equal strands fill 7/9 of their circle

    Parameters
        area_m2: copper area [m2]
    Returns
        diameter [m]
    Valid
        7 strands exactly; 19 and more fill 0.73 to 0.79.
    Raises
        ValueError: area not above zero.
    Reference
        geometry; NEC (NFPA 70) chapter 9 table 8 prints 0.116 in for stranded 10 AWG (memory).

    >>> f"{strand_bundle_diameter_m(awg_area_m2(10)) / 25.4e-3:.3f} in"
    '0.116 in'
    """
    if not area_m2 > 0.0:
        raise ValueError("copper area must be above 0")
    return math.sqrt(4.0 * area_m2 / (math.pi * 7.0 / 9.0))


def resistance_temperature_factor(temperature_k: float) -> float:
    """Resistance of copper at a temperature over that at 20 degC.

        R(T)/R20 = (234.5 + T)/(234.5 + 20), T in degrees Celsius

    Parameters
        temperature_k: conductor temperature [K]
    Returns
        factor, 1 at 20 degC [-]
    Valid
        -50 to 200 degC; the straight line is the convention of the tables, also used above that.
    Raises
        ValueError: temperature at or below -234.5 degC, where the line gives no resistance.
    Reference
        IEC 60028:1925 (0.00393 per kelvin at 20 degC).

    >>> f"{resistance_temperature_factor(75 + 273.15):.3f}"
    '1.216'
    """
    if not temperature_k > COPPER_ZERO_RESISTANCE_K:
        raise ValueError("copper temperature must be above -234.5 degC")
    return (temperature_k - COPPER_ZERO_RESISTANCE_K) / 254.5


def copper_resistivity_ohm_m(temperature_k: float) -> float:
    """Resistivity of annealed copper at a temperature.

        rho(T) = 0.017241 ohm mm2/m x R(T)/R20

    Parameters
        temperature_k: conductor temperature [K]
    Returns
        resistivity [ohm m]
    Valid
        -50 to 200 degC; tinned strands and hard copper have more.
    Raises
        ValueError: temperature at or below -234.5 degC.
    Reference
        IEC 60028:1925.

    >>> f"{copper_resistivity_ohm_m(293.15) * 1e6:.6f} ohm mm2/m"
    '0.017241 ohm mm2/m'
    """
    return COPPER_RESISTIVITY20_OHM_M * resistance_temperature_factor(temperature_k)


def resistance_per_length_ohm_per_m(area_m2: float, temperature_k: float, lay_factor: float) -> float:
    """Resistance of one conductor for each metre of cable.

        R' = lay x rho(T)/A

    Parameters
        area_m2: copper area, not the nominal section of a label [m2]
        temperature_k: conductor temperature [K]
        lay_factor: length of the strands over that of the cable; 1 for a solid wire [-]
    Returns
        resistance for each metre [ohm/m]
    Valid
        direct current, annealed copper.
    Raises
        ValueError: area not above zero, lay factor below 1, temperature at or below -234.5 degC.
    Reference
        IEC 60028:1925; NEC (NFPA 70) chapter 9 table 8 prints 1.24 ohm/kft for stranded 10 AWG at 75 degC.

    >>> ohm_per_m = resistance_per_length_ohm_per_m(awg_area_m2(10), 75 + 273.15, 1.02)
    >>> f"{ohm_per_m * 304.8:.2f} ohm/kft"
    '1.24 ohm/kft'
    """
    if not area_m2 > 0.0:
        raise ValueError("copper area must be above 0")
    if not lay_factor >= 1.0:
        raise ValueError("strands cannot be shorter than their cable")
    return lay_factor * copper_resistivity_ohm_m(temperature_k) / area_m2


def ambient_factor(insulation_k: float, ambient_k: float, reference_k: float = 30.0 + ZERO_CELSIUS_K) -> float:
    """What table amps are multiplied with in air of another temperature than the table's.

        F = sqrt((Tc - Ta)/(Tc - Tref))

    Parameters
        insulation_k: highest temperature of the insulation [K]
        ambient_k: temperature of the air [K]
        reference_k: air temperature of the table [K]
    Returns
        factor, above 1 in cooler air (whoever takes no bonus from cold caps it at 1) [-]
    Valid
        heat made grows with the square of the current, heat lost with the rise; printed tables follow within 0.012.
    Raises
        ValueError: air or table at or above the temperature of the insulation.
    Reference
        NEC (NFPA 70) 310.15(B) equation; its table prints 0.82 for 90 degC wire in air of 50 degC.

    >>> f"{ambient_factor(363.15, 323.15):.2f}"
    '0.82'
    """
    if not insulation_k > reference_k:
        raise ValueError("insulation must stand more than the air temperature of the table")
    if not ambient_k < insulation_k:
        raise ValueError("the air is as hot as the insulation may get: no current is allowed")
    return math.sqrt((insulation_k - ambient_k) / (insulation_k - reference_k))
