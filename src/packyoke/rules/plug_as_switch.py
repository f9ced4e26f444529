"""A plug is the only way to switch the bike off.

What
    How the rider switches off: with a display, a key or a button, a switch in a lead, a pack that
    has a button or a key of its own, or only by pulling a plug.
Why
    Plugs of this kind are made to carry current, not to break it. Pulled under load they draw an
    arc that burns the contacts, and burnt contacts run hot on every ride.
Limit
    switched_by: plug, and a pack on whose way to the controller no lead has a switch and that has
    no button or key itself. Where the file does not say, a display counts: most bikes have one.
Do
    A switch for the load and the d.c. voltage in the main lead, or a controller with a key or a
    display. Until then pull the plug only when nothing draws.
Rider notices
    plug is pulled to switch off; no switch on the bike; arc when unplugging; spark when pulling the plug
Fails
    in skerry-long-tail
    controller.switched_by: plug
Passes
    in skerry-long-tail
    controller.switched_by: key
Sources
    Plugs are rated for current carried, not for breaking it: common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.bus import leads_to, parted_by_hand
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.packs.voltages import highest_full_charge
from packyoke.core.findings import Severity, shown
from packyoke.core.paths import is_lead, name_of
from packyoke.model import Controller, Lead, Pack
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, controllers

OWN_SWITCH = ("button", "key")
"""Packs that wake by one of these are switched off by it too."""


def check(case: Case, controller: Controller) -> Outcome:
    if controller.path not in harness(case).packs_behind:
        return None
    if controller.switched_by != "plug":
        return PASSED
    leads = leads_to(case, controller)
    packs = _without_switch(case, controller)
    if not packs or (leads and not parted_by_hand(leads)):
        return PASSED
    full_v = highest_full_charge(case, controller.path).volts_v
    return Failed(
        severity=Severity.CAUTION,
        message="a plug is the only way to switch it off",
        why="Plugs carry current and do not break it: pulled under load they draw an arc that burns their contacts.",
        do=f"A switch that breaks {shown(full_v)} V d.c. in the lead to {controller.name}, or one with a key or a "
        "display. Until then pull the plug only when nothing draws.",
        field="switched_by",
        also=packs,
    )


def _without_switch(case: Case, controller: Controller) -> tuple[Pack, ...]:
    """The packs between which and the controller nothing switches."""
    drawing, build = harness(case), case.build
    found = []
    for name in drawing.packs_behind[controller.path]:
        ways = [way for way in drawing.ways[name] if way[-1] == controller.path]
        leads = [name_of(path) for way in ways for path in way if is_lead(path)]
        if build.packs[name].wakes not in OWN_SWITCH and not any(_breaks(build.leads[each]) for each in leads):
            found.append(build.packs[name])
    return tuple(found)


def _breaks(lead: Lead) -> bool:
    """Whether a lead has a switch that opens a loaded circuit; one that only isolates does so no more than a plug."""
    return lead.switch is not None and not lead.switch.isolates_only


RULE = Rule(
    name="plug-as-switch",
    kind="wear",
    doubt="whether it can be switched off without pulling a plug",
    page=__doc__ or "",
    basis=("common practice",),
    parts=controllers,
    check=check,
    gravest=Severity.CAUTION,
)
