"""The highest voltage that a part may see, and the numbers that a pack is told by: full charge and cells in series."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.charging.meant import meant, obstacle
from packyoke.analysis.circuit.currents import braking_a
from packyoke.analysis.circuit.load import full_charge_v, series_count
from packyoke.analysis.circuit.network import path_resistance_ohm
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.core.paths import PartPath, path_to, steps_of
from packyoke.model import Charger, Pack, known
from packyoke.shelf.chemistry import chemistry, series_rows

__all__ = ["lowest_cut_off_v", "series_count"]

FULL_CHARGE = "full charge"
CHARGER = "charger"
BRAKING = "braking"


class Highest(NamedTuple):
    """The highest voltage at a part, what brings it about, and the name of the pack or charger that does."""

    volts_v: float
    cause: str
    by: str


def lowest_cut_off_v(pack: Pack, count: int) -> float:
    """Where the protection of a pack opens; if not in the file, the lowest that its chemistry is built with [V]."""
    if pack.cut_off_v is not None:
        return pack.cut_off_v
    found = chemistry(pack.chemistry) if pack.chemistry else None
    return count * (found.cut_off_v[0] if found is not None else 1.5)


@once
def highest_full_charge(case: Case, path: PartPath) -> Highest:
    """The highest full-charge voltage among the packs behind a part."""
    packs = case.build.packs
    volts_v, name = max((full_charge_v(packs[name]), name) for name in harness(case).packs_behind[path])
    return Highest(volts_v, FULL_CHARGE, name)


@once
def highest_charger(case: Case, path: PartPath) -> Highest | None:
    """The highest charger output that reaches a part: on a pack behind it, or through a joiner it is wired to."""
    found: list[Highest] = []
    for charger in case.build.chargers.values():
        if _reaches(case, charger, path):
            found.append(Highest(known(charger.output_v, charger, "output_v"), CHARGER, charger.name))
    return max(found, default=None)


def _reaches(case: Case, charger: Charger, path: PartPath) -> bool:
    drawing = harness(case)
    if charger.through is None and not charger.y_lead and charger.fits is None and charger.output_v is None:
        return False
    for pack in drawing.packs_behind[path]:
        if charger.through is None:
            if meant(case, charger.name, pack):
                return True
        elif _through_reaches(case, charger, pack, path):
            return True
    return False


def _through_reaches(case: Case, charger: Charger, pack: str, path: PartPath) -> bool:
    """Whether the output of a charger in a joiner stands at a part: from the joiner on always, before it not when
    something on the way blocks."""
    joiner = case.build.joiners[charger.through or ""]
    for way in harness(case).ways[pack]:
        if joiner.path in way and path in way and way.index(path) >= way.index(joiner.path):
            return True
    return obstacle(case, charger.name, pack) is None


@once
def highest_braking(case: Case, path: PartPath) -> Highest | None:
    """Full charge and what braking adds over the resistance up to a part; None where no pack takes the braking.

        V = E_full + I (R_pack + R_way)

    Behind blocking joiners braking has nowhere to go: that is another question than a ceiling.
    """
    build = case.build
    if all(controller.regen_a == 0.0 for controller in build.controllers.values()):
        return None
    found: list[Highest] = []
    for name in harness(case).packs_behind[path]:
        pack = build.packs[name]
        current_a = braking_a(case, pack.path)
        if current_a:
            ohm = known(pack.resistance_ohm, pack, "resistance_ohm") + way_ohm(case, name, path)
            volts_v = full_charge_v(pack) + current_a * ohm
            stops_v = _braking_stops_v(case, name)
            found.append(Highest(volts_v if stops_v is None else min(volts_v, stops_v), BRAKING, name))
    return max(found, default=None)


def _braking_stops_v(case: Case, pack: str) -> float | None:
    """Where the last of the controllers that brake into a pack stops doing so [V]; None when one never does."""
    names = harness(case).controllers_ahead.get(path_to("packs", pack), ())
    braking = [case.build.controllers[name] for name in names if case.build.controllers[name].regen_a]
    stops_v = [each.regen_stops_at_v for each in braking]
    return max((each for each in stops_v if each is not None), default=None) if None not in stops_v else None


@once
def way_ohm(case: Case, pack: str, path: PartPath) -> float:
    """Resistance from a pack's outlet up to a part, that part included, contacts at their upper end [ohm]."""
    build = case.build
    way = next(way for way in harness(case).ways[pack] if path in way)
    total_ohm = 0.0
    for each in way[1 : way.index(path) + 1]:
        section, name, _ = steps_of(each)
        if section == "leads":
            total_ohm += lead_resistance_ohm(case, build.leads[name])[1]
        elif section == "joiners" and build.joiners[name].built_in is None:
            total_ohm += path_resistance_ohm(build.joiners[name])
    return total_ohm


def highest_full_charge_of_label_v(marked_v: float) -> float | None:
    """The highest full charge of the packs that are sold under a number [V]; None when none is.

    >>> f"{highest_full_charge_of_label_v(48.0):.1f} V"
    '58.8 V'
    """
    return max((row.full_v for row in series_rows() if marked_v in row.labels_v), default=None)
