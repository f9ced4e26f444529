"""A route driven: which packs supply where, what is left at its end, and where it ends if they do not last."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import CannotDeliver
from packyoke.analysis.discharge.course import Discharge, EndedBy, PartTally, driven
from packyoke.analysis.discharge.rundown import WARM_K, Draw, NoRundown, by_part, circuit_with
from packyoke.analysis.discharge.stepping import NO_CURRENT_A, Battery
from packyoke.analysis.ride.pieces import Piece
from packyoke.core.lines import on_line
from packyoke.model import Key

COLUMNS = 48
CARRIES_FRACTION = 0.05
"""A pack carries a stretch when this much of the charge is its own: less is what a steep moment asks of it."""
AlongEnd = Literal["arrived", "controller cuts", "no pack left", "cannot deliver"]
ENDS: Mapping[EndedBy, AlongEnd] = {
    "all driven": "arrived",
    "controller cuts": "controller cuts",
    "no pack left": "no pack left",
    "cannot deliver": "cannot deliver",
}
STOPS = ("drops out", "empty", "controller cuts", "cannot deliver")
PowerOf = Callable[[Piece], tuple[float, float]]


class PackAlong(NamedTuple):
    """One pack over the way. `begins_m`: where it first gives current; `stops_m`: where it drops out, is empty or, on a
    selector, is turned away from, and `stops_why` which of these (the kind of an `Event`)."""

    name: str
    begins_m: float | None
    stops_m: float | None
    stops_why: str
    start_fraction: float
    left_fraction: float
    energy_out_j: float
    share: float
    peak_a: float


class Column(NamedTuple):
    """A part of the way; each pack's share of the charge in it, and how full it is at its end, in the order of the
    packs. Shares are all 0 where nothing is drawn."""

    from_m: float
    to_m: float
    shares: tuple[float, ...]
    fractions: tuple[float, ...]


class Stretch(NamedTuple):
    """A part of the way over which the same packs carry."""

    from_m: float
    to_m: float
    packs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Along:
    """What the packs do on a way. Columns and stretches go as far as the packs do.

    `left_fraction`: of the charge of all packs together. `peak_a`: the largest current at the controller, and
    where; nobody's limit is held against it here. `refused` says what could still be delivered, where the way ends
    because it is too little. `assumed` as in `Rundown`.
    """

    packs: tuple[PackAlong, ...]
    columns: tuple[Column, ...]
    stretches: tuple[Stretch, ...]
    passed: Mapping[str, PartTally]
    distance_m: float
    reached_m: float
    duration_s: float
    ended: AlongEnd
    left_fraction: float
    refused: CannotDeliver | None
    energy_to_load_j: float
    accessories_j: float
    peak_a: float
    peak_at_m: float
    assumed: tuple[Key, ...]

    @property
    def level_m(self) -> float | None:
        """Where all packs first carry together [m]; None where they never do, or there is only one."""
        names = {pack.name for pack in self.packs}
        found = (stretch.from_m for stretch in self.stretches if {*stretch.packs} == names)
        return next(found, None) if len(names) > 1 else None


def along(
    case: Case,
    packs: tuple[str, ...],
    pieces: Sequence[Piece],
    power_of: PowerOf,
    *,
    start: Mapping[str, float] | None = None,
    temperature_k: float = WARM_K,
    health_fraction: float = 1.0,
    given_fraction: float = 1.0,
) -> Along | NoRundown:
    """Drive a way with a set of packs until it is over, the controller cuts or no pack is left.

    Parameters
        packs: names of the packs that are plugged in
        pieces: the way [m]
        power_of: what the controller draws on a piece and how long the piece takes [W], [s]; 0 W: the packs rest
        start: states of charge by name [-]; full where there is none
        temperature_k: of the cells, for capacity and resistance [K]
        health_fraction: capacity left of the marked, 1 as new; a tested capacity is taken as tested, without it [-]
        given_fraction: part of the charge that is had on the road [-]
    Returns
        which packs carry where, what is left [m], [s], [A], [J], or why that cannot be said
    Valid
        as `rundown`. Nobody rides slower where the packs sag: the first moment at which the controller cuts is the end.
    Raises
        ValueError: no pieces, no packs, a pack that is not in the build or twice, a fraction outside 0 to 1, a power
        below 0, a time that is not above 0
    """
    if not pieces:
        raise ValueError("a way without pieces")
    found = circuit_with(case, packs, start or {}, temperature_k, health_fraction, Draw(power_w=0.0))
    if isinstance(found, NoRundown):
        return found
    powers: list[tuple[float, float]] = []

    def drawn() -> Iterator[tuple[float, float]]:
        # Only as far as the packs go: a long way ends early for one of them.
        for piece in pieces:
            powers.append(power_of(piece))
            yield powers[-1]

    batteries = [each._replace(capacity_coulomb=each.capacity_coulomb * given_fraction) for each in found.batteries]
    run = driven(found.root, _rests_joined(drawn()), batteries, found.states, found.cut_v)
    return _told(run, _Way(pieces, powers), batteries, found.assumed)


def _rests_joined(powers: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Pieces without load one after the other as one: descents are long."""
    for rests, run in groupby(powers, lambda each: each[0] == 0.0):
        if rests:
            yield 0.0, sum(taken_s for _, taken_s in run)
        else:
            yield from run


