"""Where numbers come from: every row of the shelf and every constant names one of these."""

from __future__ import annotations

from dataclasses import dataclass

STATUSES = ("read", "derived", "practice", "memory", "assumption")


@dataclass(frozen=True, slots=True)
class Source:
    """A document, paper or practice. `status` says how we know it: seen, worked out, trade practice, recalled, ours."""

    key: str
    title: str
    status: str


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number with the place it was taken from."""

    value: float
    source: Source
    locator: str
    status: str
