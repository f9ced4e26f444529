"""The one tolerance with which limits are compared."""

from __future__ import annotations

TOLERANCE = 1e-9
"""Relative. Equality passes."""


def above(value: float, limit: float) -> bool:
    """Whether a value is above a limit, by more than the shared tolerance."""
    return value > limit + TOLERANCE * abs(limit)
