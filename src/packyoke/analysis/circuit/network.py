"""The build as a circuit: sources behind resistances, joined as the joiners join them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Blocked, Joined, PackSource, Selector, Series, Tapped, TreeNode
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain, joiner_type, kind_of
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.core.paths import path_to
from packyoke.model import Joiner, Lead, Pack, known
from packyoke.model.fields import field_for

Choose = Callable[[tuple[float, float]], float]
"""Which end of a span (from, to) counts."""
SpansOf = Callable[[Case, Lead], tuple[float, float]]
"""Resistance of a lead: from, to [ohm]."""
NO_TAPS: Mapping[str, float] = {}
STIFF_OHM = 1e-9
"""As good as none."""


def lower(span: tuple[float, float]) -> float:
    """The lower end: the most current."""
    return span[0]


def middle(span: tuple[float, float]) -> float:
    """The middle: what to expect."""
    return (span[0] + span[1]) / 2


def upper(span: tuple[float, float]) -> float:
    """The upper end: the most drop."""
    return span[1]


def lets_back(joiner: Joiner) -> bool:
    """Whether current can flow back through a joiner; one of unknown type is asked for and tried as every type. Of the
    bike maker's own only what is known counts here: `built-in-unknown` asks for the rest."""
    return kind_of(joiner) in ("plain", "selector")


def path_resistance_ohm(joiner: Joiner) -> float:
    """Resistance of one path through a joiner at 25 degC [ohm]; a Schottky diode has a forward voltage instead."""
    return 0.0 if joiner_type(joiner) == "diode" else known(joiner.resistance_ohm, joiner, "resistance_ohm")


def forward_v(joiner: Joiner) -> float:
    """Voltage that a diode path drops whatever the current [V]."""
    return known(joiner.forward_v, joiner, "forward_v") if joiner_type(joiner) == "diode" else 0.0


def joiner_path(joiner: Joiner, lead: Lead) -> str:
    """Name of the path through a joiner that a lead feeds, as an element of the circuit."""
    return f"{joiner.path}<{lead.name}"


def pack_resistance_ohm(pack: Pack) -> float:
    """Resistance of a pack [ohm]."""
    return known(pack.resistance_ohm, pack, "resistance_ohm")


def without_asking(case: Case, lead: Lead) -> tuple[float, float]:
    """Resistance of a lead as far as it is known: its longest without a length, nothing without a gauge [ohm]."""
    if not lead.direct and lead.gauge is None:
        return 0.0, 0.0
    if not lead.direct and lead.length_m is None:
        return lead_resistance_ohm(case, replace(lead, length_m=field_for(lead.path, "length_m").ends[-1]))
    return lead_resistance_ohm(case, lead)


def tree(
    case: Case,
    name: str,
    emf_v: Mapping[str, float],
    choose: Choose,
    *,
    spans: SpansOf = lead_resistance_ohm,
    plain: frozenset[str] = frozenset(),
    pack_ohm: Callable[[Pack], float] = pack_resistance_ohm,
    taps: Mapping[str, float] = NO_TAPS,
) -> TreeNode:
    """The circuit seen at the outlet of a pack or joiner, or at the inlet of a controller.

    emf_v gives each pack's open-circuit voltage; packs that are not in it are not plugged in. Joiners in `plain` are
    taken as plain whatever they are. `taps` draw at the outlet side of a part besides the accessories [A]. Elements
    carry the path of their part.
    """
    build = case.build
    if name in build.packs:
        return PackSource(build.packs[name].path, emf_v[name], pack_ohm(build.packs[name]))
    joiner = build.joiners.get(name)
    branches = [
        branch_of(case, lead, emf_v, choose, spans=spans, plain=plain, pack_ohm=pack_ohm, taps=taps)
        for lead in harness(case).feeding(name)
        if any(pack in emf_v for pack in harness(case).packs_behind.get(lead.path, ()))
    ]
    if joiner is None:
        # The bike maker's joiner comes with its own wire to the controller, beside whatever else is led there.
        drawing = harness(case)
        branches += [
            tree(case, each.name, emf_v, choose, spans=spans, plain=plain, pack_ohm=pack_ohm, taps=taps)
            for each in build.joiners.values()
            if each.built_in is not None
            and not drawing.onward(each.name)
            and any(pack in emf_v for pack in drawing.packs_behind.get(each.path, ()))
        ]
    if joiner is not None and joiner_type(joiner) == "selector" and name not in plain and len(branches) > 1:
        return _tapped(case, Selector(tuple(branches)), name, taps)
    node = branches[0] if len(branches) == 1 else Joined(tuple(branches))
    return _tapped(case, node, name, taps)


