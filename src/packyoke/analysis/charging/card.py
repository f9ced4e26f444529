"""The charging card of a bike: which charger may go on which pack, how long it takes, and in what order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.charging.bands import BANDS, ChargeBand
from packyoke.analysis.charging.order import ChargeOrder, plans_of_units
from packyoke.analysis.charging.pairs import Pairing, efficiency, mains_w, with_every_charger
from packyoke.analysis.charging.port import WARM_K, ChargedAsOne, PortLine, course_behind
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joining import plainly_joined
from packyoke.analysis.harness.sets import units
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.core.constants import ZERO_C_K
from packyoke.core.paths import path_to
from packyoke.model import Charger, Key
from packyoke.model.order import natural

ADVICE_COLDEST_K, ADVICE_WARMEST_K = ZERO_C_K, 313.15
"""Public-safety advice of fire services and consumer agencies: not below 0, not above 40 degC."""


@dataclass(frozen=True, slots=True)
class ChargingCard:
    """Everything about charging a bike.

    `plans`: by hand, charger to pack; `unserved`: packs that no charger may charge; `mains_w` by charger; `joined`:
    pairs of packs that are plainly joined, so that a charger on one feeds both while they are plugged in. `units`:
    packs that are charged as one, joined for good; their times are those of all of them.
    """

    packs: tuple[str, ...]
    start: Mapping[str, float]
    temperature_k: float
    band: ChargeBand
    pairings: tuple[Pairing, ...]
    plans: tuple[ChargeOrder, ...]
    ports: tuple[PortLine, ...]
    unserved: tuple[str, ...]
    mains_w: Mapping[str, float]
    joined: tuple[tuple[str, str], ...]
    assumed: tuple[Key, ...]
    units: tuple[tuple[str, ...], ...] = ()

    def unit(self, pack: str) -> tuple[str, ...]:
        """The packs that are charged with a pack, itself among them."""
        return next((unit for unit in self.units if pack in unit), (pack,))

    def best(self, pack: str) -> Pairing | None:
        """The quickest charger that may go on a pack or its unit; before others one that fills it, then by name."""

        def rank(each: Pairing) -> tuple[bool, float, object]:
            return not each.fills, each.times.full_s if each.times else inf, natural(each.charger)

        unit = self.unit(pack)
        found = [each for each in self.pairings if each.pack in unit and each.verdict == "yes"]
        return min(found, key=rank, default=None)


def card(
    case: Case,
    packs: Sequence[str] = (),
    start: Mapping[str, float] | None = None,
    temperature_k: float = WARM_K,
) -> ChargingCard:
    """Which charger may go on which pack, how long it takes, and in what order.

    Parameters
        packs: names of the packs to charge; all when left out
        start: states of charge by name [-]; empty where there is none
        temperature_k: of the cells, for limits and resistance [K]
    Returns
        the card [s], [J], [W]; packs joined for good are charged as one, by one charger on any of them
    Valid
        capacity as marked or tested, in the cold too; resistance the same from empty to full; each pack unplugged from
        the bike, but for chargers that work through a joiner.
    Raises
        ValueError: a pack that is not in the build, a state outside 0 to 1
    """
    build, start = case.build, dict(start or {})
    names = tuple(packs) or tuple(build.packs)
    if not {*names, *start} <= {*build.packs} or not all(0.0 <= each <= 1.0 for each in start.values()):
        raise ValueError(f"no packs of this build, or states outside 0 to 1: {names}, {start}")
    band = next(each for each in BANDS if each.from_k <= temperature_k < each.to_k)
    full_case, filled = filled_case(case)
    harness(case)  # drawn once: what is tried takes the drawing over
    unit_of = {name: unit for unit in units(build) for name in unit}
    refills = {unit: ChargedAsOne(full_case, unit, start, temperature_k) for unit in unit_of.values()}
    by_pack = [with_every_charger(case, refills[unit_of[name]], build.packs[name], band) for name in names]
    pairings = [each for of_one_charger in zip(*by_pack, strict=True) for each in of_one_charger]
    timed = [each for each in pairings if each.times and build.chargers[each.charger].through is None]
    filled_by_hand = {unit_of[each.pack] for each in timed if each.fills}
    by_hand = {
        (each.charger, each.pack): each.times.full_s
        for each in sorted(timed, key=lambda each: (natural(each.charger), natural(each.pack)))
        if each.times is not None
        if not each.is_done and (each.fills or unit_of[each.pack] not in filled_by_hand)
    }
    served = {name for each in pairings if each.verdict == "yes" for name in unit_of[each.pack]}
    mains = {each.name: w for each in build.chargers.values() if (w := mains_w(each)) is not None}
    through = [each for each in build.chargers.values() if each.through is not None]
    ports = [_port(full_case, charger, pairings, start, temperature_k) for charger in through]
    return ChargingCard(
        names,
        {name: start.get(name, 0.0) for name in names},
        temperature_k,
        band,
        tuple(pairings),
        plans_of_units(by_hand, unit_of),
        tuple(each for each in ports if each is not None),
        tuple(name for name in names if name not in served),
        mains,
        tuple((a, b) for a, b in combinations(names, 2) if plainly_joined(case, a, b) or plainly_joined(case, b, a)),
        tuple(key for key in filled if key.path in {path_to("packs", name) for name in served}),
        tuple(dict.fromkeys(unit_of[name] for name in names)),
    )


def _port(
    case: Case, charger: Charger, pairings: Sequence[Pairing], start: Mapping[str, float], temperature_k: float
) -> PortLine | None:
    """The packs behind a joiner with a charger in it, all plugged in; None when it may charge none of them."""
    names = [each.pack for each in pairings if each.charger == charger.name and each.times]
    course = course_behind(case, charger, names, start, temperature_k)
    if course is None:
        return None
    return PortLine(charger.name, charger.through or "", course, course.energy_j / efficiency(charger))
