"""A fuse is bigger than the wire that it should guard.

What
    A fuse guards wire. Each lead is held against every fuse through which current can get into it:
    one by one, and all of them together where several packs feed it, from both ends.
Why
    A wire that is shorted, or asked for too much, heats up until a fuse opens. When the fuse bears
    more than the wire, the insulation goes first, next to packs that burn.
Limit
    Amps of the wire by 33 CFR 183.425 table 5, less what warm air and loaded neighbours take.

    One fuse, below 50 V nominal (3.6 V a cell, LFP 3.2 V: up to 13 or 15 cells): at most 1.5 x
    those amps. From 50 V on: at most those amps, or
    the next standard size (1 2 3 4 5 7.5 10 15 20 25 30 35 40 45 50 60 70 80 90 100 110 125 150 A)
    where that is at most 1.5 x.

    Several fuses together: at most 1.5 x the amps, else a note for two, a caution for more. A fuse
    of the lead's own, at the end where the current comes from, stands for all that are behind it. A
    selector lets one pack on at a time: only its largest counts. A pack without a known fuse adds
    nothing here, and takes nothing off what the others let through. Through a joiner that blocks
    nothing comes back; a plain one feeds a lead from its load end too.

    A tap with a fuse above 5 A is held against the 60 degC column; below 18 AWG that has no row.
Do
    A smaller fuse that the load does not wear out, a thicker wire, or one fuse at the joiner's
    outlet.
Rider notices
    hot cable; smell of plastic; melted insulation; fuse does not blow in a short
Fails
    in skerry-long-tail
    leads.main lead.gauge: 14 AWG
Passes
    in skerry-long-tail
    leads.main lead.gauge: 10 AWG
Sources
    33 CFR 183.455(c) and 183.425 table 5 (read); standard sizes NEC 240.6(A) (read in a reprint),
    those below 15 A from memory; the sum of several fuses: practice, with the factor of 183.455(c).

    33 CFR 183 is a rule for boats, taken as the best public table for wires of low voltage.
"""

from __future__ import annotations

from itertools import islice
from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import carrying_all
from packyoke.analysis.harness.taps import TAP_INSULATION
from packyoke.analysis.limits.fusing import (
    FEEDS_AS_A_NOTE,
    TOGETHER_FACTOR,
    Feed,
    feed_of,
    fuse_kind,
    gauges_for,
    highest_nominal_v,
    is_tree,
    largest_fuse_a,
    lead_amps_a,
    needed_a,
    owner_name,
    rating_a,
    standard_fuses_a,
    thicker_gauges,
)
from packyoke.analysis.limits.leads import Ampacity, ampacity, derated
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.model import FITTED, Accessory, Fuse, Gauge, Lead, known
from packyoke.rules.fuse_mending import SMALL_FUSE_A, fit, fuse_words
from packyoke.rules.mends import blocking_joiners, fitting_first
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later
from packyoke.rules.rule import Rule, leads_with_those_beside
from packyoke.shelf import wires

MOST_TRIED = 4


def parts(case: Case) -> list[Lead | Accessory]:
    """The leads on the way of a pack, and the accessories that have a fuse of their own."""
    if not is_tree(case):
        return []
    found: list[Lead | Accessory] = [*leads_with_those_beside(case)]
    found += [each for each in case.build.accessories.values() if each.fuse.presence == FITTED]
    return found


def check(case: Case, part: Lead | Accessory) -> Outcome:
    return _lead(carrying_all(case, part), part) if isinstance(part, Lead) else _tap(case, part)


def _lead(case: Case, lead: Lead) -> Outcome:
    if lead.direct:
        return None
    feed = feed_of(case, lead.name)
    if not feed.fuses:
        return None
    bears = ampacity(case, lead.name)
    if above(feed.largest_a, bears.amps_a):
        limit_a = largest_fuse_a(bears.amps_a, highest_nominal_v(case, lead.path))
        if above(feed.largest_a, limit_a):
            return _one(case, lead, feed, bears, limit_a)
    if above(feed.fused_a, TOGETHER_FACTOR * bears.amps_a):
        return _together(case, lead, feed, bears)
    return PASSED


