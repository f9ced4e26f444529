"""Tolls on what is short: the best plan stays the best, and what the bounds come to never goes beyond it."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from packyoke.planning.relaxed import Relaxed
from packyoke.planning.search import Search
from packyoke.planning.tolls import FIELD_BITS, NO_TOLLS, Room, Tolls
from tests.planning.test_growing import held_against_every_plan
from tests.planning.test_relaxed import PLACES, laid
from tests.planning.toy import ROOT, SCORE, Every, drawn_by_lot, kg, problem, site, terminal, wire

HERE, THERE = 1, 1 << FIELD_BITS


@pytest.mark.parametrize(
    ("used", "least", "most", "toll", "beyond"),
    [
        # Nothing paid: only what is too little or too much counts.
        (0, 0, 2, 0.0, 0),
        (2, 0, 2, 0.0, 0),
        (3, 0, 2, 0.0, 1),
        (0, 1, 2, 0.0, -1),
        (1, 1, 2, 0.0, 0),
        # What costs a toll is to be taken up in full, what is paid for is not to be taken up more than it has to be.
        (1, 0, 2, 5.0, -1),
        (2, 0, 2, 5.0, 0),
        (4, 0, 2, 5.0, 2),
        (2, 1, 3, -5.0, 1),
        (1, 1, 3, -5.0, 0),
    ],
)
def test_what_is_taken_up_too_much_or_too_little(used: int, least: int, most: int, toll: float, beyond: int) -> None:
    room = Room(THERE, least, most)
    assert room.taken(used * THERE + 5 * HERE) == used
    assert room.beyond(used * THERE + 5 * HERE, toll) == beyond


def test_what_is_paid_and_what_is_paid_at_the_most() -> None:
    tolls = Tolls([Room(HERE, 0, 2), Room(THERE, 1, 3)], [10, -4])
    assert tolls.paid(2 * HERE + 3 * THERE) == 20 - 12
    assert tolls.paid(0) == 0
    # All room taken up, and no more than has to be of what is paid for: nothing that keeps to both pays more.
    assert tolls.most() == 2 * 10 - 4
    assert (NO_TOLLS.paid(7), NO_TOLLS.most()) == (0, 0)


@pytest.mark.parametrize("seed", range(24))
def test_with_tolls_the_best_plans_are_those_without(seed: int) -> None:
    rng = Random(700 + seed)
    p = drawn_by_lot(Random(seed), 3, 2)
    each = [kg(rng.choice([0.0, 0.05, 0.4, 1.1])) * rng.choice([1, -1 if room.least else 1]) for room in p.rooms]
    tolled = replace(p, tolls=Tolls(p.rooms, each))
    held_against_every_plan(tolled)
    least, every = Search(tolled).bounds.least(), Every(p).layouts()
    assert not every or (least is not None and least <= min(every.values()))


@pytest.mark.parametrize("seed", range(20))
def test_no_plan_is_below_the_relaxed_figure_with_the_tolls_that_it_found(seed: int) -> None:
    p = replace(drawn_by_lot(Random(seed), 3, 3), root_slots=1)
    relaxed, every = Relaxed(laid(p, PLACES)), Every(p).layouts()
    assert not every or (relaxed.least is not None and relaxed.least <= min(every.values()))
    tolled = Search(replace(p, tolls=relaxed.tolls)).run(first_only=True)
    assert (tolled.best.score if tolled is not None else None) == min(every.values(), default=None)


def test_of_a_place_for_one_joiner_the_next_place_is_counted() -> None:
    """Three packs need two joiners of two inlets. Both would sit at the near place, which holds one: leads of 0.1 kg
    there and of 0.3 kg to the far one. Without room counted that is 2 x 1 + 5 x 0.1 kg; the best plan is 0.4 kg more:
    the second joiner is at the far place, with a lead of 0.3 kg into it from a pack and the first joiner each."""
    near, far = site(HERE, weight=1.0, kind=0), site(THERE, weight=1.0, kind=1)
    wires = {}
    for node in range(5):
        wires[node, 3, 0] = [wire(0.1)]
        wires[node, 4, 0] = [wire(0.3)]
        wires[node, ROOT, 0] = [wire(0.1)]
    p = problem([terminal(kind=n) for n in range(3)], [near, far], wires, room=(1, 3))
    best = Search(p).run(first_only=True)
    assert best is not None
    assert SCORE.shown(best.best.score)[1] == pytest.approx(2.9)
    untolled = Relaxed(laid(replace(p, rooms=()), ("near", "far")))
    assert untolled.least is not None
    assert SCORE.shown(untolled.least)[1] == pytest.approx(2.5)
    relaxed = Relaxed(laid(p, ("near", "far")))
    assert relaxed.least is not None
    # A toll of 0.2 kg and more on the near place makes both dear alike: then every plan pays it once.
    assert untolled.least < relaxed.least <= best.best.score
    assert SCORE.shown(relaxed.least)[1] > 2.6
