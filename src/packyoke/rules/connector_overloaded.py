"""A connector carries more current than its contacts are rated for.

What
    Compares the worst current, either way, with the rating of the connectors at both ends of each
    lead, all the time and at the peak of the load. Where the two halves are of different families, the
    weaker one decides.
Why
    Connectors fail before wires do. A contact that gets hot loses its spring, its resistance
    grows, it gets hotter still: housings melt, pins weld together, and the plug that should be
    pulled in an emergency cannot be.
Limit
    caution: current above the cautious rating

    stop: current above 1.4 x the cautious rating, which is twice the heat

    A peak counts against the short-time figure if that holds for at least as long.

    Cautious ratings: XT30 15 A, XT60 30 A, XT90 45 A, 4 mm bullet 40 A, 5.5 mm bullet 80 A.

    Published figures for the same connectors differ by a factor of two.

    Several contacts for each pole share unevenly: 0.8 x their sum (assumption).
Do
    A larger connector on both halves, or a lower setting of the controller. Look at contacts
    that have browned, and replace both halves.
Rider notices
    hot plug; browned or melted plug; plug hard to pull; cuts out over bumps
Fails
    in skerry-long-tail
    leads.keel lead.ends: [XT30 pin, XT90 socket]
Passes
    in skerry-long-tail
    leads.keel lead.ends: [XT60 pin, XT90 socket]
Sources
    ratings: common practice, no source; a shop that knows better writes its own under parts
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import Flow, draw, flow
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import carrying_all
from packyoke.analysis.limits.contacts import Contact, contact
from packyoke.analysis.limits.margins import Limit, above, contact_limit, families
from packyoke.analysis.limits.settings import Excess, excesses, rush_a
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import End, Lead, Pack
from packyoke.rules.mends import blocking_joiners, found_current, less_back, lower_settings, without_rush
from packyoke.rules.outcome import PASSED, Failed, Mend, Outcome, Undecided, later
from packyoke.rules.refitting import refitted
from packyoke.rules.rule import Rule, leads_with_those_beside

TWICE_THE_HEAT = 1.4
"""Between the rating and this many times it lies the caution band."""
LARGER = ("XT60", "XT90")


def check(case: Case, lead: Lead) -> Outcome:
    case = carrying_all(case, lead)
    outcome = _held(case, lead, draw(case, lead.path))
    if isinstance(outcome, Failed) and outcome.severity is Severity.STOP:
        return outcome
    # What flows back is only asked for where the load alone does not settle it.
    worst = flow(case, lead.path)
    return _held(case, lead, worst) if worst.back_a > 0.0 else outcome


def _held(case: Case, lead: Lead, worst: Flow) -> Outcome:
    weakest: tuple[Contact, Excess] | None = None
    limits: list[Limit] = []
    question: Undecided | None = None
    pack = case.build.packs.get(lead.source)
    if pack is not None and pack.outlet is None:
        question = _which(case, pack, "outlet", worst)
    for ends in families(case, lead):
        if not ends:
            question = question or _which(case, lead, "ends", worst)
        for end in ends:
            found = contact(case, end)
            if found is None:
                question = question or _what_it_bears(lead, end, worst)
                continue
            limit = contact_limit(found)
            if limit is None:
                continue
            for too_much in excesses(limit, worst):
                limits.append(limit)
                if weakest is None or too_much.share > weakest[1].share:
                    weakest = found, too_much
    if weakest is not None and (question is None or _stops(weakest[1])):
        return _overloaded(case, lead, worst, *weakest, limits)
    return question or PASSED


def _stops(too_much: Excess) -> bool:
    return above(too_much.found_a, TWICE_THE_HEAT * too_much.limit_a)


def _overloaded(case: Case, lead: Lead, worst: Flow, weakest: Contact, too_much: Excess, limits: list[Limit]) -> Failed:
    from_packs_a = rush_a(case, lead.path, load(case, lead.path))
    families = [blocking_joiners(case, lead.path)]
    if too_much.back_by:
        families = [_larger(case, lead, weakest, worst), less_back(case, lead.path, too_much)]
    elif not from_packs_a:
        families = [_larger(case, lead, weakest, worst), lower_settings(case, lead.path, limits)]
    rating = f"({weakest.family}, cautious rating)" if weakest.practice else f"({weakest.family})"
    return Failed(
        severity=Severity.STOP if _stops(too_much) else Severity.CAUTION,
        message=f"{weakest.family} contacts overloaded",
        found=found_current(too_much, rush_a=from_packs_a),
        limit=Amount(too_much.limit_a, "A", rating),
        why="Hot contacts lose their spring and get hotter still; the housing melts and can no longer be pulled apart.",
        do=without_rush(
            "A larger connector on both halves, or a lower battery current of the controller.", too_much, from_packs_a
        ),
        field="ends",
        mends=tuple(families),
        packs_in=worst.packs_in,
        charges=worst.charges,
        basis=(weakest.source,),
    )


def _bears(case: Case, family: str, worst: Flow) -> bool:
    found = contact(case, End(family, "pin", "pin"))
    limit = contact_limit(found) if found is not None else None
    return limit is not None and not excesses(limit, worst)


@later
def _larger(case: Case, lead: Lead, weakest: Contact, worst: Flow) -> list[Mend]:
    """Larger connectors on both halves wherever the weakest family stands."""
    found = []
    for family in LARGER:
        if family == weakest.family or not _bears(case, family, worst):
            continue
        changes = refitted(case, lead, weakest.family, family)
        rating = contact(case, End(family, "pin", "pin"))
        if changes and rating is not None and rating.limit_a is not None:
            found.append(Mend(f"{family} on both halves, {shown(rating.limit_a)} A (cautious)", changes))
    return found


def _which(case: Case, part: Lead | Pack, attr: str, worst: Flow) -> Undecided:
    passing = [family for family in ("XT30", *LARGER, "4 mm bullet", "5.5 mm bullet") if _bears(case, family, worst)]
    return Undecided(
        message="which connector is on it?",
        asks=((part, attr),),
        passes_if=" or ".join(passing) or f"one for {shown(worst.most_a)} A",
        found=Amount(worst.most_a, "A"),
        do=f"Look at it, and write it after  {attr}:",
    )


def _what_it_bears(lead: Lead, end: End, worst: Flow) -> Undecided:
    return Undecided(
        message=f"nobody knows what one {end.family} contact bears",
        asks=((lead, "ends"),),
        passes_if=f"{shown(worst.most_a)} A or more on each contact",
        found=Amount(worst.most_a, "A"),
        do="Ask its maker, and describe it under  parts: {connectors: ..}",
    )


RULE = Rule(
    name="connector-overloaded",
    kind="danger",
    doubt="whether its connectors are rated for the current",
    page=__doc__ or "",
    basis=("common practice",),
    parts=leads_with_those_beside,
    check=check,
)
