"""What each part of the harness bears beside what it is asked for: margins, and what a build is good for."""

from __future__ import annotations

from contextlib import suppress
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.currents import Flow, draw, flow
from packyoke.analysis.circuit.load import Load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.contacts import Contact, contact
from packyoke.analysis.limits.heat import (
    BODY_S,
    heat_law,
    joiner_current_a,
    lead_time_constant_s,
    peak_borne_a,
    settled_current_a,
)
from packyoke.analysis.limits.leads import TAIL_M, ampacity, inlet_of, outlet_of
from packyoke.analysis.tolerance import above
from packyoke.core.paths import PartPath, is_pack, steps_of
from packyoke.model import FITTED, End, Fuse, Joiner, Lead, Pack, Unknown, known

__all__ = ["above"]


class Limit(NamedTuple):
    """What a part bears all the time and for a stated time (None: no more than all the time).

    Of a part that only warms up slowly, `warms_s` is the time constant and `law` the power of the current that its
    heat goes with: its peak follows from them.
    """

    continuous_a: float
    peak_a: float | None = None
    peak_s: float | None = None
    by: str = ""
    warms_s: float | None = None
    law: float = 2.0


def peak_limit_a(limit: Limit, peak_s: float | None, continuous_a: float = 0.0) -> float:
    """What a part bears for so long [A]: its peak when that is stated for at least this time, else its continuous.

    A part that warms up slowly bears what warms it, run at `continuous_a` before, to what its continuous limit does.
    """
    if limit.warms_s is not None and peak_s:
        return peak_borne_a(limit.continuous_a, continuous_a, peak_s, limit.warms_s, limit.law)
    if limit.peak_a is not None and limit.peak_s is not None and peak_s is not None and not above(peak_s, limit.peak_s):
        return max(limit.peak_a, limit.continuous_a)
    return limit.continuous_a


class PeakStep(NamedTuple):
    """One step of a peak, how long it lasts from the beginning, and what a part bears meanwhile [A], [s], [A]."""

    asked_a: float
    until_s: float
    limit_a: float


def peaks_borne(limit: Limit, worst: Flow) -> tuple[PeakStep, ...]:
    """What a part bears in each step of the worst current; what only warms up, as warm as the steps before made it."""
    found: list[PeakStep] = []
    warm_a, begun_s = worst.forward_a, 0.0
    for asked_a, until_s in worst.steps:
        found.append(PeakStep(asked_a, until_s, peak_limit_a(limit, until_s - begun_s, warm_a)))
        if limit.warms_s is not None:
            warm_a = settled_current_a(Load(warm_a, asked_a, until_s - begun_s), limit.warms_s, limit.law)
            begun_s = until_s
    return tuple(found)


def pack_limit(pack: Pack) -> Limit:
    """What the protection circuit of a pack lets out."""
    continuous_a = known(pack.discharge_continuous_a, pack, "discharge_continuous_a")
    return Limit(continuous_a, pack.discharge_peak_a, pack.discharge_peak_s, "protection")


def joiner_limit(joiner: Joiner) -> Limit:
    """What one path through a joiner bears; of a built-in one what the bike maker states."""
    if joiner.built_in is not None:
        return Limit(known(joiner.built_in.current_a, joiner.built_in, "current_a"), by="maker")
    continuous_a = known(joiner.current_continuous_a, joiner, "current_continuous_a")
    return Limit(continuous_a, joiner.current_peak_a, joiner.current_peak_s, "joiner")


def lead_limit(case: Case, lead: Lead) -> Limit | None:
    """What the wire of a lead bears; None for a direct connection or a tail, where the connector decides."""
    if lead.direct:
        return None
    if lead.length_m is not None and above(TAIL_M, lead.length_m) and _connector_decides(case, lead):
        return None
    amps_a = ampacity(case, lead.name).amps_a
    return Limit(amps_a, by="wire", warms_s=lead_time_constant_s(known(lead.gauge, lead, "gauge")))


def _connector_decides(case: Case, lead: Lead) -> bool:
    """Whether an end says how thin a wire it takes, or is still to be asked for; joints and rings take any."""
    found = [contact(case, end) if end is not None else None for end in lead.ends]
    return any(each is None or (each.wire_m2 is not None and each.wire_m2[0] > 0.0) for each in found)


def end_places(case: Case, lead: Lead) -> tuple[tuple[str, End | None], ...]:
    """The connectors at both ends of a lead: its own, or for a direct connection what is plugged together."""
    return tuple(("ends", own) for own, _ in mated(case, lead))


def mated(case: Case, lead: Lead) -> tuple[tuple[End | None, End | None], tuple[End | None, End | None]]:
    """The two halves at either end of a lead: its own and what it is plugged onto; of a direct one the fixed two."""
    outlet, inlet = outlet_of(case, lead), inlet_of(case, lead)
    if lead.direct:
        return (outlet, inlet), (inlet, outlet)
    return (lead.ends[0], outlet), (lead.ends[1], inlet)


def families(case: Case, lead: Lead) -> tuple[tuple[End, ...], tuple[End, ...]]:
    """The known halves of the connectors at either end of a lead, one for each family.

    Halves that mate are of one family, so one of them tells what both bear; whether they mate is another question.
    """
    first, second = mated(case, lead)
    return _families(first), _families(second)


