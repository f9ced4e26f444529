"""What is not known while planning counts at its worse end, so that the check of the plan has nothing to add."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from packyoke.analysis.unknowns.spans import ends
from packyoke.core.words import listed
from packyoke.model import Build, Joiner, Part
from packyoke.model.fields import field_name
from packyoke.planning.result import Refusal, Stuck


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


def need_facts(build: Build) -> None:
    """Raises Stuck with what no span stands in for and is not in the file: fields, each with the parts that lack it."""
    packs, controllers, joiners = build.packs.values(), build.controllers.values(), build.joiners.values()
    missing: dict[str, list[Part]] = {
        "full_charge_v": [each for each in packs if each.full_charge_v is None],
        "limit_a": [
            each
            for each in controllers
            if each.limit_a is None and each.adjustable_a is None and each.power_limit_w is None
        ],
        "type": [each for each in joiners if each.type is None and each.built_in is None],
    }
    lacking = {attr: parts for attr, parts in missing.items() if parts}
    if lacking:
        raise Stuck(asked(lacking))


def asked(missing: Mapping[str, Sequence[Part]]) -> Refusal:
    """What has to be told first: fields, each with the parts that lack it."""
    words = [
        f"{field_name((parts[0].path, attr))} of {listed(part.name for part in parts)}"
        for attr, parts in missing.items()
    ]
    return Refusal(
        kind="fact",
        text=f"not in the file: {'; '.join(words)}",
        do="Find it out and write it in the file.",
        missing=tuple((part.path, attr) for attr, parts in missing.items() for part in parts),
    )
