"""Packs behind a harness, run down: who supplies when, with every change located and none stepped over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal, NamedTuple

from packyoke.analysis.circuit.conducting import Solved, turned_from
from packyoke.analysis.circuit.curves import CannotDeliver, Demand, Series, TreeNode, nodes
from packyoke.analysis.discharge.stepping import KNOT, MOST_OFF_A, NO_CURRENT_A, WEIGHTS, Battery, Course, supplying

EventKind = Literal["joins in", "level", "waits", "drops out", "empty", "controller cuts", "cannot deliver"]
EndedBy = Literal["controller cuts", "no pack left", "cannot deliver", "level", "a day has passed", "all driven"]

SAME_S = 1e-6
"""Two moments closer than this are one."""


class Event(NamedTuple):
    """Something that changes, and the pack that it happens to (empty: to all).

    joins in: begins to supply because another stopped; level: begins to supply because the others came down to it, or
    all have come level; waits: no longer supplies because the others stand higher; drops out: its protection opens;
    empty: nothing left before that; controller cuts, cannot deliver: of the pack on a selector, else of all.
    """

    time_s: float
    kind: EventKind
    pack: str


class Phase(NamedTuple):
    """A time in which the same packs supply; `share_start`, `share_end`: their parts of the current, in that order."""

    from_s: float
    to_s: float
    supplying: tuple[str, ...]
    share_start: tuple[float, ...]
    share_end: tuple[float, ...]


class Sample(NamedTuple):
    """One moment; currents, terminal voltages and states of charge in the order of the packs.

    A pack that has dropped out shows the voltage of its cells.
    """

    time_s: float
    bus_v: float
    load_a: float
    load_w: float
    currents_a: tuple[float, ...]
    terminals_v: tuple[float, ...]
    fractions: tuple[float, ...]


class PackTally(NamedTuple):
    """What came out of one pack, net of what went in. `share` is its part of the charge of all."""

    name: str
    charge_out_coulomb: float
    energy_out_j: float
    heat_j: float
    start_fraction: float
    end_fraction: float
    peak_a: float
    share: float

    @property
    def depth_fraction(self) -> float:
        """How much of its charge it gave [-]."""
        return self.start_fraction - self.end_fraction


class PartTally(NamedTuple):
    """What a lead or a joiner's path lost, and the largest current through it, whichever way."""

    heat_j: float
    peak_a: float


@dataclass(frozen=True)
class Discharge:
    """How the packs ran down. Energy out of the packs = `energy_to_load_j` + `taps_j` + heat of everything `passed`.

    `refused` says what could still be delivered, where the load could not.
    """

    phases: tuple[Phase, ...]
    events: tuple[Event, ...]
    series: tuple[Sample, ...]
    packs: tuple[PackTally, ...]
    passed: Mapping[str, PartTally]
    energy_to_load_j: float
    taps_j: float
    duration_s: float
    ended: EndedBy
    refused: CannotDeliver | None


def discharge(
    root: TreeNode,
    load: Demand,
    batteries: Sequence[Battery],
    start: Sequence[float],
    cut_v: float,
    *,
    series: bool = True,
    off_a: float = MOST_OFF_A,
    off_share: float = 0.0,
) -> Discharge:
    """Run packs down from given states of charge until the controller cuts or no pack is left.

        dq_k/dt = -I_k(E_1(q_1), ..., E_n(q_n))

    Parameters
        root: the tree, with a source for every battery [V], [ohm]
        load: constant current or power [A], [W]; 0 A: packs joined at rest, until they are level or a day has passed
        batteries: the packs [-], [V], [C], [ohm]
        start: their states of charge [-]
        cut_v: voltage at the root at which the controller stops [V]
        series: whether to keep every moment
        off_a: how far off the mean currents of a step may seem to be [A]
        off_share: the same as a share of what the packs give on the mean, where that is more [-]
    Returns
        phases, events, moments and sums [s], [A], [V], [C], [J]
    Valid
        resistances the same from full to empty. The first input of a selector that a pack feeds stays on until it drops
        out or the controller cuts, then the next one. A full pack that is charged further goes on along the last piece
        of its curve.
    Raises
        ValueError: as `operating_point`
    """
    run = _Run(Course(root, load, batteries, start, cut_v, off_a, off_share), series)
    run.settle("joins in")
    while run.ended is None:
        run.advance()
        run.settle("level")
    return run.result(run.ended)


def until_one_stops(
    root: TreeNode, load: Demand, batteries: Sequence[Battery], start: Sequence[float], off_a: float = MOST_OFF_A
) -> list[tuple[float, ...]]:
    """The states of charge at each moment of `discharge`, up to the one at which the first pack drops out or is empty.

    No controller cuts. Parameters, validity and errors as there.
    """
    run = _Run(Course(root, load, batteries, start, 0.0, off_a), True)
    run.settle("joins in")
    while run.ended is None and not any(event.kind in ("drops out", "empty") for event in run.events):
        run.advance()
        run.settle("level")
    return [sample.fractions for sample in run.samples]


