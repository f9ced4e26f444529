"""A bike's wiring as a tree of packs, leads and joiners, and the point at which a load meets it.

Seen from the load, any part of the tree is a source curve: the current that it gives at a terminal voltage, made of
straight pieces and never rising with the voltage. Curves are built from the packs up; the load meets the root's curve
in one point, found without iteration; walking back down gives the current in every branch.

Source: circuit theory (Thevenin equivalents, Kirchhoff's laws).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from math import inf, isfinite, sqrt
from typing import Literal, NamedTuple

# Two voltages closer than this are one: what is left of rounding where pieces of a curve meet.
SAME_V = 1e-9

# A piece holds from its top voltage down to the next one's: current = s - g * voltage. The first piece has no top.
CurvePiece = tuple[float, float, float]
CurvePieces = Sequence[CurvePiece]
NOTHING: CurvePieces = ((inf, 0.0, 0.0),)
END: CurvePiece = (-inf, 0.0, 0.0)


class NotATree(ValueError):
    """A part that two ways lead to: such a wiring has no one source curve."""


@dataclass(frozen=True, slots=True)
class PackSource:
    """A pack: its open-circuit voltage [V] behind a resistance [ohm]; `back` says whether current can enter it."""

    name: str
    emf_v: float
    resistance_ohm: float
    back: bool = True

    def __post_init__(self) -> None:
        if not (isfinite(self.emf_v) and 0.0 < self.resistance_ohm < inf):
            raise ValueError(f"{self.name}: a source needs a finite voltage and a resistance above zero")


@dataclass(frozen=True, slots=True)
class Series:
    """A lead or a joiner's path: both conductors and contacts [ohm], and the forward voltage of a diode [V].

    A forward voltage is only true of current towards the load: put a `Blocked` next to it.
    """

    child: TreeNode
    name: str
    resistance_ohm: float
    forward_v: float = 0.0

    def __post_init__(self) -> None:
        if not (0.0 <= self.resistance_ohm < inf and 0.0 <= self.forward_v < inf):
            raise ValueError(f"{self.name}: resistance and forward voltage must be finite and not negative")


@dataclass(frozen=True, slots=True)
class Blocked:
    """Lets current out towards the load and none back in."""

    child: TreeNode


@dataclass(frozen=True, slots=True)
class Joined:
    """Branches on one node, plainly."""

    children: tuple[TreeNode, ...]


@dataclass(frozen=True, slots=True)
class Selected:
    """A selector that stands on one of its inputs; the others are open."""

    children: tuple[TreeNode, ...]
    chosen: int

    def __post_init__(self) -> None:
        if not 0 <= self.chosen < len(self.children):
            raise ValueError(f"a selector with {len(self.children)} inputs cannot stand on input {self.chosen}")


@dataclass(frozen=True, slots=True)
class Selector:
    """A selector on any of its inputs: for worst cases only, an operating point needs `Selected`."""

    children: tuple[TreeNode, ...]


@dataclass(frozen=True, slots=True)
class Tapped:
    """A load inside the tree (accessory, second controller) that draws a constant current [A] from its node.

    Valid while its node stays above 0 V. Where nothing can feed the node the tap draws nothing.
    """

    child: TreeNode
    name: str
    current_a: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.current_a < inf:
            raise ValueError(f"{self.name}: a tap's current must be finite and not negative")


TreeNode = PackSource | Series | Blocked | Joined | Selected | Selector | Tapped
Sources = Mapping[str, PackSource | None]


@dataclass(frozen=True, slots=True)
class Demand:
    """What the controller asks for: a current [A], a power [W], or the smaller of both; below `cut_v` [V] it is off.

    Negative figures brake: they push current into the tree. Both limits must have one sign. `besides_a` is drawn by
    others at the same point, whatever the voltage.
    """

    current_a: float | None = None
    power_w: float | None = None
    cut_v: float = 0.0
    besides_a: float = 0.0

    def __post_init__(self) -> None:
        given = [figure for figure in (self.current_a, self.power_w) if figure is not None]
        if not given or not all(map(isfinite, given)) or not 0.0 <= self.cut_v < inf:
            raise ValueError("a load needs a finite current or power, and a cut voltage that is not negative")
        if min(given) < 0.0 < max(given):
            raise ValueError("a load's current and power must have one sign")
        if not 0.0 <= self.besides_a < inf or (self.besides_a and min(given) < 0.0):
            raise ValueError("what others draw must be finite and not negative, and nobody brakes meanwhile")


class OperatingPoint(NamedTuple):
    """Where the load meets the tree.

    `currents` [A] are positive towards the load and hold every source, series element and tap; `voltages` [V] are those
    on the element's side towards the load. Where nothing feeds an element (behind a blocking joiner) it has no voltage.
    """

    voltage_v: float
    current_a: float
    currents: dict[str, float]
    voltages: dict[str, float]


class CannotDeliver(NamedTuple):
    """Why a load has no operating point, and what the tree gives at most at or above the cut voltage [A], [W]."""

    reason: Literal["no source", "too much", "nothing takes it"]
    most_a: float
    most_w: float


def feeding(node: TreeNode) -> tuple[TreeNode, ...]:
    """The nodes that feed a node."""
    if isinstance(node, (Series, Blocked, Tapped)):
        return (node.child,)
    return () if isinstance(node, PackSource) else node.children


def nodes(node: TreeNode) -> Iterator[TreeNode]:
    """A node and everything that feeds it."""
    yield node
    for child in feeding(node):
        yield from nodes(child)


# A node with its source curve and the shapes of its branches.
Shape = tuple[TreeNode, CurvePieces, tuple["Shape", ...]]


def operating_point(root: TreeNode, load: Demand, sources: Sources | None = None) -> OperatingPoint | CannotDeliver:
    """Voltage at the load and the current in every branch.

    I_tree(V) = I_load or V I_tree(V) = P_load, at the highest V that solves it; with both limits the higher of the two.

    Parameters:
        root: the tree, names unique within it
        load: what is asked for [A], [W], and the voltage below which nothing is [V]
        sources: packs to put in place of the tree's own, by name [V], [ohm]; None takes the pack out
    Returns:
        the point [V], [A], or why there is none
    Raises:
        ValueError: an open `Selector` in the tree, or a name used twice
    """
    shape = shape_of(root, sources or {})
    voltage_v, current_a = meet(shape[1], load)
    if not load.cut_v - SAME_V <= voltage_v < inf:
        return _refusal(shape[1], load, voltage_v)
    point = OperatingPoint(voltage_v, current_a, {}, {})
    settle(shape, voltage_v, current_a, point)
    return point


def shape_of(node: TreeNode, sources: Sources) -> Shape:
    """The curves of a tree from its packs up, with `sources` in place of its own."""
    if isinstance(node, (Series, Blocked, Tapped)):
        part = shape_of(node.child, sources)
        return node, combine(node, (part,)), (part,)
    if isinstance(node, PackSource):
        return node, source_curve(sources.get(node.name, node)), ()
    parts = tuple([shape_of(child, sources) for child in node.children])
    return node, combine(node, parts), parts


def source_curve(source: PackSource | None) -> CurvePieces:
    """I = (E - V) / R, or nothing from a pack that is not there."""
    if source is None:
        return NOTHING
    line = ((inf, source.emf_v / source.resistance_ohm, 1.0 / source.resistance_ohm),)
    return line if source.back else _blocked(line)


def combine(node: TreeNode, parts: tuple[Shape, ...]) -> CurvePieces:
    """The curve of a node from those of its branches."""
    if isinstance(node, Series):
        return _dropped(parts[0][1], node.resistance_ohm, node.forward_v)
    if isinstance(node, Blocked):
        return _blocked(parts[0][1])
    if isinstance(node, Joined):
        return reduce(_joined, [curve for _, curve, _ in parts]) if parts else NOTHING
    if isinstance(node, Tapped):
        return [(top, s - node.current_a, g) for top, s, g in parts[0][1]]
    if isinstance(node, Selected):
        return parts[node.chosen][1]
    raise ValueError("an operating point needs every selector on one of its inputs")


def _dropped(curve: CurvePieces, resistance_ohm: float, forward_v: float) -> CurvePieces:
    """The curve behind a resistance and a forward voltage: V' = V - R I - Vf."""
    pieces = []
    for top, s, g in curve:
        k = 1.0 / (1.0 + g * resistance_ohm)
        shifted = top - forward_v - resistance_ohm * (s - g * top) if top < inf else inf
        pieces.append((shifted, (s - g * forward_v) * k, g * k))
    return pieces


