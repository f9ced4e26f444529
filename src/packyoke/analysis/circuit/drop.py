"""What is lost between the packs' outlets and the controllers, in volts, at the continuous load."""

from __future__ import annotations

from math import floor
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import load, lowest_running_v
from packyoke.analysis.circuit.network import forward_v, middle, path_resistance_ohm
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.core.paths import PartPath, is_lead, name_of, steps_of
from packyoke.model import Gauge, Lead, known
from packyoke.shelf import wires

SHORTEST_M = 0.1
"""A lead shorter than this cannot be laid: assumption."""


class Drop(NamedTuple):
    """The volts that a way loses, the pack and the controller at its ends, and the lead that costs most of it."""

    volts_v: float
    pack: str
    controller: str
    lead: str
    lead_v: float


@once
def part_drop_v(case: Case, path: PartPath) -> float:
    """Volts lost in a lead (both conductors at 20 degC, contacts as new) or on one path of a joiner [V]."""
    current_a = load(case, path).continuous_a
    section, name, _ = steps_of(path)
    if section == "leads":
        return current_a * middle(lead_resistance_ohm(case, case.build.leads[name]))
    joiner = case.build.joiners[name]
    if joiner.built_in is not None:
        return 0.0
    return current_a * path_resistance_ohm(joiner) + forward_v(joiner)


@once
def way_drop(case: Case, way: tuple[PartPath, ...]) -> Drop:
    """What one way from a pack to a controller loses when that pack carries the whole load.

    Exact behind blocking joiners, at most this where packs share.
    """
    volts_v, lead, lead_v = 0.0, "", -1.0
    for path in way[1:-1]:
        lost_v = part_drop_v(case, path)
        volts_v += lost_v
        if lost_v > lead_v and is_lead(path):
            lead, lead_v = path, lost_v
    return Drop(volts_v, name_of(way[0]), name_of(way[-1]), lead, lead_v)


def least_known_v(case: Case, drop: Drop) -> float:
    """The lowest running voltage, as far as it is known without asking: the real one is this or higher [V]."""
    controller = case.build.controllers[drop.controller]
    cut_off_v = case.build.packs[drop.pack].cut_off_v
    return max(controller.voltage_min_v, controller.low_voltage_cut_v or 0.0, cut_off_v or 0.0)


def running_v(case: Case, drop: Drop) -> float:
    """The lowest voltage at which the controller of a way still runs on its pack [V]."""
    controller = case.build.controllers[drop.controller]
    return lowest_running_v(case, controller, (drop.pack,))


def wire_drop_v(case: Case, lead: Lead, gauge: Gauge) -> float:
    """Volts that both conductors of a lead lose in a wire of this size, contacts left out [V]."""
    length_m = known(lead.length_m, lead, "length_m")
    return 2 * length_m * wires.resistance20_ohm_per_m(gauge.family, gauge.size) * load(case, lead.path).continuous_a


def shorter_length_m(case: Case, lead: Lead, saved_v: float) -> float | None:
    """The length, in whole centimetres, at which a lead loses so much less; None when no length would do [m]."""
    if lead.direct or lead.gauge is None or lead.length_m is None:
        return None
    lost_v = wire_drop_v(case, lead, lead.gauge)
    if lost_v <= saved_v:
        return None
    length_m = floor(lead.length_m * (1 - saved_v / lost_v) * 100) / 100
    return length_m if length_m >= SHORTEST_M else None
