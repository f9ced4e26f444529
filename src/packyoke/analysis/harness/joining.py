"""Which pack can feed which, through which joiner, and how large the rush is when they are joined."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import combinations
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v
from packyoke.analysis.circuit.mixed import bonds
from packyoke.analysis.circuit.network import lower, tree
from packyoke.analysis.circuit.worst_case import EXTREMES, extremes
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import BLOCKING, blocks, both_on, joiner_type
from packyoke.analysis.unknowns.spans import OHMIC_SHARE
from packyoke.core.paths import is_joiner, is_lead, name_of, path_to
from packyoke.model import Joiner, Pack

AT_MOST_V = 0.5
"""Most difference at which packs are joined by hand: common practice, no standard gives a figure."""
SLOW_PER_HOUR = 0.2
"""Share of the capacity in an hour that every pack bears: common practice."""


def apart_for_v(limit_a: float, each_volt_a: float) -> float:
    """How far packs may stand apart for no more than a limit to flow, by what flows at 1 V [V]; inf: nothing does.

    Through a diode nothing flows below its drop, so what flows at less than 1 V lies below the straight line to there.
    """
    return limit_a / each_volt_a if each_volt_a > 0.0 else inf


class Meeting(NamedTuple):
    """Where current of one pack could turn into another: the joiner where their ways meet, and the joiners that it
    would have to pass backwards, that one last."""

    joiner: Joiner
    back: tuple[Joiner, ...]


@once
def meetings(case: Case, giver: str, receiver: str) -> tuple[Meeting, ...]:
    """Every place where current of one pack could turn into another, once for each of the receiver's ways."""
    drawing, joiners = harness(case), case.build.joiners
    found: dict[tuple[str, ...], Meeting] = {}
    for way in drawing.ways.get(receiver, ()):
        passed: list[Joiner] = []
        for path in way:
            if not is_joiner(path):
                continue
            passed.append(joiners[name_of(path)])
            if giver in drawing.packs_behind[path]:
                found[tuple(each.name for each in passed)] = Meeting(passed[-1], tuple(passed))
                break
    return tuple(found.values())


def together(case: Case, first: str, second: str) -> bool:
    """Whether two packs can be on the same wires at one time: not when they only meet at selectors that break first."""
    return any(both_on(joiner) for joiner, _ in meetings(case, first, second))


def takes_turns(case: Case, first: str, second: str) -> bool:
    """Whether two packs meet, but never at one time."""
    return bool(meetings(case, first, second)) and not together(case, first, second)


def opponents(
    case: Case, pack: Pack, differ: Callable[[Pack, Pack], bool], meet: Callable[[Case, str, str], bool]
) -> list[Pack]:
    """The packs that differ from a pack where they meet, as far as this pack is the one to be named.

    Of two packs that differ the odd one is named: that which differs from more packs, then that which charges higher.
    """
    others = [other for other in case.build.packs.values() if other is not pack]
    found = [other for other in others if meet(case, pack.name, other.name) and differ(pack, other)]
    if not found:
        return found

    def rank(one: Pack) -> tuple[int, float, str]:
        against = [each for each in case.build.packs.values() if each is not one]
        count = sum(meet(case, one.name, each.name) and differ(one, each) for each in against)
        return count, full_charge_v(one), one.name

    mine = rank(pack)
    return [other for other in found if rank(other) < mine]


def feeds(case: Case, giver: str, receiver: str) -> Meeting | None:
    """Where one pack can push current into another, or None: plainly, or while a selector makes before it breaks."""
    for meeting in meetings(case, giver, receiver):
        if any(joiner.blocking for joiner in meeting.back):
            continue
        if all(joiner_type(joiner) not in BLOCKING for joiner in meeting.back) and both_on(meeting.joiner):
            return meeting
    return None


def plainly_joined(case: Case, giver: str, receiver: str) -> bool:
    """Whether one pack is known to feed another all the time, through plain joiners; a type that is not known is no."""
    return any(
        meeting.joiner.type == "plain"
        and not any(joiner.type in (*BLOCKING, None, "unknown") for joiner in meeting.back)
        for meeting in meetings(case, giver, receiver)
    )


def receivers(case: Case, joiner: Joiner) -> list[tuple[str, tuple[str, ...]]]:
    """The packs that others can push current into through a joiner, each with those others, in file order."""
    found = []
    for receiver in harness(case).packs_behind.get(joiner.path, ()):
        givers = tuple(
            giver
            for giver in _met_at(case, joiner, receiver)
            if (meeting := feeds(case, giver, receiver)) is not None and meeting.joiner.name == joiner.name
        )
        if givers:
            found.append((receiver, givers))
    return found


def _met_at(case: Case, joiner: Joiner, pack: str) -> Sequence[str]:
    """The packs that a pack meets at a joiner, not at an earlier one, on one of its ways at least; in file order."""
    drawing = harness(case)
    behind, met = drawing.packs_behind, {pack}
    ways = [way[: way.index(joiner.path)] for way in drawing.ways.get(pack, ()) if joiner.path in way]
    if ways:
        met |= set.intersection(*({name for path in way if is_joiner(path) for name in behind[path]} for way in ways))
    return [name for name in behind[joiner.path] if name not in met]


