"""Ways to wire the same packs, kept side by side as long as one of them may still turn out best."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from math import inf
from typing import Any, NamedTuple

from packyoke.analysis.limits.fusing import FEEDS_AS_A_NOTE, largest_fuse_a
from packyoke.analysis.limits.margins import above
from packyoke.making.stock import Cable
from packyoke.planning.catalogue import FuseKind, fits_together
from packyoke.planning.score import Score

HAIR_V = 1e-12
"""Rounding of a sum of some volts."""


class Kinds(dict[Hashable, int]):
    """A number for each thing that labels are told apart by, the same for the same thing only: two may share a hash."""

    def __missing__(self, what: Hashable) -> int:
        found = self[what] = len(self) + 1
        return found


class Begun(NamedTuple):
    """How a label came about: at the outlet of a terminal; `before` is what its own label says."""

    terminal: int
    before: Any


class Closed(NamedTuple):
    """At the outlet of a joiner at a site, after what was brought to it."""

    site: int
    before: Any


class Led(NamedTuple):
    """By a lead into an inlet of a node; `before` is what it leads on."""

    target: int
    inlet: int
    before: Any


class Wired(NamedTuple):
    """By a drawn lead that is made so, after what feeds it; None where nothing does."""

    lead: str
    option: Any
    before: Any


class Together(NamedTuple):
    """Two that were brought together."""

    one: Any
    other: Any


class Label(NamedTuple):
    """The wiring of some packs up to a place.

    `over_v`: by how much the worst of its ways is beyond what it may lose (below zero: what is left); `total_a`,
    `largest_a`, `feeds`: the fuses that feed what comes next, and how many; `kind` tells plans apart that count as
    different ones: a number of `Kinds`, or those of all that has come together, rising; `trace`: how it came about.
    """

    score: int
    over_v: float
    total_a: float
    largest_a: float
    kind: Any
    trace: Any
    feeds: int = 1


class Option(NamedTuple):
    """One way to make a lead. `score` is without what it loses; `amps_a` what its wire bears (inf: no wire)."""

    cable: Cable | None
    fuse: FuseKind | None
    score: int
    ohm: float
    volts_v: float
    amps_a: float
    full_v: float
    holder_m: float | None = None
    """Its length, where that is enough for the holder of a fuse [m]."""
    held: Any = None
    """The same lead made longer for the holder of a fuse, where it is too short."""

    @property
    def watts_w(self) -> float:
        """What it loses when the packs behind it give the whole load; it goes with the square of their share."""
        return self.volts_v**2 / self.ohm if self.ohm else 0.0


class Fed(NamedTuple):
    """What feeds the next place behind a lead, and what it costs more that its wire does not bear all of it."""

    total_a: float
    largest_a: float
    feeds: int
    more: int


def fed_behind(label: Label, option: Option, weights: Score) -> Fed | None:
    """What a lead behind a label feeds; None when a fuse before it is bigger than its wire takes."""
    total_a, largest_a, feeds = label.total_a, label.largest_a, label.feeds
    fuse = option.fuse
    if fuse is not None and fuse.rating_a <= total_a:
        total_a = largest_a = fuse.rating_a
        feeds = 1
    more = 0
    if 0.0 < total_a < inf and option.amps_a < inf:
        if above(largest_a, option.amps_a) and above(largest_a, largest_fuse_a(option.amps_a, option.full_v)):
            return None
        if feeds > 1 and not fits_together(total_a, option.amps_a):
            more = weights.finding if feeds > FEEDS_AS_A_NOTE else weights.noted
    return Fed(total_a, largest_a, feeds, more)


def carried(label: Label, option: Option, loss: int, weights: Score, kind: Hashable, trace: Any) -> Label | None:
    """The label behind a lead; None when a fuse that feeds the lead is bigger than its wire takes."""
    fed = fed_behind(label, option, weights)
    if fed is None:
        return None
    score = label.score + option.score + loss + fed.more
    return Label(score, label.over_v + option.volts_v, fed.total_a, fed.largest_a, kind, trace, fed.feeds)


def joined(one: Label, other: Label, kind: Hashable, trace: Any, *, alternating: bool = False) -> Label:
    """Two labels brought together in a joiner; a selector lets one at a time on."""
    total_a = max(one.total_a, other.total_a) if alternating else one.total_a + other.total_a
    feeds = max(one.feeds, other.feeds) if alternating else one.feeds + other.feeds
    return Label(
        one.score + other.score,
        max(one.over_v, other.over_v),
        total_a,
        max(one.largest_a, other.largest_a),
        kind,
        trace,
        feeds,
    )


def figures(label: Label) -> tuple[int, float, float, float]:
    """By which labels are put in order, the best first."""
    return label[:4]


def kept(labels: Iterable[Label], most: int = 2) -> list[Label]:
    """The labels that can still lead to the best plan or, with two, to the next best one of another kind."""
    found: list[Label] = []
    for label in sorted(labels, key=figures):
        _, over_v, total_a, largest_a, kind, _, feeds = label
        most_v = over_v + HAIR_V
        kinds: set[Hashable] = set()
        for other in found:
            # It costs no less than the other, and nothing else speaks for it, whatever comes after both.
            if (
                other.over_v <= most_v
                and other.total_a <= total_a
                and other.largest_a <= largest_a
                and other.feeds <= feeds
            ):
                if other.kind == kind:
                    break
                kinds.add(other.kind)
                if len(kinds) >= most:
                    break
        else:
            found.append(label)
    return found


def best_of(labels: Iterable[Label], score: Score, most: int) -> list[Label]:
    """The best label of each of the best kinds, a way that loses too many volts counted as missed.

    Returns them, rising, with their scores made up [-]
    """
    counted = [
        label._replace(score=label.score + score.missed(label.over_v)) if over_limit(label) else label
        for label in labels
    ]
    found: dict[Hashable, Label] = {}
    for label in sorted(counted, key=figures):
        if len(found) < most:
            found.setdefault(label.kind, label)
    return [*found.values()]


def best_two(labels: Iterable[Label], score: Score) -> list[Label]:
    """The best label and the best one of another kind."""
    return best_of(labels, score, 2)


def over_limit(label: Label) -> bool:
    return label.over_v > HAIR_V
