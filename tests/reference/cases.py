"""Figures from outside, each with the function of ours that has to give the same: for tests and the validation page.

The figures stand in the CSV files beside this one, as printed in their sources.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from itertools import pairwise

from packyoke.analysis.circuit.curves import Demand, Joined, OperatingPoint, PackSource, Series, operating_point
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.stepping import Battery
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


def source(volts_v: float, ohm: float, name: str = "pack") -> Series:
    return Series(PackSource(name, volts_v, ohm), f"lead {name}", 0.0)


def rush_a(volts_v: float, ohm: float) -> float:
    """What runs from one pack into another that lies so much lower, the resistance half in either."""
    found = operating_point(
        Joined((source(48.0 + volts_v, ohm / 2, "high"), source(48.0, ohm / 2, "low"))), Demand(0.0)
    )
    assert isinstance(found, OperatingPoint)
    return found.currents["lead high"]


def rush_time_constant_s(chemistry_name: str, series: float, percent: float, amp_hours: float, ohm: float) -> float:
    """When the current between two packs 0.1 V apart has fallen to its e-th part."""
    curve = chemistry.ocv_curve(chemistry_name)
    assert curve is not None
    fractions, volts_v = zip(*curve.points, strict=True)
    packs = [
        Battery(name, name, fractions, tuple(series * each for each in volts_v), amp_hours * 3600.0, ohm / 2, 0.0)
        for name in ("high", "low")
    ]
    start = cell.curve_charge_fraction(curve.points, cell.curve_v(curve.points, percent / 100.0) + 0.1 / series)
    run = discharge(
        Joined((source(48.0, ohm / 2, "high"), source(48.0, ohm / 2, "low"))),
        Demand(0.0),
        packs,
        [start, percent / 100.0],
        0.0,
    )
    wanted_a = run.series[0].currents_a[0] / math.e
    before, after = next((a, b) for a, b in pairwise(run.series) if b.currents_a[0] <= wanted_a)
    share = (before.currents_a[0] - wanted_a) / (before.currents_a[0] - after.currents_a[0])
    return before.time_s + share * (after.time_s - before.time_s)


def most_w(volts_v: float, ohm: float) -> float:
    """The largest power that a pack is said to deliver, halved in to 1 mW."""
    low_w, high_w = 0.0, volts_v**2 / ohm
    while high_w - low_w > 1e-3:
        asked_w = (low_w + high_w) / 2
        found = operating_point(source(volts_v, ohm), Demand(power_w=asked_w))
        low_w, high_w = (asked_w, high_w) if isinstance(found, OperatingPoint) else (low_w, asked_w)
    return low_w


def dropped_v(amps_a: float, ohm: float) -> float:
    """What is missing at the end of a lead that would be there without it."""
    with_v, without_v = (
        point.voltage_v if isinstance(point, OperatingPoint) else math.nan
        for point in (
            operating_point(Series(PackSource("pack", 48.0, 0.1), "lead", each), Demand(amps_a)) for each in (ohm, 0.0)
        )
    )
    return without_v - with_v


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
    "voltage_drop": lambda ohm_per_kft, feet, amps: dropped_v(amps, ohm_per_kft * 1e-3 * feet),
    "loop_drop": lambda family, size, metres, amps: dropped_v(
        amps, 2 * metres * wires.resistance20_ohm_per_m(family, size)
    ),
    "derated": lambda table_amps, insulation, ambient: (
        table_amps * conductor.ambient_factor(kelvin(insulation), kelvin(ambient))
    ),
    "bundled": lambda gauge, column, loaded: (
        wires.table_amps_a("AWG", gauge, int(column)) * wires.bundling_factor(int(loaded))
    ),
    "table_amps": lambda family, size, column: wires.table_amps_a(family, size, int(column)),
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
    "rush_current": lambda volts, ohm: rush_a(volts, ohm),
    "rush_time_constant": lambda chemistry, series, percent, amp_hours, ohm: rush_time_constant_s(
        chemistry, series, percent, amp_hours, ohm
    ),
    "maximum_power": lambda volts, ohm: most_w(volts, ohm),
    "inrush_peak": lambda volts, ohm: bus.inrush_peak_a(volts, ohm),
    "inrush_energy": lambda volts, microfarad: bus.inrush_energy_j(volts, microfarad * 1e-6),
    "regen_time": lambda microfarad, from_volts, to_volts, amps: (
        bus.regen_voltage_rise_time_s(microfarad * 1e-6, from_volts, to_volts, amps) * 1e3
    ),
    "back_emf": lambda no_load, volts, km_h: bus.back_emf_bus_v(no_load / 3.6, volts, km_h / 3.6),
}


CASES: list[Case] = [
    *read("wires.csv", QUANTITIES),
    *read("cells.csv", QUANTITIES),
    *track_cases.CASES,
    *road_cases.CASES,
    *charge_cases.CASES,
]
