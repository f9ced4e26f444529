"""Packs and load weigh more than the rack is stamped for.

What
    A pack on a rack takes its share of what the rack may carry.
Why
    Racks break by fatigue, weeks later and under way: the pack falls into the wheel or onto the
    road.
Limit
    Mass of all packs on the rack and of the other load, against the limit stamped on it. All packs
    count, because all may be on board.
Do
    Carry less, put a pack into the frame, or fit a rack with a higher stamp.
Rider notices
    bike wags at speed; rack bends; cracks at the rack's feet
Fails
    in skerry-long-tail
    racks.rear.load: 25 kg
Passes
    in skerry-long-tail
    racks.rear.load: 20 kg
Sources
    The stamp on the rack (its maker's figure); pack mass not given: 5 to 6 kg for each kWh
    (judgement).
"""

from __future__ import annotations

from collections.abc import Iterable

from packyoke.analysis.case import Case
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import NONE, Pack, Part, Rack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule


def racks(case: Case) -> Iterable[Part]:
    return case.build.racks.values()


def check(case: Case, rack: Rack) -> Outcome:
    on_it = [pack for pack in case.build.packs.values() if pack.rack == rack.name]
    unplaced = [pack for pack in case.build.packs.values() if pack.rack is None]
    if not on_it and not unplaced and rack.limit_kg is None:
        return None
    limit_kg = known(rack.limit_kg, rack, "limit_kg")
    packs_kg = _mass_kg(on_it)
    total_kg = packs_kg + rack.load_kg
    if above(total_kg, limit_kg):
        return _failed(rack, on_it, packs_kg, total_kg, limit_kg)
    if unplaced and above(total_kg + _mass_kg(unplaced), limit_kg):
        for pack in unplaced:
            known(pack.rack, pack, "rack")
    return PASSED


def _mass_kg(packs: list[Pack]) -> float:
    return sum(known(pack.mass_kg, pack, "mass_kg") for pack in packs)


def _failed(rack: Rack, packs: list[Pack], packs_kg: float, total_kg: float, limit_kg: float) -> Failed:
    parts = [f"packs {shown(packs_kg)} kg"] if packs else []
    if rack.load_kg:
        parts.append(f"other load {shown(rack.load_kg)} kg")
    left_kg = limit_kg - packs_kg
    less = []
    if left_kg >= 0:
        less.append(Mend(f"At most {shown(left_kg)} kg besides the packs", (Change(rack.path, "load_kg", left_kg),)))
    lightest_first = sorted(packs, key=lambda pack: pack.mass_kg or 0.0)
    moved = [
        Mend(f"{pack.name} somewhere else on the bike", (Change(pack.path, "rack", NONE),)) for pack in lightest_first
    ]
    return Failed(
        severity=Severity.STOP,
        message="carries more than is stamped on it",
        found=Amount(total_kg, "kg", f"({', '.join(parts)})"),
        limit=Amount(limit_kg, "kg", "(stamped on it)"),
        why="Racks break under way and by fatigue: the pack falls into the wheel or onto the road.",
        do="Carry less, put a pack into the frame, or fit a rack with a higher stamp.",
        field="load_kg",
        also=tuple(packs),
        mends=(less, moved),
    )


RULE = Rule(
    name="rack-overloaded",
    kind="danger",
    doubt="whether it carries its packs and load",
    page=__doc__ or "",
    basis=("stamp on the rack",),
    parts=racks,
    check=check,
)
