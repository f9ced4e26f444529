"""Ways to wire the same packs, side by side: none is dropped that could still be the best of all or the next best."""

from __future__ import annotations

from math import inf
from random import Random

import pytest

from packyoke.planning.catalogue import FuseKind
from packyoke.planning.labels import Label, Option, best_two, carried, joined, kept
from packyoke.planning.score import Score

SCORE = Score((), False, "")
STEP = SCORE.of("copper", 0.01)


def label(
    score: int = 0, over_v: float = -1.0, total_a: float = 25.0, largest_a: float = 25.0, feeds: int = 1
) -> Label:
    return Label(score, over_v, total_a, largest_a, 0, None, feeds)


def wire(amps_a: float, fuse_a: float | None = None) -> Option:
    fuse = FuseKind("class T", fuse_a, 160.0) if fuse_a is not None else None
    return Option(None, fuse, STEP, 0.01, 0.2, amps_a, 54.6)


def random_label(chance: Random, kinds: int = 3) -> Label:
    """One of few values each, so that equal figures are common."""
    fuses = chance.choice([(25.0, 25.0, 1), (30.0, 30.0, 1), (50.0, 25.0, 2), (60.0, 30.0, 2), (inf, 0.0, 0)])
    return Label(
        STEP * chance.randrange(6),
        chance.choice([-0.5, -0.2, 0.0, 0.1]),
        fuses[0],
        fuses[1],
        chance.randrange(kinds),
        None,
        fuses[2],
    )


@pytest.mark.parametrize("seed", range(40))
def test_what_is_dropped_is_neither_the_best_nor_the_next_best_whatever_comes_after(seed: int) -> None:
    chance = Random(seed)
    for _ in range(25):
        every = [random_label(chance) for _ in range(chance.randint(1, 9))]
        ahead = [random_label(chance) for _ in range(2)]
        ways = [
            wire(chance.choice([20.0, 25.0, 30.0, 40.0]), chance.choice([None, None, 25.0, 30.0])) for _ in range(2)
        ]

        def onward(labels: list[Label], ways: list[Option] = ways, ahead: list[Label] = ahead) -> list[tuple[int, int]]:
            for way, other in zip(ways, ahead, strict=True):
                further = [carried(each, way, 0, SCORE, each.kind, None) for each in labels]
                labels = [joined(each, other, each.kind, None) for each in further if each is not None]
            return [(each.score, each.kind) for each in best_two(labels, SCORE)]

        found, wanted = onward(kept(every)), onward(every)
        assert [score for score, _ in found] == [score for score, _ in wanted]


def test_of_two_that_are_alike_one_is_kept_and_of_two_kinds_both() -> None:
    one = label()
    assert kept([one, one, one]) == [one]
    other = one._replace(kind=1)
    assert {each.kind for each in kept([one, other, other, one])} == {0, 1}


@pytest.mark.parametrize(
    ("fuse_a", "total_a", "feeds"),
    [(None, 50.0, 2), (60.0, 50.0, 2), (50.0, 50.0, 1), (25.0, 25.0, 1)],
)
def test_a_fuse_counts_alone_where_it_lets_no_more_through_than_what_feeds_it(
    fuse_a: float | None, total_a: float, feeds: int
) -> None:
    found = carried(label(total_a=50.0, largest_a=25.0, feeds=2), wire(60.0, fuse_a), 7, SCORE, 3, "trace")
    assert found is not None
    assert (found.total_a, found.feeds, found.kind, found.trace) == (total_a, feeds, 3, "trace")
    assert found.largest_a == (25.0 if feeds == 2 else total_a)
    assert found.score == STEP + 7
    assert found.over_v == pytest.approx(-0.8)


@pytest.mark.parametrize(
    ("amps_a", "largest_a", "passes"),
    # Above 50 V nominal no fuse is larger than the next standard one from the amps of the wire on (NEC 240.4(B)).
    [(30.0, 30.0, True), (29.0, 30.0, True), (25.0, 30.0, False), (inf, 30.0, True), (25.0, 0.0, True)],
)
def test_a_wire_bears_the_largest_fuse_that_feeds_it(amps_a: float, largest_a: float, passes: bool) -> None:
    total_a = largest_a or inf
    found = carried(label(total_a=total_a, largest_a=largest_a), wire(amps_a), 0, SCORE, 0, None)
    assert (found is not None) is passes


@pytest.mark.parametrize(
    ("feeds", "amps_a", "counted"),
    # Two fuses of 30 A feed wire of 40 A: 60 A is half as much again. 39 A is too little: a note; with three a caution.
    [(2, 40.0, "none"), (2, 39.0, "note"), (3, 39.0, "finding"), (1, 39.0, "none")],
)
def test_fuses_that_are_together_too_much_for_a_wire(feeds: int, amps_a: float, counted: str) -> None:
    found = carried(label(total_a=60.0, largest_a=30.0, feeds=feeds), wire(amps_a), 0, SCORE, 0, None)
    assert found is not None
    assert found.score - STEP == {"none": 0, "note": SCORE.noted, "finding": SCORE.finding}[counted]


def test_a_selector_lets_one_at_a_time_on() -> None:
    one, other = label(1, -0.4, 30.0, 30.0, 1), label(2, -0.1, 50.0, 25.0, 2)
    together = joined(one, other, 9, "t")
    assert together == Label(3, -0.1, 80.0, 30.0, 9, "t", 3)
    assert joined(one, other, 9, "t", alternating=True) == Label(3, -0.1, 50.0, 30.0, 9, "t", 2)


def test_a_way_that_loses_too_much_comes_after_one_that_does_not_however_cheap() -> None:
    cheap, dear = label(0, 0.1), label(1000 * STEP, 0.0)._replace(kind=1)
    assert [each.kind for each in best_two([cheap, dear], SCORE)] == [1, 0]
    assert best_two([cheap], SCORE)[0].score >= SCORE.finding
    assert best_two([dear], SCORE)[0].score == dear.score
