"""States of charge read off resting voltages, where that can be done, with their honest width."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.model import Pack
from packyoke.physics.cell import curve_charge_fraction
from packyoke.shelf.chemistry import OcvCurve, ocv_curve

FLAT = ("LFP",)
"""Chemistries whose voltage says next to nothing about their charge between 20 and 90 %: 94 mV a cell."""


class StateSpan(NamedTuple):
    """State of charge read off a resting voltage: from, likely, to [-]."""

    low: float
    likely: float
    high: float


class NoState(NamedTuple):
    """Why a voltage gives no state of charge; `low_v` and `high_v` bound what the pack can show, where that is why."""

    reason: str
    low_v: float = 0.0
    high_v: float = 0.0


def state_of(pack: Pack, resting_v: float) -> StateSpan | NoState:
    """State of charge of a pack at rest, with its honest width from the band of published cells.

    An LFP voltage gives a span only: `likely` is its middle and nothing to count with.
    """
    if pack.chemistry is None or pack.series is None:
        return NoState("its chemistry or its cells in series are not known")
    curve = ocv_curve(pack.chemistry)
    if curve is None:
        return NoState(f"no open-circuit curve of {pack.chemistry} is on file")
    cell_v = resting_v / pack.series
    low_v, high_v = curve.points[0][1], curve.points[-1][1]
    if not low_v * (1 - 1e-9) <= cell_v <= high_v * (1 + 1e-9):
        return NoState("outside what it can show", low_v * pack.series, high_v * pack.series)
    span = _span(curve, cell_v)
    return StateSpan(*span)


def _span(curve: OcvCurve, cell_v: float) -> tuple[float, float, float]:
    def at(points: tuple[tuple[float, float], ...]) -> float:
        low_v, high_v = points[0][1], points[-1][1]
        return curve_charge_fraction(points, min(max(cell_v, low_v), high_v))

    # Where a cell shows more volts than the median at the same charge, the same volts mean less charge.
    return at(curve.highest), at(curve.points), at(curve.lowest)
