"""An operating point held against the laws of circuits, element by element."""

from __future__ import annotations

from math import inf

from packyoke.analysis.circuit.curves import (
    SAME_V,
    Blocked,
    Joined,
    OperatingPoint,
    PackSource,
    Selected,
    Selector,
    Series,
    Sources,
    Tapped,
    TreeNode,
)


def kirchhoff(root: TreeNode, point: OperatingPoint, sources: Sources | None = None) -> float:
    """The largest breach of Kirchhoff's and Ohm's laws [A] or [V] by a point's own figures; sound: rounding."""
    breaches = [0.0]

    def audit(node: TreeNode, voltage_v: float) -> float:
        # The current out of a node whose output must stand at a voltage, by what its elements say.
        if isinstance(node, Joined):
            return sum(audit(child, voltage_v) for child in node.children)
        if isinstance(node, (Selected, Selector)):
            chosen = node.chosen if isinstance(node, Selected) else -1
            off = [child for n, child in enumerate(node.children) if n != chosen]
            breaches.extend([abs(audit(child, _output_v(child, point))) for child in off])
            return audit(node.children[chosen], voltage_v)
        if isinstance(node, Blocked):
            inside_v = _output_v(node.child, point)
            current_a = audit(node.child, inside_v)
            # Conducting, both sides are one node; not conducting, the outside is the higher one.
            gap_v = inside_v - voltage_v if inside_v > -inf else 0.0
            breaches.extend((-current_a, abs(gap_v) if current_a > SAME_V else gap_v))
            return current_a
        here_v, current_a = point.voltages.get(node.name, -inf), point.currents[node.name]
        breaches.append(0.0 if here_v == voltage_v else abs(here_v - voltage_v))
        if isinstance(node, Tapped):
            breaches.append(abs(current_a - (node.current_a if here_v > -inf else 0.0)))
            return audit(node.child, here_v) - current_a
        if isinstance(node, Series):
            inside_v = here_v + node.forward_v + node.resistance_ohm * current_a
            breaches.append(abs(current_a - audit(node.child, inside_v)))
        elif (source := (sources or {}).get(node.name, node)) is None:
            breaches.append(abs(current_a))
        else:
            missing_v = source.emf_v - source.resistance_ohm * current_a - here_v
            # As above: not conducting, with what rounding leaves, the outside is the higher one.
            breaches.append(missing_v if not source.back and current_a <= SAME_V else abs(missing_v))
        return current_a

    return max(abs(audit(root, point.voltage_v) - point.current_a), *breaches)


def _output_v(node: TreeNode, point: OperatingPoint) -> float:
    """The voltage [V] at a node's output as far as its own elements tell; -inf: nothing feeds it."""
    if isinstance(node, (PackSource, Series, Tapped)):
        return point.voltages.get(node.name, -inf)
    if isinstance(node, (Blocked, Selected)):
        return _output_v(node.child if isinstance(node, Blocked) else node.children[node.chosen], point)
    return max(_output_v(child, point) for child in node.children)
