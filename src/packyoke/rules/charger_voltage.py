"""A charger puts out another voltage than its pack charges to.

What
    The charger's output without a pack, against the full charge of every pack that it is for:
    those it fits, those it reaches through a joiner, and, where it lists none, those that it can
    be plugged into and that have no other charger of the right voltage.
Why
    Too high: the cells are pushed beyond what they hold, and only the protection circuit stands
    between that and a fire. Too low: the pack never fills, and its cells are never evened out.
Limit
    At most full charge + 0.5 %: above is a stop. Within 1 % below is right; 1 to 5 % below is a
    note; more than 5 % below is a caution, and below 82 % (nominal over full of cells) the pack is
    hardly charged. Full charge is cells in series x 4.20 V (LFP 3.65 V), never the number on the label.
Do
    A charger for this pack's full charge; take the pack out of  fits:  and mark the plugs.
Rider notices
    battery never shows full; charger light stays red; battery gets hot while charging; pack charges over its
    voltage; charger never stops
Fails
    in skerry-long-tail
    chargers.counter.output: 67.2 V
Passes
    in skerry-long-tail
    chargers.counter.output: 58.8 V
Sources
    Full charge for each cell: upper limits of published cell sets (read); the bands: common
    practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import (
    FAR_TOO_LOW,
    SLIGHTLY_LOW,
    TOO_HIGH,
    TOO_LOW,
    concerns,
    meant,
    output_v,
    voltage_fit,
)
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.model import Charger, Pack
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided
from packyoke.rules.rule import Rule, chargers

SEVERITIES = {
    TOO_HIGH: Severity.STOP,
    FAR_TOO_LOW: Severity.CAUTION,
    TOO_LOW: Severity.CAUTION,
    SLIGHTLY_LOW: Severity.NOTE,
}
MESSAGES = {
    TOO_HIGH: "charges to more than the pack holds",
    FAR_TOO_LOW: "hardly charges the pack",
    TOO_LOW: "never fills the pack",
    SLIGHTLY_LOW: "never fills the pack",
}
WHY = {
    TOO_HIGH: "The cells are pushed beyond what they hold; only the protection circuit stands between that and a fire.",
    FAR_TOO_LOW: "It is made for fewer cells in series: it stops before the pack is half full, and gives a fuller one "
    "nothing at all.",
    TOO_LOW: "It stops before the pack is full, and cells that have drifted apart are never evened out.",
    SLIGHTLY_LOW: "It stops before the pack is full, and cells that have drifted apart are never evened out.",
}


def check(case: Case, charger: Charger) -> Outcome:
    if charger.output_v is None and charger.fits is None:
        # By voltage nothing fits at either end of the span: no value that could be tried would stand for this one.
        return Undecided(
            message="its output is not in the file, nor which packs it is for",
            asks=((charger, "output_v"),),
            passes_if="the full charge of the packs that it is used for",
            do="Read the d.c. output on its label, or list its packs:  fits: [..]",
        )
    worst: tuple[Severity, Pack] | None = None
    looked = False
    for name, pack in case.build.packs.items():
        if not concerns(case, charger.name, name):
            continue
        looked = True
        severity = _severity(output_v(charger), full_charge_v(pack))
        if severity is not None and (worst is None or severity > worst[0]):
            worst = severity, pack
    if worst is None:
        return PASSED if looked else None
    return _failed(case, charger, *worst)


def _severity(charger_v: float, full_v: float) -> Severity | None:
    return SEVERITIES.get(voltage_fit(charger_v, full_v))


def _failed(case: Case, charger: Charger, severity: Severity, pack: Pack) -> Failed:
    charger_v, full_v = output_v(charger), full_charge_v(pack)
    fit = voltage_fit(charger_v, full_v)
    high = fit == TOO_HIGH
    return Failed(
        severity=severity,
        kind="danger" if high else "wear",
        message=MESSAGES[fit],
        found=Amount(charger_v, "V"),
        limit=Amount(full_v, "V", f"full charge of {pack.name}"),
        relation="at most" if high else "at least",
        why=WHY[fit],
        do=one(f"{shown(full_v)} V charger for {pack.name}; take {pack.name} away from this one.", first=True),
        field="output_v",
        cause="high" if high else "low",
        also=(pack,),
        mends=(_right(case, charger, full_v), _without(case, charger)) if severity > Severity.NOTE else (),
    )


def _right(case: Case, charger: Charger, full_v: float) -> list[Mend]:
    return [Mend(one(f"{shown(full_v)} V charger", first=True), (Change(charger.path, "output_v", full_v),))]


def _without(case: Case, charger: Charger) -> list[Mend]:
    """The charger kept for the packs that it suits."""
    if charger.through is not None or charger.y_lead:
        return []
    names = [name for name in case.build.packs if meant(case, charger.name, name)]
    kept = tuple(name for name in names if _severity(output_v(charger), full_charge_v(case.build.packs[name])) is None)
    if not kept:
        return []
    dropped = " and ".join(name for name in names if name not in kept)
    return [Mend(f"Take {dropped} out of  fits:", (Change(charger.path, "fits", kept),))]


RULE = Rule(
    name="charger-voltage",
    kind="danger",
    doubt="whether the charger's voltage is right for its packs",
    page=__doc__ or "",
    basis=("common practice",),
    parts=chargers,
    check=check,
)
