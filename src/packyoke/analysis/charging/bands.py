"""Temperatures between which cells may be charged, and how."""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from packyoke.core.constants import ZERO_C_K


class ChargeBand(NamedTuple):
    """How lithium cells may be charged between two temperatures [K]: share of the current, or volts a layered-oxide
    cell at the most [V]; `share` 0: not at all."""

    from_k: float
    to_k: float
    share: float
    cell_v: float | None


BANDS = (
    ChargeBand(-inf, ZERO_C_K, 0.0, None),
    ChargeBand(ZERO_C_K, 283.15, 0.5, 4.10),
    ChargeBand(283.15, 318.15, 1.0, None),
    ChargeBand(318.15, 323.15, 1.0, 4.15),
    ChargeBand(323.15, inf, 0.0, None),
)
"""JEITA and BAJ guideline (read in an application note): 0 to 10 degC at half the current or at 4.10 V, 45 to 50 degC
at 4.15 V, none below 0. It says nothing for 50 to 60 degC here, and none above: from 50 on it counts as none."""
