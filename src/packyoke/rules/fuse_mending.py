"""What the fuse rules advise: a fuse fitted or swapped, with the leads that go with it."""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.taps import TAP_INSULATION
from packyoke.analysis.limits.fusing import (
    highest_nominal_v,
    largest_fuse_a,
    lead_amps_a,
    leads_to_thicken,
    thicker_gauges,
)
from packyoke.analysis.limits.leads import derated
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import shown
from packyoke.core.paths import PartPath
from packyoke.model import FITTED, Accessory, Fuse
from packyoke.rules.outcome import Change, Mend
from packyoke.rules.refitting import with_connectors


def fit(fuse: Fuse, amps: float, family: str, volts: float) -> tuple[Change, ...]:
    """A fuse where there is none, or another one in its place."""
    return (
        Change(fuse.path, "presence", FITTED),
        Change(fuse.path, "family", family),
        Change(fuse.path, "rating_a", amps),
        Change(fuse.path, "voltage_v", volts),
        Change(fuse.path, "dc", True),
        Change(fuse.path, "breaking_a", None),
        Change(fuse.path, "sealed", False),
    )


def fuse_words(amps: float, family: str, volts: float) -> str:
    holder = "" if family == "blade" else " and holder"
    return f"{shown(amps)} A {family} fuse{holder}, {shown(volts)} V d.c."


SMALL_FUSE_A = 5.0
"""Up to this the wire of a tap is not asked for."""


def with_wire(case: Case, part: Accessory, amps: float, text: str, changes: tuple[Change, ...]) -> Mend | None:
    """A fuse of a tap together with the thicker wire that it asks for; None when no size would do."""
    mine = part.gauge
    if mine is None or not above(amps, SMALL_FUSE_A):
        return Mend(text, changes)
    for gauge in (mine, *thicker_gauges(mine)):
        bears = derated(gauge, TAP_INSULATION, case.build.warmest_k, 2)
        if not above(amps, largest_fuse_a(bears.amps_a, highest_nominal_v(case, part.path))):
            break
    else:
        return None
    return (
        Mend(text, changes)
        if gauge == mine
        else Mend(f"{text}, and {gauge} wire", (*changes, Change(part.path, "gauge", gauge)))
    )


def with_leads(case: Case, path: PartPath, text: str, changes: tuple[Change, ...]) -> Mend | None:
    """A mend together with the thicker leads that it asks for; None when no size would do."""
    build = case.build
    for change in changes:
        build = build.with_value(*change)
    changed = Case(build)
    thicker = leads_to_thicken(changed, path)
    if thicker is None:
        return None
    for lead, gauge in thicker:
        amps = shown(lead_amps_a(changed, lead, gauge))
        text += f", and {lead.name} in {gauge} {lead.insulation} ({amps} A)"
        changes += (Change(lead.path, "gauge", gauge),)
        refitted = with_connectors(case, lead, gauge, Mend(text, changes))
        if refitted is None:
            return None
        text, changes = refitted
    return Mend(text, changes)
