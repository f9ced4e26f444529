"""The relaxed figure of many packs, in small: against every tree worked out plainly, and by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import inf
from random import Random
from types import SimpleNamespace
from typing import cast

import pytest

from packyoke.planning.labels import Label
from packyoke.planning.layout import Layout
from packyoke.planning.relaxed import Relaxed, Tree, sums, with_tree
from packyoke.planning.search import Problem
from tests.planning.test_bounds import TREES
from tests.planning.toy import (
    ROOT,
    SCORE,
    Every,
    bare,
    drawn_by_lot,
    fed,
    fuse,
    kg,
    partitions,
    problem,
    site,
    terminal,
    wire,
)


def laid(p: Problem, places: Sequence[str], needed: int = 1) -> Layout:
    """A layout whose joiners may sit at these places."""
    puts = [SimpleNamespace(place=place) for place in places]
    return cast(
        Layout,
        SimpleNamespace(
            problem=p, puts=puts, joiners_needed=lambda: needed, leaves_room=lambda used, count: p.fits(used)
        ),
    )


# The relaxed figure, worked out plainly.


def smallest_a(p: Problem) -> float:
    found = []
    for number, each in enumerate(p.terminals):
        found += [kind.rating_a for kind in p.fuses(1 << number)]
        found += [] if each.must_fuse and p.fuses(1 << number) else [label.largest_a for label in each.labels]
    return min(found)


def lead(p: Problem, sources: list[int], targets: list[int], mask: int, feeds: int) -> float:
    """The least that a lead adds from one of some nodes to one of others, each wire of each inlet tried."""
    share, least_a = p.share(mask), smallest_a(p)
    kinds = p.fuses(mask) if p.may_fuse(mask) else ()
    found = []
    for source, target in product(sources, targets):
        site_of = None if target == ROOT else p.sites[target - len(p.terminals)]
        for inlet in range(1 if site_of is None or site_of.uniform else site_of.slots):
            for option in p.wires(source, target, inlet):
                if not guarded(least_a, option.amps_a):
                    continue
                beyond = feeds > 1 and feeds * least_a > 1.5 * option.amps_a + 1e-9
                ways = [SCORE.noted if feeds == 2 else SCORE.finding, *map(p.fuse_score, kinds)]
                found.append(
                    option.score
                    + SCORE.of("loss", option.watts_w * share**2)
                    + (0 if site_of is None else site_of.path_loss(share))
                    + (min(ways) if beyond else 0)
                )
    return min(found, default=inf)


def guarded(fuse_a: float, amps_a: float) -> bool:
    return fuse_a <= next((each for each in (15, 20, 25, 30, 35, 40, 45, 50) if each >= amps_a), inf)


def least_of(p: Problem, places: Sequence[str], part: int, tree: Tree) -> float:
    """The least of a set brought to the root by a tree: each of its joiners at each place."""
    if part not in tree:
        return alone(p, part, [ROOT])
    count = len(p.terminals)
    at = {place: [count + n for n, each in enumerate(places) if each == place] for place in places}
    best = inf
    for chosen in product(at, repeat=len(tree)):
        where = dict(zip(tree, chosen, strict=True))
        total = lead(p, at[where[part]], [ROOT], part, len(tree[part]))
        for mask, parts in tree.items():
            here = at[where[mask]]
            total += min(
                (p.sites[n - count].score for n in here if p.sites[n - count].slots >= len(parts)), default=inf
            )
            for each in parts:
                total += lead(p, at[where[each]], here, each, len(tree[each])) if each in tree else alone(p, each, here)
        best = min(best, total)
    return best


def alone(p: Problem, part: int, targets: list[int]) -> float:
    number = part.bit_length() - 1
    each = p.terminals[number]
    kinds = p.fuses(part) if each.must_fuse else ()
    own = min(map(p.fuse_score, kinds), default=0)
    return min(label.score for label in each.labels) + own + lead(p, [number], targets, part, 1)


def every_tree(mask: int, most: int) -> Iterator[Tree]:
    if not mask & (mask - 1):
        yield {}
        return
    for parts in partitions(mask, most, 2):
        for below in product(*(every_tree(part, most) for part in parts)):
            tree: Tree = {mask: parts}
            for each in below:
                tree |= each
            yield tree


PLACES = ("here", "there", "here")


@pytest.mark.parametrize("seed", range(10))
def test_the_relaxed_figure_is_the_least_of_all_trees(seed: int) -> None:
    p = replace(drawn_by_lot(Random(seed), 3, 3), root_slots=1)
    relaxed = Relaxed(laid(p, PLACES))
    trees = [*every_tree(0b111, max(each.slots for each in p.sites))]
    figures = [least_of(p, PLACES, 0b111, tree) for tree in trees]
    for tree, wanted in zip(trees, figures, strict=True):
        assert relaxed.figure(tree) == wanted
    assert relaxed.least == (None if min(figures) == inf else min(figures))
    assert relaxed.most_inlets == max(each.slots for each in p.sites)
    every = Every(p).layouts()
    assert not every or (relaxed.least is not None and relaxed.least <= min(every.values()))
    if relaxed.least is not None:
        assert least_of(p, PLACES, 0b111, relaxed.tree()) == relaxed.least


@pytest.mark.parametrize("seed", range(20))
def test_no_plan_of_a_drawn_tree_is_below_the_relaxed_figure_where_leads_have_fuses(seed: int) -> None:
    tree = TREES[seed % 3]
    p = with_tree(replace(drawn_by_lot(Random(400 + seed), 3, 3, given=True), root_slots=1), tree)
    relaxed, every = Relaxed(laid(p, PLACES)), Every(p).layouts()
    assert not every or (relaxed.least is not None and relaxed.least <= min(every.values()))


@pytest.mark.parametrize("seed", range(4))
def test_the_relaxed_figure_of_several_leads_into_a_joiner_that_is_there(seed: int) -> None:
    """The root is a joiner with two inlets free: nothing, or one more joiner, has to meet before it."""
    p = replace(drawn_by_lot(Random(40 + seed), 3, 2), root_slots=2)
    places = ("here", "there")
    found = []
    for parts in partitions(0b111, 2, 1):
        for below in product(*(every_tree(part, max(each.slots for each in p.sites)) for part in parts)):
            total: float = 0
            for part, tree in zip(parts, below, strict=True):
                total += least_of(p, places, part, tree)
            found.append(total)
    wanted = min(found)
    assert Relaxed(laid(p, places)).least == (None if wanted == inf else wanted)


@pytest.mark.parametrize(
    ("labels", "must", "kinds", "least_a"),
    [
        # The smallest fuse that any pack can have: its own, or one in its lead.
        ([fed(25.0), fed(30.0)], False, (), 25.0),
        ([fed(25.0), fed(30.0)], False, (20.0,), 20.0),
        ([fed(25.0), fed(30.0)], False, (40.0,), 25.0),
        ([fed(30.0, feeds=2), fed(35.0)], False, (), 30.0),
        # One without a fuse gets one; where it gets none, nothing guards what it feeds.
        ([bare(), fed(30.0)], True, (40.0,), 30.0),
        ([bare(), fed(30.0)], True, (), 0.0),
        ([bare(), fed(30.0)], False, (20.0,), 0.0),
    ],
)
def test_the_smallest_fuse_there_can_be(
    labels: list[Label], must: bool, kinds: tuple[float, ...], least_a: float
) -> None:
    terminals = [terminal(label, kind=n, must_fuse=must and not label.feeds) for n, label in enumerate(labels)]
    wires = {(0, 2, 0): [wire(0.1)], (1, 2, 0): [wire(0.1)], (2, ROOT, 0): [wire(0.1)]}
    p = problem(terminals, [site()], wires, fuses={fuse(each): kg(0.1) for each in kinds})
    assert Relaxed(laid(p, ["here"])).leads.smallest_a == least_a


@pytest.mark.parametrize(("amps_a", "does"), [(inf, True), (30.0, True), (26.0, True), (25.0, False), (20.0, False)])
def test_wire_that_the_smallest_fuse_does_not_guard_is_left_out(amps_a: float, does: bool) -> None:
    """30 A is the next standard fuse above 26 A of wire and not above 25 A, NEC 240.4(B)."""
    wires = {(0, 2, 0): [wire(0.1, amps_a)], (1, 2, 0): [wire(0.1)], (2, ROOT, 0): [wire(0.1)]}
    p = problem([terminal(fed(30.0), kind=0), terminal(fed(30.0), kind=1)], [site()], wires)
    assert (Relaxed(laid(p, ["here"])).least is not None) is does


@pytest.mark.parametrize(("packs", "slots", "wanted"), [(2, (2, 2), 22), (3, (2, 3), 81), (3, (3, 3), 94)])
def test_what_is_added_up_is_counted(packs: int, slots: tuple[int, int], wanted: int) -> None:
    """Each pack is in the one part, in the other or in neither of them, and which part is which makes no difference:
    3^n / 2 ways for each inlet. Of two joiners at one place the one with more inlets counts."""
    p = replace(drawn_by_lot(Random(1), packs, 3), root_slots=1)
    sites = [p.sites[0]._replace(slots=each) for each in (*slots, 2)]
    layout = laid(replace(p, sites=sites), ("here", "there", "here"))
    assert sums(layout) == wanted


def test_no_layout_no_relaxed_figure() -> None:
    p = problem([terminal(kind=0), terminal(kind=1)], [site()], {(0, 2, 0): [wire(0.1)], (2, ROOT, 0): [wire(0.1)]})
    relaxed = Relaxed(laid(p, ["here"]))
    assert relaxed.least is None
    assert relaxed.figure({0b11: (1, 2)}) == inf
    assert relaxed.figure({}) == inf


def test_the_tree_of_a_relaxed_figure_stays_open_in_places_and_wires() -> None:
    p = drawn_by_lot(Random(5), 3, 2)
    fixed = with_tree(p, {0b111: (0b011, 0b100), 0b011: (0b001, 0b010)})
    assert fixed.sets == frozenset({0b111, 0b011, 0b100, 0b001, 0b010})
    assert fixed.meets is not None
    assert fixed.splits_into is not None
    assert [mask for mask in range(1, 8) if fixed.meets(mask, 0)] == [0b011, 0b111]
    assert [mask for mask in range(1, 8) if fixed.splits_into(mask, 0)] == [0b001, 0b010, 0b011, 0b100, 0b111]
    held = with_tree(replace(p, meets=lambda mask, at: at == 1), {0b111: (1, 2, 4)})
    assert held.meets is not None
    assert (held.meets(0b111, 0), held.meets(0b111, 1), held.meets(0b011, 1)) == (False, True, False)
    # What is half filled is one of the sets too.
    assert held.sets == frozenset(range(1, 8))
