"""How long a lead is cut for its way."""

from __future__ import annotations

from math import ceil

BENDS_FRACTION = 0.10
"""Cable lost in bends, over the length of the way: common practice."""
SERVICE_M = 0.050
"""Spare cable at each end, enough to put one new connector on: common practice."""
CUT_STEP_MM = 10
"""Leads are cut to whole centimetres, never shorter than worked out."""
LEAST_M = 0.150
"""The shortest lead that can be made: a connector with its sleeve at each end, 45 mm each, and a bend: judgement."""
HOLDER_M = 0.100
"""What a fuse holder in the lead takes beyond that, its joints and sleeves included: judgement."""
EXACT_MM = 1e-6
"""Keeps a length that comes out round from the next centimetre."""


def least_length_m(holder: bool) -> float:
    """The shortest lead that can be made, with a fuse holder in it or without [m]."""
    return LEAST_M + HOLDER_M if holder else LEAST_M


def cut_length_m(way_m: float, holder: bool = False) -> float:
    """The length to cut a lead to [m].

        L = way (1 + 0.10) + 2 x 50 mm, at least what can be made, up to whole centimetres

    Parameters
        way_m: length of the way along the runs [m]
        holder: whether a fuse holder sits in the lead [-]
    Returns
        length of the lead, slack for bends and for one new connector at each end included [m]
    Reference
        common practice; the least length: judgement.

    >>> cut_length_m(0.7), cut_length_m(0.0), cut_length_m(0.0, holder=True)
    (0.87, 0.15, 0.25)
    """
    exact_mm = 1000 * max(least_length_m(holder), way_m * (1 + BENDS_FRACTION) + 2 * SERVICE_M)
    return ceil((exact_mm - EXACT_MM) / CUT_STEP_MM) * CUT_STEP_MM / 1000
