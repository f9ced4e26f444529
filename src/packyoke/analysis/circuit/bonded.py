"""Packs that are bonded to each other: which, how they share a load while they run down, what one may be left with.

Bonded packs are joined when they are alike. Under load their charges drift apart again: the one with less resistance
gives more until its voltage has fallen by as much as the other loses inside, and where curves turn steep at the end the
share turns round. When one drops out the others carry its part.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.conducting import StandingTree, standing
from packyoke.analysis.circuit.curves import CannotDeliver, Demand, TreeNode
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v, series_count
from packyoke.analysis.circuit.network import lower, pack_resistance_ohm, tree
from packyoke.analysis.discharge.course import until_one_stops
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
    """The most that an element gives towards the load all the time and at a peak, with the charges at which it does
    [A], [-]."""

    forward_a: float
    peak_a: float
    charges: tuple[tuple[str, float], ...]


class Drifting:
    """A tree in which a bonded group alone runs down from full, until one of its packs drops out.

        dq_k/dt = -I_k, at each moment: the load, its peak, no load, braking

    Parameters
        circuit: the tree, its selectors standing
        batteries: the packs of the group
        load_a: what is drawn all the time [A]
    Valid
        one load from full to empty: each history of rests and lighter loads keeps packs closer together.
    """

    def __init__(self, circuit: TreeNode, batteries: tuple[Battery, ...], load_a: float) -> None:
        self._circuit, self._batteries, self._load_a = circuit, batteries, load_a
        self._ohm = [each.resistance_ohm for each in batteries]  # one list: what hangs on it alone is kept by it
        full = [each.fractions[-1] for each in batteries]
        self._states = until_one_stops(circuit, Demand(load_a), batteries, full, DRIFT_OFF_A)
        self._carried: dict[float, dict[str, tuple[float | None, ...]]] = {}

    def forward(self, name: str, peak_a: float) -> Drift | None:
        """The most that an element gives, at a peak of so much too [A]; None of one that is not in the tree."""
        drawn = self._by_element(self._load_a).get(name)
        if drawn is None:
            return None
        given = [(amps, n) for n, amps in enumerate(drawn) if amps is not None]
        at_peak = self._by_element(peak_a)[name]
        peaks_a = [amps if (peak := at_peak[n]) is None else peak for amps, n in given]
        forward_a, n = max(given, key=lambda each: each[0], default=(0.0, 0))
        charges = tuple((each.name, part) for each, part in zip(self._batteries, self._states[n], strict=True))
        return Drift(max(0.0, forward_a), max([0.0, *peaks_a]), charges if forward_a > 0.0 else ())

    def back_a(self, name: str, brake_a: float) -> float:
        """The most that comes back through an element: under the load, at rest, while braking pushes so much in [A]."""
        drawn = self._by_element(self._load_a).get(name, ())
        loads = [self._by_element(each)[name] for each in (self._load_a, 0.0, -brake_a)] if drawn else []
        carried = [each[n] for each in loads for n, amps in enumerate(drawn) if amps is not None]
        return max((-amps for amps in carried if amps is not None and amps < 0.0), default=0.0)

    def _by_element(self, load_a: float) -> dict[str, tuple[float | None, ...]]:
        """What each element carries at each state, while so much is drawn [A]; nothing where that cannot be met."""
        found = self._carried.get(load_a)
        if found is None:
            wiring = StandingTree(self._circuit, Demand(load_a), [each.source for each in self._batteries], set())
            rows = [self._row(wiring, state) for state in self._states]
            names = [each.source for each in self._batteries]
            names += [name for _, parts in wiring.carrying for name, _, _ in parts]
            found = {name: tuple(row[at] for row in rows) for at, name in enumerate(names)} if rows else {}
            self._carried[load_a] = found
        return found

    def _row(self, wiring: StandingTree, state: tuple[float, ...]) -> Sequence[float | None]:
        """The same at one state, the packs first."""
        emf_v = [each.piece(part)[1] for each, part in zip(self._batteries, state, strict=True)]
        solved = wiring.solve(emf_v, self._ohm)
        branches = [n for n, parts in wiring.carrying for _ in parts]
        if isinstance(solved, CannotDeliver):
            return [None] * (len(self._batteries) + len(branches))
        return [*solved.packs_a, *[solved.branches_a[n] for n in branches]]


@once
def drifting(case: Case, group: Group, root: str, load_a: float) -> Drifting | None:
    """How a bonded group runs down in the tree that is seen from its root; None where a chemistry has no curve on file.

    Parameters
        group: the bonded packs
        root: the part through which all their current passes
        load_a: what is drawn there all the time [A]
    """
    batteries = []
    for name in group.packs:
        battery = _battery(case.build.packs[name])
        if battery is None:
            return None
        batteries.append(battery)
    emf_v = {name: full_charge_v(case.build.packs[name]) for name in group.packs}
    circuit = standing(tree(case, root, emf_v, lower), set())
    case.effort += RUN_DOWN * len(batteries) ** 2
    return _kept(circuit, tuple(batteries), load_a)


_kept = lru_cache(maxsize=64)(Drifting)
"""Kept beyond its case: most of what else is tried leaves it as it is."""


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
