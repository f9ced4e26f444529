"""Why a search found nothing: the first thing that stands in the way."""

from __future__ import annotations

from packyoke.core.paths import path_to
from packyoke.planning.dress import obstacle
from packyoke.planning.layout import Layout
from packyoke.planning.result import NoPlan, Refusal


def why_stuck(layout: Layout) -> NoPlan | Refusal:
    """Distances that nobody has given, joiners that do not bear it, wires that do not, room that is missing."""
    apart = sorted({spot.place for spot in layout.spots if (spot.place, layout.root_place) not in layout.ways})
    if apart:
        return _distances(layout, apart)
    if len(layout.spots) > layout.topology.root_slots:
        if not layout.puts:
            return _no_joiner(layout)
        for name in homeless(layout):
            path = layout.build.joiners[name].path
            mine = [each for each in layout.unfit if each.part == path]
            return obstacle(mine, path, "no place has room and a fitting mount for it")
        needed, room = layout.joiners_needed(), layout.room()
        if needed > room:
            return NoPlan(constraint=f"{needed} joiners are needed, and the places have room for {room}")
    targets = [*range(len(layout.spots), layout.problem.node_count()), -1]
    for node, spot in enumerate(layout.spots):
        if not any(layout.problem.wires(node, target, 0) for target in targets):
            return obstacle(layout.blocked[node], path_to("packs", spot.name), "no lead can be made from its outlet")
    for node in targets[:-1]:
        if layout.blocked[node]:
            joiner = layout.puts[node - len(layout.spots)].joiner
            return obstacle(layout.blocked[node], joiner.path, "no lead can be made from its outlet")
    return NoPlan(constraint="the joiners that there are cannot bring all packs together at these places")


def homeless(layout: Layout) -> list[str]:
    """Joiners of the file that no place will do for: all of them are to be used."""
    placed = {name for put in layout.puts for name in put.kind.names}
    return [name for kind in layout.kinds for name in kind.names if name not in placed]


def _no_joiner(layout: Layout) -> NoPlan:
    if layout.unfit:
        nearest = layout.unfit[0]
        return obstacle(layout.unfit, nearest.part, nearest.message)
    if not layout.kinds:
        return NoPlan(constraint="there is no joiner to bring the packs together with, in the file or on the shelf")
    return NoPlan(constraint="no place has room and a fitting mount for a joiner whose connectors are known")


def _distances(layout: Layout, apart: list[str]) -> Refusal:
    missing = tuple((place, layout.root_place) for place in apart)
    said = " and ".join(f"{one} to {other}" for one, other in missing)
    first, last = missing[0]
    return Refusal(
        kind="distance",
        text=f"no run leads from {said}",
        do=f"Measure a way and add it to  runs:  for example  {{between: [{first}, {last}], length: 700 mm}}",
        missing=missing,
    )
