"""What kind of joiner a joiner is: asked here and nowhere else, so that one of unknown kind is tried as every kind."""

from __future__ import annotations

from packyoke.model import Joiner, known

BLOCKING = ("diode", "ideal-diode")


def joiner_type(joiner: Joiner) -> str:
    """What kind of joiner it is; `unknown` in the file asks as much as a missing line."""
    return known(None if joiner.type == "unknown" else joiner.type, joiner, "type")


def blocks(joiner: Joiner) -> bool:
    """Whether no current can flow from one input back into another."""
    return joiner_type(joiner) in BLOCKING
