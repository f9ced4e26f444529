"""Packs that are bonded to each other: which, how they share a load while they run down, what one may be left with.

Bonded packs are joined when they are alike. Under load their charges drift apart again: the one with less resistance
gives more until its voltage has fallen by as much as the other loses inside, and where curves turn steep at the end the
share turns round. When one drops out the others carry its part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.conducting import standing
from packyoke.analysis.circuit.curves import (
    CannotDeliver,
    Demand,
    OperatingPoint,
    PackSource,
    TreeNode,
    operating_points,
)
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v, series_count
from packyoke.analysis.circuit.network import lower, pack_resistance_ohm, tree
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.stepping import Battery
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.core.paths import PartPath, is_joiner, name_of, path_to, steps_of
from packyoke.model import FITTED, Fuse, Pack, known
from packyoke.shelf.chemistry import ocv_curve


class Group(NamedTuple):
    """Packs that are bonded to each other, the joiner where the last of them meet, the most they stand apart [V]."""

    packs: tuple[str, ...]
    joiner: str
    by_v: float


@once
def groups(case: Case) -> tuple[Group, ...]:
    """The bonded groups, nested bonds as one.

    A pack belongs to one when nothing but bonded joiners lies between it and where they meet: behind what blocks, what
    selects or what is merely plain it is on its own.
    """
    drawing, joiners = harness(case), case.build.joiners
    found: list[Group] = []
    for joiner in joiners.values():
        if joiner.bonded is None or not is_plain(joiner):
            continue
        packs = []
        by_v = {joiner.name: joiner.bonded.by_v}
        for name in drawing.packs_behind.get(joiner.path, ()):
            way = next(way for way in drawing.ways[name] if joiner.path in way)
            inner = [joiners[name_of(path)] for path in way[: way.index(joiner.path)] if is_joiner(path)]
            if all((each.bonded or _one_in(case, each.name)) and is_plain(each) for each in inner):
                packs.append(name)
                by_v.update({each.name: each.bonded.by_v for each in inner if each.bonded})
        if len(packs) > 1:
            found.append(Group(tuple(packs), joiner.name, sum(by_v.values())))
    found.sort(key=lambda each: -len(each.packs))
    kept: list[Group] = []
    for each in found:
        if all(set(each.packs).isdisjoint(other.packs) for other in kept):
            kept.append(each)
    return tuple(kept)


def _one_in(case: Case, joiner: str) -> bool:
    return len(harness(case).leads_into.get(joiner, ())) == 1


def group_of(case: Case, pack: str) -> Group | None:
    """The bonded group of a pack; None when it is on its own."""
    return next((group for group in groups(case) if pack in group.packs), None)


def inside(case: Case, path: PartPath) -> Group | None:
    """The bonded group of which some packs lie behind a lead or pack and others beside it."""
    behind = harness(case).packs_behind.get(path, ())
    for group in groups(case):
        if behind and set(behind) <= set(group.packs) and len(behind) < len(group.packs):
            return group
    return None


RUN_DOWN = 15
"""How long a course from full to empty takes, in runs of a usual rule, over the square of its packs: more packs
have more corners to stop at, and more to solve for at each (measured)."""


DRIFT_OFF_A = 0.01
"""Leaves less than 4 mA in what packs give while they drift apart, in less than half the steps of a rundown."""


class Drift(NamedTuple):
    """The most that an element gives towards the load all the time and at a peak, and the most that comes back, while a
    bonded group runs down, with the charges at which it does [A], [-]."""

    forward_a: float
    peak_a: float
    back_a: float
    charges: tuple[tuple[str, float], ...]


@once
def drift(case: Case, group: Group, root: str, load_a: float, peak_a: float, brake_a: float) -> Mapping[str, Drift]:
    """How the elements of a tree share a load while a bonded group alone runs down from full, until one drops out.

        dq_k/dt = -I_k, at each moment: the load, its peak, no load, braking

    Parameters
        group: the bonded packs
        root: the part through which all their current passes
        load_a, peak_a: what is drawn there all the time and at the most [A]
        brake_a: what braking pushes in there [A]
    Returns
        by element; nothing where a chemistry has no curve on file
    Valid
        one load from full to empty: each history of rests and lighter loads keeps packs closer together.
    """
    batteries = []
    for name in group.packs:
        battery = _battery(case.build.packs[name])
        if battery is None:
            return {}
        batteries.append(battery)
    emf_v = {name: full_charge_v(case.build.packs[name]) for name in group.packs}
    circuit = standing(tree(case, root, emf_v, lower), set())
    case.effort += RUN_DOWN * len(batteries) ** 2
    return _run_down(circuit, tuple(batteries), load_a, peak_a, brake_a)


@lru_cache(maxsize=64)
def _run_down(
    circuit: TreeNode, batteries: tuple[Battery, ...], load_a: float, peak_a: float, brake_a: float
) -> Mapping[str, Drift]:
    """The drift of one circuit. Kept beyond its case: most of what else is tried leaves it as it is."""
    found: dict[str, Drift] = {}
    loads = [Demand(each) for each in (load_a, peak_a, 0.0, -brake_a)]
    for fractions in _states(circuit, load_a, batteries):
        sources = {
            each.source: PackSource(each.source, each.piece(fraction)[1], each.resistance_ohm)
            for each, fraction in zip(batteries, fractions, strict=True)
        }
        drawn, peak, idle, braked = operating_points(circuit, loads, sources)
        charges = tuple((each.name, fraction) for each, fraction in zip(batteries, fractions, strict=True))
        _keep(found, drawn, peak, (idle, braked), charges)
    return found


def _states(circuit: TreeNode, load_a: float, batteries: tuple[Battery, ...]) -> Iterator[tuple[float, ...]]:
    run = discharge(
        circuit, Demand(load_a), batteries, [each.fractions[-1] for each in batteries], 0.0, off_a=DRIFT_OFF_A
    )
    stops_s = min((event.time_s for event in run.events if event.kind in ("drops out", "empty")), default=inf)
    yield from (sample.fractions for sample in run.series if sample.time_s <= stops_s)


Point = OperatingPoint | CannotDeliver


def _keep(
    found: dict[str, Drift],
    drawn: Point,
    peak: Point,
    others: tuple[Point, ...],
    charges: tuple[tuple[str, float], ...],
) -> None:
    if not isinstance(drawn, OperatingPoint):
        return
    for name, current_a in drawn.currents.items():
        peak_a = peak.currents[name] if isinstance(peak, OperatingPoint) else current_a
        back_a = max(0.0, *(-each.currents[name] for each in (drawn, *others) if isinstance(each, OperatingPoint)))
        before = found.get(name, Drift(0.0, 0.0, 0.0, ()))
        found[name] = Drift(
            max(before.forward_a, current_a),
            max(before.peak_a, peak_a),
            max(before.back_a, back_a),
            charges if current_a > before.forward_a else before.charges,
        )


def _battery(pack: Pack) -> Battery | None:
    curve = ocv_curve(known(pack.chemistry, pack, "chemistry"))
    if curve is None:
        return None
    count = series_count(pack)
    return Battery(
        pack.name,
        pack.path,
        tuple([charge for charge, _ in curve.points]),
        tuple([count * volts_v for _, volts_v in curve.points]),
        counted_capacity_coulomb(pack),
        pack_resistance_ohm(pack),
        cut_off_v(pack),
    )


@once
def let_through_a(case: Case, path: PartPath, peak: bool) -> float:
    """What the packs behind a pack, lead or joiner let out before a fuse or a protection of theirs opens [A].

    Endless where it is not in the file: nothing is asked for, and then the load alone counts.
    """
    section, name, _ = steps_of(path)
    build = case.build
    if section == "packs":
        pack = build.packs[name]
        protected_a = pack.discharge_continuous_a or inf
        if peak:
            protected_a = max(protected_a, pack.discharge_peak_a or 0.0)
        return min(protected_a, _fuse_a(pack.fuse))
    if section == "leads":
        lead = build.leads[name]
        source = path_to("packs", lead.source) if lead.source in build.packs else path_to("joiners", lead.source)
        return min(_fuse_a(lead.fuse), let_through_a(case, source, peak))
    return sum(let_through_a(case, lead.path, peak) for lead in harness(case).feeding(name))


def _fuse_a(fuse: Fuse) -> float:
    return fuse.rating_a if fuse.presence == FITTED and fuse.rating_a is not None else inf
