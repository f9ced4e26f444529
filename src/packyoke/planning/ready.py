"""The leads of a drawn harness with what follows from where they lie: lengths, how they are laid, their ends."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.routes import Routes, part_of, route_of, says_its_run
from packyoke.analysis.limits.leads import share_one_load
from packyoke.making.routes import cut_length_m
from packyoke.model import Build, Lead, RunBetween, Unknown
from packyoke.planning.options import must_hold, need_ends
from packyoke.planning.result import Refusal, Stuck


def ready(build: Build, ways: Routes) -> Build:
    """The build with length, run and ends of every cable on a way. What the file gives stays.

    Raises Stuck where a distance or a connector is not known.
    """
    behind = harness(Case(build)).packs_behind
    leads = dict(build.leads)
    missing = []
    for name, lead in build.leads.items():
        if lead.direct or lead.path not in behind:
            continue
        route = route_of(build, ways, lead)
        if lead.length_m is None and route is None:
            missing.append(lead)
            continue
        if lead.length_m is None and route is not None:
            run = lead.run if says_its_run(build, lead) else route.run
            leads[name] = replace(lead, length_m=cut_length_m(route.length_m, must_hold(build, lead)), run=run)
    if missing:
        raise Stuck(missing_distance(build, missing))
    laid = replace(build, leads=leads)
    case = Case(laid)
    leads = {
        name: lead if lead.direct or lead.path not in behind else replace(lead, ends=need_ends(case, lead))
        for name, lead in leads.items()
    }
    return _side_by_side(build, replace(laid, leads=leads), ways)


def missing_distance(build: Build, leads: list[Lead]) -> Refusal:
    """Which lengths nobody has given, and what to write."""
    pairs = tuple((lead.source, lead.target) for lead in leads)
    said = " and ".join(f"{one} to {other}" for one, other in pairs)
    placeless = dict.fromkeys(name for pair in pairs for name in pair if part_of(build, name).place_name is None)
    if build.runs and placeless:
        do = f"Write  place:  at {' and '.join(placeless)}, or the length of the lead."
    elif build.runs:
        ends = [(part_of(build, one).place_name, part_of(build, other).place_name) for one, other in pairs]
        do = "Measure it and add to  runs:  " + ", ".join(
            f"{{between: [{first}, {last}], length: .. mm}}" for first, last in ends
        )
    else:
        do = "Measure it and write  length:  at the lead; or give  places:  and  runs:  and a  place:  to each part."
    guessed = [lead.name for lead in leads if (lead.path, "length_m") in build.guesses]
    told = f" (the length of {' and '.join(guessed)} is only a guess)" if guessed else ""
    return Refusal(kind="distance", text=f"not in the file: how far it is from {said}{told}", do=do, missing=pairs)


def _side_by_side(build: Build, laid: Build, ways: Routes) -> Build:
    """Leads in series inside the same stretch of frame warm each other, and cannot be laid apart: say so in `run`."""
    leads = dict(laid.leads)
    for one, other, within in same_runs(build, laid, ways):
        for name, beside in ((one, other), (other, one)) if any(each.run.in_frame for each in within) else ():
            lead = leads[name]
            if not says_its_run(build, build.leads[name]) and beside not in lead.run.beside_leads:
                run = lead.run._replace(beside_leads=(*lead.run.beside_leads, beside))
                leads[name] = replace(lead, run=run)
    return replace(laid, leads=leads)


def same_runs(build: Build, laid: Build, ways: Routes) -> list[tuple[str, str, list[RunBetween]]]:
    """Pairs of planned leads that take the same run and carry the same current one after the other, with those runs."""
    case = Case(laid)
    planned = {
        name: route
        for name, lead in build.leads.items()
        if lead.length_m is None and not lead.direct and (route := route_of(build, ways, lead)) is not None
    }
    found = []
    for one, other in combinations(planned, 2):
        shared = [each for each in planned[one].runs if any(each is mine for mine in planned[other].runs)]
        if not shared:
            continue
        try:
            apart = share_one_load(case, laid.leads[one], laid.leads[other])
        except Unknown:
            apart = False
        if not apart:
            found.append((one, other, shared))
    return found


def apart_notes(build: Build, laid: Build, ways: Routes) -> tuple[str, ...]:
    """What the plan counts on where two leads take the same way outside the frame."""
    found = []
    for one, other, within in same_runs(build, laid, ways):
        outside = [each for each in within if not each.run.in_frame]
        if outside:
            where = " and ".join(f"{each.between[0]} to {each.between[1]}" for each in outside)
            found.append(f"lay {one} and {other} apart from {where}: tied together they would warm each other")
    return tuple(found)
