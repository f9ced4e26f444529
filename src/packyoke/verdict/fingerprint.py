"""A short name of what was checked, by which a page on paper and a result in store are known again."""

from __future__ import annotations

from hashlib import sha256

from packyoke.model import Build, Part
from packyoke.rules import VERSION
from packyoke.shelf import SHELF


def fingerprint(build: Build) -> str:
    """Short name of what was checked: the build as resolved, the rules, the shelf. 35 mohm equals 0.035 ohm."""
    parts = [f"{VERSION} {SHELF}", f"{build.warmest_k:.9g} {build.coldest_k:.9g} {build.region}"]
    for section in (
        build.packs,
        build.joiners,
        build.leads,
        build.controllers,
        build.accessories,
        build.chargers,
        build.racks,
        build.connectors,
    ):
        parts += sorted(_canonical(part) for part in section.values())
    parts.append(_canonical(build.bike))
    digest = sha256("\n".join(parts).encode()).hexdigest()
    return f"{digest[:4]} {digest[4:8]}"


def _canonical(part: Part) -> str:
    found = []
    for name in part.__dataclass_fields__:
        if name in ("span", "spans", "owner"):
            continue
        value = getattr(part, name)
        if isinstance(value, Part):
            value = _canonical(value)
        found.append(f"{name}={value:.9g}" if isinstance(value, float) else f"{name}={value}")
    return "|".join(found)