def _blocked(curve: CurvePieces) -> CurvePieces:
    """The curve cut at zero current; its second piece starts at the voltage at which the branch floats."""
    n, float_v = _crossing(curve, 0.0)
    _, s, g = curve[n]
    return NOTHING if float_v == -inf else [(inf, 0.0, 0.0), (float_v, s, g), *curve[n + 1 :]]


def _joined(first: CurvePieces, second: CurvePieces) -> CurvePieces:
    """The sum of two curves at equal voltage."""
    rest_a, rest_b = iter(first), iter(second)
    top, s_a, g_a = next(rest_a)
    top, s_b, g_b = next(rest_b)
    next_a, next_b = next(rest_a, END), next(rest_b, END)
    pieces = []
    while top > -inf:
        pieces.append((top, s_a + s_b, g_a + g_b))
        top_a, top_b = next_a[0], next_b[0]
        top = top_a if top_a > top_b else top_b
        if top_a == top:
            _, s_a, g_a = next_a
            next_a = next(rest_a, END)
        if top_b == top:
            _, s_b, g_b = next_b
            next_b = next(rest_b, END)
    return pieces


def current_at(curve: CurvePieces, voltage_v: float) -> float:
    """The current [A] of a curve at a finite voltage [V]."""
    s_here = g_here = 0.0
    for top, s, g in curve:
        if top < voltage_v:
            break
        s_here, g_here = s, g
    return s_here - g_here * voltage_v


