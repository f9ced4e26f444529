"""The worst current through each part, both ways, over every set of packs and every state of charge.

Behind blocking joiners any pack may be alone or the highest, so each part on its way carries the whole load and
nothing flows back. Where packs can feed each other the circuit decides, exactly (`worst_case`); bonded packs share a
load, until one drops out (`bonded`). Back flows what brakes, what charges through a joiner and what packs push into
each other: never at one time with the load, and never where something blocks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.charging.meant import charge_ways
from packyoke.analysis.circuit.bonded import Drift, drift, groups, inside, let_through_a
from packyoke.analysis.circuit.load import (
    Load,
    controller_load,
    cut_off_v,
    held_load,
    load,
    lowest_held_v,
    lowest_running_v,
)
from packyoke.analysis.circuit.network import joiner_path, lets_back, lower, plainly_ahead, seen_from, tree
from packyoke.analysis.circuit.worst_case import EXTREMES, Extreme, extremes
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain, joiner_type
from packyoke.core.paths import PartPath, is_joiner, is_lead, is_pack, name_of, path_to
from packyoke.model import Charger, Controller, Joiner, known

BRAKING = "braking"
FROM_PACK = "from pack to pack"


class Flow(NamedTuple):
    """The worst current through a part: towards the controller, at its peak, and what is no load, mostly back.

    `packs_in` are the packs plugged in when it is worst, `charges` their states as (pack, fraction); `back_by` says
    what flows back: braking, from pack to pack, or the names of chargers; `pushed_a` is what packs push back without
    these. `high`: it counts high, where a power limit draws from bonded packs: they hold the voltage up, and it is
    counted at the lowest of one alone.
    """

    forward_a: float
    peak_a: float | None
    peak_s: float | None
    back_a: float
    packs_in: tuple[str, ...]
    charges: tuple[tuple[str, float], ...]
    back_by: str = ""
    pushed_a: float = 0.0
    high: bool = False

    @property
    def most_a(self) -> float:
        return self.forward_a if self.peak_a is None else max(self.forward_a, self.peak_a)


@once
def mixing_joiners(case: Case) -> tuple[Joiner, ...]:
    """The joiners through which one pack can feed another: plain ones with more than one pack behind them.

    A selector holds one input at a time; what it does while it changes over is for `packs-rush`, and so is a joiner of
    unknown type: as long as its question is open, the currents are those behind a blocking one.
    """
    drawing = harness(case)
    found = []
    for joiner in case.build.joiners.values():
        packs = drawing.packs_behind.get(joiner.path, ())
        several = len(packs) > 1 and len(drawing.leads_into.get(joiner.name, ())) > 1
        if several and is_plain(joiner):
            found.append(joiner)
    return tuple(found)


@once
def draw(case: Case, path: PartPath) -> Flow:
    """The worst current through a part towards the controllers; what flows back is left out and not asked for."""
    asked = load(case, path)
    if not _mixing_tree(case, path):
        first = (asked.at_empty,) if asked.at_empty else harness(case).packs_behind.get(path, ())[:1]
        charge = 0.0 if asked.at_empty else 1.0
        return Flow(asked.continuous_a, asked.peak_a, asked.peak_s, 0.0, first, tuple((name, charge) for name in first))
    worst = max(_extremes(case, path, peak=False), key=lambda each: each.forward_a)
    forward_a, charges = max(0.0, worst.forward_a), _charges(case, worst.forward_states)
    names = tuple(name_of(name) for name in worst.forward_packs)
    peak_a = None
    if asked.peak_a is not None:
        peak_a = max(each.forward_a for each in _extremes(case, path, peak=True))
    for each in _drifts(case, path):
        if each.forward_a > forward_a:
            forward_a, charges, names = each.forward_a, each.charges, tuple(name for name, _ in each.charges)
        if peak_a is not None:
            peak_a = max(peak_a, each.peak_a)
    left_a, left_peak_a, alone = left_with(case, path)
    if left_a > forward_a:
        forward_a, charges, names = left_a, tuple((name, 1.0) for name in alone), alone
    if peak_a is not None:
        peak_a = max(peak_a, left_peak_a)
    return Flow(forward_a, peak_a, asked.peak_s, 0.0, names, charges, high=bool(asked.at_empty and groups(case)))


@once
def flow(case: Case, path: PartPath) -> Flow:
    """The worst current through a pack, lead or joiner path (the worst of a joiner's paths), both ways."""
    found = draw(case, path)
    back = [(braking_a(case, path), BRAKING), *_charged(case, path)]
    pushed_a = 0.0
    if _mixing_tree(case, path):
        pushed_a, braked_a = (_mixed_back_a(case, path, braking) for braking in (False, True))
        back = [(pushed_a, FROM_PACK), (braked_a, BRAKING), *back]
    back_a, back_by = max(back, key=lambda each: each[0])
    return found._replace(back_a=back_a, back_by=back_by, pushed_a=pushed_a) if back_a > 0.0 else found


def _mixed_back_a(case: Case, path: PartPath, braking: bool) -> float:
    """What packs that can feed each other push back through a part, bonded ones as they drift apart, too [A]."""
    pushed = (-each.back_a for each in _extremes(case, path, peak=False, braking=braking))
    return max(0.0, *pushed, *(each.back_a for each in _drifts(case, path, braking=braking)))


def lasting_back_a(case: Case, path: PartPath) -> float:
    """What braking and chargers push back through a part [A]; packs that come level soon have."""
    return max((braking_a(case, path), *(amps for amps, _ in _charged(case, path))))


@once
def left_with(case: Case, path: PartPath) -> tuple[float, float, tuple[str, ...]]:
    """What a part between bonded packs is left with when the others drop out: all the time, at the peak, whose it is.

    The whole load, or what its own packs let out before their fuse or protection opens, if that is less [A]. Nothing
    for a pack itself: what it lets out is not too much for it.
    """
    worst: tuple[float, float, tuple[str, ...]] = (0.0, 0.0, ())
    leads = [path]
    if is_pack(path):
        return worst
    if is_joiner(path):
        leads = [lead.path for lead in harness(case).leads_into.get(name_of(path), ())]
    for each in leads:
        if inside(case, each) is None:
            continue
        asked = load(case, each)
        left_a = min(asked.continuous_a, let_through_a(case, each, False))
        peak_a = min(asked.most_a, let_through_a(case, each, True))
        if left_a > worst[0]:
            worst = (left_a, max(peak_a, worst[1]), harness(case).packs_behind[each])
    return worst


@once
def _mixing_tree(case: Case, path: PartPath) -> bool:
    """Whether current from another pack can pass through this part."""
    drawing = harness(case)
    for joiner in mixing_joiners(case):
        if any(
            joiner.path in way and path in way[: way.index(joiner.path)]
            for ways in drawing.ways.values()
            for way in ways
        ):
            return True
        if path == joiner.path:
            return True
    return False


def braking_a(case: Case, path: PartPath) -> float:
    """Current that the controllers push back through a part when they brake [A].

    Only into a pack that nothing blocks from the controller: current that finds no pack does not flow.
    """
    drawing = harness(case)
    total_a = 0.0
    for name in drawing.controllers_ahead.get(path, ()):
        controller = case.build.controllers[name]
        if controller.regen_a != 0.0 and _takes(case, path, controller):
            total_a += known(controller.regen_a, controller, "regen_a")
    return total_a


def _takes(case: Case, path: PartPath, controller: Controller) -> bool:
    """Whether a pack behind a part is reached by what a controller pushes back."""
    for ways in harness(case).ways.values():
        for way in ways:
            if path in way and way[-1] == controller.path and not any(_blocks(case, each) for each in way):
                return True
    return False


def _blocks(case: Case, path: PartPath) -> bool:
    if not is_joiner(path):
        return False
    return not lets_back(case.build.joiners[name_of(path)])


def _charged(case: Case, path: PartPath) -> Iterator[tuple[float, str]]:
    """What chargers that are plugged into joiners push through a part, each with the charger's name, and together [A].

    A pack that is lowest, or the only one, takes everything; packs that are joined add what they push into it.
    """
    for charger in case.build.chargers.values():
        if charger.through is None or path not in charge_ways(case, charger.name):
            continue
        current_a = known(charger.current_a, charger, "current_a")
        if _mixing_tree(case, path):
            found = _charging(case, charger, current_a)
            current_a = max((current_a, *(-found[each].back_a for each in _elements(case, path) if each in found)))
        yield current_a, charger.name
    amps, names = charged_together(case, path)
    if len(names) > 1:
        yield amps, " and ".join(names)


@once
def charged_together(case: Case, path: PartPath) -> tuple[float, tuple[str, ...]]:
    """The most that chargers in several joiners push through a part at one time [A], and their names.

    One charger a joiner. What is plugged in behind a lead pushes on through it into the packs of a plain joiner, all
    others back: never both. Through a joiner both may go into one pack.
    """
    sides: dict[bool, dict[str, tuple[float, str]]] = {True: {}, False: {}}
    for charger in case.build.chargers.values():
        if charger.through is None or path not in charge_ways(case, charger.name):
            continue
        joiner = case.build.joiners[charger.through].path
        behind = is_lead(path) and any(
            path in way and joiner in way[: way.index(path)] for ways in harness(case).ways.values() for way in ways
        )
        side = sides[behind]
        amps = known(charger.current_a, charger, "current_a")
        side[joiner] = max(side.get(joiner, (0.0, "")), (amps, charger.name))
    return max(
        (sum(amps for amps, _ in side.values()), tuple(name for _, name in side.values())) for side in sides.values()
    )


@once
def _charging(case: Case, charger: Charger, current_a: float) -> dict[str, Extreme]:
    """The extremes of what is seen from the outlet that a charger is plugged into, while nothing draws [A]."""
    joiner = case.build.joiners[charger.through or ""]
    packs = _seen(case, joiner)
    if not packs:  # a joiner that no pack reaches: its own rule says so
        return {}
    full_v = {
        name: known(case.build.packs[name].full_charge_v, case.build.packs[name], "full_charge_v") for name in packs
    }
    bonded = [group for group in groups(case) if set(group.packs) <= set(packs)]
    bare = Case(replace(case.build, accessories={})) if case.build.accessories else case
    case.effort += EXTREMES
    return extremes(
        seen_from(bare, joiner, full_v, lower),
        {path_to("packs", name): (full_v[name], cut_off_v(case.build.packs[name])) for name in packs},
        load_max_a=0.0,
        cut_v=0.0,
        brake_a=current_a,
        bus_max_v=max(full_v.values()),
        groups=tuple(tuple(path_to("packs", name) for name in group.packs) for group in bonded),
        group_differs_v=max((group.by_v for group in bonded), default=0.0),
    )


def _seen(case: Case, joiner: Joiner) -> tuple[str, ...]:
    """The packs behind a joiner, and those behind the plain joiners that it leads to."""
    found = dict.fromkeys(harness(case).packs_behind.get(joiner.path, ()))
    for _, target in plainly_ahead(case, joiner):
        found.update(dict.fromkeys(_seen(case, target)))
    return tuple(found)


def blocked_ahead(case: Case, path: PartPath, controller: Controller) -> Joiner | None:
    """The first blocking joiner between a part and a controller, or None; a joiner's own path counts."""
    for ways in harness(case).ways.values():
        for way in ways:
            if path in way and way[-1] == controller.path:
                for each in way[way.index(path) :]:
                    if is_joiner(each):
                        joiner = case.build.joiners[name_of(each)]
                        if joiner_type(joiner) in ("diode", "ideal-diode"):
                            return joiner
                return None
    return None


@once
def root_of(case: Case, path: PartPath) -> str:
    """The last part through which all current of a part passes: a controller, or the joiner that feeds several."""
    ways = [way[way.index(path) :] for ways in harness(case).ways.values() for way in ways if path in way]
    shared = [each for each in ways[0] if all(each in way for way in ways)]
    return name_of(shared[-1])


@once
def _whole_tree(case: Case, root: str, peak: bool, brake_a: float) -> dict[str, Extreme]:
    build = case.build
    drawing = harness(case)
    root_path = _root_path(case, root)
    packs = drawing.packs_behind[root_path]
    full_v = {name: known(build.packs[name].full_charge_v, build.packs[name], "full_charge_v") for name in packs}
    empty_v = {name: cut_off_v(build.packs[name]) for name in packs}
    asked = load_without_taps(case, root_path, peak)
    controllers = [build.controllers[name] for name in drawing.controllers_ahead[root_path]]
    cut_v = min(lowest_running_v(case, controller, packs) for controller in controllers)
    bonded = [group for group in groups(case) if set(group.packs) <= set(packs)]
    names = drawing.controllers_ahead[root_path]
    held = held_load(case, names, packs, peak)
    lowest_v: dict[str, float] = (
        {path_to("packs", name): lowest_held_v(case, names, name) for name in packs} if held else {}
    )
    case.effort += EXTREMES
    return extremes(
        tree(case, root, full_v, lower),
        {path_to("packs", name): (full_v[name], empty_v[name]) for name in packs},
        load_max_a=asked,
        cut_v=cut_v,
        brake_a=brake_a,
        bus_max_v=max(full_v.values()),
        groups=tuple(tuple(path_to("packs", name) for name in group.packs) for group in bonded),
        group_differs_v=max((group.by_v for group in bonded), default=0.0),
        held=held,
        lowest_v=lowest_v or None,
    )


def _drifts(case: Case, path: PartPath, *, braking: bool = False) -> Iterator[Drift]:
    """How the elements of a part between bonded packs share the load while those run down."""
    for group in groups(case):
        if not set(harness(case).packs_behind.get(path, ())) <= set(group.packs):
            continue
        root = root_of(case, path)
        root_path = _root_path(case, root)
        load_a, peak_a = (load_without_taps(case, root_path, each) for each in (False, True))
        found = drift(case, group, root, load_a, peak_a, braking_into_a(case, root) if braking else 0.0)
        yield from (found[each] for each in _elements(case, path) if each in found)


def load_without_taps(case: Case, path: PartPath, peak: bool) -> float:
    """What the controllers ahead of a part draw, without the accessories [A]."""
    drawing = harness(case)
    packs = drawing.packs_behind[path]
    loads: list[Load] = [controller_load(case, name, packs) for name in drawing.controllers_ahead[path]]
    return sum(each.most_a if peak else each.continuous_a for each in loads)


def _extremes(case: Case, path: PartPath, *, peak: bool, braking: bool = False) -> list[Extreme]:
    """The extremes of a pack or lead, or of every path through a joiner."""
    root = root_of(case, path)
    brake_a = braking_into_a(case, root) if braking else 0.0
    found = _whole_tree(case, root, peak, brake_a)
    return [found[each] for each in _elements(case, path) if each in found]


def _elements(case: Case, path: PartPath) -> list[str]:
    """A pack or lead as an element of the circuit, or every path through a joiner."""
    if not is_joiner(path):
        return [path]
    joiner = case.build.joiners[name_of(path)]
    return [joiner_path(joiner, lead) for lead in harness(case).leads_into.get(joiner.name, ())]


def braking_into_a(case: Case, root: str) -> float:
    """Current that the controllers ahead of the root of a tree push into it when they brake [A]."""
    controllers = (case.build.controllers[name] for name in harness(case).controllers_ahead[_root_path(case, root)])
    return sum(known(controller.regen_a, controller, "regen_a") for controller in controllers)


def _root_path(case: Case, root: str) -> PartPath:
    """Of a pack that is led to two controllers, which is refused, all current passes through the pack alone."""
    build = case.build
    return (build.controllers.get(root) or build.joiners.get(root) or build.packs[root]).path


def _charges(case: Case, states: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """States of charge at the two ends that the worst case uses: full or empty."""
    found = []
    for path, emf_v in states.items():
        pack = case.build.packs[name_of(path)]
        full_v = known(pack.full_charge_v, pack, "full_charge_v")
        found.append((pack.name, 1.0 if emf_v > (full_v + cut_off_v(pack)) / 2 else 0.0))
    return tuple(found)
