"""A fuse is not made for the voltage of the packs.

What
    The d.c. volts marked on a fuse, against the full charge of the packs behind it.
Why
    A fuse that opens above its voltage does not stop the current: the arc burns on inside, bursts
    the body and lights what is around it. Volts a.c. say nothing about d.c.
Limit
    Rating in volts d.c. at least the full charge of the highest pack that feeds it. One that is
    sealed inside a bought pack is a caution, and cured by a smaller one of enough volts at the
    outlet: that opens first. Up to 3 % above the mark is a caution: 58.4 or 58.8 V on a 58 V fuse.
    125, 250, 300, 400, 500 V and the like are a.c. marks until the file says  dc: yes.
Do
    Fit a fuse marked for the full charge in volts d.c.: 58 V blade fuses up to 13 NMC cells in
    series, class T or another family above.
Rider notices
    nothing
Fails
    in skerry-long-tail
    packs.keel.fuse: {family: blade, rating: 40 A, voltage: 32 V}
Passes
    in skerry-long-tail
    packs.keel.fuse: {family: class T, rating: 40 A, voltage: 160 V}
Sources
    ISO 8820-3 (fuse-links for 32 V and 58 V; scope read); SAE J2576 (32 V fuses not for 42 V;
    read).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.limits.fusing import (
    Fused,
    first_lead,
    fuse_kind,
    fused,
    highest_full_charge_v,
    needed_a,
    rating_a,
    standard_fuses_a,
)
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.model import FITTED, Fuse, Pack, known
from packyoke.rules.fuse_mending import fit, fuse_words
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later
from packyoke.rules.rule import Rule
from packyoke.shelf.marks import looks_ac

SLIGHTLY_ABOVE = 1.03
"""A pack is at full charge for minutes, and marks have some room: up to here a caution. Judgement."""


def check(case: Case, part: Fused) -> Outcome:
    fuse = part.fuse
    full_v = highest_full_charge_v(case, part.path)
    volts = known(fuse.voltage_v, fuse, "voltage_v")
    enough = not above(full_v, volts)
    if enough and marked_dc(fuse, volts):
        return PASSED
    sealed = fuse.sealed and isinstance(part, Pack)
    if sealed and isinstance(part, Pack) and _opens_first(case, part, full_v):
        return PASSED
    if enough:
        return _only_ac(case, part, volts, sealed=sealed)
    slightly = not above(full_v, SLIGHTLY_ABOVE * volts) and marked_dc(fuse, volts)
    return Failed(
        severity=Severity.CAUTION if sealed or slightly else Severity.STOP,
        message="its fuse is not made for this voltage",
        found=Amount(full_v, "V", "full charge"),
        limit=Amount(volts, "V", "d.c. on the fuse"),
        why="Just above its voltage, at full charge, a fuse may arc longer than it should before it opens."
        if slightly
        else "Above its voltage a fuse arcs on instead of opening, and bursts.",
        do=f"Fit a smaller fuse at the outlet that is marked for {shown(full_v)} V d.c. or more; it opens first."
        if sealed
        else f"Fit a fuse that is marked for {shown(full_v)} V d.c. or more.",
        field="fuse",
        cause="slightly" if slightly and not sealed else "",
        mends=(_before(case, part) if sealed and isinstance(part, Pack) else _another(case, part),),
    )


def marked_dc(fuse: Fuse, volts: float) -> bool:
    """Whether the voltage on a fuse is its d.c. one: as the file says, else a usual a.c. mark is asked about."""
    if fuse.dc is None and not looks_ac(volts, fuse.family):
        return True
    return known(fuse.dc, fuse, "dc")


def _only_ac(case: Case, part: Fused, volts: float, *, sealed: bool) -> Failed:
    return Failed(
        severity=Severity.CAUTION if sealed else Severity.STOP,
        message="the voltage on its fuse is for a.c.",
        found=Amount(volts, "V", "a.c. on the fuse"),
        relation="says nothing about d.c.",
        why="Direct current does not pass through zero: a fuse for a.c. arcs on instead of opening, and bursts.",
        do=f"Fit a fuse that is marked for {shown(highest_full_charge_v(case, part.path))} V d.c. or more.",
        field="fuse",
        cause="a.c.",
        mends=(_before(case, part) if sealed and isinstance(part, Pack) else _another(case, part),),
    )


def _opens_first(case: Case, pack: Pack, full_v: float) -> bool:
    """Whether a smaller fuse with enough volts stands in the pack's own lead."""
    lead = first_lead(case, pack)
    if lead is None or lead.fuse.presence != FITTED:
        return False
    if not above(rating_a(pack.fuse), rating_a(lead.fuse)):
        return False
    volts = known(lead.fuse.voltage_v, lead.fuse, "voltage_v")
    return not above(full_v, volts) and marked_dc(lead.fuse, volts)


@later
def _another(case: Case, part: Fused) -> list[Mend]:
    fuse = part.fuse
    if fuse.rating_a is None:
        return []
    family, volts = fuse_kind(case, part.path, fuse.rating_a)
    text = one(f"{fuse_words(fuse.rating_a, family, volts)}, in its place", first=True)
    changes: tuple[Change, ...] = (Change(fuse.path, "family", family), Change(fuse.path, "voltage_v", volts))
    changes += (Change(fuse.path, "dc", True), Change(fuse.path, "breaking_a", None))
    return [Mend(text, changes)]


@later
def _before(case: Case, pack: Pack) -> list[Mend]:
    lead = first_lead(case, pack)
    least_a = needed_a(case, pack)
    if lead is None or least_a is None or pack.fuse.rating_a is None:
        return []
    found = []
    for amps in reversed(standard_fuses_a(least_a, pack.fuse.rating_a)):
        if above(pack.fuse.rating_a, amps):
            family, volts = fuse_kind(case, lead.path, amps)
            text = one(f"{fuse_words(amps, family, volts)}, in {lead.name}, at the outlet", first=True)
            found.append(Mend(text, fit(lead.fuse, amps, family, volts)))
    return found


RULE = Rule(
    name="fuse-voltage",
    kind="danger",
    doubt="whether its fuse is made for this voltage",
    page=__doc__ or "",
    basis=("ISO 8820-3", "SAE J2576"),
    parts=fused,
    check=check,
)
