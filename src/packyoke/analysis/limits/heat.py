"""How warm joiners and leads get: for what has no table, for peaks and for what a hand may touch."""

from __future__ import annotations

from functools import cache, lru_cache
from math import inf, log, pi
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.currents import lasting_back_a
from packyoke.analysis.circuit.load import Load, load
from packyoke.analysis.circuit.network import forward_v, path_resistance_ohm
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.model import Gauge, Joiner, known
from packyoke.physics import conductor, heat
from packyoke.shelf import mounts, wires

TOUCH_K = 333.15
"""60 degC: bare metal hurts a hand that holds on to it (common practice)."""
RESISTANCE_KNOWN_AT_K = 298.15
MOSFET_PER_K = 0.006
"""Growth of a MOSFET's resistance with temperature, from data sheets (memory)."""
COPPER_PER_K = 0.00393
"""Growth of copper's resistance with temperature, IEC 60028."""
BODY_S = 480.0
"""Time constant of a joiner's body: aluminium of 60 x 40 x 20 mm, derived."""
PAIR_FREE_FRACTION = 0.75
"""Share of its surface that a conductor keeps free beside the other one of its lead: estimate."""
THICK_WALL_M2 = 4.0e-6
THIN_WALL_M, THICK_WALL_M = 0.8e-3, 1.0e-3
"""Insulation below and above `THICK_WALL_M2` of copper: usual walls of silicone and PVC leads."""


class Warmth(NamedTuple):
    """A joiner's body at the low end and in the middle of its band [K]; infinite where it never settles."""

    current_a: float
    loss_w: float
    low_k: float
    middle_k: float


def settled_current_a(asked: Load, time_constant_s: float, law: float = 2.0) -> float:
    """The steady current that warms a part as much as a peak on top of the continuous current does [A].

    I^n = Ic^n + (Ip^n - Ic^n) (1 - exp(-t/tau)), with heat going as I^n. Step by step where a peak falls in steps; what
    it cools in a lower one is left out.
    """
    settled_a, begun_s = asked.continuous_a, 0.0
    for peak_a, until_s in asked.steps:
        if peak_a > settled_a and until_s > begun_s:
            before = settled_a**law
            share = heat.rise_fraction(until_s - begun_s, time_constant_s)
            settled_a = float((before + (peak_a**law - before) * share) ** (1 / law))
        begun_s = until_s
    return settled_a


def peak_borne_a(limit_a: float, continuous_a: float, peak_s: float, time_constant_s: float, law: float = 2.0) -> float:
    """The peak that warms a part, run at its continuous current before, to what it bears [A]."""
    steady, most = continuous_a**law, limit_a**law
    if steady >= most:
        return limit_a
    return float((steady + (most - steady) / heat.rise_fraction(peak_s, time_constant_s)) ** (1 / law))


def heat_law(joiner: Joiner) -> float:
    """Power of the current that a joiner's heat goes with: 1 for a diode, 2 for a resistance."""
    return 1.0 if joiner_type(joiner) == "diode" else 2.0


@once
def joiner_warmth(case: Case, name: str) -> Warmth:
    """Estimated temperature of a joiner's body in the warmest air, the whole load on one path, or what brakes or
    charges through it.

    dT = P0 R/(1 - P0 R alpha); thermal resistance at the low end and in the middle of its mount's band
    """
    joiner = case.build.joiners[name]
    current_a = settled_current_a(load(case, joiner.path), BODY_S, heat_law(joiner))
    current_a = max(current_a, lasting_back_a(case, joiner.path))
    ambient_k = case.build.warmest_k
    loss_w, growth_per_k = _loss(joiner, current_a, ambient_k)
    low_k_per_w, high_k_per_w = _band_k_per_w(known(joiner.mount, joiner, "mount"))
    low_k = _settled_k(loss_w, low_k_per_w, ambient_k, growth_per_k)
    middle_k = _settled_k(loss_w, (low_k_per_w + high_k_per_w) / 2, ambient_k, growth_per_k)
    return Warmth(current_a, loss_w, low_k, middle_k)


def joiner_current_a(case: Case, joiner: Joiner, body_k: float, share: float = 0.0) -> float:
    """The current that warms a joiner's body to a temperature [A].

    share: where in the band of its mount's thermal resistance, 0 for the low end, 0.5 for the middle.
    """
    rise_k = body_k - case.build.warmest_k
    if rise_k <= 0:
        return 0.0
    low_k_per_w, high_k_per_w = _band_k_per_w(known(joiner.mount, joiner, "mount"))
    loss_w = rise_k / (low_k_per_w + share * (high_k_per_w - low_k_per_w))
    if joiner_type(joiner) == "diode":
        return loss_w / forward_v(joiner)
    warm_ohm = path_resistance_ohm(joiner) * (1 + _growth_per_k(joiner) * (body_k - RESISTANCE_KNOWN_AT_K))
    return float((loss_w / warm_ohm) ** 0.5)


