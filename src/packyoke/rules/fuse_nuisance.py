"""A fuse carries so much that it will blow without a fault.

What
    The worst current through a fuse, all the time, at its peak, and what braking or a charger
    pushes back, against the amps marked on it.
Why
    A fuse that runs near its rating gets hot, ages, and one day opens on a hill. It also browns its
    holder, and a rider who has been stranded twice fits a bigger one.
Limit
    Continuous load at most 0.8 x the rating; a peak (a controller whose current falls after some time)
    at most the rating. Behind joiners that block, the whole load counts at every pack: it may be
    the only one plugged in, or the fullest.
Do
    The next size up, as long as the wires behind it bear that, or a lower controller setting. Where
    the current comes from another pack, a joiner that blocks.
Rider notices
    cuts out on long hills; dies on hills; fuse blows now and then; browned fuse holder
Fails
    in skerry-long-tail
    packs.pannier.fuse: {family: class T, rating: 30 A, voltage: 160 V}
Passes
    in skerry-long-tail
    packs.pannier.fuse: {family: class T, rating: 35 A, voltage: 160 V}
Sources
    Common practice, 75 to 80 % of the rating.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.circuit.currents import Flow
from packyoke.analysis.circuit.load import load
from packyoke.analysis.limits.fusing import (
    CONTINUOUS_SHARE,
    Fused,
    fuse_kind,
    fused,
    is_tree,
    made_for,
    needed_a,
    rating_a,
    standard_fuses_a,
)
from packyoke.analysis.limits.margins import Limit
from packyoke.analysis.limits.settings import Excess, beyond, excesses, rush_a
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.model import Accessory, known
from packyoke.rules import fuse_oversized
from packyoke.rules.fuse_mending import fit, fuse_words, with_leads, with_wire
from packyoke.rules.mends import blocking_joiners, found_current, less_back, lower_settings, without_rush
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later, level
from packyoke.rules.rule import Rule, leads_with_those_beside

MOST_A = 500.0
MOST_TRIED = 4


def check(case: Case, part: Fused) -> Outcome:
    amps = rating_a(part.fuse)
    limit = Limit(CONTINUOUS_SHARE * amps, amps, inf)
    if isinstance(part, Accessory):
        continuous_a = known(part.current_a, part, "current_a")
        found = excesses(limit, Flow(continuous_a, None, None, 0.0, (), ()))
    else:
        _, found = beyond(case, part.path, limit)
    if not found:
        return PASSED
    too_much = found[0]
    from_packs_a = 0.0 if isinstance(part, Accessory) else rush_a(case, part.path, load(case, part.path))
    if too_much.back_by or from_packs_a:
        held = found_current(too_much, rush_a=from_packs_a)
    else:
        held = Amount(too_much.found_a, "A", f"for {shown(too_much.peak_s)} s" if too_much.peak_s else "all the time")
    steady = too_much.peak_s is None
    return Failed(
        severity=Severity.CAUTION,
        message="its fuse will blow without a fault",
        found=held,
        limit=Amount(too_much.limit_a, "A", f"(0.8 times {shown(amps)} A)" if steady else ""),
        why="A fuse so near its rating runs hot, ages, and opens one day on a hill.",
        do="The next size of fuse, with a wire that bears it."
        if isinstance(part, Accessory)
        else without_rush(
            "The next size of fuse, if its wires bear it, or a lower controller setting.", too_much, from_packs_a
        ),
        field="fuse",
        mends=(blocking_joiners(case, part.path),)
        if from_packs_a
        else (_larger(case, part, too_much), _lower(case, part, limit, too_much)),
    )


@later
def _larger(case: Case, part: Fused, too_much: Excess) -> list[Mend]:
    least_a = needed_a(case, part)
    if least_a is not None and too_much.back_by:
        least_a = max(least_a, too_much.found_a / CONTINUOUS_SHARE)
    if least_a is None or part.fuse.sealed or not is_tree(case):
        return []
    found = []
    for amps in standard_fuses_a(least_a, MOST_A)[:MOST_TRIED]:
        text, changes = _of_size(case, part, amps)
        if isinstance(part, Accessory):
            mend = with_wire(case, part, amps, text, changes)
        else:
            if _no_wire_is_worse_off(case, changes):
                found.append(Mend(text, changes))
            mend = with_leads(case, part.path, text, changes)
        if mend is not None and mend not in found:
            found.append(mend)
    return found


def _no_wire_is_worse_off(case: Case, changes: tuple[Change, ...]) -> bool:
    """Whether a larger fuse by itself is too large for no wire, alone or, but for a note that is there now as well,
    together with others."""
    build = case.build
    for change in changes:
        build = build.with_value(*change)
    after = Case(build)
    now, then = (
        [if_known(fuse_oversized.check, each, lead) for lead in leads_with_those_beside(case)] for each in (case, after)
    )
    return all(level(new) <= min(level(old), Severity.NOTE) for old, new in zip(now, then, strict=True))


def _of_size(case: Case, part: Fused, amps: float) -> tuple[str, tuple[Change, ...]]:
    """A fuse of this rating: of its own family where that is made so large, else of one that is."""
    if part.fuse.family is None or made_for(part.fuse.family, amps):
        return one(f"{shown(amps)} A fuse", first=True), (Change(part.fuse.path, "rating_a", amps),)
    family, volts = fuse_kind(case, part.path, amps)
    return one(f"{fuse_words(amps, family, volts)}, in its place", first=True), fit(part.fuse, amps, family, volts)


@later
def _lower(case: Case, part: Fused, limit: Limit, too_much: Excess) -> Sequence[Mend]:
    if too_much.back_by:
        return less_back(case, part.path, too_much)
    return () if isinstance(part, Accessory) else lower_settings(case, part.path, (limit,))


RULE = Rule(
    name="fuse-nuisance",
    kind="wear",
    doubt="whether its fuse holds the load",
    page=__doc__ or "",
    basis=("common practice",),
    parts=fused,
    check=check,
    gravest=Severity.CAUTION,
)
