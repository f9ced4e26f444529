"""A plug goes together the wrong way round: plus on minus.

What
    Looks at every place where two halves are plugged by hand: at both ends of each lead, in
    charging sockets and ports.
Why
    Bullets, rings, blades and other single contacts that are alike at plus and minus fit crossed as
    well, and so does a lead on the pack beside its own where that has its halves the other way
    round. A crossed pack is in series with the others through the joiner, and a crossed controller
    shorts the pack through its transistors: an arc in the hand, a fire.
Limit
    A family that is keyed, or opposite halves at plus and minus, or a joint. Else stop. Colour and
    labels do not count.
Do
    Opposite halves for plus and minus (plus a socket, minus a pin on the live side), a keyed family,
    or a joint.
Rider notices
    bang when plugged in; controller dead after the battery was taken out; plus and minus swapped;
    plug fits both ways round
Fails
    in skerry-long-tail
    packs.keel.outlet: 4 mm bullet socket
    leads.keel lead.ends: [4 mm bullet pin, XT90 socket]
Passes
    in skerry-long-tail
    packs.keel.outlet: {family: 4 mm bullet, plus: socket, minus: pin}
    leads.keel lead.ends: [{family: 4 mm bullet, plus: pin, minus: socket}, XT90 socket]
Sources
    Shape of the connectors; opposite halves per pole (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.mating import (
    mate_of,
    mates,
    may_swap_poles,
    outlet_index,
    source_part,
    target_part,
    with_item,
)
from packyoke.analysis.limits.leads import inlet_index, inlet_of, outlet_of
from packyoke.core.findings import Severity
from packyoke.model import Controller, End, Joiner, Lead, Pack, Part
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule

MESSAGE = "can be plugged in the wrong way round"
DO = "Opposite halves for plus and minus (plus socket, minus pin on the live side), a keyed family, or a joint."
KEYED = ("XT60", "XT90")
"""Keyed families that the trade stocks, tried in this order: common practice."""


def parts(case: Case) -> Iterable[Part]:
    build = case.build
    return chain(build.leads.values(), build.packs.values(), build.joiners.values())


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Lead):
        return _lead(case, part)
    if isinstance(part, Pack):
        inlet = part.charge_inlet
        return _charging(part, "charge_inlet", part) if may_swap_poles(inlet, None) else PASSED
    assert isinstance(part, Joiner)
    port = part.charge_port
    return _charging(part, "", port) if port is not None and may_swap_poles(port.inlet, None) else PASSED


def _charging(part: Part, field: str, place: Part) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message=f"its charging plug {MESSAGE}",
        why="Crossed, the charger and the pack drive current through each other: the charger burns, or the pack does.",
        do="Fit a keyed charging socket and plug.",
        field=field,
        also=(place,) if place is not part else (),
    )


def _lead(case: Case, lead: Lead) -> Outcome:
    crossed = list(_crossed(case, lead))
    if not crossed:
        return _mirrored(case, lead)
    places = [f"the {'inlet' if index else 'outlet'} of {_part(case, lead, index).name}" for index in crossed]
    return Failed(
        severity=Severity.STOP,
        message=MESSAGE,
        why=f"At {' and '.join(places)} nothing keeps plus from minus. {_harm(case, lead)}",
        do=DO,
        field="direct" if lead.direct else "ends",
        also=tuple(_part(case, lead, index) for index in crossed),
        mends=(_opposite(case, lead, crossed), _keyed(case, lead, crossed)),
    )


def _crossed(case: Case, lead: Lead) -> Iterator[int]:
    """Ends of a lead (0: its source, 1: its target) that also go together crossed."""
    outlet, inlet = outlet_of(case, lead), inlet_of(case, lead)
    if lead.direct:
        if may_swap_poles(outlet, inlet):
            yield 0
        return
    for index, other in ((0, outlet), (1, inlet)):
        if may_swap_poles(lead.ends[index], other):
            yield index


def _mirrored(case: Case, lead: Lead) -> Outcome:
    """Opposite halves per pole keep a lead right on its own pack, and cross it on one that has them the other way."""
    halved = {index: end for index, end in enumerate(lead.ends) if end is not None and end.plus != end.minus}
    for other, index, place in () if lead.direct or not halved else _places(case):
        end, at = halved.get(index), _part(case, other, index)
        if other is lead or end is None or (index == 0 and at is _part(case, lead, index)):
            continue
        if mates(case, end, End(place.family, place.minus, place.plus)):
            return Failed(
                severity=Severity.STOP,
                message=f"{MESSAGE}, onto {at.name}",
                why=f"Its halves and those of {at.name} are opposite: plug it there and plus meets minus. "
                f"{_harm(case, lead)}",
                do="The same halves on all packs and inlets: plus socket and minus pin on the live side.",
                field="ends",
                also=(at,),
                cause="mirrored",
            )
    return PASSED


@once
def _places(case: Case) -> list[tuple[Lead, int, End]]:
    """Where leads with plugs are plugged on: the lead, which of its ends, and what is there."""
    return [
        (lead, index, place)
        for lead in case.build.leads.values()
        if not lead.direct
        for index, place in enumerate((outlet_of(case, lead), inlet_of(case, lead)))
        if place is not None
    ]


def _part(case: Case, lead: Lead, index: int) -> Part:
    return target_part(case.build, lead) if index else source_part(case.build, lead)


def _harm(case: Case, lead: Lead) -> str:
    """What a crossed lead does: other packs beyond it come into series with those behind it, else the load gets it."""
    drawing = harness(case)
    behind = set(drawing.packs_behind.get(lead.path, ()))
    beyond = {
        other
        for ways in drawing.ways.values()
        for way in ways
        if lead.path in way
        for path in way[way.index(lead.path) :]
        for other in drawing.packs_behind[path]
    }
    if beyond - behind:
        names = " and ".join(name for name in case.build.packs if name in beyond - behind)
        return f"Crossed, what it feeds is in series with {names}: their voltages add up in a short circuit."
    return "Crossed, the controller gets plus on minus and shorts the pack through its transistors."


def _opposite(case: Case, lead: Lead, crossed: list[int]) -> tuple[Mend, ...]:
    """Opposite halves at plus and minus, sockets at the live plus."""
    live: dict[int, End] = {}
    outlet, inlet = outlet_of(case, lead), inlet_of(case, lead)
    for index in crossed:
        # Of a half that nobody has described the other one tells; a direct lead has no ends of its own.
        other = inlet if index else outlet or inlet
        end = lead.ends[index] or other
        assert end is not None, "what can be crossed has a half that is described"
        if end.plus not in ("pin", "socket"):
            return ()
        live[index] = End(end.family, "socket", "pin")
    return (Mend("Opposite halves: plus socket and minus pin on the live side", _changes(case, lead, live)),)


def _keyed(case: Case, lead: Lead, crossed: list[int]) -> tuple[Mend, ...]:
    return tuple(
        Mend(
            f"{family}, with the sockets on the live side",
            _changes(case, lead, {index: End(family, "socket", "socket") for index in crossed}),
        )
        for family in KEYED
    )


def _changes(case: Case, lead: Lead, live: dict[int, End]) -> tuple[Change, ...]:
    """Both halves changed at these places: the live one as given, the other to what goes onto it."""
    changes: list[Change] = []
    source, target = source_part(case.build, lead), target_part(case.build, lead)
    ends: tuple[End | None, ...] = lead.ends
    if 0 in live:
        if isinstance(source, Pack):
            changes.append(Change(source.path, "outlet", live[0]))
        elif isinstance(source, Joiner):
            outlets = with_item(source.outlets, outlet_index(case, source, lead), live[0])
            changes.append(Change(source.path, "outlets", outlets))
        ends = with_item(ends, 0, mate_of(live[0]))
    facing = live.get(0 if lead.direct else 1)
    if facing is not None:
        ends = with_item(ends, 1, facing)
        if isinstance(target, Controller):
            changes.append(Change(target.path, "inlet", mate_of(facing)))
        elif isinstance(target, Joiner):
            inlets = with_item(target.inlets, inlet_index(case, lead), mate_of(facing))
            changes.append(Change(target.path, "inlets", inlets))
    if not lead.direct:
        changes.append(Change(lead.path, "ends", ends))
    return tuple(changes)


RULE = Rule(
    name="reversible-plug",
    kind="danger",
    doubt="whether its plugs can be crossed",
    page=__doc__ or "",
    basis=("shape of the connectors",),
    parts=parts,
    check=check,
)
