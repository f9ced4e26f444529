"""How a joiner gives its heat away: thermal resistance by mount."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.core.sources import Source
from packyoke.shelf.tables import items


class Mount(NamedTuple):
    """Band of the thermal resistance from a joiner's body to the air."""

    name: str
    low_k_per_w: float
    high_k_per_w: float
    status: str
    source: Source
    locator: str


def mount(name: str) -> Mount | None:
    """The mount of this name, compared without case (`unknown` spans all of them); None when there is no such mount.

    >>> mount("frame metal").low_k_per_w, mount("unknown").high_k_per_w
    (2.0, 23.0)
    """
    key = " ".join(name.casefold().split())
    figures = items("mounts").get(key)
    if figures is None:
        return None
    low, high = figures["lowest thermal resistance"], figures["highest thermal resistance"]
    return Mount(key, low.value, high.value, low.status, low.source, low.locator)


def mount_names() -> tuple[str, ...]:
    """Names of all mounts that a build file may give."""
    return tuple(name for name in items("mounts") if name != "unknown")
