"""Small wires that leave the harness for a lamp or a converter: what protects them, and what they drain at night."""

from __future__ import annotations

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import nominal_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.contacts import area_m2
from packyoke.analysis.limits.leads import derated
from packyoke.core.paths import name_of
from packyoke.model import Accessory, Gauge, Lead, Pack, known
from packyoke.shelf import wires

TAP_INSULATION, UNKNOWN_INSULATION_C = "PVC", 60
"""The file does not ask for the insulation of a tap: the lowest column of the table counts."""


def leads_beside(case: Case, accessory: Accessory) -> list[Lead]:
    """The leads whose fuses are all that protects a tap: what leaves its pack or joiner, or the lead itself.

    Where nothing but a direct connection leaves there, any lead of the bike counts.
    """
    build, drawing = case.build, harness(case)
    found: dict[str, Lead] = {}
    for source in accessory.sources:
        near = [build.leads[source]] if source in build.leads else drawing.leads_from.get(source, [])
        found.update((lead.name, lead) for lead in near if not lead.direct)
    return list(found.values()) or [lead for lead in build.leads.values() if not lead.direct]


def thinner_than_harness(case: Case, accessory: Accessory) -> Gauge | None:
    """The size of the lead beside a tap when the tap is thinner; None when it is as thick, or nothing is beside it."""
    leads = leads_beside(case, accessory)
    if not leads:
        return None
    mine = known(accessory.gauge, accessory, "gauge")
    for lead in leads:
        gauge = known(lead.gauge, lead, "gauge")
        if area_m2(mine) < area_m2(gauge) * (1 - 1e-9):
            return gauge
    return None


def tap_fuse_limit_a(case: Case, accessory: Accessory) -> float:
    """The largest fuse that the wire of a tap may have [A], by 33 CFR 183.455(c) and the 60 degC column, in the warmest
    air."""
    gauge = known(accessory.gauge, accessory, "gauge")
    amps_a = derated(gauge, TAP_INSULATION, case.build.warmest_k, 2).amps_a
    packs = packs_feeding(case, accessory.name)
    circuit_v = max((nominal_v(pack) for pack in packs), default=0.0)
    return wires.largest_fuse_a(amps_a, circuit_v) if amps_a > 0.0 else 0.0


@once
def packs_feeding(case: Case, name: str) -> tuple[Pack, ...]:
    """The packs whose charge an accessory can draw, in the order of the file."""
    sources, drawing = case.build.accessories[name].sources, harness(case)
    return tuple(
        pack
        for pack in case.build.packs.values()
        if pack.name in sources or any(pack.path in drawing.passed_before(source) for source in sources)
    )


def counted_capacity_coulomb(pack: Pack) -> float:
    """What a pack holds [C]: as tested, else as labelled."""
    return pack.tested_capacity_coulomb or known(pack.capacity_coulomb, pack, "capacity_coulomb")


def drawing_at_night(case: Case, pack: Pack, *, switched: bool) -> list[Accessory]:
    """The accessories that draw from a pack while the bike is off; `switched`: with those behind a switch left on."""
    return [
        each
        for each in case.build.accessories.values()
        if each.standby_a
        and pack in packs_feeding(case, each.name)
        and (switched or switch_before(case, each, pack) is None)
    ]


def switch_before(case: Case, accessory: Accessory, pack: Pack) -> Lead | None:
    """A lead with a switch that keeps a pack from an accessory when it is open; None where some way has none.

    What hangs on a lead hangs on its load end, behind its switch.
    """
    found = None
    for source in accessory.sources:
        if source == pack.name:
            return None
        for way in harness(case).ways.get(pack.name, ()):
            names = [name_of(path) for path in way]
            if source not in names:
                continue
            before = [case.build.leads[name] for name in names[: names.index(source) + 1] if name in case.build.leads]
            switched = [lead for lead in before if lead.switch is not None]
            if not switched:
                return None
            found = switched[-1]
    return found


def fuse_size_a(current_a: float, most_a: float) -> float | None:
    """The smallest standard fuse of which a current takes no more than 80 %, up to the most allowed [A]."""
    sizes = (size for size in wires.standard_fuses_a() if current_a <= 0.8 * size * (1 + 1e-9))
    smallest = min(sizes, default=None)
    return smallest if smallest is not None and smallest <= most_a else None
