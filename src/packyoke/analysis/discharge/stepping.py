"""Packs behind a harness carried on in time: steps that end on knots of their curves and where something changes.

A pack's voltage falls by k for each coulomb. Where its charge at the end of a step of h depends on its own current I by
-gamma h I, it is the same pack behind R + k gamma h: each stage of a diagonally implicit method is one operating point
of the tree, found without iteration. Three stages: third order, and currents do not ring where a curve turns steep
(the implicit midpoint rule does, and shows packs stopping that never do).

Source: R. Alexander 1977, SIAM J. Numer. Anal. 14:1006-1021, the method of order three (from memory; its conditions are
tested); `circuit`.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from math import inf, sqrt
from typing import NamedTuple

from packyoke.analysis.circuit.conducting import Solved, StandingTree
from packyoke.analysis.circuit.curves import CannotDeliver, Demand, Tapped, TreeNode, nodes
from packyoke.core.constants import HOUR_S

GAMMA = 0.4358665215084590
"""Root of x^3 - 3 x^2 + 3/2 x - 1/6 between 1/6 and 1/2."""
STAGES = ((), ((1 - GAMMA) / 2,), (-(6 * GAMMA**2 - 16 * GAMMA + 1) / 4, (6 * GAMMA**2 - 20 * GAMMA + 5) / 4))
WEIGHTS = (*STAGES[-1], GAMMA)
"""Those of the last stage: it is the end of the step."""
NEAR_S = 0.01
"""How closely changes are located."""
FIRST_STEP_S = 60.0
LONGEST_REST_S = 24 * HOUR_S
NO_CURRENT_A = 1e-6
SETTLED_A = 0.01
"""Packs joined at rest have come level when less than this flows between them."""
MOST_OFF_A = 2e-3
"""A step is halved while its mean currents seem to be further off than this. What that leaves in currents, energies and
times is held against a circuit simulator in the tests."""
REST_OFF = 5e-4
"""The same for packs joined at rest, as a share of what flows: they are followed until next to nothing does."""
KNOT = 3e-7
"""Share of a pack's charge within which it stands on a knot of its curve."""
MOST_TRIES = 30
AIM, GROWS, SHRINKS = 0.7, 2.0, 0.3
"""A step is as long as the one before should have been, times the first; it grows and shrinks by no more than this:
judgement, the usual guard of step control."""


class Battery(NamedTuple):
    """A pack as it is run down: open-circuit curve by rising state of charge [-], [V]; `source`: its element's name.

    Its protection opens for good when its terminals come down to `cut_off_v` while it gives current, or rests.
    """

    name: str
    source: str
    fractions: tuple[float, ...]
    volts_v: tuple[float, ...]
    capacity_coulomb: float
    resistance_ohm: float
    cut_off_v: float

    def piece(self, fraction: float, charging: bool = False) -> tuple[int, float]:
        """The piece of the curve on which a pack moves on from a state of charge, and the pack's voltage there [V]."""
        fractions, volts_v = self.fractions, self.volts_v
        at = bisect_right(fractions, fraction + KNOT) if charging else bisect_left(fractions, fraction - KNOT)
        at = min(max(at - 1, 0), len(fractions) - 2)
        slope_v = (volts_v[at + 1] - volts_v[at]) / (fractions[at + 1] - fractions[at])
        return at, volts_v[at] + (fraction - fractions[at]) * slope_v

    def part(self, at: int) -> OpenCircuitPiece:
        """The piece of this number."""
        (low, high), (low_v, high_v) = self.fractions[at : at + 2], self.volts_v[at : at + 2]
        slope_v = (high_v - low_v) / (high - low)
        return OpenCircuitPiece(low, high, low_v, slope_v, slope_v / self.capacity_coulomb)


class OpenCircuitPiece(NamedTuple):
    """A piece of a curve: the charges between which it lies [-], the voltage at the lower one [V], and how much the
    voltage rises over all the charge and for each coulomb [V], [V/C]."""

    low: float
    high: float
    low_v: float
    slope_v: float
    per_coulomb_v: float

    def inside(self, fraction: float) -> bool:
        """Whether a state of charge stands on it, and on no knot."""
        return self.low + KNOT < fraction < self.high - KNOT

    def volts_v(self, fraction: float) -> float:
        return self.low_v + (fraction - self.low) * self.slope_v


class Step(NamedTuple):
    """A step: its length, where it ends, its stages and mean currents, whether something has changed by then.

    `off_a` judges the mean currents: their distance from the mean of those at the ends, which falls with the square of
    the step, times the step over the shortest time constant of a pack.
    """

    h_s: float
    end: Solved | CannotDeliver
    stages: Sequence[Solved] = ()
    means_a: tuple[float, ...] = ()
    fractions: tuple[float, ...] = ()
    changed: bool = True
    off_a: float = 0.0


