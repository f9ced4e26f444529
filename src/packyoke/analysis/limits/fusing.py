"""Fuses: which of them feed a conductor, from both ends, the largest that it takes, what flows into a short circuit."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.load import full_charge_v, load, nominal_v
from packyoke.analysis.harness.changed import keep_drawing
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.limits.leads import ampacity, derated, lead_resistance_ohm
from packyoke.analysis.limits.margins import above
from packyoke.analysis.unknowns.spans import OHMIC_SHARE, ends
from packyoke.core.paths import PartPath, is_lead, name_of, path_to, steps_of
from packyoke.model import FITTED, Accessory, Fuse, Gauge, Lead, Pack, Unknown, known
from packyoke.shelf import fuses, wires

Fused = Pack | Lead | Accessory

CONTINUOUS_SHARE = 0.8
"""Continuous load over the rating of a fuse: common practice, 75 to 80 %."""
TOGETHER_FACTOR = 1.5
"""Fuses that feed one conductor together, over its amps: as 33 CFR 183.455(c) allows a single one below 50 V."""
FEEDS_AS_A_NOTE = 2
"""So many fuses that are together too much for a wire are a note: a fault that two packs feed alike, at once, is rare
(judgement). More are a caution."""
LARGER_FUSE_KINDS = ("blade", "10x38", "class T", "battery link")
"""What to fit, from the cheapest and smallest on: common practice."""
HIGH_MARK_V = 100.0
"""From here on a family of fuses is made for mains and solar voltages (judgement)."""


class Feed(NamedTuple):
    """The fuses between a place and the packs that feed it; `total_a` is endless where some pack has none, `fused_a` is
    what the fuses that there are let through together all the same."""

    fuses: tuple[Fuse, ...]
    largest_a: float
    total_a: float
    fused_a: float


NOTHING = Feed((), 0.0, 0.0, 0.0)
UNFUSED = Feed((), 0.0, inf, 0.0)


def rating_a(fuse: Fuse) -> float:
    """Amps marked on a fuse [A]."""
    return known(fuse.rating_a, fuse, "rating_a")


def fused(case: Case) -> list[Fused]:
    """Every pack, lead and accessory that has a fuse."""
    build = case.build
    found: list[Fused] = [pack for pack in build.packs.values() if pack.fuse.presence == FITTED]
    found += [lead for lead in build.leads.values() if lead.fuse.presence == FITTED]
    found += [each for each in build.accessories.values() if each.fuse.presence == FITTED]
    return found


def is_tree(case: Case) -> bool:
    """Whether the drawing can be followed from any place back to its packs and ends."""
    return not any(fault.kind in ("loop", "too many ways") for fault in harness(case).faults)


def fed_from_source(case: Case, name: str) -> Feed:
    """What stands behind the source end of a lead, its own fuse not counted. A selector lets one pack on at a time."""
    build = case.build
    lead = build.leads[name]
    if lead.source in build.packs:
        return _behind(UNFUSED, build.packs[lead.source].fuse)
    joiner = build.joiners[lead.source]
    feeds = [fed_through(case, each.name) for each in harness(case).feeding(joiner.name)]
    return _together(feeds, alternating=joiner_type(joiner) == "selector")


@once
def fed_through(case: Case, name: str) -> Feed:
    """What feeds the conductor of a lead from its source end: its own fuse, where that is the smaller."""
    return _behind(fed_from_source(case, name), case.build.leads[name].fuse)


def fed_from_load(case: Case, name: str) -> Feed:
    """What feeds a lead from its load end: the other packs of a plain joiner; nothing comes back through blocking."""
    build = case.build
    lead = build.leads[name]
    joiner = build.joiners.get(lead.target)
    if joiner is None:
        return NOTHING
    drawing = harness(case)
    others = drawing.feeding(joiner.name)
    onward = drawing.onward(joiner.name)
    if (len(others) < 2 and not onward) or joiner_type(joiner) in ("diode", "ideal-diode"):
        return NOTHING
    feeds = [_behind(fed_from_load(case, each.name), each.fuse) for each in onward]
    if joiner_type(joiner) != "selector":
        feeds += [fed_through(case, each.name) for each in others if each is not lead]
    return _together(feeds)


def _behind(feed: Feed, fuse: Fuse) -> Feed:
    if fuse.presence == FITTED:
        amps = rating_a(fuse)
        if amps <= feed.total_a:
            return Feed((fuse,), amps, amps, amps)
    return feed


def _together(feeds: list[Feed], *, alternating: bool = False) -> Feed:
    if len(feeds) == 1:
        return feeds[0]
    at_once = max if alternating else sum
    return Feed(
        tuple(fuse for feed in feeds for fuse in feed.fuses),
        max((feed.largest_a for feed in feeds), default=0.0),
        at_once([feed.total_a for feed in feeds] or [0.0]),
        at_once([feed.fused_a for feed in feeds] or [0.0]),
    )


def feed_of(case: Case, name: str) -> Feed:
    """All that feeds the conductor of a lead, from both ends."""
    far = fed_from_load(case, name)
    near = fed_through(case, name)
    return near if far is NOTHING else _together([near, far])


@lru_cache(maxsize=1024)
def largest_fuse_a(conductor_a: float, circuit_v: float) -> float:
    """The largest single fuse that a conductor takes, 33 CFR 183.455(c); none where it bears nothing [A]."""
    return wires.largest_fuse_a(conductor_a, circuit_v) if conductor_a > 0 else 0.0


@once
def highest_full_charge_v(case: Case, path: PartPath) -> float:
    """The highest full-charge voltage of the packs that feed a pack, lead or accessory [V]."""
    return max(full_charge_v(pack) for pack in _feeding(case, path))


@once
def highest_nominal_v(case: Case, path: PartPath) -> float:
    """The highest nominal voltage of the packs that feed a part: what 33 CFR 183 calls the volts of a circuit [V]."""
    return max(nominal_v(pack) for pack in _feeding(case, path))


def _feeding(case: Case, path: PartPath) -> list[Pack]:
    """The packs that feed a pack, lead or accessory; all of them where none is known to."""
    build = case.build
    section, name, _ = steps_of(path)
    names: tuple[str, ...] = ()
    if section == "packs":
        names = (name,)
    elif section == "accessories":
        for source in build.accessories[name].sources:
            names += (source,) if source in build.packs else _packs_behind(case, source)
    else:
        names = _packs_behind(case, name)
    return [build.packs[each] for each in names or build.packs]


def _packs_behind(case: Case, name: str) -> tuple[str, ...]:
    behind = harness(case).packs_behind
    return behind.get(path_to("joiners", name)) or behind.get(path_to("leads", name)) or ()


@once
def short_circuit_a(case: Case, path: PartPath, bare: bool) -> float:
    """Current into a short circuit right behind the fuse of a part [A].

        I = V / R, with the full-charge voltage and the resistance in the first moment of all packs that feed it,
        in parallel

    path: a pack, lead or accessory. bare: leave out the leads on the way: more current, and nothing to ask about them.
    """
    volts = highest_full_charge_v(case, path)
    section, name, _ = steps_of(path)
    build = case.build
    if section == "packs":
        return volts / _node_ohm(case, name, bare)
    sources = build.accessories[name].sources if section == "accessories" else (build.leads[name].source,)
    return max(volts / _node_ohm(case, source, bare) for source in sources)


def _node_ohm(case: Case, name: str, bare: bool) -> float:
    build = case.build
    if name in build.packs:
        return OHMIC_SHARE * known(build.packs[name].resistance_ohm, build.packs[name], "resistance_ohm")
    if name in build.leads:
        return _lead_end_ohm(case, build.leads[name], bare)
    branches = [_lead_end_ohm(case, lead, bare) for lead in harness(case).feeding(name)]
    if joiner_type(build.joiners[name]) == "selector":
        return min(branches, default=inf)
    siemens = sum(1 / each for each in branches)
    return 1 / siemens if siemens else inf


def _lead_end_ohm(case: Case, lead: Lead, bare: bool) -> float:
    behind_ohm = _node_ohm(case, lead.source, bare)
    return behind_ohm if bare else behind_ohm + lead_resistance_ohm(case, lead)[0]


def breaking_capacity_a(fuse: Fuse, full_charge_v: float) -> tuple[float, float]:
    """What a fuse breaks, at the least and at the most: as marked, else its family's; 0 and endless when unknown [A].

    A family's figure holds up to the highest voltage and the largest rating that the family is made for.
    """
    if fuse.breaking_a is not None:
        return fuse.breaking_a, fuse.breaking_a
    family = known(fuse.family, fuse, "family")
    return _family_breaks_a(family, max(full_charge_v, fuse.voltage_v or 0.0), fuse.rating_a or 0.0)


@lru_cache(maxsize=256)
def _family_breaks_a(name: str, highest_v: float, rating_a: float) -> tuple[float, float]:
    family = fuses.fuse_family(name)
    if family is None or family.breaking_a is None:
        return 0.0, inf
    if above(highest_v, family.voltage_v[1]) or not made_for(name, rating_a):
        return 0.0, inf
    return family.breaking_a


def made_for(name: str, rating_a: float) -> bool:
    """Whether fuses of a family are made this large, as far as the shelf knows."""
    family = fuses.fuse_family(name)
    return family is None or family.highest_a is None or not above(rating_a, family.highest_a)


def first_lead(case: Case, pack: Pack) -> Lead | None:
    """The lead at a pack's outlet; None when it has none."""
    leads = harness(case).leads_from.get(pack.name)
    return leads[0] if leads else None


