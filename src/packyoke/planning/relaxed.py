"""What any layout of many packs comes to at least: the problem without room and volts, fuses only counted.

    J[S][v][k]: the packs S brought to a place v as k leads, k = 1: as a single one

Every place counts as if it held each joiner at once, at the least price that so many inlets cost. A lead behind k fused
leads bears k of the smallest fuses, or has a fuse of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import inf
from operator import add, itemgetter
from typing import TYPE_CHECKING

from packyoke.analysis.limits.fusing import FEEDS_AS_A_NOTE
from packyoke.planning.bounds import NEVER
from packyoke.planning.growing import ROOT
from packyoke.planning.relaxed_leads import RelaxedLeads
from packyoke.planning.tolls import Tolls

if TYPE_CHECKING:
    from packyoke.planning.layout import Layout
    from packyoke.planning.search import Problem

MOST_PACKS = 12
"""Beyond, the sets are too many to work through in seconds."""
MOST_SUMS = 9_000_000
"""The same of what is added up, with many places: about a second."""
FIRST_STEP, SHORTER = 0.05, 0.7
"""By how much of the least a toll is changed at first, and how much less once that was too much."""
ROUNDS = 40
"""Changes of the tolls at the most."""
ON_TOLLS = 60_000
"""Steps of the search that they may take as long as, all together."""
SUMS = 20
"""Sums of two figures that take as long as one step of the search."""
Picks = Callable[[list[int]], tuple[int, ...]]
"""Takes some figures out of those of all sets."""
Tree = dict[int, tuple[int, ...]]
"""Each set that meets in a joiner, with the sets that its leads bring."""


def sums(layout: Layout) -> int:
    """How many sums of two figures it takes to work through every way to part every set, at each place."""
    slots: dict[str, int] = {}
    for put, site in zip(layout.puts, layout.problem.sites, strict=True):
        slots[put.place] = max(site.slots, slots.get(put.place, 0))
    ways: int = 3 ** len(layout.problem.terminals)
    return (sum(slots.values()) + layout.problem.root_slots) * ways // 2


class Relaxed:
    """The relaxed problem of one layout; `least` is its figure, None where even that has no solution."""

    def __init__(self, layout: Layout) -> None:
        self.layout, self.p = layout, layout.problem
        self.count = len(self.p.terminals)
        self.places = [*dict.fromkeys(put.place for put in layout.puts)]
        self.sites = [[number for number, put in enumerate(layout.puts) if put.place == place] for place in self.places]
        self.targets = [*range(len(self.places)), ROOT]
        self.slots = {
            at: max(self.p.sites[number].slots for number in self.sites[at]) for at in range(len(self.places))
        }
        self.slots[ROOT] = self.p.root_slots
        self._shares = [self.p.share(mask) for mask in range(1 << self.count)]
        self._fuses: dict[int, int | None] = {}
        self._figures: dict[tuple[int, tuple[int, ...]], dict[int, int]] = {}
        self._halves: dict[int, tuple[Picks, Picks]] = {}
        self._tables: dict[object, list[list[int]]] = {}
        self.leads = RelaxedLeads(self.p, self.sites, self._shares)
        self.most_inlets = self.leads.most_inlets
        self.tolls = layout.problem.tolls
        self.used: Counter[str] = Counter()
        """How often a joiner was put at each place in them."""
        self.trees: list[Tree] = []
        """What meets in layouts that came to the least with some toll or other; in the last with those that stay."""
        self.least = self._least()
        self._find_tolls()

    def lead(self, source: int, target: int, mask: int, feeds: int) -> int:
        """The least that a lead adds with what it loses, and the path of the joiner at its end.

        source: the place that it leaves, with one feed the pack; feeds: leads into the joiner that it comes from.
        """
        borne = self.leads.least(source, target, feeds == 1, self._shares[mask])
        if feeds == 1:
            return borne[0]
        return min(borne[feeds], borne[0] + self._fuse(mask, feeds))

    def _fuse(self, mask: int, feeds: int) -> int:
        """The least that a fuse of its own costs behind a set, or leaving it out: a finding, of two leads a note."""
        without = self.p.score.finding if feeds > FEEDS_AS_A_NOTE else self.p.score.noted
        fuse = self._own_fuse(mask)
        return without if fuse is None else min(without, fuse)

    def _own_fuse(self, mask: int) -> int | None:
        """The cheapest fuse behind a set."""
        if mask not in self._fuses:
            fuses = self.p.fuses(mask) if self.p.may_fuse(mask) else ()
            self._fuses[mask] = min(map(self.p.fuse_score, fuses), default=None)
        return self._fuses[mask]

    def _priced(self) -> dict[tuple[int, int], tuple[int, int]]:
        """The least that a joiner with so many inlets costs at each place, tolls included, and its site."""
        found = {}
        for at, numbers in enumerate(self.sites):
            for k in range(2, self.slots[at] + 1):
                found[at, k] = min(
                    (self.p.sites[number].score + self.tolls.paid(self.p.sites[number].use), number)
                    for number in numbers
                    if self.p.sites[number].slots >= k
                )
        return found

    def _first(self, number: int, target: int) -> int:
        terminal = self.p.terminals[number]
        fuses = self.p.fuses(1 << number) if terminal.must_fuse else ()
        fuse = min(map(self.p.fuse_score, fuses), default=0)
        toll = self.tolls.paid(terminal.used)
        return min(label.score for label in terminal.labels) + toll + fuse + self.lead(number, target, 1 << number, 1)

    def _least(self) -> int | None:
        """The least with the tolls as they are: what they come to at the most is taken off it."""
        self.price, self._figures = self._priced(), {}
        every = (1 << self.count) - 1
        # A joiner has no more leads into it than packs behind them.
        exits_of = [tuple((at, k) for at, k in self.price if k <= packs) for packs in range(self.count + 1)]
        brought = [[[NEVER] * (every + 1) for _ in range(self.slots[target] + 1)] for target in self.targets]
        self.brought = brought
        for mask in range(1, every + 1):
            if not mask & (mask - 1):
                for target in self.targets:
                    brought[target][1][mask] = self._first(mask.bit_length() - 1, target)
                continue
            firsts, others = self._parts(mask)
            for rows in brought:
                single = others(rows[1])
                for k in range(2, len(rows)):
                    rows[k][mask] = min(map(add, firsts(rows[k - 1]), single))
            exits = exits_of[mask.bit_count()]
            joined = [brought[at][k][mask] + self.price[at, k][0] for at, k in exits]
            for rows, leads in zip(brought, self._leads_from(mask, exits), strict=True):
                rows[1][mask] = min(map(add, joined, leads), default=NEVER)
        found = min((row[every] for row in brought[ROOT][1:]), default=NEVER)
        return None if found >= NEVER else found - self.tolls.most()

    def _parts(self, mask: int) -> tuple[Picks, Picks]:
        """What picks the figures of both parts of a set out of those of all sets, for each way to part it in two."""
        if mask not in self._halves:
            pairs = _splits(mask)
            pairs *= 1 + (len(pairs) == 1)  # One alone would be picked bare.
            firsts, others = zip(*pairs, strict=True)
            self._halves[mask] = itemgetter(*firsts), itemgetter(*others)
        return self._halves[mask]

    def _leads_from(self, mask: int, exits: tuple[tuple[int, int], ...]) -> list[list[int]]:
        """What a lead adds to each place, from each place and with so many leads into its joiner."""
        key = (self._shares[mask], self._own_fuse(mask), exits)
        if key not in self._tables:
            share, fuses = key[0], [0, 0, *(self._fuse(mask, k) for k in range(2, self.most_inlets + 1))]
            self._tables[key] = table = []
            for target in self.targets:
                row, before = [], None
                for at, k in exits:
                    if at != before:
                        borne, before = self.leads.least(at, target, False, share), at
                    row.append(min(borne[k], borne[0] + fuses[k]))
                table.append(row)
        return self._tables[key]

    def _found(self) -> int:
        """What the joiners of the least take up, and what was taken up before; its tree is remembered."""
        used = sum(terminal.used for terminal in self.p.terminals)
        tree: Tree = {}
        for mask, at, parts in self._joiners():
            tree[mask] = parts
            self.used[self.places[at]] += 1
            used += self.p.sites[self.price[at, len(parts)][1]].use
        self.trees = [each for each in self.trees if each != tree] + [tree]
        return used

    def _find_tolls(self) -> None:
        """Raise the toll on what is taken up too much and lower it on what is not, as long as the least rises by it."""
        if self.least is None:
            return
        first = self.p.score.first
        tolls = [0.0] * len(self.p.rooms)
        best, step, kept = self.least, FIRST_STEP, self.tolls
        each_round = 1 + sums(self.layout) // SUMS
        for _ in range(min(ROUNDS, ON_TOLLS // each_round)):
            self.p.effort.spend(each_round)
            used = self._found()
            beyond = [room.beyond(used, toll) for room, toll in zip(self.p.rooms, tolls, strict=True)]
            if not any(beyond):
                break
            length = step * first(best) / sum(each * each for each in beyond)
            tolls = [toll + length * each for toll, each in zip(tolls, beyond, strict=True)]
            self.tolls = Tolls(self.p.rooms, [self.p.score.of_first(toll) for toll in tolls])
            least = self._least()
            assert least is not None
            if least > best:
                best, kept = least, self.tolls
            else:
                step *= SHORTER
        if self.tolls is not kept:
            self.tolls = kept
            self._least()
        self._found()
        self.least = best

    def _joiners(self) -> Iterator[tuple[int, int, tuple[int, ...]]]:
        """The joiners of a layout that comes to the least: what meets there, the place, and what is brought to it."""
        every = (1 << self.count) - 1
        rows = self.brought[ROOT]
        inlets = min(range(1, len(rows)), key=lambda k: rows[k][every])
        waiting = self._children(every, ROOT, inlets)
        while waiting:
            mask, target = waiting.pop()
            if not mask & (mask - 1):
                continue
            _, at, inlets = min(
                (self.brought[at][k][mask] + price + self.lead(at, target, mask, k), at, k)
                for (at, k), (price, _) in self.price.items()
            )
            children = self._children(mask, at, inlets)
            yield mask, at, tuple(part for part, _ in children)
            waiting += children

    def tree(self) -> Tree:
        """Which sets meet in a layout that comes to the least figure: each set with those that are brought together."""
        return {mask: parts for mask, _, parts in self._joiners()}

    def figure(self, tree: Tree) -> float:
        """The least that a tree comes to."""
        whole = (1 << self.count) - 1
        found = self._arriving(tree, whole)[ROOT] if whole in tree else NEVER
        return inf if found >= NEVER else found - self.tolls.most()

    def _arriving(self, tree: Tree, mask: int) -> dict[int, int]:
        """The least of a set of a tree brought to each place."""
        key = (mask, tuple(sorted(each for each in tree if each | mask == mask)))
        if key not in self._figures:
            if mask not in tree:
                self._figures[key] = {target: self.brought[target][1][mask] for target in self.targets}
                return self._figures[key]
            before = [self._arriving(tree, part) for part in tree[mask]]
            exits = tuple((at, k) for at, k in self.price if k == len(before))
            joined = [sum(each[at] for each in before) + self.price[at, k][0] for at, k in exits]
            leads = self._leads_from(mask, exits)
            self._figures[key] = {
                target: min(map(add, joined, each), default=NEVER)
                for target, each in zip(self.targets, leads, strict=True)
            }
        return self._figures[key]

    def _children(self, mask: int, target: int, inlets: int) -> list[tuple[int, int]]:
        """The sets that a set was brought to a place as, each with that place."""
        found = []
        rows = self.brought[target]
        while inlets > 1:
            first, other = min(_splits(mask), key=lambda pair: rows[inlets - 1][pair[0]] + rows[1][pair[1]])
            found.append((other, target))
            mask, inlets = first, inlets - 1
        return [*found, (mask, target)]


def with_tree(problem: Problem, tree: Tree) -> Problem:
    """The same problem with what meets fixed: places, joiners, wires and fuses stay open."""
    arriving = {part for parts in tree.values() for part in parts} | {(1 << len(problem.terminals)) - 1}
    sets = set(arriving)
    for parts in tree.values():
        halves = {0}
        for part in parts:
            halves |= {half | part for half in halves}
        sets |= halves - {0}
    before = problem.meets
    return replace(
        problem,
        sets=frozenset(sets),
        meets=lambda mask, site: mask in tree and (before is None or before(mask, site)),
        splits_into=lambda mask, site: mask in arriving,
    )


def _splits(mask: int) -> list[tuple[int, int]]:
    """A set in two, the first with its first member in it."""
    lowest = mask & -mask
    rest = mask ^ lowest
    found = []
    sub = rest
    while sub:
        found.append((mask ^ sub, sub))
        sub = (sub - 1) & rest
    return found