def supplying(flow: Solved) -> tuple[int, ...]:
    """The numbers of the packs that supply."""
    return tuple([n for n, current_a in enumerate(flow.packs_a) if current_a > NO_CURRENT_A])


class Course:
    """The state of packs that are run down. `off` are the sources that have been switched off for good."""

    def __init__(
        self,
        root: TreeNode,
        load: Demand,
        batteries: Sequence[Battery],
        start: Sequence[float],
        cut_v: float,
        off_a: float = MOST_OFF_A,
        off_share: float = 0.0,
    ) -> None:
        self.root, self.load, self.batteries, self._off_a = root, load, batteries, off_a
        self._off_share = off_share / len(batteries)
        idle = load.power_w is None and load.current_a == 0.0
        self.at_rest = idle and not any(isinstance(node, Tapped) for node in nodes(root))
        self.cut_v, self.longest_s = (-inf, LONGEST_REST_S) if idle else (cut_v, inf)
        self.time_s, self.step_s = 0.0, FIRST_STEP_S
        self.fractions = tuple(start)
        self.off: set[str] = set()
        self._emf_v, self._per_coulomb_v = [0.0] * len(batteries), [0.0] * len(batteries)
        self._rooms, self._rate_per_s = [(0.0, 0.0)] * len(batteries), 0.0
        self._ohm = [each.resistance_ohm for each in batteries]
        self._on = [each.part(0) for each in batteries]
        """The piece of its curve on which each pack was last: most steps stay on it."""
        self._opens: tuple[Solved | None, list[bool]] = (None, [])
        """Whose protection opens in the flow that was looked at last: the end of a step begins the next one."""
        self.switch_off(())

    def switch_off(self, sources: Sequence[str]) -> None:
        """Take packs out for good; selectors turn to what is left."""
        self.off.update(sources)
        self.wiring = StandingTree(self.root, self.load, [pack.source for pack in self.batteries], self.off)
        self._solve()

    def _solve(self) -> None:
        emf_v = [
            on.volts_v(fraction) if on.inside(fraction) else pack.piece(fraction)[1]
            for pack, on, fraction in zip(self.batteries, self._on, self.fractions, strict=True)
        ]
        self.flow = self.wiring.solve(emf_v, self._ohm)

    def turn_to(self, load: Demand, until_s: float) -> None:
        """Go on with another load, to a moment at the latest."""
        self.load, self.longest_s, self.step_s = load, until_s, until_s - self.time_s
        self.wiring.load = load
        self._solve()

    def cuts(self, flow: Solved) -> bool:
        """Whether the controller stops by itself."""
        return flow.bus_v <= self.cut_v

    def opening(self, flow: Solved) -> list[bool]:
        """Whose protection opens."""
        if self._opens[0] is not flow:
            opening = [
                volts_v <= pack.cut_off_v and current_a >= -NO_CURRENT_A and not off
                for pack, volts_v, current_a, off in zip(
                    self.batteries, flow.packs_v, flow.packs_a, self.wiring.off, strict=True
                )
            ]
            self._opens = (flow, opening)
        return self._opens[1]

    def level(self, flow: Solved) -> bool:
        """Whether packs joined at rest have come level."""
        return self.at_rest and max(map(abs, flow.packs_a)) < SETTLED_A

    def advance(self) -> Step | None:
        """One step: to the next knot, to the next change, or as far as the currents are straight enough.

        None: the load cannot be met any longer, or the time is up.
        """
        if isinstance(self.flow, CannotDeliver):
            return None
        starts_a, before = self.flow.packs_a, self._state(self.flow)
        for n, fraction in enumerate(self.fractions):
            on = self._on[n]
            if on.inside(fraction):
                self._emf_v[n] = on.volts_v(fraction)
            else:
                at, self._emf_v[n] = self.batteries[n].piece(fraction, starts_a[n] < 0.0)
                on = self._on[n] = self.batteries[n].part(at)
            self._per_coulomb_v[n] = on.per_coulomb_v
            # Beyond the end of its curve a pack that is charged goes on.
            self._rooms[n] = (fraction - on.low, on.high - fraction if on.high < 1.0 else inf)
        self._rate_per_s = max([k / ohm for k, ohm in zip(self._per_coulomb_v, self._ohm, strict=True)])
        most_off_a = max(self._off_a, self._off_share * sum(map(abs, starts_a)))
        if self.at_rest:
            most_off_a = min(self._off_a, REST_OFF * max(map(abs, starts_a)))
        h_s = self.step_s = min(self.step_s, self.longest_s - self.time_s)
        if h_s <= 0.0:
            return None
        while True:
            step = self._to_knot(h_s, starts_a, before, most_off_a)
            if step.off_a <= most_off_a or step.h_s <= NEAR_S:
                break
            h_s = self.step_s = step.h_s * max(SHRINKS, AIM * (most_off_a / step.off_a) ** (1 / 3))
        if step.changed:
            step = self._narrowed(step, starts_a, before)
        self.flow = step.end
        if isinstance(step.end, CannotDeliver):
            return None
        grows = GROWS if step.off_a * (GROWS / AIM) ** 3 < most_off_a else AIM * (most_off_a / step.off_a) ** (1 / 3)
        self.step_s = max(self.step_s, grows * step.h_s)
        self.time_s += step.h_s
        self.fractions = step.fractions
        return step

    def _state(self, flow: Solved) -> tuple[object, ...]:
        """What is looked for at the end of each step: the cut, all level, who supplies, whose protection opens."""
        return self.cuts(flow), self.level(flow), supplying(flow), self.opening(flow)

    def _tried(self, h_s: float, starts_a: Sequence[float], before: tuple[object, ...]) -> Step:
        """A step of this length: each pack where the stages before have brought it, behind R + k gamma h."""
        fallen_ohm = [h_s * per_coulomb_v for per_coulomb_v in self._per_coulomb_v]
        ohm = [own + GAMMA * fallen for own, fallen in zip(self._ohm, fallen_ohm, strict=True)]
        solve, emf_v = self.wiring.solve, self._emf_v
        # At the end of a stage the pack stands behind its own resistance: the rest of `ohm` is what its voltage fell.
        first = solve(emf_v, ohm)
        if isinstance(first, CannotDeliver):
            return Step(h_s, first)
        (a,), (b, c) = STAGES[1:]
        second = solve([e - k * a * i for e, k, i in zip(emf_v, fallen_ohm, first.packs_a, strict=True)], ohm)
        if isinstance(second, CannotDeliver):
            return Step(h_s, second)
        gone_a = [b * i + c * j for i, j in zip(first.packs_a, second.packs_a, strict=True)]
        end = solve([e - k * i for e, k, i in zip(emf_v, fallen_ohm, gone_a, strict=True)], ohm)
        if isinstance(end, CannotDeliver):
            return Step(h_s, end)
        means_a = tuple([i + GAMMA * j for i, j in zip(gone_a, end.packs_a, strict=True)])
        fractions = tuple(
            [
                fraction - current_a * h_s / pack.capacity_coulomb
                for pack, fraction, current_a in zip(self.batteries, self.fractions, means_a, strict=True)
            ]
        )
        off_a = max([abs((i + j) / 2 - m) for i, j, m in zip(starts_a, end.packs_a, means_a, strict=True)])
        off_a *= min(1.0, h_s * self._rate_per_s)
        return Step(h_s, end, (first, second, end), means_a, fractions, self._state(end) != before, off_a)

    def _to_knot(self, h_s: float, starts_a: Sequence[float], before: tuple[object, ...], most_off_a: float) -> Step:
        """A step of this length, or to the first knot of a curve if that comes before; one too far off as it is."""
        most_s = h_s
        h_s = min(most_s, self._reach_s(h_s, starts_a, starts_a))
        step = self._tried(h_s, starts_a, before)
        for _ in range(MOST_TRIES):
            if isinstance(step.end, CannotDeliver) or step.off_a > most_off_a:
                break
            reach_s = min(most_s, max(h_s / 4, self._reach_s(h_s, starts_a, step.means_a)))
            per_s = max(abs(a) / pack.capacity_coulomb for pack, a in zip(self.batteries, step.means_a, strict=True))
            if per_s * abs(reach_s - h_s) <= KNOT / 2:
                break
            h_s = reach_s
            step = self._tried(h_s, starts_a, before)
        return step

    def _reach_s(self, h_s: float, starts_a: Sequence[float], means_a: Sequence[float]) -> float:
        """When the first pack comes to a knot, mean currents taken to change straight with the length of the step."""
        found_s = inf
        for pack, start_a, mean_a, (down, up) in zip(self.batteries, starts_a, means_a, self._rooms, strict=True):
            if start_a == mean_a == 0.0:
                continue
            room, first_a = (down, start_a) if mean_a > 0.0 else (up, -start_a)
            # first_a t + more t^2 = coulomb
            coulomb = room * pack.capacity_coulomb
            more = (abs(mean_a) - first_a) / h_s
            root = first_a * first_a + 4 * more * coulomb
            # When a pack turns round on a knot is located as a change.
            if room > KNOT and coulomb < inf and root > 0.0:
                found_s = min(found_s, 2 * coulomb / (first_a + sqrt(root)))
        return found_s

    def _narrowed(self, high: Step, starts_a: Sequence[float], before: tuple[object, ...]) -> Step:
        """The shortest step by whose end something has changed; before a load that cannot be met the longest."""
        low: Step | None = None
        while high.h_s - (low.h_s if low else 0.0) > NEAR_S:
            middle = self._tried((high.h_s + (low.h_s if low else 0.0)) / 2, starts_a, before)
            low, high = (low, middle) if middle.changed else (middle, high)
        return low if low is not None and isinstance(high.end, CannotDeliver) else high
