"""Which packs meet where: the best trees of joiners over places, exact, by growing sets of packs.

F[S][u]: the packs S gathered and joined at a site u (a joiner at a place). D[S][v]: the same brought to a site v by a
lead. J[S][v]: children of a joiner at v collected so far. Costs of the same problem without capacities, volts and
fuses, from below (`inside`) and from above (`outside`), bound what a label can still come to: labels beyond a cap are
dropped, and the cap is raised until a plan is found below it, which then is the best one.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from packyoke.planning.bounds import NEVER, Bounds
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.effort import Effort
from packyoke.planning.growing import ROOT, TooMany, grow
from packyoke.planning.labels import Kinds, Label, Option, best_of, best_two
from packyoke.planning.score import Score
from packyoke.planning.tolls import NO_TOLLS, Room, Tolls

MOST_LABELS = 150_000
"""Labels that a search makes, all its caps together, before it is called too wide: less than a second."""
RAISES = (
    0.0,
    0.001,
    0.0025,
    0.005,
    0.01,
    0.02,
    0.03,
    0.04,
    0.05,
    0.06,
    0.07,
    0.085,
    0.1,
    0.12,
    0.14,
    0.16,
    0.18,
    0.2,
    0.23,
    0.26,
    0.29,
    0.33,
    0.38,
    0.44,
    0.52,
    0.6,
    0.7,
    0.8,
    0.92,
    1.06,
    1.25,
    1.6,
    2.2,
    3.0,
)
"""By how much the first figure of the lower bound is raised, one after the other."""
NEARBY = (0.001, 0.005, 0.02, 0.05, 0.1)
"""By how much more a runner-up is looked for."""
FARTHER = (0.03, 0.1, 0.25, 0.6)
"""By how much the lower bound is raised where only the most promising ways are followed."""
BEAMS = (4, 12)
"""Ways to bring a set together that are kept at each node when there are too many to keep all."""


class Terminal(NamedTuple):
    """Packs that end in one outlet already: a pack, or joiners whose leads are drawn. `used`: what it takes up."""

    labels: tuple[Label, ...]
    used: int
    packs: tuple[str, ...]
    must_fuse: bool
    kind: Hashable
    """Equal for packs that could change places without anybody noticing."""


class Site(NamedTuple):
    """A joiner that could sit at a place: the fields that it takes up, its inlets, what it adds to a label."""

    use: int
    slots: int
    uniform: bool
    score: int
    volts_v: float
    path_loss: Callable[[float], int]
    kind: Hashable


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
    leaves: Callable[[int], Hashable]
    """Equal for nodes that the same leads leave."""
    enters: Callable[[int, int], Hashable]
    """Equal for inlets that the same leads enter."""
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
    sets: frozenset[int] | None = None
    """For a drawn tree: the sets that can come together at all."""
    rooms: Sequence[Room] = ()
    """What is taken up, and how much of it there is."""
    tolls: Tolls = NO_TOLLS
    """On what of it is short, in scores."""
    effort: Effort = field(default_factory=Effort)
    """What may still be spent on the whole answer that this is a part of."""
    leads: dict[object, Any] = field(default_factory=dict)
    """Leads that may be the best, by what they are made from; the same for every problem made from this one."""

    def node_count(self) -> int:
        return len(self.terminals) + len(self.sites)

    def given_a(self) -> list[float]:
        """Ratings of the fuses that drawn leads have already [A]."""
        if self.sets is None:
            return []
        count = len(self.terminals)
        inlets = [(count + at, 1 if site.uniform else site.slots) for at, site in enumerate(self.sites)]
        return [
            option.fuse.rating_a
            for node in range(self.node_count())
            for target, slots in (*inlets, (ROOT, 1))
            for inlet in range(slots)
            for option in self.wires(node, target, inlet)
            if option.fuse is not None
        ]

    def fits(self, used: int) -> bool:
        return not (used + self.limit) & self.high


class SearchResult(NamedTuple):
    """The best label at the root and the best one of another layout; `proved`: nothing better exists."""

    best: Label
    other: Label | None
    proved: bool


class Search:
    """One problem, with its bounds."""

    def __init__(self, problem: Problem, most_labels: int = MOST_LABELS) -> None:
        self.p, self.most_labels = problem, most_labels
        self.toll = problem.tolls.most()
        """What is paid at the most: a plan below a cap is one below so much more, with its tolls."""
        self.prices = [site.score + problem.tolls.paid(site.use) for site in problem.sites]
        """Of the sites, with their tolls."""
        self.count = len(problem.terminals)
        self.all = (1 << self.count) - 1
        every = range(1, self.all + 1) if problem.sets is None else problem.sets
        self.sets = sorted(every, key=lambda mask: (mask.bit_count(), mask))
        self.shares = {mask: problem.share(mask) for mask in self.sets}
        self.sites = range(self.count, problem.node_count())
        self.stands = self._stands()
        """Of each site the one that stands for all that are fed alike: what they collect is worked through once."""
        self.targets = [*dict.fromkeys(self.stands.values()), ROOT]
        self.root = ROOT
        self._losses: dict[tuple[float, float], int] = {}
        self.bounds = Bounds(self)
        self.ways: dict[object, Any] = {}
        """Leads that may be the best behind what feeds them, by leads and feed."""
        self.made = self.tried = 0
        """Labels made and leads tried so far."""
        self.beyond = 0
        """What the caps have to come to before anything is found that the last of them dropped."""
        self.reached: int | None = None
        """A figure that no plan comes to: the highest cap that nothing was found below."""
        self.kinds = Kinds()
        """Of packs, and of what meets at a site."""

    def _stands(self) -> dict[int, int]:
        """Joiners at one place that take the same leads differ only when they are closed, by price and inlets."""
        shares = {*self.shares.values()}
        alike: dict[object, list[int]] = {}
        for node in self.sites:
            site = self.p.sites[node - self.count]
            key = (self.p.enters(node, 0), *map(site.path_loss, shares)) if site.uniform else node
            alike.setdefault(key, []).append(node)
        return {
            node: max(nodes, key=lambda each: self.p.sites[each - self.count].slots)
            for nodes in alike.values()
            for node in nodes
        }

    # What a step costs.

    def loss(self, watts_w: float, mask: int) -> int:
        share = self.shares[mask]
        key = (watts_w, share)
        found = self._losses.get(key)
        if found is None:
            found = self._losses[key] = self.p.score.of("loss", watts_w * share**2)
        return found

    def sources(self, mask: int) -> list[int]:
        """Nodes at whose outlet a set can be gathered: its terminal alone, else the sites."""
        if not mask & (mask - 1):
            return [mask.bit_length() - 1]
        if self.p.meets is None:
            return [*self.sites]
        return [site for site in self.sites if self.may_join(mask, site)]

    def may_join(self, mask: int, site: int) -> bool:
        return self.p.meets is None or self.p.meets(mask, site - self.count)

    def may_arrive(self, mask: int, target: int) -> bool:
        """Whether a drawn tree brings a set to a node; anything may go anywhere without one."""
        return self.p.splits_into is None or self.p.splits_into(mask, -1 if target == ROOT else target - self.count)

    def slots(self, target: int) -> int:
        return self.p.root_slots if target == ROOT else self.p.sites[target - self.count].slots

    def inlets(self, target: int) -> range:
        """Inlets that differ: one for all where it does not matter into which a lead goes."""
        return range(1 if target == ROOT or self.p.sites[target - self.count].uniform else self.slots(target))

    def submasks(self, mask: int) -> Iterator[int]:
        """The non-empty proper subsets of a set, as bits; of a drawn tree those whose rest comes together too."""
        if self.p.sets is not None:
            yield from (sub for sub in self.sets if sub & mask == sub != mask and mask ^ sub in self.p.sets)
            return
        sub = (mask - 1) & mask
        while sub:
            yield sub
            sub = (sub - 1) & mask

    def others(self, mask: int) -> Iterator[int]:
        """The non-empty sets of all that is not in a set."""
        rest = self.all ^ mask
        if self.p.sets is not None:
            yield from (sub for sub in self.sets if not sub & mask and mask | sub in self.p.sets)
        elif rest:
            yield rest
            yield from self.submasks(rest)

    # The search itself.

    def run(self, *, first_only: bool = False, near: int | None = None) -> SearchResult | None:
        """The best plan and the best one of another layout; None where nothing passes. Goes on where it broke off.

        near: what it comes to at the most
        Raises TooMany where there are more than can be followed.
        """
        if self.bounds.too_wide:
            raise TooMany
        least = self.bounds.least()
        if least is None or (near is not None and near < least):
            return None
        most = NEVER if near is None else near
        beyond = 0 if self.reached is None else self.reached + 1
        for raised in self._caps(least):
            if most < beyond or beyond >= NEVER - self.toll:
                break
            if raised is not None and raised < beyond:
                continue
            cap = raised if near is None else near if raised is None else min(raised, near)
            found = self._below(cap)
            if found is not None:
                return found if first_only else self._with_another(found)
            if cap is not None:
                self.reached = max(cap, self.beyond - 1)
                beyond = self.reached + 1
        return None

    def _caps(self, least: int) -> Iterator[int | None]:
        """Scores to search below, rising: near the lower bound first, at last without one."""
        score = self.p.score
        for findings in (0, 1, 2):
            for fraction in RAISES:
                yield score.raised(least + findings * score.finding, fraction)
        yield None

    def _with_another(self, found: SearchResult) -> SearchResult:
        """The same best plan, with the next best one of another layout where that is not far off."""
        with suppress(TooMany):
            for fraction in NEARBY:
                if found.other is not None:
                    break
                again = self._below(self.p.score.raised(found.best.score, fraction))
                found = again if again is not None else found
        return found

    def most_promising(
        self, cap: int | None = None, widths: Sequence[int] = BEAMS, *, another: bool = False
    ) -> SearchResult | None:
        """What turns up below a cap when only the most promising ways of bringing each set together are kept.

        another: whether the next best one is looked for as well
        """
        least = self.bounds.least()
        if least is None:
            return None
        nearer = [self.p.score.raised(least, each) for each in FARTHER]
        loose = cap is None or cap > nearer[-2]
        caps = [*(each for each in nearer if loose and (cap is None or each < cap)), cap]
        best: SearchResult | None = None
        for width in widths:
            self.made = self.tried = 0
            with suppress(TooMany):
                self.beyond = 0
                for below in caps:
                    if below is not None and below < self.beyond:
                        continue
                    if self.beyond >= NEVER - self.toll:
                        break
                    found = best_two(grow(self, below, width, thin=loose), self.p.score)
                    if found:
                        best = SearchResult(found[0], found[1] if len(found) > 1 else None, False)
                    if best is not None and (best.other is not None or not another):
                        return best
            if best is not None:
                break
        return best

    def nearest(self, cap: int, most: int, known: list[Label]) -> tuple[list[Label], bool]:
        """The best layouts below a cap, and whether there are no more; `known` ones where there are too many."""
        try:
            labels = grow(self, cap, most=most)
        except TooMany:
            return known, False
        found = best_of(labels, self.p.score, most)
        return found or known, len(found) < most

    def _below(self, cap: int | None) -> SearchResult | None:
        found = best_two(grow(self, cap), self.p.score)
        if not found:
            return None
        return SearchResult(found[0], found[1] if len(found) > 1 else None, True)
