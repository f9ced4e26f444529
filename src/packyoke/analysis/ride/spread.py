"""Figures that are not known closely: two halves of a normal spread, and what one over others comes to."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from math import erf, inf, sqrt

LowToHigh = tuple[float, float, float]
"""10, 50 and 90 % points of a figure: half of a normal spread on either side of the middle."""
POINT = 1.2815515655446004
"""Standard deviations from the middle of a normal spread to its 10 or 90 % point."""
SQRT2 = sqrt(2.0)
HALVINGS = 26
"""Leaves a millionth of the span that is searched: three figures of what is found are printed."""
DRAWS = 1024
"""How many riders are drawn."""
CELLS, REACH = 40, 3.2
"""In how many cells a normal spread is cut, and how far out to either side."""


def at_deviation(band: LowToHigh, deviations: float) -> float:
    """The value so many standard deviations above the middle of 10, 50 and 90 % points.

    >>> at_deviation((1.0, 2.0, 4.0), POINT), at_deviation((1.0, 2.0, 4.0), -POINT)
    (4.0, 1.0)
    """
    low, middle, high = band
    return middle + deviations / POINT * (high - middle if deviations > 0.0 else middle - low)


def chance_below(deviations: float) -> float:
    """Share of a normal spread that lies below so many standard deviations above its middle.

    >>> f"{chance_below(POINT):.6f}"
    '0.900000'
    """
    return 0.5 * (1.0 + erf(deviations / SQRT2))


@lru_cache(maxsize=512)
def deviates(key: str) -> tuple[float, ...]:
    """Normal deviates of a key, one from each of as many equally likely slices, always the same."""
    from random import Random  # a start-up of their own, and few builds have rides that were ridden
    from statistics import NormalDist

    found = [NormalDist().inv_cdf((n + 0.5) / DRAWS) for n in range(DRAWS)]
    Random(key).shuffle(found)
    return tuple(found)


@lru_cache(maxsize=256)
def had_of(shares: tuple[LowToHigh, ...]) -> tuple[tuple[float, float], ...]:
    """Values of the product of independent shares, none of them above 1, each with its weight; weights sum to 1.

    >>> f"{sum(share * weight for share, weight in had_of(((0.8, 0.9, 1.0),))):.3f}"
    '0.896'
    """
    found = [(1.0, 1.0)]
    for band in shares:
        values = [(min(1.0, at_deviation(band, z)), weight) for z, weight in _cells()]
        every = sorted((share * value, weight * more) for share, weight in found for value, more in values)
        # Neighbours are put together, so that further shares make no longer lists.
        step = max(1, len(every) // (2 * CELLS))
        groups = [every[at : at + step] for at in range(0, len(every), step)]
        found = [
            (sum(share * weight for share, weight in group) / whole, whole)
            for group in groups
            if (whole := sum(weight for _, weight in group))
        ]
    return tuple(found)


@cache
def _cells() -> list[tuple[float, float]]:
    """A normal spread as deviations with their weights."""
    ends = [REACH * (2 * n / CELLS - 1) for n in range(CELLS + 1)]
    chances = [chance_below(z) for z in ends]
    whole = chances[-1] - chances[0]
    return [
        ((z + further) / 2, (above - below) / whole)
        for z, further, below, above in zip(ends, ends[1:], chances, chances[1:], strict=False)
    ]


def over_shares(band: LowToHigh, least: float, had: Sequence[tuple[float, float]], chance: float) -> float:
    """The point that a figure over a share does not pass with some chance, when the figure is never below a least one.

        P(max(x, x_least)/h <= y) = sum of weight P(x <= y h), over the shares h with y h >= x_least

    Parameters
        band: 10, 50 and 90 % points of the figure
        least: what it is never below, in the same unit
        had: shares with their weights, as of `had_of` [-]
        chance: of not passing the point [-]
    Returns
        the point, in the unit of the figure
    Valid
        figure and share independent of each other

    >>> f"{over_shares((8.0, 10.0, 12.0), 0.0, [(0.5, 1.0)], 0.9):.3f}"
    '24.000'
    >>> [f"{over_shares((1.0, 2.0, 4.0), 0.0, [(1.0, 1.0)], chance):.3f}" for chance in (0.1, 0.5, 0.9)]
    ['1.000', '2.000', '4.000']
    >>> f"{over_shares((2.0, 3.0, 4.0), 6.0, [(1.0, 1.0)], 0.5):.3f}"
    '6.000'
    """

    low, middle, high = band
    up, down = (POINT / SQRT2 / width if width > 0.0 else inf for width in (high - middle, middle - low))

    def at_most(point: float) -> float:
        # The chance below a value of two half spreads, written out: this is where a range spends its time.
        found = 0.0
        for share, weight in had:
            value = point * share
            if value >= least:
                over = value - middle
                if over == 0.0:
                    # No width above the middle: that half of the chance lies at the middle too.
                    found += weight if up == inf else 0.5 * weight
                else:
                    found += 0.5 * weight * (1.0 + erf(over * (up if over > 0.0 else down)))
        return found

    below, above = 0.0, 4.0 * max(band[2], least) / min(share for share, _ in had)
    for _ in range(HALVINGS):
        point = (below + above) / 2.0
        below, above = (below, point) if at_most(point) >= chance else (point, above)
    return above


def weighted_points(values: Sequence[float], weights: Sequence[float]) -> LowToHigh:
    """10, 50 and 90 % points of weighted values: between the middles of neighbours along the line.

    >>> weighted_points([1.0, 2.0, 3.0], [0.25, 0.5, 0.25])
    (1.0, 2.0, 3.0)
    """
    pairs = sorted(zip(values, weights, strict=True))
    found, wanted, below, before = [], [0.1, 0.5, 0.9], 0.0, (0.0, pairs[0][0])
    for value, weight in pairs:
        middle = below + weight / 2
        while wanted and middle >= wanted[0]:
            at, was = before
            found.append(was + (value - was) * (wanted[0] - at) / (middle - at))
            wanted.pop(0)
        below, before = below + weight, (middle, value)
    found += [pairs[-1][0]] * len(wanted)
    return found[0], found[1], found[2]