def _families(halves: tuple[End | None, End | None]) -> tuple[End, ...]:
    own, fixed = halves
    if own is None:
        return () if fixed is None else (fixed,)
    return (own,) if fixed is None or fixed.family == own.family else (own, fixed)


def contact_limit(found: Contact) -> Limit | None:
    """What a connector bears by its cautious rating; None for joints."""
    if found.limit_a is None:
        return None
    return Limit(found.limit_a, found.peak_a, found.peak_s, found.family)


class Bearing(NamedTuple):
    """One part, the worst current through it and the lowest limit that it has, and what that limit comes from.

    `up_to`: what nobody knows counts at its worse end, and printed numbers count with less current.
    """

    path: PartPath
    flow: Flow
    limit_a: float
    peaks: tuple[PeakStep, ...]
    by: str
    up_to: bool = False

    @property
    def margin(self) -> float:
        """Worst current against limit, as a fraction of the limit; negative when there is too much."""
        shares = [(self.limit_a, self.flow.forward_a), *((each.limit_a, each.asked_a) for each in self.peaks)]
        if self._back_a > 0.0:
            shares.append((self.limit_a, self._back_a))
        return min((limit - found) / limit if limit else -1.0 for limit, found in shares)

    @property
    def told(self) -> tuple[float, float, float | None]:
        """What is asked, the limit that it is held against, and for how long: all the time, what flows back counted
        in, or at the peak, whichever leaves less."""
        found_a, limit_a = max(self.flow.forward_a, self._back_a), self.limit_a
        if self.peaks and limit_a >= found_a:
            peak = max(self.peaks, key=lambda each: each.asked_a / each.limit_a if each.limit_a else inf)
            left_a = peak.limit_a - peak.asked_a
            if left_a < 0 or left_a * limit_a < (limit_a - found_a) * peak.limit_a:
                return peak.asked_a, peak.limit_a, peak.until_s
        return found_a, limit_a, None

    @property
    def _back_a(self) -> float:
        """What flows back through it; into a pack that is no matter of what its protection lets out."""
        return 0.0 if is_pack(self.path) else self.flow.back_a


@once
def limits_of(case: Case, path: PartPath) -> tuple[Limit, ...]:
    """Every current limit of a part on a pack's way. Raises Unknown when one of them is not known."""
    section, name, _ = steps_of(path)
    build = case.build
    if section == "packs":
        pack = build.packs[name]
        return (pack_limit(pack), *_fuse_limit(pack.fuse))
    if section == "joiners":
        joiner = build.joiners[name]
        return (joiner_limit(joiner), *_heat_limit(case, joiner))
    lead = build.leads[name]
    found = []
    wire = lead_limit(case, lead)
    if wire is not None:
        found.append(wire)
    for ends in families(case, lead):
        for end in ends or (None,):
            each = contact(case, known(end, lead, "ends"))
            if each is None:
                raise Unknown(lead, "ends")
            limit = contact_limit(each)
            if limit is not None:
                found.append(limit)
    found += _fuse_limit(lead.fuse)
    if lead.switch is not None:
        found.append(Limit(known(lead.switch.rating_a, lead.switch, "rating_a"), by="switch"))
    return tuple(found)


def _fuse_limit(fuse: Fuse) -> tuple[Limit, ...]:
    """What a fuse lets through; what is written on it is for other rules to ask."""
    if fuse.presence != FITTED or fuse.rating_a is None:
        return ()
    return (Limit(fuse.rating_a, by="fuse"),)


def _heat_limit(case: Case, joiner: Joiner) -> tuple[Limit, ...]:
    """The current that warms a joiner to the limit of its body; nothing of a built-in one, whose maker states it."""
    if joiner.built_in is not None:
        return ()
    current_a = joiner_current_a(case, joiner, joiner.body_limit_k)
    return (Limit(current_a, by="heat", warms_s=BODY_S, law=heat_law(joiner)),)


@once
def bearing(case: Case, path: PartPath) -> Bearing | None:
    """The worst current through a part against the lowest of its limits; None for a part that limits nothing."""
    limits = limits_of(case, path)
    if not limits:
        return None
    worst = draw(case, path)
    with suppress(Unknown):
        worst = flow(case, path)
    each = [Bearing(path, worst, limit.continuous_a, peaks_borne(limit, worst), limit.by) for limit in limits]
    tightest = min(each, key=lambda bearing: bearing.margin)
    steps = zip(*(bearing.peaks for bearing in each), strict=True)
    return tightest._replace(
        limit_a=min(bearing.limit_a for bearing in each),
        peaks=tuple(min(step, key=lambda peak: peak.limit_a) for step in steps),
    )


def parts_on_ways(case: Case) -> tuple[PartPath, ...]:
    """Every pack, lead and joiner on the way of some pack, in the order of the file."""
    behind = harness(case).packs_behind
    build = case.build
    parts = (*build.packs.values(), *build.leads.values(), *build.joiners.values())
    return tuple(part.path for part in parts if part.path in behind)