# What to fit instead. None of this is asked for while a part passes.


def needed_a(case: Case, part: Fused) -> float | None:
    """The least rating that the load of a part does not wear out [A]; None when the load is not known."""
    try:
        if isinstance(part, Accessory):
            return known(part.current_a, part, "current_a") / CONTINUOUS_SHARE
        asked = load(case, part.path)
    except Unknown:
        return None
    return max(asked.continuous_a / CONTINUOUS_SHARE, asked.most_a)


def standard_fuses_a(least_a: float, most_a: float) -> tuple[float, ...]:
    """Standard ratings from one figure to another, both included, rising [A]."""
    return tuple(each for each in wires.standard_fuses_a() if not above(least_a, each) and not above(each, most_a))


@once
def _short_circuit_at_worst_a(case: Case, path: PartPath) -> float:
    """What flows into a short circuit with every resistance that nobody knows at the low end of its span [A]."""
    while True:
        try:
            return short_circuit_a(case, path, True)
        except Unknown as missing:
            lowest = min(ends(case.build, missing.part, missing.attr))
            before, case = case, Case(case.build.with_value(missing.part.path, missing.attr, lowest))
            keep_drawing(before, case)


def fuse_kind(case: Case, path: PartPath, amps: float) -> tuple[str, float]:
    """A family of fuses that suits a part, and the d.c. voltage it is made for [V]."""
    return family_for(amps, highest_full_charge_v(case, path), _short_circuit_at_worst_a(case, path))


