"""What rides that were really ridden say of a rider and his packs: the same spreads as of `reach`, after them.

Each figure of a ride that is not known closely, and what is left in each pack that nobody has tested, is a deviation in
standard deviations. A known ride says how far these together carried, to within what two readings of a gauge, a way and
one day after another leave open. First the deviations are moved by the least amount that explains all rides; then
riders are drawn round that point and weighted, so that what comes out is the spread that a plain Monte Carlo would
leave after throwing away every rider who does not ride like this.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import exp, hypot, log, sqrt
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.discharge.rundown import Draw, NoRundown, rundown
from packyoke.analysis.ride.drive_power import Riding, rate
from packyoke.analysis.ride.named import RideInputs, resolved, swung
from packyoke.analysis.ride.shares import untested_parts
from packyoke.analysis.ride.spread import DRAWS, POINT, LowToHigh, at_deviation, chance_below, deviates, weighted_points
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.core.paths import path_to
from packyoke.model import Build, KnownRide
from packyoke.shelf.road import figure

STEPS, HALF_STEP = 8, 0.3
"""Steps towards the least amount, and how far to either side a slope is taken, in standard deviations."""
LEAST_TAKEN = 1e-3
"""Of what was taken on a known ride, the least that anybody is reckoned with: judgement."""
WIDER = 2.5
"""How much wider readings are taken for drawing than for weighing: what is taken bends, and slopes do not."""
ODD, ODD_MORE = 9.0, 2.6
"""Squares of deviations that no rider has: 3 of 1000 have more over one ride, and over each further one this much more
(chi square; where the line is drawn is judgement)."""

Deviations = Mapping[str, float]


class Odd(NamedTuple):
    """No rider rides like this: the ride that is farthest off, and how far anybody gets, 10, 50 and 90 % points [m].

    `alone` when it is off by itself, not only beside the other known rides.
    """

    ride: KnownRide
    likely_m: LowToHigh
    alone: bool


class RideTold(NamedTuple):
    """What a known ride told: how far anybody would have got, likely, and the share of riders who get farther."""

    ride: KnownRide
    anybody_m: float
    farther_fraction: float


class Outing:
    """A ride with a set of packs: from deviations to what it takes for each metre and the share that is had."""

    def __init__(
        self, ride: RideInputs, untested: Mapping[str, float], told: frozenset[str], own_hills: str = ""
    ) -> None:
        inputs = [ride.measured] if ride.measured else ride.inputs
        self.riding: Riding | None = None if ride.measured else ride.riding
        self.likely_j_per_m = ride.measured.likely if ride.measured else 0.0
        self.bands: dict[str, tuple[str, LowToHigh]] = {
            each.attr: (
                each.attr + (own_hills if each.attr == "climb_fraction" else ""),
                (each.low, each.likely, each.high),
            )
            for each in inputs
            if not each.known
        }
        self.parts: dict[str, float] = {}
        for name, part in untested.items():
            key = f"capacity of {name}" if name in told else "capacity"
            self.parts[key] = self.parts.get(key, 0.0) + part

    @property
    def keys(self) -> list[str]:
        """The deviations that count."""
        return [*(key for key, _ in self.bands.values()), "usable", *self.parts]

    def taken_j_per_m(self, at: Deviations) -> float:
        """What is taken for each metre."""
        changed = {attr: at_deviation(band, at[key]) for attr, (key, band) in self.bands.items()}
        if self.riding is None:
            return changed.get("measured", self.likely_j_per_m)
        return rate(swung(self.riding, changed)).j_per_m

    def untested_fraction(self, at: Deviations) -> float:
        """What is left in packs that nobody has tested."""
        left = _points("usable over capacity")
        return 1.0 - sum(part * (1.0 - min(1.0, at_deviation(left, at[key]))) for key, part in self.parts.items())

    def had_fraction(self, at: Deviations) -> float:
        """What is had of what the rundown says."""
        return max(0.01, usable_fraction(at) * self.untested_fraction(at))

    def given_j_per_m(self, at: Deviations) -> float:
        """What the packs have to hold by the rundown for each metre."""
        return self.taken_j_per_m(at) / self.had_fraction(at)


def usable_fraction(at: Deviations) -> float:
    """What is had on the road of a steady load."""
    return min(1.0, at_deviation(_points("usable over rundown"), at["usable"]))


@lru_cache
def _points(kind: str, item: str = "any") -> LowToHigh:
    found = figure(kind, item)
    return found.low, found.likely, found.high


@dataclass(frozen=True, eq=False)
class Rider:
    """What is left of all riders after the known rides: draws with their weights, which sum to 1.

    `told` one for each known ride; `packs` are those of which the rides say something.
    """

    draws: tuple[Deviations, ...]
    weights: tuple[float, ...]
    told: tuple[RideTold, ...]
    packs: frozenset[str]

    def at(self, keys: Sequence[str]) -> Iterator[Deviations]:
        """The draws with the deviations that the known rides say nothing of."""
        more = [key for key in keys if key not in self.draws[0]]
        columns = [deviates(key) for key in more]
        for index, draw in enumerate(self.draws):
            yield {**draw, **{key: column[index] for key, column in zip(more, columns, strict=True)}}

    def points(self, values: Sequence[float]) -> LowToHigh:
        """10, 50 and 90 % points of a figure, given for each draw."""
        return weighted_points(values, self.weights)


def known_of(build: Build, name: str) -> tuple[KnownRide, ...]:
    """The rides of the file that were ridden in this way."""
    return next((ride.known for key, ride in build.rides.items() if key.casefold() == name.casefold()), ())


def rider_of(
    case: Case, name: str, rides: tuple[KnownRide, ...], health_fraction: float | None
) -> Rider | Odd | NoRundown:
    """The rider after what he has ridden.

        z* = argmin z.z + sum ((ln d - ln d(z))/sigma)^2; weights p(z) p(d|z)/q(z), q the normal spread round z*

    Parameters
        case: the build [-]
        name: the ride that was ridden [-]
        rides: how far, with which packs, from what charge to what [m], [-]
        health_fraction: capacity left of the marked in packs that nobody tested; None: not known [-]
    Returns
        the rider; or that no rider rides like this; or why it cannot be said
    Valid
        as `range_of`; without the least that rides take, for here somebody has measured
    Raises
        NoRide, Unknown: as of `resolved`
    Reference
        Gauss-Newton step and draws by perturbed observations: Kitanidis 1995, Water Resour. Res. 31:2411; weights:
        importance sampling, textbook.
    """
    return _rider_of(case, name, rides, health_fraction)


def odd_of(case: Case, name: str, rides: tuple[KnownRide, ...]) -> Odd | NoRundown | None:
    """Whether no rider rides like this: the same answer as of `rider_of`, without drawing any. Raises as that does."""
    found = _explained(case, name, rides, None)
    return None if isinstance(found, _Explained) else found


class _Explained(NamedTuple):
    """Known rides, the deviations moved least that explain them, and how far anybody is off."""

    seen: list[_Seen]
    best: dict[str, float]
    slopes: list[dict[str, float]]
    off: list[float]
    anybody: list[float]


@once
def _rider_of(
    case: Case, name: str, rides: tuple[KnownRide, ...], health_fraction: float | None
) -> Rider | Odd | NoRundown:
    found = _explained(case, name, rides, health_fraction)
    if not isinstance(found, _Explained):
        return found
    draws, weights = _drawn(found.seen, list(found.best), found.best, found.slopes)
    heard = tuple(
        RideTold(ride, exp(log(ride.distance_m) - off), 1.0 - chance_below(off / wide))
        for ride, off, wide in zip(rides, found.off, found.anybody, strict=True)
    )
    return Rider(draws, weights, heard, frozenset(pack for ride in rides for pack in ride.packs))


@once
def _explained(
    case: Case, name: str, rides: tuple[KnownRide, ...], health_fraction: float | None
) -> _Explained | Odd | NoRundown:
    told = frozenset(pack for ride in rides for pack in ride.packs)
    seen = []
    for number, known in enumerate(rides):
        one = _seen(case, name, known, told, health_fraction, number)
        if isinstance(one, NoRundown):
            return one
        seen.append(one)
    keys = list(dict.fromkeys(key for one in seen for key in one.outing.keys))
    start = [one.off(dict.fromkeys(keys, 0.0)) for one in seen]
    slopes = [one.slopes(dict.fromkeys(keys, 0.0)) for one in seen]
    anybody = [hypot(one.sigma, *slope.values()) for one, slope in zip(seen, slopes, strict=True)]
    best, slopes = _least_amount(seen, keys)
    cost = sum(z * z for z in best.values()) + sum((one.off(best) / one.sigma) ** 2 for one in seen)
    if cost > ODD + ODD_MORE * (len(seen) - 1):
        worst = max(range(len(seen)), key=lambda index: abs(start[index]) / anybody[index])
        ride, off = rides[worst], start[worst]
        spread = POINT * anybody[worst]
        likely = exp(log(ride.distance_m) - off)
        around = (likely * exp(-spread), likely, likely * exp(spread))
        return Odd(ride, around, abs(off) / anybody[worst] > 0.8 * sqrt(ODD))
    return _Explained(seen, best, slopes, start, anybody)


class _Seen(NamedTuple):
    """A known ride: what the packs gave on it for each metre by the rundown, and how closely that is known (ln)."""

    outing: Outing
    given_j_per_m: float
    sigma: float

    def off(self, at: Deviations) -> float:
        """By how much farther he went than a rider with these deviations would, as a logarithm.

        One who takes next to nothing from the packs would go on for ever: he counts as taking a thousandth.
        """
        taken_j_per_m = max(self.outing.given_j_per_m(at), LEAST_TAKEN * self.given_j_per_m)
        return log(taken_j_per_m / self.given_j_per_m)

    def slopes(self, at: Deviations) -> dict[str, float]:
        """How it changes with each deviation."""
        found = {}
        for key in self.outing.keys:
            more, less = ({**at, key: at[key] + step} for step in (HALF_STEP, -HALF_STEP))
            found[key] = (self.off(more) - self.off(less)) / (2 * HALF_STEP)
        return found


def _seen(
    case: Case, name: str, known: KnownRide, told: frozenset[str], health_fraction: float | None, number: int
) -> _Seen | NoRundown:
    counted, _ = filled_case(case)
    ride = resolved(counted, known.packs, name, known.air_k)
    own_hills = ""
    if known.hills_fraction is not None and not ride.measured:
        ride = _with_hills(ride, known.hills_fraction, known.rise_fraction)
        own_hills = f" of known ride {number + 1}"
    outing = Outing(ride, untested_parts(counted, known.packs, health_fraction), told, own_hills)
    middle = dict.fromkeys(outing.keys, 0.0)
    speed_m_s = 1.0 / rate(ride.riding).s_per_m
    power_w = max(1.0, outing.taken_j_per_m(middle) * speed_m_s - ride.riding.accessories_w)
    given_j = []
    for state in (known.from_fraction, known.to_fraction):
        if state <= 0.0:
            given_j.append(0.0)
            continue
        found = rundown(
            case,
            known.packs,
            start=None if state >= 1.0 else dict.fromkeys(known.packs, state),
            load=Draw(power_w=power_w),
            temperature_k=ride.air_k,
            health_fraction=health_fraction or 1.0,
            series=False,
        )
        if isinstance(found, NoRundown):
            return found
        given_j.append(found.energy_to_load_j + found.taps_j)
    if given_j[0] - given_j[1] <= 0.0:
        return NoRundown("gives nothing", path_to("packs", known.packs[0]), "")
    return _Seen(outing, (given_j[0] - given_j[1]) / known.distance_m, _sigma(known))


def _with_hills(ride: RideInputs, hills_fraction: float, rise_fraction: float) -> RideInputs:
    stated = figure("as stated", "climb")
    inputs = tuple(
        each._replace(low=stated.low * hills_fraction, likely=hills_fraction, high=stated.high * hills_fraction)
        if each.attr == "climb_fraction"
        else each
        for each in ride.inputs
    )
    riding = swung(ride.riding, {"climb_fraction": hills_fraction})._replace(rise_fraction=rise_fraction)
    return ride._replace(inputs=inputs, riding=riding)


def _sigma(known: KnownRide) -> float:
    """What readings, the way and one day after another leave open, as standard deviation of a logarithm."""
    reading = figure("known ride", "charge reading").high / (known.from_fraction - known.to_fraction)
    return hypot(sqrt(2.0) * reading / POINT, log(figure("known ride", "distance").high) / POINT, day_sigma())


def day_sigma() -> float:
    """One ride of a rider is not the next: standard deviation of the logarithm."""
    return log(figure("known ride", "one like the next").high) / POINT


def _least_amount(seen: Sequence[_Seen], keys: Sequence[str]) -> tuple[dict[str, float], list[dict[str, float]]]:
    """The deviations moved least that explain what was ridden, and the slopes there."""
    at = dict.fromkeys(keys, 0.0)
    for _ in range(STEPS):
        slopes = [one.slopes(at) for one in seen]
        aims = [
            sum(slope.get(key, 0.0) * at[key] for key in keys) - one.off(at)
            for one, slope in zip(seen, slopes, strict=True)
        ]
        new = _moved(seen, slopes, keys, aims)
        far = max(abs(new[key] - at[key]) for key in keys)
        at = {key: max(-4.0, min(4.0, new[key])) for key in keys}
        if far < 1e-3:
            break
    return at, [one.slopes(at) for one in seen]


def _moved(
    seen: Sequence[_Seen], slopes: Sequence[Mapping[str, float]], keys: Sequence[str], aims: Sequence[float]
) -> dict[str, float]:
    """G'(G G' + R)^-1 aims: the least deviations that give what is aimed at."""
    matrix = [
        [
            sum(one.get(key, 0.0) * other.get(key, 0.0) for key in keys) + (seen[i].sigma ** 2 if i == j else 0.0)
            for j, other in enumerate(slopes)
        ]
        for i, one in enumerate(slopes)
    ]
    worth = _solved(matrix, aims)
    return {key: sum(slope.get(key, 0.0) * each for slope, each in zip(slopes, worth, strict=True)) for key in keys}


def _solved(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """A x = b for a symmetric matrix that is positive definite: no rows are changed round.

    >>> _solved([[2.0, 1.0], [1.0, 3.0]], [3.0, 4.0])
    [1.0, 1.0]
    """
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for i, row in enumerate(rows):
        for below in rows[i + 1 :]:
            share = below[i] / row[i]
            for j in range(i, len(row)):
                below[j] -= share * row[j]
    found = [0.0] * len(rows)
    for i in reversed(range(len(rows))):
        rest = sum(rows[i][j] * found[j] for j in range(i + 1, len(rows)))
        found[i] = (rows[i][-1] - rest) / rows[i][i]
    return found


def _drawn(
    seen: Sequence[_Seen], keys: Sequence[str], best: Deviations, slopes: Sequence[Mapping[str, float]]
) -> tuple[tuple[Deviations, ...], tuple[float, ...]]:
    """Draws from a normal spread round the best point, wider than slopes say, weighted to what they should be."""
    columns = {key: deviates(key) for key in keys}
    noise = [deviates(f"reading {number}") for number in range(len(seen))]
    wide = [one._replace(sigma=WIDER * one.sigma) for one in seen]
    draws, logs = [], []
    for index in range(DRAWS):
        free = {key: column[index] for key, column in columns.items()}
        aims = [
            -one.sigma * each[index] - sum(slope.get(key, 0.0) * free[key] for key in keys)
            for one, slope, each in zip(wide, slopes, noise, strict=True)
        ]
        pulled = _moved(wide, slopes, keys, aims)
        off = {key: free[key] + pulled[key] for key in keys}
        draw = {key: best[key] + off[key] for key in keys}
        drawn_from = sum(each * each for each in off.values()) + sum(
            (sum(slope.get(key, 0.0) * off[key] for key in keys) / one.sigma) ** 2
            for one, slope in zip(wide, slopes, strict=True)
        )
        wanted = sum(each * each for each in draw.values()) + sum((one.off(draw) / one.sigma) ** 2 for one in seen)
        draws.append(draw)
        logs.append((drawn_from - wanted) / 2)
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    whole = sum(weights)
    return tuple(draws), tuple(each / whole for each in weights)


@cache
def next_day() -> tuple[float, ...]:
    """Factors of the next ride over this rider's mean, one for each draw."""
    return tuple(exp(day_sigma() * z) for z in deviates("next day"))
