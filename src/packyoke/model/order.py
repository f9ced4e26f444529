"""The order in which parts are gone through: by their names, so that the order of a file decides nothing.

Which of equal parts is named, and how far a bounded search comes, hangs on what is looked at first. Pages list parts in
the order of the file.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from packyoke.model.build import Build

SECTIONS = ("racks", "packs", "joiners", "leads", "controllers", "accessories", "chargers", "places", "rides")


def by_name(build: Build) -> Build:
    """The same build with its parts in the order of their names.

    Leads stay in the order of the file where it tells which inlet or outlet of a joiner they take, and that matters:
    where those differ, a selector begins with the first, or a reading names one by its number.
    """
    changes: dict[str, Any] = {}
    for section in SECTIONS:
        parts = getattr(build, section)
        names = sorted(parts, key=natural)
        if names != [*parts] and not (section == "leads" and _tells_places(build)):
            changes[section] = {name: parts[name] for name in names}
    return build.but(**changes) if changes else build


@lru_cache(4096)
def natural(name: str) -> tuple[Any, ...]:
    """A name as one sorts it: `lead 2` before `lead 10`."""
    words = re.split(r"([0-9]+)", name)
    return tuple(int(word) if at % 2 else word for at, word in enumerate(words)), name


def _tells_places(build: Build) -> bool:
    return any(
        each.type == "selector" or len(set(each.inlets)) > 1 or len(set(each.outlets)) > 1
        for each in build.joiners.values()
    ) or any((reading.inlet or "").isdigit() for reading in build.measured)