@once
def on_at_once(case: Case, joiner_name: str) -> tuple[tuple[str, ...], ...]:
    """The packs that are put together at a joiner at one time: all of them; at a selector, which touches two inputs
    while it changes over, those of each two."""
    drawing = harness(case)
    behind = [drawing.packs_behind.get(lead.path, ()) for lead in drawing.leads_into.get(joiner_name, ())]
    if len(behind) < 2 or joiner_type(case.build.joiners[joiner_name]) != "selector":
        return (drawing.packs_behind[path_to("joiners", joiner_name)],)
    return tuple((*one, *other) for one, other in combinations(behind, 2))


class Rush(NamedTuple):
    """The current that is pushed into a pack at once, by which packs, at which open-circuit voltages [A], [V]."""

    amps_a: float
    states_v: tuple[tuple[str, float], ...]


class Rushes(NamedTuple):
    """What flows when the packs at a joiner are put together: into each pack, and at most in each lead [A]."""

    into: dict[str, Rush]
    leads_a: dict[str, float]


@once
def rushes(case: Case, joiner_name: str, apart_v: float | None = None) -> Rushes:
    """The worst rush at a joiner, exact over every set of packs: full onto cut-off, or packs that stand so far apart.

    The controller draws nothing, accessories neither, and contacts are at their best. Packs that are bonded behind one
    way into the joiner are full or empty together.

    Parameters
        joiner_name: the joiner, taken as plain at the moment of joining
        apart_v: how far the packs stand apart; None for full onto cut-off [V]
    Returns
        the rush into each pack and the current in each lead [A]
    """
    build = case.build
    bare = Case(replace(build, accessories={})) if build.accessories else case
    into = {name: Rush(0.0, ()) for name in harness(case).packs_behind[path_to("joiners", joiner_name)]}
    leads_a: dict[str, float] = {}
    for names in on_at_once(case, joiner_name):
        ends_v: dict[str, tuple[float, float]] = {}
        for name in names:
            pack = build.packs[name]
            full_v = full_charge_v(pack) if apart_v is None else apart_v
            ends_v[name] = (full_v, cut_off_v(pack) if apart_v is None else 0.0)
        circuit = tree(
            bare,
            joiner_name,
            {name: full_v for name, (full_v, _) in ends_v.items()},
            lower,
            plain=frozenset((joiner_name,)),
        )
        case.effort += EXTREMES
        ranges: dict[str, tuple[float, float]] = {path_to("packs", name): ends_v[name] for name in names}
        bonded, differs_v = bonds(case, names, but_at=joiner_name)
        found = extremes(circuit, ranges, 0.0, 0.0, groups=bonded, group_differs_v=differs_v)
        for name in names:
            worst = found[path_to("packs", name)]
            states_v = tuple((name_of(path), emf_v) for path, emf_v in worst.back_states.items())
            into[name] = max(into[name], Rush(max(0.0, -worst.back_a), states_v), key=lambda rush: rush.amps_a)
        for path, each in found.items():
            if is_lead(path):
                leads_a[path] = max(leads_a.get(path, 0.0), each.forward_a, -each.back_a)
    return Rushes(into, leads_a)


@once
def first_moment(case: Case) -> Case:
    """The build in the first moment after packs are joined, where the resistances of the packs are smallest."""
    build = case.build
    for pack in build.packs.values():
        if pack.resistance_ohm is not None:
            build = build.with_value(pack.path, "resistance_ohm", OHMIC_SHARE * pack.resistance_ohm)
    return Case(build)


def blocks_between(case: Case, giver: str, receiver: str) -> Iterable[tuple[Joiner, ...]]:
    """For each place where current of one pack could turn into another, the joiners that block it there."""
    for meeting in meetings(case, giver, receiver):
        yield tuple(joiner for joiner in meeting.back if blocks(joiner))


def points_of(case: Case, source: str) -> tuple[frozenset[str], frozenset[str]]:
    """What ties to the plus and minus at a pack's lead, a lead's load end or a joiner's outlet: the packs whose current
    gets there, and the packs that current from there can enter. A joiner of unknown type lets current back in."""
    build, drawing = case.build, harness(case)
    if source in build.packs:
        return frozenset((source,)), frozenset((source,))
    path = build.leads[source].path if source in build.leads else build.joiners[source].path
    givers = drawing.packs_behind.get(path, ())
    entered = set()
    for pack in givers:
        for way in drawing.ways[pack]:
            if path not in way:
                continue
            names = [name_of(each) for each in way[: way.index(path) + 1] if is_joiner(each)]
            if not any(blocks(build.joiners[name]) for name in names):
                entered.add(pack)
    return frozenset(givers), frozenset(entered)


@once
def tied(case: Case, sources: tuple[str, ...]) -> tuple[str, str] | None:
    """Two packs, the giver first, between which a common connection of several points lets current flow that could not
    flow plainly before; None when it changes nothing."""
    points = [points_of(case, source) for source in dict.fromkeys(sources)]
    for at, (givers, _) in enumerate(points):
        for other, (_, entered) in enumerate(points):
            if at == other:
                continue
            for giver in sorted(givers):
                for receiver in sorted(entered):
                    if giver != receiver and not plainly_joined(case, giver, receiver):
                        return giver, receiver
    return None