def _one(case: Case, lead: Lead, feed: Feed, bears: Ampacity, limit_a: float) -> Failed:
    largest = [fuse for fuse in feed.fuses if not above(feed.largest_a, rating_a(fuse))]
    names = ("each of " if len(largest) > 2 else "") + ", ".join(owner_name(fuse) for fuse in largest)
    several = len(feed.fuses) > 1 or feed.fuses[0].path != lead.fuse.path
    return Failed(
        severity=Severity.STOP,
        message="fuses too large for this wire" if several else "fuse too large for this wire",
        found=Amount(feed.largest_a, "A", f"({names})"),
        limit=Amount(limit_a, "A", f"({_wire(lead.gauge, lead.insulation, bears)}{_step(limit_a, bears.amps_a)})"),
        why="Shorted, or asked for too much, the wire burns before the fuse opens.",
        do=f"A fuse of at most {shown(limit_a)} A, or a wire that bears {shown(feed.largest_a)} A."
        if limit_a > 0
        else f"A wire that bears {shown(feed.largest_a)} A where it lies.",
        field="gauge",
        cause="one",
        also=tuple(largest),
        mends=(_wires(case, lead, feed), _fuses(case, lead, feed, bears)),
    )


def _unfused(feed: Feed) -> str:
    return ", and what has no known fuse" if feed.total_a == inf else ""


def _together(case: Case, lead: Lead, feed: Feed, bears: Ampacity) -> Failed:
    names = " and ".join(f"{owner_name(fuse)} {shown(rating_a(fuse))} A" for fuse in feed.fuses)
    limit_a = TOGETHER_FACTOR * bears.amps_a
    more = len(feed.fuses) > FEEDS_AS_A_NOTE or feed.total_a == inf  # beside two that are too much a third has none
    return Failed(
        severity=Severity.CAUTION if more else Severity.NOTE,
        message="the fuses behind it are together too large for this wire",
        found=Amount(feed.fused_a, "A", f"({names}{_unfused(feed)})"),
        limit=Amount(limit_a, "A", f"(1.5 times {_wire(lead.gauge, lead.insulation, bears)})"),
        why="A fault that every pack feeds can draw all these fuses bear together, through this one wire.",
        do="One fuse at the outlet of the joiner that feeds it, or a thicker wire.",
        field="gauge",
        cause="together",
        also=feed.fuses,
        mends=(_fuses(case, lead, feed, bears), _wires(case, lead, feed), blocking_joiners(case, lead.path)),
    )


def _wire(gauge: Gauge | None, insulation: str | None, bears: Ampacity) -> str:
    copper = f" ({wires.copper_words(*gauge)})" if gauge is not None and wires.copper_words(*gauge) else ""
    amps = f"{shown(bears.amps_a)} A"
    if not bears.table_a:
        amps = "thinner than the table of wires"
    elif not bears.ambient_factor:
        amps = f"whose {bears.column_c} degC the air has already"
    words = f"{gauge} {insulation}{copper}, {amps}"
    if bears.loaded_conductors > 2 and bears.amps_a:
        words += f" with {bears.loaded_conductors - 2} loaded conductors beside it"
    return words


def _step(limit_a: float, amps_a: float) -> str:
    if not above(limit_a, amps_a):
        return ""
    return ", 1.5 times" if not above(TOGETHER_FACTOR * amps_a, limit_a) else ", next fuse size up"


@later
def _wires(case: Case, lead: Lead, feed: Feed) -> list[Mend]:
    """By itself, or thicker: wires that are guarded by what feeds them now."""
    found = []
    run = lead.run
    if run.beside or run.beside_leads:
        alone = run._replace(beside=0, beside_leads=())
        amps = shown(ampacity(Case(case.build.with_value(lead.path, "run", alone)), lead.name).amps_a)
        found.append(Mend(f"Run it by itself ({amps} A)", (Change(lead.path, "run", alone),)))
    thicker = [(gauge, _thicker(case, lead, gauge)) for gauge in islice(gauges_for(case, lead, feed), MOST_TRIED)]
    return [*found, *fitting_first(case, lead, thicker)]


def _thicker(case: Case, lead: Lead, gauge: Gauge) -> Mend:
    words = f"{gauge} {lead.insulation}, {shown(lead_amps_a(case, lead, gauge))} A"
    return Mend(words, (Change(lead.path, "gauge", gauge),))


