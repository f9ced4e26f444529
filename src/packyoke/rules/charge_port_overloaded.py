"""A charger gives more current than what it is plugged through may carry.

What
    The charger's current, against the contacts of its plug and of the inlets that it goes into, a
    pack's charge socket or a joiner's, and against what is stated for the charge port.
Why
    The contacts and the small wires behind a charge port get hot for hours, with nobody looking,
    and next to the packs.
Limit
    Charger current at most the current of the port. Contacts: caution above their cautious rating,
    stop above 1.4 times it, which is twice the heat. What a plug that the shelf does not know bears is
    not asked. A plug that is not in the file may be that of any other charger, or fit any socket here.
Do
    A smaller charger, or charge each pack by itself at its own socket.
Rider notices
    hot charge socket; charger plug gets hot; melted charging plug; smell of plastic while charging
Fails
    in skerry-long-tail
    chargers.counter.through: yoke
    joiners.yoke.charge_port: {current: 3 A, blocks: each pack, inlet: XT60 socket}
Passes
    in skerry-long-tail
    chargers.counter.through: yoke
    joiners.yoke.charge_port: {current: 5 A, blocks: each pack, inlet: XT60 socket}
Sources
    The joiner maker's figure; ratings of contacts: common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.contacts import TWICE_THE_HEAT, families, weakest_contact
from packyoke.analysis.charging.meant import concerns, port_of
from packyoke.analysis.limits.contacts import contact
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import ChargePort, Charger, End, Part, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, chargers


def check(case: Case, charger: Charger) -> Outcome:
    port = port_of(case, charger)
    if port is not None:
        limit_a = known(port.current_a, port, "current_a")
        amps = known(charger.current_a, charger, "current_a")
        if above(amps, limit_a):
            return _port(charger, port, amps, limit_a)
    # Behind a joiner it is the plug alone that counts.
    packs = (
        []
        if charger.through is not None
        else [pack for name, pack in case.build.packs.items() if concerns(case, charger.name, name)]
    )
    if charger.through is None and not packs:
        return None
    worst = weakest_contact(case, charger, packs)
    if worst is not None:
        limit_a, part, family, source = worst
        amps = known(charger.current_a, charger, "current_a")
        if above(amps, limit_a):
            return _contact(charger, part, family, source, amps, limit_a)
    if _may_be_too_much(case, charger):
        known(charger.plug, charger, "plug")
    return PASSED


def _may_be_too_much(case: Case, charger: Charger) -> bool:
    """Whether a charger whose plug nobody knows gives more than the smallest of these connectors bears: else any will
    do."""
    if charger.plug is not None:
        return False
    bear = (contact(case, End(family, "pin", "pin")) for family in families(case))
    least_a = min(each.limit_a for each in bear if each is not None and each.limit_a is not None)
    return above(known(charger.current_a, charger, "current_a"), least_a)


def _contact(charger: Charger, part: Part, family: str, source: str, amps: float, limit_a: float) -> Failed:
    stops = above(amps, TWICE_THE_HEAT * limit_a)
    return Failed(
        severity=Severity.STOP if stops else Severity.CAUTION,
        message=f"gives more than one {family} contact carries",
        found=Amount(amps, "A"),
        limit=Amount(limit_a, "A", f"({family}, cautious rating)"),
        why="The plug gets hot for hours, with nobody looking, next to the pack.",
        do=f"A charger of at most {shown(limit_a)} A, or larger connectors on both halves.",
        field="plug" if part is charger else "current_a",
        cause="contact",
        also=() if part is charger else (part,),
        mends=([Mend(f"A charger of at most {shown(limit_a)} A", (Change(charger.path, "current_a", limit_a),))],),
        basis=(source,),
    )


def _port(charger: Charger, port: ChargePort, amps: float, limit_a: float) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message="gives more than the charge port carries",
        found=Amount(amps, "A"),
        limit=Amount(limit_a, "A", f"({charger.through})"),
        why="The contacts and the wires behind the port get hot for hours, next to the packs.",
        do="A smaller charger, or charge each pack by itself at its own socket.",
        field="current_a",
        also=(port,),
        mends=(
            [Mend(f"A charger of at most {shown(limit_a)} A", (Change(charger.path, "current_a", limit_a),))],
            [Mend("Charge each pack by itself, at its own socket", (Change(charger.path, "through", None),))],
        ),
    )


RULE = Rule(
    name="charge-port-overloaded",
    kind="danger",
    doubt="whether what it is plugged through carries the charger's current",
    page=__doc__ or "",
    basis=("the joiner's maker",),
    parts=chargers,
    check=check,
)
