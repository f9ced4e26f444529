"""A short name of what was checked, by which a page on paper and a result in store are known again."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from hashlib import sha256
from operator import attrgetter

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
    kind: type = type(part)
    names, values = _told_by(kind)
    return "|".join(
        [
            f"{name}={value:.9g}"
            if value.__class__ is float
            else f"{name}={_canonical(value) if isinstance(value, Part) else value}"
            for name, value in zip(names, values(part), strict=True)
        ]
    )


@cache
def _told_by(kind: type) -> tuple[tuple[str, ...], attrgetter[tuple[object, ...]]]:
    """The fields that make a part of this kind what it is, and what takes them out of one."""
    names = tuple(each.name for each in fields(kind) if each.name not in ("span", "spans", "owner"))
    return names, attrgetter(*names)
