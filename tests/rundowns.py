"""Packs to run down in tests, the laws that every solve has to keep, and the same rundown by ngspice."""

from __future__ import annotations

import subprocess
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest

from packyoke.analysis.circuit.conducting import Solved, StandingTree
from packyoke.analysis.circuit.curves import (
    Blocked,
    CannotDeliver,
    Demand,
    Joined,
    OperatingPoint,
    PackSource,
    Series,
    Tapped,
    TreeNode,
    nodes,
    operating_point,
)
from packyoke.analysis.discharge.course import Discharge
from packyoke.analysis.discharge.stepping import Battery
from packyoke.shelf.chemistry import ocv_curve
from tests.cross.test_circuit_ngspice import Netlist
from tests.kirchhoff import kirchhoff

LAWS = 1e-7
"""Rounding of some dozen terms of 60 V and 100 A, and of small conductances."""


def battery(
    name: str, amp_hours: float, ohm: float, cut_off_v: float = 39.0, series: int = 13, chemistry: str = "NMC"
) -> Battery:
    curve = ocv_curve(chemistry)
    assert curve is not None
    fractions, volts_v = zip(*curve.points, strict=True)
    return Battery(name, name, fractions, tuple(series * v for v in volts_v), 3600 * amp_hours, ohm, cut_off_v)


def together(batteries: Sequence[Battery], *, blocked: bool = True, lead_ohm: float = 0.0) -> TreeNode:
    """All on one node, each behind a path that blocks or does not."""
    branches: list[TreeNode] = [Series(_source(one), f"lead {one.name}", lead_ohm) for one in batteries]
    return Joined(tuple(Blocked(branch) if blocked else branch for branch in branches))


def chain(batteries: Sequence[Battery]) -> TreeNode:
    """A chain of two-input blocking joiners with leads."""
    root: TreeNode = Series(_source(batteries[0]), "lead 0", 0.02)
    for n, one in enumerate(batteries[1:], 1):
        pack = Series(_source(one), f"lead {n}", 0.02)
        paths = (Blocked(Series(root, f"path {n}a", 0.003)), Blocked(Series(pack, f"path {n}b", 0.003)))
        root = Series(Joined(paths), f"outlet {n}", 0.01)
    return root


def _source(one: Battery) -> PackSource:
    return PackSource(one.source, one.volts_v[-1], one.resistance_ohm)


@contextmanager
def audited() -> Iterator[list[float]]:
    """Hold every solve of a rundown against the laws of Kirchhoff and Ohm and against the operating point.

    The list has the breaches: empty where nothing was solved.
    """
    worst: list[float] = []
    solve = StandingTree.solve

    def checked(self: StandingTree, emf_v: Sequence[float], ohm: Sequence[float]) -> Solved | CannotDeliver:
        flow = solve(self, emf_v, ohm)
        sources = {
            name: None if self.off[n] else PackSource(name, emf_v[n], ohm[n]) for n, name in enumerate(self.sources)
        }
        point = operating_point(self.tree, self.load, sources)
        assert isinstance(flow, CannotDeliver) == isinstance(point, CannotDeliver)
        if isinstance(point, OperatingPoint) and isinstance(flow, Solved):
            found = {**dict(zip(self.sources, flow.packs_a, strict=True))}
            for branch, current_a in zip(self.branches, flow.branches_a, strict=True):
                found.update({name: current_a for name, _, _ in branch.parts})
            here = OperatingPoint(flow.bus_v, flow.load_a, {**point.currents, **found}, point.voltages)
            worst.append(kirchhoff(self.tree, here, sources))
            worst.extend(abs(current_a - point.currents.get(name, 0.0)) for name, current_a in found.items())
            worst.append(abs(flow.bus_v - point.voltage_v))
            taps = [node.name for node in nodes(self.tree) if isinstance(node, Tapped)]
            taps_w = sum(point.voltages.get(name, 0.0) * point.currents[name] for name in taps)
            worst.append(abs(flow.taps_w - taps_w))
        return flow

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(StandingTree, "solve", checked)
        yield worst
    assert max(worst, default=0.0) < LAWS


def assert_balanced(run: Discharge) -> None:
    """Energy out of the packs is what the load and the taps got and what everything between them lost; charge is what
    the states of charge have fallen by; moments and events stand in the order of time."""
    out_j = sum(pack.energy_out_j for pack in run.packs)
    lost_j = sum(each.heat_j for each in run.passed.values())
    assert run.energy_to_load_j + run.taps_j + lost_j == pytest.approx(out_j, rel=1e-9, abs=1e-3)
    times = [sample.time_s for sample in run.series]
    assert times == sorted(times)
    events = [event.time_s for event in run.events]
    assert events == sorted(events)
    assert all(0.0 <= time_s <= run.duration_s for time_s in (*times, *events))
    for before, after in pairwise(run.phases):
        assert before.to_s <= after.from_s
    for phase in run.phases:
        assert phase.from_s < phase.to_s
        assert sum(phase.share_start) == pytest.approx(1.0)
        assert sum(phase.share_end) == pytest.approx(1.0)


