"""Chargers that can be plugged in at one time and give their current into one pack, or into packs joined for good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.charging.meant import (
    charge_limit_a,
    concerns,
    gives_nothing,
    goes_into_outlet,
    obstacle,
    plug_of,
)
from packyoke.analysis.charging.plugs import same_plug
from packyoke.analysis.circuit.bonded import group_of
from packyoke.analysis.limits.margins import above
from packyoke.core.paths import PartPath, path_to
from packyoke.model import Charger, Pack, known


class AtOnce(NamedTuple):
    """Chargers, in the order of the file, that give together [A] more than a pack takes [A]."""

    chargers: tuple[Charger, ...]
    current_a: float
    pack: Pack
    limit_a: float


def above_together(case: Case, charger: Charger) -> tuple[AtOnce, ...]:
    """Where a charger and others are only together above what a pack takes; for the first of them in the file.

    A joiner and a pack's own socket take one charger each. Packs that are joined for good count as one: the lowest may
    get everything. A charger that is too strong by itself is left out, and so is what those in joiners come to without
    any at a pack's own socket: both are told as what they are.
    """
    sets = dict.fromkeys(group.packs if (group := group_of(case, name)) else (name,) for name in case.build.packs)
    found = (
        # At one pack by itself it is said at the charger in the joiner.
        _above_together(case, charger, names) if len(names) > 1 or charger.through is not None else None
        for names in sets
    )
    return tuple(each for each in found if each is not None)


def plugged_in_with(case: Case, charger: Charger, pack_name: str) -> AtOnce | None:
    """A charger and the strongest others that fit beside it, where they are only together above what a pack takes, or
    one that is joined to it for good."""
    group = group_of(case, pack_name)
    names = group.packs if group else (pack_name,)
    limit = _least(case, names)
    return _together(case, names, limit, charger) if limit is not None else None


def _above_together(case: Case, charger: Charger, names: tuple[str, ...]) -> AtOnce | None:
    if not _places(case, charger, names):
        return None
    limit = _least(case, names)
    if limit is None or charger not in _able(case, names, limit[0]):
        return None
    found = _together(case, names, limit, None)
    if found is None or charger is not min(found.chargers, key=lambda each: each.through is None):
        return None
    return found


def _least(case: Case, names: tuple[str, ...]) -> tuple[float, Pack] | None:
    """What the pack takes that takes least [A]; None where none states a limit."""
    packs = [case.build.packs[name] for name in names]
    limits = [(limit_a, pack) for pack in packs if (limit_a := charge_limit_a(pack)) is not None]
    return min(limits, key=lambda each: each[0], default=None)


def _able(case: Case, names: tuple[str, ...], limit_a: float) -> list[Charger]:
    places = _every_place(case, names)
    return [each for each in case.build.chargers.values() if places[each.name] and not _alone(each, limit_a)]


def _together(case: Case, names: tuple[str, ...], limit: tuple[float, Pack], first: Charger | None) -> AtOnce | None:
    """The strongest that can be plugged in at one time, or those beside one of them."""
    limit_a, least = limit
    able, places = _able(case, names, limit_a), _every_place(case, names)
    if len(able) < 2 or (first is not None and first not in able):
        return None
    seated: dict[PartPath, Charger] = {}
    for each in sorted(able, key=lambda each: (each is not first, -known(each.current_a, each, "current_a"))):
        _seat(each, places, seated, set())
    kept = set(seated.values())
    at_once = tuple([each for each in able if each in kept])
    in_joiners_a = sum(each.current_a or 0.0 for each in at_once if each.through is not None)
    current_a = sum(each.current_a or 0.0 for each in at_once)
    if above(in_joiners_a, limit_a) or not above(current_a, limit_a):
        return None
    return AtOnce(at_once, current_a, least, limit_a)


@once
def _every_place(case: Case, names: tuple[str, ...]) -> dict[str, tuple[PartPath, ...]]:
    return {name: _places(case, charger, names) for name, charger in case.build.chargers.items()}


def _alone(charger: Charger, limit_a: float) -> bool:
    return charger.current_a is not None and above(charger.current_a, limit_a)


def _places(case: Case, charger: Charger, names: tuple[str, ...]) -> tuple[PartPath, ...]:
    """Where a charger can be plugged in to charge one of these packs: its joiner, or the packs with a socket for it.

    A plug that goes into the outlet of a pack takes that pack off its joiner, unless it is joined for good.
    """
    into = [
        case.build.packs[name]
        for name in names
        if concerns(case, charger.name, name)
        and obstacle(case, charger.name, name) is None
        and not gives_nothing(charger, case.build.packs[name])
    ]
    if charger.through is not None:
        return (path_to("joiners", charger.through),) if into else ()
    return tuple([pack.path for pack in into if len(names) > 1 or not _takes_it_off(case, charger, pack)])


def _takes_it_off(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger's plug goes into the outlet of a pack, and nowhere else on it."""
    plug = plug_of(case, charger)
    if plug is None or not goes_into_outlet(plug, pack):
        return False
    return pack.charge_inlet is None or not same_plug(plug, pack.charge_inlet.family)


def _seat(
    charger: Charger,
    places: Mapping[str, tuple[PartPath, ...]],
    seated: dict[PartPath, Charger],
    tried: set[PartPath],
) -> bool:
    """Give a charger a place, moving others on where they have another; who is seated keeps a place."""
    for place in places[charger.name]:
        if place in tried:
            continue
        tried.add(place)
        if place not in seated or _seat(seated[place], places, seated, tried):
            seated[place] = charger
            return True
    return False