def branch_of(
    case: Case,
    lead: Lead,
    emf_v: Mapping[str, float],
    choose: Choose,
    *,
    spans: SpansOf = lead_resistance_ohm,
    plain: frozenset[str] = frozenset(),
    pack_ohm: Callable[[Pack], float] = pack_resistance_ohm,
    taps: Mapping[str, float] = NO_TAPS,
) -> TreeNode:
    """The circuit of a lead up to where it ends, the path of the joiner that it feeds included."""
    inside = tree(case, lead.source, emf_v, choose, spans=spans, plain=plain, pack_ohm=pack_ohm, taps=taps)
    branch: TreeNode = Series(inside, lead.path, choose(spans(case, lead)))
    if lead.source in case.build.packs:
        # What is fed from a pack hangs on the end of its lead.
        branch = _tapped(case, branch, lead.source, taps)
    branch = _tapped(case, branch, lead.name, taps)
    joiner = case.build.joiners.get(lead.target)
    if joiner is not None:
        branch = Series(branch, joiner_path(joiner, lead), path_resistance_ohm(joiner), forward_v(joiner))
        if joiner_type(joiner) in ("diode", "ideal-diode") and joiner.name not in plain:
            branch = Blocked(branch)
    return branch


def seen_from(case: Case, joiner: Joiner, emf_v: Mapping[str, float], choose: Choose) -> TreeNode:
    """The circuit seen at the outlet of a joiner by what is plugged in there: behind it, and through plain joiners
    further on into their other packs. Currents in what lies ahead are then positive away from the controller."""
    return Joined((tree(case, joiner.name, emf_v, choose), *_ahead(case, joiner, emf_v, choose)))


def plainly_ahead(case: Case, joiner: Joiner) -> Iterator[tuple[Lead, Joiner]]:
    """The leads from a joiner to plain ones further on; the second of two side by side is on no way, and left out."""
    for lead in harness(case).onward(joiner.name):
        target = case.build.joiners.get(lead.target)
        if target is not None and is_plain(target) and lead.path in harness(case).packs_behind:
            yield lead, target


def _ahead(case: Case, joiner: Joiner, emf_v: Mapping[str, float], choose: Choose) -> tuple[TreeNode, ...]:
    found = []
    for lead, target in plainly_ahead(case, joiner):
        others = tuple(
            branch_of(case, each, emf_v, choose)
            for each in harness(case).feeding(target.name)
            if each is not lead and any(pack in emf_v for pack in harness(case).packs_behind.get(each.path, ()))
        )
        node = Joined((*others, *_ahead(case, target, emf_v, choose)))
        path = Series(node, joiner_path(target, lead), path_resistance_ohm(target))
        found.append(Series(path, lead.path, choose(lead_resistance_ohm(case, lead))))
    return tuple(found)


def _tapped(case: Case, node: TreeNode, name: str, taps: Mapping[str, float]) -> TreeNode:
    for accessory in case.build.accessories.values():
        if name in accessory.sources:
            # One that is tied at several points may draw all of its current at any of them.
            path = accessory.path if len(accessory.sources) == 1 else f"{accessory.path}<{name}"
            node = Tapped(node, path, known(accessory.current_a, accessory, "current_a"))
    return Tapped(node, path_to("others", name), taps[name]) if taps.get(name) else node
