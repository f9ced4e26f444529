"""Where numbers come from: every row of the shelf and every constant names one of these."""

from __future__ import annotations

from typing import NamedTuple

STATUSES = ("read", "derived", "practice", "memory", "assumption")


class Source(NamedTuple):
    """A document, paper or practice. `status` says how we know it: seen, worked out, trade practice, recalled, ours."""

    key: str
    title: str
    status: str


class Sourced(NamedTuple):
    """A number with the place it was taken from."""

    value: float
    source: Source
    locator: str
    status: str
