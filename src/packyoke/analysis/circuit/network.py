"""The build as a circuit: sources behind resistances, joined as the joiners join them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Blocked, Joined, Node, Selector, Series, Source, Tapped
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.model import Joiner, Lead, Pack, known

Choose = Callable[[tuple[float, float]], float]
"""Which end of a span (from, to) counts."""


def lower(span: tuple[float, float]) -> float:
    """The lower end: the most current."""
    return span[0]


def middle(span: tuple[float, float]) -> float:
    """The middle: what to expect."""
    return (span[0] + span[1]) / 2


def joiner_type(joiner: Joiner) -> str:
    """What kind of joiner it is; `unknown` in the file asks as much as a missing line."""
    return known(None if joiner.type == "unknown" else joiner.type, joiner, "type")


def path_resistance_ohm(joiner: Joiner) -> float:
    """Resistance of one path through a joiner at 25 degC [ohm]; a Schottky diode has a forward voltage instead."""
    return 0.0 if joiner_type(joiner) == "diode" else known(joiner.resistance_ohm, joiner, "resistance_ohm")


def forward_v(joiner: Joiner) -> float:
    """Voltage that a diode path drops whatever the current [V]."""
    return known(joiner.forward_v, joiner, "forward_v") if joiner_type(joiner) == "diode" else 0.0


def joiner_path(joiner: Joiner, lead: Lead) -> str:
    """Name of the path through a joiner that a lead feeds, as an element of the circuit."""
    return f"{joiner.path}<{lead.name}"


def tree(
    case: Case, name: str, emf_v: Mapping[str, float], choose: Choose, *, plain: frozenset[str] = frozenset()
) -> Node:
    """The circuit seen at the outlet of a pack or joiner, or at the inlet of a controller.

    emf_v gives each pack's open-circuit voltage; packs that are not in it are not plugged in. Joiners in `plain` are
    taken as plain whatever they are. Elements carry the path of their part.
    """
    build = case.build
    if name in build.packs:
        return _tapped(case, _source(build.packs[name], emf_v[name]), name)
    branches: list[Node] = []
    joiner = build.joiners.get(name)
    for lead in harness(case).leads_into.get(name, ()):
        if not any(pack in emf_v for pack in harness(case).packs_behind.get(lead.path, ())):
            continue
        branch: Node = Series(
            tree(case, lead.source, emf_v, choose, plain=plain), lead.path, choose(lead_resistance_ohm(case, lead))
        )
        branch = _tapped(case, branch, lead.name)
        if joiner is not None:
            branch = Series(branch, joiner_path(joiner, lead), path_resistance_ohm(joiner), forward_v(joiner))
            if joiner_type(joiner) in ("diode", "ideal-diode") and name not in plain:
                branch = Blocked(branch)
        branches.append(branch)
    if joiner is not None and joiner_type(joiner) == "selector" and name not in plain and len(branches) > 1:
        return _tapped(case, Selector(tuple(branches)), name)
    node = branches[0] if len(branches) == 1 else Joined(tuple(branches))
    return _tapped(case, node, name)


def _source(pack: Pack, emf_v: float) -> Node:
    return Source(pack.path, emf_v, known(pack.resistance_ohm, pack, "resistance_ohm"))


def _tapped(case: Case, node: Node, name: str) -> Node:
    for accessory in case.build.accessories.values():
        if name in accessory.sources:
            node = Tapped(node, accessory.path, known(accessory.current_a, accessory, "current_a"))
    return node
