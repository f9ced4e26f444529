"""What a pack gives until its own protection opens, and how much of that a controller leaves when it cuts earlier.

A pack is its open-circuit curve behind a resistance, at a constant current: no rundown with several packs, no rest.
"""

from __future__ import annotations

from bisect import bisect_right
from contextlib import suppress
from functools import cache
from itertools import accumulate, pairwise
from math import floor, sqrt
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.drop import part_drop_v, way_drop
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v, load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.packs.voltages import series_count
from packyoke.core.constants import ZERO_C_K
from packyoke.core.lines import on_line
from packyoke.model import Controller, Pack, Unknown, known
from packyoke.shelf.chemistry import ocv_curve

COLD = ((263.15, 3.75), (ZERO_C_K, 2.7), (283.15, 1.8), (293.15, 1.0))
"""Resistance of cells at a temperature [K] over that at 20 degC and above: middle of what three published cell
parameter sets give when computed (-10 degC: 2.5 to 5, 0 degC: 2.0 to 3.4, 10 degC: 1.5 to 2.1)."""
SETTING_V = 0.1
"""Controllers are set in steps of about this."""


class NoCurve(NamedTuple):
    """A pack whose chemistry has no open-circuit curve on file."""

    pack: Pack


class CellCurve(NamedTuple):
    """Open-circuit curve of a cell by rising state of charge, and its integral up to each point: energy over charge."""

    charges: tuple[float, ...]
    volts_v: tuple[float, ...]
    integral_v: tuple[float, ...]

    def charge_at(self, voltage_v: float) -> float:
        """State of charge at a rested voltage; 0 below and 1 above the curve."""
        return on_line(self.volts_v, self.charges, voltage_v)

    def energy_at(self, charge: float) -> float:
        """Energy of the cell up to a state of charge over its whole charge [V]."""
        at = min(bisect_right(self.charges, charge), len(self.charges) - 1)
        start, start_v = self.charges[at - 1], self.volts_v[at - 1]
        slope_v = (self.volts_v[at] - start_v) / (self.charges[at] - start)
        step = charge - start
        return self.integral_v[at - 1] + step * (start_v + slope_v * step / 2)


@cache
def cell_curve(chemistry: str) -> CellCurve | None:
    """The curve of a chemistry with its integral; None where none is on file."""
    found = ocv_curve(chemistry)
    if found is None:
        return None
    pieces = [(end - start) * (start_v + end_v) / 2 for (start, start_v), (end, end_v) in pairwise(found.points)]
    charges, volts_v = zip(*found.points, strict=True)
    return CellCurve(charges, volts_v, tuple(accumulate(pieces, initial=0.0)))


def cold_factor(temperature_k: float) -> float:
    """Resistance of cells in the cold over that at 20 degC, straight between the points of `COLD` [-].

    >>> cold_factor(293.15), cold_factor(278.15), cold_factor(240.0)
    (1.0, 2.25, 3.75)
    """
    start_k, start = COLD[0]
    for end_k, end in COLD:
        if temperature_k <= end_k:
            return start if end_k == start_k else start + (temperature_k - start_k) / (end_k - start_k) * (end - start)
        start_k, start = end_k, end
    return start


class Ending(NamedTuple):
    """How a pack that carries the whole load comes to its end: states of charge when full, when the controller cuts and
    when its own protection opens; what the current costs inside it and on its way to the controller [V]."""

    curve: CellCurve
    series: int
    sag_v: float
    lost_v: float
    full: float
    cut: float
    empty: float

    @property
    def unused_fraction(self) -> float:
        """The share of the energy that the controller leaves; all where even a full pack cannot carry the load."""
        if self.empty >= self.full:
            return 1.0
        return self.energy_v(min(self.cut, self.full)) / self.energy_v(self.full) if self.cut > self.empty else 0.0

    def leaves_over(self, fraction: float) -> bool:
        """Whether the controller may leave more than a share of the energy: it leaves as large a share of the charge,
        for the voltage is lowest there."""
        return self.empty >= self.full or self.cut - self.empty > fraction * (self.full - self.empty)

    def energy_v(self, charge: float) -> float:
        """Energy at the outlet from where the protection opens up to a state of charge, over the whole charge [V]."""
        cells_v = self.series * (self.curve.energy_at(charge) - self.curve.energy_at(self.empty))
        return cells_v - self.sag_v * (charge - self.empty)

    def cut_v(self, fraction: float) -> float:
        """The voltage of the controller under its load when this share of the energy is left [V]."""
        charges, volts_v = self.curve.charges, self.curve.volts_v
        wanted_v = fraction * self.energy_v(self.full)
        at = next(
            n for n in range(1, len(charges)) if charges[n] > self.empty and self.energy_v(charges[n]) >= wanted_v
        )
        slope_v = (volts_v[at] - volts_v[at - 1]) / (charges[at] - charges[at - 1])
        start = max(charges[at - 1], self.empty)
        start_v = volts_v[at - 1] + (start - charges[at - 1]) * slope_v
        # On a straight piece the energy is a x^2 + b x of the step x from its start.
        a, b, rest_v = self.series * slope_v / 2, self.series * start_v - self.sag_v, wanted_v - self.energy_v(start)
        step = 2 * rest_v / (b + sqrt(b * b + 4 * a * rest_v))
        return self.series * (start_v + slope_v * step) - self.sag_v - self.lost_v


