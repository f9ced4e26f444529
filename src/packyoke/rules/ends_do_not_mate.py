"""Connectors do not mate: another family, or pin on pin.

What
    Each lead has an end that goes onto the outlet of its pack or joiner, and one that goes into the
    inlet of its joiner or controller. A direct connection puts outlet and inlet together. The plug of
    a charger goes into the charge inlet of each pack that it is for, or of the charge port.
Why
    It cannot be built. Where it is forced, turned round or helped with loose wire, it burns or
    joins plus to minus.
Limit
    Same family (or families said to mate), and at each pole a pin in a socket, genderless on
    genderless, or a joint on a joint. Of a charger's plug the family is compared. Connectors of the
    mains, which mains-connector stops, are not looked at.
Do
    Change the end of the lead. An adapter also works, but is one pair of contacts more to carry the
    whole current, and one with pins on the live side must not exist.
Rider notices
    plugs do not fit together; charger plug does not fit
Fails
    in skerry-long-tail
    leads.main lead.ends: [XT60 pin, XT90 socket]
Passes
    in skerry-long-tail
    leads.main lead.ends: [XT90 pin, XT90 socket]
Sources
    Shape of the connectors; joints are made on the bench (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import other_plug, plug_of, port_of
from packyoke.analysis.charging.plugs import same_plug
from packyoke.analysis.harness.mating import (
    inlet_asked,
    is_mains,
    mate_of,
    mates,
    outlet_asked,
    source_part,
    target_part,
    with_item,
)
from packyoke.analysis.limits.leads import inlet_of, outlet_of
from packyoke.core.findings import Severity
from packyoke.model import Charger, Controller, End, Lead, Pack, Part
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided
from packyoke.rules.rule import Rule


def with_plugs(case: Case) -> Iterable[Lead | Charger]:
    """Everything with an end that is plugged in."""
    return (*case.build.leads.values(), *case.build.chargers.values())


def check(case: Case, part: Lead | Charger) -> Outcome:
    return _plug(case, part) if isinstance(part, Charger) else _lead(case, part)


def _plug(case: Case, charger: Charger) -> Outcome:
    """A charger's plug, against the inlets that the file says it goes into; a split lead has ends of its own."""
    port = port_of(case, charger)
    if port is not None:
        wrong: tuple[tuple[Part, End], ...] = ()
        plug = plug_of(case, charger) if port.inlet is not None else None
        if plug is not None and port.inlet is not None and not same_plug(plug, port.inlet.family):
            wrong = ((case.build.joiners[charger.through or ""], port.inlet),)
    else:
        packs = (case.build.packs[name] for name in charger.fits or ())
        wrong = tuple(
            (pack, pack.charge_inlet) for pack in packs if pack.charge_inlet and other_plug(case, charger, pack)
        )
    if not wrong:
        return None
    families = sorted({inlet.family for _, inlet in wrong})
    names = " and ".join(part.name for part, _ in wrong)
    return Failed(
        severity=Severity.STOP,
        message="the charger's plug does not fit",
        why=f"Its plug, {charger.plug}, does not go into {names}: {' and '.join(families)}.",
        do=f"Find the charger that belongs to {names}, or put a plug on that fits.",
        field="plug",
        also=tuple(part for part, _ in wrong),
        mends=((Mend(f"Put {families[0]} on it", (Change(charger.path, "plug", families[0]),)),),),
    )


def _lead(case: Case, lead: Lead) -> Outcome:
    outlet, inlet = outlet_of(case, lead), inlet_of(case, lead)
    if lead.direct:
        return _direct(case, lead, outlet, inlet)
    first, last = lead.ends
    open_at = []
    bad: list[tuple[int, End, End, Part]] = []
    for index, mine, other in ((0, first, outlet), (1, last, inlet)):
        if mine is not None and other is not None:
            if not mates(case, mine, other) and not (is_mains(mine.family) or is_mains(other.family)):
                bad.append((index, mine, other, _other_part(case, lead, index)))
        elif outlet_asked(case, lead) if index == 0 else inlet_asked(case, lead):
            open_at.append(index)
    if bad:
        return _misfit(lead, bad, outlet, inlet)
    return _open(case, lead, open_at, outlet, inlet) if open_at else PASSED