@later
def _fuses(case: Case, lead: Lead, feed: Feed, bears: Ampacity) -> list[Mend]:
    """Smaller fuses that the load does not wear out; with a thicker wire where this one is too thin for any."""
    volts = highest_nominal_v(case, lead.path)
    least_a = needed_a(case, lead)
    if least_a is None:
        return []
    amps_now = standard_fuses_a(least_a, largest_fuse_a(bears.amps_a, volts))
    if amps_now:
        return [_smaller(case, lead, feed, amps) for amps in reversed(amps_now[-MOST_TRIED:])]
    found = []
    enough = next(gauges_for(case, lead, feed), None)
    for gauge in thicker_gauges(known(lead.gauge, lead, "gauge")):
        if gauge == enough:
            break
        fitting = standard_fuses_a(least_a, largest_fuse_a(lead_amps_a(case, lead, gauge), volts))
        if fitting and fitting[0] < feed.largest_a:
            wire, fuse = _thicker(case, lead, gauge), _smaller(case, lead, feed, fitting[0])
            both = Mend(f"{wire.text}, and {fuse.text[0].lower()}{fuse.text[1:]}", (*wire.changes, *fuse.changes))
            found.append((gauge, both))
            if len(found) == MOST_TRIED:
                break
    return list(fitting_first(case, lead, found))


def _smaller(case: Case, lead: Lead, feed: Feed, amps: float) -> Mend:
    """One fuse at the end where the current comes from; swapped in the pack, where that is what feeds the lead."""
    bigger = [fuse for fuse in feed.fuses if above(rating_a(fuse), amps)]
    swapped = [fuse for fuse in bigger if not fuse.sealed]
    if lead.source in case.build.packs and swapped == bigger and bigger:
        names = " and ".join(owner_name(fuse) for fuse in bigger)
        return Mend(
            one(f"{shown(amps)} A fuse at {names}", first=True),
            tuple(Change(fuse.path, "rating_a", amps) for fuse in bigger),
        )
    family, volts = fuse_kind(case, lead.path, amps)
    text = one(f"{fuse_words(amps, family, volts)}, in this lead, at {lead.source}", first=True)
    return Mend(text, fit(lead.fuse, amps, family, volts))


def _tap(case: Case, part: Accessory) -> Outcome:
    fuse: Fuse = part.fuse
    amps = rating_a(fuse)
    if not above(amps, SMALL_FUSE_A):
        return None
    gauge = known(part.gauge, part, "gauge")
    bears = derated(gauge, TAP_INSULATION, case.build.warmest_k, 2)
    if not above(amps, bears.amps_a):
        return PASSED
    volts = highest_nominal_v(case, part.path)
    limit_a = largest_fuse_a(bears.amps_a, volts)
    if not above(amps, limit_a):
        return PASSED
    said = f"{_wire(gauge, 'wire in the 60 degC column', bears)}{_step(limit_a, bears.amps_a)}"
    least_a = needed_a(case, part)
    smaller = standard_fuses_a(least_a, max(limit_a, SMALL_FUSE_A)) if least_a is not None else ()
    return Failed(
        severity=Severity.STOP,
        message="fuse too large for this wire",
        found=Amount(amps, "A"),
        limit=Amount(limit_a, "A", f"({said})"),
        why="Shorted, the thin wire burns before the fuse opens.",
        do=f"A fuse of at most {shown(max(limit_a, SMALL_FUSE_A))} A, or a wire that bears {shown(amps)} A.",
        field="fuse",
        cause="one",
        mends=(
            [
                Mend(one(f"{shown(each)} A fuse", first=True), (Change(fuse.path, "rating_a", each),))
                for each in reversed(smaller)
            ],
            [
                Mend(f"{each} wire", (Change(part.path, "gauge", each),))
                for each in thicker_gauges(gauge)
                if not above(amps, largest_fuse_a(derated(each, TAP_INSULATION, bears.ambient_k, 2).amps_a, volts))
            ][:1],
        ),
    )


RULE = Rule(
    name="fuse-oversized",
    kind="danger",
    doubt="whether the fuse guards its wire",
    page=__doc__ or "",
    basis=("33 CFR 183.455(c)", "33 CFR 183.425 table 5"),
    parts=parts,
    check=check,
)
