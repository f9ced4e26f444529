"""What the fuse rules advise: a fuse fitted or swapped, with the leads that go with it."""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.limits.fusing import lead_amps_a, leads_to_thicken
from packyoke.core.findings import shown
from packyoke.core.paths import PartPath
from packyoke.model import FITTED, Fuse
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
