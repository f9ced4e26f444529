"""A lead is shorter in the file than the way that it has to go.

What
    The length of each lead, against the way along the measured runs between the places of what it
    joins.
Why
    One of the two was measured wrong. A lead that is too short pulls at its contacts or does not
    reach; and with a length that is too small its drop and its heat come out too small as well.
Limit
    The shortest way along  runs:  between the two places. A lead without a length, or with an end
    that has no place, is not compared.
Do
    Measure both again: the way with a tape as the lead lies, the lead from contact to contact.
Rider notices
    pulls when the bars are turned; does not reach
Fails
    in skerry-long-tail
    packs.keel.place: tube
    joiners.yoke.place: nook
    places: {tube: {holds: 0}, nook: {holds: 1}}
    runs: [{between: [tube, nook], length: 410 mm}]
Passes
    in skerry-long-tail
    packs.keel.place: tube
    joiners.yoke.place: nook
    places: {tube: {holds: 0}, nook: {holds: 1}}
    runs: [{between: [tube, nook], length: 400 mm}]
Sources
    Geometry.
"""

from __future__ import annotations

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.routes import Routes, route_of, routes
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity
from packyoke.model import Lead
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, leads


def check(case: Case, lead: Lead) -> Outcome:
    if lead.direct or lead.length_m is None or not case.build.runs:
        return None
    way = route_of(case.build, _routes(case), lead)
    if way is None:
        return None
    if not above(way.length_m, lead.length_m):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="shorter than the way that it has to go",
        found=Amount(1000 * lead.length_m, "mm"),
        limit=Amount(1000 * way.length_m, "mm", f"({' - '.join(way.places)})"),
        relation="at least",
        why="One of the two was measured wrong; its drop and its heat are worked out with this length.",
        do="Measure both again; or make it longer, with some spare for bends and a new connector.",
        field="length_m",
    )


@once
def _routes(case: Case) -> Routes:
    return routes(case.build)


RULE = Rule(
    name="lead-too-short",
    kind="will-not-work",
    doubt="whether it is long enough",
    page=__doc__ or "",
    basis=("geometry",),
    parts=leads,
    check=check,
    gravest=Severity.CAUTION,
)
