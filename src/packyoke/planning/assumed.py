"""What is not known while planning counts at its worse end, so that the check of the plan has nothing to add."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from packyoke.analysis.unknowns.spans import ends
from packyoke.model import Build, Joiner, Part, Unknown


def at_worst(build: Build) -> Build:
    """The build with what has a span at the end that asks most of leads, fuses and joiners."""
    packs = {name: replace(each, cut_off_v=_end(build, each, "cut_off_v", min)) for name, each in build.packs.items()}
    controllers = {
        name: replace(each, low_voltage_cut_v=_end(build, each, "low_voltage_cut_v", min))
        for name, each in build.controllers.items()
    }
    accessories = {
        name: replace(each, current_a=_end(build, each, "current_a", max)) for name, each in build.accessories.items()
    }
    joiners = {name: worst_joiner(build, each) for name, each in build.joiners.items()}
    return replace(build, packs=packs, controllers=controllers, accessories=accessories, joiners=joiners)


def worst_joiner(build: Build, joiner: Joiner) -> Joiner:
    """A joiner whose losses are at the high end of what they may be."""
    if joiner.built_in is not None or joiner.type in (None, "unknown"):
        return joiner
    if joiner.type == "diode":
        return replace(joiner, forward_v=_end(build, joiner, "forward_v", max))
    return replace(joiner, resistance_ohm=_end(build, joiner, "resistance_ohm", max))


def _end(build: Build, part: Part, attr: str, which: Callable[[Iterable[float]], float]) -> float | None:
    value: float | None = getattr(part, attr)
    if value is not None:
        return value
    choices = ends(build, part, attr)
    return which(choices) if choices else None


def needed_facts(build: Build) -> None:
    """Ask for what no span stands in for: full charges, and what the controllers draw. Raises Unknown."""
    for pack in build.packs.values():
        if pack.full_charge_v is None:
            raise Unknown(pack, "full_charge_v")
    for controller in build.controllers.values():
        if controller.limit_a is None and controller.adjustable_a is None and controller.power_limit_w is None:
            raise Unknown(controller, "limit_a")
    for joiner in build.joiners.values():
        if joiner.type is None and joiner.built_in is None:
            raise Unknown(joiner, "type")
