"""Search problems of a few packs without any bike behind them, and all that there is in them by plain enumeration."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, permutations, product
from math import inf
from random import Random
from typing import Any, NamedTuple

from packyoke.planning.catalogue import FuseKind
from packyoke.planning.labels import Label, Option
from packyoke.planning.score import Score
from packyoke.planning.search import Problem, Site, Terminal
from packyoke.planning.tolls import FIELD_BITS, Room, fields

ROOT = -1
SCORE = Score((), False, "")
FULL_V = 54.6
STANDARD_A = (15, 20, 25, 30, 35, 40, 45, 50)
"""Standard ratings of fuses, NEC 240.6(A), as far as they are met here."""


def kg(value: float) -> int:
    return SCORE.of("copper", value)


def fuse(rating_a: float) -> FuseKind:
    return FuseKind("class T", rating_a, 160.0)


def wire(
    weight: float, amps_a: float = inf, watts_w: float = 0.0, volts_v: float = 0.1, holds: bool = True, held: Any = None
) -> Option:
    """An option of so many kilograms of copper; `holds`: whether it is long enough for the holder of a fuse."""
    ohm = volts_v**2 / watts_w if watts_w else 0.0
    return Option(None, None, kg(weight), ohm, volts_v, amps_a, FULL_V, 1.0 if holds else None, held)


def fed(rating_a: float = 30.0, over_v: float = -2.0, feeds: int = 1, score: int = 0) -> Label:
    """What a pack with a fuse is at its outlet; of several fuses that feed it together each is as large."""
    return Label(score, over_v, rating_a * feeds, rating_a, 0, None, feeds)


def bare(over_v: float = -2.0) -> Label:
    return Label(0, over_v, inf, 0.0, 0, None, 0)


def terminal(*labels: Label, kind: int, must_fuse: bool = False, used: int = 0) -> Terminal:
    return Terminal(labels or (fed(),), used, (f"p{kind}",), must_fuse, ("terminal", kind))


def site(
    use: int = 0,
    slots: int = 2,
    uniform: bool = True,
    weight: float = 1.0,
    volts_v: float = 0.05,
    loss_kg: float = 0.0,
    kind: int = 0,
) -> Site:
    """`loss_kg`: what it weighs that the whole load goes along one path of it."""
    return Site(use, slots, uniform, kg(weight), volts_v, lambda share: kg(loss_kg * share * share), ("site", kind))


def problem(
    terminals: Sequence[Terminal],
    sites: Sequence[Site],
    wires: Mapping[tuple[int, int, int], Sequence[Option]],
    *,
    fuses: dict[FuseKind, int] | None = None,
    unfused: Sequence[int] = (),
    root_slots: int = 1,
    room: Sequence[int] = (),
    least_used: int = 0,
) -> Problem:
    """`wires` by node, target and inlet; `unfused`: sets behind which no fuse goes; `least_used`: of a field."""
    known = fuses or {}
    count = len(terminals)
    units, limit, high = fields(room)
    rooms = [Room(unit, 0 if at else least_used, most) for at, (unit, most) in enumerate(zip(units, room, strict=True))]
    return Problem(
        terminals,
        sites,
        root_slots,
        lambda *key: wires.get(key, ()),
        lambda node: node,
        lambda target, inlet: tuple(id(wires.get((node, target, inlet), ())) for node in range(count + len(sites))),
        lambda mask: tuple(known),
        known.__getitem__,
        lambda mask: mask not in unfused,
        lambda mask: mask.bit_count() / count,
        limit,
        high,
        lambda used: used % (1 << FIELD_BITS) >= least_used,
        SCORE,
        rooms=rooms,
    )


def drawn_by_lot(rng: Random, packs: int = 3, sites: int = 2, options: int = 2, given: bool = False) -> Problem:
    """A problem in which every limit is met now and then; `given`: with fuses that some leads have already."""
    terminals = []
    for number in range(packs):
        way = rng.choice([-0.35, -0.6, -2.0])
        labels = rng.choice([(fed(25.0, way),), (fed(30.0, way),), (bare(way),), (fed(15.0, way, 2), fed(40.0, way))])
        must = labels[0].feeds == 0 and rng.random() < 0.8
        terminals.append(terminal(*labels, kind=number, must_fuse=must, used=rng.choice([0, 0, 0, 1 << FIELD_BITS])))
    units, _, _ = fields([0, 0])
    placed = [
        site(
            rng.choice([0, *units, sum(units)]),
            rng.choice([2, 2, 3]),
            rng.random() < 0.6,
            rng.choice([0.5, 1.0]),
            rng.choice([0.0, 0.1]),
            rng.choice([0.0, 0.3]),
            kind,
        )
        for kind in range(sites)
    ]
    wires: dict[tuple[int, int, int], Sequence[Option]] = {}
    for node in range(packs + sites):
        for target in (*range(packs, packs + sites), ROOT):
            inlets = 1 if target == ROOT or placed[target - packs].uniform else placed[target - packs].slots
            for inlet in range(inlets):
                wires[node, target, inlet] = [_wire(rng) for _ in range(rng.choice([0, *5 * [1], *5 * [options]]))]
    for node in range(packs + sites) if given else ():
        if rng.random() < 0.5 and not (node < packs and terminals[node].must_fuse):
            own = fuse(rng.choice([10.0, 15.0, 20.0, 30.0]))
            wires |= {key: [_with(own, each) for each in made] for key, made in wires.items() if key[0] == node}
    known = {fuse(each): kg(rng.choice([0.1, 0.3])) for each in rng.choice([(), (25.0,), (20.0, 35.0)])}
    made = problem(
        terminals,
        placed,
        wires,
        fuses=known,
        unfused=[rng.randrange(1, 1 << packs)],
        root_slots=rng.choice([1, 1, 2]),
        room=(rng.choice([1, 2, 2, 3]), rng.choice([1, 2, 3, 3])),
        least_used=rng.choice([0, 0, 0, 1]),
    )
    return replace(made, sets=frozenset(range(1, 1 << packs))) if given else made


def _wire(rng: Random) -> Option:
    weight, amps_a = rng.choice([0.1, 0.2, 0.3, 0.4]), rng.choice([15.0, 20.0, 30.0, 40.0, inf])
    watts_w, volts_v = rng.choice([0.0, 10.0, 60.0]), rng.choice([0.1, 0.2, 0.3])
    holds = rng.random() < 0.6
    held = wire(weight + 0.05, amps_a, watts_w * 1.5, volts_v * 1.5) if not holds and rng.random() < 0.6 else None
    return wire(weight, amps_a, watts_w, volts_v, holds, held)


def _with(own: FuseKind, option: Option) -> Option:
    """A lead that has this fuse already."""
    return option._replace(fuse=own, held=option.held and option.held._replace(fuse=own))


# All plans there are, each lead and joiner of it decided.


class Wired(NamedTuple):
    """Some packs wired up to a place. `layout`: what meets where."""

    score: int
    over_v: float
    total_a: float
    largest_a: float
    feeds: int
    used: int
    layout: Any


def partitions(mask: int, most: int, least: int) -> Iterator[tuple[int, ...]]:
    """A set in so many parts."""
    parts = [part for part in range(1, mask + 1) if part & mask == part]
    for count in range(least, most + 1):
        for chosen in combinations(parts, count):
            if sum(chosen) == mask and all(not one & other for one, other in combinations(chosen, 2)):
                yield chosen


class Every:
    """All plans of a problem."""

    def __init__(self, p: Problem) -> None:
        self.p, self.count = p, len(p.terminals)
        self._known: dict[tuple[int, int], list[Wired]] = {}

    def layouts(self) -> dict[Any, int]:
        """The best score of each layout that there is, a way that loses too much counted as the finding that it is."""
        best: dict[Any, int] = {}
        for each in self._ending((1 << self.count) - 1, ROOT, self.p.root_slots, 1):
            if self.p.complete(each.used):
                over = SCORE.missed(each.over_v) if each.over_v > 1e-12 else 0
                layout = tuple(sorted(each.layout, key=repr))
                best[layout] = min(best.get(layout, each.score + over), each.score + over)
        return best

    def _ending(self, mask: int, target: int, slots: int, least: int) -> Iterator[Wired]:
        """All ways to bring a set to a node through its inlets, the first ones first."""
        uniform = target == ROOT or self.p.sites[target - self.count].uniform
        for chosen in partitions(mask, slots, least):
            for parts in [chosen] if uniform else permutations(chosen):
                ways = [self._brought(part, target, 0 if uniform else inlet) for inlet, part in enumerate(parts)]
                for each in product(*ways):
                    used = sum(one.used for one in each)
                    if self.p.fits(used):
                        yield Wired(
                            sum(one.score for one in each),
                            max(one.over_v for one in each),
                            sum(one.total_a for one in each),
                            max(one.largest_a for one in each),
                            sum(one.feeds for one in each),
                            used,
                            tuple(one.layout for one in each),
                        )

    def _at_outlet(self, mask: int, node: int) -> list[Wired]:
        if (mask, node) not in self._known:
            self._known[mask, node] = [*self._at_outlet_anew(mask, node)]
        return self._known[mask, node]

    def _at_outlet_anew(self, mask: int, node: int) -> Iterator[Wired]:
        if node < self.count:
            if mask == 1 << node:
                for label in self.p.terminals[node].labels:
                    fed_by = label.total_a, label.largest_a, label.feeds
                    yield Wired(label.score, label.over_v, *fed_by, self.p.terminals[node].used, node)
            return
        number = node - self.count
        put = self.p.sites[number]
        if mask.bit_count() < 2 or (self.p.meets is not None and not self.p.meets(mask, number)):
            return
        for each in self._ending(mask, node, put.slots, 2):
            if self.p.fits(each.used + put.use):
                yield each._replace(
                    score=each.score + put.score,
                    over_v=each.over_v + put.volts_v,
                    used=each.used + put.use,
                    layout=(node, *sorted(each.layout, key=repr)),
                )

    def _brought(self, mask: int, target: int, inlet: int) -> list[Wired]:
        """All ways to lead a set to an inlet."""
        p, share = self.p, self.p.share(mask)
        if p.splits_into is not None and not p.splits_into(mask, -1 if target == ROOT else target - self.count):
            return []
        path = 0 if target == ROOT else p.sites[target - self.count].path_loss(share)
        fuses = p.fuses(mask) if p.may_fuse(mask) else ()
        found = []
        for node in range(self.count + len(p.sites)):
            must = node < self.count and p.terminals[node].must_fuse
            for option in p.wires(node, target, inlet):
                for before in self._at_outlet(mask, node):
                    own = option.fuse if option.fuse and option.fuse.rating_a <= before.total_a else None
                    ways: list[tuple[Option, FuseKind | None]] = []
                    if option.fuse is not None or not (must and fuses):
                        ways.append((option, own))
                    holding = option if must or option.holder_m is not None else option.held
                    if holding is not None and option.fuse is None:
                        ways += [(holding, each) for each in fuses if each.rating_a < before.total_a]
                    made = (self._carried(before, *way, share) for way in ways)
                    found += [each._replace(score=each.score + path) for each in made if each is not None]
        return found

    def _carried(self, before: Wired, made: Option, kind: FuseKind | None, share: float) -> Wired | None:
        """Through a lead: its wire bears each fuse that feeds it by itself, and all of them together or it costs."""
        total_a, largest_a, feeds = before.total_a, before.largest_a, before.feeds
        score = before.score + made.score + SCORE.of("loss", made.watts_w * share**2)
        if kind is not None:
            total_a = largest_a = kind.rating_a
            feeds, score = 1, score + (0 if kind is made.fuse else self.p.fuse_score(kind))
        if total_a < inf and made.amps_a < inf:
            # 54.6 V is above 50 V: no fuse beyond the next standard one from what the wire bears on.
            if largest_a > next(each for each in STANDARD_A if each >= made.amps_a):
                return None
            if feeds > 1 and total_a > 1.5 * made.amps_a + 1e-9:
                score += SCORE.noted if feeds == 2 else SCORE.finding
        over_v = before.over_v + made.volts_v
        return Wired(score, over_v, total_a, largest_a, feeds, before.used, before.layout)
