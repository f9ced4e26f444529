"""Figures from outside, each with the function of ours that has to give the same: for tests and the validation page.

The figures stand in the CSV files beside this one, as printed in their sources.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from packyoke.physics import bus, cell, conductor, heat
from packyoke.shelf import chemistry, wires
from tests.reference import charge_cases, road_cases, track_cases
from tests.reference.case import Case, read

FOOT_M = 0.3048


def kelvin(celsius: float) -> float:
    return celsius + 273.15


def area_m2(gauge: float | None, area: float | None) -> float:
    if gauge is not None:
        return conductor.awg_area_m2(gauge)
    assert area is not None
    return area * 1e-6


def conductor_rise(
    mohm: float, wall: float, amps: float, ambient: float, gauge: float | None = None, area: float | None = None
) -> float:
    over_strands_m = conductor.strand_bundle_diameter_m(area_m2(gauge, area))
    air_k = kelvin(ambient)
    return heat.conductor_temperature_k(amps, mohm * 1e-3, over_strands_m, wall * 1e-3, air_k) - air_k


def pack_voltage(chemistry_name: str, series: float, which: str) -> float:
    found = chemistry.chemistry(chemistry_name)
    assert found is not None
    return series * {"full": found.full_v, "nominal": found.nominal_v, "minimum": found.minimum_v}[which]


def coulomb_per_volt(chemistry_name: str, series: float, percent: float, amp_hours: float) -> float:
    curve = chemistry.ocv_curve(chemistry_name)
    assert curve is not None
    return cell.capacity_coulomb_per_volt(
        amp_hours * 3600.0, series * cell.curve_slope_v(curve.points, percent / 100.0)
    )


def rush_time_constant(ohm: float, **pack: float) -> float:
    farad = coulomb_per_volt(**pack)
    return cell.rush_time_constant_s(ohm, farad, farad)


# Inputs are in the units of the sources; every function gives its result in the unit of its rows.
QUANTITIES: Mapping[str, Callable[..., float]] = {
    "awg_diameter": lambda gauge: conductor.awg_diameter_m(gauge) * 1e3,
    "awg_area": lambda gauge: conductor.awg_area_m2(gauge) * 1e6,
    "solid_resistance20": lambda gauge: (
        conductor.resistance_per_length_ohm_per_m(conductor.awg_area_m2(gauge), kelvin(20), 1.0) * 1e3
    ),
    "stranded_resistance75": lambda gauge: (
        conductor.resistance_per_length_ohm_per_m(conductor.awg_area_m2(gauge), kelvin(75), 1.02) * 1e3 * FOOT_M
    ),
    "strand_bundle_diameter": lambda gauge: (
        conductor.strand_bundle_diameter_m(conductor.awg_area_m2(gauge)) / FOOT_M * 12
    ),
    "lead_resistance20": lambda family, size: wires.resistance20_ohm_per_m(family, size) * 1e3,
    "resistance_temperature_factor": lambda celsius: conductor.resistance_temperature_factor(kelvin(celsius)),
    "voltage_drop": lambda ohm_per_kft, feet, amps: conductor.voltage_drop_v(
        amps, ohm_per_kft * 1e-3 / FOOT_M, feet * FOOT_M
    ),
    "loop_drop": lambda family, size, metres, amps: conductor.voltage_drop_v(
        amps, wires.resistance20_ohm_per_m(family, size), 2 * metres
    ),
    "derated": lambda table_amps, insulation, ambient: (
        table_amps * conductor.ambient_factor(kelvin(insulation), kelvin(ambient))
    ),
    "bundled": lambda gauge, column, loaded: (
        wires.table_amps_a("AWG", gauge, int(column)) * wires.bundling_factor(int(loaded))
    ),
    "table_amps": lambda family, size, column: wires.table_amps_a(family, size, int(column)),
    "short_circuit_k": lambda start, end: conductor.short_circuit_k(kelvin(start), kelvin(end)) * 1e-6,
    "short_circuit_area": lambda k, amps, seconds: math.sqrt(
        amps**2 * seconds / conductor.short_circuit_i2t_a2s(k * 1e6, 1e-6)
    ),
    "short_circuit_i2t": lambda k, gauge: conductor.short_circuit_i2t_a2s(k * 1e6, conductor.awg_area_m2(gauge)),
    "conductor_rise": conductor_rise,
    "cylinder_nusselt": lambda rayleigh, prandtl: heat.churchill_chu_cylinder_nusselt(rayleigh, prandtl),
    "air_conductivity": lambda kelvin: heat.air(kelvin).conductivity_w_per_m_k * 1e3,
    "air_viscosity": lambda kelvin: heat.air(kelvin).viscosity_m2_s * 1e6,
    "air_prandtl": lambda kelvin: heat.air(kelvin).prandtl_number,
    "largest_fuse": lambda gauge, column, volts: wires.largest_fuse_a(
        wires.table_amps_a("AWG", gauge, int(column)), volts
    ),
    "diode_loss": lambda amps, volts: heat.diode_loss_w(amps, volts),
    "mosfet_loss": lambda amps, mohm: heat.mosfet_loss_w(amps, mohm * 1e-3),
    "pack_voltage": lambda chemistry, series, which: pack_voltage(chemistry, series, which),
    "pack_resistance": lambda series, parallel, cell_mohm, extra: (
        cell.pack_resistance_ohm(int(series), parallel, cell_mohm * 1e-3, extra * 1e-3) * 1e3
    ),
    "rush_current": lambda volts, ohm: cell.rush_current_a(volts, ohm),
    "coulomb_per_volt": lambda chemistry, series, percent, amp_hours: coulomb_per_volt(
        chemistry, series, percent, amp_hours
    ),
    "rush_time_constant": lambda chemistry, series, percent, amp_hours, ohm: rush_time_constant(
        ohm, chemistry_name=chemistry, series=series, percent=percent, amp_hours=amp_hours
    ),
    "maximum_power": lambda volts, ohm: bus.maximum_power_w(volts, ohm),
    "inrush_peak": lambda volts, ohm: bus.inrush_peak_a(volts, ohm),
    "inrush_energy": lambda volts, microfarad: bus.inrush_energy_j(volts, microfarad * 1e-6),
    "regen_time": lambda microfarad, from_volts, to_volts, amps: (
        bus.regen_voltage_rise_time_s(microfarad * 1e-6, from_volts, to_volts, amps) * 1e3
    ),
    "kinetic_energy": lambda kilograms, km_h: bus.kinetic_energy_j(kilograms, km_h / 3.6),
    "back_emf": lambda no_load, volts, km_h: bus.back_emf_bus_v(no_load / 3.6, volts, km_h / 3.6),
}


CASES: list[Case] = [
    *read("wires.csv", QUANTITIES),
    *read("cells.csv", QUANTITIES),
    *track_cases.CASES,
    *road_cases.CASES,
    *charge_cases.CASES,
]
