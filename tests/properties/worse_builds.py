"""Builds in which one part is worse, or one fact is not known: no rule says less of them.

    python -m tests.properties.worse_builds --from 0 --count 1000 --seconds 60
    python -m tests.properties.worse_builds --only forgotten

Prints each change after which a rule says less than before; ends with 1 when one did.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from packyoke.analysis.unknowns.spans import _attrs, _parts, ends
from packyoke.api import load
from packyoke.core.findings import Severity
from packyoke.model import (
    NONE,
    Accessory,
    Build,
    Charger,
    ConnectorPart,
    Controller,
    Gauge,
    Joiner,
    Key,
    Lead,
    Pack,
    Part,
    Rack,
    Run,
)
from packyoke.model.fields import field_for
from packyoke.model.parts import Bonded, BuiltIn, ChargePort, Fuse, Switch
from packyoke.rules import RULES
from packyoke.verdict.judge import judge_build
from tests.properties.drawn_builds import read
from tests.properties.drawn_values import TODAY
from tests.properties.seeds import over_seeds
from tests.support import BASES, EXAMPLES

MOST = 6
"""Changes that are tried in one build, one at a time."""


class Worse(NamedTuple):
    """How a field gets worse, and the rules that may say less then, each for a reason of the trade."""

    way: Callable[[Any], Any]
    less: Mapping[str, str] = MappingProxyType({})


def times(factor: float) -> Callable[[Any], Any]:
    return lambda value: factor * value


def to(worst: Any) -> Callable[[Any], Any]:
    return lambda value: worst


def thinner(gauge: Gauge) -> Gauge | None:
    """Two sizes of AWG thinner, or half the section."""
    if gauge.family == "mm2":
        return Gauge("mm2", {70.0: 35.0, 16.0: 6.0, 10.0: 4.0, 6.0: 2.5, 4.0: 1.5, 2.5: 1.0}.get(gauge.size, 0.5))
    return Gauge(gauge.family, min(gauge.size + 2, 24.0)) if gauge.size >= 0 else Gauge(gauge.family, 2.0)


RUSH = {
    "packs-rush": "more resistance lets less rush from pack to pack",
    "back-charged": "more resistance lets less flow from pack to pack",
    "fuse-breaking": "a short circuit behind more resistance is smaller",
    "regen-trapped": "more resistance takes up some of what is braked",
}
WORSE: dict[tuple[type[Part], str], Worse] = {
    (Build, "warmest_k"): Worse(lambda value: value + 10),
    (Build, "coldest_k"): Worse(lambda value: value - 10),
    (Pack, "discharge_continuous_a"): Worse(times(0.6)),
    (Pack, "discharge_peak_a"): Worse(times(0.6)),
    (Pack, "charge_a"): Worse(times(0.5)),
    (Pack, "mass_kg"): Worse(times(1.5)),
    (Pack, "condition"): Worse(to("swollen")),
    (Pack, "data"): Worse(to("needed")),
    (Pack, "wakes"): Worse(to("button")),
    (Fuse, "voltage_v"): Worse(times(0.4)),
    (Fuse, "dc"): Worse(to(False)),
    (Fuse, "breaking_a"): Worse(times(0.3)),
    (Joiner, "ceiling_v"): Worse(times(0.8)),
    (Joiner, "current_continuous_a"): Worse(times(0.6)),
    (Joiner, "current_peak_a"): Worse(times(0.6)),
    (Joiner, "resistance_ohm"): Worse(times(2), RUSH),
    (Joiner, "forward_v"): Worse(times(1.5), RUSH),
    (Joiner, "mount"): Worse(to("wrapped")),
    (Joiner, "body_limit_k"): Worse(lambda value: value - 15),
    (Joiner, "bonded"): Worse(lambda value: Bonded(4 * value.by_v, value.charged)),
    (ChargePort, "current_a"): Worse(times(0.5)),
    (ChargePort, "blocks"): Worse(to("nothing")),
    (BuiltIn, "full_charge_v"): Worse(times(0.8)),
    (BuiltIn, "current_a"): Worse(times(0.6)),
    (Switch, "rating_a"): Worse(times(0.5)),
    (Switch, "breaks_v"): Worse(times(0.5)),
    (Switch, "dc"): Worse(to(False)),
    (Switch, "isolates_only"): Worse(to(True), {"switch-overloaded": "opened without load it breaks no voltage"}),
    (Lead, "gauge"): Worse(thinner, {**RUSH, "wire-does-not-fit": "a thinner wire goes into a smaller cup"}),
    (Lead, "length_m"): Worse(times(2), RUSH),
    (Lead, "insulation"): Worse(to("60 degC")),
    (Lead, "splices"): Worse(lambda value: value + 2, RUSH),
    (Lead, "run"): Worse(lambda run: Run(True, True, run.beside + 4, run.beside_leads)),
    (Lead, "measured_ohm"): Worse(times(2), RUSH),
    (Controller, "voltage_max_v"): Worse(times(0.8)),
    (Controller, "limit_a"): Worse(times(1.5)),
    (Controller, "falls_to_a"): Worse(times(1.3)),
    (Controller, "adjustable_a"): Worse(times(1.5)),
    (Controller, "power_limit_w"): Worse(times(1.4)),
    (Controller, "regen_a"): Worse(lambda value: 2 * value or 8.0),
    (Controller, "regen_not_below_k"): Worse(lambda value: value - 15),
    (Controller, "capacitance_f"): Worse(times(2)),
    (Controller, "precharge"): Worse(to(NONE)),
    (Accessory, "max_v"): Worse(times(0.8)),
    (Accessory, "current_a"): Worse(times(3)),
    (Accessory, "standby_a"): Worse(times(5)),
    (Accessory, "gauge"): Worse(thinner),
    (Charger, "output_v"): Worse(to(150.0)),
    (Charger, "current_a"): Worse(times(2)),
    (ConnectorPart, "per_contact_a"): Worse(times(0.5)),
    (ConnectorPart, "ceiling_v"): Worse(times(0.5)),
    (ConnectorPart, "contact_resistance_ohm"): Worse(times(3), RUSH),
    (Rack, "limit_kg"): Worse(times(0.5)),
    (Rack, "load_kg"): Worse(lambda value: value + 20),
}


def parts(build: Build) -> Iterator[Part]:
    yield build
    for section in ("packs", "joiners", "leads", "controllers", "accessories", "chargers", "connectors", "racks"):
        for part in getattr(build, section).values():
            yield part
            for sub in ("fuse", "switch", "charge_port", "built_in"):
                inside = getattr(part, sub, None)
                if isinstance(inside, Part):
                    yield inside


def worsened(build: Build) -> Iterator[tuple[str, Build, Mapping[str, str]]]:
    """What is worse in a build, a field at a time: its name, the worse build, and who may say less of it."""
    for part in parts(build):
        for (kind, attr), (way, less) in WORSE.items():
            now = getattr(part, attr, None)
            if type(part) is not kind or now is None:
                continue
            then = way(now)
            if then != now:
                yield f"{part.path} {attr} {now} -> {then}", build.with_value(part.path, attr, then), less


NOT_FACTS = ("name", "source", "target", "sources", "ends", "inlets", "outlets")
ELSEWHERE = {
    "presence": ("fuse-oversized", "fuse-voltage", "fuse-breaking", "fuse-nuisance"),
    "outlet": ("charger-in-outlet", "charger-mixup"),
}
"""What these say of a fuse they say of one that is there; whether there is one in a pack `fuse-missing` asks. One of an
accessory that nobody describes counts as none or as 5 A, as the field says. What an outlet is `live-pins` asks."""


def known_fields(build: Build) -> Iterator[Key]:
    """Every field of a part that a verdict may need and that is known."""
    for part in _parts(build):
        yield from ((part.path, attr) for attr in _attrs(part) if getattr(part, attr) is not None)


def forgotten(build: Build) -> Iterator[tuple[str, Build, Mapping[str, str]]]:
    """The same build without one of its facts; not those beyond what is usual, for what is missing counts as usual."""
    for path, attr in known_fields(build):
        part = build.part(path)
        now, without = getattr(part, attr), build.with_value(path, attr, None)
        if attr in NOT_FACTS:
            continue
        span = ends(without, part, attr)
        if isinstance(now, float) and span and not min(span) <= now <= max(span):
            continue
        less = dict.fromkeys(ELSEWHERE.get(attr, ()), "asked elsewhere")
        yield f"{path} {attr} {now} -> ?", without, less


def said(build: Build) -> dict[str, int]:
    """The gravest that each rule says of a build."""
    found: dict[str, int] = {}
    for each in judge_build(build, RULES):
        found[each.rule.name] = max(found.get(each.rule.name, 0), each.severity)
    return found


def less_said(before: dict[str, int], after: dict[str, int], known: bool, less: Mapping[str, str]) -> list[str]:
    """The rules that say less than before; where a fact is gone, a question is as grave as a stop."""
    found = []
    for rule, was in before.items():
        now = after.get(rule, 0)
        least = was if known else min(was, Severity.OPEN)
        if rule not in less and was >= (Severity.CAUTION if known else Severity.OPEN) and now < least:
            found.append(f"{rule} {was} -> {now}")
    return found


def found_in(build: Build, dice: random.Random, kinds: tuple[str, ...] = (), most: int = MOST) -> list[str]:
    """What of the changes that are drawn makes a rule say less."""
    found = []
    before = said(build)
    for kind, changes in (("worse", worsened), ("forgotten", forgotten)):
        if kinds and kind not in kinds:
            continue
        every = list(changes(build))
        for what, other, less in dice.sample(every, min(most, len(every))):
            rules = less_said(before, said(other), kind == "worse", less)
            found += [f"{what}: {each}" for each in rules]
    return found


COMPLETE = Path(__file__).parents[1] / "reading" / "complete.yaml"
GOOD = sorted([*EXAMPLES.glob("*.yaml"), *BASES.glob("*.yaml"), COMPLETE], key=lambda path: path.stem)


def varied(seed: int) -> Build:
    """An example or a base of the rules' cases with up to six of its values other ones or not known."""
    dice = random.Random(seed)
    build = load(dice.choice(GOOD).read_text(encoding="utf-8"), "x.yaml", today=TODAY)
    assert isinstance(build, Build), build
    for _ in range(dice.randint(0, 6)):
        path, attr = dice.choice(list(known_fields(build)))
        field, now = field_for(path, attr), getattr(build.part(path), attr)
        if attr in NOT_FACTS or (attr == "full_charge_v" and getattr(build.part(path), "series", None)):
            continue  # what full charge follows from the cells is no other in any file
        if dice.random() < 0.15:
            build = build.with_value(path, attr, None)
        elif isinstance(now, float):
            value = now * dice.choice((0.3, 0.5, 0.8, 0.9, 0.95, 1.05, 1.1, 1.3, 2.0, 4.0))
            build = build.with_value(path, attr, min(max(value, field.low or value), field.high or value))
        elif isinstance(now, Gauge):
            build = build.with_value(path, attr, Gauge("AWG", float(dice.choice((8, 10, 12, 14, 16, 18, 20)))))
        elif field.kind == "word" and now in field.words:
            build = build.with_value(path, attr, dice.choice(field.words))
    return build


def looking_better(seed: int, folder: Path, only: tuple[str, ...]) -> list[str]:
    """What is found in the builds of a number, a line each: a varied good one, and one drawn from nothing."""
    found = [] if "drawn" in only else [("varied", varied(seed))]
    if "varied" not in only and isinstance(build := read(seed), Build):
        found.append(("drawn", build))
    kinds = tuple(each for each in only if each in ("worse", "forgotten"))
    return [f"{seed} {name} {line}" for name, build in found for line in found_in(build, random.Random(seed), kinds)]


if __name__ == "__main__":
    over_seeds(str(__doc__), looking_better, "of which a rule says less")
