"""The tree that a part belongs to where packs can feed each other, and what its elements carry in it.

All current of a tree passes through its root: a controller, or the joiner that feeds several. Which packs are in, and
how full they are, is decided by `worst_case`; bonded packs drift apart as they run down (`bonded`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.bonded import Drift, Drifting, drifting, groups
from packyoke.analysis.circuit.curves import Demand
from packyoke.analysis.circuit.load import (
    Load,
    controller_load,
    cut_off_v,
    full_charge_v,
    held_load,
    lowest_held_v,
    lowest_running_v,
)
from packyoke.analysis.circuit.network import joiner_path, lower, tree
from packyoke.analysis.circuit.worst_case import EXTREMES, Between, Carried
from packyoke.analysis.harness.drawing import harness
from packyoke.core.paths import PartPath, is_joiner, name_of, path_to
from packyoke.model import known


@once
def root_of(case: Case, path: PartPath) -> str:
    """The last part through which all current of a part passes: a controller, or the joiner that feeds several."""
    ways = [way[way.index(path) :] for ways in harness(case).ways.values() for way in ways if path in way]
    shared = [each for each in ways[0] if all(each in way for way in ways)]
    return name_of(shared[-1])


def elements(case: Case, path: PartPath) -> list[str]:
    """A pack or lead as an element of the circuit, or every path through a joiner."""
    if not is_joiner(path):
        return [path]
    joiner = case.build.joiners[name_of(path)]
    return [joiner_path(joiner, lead) for lead in harness(case).leads_into.get(joiner.name, ())]


def bonds(case: Case, packs: tuple[str, ...], but_at: str = "") -> tuple[tuple[tuple[PartPath, ...], ...], float]:
    """The packs of the bonded groups that are whole among some, and the most that one of them stands apart [V]; a group
    that meets at a joiner which is left out is none."""
    bonded = [group for group in groups(case) if set(group.packs) <= set(packs) and group.joiner != but_at]
    names = tuple(tuple(path_to("packs", name) for name in group.packs) for group in bonded)
    return names, max((group.by_v for group in bonded), default=0.0)


def most(case: Case, path: PartPath, *, peak: bool) -> list[Carried]:
    """The most that a pack or lead, or every path through a joiner, carries towards the load."""
    between, load = _loaded(case, root_of(case, path), peak)
    return [between.most(each, *load) for each in elements(case, path) if each in between.branches]


def least(case: Case, path: PartPath, *, braking: bool) -> list[Carried]:
    """The least, zero or negative: what comes back of packs, and of braking."""
    root = root_of(case, path)
    brake_a = _braking_into_a(case, root) if braking else 0.0
    bus_max_v = max(full_v for full_v, _ in _ranges(case, root).values())
    between = _between(case, root)
    return [between.least(each, brake_a, bus_max_v) for each in elements(case, path) if each in between.branches]


def drifts(case: Case, path: PartPath) -> Iterator[Drift]:
    """The most that the elements of a part between bonded packs give while those run down under the load."""
    for found in _drifting(case, path):
        peak_a = _without_taps_a(case, root_of(case, path), True)
        for each in elements(case, path):
            drift = found.forward(each, peak_a)
            if drift is not None:
                yield drift


def drifts_back_a(case: Case, path: PartPath, *, braking: bool) -> Iterator[float]:
    """The most that comes back through them meanwhile [A]."""
    for found in _drifting(case, path):
        brake_a = _braking_into_a(case, root_of(case, path)) if braking else 0.0
        yield from (found.back_a(each, brake_a) for each in elements(case, path))


def _drifting(case: Case, path: PartPath) -> Iterator[Drifting]:
    """The bonded groups between whose packs a part lies, as they run down."""
    for group in groups(case):
        if set(harness(case).packs_behind.get(path, ())) <= set(group.packs):
            root = root_of(case, path)
            found = drifting(case, group, root, _without_taps_a(case, root, False))
            if found is not None:
                yield found


class _Load(NamedTuple):
    """What is drawn at the root of a tree, as `Between.most` takes it."""

    load_max_a: float
    cut_v: float
    held: Demand | None
    lowest_v: Mapping[str, float] | None


@once
def _loaded(case: Case, root: str, peak: bool) -> tuple[Between, _Load]:
    root_path = _path_of(case, root)
    packs, names = harness(case).packs_behind[root_path], harness(case).controllers_ahead[root_path]
    _ranges(case, root)  # what nobody knows is asked for in this order
    load_a = _without_taps_a(case, root, peak)
    cut_v = min(lowest_running_v(case, case.build.controllers[name], packs) for name in names)
    held = held_load(case, names, packs, peak)
    lowest_v: dict[str, float] | None = None
    if held:
        lowest_v = {path_to("packs", name): lowest_held_v(case, names, name) for name in packs}
    case.effort += EXTREMES
    return _between(case, root), _Load(load_a, cut_v, held, lowest_v)


@once
def _between(case: Case, root: str) -> Between:
    ranges = _ranges(case, root)
    full_v = {name_of(path): high_v for path, (high_v, _) in ranges.items()}
    return Between(tree(case, root, full_v, lower), ranges, *bonds(case, tuple(full_v)))


@once
def _ranges(case: Case, root: str) -> dict[str, tuple[float, float]]:
    """Full and empty voltage of each pack behind the root of a tree [V]."""
    packs = [case.build.packs[name] for name in harness(case).packs_behind[_path_of(case, root)]]
    full_v = [full_charge_v(pack) for pack in packs]
    return {pack.path: (high_v, cut_off_v(pack)) for pack, high_v in zip(packs, full_v, strict=True)}


def _without_taps_a(case: Case, root: str, peak: bool) -> float:
    """What the controllers ahead of the root of a tree draw, without the accessories [A]."""
    path = _path_of(case, root)
    packs, names = harness(case).packs_behind[path], harness(case).controllers_ahead[path]
    loads: list[Load] = [controller_load(case, name, packs) for name in names]
    return sum(each.most_a if peak else each.continuous_a for each in loads)


def _braking_into_a(case: Case, root: str) -> float:
    """Current that the controllers ahead of the root of a tree push into it when they brake [A]."""
    controllers = (case.build.controllers[name] for name in harness(case).controllers_ahead[_path_of(case, root)])
    return sum(known(controller.regen_a, controller, "regen_a") for controller in controllers)


def _path_of(case: Case, root: str) -> PartPath:
    """Of a pack that is led to two controllers, which is refused, all current passes through the pack alone."""
    build = case.build
    return (build.controllers.get(root) or build.joiners.get(root) or build.packs[root]).path
