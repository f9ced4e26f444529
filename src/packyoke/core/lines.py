"""Values straight between points: the one interpolation."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


def on_line(rising: Sequence[float], values: Sequence[float], wanted: float, *, beyond: bool = False) -> float:
    """The value at a place, straight between points; outside them that of the nearest, or with `beyond` what the piece
    at that end leads to.

    Parameters
        rising: places of the points, two or more, none below the one before
        values: a value for each
        wanted: the place

    >>> on_line((0.0, 2.0), (1.0, 5.0), 1.5), on_line((0.0, 2.0), (1.0, 5.0), 3.0)
    (4.0, 5.0)
    >>> on_line((0.0, 2.0), (1.0, 5.0), 3.0, beyond=True)
    7.0
    """
    after = min(max(bisect_right(rising, wanted), 1), len(rising) - 1)
    low, high = rising[after - 1], rising[after]
    share = (wanted - low) / (high - low) if high > low else 1.0
    if not beyond:
        share = min(1.0, max(0.0, share))
    return values[after - 1] + share * (values[after] - values[after - 1])
