"""The exact part of the search: labels of growing sets of packs, with capacities, volts and fuses, below a cap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import TYPE_CHECKING

from packyoke.planning.bounds import NEVER, BoundRow
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.labels import HAIR_V, Begun, Closed, Label, Led, Option, Together, carried, joined, kept

if TYPE_CHECKING:
    from packyoke.planning.search import Search

ROOT = -1
Held = dict[int, list[Label]]
"""Labels by what they take up: places, given joiners."""


TRIED = 6
"""Leads tried for each label that may be made: most of them are dropped at once."""


class TooMany(Exception):
    """More ways than can be followed in reasonable time."""


class _Growth:
    def __init__(self, search: Search, cap: int | None, beam: int | None, most: int) -> None:
        self.s, self.p, self.b, self.cap, self.beam = search, search.p, search.bounds, cap, beam
        self.most = most
        self.gathered: dict[tuple[int, int], Held] = {}
        self.brought: dict[tuple[int, int, int], Held] = {}
        self.collected: dict[tuple[int, int, int], Held] = {}
        self.arrived: dict[int, list[int]] = {target: [] for target in search.targets}
        """The sets that were brought to each node."""

    def run(self) -> list[Label]:
        for mask in self.s.sets:
            if mask & (mask - 1):
                for target in self.s.targets:
                    self._collect(mask, target)
                for node in self.s.sources(mask):
                    self._join(mask, node)
            else:
                self._start(mask)
            here = [(node, self.gathered[mask, node]) for node in self.s.sources(mask) if (mask, node) in self.gathered]
            for target in self.s.targets if here else ():
                for inlet in self.s.inlets(target):
                    self._bring(mask, target, inlet, here)
                if (mask, target, 0) in self.brought:
                    self.collected[mask, target, 1] = self.brought[mask, target, 0]
                if any((mask, target, inlet) in self.brought for inlet in self.s.inlets(target)):
                    self.arrived[target].append(mask)
        found = []
        for inlet in range(1, self.s.slots(ROOT) + 1):
            for used, labels in self.collected.get((self.s.all, ROOT, inlet), {}).items():
                if self.p.complete(used):
                    found += labels
        return found

    def _alive(self, label: Label, outside: BoundRow | None) -> bool:
        """Whether a label can still end below the cap; one that loses too many volts is a finding more."""
        if outside is None:
            return False
        if self.cap is None:
            return True
        least = label.score + outside[self.b.feed(label)]
        return least + (self.p.score.missed(label.over_v) if label.over_v > HAIR_V else 0) <= self.cap

    def _kept(self, held: Held) -> Held:
        """What is worth following of all that was made."""
        self.s.made += sum(map(len, held.values()))
        if self.s.made > self.s.most_labels or self.s.tried > TRIED * self.s.most_labels:
            raise TooMany
        found = {used: kept(labels, self.most) for used, labels in held.items() if labels}
        if self.beam is not None:
            best = sorted((n, label.score, used) for used, labels in found.items() for n, label in enumerate(labels))
            chosen = {(used, n) for n, _, used in best[: self.beam]}
            found = {
                used: [label for n, label in enumerate(labels) if (used, n) in chosen] for used, labels in found.items()
            }
        return {used: labels for used, labels in found.items() if labels}

    def _start(self, mask: int) -> None:
        number = mask.bit_length() - 1
        terminal = self.p.terminals[number]
        outside = self.b.outside_f.get((mask, number))
        labels = [
            label._replace(kind=(self.s.kinds[terminal.kind, ()],), trace=Begun(number, label.trace))
            for label in terminal.labels
            if self._alive(label, outside)
        ]
        if labels:
            self.gathered[mask, number] = {terminal.used: labels}

    def _bring(self, mask: int, target: int, inlet: int, sources: list[tuple[int, Held]]) -> None:
        """Everything that a set can be when it arrives at a node, from the outlets where it was gathered."""
        outside = self.b.outside_d.get((mask, target))
        if outside is None or not self.s.may_arrive(mask, target):
            return
        fuses = self.p.fuses(mask)
        may_fuse = self.p.may_fuse(mask)
        least = min(outside)
        ahead = outside
        if fuses and may_fuse:
            # Whatever feeds the lead, with a fuse in it it is one that feeds what comes next.
            anew = outside[1] + min(map(self.p.fuse_score, fuses))
            ahead = [min(cost, anew) for cost in outside]
        path = 0 if target == ROOT else self.p.sites[target - self.s.count].path_loss(self.s.shares[mask])
        arrived: Held = {}
        for node, held in sources:
            options = self.p.wires(node, target, inlet)
            if not options:
                continue
            # One that it has already costs nothing more.
            given = any(option.fuse is not None for option in options)
            onward = [min(cost, outside[1]) for cost in ahead] if given else ahead
            must_fuse = node < self.s.count and self.p.terminals[node].must_fuse and bool(fuses)
            plain = [(option, self.s.loss(option.watts_w, mask) + path) for option in options]
            for used, labels in held.items():
                here = arrived.setdefault(used, [])
                self.s.tried += len(labels) * len(plain)
                for label in labels:
                    if not self._alive(label, onward):
                        continue
                    for option, loss in plain:
                        if label.score + option.score + loss + least > (self.cap or inf):
                            continue
                        for fused, more in self._fusings(option, label, fuses, may_fuse, must_fuse, mask):
                            trace = Led(target, inlet, label.trace)
                            further = carried(label, fused, loss + more, self.p.score, label.kind, trace)
                            if further is not None and self._alive(further, outside):
                                here.append(further)
        found = self._kept(arrived)
        if found:
            self.brought[mask, target, inlet] = found

    def _fusings(
        self, option: Option, label: Label, fuses: Sequence[FuseKind], may_fuse: bool, must_fuse: bool, mask: int
    ) -> Iterator[tuple[Option, int]]:
        """The lead as it is, and one without a fuse with each that lets less through than what feeds it already."""
        if option.fuse is not None or not (must_fuse and may_fuse):
            yield option, 0
        if option.fuse is not None:
            return
        holding = option if must_fuse or option.holder_m is not None else option.held
        if may_fuse and holding is not None:
            longer = 0 if holding is option else self.s.loss(holding.watts_w, mask) - self.s.loss(option.watts_w, mask)
            for fuse in fuses:
                if fuse.rating_a < label.total_a:
                    yield holding._replace(fuse=fuse), self.p.fuse_score(fuse) + longer

    def _collect(self, mask: int, target: int) -> None:
        """One more child for a joiner at a site."""
        slots = self.s.slots(target)
        uniform = len(self.s.inlets(target)) == 1
        lowest = mask & -mask
        parts = [
            part for part in self.arrived[target] if part & mask == part != mask and not (uniform and part & lowest)
        ]
        for inlet in range(2, slots + 1) if parts else ():
            outside = self.b.outside_j.get((mask, target, inlet))
            if outside is None:
                continue
            collected: Held = {}
            for part in parts:
                first = mask ^ part
                before = self.collected.get((first, target, inlet - 1))
                more = self.brought.get((part, target, 0 if uniform else inlet - 1)) if before else None
                if before and more:
                    self._pairs(before, more, outside, collected)
            found = self._kept(collected)
            if found:
                self.collected[mask, target, inlet] = found

    def _pairs(self, before: Held, more: Held, outside: BoundRow, into: Held) -> None:
        room_of_all = (self.cap if self.cap is not None else NEVER) - min(outside)
        for used, labels in before.items():
            for other_used, others in more.items():
                if not self.p.fits(used + other_used):
                    continue
                here = into.setdefault(used + other_used, [])
                for one in labels:
                    room = room_of_all - one.score
                    for other in others:
                        if other.score <= room:
                            kind = tuple(sorted(one.kind + other.kind))
                            label = joined(one, other, kind, Together(one.trace, other.trace))
                            if self._alive(label, outside):
                                here.append(label)

    def _join(self, mask: int, node: int) -> None:
        """Close a joiner: its children are together at its outlet."""
        site = self.p.sites[node - self.s.count]
        outside = self.b.outside_f.get((mask, node))
        if outside is None:
            return
        joined_here: Held = {}
        for inlet in range(2, site.slots + 1):
            for used, labels in self.collected.get((mask, node, inlet), {}).items():
                if not self.p.fits(used + site.use):
                    continue
                here = joined_here.setdefault(used + site.use, [])
                for label in labels:
                    closed = Label(
                        label.score + site.score,
                        label.over_v + site.volts_v,
                        label.total_a,
                        label.largest_a,
                        (self.s.kinds[site.kind, label.kind],),
                        Closed(node, label.trace),
                        label.feeds,
                    )
                    if self._alive(closed, outside):
                        here.append(closed)
        found = self._kept(joined_here)
        if found:
            self.gathered[mask, node] = found


def grow(search: Search, cap: int | None, beam: int | None = None, most: int = 2) -> list[Label]:
    """Every label at the root that can be among the best `most` layouts below a cap; all not beaten without one.

    With a beam only the most promising labels at each node are followed. Raises TooMany.
    """
    return _Growth(search, cap, beam, most).run()