class Endings(NamedTuple):
    """The ending at 20 degC, and in the coldest air of the build."""

    warm: Ending
    cold: Ending


@once
def endings(case: Case, controller_name: str, pack_name: str) -> Endings | NoCurve:
    """Where a pack stands when the controller cuts and when its protection opens, alone and under the whole load.

        n E(s_empty) = V_cut-off + I R,  n E(s_cut) = V_cut + I (R + R_way) + V_f

    Parameters
        controller_name: the controller that cuts
        pack_name: the pack, alone
    Returns
        the endings, warm and cold; or that there is no curve
    Valid
        constant current, resistance the same from full to empty
    """
    build = case.build
    pack, controller = build.packs[pack_name], build.controllers[controller_name]
    curve = curve_of(pack)
    if curve is None:
        return NoCurve(pack)
    series = series_count(pack)
    lost_v = lost_on_the_way_v(case, pack_name, controller.path)
    stops_v, opens_v = cut_of(controller) + lost_v, cut_off_v(pack)
    full = curve.charge_at(full_charge_v(pack) / series)

    def with_sag(sag_v: float) -> Ending:
        cut, empty = curve.charge_at((stops_v + sag_v) / series), curve.charge_at((opens_v + sag_v) / series)
        return Ending(curve, series, sag_v, lost_v, full, cut, empty)

    sag_v = load(case, pack.path).continuous_a * known(pack.resistance_ohm, pack, "resistance_ohm")
    return Endings(with_sag(sag_v), with_sag(sag_v * cold_factor(build.coldest_k)))


def lost_on_the_way_v(case: Case, pack: str, controller_path: str) -> float:
    """Volts lost between a pack's outlet and a controller as far as leads and joiners are described [V].

    They are a small part of what the pack itself loses, so that no verdict waits for them.
    """
    way = next(way for way in harness(case).ways[pack] if way[-1] == controller_path)
    try:
        return way_drop(case, way).volts_v
    except Unknown:
        lost_v = 0.0
    for path in way[1:-1]:
        with suppress(Unknown):
            lost_v += part_drop_v(case, path)
    return lost_v


def curve_of(pack: Pack) -> CellCurve | None:
    """Open-circuit curve of a pack's cells; None where none is on file."""
    return cell_curve(known(pack.chemistry, pack, "chemistry"))


def cut_of(controller: Controller) -> float:
    """Where a controller stops by itself [V]: its low-voltage cut, or the least that it runs at."""
    return max(known(controller.low_voltage_cut_v, controller, "low_voltage_cut_v"), controller.voltage_min_v)


@once
def unused_by(case: Case, controller_name: str, pack: str, cold: bool, allowed: float) -> float:
    """The share of a pack's energy that a controller leaves, where that may be above a share; else nothing [-]."""
    ends = endings(case, controller_name, pack)
    if isinstance(ends, NoCurve):
        return 0.0
    end = ends.cold if cold else ends.warm
    return end.unused_fraction if end.leaves_over(allowed) else 0.0


def cut_for_all_v(case: Case, controller: Controller, allowed: float) -> float | None:
    """The setting of the low-voltage cut at which no pack that is described keeps more than a share [V].

    None where a pack cannot carry the load at all, or where the controller does not run so low.
    """
    cuts_v = []
    for name in harness(case).packs_behind[controller.path]:
        with suppress(Unknown):
            ends = endings(case, controller.name, name)
            if isinstance(ends, Endings):
                cuts_v.append(ends.warm.cut_v(allowed) if ends.warm.empty < ends.warm.full else 0.0)
    cut_v = settable_below_v(min(cuts_v, default=0.0))
    return cut_v if cut_v > 0.0 and cut_v >= controller.voltage_min_v else None


def settable_below_v(volts_v: float) -> float:
    """The next lower value that a controller can be set to [V].

    >>> settable_below_v(42.37)
    42.3
    """
    return floor(volts_v / SETTING_V + 1e-9) / (1 / SETTING_V)


class Uneven(NamedTuple):
    """How far apart two packs of different chemistry stand when they are at one voltage, at the worst [-], [V]."""

    apart_fraction: float
    at_v: float
    charges: tuple[tuple[str, float], ...]


@once
def unevenness(case: Case, first: str, second: str) -> Uneven | NoCurve:
    """The largest difference in state of charge of two packs at rest at one voltage, on the knots of both curves."""
    curves = []
    for pack in (case.build.packs[first], case.build.packs[second]):
        curve = curve_of(pack)
        if curve is None:
            return NoCurve(pack)
        curves.append((curve, series_count(pack)))
    worst = Uneven(0.0, 0.0, ())
    for curve, count in curves:
        for cell_v in curve.volts_v:
            at_v = count * cell_v
            charge = [each.charge_at(at_v / cells) for each, cells in curves]
            apart = abs(charge[0] - charge[1])
            if apart > worst.apart_fraction:
                worst = Uneven(apart, at_v, ((first, charge[0]), (second, charge[1])))
    return worst
