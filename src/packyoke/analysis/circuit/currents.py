"""The worst current through each part, both ways, over every set of packs and every state of charge.

Behind blocking joiners any pack may be alone or the highest, so each part on its way carries the whole load and
nothing flows back. Where packs can feed each other the circuit decides, exactly (`worst_case`).
"""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import Load, controller_load, cut_off_v, load, lowest_running_v
from packyoke.analysis.circuit.network import joiner_path, joiner_type, lower, tree
from packyoke.analysis.circuit.worst_case import Extreme, extremes
from packyoke.analysis.harness.drawing import harness
from packyoke.model import Controller, Joiner, known


class Flow(NamedTuple):
    """The worst current through a part: towards the controller, at its peak, and back.

    `packs_in` are the packs plugged in when it is worst, `charges` their states as (pack, fraction).
    """

    forward_a: float
    peak_a: float | None
    peak_s: float | None
    back_a: float
    packs_in: tuple[str, ...]
    charges: tuple[tuple[str, float], ...]

    @property
    def most_a(self) -> float:
        return self.forward_a if self.peak_a is None else max(self.forward_a, self.peak_a)


def mixing_joiners(case: Case) -> tuple[Joiner, ...]:
    """The joiners through which one pack can feed another: plain ones with more than one pack behind them.

    A selector holds one input at a time; what it does while it changes over is for `packs-rush`, and so is a joiner of
    unknown type: as long as its question is open, the currents are those behind a blocking one.
    """
    drawing = harness(case)
    found = []
    for joiner in case.build.joiners.values():
        packs = drawing.packs_behind.get(joiner.path, ())
        if joiner.type == "plain" and len(packs) > 1 and len(drawing.leads_into.get(joiner.name, ())) > 1:
            found.append(joiner)
    return tuple(found)


@once
def draw(case: Case, path: str) -> Flow:
    """The worst current through a part towards the controllers; what flows back is left out and not asked for."""
    asked = load(case, path)
    if not _mixing_tree(case, path):
        first = harness(case).packs_behind.get(path, ())[:1]
        return Flow(asked.continuous_a, asked.peak_a, asked.peak_s, 0.0, first, tuple((name, 1.0) for name in first))
    worst = max(_extremes(case, path, peak=False), key=lambda each: each.forward_a)
    peak_a = None
    if asked.peak_a is not None:
        peak_a = max(each.forward_a for each in _extremes(case, path, peak=True))
    names = tuple(name.removeprefix("packs.") for name in worst.forward_packs)
    return Flow(max(0.0, worst.forward_a), peak_a, asked.peak_s, 0.0, names, _charges(case, worst.forward_states))


@once
def flow(case: Case, path: str) -> Flow:
    """The worst current through a pack, lead or joiner path (the worst of a joiner's paths), both ways."""
    found = draw(case, path)
    if not _mixing_tree(case, path):
        return found._replace(back_a=braking_a(case, path))
    return found._replace(back_a=max(0.0, *(-each.back_a for each in _extremes(case, path, peak=False, braking=True))))


@once
def _mixing_tree(case: Case, path: str) -> bool:
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


def braking_a(case: Case, path: str) -> float:
    """Current that the controllers push back through a part when they brake [A]; blocking joiners let none pass."""
    drawing = harness(case)
    total_a = 0.0
    for name in drawing.controllers_ahead.get(path, ()):
        controller = case.build.controllers[name]
        regen_a = controller.regen_a
        if regen_a == 0.0:
            continue
        if blocked_ahead(case, path, controller) is None:
            total_a += known(regen_a, controller, "regen_a")
    return total_a


def blocked_ahead(case: Case, path: str, controller: Controller) -> Joiner | None:
    """The first blocking joiner between a part and a controller, or None; a joiner's own path counts."""
    for ways in harness(case).ways.values():
        for way in ways:
            if path in way and way[-1] == controller.path:
                for each in way[way.index(path) :]:
                    if each.startswith("joiners."):
                        joiner = case.build.joiners[each.removeprefix("joiners.")]
                        if joiner_type(joiner) in ("diode", "ideal-diode"):
                            return joiner
                return None
    return None


@once
def root_of(case: Case, path: str) -> str:
    """The last part through which all current of a part passes: a controller, or the joiner that feeds several."""
    ways = [way[way.index(path) :] for ways in harness(case).ways.values() for way in ways if path in way]
    shared = [each for each in ways[0] if all(each in way for way in ways)]
    return shared[-1].partition(".")[2] or shared[-1]


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
    bonds = [(joiner, joiner.bonded) for joiner in mixing_joiners(case) if joiner.bonded is not None]
    groups = tuple(tuple(f"packs.{name}" for name in drawing.packs_behind[joiner.path]) for joiner, _ in bonds)
    return extremes(
        tree(case, root, full_v, lower),
        {f"packs.{name}": (full_v[name], empty_v[name]) for name in packs},
        load_max_a=asked,
        cut_v=cut_v,
        brake_a=brake_a,
        bus_max_v=max(full_v.values()),
        groups=groups,
        group_differs_v=max((bonded.by_v for _, bonded in bonds), default=0.0),
    )


def load_without_taps(case: Case, path: str, peak: bool) -> float:
    """What the controllers ahead of a part draw, without the accessories [A]."""
    drawing = harness(case)
    packs = drawing.packs_behind[path]
    loads: list[Load] = [controller_load(case, name, packs) for name in drawing.controllers_ahead[path]]
    return sum(each.most_a if peak else each.continuous_a for each in loads)


def _extremes(case: Case, path: str, *, peak: bool, braking: bool = False) -> list[Extreme]:
    """The extremes of a pack or lead, or of every path through a joiner."""
    root = root_of(case, path)
    brake_a = braking_into_a(case, root) if braking else 0.0
    found = _whole_tree(case, root, peak, brake_a)
    if not path.startswith("joiners."):
        return [found[path]]
    joiner = case.build.joiners[path.removeprefix("joiners.")]
    paths = [joiner_path(joiner, lead) for lead in harness(case).leads_into[joiner.name]]
    return [found[each] for each in paths if each in found]


def braking_into_a(case: Case, root: str) -> float:
    """Current that the controllers ahead of the root of a tree push into it when they brake [A]."""
    controllers = (case.build.controllers[name] for name in harness(case).controllers_ahead[_root_path(case, root)])
    return sum(known(controller.regen_a, controller, "regen_a") for controller in controllers)


def _root_path(case: Case, root: str) -> str:
    return (case.build.controllers.get(root) or case.build.joiners[root]).path


def _charges(case: Case, states: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """States of charge at the two ends that the worst case uses: full or empty."""
    found = []
    for path, emf_v in states.items():
        pack = case.build.packs[path.removeprefix("packs.")]
        full_v = known(pack.full_charge_v, pack, "full_charge_v")
        found.append((pack.name, 1.0 if emf_v > (full_v + cut_off_v(pack)) / 2 else 0.0))
    return tuple(found)
