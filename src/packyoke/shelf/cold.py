"""What the cold takes from a pack's capacity."""

from __future__ import annotations

from itertools import pairwise

from packyoke.core.constants import ZERO_C_K
from packyoke.shelf.tables import rows


def cold_capacity_factor(temperature_k: float) -> float:
    """Capacity at a temperature over that at 20 degC, straight between the rows of the table.

    Parameters
        temperature_k: temperature of the cells [K]
    Returns
        factor; 1 at 20 degC and above, below the last row that row's [-]
    Reference
        assumption, between published tables that do not agree.

    >>> f"{cold_capacity_factor(293.15):.3f} {cold_capacity_factor(273.15):.3f} {cold_capacity_factor(200.0):.3f}"
    '1.000 0.918 0.684'
    """
    points = [(row.number("temperature_c") + ZERO_C_K, row.number("capacity_fraction")) for row in rows("cold")]
    warm = points[0][1]
    for (above_k, above), (below_k, below) in pairwise(points):
        if temperature_k >= below_k:
            share = min(1.0, (temperature_k - below_k) / (above_k - below_k))
            return (below + share * (above - below)) / warm
    return points[-1][1] / warm
