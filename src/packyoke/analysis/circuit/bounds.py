"""The curves between which a pack lies, and a tree with every pack, tap and selector at the upper or the lower one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import reduce
from math import inf

from packyoke.analysis.circuit.curves import (
    NOTHING,
    CurvePieces,
    PackSource,
    Selector,
    Shape,
    Tapped,
    TreeNode,
    combine,
    feeding,
    source_curve,
)


class Bound:
    """A tree at its upper bound (`rising`) or at its lower one: the open-circuit voltage that each pack has there when
    it conducts [V], the curve of each pack, and the shape of every node that is asked for."""

    def __init__(self, rising: bool, emf_v: Mapping[str, float], curves: Mapping[str, CurvePieces]) -> None:
        self.rising, self.emf_v, self._curves = rising, emf_v, curves
        self._shapes: dict[int, Shape] = {}
        """By the id of the node: hashing a tree takes longer than shaping it."""

    def shape(self, node: TreeNode) -> Shape:
        """The shape of a node."""
        found = self._shapes.get(id(node))
        if found is None:
            found = self._shapes[id(node)] = self._shaped(node)
        return found

    def _shaped(self, node: TreeNode) -> Shape:
        if isinstance(node, PackSource):
            return node, self._curves[node.name], ()
        parts = tuple([self.shape(child) for child in feeding(node)])
        if isinstance(node, Selector):
            envelope = _upper_of if self.rising else _lower_of
            return node, reduce(envelope, [curve for _, curve, _ in parts]), parts
        return self.combined(node, parts)

    def combined(self, node: TreeNode, parts: tuple[Shape, ...]) -> Shape:
        """The shape of a node from those of its branches: at the upper bound its tap draws nothing."""
        if isinstance(node, Tapped) and self.rising:
            node = replace(node, current_a=0.0)
        return node, combine(node, parts), parts

    def with_packs_in(self, sources: Mapping[str, PackSource], emf_v: Mapping[str, float]) -> Bound:
        """The same with some packs not at a bound but in, each at a voltage [V]."""
        curves = {name: source_curve(replace(sources[name], emf_v=volts_v)) for name, volts_v in emf_v.items()}
        return Bound(self.rising, {**self.emf_v, **emf_v}, {**self._curves, **curves})


def at_bound(sources: Mapping[str, PackSource], ranges: Mapping[str, tuple[float, float]], rising: bool) -> Bound:
    """A tree at a bound of all its packs, by their open-circuit voltages, full and empty [V]."""
    emf_v = {name: ranges[name][0 if rising else 1] for name in sources}
    at = _upper if rising else _lower
    return Bound(rising, emf_v, {name: at(source, emf_v[name]) for name, source in sources.items()})


def _upper(source: PackSource, full_v: float) -> CurvePieces:
    """U(V) = max(0, (E_full - V) / R)."""
    return source_curve(replace(source, emf_v=full_v, back=False))


def _lower(source: PackSource, empty_v: float) -> CurvePieces:
    """L(V) = min(0, (E_empty - V) / R); nothing for a pack that current cannot enter."""
    line = source_curve(replace(source, emf_v=empty_v))
    return [*line, (empty_v, 0.0, 0.0)] if source.back else NOTHING


def _lower_of(first: CurvePieces, second: CurvePieces) -> CurvePieces:
    """The pointwise smaller of two curves."""
    negated = _upper_of(*([(top, -s, -g) for top, s, g in curve] for curve in (first, second)))
    return [(top, -s, -g) for top, s, g in negated]


def _upper_of(first: CurvePieces, second: CurvePieces) -> CurvePieces:
    """The pointwise larger of two curves."""
    knots = sorted({top for top, _, _ in (*first, *second)}, reverse=True)
    pieces = []
    for top, low in zip(knots, [*knots[1:], -inf], strict=True):
        (_, s_a, g_a), (_, s_b, g_b) = (
            next(piece for piece in reversed(curve) if piece[0] >= top) for curve in (first, second)
        )
        # Towards high voltage the flatter line is the larger one, below the crossing the steeper one.
        flat, steep = sorted(((g_a, s_a), (g_b, s_b)), key=lambda line: (line[0], -line[1]))
        cross_v = (steep[1] - flat[1]) / (steep[0] - flat[0]) if steep[0] > flat[0] else -inf
        if cross_v < top:
            pieces.append((top, flat[1], flat[0]))
        if cross_v > low:
            pieces.append((min(top, cross_v), steep[1], steep[0]))
    return pieces
