"""Changes of a tree of packs, by hand; and the best tree of three packs from wherever one begins."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.planning import regrouping
from packyoke.planning.layout import Layout
from packyoke.planning.regrouping import (
    NestedGroup,
    _exchanged,
    _parts,
    _with,
    _without,
    changes,
    drawn_group,
    regrouped,
    tree_of,
)
from packyoke.planning.relaxed import Relaxed, with_tree
from packyoke.planning.search import Problem, Search
from tests.planning.test_relaxed import laid
from tests.planning.test_topology_by_table import TREE, build, without
from tests.planning.toy import SCORE, Every, drawn_by_lot, kg

GROUP: NestedGroup = ((0, 1), 2, 3)


def test_parts_of_a_group() -> None:
    assert [*_parts(GROUP)] == [(0, 1), 0, 1, 2, 3]
    assert [*_parts(0)] == []
    assert tree_of(GROUP) == {0b1111: (0b0011, 0b0100, 0b1000), 0b0011: (0b0001, 0b0010)}


@pytest.mark.parametrize(
    ("part", "left"),
    [(0, (1, 2, 3)), (2, ((0, 1), 3)), ((0, 1), (2, 3)), (GROUP, None), (7, GROUP)],
)
def test_a_group_without_a_part_of_it(part: NestedGroup, left: NestedGroup | None) -> None:
    assert _without(GROUP, part) == left
    assert _without((0, 1), 0) == 1


def test_a_part_put_in_anywhere() -> None:
    # Beside all in a new joiner, in the joiner, beside each of its two.
    assert [*_with((0, 1), 2, 3)] == [((0, 1), 2), (0, 1, 2), ((0, 2), 1), (0, (1, 2))]
    # A joiner of two is full.
    assert [*_with((0, 1), 2, 2)] == [((0, 1), 2), ((0, 2), 1), (0, (1, 2))]
    assert [*_with(0, 1, 2)] == [(0, 1)]


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [(0, 2, ((2, 1), 0, 3)), ((0, 1), 3, (3, 2, (0, 1))), (2, 3, ((0, 1), 3, 2)), (0, 1, ((1, 0), 2, 3))],
)
def test_two_parts_change_places(one: NestedGroup, other: NestedGroup, found: NestedGroup) -> None:
    assert _exchanged(GROUP, one, other) == found


def test_changes_of_three() -> None:
    keys = {regrouping._key(each) for each in changes(((0, 1), 2), 2)}
    # Pairs first: 01, 02 or 12; with joiners of three all at once too.
    pairs = {tuple(sorted((0b111, pair))) for pair in (0b011, 0b101, 0b110)}
    assert keys - {regrouping._key(((0, 1), 2))} == pairs - {(0b011, 0b111)}
    assert {regrouping._key(each) for each in changes(((0, 1), 2), 3)} == pairs | {(0b111,)}


# From one tree to the best.

STARTS: tuple[NestedGroup, ...] = (((0, 1), 2), ((0, 2), 1), ((1, 2), 0))


def open_problem(seed: int) -> Problem:
    return replace(drawn_by_lot(Random(seed), 3, 2), root_slots=1)


def best_of_tree(p: Problem, group: NestedGroup) -> int | None:
    return min(Every(with_tree(p, tree_of(group))).layouts().values(), default=None)


@pytest.mark.parametrize("seed", range(30))
def test_of_three_packs_the_best_tree_is_found_from_wherever_one_begins(seed: int) -> None:
    p = open_problem(seed)
    layout = laid(p, ("here", "there"))
    relaxed = Relaxed(layout)
    for start in STARTS:
        first = best_of_tree(p, start)
        cap = first if first is not None else kg(100.0) + 5 * SCORE.finding
        found = [(label.score, group) for label, group in regrouped(layout, relaxed, start, cap)]
        scores = [score for score, _ in found]
        assert scores == sorted({*scores}, reverse=True)
        assert all(best_of_tree(p, group) == score < cap for score, group in found)
        every = [best_of_tree(p, each) for each in (*STARTS, (0, 1, 2))]
        best = min((each for each in every if each is not None), default=None)
        if best is not None and best < cap:
            assert scores[-1] == best
        else:
            assert scores == []


class Counting:
    """What trees are searched."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.trees: list[Any] = []
        monkeypatch.setattr(regrouping, "Search", self)

    def __call__(self, problem: Problem, most_labels: int) -> Search:
        self.trees.append(problem.sets)
        return Search(problem, most_labels)


def test_no_tree_is_searched_twice_or_without_hope_or_beyond_so_many(monkeypatch: pytest.MonkeyPatch) -> None:
    p = open_problem(3)
    layout = laid(p, ("here", "there"))
    relaxed = cast(Any, SimpleNamespace(most_inlets=2, figure=lambda tree: 5.0))
    counting = Counting(monkeypatch)
    found = [*regrouped(layout, relaxed, STARTS[0], kg(100.0) + 5 * SCORE.finding)]
    assert len(counting.trees) == len({*counting.trees}) == 2
    # A figure as high as what there is already leaves nothing to hope for.
    counting.trees.clear()
    assert [*regrouped(layout, relaxed, STARTS[0], 5)] == []
    assert counting.trees == []
    [*regrouped(layout, relaxed, STARTS[0], 6)]
    assert len(counting.trees) == 2
    for most in (0, 1):
        monkeypatch.setattr(regrouping, "MOST_TREES", most)
        counting.trees.clear()
        [*regrouped(layout, relaxed, STARTS[0], 6)]
        assert len(counting.trees) == most
    assert found is not None


# How a drawn harness brings packs together.


def layout_with(*packs: tuple[str, ...]) -> Layout:
    return cast(Layout, SimpleNamespace(packs=list(packs)))


def test_the_group_of_a_drawn_harness() -> None:
    layout = layout_with(("a",), ("b",), ("c",))
    assert drawn_group(layout, build(TREE)) == ((0, 1), 2)
    # Packs that were joined before are one with names of their own: no group of single packs.
    assert drawn_group(layout_with(("a", "b"), ("c",)), build(TREE)) is None
    assert drawn_group(layout, build(without("main lead"))) is None
    two = build(TREE | {"d lead": "{from: d, to: controller, length: 500 mm}"}, packs="abcd")
    assert drawn_group(layout_with(("a",), ("b",), ("c",), ("d",)), two) is None
