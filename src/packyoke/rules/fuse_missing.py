"""A pack has no fuse before the first joiner, or a fuse sits too far from what feeds it.

What
    Each pack needs a fuse of its own between its cells and the place where it meets the others: at
    its outlet, or at the pack's end of its own lead. A fuse further along guards only what comes
    after it.
Why
    Joiners that block fail short without a sign. From then on every pack feeds every fault, and
    the fuse at the pack is all that is left. Bare wire between pack and fuse can be shorted against
    the frame and burn with nothing to stop it.
Limit
    One fuse for each pack that another pack can be connected to; packs that a selector never lets
    on together do not count as connected. A single pack without a fuse is a caution, and so is a
    fuse that is only said to be inside. Distance from the source: 180 mm (7 in) along the lead, or
    1 m (40 in) where it runs inside the frame all the way; any, where the fuses of the packs guard
    the wire up to there.
Do
    Fit a fuse at the outlet, with a d.c. voltage of at least the full charge, or move it there. If
    one is sealed inside the pack, ask the maker for its rating and write it down.
Rider notices
    nothing
Fails
    in skerry-long-tail
    packs.keel.fuse: none
Passes
    in skerry-long-tail
    packs.keel.fuse: {family: class T, rating: 40 A, voltage: 160 V}
Sources
    33 CFR 183.455(b) for the distances (read); joiners failing short without a sign: trade
    experience, from memory.

    33 CFR 183 is a rule for boats, taken as the best public table for wires of low voltage.
"""

from __future__ import annotations

from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import can_join
from packyoke.analysis.harness.joiners import both_on
from packyoke.analysis.limits.fusing import (
    Fused,
    fed_from_source,
    first_lead,
    fuse_fits,
    fuse_kind,
    highest_nominal_v,
    is_tree,
    needed_a,
    standard_fuses_a,
)
from packyoke.analysis.limits.leads import TAIL_M, ampacity
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, one
from packyoke.model import FITTED, INSIDE, Accessory, Lead, Pack, known
from packyoke.rules.fuse_mending import fit, fuse_words, with_leads
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided, later
from packyoke.rules.rule import Rule

ENCLOSED_M = 1.0
"""Where the lead runs enclosed up to its fuse: 40 in, 33 CFR 183.455(b)."""
FAILS_SHORT = "Joiners fail short without a sign; the fuse at each pack is what is left."
MOST_A = 500.0
MOST_TRIED = 4


def parts(case: Case) -> list[Fused]:
    """Every pack, and the leads and accessories that have a fuse somewhere along them."""
    build = case.build
    found: list[Fused] = [*build.packs.values()]
    found += [lead for lead in build.leads.values() if lead.fuse.at_m]
    found += [each for each in build.accessories.values() if each.fuse.at_m]
    return found


def check(case: Case, part: Fused) -> Outcome:
    return _pack(case, part) if isinstance(part, Pack) else _far(case, part)


def _pack(case: Case, pack: Pack) -> Outcome:
    presence = pack.fuse.presence
    if presence == FITTED:
        return PASSED
    lead = first_lead(case, pack)
    if lead is not None and lead.fuse.presence == FITTED:
        return PASSED
    if presence == INSIDE:
        return Failed(
            severity=Severity.CAUTION,
            message="the fuse inside it is not confirmed",
            why="Joiners fail short without a sign; a fuse that is not there, or is too big, stops nothing then.",
            do="Ask the maker for its amps and d.c. volts, or fit a fuse at the outlet.",
            field="fuse",
            cause="inside",
            mends=(_fitting(case, pack),),
        )
    joined = _connected(case, pack)
    if presence is None and joined:
        return Undecided(
            message="is there a fuse? A joiner that fails lets a fault in",
            asks=((pack.fuse, "presence"),),
            passes_if="a fuse at its outlet or in its lead, with amps and d.c. volts",
            why=FAILS_SHORT,
            do="Fit a fuse at the outlet, with a d.c. voltage of at least the full charge; or show that there is one:  "
            "fuse: {family: .., rating: .. A, voltage: .. V}",
        )
    if known(presence, pack.fuse, "presence") == FITTED:
        return PASSED
    return Failed(
        severity=Severity.STOP if joined else Severity.CAUTION,
        message="no fuse before the first joiner" if joined else "no fuse at the pack",
        why=FAILS_SHORT
        if joined
        else "A pinched or rubbed lead shorts the pack, and its protection circuit may weld shut instead of opening.",
        do="Fit a fuse at the outlet, with a d.c. voltage of at least the full charge.",
        field="fuse",
        cause="none",
        mends=(_fitting(case, pack),),
    )


def _connected(case: Case, pack: Pack) -> bool:
    """Whether another pack can be on the same wires at the same time, or could if a joiner failed."""
    for name in case.build.packs:
        if name == pack.name:
            continue
        joiner = can_join(case, pack.name, name)
        if joiner is None:
            continue
        if both_on(joiner):
            return True
    return False


def _far(case: Case, part: Lead | Accessory) -> Outcome:
    fuse = part.fuse
    if fuse.presence != FITTED:
        return None
    enclosed = isinstance(part, Lead) and part.run.in_frame
    limit_m = ENCLOSED_M if enclosed else TAIL_M
    if not above(fuse.at_m, limit_m) or (isinstance(part, Lead) and _guarded_before(case, part)):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="its fuse is too far from what feeds it",
        found=Amount(fuse.at_m * 1000, "mm"),
        limit=Amount(limit_m * 1000, "mm", "(inside the frame)" if enclosed else ""),
        why="The wire up to the fuse is not guarded by it: chafed there, it burns.",
        do="Move the fuse to the end where the current comes from.",
        field="fuse",
        cause="far",
        mends=((Mend("Move the fuse to the end where the current comes from", (Change(fuse.path, "at_m", 0.0),)),),),
    )


def _guarded_before(case: Case, lead: Lead) -> bool:
    """Whether the fuses of the packs guard the wire of a lead up to its own, as with a fuse at both of its ends."""
    if not is_tree(case):
        return False
    feed = fed_from_source(case, lead.name)
    if feed.total_a == inf:
        return False
    return fuse_fits(ampacity(case, lead.name).amps_a, feed, highest_nominal_v(case, lead.path))


@later
def _fitting(case: Case, pack: Pack) -> list[Mend]:
    """Standard fuses that the load does not wear out, with thicker leads where they ask for them."""
    least_a = needed_a(case, pack)
    if least_a is None or pack.full_charge_v is None:
        return []
    found = []
    for amps in standard_fuses_a(least_a, MOST_A)[:MOST_TRIED]:
        family, volts = fuse_kind(case, pack.path, amps)
        text = f"Fit {one(fuse_words(amps, family, volts))}, at the outlet"
        mend = with_leads(case, pack.path, text, fit(pack.fuse, amps, family, volts))
        if mend is not None:
            found.append(mend)
    return found


RULE = Rule(
    name="fuse-missing",
    kind="danger",
    doubt="whether there is a fuse before the first joiner",
    page=__doc__ or "",
    basis=("33 CFR 183.455(b)",),
    parts=parts,
    check=check,
)
