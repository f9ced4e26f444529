"""A short circuit would drive more current through a fuse than it can break.

What
    The current into a short right behind the fuse, against the most that the fuse can break.
Why
    A fuse that meets more current than it was made for does not open cleanly: it bursts, or welds
    into a bridge, at the moment it is needed.
Limit
    I = V / R, with V the full charge and R the resistance of the pack in the first moment (0.65 of
    that after 10 s); of all packs that feed the fuse, in parallel with their leads, for a fuse
    behind a joiner. Against the capacity marked on
    the fuse, else the lowest of its family (blade 1000 A, strip and bolt 2000 A, class T 10 kA). A
    family's figure holds up to the highest voltage and the largest rating that the family is made
    for; above that it is unknown. Counts a fault behind the fuse, not one inside the pack that other packs feed.
Do
    A family that breaks more, class T for example.
Rider notices
    nothing
Fails
    in breakwater-three-packs
    packs.north.resistance: 40 mohm
Passes
    in breakwater-three-packs
    packs.north.resistance: 120 mohm
Sources
    ISO 8820-3, -5, -6 (scopes read); class T and 10x38 from memory.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.limits.fusing import (
    Fused,
    breaking_capacity_a,
    fuse_kind,
    fused,
    highest_full_charge_v,
    is_tree,
    rating_a,
    short_circuit_a,
)
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, one
from packyoke.model import Pack, known
from packyoke.rules.fuse_mending import fuse_words
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later
from packyoke.rules.rule import Rule


def parts(case: Case) -> list[Fused]:
    return fused(case) if is_tree(case) else []


def check(case: Case, part: Fused) -> Outcome:
    fuse = part.fuse
    low_a, _ = breaking_capacity_a(fuse, highest_full_charge_v(case, part.path))
    found_a = short_circuit_a(case, part.path, True)
    if not above(found_a, low_a):
        return PASSED
    if not isinstance(part, Pack):
        found_a = short_circuit_a(case, part.path, False)
        if not above(found_a, low_a):
            return PASSED
    # A family's capacity is assumed, and counts at its lowest; where nothing is on file it has to be read.
    breaks_a = low_a if low_a > 0.0 else known(fuse.breaking_a, fuse, "breaking_a")
    if not above(found_a, breaks_a):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="a short circuit is more than its fuse can break",
        found=Amount(found_a, "A", "into a short"),
        limit=Amount(breaks_a, "A", "as marked" if "breaking_a" in fuse.spans else f"({fuse.family})"),
        why="It bursts, or welds shut, at the moment it is needed.",
        do="Fit a fuse that breaks more, class T for example.",
        field="fuse",
        mends=(_stronger(case, part),),
    )


@later
def _stronger(case: Case, part: Fused) -> list[Mend]:
    fuse = part.fuse
    if fuse.sealed:
        return []
    amps = rating_a(fuse)
    family, volts = fuse_kind(case, part.path, amps)
    changes = (Change(fuse.path, "family", family), Change(fuse.path, "voltage_v", volts))
    text = one(f"{fuse_words(amps, family, volts)}, in its place", first=True)
    return [Mend(text, (*changes, Change(fuse.path, "dc", True), Change(fuse.path, "breaking_a", None)))]


RULE = Rule(
    name="fuse-breaking",
    kind="danger",
    doubt="whether its fuse can break a short circuit",
    page=__doc__ or "",
    basis=("ISO 8820-3", "ISO 8820-5", "ISO 8820-6"),
    parts=parts,
    check=check,
    gravest=Severity.CAUTION,
)
