"""Road load of a bicycle: what air, tyres, bearings, hills and starts take, and the speed that a power gives."""

from __future__ import annotations

import math

from packyoke.physics.conductor import ZERO_CELSIUS_K

GRAVITY_M_S2 = 9.80665
"""Standard gravity, 3rd CGPM 1901."""
CHAIN_FRACTION = 0.976
"""What a chain passes on: Martin et al. 1998."""
SPOKES_AREA_M2 = 0.0044
"""Drag area of turning wheels (the paper's F_w): Martin et al. 1998."""
BEARING_J_PER_M, BEARING_S_J_PER_M2 = 0.091, 0.0087
"""Wheel bearings, (91 + 8.7 V) 1e-3 newton: Martin et al. 1998."""
WHEELS_KG = 0.14 / 0.311**2
"""Both wheels as a mass at the rim, I/r^2 with the paper's 0.14 kg m2 and 0.311 m: Martin et al. 1998."""
DRY_AIR_J_PER_KG_K, VAPOUR_J_PER_KG_K = 287.058, 461.495
STANDARD_PA = 101325.0
WIND_ALL_BEARINGS, WIND_OUT_AND_BACK, WIND_ALONG_ONLY = 0.75, 1.0, 0.5


def air_density_kg_m3(temperature_k: float, pressure_pa: float = STANDARD_PA, humidity_fraction: float = 0.0) -> float:
    """Density of air, as a mixture of two ideal gases.

        rho = (p - e)/(R_d T) + e/(R_v T), e = phi 611.2 exp(17.62 t/(243.12 + t))

    Parameters
        temperature_k: temperature [K]
        pressure_pa: air pressure [Pa]
        humidity_fraction: relative humidity, 0 to 1 [-]
    Returns
        density [kg/m3]
    Valid
        -45 to 60 degC.
    Raises
        ValueError: temperature or pressure not above zero, humidity outside 0 to 1.
    Reference
        ISO 2533 for dry air (1.225 at 15 degC), Magnus formula for vapour; both from memory.

    >>> round(air_density_kg_m3(288.15), 3), round(air_density_kg_m3(263.15), 3)
    (1.225, 1.341)
    """
    if not temperature_k > 0.0 or not pressure_pa > 0.0 or not 0.0 <= humidity_fraction <= 1.0:
        raise ValueError("air has a temperature and a pressure above 0 and a humidity from 0 to 1")
    celsius = temperature_k - ZERO_CELSIUS_K
    vapour_pa = humidity_fraction * 611.2 * math.exp(17.62 * celsius / (243.12 + celsius)) if humidity_fraction else 0.0
    return ((pressure_pa - vapour_pa) / DRY_AIR_J_PER_KG_K + vapour_pa / VAPOUR_J_PER_KG_K) / temperature_k


def drag_j_per_m(
    speed_m_s: float,
    drag_area_m2: float,
    density_kg_m3: float,
    headwind_m_s: float = 0.0,
    wind_m_s: float = 0.0,
    wind_factor: float = WIND_ALL_BEARINGS,
) -> float:
    """Force of the air against the bike, as energy for each metre: a steady wind from ahead, or a wind that turns.

        F = rho/2 (CdA + 0.0044) ((v + h) |v + h| + k w^2)

    Parameters
        speed_m_s: road speed [m/s]
        drag_area_m2: drag area of rider and bike [m2]
        density_kg_m3: of the air [kg/m3]
        headwind_m_s: part of a steady wind that comes from ahead, w cos(angle); negative from behind [m/s]
        wind_m_s: wind from any side on the way, at rider height [m/s]
        wind_factor: k: 0.75 mean over all bearings, 1 out and back along the wind, 0.5 axial part only [-]
    Returns
        force [J/m]
    Valid
        k = 0.75 within 0.2 % of the exact mean for a wind of 0.4 times the speed.
    Raises
        ValueError: a negative speed, area or density.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291; k: own derivation.

    >>> round(8.36 * drag_j_per_m(8.36, 0.9 * 0.285, 1.2234, 2.94 * math.cos(math.radians(30))))
    159
    """
    if speed_m_s < 0.0 or drag_area_m2 < 0.0 or density_kg_m3 < 0.0:
        raise ValueError("speed, drag area and density are not below 0")
    through_m_s = speed_m_s + headwind_m_s
    squared = through_m_s * abs(through_m_s) + wind_factor * wind_m_s * wind_m_s
    return 0.5 * density_kg_m3 * (drag_area_m2 + SPOKES_AREA_M2) * squared


def rolling_j_per_m(mass_kg: float, rolling_factor: float, grade_fraction: float = 0.0) -> float:
    """Force that rolling takes, as energy for each metre.

        F = C_rr m g cos(atan G)

    Parameters
        mass_kg: everything that rolls [kg]
        rolling_factor: coefficient of rolling resistance [-]
        grade_fraction: climb over the way along the ground [-]
    Returns
        force [J/m]
    Valid
        the coefficient is that of one tyre, pressure and surface; both move it by a factor of two.
    Raises
        ValueError: a negative mass or coefficient.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291.

    >>> round(8.36 * rolling_j_per_m(90.0, 0.0032, 0.003), 1)
    23.6
    """
    if mass_kg < 0.0 or rolling_factor < 0.0:
        raise ValueError("mass and rolling resistance are not below 0")
    return rolling_factor * mass_kg * GRAVITY_M_S2 / math.hypot(1.0, grade_fraction)


