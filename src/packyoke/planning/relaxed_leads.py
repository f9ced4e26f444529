"""The least that a lead adds from a pack or a place to a place, whichever joiners stand there."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from math import inf
from typing import TYPE_CHECKING

from packyoke.analysis.limits.fusing import largest_fuse_a
from packyoke.analysis.limits.margins import above
from packyoke.planning.bounds import NEVER
from packyoke.planning.catalogue import fits_together
from packyoke.planning.growing import ROOT
from packyoke.planning.labels import Option

if TYPE_CHECKING:
    from packyoke.planning.search import Problem

RelaxedWire = tuple[int, float, int, int]
"""Score, loss [W], how many of the smallest fuses it bears together, and the number of what its joiner loses."""


class RelaxedLeads:
    """Leads between terminals, places (by number) and the load, each made as cheaply as it can be.

    sites: the numbers of those at each place; shares: of the load, behind each set of packs
    """

    def __init__(self, problem: Problem, sites: Sequence[Sequence[int]], shares: Sequence[float]) -> None:
        self.p, self.sites, self.shares = problem, sites, shares
        self.count = len(problem.terminals)
        self.most_inlets = max((site.slots for site in problem.sites), default=0)
        self.smallest_a = self._smallest_a()
        self._made: dict[tuple[int, int, bool], int] = {}
        self._wires: list[tuple[RelaxedWire, ...]] = []
        """What leads can be made of; leads of which that is the same have one number."""
        self._numbers: dict[tuple[RelaxedWire, ...], int] = {}
        self._weights: dict[int, tuple[frozenset[tuple[int, float, int]], Sequence[Option]]] = {}
        self._chosen: dict[frozenset[int], list[tuple[int, float, int]]] = {}
        self._worth: dict[tuple[int, float], list[int]] = {}
        self._bears: dict[float, int] = {}
        self._losses: dict[float, int] = {}
        self._paths: dict[tuple[int, ...], int] = {}
        """What a joiner loses with each share of the load; numbered."""
        self._ends = {target: self._ends_at(target) for target in (*range(len(sites)), ROOT)}
        self._lost_in = [*self._paths]

    def least(self, source: int, target: int, single: bool, share: float) -> list[int]:
        """The least that a lead adds whose wire bears so many of the smallest fuses, for each number of them."""
        key = (self._wire_number(source, target, single), share)
        if key not in self._worth:
            least = self._worth[key] = [NEVER] * (self.most_inlets + 1)
            at = self.shares.index(share)
            for score, watts_w, bears, lost in self._wires[key[0]]:
                least[bears] = min(least[bears], score + self._loss(watts_w * share**2) + self._lost_in[lost][at])
            for fewer in reversed(range(self.most_inlets)):
                least[fewer] = min(least[fewer], least[fewer + 1])
        return self._worth[key]

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

    def _ends_at(self, at: int) -> dict[int, list[tuple[int, int]]]:
        """The inlets at a place that differ, by what their joiners lose."""
        found: dict[int, dict[Hashable, tuple[int, int]]] = {}
        for end in [ROOT] if at == ROOT else [self.count + number for number in self.sites[at]]:
            site = self.p.sites[end - self.count] if end != ROOT else None
            lost = tuple(0 if site is None else site.path_loss(share) for share in self.shares)
            alike = found.setdefault(self._paths.setdefault(lost, len(self._paths)), {})
            for inlet in range(1 if site is None or site.uniform else site.slots):
                alike.setdefault(self.p.enters(end, inlet), (end, inlet))
        return {lost: [*alike.values()] for lost, alike in found.items()}

    def _wire_number(self, source: int, target: int, single: bool) -> int:
        """Every lead that may be the best from a terminal or a place to a place, as a number of `_wires`."""
        key = (source, target, single)
        if key not in self._made:
            nodes = [source] if single else [self.count + number for number in self.sites[source]]
            nodes = [*{self.p.leaves(node): node for node in nodes}.values()]
            found: list[RelaxedWire] = []
            for lost, ends in self._ends[target].items():
                ways = [self.p.wires(node, *end) for node in nodes for end in ends]
                found += [(*wire, lost) for wire in self._best({id(way): way for way in ways})]
            wires = tuple(sorted(found))
            self._made[key] = self._numbers.setdefault(wires, len(self._wires))
            if self._made[key] == len(self._wires):
                self._wires.append(wires)
        return self._made[key]

    def _best(self, ways: dict[int, Sequence[Option]]) -> list[tuple[int, float, int]]:
        """Score, loss and how much they bear of the wires of some leads, by their ids, that may be the best."""
        key = frozenset(ways)
        if key not in self._chosen:
            options = set().union(*map(self._weighed, ways.values()))
            self._chosen[key] = [
                (score, watts_w, -less)
                for score, watts_w, less in options
                if not any(
                    other != (score, watts_w, less) and other[0] <= score and other[1] <= watts_w and other[2] <= less
                    for other in options
                )
            ]
        return self._chosen[key]

    def _weighed(self, options: Sequence[Option]) -> frozenset[tuple[int, float, int]]:
        """Score, loss and how little they bear of wires that are guarded; leads that are alike have the same wires."""
        if id(options) not in self._weights:
            kept = [each for each in options if self._guarded(each)]
            found = frozenset((each.score, each.watts_w, -self._borne(each)) for each in kept)
            self._weights[id(options)] = found, options  # kept, so that nothing else has its id
        return self._weights[id(options)][0]

    def _borne(self, option: Option) -> int:
        """How many of the smallest fuses a wire bears together. A fuse that a lead has guards it, whatever feeds it."""
        if option.fuse is not None or not self.smallest_a:
            return self.most_inlets
        if option.amps_a not in self._bears:
            counts = range(1, self.most_inlets + 1)
            self._bears[option.amps_a] = sum(fits_together(n * self.smallest_a, option.amps_a) for n in counts)
        return self._bears[option.amps_a]

    def _guarded(self, option: Option) -> bool:
        """Whether the smallest fuse that there is guards a wire."""
        if option.fuse is not None or option.amps_a == inf or not above(self.smallest_a, option.amps_a):
            return True
        return not above(self.smallest_a, largest_fuse_a(option.amps_a, option.full_v))

    def _loss(self, watts_w: float) -> int:
        if watts_w not in self._losses:
            self._losses[watts_w] = self.p.score.of("loss", watts_w)
        return self._losses[watts_w]
