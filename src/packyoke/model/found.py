"""Readings beat the description: what was measured stands in the parts, and the file's own word beside it.

Whatever looks at a build, the rules, the meter, the range, sees the bike as it was found. Nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from packyoke.core.paths import PartPath, is_joiner, name_of, owner_of
from packyoke.model.build import Build, Key
from packyoke.model.parts import FITTED, NONE, Charger, Fuse, Joiner, Lead, Measured, Pack, Part

SURE_A = 5.0
"""A drop that was read at less says little of a diode under load: judgement."""


def as_found(build: Build) -> Build:
    """The build with its readings in place; `described` keeps what the file says of the same fields.

    May be called again after readings were added: it begins at the description.
    """
    for (path, attr), value in build.described:
        build = build.with_value(path, attr, value)
    described: dict[Key, Any] = {}
    for path in dict.fromkeys(owner_of(reading.part) for reading in build.measured):
        for key, value in tuple(_facts(build, path)):
            described.setdefault(key, getattr(build.part(key.path), key.attr))
            build = build.with_value(*key, value)
    return replace(build, described=tuple(described.items())) if described or build.described else build


def said_of(build: Build, part: Part, attr: str) -> Any:
    """What the file itself says of a field, whatever was measured."""
    return dict(build.described).get(Key(part.path, attr), getattr(part, attr))


def counting(build: Build, path: PartPath) -> tuple[Measured, ...]:
    """The readings at a part that still count: those of a part that was replaced since then do not.

    A day of replacing that has not come yet replaces nothing.
    """
    owner = build.part(owner_of(path))
    replaced = getattr(owner, "replaced", None) or ""
    if build.today and replaced > build.today:
        replaced = ""
    return tuple(each for each in build.measured if each.part == path and each.date > replaced)


def newest(build: Build, path: PartPath) -> tuple[Measured, ...]:
    """The newest reading of each kind at a part, and at each of its inlets; of two of one day the later in the file.

    Of whether it blocks the worse counts: what has failed once does not heal.
    """
    found: dict[tuple[str, str | None], Measured] = {}
    for reading in counting(build, path):
        key = (reading.what, _inlet(build, reading))
        before = found.get(key)
        if before is not None and reading.what == "blocks" and not before.value:
            continue
        if before is None or reading.date >= before.date or (reading.what == "blocks" and not reading.value):
            found[key] = reading
    return tuple(found.values())


def lets_back(build: Build, joiner: Joiner) -> tuple[Measured, ...]:
    """The readings that say that a joiner does not block."""
    return tuple(each for each in newest(build, joiner.path) if each.what == "blocks" and not each.value)


def untested(build: Build, joiner: Joiner) -> tuple[str, ...]:
    """The leads into a joiner at whose inlets nobody has found yet that it blocks; a reading of the whole joiner is
    one of all inlets."""
    blocks = {_inlet(build, each) for each in newest(build, joiner.path) if each.what == "blocks" and each.value}
    if None in blocks:
        return ()
    return tuple(name for name, _ in inlets(build, joiner.name) if name not in blocks)


def inlets(build: Build, name: str) -> tuple[tuple[str, int], ...]:
    """The leads into a joiner, each with the number of its inlet from 1: the one it names, else the next free one."""
    leads = [lead for lead in build.leads.values() if lead.target == name]
    taken = {lead.inlet for lead in leads if lead.inlet is not None}
    free = (number for number in range(1, len(leads) + len(taken) + 1) if number not in taken)
    return tuple((lead.name, lead.inlet if lead.inlet is not None else next(free)) for lead in leads)


def _inlet(build: Build, reading: Measured) -> str | None:
    """The inlet of a reading by the lead in it, however it was written."""
    named = inlets(build, name_of(reading.part)) if reading.inlet is not None and is_joiner(reading.part) else ()
    return next((name for name, number in named if reading.inlet == str(number)), reading.inlet)


def _facts(build: Build, path: PartPath) -> Iterator[tuple[Key, Any]]:
    part = build.part(path)
    fuse = getattr(part, "fuse", None)
    if isinstance(fuse, Fuse):
        for reading in (*newest(build, path), *newest(build, fuse.path)):
            if reading.what == "fuse":
                yield from _fuse(fuse, reading.value)
    if isinstance(part, Joiner):
        yield from _joiner(build, part)
    for reading in newest(build, path):
        if isinstance(part, Pack) and reading.what == "resistance":
            yield Key(path, "resistance_ohm"), reading.value
        elif isinstance(part, Pack) and reading.what == "capacity":
            yield Key(path, "tested_capacity_coulomb"), reading.value
        elif isinstance(part, Charger) and reading.what == "voltage":
            yield Key(path, "output_v"), reading.value
    ohms = [ohm for each in newest(build, path) if (ohm := _ohm(each)) is not None]
    if isinstance(part, Lead) and ohms:
        yield Key(path, "measured_ohm"), max(ohms)


def _fuse(fuse: Fuse, value: float) -> Iterator[tuple[Key, Any]]:
    """A reading of 0 says that there is none, of 1 that there is one."""
    yield Key(fuse.path, "presence"), FITTED if value else NONE
    if value > 1.0:
        yield Key(fuse.path, "rating_a"), value


REGULATED_V = 0.03
"""An ideal diode holds so much or less at small currents, whatever its resistance: 15 to 30 mV, common practice."""


def regulates(joiner: Joiner, reading: Measured) -> bool:
    """Whether a drop is what an ideal diode holds by itself, and tells nothing of its resistance."""
    return joiner.type == "ideal-diode" and reading.what == "drop" and reading.value <= REGULATED_V


def _joiner(build: Build, joiner: Joiner) -> Iterator[tuple[Key, Any]]:
    if lets_back(build, joiner):
        yield Key(joiner.path, "type"), "plain"
    elif any(each.what == "blocks" for each in newest(build, joiner.path)) and not untested(build, joiner):
        yield Key(joiner.path, "tested"), True
    worst: list[Measured] = [each for each in newest(build, joiner.path) if each.what in ("drop", "resistance")]
    if joiner.type == "diode":
        drops_v = [each.value for each in worst if each.what == "drop" and _counts(joiner, each)]
        if drops_v:
            yield Key(joiner.path, "forward_v"), max(drops_v)
    elif ohms := [ohm for each in worst if not regulates(joiner, each) and (ohm := _ohm(each)) is not None]:
        yield Key(joiner.path, "resistance_ohm"), max(ohms)


def _counts(joiner: Joiner, reading: Measured) -> bool:
    """Whether a drop tells what a diode drops under load: more than described does at any current."""
    if joiner.forward_v is not None and reading.value > joiner.forward_v:
        return True
    return (reading.at_a or 0.0) >= SURE_A


def _ohm(reading: Measured) -> float | None:
    """The resistance that a reading shows [ohm]; a drop without its current shows none."""
    if reading.what == "resistance":
        return reading.value
    return reading.value / reading.at_a if reading.what == "drop" and reading.at_a else None
