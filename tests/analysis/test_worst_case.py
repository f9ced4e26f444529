"""Worst cases against every corner of small trees, random states of larger ones, and closed forms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product
from math import inf, nan, sqrt
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

# Both sides are sums of at most some dozen terms near 100 A: rounding stays far below this.
ROUNDING = 1e-9

SEEDS = st.integers(min_value=0, max_value=2**32 - 1)


class Case:
    """A random tree with every kind of joiner, and what a worst case needs."""

    def __init__(self, rng: Random, packs_count: int) -> None:
        self.rng = rng
        self.ranges: dict[str, tuple[float, float]] = {}
        self.names_count = 0
        self.root = self.tree(packs_count)
        self.load_a = rng.choice([0.0, 5.0, 25.0, 60.0])
        self.cut_v = rng.choice([0.0, 30.0, 39.0, 45.0])

    def name(self, kind: str) -> str:
        self.names_count += 1
        return f"{kind} {self.names_count}"

    def tree(self, packs_count: int) -> TreeNode:
        rng = self.rng
        if packs_count == 1:
            pack = PackSource(self.name("pack"), 0.0, rng.uniform(0.05, 0.25), back=rng.random() < 0.8)
            empty_v = rng.uniform(30.0, 45.0)
            self.ranges[pack.name] = (empty_v + rng.choice([0.0, 5.0, 15.0]), empty_v)
            node: TreeNode = pack
        else:
            branches = rng.randint(2, min(3, packs_count))
            cuts = sorted(rng.sample(range(1, packs_count), branches - 1))
            sizes = [b - a for a, b in zip([0, *cuts], [*cuts, packs_count], strict=True)]
            node = self.joined([self.tree(size) for size in sizes])
        if rng.random() < 0.25:
            node = Tapped(node, self.name("tap"), rng.uniform(0.2, 2.0))
        if rng.random() < 0.7:
            node = Series(node, self.name("lead"), rng.uniform(0.0, 0.05))
        return Blocked(node) if rng.random() < 0.15 else node

    def joined(self, inputs: list[TreeNode]) -> TreeNode:
        kind = self.rng.choice(["plain", "diode", "ideal", "mixed", "selector", "selected"])
        if kind in ("diode", "mixed"):
            inputs[0] = Blocked(Series(inputs[0], self.name("path"), 0.004, 0.45))
        if kind == "diode":
            inputs[1:] = [Series(Blocked(each), self.name("path"), 0.004, 0.5) for each in inputs[1:]]
        if kind == "ideal":
            inputs = [Blocked(Series(each, self.name("path"), 0.003)) for each in inputs]
        if kind == "selector":
            return Selector(tuple(inputs))
        return Selected(tuple(inputs), self.rng.randrange(len(inputs))) if kind == "selected" else Joined(tuple(inputs))


def corners(node: TreeNode) -> Iterator[TreeNode]:
    """The tree with each selector on each input and each tap on or off."""
    if isinstance(node, PackSource):
        yield node
    elif isinstance(node, Series):
        yield from (Series(child, node.name, node.resistance_ohm, node.forward_v) for child in corners(node.child))
    elif isinstance(node, Blocked):
        yield from (Blocked(child) for child in corners(node.child))
    elif isinstance(node, Tapped):
        for child in corners(node.child):
            yield from (Tapped(child, node.name, current_a) for current_a in (0.0, node.current_a))
    else:
        for children in product(*(tuple(corners(child)) for child in node.children)):
            if isinstance(node, Selector):
                yield from (Selected(children, n) for n in range(len(children)))
            else:
                yield Joined(children) if isinstance(node, Joined) else Selected(children, node.chosen)


def drawing(root: TreeNode, sources: Mapping[str, PackSource | None], load_a: float, cut_v: float) -> OperatingPoint:
    """The point at a load that is lowered to hold the cut voltage, off below it."""
    point = operating_point(root, Demand(load_a, cut_v=cut_v), sources)
    if isinstance(point, CannotDeliver):
        point = operating_point(root, Demand(point.most_a), sources)
    if isinstance(point, CannotDeliver):
        # Nothing reaches the load, yet packs on an input that is open may feed each other.
        point = operating_point(Joined((Blocked(root), PackSource("probe", 1.0, 1.0))), Demand(0.0), sources)
    assert isinstance(point, OperatingPoint)
    return point


def braking(root: TreeNode, sources: Mapping[str, PackSource | None], brake_a: float, max_v: float) -> OperatingPoint:
    """The point at a braking current that is lowered to hold the highest voltage, none above it."""
    # A source without resistance to speak of holds the tree at the highest voltage.
    held = Joined((Series(root, "probe", 0.0), PackSource("bus", max_v, 1e-13)))
    point = operating_point(held, Demand(0.0), sources)
    assert isinstance(point, OperatingPoint)
    if point.currents["probe"] >= 0.0:
        return drawing(root, sources, 0.0, 0.0)
    if point.currents["probe"] < -brake_a:
        point = operating_point(root, Demand(-brake_a), sources)
    assert isinstance(point, OperatingPoint)
    return point


def states(case: Case) -> Iterator[dict[str, PackSource | None]]:
    """Every pack set with every pack full or empty."""
    packs = dict(sources_of(case.root))
    choices = [
        (None, *(PackSource(name, emf_v, packs[name].resistance_ohm, packs[name].back) for emf_v in case.ranges[name]))
        for name in case.ranges
    ]
    for chosen in product(*choices):
        if any(chosen):
            yield dict(zip(case.ranges, chosen, strict=True))


def sources_of(node: TreeNode) -> Iterator[tuple[str, PackSource]]:
    if isinstance(node, PackSource):
        yield node.name, node
    else:
        for child in (node.child,) if isinstance(node, Series | Blocked | Tapped) else node.children:
            yield from sources_of(child)


def spread(points: Iterator[OperatingPoint], names: Mapping[str, object]) -> dict[str, tuple[float, float]]:
    """The smallest and the largest current of each element over some points; nothing conducting is zero."""
    low, high = dict.fromkeys(names, 0.0), dict.fromkeys(names, 0.0)
    for point in points:
        for name in names:
            low[name] = min(low[name], point.currents[name])
            high[name] = max(high[name], point.currents[name])
    return {name: (low[name], high[name]) for name in names}


@settings(max_examples=60, deadline=None)
@given(seed=SEEDS, packs_count=st.integers(1, 4))
def test_every_corner(seed, packs_count):
    case = Case(Random(seed), packs_count)
    found = extremes(case.root, case.ranges, case.load_a, case.cut_v)
    points = (
        drawing(corner, state, load_a, case.cut_v)
        for corner in corners(case.root)
        for state in states(case)
        for load_a in {0.0, case.load_a}
    )
    for name, (low_a, high_a) in spread(points, found).items():
        assert found[name].forward_a == pytest.approx(high_a, abs=ROUNDING)
        assert found[name].back_a == pytest.approx(low_a, abs=ROUNDING)


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, packs_count=st.integers(1, 3), brake_a=st.sampled_from([20.0, 80.0]))
def test_every_corner_with_braking(seed, packs_count, brake_a):
    # Braking exceeds what all taps draw, else a tap that braking alone feeds is neither on nor off.
    case = Case(Random(seed), packs_count)
    max_v = case.rng.choice([46.0, 55.0, 70.0])
    found = extremes(case.root, case.ranges, 0.0, 0.0, brake_a, max_v)
    points = (
        point
        for corner in corners(case.root)
        for state in states(case)
        for point in (drawing(corner, state, 0.0, 0.0), braking(corner, state, brake_a, max_v))
    )
    for name, (low_a, high_a) in spread(points, found).items():
        assert found[name].back_a == pytest.approx(low_a, abs=ROUNDING)
        assert found[name].forward_a <= high_a + ROUNDING


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, packs_count=st.integers(2, 8))
def test_no_random_state_exceeds(seed, packs_count):
    case = Case(Random(seed), packs_count)
    rng = case.rng
    found = extremes(case.root, case.ranges, case.load_a, case.cut_v, 15.0, 60.0)
    packs = dict(sources_of(case.root))

    def shaken(node: TreeNode) -> TreeNode:
        if isinstance(node, PackSource):
            return node
        if isinstance(node, Series):
            return Series(shaken(node.child), node.name, node.resistance_ohm, node.forward_v)
        if isinstance(node, Tapped):
            return Tapped(shaken(node.child), node.name, node.current_a * rng.random())
        if isinstance(node, Blocked):
            return Blocked(shaken(node.child))
        children = tuple(shaken(child) for child in node.children)
        if isinstance(node, Joined):
            return Joined(children)
        return Selected(children, node.chosen if isinstance(node, Selected) else rng.randrange(len(children)))

    for _ in range(60):
        state: dict[str, PackSource | None] = {
            name: PackSource(name, rng.uniform(empty_v, full_v), packs[name].resistance_ohm, packs[name].back)
            if rng.random() < 0.7
            else None
            for name, (full_v, empty_v) in case.ranges.items()
        }
        root = shaken(case.root)
        if rng.random() < 0.3:
            point = operating_point(root, Demand(-rng.uniform(0.0, 15.0)), state)
            if isinstance(point, OperatingPoint) and point.voltage_v > 60.0:
                continue
        else:
            point = operating_point(root, Demand(rng.uniform(0.0, case.load_a), cut_v=case.cut_v), state)
        if isinstance(point, OperatingPoint):
            for name, extreme in found.items():
                assert extreme.back_a - ROUNDING <= point.currents[name] <= extreme.forward_a + ROUNDING


@settings(max_examples=60, deadline=None)
@given(seed=SEEDS, packs_count=st.integers(1, 5))
def test_named_packs_and_states_give_the_current(seed, packs_count):
    """The pack set of an extreme, put into the tree, draws that current in some position of selectors and taps."""
    case = Case(Random(seed), packs_count)
    found = extremes(case.root, case.ranges, case.load_a, case.cut_v)
    packs = dict(sources_of(case.root))
    positions = list(corners(case.root))
    for name, extreme in found.items():
        for current_a, conducting, load_a in (
            (extreme.forward_a, extreme.forward_states, case.load_a),
            (extreme.back_a, extreme.back_states, 0.0),
        ):
            if not conducting:
                assert current_a == 0.0
                continue
            state = dict.fromkeys(packs) | {
                pack: PackSource(pack, emf_v, packs[pack].resistance_ohm, packs[pack].back)
                for pack, emf_v in conducting.items()
            }
            given_a = [drawing(root, state, load_a, case.cut_v).currents[name] for root in positions]
            assert min(abs(each_a - current_a) for each_a in given_a) < ROUNDING
        assert extreme.forward_packs == tuple(extreme.forward_states)


def two_packs(join: type) -> TreeNode:
    inputs: tuple[TreeNode, ...] = (
        Series(PackSource("a", 0.0, 0.10), "lead a", 0.0),
        Series(PackSource("b", 0.0, 0.12), "lead b", 0.0),
    )
    if join is Blocked:
        inputs = tuple(Blocked(each) for each in inputs)
    return Series(Joined(inputs), "outlet", 0.0)


RANGES = {"a": (54.6, 39.0), "b": (54.6, 39.0)}


def test_plain_joint_adds_the_other_pack_to_the_load():
    """Two sources on one node: V = (54.6 / 0.1 + 39 / 0.12 - 25) / (1 / 0.1 + 1 / 0.12) = 846 / 18.3333."""
    found = extremes(two_packs(Joined), RANGES, 25.0, 39.0)
    node_v = (54.6 / 0.1 + 39.0 / 0.12 - 25.0) / (1 / 0.1 + 1 / 0.12)
    assert found["a"].forward_a == pytest.approx((54.6 - node_v) / 0.1, abs=ROUNDING)
    assert found["a"].forward_states == {"a": 54.6, "b": 39.0}
    assert found["lead a"] == found["a"]
    # The rush into a pack: the voltage between full and empty over both resistances, without a load.
    assert found["a"].back_a == pytest.approx(-(54.6 - 39.0) / 0.22, abs=ROUNDING)
    assert found["a"].back_states == {"a": 39.0, "b": 54.6}
    assert found["b"].back_a == found["a"].back_a
    assert found["outlet"].forward_a == 25.0
    assert found["outlet"].back_a == 0.0


def test_blocking_joint_carries_the_whole_load_on_each_way():
    found = extremes(two_packs(Blocked), RANGES, 25.0, 39.0)
    for name, packs in (("a", ("a",)), ("lead a", ("a",)), ("b", ("b",)), ("lead b", ("b",))):
        assert (found[name].forward_a, found[name].forward_packs) == (25.0, packs)
        assert (found[name].back_a, found[name].back_states) == (0.0, {})
    assert found["outlet"].forward_packs == ("a", "b")


def test_load_is_lowered_to_hold_the_cut_voltage():
    """One pack of 54.6 V / 0.1 ohm gives (54.6 - 50) / 0.1 = 46 A at 50 V, though 200 A are asked for."""
    found = extremes(two_packs(Blocked), RANGES, 200.0, 50.0)
    assert found["a"].forward_a == pytest.approx(46.0, abs=ROUNDING)
    assert found["outlet"].forward_a == pytest.approx(46.0 + 4.6 / 0.12, abs=ROUNDING)
    assert extremes(two_packs(Blocked), RANGES, 200.0, 54.6)["outlet"].forward_a == pytest.approx(0.0, abs=ROUNDING)


def test_braking_reaches_plain_packs_only():
    """10 A into two empty packs of 0.1 and 0.12 ohm, below 60 V; one alone takes all 10 A."""
    plain = extremes(two_packs(Joined), RANGES, 0.0, 39.0, 10.0, 60.0)
    assert plain["outlet"].back_a == pytest.approx(-10.0, abs=ROUNDING)
    node_v = (39.0 / 0.1 + 54.6 / 0.12 + 10.0) / (1 / 0.1 + 1 / 0.12)
    assert plain["a"].back_a == pytest.approx((39.0 - node_v) / 0.1, abs=ROUNDING)
    assert extremes(two_packs(Blocked), RANGES, 0.0, 39.0, 10.0, 60.0)["outlet"].back_a == 0.0
    # Held at 40 V the empty packs take 1 V over their resistance, whatever the brake could give.
    held = extremes(two_packs(Joined), {"a": (39.0, 39.0), "b": (39.0, 39.0)}, 0.0, 39.0, 500.0, 40.0)
    assert held["outlet"].back_a == pytest.approx(-(1 / 0.1 + 1 / 0.12), abs=ROUNDING)


def test_bonded_packs_do_not_rush_into_each_other():
    """One state for both: no rush but that of the stated 0.1 V, and the load is shared by their resistances."""
    found = extremes(two_packs(Joined), RANGES, 25.0, 39.0, groups=[("a", "b")])
    assert found["a"].back_a == 0.0
    assert found["a"].forward_a == pytest.approx(25.0 * 0.12 / 0.22, abs=ROUNDING)
    apart = extremes(two_packs(Joined), RANGES, 25.0, 39.0, groups=[("a", "b")], group_differs_v=0.1)
    assert apart["a"].back_a == pytest.approx(-0.1 / 0.22, abs=ROUNDING)
    assert apart["a"].forward_a == pytest.approx(25.0 * 0.12 / 0.22 + 0.1 / 0.22, abs=ROUNDING)
    assert apart["outlet"].forward_a == 25.0


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, bonded_count=st.integers(2, 3), others_count=st.integers(0, 2), differs_v=st.sampled_from([0, 0.2]))
def test_every_common_state_of_bonded_packs(seed, bonded_count, others_count, differs_v):
    rng = Random(seed)
    bonded = [f"bonded {n}" for n in range(bonded_count)]
    pack = Joined(
        tuple(Series(PackSource(name, 0.0, rng.uniform(0.05, 0.2)), f"lead of {name}", 0.01) for name in bonded)
    )
    others = [PackSource(f"other {n}", 0.0, rng.uniform(0.05, 0.2)) for n in range(others_count)]
    inputs = [Series(pack, "lead of all", 0.01), *others]
    root: TreeNode = Joined(tuple(Blocked(each) if rng.random() < 0.3 else each for each in inputs))
    ranges = dict.fromkeys(bonded, (54.6, 39.0)) | {each.name: (58.8, 42.0) for each in others}
    found = extremes(root, ranges, 25.0, 39.0, groups=[bonded], group_differs_v=differs_v)
    packs = dict(sources_of(root))

    def points() -> Iterator[OperatingPoint]:
        # Absent, or at one of nine states with each pack at the lower or the upper end of the difference.
        commons: list[dict[str, float] | None] = [None]
        for step in range(9):
            low_v = 39.0 + (54.6 - differs_v - 39.0) * step / 8
            commons += [
                dict(zip(bonded, emfs_v, strict=True))
                for emfs_v in product((low_v, low_v + differs_v), repeat=bonded_count)
            ]
        for common in commons:
            for single in product((None, 58.8, 42.0), repeat=others_count):
                emfs_v = (common or dict.fromkeys(bonded)) | dict(zip([o.name for o in others], single, strict=True))
                state = {
                    name: None if emf_v is None else PackSource(name, emf_v, packs[name].resistance_ohm)
                    for name, emf_v in emfs_v.items()
                }
                for load_a in (0.0, 25.0):
                    yield drawing(root, state, load_a, 39.0)

    for name, (low_a, high_a) in spread(points(), found).items():
        assert found[name].forward_a == pytest.approx(high_a, abs=ROUNDING)
        assert found[name].back_a == pytest.approx(low_a, abs=ROUNDING)


@pytest.mark.parametrize(
    "changed",
    [
        {"load_max_a": -1.0},
        {"load_max_a": inf},
        {"load_max_a": nan},
        {"cut_v": -1.0},
        {"brake_a": -1.0},
        {"brake_a": 1.0},
        {"group_differs_v": -0.1},
        {"ranges": {"a": (54.6, 39.0)}},
        {"ranges": {**RANGES, "c": (54.6, 39.0)}},
        {"ranges": {**RANGES, "b": (39.0, 54.6)}},
        {"ranges": {**RANGES, "b": (nan, 39.0)}},
        {"groups": [("a", "c")]},
        {"groups": [("a", "b"), ("b",)]},
        {"root": Joined((PackSource("a", 0.0, 0.1), Series(PackSource("b", 0.0, 0.1), "a", 0.1)))},
    ],
    ids=lambda changed: f"{changed}"[:60],
)
def test_impossible_input_is_refused(changed):
    figures = {"root": two_packs(Joined), "ranges": RANGES, "load_max_a": 25.0, "cut_v": 39.0, **changed}
    with pytest.raises(ValueError, match=r"\w"):
        extremes(**figures)


def alone_v(cut_v: float, ohm: float, power_w: float, limit_a: float | None) -> float:
    """V (E - V)/R = P at the higher voltage, or half way to nothing where the pack cannot give that: by hand."""
    root = cut_v * cut_v - 4.0 * ohm * power_w
    power_v = (cut_v + sqrt(root)) / 2.0 if root >= 0.0 else sqrt(power_w * ohm)
    return power_v if limit_a is None else max(power_v, cut_v - ohm * limit_a)


@pytest.mark.parametrize("seed", range(12))
def test_a_power_limit_on_plain_packs_against_many_states(seed: int) -> None:
    """No state of one to three packs, present or not, draws more than the worst case, and some draw nearly as much."""
    dice = Random(seed)
    count = dice.choice((1, 2, 3))
    names = [f"p{n}" for n in range(count)]
    pack_ohm, lead_ohm = ([dice.uniform(*span) for _ in names] for span in ((0.05, 0.2), (0.003, 0.03)))
    main_ohm, full_v, stops_v = dice.uniform(0.002, 0.02), 54.6, dice.uniform(33.0, 40.0)
    cuts_v = [dice.uniform(36.0, 42.0) for _ in names]
    held = Demand(dice.choice((None, dice.uniform(8.0, 40.0))), dice.uniform(300.0, 1500.0))
    leads = tuple(Series(PackSource(name, 50.0, pack_ohm[n]), f"l{n}", lead_ohm[n]) for n, name in enumerate(names))
    root = Series(Joined(leads), "main", main_ohm)
    lowest_v = {
        name: max(stops_v, alone_v(cuts_v[n], lead_ohm[n] + main_ohm, held.power_w or 0.0, held.current_a))
        for n, name in enumerate(names)
    }
    ranges = {name: (full_v, cuts_v[n]) for n, name in enumerate(names)}
    found = extremes(root, ranges, load_max_a=99.0, cut_v=stops_v, held=held, lowest_v=lowest_v)
    most = dict.fromkeys(found, 0.0)
    for _ in range(1500):
        states: dict[str, PackSource | None] = {}
        for n, name in enumerate(names):
            emf_v = dice.choice((cuts_v[n], full_v, dice.uniform(cuts_v[n], full_v), None))
            states[name] = None if emf_v is None else PackSource(name, emf_v, pack_ohm[n])
        point = operating_point(root, replace(held, cut_v=stops_v), states)
        if isinstance(point, CannotDeliver):
            continue
        gives = [(n, name) for n, name in enumerate(names) if point.currents.get(name, 0.0) > 1e-9]
        opens = any(
            (s := states[name]) and s.emf_v - pack_ohm[n] * point.currents[name] < cuts_v[n] for n, name in gives
        )
        if not opens:
            most = {each: max(most[each], point.currents.get(each, 0.0)) for each in most}
    for each, extreme in found.items():
        assert most[each] <= extreme.forward_a * (1 + 1e-9), each
        assert most[each] >= 0.9 * extreme.forward_a, each
