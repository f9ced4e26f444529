"""A tree solved over and over while its packs run down: as long as the same paths conduct it is a plain linear network.

One pass from the packs to the load adds up sources behind resistances, one pass back gives the currents. Where the
answer does not fit the paths that were taken to conduct, `operating_point` decides, and tells them anew.

Source: circuit theory (Norton equivalents).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import NamedTuple

from packyoke.analysis.circuit.curves import (
    Blocked,
    CannotDeliver,
    Demand,
    Joined,
    OperatingPoint,
    PackSource,
    Selected,
    Selector,
    Series,
    Tapped,
    TreeNode,
    feeding,
    nodes,
    operating_point,
)

ROUNDING = 1e-9
"""[A] or [V]: where a path just begins to conduct, either answer is right to within this."""


@dataclass(slots=True)
class Branch:
    """Packs and branches on one node, less a tap, then resistances and a diode in series, then perhaps a block.

    `parts` are the elements in series: name, resistance, forward voltage.
    """

    pack: int = -1
    inner: tuple[int, ...] = ()
    tap: str = ""
    tap_a: float = 0.0
    ohm: float = 0.0
    forward_v: float = 0.0
    blocks: bool = False
    parts: list[tuple[str, float, float]] = field(default_factory=list)


class Solved(NamedTuple):
    """A solved network: voltage and current at the load, power of all taps, currents by branch, then by pack currents
    and voltages at their outlets."""

    bus_v: float
    load_a: float
    taps_w: float
    branches_a: Sequence[float]
    packs_a: tuple[float, ...]
    packs_v: tuple[float, ...]


_Forth = tuple[int, int, tuple[int, ...], float, float, float, bool]
_Back = tuple[int, int, tuple[int, ...], float, float, float, bool]
_Met = tuple[list[float], list[float], list[_Forth], list[_Back]]
"""Conductances of the branches and of what they let through, and the two ways through them."""


class StandingTree:
    """A tree whose selectors stand; `branches` in an order in which each comes after what it joins.

    A branch of which all packs are in `off` is dead.
    """

    def __init__(self, root: TreeNode, load: Demand, sources: Sequence[str], off: set[str]) -> None:
        self.tree, self.load, self.sources = standing(root, off), load, sources
        self.off = [name in off for name in sources]
        self.branches: list[Branch] = []
        self._floating: list[int] = []
        self._index = {name: n for n, name in enumerate(sources)}
        self._root = self._put(self.tree)
        self._conducts: list[bool] | None = None
        # The passes go through plain tuples, and only where a pack is left: they are most of the time of a rundown.
        live: set[int] = set()
        self._plan = []
        for n, b in enumerate(self.branches):
            inner = tuple([each for each in b.inner if each in live])
            if inner or b.tap_a or (b.pack >= 0 and not self.off[b.pack]):
                live.add(n)
                self._plan.append((n, b.pack, inner, b.tap_a, b.ohm, b.forward_v, b.blocks))
        self._back = self._plan[::-1]
        self._met: tuple[Sequence[float], Sequence[bool], _Met] | None = None
        self.carrying = [(n, b.parts) for n, b in enumerate(self.branches) if n in live and b.parts]
        """Branches that a pack or a tap is left behind, with what they lead through."""

    def solve(self, emf_v: Sequence[float], ohm: Sequence[float]) -> Solved | CannotDeliver:
        """The operating point with these voltages behind these resistances, by pack [V], [ohm]."""
        found = self._linear(emf_v, ohm, self._conducts) if self._conducts is not None else None
        if found is not None:
            return found
        sources = {
            name: None if self.off[n] else PackSource(name, emf_v[n], ohm[n]) for n, name in enumerate(self.sources)
        }
        point = operating_point(self.tree, self.load, sources)
        if isinstance(point, CannotDeliver):
            return point
        branches_a: list[float] = []
        for branch in self.branches:
            if branch.pack >= 0:
                branches_a.append(point.currents[self.sources[branch.pack]])
            else:
                tap_a = point.currents[branch.tap] if branch.tap else 0.0
                branches_a.append(sum(branches_a[n] for n in branch.inner) - tap_a)
        self._conducts = [current_a > ROUNDING for current_a in branches_a]
        packs_a = tuple([point.currents.get(name, 0.0) for name in self.sources])
        packs_v = tuple([e - r * i for e, r, i in zip(emf_v, ohm, packs_a, strict=True)])
        return Solved(point.voltage_v, point.current_a, self._taps_w(point), branches_a, packs_a, packs_v)

    def _linear(self, emf_v: Sequence[float], ohm: Sequence[float], conducts: Sequence[bool]) -> Solved | None:
        """The same where just these blocking branches conduct; None where they would not."""
        if self._met is None or self._met[0] is not ohm or self._met[1] is not conducts:
            self._met = (ohm, conducts, self._conductances(ohm, conducts))
        g, out_g, forth, back = self._met[2]
        count = len(g)
        s, out_s = [0.0] * count, [0.0] * count
        for n, pack, inner, tap_a, forward, k, lets in forth:
            if pack >= 0:
                here_s = (emf_v[pack] - forward) * k
            elif k:
                here_s = 0.0
                for each in inner:
                    here_s += out_s[each]
                here_s = (here_s - tap_a - forward) * k
            else:
                # A tap that may be fed from the other side, through what blocks, or not at all.
                return None
            s[n] = here_s
            if lets:
                out_s[n] = here_s
        bus_v = self._bus_v(out_s[self._root], out_g[self._root])
        if bus_v is None:
            return None
        volts_v, currents_a = [0.0] * count, [0.0] * count
        volts_v[self._root] = bus_v
        load_a = currents_a[self._root] = out_s[self._root] - out_g[self._root] * bus_v
        for n in self._floating:
            volts_v[n] = s[n] / g[n] if g[n] else 0.0
        taps_w = 0.0
        packs_a = [0.0] * len(self.off)
        for n, pack, inner, tap_a, series_ohm, forward_v, blocks in back:
            here_v, current_a = volts_v[n], currents_a[n]
            if blocks and g[n]:
                if conducts[n]:
                    if current_a < -ROUNDING:
                        return None
                else:
                    float_v = s[n] / g[n]
                    if float_v > here_v + ROUNDING:
                        return None
                    here_v = float_v
            if pack >= 0:
                packs_a[pack] = current_a
                continue
            here_v += forward_v + series_ohm * current_a
            if tap_a:
                taps_w += here_v * tap_a
            for each in inner:
                volts_v[each] = here_v
                currents_a[each] = out_s[each] - out_g[each] * here_v
        packs_v = tuple([e - r * i for e, r, i in zip(emf_v, ohm, packs_a, strict=True)])
        return Solved(bus_v, load_a, taps_w, currents_a, tuple(packs_a), packs_v)

    def _conductances(self, ohm: Sequence[float], conducts: Sequence[bool]) -> _Met:
        """What of a pass hangs on resistances alone: the same for every stage of a step."""
        count = len(self.branches)
        g, out_g = [0.0] * count, [0.0] * count
        forth = []
        for n, pack, inner, tap_a, series_ohm, forward_v, blocks in self._plan:
            lets = not blocks or conducts[n]
            if pack >= 0:
                here_g = 1.0 / (ohm[pack] + series_ohm)
                forth.append((n, pack, inner, tap_a, forward_v, here_g, lets))
            else:
                here_g = 0.0
                for each in inner:
                    here_g += out_g[each]
                if here_g == 0.0:
                    if tap_a:
                        forth.append((n, pack, inner, tap_a, 0.0, 0.0, False))
                    continue
                k = 1.0 / (1.0 + here_g * series_ohm)
                forth.append((n, pack, inner, tap_a, here_g * forward_v, k, lets))
                here_g *= k
            g[n] = here_g
            if lets:
                out_g[n] = here_g
        return g, out_g, forth, self._back

    def _bus_v(self, s: float, g: float) -> float | None:
        """Where the load meets I = s - g V, drawing; None where it does not."""
        if g == 0.0:
            return None
        s -= self.load.besides_a
        found_v = -1.0
        if self.load.current_a is not None:
            found_v = (s - self.load.current_a) / g
        if self.load.power_w is not None:
            discriminant = s * s - 4.0 * g * self.load.power_w
            if discriminant >= 0.0:
                found_v = max(found_v, (s + sqrt(discriminant)) / (2.0 * g))
        return found_v if found_v > 0.0 else None

    def _taps_w(self, point: OperatingPoint) -> float:
        taps = [branch.tap for branch in self.branches if branch.tap]
        return sum(point.voltages.get(name, 0.0) * point.currents[name] for name in taps)

    def _put(self, node: TreeNode) -> int:
        """Write down the branches of a node; the number of the one that it ends in."""
        if isinstance(node, PackSource):
            return self._add(Branch(pack=self._index[node.name]))
        if isinstance(node, Selected):
            numbers = [self._put(child) for child in node.children]
            self._floating += [n for at, n in enumerate(numbers) if at != node.chosen]
            return numbers[node.chosen]
        if isinstance(node, Joined):
            return self._add(Branch(inner=tuple([self._put(child) for child in node.children])))
        if isinstance(node, Selector):
            raise ValueError("an operating point needs every selector on one of its inputs")
        n = self._put(node.child)
        if isinstance(node, Tapped):
            return self._add(Branch(inner=(n,), tap=node.name, tap_a=node.current_a))
        branch = self.branches[n]
        if isinstance(node, Blocked):
            branch.blocks = True
            return n
        # Behind what blocks as before it: the current is the same, and without one nothing drops.
        branch.ohm += node.resistance_ohm
        branch.forward_v += node.forward_v
        branch.parts.append((node.name, node.resistance_ohm, node.forward_v))
        return n

    def _add(self, branch: Branch) -> int:
        self.branches.append(branch)
        return len(self.branches) - 1


def _sources(node: TreeNode, off: set[str]) -> set[str]:
    return {each.name for each in nodes(node) if isinstance(each, PackSource)} - off


def standing(node: TreeNode, off: set[str]) -> TreeNode:
    """The tree with every selector on its first input that still has a pack."""
    if isinstance(node, PackSource):
        return node
    if isinstance(node, Series | Blocked | Tapped):
        return replace(node, child=standing(node.child, off))
    children = tuple(standing(child, off) for child in node.children)
    if isinstance(node, Selector):
        return Selected(children, next((n for n, child in enumerate(children) if _sources(child, off)), 0))
    return replace(node, children=children)


def turned_from(node: TreeNode, off: set[str]) -> set[str]:
    """The packs from which selectors in use can still be turned to another input."""
    if isinstance(node, Selected):
        chosen = node.children[node.chosen]
        if any(child is not chosen and _sources(child, off) for child in node.children):
            return _sources(chosen, off)
        return turned_from(chosen, off)
    return {name for child in feeding(node) for name in turned_from(child, off)}
