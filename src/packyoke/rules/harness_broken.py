"""The drawing is no harness: something is not connected, or connected the wrong way round.

What
    Every lead has a beginning and an end, from the packs towards the controller. The drawing breaks
    when a pack never reaches a controller, a controller or joiner has no pack behind it, leads run
    in a circle, a lead runs the wrong way, or more leads go into or out of a part than it has
    places for.
Why
    Nothing that follows from the wiring can be decided on a drawing that cannot be built: which
    current goes where, which pack can feed which. A bike without a pack or a controller is not
    found to be in order, it is not described yet.
Limit
    inputs of the joiner, outlets of the joiner, one outlet for each pack, one inlet for each
    controller, which the wire of the bike maker's own joiner takes; no way comes back to where it
    was; one way from a pack to a controller.
Do
    Draw the lead that is missing, or turn the one that is the wrong way round: `from` is the side
    of the pack, `to` the side of the controller. Two packs into one inlet need a joiner; n packs
    need n - 1 joiners with two inputs.
Rider notices
    a pack does nothing at all; the bike is dead; bike does not switch on; no power at all
Fails
    in skerry-long-tail
    leads.main lead.from: keel
Passes
    in skerry-long-tail
    leads.main lead.from: yoke
Sources
    Common practice; the definition of a joiner.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import Fault, faults, harness
from packyoke.core.findings import Amount, Severity
from packyoke.core.paths import name_of
from packyoke.core.words import listed
from packyoke.model import Build, Controller, Joiner, Lead, Pack, Part
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided
from packyoke.rules.rule import Rule

MESSAGES = {
    "reaches no controller": "not connected to a controller",
    "not fed": "no pack feeds it",
    "loop": "leads back to where it came from",
    "backwards": "runs the wrong way",
    "too many leads in": "more leads go in than it has places for",
    "too many leads out": "more leads go out than it has places for",
    "one inlet twice": "two leads in one inlet",
    "two ways": "a second way between the same parts",
    "too many ways": "its leads part and meet again too often to follow",
}
WHYS = {
    "loop": "Current would go round in a circle; nothing that depends on the way of a current can be told.",
    "round a joiner": "The other packs meet this one past the joiner, and nothing blocks there: the fuller one empties "
    "itself into the other.",
    "two ways": "How two ways share a current is not told; either carries all when a plug of the other works loose.",
    "backwards": "A lead runs from the packs towards the controller; drawn like this something has no way out.",
}
MEET_WHY = "Leads that meet in one inlet are a plain joiner: the fuller pack empties itself into the other at once."
MEET_DO = "Let the packs meet in a joiner that blocks, with one lead from it to the controller."
BUILT_IN_DO = "Lead the packs into {}: its own wire takes the inlet of the controller."
BUILT_IN_TWICE_DO = "Describe what the bike maker built in as one joiner, with all its inputs."
PACK_DO = "Leave one lead at its outlet."
WHY = "What is not drawn cannot be checked: no current, fuse or voltage on this way has been decided."
DOS = {
    "reaches no controller": "Draw the lead that is missing, from the pack's side to a joiner or the controller.",
    "not fed": "Draw the lead that feeds it, or leave the part out.",
    "loop": "Take this lead out, or let it end at the controller's side.",
    "backwards": "Exchange `from` and `to`, and the two ends.",
    "too many leads in": "Add a joiner, or say how many inputs this one has.",
    "too many leads out": "Take leads out until one is left for each outlet, or list its outlets.",
    "one inlet twice": "Give each lead an inlet of its own.",
    "round a joiner": "Take this lead out: every way of the packs goes through the joiner.",
    "two ways": "Draw one lead, of a size that carries everything.",
    "too many ways": "Draw each joiner with one lead out.",
}


NOTHING_DRAWN = "Nothing is drawn yet: packyoke plan lays it out."


def parts(case: Case) -> list[Part]:
    """The build itself, and each part that is at fault."""
    build = case.build
    return [build, *(build.part(path) for path in dict.fromkeys(fault.part for fault in faults(case)))]


MOST_LEADS = 4
"""Leads beside one another that are named."""


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Build):
        return _described(part)
    for fault in faults(case):
        if fault.part == part.path:
            return _broken(case, part, fault)
    return PASSED


def _described(build: Build) -> Outcome:
    if build.packs and build.controllers:
        return PASSED
    missing = "pack" if not build.packs else "controller"
    return Undecided(
        message=f"no {missing} is described",
        asks=(),
        why="An empty drawing has no faults, but nothing on it has been found in order either.",
        do=f"Describe the {missing} and the leads between the packs and the controller.",
    )


def _broken(case: Case, part: Part, fault: Fault) -> Failed:
    counted = fault.most > 0
    why = WHYS.get(fault.kind, WHY) if counted or fault.kind in WHYS else f"{_sentence(fault.about)} {WHY}"
    do = DOS[fault.kind]
    if fault.kind == "round a joiner":
        message = f"goes round {' and '.join(case.build.part(path).name for path in fault.others)}"
    else:
        message = MESSAGES[fault.kind]
    if fault.kind == "too many leads out" and isinstance(part, Pack):
        do = PACK_DO
    if fault.kind == "too many leads in" and isinstance(part, Controller):
        # One inlet takes one lead: there is nothing to say about how many it has.
        meet = len(harness(case).packs_behind.get(part.path, ())) > 1
        why, do = (MEET_WHY, MEET_DO) if meet else (WHYS["two ways"], DOS["two ways"])
        if fault.others:
            inside = " or ".join(case.build.part(path).name for path in fault.others)
            do = BUILT_IN_DO.format(inside) if fault.found > len(fault.others) else BUILT_IN_TWICE_DO
    if fault.kind == "two ways" and fault.others:
        names = sorted([part.name, *map(name_of, fault.others)])
        if len(names) > MOST_LEADS:
            names = [*names[:MOST_LEADS], f"{len(names) - MOST_LEADS} more"]
        do = f"{do.removesuffix('.')}, in place of {listed(names)}."
    return Failed(
        severity=Severity.STOP,
        message=message,
        found=Amount(fault.found, "leads") if counted else None,
        limit=Amount(fault.most, "place" if fault.most == 1 else "places") if counted else None,
        why=why,
        do=do if case.build.leads else f"{do} {NOTHING_DRAWN}",
        kind="danger" if why in (MEET_WHY, WHYS["round a joiner"]) else "will-not-work",
        cause=fault.kind,
        field=_field(part, fault),
        mends=_mends(part, fault),
        also=tuple(case.build.part(path) for path in fault.others),
    )


def _sentence(about: str) -> str:
    return f"{about[0].upper()}{about[1:]}."


def _field(part: Part, fault: Fault) -> str:
    if isinstance(part, Joiner):
        return {"too many leads in": "inputs", "too many leads out": "outlets"}.get(fault.kind, "")
    return "target" if isinstance(part, Lead) else ""


def _mends(part: Part, fault: Fault) -> tuple[tuple[Mend, ...], ...]:
    if isinstance(part, Lead) and fault.kind == "backwards":
        turned = (
            Change(part.path, "source", part.target),
            Change(part.path, "target", part.source),
            Change(part.path, "ends", part.ends[::-1]),
            Change(part.path, "inlet", None),
        )
        return ((Mend(f"Write  from: {part.target}, to: {part.source}  and exchange the two ends", turned),),)
    if isinstance(part, Joiner) and fault.kind == "too many leads in" and part.inlets:
        inlets = part.inlets + part.inlets[-1:] * (fault.found - len(part.inlets))
        wider = (Change(part.path, "inputs", fault.found), Change(part.path, "inlets", inlets))
        return ((Mend(f"A joiner with {fault.found} inputs", wider),),)
    return ()


RULE = Rule(
    name="harness-broken",
    kind="will-not-work",
    doubt="whether the packs reach a controller",
    page=__doc__ or "",
    basis=("common practice",),
    parts=parts,
    check=check,
)
