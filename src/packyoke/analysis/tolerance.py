"""The one tolerance with which limits are compared."""

from __future__ import annotations

TOLERANCE = 1e-9
"""Relative. Equality passes."""


def above(value: float, limit: float) -> bool:
    """Whether a value is above a limit, by more than the shared tolerance."""
    return value > limit + TOLERANCE * abs(limit)


def between(low: float, value: float, high: float) -> bool:
    """Whether a value is within two limits, both included: -50 degC is, whatever its kelvins are rounded to."""
    return not above(low, value) and not above(value, high)
