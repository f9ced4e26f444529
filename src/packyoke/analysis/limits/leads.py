"""What a lead bears where it lies, and what it costs in volts."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.limits.contacts import contact
from packyoke.core.constants import ZERO_C_K
from packyoke.core.paths import name_of
from packyoke.model import End, Gauge, Lead, known
from packyoke.model.found import inlets
from packyoke.physics import conductor
from packyoke.shelf import wires

IN_FRAME_RISE_K = 10.0
"""Air inside a frame tube against the air outside: assumption."""
FIRST_ROW_AWG, LAST_ROW_AWG = 18, 2
"""Thinnest and thickest wire that every column of the ampacity table has."""
TAIL_M = 0.180
"""Leads shorter than 7 in are exempt from the ampacity table, 33 CFR 183.425(g)."""


class Ampacity(NamedTuple):
    """How many amps a lead bears all the time, and how that came about."""

    amps_a: float
    table_a: float
    column_c: int
    ambient_k: float
    ambient_factor: float
    loaded_conductors: int
    bundling_factor: float


@once
def ampacity(case: Case, name: str) -> Ampacity:
    """Amps that a lead bears: 33 CFR 183.425 table 5, less what warm air and loaded neighbours take.

    Silicone counts in the 90 degC column; air below 30 degC earns nothing.
    """
    lead = case.build.leads[name]
    gauge = known(lead.gauge, lead, "gauge")
    insulation = known(lead.insulation, lead, "insulation")
    ambient_k = case.build.warmest_k + (IN_FRAME_RISE_K if lead.run.in_frame else 0.0)
    return derated(gauge, insulation, ambient_k, loaded_conductors(case, lead))


@lru_cache(maxsize=512)
def derated(gauge: Gauge, insulation: str, ambient_k: float, conductors: int) -> Ampacity:
    """Amps of a wire of this size and insulation in this air, with so many loaded conductors together."""
    column_c = wires.insulation_column_c(insulation)
    table_a = table_amps_a(gauge, column_c)
    limit_k = column_c + ZERO_C_K
    air = min(1.0, conductor.ambient_factor(limit_k, ambient_k)) if ambient_k < limit_k else 0.0
    bundling = wires.bundling_factor(conductors)
    return Ampacity(table_a * air * bundling, table_a, column_c, ambient_k, air, conductors, bundling)


def table_amps_a(gauge: Gauge, column_c: int) -> float:
    """The table's amps; nothing for a wire thinner than its first row, the last row's for a thicker one [A]."""
    try:
        return wires.table_amps_a(gauge.family, gauge.size, column_c)
    except wires.OutsideTable:
        if wires.copper_area_m2(gauge.family, gauge.size) < wires.copper_area_m2("AWG", FIRST_ROW_AWG):
            return 0.0
        return wires.table_amps_a("AWG", LAST_ROW_AWG, column_c)


def loaded_conductors(case: Case, lead: Lead) -> int:
    """Conductors that carry current at the same time where this lead lies, its own two included."""
    count = 2 + 2 * lead.run.beside
    for name in lead.run.beside_leads:
        other = case.build.leads.get(name)
        if other is not None and other is not lead and not share_one_load(case, lead, other):
            count += 2
    return count


def share_one_load(case: Case, lead: Lead, other: Lead) -> bool:
    """Whether two leads only ever divide one current between them, and so warm no more than one of them would.

    They do when they meet further on in a joiner that blocks, or that lets one of them through at a time.
    """
    ways = [way for pack_ways in harness(case).ways.values() for way in pack_ways]
    if any(lead.path in way and other.path in way for way in ways):
        return False
    mine, theirs = (
        [path for way in ways if each.path in way for path in way[way.index(each.path) :] if path.startswith("joiners")]
        for each in (lead, other)
    )
    if not any(other.path in way for way in ways):
        return True
    for path in mine:
        if path in theirs:
            joiner = case.build.joiners[name_of(path)]
            return joiner_type(joiner) in ("diode", "ideal-diode", "selector")
    return False


def end_contacts_ohm(case: Case, end: End | None) -> tuple[float, float]:
    """Both poles of the connector at an end, as new: from, to [ohm]. Nothing when the end is not known."""
    found = contact(case, end) if end is not None else None
    return found.resistance_ohm if found is not None else (0.0, 0.001)


@once
def lead_resistance_ohm(case: Case, lead: Lead) -> tuple[float, float]:
    """Both conductors at 20 degC with the contacts at both ends as new: from, to [ohm].

    A direct connection is one pair of contacts and nothing else. What was measured counts where there is a reading.
    """
    if lead.measured_ohm is not None:
        return lead.measured_ohm, lead.measured_ohm
    return described_ohm(case, lead)


def described_ohm(case: Case, lead: Lead) -> tuple[float, float]:
    """The same from what the file says of wire and ends, whatever was measured."""
    if lead.direct:
        return end_contacts_ohm(case, outlet_of(case, lead))
    wire_ohm = copper_ohm(lead)
    ends = [end_contacts_ohm(case, end) for end in lead.ends]
    return wire_ohm + sum(each[0] for each in ends), wire_ohm + sum(each[1] for each in ends)


def copper_ohm(lead: Lead) -> float:
    """Both conductors of a lead at 20 degC [ohm]; nothing of a direct connection."""
    if lead.direct:
        return 0.0
    length_m = known(lead.length_m, lead, "length_m")
    gauge = known(lead.gauge, lead, "gauge")
    return 2 * length_m * wires.resistance20_ohm_per_m(gauge.family, gauge.size)


def outlet_of(case: Case, lead: Lead) -> End | None:
    """The outlet that a lead is plugged onto: the pack's, or the joiner's."""
    build = case.build
    if lead.source in build.packs:
        return build.packs[lead.source].outlet
    joiner = build.joiners[lead.source]
    leads = harness(case).leads_from[lead.source]
    index = next((i for i, each in enumerate(leads) if each.name == lead.name), 0)
    return joiner.outlets[index] if index < len(joiner.outlets) else None


def inlet_of(case: Case, lead: Lead) -> End | None:
    """The inlet that a lead is plugged into: the controller's, or the joiner's."""
    build = case.build
    if lead.target in build.controllers:
        return build.controllers[lead.target].inlet
    joiner = build.joiners[lead.target]
    index = inlet_index(case, lead)
    return joiner.inlets[index] if index < len(joiner.inlets) else None


def inlet_index(case: Case, lead: Lead) -> int:
    """Which inlet of its joiner a lead takes, from 0: the one it names, else the next free one in file order."""
    return _numbered(case, lead.target)[lead.name] - 1


@once
def _numbered(case: Case, joiner: str) -> dict[str, int]:
    return dict(inlets(case.build, joiner))