def driven(
    root: TreeNode,
    powers: Iterable[tuple[float, float]],
    batteries: Sequence[Battery],
    start: Sequence[float],
    cut_v: float,
) -> Discharge:
    """Run packs down by one power after the other, the states of charge carried on.

        P(t) = P_k, t_(k-1) <= t < t_k

    Parameters
        root: the tree, with a source for every battery [V], [ohm]
        powers: constant powers, and how long each is drawn; with 0 W the packs rest [W], [s]
        batteries: the packs [-], [V], [C], [ohm]
        start: their states of charge [-]
        cut_v: voltage at the root at which the controller stops for good [V]
    Returns
        as `discharge`, with every moment; phases and events follow each change of the load [s], [A], [V], [C], [J]
    Valid
        as `discharge`. A power that cannot be met for a moment ends it, and so does the cut: nobody rides slower.
    Raises
        ValueError: as `operating_point`, a power below 0, a time that is not above 0
    """
    course = Course(root, Demand(power_w=0.0), batteries, start, cut_v)
    run = _Run(course, True)
    until_s = 0.0
    for power_w, duration_s in powers:
        if not (power_w >= 0.0 and 0.0 < duration_s < inf):
            raise ValueError(f"{power_w} W for {duration_s} s")
        until_s += duration_s
        course.turn_to(Demand(power_w=power_w), until_s)
        run.settle("level")
        while run.ended is None and until_s - course.time_s > SAME_S:
            run.advance()
            run.settle("level")
        if run.ended is not None:
            return run.result(run.ended)
    return run.result("all driven")


