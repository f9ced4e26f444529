"""The figures of a planned build, worked out anew from its parts: what a plan says of itself is held against them."""

from __future__ import annotations

from math import pi

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.drop import running_v, way_drop
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import Severity
from packyoke.model import FITTED, Build, Lead
from packyoke.rules import RULES
from packyoke.shelf.connectors import connector
from packyoke.shelf.wires import resistance20_ohm_per_m
from packyoke.verdict.judge import judge_build

COPPER_KG_PER_M3 = 8890.0
SOLDERED = ("XT30", "XT60", "XT90")


def weight(build: Build) -> tuple[int, int]:
    """Stops, and everything else from a caution on, as the whole check finds them."""
    severities = [decision.severity for decision in judge_build(build, RULES)]
    return sum(each == Severity.STOP for each in severities), sum(
        Severity.CAUTION <= each < Severity.STOP for each in severities
    )


def awg_area_m2(number: float) -> float:
    """ASTM B258: 36 AWG is 0.127 mm, each number 92^(1/39) thinner."""
    diameter_m = 0.127e-3 * 92 ** ((36 - number) / 39)
    return pi / 4 * diameter_m**2


def is_cut(lead: Lead, given: Build) -> bool:
    before = given.leads.get(lead.name)
    return before is None or before.length_m is None or before.gauge is None or None in before.ends


def copper_kg(build: Build, given: Build) -> float:
    total = 0.0
    for lead in build.leads.values():
        if is_cut(lead, given):
            assert lead.gauge is not None
            assert lead.gauge.family == "AWG"
            assert lead.length_m is not None
            total += 2 * lead.length_m * awg_area_m2(lead.gauge.size) * COPPER_KG_PER_M3
    return total


def loss_w(build: Build) -> float:
    """Loss in leads, contacts and ideal-diode paths when all packs share the load by their capacity."""
    case = Case(build)
    drawing = harness(case)
    whole = sum(pack.capacity_coulomb or 0.0 for pack in build.packs.values())
    total = 0.0
    for lead in build.leads.values():
        behind = drawing.packs_behind[lead.path]
        share = sum(build.packs[name].capacity_coulomb or 0.0 for name in behind) / whole
        current_a = load(case, lead.path).continuous_a * share
        assert lead.gauge is not None
        assert lead.length_m is not None
        ohm = 2 * lead.length_m * resistance20_ohm_per_m(*lead.gauge)
        for end in lead.ends:
            assert end is not None
            found = connector(end.family)
            assert found is not None
            ohm += sum(found.contact_resistance_ohm)
        total += current_a**2 * ohm
        if lead.target in build.joiners:
            path_a = load(case, f"joiners.{lead.target}").continuous_a * share
            total += path_a**2 * (build.joiners[lead.target].resistance_ohm or 0.0)
    return total


def joints(build: Build, given: Build) -> int:
    """Two conductors at each soldered end that the file did not give, and two sides of each new fuse."""
    total = 0
    for lead in build.leads.values():
        before = given.leads.get(lead.name)
        for number, end in enumerate(lead.ends):
            if end is not None and end.family in SOLDERED and (before is None or before.ends[number] is None):
                total += 2
        if lead.fuse.presence == FITTED and (before is None or before.fuse.presence != FITTED):
            total += 2
    return total


def new_parts(build: Build, given: Build) -> tuple[int, int, int]:
    """Fuses, halves of connectors and joiners that the file did not give."""
    fuses = halves = 0
    for lead in build.leads.values():
        before = given.leads.get(lead.name)
        fuses += lead.fuse.presence == FITTED and (before is None or before.fuse.presence != FITTED)
        halves += sum(
            end is not None and (before is None or before.ends[number] is None) for number, end in enumerate(lead.ends)
        )
    return fuses, halves, len(build.joiners.keys() - given.joiners.keys())


def missed_v(build: Build) -> float:
    """By how much the worst way loses more than 3 % of the lowest running voltage, as the rule works it out."""
    case = Case(build)
    found = [0.0]
    for ways in harness(case).ways.values():
        for way in ways:
            drop = way_drop(case, way)
            over_v = drop.volts_v - 0.03 * running_v(case, drop)
            found.append(over_v if over_v > 1e-9 else 0.0)
    return max(found)


def noted(build: Build) -> int:
    """Leads of which the check notes that two fuses together are too much."""
    found = judge_build(build, [rule for rule in RULES if rule.name == "fuse-oversized"])
    return sum(each.severity == Severity.NOTE and each.path.startswith("leads.") for each in found)


def weighed_kg(build: Build, given: Build) -> float:
    """All that is weighed, by the rates as they are stated: 5 g a watt, 40 g a joint, 100 g a fuse and as much for
    its holder, 30 g half a connector, 900 g a joiner, 10 kg a volt that is missed, 100 g a wire too thin
    for two fuses together."""
    fuses, halves, joiners = new_parts(build, given)
    total = copper_kg(build, given) + 0.005 * loss_w(build) + 0.040 * joints(build, given)
    total += 0.200 * fuses + 0.030 * halves + 0.900 * joiners + 10.0 * missed_v(build)
    return total + 0.100 * noted(build)


def figures(build: Build, given: Build) -> tuple[float, ...]:
    """Findings, all that is weighed, copper, loss, joints: the usual order without prices."""
    return (
        weight(build)[1],
        weighed_kg(build, given),
        copper_kg(build, given),
        loss_w(build),
        joints(build, given),
    )
