"""A pack sleeps until something wakes it, so it does not take over when the first drops out.

What
    Packs on one harness are meant to take over from each other. This one switches on only by a
    button, a key, a charger, by something drawing current from it, or on a dead harness.
Why
    When the pack that carries the ride is empty or trips, the sleeping one stays off: the bike
    stops, up a hill or in traffic, though a full pack is plugged in. A pack that wants a dead
    harness never switches on while another pack holds the voltage up.
Limit
    Where more than one pack can feed a controller, each should wake always. Not known counts as
    either.
Do
    Set its protection to stay on where it has such a setting. Otherwise wake every pack before the
    ride, in the order that works, and write it on the sheet for the customer.
Rider notices
    dies on hills though the second pack is full; second pack never goes down; does not switch on;
    must press a button on the pack to ride on; no spark any more when it is plugged in; battery does not spark
Fails
    in skerry-long-tail
    packs.pannier.bms: {charge_path: common, data: none, wakes: button}
Passes
    in skerry-long-tail
    packs.pannier.bms: {charge_path: common, data: none, wakes: always}
Sources
    Behaviour of protection circuits (memory).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import Severity
from packyoke.model import Pack, known
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, packs_on_ways

HOW = {
    "load": "wakes only when something draws from it, and another pack keeps that from happening",
    "button": "wakes only by its button",
    "key": "wakes only by its key",
    "charger": "wakes only on a charger",
    "dead bus": "does not switch on while another pack holds the harness up",
}


def check(case: Case, pack: Pack) -> Outcome:
    if not _can_follow(case, pack):
        return None
    wakes = known(pack.wakes, pack, "wakes")
    if wakes == "always":
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message=HOW[wakes],
        why="When the pack that carries the ride is empty or trips, this one stays off: the bike stops although "
        "charge is on board.",
        do="Plug it in and switch it on before the others, while nothing else is connected."
        if wakes == "dead bus"
        else "Set its protection to stay on, or wake every pack before the ride and say so to the customer.",
        field="wakes",
    )


def _can_follow(case: Case, pack: Pack) -> bool:
    """Whether another pack feeds a controller that this one feeds."""
    drawing, controllers = harness(case), case.build.controllers
    ahead = drawing.controllers_ahead[pack.path]
    return any(len(drawing.packs_behind[controllers[name].path]) > 1 for name in ahead)


RULE = Rule(
    name="pack-asleep",
    kind="will-not-work",
    doubt="whether it takes over when another pack drops out",
    page=__doc__ or "",
    basis=("protection circuits, from memory",),
    parts=packs_on_ways,
    check=check,
    gravest=Severity.CAUTION,
)
