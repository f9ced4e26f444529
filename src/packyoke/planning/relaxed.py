"""What any layout of many packs comes to at least: the problem without room and volts, fuses only counted.

    J[S][v][k]: the packs S brought to a place v as k leads, k = 1: as a single one

Every place counts as if it held each joiner at once, at the least price that so many inlets cost. A lead behind k fused
leads bears k of the smallest fuses, or has a fuse of its own.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

from packyoke.analysis.limits.fusing import FEEDS_AS_A_NOTE, largest_fuse_a
from packyoke.analysis.limits.margins import above
from packyoke.planning.catalogue import fits_together
from packyoke.planning.labels import Option

if TYPE_CHECKING:
    from packyoke.planning.layout import Layout
    from packyoke.planning.search import Problem

MOST_PACKS = 12
"""Beyond, the sets are too many to work through in seconds."""
ROOT = -1
RelaxedWire = tuple[int, float, float, int]
"""Score, loss [W], amps that it bears, and the node that it ends at."""
Tree = dict[int, tuple[int, ...]]
"""Each set that meets in a joiner, with the sets that its leads bring."""


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
        self._leads: dict[tuple[int, int, int, float, int], float] = {}
        self._made: dict[tuple[int, int, bool], list[RelaxedWire]] = {}
        self._figures: dict[tuple[int, tuple[int, ...]], dict[int, float]] = {}
        self.smallest_a = self._smallest_a()
        self.brought: list[list[list[float]]] = []
        self.price: dict[tuple[int, int], float] = {}
        self.least = self._least()

    def _smallest_a(self) -> float:
        """The smallest fuse that a pack can have or a drawn lead has; nothing where some pack has none at all [A]."""
        found = self.p.given_a()
        for number, terminal in enumerate(self.p.terminals):
            fuses = self.p.fuses(1 << number)
            if terminal.must_fuse and fuses:
                found += [fuse.rating_a for fuse in fuses]
            else:
                found += [label.largest_a for label in terminal.labels]
                found += [fuse.rating_a for fuse in fuses]
        return min(found, default=0.0)

    def _nodes(self, at: int) -> list[int]:
        return [ROOT] if at == ROOT else [self.count + number for number in self.sites[at]]

    def _wires(self, source: int, target: int, single: bool) -> list[RelaxedWire]:
        """Every lead that may be the best from a terminal or a place to a place."""
        key = (source, target, single)
        if key not in self._made:
            nodes = [source] if single else self._nodes(source)
            found: list[RelaxedWire] = []
            for end in self._nodes(target):
                site = self.p.sites[end - self.count] if end != ROOT else None
                inlets = range(1 if site is None or site.uniform else site.slots)
                options = {
                    # A fuse that a lead has already guards its wire, whatever feeds it.
                    (option.score, option.watts_w, -option.amps_a if option.fuse is None else -inf)
                    for node in nodes
                    for inlet in inlets
                    for option in self.p.wires(node, end, inlet)
                    if self._guarded(option)
                }
                found += [
                    (score, watts_w, -less_a, end)
                    for score, watts_w, less_a in options
                    if not any(
                        other != (score, watts_w, less_a)
                        and other[0] <= score
                        and other[1] <= watts_w
                        and other[2] <= less_a
                        for other in options
                    )
                ]
            self._made[key] = found
        return self._made[key]

    def _guarded(self, option: Option) -> bool:
        """Whether the smallest fuse that there is guards a wire."""
        if option.fuse is not None or option.amps_a == inf or not above(self.smallest_a, option.amps_a):
            return True
        return not above(self.smallest_a, largest_fuse_a(option.amps_a, option.full_v))

    def lead(self, source: int, target: int, mask: int, feeds: int) -> float:
        """The least that a lead adds with what it loses, and the path of the joiner at its end.

        source: the place that it leaves, with one feed the pack; feeds: leads into the joiner that it comes from.
        """
        share = self._shares[mask]
        own = self._fuse(mask, feeds) if feeds > 1 and self.smallest_a else 0
        key = (source, target, feeds, share, own)
        if key not in self._leads:
            loss = self.p.score.of
            self._leads[key] = min(
                (
                    score
                    + loss("loss", watts_w * share**2)
                    + (0 if end == ROOT else self.p.sites[end - self.count].path_loss(share))
                    + (0 if not own or fits_together(feeds * self.smallest_a, amps_a) else own)
                    for score, watts_w, amps_a, end in self._wires(source, target, feeds == 1)
                ),
                default=inf,
            )
        return self._leads[key]

    def _fuse(self, mask: int, feeds: int) -> int:
        """The least that a fuse of its own costs behind a set, or leaving it out: a finding, of two leads a note."""
        without = self.p.score.finding if feeds > FEEDS_AS_A_NOTE else self.p.score.noted
        if mask not in self._fuses:
            fuses = self.p.fuses(mask) if self.p.may_fuse(mask) else ()
            self._fuses[mask] = min(map(self.p.fuse_score, fuses), default=None)
        fuse = self._fuses[mask]
        return without if fuse is None else min(without, fuse)

    def _joiner(self, at: int, inlets: int) -> float:
        """The least that a joiner with so many inlets costs at a place."""
        fitting = [self.p.sites[number].score for number in self.sites[at] if self.p.sites[number].slots >= inlets]
        return min(fitting, default=inf)

    def _first(self, number: int, target: int) -> float:
        terminal = self.p.terminals[number]
        fuses = self.p.fuses(1 << number) if terminal.must_fuse else ()
        fuse = min(map(self.p.fuse_score, fuses), default=0)
        return min(label.score for label in terminal.labels) + fuse + self.lead(number, target, 1 << number, 1)

    def _least(self) -> int | None:
        every = (1 << self.count) - 1
        most = max(self.slots.values(), default=1)
        price = {(at, k): self._joiner(at, k) for at in range(len(self.places)) for k in range(2, most + 1)}
        brought: list[list[list[float]]] = [[] for _ in range(every + 1)]
        self.price, self.brought = price, brought
        for mask in range(1, every + 1):
            single = not mask & (mask - 1)
            parts = [] if single else _splits(mask)
            here = []
            for target in self.targets:
                row = [inf] * (self.slots[target] + 1)
                for k in range(2, len(row)) if parts else ():
                    row[k] = min([brought[first][target][k - 1] + brought[other][target][1] for first, other in parts])
                here.append(row)
            brought[mask] = here
            if single:
                number = mask.bit_length() - 1
                for target in self.targets:
                    here[target][1] = self._first(number, target)
                continue
            joined = [
                (at, k, here[at][k] + price[at, k])
                for at in range(len(self.places))
                for k in range(2, len(here[at]))
                if here[at][k] < inf
            ]
            for target in self.targets:
                here[target][1] = min((cost + self.lead(at, target, mask, k) for at, k, cost in joined), default=inf)
        found = min(brought[every][ROOT][1:])
        return None if found == inf else int(found)

    def tree(self) -> Tree:
        """Which sets meet in a layout that comes to the least figure: each set with those that are brought together."""
        every = (1 << self.count) - 1
        row = self.brought[every][ROOT]
        found: Tree = {}
        inlets = min(range(1, len(row)), key=row.__getitem__)
        waiting = self._children(every, ROOT, inlets)
        while waiting:
            mask, target = waiting.pop()
            if not mask & (mask - 1):
                continue
            _, at, inlets = min(
                (self.brought[mask][at][k] + self.price[at, k] + self.lead(at, target, mask, k), at, k)
                for at in range(len(self.places))
                for k in range(2, self.slots[at] + 1)
            )
            children = self._children(mask, at, inlets)
            found[mask] = tuple(part for part, _ in children)
            waiting += children
        return found

    @property
    def most_inlets(self) -> int:
        return max((self.slots[at] for at in range(len(self.places))), default=0)

    def figure(self, tree: Tree) -> float:
        """The least that a tree comes to."""
        whole = (1 << self.count) - 1
        return self._arriving(tree, whole)[ROOT] if whole in tree else inf

    def _arriving(self, tree: Tree, mask: int) -> dict[int, float]:
        """The least of a set of a tree brought to each place."""
        key = (mask, tuple(sorted(each for each in tree if each | mask == mask)))
        if key not in self._figures:
            if mask not in tree:
                self._figures[key] = {target: self.brought[mask][target][1] for target in self.targets}
                return self._figures[key]
            before = [self._arriving(tree, part) for part in tree[mask]]
            k = len(before)
            joined = {
                at: sum(each[at] for each in before) + self.price.get((at, k), inf) for at in range(len(self.places))
            }
            self._figures[key] = {
                target: min(
                    (cost + self.lead(at, target, mask, k) for at, cost in joined.items() if cost < inf), default=inf
                )
                for target in self.targets
            }
        return self._figures[key]

    def _children(self, mask: int, target: int, inlets: int) -> list[tuple[int, int]]:
        """The sets that a set was brought to a place as, each with that place."""
        found = []
        while inlets > 1:
            first, other = min(
                _splits(mask),
                key=lambda pair: self.brought[pair[0]][target][inlets - 1] + self.brought[pair[1]][target][1],
            )
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
