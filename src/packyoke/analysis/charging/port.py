"""Packs as they are charged, and what happens to those behind a joiner that a charger is plugged into."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.charging import meant as charging
from packyoke.analysis.charging.order import PortCourse, Refill, behind_port
from packyoke.analysis.circuit.curves import Blocked, Joined, PackSource, Series, TreeNode
from packyoke.analysis.circuit.network import middle
from packyoke.analysis.discharge.energy import cold_factor, curve_of
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain, kind_of
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.analysis.packs.voltages import series_count
from packyoke.core.paths import path_to
from packyoke.model import Charger, Lead, Unknown, known

WARM_K = 293.15


def refill_of(case: Case, name: str, start_fraction: float, temperature_k: float = WARM_K) -> Refill:
    """A pack as it is charged; raises Unknown for what that needs and is not in the file."""
    pack = case.build.packs[name]
    curve = curve_of(pack)
    if curve is None:
        raise Unknown(pack, "chemistry")
    count = series_count(pack)
    points = tuple((charge, count * volts) for charge, volts in zip(curve.charges, curve.volts_v, strict=True))
    chill = cold_factor(temperature_k)
    ohm = known(pack.resistance_ohm, pack, "resistance_ohm") * chill
    return Refill(name, points, counted_capacity_coulomb(pack), ohm, start_fraction, chill)


@dataclass(frozen=True, slots=True)
class PortLine:
    """A charger that works through a joiner: what happens to the packs behind it when all are plugged in."""

    charger: str
    joiner: str
    course: PortCourse
    wall_j: float


class ChargedAsOne(NamedTuple):
    """Packs that are charged as one, from where, and how warm [K]."""

    case: Case
    unit: tuple[str, ...]
    start: Mapping[str, float]
    temperature_k: float

    def refill(self) -> Refill:
        """Of several the whole capacity behind their resistances beside each other; raises Unknown as for each."""
        found = [refill_of(self.case, name, self.start.get(name, 0.0), self.temperature_k) for name in self.unit]
        if len(found) == 1:
            return found[0]
        coulomb = sum(each.capacity_coulomb for each in found)
        ohm = 1 / sum(1 / each.resistance_ohm for each in found)
        held = sum(each.start_fraction * each.capacity_coulomb for each in found) / coulomb
        return found[0]._replace(capacity_coulomb=coulomb, resistance_ohm=ohm, start_fraction=held)


def course_behind(
    case: Case, charger: Charger, names: Sequence[str], start: Mapping[str, float], temperature_k: float
) -> PortCourse | None:
    """How packs behind a joiner are charged through it, all plugged in; None where there is no one course."""
    joiner = case.build.joiners[charger.through or ""]
    if not names or kind_of(joiner) == "selector":
        return None
    refills: dict[str, Refill] = {
        path_to("packs", name): refill_of(case, name, start.get(name, 0.0), temperature_k) for name in names
    }
    keeps_apart = joiner.charge_port is not None and joiner.charge_port.blocks != "nothing"
    branches = _branches(case, joiner.name, {*names})
    if is_plain(joiner) or joiner.charge_port is None:
        branches += _beyond(case, joiner.name, {*names}, {joiner.name})
    root = Joined(tuple(Blocked(each) if keeps_apart else each for each in branches))
    return behind_port(root, refills, known(charger.current_a, charger, "current_a"), charging.output_v(charger))


def _branches(case: Case, joiner: str, names: set[str], but: Lead | None = None) -> list[TreeNode]:
    """What hangs on the inlets of a joiner, `but` one, as far as it leads to packs that are charged."""
    found: list[TreeNode] = []
    for lead in harness(case).feeding(joiner):
        if lead is but:
            continue
        if lead.source in case.build.packs:
            if lead.source not in names:
                continue
            pack = case.build.packs[lead.source]
            node: TreeNode = PackSource(pack.path, 1.0, known(pack.resistance_ohm, pack, "resistance_ohm"))
        else:
            inner = _branches(case, lead.source, names)
            if not inner:
                continue
            node = Joined(tuple(inner))
        found.append(_behind(case, lead, node))
    return found


def _beyond(case: Case, joiner: str, names: set[str], passed: set[str]) -> list[TreeNode]:
    """What the current of a charger comes to through the outlet of a joiner: the packs of plain joiners that it feeds,
    as `meant.charge_ways` has them."""
    found: list[TreeNode] = []
    for lead in harness(case).onward(joiner):
        target = case.build.joiners.get(lead.target)
        if target is None or target.name in passed or not is_plain(target):
            continue
        passed.add(target.name)
        inner = _branches(case, target.name, names, lead) + _beyond(case, target.name, names, passed)
        if inner:
            found.append(_behind(case, lead, Joined(tuple(inner))))
    return found


def _behind(case: Case, lead: Lead, node: TreeNode) -> TreeNode:
    """What lies behind a lead; one that is not described has no resistance, for at currents of chargers it hardly
    counts."""
    ohm = 0.0
    with suppress(Unknown):
        ohm = middle(lead_resistance_ohm(case, lead))
    return Series(node, lead.path, ohm)
