"""More packs than the exact search takes: the bound is one, what is found is near it, and it beats a plain search."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.buildfile.reading import Shop
from packyoke.model import Build
from packyoke.planning import merging, regrouping, topology
from packyoke.planning import plan as planning
from packyoke.planning.assumed import at_worst, worst_joiner
from packyoke.planning.catalogue import catalogue
from packyoke.planning.layout import Layout
from packyoke.planning.options import Workbench
from packyoke.planning.plan import plan
from packyoke.planning.regrouping import NestedGroup, changes, regrouped, tree_of
from packyoke.planning.relaxed import Relaxed, with_tree
from packyoke.planning.result import Plan
from packyoke.planning.score import Score
from packyoke.planning.search import MOST_LABELS, Problem, Search
from tests.planning.bench_plan import wide_shelf
from tests.planning.bikes import build_of, random_bike, shop_of
from tests.planning.simple import bike_of, by_chance, cost, simple, tight

WIDE = shop_of(wide_shelf())


def layout_of(build: Build, shop: Shop | None) -> Layout:
    shelf = catalogue(build, shop)
    score = Score((), shelf.priced, shelf.currency, shelf.copper_price)
    worst = at_worst(build)
    models = tuple(model._replace(joiner=worst_joiner(worst, model.joiner)) for model in shelf.models)
    return Layout(Workbench(worst, replace(shelf, models=models), score), topology.gaps(worst), routes(worst))


@pytest.mark.parametrize("priced", [False, True], ids=["copper", "prices"])
@pytest.mark.parametrize("seed", range(6))
def test_no_layout_undercuts_the_bound_and_its_tree_is_a_layout(seed: int, priced: bool) -> None:
    rng = Random(seed)
    text = random_bike(
        rng, 3 + seed % 3, 5, joiner_kinds=0 if priced else 2, families=("XT60", "XT90"), holds=2, more_alike=0
    )
    if seed > 2:  # joiners whose inlets differ: which lead goes into which one is open
        text = text.replace("inlets: XT60 pin", "inlets: [XT60 pin, XT90 pin]")
    shop = WIDE if priced else None
    layout = layout_of(build_of(text, shop), shop)
    best = Search(layout.problem).run(first_only=True)
    relaxed = Relaxed(layout)
    if best is None:
        return
    assert best.proved
    assert relaxed.least is not None
    assert relaxed.least <= best.best.score
    fixed = Search(with_tree(layout.problem, relaxed.tree())).run(first_only=True)
    assert fixed is None or fixed.best.score >= best.best.score
    if fixed is not None and relaxed.least == fixed.best.score:
        assert fixed.best.score == best.best.score


def test_with_the_exact_search_cut_short_the_same_figure_is_found_or_the_bound_says_how_far(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found_it = 0
    for seed in (1, 2, 3, 4):
        build = build_of(random_bike(Random(seed), 5, 6, joiner_kinds=0, holds=2), WIDE)
        exact = plan(build, WIDE)
        assert isinstance(exact, Plan), exact
        with monkeypatch.context() as patched:
            for each in (planning, merging):
                patched.setattr(each, "MOST_EXACT", 4)
            quick = plan(build, WIDE)
        assert isinstance(quick, Plan), quick
        mine, best = quick.objective.values[1], exact.objective.values[1]
        assert mine >= best - 1e-6
        found_it += mine == pytest.approx(best)
        if quick.proved:
            assert mine == pytest.approx(best)
        else:
            most = float(quick.doubt.split("at most ")[1].split(" %")[0])
            assert mine <= best * (1 + most / 100)
    assert found_it >= 2


def test_seven_packs_can_be_proved() -> None:
    build = build_of(random_bike(Random(7), 7, 8, joiner_kinds=0, holds=3), WIDE)
    found = plan(build, WIDE)
    assert isinstance(found, Plan), found
    assert found.proved


def test_changes_of_a_group_lead_to_every_group() -> None:
    def members(group: NestedGroup) -> list[int]:
        return [group] if isinstance(group, int) else sorted(each for part in group for each in members(part))

    start: NestedGroup = ((0, 1), 2, 3)
    waiting, seen = [start], {tuple(sorted(tree_of(start)))}
    while waiting:
        for each in changes(waiting.pop(), 3):
            assert members(each) == [0, 1, 2, 3]
            assert max(map(len, tree_of(each).values())) <= 3
            key = tuple(sorted(tree_of(each)))
            if key not in seen:
                seen.add(key)
                waiting.append(each)
    # Trees of four named leaves, none with one child: 26 (Schroeder's fourth problem), less the one of four inlets.
    assert len(seen) == 25


@pytest.mark.parametrize("seed", [5, 8])
def test_a_bad_start_is_mended_by_regrouping(seed: int) -> None:
    build = build_of(random_bike(Random(seed), 5, 6, joiner_kinds=0, holds=3), WIDE)
    layout = layout_of(build, WIDE)
    best = Search(layout.problem).run(first_only=True)
    assert best is not None
    start: NestedGroup = ((0, 1, 2), 3, 4)
    first = Search(with_tree(layout.problem, tree_of(start))).run(first_only=True)
    assert first is not None
    labels = [label.score for label, _ in regrouped(layout, Relaxed(layout), start, first.best.score)]
    assert labels == sorted(labels, reverse=True)
    assert best.best.score == labels[-1] < first.best.score


@pytest.mark.parametrize("seed", [0, 4])
def test_a_simple_search_does_no_better_and_no_layout_lies_below_the_bound(seed: int) -> None:
    # Seven packs; more of them, up to ten: python -m tests.planning.simple.
    build, shop = bike_of(seed)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    other = simple(build, shop, Random(seed), 40)
    assert other is not None
    (findings, weighed), _ = other
    assert found.objective.values[:2] <= (findings, weighed + 1e-6)
    assert found.proved or "above the best possible" in found.doubt
    most = 0.0 if found.proved else float(found.doubt.split("at most ")[1].split(" %")[0])
    assert found.objective.values[1] / (1 + most / 100) <= weighed + 1e-6


@pytest.mark.parametrize("seed", [1, 2])
def test_room_for_one_known_layout_and_no_more_is_no_false_no(seed: int) -> None:
    build, shop = bike_of(4 * seed)
    rng = Random(seed)
    items = [item for item in shop.items if item.section == "joiners" and "XT60" in item.part.name]
    top = next(top for _ in range(40) if cost(build, top := by_chance(build, items, rng), shop) is not None)
    found = plan(tight(build, top), shop)
    assert isinstance(found, Plan), found
    assert found.objective.values[:2] <= cost(tight(build, top), top, shop)  # type: ignore[operator]


@pytest.mark.parametrize(("seed", "packs"), [(0, 7), (4, 7)])
def test_all_searches_of_a_plan_make_no_more_labels_than_one_may(
    seed: int, packs: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of many packs each search leaves out most ways: the plan is not proved anyhow, and it waits at a counter."""
    made: list[Search] = []

    class Counted(Search):
        def __init__(self, problem: Problem, most_labels: int = MOST_LABELS) -> None:
            super().__init__(problem, most_labels)
            made.append(self)

    for room in (merging, regrouping):
        monkeypatch.setattr(room, "Search", Counted)
    found = plan(build_of(random_bike(Random(seed), packs, 8, holds=4)))
    assert isinstance(found, Plan), found
    assert len(made) > 6
    assert 0 < sum(search.made for search in made) <= MOST_LABELS


