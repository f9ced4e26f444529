"""Connectors that go with a change: larger ones on both halves, those that take a thicker wire."""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.limits.contacts import contact, misfit
from packyoke.analysis.limits.leads import inlet_index
from packyoke.analysis.limits.margins import mated
from packyoke.model import End, Gauge, Lead
from packyoke.rules.outcome import Change, Mend

TAKE_THICKER = ("XT60", "XT90")
"""Families that the trade has for thick wires and that cannot be mated the wrong way round, from small to large."""


def with_connectors(case: Case, lead: Lead, gauge: Gauge, mend: Mend) -> Mend | None:
    """A mend that puts another wire in a lead, with the connectors that take it; None where there are none."""
    old = dict.fromkeys(end.family for end in lead.ends if end is not None and _fits(case, end.family, gauge) is False)
    text, changes = mend.text, mend.changes
    for family in old:
        new = next((each for each in TAKE_THICKER if _fits(case, each, gauge)), None)
        if new is None:
            return None
        build = case.build
        for change in changes:
            build = build.with_value(*change)
        text += f", and {new} in place of {family} on both halves"
        changes += refitted(Case(build), Case(build).build.leads[lead.name], family, new)
    return Mend(text, changes)


def _fits(case: Case, family: str, gauge: Gauge) -> bool | None:
    """Whether a wire fits a family of connectors; None where nobody says."""
    found = contact(case, End(family, "pin", "pin"))
    return misfit(found, gauge) == 0 if found is not None and found.wire_m2 else None


def refitted(case: Case, lead: Lead, old: str, new: str) -> tuple[Change, ...]:
    """One family of connectors in place of another on a lead and on what it is plugged into."""
    build = case.build
    changes = []
    ends = tuple(_other(end, old, new) for end in lead.ends)
    if ends != lead.ends:
        changes.append(Change(lead.path, "ends", ends))
    (own, outlet), (own_to, inlet) = mated(case, lead)
    if old in (own.family if own else "", outlet.family if outlet else ""):
        if lead.source in build.packs:
            pack = build.packs[lead.source]
            changes.append(Change(pack.path, "outlet", _other(pack.outlet, old, new)))
        else:
            joiner = build.joiners[lead.source]
            changes.append(Change(joiner.path, "outlets", tuple(_other(end, old, new) for end in joiner.outlets)))
    if old in (own_to.family if own_to else "", inlet.family if inlet else ""):
        if lead.target in build.controllers:
            controller = build.controllers[lead.target]
            changes.append(Change(controller.path, "inlet", _other(controller.inlet, old, new)))
        else:
            joiner = build.joiners[lead.target]
            index = inlet_index(case, lead)
            inlets = tuple(_other(end, old, new) if at == index else end for at, end in enumerate(joiner.inlets))
            changes.append(Change(joiner.path, "inlets", inlets))
    return tuple(changes)


def _other(end: End | None, old: str, new: str) -> End | None:
    return end._replace(family=new) if end is not None and end.family == old else end
