"""Laws that hold for any network: Kirchhoff, order, energy, and what more voltage or resistance does."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
    operating_point,
)
from packyoke.analysis.circuit.worst_case import extremes
from tests.kirchhoff import kirchhoff

# Rounding of some dozen terms near 100 A and 60 V.
ROUNDING = 1e-9

SEEDS = st.integers(min_value=0, max_value=2**32 - 1)
PACKS = st.integers(min_value=1, max_value=7)
LOADS = st.one_of(
    st.floats(0.0, 60.0).map(Demand),
    st.floats(1.0, 2000.0).map(lambda power_w: Demand(power_w=power_w)),
    st.tuples(st.floats(0.0, 60.0), st.floats(1.0, 2000.0)).map(lambda limits: Demand(*limits)),
    st.floats(-20.0, -0.1).map(Demand),
)


def network(rng: Random, packs_count: int, names: list[str] | None = None) -> TreeNode:
    """A random tree of packs, leads, taps and every kind of joiner; a forward voltage always stands by a diode."""
    names = [] if names is None else names

    def named(kind: str) -> str:
        names.append(f"{kind} {len(names)}")
        return names[-1]

    if packs_count == 1:
        node: TreeNode = PackSource(named("pack"), rng.uniform(36.0, 58.8), rng.uniform(0.04, 0.25), rng.random() < 0.8)
    else:
        first = rng.randint(1, packs_count - 1)
        inputs = (network(rng, first, names), network(rng, packs_count - first, names))
        if rng.random() < 0.4:
            inputs = (Blocked(Series(inputs[0], named("path"), 0.004, rng.choice([0.0, 0.45]))), Blocked(inputs[1]))
        node = Selected(inputs, rng.randrange(2)) if rng.random() < 0.2 else Joined(inputs)
    if rng.random() < 0.2:
        node = Tapped(node, named("tap"), rng.uniform(0.1, 2.0))
    return Series(node, named("lead"), rng.choice([0.0, 0.01, 0.03])) if rng.random() < 0.8 else node


def mirrored(node: TreeNode) -> TreeNode:
    """The same network with the branches of every joint in the opposite order."""
    if isinstance(node, PackSource):
        return node
    if isinstance(node, Series | Blocked | Tapped):
        return replace(node, child=mirrored(node.child))
    children = tuple(mirrored(child) for child in reversed(node.children))
    if isinstance(node, Selected):
        return Selected(children, len(children) - 1 - node.chosen)
    return Joined(children) if isinstance(node, Joined) else Selector(children)


def packs_of(node: TreeNode) -> list[PackSource]:
    if isinstance(node, PackSource):
        return [node]
    if isinstance(node, Series | Blocked | Tapped):
        return packs_of(node.child)
    return [pack for child in node.children for pack in packs_of(child)]


def losses_w(node: TreeNode, point: OperatingPoint) -> float:
    """Heat in resistances and diodes, and the power of the taps."""
    if isinstance(node, PackSource):
        return node.resistance_ohm * point.currents[node.name] ** 2
    if isinstance(node, Series):
        current_a = point.currents[node.name]
        return losses_w(node.child, point) + (node.resistance_ohm * current_a + node.forward_v) * current_a
    if isinstance(node, Tapped):
        return losses_w(node.child, point) + point.currents[node.name] * point.voltages.get(node.name, 0.0)
    children = (node.child,) if isinstance(node, Blocked) else node.children
    return sum(losses_w(child, point) for child in children)


@settings(max_examples=300, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load=LOADS)
def test_kirchhoff_and_energy(seed, packs_count, load):
    root = network(Random(seed), packs_count)
    point = operating_point(root, load)
    if isinstance(point, CannotDeliver):
        return
    assert kirchhoff(root, point) < ROUNDING
    given_w = sum(pack.emf_v * point.currents[pack.name] for pack in packs_of(root))
    taken_w = losses_w(root, point) + point.voltage_v * point.current_a
    # Watts: some dozen products of 100 A and 60 V.
    assert given_w == pytest.approx(taken_w, abs=1e-6)


@settings(max_examples=200, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load=LOADS)
def test_load_gets_what_it_asks_for_at_most(seed, packs_count, load):
    point = operating_point(network(Random(seed), packs_count), load)
    if isinstance(point, CannotDeliver):
        return
    power_w = point.voltage_v * point.current_a
    at_limits = []
    if load.current_a is not None:
        assert abs(point.current_a) <= abs(load.current_a) + ROUNDING
        at_limits.append(abs(point.current_a - load.current_a))
    if load.power_w is not None:
        assert abs(power_w) <= abs(load.power_w) + 1e-6
        at_limits.append(abs(power_w - load.power_w) / point.voltage_v)
    assert min(at_limits) < ROUNDING


@settings(max_examples=200, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load=LOADS)
def test_order_changes_nothing(seed, packs_count, load):
    root = network(Random(seed), packs_count)
    point, other = operating_point(root, load), operating_point(mirrored(root), load)
    assert type(point) is type(other)
    if isinstance(point, OperatingPoint) and isinstance(other, OperatingPoint):
        assert other.voltage_v == pytest.approx(point.voltage_v, abs=ROUNDING)
        assert other.currents == pytest.approx(point.currents, abs=ROUNDING)
        assert other.voltages == pytest.approx(point.voltages, abs=ROUNDING)


@settings(max_examples=200, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load_a=st.floats(0.0, 60.0), more_v=st.floats(0.0, 5.0))
def test_more_voltage_in_a_pack_gives_more_of_it(seed, packs_count, load_a, more_v):
    rng = Random(seed)
    root = network(rng, packs_count)
    pack = rng.choice(packs_of(root))
    raised = {pack.name: replace(pack, emf_v=pack.emf_v + more_v)}
    point, higher = operating_point(root, Demand(load_a)), operating_point(root, Demand(load_a), raised)
    if isinstance(point, OperatingPoint):
        assert isinstance(higher, OperatingPoint)
        assert higher.voltage_v >= point.voltage_v - ROUNDING
        assert higher.currents[pack.name] >= point.currents[pack.name] - ROUNDING


@settings(max_examples=200, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load_a=st.floats(0.0, 60.0), more_a=st.floats(0.0, 20.0))
def test_more_load_lowers_the_voltage(seed, packs_count, load_a, more_a):
    root = network(Random(seed), packs_count)
    point, lower = operating_point(root, Demand(load_a)), operating_point(root, Demand(load_a + more_a))
    if isinstance(lower, OperatingPoint):
        assert isinstance(point, OperatingPoint)
        assert lower.voltage_v <= point.voltage_v + ROUNDING
        assert all(lower.currents[pack.name] >= point.currents[pack.name] - ROUNDING for pack in packs_of(root))


@settings(max_examples=100, deadline=None)
@given(
    seed=SEEDS, packs_count=PACKS, load_a=st.floats(0.0, 60.0), ohm=st.floats(0.0, 0.1), more_ohm=st.floats(0.0, 0.1)
)
def test_resistances_in_a_row_add(seed, packs_count, load_a, ohm, more_ohm):
    root = network(Random(seed), packs_count)
    split = operating_point(Series(Series(root, "one", ohm), "two", more_ohm), Demand(load_a))
    whole = operating_point(Series(root, "one", ohm + more_ohm), Demand(load_a))
    assert type(split) is type(whole)
    if isinstance(split, OperatingPoint) and isinstance(whole, OperatingPoint):
        assert split.voltage_v == pytest.approx(whole.voltage_v, abs=ROUNDING)


@settings(max_examples=100, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load=LOADS)
def test_a_refusal_tells_the_most_there_is(seed, packs_count, load):
    root = network(Random(seed), packs_count)
    refusal = operating_point(root, replace(load, cut_v=40.0))
    if isinstance(refusal, OperatingPoint) or refusal.reason == "nothing takes it":
        return
    for most, enough, too_much in (
        (refusal.most_a, Demand(refusal.most_a * 0.999999, cut_v=40.0), Demand(refusal.most_a * 1.000001, cut_v=40.0)),
        (
            refusal.most_w,
            Demand(power_w=refusal.most_w * 0.999999, cut_v=40.0),
            Demand(power_w=refusal.most_w * 1.000001, cut_v=40.0),
        ),
    ):
        if most > 1e-3:
            assert isinstance(operating_point(root, enough), OperatingPoint)
            assert isinstance(operating_point(root, too_much), CannotDeliver)


@settings(max_examples=60, deadline=None)
@given(seed=SEEDS, packs_count=PACKS, load_a=st.floats(0.0, 60.0), more_a=st.floats(0.0, 20.0))
def test_worst_cases_grow_with_the_load_and_the_ranges(seed, packs_count, load_a, more_a):
    rng = Random(seed)
    root = network(rng, packs_count)
    ranges = {pack.name: (pack.emf_v + rng.uniform(0.0, 5.0), pack.emf_v) for pack in packs_of(root)}
    wider = {name: (full_v + 1.0, empty_v - 1.0) for name, (full_v, empty_v) in ranges.items()}
    found = extremes(root, ranges, load_a, 39.0)
    grown = extremes(root, wider, load_a + more_a, 39.0)
    turned = extremes(mirrored(root), ranges, load_a, 39.0)
    for name, extreme in found.items():
        assert grown[name].forward_a >= extreme.forward_a - ROUNDING
        assert grown[name].back_a <= extreme.back_a + ROUNDING
        assert turned[name].forward_a == pytest.approx(extreme.forward_a, abs=ROUNDING)
        assert turned[name].back_a == pytest.approx(extreme.back_a, abs=ROUNDING)


@settings(max_examples=60, deadline=None)
@given(seed=SEEDS, packs_count=st.integers(1, 6), load_a=st.floats(0.5, 40.0))
def test_behind_blocking_joiners_each_way_carries_the_whole_load(seed, packs_count, load_a):
    """Any pack that alone holds 39 V under the load (full 54.6 V, at most 0.3 ohm and 40 A) may carry all of it."""
    rng = Random(seed)
    nodes: list[TreeNode] = [PackSource(f"pack {n}", 0.0, rng.uniform(0.05, 0.25)) for n in range(packs_count)]
    for n in range(packs_count - 1):
        a, b = nodes.pop(rng.randrange(len(nodes))), nodes.pop(rng.randrange(len(nodes)))
        nodes.append(Series(Joined((Blocked(a), Blocked(Series(b, f"path {n}", 0.003)))), f"outlet {n}", 0.006))
    found = extremes(nodes[0], {f"pack {n}": (54.6, 39.0) for n in range(packs_count)}, load_a, 39.0)
    for extreme in found.values():
        assert extreme.forward_a == pytest.approx(load_a, abs=ROUNDING)
        assert extreme.back_a == 0.0
