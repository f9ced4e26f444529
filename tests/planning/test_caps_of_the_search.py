"""Bounds only save work: with them a search finds the very best that it finds when it follows everything."""

from __future__ import annotations

from random import Random

import pytest

from packyoke.planning.growing import grow
from packyoke.planning.labels import Label, best_two
from packyoke.planning.relaxed import Relaxed, with_tree
from packyoke.planning.search import Problem, Search
from tests.planning.bikes import build_of, random_bike
from tests.planning.test_many_packs import WIDE, layout_of
from tests.planning.test_prices import SHOP


def everything(problem: Problem) -> list[Label]:
    """The best two layouts, without a cap."""
    return best_two(grow(Search(problem), None), problem.score)


def held_against_everything(problem: Problem) -> Label | None:
    wanted, found = everything(problem), Search(problem).run()
    if found is None:
        assert wanted == []
        return None
    assert found.proved
    assert found.best.score == wanted[0].score
    if found.other is not None:
        assert found.other.score == wanted[1].score
    least = Search(problem).bounds.least()
    assert least is not None
    assert least <= found.best.score
    return found.best


@pytest.mark.parametrize("seed", range(8))
def test_a_search_below_caps_finds_what_one_without_finds(seed: int) -> None:
    rng = Random(500 + seed)
    few = SHOP if seed % 2 else WIDE
    text = random_bike(rng, 2 if few is WIDE else 3, 3, joiner_kinds=0, families=("XT60", "XT60", "XT90"), holds=2)
    layout = layout_of(build_of(text, few), few)
    best = held_against_everything(layout.problem)
    if best is None:
        return
    tree = Relaxed(layout).tree()
    drawn = held_against_everything(with_tree(layout.problem, tree))
    assert drawn is None or drawn.score >= best.score