def _other_part(case: Case, lead: Lead, index: int) -> Part:
    return source_part(case.build, lead) if index == 0 else target_part(case.build, lead)


def _misfit(lead: Lead, bad: list[tuple[int, End, End, Part]], outlet: End | None, inlet: End | None) -> Failed:
    ends: tuple[End | None, ...] = lead.ends
    said, cures = [], []
    for index, mine, other, part in bad:
        ends = with_item(ends, index, mate_of(other))
        said.append(f"{mine} does not go onto the {other} of {part.name}.")
        cures.append(_cure(index, mine, other, part))
    text = " and ".join(f"{mate_of(other)} on the end at {part.name}" for _, _, other, part in bad)
    return Failed(
        severity=Severity.STOP,
        message="connectors do not mate",
        why=" ".join(said),
        do=" ".join(cures),
        field="ends",
        also=tuple(part for _, _, _, part in bad),
        mends=((Mend(f"Put {text}", (Change(lead.path, "ends", ends),)),),),
    )


def _cure(index: int, mine: End, other: End, part: Part) -> str:
    """The end that fits, and the adapter in words where one may exist: none with pins on the live side."""
    fits = mate_of(other)
    cure = f"Put {fits} on the end at {part.name}"
    near, far = (fits, mate_of(mine)) if index == 0 else (mate_of(mine), fits)
    live = far
    if "joint" in (mine.plus, other.plus) or "pin" in (live.plus, live.minus):
        return f"{cure}."
    return f"{cure}, or an adapter {near} to {far} (one more pair of contacts for the whole current)."


def _direct(case: Case, lead: Lead, outlet: End | None, inlet: End | None) -> Outcome:
    source, target = _other_part(case, lead, 0), _other_part(case, lead, 1)
    if outlet is None or inlet is None:
        asks = []
        if outlet is None and outlet_asked(case, lead):
            asks.append((source, _outlet_attr(source)))
        if inlet is None and inlet_asked(case, lead):
            asks.append((target, _inlet_attr(target)))
        given = inlet or outlet
        return (
            Undecided(
                message="the connectors are not in the file",
                asks=tuple(asks),
                passes_if=str(mate_of(given)) if given else "",
            )
            if asks
            else None
        )
    if mates(case, outlet, inlet):
        return PASSED
    far = mate_of(inlet)
    adapter = (
        f"An adapter {mate_of(outlet)} to {far}, or a lead with these ends"
        if far.plus != "pin"
        else (f"A lead from {source.name} to {target.name}, and {mate_of(outlet)} as its inlet")
    )
    return Failed(
        severity=Severity.STOP,
        message="does not plug together",
        why=f"The {outlet} of {source.name} does not go onto the {inlet} of {target.name}.",
        do=f"{adapter}.",
        field="direct",
        also=(source, target),
    )


def _open(case: Case, lead: Lead, open_at: list[int], outlet: End | None, inlet: End | None) -> Undecided:
    asks: list[tuple[Part, str]] = []
    passes = []
    for index in open_at:
        mine, other = lead.ends[index], (outlet, inlet)[index]
        part = _other_part(case, lead, index)
        if mine is None and not any(asked is lead for asked, _ in asks):
            asks.append((lead, "ends"))
        if other is None:
            asks.append((part, _outlet_attr(part) if index == 0 else _inlet_attr(part)))
        given = mine or other
        passes += [f"{mate_of(given)} at {part.name}"] if given else []
    return Undecided(
        message="the connectors are not in the file",
        asks=tuple(asks),
        # With two halves missing, what passes at one hangs on the other.
        passes_if=", ".join(passes) if len(asks) == 1 and len(passes) == len(open_at) else "",
    )


def _outlet_attr(part: Part) -> str:
    return "outlet" if isinstance(part, Pack) else "outlets"


def _inlet_attr(part: Part) -> str:
    return "inlet" if isinstance(part, Controller) else "inlets"


RULE = Rule(
    name="ends-do-not-mate",
    kind="will-not-work",
    doubt="whether its plugs fit",
    page=__doc__ or "",
    basis=("shape of the connectors",),
    parts=with_plugs,
    check=check,
)
