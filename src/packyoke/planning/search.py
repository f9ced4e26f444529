"""Which packs meet where: the best trees of joiners over places, exact, by growing sets of packs.

F[S][u]: the packs S gathered and joined at a site u (a joiner at a place). D[S][v]: the same brought to a site v by a
lead. J[S][v]: children of a joiner at v collected so far. Costs of the same problem without capacities, volts and
fuses, from below (`inside`) and from above (`outside`), bound what a label can still come to: labels beyond a cap are
dropped, and the cap is raised until a plan is found below it, which then is the best one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import NamedTuple

from packyoke.planning.catalogue import FuseKind, fits_together
from packyoke.planning.growing import ROOT, TooMany, grow
from packyoke.planning.labels import Label, Option, best_two
from packyoke.planning.score import Score

FIELD_BITS = 6
RAISES = (0.0, 0.001, 0.0025, 0.005, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.085, 0.1, 0.12, 0.14, 0.16, 0.18, 0.2,
          0.23, 0.26, 0.29, 0.33, 0.38, 0.44, 0.52, 0.6, 0.7, 0.8, 0.92, 1.06, 1.25, 1.6, 2.2, 3.0)  # fmt: skip
"""By how much the first figure of the lower bound is raised, one after the other."""
NEARBY = (0.001, 0.005, 0.02, 0.05, 0.1)
"""By how much more a runner-up is looked for."""
BEAMS = (4, 12)
"""Ways to bring a set together that are kept at each node when there are too many to keep all."""


class Terminal(NamedTuple):
    """Packs that end in one outlet already: a pack, or joiners whose leads are drawn. `used`: what it takes up."""

    labels: tuple[Label, ...]
    used: int
    packs: tuple[str, ...]
    must_fuse: bool
    kind: int
    """Equal for packs that could change places without anybody noticing."""


class Site(NamedTuple):
    """A joiner that could sit at a place: the fields that it takes up, its inlets, what it adds to a label."""

    use: int
    slots: int
    uniform: bool
    score: int
    volts_v: float
    path_loss: Callable[[float], int]
    kind: int


@dataclass(slots=True)
class Problem:
    """Terminals to be brought together at sites and led to the root.

    `wires(u, v, c)`: options of a lead from node u into inlet c of node v (terminals count from 0, then sites, `ROOT`);
    `allowed`: for a drawn tree, the sets that may meet, each with the models that may join them and its children.
    """

    terminals: Sequence[Terminal]
    sites: Sequence[Site]
    root_slots: int
    wires: Callable[[int, int, int], Sequence[Option]]
    fuses: Callable[[int], Sequence[FuseKind]]
    fuse_score: Callable[[FuseKind], int]
    may_fuse: Callable[[int], bool]
    share: Callable[[int], float]
    limit: int
    high: int
    complete: Callable[[int], bool]
    score: Score
    meets: Callable[[int, int], bool] | None = None
    splits_into: Callable[[int, int], bool] | None = None
    """Whether a set may be a child of a joiner at a site."""

    def node_count(self) -> int:
        return len(self.terminals) + len(self.sites)

    def fits(self, used: int) -> bool:
        return not (used + self.limit) & self.high


class Found(NamedTuple):
    """The best label at the root and the best one of another layout; `proved`: nothing better exists."""

    best: Label
    other: Label | None
    proved: bool
    covered: int
    """Every layout up to this score was looked at."""

    def without(self, score: int) -> Found:
        """The same with a score taken off that every layout comes to."""
        other = None if self.other is None else self.other._replace(score=self.other.score - score)
        best = self.best._replace(score=self.best.score - score)
        return Found(best, other, self.proved, self.covered - score)


def fields(capacities: Sequence[int]) -> tuple[list[int], int, int]:
    """One unit of each capacity as a number, and limit and high bits that show when a sum of units is too much."""
    units = [1 << FIELD_BITS * place for place in range(len(capacities))]
    top = 1 << FIELD_BITS - 1
    limit = sum((top - 1 - most) << FIELD_BITS * place for place, most in enumerate(capacities))
    high = sum(top << FIELD_BITS * place for place in range(len(capacities)))
    return units, limit, high


def submasks(mask: int) -> Iterator[int]:
    """The non-empty proper subsets of a set, as bits."""
    sub = (mask - 1) & mask
    while sub:
        yield sub
        sub = (sub - 1) & mask


class Search:
    """One problem, with its bounds. `cheapest` options serve the bounds."""

    def __init__(self, problem: Problem) -> None:
        self.p = problem
        self.count = len(problem.terminals)
        self.all = (1 << self.count) - 1
        self.targets = [*range(self.count, problem.node_count()), ROOT]
        self.sets = sorted(range(1, self.all + 1), key=lambda mask: (mask.bit_count(), mask))
        self.shares = {mask: problem.share(mask) for mask in self.sets}
        self._wires: dict[tuple[int, int], list[tuple[int, float]]] = {}
        self._leads: dict[tuple[int, int, int], int | None] = {}
        self._losses: dict[tuple[float, int], int] = {}
        self.inside_d: dict[tuple[int, int], int] = {}
        self.inside_f: dict[tuple[int, int], int] = {}
        self.inside_j: dict[tuple[int, int, int], int] = {}
        self.outside_j: dict[tuple[int, int, int], int] = {}
        self.outside_d: dict[tuple[int, int], int] = {}
        self.outside_f: dict[tuple[int, int], int] = {}
        self._fuse_floor()
        self._inside()
        self._outside()

    # What a step costs.

    def loss(self, watts_w: float, mask: int) -> int:
        key = (watts_w, mask)
        found = self._losses.get(key)
        if found is None:
            found = self._losses[key] = self.p.score.of("loss", watts_w * self.shares[mask] ** 2)
        return found

    def sources(self, mask: int) -> list[int]:
        """Nodes at whose outlet a set can be gathered: its terminal alone, else the sites."""
        if mask & (mask - 1):
            return [site for site in self.targets[:-1] if self._may_join(mask, site)]
        return [mask.bit_length() - 1]

    def _may_join(self, mask: int, site: int) -> bool:
        return self.p.meets is None or self.p.meets(mask, site - self.count)

    def may_arrive(self, mask: int, target: int) -> bool:
        """Whether a drawn tree brings a set to a node; anything may go anywhere without one."""
        return self.p.splits_into is None or self.p.splits_into(mask, -1 if target == ROOT else target - self.count)

    def slots(self, target: int) -> int:
        return self.p.root_slots if target == ROOT else self.p.sites[target - self.count].slots

    def _cheapest(self, node: int, target: int) -> list[tuple[int, float]]:
        """Score and loss of the wires between two nodes that may be the cheapest, fuses left out."""
        key = (node, target)
        if key not in self._wires:
            inlets = range(1 if target == ROOT or self.p.sites[target - self.count].uniform else self.slots(target))
            found: list[tuple[int, float]] = []
            for option in sorted(each for inlet in inlets for each in self._pairs(node, target, inlet)):
                if not found or option[1] < found[-1][1]:
                    found.append(option)
            self._wires[key] = found
        return self._wires[key]

    def _pairs(self, node: int, target: int, inlet: int) -> list[tuple[int, float]]:
        return [
            (option.score + self._fusing(node, option), option.watts_w) for option in self.p.wires(node, target, inlet)
        ]

    def _fusing(self, node: int, option: Option) -> int:
        """The least that fuses add to a lead: the one of a pack, or one behind a joiner where its wire is too thin.

        At least two fuses feed a lead that comes from a joiner.
        """
        if node < self.count:
            return self._least_fuse if self.p.terminals[node].must_fuse else 0
        if fits_together(2 * self._least_feed_a, option.amps_a):
            return 0
        return min(self._least_fuse, self.p.score.finding)

    def _fuse_floor(self) -> None:
        """The cheapest fuse, and the least that one branch feeds."""
        kinds = [kind for mask in self.sets for kind in self.p.fuses(mask)]
        self._least_fuse = min((self.p.fuse_score(kind) for kind in kinds), default=0)
        feeds = [label.total_a for terminal in self.p.terminals for label in terminal.labels if label.total_a > 0.0]
        self._least_feed_a = min([*(kind.rating_a for kind in kinds), *feeds], default=0.0)

    def _lead(self, mask: int, node: int, target: int) -> int | None:
        """The least that a lead from a node to another can add."""
        key = (mask, node, target)
        if key not in self._leads:
            path = 0 if target == ROOT else self.p.sites[target - self.count].path_loss(self.shares[mask])
            costs = [score + self.loss(watts_w, mask) for score, watts_w in self._cheapest(node, target)]
            self._leads[key] = min(costs) + path if costs else None
        return self._leads[key]

    # Bounds: the same problem without capacities, volts and fuses.

    def _inside(self) -> None:
        for mask in self.sets:
            single = not mask & (mask - 1)
            if single:
                number = mask.bit_length() - 1
                self.inside_f[mask, number] = min(label.score for label in self.p.terminals[number].labels)
            for target in self.targets:
                if not single:
                    self._gather_inside(mask, target)
            for node in self.sources(mask):
                if not single:
                    gathered = [
                        found
                        for inlet in range(2, self.slots(node) + 1)
                        if (found := self.inside_j.get((mask, node, inlet))) is not None
                    ]
                    if gathered:
                        self.inside_f[mask, node] = min(gathered) + self.p.sites[node - self.count].score
            for target in self.targets:
                costs = [] if not self.may_arrive(mask, target) else [
                    self.inside_f[mask, node] + lead
                    for node in self.sources(mask)
                    if (mask, node) in self.inside_f and (lead := self._lead(mask, node, target)) is not None
                ]
                if costs:
                    self.inside_d[mask, target] = self.inside_j[mask, target, 1] = min(costs)

    def _gather_inside(self, mask: int, target: int) -> None:
        for inlet in range(2, self.slots(target) + 1):
            best: int | None = None
            for part in submasks(mask):
                first = self.inside_j.get((mask ^ part, target, inlet - 1))
                other = self.inside_d.get((part, target))
                if first is not None and other is not None and (best is None or first + other < best):
                    best = first + other
            if best is not None:
                self.inside_j[mask, target, inlet] = best

    def _outside(self) -> None:
        for mask in reversed(self.sets):
            for target in self.targets:
                for inlet in range(self.slots(target), 0, -1):
                    self._close(mask, target, inlet)
            for target in self.targets:
                if self.may_arrive(mask, target):
                    self._arrive(mask, target)
            for node in self.sources(mask):
                costs = [
                    lead + self.outside_d[mask, target]
                    for target in self.targets
                    if (mask, target) in self.outside_d and (lead := self._lead(mask, node, target)) is not None
                ]
                if costs:
                    self.outside_f[mask, node] = min(costs)
            for target in self.targets[:-1]:
                # The outlet of a set decides what closing a joiner with it leads to.
                done = self.outside_f.get((mask, target))
                if done is not None and self._may_join(mask, target):
                    for inlet in range(2, self.slots(target) + 1):
                        key = (mask, target, inlet)
                        cost = done + self.p.sites[target - self.count].score
                        self.outside_j[key] = min(self.outside_j.get(key, cost), cost)

    def _close(self, mask: int, target: int, inlet: int) -> None:
        """What a half-filled joiner still costs: its other children and all behind it."""
        best: int | None = 0 if target == ROOT and mask == self.all else None
        if inlet < self.slots(target):
            for part in _others(self.all ^ mask):
                more = self.inside_d.get((part, target))
                after = self.outside_j.get((mask | part, target, inlet + 1))
                if more is not None and after is not None and (best is None or more + after < best):
                    best = more + after
        if best is not None:
            self.outside_j[mask, target, inlet] = best

    def _arrive(self, mask: int, target: int) -> None:
        best = self.outside_j.get((mask, target, 1))
        for part in _others(self.all ^ mask):
            for inlet in range(1, self.slots(target)):
                other = self.inside_j.get((part, target, inlet))
                after = self.outside_j.get((mask | part, target, inlet + 1))
                if other is not None and after is not None and (best is None or other + after < best):
                    best = other + after
        if best is not None:
            self.outside_d[mask, target] = best

    # The search itself.

    def bound(self) -> int | None:
        """The least that any plan can come to; None where the places cannot be connected at all."""
        costs = [
            found
            for inlet in range(1, self.slots(ROOT) + 1)
            if (found := self.inside_j.get((self.all, ROOT, inlet))) is not None
        ]
        return min(costs, default=None)

    def run(self, *, first_only: bool = False) -> Found | None:
        """The best plan and the best one of another layout; None where nothing passes."""
        least = self.bound()
        if least is None:
            return None
        try:
            for cap in self._caps(least):
                found = self._below(cap)
                if found is not None:
                    return found if first_only else self._with_another(found)
            return None
        except TooMany:
            return self._best_found()

    def _caps(self, least: int) -> Iterator[int | None]:
        """Scores to search below, rising: near the lower bound first, at last without one."""
        score = self.p.score
        for findings in (0, 1, 2):
            for fraction in RAISES:
                yield score.raised(least + findings * score.finding, fraction)
        yield None

    def _with_another(self, found: Found) -> Found:
        """The same best plan, with the next best one of another layout where that is not far off."""
        with suppress(TooMany):
            for fraction in NEARBY:
                if found.other is not None:
                    break
                again = self._below(self.p.score.raised(found.best.score, fraction))
                found = again if again is not None else found
        return found

    def _best_found(self) -> Found | None:
        """What turns up when only the most promising ways of bringing each set together are kept."""
        for width in BEAMS:
            found = best_two(grow(self, None, width), self.p.score.finding)
            if found:
                return Found(found[0], found[1] if len(found) > 1 else None, False, 0)
        return None

    def _below(self, cap: int | None) -> Found | None:
        labels = grow(self, cap)
        found = best_two(labels, self.p.score.finding)
        if cap is not None:
            found = [label for label in found if label.score <= cap]
        if not found:
            return None
        covered = cap if cap is not None else found[-1].score
        return Found(found[0], found[1] if len(found) > 1 else None, True, covered)


def _others(mask: int) -> Iterable[int]:
    if mask:
        yield mask
        yield from submasks(mask)


