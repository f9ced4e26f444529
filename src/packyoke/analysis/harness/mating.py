"""What plugs onto what: which ends mate, which contacts a hand can reach, which plugs belong to the mains."""

from __future__ import annotations

import re
from functools import lru_cache

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.contacts import goes_onto
from packyoke.analysis.limits.leads import outlet_of
from packyoke.core.findings import Severity
from packyoke.model import Build, End, Joiner, Lead, Part
from packyoke.shelf import connectors

OTHER_METAL = {"pin": "socket", "socket": "pin", "genderless": "genderless", "joint": "joint"}


def mate_of(end: End) -> End:
    """The half that goes onto this one.

    >>> str(mate_of(End("XT60", "socket", "socket")))
    'XT60 pin'
    """
    return End(end.family, OTHER_METAL[end.plus], OTHER_METAL[end.minus])


def mates(case: Case, one: End, other: End) -> bool:
    """Whether two ends go together: pin into socket at either pole, one family or families said to mate.

    Joints are made on the bench, so any joint goes with any other.
    """
    if other.plus != OTHER_METAL[one.plus] or other.minus != OTHER_METAL[one.minus]:
        return False
    if one.family == other.family or one.plus == "joint":
        return True
    return _listed(case, one, other) or _listed(case, other, one)


def _listed(case: Case, one: End, other: End) -> bool:
    return other.family.casefold() in map(str.casefold, goes_onto(case, one))


@lru_cache(maxsize=256)
def both_poles_reachable(family: str) -> bool:
    """Whether a finger or a key can touch both poles of a pin half at once; so is one that the shelf does not know."""
    found = connectors.connector(family)
    return found is None or found.both_poles_reachable


HOUSED = frozenset(("keyed", "dock", "housing"))
"""Words of a family whose housing goes together one way only, whatever its contacts are."""
SINGLE = frozenset(("bullet", "banana", "ring", "lug", "stud", "tab", "spade", "blade", "single", "clip", "clamp"))
BARE = frozenset(("ring", "lug", "stud"))
"""What contacts that come one by one, and those without any housing, are called: the trade's words."""


@lru_cache(maxsize=256)
def is_keyed(family: str) -> bool:
    """Whether the shape of a family lets plus meet plus only; one that the shelf does not know goes by its name.

    >>> is_keyed("XT60"), is_keyed("4 mm bullet"), is_keyed("8 mm bullets"), is_keyed("8 mm bullet, keyed housing")
    (True, False, False, True)
    """
    words = _words(family)
    if words & HOUSED:
        return True
    found = connectors.connector(family)
    return found.keyed if found is not None else not words & SINGLE


@lru_cache(maxsize=256)
def is_bare(family: str) -> bool:
    """Whether both poles are bare metal without a housing: rings, lugs, studs.

    >>> is_bare("M5 ring"), is_bare("M8 cable lugs"), is_bare("joint crimp"), is_bare("genderless 45 A")
    (True, True, False, False)
    """
    return bool(_words(family) & BARE)


def _words(family: str) -> frozenset[str]:
    return frozenset(word.removesuffix("s") for word in re.findall(r"[a-z]+", family.casefold()))


def may_swap_poles(one: End | None, other: End | None) -> bool:
    """Whether two halves also go together with plus on minus: alike at both poles, in a family that nothing keys.

    Of a half that nobody has described the other one tells. Joints are made once, with a meter beside them.
    """
    halves = [each for each in (one, other) if each is not None]
    if not halves or any(each.plus != each.minus or each.plus == "joint" for each in halves):
        return False
    return not any(is_keyed(each.family) for each in halves)


def is_plugged(one: End | None, other: End | None) -> bool:
    """Whether two halves are a plug that a hand parts, as far as they are known: no joint, and nothing bolted."""
    halves = [each for each in (one, other) if each is not None]
    return bool(halves) and not any(each.plus == "joint" or is_bare(each.family) for each in halves)


def exposure(end: End) -> Severity | None:
    """How bad it is when this end stays live: stop with both poles in reach, note with less, None without pins."""
    if end.plus == "genderless" and is_bare(end.family):
        return Severity.STOP
    if end.plus != "pin" and end.minus != "pin":
        return None
    if end.plus == end.minus and both_poles_reachable(end.family):
        return Severity.STOP
    return Severity.NOTE


@lru_cache(maxsize=256)
def is_mains(family: str) -> bool:
    """Whether a connector family, or a plug as somebody called it, belongs to the mains.

    >>> is_mains("XT60"), is_mains("c14"), is_mains("panel C14, black")
    (False, True, True)
    """
    words = " ".join(family.replace(",", " ").split())
    found = connectors.connector(words)
    if found is not None:
        return found.mains
    return any(f" {name} " in f" {words.casefold()} " for name in _mains_names())


@lru_cache(maxsize=1)
def _mains_names() -> tuple[str, ...]:
    found = (connectors.connector(name) for name in connectors.connector_names())
    return tuple(each.family.casefold() for each in found if each is not None and each.mains)


def source_part(build: Build, lead: Lead) -> Part:
    """The pack or joiner that a lead comes from."""
    return build.packs.get(lead.source) or build.joiners[lead.source]


def target_part(build: Build, lead: Lead) -> Part:
    """The joiner or controller that a lead goes to."""
    return build.joiners.get(lead.target) or build.controllers[lead.target]


def outlet_asked(case: Case, lead: Lead) -> bool:
    """Whether the lead has an outlet to be plugged onto: a bought-in joiner's is inside, a missing one is a fault."""
    joiner = case.build.joiners.get(lead.source)
    if joiner is None:
        return True
    if joiner.built_in is not None and outlet_of(case, lead) is None:
        return False
    return joiner.outlets == (None,) or len(harness(case).leads_from[lead.source]) <= len(joiner.outlets)


def inlet_asked(case: Case, lead: Lead) -> bool:
    """Whether the lead has an inlet of its own to go into: more leads than inlets is another rule's stop."""
    joiner = case.build.joiners.get(lead.target)
    return joiner is None or len(harness(case).leads_into[lead.target]) <= joiner.inputs


def with_item(items: tuple[End | None, ...], index: int, end: End) -> tuple[End | None, ...]:
    """The same ends with one of them changed."""
    return (*items[:index], end, *items[index + 1 :])


def outlet_index(case: Case, joiner: Joiner, lead: Lead) -> int:
    """Which outlet of a joiner a lead is plugged onto, from 0, in file order."""
    names = [each.name for each in harness(case).leads_from[joiner.name]]
    return names.index(lead.name)