class _Way:
    """Where one is at which time, straight within a piece: as far as powers are known."""

    def __init__(self, pieces: Sequence[Piece], powers: Sequence[tuple[float, float]]) -> None:
        whole_m = [0.0, *accumulate(piece.length_m for piece in pieces)]
        self.at_m, self.distance_m = whole_m[: len(powers) + 1], whole_m[-1]
        self.at_s = [0.0, *accumulate(taken_s for _, taken_s in powers)]

    def place_m(self, time_s: float) -> float:
        return on_line(self.at_s, self.at_m, time_s)

    def time_s(self, place_m: float) -> float:
        return on_line(self.at_m, self.at_s, place_m)


def _told(run: Discharge, way: _Way, batteries: Sequence[Battery], assumed: tuple[Key, ...]) -> Along:
    """A rundown in time as one along the way."""
    reached_m = way.distance_m if run.ended == "all driven" else way.place_m(run.duration_s)
    columns = _columns(run, way, batteries, reached_m)
    most = max(run.series, key=lambda sample: sample.load_a, default=None)
    packs = []
    for n, tally in enumerate(run.packs):
        begins_s = next((sample.time_s for sample in run.series if sample.currents_a[n] > NO_CURRENT_A), None)
        stops = next((each for each in run.events if each.pack == tally.name and each.kind in STOPS), None)
        packs.append(
            PackAlong(
                tally.name,
                None if begins_s is None else way.place_m(begins_s),
                way.place_m(stops.time_s) if stops else None,
                stops.kind if stops else "",
                tally.start_fraction,
                tally.end_fraction,
                tally.energy_out_j,
                tally.share,
                tally.peak_a,
            )
        )
    return Along(
        tuple(packs),
        columns,
        _stretches(columns, [pack.name for pack in batteries]),
        by_part(run.passed),
        way.distance_m,
        reached_m,
        run.duration_s,
        ENDS[run.ended],
        sum(pack.capacity_coulomb * tally.end_fraction for pack, tally in zip(batteries, run.packs, strict=True))
        / sum(pack.capacity_coulomb for pack in batteries),
        run.refused,
        run.energy_to_load_j,
        run.taps_j,
        most.load_a if most else 0.0,
        way.place_m(most.time_s) if most else 0.0,
        assumed,
    )


def _columns(run: Discharge, way: _Way, batteries: Sequence[Battery], reached_m: float) -> tuple[Column, ...]:
    """The way in equal parts, as fine as a chart on one screen."""
    if not run.series or reached_m == 0.0:
        return ()
    times_s = [sample.time_s for sample in run.series]
    edges_m = [reached_m * n / COLUMNS for n in range(COLUMNS + 1)]
    by_pack = [[sample.fractions[n] for sample in run.series] for n in range(len(batteries))]
    states = [tuple([on_line(times_s, fractions, way.time_s(edge_m)) for fractions in by_pack]) for edge_m in edges_m]
    found = []
    for (from_m, to_m), (before, after) in zip(pairwise(edges_m), pairwise(states), strict=True):
        given = [
            max(0.0, (high - low) * pack.capacity_coulomb)
            for high, low, pack in zip(before, after, batteries, strict=True)
        ]
        total = sum(given)
        shares = tuple([each / total if total > 0.0 else 0.0 for each in given])
        found.append(Column(from_m, to_m, shares, after))
    return tuple(found)


def _stretches(columns: Sequence[Column], names: Sequence[str]) -> tuple[Stretch, ...]:
    """Columns that the same packs carry, put together; where nothing is drawn the packs before count on."""
    found: list[Stretch] = []
    for column in columns:
        carriers = tuple(name for name, share in zip(names, column.shares, strict=True) if share >= CARRIES_FRACTION)
        if found and carriers in ((), found[-1].packs):
            found[-1] = found[-1]._replace(to_m=column.to_m)
        else:
            found.append(Stretch(column.from_m, column.to_m, carriers))
    return tuple(found)