def state_at(run: Discharge, batteries: Sequence[Battery], time_s: float) -> tuple[float, ...]:
    """States of charge between two moments: the cubic that has their values and currents."""
    n = next(n for n, sample in enumerate(run.series) if sample.time_s > time_s)
    a, b = run.series[n - 1], run.series[n]
    h_s = b.time_s - a.time_s
    x = (time_s - a.time_s) / h_s
    found = []
    for k, one in enumerate(batteries):
        rates = [-h_s * sample.currents_a[k] / one.capacity_coulomb for sample in (a, b)]
        found.append(
            (1 + 2 * x) * (1 - x) ** 2 * a.fractions[k]
            + x * x * (3 - 2 * x) * b.fractions[k]
            + x * (1 - x) ** 2 * rates[0]
            + x * x * (x - 1) * rates[1]
        )
    return tuple(found)


class Transient(Netlist):
    """A network whose packs empty: a capacitor of as many farads as the pack has coulombs counts its charge.

    Packs in `off` are behind 1 Gohm. `junctions`: blocking paths are junction diodes of almost no voltage instead of
    the ideal law.
    """

    def __init__(
        self,
        root: TreeNode,
        load: Demand,
        batteries: Sequence[Battery],
        start: Sequence[float],
        *,
        off: Collection[str] = (),
        junctions: bool = False,
    ) -> None:
        self.packs = {one.source: (one, fraction) for one, fraction in zip(batteries, start, strict=True)}
        self.off, self.junctions = off, junctions
        self.counters: dict[str, str] = {}
        super().__init__(root, load)
        # A constant power has a second answer at a low voltage, which must not be found.
        self.lines = [line.replace("max(v(drain), 1)", "max(v(drain), 20)") for line in self.lines]

    def put(self, node: TreeNode, blocks: bool = False) -> str:
        if not isinstance(node, PackSource):
            return super().put(node, blocks)
        emf, out, counter = self.node(), self.node(), self.node()
        one, fraction = self.packs[node.name]
        knots = ", ".join(f"{x!r}, {v!r}" for x, v in zip(one.fractions, one.volts_v, strict=True))
        volts = "0" if node.name in self.off else f"pwl(v({counter}), {knots})"
        ohm = 1e9 if node.name in self.off else one.resistance_ohm
        self.lines += [f"b{emf} {emf} 0 v = {volts}"]
        self.path(node.name, emf, out, ohm, 0.0, False)
        self.lines += [
            f"c{counter} {counter} 0 {one.capacity_coulomb!r}",
            f"b{counter} {counter} 0 i = i({self.meters[node.name]})",
            f".ic v({counter})={fraction!r}",
        ]
        self.counters[node.name] = counter
        return out

    def path(self, name: str, inside: str, out: str, resistance_ohm: float, forward_v: float, blocks: bool) -> None:
        if not (blocks and self.junctions):
            return super().path(name, inside, out, resistance_ohm, forward_v, blocks)
        before, meter = self.node(), self.node()
        self.lines += [f"r{meter} {inside} {before} {resistance_ohm!r}", f"d{meter} {before} {meter} near"]
        return self.meter(name, meter, out)

    def text(self, until_s: float, step_s: float) -> str:
        wanted = [
            f"v({self.nodes['load']})",
            "i(vload)",
            *(f"i({self.meters[source]})" for source in self.packs),
            *(f"v({self.nodes[source]})" for source in self.packs),
            *(f"v({self.counters[source]})" for source in self.packs),
        ]
        return "\n".join(
            [
                "* rundown",
                *self.lines,
                ".model near d(is=1e-6 n=0.02)",
                ".options reltol=1e-6 vntol=1e-7 abstol=1e-9 itl4=500 rshunt=1e12",
                ".control",
                "set wr_singlescale",
                "set numdgt=12",
                f"tran {step_s!r} {until_s!r} 0 {step_s!r}",
                f"wrdata out.txt {' '.join(wanted)}",
                "quit",
                ".endc",
                ".end",
                "",
            ]
        )

    def rows(self, folder: Path, until_s: float, step_s: float) -> list[Row]:
        (folder / "net.cir").write_text(self.text(until_s, step_s), encoding="utf-8")
        ran = subprocess.run(
            ["ngspice", "-b", "net.cir"], cwd=folder, capture_output=True, text=True, timeout=60, check=False
        )
        assert (folder / "out.txt").exists(), ran.stdout + ran.stderr
        k, found = len(self.packs), []
        for line in (folder / "out.txt").read_text(encoding="utf-8").splitlines():
            words = [float(word) for word in line.split()]
            found.append(Row(*words[:3], words[3 : 3 + k], words[3 + k : 3 + 2 * k], words[3 + 2 * k :]))
        return found


