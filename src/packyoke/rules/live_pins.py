"""Bare pins on the side that stays live: a key or a finger joins plus and minus.

What
    Unplugged, one half stays connected to a pack: the outlet of a pack or joiner, the far end of
    its lead, a charging socket. That half must carry sockets, the dead half the pins.
Why
    A key, a ring or a wet frame across two live pins is a short circuit of the whole pack: burns,
    molten metal, a fire in the pannier.
Limit
    Pins on a live half: stop where both poles can be touched at once, a note where they cannot.

    Rings, lugs and studs are bare at both poles: stop. A
    charging port that is kept from the packs by blocking parts is a note: those fail without a
    sign. An inlet of a joiner that blocks in the negative keeps its plus: a note. Inlets of a plain
    joiner are live by nature: those with leads belong to packs-rush, one that is left empty counts
    here where nothing is unplugged from the others (one pack, or bonded ones).
Do
    Swap the halves: sockets on the side of the pack, pins on the side of the load. Cap what stays
    open.
Rider notices
    spark when a key touched the plug; melted tip of a screwdriver
Fails
    in skerry-long-tail
    packs.keel.outlet: XT60 pin
Passes
    in skerry-long-tail
    packs.keel.outlet: XT60 socket
Sources
    IEC 60204-1, IEC 61984: the live side carries the sockets (memory); which pins can be reached
    (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import blocked_conductor, blocks, is_plain
from packyoke.analysis.harness.mating import exposure, is_bare, mate_of, outlet_index, target_part, with_item
from packyoke.analysis.limits.leads import inlet_index, inlet_of
from packyoke.core.findings import Severity
from packyoke.model import Controller, End, Joiner, Lead, Pack, Part, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided, level
from packyoke.rules.rule import Rule

SOCKETS = "sockets, for example XT60 socket"
SWAP = "Change it for the half with sockets, and cap what is left open."
BOLTED = (
    "Bolt it on for good under a cover that needs a tool, and call it a joint (joint crimp); or fit a plug with "
    "sockets on the live side."
)
WHY = "A key or a finger across the pins is a short circuit of the whole pack: burns, molten metal, fire."


def parts(case: Case) -> Iterable[Part]:
    build = case.build
    return chain(build.packs.values(), build.joiners.values(), build.leads.values())


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Pack):
        return _pack(case, part)
    if isinstance(part, Joiner):
        return _joiner(case, part)
    assert isinstance(part, Lead)
    return _lead(case, part)


def _pack(case: Case, pack: Pack) -> Outcome:
    outlet, inlet = pack.outlet, pack.charge_inlet
    at_outlet = exposure(outlet) if outlet is not None else None
    at_inlet = exposure(inlet) if inlet is not None else None
    if at_outlet is not None and outlet is not None and at_outlet >= (at_inlet or 0):
        lead = next(iter(harness(case).leads_from.get(pack.name, ())), None)
        return _failed(at_outlet, "outlet", f"{_bare(outlet)} on its outlet", _swap_outlet(pack, outlet, lead))
    if outlet is None and at_inlet != Severity.STOP:
        return Undecided(
            message="its outlet is not in the file: pins or sockets?",
            asks=((pack, "outlet"),),
            passes_if=SOCKETS,
        )
    if at_inlet is not None:
        return _failed(at_inlet, "charge_inlet", f"{_bare(inlet)} in its charging socket")
    return PASSED


def _bare(end: End | None) -> str:
    return "bare lugs" if end is not None and is_bare(end.family) else "pins"


def _swap_outlet(pack: Pack, outlet: End, lead: Lead | None) -> tuple[Mend, ...]:
    if lead is None or lead.direct or is_bare(outlet.family):
        return ()
    changes = (
        Change(pack.path, "outlet", _sockets(outlet)),
        Change(lead.path, "ends", with_item(lead.ends, 0, mate_of(_sockets(outlet)))),
    )
    return (Mend(f"{_sockets(outlet)} on the pack, {mate_of(_sockets(outlet))} on {lead.name}", changes),)


def _sockets(end: End) -> End:
    return End(end.family, "socket", "socket")


def _joiner(case: Case, joiner: Joiner) -> Outcome:
    at_outlet = _outlets(case, joiner) if joiner.built_in is None else None
    if level(at_outlet) == Severity.STOP:
        return at_outlet
    at_port = _port(joiner)
    worse = at_port if level(at_port) > level(at_outlet) else at_outlet
    if worse is not None:
        return worse
    return _inlets(case, joiner) if joiner.built_in is None else PASSED


def _outlets(case: Case, joiner: Joiner) -> Failed | Undecided | None:
    note: Failed | None = None
    for index, outlet in enumerate(joiner.outlets):
        bare = exposure(outlet) if outlet is not None else None
        if bare is not None and outlet is not None and (note is None or bare > note.severity):
            mends = _swap_joiner_outlet(case, joiner, index, outlet)
            note = _failed(bare, "outlets", f"{_bare(outlet)} on its outlet", mends)
    if None in joiner.outlets and level(note) != Severity.STOP:
        return Undecided(
            message="its outlet is not in the file: pins or sockets?",
            asks=((joiner, "outlets"),),
            passes_if=SOCKETS,
        )
    return note


def _swap_joiner_outlet(case: Case, joiner: Joiner, index: int, outlet: End) -> tuple[Mend, ...]:
    if is_bare(outlet.family):
        return ()
    sockets = _sockets(outlet)
    changes = [Change(joiner.path, "outlets", with_item(joiner.outlets, index, sockets))]
    for lead in harness(case).leads_from.get(joiner.name, ()):
        if not lead.direct and outlet_index(case, joiner, lead) == index:
            changes.append(Change(lead.path, "ends", with_item(lead.ends, 0, mate_of(sockets))))
    return (Mend(f"{sockets} on {joiner.name}, {mate_of(sockets)} on the lead", tuple(changes)),)


def _port(joiner: Joiner) -> Failed | Undecided | None:
    """What a charging port shows; one that the packs cannot feed is no more than a note."""
    port = joiner.charge_port
    if port is None:
        return None
    bare = exposure(port.inlet) if port.inlet is not None else None
    if port.inlet is not None and bare is None:
        return None
    fed = known(port.blocks, port, "blocks") == "nothing"
    if port.inlet is None:
        return (
            Undecided(
                message="its charging port is not in the file: pins or sockets?",
                asks=((port, "inlet"),),
                passes_if=SOCKETS,
            )
            if fed
            else None
        )
    if fed and bare is not None:
        return _failed(bare, "", f"{_bare(port.inlet)} in its charging port", also=(port,))
    return _failed(
        Severity.NOTE,
        "",
        "pins in its charging port",
        also=(port,),
        why="Only the blocking parts inside keep it from being live, and those fail short without a sign.",
    )


def _inlets(case: Case, joiner: Joiner) -> Outcome:
    """Blocking in the negative leaves the plus of an empty inlet connected to the other packs; plain all of it."""
    at_empty = _empty_inlet(case, joiner)
    if at_empty is not None:
        return at_empty
    if len(harness(case).packs_behind.get(joiner.path, ())) < 2:
        return PASSED
    if not any(inlet is not None and exposure(inlet) is not None for inlet in joiner.inlets):
        return PASSED
    if not blocks(joiner) or blocked_conductor(joiner) != "negative":
        return PASSED
    return _failed(
        Severity.NOTE,
        "inlets",
        "the plus pin of an empty inlet stays live",
        why="It blocks in the negative, so another pack holds the plus of the inlet that is left empty.",
        do="Cap the inlet that is left empty.",
    )


def _empty_inlet(case: Case, joiner: Joiner) -> Failed | None:
    """Pins in an inlet of a plain joiner that no lead goes to.

    One lead in and several out is a splitter: it has no other inlet. Packs that are not bonded are stopped by
    packs-rush whatever its inlets are.
    """
    drawing = harness(case)
    leads = drawing.feeding(joiner.name)
    packs = drawing.packs_behind.get(joiner.path, ())
    if not packs or (len(leads) == 1 and len(joiner.outlets) > 1) or (len(packs) > 1 and joiner.bonded is None):
        return None
    used = {inlet_index(case, lead) for lead in leads}
    for index, inlet in enumerate(joiner.inlets):
        bare = exposure(inlet) if inlet is not None and index not in used else None
        if bare is None or inlet is None or not is_plain(joiner):
            continue
        sockets = _sockets(inlet)
        mend = Mend(
            f"{sockets} in the inlet that is empty, with a cap",
            (Change(joiner.path, "inlets", with_item(joiner.inlets, index, sockets)),),
        )
        mends = () if is_bare(inlet.family) else (mend,)
        return _failed(bare, "inlets", f"{_bare(inlet)} in an inlet that no lead goes to", mends)
    return None


def _lead(case: Case, lead: Lead) -> Outcome:
    if lead.direct:
        return None
    end = lead.ends[1]
    if end is None:
        return Undecided(
            message="its far end is not in the file: pins or sockets?",
            asks=((lead, "ends"),),
            passes_if=f"{SOCKETS} at {target_part(case.build, lead).name}",
        )
    bare = exposure(end)
    if bare is None:
        return PASSED
    message = f"{_bare(end)} on its live end, at {target_part(case.build, lead).name}"
    return _failed(bare, "ends", message, _swap_far_end(case, lead, end))


def _swap_far_end(case: Case, lead: Lead, end: End) -> tuple[Mend, ...]:
    if is_bare(end.family):
        return ()
    sockets = _sockets(end)
    target = target_part(case.build, lead)
    changes = [Change(lead.path, "ends", with_item(lead.ends, 1, sockets))]
    inlet = inlet_of(case, lead)
    if inlet is not None:
        if isinstance(target, Controller):
            changes.append(Change(target.path, "inlet", mate_of(sockets)))
        elif isinstance(target, Joiner):
            inlets = with_item(target.inlets, inlet_index(case, lead), mate_of(sockets))
            changes.append(Change(target.path, "inlets", inlets))
    return (Mend(f"{sockets} on the lead, {mate_of(sockets)} on {target.name}", tuple(changes)),)


def _failed(
    severity: Severity,
    field: str,
    message: str,
    mends: tuple[Mend, ...] = (),
    why: str = WHY,
    do: str = "",
    also: tuple[Part, ...] = (),
) -> Failed:
    return Failed(
        severity=severity,
        message=message,
        why=why,
        do=do or (BOLTED if message.startswith("bare lugs") else SWAP),
        field=field,
        also=also,
        mends=(mends,) if mends else (),
    )


RULE = Rule(
    name="live-pins",
    kind="danger",
    doubt="whether bare pins stay live",
    page=__doc__ or "",
    basis=("IEC 60204-1, IEC 61984, from memory",),
    parts=parts,
    check=check,
)