@cache
def _band_k_per_w(mount: str) -> tuple[float, float]:
    found = mounts.mount(mount)
    if found is None:
        raise ValueError(f"no thermal resistance on file for the mount {mount!r}")
    return found.low_k_per_w, found.high_k_per_w


def _growth_per_k(joiner: Joiner) -> float:
    return MOSFET_PER_K if joiner_type(joiner) == "ideal-diode" else COPPER_PER_K


def _loss(joiner: Joiner, current_a: float, ambient_k: float) -> tuple[float, float]:
    """Heat with the joiner as warm as the air [W], and its growth for each kelvin from there [1/K]."""
    if joiner_type(joiner) == "diode":
        return heat.diode_loss_w(current_a, forward_v(joiner)), 0.0
    growth_per_k = _growth_per_k(joiner)
    factor = 1 + growth_per_k * (ambient_k - RESISTANCE_KNOWN_AT_K)
    return heat.mosfet_loss_w(current_a, path_resistance_ohm(joiner) * factor), growth_per_k / factor


def _settled_k(loss_w: float, resistance_k_per_w: float, ambient_k: float, growth_per_k: float) -> float:
    try:
        return heat.joiner_temperature_k(loss_w, resistance_k_per_w, ambient_k, growth_per_k)
    except heat.NoSteadyState:
        return inf


def lead_time_constant_s(gauge: Gauge) -> float:
    """Time in which a lead warms by 63 % of its final rise [s]."""
    return wires.time_constant_s(gauge.family, gauge.size)


@lru_cache(maxsize=512)
def touch_current_a(gauge: Gauge, ambient_k: float) -> float:
    """The current that warms the outside of a lead to `TOUCH_K` in still air: an estimate, 25 % of the rise [A]."""
    if ambient_k >= TOUCH_K:
        return 0.0
    diameter_m, wall_m = _shape(gauge)
    loss_w_per_m = PAIR_FREE_FRACTION * heat.surface_loss_w_per_m(TOUCH_K, ambient_k, diameter_m + 2 * wall_m)
    copper_k = TOUCH_K + loss_w_per_m * _wall_k_m_per_w(diameter_m, wall_m)
    hot_ohm_per_m = _resistance_ohm_per_m(gauge) * conductor.resistance_temperature_factor(copper_k)
    return float((loss_w_per_m / hot_ohm_per_m) ** 0.5)


def lead_copper_k(gauge: Gauge, current_a: float, ambient_k: float) -> float:
    """Estimated temperature of a lead's copper in still air, 25 % of the rise either way; infinite without end [K]."""
    try:
        return heat.conductor_temperature_k(
            current_a, _resistance_ohm_per_m(gauge), *_shape(gauge), ambient_k, PAIR_FREE_FRACTION
        )
    except heat.NoSteadyState:
        return inf


def lead_surface_k(gauge: Gauge, current_a: float, ambient_k: float) -> float:
    """The same of its outside, which a hand feels [K]."""
    copper_k = lead_copper_k(gauge, current_a, ambient_k)
    if copper_k == inf:
        return inf
    hot_ohm_per_m = _resistance_ohm_per_m(gauge) * conductor.resistance_temperature_factor(copper_k)
    return copper_k - current_a**2 * hot_ohm_per_m * _wall_k_m_per_w(*_shape(gauge))


def _wall_k_m_per_w(diameter_m: float, wall_m: float) -> float:
    """How much warmer the copper is than the outside for each watt a metre gives off [K m/W]."""
    return log((diameter_m + 2 * wall_m) / diameter_m) / (2 * pi * heat.INSULATION_W_PER_M_K)


def _shape(gauge: Gauge) -> tuple[float, float]:
    """Diameter over the strands and thickness of the insulation [m]."""
    area_m2 = wires.copper_area_m2(gauge.family, gauge.size)
    return conductor.strand_bundle_diameter_m(area_m2), THIN_WALL_M if area_m2 < THICK_WALL_M2 else THICK_WALL_M


def _resistance_ohm_per_m(gauge: Gauge) -> float:
    return wires.resistance20_ohm_per_m(gauge.family, gauge.size)