class Row(NamedTuple):
    """One moment of ngspice; lists in the order of the packs."""

    time_s: float
    bus_v: float
    load_a: float
    currents_a: list[float]
    terminals_v: list[float]
    fractions: list[float]

    def opens(self, n: int, one: Battery) -> bool:
        """Whether the protection of a pack opens."""
        return self.terminals_v[n] <= one.cut_off_v and self.currents_a[n] >= 0.0

    def towards(self, other: Row, share: float) -> Row:
        """The moment on the straight line to another."""

        def between(a: list[float], b: list[float]) -> list[float]:
            return [x + share * (y - x) for x, y in zip(a, b, strict=True)]

        time_s, bus_v, load_a = between([*self[:3]], [*other[:3]])
        return Row(time_s, bus_v, load_a, *(between(a, b) for a, b in zip(self[3:], other[3:], strict=True)))


@dataclass
class Theirs:
    """A rundown by ngspice: its moments, when packs begin to supply and drop out, joules."""

    rows: list[Row]
    begins_s: dict[str, float]
    drops_s: dict[str, float]
    out_j: list[float]
    load_j: float


def by_ngspice(
    root: TreeNode,
    load: Demand,
    batteries: Sequence[Battery],
    start: Sequence[float],
    folder: Path,
    most_s: float,
    *,
    step_s: float = 0.25,
    junctions: bool = False,
) -> Theirs:
    """One transient up to the first drop-out, the next from there without that pack, and so on.

    The moment of a drop-out lies on the straight line between two rows.
    """
    found = Theirs([], {}, {}, [0.0] * len(batteries), 0.0)
    states, time_s = list(start), 0.0
    while len(found.drops_s) < len(batteries) and time_s < most_s:
        off = {one.source for one in batteries if one.name in found.drops_s}
        net = Transient(root, load, batteries, states, off=off, junctions=junctions)
        # Its load comes up within the first millisecond.
        rows = [row._replace(time_s=time_s + row.time_s) for row in net.rows(folder, most_s - time_s, step_s)[1:]]
        rows = [row for row in rows if row.time_s > time_s + 2e-3]
        first = next((n for n in range(1, len(rows)) if _dropping(rows[n - 1 : n + 1], batteries, off)), None)
        below = [n for n, one in enumerate(batteries) if one.source not in off and rows[0].opens(n, one)]
        if below:
            # With more to carry since another dropped out it is there at once.
            found.drops_s.update({batteries[n].name: time_s for n in below})
            continue
        if first is not None:
            share, name = min(_dropping(rows[first - 1 : first + 1], batteries, off))
            rows = [*rows[:first], rows[first - 1].towards(rows[first], share)]
            found.drops_s[name] = rows[-1].time_s
        for a, b in pairwise(rows):
            h_s = b.time_s - a.time_s
            found.load_j += h_s * (a.bus_v * a.load_a + b.bus_v * b.load_a) / 2
            for n in range(len(batteries)):
                found.out_j[n] += h_s * (a.currents_a[n] * a.terminals_v[n] + b.currents_a[n] * b.terminals_v[n]) / 2
        _beginnings(found, rows, batteries)
        found.rows += rows
        states, time_s = rows[-1].fractions, rows[-1].time_s
        if first is None:
            break
    return found


def _dropping(rows: Sequence[Row], batteries: Sequence[Battery], off: Collection[str]) -> list[tuple[float, str]]:
    """The packs whose terminals pass their cut-off between two rows, and how far between them."""
    before, after = rows
    found = []
    for n, one in enumerate(batteries):
        high_v, low_v = before.terminals_v[n] - one.cut_off_v, after.terminals_v[n] - one.cut_off_v
        if one.source not in off and low_v <= 0.0 < high_v:
            found.append((high_v / (high_v - low_v), one.name))
    return found


def _beginnings(found: Theirs, rows: Sequence[Row], batteries: Sequence[Battery]) -> None:
    """When packs begin to supply: back along the straight line of the first two rows in which they do."""
    for n, one in enumerate(batteries):
        for a, b, c in zip(rows, rows[1:], rows[2:], strict=False):
            if a.currents_a[n] <= 1e-4 < b.currents_a[n]:
                slope = (c.currents_a[n] - b.currents_a[n]) / (c.time_s - b.time_s)
                begins_s = b.time_s - b.currents_a[n] / slope
                found.begins_s.setdefault(one.name, min(b.time_s, max(a.time_s, begins_s)))
