"""Heat of leads and joiners: natural convection, conductor temperature, warming up, feedback through resistance."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from packyoke.physics.conductor import resistance_temperature_factor

STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374419e-8  # CODATA 2018, exact
STANDARD_GRAVITY_M_S2 = 9.80665  # ISO 80000-3
ATMOSPHERE_PA = 101325.0  # ISO 2533, sea level
AIR_GAS_CONSTANT_J_PER_KG_K = 287.053  # ISO 2533
AIR_HEAT_CAPACITY_J_PER_KG_K = 1007.0  # dry air near 300 K; Incropera et al., 6th ed., table A.4 (memory)
INSULATION_W_PER_M_K = 0.2  # silicone rubber and PVC: 0.17 to 0.22 (common practice)
INSULATION_EMISSIVITY_FRACTION = 0.9  # plastics and rubber in the far infrared (common practice)
COPPER_HEAT_CAPACITY_J_PER_M3_K = 3.45e6  # IEC 60949:1988 table 1
INSULATION_HEAT_CAPACITY_J_PER_M3_K = 1.7e6  # PVC, IEC 60853-2 (memory); silicone rubber has about as much
COPPER_MELTS_K = 1357.77  # ITS-90 fixed point


class NoSteadyState(ArithmeticError):
    """More heat is made than can leave at any temperature the part survives: thermal runaway."""


class Air(NamedTuple):
    """Dry air at sea level pressure."""

    conductivity_w_per_m_k: float
    viscosity_m2_s: float
    prandtl_number: float


def air(temperature_k: float) -> Air:
    """Properties of air for natural convection.

        mu and k after Sutherland: x = x0 (T/T0)^1.5 (T0 + S)/(T + S); nu = mu R T/p; Pr = mu cp/k

    Parameters
        temperature_k: mean of the surface and the air around [K]
    Returns
        conductivity, kinematic viscosity, Prandtl number [W/(m K), m2/s, -]
    Valid
        200 to 1000 K, dry, 101325 Pa; from 250 to 500 K within 3 % of Incropera et al., 6th ed., table A.4 (memory).
    Raises
        ValueError: temperature not above 0 K.
    Reference
        White, Viscous Fluid Flow, 2nd ed. 1991, tables 1-2 and 1-3 (constants from memory).

    >>> abs(air(300.0).conductivity_w_per_m_k / 26.3e-3 - 1.0) < 0.01
    True
    """
    if not temperature_k > 0.0:
        raise ValueError("temperature must be above 0 K")
    ratio = (temperature_k / 273.0) ** 1.5
    viscosity_pa_s = 1.716e-5 * ratio * (273.0 + 111.0) / (temperature_k + 111.0)
    conductivity = 0.0241 * ratio * (273.0 + 194.0) / (temperature_k + 194.0)
    density_kg_m3 = ATMOSPHERE_PA / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)
    return Air(
        conductivity, viscosity_pa_s / density_kg_m3, viscosity_pa_s * AIR_HEAT_CAPACITY_J_PER_KG_K / conductivity
    )


def churchill_chu_cylinder_nusselt(rayleigh_number: float, prandtl_number: float) -> float:
    """Nusselt number of natural convection around a long horizontal cylinder.

        Nu = (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2

    Parameters
        rayleigh_number: buoyancy, on the diameter [-]
        prandtl_number: of the fluid [-]
    Returns
        Nusselt number on the diameter [-]
    Valid
        Ra from 1e-5 to 1e12, still air, far from walls.
    Raises
        ValueError: Ra below zero, Pr not above zero.
    Reference
        Churchill and Chu 1975, Int. J. Heat Mass Transfer 18:1049-1053, equation 4; worked example of
        Incropera et al., 6th ed., 9.4: 23.3 (memory).

    >>> abs(churchill_chu_cylinder_nusselt(5.073e6, 0.697) / 23.3 - 1.0) < 0.01
    True
    """
    if not (rayleigh_number >= 0.0 and prandtl_number > 0.0):
        raise ValueError("Rayleigh number cannot be below 0, Prandtl number must be above 0")
    shape = (1.0 + (0.559 / prandtl_number) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return float((0.60 + 0.387 * rayleigh_number ** (1.0 / 6.0) / shape) ** 2)


def surface_loss_w_per_m(surface_k: float, ambient_k: float, diameter_m: float) -> float:
    """Heat that a horizontal cable gives to still air and to its surroundings.

        q = pi (Nu k (Ts - Ta) + eps sigma D (Ts^4 - Ta^4))

    Parameters
        surface_k: temperature of the surface [K]
        ambient_k: temperature of air and surroundings [K]
        diameter_m: outer diameter [m]
    Returns
        heat for each metre [W/m]
    Valid
        still air, emissivity 0.9, free on all sides.
    Raises
        ValueError: surface colder than the air, diameter not above zero.
    Reference
        Churchill and Chu 1975, equation 4; Stefan and Boltzmann.

    >>> surface_loss_w_per_m(303.15, 303.15, 0.004)
    0.0
    """
    if not (surface_k >= ambient_k and diameter_m > 0.0):
        raise ValueError("surface must not be colder than the air, diameter must be above 0")
    rise_k = surface_k - ambient_k
    film_k = 0.5 * (surface_k + ambient_k)
    film = air(film_k)
    grashof = STANDARD_GRAVITY_M_S2 * rise_k / film_k * diameter_m**3 / film.viscosity_m2_s**2
    nusselt = churchill_chu_cylinder_nusselt(grashof * film.prandtl_number, film.prandtl_number)
    convection = nusselt * film.conductivity_w_per_m_k * rise_k
    radiation = (
        INSULATION_EMISSIVITY_FRACTION * STEFAN_BOLTZMANN_W_PER_M2_K4 * diameter_m * (surface_k**4 - ambient_k**4)
    )
    return math.pi * (convection + radiation)


def conductor_temperature_k(
    current_a: float,
    resistance20_ohm_per_m: float,
    conductor_diameter_m: float,
    wall_m: float,
    ambient_k: float,
    surface_fraction: float = 1.0,
) -> float:
    """Temperature that a conductor settles at in still air.

        I^2 R20 (1 + alpha (Tc - 20)) = (Tc - Ts) 2 pi k/ln(D/d) = surface loss(Ts)

    Parameters
        current_a: current [A]
        resistance20_ohm_per_m: resistance of one conductor for each metre at 20 degC [ohm/m]
        conductor_diameter_m: over the strands [m]
        wall_m: thickness of the insulation [m]
        ambient_k: temperature of air and surroundings [K]
        surface_fraction: share of the surface that is free; 0.75 for two conductors side by side (estimate) [-]
    Returns
        conductor temperature [K]
    Valid
        an estimate, 25 % of the rise either way; leads of 0.2 m and more (the connectors rule shorter ones).
    Raises
        ValueError: current no number; resistance, diameter, wall, surface or ambient out of range.
        NoSteadyState: the copper would melt before heat made and heat lost are equal.
    Reference
        Churchill and Chu 1975, equation 4; FAA AC 43.13-1B figure 11-4a: 14 AWG at 47 A rises 150 K.

    >>> from packyoke.physics.conductor import strand_bundle_diameter_m
    >>> over_strands_m = strand_bundle_diameter_m(1.941e-6)
    >>> rise_k = conductor_temperature_k(47.0, 10.04e-3, over_strands_m, 0.4e-3, 323.15) - 323.15
    >>> abs(rise_k / 150.0 - 1.0) < 0.1
    True
    """
    if not (resistance20_ohm_per_m >= 0.0 and conductor_diameter_m > 0.0 and wall_m >= 0.0):
        raise ValueError("resistance and wall cannot be below 0, diameter must be above 0")
    if not 0.0 < surface_fraction <= 1.0:
        raise ValueError("the free share of the surface is above 0 and at most 1")
    if math.isnan(current_a):
        raise ValueError("current must be a number")
    outer_m = conductor_diameter_m + 2.0 * wall_m
    wall_k_m_per_w = math.log(outer_m / conductor_diameter_m) / (2.0 * math.pi * INSULATION_W_PER_M_K)
    loss20_w_per_m = current_a**2 * resistance20_ohm_per_m

    def too_cool_w_per_m(surface_k: float) -> float:
        lost = surface_fraction * surface_loss_w_per_m(surface_k, ambient_k, outer_m)
        return loss20_w_per_m * resistance_temperature_factor(surface_k + lost * wall_k_m_per_w) - lost

    if loss20_w_per_m == 0.0:
        return ambient_k
    surface_k = _root(too_cool_w_per_m, ambient_k, COPPER_MELTS_K)
    lost = surface_fraction * surface_loss_w_per_m(surface_k, ambient_k, outer_m)
    conductor_k = surface_k + lost * wall_k_m_per_w
    if conductor_k >= COPPER_MELTS_K:
        raise NoSteadyState("the copper melts before the heat can leave")
    return conductor_k


def time_constant_s(
    copper_m2: float, conductor_diameter_m: float, wall_m: float, loss_w_per_m: float, rise_k: float
) -> float:
    """Time after which a lead has warmed by 63 % of its final rise.

        tau = C' dT/q, C' = heat capacity of copper and insulation for each metre

    Parameters
        copper_m2: copper area [m2]
        conductor_diameter_m: over the copper [m]
        wall_m: thickness of the insulation [m]
        loss_w_per_m: heat made for each metre at the final temperature [W/m]
        rise_k: final rise [K]
    Returns
        time constant [s]
    Valid
        one lump: copper and insulation warm up together.
    Raises
        ValueError: anything below zero, heat not above zero.
    Reference
        IEC 60949:1988 table 1 (copper); definition.

    >>> f"{time_constant_s(3.31e-6, 2.05e-3, 0.0, 10.0, 50.0):.1f} s"
    '57.1 s'
    """
    if not (copper_m2 >= 0.0 and conductor_diameter_m >= 0.0 and wall_m >= 0.0 and rise_k >= 0.0):
        raise ValueError("area, diameter, wall and rise cannot be below 0")
    if not loss_w_per_m > 0.0:
        raise ValueError("heat must be above 0")
    insulation_m2 = math.pi * wall_m * (conductor_diameter_m + wall_m)
    capacity_j_per_m_k = (
        COPPER_HEAT_CAPACITY_J_PER_M3_K * copper_m2 + INSULATION_HEAT_CAPACITY_J_PER_M3_K * insulation_m2
    )
    return capacity_j_per_m_k * rise_k / loss_w_per_m


def rise_fraction(time_s: float, time_constant_s: float) -> float:
    """Share of its final rise that a part has reached after a time.

        f = 1 - exp(-t/tau)

    Parameters
        time_s: time since the current began, the part cold before [s]
        time_constant_s: time constant of the part [s]
    Returns
        share of the final rise [-]
    Valid
        one lump, constant heat.
    Raises
        ValueError: time below zero, time constant not above zero.
    Reference
        definition of the time constant: 63.2 % after one, 95 % after three.

    >>> f"{rise_fraction(120.0, 120.0):.3f} {rise_fraction(360.0, 120.0):.2f}"
    '0.632 0.95'
    """
    if not (time_s >= 0.0 and time_constant_s > 0.0):
        raise ValueError("time cannot be below 0, time constant must be above 0")
    return -math.expm1(-time_s / time_constant_s)


def diode_loss_w(current_a: float, forward_v: float) -> float:
    """Heat of a diode.

        P = I Vf

    Parameters
        current_a: current through it [A]
        forward_v: forward voltage at that current [V]
    Returns
        heat [W]
    Valid
        conducting; leakage of the blocking path left out.
    Raises
        ValueError: current or voltage below zero.
    Reference
        definition; 20 A at 0.55 V: 11 W.

    >>> f"{diode_loss_w(20.0, 0.55):.1f} W"
    '11.0 W'
    """
    if not (current_a >= 0.0 and forward_v >= 0.0):
        raise ValueError("current and forward voltage cannot be below 0")
    return current_a * forward_v


def mosfet_loss_w(current_a: float, resistance_ohm: float) -> float:
    """Heat of a conducting MOSFET or any resistance.

        P = I^2 R

    Parameters
        current_a: current through it [A]
        resistance_ohm: resistance at its temperature [ohm]
    Returns
        heat [W]
    Valid
        conducting; losses of its drive left out.
    Raises
        ValueError: resistance below zero.
    Reference
        Joule's law; 20 A through 3.2 mohm: 1.28 W.

    >>> f"{mosfet_loss_w(20.0, 3.2e-3):.2f} W"
    '1.28 W'
    """
    if not resistance_ohm >= 0.0:
        raise ValueError("resistance cannot be below 0")
    return current_a**2 * resistance_ohm


def joiner_temperature_k(
    loss_w: float, thermal_resistance_k_per_w: float, ambient_k: float, coefficient_per_k: float
) -> float:
    """Temperature that a joiner's body settles at when its resistance grows with it.

        dT = P0 R/(1 - P0 R alpha)

    Parameters
        loss_w: heat it would make at the temperature of the air [W]
        thermal_resistance_k_per_w: from its body to the air, by its mount [K/W]
        ambient_k: temperature of the air [K]
        coefficient_per_k: growth of the heat for each kelvin; 0.006 for a MOSFET, 0 for a diode [1/K]
    Returns
        body temperature [K]
    Valid
        an estimate, 25 % of the rise either way; time constant of the body about 480 s.
    Raises
        ValueError: heat, thermal resistance or coefficient below zero.
        NoSteadyState: each kelvin makes at least the heat that lifts it by one more.
    Reference
        balance of heat made and lost; 3.7 W, 8.1 K/W in air of 30 degC: 60 degC.

    >>> f"{joiner_temperature_k(3.7, 8.1, 303.15, 0.0) - 273.15:.0f} degC"
    '60 degC'
    """
    if not (loss_w >= 0.0 and thermal_resistance_k_per_w >= 0.0 and coefficient_per_k >= 0.0):
        raise ValueError("heat, thermal resistance and coefficient cannot be below 0")
    rise_k = loss_w * thermal_resistance_k_per_w
    gain = rise_k * coefficient_per_k
    if gain >= 1.0:
        raise NoSteadyState("the joiner makes more heat with every degree than its mount takes away")
    return ambient_k + rise_k / (1.0 - gain)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function above 0 at `low` crosses 0: false position, Illinois variant, which never leaves the bracket."""
    at_low, at_high = function(low), function(high)
    if at_high > 0.0:
        raise NoSteadyState("the copper melts before the heat can leave")
    kept = 0
    while high - low > 1e-6:
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = function(middle)
        if abs(at_middle) < 1e-9:
            return middle
        if at_middle > 0.0:
            low, at_low = middle, at_middle
            at_high, kept = (at_high / 2.0, 1) if kept == 1 else (at_high, 1)
        else:
            high, at_high = middle, at_middle
            at_low, kept = (at_low / 2.0, -1) if kept == -1 else (at_low, -1)
    return 0.5 * (low + high)
