"""The least that the rest of a layout can come to: the search's problem without capacities and volts.

What feeds a lead is counted in the smallest fuse that there is: a lead behind three fused packs needs a wire for three
of them, or a fuse of its own. That keeps the bounds close where fuses and thick wire are dear. A drawn lead may have a
fuse already: it costs nothing more, and what comes next is fed by that one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from math import inf
from typing import TYPE_CHECKING

from packyoke.analysis.limits.fusing import FEEDS_AS_A_NOTE
from packyoke.planning.catalogue import fits_together
from packyoke.planning.labels import Option

if TYPE_CHECKING:
    from packyoke.planning.search import Search

MOST_FEEDS = 4
"""From this many smallest fuses on they are not told apart."""
UNFUSED = MOST_FEEDS + 1
"""What is fed by something without a fuse: no wire is held against it, whatever joins it."""
STATES = range(UNFUSED + 1)
JOINED = tuple(
    tuple(UNFUSED if UNFUSED in (one, other) else min(MOST_FEEDS, one + other) for other in STATES) for one in STATES
)
NEVER = 1 << 600
"""More than any score."""
SET_UP = 2
"""Steps that each set takes between two groups of nodes, both ways."""
HAIR = 1e-9
"""Rounding of amps over amps: three times a rating is three of it."""

BoundWire = tuple[int, float, int, bool]
"""Score, loss and feeds borne of a wire, and whether its lead has a fuse already."""
BoundRow = list[int]
"""The least score for each state of what feeds a place."""
LeadKind = tuple[int, bool]
"""Of a lead: what it can be made of, and whether it must have a fuse."""
Pairs = list[tuple[tuple[int, ...], int]]
"""The states of a row that can be, each as what it makes of any other that it is joined with, with its score."""


class _LeadsBehind(dict[LeadKind, tuple[BoundRow, int] | None]):
    """What leads behind a set add at least: without a fuse for each state, and with one. None where there is none.

    Worked out when one is asked for.
    """

    def __init__(self, made: Callable[[int, bool], tuple[BoundRow, int] | None]) -> None:
        super().__init__()
        self.made = made

    def __missing__(self, kind: LeadKind) -> tuple[BoundRow, int] | None:
        found = self[kind] = self.made(*kind)
        return found


class Bounds:
    """`inside_d`, `inside_f`, `inside_j`: the least for a set when it has arrived at a node, is at its outlet, has
    filled so many inlets; `outside_…`: the least of all that is still to come from there."""

    def __init__(self, search: Search) -> None:
        self.s, self.p = search, search.p
        kinds = [kind for mask in self.s.sets for kind in self.p.fuses(mask)]
        feeds = [label.total_a for terminal in self.p.terminals for label in terminal.labels if label.total_a > 0.0]
        self._smallest_a = min([*(kind.rating_a for kind in kinds), *feeds, *self.p.given_a()], default=inf)
        finding, noted = self.p.score.finding, self.p.score.noted
        self._dear = [(n, 0 if n in (0, 1, UNFUSED) else noted if n <= FEEDS_AS_A_NOTE else finding) for n in STATES]
        """What a wire costs more that does not bear what feeds it, for each state."""
        self._states: dict[float, int] = {}
        self._leads: dict[tuple[float, int | None], _LeadsBehind] = {}
        self._fuses: dict[int, int | None] = {}
        self.inside_d: dict[tuple[int, int], BoundRow] = {}
        self.inside_f: dict[tuple[int, int], BoundRow] = {}
        self.inside_j: dict[tuple[int, int, int], BoundRow] = {}
        self.outside_j: dict[tuple[int, int, int], BoundRow] = {}
        self.outside_d: dict[tuple[int, int], BoundRow] = {}
        self.outside_f: dict[tuple[int, int], BoundRow] = {}
        self._listed: dict[int, Pairs] = {}
        self._borne: dict[float, int] = {}
        self._alike()
        self.too_wide = not self.p.effort.allows(SET_UP * self._set_up())
        """Whether working them out would take longer than all that there is for the search: there are none then."""
        if not self.too_wide:
            self._inside()
            self._outside()

    def _set_up(self) -> int:
        """How often a set is led from one group of nodes to another; in a drawn tree each is at its own joiner only."""
        if self.p.sets is None:
            return len(self.s.sets) * len(self._outs) * len(self._ins)
        return sum(
            sum(not {*self.s.sources(mask)}.isdisjoint(nodes) for nodes in self._outs)
            * sum(any(self.s.may_arrive(mask, target) for target in ends) for ends in self._ins)
            for mask in self.s.sets
        )

    def state(self, total_a: float, feeds: int) -> int:
        """The state of what is fed by fuses: how many of the smallest they come to, and no more than there are."""
        found = self._states.get(total_a)
        if found is None:
            found = UNFUSED if total_a == inf else min(MOST_FEEDS, int(total_a / self._smallest_a + HAIR))
            self._states[total_a] = found
        return found if found <= feeds or found == UNFUSED else feeds

    def least(self) -> int | None:
        """The least that any plan can come to; None where the places cannot be connected at all."""
        whole = (self.inside_j.get((self.s.all, self.s.root, inlet)) for inlet in self._inlets(self.s.root))
        least = min((min(row) for row in whole if row is not None), default=None)
        return None if least is None else least - self.s.toll

    def _inlets(self, target: int) -> range:
        return range(1, self.s.slots(target) + 1)

    # What a lead adds.

    def _cheapest(self, ways: Sequence[Sequence[Option]]) -> list[BoundWire]:
        """The wires into the inlets of a node that may be the cheapest, fuses that are still to be planned left out."""
        options = {
            (option.score, option.watts_w, -self._feeds_borne(option.amps_a), option.fuse is None): None
            for each in ways
            for option in each
        }
        found: list[BoundWire] = []
        # What would beat one comes before it.
        for score, watts_w, less, is_open in sorted(options):
            if not any(other[1] <= watts_w and -other[2] <= less and other[3] >= (not is_open) for other in found):
                found.append((score, watts_w, -less, not is_open))
        return found

    def _feeds_borne(self, amps_a: float) -> int:
        """How many of the smallest fuses a wire bears together."""
        if amps_a not in self._borne:
            borne = [n for n in range(1, MOST_FEEDS + 1) if fits_together(n * self._smallest_a, amps_a)]
            self._borne[amps_a] = max(borne, default=0)
        return self._borne[amps_a]

    def _alike(self) -> None:
        """Nodes whose leads are made alike, whatever the other end: each group is worked through once."""
        ids: dict[tuple[BoundWire, ...], int] = {}
        known: dict[tuple[int, ...], tuple[int, object]] = {}
        rows: dict[object, tuple[int, ...]] = {}
        targets = self.s.targets
        outs: dict[tuple[bool, tuple[int, ...]], list[int]] = {}
        for node in range(self.p.node_count()):
            leaves = self.p.leaves(node)
            if leaves not in rows:
                row = []
                for target in targets:
                    ways = [self.p.wires(node, target, inlet) for inlet in self.s.inlets(target)]
                    # Leads that are alike were made once: they are the same object, which is kept here.
                    same = tuple(map(id, ways))
                    if same not in known:
                        known[same] = ids.setdefault(tuple(self._cheapest(ways)), len(ids)), ways
                    row.append(known[same][0])
                rows[leaves] = tuple(row)
            must = node < self.s.count and self.p.terminals[node].must_fuse
            outs.setdefault((must, rows[leaves]), []).append(node)
        self._kinds = [list(wires) for wires in ids]
        ins: dict[object, list[int]] = {}
        for target, column in zip(targets, zip(*rows.values(), strict=True), strict=True):
            ins.setdefault(column, []).append(target)
        self._outs, self._ins = [*outs.values()], [*ins.values()]
        first = [targets.index(ends[0]) for ends in self._ins]
        # A joiner may feed another one of its kind at the same place.
        self._led = [[(row[at], must) for at in first] for must, row in outs]
        """The leads of each group of nodes to each other, by what they are made of."""

    def _path(self, mask: int, target: int) -> int:
        return 0 if target == self.s.root else self.p.sites[target - self.s.count].path_loss(self.s.shares[mask])

    def _leads_behind(self, mask: int) -> _LeadsBehind:
        """Sets of one share that can have the same fuses are led alike."""
        key = self.s.shares[mask], self._fuse(mask)
        if key not in self._leads:
            self._leads[key] = _LeadsBehind(partial(self._lead_anew, mask))
        return self._leads[key]

    def _lead_anew(self, mask: int, number: int, must: bool) -> tuple[BoundRow, int] | None:
        """What the joiner at its end loses is left out."""
        options = self._kinds[number]
        if not options:
            return None
        made = [(score + self.s.loss(watts_w, mask), borne, given) for score, watts_w, borne, given in options]
        wires = [(score, borne) for score, borne, given in made if not given]
        given = min((score for score, _, given in made if given), default=NEVER)
        fuse = self._fuse(mask) if wires else None
        plain = [
            min((score + (0 if borne >= state else more) for score, borne in wires), default=NEVER)
            for state, more in self._dear
        ]
        if must and fuse is not None:
            plain = [NEVER] * len(STATES)
        # Behind a fuse that is there already nothing is fed by something without one.
        plain[:UNFUSED] = [min(given, each) for each in plain[:UNFUSED]]
        return plain, given if fuse is None else min(given, min(score for score, _ in wires) + fuse)

    def _fuse(self, mask: int) -> int | None:
        """The cheapest fuse behind a set."""
        if mask not in self._fuses:
            fuses = self.p.fuses(mask) if self.p.may_fuse(mask) else ()
            self._fuses[mask] = min(map(self.p.fuse_score, fuses), default=None)
        return self._fuses[mask]

    # From the packs to the load.

    def _inside(self) -> None:
        for mask in self.s.sets:
            if not mask & (mask - 1):
                number = mask.bit_length() - 1
                labels = self.p.terminals[number].labels
                toll = self.p.tolls.paid(self.p.terminals[number].used)
                self.inside_f[mask, number] = _row(
                    (self.state(label.total_a, label.feeds), label.score + toll) for label in labels
                )
            else:
                for target in self.s.targets:
                    self._gather(mask, target)
                for node in self.s.sources(mask):
                    stand = self.s.stands[node]
                    rows = (self.inside_j.get((mask, stand, inlet)) for inlet in self._inlets(node)[1:])
                    score = self.s.prices[node - self.s.count]
                    ends = [(state, cost + score) for row in rows if row for state, cost in _pairs(row)]
                    if ends:
                        self.inside_f[mask, node] = _row(ends)
            here = [
                (led, _pairs(row), min(row))
                for led, outs in zip(self._led, self._outs, strict=True)
                if (row := self._least_of(mask, outs)) is not None
            ]
            for number in range(len(self._ins)) if here else ():
                self._arriving(mask, number, here)

    def _arriving(self, mask: int, ins: int, here: list[tuple[list[LeadKind], list[tuple[int, int]], int]]) -> None:
        """What a set comes to at a group of nodes; `here`: what it comes to at the outlets where it may be."""
        targets = [target for target in self._ins[ins] if self.s.may_arrive(mask, target)]
        if not targets:
            return
        row = [NEVER] * len(STATES)
        leads = self._leads_behind(mask)
        for led, gathered, cheapest in here:
            lead = leads[led[ins]]
            if lead is None:
                continue
            plain, fused = lead
            for state, cost in gathered:
                least = cost + plain[state]
                if least < row[state]:
                    row[state] = least
            fused += cheapest
            if fused < row[1]:
                row[1] = fused
        if min(row) >= NEVER:
            return
        for target in targets:
            path = self._path(mask, target)
            self.inside_d[mask, target] = self.inside_j[mask, target, 1] = [cost + path for cost in row]

    def _least_of(self, mask: int, outs: list[int]) -> BoundRow | None:
        """The least of a group of nodes at whose outlet a set may be."""
        rows = [row for node in outs if (row := self.inside_f.get((mask, node))) is not None]
        return [min(costs) for costs in zip(*rows, strict=True)] if rows else None

    def _gather(self, mask: int, target: int) -> None:
        # In which order a joiner is filled makes no difference here: the first of all is among those that were first.
        lowest = mask & -mask
        parts = [part for part in self.s.submasks(mask) if not part & lowest]
        for inlet in self._inlets(target)[1:]:
            best = [NEVER] * len(STATES)
            for part in parts:
                first = self.inside_j.get((mask ^ part, target, inlet - 1))
                other = self.inside_d.get((part, target)) if first is not None else None
                if first is None or other is None:
                    continue
                more = self._pairs_of(other)
                for state, cost in _pairs(first):
                    for joined, least in more:
                        if cost + least < best[joined[state]]:
                            best[joined[state]] = cost + least
            if min(best) < NEVER:
                self.inside_j[mask, target, inlet] = best

    def _pairs_of(self, row: BoundRow) -> Pairs:
        """The states of a row that stays as it is, and stays: no other row has its id."""
        found = self._listed.get(id(row))
        if found is None:
            found = self._listed[id(row)] = [(JOINED[state], cost) for state, cost in _pairs(row)]
        return found

    # From the load back to the packs.

    def _outside(self) -> None:
        for mask in reversed(self.s.sets):
            for target in self.s.targets:
                for inlet in reversed(self._inlets(target)):
                    self._close(mask, target, inlet)
            for target in self.s.targets:
                if self.s.may_arrive(mask, target):
                    self._arrive(mask, target)
            sources = set(self.s.sources(mask))
            ahead = [
                (number, after) for number, ins in enumerate(self._ins) if (after := self._after(mask, ins)) is not None
            ]
            for led, outs in zip(self._led, self._outs, strict=True) if ahead else ():
                self._leave(mask, led, [node for node in outs if node in sources], ahead)
            for site in self.s.sites:
                # The outlet of a set decides what closing a joiner with it leads to.
                done = self.outside_f.get((mask, site))
                if done is not None and self.s.may_join(mask, site):
                    score, target = self.s.prices[site - self.s.count], self.s.stands[site]
                    for inlet in self._inlets(site)[1:]:
                        before = self.outside_j.get((mask, target, inlet), [NEVER] * len(STATES))
                        self.outside_j[mask, target, inlet] = [
                            min(one, other + score) for one, other in zip(before, done, strict=True)
                        ]

    def _close(self, mask: int, target: int, inlet: int) -> None:
        """What a half-filled joiner still costs: its other children and all behind it."""
        best = [0 if target == self.s.root and mask == self.s.all else NEVER] * len(STATES)
        if inlet < self.s.slots(target):
            for part in self.s.others(mask):
                more = self.inside_d.get((part, target))
                after = self.outside_j.get((mask | part, target, inlet + 1))
                if more is not None and after is not None:
                    _least_with(best, self._pairs_of(more), after)
        if min(best) < NEVER:
            self.outside_j[mask, target, inlet] = best

    def _arrive(self, mask: int, target: int) -> None:
        best = [*self.outside_j.get((mask, target, 1), [NEVER] * len(STATES))]
        # Without a drawn tree the others can as well come after this one: that is in it already.
        for part in self.s.others(mask) if self.p.sets is not None else ():
            for inlet in self._inlets(target)[:-1]:
                other = self.inside_j.get((part, target, inlet))
                after = self.outside_j.get((mask | part, target, inlet + 1))
                if other is not None and after is not None:
                    _least_with(best, self._pairs_of(other), after)
        if min(best) < NEVER:
            self.outside_d[mask, target] = best

    def _leave(self, mask: int, led: list[LeadKind], here: list[int], ahead: list[tuple[int, BoundRow]]) -> None:
        """What is still to come at the outlets of some nodes; `ahead`: what comes behind the leads from there."""
        if not here:
            return
        leads = self._leads_behind(mask)
        best = [NEVER] * len(STATES)
        fused = NEVER
        for ins, after in ahead:
            lead = leads[led[ins]]
            if lead is None:
                continue
            plain, own = lead
            fused = min(fused, own + after[1])
            best = [min(least, cost + more) for least, cost, more in zip(best, plain, after, strict=True)]
        best = [min(least, fused) for least in best]
        if min(best) < NEVER:
            for node in here:
                self.outside_f[mask, node] = best

    def _after(self, mask: int, ins: list[int]) -> BoundRow | None:
        """The least that is still to come at a group of nodes, what their joiners lose included."""
        rows = [
            [cost + path for cost in row]
            for target in ins
            if (row := self.outside_d.get((mask, target))) is not None
            for path in (self._path(mask, target),)
        ]
        return [min(costs) for costs in zip(*rows, strict=True)] if rows else None


def _row(pairs: Iterable[tuple[int, int]]) -> BoundRow:
    row = [NEVER] * len(STATES)
    for state, cost in pairs:
        if cost < row[state]:
            row[state] = cost
    return row


def _pairs(row: BoundRow) -> list[tuple[int, int]]:
    """The states that can be; one that is fed by more and costs no less than another is left out."""
    found = [(UNFUSED, row[UNFUSED])] if row[UNFUSED] < NEVER else []
    least = NEVER
    for state in STATES[:-1]:
        if row[state] < least:
            least = row[state]
            found.append((state, least))
    return found


def _least_with(best: BoundRow, more: Pairs, after: BoundRow) -> None:
    """Lower `best` to what joining with `more` and going on from there comes to."""
    for joined, cost in more:
        for state in STATES:
            least = cost + after[joined[state]]
            if least < best[state]:
                best[state] = least
