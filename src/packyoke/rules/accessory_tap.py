"""A thin wire that only the big fuses protect, or an accessory that drains a pack overnight or goes dark.

What
    An accessory hangs on a pack, a joiner or a lead by a wire of its own, and some go on drawing a
    little when the bike is off.
Why
    A short circuit in a thin tap draws what the big fuses let through: the tap glows before they
    open. And a small current for weeks empties a pack below where its cells are ruined. One that
    hangs on a joiner has nothing from packs that come in behind it.
Limit
    A tap with its own fuse passes here: fuse-oversized holds one above 5 A against the tap's wire.
    Without one, the tap must be as thick as the lead that it leaves. Standby: all accessories on the
    smallest pack, against half its charge in 30 days; a note where that takes a switch before them
    that is left on. From a joiner or a lead every pack of the harness should reach it, else a note.
Do
    A small fuse right where the tap leaves. A converter that is switched off with the bike. Feed
    lights from the last joiner before the controller.
Rider notices
    smell of plastic near the lamp; thin wire burnt through; pack empty after the holidays; lamp stays dark
    with one of the packs; battery empty after the winter; pack drains while parked
Fails
    in skerry-long-tail
    accessories.lamp.fuse: none
Passes
    in skerry-long-tail
    accessories.lamp.fuse: {family: 10x38, rating: 2 A, voltage: 1000 V}
Sources
    as thick as the lead it leaves, 5 A, half a charge in 30 days: judgement
"""

from __future__ import annotations

from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.harness.taps import (
    counted_capacity_coulomb,
    drawing_at_night,
    fuse_size_a,
    packs_feeding,
    switch_before,
    thinner_than_harness,
)
from packyoke.analysis.limits.fusing import CONTINUOUS_SHARE
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.core.words import listed
from packyoke.model import FITTED, Accessory, Pack, known
from packyoke.rules.fuse_mending import SMALL_FUSE_A, with_wire
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, accessories, packs_on_ways

DAY_S = 86400.0
DAYS = 30.0
SHARE = 0.5


def check(case: Case, accessory: Accessory) -> Outcome:
    """Its wire."""
    fuse = accessory.fuse
    if known(fuse.presence, fuse, "presence") == FITTED:
        return PASSED  # whether it guards the wire is for fuse-oversized
    gauge = thinner_than_harness(case, accessory)
    if gauge is None:
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="thin wire without a fuse of its own",
        why="In a short circuit it carries what the big fuses let through, and glows before they open.",
        do=f"A fuse of {shown(SMALL_FUSE_A)} A or less right where it leaves, as long as it draws at most "
        f"{shown(CONTINUOUS_SHARE * SMALL_FUSE_A)} A, or wire as thick as the lead there "
        f"({shown(gauge.size)} {gauge.family}).",
        field="gauge",
        cause="wire",
        mends=_small_fuse(case, accessory),
    )


def _small_fuse(case: Case, accessory: Accessory) -> tuple[tuple[Mend, ...], ...]:
    """A fuse that bears what it draws, with the wire that such a fuse guards."""
    size_a = fuse_size_a(accessory.current_a, inf) if accessory.current_a is not None else None
    if size_a is None:
        return ()
    path = accessory.fuse.path
    values = (("presence", FITTED), ("family", "10x38"), ("rating_a", size_a), ("voltage_v", 1000.0))
    changes = tuple(Change(path, attr, value) for attr, value in values)
    text = one(f"{shown(size_a)} A fuse (10x38, 1000 V) right where it leaves", first=True)
    found = with_wire(case, accessory, size_a, text, changes)
    return ((found,),) if found else ()


def _standby(case: Case, accessory: Accessory) -> Failed | None:
    if not accessory.standby_a:
        return None
    packs = sorted(packs_feeding(case, accessory.name), key=counted_capacity_coulomb)
    found = (_drains(case, accessory, pack, switched=switched) for switched in (False, True) for pack in packs)
    return next((each for each in found if each is not None), None)


def _drains(case: Case, accessory: Accessory, pack: Pack, *, switched: bool) -> Failed | None:
    """What is flat too soon, said at the accessory that draws most of it, of equal ones at the first; a note where a
    switch that is left on has to do with it."""
    drawing = drawing_at_night(case, pack, switched=switched)
    total_a = sum(each.standby_a or 0.0 for each in drawing)
    limit_a = SHARE * counted_capacity_coulomb(pack) / (DAYS * DAY_S)
    # Of all that draw, only one with a switch before it can tell of a switch.
    telling = [each for each in drawing if not switched or switch_before(case, each, pack) is not None]
    if not above(total_a, limit_a) or not telling:
        return None
    if accessory is not max(telling, key=lambda each: each.standby_a or 0.0):
        return None
    days = SHARE * counted_capacity_coulomb(pack) / total_a / DAY_S
    others = [each.name for each in drawing if each is not accessory and each.standby_a]
    beside = f"with {listed(others)}; " if others else ""
    left_a = limit_a - (total_a - (accessory.standby_a or 0.0))
    less = f", or use one that draws at most {shown(left_a * 1000)} mA when off"
    lead = switch_before(case, accessory, pack) if switched else None
    return Failed(
        severity=Severity.NOTE if lead else Severity.CAUTION,
        message="drains a pack when its switch is left on" if lead else "drains a pack while the bike is off",
        found=Amount(total_a * 1000, "mA", f"({beside}flat in {shown(days)} days, {pack.name} from half charge)"),
        limit=Amount(limit_a * 1000, "mA", f"({shown(DAYS)} days)"),
        why="A bike left standing comes back with a pack below where its cells are ruined.",
        do=f"Open the switch in {lead.name} whenever the bike is left standing, and tell the customer."
        if lead
        else f"Switch it off with the bike{less if above(left_a, 0.0) else f', and {listed(others)}'}.",
        field="standby_a",
        cause="standby",
        also=(pack,),
    )


def _dark(case: Case, accessory: Accessory) -> Failed | None:
    """Packs of the harness that do not reach it; one that hangs on a pack is meant to go with that pack."""
    if any(name in case.build.packs for name in accessory.sources):
        return None
    reach = {pack.name for pack in packs_feeding(case, accessory.name)}
    rest = [pack for pack in packs_on_ways(case) if pack.name not in reach]
    if not reach or not rest:
        return None
    names = " or ".join(pack.name for pack in rest)
    return Failed(
        severity=Severity.NOTE,
        message=f"has no current when only {names} is plugged in",
        why="A lamp that stays dark with one of the packs is noticed at night.",
        do="Feed it from the last joiner before the controller, or from the lead to the controller.",
        kind="will-not-work",
        field="sources",
        cause="dark",
        also=tuple(rest),
    )


RULE = Rule(
    name="accessory-tap",
    kind="wear",
    doubt="whether its wire and its standby current do no harm",
    page=__doc__ or "",
    basis=("judgement",),
    parts=accessories,
    check=check,
    besides=(_standby, _dark),
)