def voltage_at(curve: CurvePieces, current_a: float) -> float:
    """The voltage [V] below which a curve gives more than a current [A]; inf: it always does, -inf: it never does."""
    return _crossing(curve, current_a)[1]


def _crossing(curve: CurvePieces, current_a: float) -> tuple[int, float]:
    """That voltage [V] with the piece that holds below it."""
    last = len(curve) - 1
    for n, (top, s, g) in enumerate(curve):
        if g == 0.0:
            if s > current_a:
                return n, top
        elif n == last:
            return n, min(top, (s - current_a) / g)
        elif s - g * (low := curve[n + 1][0]) > current_a:
            return n, min(top, max(low, (s - current_a) / g))
    return last, -inf


def _power_voltage(curve: CurvePieces, power_w: float) -> float:
    """The highest voltage [V] at which a curve gives a power [W]; none: -inf, or inf for a power pushed in."""
    for (top, s, g), (low, _, _) in zip(curve, [*curve[1:], END], strict=True):
        if g == 0.0:
            voltage_v = power_w / s if s < 0.0 and power_w < 0.0 else -inf
        else:
            discriminant = s * s - 4.0 * g * power_w
            # At the largest power of all the two solutions meet, and rounding may push the root below zero.
            if discriminant < -1e-12 * s * s:
                continue
            voltage_v = (s + sqrt(max(0.0, discriminant))) / (2.0 * g)
        if voltage_v > 0.0 and low - SAME_V <= voltage_v <= top + SAME_V:
            return min(top, max(low, voltage_v))
    return -inf if power_w >= 0.0 else inf


def meet(curve: CurvePieces, load: Demand) -> tuple[float, float]:
    """Voltage [V] and current [A] where a load meets a curve; an infinite voltage where it does not."""
    if load.besides_a:
        rest = [(top, s - load.besides_a, g) for top, s, g in curve]
        voltage_v, current_a = meet(rest, replace(load, besides_a=0.0))
        return voltage_v, current_a + load.besides_a
    points = []
    if load.current_a is not None:
        points.append((voltage_at(curve, load.current_a), load.current_a))
    if load.power_w is not None:
        voltage_v = _power_voltage(curve, load.power_w)
        points.append((voltage_v, load.power_w / voltage_v))
    # The smaller current of two limits: drawing, that is the higher voltage; braking, the lower one.
    braking = min(load.current_a or 0.0, load.power_w or 0.0) < 0.0
    return min(points) if braking else max(points)


def _refusal(curve: CurvePieces, load: Demand, voltage_v: float) -> CannotDeliver:
    """What a curve gives at most at or above the cut voltage, for a load that it cannot meet."""
    most_a = max(0.0, current_at(curve, load.cut_v))
    peaks_v = [v for top, s, g in curve if g > 0.0 for v in (top, s / (2.0 * g)) if load.cut_v < v < inf]
    most_w = max(0.0, *(v * current_at(curve, v) for v in (load.cut_v, *peaks_v)))
    refused: Literal["too much", "no source"] = "too much" if voltage_at(curve, 0.0) > -inf else "no source"
    return CannotDeliver("nothing takes it" if voltage_v == inf else refused, most_a, most_w)


def settle(shape: Shape, voltage_v: float, current_a: float, point: OperatingPoint) -> None:
    """Write down the currents and voltages below a node that gives a current at a voltage; -inf V: nothing feeds it."""
    node, curve, parts = shape
    currents, voltages = point.currents, point.voltages
    while not isinstance(node, (Joined, Selected, Selector)):
        if isinstance(node, Blocked):
            # Not conducting, the branch floats at the voltage where its curve was cut.
            float_v = curve[1][0] if len(curve) > 1 else -inf
            voltage_v = voltage_v if voltage_v < float_v else float_v
        else:
            name = node.name
            if name in currents:
                raise NotATree(f"{name}: the name is used twice")
            currents[name] = current_a
            if voltage_v > -inf:
                voltages[name] = voltage_v
            if isinstance(node, Series):
                voltage_v += node.forward_v + node.resistance_ohm * current_a
            elif isinstance(node, PackSource):
                return
            else:
                currents[name] = node.current_a if voltage_v > -inf else 0.0
                current_a += currents[name]
        node, curve, parts = parts[0]
    if isinstance(node, Joined):
        for part in parts:
            settle(part, voltage_v, current_at(part[1], voltage_v) if voltage_v > -inf else 0.0, point)
    elif isinstance(node, Selected):
        for n, part in enumerate(parts):
            here = (voltage_v, current_a) if n == node.chosen else (voltage_at(part[1], 0.0), 0.0)
            settle(part, *here, point)
    elif voltage_v > -inf:
        # An open selector stands on the input that gives this current.
        part = min(parts, key=lambda one: abs(current_at(one[1], voltage_v) - current_a))
        settle(part, voltage_v, current_a, point)