def test_the_most_promising_ways_lead_to_a_layout_below_the_cap_or_to_none() -> None:
    layout = layout_of(build_of(random_bike(Random(2), 4, 5, holds=2)), None)
    best = Search(layout.problem).run(first_only=True)
    assert best is not None
    found = Search(layout.problem).most_promising(best.best.score * 2)
    assert found is not None
    assert not found.proved
    assert best.best.score <= found.best.score <= best.best.score * 2
    assert Search(layout.problem).most_promising(best.best.score - 1) is None


def test_a_wide_shelf_and_many_places_end_in_a_plan_that_says_what_was_not_tried(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Six packs, eight places with room for one joiner each, six kinds of joiners: it went on for minutes."""
    exact = Search.__init__
    monkeypatch.setattr(Search, "__init__", lambda self, problem, most=4_000: exact(self, problem, min(most, 4_000)))
    found = plan(build_of(random_bike(Random(18), 6, 8), WIDE), WIDE)
    assert isinstance(found, Plan), found
    assert not found.proved
    assert "too many layouts to try them all" in found.doubt
    assert "above the best possible" in found.doubt


def test_a_search_starts_from_the_trees_of_the_bound_where_it_has_any() -> None:
    layout = layout_of(build_of(random_bike(Random(2), 4, 5, holds=2)), None)
    start = planning._start(layout, Relaxed(layout))
    assert start.label is not None
    assert Search(start.layout.problem).run(near=start.label.score) is not None
    assert planning._start(layout, None) == (layout, None)
