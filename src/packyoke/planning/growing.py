"""The exact part of the search: labels of growing sets of packs, with capacities, volts and fuses, below a cap."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from heapq import nsmallest
from typing import TYPE_CHECKING, NamedTuple

from packyoke.planning.bounds import NEVER, BoundRow
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.labels import (
    HAIR_V,
    Begun,
    Closed,
    Label,
    Led,
    Option,
    Together,
    fed_behind,
    figures,
    joined,
    kept,
    over_limit,
)

if TYPE_CHECKING:
    from packyoke.planning.search import Search

ROOT = -1
Held = dict[int, list[Label]]
"""Labels by what they take up: places, given joiners."""


TRIED = 4
"""Leads and pairs tried for each label that may be made: most of them are dropped at once."""
LOOKED_AT = 8
"""For each label that a beam keeps, the cheapest ones that are looked at."""
OF_A_SET = 6
"""For each label that a beam keeps at a node, those of a set that are led on from all its outlets."""

PricedLead = tuple[int, Option, int]
"""What it costs with what it loses, how it is made, and what of it is not in the score of that."""


class Leads(NamedTuple):
    """From one node to another, the cheapest first: without a fuse, with the one that was drawn, with a new one."""

    plain: list[PricedLead]
    given: list[PricedLead]
    fused: list[PricedLead]


class Way(NamedTuple):
    """A lead behind a label: what it adds, and what feeds the place at its end (`state` as the bounds tell it)."""

    cost: int
    volts_v: float
    state: int
    total_a: float
    largest_a: float
    feeds: int


class TooMany(Exception):
    """More ways than can be followed in reasonable time."""


class _Growth:
    def __init__(self, search: Search, cap: int | None, beam: int | None, most: int, thin: bool = False) -> None:
        self.s, self.p, self.b, self.beam = search, search.p, search.bounds, beam
        self.cap = NEVER if cap is None else cap + search.toll
        self.thin = thin
        self.most, self.counted = most, search.tried
        self.beyond = NEVER
        """The least that anything dropped for the cap would come to."""
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
            here = self._thinned(mask, here)
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
                    found += self._untolled(labels, used)
        self.s.beyond = self.beyond - self.s.toll
        return found

    def _untolled(self, labels: list[Label], used: int) -> list[Label]:
        """Whole plans without their tolls. One that paid less than the most may be above the cap: it is left out."""
        paid = self.p.tolls.paid(used)
        cap = self.cap - self.s.toll
        over = self.p.score.missed
        found = []
        for label in labels:
            plain = label._replace(score=label.score - paid)
            least = plain.score + (over(plain.over_v) if over_limit(plain) else 0)
            if least <= cap:
                found.append(plain)
            else:
                self._dropped(least + self.s.toll)
        return found

    def _alive(self, score: int, over_v: float, ahead: int) -> bool:
        """Whether what has come to so much can still end below the cap, with so much ahead."""
        least = self._least(score, over_v, ahead)
        if least > self.cap:
            self._dropped(least)
            return False
        return True

    def _dropped(self, least: int) -> None:
        """Something would come to so much at the least: a cap below that leads to nothing new."""
        if least < self.beyond:
            self.beyond = least

    def _least(self, score: int, over_v: float, ahead: int) -> int:
        """What it ends in at the least; a way that loses too many volts is a finding more."""
        return score + ahead + (self.p.score.missed(over_v) if over_v > HAIR_V else 0)

    def _state(self, label: Label) -> int:
        return self.b.state(label.total_a, label.feeds)

    def _kept(self, held: Held, outside: BoundRow) -> Held:
        """What is worth following of all that was made."""
        made = sum(map(len, held.values()))
        self.s.made += made
        self.p.effort.spend(made + self.s.tried - self.counted)
        self.counted = self.s.tried
        if self.s.made > self.s.most_labels or self.s.tried > TRIED * self.s.most_labels or self.p.effort.gone:
            raise TooMany
        if self.beam is not None and self.thin:
            held = {used: nsmallest(LOOKED_AT * self.beam, labels, figures) for used, labels in held.items()}
        found = {used: kept(labels, self.most) for used, labels in held.items() if labels}
        if self.beam is not None:
            ranked = self._ranked([(found, outside)])[: self.beam]
            chosen = {(used, n) for n, _, _, used in ranked}
            found = {
                used: [label for n, label in enumerate(labels) if (used, n) in chosen] for used, labels in found.items()
            }
        return {used: labels for used, labels in found.items() if labels}

    def _ranked(self, several: Sequence[tuple[Held, BoundRow]]) -> list[tuple[int, int, int, int]]:
        """The most promising first: the best of each of what is taken up, by the least that it can end in."""
        ranked = []
        for number, (held, outside) in enumerate(several):
            for used, labels in held.items():
                ranked += [
                    (n, self._least(label.score, label.over_v, outside[self._state(label)]), number, used)
                    for n, label in enumerate(labels)
                ]
        return sorted(ranked)

    def _thinned(self, mask: int, here: list[tuple[int, Held]]) -> list[tuple[int, Held]]:
        """Of all that a set can be at the outlets where it was gathered, what is most promising."""
        if self.beam is None or not self.thin:
            return here
        ranked = self._ranked([(held, self.b.outside_f[mask, node]) for node, held in here])
        chosen = {(number, used, n) for n, _, number, used in ranked[: OF_A_SET * self.beam]}
        return [
            (
                node,
                {
                    used: [label for n, label in enumerate(labels) if (number, used, n) in chosen]
                    for used, labels in held.items()
                },
            )
            for number, (node, held) in enumerate(here)
        ]

    def _start(self, mask: int) -> None:
        number = mask.bit_length() - 1
        terminal = self.p.terminals[number]
        toll = self.p.tolls.paid(terminal.used)
        outside = self.b.outside_f.get((mask, number))
        if outside is None:
            return
        labels = [
            label._replace(
                score=label.score + toll, kind=(self.s.kinds[terminal.kind, ()],), trace=Begun(number, label.trace)
            )
            for label in terminal.labels
        ]
        labels = [label for label in labels if self._alive(label.score, label.over_v, outside[self._state(label)])]
        if labels:
            self.gathered[mask, number] = {terminal.used: labels}

    def _bring(self, mask: int, target: int, inlet: int, sources: list[tuple[int, Held]]) -> None:
        """Everything that a set can be when it arrives at a node, from the outlets where it was gathered."""
        outside = self.b.outside_d.get((mask, target))
        if outside is None or not self.s.may_arrive(mask, target):
            return
        path = 0 if target == ROOT else self.p.sites[target - self.s.count].path_loss(self.s.shares[mask])
        cap, least_ahead = self.cap, min(outside)
        arrived: Held = {}
        for node, held in sources:
            leads = self._leads(mask, node, target, inlet)
            self.s.tried += 1
            for used, labels in held.items() if any(leads) else ():
                here = arrived.setdefault(used, [])
                for label in labels:
                    trace = Led(target, inlet, label.trace)
                    before = label.score + path
                    for way in self._ways(leads, label):
                        score = before + way.cost
                        if score + least_ahead > cap:
                            self._dropped(score + least_ahead)
                            break
                        self.s.tried += 1
                        over_v = label.over_v + way.volts_v
                        if self._alive(score, over_v, outside[way.state]):
                            here.append(Label(score, over_v, way.total_a, way.largest_a, label.kind, trace, way.feeds))
        found = self._kept(arrived, outside)
        if found:
            self.brought[mask, target, inlet] = found

    def _leads(self, mask: int, node: int, target: int, inlet: int) -> Leads:
        """The leads from a node to another behind a set that may be the best."""
        options = self.p.wires(node, target, inlet)
        fuses = self.p.fuses(mask)
        may_fuse = self.p.may_fuse(mask)
        must_fuse = node < self.s.count and self.p.terminals[node].must_fuse and bool(fuses)
        # Leads that are alike were made once, and so were the fuses behind a set: they are the same objects.
        key = (id(options), self.s.shares[mask], id(fuses), may_fuse, must_fuse)
        known = self.p.leads.get(key)
        if known is None:
            given = [option for option in options if option.fuse is not None]
            bare = [option for option in options if option.fuse is None]
            holding = [option if must_fuse or option.holder_m is not None else option.held for option in bare]
            fused = [
                option._replace(fuse=fuse) for option in holding if may_fuse and option is not None for fuse in fuses
            ]
            plain = () if must_fuse and may_fuse else bare
            found = Leads(
                self._worth(mask, plain), self._worth(mask, given), self._worth(mask, fused, self.p.fuse_score)
            )
            # What its key names by id is kept with it.
            known = self.p.leads[key] = found, options, fuses
        return known[0]

    def _ways(self, leads: Leads, label: Label) -> list[Way]:
        """The leads that may be the best behind what feeds a label, the cheapest first."""
        # Leads that are alike are one object, which the search keeps.
        key = (id(leads), label.total_a, label.largest_a, label.feeds)
        found = self.s.ways.get(key)
        if found is None:
            found = self.s.ways[key] = []
            for way in sorted(self._ways_anew(leads, label), key=lambda each: each[:2]):
                if not any(_leaves_as_much(other, way) for other in found):
                    found.append(way)
        return found

    def _ways_anew(self, leads: Leads, label: Label) -> Iterator[Way]:
        for priced in leads:
            for cost, option, _ in priced:
                if priced is leads.fused and option.fuse is not None and option.fuse.rating_a >= label.total_a:
                    continue
                fed = fed_behind(label, option, self.p.score)
                if fed is not None:
                    state = self.b.state(fed.total_a, fed.feeds)
                    yield Way(cost + fed.more, option.volts_v, state, fed.total_a, fed.largest_a, fed.feeds)

    def _worth(
        self, mask: int, options: Iterable[Option], fuse_score: Callable[[FuseKind], int] | None = None
    ) -> list[PricedLead]:
        """What they cost with what they lose, the cheapest first, without those that another one beats.

        fuse_score: what the fuses cost that the leads get now
        """
        priced: list[PricedLead] = []
        for option in options:
            more = fuse_score(option.fuse) if fuse_score is not None and option.fuse is not None else 0
            loss = self.s.loss(option.watts_w, mask) + more
            priced.append((option.score + loss, option, loss))
        found: list[PricedLead] = []
        for each in sorted(priced, key=lambda lead: (lead[0], lead[1].volts_v)):
            if not any(_as_good(other[1], each[1]) for other in found):
                found.append(each)
        return found

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
            found = self._kept(collected, outside)
            if found:
                self.collected[mask, target, inlet] = found

    def _pairs(self, before: Held, more: Held, outside: BoundRow, into: Held) -> None:
        cap, least_ahead = self.cap, min(outside)
        for used, labels in before.items():
            for other_used, others in more.items():
                if not self.p.fits(used + other_used):
                    continue
                here = into.setdefault(used + other_used, [])
                for one in labels:
                    for other in others:
                        score = one.score + other.score
                        if score + least_ahead > cap:
                            self._dropped(score + least_ahead)
                            break
                        self.s.tried += 1
                        over_v = one.over_v if one.over_v > other.over_v else other.over_v
                        state = self.b.state(one.total_a + other.total_a, one.feeds + other.feeds)
                        if self._alive(score, over_v, outside[state]):
                            kind = tuple(sorted(one.kind + other.kind))
                            here.append(joined(one, other, kind, Together(one.trace, other.trace)))

    def _join(self, mask: int, node: int) -> None:
        """Close a joiner: its children are together at its outlet."""
        site = self.p.sites[node - self.s.count]
        outside = self.b.outside_f.get((mask, node))
        if outside is None:
            return
        joined_here: Held = {}
        for inlet in range(2, site.slots + 1):
            for used, labels in self.collected.get((mask, self.s.stands[node], inlet), {}).items():
                if not self.p.fits(used + site.use):
                    continue
                here = joined_here.setdefault(used + site.use, [])
                for label in labels:
                    closed = Label(
                        label.score + self.s.prices[node - self.s.count],
                        label.over_v + site.volts_v,
                        label.total_a,
                        label.largest_a,
                        (self.s.kinds[site.kind, label.kind],),
                        Closed(node, label.trace),
                        label.feeds,
                    )
                    if self._alive(closed.score, closed.over_v, outside[self._state(closed)]):
                        here.append(closed)
        found = self._kept(joined_here, outside)
        if found:
            self.gathered[mask, node] = found


def _leaves_as_much(one: Way, other: Way) -> bool:
    """Whether nothing speaks for the other, dearer lead behind the same label, whatever comes after it: what is fed by
    no more fuses, none of them larger, is fed by no more amps."""
    return one.volts_v <= other.volts_v and one.largest_a <= other.largest_a and one.feeds <= other.feeds


def _as_good(one: Option, other: Option) -> bool:
    """Whether nothing speaks for the other, dearer option, whatever it leads on; both have a fuse, or none has one."""
    if one.volts_v > other.volts_v or one.amps_a < other.amps_a or one.full_v != other.full_v:
        return False
    return one.fuse is None or other.fuse is None or one.fuse.rating_a <= other.fuse.rating_a


def grow(search: Search, cap: int | None, beam: int | None = None, most: int = 2, thin: bool = False) -> list[Label]:
    """Every label at the root that can be among the best `most` layouts below a cap; all not beaten without one.

    With a beam only the most promising labels at each node are followed; `thin`: and of each set. Raises TooMany.
    """
    return _Growth(search, cap, beam, most, thin).run()