def family_for(rating_a: float, volts_v: float, short_a: float) -> tuple[str, float]:
    """The first family made for a rating, a d.c. voltage and a short-circuit current, and the mark to ask for [V]."""
    for name in LARGER_FUSE_KINDS:
        family = fuses.fuse_family(name)
        assert family is not None
        low_v, high_v = family.voltage_v
        if above(volts_v, high_v) or above(rating_a, family.highest_a or inf):
            continue
        if family.breaking_a is None or not above(short_a, family.breaking_a[0]):
            # The lowest mark of a high-voltage family is enough for any bike, and what the trade has most of.
            return name, low_v if low_v >= max(HIGH_MARK_V, volts_v) else high_v
    return LARGER_FUSE_KINDS[-1], volts_v


def thicker_gauges(gauge: Gauge) -> Iterator[Gauge]:
    """Sizes of the same family that a workshop buys, thicker than this one, from thin to thick."""
    area_m2 = wires.copper_area_m2(*gauge)
    for size in wires.standard_sizes(gauge.family):
        if above(wires.copper_area_m2(gauge.family, size), area_m2):
            yield Gauge(gauge.family, size)


def lead_amps_a(case: Case, lead: Lead, gauge: Gauge) -> float:
    """Amps that a lead would bear with another gauge where it lies [A]."""
    now = ampacity(case, lead.name)
    return derated(gauge, known(lead.insulation, lead, "insulation"), now.ambient_k, now.loaded_conductors).amps_a


def fuse_fits(conductor_a: float, feed: Feed, circuit_v: float) -> bool:
    """Whether a conductor is guarded by what feeds it: each fuse alone, and all of them together."""
    if above(feed.largest_a, largest_fuse_a(conductor_a, circuit_v)):
        return False
    return not above(feed.fused_a, TOGETHER_FACTOR * conductor_a)


def gauges_for(case: Case, lead: Lead, feed: Feed) -> Iterator[Gauge]:
    """Thicker sizes of a lead that are guarded by what feeds them, from thin to thick."""
    volts = highest_nominal_v(case, lead.path)
    for gauge in thicker_gauges(known(lead.gauge, lead, "gauge")):
        if fuse_fits(lead_amps_a(case, lead, gauge), feed, volts):
            yield gauge


def leads_to_thicken(case: Case, path: PartPath) -> list[tuple[Lead, Gauge]] | None:
    """Leads on the ways of a part that their fuses do not guard, with the size that they do; None: there is none."""
    found: dict[str, tuple[Lead, Gauge]] = {}
    for ways in harness(case).ways.values():
        for way in ways:
            if path not in way:
                continue
            for each in way[way.index(path) :]:
                if not is_lead(each) or each in found:
                    continue
                lead = case.build.leads[name_of(each)]
                if lead.direct:
                    continue
                try:
                    feed = feed_of(case, lead.name)
                    amps = ampacity(case, lead.name).amps_a
                    if fuse_fits(amps, feed, highest_nominal_v(case, lead.path)):
                        continue
                    gauge = next(gauges_for(case, lead, feed), None)
                except Unknown:
                    continue
                if gauge is None:
                    return None
                found[each] = (lead, gauge)
    return list(found.values())


def owner_name(fuse: Fuse) -> str:
    """The name of the pack, lead or accessory that a fuse belongs to."""
    return steps_of(fuse.path).name
