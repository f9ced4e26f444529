"""A switch in a lead carries or breaks more than it is rated for.

What
    Compares the rating of each switch with the worst current through its lead, and the d.c.
    voltage that it opens under load with the full-charge voltage of the packs behind it.
Why
    A switch for too little current welds shut. A direct current does not go through zero: a
    switch for mains or car voltage draws an arc when it opens that burns on inside it, and the
    bike can then not be switched off.
Limit
    worst current, peaks, braking and charging included <= rating

    highest full-charge voltage behind it <= voltage that it breaks, d.c.

    A switch that only isolates (is opened without load) is not asked for its voltage.

    125, 250, 400 V and the like are a.c. marks until the file says  dc: yes.
Do
    A switch for the current and the d.c. voltage; or one that only isolates, with a note beside
    it, and switch off at the controller first.
Rider notices
    hot switch; switch stuck; crackling when switching off; does not switch off
Fails
    in skerry-long-tail
    leads.main lead.switch: {rating: 20 A, breaks: 60 V}
Passes
    in skerry-long-tail
    leads.main lead.switch: {rating: 40 A, breaks: 60 V}
Sources
    ratings: label of the switch; that direct current keeps an arc burning: common practice
"""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import carrying_all, harness
from packyoke.analysis.limits.margins import Limit, above
from packyoke.analysis.limits.settings import Excess, at_least_a, beyond
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Lead, Switch, known
from packyoke.rules.mends import blocking_joiners, found_current, less_back, lower_settings
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, leads_with_those_beside
from packyoke.shelf.marks import looks_ac


def check(case: Case, lead: Lead) -> Outcome:
    switch = lead.switch
    if switch is None:
        return None
    case = carrying_all(case, lead)
    rating_a = known(switch.rating_a, switch, "rating_a")
    _, found = beyond(case, lead.path, Limit(rating_a))
    if found:
        return _carries_too_much(case, lead, switch, max(found, key=lambda each: each.found_a))
    if switch.isolates_only:
        return PASSED
    packs = (case.build.packs[name] for name in harness(case).packs_behind[lead.path])
    full_v = max(known(pack.full_charge_v, pack, "full_charge_v") for pack in packs)
    breaks_v = known(switch.breaks_v, switch, "breaks_v")
    if above(full_v, breaks_v):
        return _breaks_too_much(switch, full_v, breaks_v)
    dc = True if switch.dc is None and not looks_ac(breaks_v) else known(switch.dc, switch, "dc")
    return PASSED if dc else _only_ac(switch, full_v, breaks_v)


def _carries_too_much(case: Case, lead: Lead, switch: Switch, too_much: Excess) -> Failed:
    rating_a = too_much.limit_a
    need_a = at_least_a(too_much.found_a)
    larger = (Mend(f"A switch for {shown(need_a)} A d.c.", (Change(switch.path, "rating_a", need_a),)),)
    if too_much.back_by:
        lower: Sequence[Mend] = less_back(case, lead.path, too_much)
    else:
        lower = blocking_joiners(case, lead.path) or lower_settings(case, lead.path, (Limit(rating_a),))
    return Failed(
        severity=Severity.STOP,
        message="switch overloaded",
        found=found_current(too_much) if too_much.back_by else Amount(too_much.found_a, "A"),
        limit=Amount(rating_a, "A", "(the switch)"),
        why="Its contacts weld together, and the bike can no longer be switched off.",
        do=f"A switch for {shown(need_a)} A d.c. or more.",
        field="switch",
        cause="current",
        mends=(larger, lower),
    )


def _breaks_too_much(switch: Switch, full_v: float, breaks_v: float) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message="its switch cannot break this voltage",
        found=Amount(full_v, "V", "full charge"),
        limit=Amount(breaks_v, "V", "d.c. (the switch)"),
        why="Opened under load it draws an arc that burns on inside it.",
        do=f"A switch that breaks {shown(full_v)} V d.c. or more; or one that is only opened without load.",
        field="switch",
        cause="voltage",
        mends=((Mend(f"A switch that breaks {shown(full_v)} V d.c.", (Change(switch.path, "breaks_v", full_v),)),),),
    )


def _only_ac(switch: Switch, full_v: float, breaks_v: float) -> Failed:
    changes = (Change(switch.path, "breaks_v", full_v), Change(switch.path, "dc", True))
    return Failed(
        severity=Severity.STOP,
        message="the voltage on its switch is for a.c.",
        found=Amount(breaks_v, "V", "a.c. on the switch"),
        relation="says nothing about d.c.",
        why="Direct current does not pass through zero: opened under load it draws an arc that burns on inside it.",
        do=f"A switch that breaks {shown(full_v)} V d.c. or more; or one that is only opened without load.",
        field="switch",
        cause="a.c.",
        mends=((Mend(f"A switch that breaks {shown(full_v)} V d.c.", changes),),),
    )


RULE = Rule(
    name="switch-overloaded",
    kind="danger",
    doubt="whether the switch is rated for current and voltage",
    page=__doc__ or "",
    basis=("label of the switch",),
    parts=leads_with_those_beside,
    check=check,
)