def bearing_j_per_m(speed_m_s: float) -> float:
    """Force that the wheel bearings take, as energy for each metre.

        F = (91 + 8.7 v) 1e-3

    Parameters
        speed_m_s: road speed [m/s]
    Returns
        force [J/m]
    Valid
        bicycle wheels.
    Raises
        ValueError: a negative speed.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291.

    >>> round(8.36 * bearing_j_per_m(8.36), 1)
    1.4
    """
    if speed_m_s < 0.0:
        raise ValueError("speed is not below 0")
    return BEARING_J_PER_M + BEARING_S_J_PER_M2 * speed_m_s


def climbing_j_per_m(mass_kg: float, grade_fraction: float) -> float:
    """Force of gravity along the road, as energy for each metre; negative downhill.

        F = m g sin(atan G)

    Parameters
        mass_kg: everything that climbs [kg]
        grade_fraction: climb over the way along the ground [-]
    Returns
        force [J/m]
    Valid
        any road.
    Raises
        ValueError: a negative mass.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291.

    >>> round(8.36 * climbing_j_per_m(90.0, 0.003), 1)
    22.1
    """
    if mass_kg < 0.0:
        raise ValueError("mass is not below 0")
    return mass_kg * GRAVITY_M_S2 * grade_fraction / math.hypot(1.0, grade_fraction)


def kinetic_j(mass_kg: float, from_m_s: float, to_m_s: float, wheels_kg: float = WHEELS_KG) -> float:
    """Energy that a change of speed takes; negative when it gets slower.

        E = (m + I/r^2) (v_2^2 - v_1^2)/2

    Parameters
        mass_kg: everything that moves [kg]
        from_m_s: speed before [m/s]
        to_m_s: speed after [m/s]
        wheels_kg: inertia of both wheels as a mass at the rim, I/r^2 [kg]
    Returns
        energy [J]
    Valid
        any road.
    Raises
        ValueError: a negative mass.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291.

    >>> round(kinetic_j(90.0, 8.28, 8.45) / 56.42, 1)
    2.3
    """
    if mass_kg < 0.0 or wheels_kg < 0.0:
        raise ValueError("mass is not below 0")
    return 0.5 * (mass_kg + wheels_kg) * (to_m_s * to_m_s - from_m_s * from_m_s)


def resistance_j_per_m(
    speed_m_s: float,
    mass_kg: float,
    drag_area_m2: float,
    rolling_factor: float,
    density_kg_m3: float,
    wind_m_s: float = 0.0,
    grade_fraction: float = 0.0,
    headwind_m_s: float = 0.0,
) -> float:
    """All that holds the bike back at a steady speed, as energy for each metre; below 0 where it rolls by itself.

        F = F_air + F_rolling + F_bearings + F_climbing

    Parameters
        speed_m_s: road speed [m/s]
        mass_kg: bike, packs, rider and load [kg]
        drag_area_m2: drag area of rider and bike [m2]
        rolling_factor: coefficient of rolling resistance [-]
        density_kg_m3: of the air [kg/m3]
        wind_m_s: wind that turns to all bearings on the way [m/s]
        grade_fraction: climb over the way along the ground [-]
        headwind_m_s: part of a steady wind from ahead [m/s]
    Returns
        force [J/m]
    Valid
        as its parts: `drag_j_per_m`, `rolling_j_per_m`, `bearing_j_per_m`, `climbing_j_per_m`.
    Raises
        ValueError: as its parts.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291.

    >>> f"{20 / 3.6 * resistance_j_per_m(20 / 3.6, 93.3, 0.559, 0.0077, 1.225):.0f} W"
    '99 W'
    """
    return (
        drag_j_per_m(speed_m_s, drag_area_m2, density_kg_m3, headwind_m_s, wind_m_s)
        + rolling_j_per_m(mass_kg, rolling_factor, grade_fraction)
        + bearing_j_per_m(speed_m_s)
        + climbing_j_per_m(mass_kg, grade_fraction)
    )


def speed_at_power_m_s(
    power_w: float,
    mass_kg: float,
    drag_area_m2: float,
    rolling_factor: float,
    density_kg_m3: float,
    wind_m_s: float = 0.0,
    grade_fraction: float = 0.0,
    headwind_m_s: float = 0.0,
) -> float:
    """The highest steady speed that a power at the wheel holds.

        P = v F(v)

    Parameters
        power_w: at the wheel, not below zero [W]
        mass_kg: bike, packs, rider and load [kg]
        drag_area_m2: drag area of rider and bike [m2]
        rolling_factor: coefficient of rolling resistance [-]
        density_kg_m3: of the air [kg/m3]
        wind_m_s: wind that turns to all bearings on the way [m/s]
        grade_fraction: climb over the way along the ground [-]
        headwind_m_s: part of a steady wind from ahead [m/s]
    Returns
        speed, found by halving; 0 where even standing still takes more [m/s]
    Valid
        up to 60 m/s, as `resistance_j_per_m`.
    Raises
        ValueError: a negative power, and as `resistance_j_per_m`.
    Reference
        Martin et al. 1998, J. Appl. Biomech. 14:276-291: 213 W give 8.4 m/s in its example.

    >>> head_m_s = 2.94 * math.cos(math.radians(30))
    >>> round(speed_at_power_m_s(213 * 0.976, 90.0, 0.9 * 0.285, 0.0032, 1.2234, 0.0, 0.003, head_m_s), 1)
    8.4
    """
    if power_w < 0.0:
        raise ValueError("power is not below 0")
    low_m_s, high_m_s = 0.0, 60.0
    while high_m_s - low_m_s > 1e-6:
        middle_m_s = (low_m_s + high_m_s) / 2
        force_j_per_m = resistance_j_per_m(
            middle_m_s, mass_kg, drag_area_m2, rolling_factor, density_kg_m3, wind_m_s, grade_fraction, headwind_m_s
        )
        if middle_m_s * force_j_per_m <= power_w:
            low_m_s = middle_m_s
        else:
            high_m_s = middle_m_s
    return low_m_s
