"""The bounds of a search, each held against all plans of the problem without room and volts, and some by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import product
from math import inf
from random import Random
from typing import Any

import pytest

from packyoke.planning.bounds import MOST_FEEDS, NEVER, STATES, UNFUSED
from packyoke.planning.labels import Label, Option
from packyoke.planning.relaxed import with_tree
from packyoke.planning.search import Problem, Search
from tests.planning.toy import ROOT, SCORE, bare, drawn_by_lot, fed, fuse, kg, problem, site, terminal, wire

Spot = tuple[Any, ...]
"""`("f", S, u)`: at an outlet, `("d", S, v)`: arrived, `("j", S, v, k)`: as so many leads at a node."""
Costs = dict[int, int]
"""The least cost by how many of the smallest fuses feed it."""


def together(ones: Costs, others: Costs) -> Iterator[tuple[int, int]]:
    for (one, cost), (other, more) in product(ones.items(), others.items()):
        yield UNFUSED if UNFUSED in (one, other) else min(MOST_FEEDS, one + other), cost + more


def least(ways: Iterator[tuple[int, int]]) -> Costs:
    found: Costs = {}
    for state, cost in ways:
        found[state] = min(found.get(state, cost), cost)
    return found


class Plain:
    """All plans without room and volts: a wire bears so many of the smallest fuses, or it costs more.

    `begun`: some packs that are at a spot already, in a state, for nothing.
    """

    def __init__(self, p: Problem, begun: tuple[Spot, int] | None = None) -> None:
        self.p, self.count = p, len(p.terminals)
        self.spot, self.state = begun if begun is not None else (("", 0), 0)
        fed_by = [each.total_a for one in p.terminals for each in one.labels if each.total_a > 0]
        nodes, targets = range(self.count + len(p.sites)), (*range(self.count, self.count + len(p.sites)), ROOT)
        leads = (made for node in nodes for to in targets for inlet in range(3) for made in p.wires(node, to, inlet))
        given = [made.fuse.rating_a for made in leads if made.fuse is not None]
        self.smallest_a = min([*(kind.rating_a for kind in p.fuses(1)), *fed_by, *given], default=inf)
        self.at_outlet = cache(self._at_outlet)
        self.brought = cache(self._brought)
        self.leads = cache(self._leads)

    def feed(self, label: Label) -> int:
        if label.total_a == inf:
            return UNFUSED
        return min(MOST_FEEDS, int(label.total_a / self.smallest_a + 1e-9), label.feeds)

    def whole(self) -> int | None:
        """The least of all plans."""
        every = (1 << self.count) - 1
        ends = (self.leads(every, ROOT, number) for number in range(1, self.p.root_slots + 1))
        return min((cost for costs in ends for cost in costs.values()), default=None)

    def _leads(self, mask: int, target: int, number: int) -> Costs:
        """A set at a node as so many leads."""
        if self.spot == ("j", mask, target, number):
            return {self.state: 0}
        if number == 1:
            return self.brought(mask, target)
        parts = [part for part in range(1, mask) if part & mask == part]
        if self.p.sets is not None:
            parts = [part for part in parts if {part, mask ^ part} <= self.p.sets]
        return least(
            each
            for part in parts
            for each in together(self.leads(mask ^ part, target, number - 1), self.brought(part, target))
        )

    def _brought(self, mask: int, target: int) -> Costs:
        if self.spot[:2] == ("d", mask):
            return {self.state: 0} if self.spot[2] == target else {}
        return least(self._each_brought(mask, target))

    def _each_brought(self, mask: int, target: int) -> Iterator[tuple[int, int]]:
        p, share = self.p, self.p.share(mask)
        number = -1 if target == ROOT else target - self.count
        if p.splits_into is not None and not p.splits_into(mask, number):
            return
        path = 0 if target == ROOT else p.sites[number].path_loss(share)
        inlets = range(1 if target == ROOT or p.sites[number].uniform else p.sites[number].slots)
        fuses = p.fuses(mask) if p.may_fuse(mask) else ()
        for node in range(self.count + len(p.sites)):
            must = node < self.count and p.terminals[node].must_fuse
            for (state, before), inlet in product(self.at_outlet(mask, node).items(), inlets):
                for option in p.wires(node, target, inlet):
                    cost = before + option.score + SCORE.of("loss", option.watts_w * share**2) + path
                    if option.fuse is not None:
                        yield from ((each, cost) for each in {1, state} - {UNFUSED})
                        continue
                    if not (must and fuses):
                        yield state, cost + self.beyond(option, state)
                    yield from ((1, cost + p.fuse_score(each)) for each in fuses)

    def beyond(self, option: Option, state: int) -> int:
        """What it costs that a wire does not bear so many fuses."""
        if state in (0, 1, UNFUSED) or state * self.smallest_a <= 1.5 * option.amps_a + 1e-9:
            return 0
        return SCORE.noted if state == 2 else SCORE.finding

    def _at_outlet(self, mask: int, node: int) -> Costs:
        if self.spot[:2] == ("f", mask):
            return {self.state: 0} if self.spot[2] == node else {}
        if node < self.count:
            # What is together already begins nowhere else.
            mine = self.p.terminals[node].labels if mask == 1 << node and not mask & self.spot[1] else ()
            return least((self.feed(label), label.score) for label in mine)
        put = self.p.sites[node - self.count]
        if mask.bit_count() < 2 or not (self.p.meets is None or self.p.meets(mask, node - self.count)):
            return {}
        return least(
            (state, cost + put.score)
            for number in range(2, put.slots + 1)
            for state, cost in self.leads(mask, node, number).items()
        )


def to_all(row: Sequence[int]) -> list[int]:
    """A row by what it is at the most: what is fed by fewer fuses does wherever more would."""
    whole = [min(cost, NEVER) for cost in row]
    return [*(min(whole[: state + 1]) for state in range(UNFUSED)), whole[UNFUSED]]


def spots(p: Problem) -> Iterator[Spot]:
    count = len(p.terminals)
    every = range(1, 1 << count) if p.sets is None else p.sets
    targets = (*range(count, count + len(p.sites)), ROOT)
    for mask in every:
        yield from (("f", mask, node) for node in range(count + len(p.sites)))
        yield from (("d", mask, target) for target in targets)
        for target in targets:
            slots = p.root_slots if target == ROOT else p.sites[target - count].slots
            yield from (("j", mask, target, number) for number in range(1, slots + 1))


def held_against_all(p: Problem) -> None:
    bounds = Search(p).bounds
    rows = {(way, kind): getattr(bounds, f"{way}_{kind}") for way in ("inside", "outside") for kind in "fdj"}
    plain = Plain(p)
    assert bounds.least() == plain.whole()
    for spot in spots(p):
        kind, mask, *key = spot
        ask = {"f": plain.at_outlet, "d": plain.brought, "j": plain.leads}[kind]
        before = ask(mask, *key)
        never = [NEVER] * len(STATES)
        inside = rows["inside", kind].get(spot[1:], never)
        assert to_all(inside) == to_all([before.get(state, NEVER) for state in STATES]), spot
        if not before:
            continue
        outside = rows["outside", kind].get(spot[1:], never)
        wanted = [Plain(p, (spot, state)).whole() for state in STATES]
        assert [min(cost, NEVER) for cost in outside] == [NEVER if each is None else each for each in wanted], spot


@pytest.mark.parametrize("seed", [3, 5, 6, 7, 9, 12])
def test_bounds_are_the_least_of_all_plans_without_room_and_volts(seed: int) -> None:
    held_against_all(drawn_by_lot(Random(seed), 3, 2))


@pytest.mark.parametrize("seed", [1, 2, 4, 9, 10, 13])
def test_bounds_where_leads_have_fuses_already(seed: int) -> None:
    held_against_all(drawn_by_lot(Random(300 + seed), 3, 2, given=True))


TREES = ({7: (3, 4), 3: (1, 2)}, {7: (1, 2, 4)}, {7: (1, 6), 6: (2, 4)})


@pytest.mark.parametrize("seed", range(3))
def test_bounds_where_it_is_drawn_what_meets(seed: int) -> None:
    held_against_all(with_tree(drawn_by_lot(Random(seed), 3, 2), TREES[seed]))


def test_bounds_where_a_site_takes_one_set_only() -> None:
    p = drawn_by_lot(Random(5), 3, 2)
    held_against_all(replace(p, meets=lambda mask, at: at == 1 or mask == 7))


def alike(feeds: int, amps_a: float, rating_a: float = 20.0, dear: float = 0.0) -> Problem:
    """So many packs of 20 A that all go into one joiner, and one wire onward; with a price a fuse may go into it."""
    wires = {(number, feeds, 0): [wire(0.5)] for number in range(feeds)} | {(feeds, ROOT, 0): [wire(0.25, amps_a)]}
    return problem(
        [terminal(fed(rating_a), kind=number) for number in range(feeds)],
        [site(slots=feeds, weight=1.0)],
        wires,
        fuses={fuse(rating_a): kg(dear)} if dear else None,
    )


@pytest.mark.parametrize(
    ("feeds", "amps_a", "more"),
    [
        # A wire bears half as much again as it is good for: two of 20 A are 40 A, and 26.7 A of wire do.
        (2, 40 / 1.5, "none"),
        (2, 40 / 1.5 - 0.001, "noted"),
        (3, 40.0, "none"),
        (3, 39.999, "finding"),
        (4, 80 / 1.5, "none"),
        (4, 80 / 1.5 - 0.001, "finding"),
        # Of more than four no more is told apart.
        (5, 80 / 1.5, "none"),
    ],
)
def test_a_bound_by_hand(feeds: int, amps_a: float, more: str) -> None:
    # Half a kilogram for each pack's lead, one for the joiner, a quarter onward.
    whole = feeds * kg(0.5) + kg(1.0) + kg(0.25)
    beyond = {"none": 0, "noted": SCORE.noted, "finding": SCORE.finding}[more]
    assert Search(alike(feeds, amps_a)).bounds.least() == whole + beyond


@pytest.mark.parametrize(("dear", "more"), [(0.05, 0.05), (0.15, 0.1)])
def test_a_fuse_of_its_own_is_taken_where_it_costs_less_than_the_note(dear: float, more: float) -> None:
    """A note weighs 100 g."""
    assert SCORE.noted == SCORE._weighed(0.1)
    least = Search(alike(2, 20.0, dear=dear)).bounds.least()
    assert least is not None
    assert SCORE.shown(least)[1] == pytest.approx(2 * 0.5 + 1.0 + 0.25 + more)


@pytest.mark.parametrize(
    ("label", "state"),
    [
        (fed(20.0), 1),
        (fed(39.0), 1),
        (fed(40.0), 1),
        (fed(20.0, feeds=2), 2),
        (fed(19.0, feeds=2), 1),
        (fed(20.0, feeds=4), 4),
        (fed(20.0, feeds=5), 4),
        (bare(), UNFUSED),
        (fed(0.0), 0),
    ],
)
def test_what_feeds_is_counted_in_the_smallest_fuse(label: Label, state: int) -> None:
    assert Search(alike(2, 40.0)).bounds.state(label.total_a, label.feeds) == state


def test_no_plan_no_bound() -> None:
    assert Search(problem([terminal(kind=0)], [], {})).bounds.least() is None
    apart = problem([terminal(kind=0), terminal(kind=1)], [site()], {(0, 2, 0): [wire(0.1)], (2, ROOT, 0): [wire(0.1)]})
    assert Search(apart).bounds.least() is None
