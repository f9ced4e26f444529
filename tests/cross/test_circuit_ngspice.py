"""Operating points against ngspice on the same networks.

Every joiner type appears: plain joints, ideal diodes, Schottky diodes, MOSFET paths, a selector on one input, taps. A
path that blocks is one behavioural source, I = max(0, V - Vf) / R, so both sides describe the same straight pieces.
ngspice's operating point alone can converge falsely: the load is ramped in a short transient, and ngspice's own
currents must add up before they count.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest

from packyoke.analysis.circuit.curves import (
    Blocked,
    Demand,
    Joined,
    OperatingPoint,
    PackSource,
    Selected,
    Series,
    Tapped,
    TreeNode,
    operating_point,
)
from tests.kirchhoff import kirchhoff
from tests.ngspice import RAMP, after_the_ramp

pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed"),
]

# ngspice's convergence leaves well under these.
SAME_A = 1e-3
SAME_V = 1e-3


class Tree:
    """A random network of 2 to 6 packs."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.count = 0
        self.root = Series(self.node(2 + seed % 5), "main", 0.01)

    def name(self, kind: str) -> str:
        self.count += 1
        return f"{kind}{self.count}"

    def node(self, packs_count: int) -> TreeNode:
        rng = self.rng
        if packs_count == 1:
            pack = PackSource(
                self.name("pack"), rng.uniform(44.0, 54.6), rng.uniform(0.06, 0.25), back=rng.random() < 0.9
            )
            node: TreeNode = Series(pack, self.name("lead"), rng.uniform(0.01, 0.05))
            return Tapped(node, self.name("tap"), rng.uniform(0.2, 2.0)) if rng.random() < 0.2 else node
        first = rng.randint(1, packs_count - 1)
        inputs = [self.node(first), self.node(packs_count - first)]
        kind = rng.choice(["plain", "schottky", "ideal", "mosfet", "mixed", "selector"])
        if kind == "plain":
            return Joined(tuple(inputs))
        if kind == "selector":
            return Selected(tuple(inputs), rng.randrange(2))
        ohm, forward_v = {"schottky": (0.004, 0.45), "mosfet": (0.003, 0.0)}.get(kind, (0.001, 0.0))
        paths = [Blocked(Series(each, self.name("path"), ohm, forward_v)) for each in inputs]
        return Joined((paths[0], inputs[1]) if kind == "mixed" else tuple(paths))


class Netlist:
    """The same network for ngspice: each element gets an ammeter, each branch ends on a node."""

    def __init__(self, root: TreeNode, load: Demand) -> None:
        self.lines: list[str] = []
        self.nodes: dict[str, str] = {}
        self.meters: dict[str, str] = {}
        self.count = 0
        out = self.put(root)
        drawn = f"{load.current_a}" if load.power_w is None else f"{load.power_w} / max(v(drain), 1)"
        self.lines += [f"vload {out} drain 0", f"bload drain 0 i = {RAMP} * {drawn}"]
        self.nodes["load"], self.meters["load"] = out, "vload"

    def node(self) -> str:
        self.count += 1
        return f"n{self.count}"

    def put(self, node: TreeNode, blocks: bool = False) -> str:
        """Write the lines of a network; its output's node."""
        if isinstance(node, PackSource):
            emf, out = self.node(), self.node()
            self.lines += [f"v{emf} {emf} 0 {node.emf_v!r}"]
            self.path(node.name, emf, out, node.resistance_ohm, 0.0, not node.back)
        elif isinstance(node, Series):
            inside, out = self.put(node.child), self.node()
            self.path(node.name, inside, out, node.resistance_ohm, node.forward_v, blocks)
        elif isinstance(node, Blocked):
            assert isinstance(node.child, Series)
            out = self.put(node.child, blocks=True)
        elif isinstance(node, Tapped):
            out, tap = self.put(node.child), self.node()
            self.lines += [f"i{tap} {tap} 0 {node.current_a!r}"]
            self.meter(node.name, out, tap)
            self.nodes[node.name] = out
        elif isinstance(node, Joined):
            outs = [self.put(child) for child in node.children]
            out = self.node()
            self.lines += [f"v{each}_{out} {each} {out} 0" for each in outs]
        elif isinstance(node, Selected):
            out = [self.put(child) for child in node.children][node.chosen]
        else:
            raise AssertionError("an open selector has no netlist")
        return out

    def path(self, name: str, inside: str, out: str, resistance_ohm: float, forward_v: float, blocks: bool) -> None:
        meter = self.node()
        if blocks:
            across = f"v({inside}, {meter}) - {forward_v!r}"
            self.lines += [f"b{meter} {inside} {meter} i = uramp({across}) / {resistance_ohm!r}"]
        else:
            self.lines += [f"r{meter} {inside} {meter} {resistance_ohm!r}"]
        self.meter(name, meter, out)

    def meter(self, name: str, before: str, after: str) -> None:
        self.lines += [f"vm{len(self.meters)} {before} {after} 0"]
        self.meters[name], self.nodes[name] = f"vm{len(self.meters)}", after

    def run(self, folder: Path) -> tuple[dict[str, float], dict[str, float]]:
        """Voltages [V] and currents [A] by element after the ramp."""
        wanted = [f"v({node})" for node in self.nodes.values()] + [f"i({meter})" for meter in self.meters.values()]
        values = after_the_ramp(self.lines, wanted, folder)
        return (
            dict(zip(self.nodes, values, strict=False)),
            dict(zip(self.meters, values[len(self.nodes) :], strict=True)),
        )


def own_sum(node: TreeNode, currents: dict[str, float]) -> float:
    """What a network gives by the ammeters of its elements: packs less taps, of the inputs that are on."""
    if isinstance(node, PackSource):
        return currents[node.name]
    if isinstance(node, Tapped):
        return own_sum(node.child, currents) - currents[node.name]
    if isinstance(node, Series | Blocked):
        return own_sum(node.child, currents)
    children = (node.children[node.chosen],) if isinstance(node, Selected) else node.children
    return sum(own_sum(child, currents) for child in children)


@pytest.mark.parametrize("seed", range(40), ids=lambda seed: f"ngspice tree {seed}")
def test_same_operating_point(seed: int, tmp_path: Path) -> None:
    root, rng = Tree(seed).root, Random(1000 + seed)
    load = Demand(rng.uniform(0.0, 40.0)) if seed % 2 else Demand(power_w=rng.uniform(50.0, 1200.0))
    point = operating_point(root, load)
    assert isinstance(point, OperatingPoint)
    assert kirchhoff(root, point) < 1e-9
    voltages, currents = Netlist(root, load).run(tmp_path)
    assert own_sum(root, currents) == pytest.approx(currents["load"], abs=SAME_A / 10)
    assert currents["load"] == pytest.approx(point.current_a, abs=SAME_A)
    assert voltages["load"] == pytest.approx(point.voltage_v, abs=SAME_V)
    for name, current_a in point.currents.items():
        assert currents[name] == pytest.approx(current_a, abs=SAME_A)
        # Where a path blocks, ngspice has no node between its resistance and its diode.
        if name in point.voltages and current_a != 0.0:
            assert voltages[name] == pytest.approx(point.voltages[name], abs=SAME_V)
