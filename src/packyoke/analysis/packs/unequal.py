"""Whether two packs are of one kind: the same full charge, the same cells, the same curve."""

from __future__ import annotations

from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.voltages import series_count
from packyoke.model import Pack, known
from packyoke.shelf.chemistry import ocv_curve

PER_CELL_V = 0.05
"""How far full-charge voltages of one chemistry may stand apart, for each cell in series: judgement."""
SHARE = 0.02
"""How far those of different chemistries may stand apart, of the lower one: judgement."""


def unequal(one: Pack, other: Pack) -> bool:
    """Whether two packs must not be on together for their voltages."""
    apart_v = abs(full_charge_v(one) - full_charge_v(other))
    if known(one.chemistry, one, "chemistry") == known(other.chemistry, other, "chemistry"):
        count = series_count(one)
        return count != series_count(other) or above(apart_v, PER_CELL_V * count)
    return above(apart_v, SHARE * min(full_charge_v(one), full_charge_v(other)))


def mixed(one: Pack, other: Pack) -> bool:
    """Whether two packs of nearly one full charge come down differently: other curves, or one that is not on file."""
    first, second = known(one.chemistry, one, "chemistry"), known(other.chemistry, other, "chemistry")
    if first == second or unequal(one, other):
        return False
    curves = ocv_curve(first), ocv_curve(second)
    return curves[0] is None or curves[1] is None or curves[0].points != curves[1].points