class _Run:
    """What is noted of a course: moments, phases, events, sums."""

    def __init__(self, course: Course, keep: bool) -> None:
        self.course, self.batteries, self.keep = course, course.batteries, keep
        self.ended: EndedBy | None = None
        self.stuck = False
        self.supplying: tuple[int, ...] = ()
        self.since_s = 0.0
        self.first_a: Sequence[float] = ()
        self.last_a: Sequence[float] = ()
        """What the packs give where a phase begins, and where it ends if it ends now."""
        self.phases: list[Phase] = []
        self.events: list[Event] = []
        self.samples: list[Sample] = []
        self.start = course.fractions
        self.out_coulomb, self.out_j, self.heat_j, self.peak_a = ([0.0] * len(self.batteries) for _ in range(4))
        names = [node.name for node in nodes(course.root) if isinstance(node, Series)]
        self.passed_j, self.passed_a = dict.fromkeys(names, 0.0), dict.fromkeys(names, 0.0)
        self.load_j = self.taps_j = 0.0

    def advance(self) -> None:
        """One step, and what flowed in it: the sums over its stages, in which energies add up exactly."""
        course = self.course
        if course.time_s >= course.longest_s:
            self.ended = "a day has passed"
            return
        step = course.advance()
        if step is None:
            return
        self.stuck = step.h_s <= 0.0
        flows_s = [(weight * step.h_s, flow) for weight, flow in zip(WEIGHTS, step.stages, strict=True)]
        # Written out: packs and branches are many, and so are the steps.
        (h_s, one), (k_s, two), (l_s, three) = flows_s
        for n, pack in enumerate(self.batteries):
            i, j, k = one.packs_a[n], two.packs_a[n], three.packs_a[n]
            if i == j == k == 0.0:
                continue
            self.out_coulomb[n] += step.means_a[n] * step.h_s
            self.out_j[n] += h_s * one.packs_v[n] * i + k_s * two.packs_v[n] * j + l_s * three.packs_v[n] * k
            self.heat_j[n] += pack.resistance_ohm * (h_s * (i * i) + k_s * (j * j) + l_s * (k * k))
        for n, parts in course.wiring.carrying:
            i, j, k = one.branches_a[n], two.branches_a[n], three.branches_a[n]
            if i == j == k == 0.0:
                continue
            coulomb = h_s * i + k_s * j + l_s * k
            squared = h_s * (i * i) + k_s * (j * j) + l_s * (k * k)
            for name, ohm, forward_v in parts:
                self.passed_j[name] += ohm * squared + forward_v * coulomb
        self.load_j += sum([h_s * flow.bus_v * flow.load_a for h_s, flow in flows_s])
        self.taps_j += sum([h_s * flow.taps_w for h_s, flow in flows_s])
        self.last_a = step.stages[-1].packs_a

    def settle(self, kind: EventKind) -> None:
        """Switch off what stops at this moment, until nothing more does; `kind` is why a pack begins to supply."""
        while self.ended is None:
            self.note(kind)
            stopped = self.stopped()
            if not stopped:
                return
            for n, why in stopped:
                self.happens(why, n)
            self.course.switch_off([self.batteries[n].source for n, _ in stopped])
            kind = "joins in"

    def stopped(self) -> list[tuple[int, EventKind]]:
        """The packs that stop at this moment and why; ends the rundown where that stops all of them."""
        course, flow = self.course, self.course.flow
        if len(course.off) == len(self.batteries):
            self.ended = "no pack left"
            return []
        if isinstance(flow, CannotDeliver) or course.cuts(flow):
            why: Literal["cannot deliver", "controller cuts"] = "controller cuts"
            if isinstance(flow, CannotDeliver):
                why = "cannot deliver"
            turned = turned_from(course.wiring.tree, course.off)
            if not turned:
                self.ended = why
                self.happens(why)
            return [(n, why) for n, pack in enumerate(self.batteries) if pack.source in turned]
        opening = course.opening(flow)
        found: list[tuple[int, EventKind]] = [(n, "drops out") for n, opens in enumerate(opening) if opens]
        # An empty pack that still gives next to nothing would be stepped on for ever.
        idle = self.stuck or (not course.at_rest and max(map(abs, flow.packs_a)) <= NO_CURRENT_A)
        for n, current_a in enumerate(flow.packs_a):
            if not opening[n] and current_a > (0.0 if idle else NO_CURRENT_A) and course.fractions[n] <= KNOT:
                found.append((n, "empty"))
        if self.stuck and not found:
            self.ended = "no pack left"
        if not found and course.level(flow):
            self.ended = "level"
            if course.time_s > 0.0:
                self.happens("level")
        return found

    def happens(self, kind: EventKind, n: int | None = None) -> None:
        self.events.append(Event(self.course.time_s, kind, "" if n is None else self.batteries[n].name))

    def note(self, kind: EventKind) -> None:
        """Write down the moment, and who has begun or ceased to supply."""
        course, flow = self.course, self.course.flow
        currents_a = (0.0,) * len(self.batteries) if isinstance(flow, CannotDeliver) else flow.packs_a
        now = () if isinstance(flow, CannotDeliver) else supplying(flow)
        if now != self.supplying:
            self.close_phase()
            if course.time_s > 0.0:
                for n in sorted({*now} - {*self.supplying}):
                    self.happens(kind, n)
                for n in sorted({*self.supplying} - {*now}):
                    if not course.wiring.off[n] and isinstance(flow, Solved):
                        self.happens("waits", n)
            self.supplying, self.since_s = now, course.time_s
            self.first_a = currents_a
        self.last_a = currents_a
        if isinstance(flow, CannotDeliver):
            return
        self.peak_a = [a if a > b else b for a, b in zip(self.peak_a, currents_a, strict=True)]
        for n, parts in course.wiring.carrying:
            current_a = abs(flow.branches_a[n])
            for name, _, _ in parts:
                if current_a > self.passed_a[name]:
                    self.passed_a[name] = current_a
        if self.keep:
            terminals_v = flow.packs_v
            if course.off:
                terminals_v = tuple(
                    pack.piece(fraction)[1] if off else volts_v
                    for pack, fraction, off, volts_v in zip(
                        self.batteries, course.fractions, course.wiring.off, flow.packs_v, strict=True
                    )
                )
            bus_w = flow.bus_v * flow.load_a
            self.samples.append(
                Sample(course.time_s, flow.bus_v, flow.load_a, bus_w, currents_a, terminals_v, course.fractions)
            )

    def close_phase(self) -> None:
        to_s = self.course.time_s
        if self.supplying and to_s > self.since_s:
            names = tuple(self.batteries[n].name for n in self.supplying)
            first, last = _shares(self.first_a, self.supplying), _shares(self.last_a, self.supplying)
            self.phases.append(Phase(self.since_s, to_s, names, first, last))

    def result(self, ended: EndedBy) -> Discharge:
        self.close_phase()
        course = self.course
        total_coulomb = 0.0 if course.at_rest else sum(self.out_coulomb)
        packs = tuple(
            PackTally(
                pack.name,
                self.out_coulomb[n],
                self.out_j[n],
                self.heat_j[n],
                self.start[n],
                course.fractions[n],
                self.peak_a[n],
                self.out_coulomb[n] / total_coulomb if total_coulomb > 0.0 else 0.0,
            )
            for n, pack in enumerate(self.batteries)
        )
        passed = {name: PartTally(self.passed_j[name], self.passed_a[name]) for name in self.passed_j}
        refused = course.flow if isinstance(course.flow, CannotDeliver) and ended == "cannot deliver" else None
        return Discharge(
            phases=tuple(self.phases),
            events=tuple(self.events),
            series=tuple(self.samples),
            packs=packs,
            passed=passed,
            energy_to_load_j=self.load_j,
            taps_j=self.taps_j,
            duration_s=course.time_s,
            ended=ended,
            refused=refused,
        )


def _shares(currents_a: Sequence[float], supplying: Sequence[int]) -> tuple[float, ...]:
    given_a = [max(0.0, currents_a[n]) for n in supplying]
    total_a = sum(given_a)
    return tuple([each / total_a if total_a > 0.0 else 0.0 for each in given_a])
