"""Put together at different charge, one pack empties itself into the other.

What
    Nothing blocks between the packs, so at the moment of joining the fuller one drives whatever the
    resistances allow into the other. A selector that makes the next contact before it breaks the
    first does the same for a moment.
Why
    The lower pack is charged many times faster than its cells bear; contacts weld and arc in the
    hand; both packs can be ruined, and cells can catch fire.
Limit
    I = (E_full - E_cut-off) / (R1 + R2 + leads + contacts), exact over all packs that can be on
    together (of a selector, those at two of its inputs; packs that are bonded behind one way in are
    full or empty together). It must be within what the receiving pack
    may be charged with, and within leads and contacts; above 0.2 of its capacity an hour it is still
    a caution. Bonded packs (one model, one age, parted only with a tool) are compared at the
    difference that they were bonded with, and need one series count, chemistry and capacity, a
    common charge path and a fuse each. By test they may differ by 10 % in capacity and 25 % in
    resistance (judgement): else they are of unlike age. A note where plugs lie between them: they
    are bonded only as long as no hand parts them.

    The figure is that 10 s after joining; in the first moment packs have about 0.65 of that
    resistance, and more flows. They may be joined by hand when the difference is within the charge
    limit times the resistance of the first moment, and never above 0.5 V.
Do
    Fit a joiner that blocks. Which kind it is tells the meter: one pack in, 10 kohm 1 W across the
    other inlet: below 2 V it blocks, near the pack's voltage it is plain or has failed. Until then
    join packs only within 0.5 V of each other, measured at rest, meter in hand.
Rider notices
    one pack charges the other;
    a spark when the second pack goes in; a plug welded or browned; a pack gets hot at rest; both
    packs level out by themselves; one pack gets warm while the bike is parked
Fails
    in quay-plain-trike
    joiners.y.type: plain
Passes
    in quay-plain-trike
    joiners.y.type: ideal-diode
    joiners.y.blocks_in: positive
    joiners.y.resistance: 2 mohm
Sources
    Ohm's law; joining within 0.1 to 0.5 V and charging at 0.2 of the capacity an hour are common
    practice without a standard.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.harness.joining import (
    AT_MOST_V,
    SLOW_PER_HOUR,
    Rush,
    apart_for_v,
    first_moment,
    receivers,
    rushes,
)
from packyoke.analysis.harness.mating import is_plugged
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.limits.contacts import contact
from packyoke.analysis.limits.margins import above, contact_limit, end_places, lead_limit, mated
from packyoke.core.constants import HOUR_S
from packyoke.core.findings import Amount, Severity, shown
from packyoke.core.paths import name_of
from packyoke.model import NONE, Joiner, Lead, Pack, known
from packyoke.rules.mends import blocking_joiners
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, joiners_on_ways

ALIKE_CAPACITY, ALIKE_RESISTANCE = 0.1, 0.25
"""How far bonded packs may differ by test, as a share of the larger figure: judgement."""
UNLIKE_WHY = (
    "Unlike packs do not share the load as they run down: one carries more than its share, and at rest the fuller one "
    "charges the other with nothing in between."
)
BONDED_WHYS = {
    "charge_path": "What flows from pack to pack charges it at its outlet, where its protection cannot stop it.",
    "fuse": "A fault in one pack is fed by all the others, and nothing opens.",
}
WHY = "The fuller pack empties itself into the other at once: contacts weld, cells charge far too fast and can burn."


def check(case: Case, joiner: Joiner) -> Outcome:
    if len(harness(case).packs_behind[joiner.path]) < 2:
        return None
    pairs = receivers(case, joiner)
    if not pairs:
        return PASSED
    if joiner.bonded is not None:
        return _bonded(case, joiner, [case.build.packs[name] for name, _ in pairs])
    return _joined(case, joiner, [case.build.packs[name] for name, _ in pairs])


def _joined(case: Case, joiner: Joiner, packs: list[Pack]) -> Outcome:
    worst = _worst(case, joiner, packs, None)
    if worst is not None:
        rush, pack, limit_a = worst
        return _failed(case, joiner, pack, rush, Amount(limit_a, "A", f"what {pack.name} may be charged with"))
    crowded = _lead_over(case, joiner)
    if crowded is not None:
        lead, found_a, limit_a = crowded
        rush = max((rushes(case, joiner.name).into[each.name], each.name) for each in packs)[0]
        limit = Amount(limit_a, "A", f"what {lead.name} bears")
        return _failed(case, joiner, lead, rush._replace(amps_a=found_a), limit)
    return _fast(case, joiner, packs, None)


def _worst(case: Case, joiner: Joiner, packs: list[Pack], apart_v: float | None) -> tuple[Rush, Pack, float] | None:
    """The rush furthest above what its pack may be charged with."""
    over: list[tuple[float, str, Rush, float]] = []
    for pack in packs:
        limit_a = known(pack.charge_a, pack, "charge_a") if pack.charges_at_outlet else 0.0
        rush = rushes(case, joiner.name, apart_v).into[pack.name]
        if above(rush.amps_a, limit_a):
            over.append((rush.amps_a / limit_a if limit_a else inf, pack.name, rush, limit_a))
    if over:
        _, name, rush, limit_a = max(over)
        return rush, case.build.packs[name], limit_a
    return None


def _lead_over(case: Case, joiner: Joiner) -> tuple[Lead, float, float] | None:
    """The lead that bears least of the rush through it, by its wire or a contact: lead, found, limit."""
    over: list[tuple[float, str, float, float]] = []
    for path, found_a in rushes(case, joiner.name).leads_a.items():
        lead = case.build.leads[name_of(path)]
        wire = lead_limit(case, lead)
        limits = [wire.continuous_a] if wire is not None else []
        for attr, end in end_places(case, lead):
            found = contact(case, known(end, lead, attr))
            limit = contact_limit(found) if found is not None else None
            if limit is not None:
                limits.append(limit.continuous_a)
        if limits and above(found_a, min(limits)):
            over.append((found_a / min(limits) if min(limits) else inf, lead.name, found_a, min(limits)))
    if not over:
        return None
    _, name, found_a, limit_a = max(over)
    return case.build.leads[name], found_a, limit_a


def _fast(case: Case, joiner: Joiner, packs: list[Pack], apart_v: float | None) -> Outcome:
    for pack in packs:
        rush = rushes(case, joiner.name, apart_v).into[pack.name]
        slow_a = SLOW_PER_HOUR * known(pack.capacity_coulomb, pack, "capacity_coulomb") / HOUR_S
        if above(rush.amps_a, slow_a):
            return Failed(
                severity=Severity.CAUTION,
                message="current flows from pack to pack when they are joined",
                found=Amount(rush.amps_a, "A", _into(pack, apart_v)),
                limit=Amount(slow_a, "A", f"gentle charging of {pack.name}"),
                why="The lower pack is charged fast, whatever its temperature, and nothing watches it.",
                in_words=_advised(case, joiner, pack, slow_a),
                field="type",
                kind="damage",
                mends=(blocking_joiners(case, joiner.path),),
                packs_in=tuple(name for name, _ in rush.states_v),
            )
    return PASSED


def _failed(case: Case, joiner: Joiner, part: Pack | Lead, rush: Rush, limit: Amount) -> Failed:
    selector = joiner_type(joiner) == "selector"
    packs = case.build.packs

    def in_words(failed: Failed) -> Failed:
        at_once = rushes(first_moment(case), joiner.name)
        first_a = at_once.into[part.name].amps_a if isinstance(part, Pack) else at_once.leads_a[part.path]
        note = _into(part, None) if isinstance(part, Pack) else f"through {part.name}, full onto empty"
        note += f", after 10 s; {shown(first_a)} A in the first moment"
        found = Amount(rush.amps_a, "A", note)
        return failed.but(found=found, do=_advice(case, joiner, part, limit.value))

    return Failed(
        severity=Severity.STOP,
        message="current rushes from one pack into the other",
        found=Amount(rush.amps_a, "A"),
        limit=limit,
        why=f"While it changes over both packs are on. {WHY}" if selector else WHY,
        in_words=in_words,
        field="makes" if selector else "type",
        mends=(_other_selector(joiner),) if selector else (blocking_joiners(case, joiner.path),),
        also=(part,),
        packs_in=tuple(name for name, _ in rush.states_v),
        charges=tuple(
            (name, 1.0 if abs(emf_v - full_charge_v(packs[name])) < 1e-6 else 0.0) for name, emf_v in rush.states_v
        ),
    )


def _advised(case: Case, joiner: Joiner, pack: Pack, limit_a: float) -> Callable[[Failed], Failed]:
    return lambda failed: failed.but(do=_advice(case, joiner, pack, limit_a))


def _advice(case: Case, joiner: Joiner, part: Pack | Lead, limit_a: float) -> str:
    """What to fit, and how far apart the packs may be when they are joined without it."""
    each_volt = rushes(first_moment(case), joiner.name, 1.0)
    flows_a = each_volt.into[part.name].amps_a if isinstance(part, Pack) else each_volt.leads_a[part.path]
    apart_v = min(AT_MOST_V, apart_for_v(limit_a, flows_a))
    selector = joiner_type(joiner) == "selector"
    fit = "Fit a selector that breaks before it makes" if selector else "Fit a joiner that blocks"
    if apart_v <= 0.0:
        return f"{fit}."
    return f"{fit}. Until then join them only within {shown(apart_v)} V of each other, at rest, meter in hand."


def _into(pack: Pack, apart_v: float | None) -> str:
    return f"into {pack.name}, full onto empty" if apart_v is None else f"into {pack.name}, {shown(apart_v)} V apart"


def _other_selector(joiner: Joiner) -> tuple[Mend, ...]:
    return (Mend("A selector that breaks before it makes", (Change(joiner.path, "makes", "after break"),)),)


def _bonded(case: Case, joiner: Joiner, packs: list[Pack]) -> Outcome:
    assert joiner.bonded is not None
    broken = _condition(case, joiner, packs)
    if broken is not None:
        part, field, words = broken
        return Failed(
            severity=Severity.STOP,
            message=f"bonded packs must be alike and each guarded: {words}",
            why=BONDED_WHYS.get(field, UNLIKE_WHY),
            do="Fit a joiner that blocks, or bond packs that are alike in everything, each with its fuse.",
            field="bonded",
            cause=field,
            mends=(blocking_joiners(case, joiner.path),),
            also=(part,),
        )
    worst = _worst(first_moment(case), joiner, packs, joiner.bonded.by_v)
    if worst is not None:
        rush, pack, limit_a = worst
        return Failed(
            severity=Severity.STOP,
            message="bonded while too far apart",
            found=Amount(rush.amps_a, "A", f"{_into(pack, joiner.bonded.by_v)}, in the first moment"),
            limit=Amount(limit_a, "A", f"what {pack.name} may be charged with"),
            why=WHY,
            in_words=_advised(case, joiner, pack, limit_a),
            field="bonded",
            cause="apart",
            also=(pack,),
        )
    fast = _fast(case, joiner, packs, joiner.bonded.by_v)
    return fast if fast is not PASSED else _by_hand(case, joiner) or PASSED


def _by_hand(case: Case, joiner: Joiner) -> Failed | None:
    """Plugs between packs that the file calls bonded: what it says holds only where a hand cannot part them."""
    behind = harness(case).passed_before(joiner.name)
    leads = [lead for lead in case.build.leads.values() if lead.path in behind]
    plugs = [lead for lead in leads if any(is_plugged(*halves) for halves in mated(case, lead))]
    if not plugs:
        return None
    return Failed(
        severity=Severity.NOTE,
        message="joined for good, and there are plugs between the packs",
        why=f"Parted by hand, and plugged in again at another charge, they are not bonded any more. {WHY}",
        do=f"Make the plugs of {' and '.join(lead.name for lead in plugs)} fast, so that only a tool parts them: a "
        "cover, a clamp, shrink tube over both halves; or fit joints instead.",
        field="bonded",
        cause="plugs",
        also=tuple(plugs),
    )


def _condition(case: Case, joiner: Joiner, packs: list[Pack]) -> tuple[Pack, str, str] | None:
    """The first condition of bonding that does not hold: the pack, its field, and the condition in words."""
    first = packs[0]
    for pack in packs:
        for attr in ("chemistry", "series", "capacity_coulomb"):
            if known(getattr(pack, attr), pack, attr) != known(getattr(first, attr), first, attr):
                return pack, attr, f"{pack.name} is another model than {first.name}"
        aged = _aged_apart(pack, packs)
        if aged is not None:
            return aged
        if known(pack.charge_path, pack, "charge_path") != "common":
            return pack, "charge_path", f"{pack.name} has a charge path of its own"
        if _unfused(case, pack):
            return pack, "fuse", f"{pack.name} has no fuse"
    return None


def _aged_apart(pack: Pack, packs: list[Pack]) -> tuple[Pack, str, str] | None:
    """Tests that show two packs of one model to be of unlike age, the weaker one named."""
    for other in packs:
        mine, best = counted_capacity_coulomb(pack), counted_capacity_coulomb(other)
        if above(best - mine, ALIKE_CAPACITY * best):
            words = f"{pack.name} holds {shown(100 * (1 - mine / best))} % less than {other.name}"
            return pack, "tested_capacity_coulomb", words
        if pack.resistance_ohm is not None and other.resistance_ohm is not None:
            high_ohm, low_ohm = pack.resistance_ohm, other.resistance_ohm
            if above(high_ohm - low_ohm, ALIKE_RESISTANCE * high_ohm):
                words = f"{pack.name} has {shown(1000 * high_ohm)} mohm, {other.name} {shown(1000 * low_ohm)} mohm"
                return pack, "resistance_ohm", words
    return None


def _unfused(case: Case, pack: Pack) -> bool:
    leads = harness(case).leads_from.get(pack.name, ())
    if any(lead.fuse.presence not in (NONE, None) for lead in leads):
        return False
    return known(pack.fuse.presence, pack.fuse, "presence") == NONE


RULE = Rule(
    name="packs-rush",
    kind="danger",
    doubt="whether current can rush from one pack into the other",
    page=__doc__ or "",
    basis=("Ohm's law", "common practice"),
    parts=joiners_on_ways,
    check=check,
    takes_two=True,
)
