"""What happens at a controller's own conductors: the spark of plugging in, braking, coasting down a hill."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.circuit.network import path_resistance_ohm
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import keeps_back
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.analysis.packs.voltages import highest_full_charge
from packyoke.analysis.unknowns.spans import OHMIC_SHARE
from packyoke.core.paths import name_of, steps_of
from packyoke.model import NONE, Controller, Lead, Part, Unknown, known
from packyoke.physics import bus


def leads_to(case: Case, controller: Controller) -> list[Lead]:
    """The leads on the ways to a controller, in the order of the file."""
    ahead = harness(case).controllers_ahead
    return [lead for lead in case.build.leads.values() if controller.name in ahead.get(lead.path, ())]


def parted_by_hand(leads: list[Lead]) -> bool:
    """Whether anything on the way can be unplugged: not when every end of every lead is a joint."""
    return any(
        lead.direct or any(end is None or end.plus != "joint" or end.minus != "joint" for end in lead.ends)
        for lead in leads
    )


def filled_together_f(case: Case, controller: Controller) -> float:
    """Capacitance that one plug fills at once: of a controller and of all others that share a pack with it [F].

    What fills the capacitors of another one first leaves nothing of them for this plug.
    """
    behind = harness(case).packs_behind
    mine = set(behind.get(controller.path, ()))
    return sum(
        known(each.capacitance_f, each, "capacitance_f")
        for each in case.build.controllers.values()
        if not mine.isdisjoint(behind.get(each.path, ())) and (each == controller or not filled_first(case, each))
    )


def filled_first(case: Case, controller: Controller) -> bool:
    """Whether something fills the capacitors of a controller before the last contact closes; an anti-spark plug does
    not where a switch in the lead closes last."""
    if controller.precharge == "plug":
        return all(lead.switch is None for lead in leads_to(case, controller))
    return controller.precharge != NONE


def spark_energy_j(case: Case, controller: Controller) -> float:
    """Energy that rushes into the capacitors of a controller, and of those beside it, with the fullest pack [J]."""
    return bus.inrush_energy_j(highest_full_charge(case, controller.path).volts_v, filled_together_f(case, controller))


def spark_current_a(case: Case, controller: Controller) -> float | None:
    """The most that flows at the first moment, from one pack [A]; None when a resistance on every way is not known."""
    drawing, build = harness(case), case.build
    found = []
    for name in drawing.packs_behind[controller.path]:
        for way in drawing.ways[name]:
            if way[-1] != controller.path:
                continue
            pack = build.packs[name]
            try:
                total_ohm = OHMIC_SHARE * known(pack.resistance_ohm, pack, "resistance_ohm")
                for path in way[1:-1]:
                    section, part, _ = steps_of(path)
                    if section == "leads":
                        total_ohm += lead_resistance_ohm(case, build.leads[part])[0]
                    else:
                        total_ohm += path_resistance_ohm(build.joiners[part])
                found.append(bus.inrush_peak_a(full_charge_v(pack), total_ohm))
            except Unknown:
                continue
    return max(found, default=None)


def braking_rise_s(case: Case, controller: Controller) -> float | None:
    """Time in which braking lifts the conductors from full charge to the controller's limit [s]; None if not known."""
    if controller.capacitance_f is None or controller.voltage_max_v is None or not controller.regen_a:
        return None
    try:
        full_v = highest_full_charge(case, controller.path).volts_v
    except Unknown:
        return None
    if controller.voltage_max_v < full_v:
        return None
    return bus.regen_voltage_rise_time_s(controller.capacitance_f, full_v, controller.voltage_max_v, controller.regen_a)


class Ceiling(NamedTuple):
    """A part that the voltage of a driven motor reaches, and the highest that it may see; None when not known."""

    part: Part
    attr: str
    limit_v: float | None


def ceilings(case: Case, controller: Controller) -> list[Ceiling]:
    """Everything that a voltage rise at a controller reaches: up to the first blocking joiner, and itself.

    A number that is only marked on a joiner counts here: whether it is a ceiling is the question of another rule.
    """
    build, drawing = case.build, harness(case)
    names: dict[str, None] = {}
    found = [Ceiling(controller, "voltage_max_v", controller.voltage_max_v)]
    for ways in drawing.ways.values():
        for way in ways:
            if way[-1] != controller.path:
                continue
            for path in reversed(way[1:-1]):
                section, name, _ = steps_of(path)
                names[name] = None
                if section == "joiners" and keeps_back(build.joiners[name]):
                    break
            else:
                names[name_of(way[0])] = None
    for name in names:
        joiner = build.joiners.get(name)
        if joiner is not None and joiner.built_in is None:
            found.append(Ceiling(joiner, "ceiling_v", joiner.ceiling_v or joiner.marked_v))
    for accessory in build.accessories.values():
        if any(source in names for source in accessory.sources):
            found.append(Ceiling(accessory, "max_v", accessory.max_v))
    return found


def hub_speed_m_s(case: Case, controller: Controller, ceiling_v: float) -> float:
    """Road speed at which a direct-drive hub lifts the conductors to a voltage [m/s]: V0 v/v0 turned round."""
    return no_load_speed_m_s(case) * ceiling_v / no_load_at_v(case, controller)


def hub_voltage_v(case: Case, controller: Controller, speed_m_s: float) -> float:
    """Voltage to which a direct-drive hub lifts the conductors at a road speed [V]."""
    return bus.back_emf_bus_v(no_load_speed_m_s(case), no_load_at_v(case, controller), speed_m_s)


def no_load_speed_m_s(case: Case) -> float:
    """Wheel speed in the air [m/s]."""
    bike = case.build.bike
    return known(bike.no_load_speed_m_s, bike, "no_load_speed_m_s")


def no_load_at_v(case: Case, controller: Controller) -> float:
    """The voltage at which the wheel speed in the air was taken [V]: full charge when the file does not say."""
    return case.build.bike.no_load_at_v or highest_full_charge(case, controller.path).volts_v
