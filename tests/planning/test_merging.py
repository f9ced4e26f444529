"""Groups of many packs that are joined first, and the plain bound of all layouts, in small and by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf
from random import Random
from typing import Any

import pytest

from packyoke.planning import merging
from packyoke.planning.labels import Option
from packyoke.planning.layout import Layout
from packyoke.planning.merging import along, improved, least_of_all
from packyoke.planning.relaxed import Relaxed, with_tree
from packyoke.planning.search import Problem, Search
from tests.planning.bikes import build_of, random_bike
from tests.planning.test_many_packs import layout_of
from tests.planning.test_prices import SHOP as PRICED
from tests.planning.test_relaxed import PLACES, laid
from tests.planning.toy import (
    ROOT,
    SCORE,
    Every,
    bare,
    drawn_by_lot,
    fed,
    fuse,
    kg,
    problem,
    site,
    terminal,
    wire,
)

# The plain bound: each pack's cheapest way out, and the joiners that it takes.


def three_apart(**more: Any) -> Problem:
    """Three packs of which each leads to a joiner of 1 kg for 0.3, 0.4 and 0.5 kg or to a dear one for less."""
    wires = {(n, 3, 0): [wire(0.3 + 0.1 * n), wire(0.9)] for n in range(3)}
    wires |= {(n, 4, 0): [wire(0.2 + 0.1 * n)] for n in range(3)}
    wires |= {(3, ROOT, 0): [wire(0.7)], (4, ROOT, 0): [wire(0.05)], (3, 4, 0): [wire(0.15)]}
    p = problem([terminal(kind=n) for n in range(3)], [site(weight=1.0), site(weight=5.0, kind=1)], wires)
    return replace(p, **more)


def shown(score: int | None) -> float | None:
    return None if score is None else SCORE.shown(score)[1]


@pytest.mark.parametrize(
    ("needed", "wanted"),
    [
        # 0.2 + 0.3 + 0.4 out of the packs; then 1 kg and 0.7 onward to the load; then 1 kg and 0.15 for the other.
        (0, 0.9),
        (1, 0.9 + 1.7),
        (2, 0.9 + 1.7 + 1.15),
        (3, 0.9 + 1.7 + 2 * 1.15),
    ],
)
def test_the_plain_bound_by_hand(needed: int, wanted: float) -> None:
    assert shown(least_of_all(laid(three_apart(), PLACES, needed))) == pytest.approx(wanted)


def test_the_plain_bound_counts_what_is_lost() -> None:
    """60 W by a third of the load are 6.67 W, which weigh 33 g; by all of it 300 g. A path that loses 0.9 kg under the
    whole load loses 0.1 kg under a third of it."""
    wires = {(n, 3, 0): [wire(0.3, watts_w=60.0)] for n in range(3)} | {(3, ROOT, 0): [wire(0.7, watts_w=60.0)]}
    p = problem([terminal(kind=n) for n in range(3)], [site(weight=1.0, loss_kg=0.9)], wires)
    out = 0.3 + 60 / 9 * 0.005 + 0.1
    assert shown(least_of_all(laid(p, ["here"]))) == pytest.approx(3 * out + 1.0 + 0.7 + 0.3, abs=1e-7)


def test_the_plain_bound_counts_a_fuse_and_what_is_drawn_already() -> None:
    p = three_apart(terminals=[terminal(bare(), kind=0, must_fuse=True), terminal(kind=1), terminal(kind=2)])
    known = {fuse(25.0): kg(0.15), fuse(30.0): kg(0.12)}
    p = replace(p, fuses=lambda mask: tuple(known), fuse_score=known.__getitem__)
    assert shown(least_of_all(laid(p, PLACES, 0))) == pytest.approx(0.9 + 0.12)
    drawn = terminal(fed(score=kg(2.0)), fed(score=kg(1.5)), kind=0)
    p = three_apart(terminals=[drawn, terminal(kind=1), terminal(kind=2)])
    assert shown(least_of_all(laid(p, PLACES, 0))) == pytest.approx(0.9 + 1.5)


def test_the_plain_bound_looks_into_every_inlet_that_differs() -> None:
    uneven = {(0, 2, 0): [wire(0.5)], (0, 2, 1): [wire(0.1)], (1, 2, 0): [wire(0.5)], (2, ROOT, 0): [wire(0.1)]}
    two = [terminal(kind=0), terminal(kind=1)]
    assert shown(least_of_all(laid(problem(two, [site(uniform=False)], uneven), ["here"], 0))) == pytest.approx(0.6)
    assert shown(least_of_all(laid(problem(two, [site()], uneven), ["here"], 0))) == pytest.approx(1.0)


def test_the_plain_bound_is_none_where_there_is_no_way() -> None:
    two, out = [terminal(kind=0), terminal(kind=1)], {(0, 2, 0): [wire(0.1)], (1, 2, 0): [wire(0.1)]}
    assert least_of_all(laid(problem(two, [site()], out), ["here"])) is None
    assert shown(least_of_all(laid(problem(two, [site()], out), ["here"], 0))) == pytest.approx(0.2)
    lost = {(0, 2, 0): [wire(0.1)], (2, ROOT, 0): [wire(0.1)]}
    assert least_of_all(laid(problem(two, [site()], lost), ["here"])) is None


@pytest.mark.parametrize("seed", range(16))
def test_no_plan_undercuts_the_plain_bound(seed: int) -> None:
    p = replace(drawn_by_lot(Random(seed), 3, 2), root_slots=1)
    every = Every(p).layouts()
    needed = -(-2 // (max(each.slots for each in p.sites) - 1))
    least = least_of_all(laid(p, ("here", "there"), needed))
    assert not every or (least is not None and least <= min(every.values()))


# Groups that are joined first.


def near_and_far(**more: Any) -> Problem:
    """Four packs: the first two near the first joiner, the others near the second; of the latter three go in."""
    wires: dict[tuple[int, int, int], Sequence[Option]] = {}
    for number in range(4):
        wires[number, 4, 0] = [wire(0.1 if number < 2 else 0.5), wire(0.05, amps_a=10.0)]
        wires[number, 5, 0] = [wire(0.4 if number < 2 else 0.2)]
    wires |= {(4, ROOT, 0): [wire(0.1)], (5, ROOT, 0): [wire(0.1)], (4, 5, 0): [wire(0.1)], (5, 4, 0): [wire(0.1)]}
    sites = [site(weight=1.0), site(weight=2.0, slots=3, kind=1, volts_v=0.07)]
    return replace(problem([terminal(kind=n) for n in range(4)], sites, wires), **more)


def groups(p: Problem) -> list[tuple[float, tuple[int, ...], int]]:
    return [
        (SCORE.shown(round(weight))[1], members, at)
        for weight, (members, at, _) in merging._groups(laid(p, ("here", "there")), {})
    ]


def test_groups_by_hand() -> None:
    # Two leads of 0.1 kg and a joiner of 1 kg; 0.2, 0.2, then 0.4 kg, and 2 kg: by how many packs fewer are left.
    # The thin wire bears no 30 A.
    assert groups(near_and_far()) == [
        (pytest.approx(1.2), (0, 1), 0),
        (pytest.approx(2.4), (2, 3), 1),
        (pytest.approx(2.8 / 2), (2, 3, 0), 1),
    ]
    _, (_, _, label) = next(iter(merging._groups(laid(near_and_far(), ("here", "there")), {})))
    assert (label.total_a, label.largest_a, label.feeds) == (60.0, 30.0, 2)
    assert label.over_v == pytest.approx(-2.0 + 0.1 + 0.05)
    assert shown(label.score) == pytest.approx(1.2)


def test_groups_only_where_there_is_room_and_what_may_meet() -> None:
    assert [at for *_, at in groups(near_and_far(meets=lambda mask, at: at == 1))] == [1, 1]
    taken = [site(use=1), site(kind=1)]
    assert [at for *_, at in groups(near_and_far(sites=taken, limit=31, high=32))] == [1]
    assert [at for *_, at in groups(near_and_far(sites=taken, limit=30, high=32))] == [0, 1]
    used = [terminal(kind=n, used=1 if n == 3 else 0) for n in range(4)]
    assert [at for *_, at in groups(near_and_far(terminals=used, sites=taken, limit=30, high=32))] == [1]
    p = near_and_far()
    layout = laid(p, ("here", "there"))
    asked: list[tuple[int, int]] = []

    def leaves_room(used: int, count: int) -> bool:
        asked.append((used, count))
        return count > 2

    layout.leaves_room = leaves_room  # type: ignore[method-assign]
    assert [members for _, (members, _, _) in merging._groups(layout, {})] == [(0, 1), (2, 3)]
    # Two of four joined leave three to be brought together, three leave two.
    assert asked == [(0, 3), (0, 3), (0, 2)]


def test_a_group_counts_by_what_it_costs_more_than_the_packs_themselves() -> None:
    """A joiner that is drawn already, of 3 kg with its leads, is as near as a pack."""
    drawn = [terminal(fed(score=kg(3.0)), kind=0), *(terminal(kind=n) for n in range(1, 4))]
    assert groups(near_and_far(terminals=drawn))[0] == (pytest.approx(1.2), (0, 1), 0)


def test_what_is_brought_to_a_joiner_by_hand() -> None:
    """120 W by a quarter of the load are 7.5 W, which weigh 37.5 g; its path 0.16 kg, by a quarter of the load 10 g."""
    ways = [wire(0.2), wire(0.1, watts_w=120.0), wire(0.05, amps_a=10.0)]
    p = near_and_far(wires=lambda node, target, inlet: ways if inlet == 0 else ways[:1])
    p = replace(p, sites=[site(uniform=False, loss_kg=0.16), site(loss_kg=0.16)])
    label = merging._brought(p, 0, 0, 0, {})
    assert label is not None
    assert shown(label.score) == pytest.approx(0.1 + 0.0375 + 0.01)
    other = merging._brought(p, 0, 0, 1, {})
    assert other is not None
    assert shown(other.score) == pytest.approx(0.2 + 0.01)
    assert merging._brought(p, 0, 1, 1, {}) == label
    assert merging._brought(replace(p, wires=lambda *_: ways[2:]), 0, 0, 0, {}) is None
    known = {fuse(25.0): kg(0.3), fuse(8.0): kg(0.5)}
    unfused = [terminal(bare(), kind=0, must_fuse=True), terminal(bare(), kind=1)]
    p = replace(p, terminals=unfused, fuses=lambda mask: tuple(known), fuse_score=known.__getitem__)
    must = merging._brought(p, 0, 0, 0, {})
    assert must is not None
    # The fuse of 25 A costs less, and the wire of 10 A bears it no more than that of the pack.
    assert (must.total_a, shown(must.score)) == (25.0, pytest.approx(0.1 + 0.0375 + 0.01 + 0.3))
    free = merging._brought(p, 1, 0, 0, {})
    assert free is not None
    # Without a fuse nothing is held against the thin wire.
    assert (free.total_a, shown(free.score)) == (inf, pytest.approx(0.05 + 0.01))


def test_a_group_of_which_one_cannot_be_brought_is_none() -> None:
    p = near_and_far(wires=lambda node, target, inlet: [wire(0.1)] if (node, inlet) != (1, 1) else [])
    p = replace(p, sites=[site(uniform=False), site()])
    assert merging._joined(p, (0, 1), 0, {}) is None
    assert merging._joined(p, (1, 0), 0, {}) is not None
    assert {at for *_, at in groups(p)} == {1}


def four_packs() -> Layout:
    return layout_of(build_of(random_bike(Random(5), 4, 4, joiner_kinds=0, holds=2), PRICED), PRICED)


def test_what_is_joined_first_gets_better_and_never_better_than_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    layout = four_packs()
    best = Search(layout.problem).run(first_only=True)
    assert best is not None
    plain = [*improved(layout, None, 3)]
    assert {len(one.spots) for one, _ in plain} <= {2, 3}
    assert len(layout.spots) == 4
    scores = [label.score for _, label in plain]
    assert scores == sorted({*scores}, reverse=True)
    assert scores[-1] >= best.best.score
    tree = Relaxed(layout).tree()
    first = Search(with_tree(layout.problem, tree)).run(first_only=True)
    assert first is not None
    from_tree = [*improved(layout, along(layout, [tree]), 3)]
    assert from_tree[0][0] is layout
    assert [label.score for _, label in from_tree] == [
        first.best.score,
        *(score for score in scores if score < first.best.score),
    ]
    # No joiner takes nine: that tree leads nowhere, and the others are found all the same.
    assert along(layout, [{0b1111: (1, 2, 4, 8)}]) is None
    # Of several trees the best is taken, whatever their order.
    for trees in ([tree, {0b1111: (1, 2, 4, 8)}], [{0b1111: (1, 2, 4, 8)}, tree]):
        found = along(layout, trees)
        assert found is not None
        assert found.score == first.best.score


@pytest.mark.parametrize("seed", range(4))
def test_what_was_brought_before_others_were_joined_is_what_is_brought_after(seed: int) -> None:
    """Kept from one try to the next, and over what is joined meanwhile: as if it were worked out anew each time."""
    layout = layout_of(build_of(random_bike(Random(seed), 6, 6, joiner_kinds=2, holds=2), PRICED), PRICED)
    kept: merging.Brought = {}
    for chance in range(3):
        one, anew = layout.copy(), layout.copy()
        assert merging._merged(one, 2, Random(chance), 0.4, kept) == merging._merged(anew, 2, Random(chance), 0.4, {})
        assert (one.spots, one.problem.terminals) == (anew.spots, anew.problem.terminals)
        for number in range(len(one.spots)):
            for at in range(len(one.problem.sites)):
                again = merging._brought(one.problem, number, at, 0, kept)
                assert again == merging._cheapest(anew.problem, number, at, 0)
    assert len(layout.spots) == 6


def test_four_packs_are_joined_first_where_three_are_searched_and_not_where_four_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for most, left in ((5, {4}), (4, {4}), (3, {2, 3}), (2, {2})):
        layout = four_packs()
        assert merging._merged(layout, most, Random(0), 0.0, {})
        assert len(layout.spots) in left
    layout = four_packs()
    monkeypatch.setattr(merging, "_groups", lambda *_: iter(()))
    assert not merging._merged(layout, 3, Random(0), 0.0, {})
    assert [*improved(layout, None, 3)] == []


def test_where_no_layout_is_known_the_first_that_is_told_is_the_best_of_what_is_left(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """And where one is known, only what is quickly found is held against it."""
    layout = four_packs()
    one, label = next(iter(improved(layout, None, 3)))
    best = Search(one.problem).run(first_only=True)
    assert best is not None
    assert label.score == best.best.score
    begun = along(layout, [Relaxed(layout).tree()])
    assert begun is not None
    asked: list[bool] = []
    whole = Search.run
    monkeypatch.setattr(Search, "run", lambda self, **more: (asked.append(True), whole(self, **more))[1])
    assert [*improved(layout, begun, 3)]
    assert not asked
    assert [*improved(layout, None, 3)]
    assert asked


def test_nothing_found_nothing_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Search, "run", lambda self, first_only, near: None)
    monkeypatch.setattr(Search, "most_promising", lambda self, cap, widths: None)
    assert [*improved(four_packs(), None, 3)] == []
