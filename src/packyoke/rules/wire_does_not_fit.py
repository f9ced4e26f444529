"""A wire is too thick or too thin for the connector on its end.

What
    Compares the size of each lead with what the connectors at its ends take.
Why
    Strands that are cut off to get a thick wire into a cup are missing where it gets hottest. A
    thin wire in a large cup or crimp is held by solder alone, works loose and breaks behind the
    joint. Both turn up as a hot plug months later.
Limit
    thinnest size of the connector <= wire <= thickest size, by copper area

    A wire within half a gauge of a size counts as that size: 4 mm2 is 12 AWG here.
Do
    The next size that fits and still bears the current; or a connector made for this wire.
Rider notices
    plug gets warm; cable works loose behind the plug
Fails
    in skerry-long-tail
    leads.keel lead.gauge: 8 AWG
Passes
    in skerry-long-tail
    leads.keel lead.gauge: 12 AWG
Sources
    XT30 18 to 16 AWG, XT60 14 to 12, XT90 12 to 10, 4 mm bullet 12, 5.5 mm bullet 10 to 8: common
    practice; flat blades to 6 mm2: IEC 61210:2010 scope (read); half a gauge: assumption
"""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.limits.contacts import Contact, area_m2, contact, fits_ends, misfit
from packyoke.core.findings import Amount, Severity
from packyoke.model import Gauge, Lead
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later
from packyoke.rules.rule import Rule, leads
from packyoke.shelf import wires

MM2_M2 = 1e-6
WHY = {
    "thick": "Strands get cut off to make it fit, and are missing where it gets hottest.",
    "thin": "Solder alone holds it; it works loose and breaks behind the joint.",
}


def check(case: Case, lead: Lead) -> Outcome:
    gauge = lead.gauge
    if lead.direct or gauge is None:
        # Any size may turn out to fit: whether it bears the current is what asks for it.
        return None
    sized = [found for end in lead.ends if end is not None and (found := contact(case, end)) and found.wire_m2]
    if not sized:
        return None
    for found in sized:
        wrong = misfit(found, gauge)
        if wrong:
            return _misfit(case, lead, gauge, found, "thick" if wrong > 0 else "thin")
    return PASSED


def _misfit(case: Case, lead: Lead, gauge: Gauge, found: Contact, word: str) -> Failed:
    thin_m2, thick_m2 = found.wire_m2 or (0.0, 0.0)
    too_thick = word == "thick"
    return Failed(
        severity=Severity.CAUTION,
        message=f"wire too {word} for its {found.family}",
        found=Amount(area_m2(gauge) / MM2_M2, "mm2", f"({gauge})"),
        limit=Amount((thick_m2 if too_thick else thin_m2) / MM2_M2, "mm2", f"({found.family})"),
        relation="at most" if too_thick else "at least",
        why=WHY[word],
        do="A wire that fits and still bears the current, or a connector made for this one.",
        field="gauge",
        cause=word,
        mends=(_fitting(case, lead, gauge),),
        basis=(found.source,),
    )


@later
def _fitting(case: Case, lead: Lead, gauge: Gauge) -> Sequence[Mend]:
    """Sizes that fit both ends, the nearest to the present one first."""
    family = gauge.family if gauge.family == "mm2" else "AWG"
    sizes = (Gauge(family, size) for size in wires.standard_sizes(family))
    fitting = [each for each in sizes if fits_ends(case, lead.ends, each)]
    present_m2 = area_m2(gauge)
    fitting.sort(key=lambda each: max(area_m2(each) / present_m2, present_m2 / area_m2(each)))
    return [Mend(str(each), (Change(lead.path, "gauge", each),)) for each in fitting]


RULE = Rule(
    name="wire-does-not-fit",
    kind="damage",
    doubt="whether the wire fits its connectors",
    page=__doc__ or "",
    basis=("common practice",),
    parts=leads,
    check=check,
    gravest=Severity.CAUTION,
)
