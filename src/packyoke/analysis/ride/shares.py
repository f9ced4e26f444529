"""What packs give on the road over what the rundown says, and which of them nobody has tested."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.ride.named import ASSUMED, Input
from packyoke.analysis.unknowns.spans import known_energy_j
from packyoke.model import Pack, known
from packyoke.shelf.road import figure


def shares_of(case: Case, packs: Sequence[str], health_fraction: float | None) -> tuple[Input, ...]:
    """What packs give on the road over what the rundown says: it takes a steady load and reads high; and capacity that
    nobody has tested is less than marked, sooner or later. A tested pack counts as tested beside any other [-]."""
    given = figure("usable over rundown")
    found = [Input("usable", given.low, given.likely, given.high, ASSUMED)]
    part = sum(untested_parts(case, packs, health_fraction).values())
    if part > 0.0:
        left = figure("usable over capacity")
        low, likely, high = (1 - part * (1 - each) for each in (left.low, left.likely, left.high))
        found.append(Input("untested", low, likely, high, ASSUMED))
    return tuple(found)


def untested_parts(case: Case, packs: Sequence[str], health_fraction: float | None) -> Mapping[str, float]:
    """The part of the packs' energy, as counted, that is in each pack whose capacity nobody has tested [-]."""
    if health_fraction:
        return {}
    chosen = [case.build.packs[name] for name in packs]
    worth_j = {pack.name: _counted_j(pack) for pack in chosen}
    whole_j = sum(worth_j.values())
    return {pack.name: worth_j[pack.name] / whole_j for pack in chosen if pack.tested_capacity_coulomb is None}


def _counted_j(pack: Pack) -> float:
    marked_coulomb = known(pack.capacity_coulomb, pack, "capacity_coulomb")
    return known_energy_j(pack) / marked_coulomb * counted_capacity_coulomb(pack)
