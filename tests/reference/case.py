"""One figure from outside and the function of ours that has to give the same."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Case:
    """One published figure. `tolerance` is how far ours may be off, in `unit`."""

    id: str
    quantity: str
    source: str
    locator: str
    theirs: float
    unit: str
    tolerance: float
    tolerance_reason: str
    status: str
    compute: Callable[[], float]

    @property
    def agrees(self) -> bool:
        return abs(self.compute() - self.theirs) <= self.tolerance
