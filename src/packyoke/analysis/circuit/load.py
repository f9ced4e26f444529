"""How much the controllers and accessories ask of each part between them and the packs."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.model import Accessory, Controller, Pack, known


class Load(NamedTuple):
    """What is asked of a part: all the time, and at the most for a stated time (None: no more than all the time)."""

    continuous_a: float
    peak_a: float | None = None
    peak_s: float | None = None

    @property
    def most_a(self) -> float:
        return self.continuous_a if self.peak_a is None else max(self.continuous_a, self.peak_a)


def lowest_running_v(case: Case, controller: Controller, packs: tuple[str, ...]) -> float:
    """The lowest voltage at which the controller still runs on these packs [V].

    The highest of its low-voltage cut, its least voltage and the (lowest) cut-off of the packs. Asks for no more than
    it needs: a cut-off below the controller's own cut changes nothing.
    """
    cut_v = max(known(controller.low_voltage_cut_v, controller, "low_voltage_cut_v"), controller.voltage_min_v)
    if not packs:
        return cut_v
    return max(cut_v, min(cut_off_v(case.build.packs[name]) for name in packs))


def full_charge_v(pack: Pack) -> float:
    """What a pack charges to [V]."""
    return known(pack.full_charge_v, pack, "full_charge_v")


def cut_off_v(pack: Pack) -> float:
    """Where the pack's protection circuit opens [V]; while a full charge is only tried, no higher than that."""
    cut_v = known(pack.cut_off_v, pack, "cut_off_v")
    return cut_v if pack.full_charge_v is None else min(cut_v, pack.full_charge_v)


@once
def controller_load(case: Case, name: str, packs: tuple[str, ...]) -> Load:
    """What a controller may draw from any of these packs.

    The smaller of its current limit (what it can be set to, if that is known) and its power limit at the lowest
    running voltage. With a rollback the limit is a peak for its time and the rollback is continuous.
    """
    controller = case.build.controllers[name]
    if controller.limit_a is None and controller.adjustable_a is None and controller.power_limit_w is not None:
        return Load(controller.power_limit_w / lowest_running_v(case, controller, packs))
    limit_a = controller.adjustable_a or known(controller.limit_a, controller, "limit_a")
    if controller.power_limit_w is not None:
        limit_a = min(limit_a, controller.power_limit_w / lowest_running_v(case, controller, packs))
    if controller.rollback_a is not None and controller.rollback_a < limit_a:
        return Load(controller.rollback_a, limit_a, controller.rollback_after_s)
    return Load(limit_a)


def accessories_behind(case: Case, path: str) -> tuple[Accessory, ...]:
    """The accessories whose current passes a part on its way.

    A joiner feeds them from its outlet side, a lead from its load end, a pack from its own lead.
    """
    return tuple(accessory for accessory, paths in _feeding(case) if path in paths)


@once
def _feeding(case: Case) -> tuple[tuple[Accessory, frozenset[str]], ...]:
    """Each accessory with the paths of the parts that its current passes."""
    build = case.build
    found = []
    for accessory in build.accessories.values():
        paths: set[str] = set()
        for ways in harness(case).ways.values():
            for way in ways:
                for source in accessory.sources:
                    if source in build.packs and way[0] == f"packs.{source}":
                        paths.update(way[:2])
                    for path in (f"joiners.{source}", f"leads.{source}"):
                        if path in way:
                            paths.update(way[: way.index(path) + 1])
        found.append((accessory, frozenset(paths)))
    return tuple(found)


@once
def load(case: Case, path: str) -> Load:
    """The whole of what is asked of a part: every controller ahead of it and every accessory fed from behind it."""
    drawing = harness(case)
    packs = drawing.packs_behind.get(path, ())
    continuous_a, peak_a, peak_s = 0.0, 0.0, 0.0
    for name in drawing.controllers_ahead.get(path, ()):
        draw = controller_load(case, name, packs)
        continuous_a += draw.continuous_a
        peak_a += draw.most_a
        peak_s = max(peak_s, draw.peak_s or 0.0)
    if case.build.accessories:
        for accessory in accessories_behind(case, path):
            current_a = known(accessory.current_a, accessory, "current_a")
            continuous_a += current_a
            peak_a += current_a
    return Load(continuous_a, peak_a, peak_s) if peak_a > continuous_a else Load(continuous_a)
