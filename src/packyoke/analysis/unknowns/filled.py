"""The build with what circuit and rundown need, where it is not in the file, at what printed numbers count with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import controller_load, cut_off_v, full_charge_v
from packyoke.analysis.circuit.network import forward_v, path_resistance_ohm
from packyoke.analysis.discharge.energy import cut_of
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.analysis.unknowns.spans import ends, likely
from packyoke.model import Build, Key, Part, Unknown, known
from packyoke.model.field import MUST
from packyoke.model.fields import field_for

NEVER_ASKED = ("tested_capacity_coulomb", "adjustable_a", "power_limit_w", "falls_to_a")
"""Fields that count when they are there and are not missed when they are not: a guess for them counts here."""


def filled(build: Build) -> tuple[Build, tuple[Key, ...]]:
    """The build with every missing value that the circuit and the rundown need at its guess, else its likely value.

    Parameters
        build: as read [-]
    Returns
        the build, and the fields that were filled; a field that must be known and has no span of its own (a capacity, a
        chemistry of several that fit, a current limit) stays unknown [-]
    """
    keys: dict[Key, None] = {}
    for (path, attr), value in build.guesses.items():
        if attr in NEVER_ASKED and getattr(build.part(path), attr) is None:
            build = build.with_value(path, attr, value)
            keys[Key(path, attr)] = None
    case = Case(build)
    for ask in _asks(build):
        while True:
            try:
                ask(case)
                break
            except Unknown as unknown:
                key = Key(unknown.part.path, unknown.attr)
                value = _counted(case.build, unknown.part, unknown.attr)
                if value is None or key in keys:
                    break
                case = Case(case.build.with_value(*key, value))
                keys[key] = None
    return case.build, tuple(keys)


@once
def filled_case(case: Case) -> tuple[Case, tuple[Key, ...]]:
    """The case of the filled build: the same one where nothing is missing."""
    build, keys = filled(case.build)
    return (Case(build) if keys else case), keys


def _counted(build: Build, part: Part, attr: str) -> Any:
    """What a missing field counts with; None where only the bounds of the file or several chemistries are at hand."""
    if (part.path, attr) in build.guesses:
        return build.guesses[Key(part.path, attr)]
    field, choices = field_for(part.path, attr), ends(build, part, attr)
    bare = field.need == MUST and choices == (field.low, field.high)
    if not choices or bare or (attr == "chemistry" and len(choices) > 1):
        return None
    return likely(build, part, attr)


def _asks(build: Build) -> Iterator[Callable[[Case], object]]:
    """Everything that is read on the way, one question at a time, so that one that cannot be filled hides no other."""
    for name in build.packs:
        for attr in ("chemistry", "series", "full_charge_v", "capacity_coulomb", "resistance_ohm", "cut_off_v"):
            yield partial(_pack_field, name, attr)
    for name in build.joiners:
        yield partial(_joiner_path, name)
    for name in build.leads:
        yield partial(_lead, name)
    for name in build.controllers:
        yield partial(_controller, name)
    for name in build.accessories:
        yield partial(_accessory, name)


def _pack_field(name: str, attr: str, case: Case) -> object:
    pack = case.build.packs[name]
    if attr == "full_charge_v":
        return full_charge_v(pack)
    if attr == "cut_off_v":
        return cut_off_v(pack)
    return known(getattr(pack, attr), pack, attr)


def _joiner_path(name: str, case: Case) -> object:
    joiner = case.build.joiners[name]
    return path_resistance_ohm(joiner), forward_v(joiner)


def _lead(name: str, case: Case) -> object:
    return lead_resistance_ohm(case, case.build.leads[name])


def _controller(name: str, case: Case) -> object:
    return cut_of(case.build.controllers[name]), controller_load(case, name, tuple(case.build.packs))


def _accessory(name: str, case: Case) -> object:
    accessory = case.build.accessories[name]
    return known(accessory.current_a, accessory, "current_a")
