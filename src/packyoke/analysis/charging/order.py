"""How long packs take to fill, which charger fills which pack in what order, and what a charge port fills first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, product
from math import inf, prod
from typing import NamedTuple

from packyoke.analysis.circuit.curves import Blocked, Demand, Joined, PackSource, Series, TreeNode
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.stepping import Battery
from packyoke.core.constants import HOUR_S
from packyoke.physics.charge import charge_energy_j, charge_time_s, knee_fraction, tapered_fraction

FULL_RATE_PER_HOUR = 1 / 20
"""A pack counts as full when the current has fallen to this share of its capacity an hour: common practice."""
MOSTLY = 0.8
MOST_ASSIGNMENTS = 100_000
"""Up to this many ways to hand packs to chargers all are tried; above it every pack goes to whichever is done first."""
LAG = ((0.2, 0.02), (0.5, 0.16), (1.0, 0.55))
"""How much longer a charge lasts than a pack behind a resistance lets expect, as a share of capacity over current, by
the current as a share of the capacity an hour: the slowest of three published cells, computed (0.01, 0.13, 0.53),
rounded up. In the cold times what the resistance is more: at 0 degC they take 0.41 at half the capacity an hour and
1.25 at all of it; the first is why half the capacity has 0.16."""
MOSTLY_LAG = 0.65
"""How much of that comes before 80 %: the same cells at 0 and 20 degC (0.36 to 0.60 of the slowest), rounded up."""


class Refill(NamedTuple):
    """A pack to be charged: open-circuit curve [-], [V], capacity [C], resistance [ohm], where it starts [-].

    `chill` is its resistance over that at 20 degC.
    """

    pack: str
    curve: tuple[tuple[float, float], ...]
    capacity_coulomb: float
    resistance_ohm: float
    start_fraction: float
    chill: float = 1.0

    @property
    def taper_a(self) -> float:
        return self.capacity_coulomb * FULL_RATE_PER_HOUR / HOUR_S


class Times(NamedTuple):
    """How long a charger takes for a pack, by itself.

    `mostly_s` is the time to 80 %, None where the charger ends below that; `knee_fraction` is where the current begins
    to fall and `end_fraction` where it counts as full. `energy_j` goes into the pack. Cells that lag behind need up to
    `mostly_lag_s` and `lag_s` more.
    """

    mostly_s: float | None
    full_s: float
    mostly_lag_s: float
    lag_s: float
    knee_fraction: float
    end_fraction: float
    energy_j: float


def times(refill: Refill, current_a: float, output_v: float) -> Times:
    """Time for one pack on one charger: constant current, then its constant voltage until next to nothing flows."""
    curve, start, ohm = refill.curve, refill.start_fraction, refill.resistance_ohm
    knee = knee_fraction(curve, ohm, current_a, output_v)
    # A charger that gives less than the last current is done when it comes to its voltage.
    end = max(knee, tapered_fraction(curve, ohm, refill.taper_a, output_v))

    def until(fraction: float) -> float:
        return charge_time_s(curve, start, fraction, refill.capacity_coulomb, ohm, current_a, output_v)

    energy_j = charge_energy_j(curve, start, end, refill.capacity_coulomb, ohm, current_a, output_v)
    full_s = until(end)
    share = refill.chill * lag_share(current_a * HOUR_S / refill.capacity_coulomb)
    lag_s = min(full_s, share * refill.capacity_coulomb / current_a)
    mostly_s = until(MOSTLY) if end >= MOSTLY else None
    mostly_lag_s = MOSTLY_LAG * lag_s if mostly_s else 0.0
    return Times(mostly_s, full_s, mostly_lag_s, lag_s, knee, end, energy_j)


def lag_share(rate_per_hour: float) -> float:
    """How much longer a charge lasts, as a share of capacity over current: straight between the points of `LAG` [-].

    >>> f"{lag_share(0.1):.2f} {lag_share(0.75):.2f} {lag_share(2.0):.2f}"
    '0.02 0.35 0.55'
    """
    (slow, least), *_, (fast, most) = LAG
    if not slow < rate_per_hour < fast:
        return least if rate_per_hour <= slow else most
    (start, start_share), (end, end_share) = next(two for two in pairwise(LAG) if rate_per_hour <= two[1][0])
    return start_share + (rate_per_hour - start) / (end - start) * (end_share - start_share)


class Turn(NamedTuple):
    """One pack on one charger, from when to when."""

    pack: str
    charger: str
    begins_s: float
    ends_s: float


class ChargeOrder(NamedTuple):
    """Which charger charges which packs when, shortest first.

    `chargers`: how many run at the same time. `changes`: how often somebody has to come and move a plug. `exact`:
    whether every way was tried.
    """

    chargers: int
    changes: int
    finish_s: float
    turns: tuple[Turn, ...]
    exact: bool

    @property
    def at_once(self) -> tuple[str, ...]:
        """The chargers that run at the start."""
        return tuple(dict.fromkeys(turn.charger for turn in self.turns if turn.begins_s == 0.0))


def plans(durations_s: Mapping[tuple[str, str], float]) -> tuple[ChargeOrder, ...]:
    """One pack at a time, each on its quickest charger; then the earliest finish with two, three ... chargers at once.

    No pack is moved twice: every pack stays on one charger until it is full.

    Parameters
        durations_s: time by charger and pack, for the pairs that may be used [s]
    Returns
        plans for the packs that any charger may charge; of equal finish the one with packs ready sooner, of equal ones
        that with the chargers that stand first
    Reference
        own: all assignments of packs to chargers.

    >>> times_s = {("a", "p"): 3.0, ("a", "q"): 4.0, ("b", "q"): 9.0}
    >>> [(plan.chargers, plan.changes, plan.finish_s) for plan in plans(times_s)]
    [(1, 1, 7.0), (2, 0, 9.0)]
    """
    packs = tuple(dict.fromkeys(pack for _, pack in durations_s))
    choices = [tuple(charger for charger, each in durations_s if each == pack) for pack in packs]
    if not packs:
        return ()
    found = [_one_at_a_time(packs, choices, durations_s)]
    exact = prod(map(len, choices)) <= MOST_ASSIGNMENTS
    tried = product(*choices) if exact else _greedy(packs, choices, durations_s)
    best: dict[int, tuple[float, float, tuple[str, ...]]] = {}
    for assigned in tried:
        loads: dict[str, list[float]] = {}
        for pack, charger in zip(packs, assigned, strict=True):
            loads.setdefault(charger, []).append(durations_s[charger, pack])
        # Sums of the same times in another order are the same finish.
        finish_s = round(max(map(sum, loads.values())), 6)
        if len(loads) == 1 or (len(loads) in best and finish_s > best[len(loads)][0]):
            continue
        # Sum of the moments at which packs are ready: the shortest of each charger first.
        ready_s = sum(n * each for load in loads.values() for n, each in enumerate(sorted(load, reverse=True), 1))
        before = best.get(len(loads), (inf, inf, ()))
        best[len(loads)] = min(before, (finish_s, ready_s, assigned), key=lambda each: each[:2])
    for count, (finish_s, _, assigned) in sorted(best.items()):
        turns = tuple(_turns(packs, assigned, durations_s))
        found.append(ChargeOrder(count, len(packs) - count, finish_s, turns, exact))
    return tuple(found)


def plans_of_units(
    durations_s: Mapping[tuple[str, str], float], unit_of: Mapping[str, tuple[str, ...]]
) -> tuple[ChargeOrder, ...]:
    """Plans where packs that are joined for good are charged as one: one turn, on a pack that the charger is for."""
    first: dict[tuple[str, ...], str] = {}
    plugged: dict[tuple[str, str], str] = {}
    for charger, pack in durations_s:
        plugged.setdefault((charger, first.setdefault(unit_of[pack], pack)), pack)
    found = plans({(charger, one): durations_s[charger, pack] for (charger, one), pack in plugged.items()})
    return tuple(
        plan._replace(turns=tuple(turn._replace(pack=plugged[turn.charger, turn.pack]) for turn in plan.turns))
        for plan in found
    )


def _one_at_a_time(
    packs: Sequence[str], choices: Sequence[Sequence[str]], durations_s: Mapping[tuple[str, str], float]
) -> ChargeOrder:
    """Each pack on its quickest charger, the shortest first."""
    quickest = [
        min(((durations_s[charger, pack], charger) for charger in choice), key=lambda each: each[0])
        for pack, choice in zip(packs, choices, strict=True)
    ]
    turns, begins_s = [], 0.0
    for (duration_s, charger), pack in sorted(zip(quickest, packs, strict=True), key=lambda each: each[0][0]):
        turns.append(Turn(pack, charger, begins_s, begins_s + duration_s))
        begins_s += duration_s
    return ChargeOrder(1, len(packs) - 1, begins_s, tuple(turns), True)


def _turns(
    packs: Sequence[str], assigned: Sequence[str], durations_s: Mapping[tuple[str, str], float]
) -> Iterator[Turn]:
    for charger in dict.fromkeys(assigned):
        mine = [pack for pack, each in zip(packs, assigned, strict=True) if each == charger]
        begins_s = 0.0
        for pack in sorted(mine, key=lambda pack: durations_s[charger, pack]):
            ends_s = begins_s + durations_s[charger, pack]
            yield Turn(pack, charger, begins_s, ends_s)
            begins_s = ends_s


def _greedy(
    packs: Sequence[str], choices: Sequence[Sequence[str]], durations_s: Mapping[tuple[str, str], float]
) -> Iterator[tuple[str, ...]]:
    """The longest pack first, each to the charger that is done with it first; for every number of chargers."""
    order = sorted(range(len(packs)), key=lambda n: -min(durations_s[each, packs[n]] for each in choices[n]))
    chargers = sorted({each for choice in choices for each in choice})
    for count in range(1, len(chargers) + 1):
        allowed = set(chargers[:count])
        busy_s = dict.fromkeys(chargers, 0.0)
        assigned = [""] * len(packs)
        for n in order:
            usable = [each for each in choices[n] if each in allowed] or list(choices[n])
            charger = min(usable, key=lambda each: busy_s[each] + durations_s[each, packs[n]])
            busy_s[charger] += durations_s[charger, packs[n]]
            assigned[n] = charger
        yield tuple(assigned)


class PortPhase(NamedTuple):
    """A time in which the same packs take the current of a charge port."""

    from_s: float
    to_s: float
    packs: tuple[str, ...]


class PortCourse(NamedTuple):
    """What a charger in a charge port does: which packs take its current when, and when each is full.

    `constant_s` is when the current begins to fall. `full_s` by pack; infinite for one that never gets there.
    """

    phases: tuple[PortPhase, ...]
    constant_s: float
    full_s: tuple[tuple[str, float], ...]
    finish_s: float
    energy_j: float


def behind_port(root: TreeNode, refills: Mapping[str, Refill], current_a: float, output_v: float) -> PortCourse:
    """Packs behind one charge port: the lowest takes everything until it has caught up with the next.

        turned round, V' = 2 V_set - V: the pack with most room "supplies" first, until the bus comes to V_set; from
        there on each pack fills by itself at V_set

    Parameters
        root: the tree behind the port, a `PackSource` named after each refill; `Blocked` where the port blocks
        refills: the packs, by name of their source
        current_a: of the charger [A]
        output_v: what the charger holds [V]
    Returns
        phases and times [s]
    Valid
        what the current shares beyond each pack's own resistance is left out once the voltage is held.
    """
    batteries = [_turned(name, refill, 2 * output_v) for name, refill in refills.items()]
    start = [1.0 - refill.start_fraction for refill in refills.values()]
    run = discharge(_root_turned(root, batteries, start), Demand(current_a), batteries, start, output_v)
    full_s: dict[str, float] = {}
    energy_j = 0.0
    for n, (refill, tally) in enumerate(zip(refills.values(), run.packs, strict=True)):
        reached = min(1.0, max(0.0, 1.0 - tally.end_fraction))
        # Behind the port the voltage is held: a current without limit stands for whatever the pack then takes.
        ample_a = max(current_a, 2 * output_v / refill.resistance_ohm)
        held = times(refill._replace(start_fraction=reached), ample_a, output_v)
        # A pack that is full all along waits for nobody.
        full = all(sample.fractions[n] <= 1.0 - held.end_fraction for sample in run.series)
        full_s[refill.pack] = 0.0 if full else run.duration_s + held.full_s
        energy_j += held.energy_j + 2 * output_v * _taken_coulomb(refill, tally.end_fraction) - tally.energy_out_j
    phases = tuple(PortPhase(phase.from_s, phase.to_s, phase.supplying) for phase in run.phases)
    finish_s = max(full_s.values(), default=0.0)
    return PortCourse(phases, run.duration_s, tuple(full_s.items()), finish_s, energy_j)


def _root_turned(root: TreeNode, batteries: Sequence[Battery], start: Sequence[float]) -> TreeNode:
    """The tree with every pack's voltage turned round, as it stands at the start."""
    emf_v = {one.source: one.piece(fraction)[1] for one, fraction in zip(batteries, start, strict=True)}

    def turned(node: TreeNode) -> TreeNode:
        if isinstance(node, PackSource):
            return PackSource(node.name, emf_v[node.name], node.resistance_ohm)
        if isinstance(node, Series):
            return Series(turned(node.child), node.name, node.resistance_ohm)
        if isinstance(node, Blocked):
            return Blocked(turned(node.child))
        if isinstance(node, Joined):
            return Joined(tuple(turned(child) for child in node.children))
        raise ValueError(f"no part of a charge port: {node}")

    return turned(root)


def _turned(source: str, refill: Refill, twice_v: float) -> Battery:
    """A pack seen as the room that is left in it."""
    fractions = tuple(1.0 - fraction for fraction, _ in reversed(refill.curve))
    volts_v = tuple(twice_v - volts for _, volts in reversed(refill.curve))
    return Battery(refill.pack, source, fractions, volts_v, refill.capacity_coulomb, refill.resistance_ohm, 0.0)


def _taken_coulomb(refill: Refill, room_left: float) -> float:
    """Charge that went into a pack in which so much room is left."""
    return (1.0 - room_left - refill.start_fraction) * refill.capacity_coulomb
