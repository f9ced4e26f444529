"""Current can enter a pack where its protection cannot stop it.

What
    The pack charges through a path of its own. Its outlet has a switch for discharge only, and here
    something can push current in at the outlet: another pack, braking, or a charger in a joiner.
Why
    Charge that comes in at the outlet passes no charge switch: nothing stops it when a cell is
    full, too cold or too hot. An overcharged lithium cell burns.
Limit
    No current at all may enter the outlet of a pack whose charge path is separate, or that may not
    be charged through its outlet. A common path may. Braking into one of  charge: none  is told by
    regen-trapped.
Do
    Fit a joiner that blocks on the pack's way, switch braking into the packs off, and charge the
    pack by its own socket.
Rider notices
    one pack charges the other;
    a pack got hot while riding downhill or at rest; pack is fuller after the ride than before
Fails
    in quay-plain-trike
    packs.new.bms: {charge_path: separate, data: none, wakes: always}
Passes
    in quay-plain-trike
    packs.new.bms: {charge_path: common, data: none, wakes: always}
Sources
    How protection circuits with separate ports are built (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import guarded_at_outlet, obstacle
from packyoke.analysis.circuit.currents import brakes_into, braking_a, surely_brakes
from packyoke.analysis.harness.joining import feeds
from packyoke.core.findings import Amount, Severity
from packyoke.model import Pack, Part
from packyoke.rules.mends import blocking_joiners
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, packs_on_ways

WHY = "Nothing stops the charge when a cell is full, too cold or too hot; an overcharged lithium cell burns."
MESSAGE = "charged at its outlet, where its protection cannot stop it"


def check(case: Case, pack: Pack) -> Outcome:
    if pack.charge_path == "common" and pack.charges_at_outlet:
        return PASSED
    return _by_pack(case, pack) or _by_braking(case, pack) or _by_charger(case, pack) or PASSED


def _by_pack(case: Case, pack: Pack) -> Outcome:
    for other in case.build.packs.values():
        if other is pack:
            continue
        meeting = feeds(case, other.name, pack.name)
        if meeting is not None and not guarded_at_outlet(pack):
            return _failed(
                pack,
                "pack",
                f"from {other.name}, through {meeting.joiner.name}",
                "Fit a joiner that blocks.",
                also=(other, meeting.joiner),
                mends=(blocking_joiners(case, meeting.joiner.path),),
            )
    return None


def _by_braking(case: Case, pack: Pack) -> Outcome:
    if not pack.charges_at_outlet:
        return None  # any braking is more than it takes there: regen-trapped says so
    if not braking_a(case, pack.path) or guarded_at_outlet(pack):
        return None
    into = brakes_into(case, pack.path)
    braking = [each for each in into if surely_brakes(case, each)] or into
    current_a = sum(each.regen_a or 0.0 for each in braking)
    changes = tuple(Change(each.path, "regen_a", 0.0) for each in braking)
    return _failed(
        pack,
        "braking",
        "from the motor, when it brakes",
        "Switch braking into the packs off.",
        found=Amount(current_a, "A", "braking"),
        also=tuple(braking),
        mends=((Mend("Switch braking into the packs off", changes),),),
    )


def _by_charger(case: Case, pack: Pack) -> Outcome:
    for charger in case.build.chargers.values():
        if charger.through is None or obstacle(case, charger.name, pack.name) is not None or guarded_at_outlet(pack):
            continue
        return _failed(
            pack,
            "charger",
            f"from {charger.name}, through {charger.through}",
            "Charge it by its own socket; take the charger out of the joiner.",
            also=(charger,),
            mends=((Mend(f"Use {charger.name} at the packs' own sockets", (Change(charger.path, "through", None),)),),),
        )
    return None


def _failed(
    pack: Pack,
    cause: str,
    how: str,
    do: str,
    also: tuple[Part, ...],
    mends: tuple[Sequence[Mend], ...],
    found: Amount | None = None,
) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message=MESSAGE,
        found=found,
        limit=Amount(0.0, "A", "into this outlet"),
        why=f"Current comes in {how}. {WHY}",
        do=do,
        field="charge_path" if pack.charges_at_outlet else "charge_a",
        cause=cause,
        mends=mends,
        also=also,
    )


RULE = Rule(
    name="back-charged",
    kind="danger",
    doubt="whether it may be charged at its outlet",
    page=__doc__ or "",
    basis=("from memory",),
    parts=packs_on_ways,
    check=check,
)
