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
from packyoke.analysis.charging.meant import charge_ways, gives_nothing
from packyoke.analysis.circuit.bonded import groups, inside, let_through_a
from packyoke.analysis.circuit.load import LoadStep, cut_off_v, full_charge_v, load
from packyoke.analysis.circuit.mixed import bonds, drifts, drifts_back_a, elements, least, most
from packyoke.analysis.circuit.network import lets_back, lower, plainly_ahead, seen_from
from packyoke.analysis.circuit.worst_case import EXTREMES, Between
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain, joiner_type
from packyoke.core.paths import PartPath, is_joiner, is_lead, is_pack, name_of, path_to
from packyoke.model import Charger, Controller, Joiner, Key, known

BRAKING = "braking"
FROM_PACK = "from pack to pack"


class Flow(NamedTuple):
    """The worst current through a part: towards the controller, at its peak, and what is no load, mostly back.

    `packs_in` are the packs plugged in when it is worst, `charges` their states as (pack, fraction); `back_by` says
    what flows back: braking, from pack to pack, or the names of chargers; `pushed_a` is what packs push back without
    these. `high`: it counts high, where a power limit draws from bonded packs: they hold the voltage up, and it is
    counted at the lowest of one alone. `later`: what is left of the peak once a shorter one of several controllers is
    over.
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
    later: tuple[LoadStep, ...] = ()

    @property
    def most_a(self) -> float:
        return self.forward_a if self.peak_a is None else max(self.forward_a, self.peak_a)

    @property
    def steps(self) -> tuple[LoadStep, ...]:
        """The peak and what comes after it, each with the time from the beginning."""
        return () if self.peak_a is None else ((self.peak_a, self.peak_s or 0.0), *self.later)


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
        alike = tuple((name, charge) for name in first)
        return Flow(asked.continuous_a, asked.peak_a, asked.peak_s, 0.0, first, alike, later=asked.later)
    worst_a, states = max(most(case, path, peak=False), key=lambda each: each[0])
    forward_a, charges = max(0.0, worst_a), _charges(case, states)
    names = tuple(name_of(name) for name in states)
    peak_a = None
    if asked.peak_a is not None:
        peak_a = max(amps for amps, _ in most(case, path, peak=True))
    for each in drifts(case, path):
        if each.forward_a > forward_a:
            forward_a, charges, names = each.forward_a, each.charges, tuple(name for name, _ in each.charges)
        if peak_a is not None:
            peak_a = max(peak_a, each.peak_a)
    left_a, left_peak_a, alone = left_with(case, path)
    if left_a > forward_a:
        forward_a, charges, names = left_a, tuple((name, 1.0) for name in alone), alone
    if peak_a is not None:
        peak_a = max(peak_a, left_peak_a)
    # Among packs that feed each other the highest peak counts for as long as the longest lasts.
    peak_s = asked.steps[-1][1] if asked.steps else None
    return Flow(forward_a, peak_a, peak_s, 0.0, names, charges, high=bool(asked.at_empty and groups(case)))


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
    pushed = (-amps for amps, _ in least(case, path, braking=braking))
    return max(0.0, *pushed, *drifts_back_a(case, path, braking=braking))


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
    return sum(known(each.regen_a, each, "regen_a") for each in brakes_into(case, path))


def brakes_into(case: Case, path: PartPath) -> list[Controller]:
    """The controllers that push back through a part when they brake, or may do so, in the order of the file."""
    ahead = harness(case).controllers_ahead.get(path, ())
    return [
        each
        for name, each in case.build.controllers.items()
        if name in ahead and each.regen_a != 0.0 and _takes(case, path, each)
    ]


def surely_brakes(case: Case, controller: Controller) -> bool:
    """Whether the file says that a controller brakes: a guess of none may be wrong, one of some is some.

    Which of several is told must not hang on what is tried for those of which nobody knows it.
    """
    return "regen_a" in controller.spans and case.build.guesses.get(Key(controller.path, "regen_a")) != 0.0


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
            current_a = max((current_a, *_pushed_on(case, path, charger, current_a)))
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
        if is_pack(path) and gives_nothing(charger, case.build.packs[name_of(path)]):
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


def _pushed_on(case: Case, path: PartPath, charger: Charger, current_a: float) -> Iterator[float]:
    """What comes back through the elements of a part while a charger pushes and nothing draws [A]."""
    between = _seen_from_charger(case, charger)
    if between is None:
        return
    bus_max_v = max(full_v for full_v, _ in between.ranges.values())
    for each in elements(case, path):
        if each in between.branches:
            yield -between.least(each, current_a, bus_max_v)[0]


@once
def _seen_from_charger(case: Case, charger: Charger) -> Between | None:
    """What is seen from the outlet that a charger is plugged into; None behind a joiner that no pack reaches: its own
    rule says so."""
    joiner = case.build.joiners[charger.through or ""]
    packs = _seen(case, joiner)
    if not packs:
        return None
    full_v = {name: full_charge_v(case.build.packs[name]) for name in packs}
    bare = Case(replace(case.build, accessories={})) if case.build.accessories else case
    bonded, differs_v = bonds(case, packs)
    case.effort += EXTREMES
    circuit = seen_from(bare, joiner, full_v, lower)
    ranges: dict[str, tuple[float, float]] = {
        path_to("packs", name): (full_v[name], cut_off_v(case.build.packs[name])) for name in packs
    }
    return Between(circuit, ranges, bonded, differs_v)


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


def _charges(case: Case, states: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """States of charge at the two ends that the worst case uses: full or empty."""
    found = []
    for path, emf_v in states.items():
        pack = case.build.packs[name_of(path)]
        full_v = known(pack.full_charge_v, pack, "full_charge_v")
        found.append((pack.name, 1.0 if emf_v > (full_v + cut_off_v(pack)) / 2 else 0.0))
    return tuple(found)
