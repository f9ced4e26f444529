"""The largest current each way in every lead, joiner path and pack, over all pack sets and all states of charge.

Every operation on source curves keeps their order. So the current in an element rises with the curve of each pack on
its inner side and with the load, and falls with the curve of each pack on its outer side. A pack, absent or present at
any state of charge, lies between

    U(V) = max(0, (E_full - V) / R)    and    L(V) = min(0, (E_empty - V) / R),

and each bound is a real state of it at the solution: absent, or full, or empty. Hence two solves give both extremes of
an element, and no set of packs has to be listed: inside U, outside L with the load at its most; inside L, outside U
with no load or braking. Taps are loads between nothing and their most. A selector on the element's way stands on that
input, any other on the input that bounds its curve. Elements in a row, no branch between them, carry one current.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import inf
from typing import NamedTuple

from packyoke.analysis.circuit.bounds import Bound, at_bound
from packyoke.analysis.circuit.curves import (
    Blocked,
    CurvePieces,
    Demand,
    Joined,
    NotATree,
    OperatingPoint,
    PackSource,
    Selected,
    Selector,
    Series,
    Shape,
    Tapped,
    TreeNode,
    current_at,
    feeding,
    meet,
    nodes,
    settle,
    voltage_at,
)

# Less than this is no current: rounding.
NO_CURRENT_A = 1e-9


class Extreme(NamedTuple):
    """The largest and the smallest current [A] of an element, positive towards the load: `back_a` is zero or negative.

    With each the packs that conduct then, the worst pack set, by their open-circuit voltages [V].
    """

    forward_a: float
    forward_packs: tuple[str, ...]
    forward_states: dict[str, float]
    back_a: float
    back_states: dict[str, float]


class _Branch(NamedTuple):
    """Elements in a row with one current, the packs on their inner side, and the way to them from the root: each node
    with the number of its child that is on the way."""

    top: TreeNode
    names: tuple[str, ...]
    inside: frozenset[str]
    way: tuple[tuple[TreeNode, int], ...]


class _Sides(NamedTuple):
    """What feeds a branch at one bound and everything else at the other."""

    branch: _Branch
    inner: Bound
    outer: Bound

    def shape(self) -> Shape:
        """The shape of the whole tree: only what lies on the way to the branch is not as it is for others too."""
        shape = self.inner.shape(self.branch.top)
        for node, at in reversed(self.branch.way):
            parts = tuple([shape if n == at else self.outer.shape(child) for n, child in enumerate(feeding(node))])
            shape = self.outer.combined(Selected(node.children, at) if isinstance(node, Selector) else node, parts)
        return shape

    def conducting(self, currents: Mapping[str, float]) -> dict[str, float]:
        """The packs that carry current, with their open-circuit voltages [V]."""
        names = [name for name in self.inner.emf_v if abs(currents.get(name, 0.0)) > NO_CURRENT_A]
        return {name: (self.inner if name in self.branch.inside else self.outer).emf_v[name] for name in names}


EXTREMES = 6
"""How long the extremes of a circuit take, in runs of a usual rule (measured)."""


Carried = tuple[float, dict[str, float]]
"""The current of an element at one of its ends [A], and the packs that conduct then, by their voltages [V]."""


class Between:
    """A tree between its bounds, and the most and the least that an element of it carries; see `extremes`.

    What is the same for every load is worked out once, and only for the elements that somebody asks for.
    """

    def __init__(
        self,
        root: TreeNode,
        ranges: Mapping[str, tuple[float, float]],
        groups: Sequence[Sequence[str]] = (),
        group_differs_v: float = 0.0,
    ) -> None:
        if not 0.0 <= group_differs_v < inf:
            raise ValueError("packs of a group stand apart by a finite voltage that is not negative")
        self._root = root  # bounds know nodes by their ids
        self._sources = {node.name: node for node in nodes(root) if isinstance(node, PackSource)}
        _check(root, self._sources, ranges, groups)
        self.ranges, self._groups, self._differs_v = ranges, groups, group_differs_v
        self._bounds: dict[tuple[bool, bool, tuple[str, ...]], Bound] = {}
        self._sides: dict[tuple[str, bool], tuple[_Sides, Shape]] = {}
        self.branches: dict[str, _Branch] = {}
        """By the names of the elements in them."""
        _branches(root, (), self.branches)

    def most(
        self,
        name: str,
        load_max_a: float,
        cut_v: float,
        held: Demand | None = None,
        lowest_v: Mapping[str, float] | None = None,
    ) -> Carried:
        """The most that an element carries towards the load."""
        if not 0.0 <= min(load_max_a, cut_v) <= max(load_max_a, cut_v) < inf:
            raise ValueError("the load and its lowest voltage must be finite and not negative")
        sides, shape = self._at(name, forward=True)
        if held is None or lowest_v is None or self._parted(sides.branch):
            return _read(shape, _drawing(shape[1], load_max_a, cut_v), sides)
        return _held(shape, held, cut_v, lowest_v, sides, self.ranges)

    def least(self, name: str, brake_a: float = 0.0, bus_max_v: float | None = None) -> Carried:
        """The least that it carries, zero or negative: what comes back."""
        if not 0.0 <= brake_a < inf:
            raise ValueError("what braking pushes in must be finite and not negative")
        if brake_a > 0.0 and bus_max_v is None:
            raise ValueError("braking needs the voltage that it does not pass")
        sides, shape = self._at(name, forward=False)
        return _read(shape, _braking(shape[1], brake_a, bus_max_v), sides)

    def _at(self, name: str, *, forward: bool) -> tuple[_Sides, Shape]:
        """The two sides of an element at their bounds, and the shape of the whole tree then."""
        branch = self.branches[name]
        key = branch.names[0], forward
        if key not in self._sides:
            parted = self._parted(branch)
            sides = _Sides(branch, self._bound(forward, True, parted), self._bound(not forward, False, parted))
            self._sides[key] = sides, sides.shape()
        return self._sides[key]

    def _parted(self, branch: _Branch) -> tuple[str, ...]:
        """The packs of groups that are on both sides of a branch."""
        return tuple(
            name
            for group in self._groups
            if not branch.inside.isdisjoint(group) and not branch.inside.issuperset(group)
            for name in group
        )

    def _bound(self, rising: bool, inner: bool, parted: tuple[str, ...]) -> Bound:
        """The tree at a bound, but groups that are on both sides in one state: full drives the most forward, empty
        takes the most back, and what stands outside is as far from it as packs of a group are."""
        key = rising, inner and bool(parted), parted
        if key not in self._bounds:
            if parted:
                emf_v = {name: self._in_a_group(name, rising, inner) for name in parted}
                self._bounds[key] = self._bound(rising, inner, ()).with_packs_in(self._sources, emf_v)
            else:
                self._bounds[key] = at_bound(self._sources, self.ranges, rising)
        return self._bounds[key]

    def _in_a_group(self, name: str, rising: bool, inner: bool) -> float:
        full_v, empty_v = self.ranges[name]
        if inner:
            return full_v if rising else empty_v
        return min(full_v, empty_v + self._differs_v) if rising else max(empty_v, full_v - self._differs_v)


def extremes(
    root: TreeNode,
    ranges: Mapping[str, tuple[float, float]],
    load_max_a: float,
    cut_v: float,
    brake_a: float = 0.0,
    bus_max_v: float | None = None,
    groups: Sequence[Sequence[str]] = (),
    group_differs_v: float = 0.0,
    held: Demand | None = None,
    lowest_v: Mapping[str, float] | None = None,
) -> dict[str, Extreme]:
    """The largest current each way in every source and series element, with the packs and states that cause it.

    The load is any current up to its most while V >= V_cut, and is lowered to hold V_cut where the packs cannot
    give it all. One that holds a power draws more the lower the voltage: what an element then carries at a voltage,
    the packs outside at their lower bound, is convex in it, so that the most is at an end: the highest voltage at
    which the load is met, the lowest of a pack inside, or where its current limit takes over. Groups are bonded
    packs, in or out together at one state of charge: exact where they share one full and one empty voltage and meet
    each other before any other pack.

    Parameters:
        root: the tree; a `Selector` stands on any input, a `Selected` stays; the sources' own voltages do not matter
        ranges: open-circuit voltage of each source, full and empty [V]
        load_max_a: the most that the load draws [A]
        cut_v: lowest running voltage at the load [V]
        brake_a: the most current that braking pushes in [A]
        bus_max_v: the voltage that braking does not pass, above every empty one [V]; needed with `brake_a`
        groups: names of packs that are bonded to each other
        group_differs_v: the most by which packs of one group stand apart [V]
        held: a load with a power limit, in place of `load_max_a`, which stays what it draws at its lowest voltage
        lowest_v: the lowest voltage at the load with each source alone [V]; needed with `held`
    Returns:
        the extremes by element name [A]; `back_a` of a source is the largest rush into that pack
    Raises:
        ValueError: a name used twice, a source without range or the other way round, figures that make no sense
    """
    between = Between(root, ranges, groups, group_differs_v)
    found: dict[str, Extreme] = {}
    for name, branch in between.branches.items():
        if name == branch.names[0]:
            forward_a, most_v = between.most(name, load_max_a, cut_v, held, lowest_v)
            back_a, least_v = between.least(name, brake_a, bus_max_v)
            extreme = Extreme(forward_a, tuple(most_v), most_v, back_a, least_v)
            found.update(dict.fromkeys(branch.names, extreme))
    return found


def _check(
    root: TreeNode,
    sources: Mapping[str, PackSource],
    ranges: Mapping[str, tuple[float, float]],
    groups: Sequence[Sequence[str]],
) -> None:
    names = Counter(node.name for node in nodes(root) if isinstance(node, PackSource | Series | Tapped))
    twice = [name for name, count in names.items() if count > 1]
    if twice:
        raise NotATree(f"names used twice: {', '.join(twice)}")
    if set(sources) != set(ranges):
        raise ValueError(f"sources and ranges differ: {', '.join(sorted(set(sources) ^ set(ranges)))}")
    for name, (full_v, empty_v) in ranges.items():
        if not -inf < empty_v <= full_v < inf:
            raise ValueError(f"{name}: the full voltage must be finite and at least the empty one")
    grouped = Counter(name for group in groups for name in group)
    if not set(grouped) <= set(sources) or any(count > 1 for count in grouped.values()):
        raise ValueError("a group holds packs of the tree, and a pack belongs to one group at most")


def _branches(node: TreeNode, way: tuple[tuple[TreeNode, int], ...], found: dict[str, _Branch]) -> frozenset[str]:
    """Put down every run of elements without a branch between them, by the name of each; the packs that feed a node."""
    top, to_top, names = node, way, []
    while isinstance(node, Series | Blocked):
        if isinstance(node, Series):
            names.append(node.name)
        way = (*way, (node, 0))
        node = node.child
    if isinstance(node, PackSource):
        names.append(node.name)
        inside = frozenset((node.name,))
    else:
        children = enumerate(feeding(node))
        inside = frozenset().union(*[_branches(child, (*way, (node, n)), found) for n, child in children])
    found.update(dict.fromkeys(names, _Branch(top, tuple(names), inside, to_top)))
    return inside


def _drawing(curve: CurvePieces, most_a: float, cut_v: float) -> tuple[float, float]:
    """Voltage [V] and current [A] of the largest draw; lowered to hold the cut voltage, none below it."""
    voltage_v = voltage_at(curve, most_a)
    if voltage_v >= cut_v:
        return voltage_v, most_a
    current_a = current_at(curve, cut_v)
    return (cut_v, current_a) if current_a > 0.0 else (voltage_at(curve, 0.0), 0.0)


def _held(
    shape: Shape,
    held: Demand,
    cut_v: float,
    lowest_v: Mapping[str, float],
    sides: _Sides,
    ranges: Mapping[str, tuple[float, float]],
) -> Carried:
    """The most that a branch carries to a load with a power limit, and the packs that conduct then [A], [V]."""
    power_w = held.power_w or 0.0
    high_v, met_a = meet(shape[1], held)
    if high_v < cut_v:
        high_v, met_a = _drawing(shape[1], inf, cut_v)
    found = _read(shape, (high_v, met_a), sides)
    pack = min(sides.branch.inside, key=lambda name: (lowest_v[name], name))
    low_v = max(cut_v, lowest_v[pack])
    knee_v = power_w / held.current_a if held.current_a else low_v
    for volts_v in {low_v, max(low_v, knee_v)}:
        if volts_v < high_v:
            asked_a = power_w / volts_v if held.current_a is None else min(held.current_a, power_w / volts_v)
            current_a = _carried(shape, sides.branch, volts_v, asked_a + held.besides_a)
            if current_a > found[0]:
                found = current_a, {pack: ranges[pack][1]}
    return found


def _carried(shape: Shape, branch: _Branch, voltage_v: float, current_a: float) -> float:
    """What is left for a branch of a current at the root at a voltage, the rest of the tree at its bounds [A]."""
    for _, at in branch.way:
        node, _, parts = shape
        if isinstance(node, Series):
            voltage_v += node.forward_v + node.resistance_ohm * current_a
        elif isinstance(node, Tapped):
            current_a += node.current_a
        elif isinstance(node, Joined):
            current_a -= sum(current_at(curve, voltage_v) for n, (_, curve, _) in enumerate(parts) if n != at)
        shape = parts[at]
    return current_a


def _braking(curve: CurvePieces, brake_a: float, bus_max_v: float | None) -> tuple[float, float]:
    """Voltage [V] and current [A] of the largest push back; lowered to hold the highest voltage, none above it."""
    voltage_v = voltage_at(curve, -brake_a)
    if bus_max_v is None or voltage_v <= bus_max_v:
        return voltage_v, -brake_a
    current_a = current_at(curve, bus_max_v)
    return (bus_max_v, current_a) if current_a < 0.0 else (voltage_at(curve, 0.0), 0.0)


def _read(shape: Shape, meets: tuple[float, float], sides: _Sides) -> Carried:
    """The current [A] of a branch at a point of the root, and the packs that conduct then with their voltages [V]."""
    point = OperatingPoint(*meets, {}, {})
    settle(shape, *meets, point)
    current_a = point.currents[sides.branch.names[0]]
    return (current_a, sides.conducting(point.currents)) if abs(current_a) >= NO_CURRENT_A else (0.0, {})
