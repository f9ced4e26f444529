"""Figures about charging from outside: arithmetic on cell voltages, charging times, limits by temperature.

The figures stand in `charge.csv`, as printed in their sources.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from packyoke.analysis.charging.bands import BANDS, ChargeBand
from packyoke.analysis.charging.order import Refill, Times, times
from packyoke.physics import bus
from packyoke.shelf.chemistry import chemistry, ocv_curve
from tests.reference.case import read

HOUR_S = 3600.0


def _times(series: float, amp_hours: float, ohm: float, amps: float, volts: float) -> Times:
    curve = ocv_curve("NMC")
    assert curve is not None
    points = tuple((charge, series * volts_v) for charge, volts_v in curve.points)
    return times(Refill("pack", points, amp_hours * HOUR_S, ohm, 0.0), amps, volts)


def _per_cell(volts: float, series: float) -> float:
    return volts / series


def _beyond_ceiling(volts: float, series: float, chemistry_name: str) -> float:
    """1 where a charger passes what a cell bears, 0 where it does not."""
    found = chemistry(chemistry_name)
    assert found is not None
    return float(volts / series > found.ceiling_v)


def _band(celsius: float) -> ChargeBand:
    return next(each for each in BANDS if each.from_k <= celsius + 273.15 < each.to_k)


# Inputs are in the units of the sources; every function gives its result in the unit of its rows.
QUANTITIES: Mapping[str, Callable[..., float]] = {
    "volts_per_cell": _per_cell,
    "beyond_ceiling": _beyond_ceiling,
    "charge_time": lambda **pack: _times(**pack).full_s / HOUR_S,
    "charge_time_times_rate": lambda amps, amp_hours, **pack: (
        _times(amps=amps, amp_hours=amp_hours, **pack).full_s / HOUR_S * amps / amp_hours
    ),
    "constant_current_part": lambda **pack: 100.0 * _times(**pack).knee_fraction,
    "current_share": lambda celsius: _band(celsius).share,
    "cell_voltage_limit": lambda celsius: _band(celsius).cell_v or 0.0,
    "inrush_peak_power": lambda volts, ohm: volts * bus.inrush_peak_a(volts, ohm),
}


CASES = read("charge.csv", QUANTITIES)
