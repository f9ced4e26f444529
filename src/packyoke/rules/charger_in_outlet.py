"""A charger goes into a pack where it must not be charged.

What
    Where the plug of each charger goes: into the discharge outlet of a pack that it is for, and
    whether that pack may be charged there, or at all.
Why
    Where charging has a path of its own, current into the discharge outlet passes the protection
    by: nothing stops it when the cells are full. A pack whose maker says that it is never charged
    has nothing that watches the charge.
Limit
    No charger whose plug is of the family of the outlet, where  charge_path: separate  or
    charge: none. A pack with  charge: none  and no charge inlet takes no charger at all.
Do
    A plug of another family on the charger and on the pack's charging socket, so that it goes in
    nowhere else.
Rider notices
    charger plugged into the wrong socket; battery gets hot while charging; puffy after charging
Fails
    in skerry-long-tail
    packs.keel.bms: {charge_path: separate, data: none, wakes: always}
    chargers.counter.plug: XT60
Passes
    in skerry-long-tail
    packs.keel.bms: {charge_path: separate, data: none, wakes: always}
    chargers.counter.plug: 5.5 mm barrel
Sources
    Protection circuits with separate charge and discharge paths (from memory).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import concerns, never_charged, unguarded_outlet
from packyoke.analysis.charging.plugs import same_plug
from packyoke.core.findings import Severity
from packyoke.model import Charger, Pack
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, chargers


def check(case: Case, charger: Charger) -> Outcome:
    if charger.through is not None:
        return None
    # By voltage nothing can be said yet: the question is asked elsewhere, and counts here as being for every pack.
    for_all = charger.output_v is None and charger.fits is None
    for name, pack in case.build.packs.items():
        if not for_all and not concerns(case, charger.name, name):
            continue
        if never_charged(pack):
            return _never(charger, pack)
        if unguarded_outlet(charger, pack):
            return _in_outlet(case, charger, pack)
    return PASSED


def _never(charger: Charger, pack: Pack) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message=f"{pack.name} must not be charged",
        why="The file says  charge: none  and names no charging socket: nothing in the pack watches a charge.",
        do=f"Take {pack.name} away from this charger:  fits:  without it. If it has a charging socket, write it down:  "
        "charge_inlet: ..",
        field="fits",
        cause="never",
        also=(pack,),
    )


def _in_outlet(case: Case, charger: Charger, pack: Pack) -> Failed:
    others = tuple(name for name in case.build.packs if name != pack.name and concerns(case, charger.name, name))
    own = pack.charge_inlet
    mends = []
    if own is not None and not same_plug(own.family, str(pack.outlet.family if pack.outlet else "")):
        mends.append([Mend(f"{own.family} as its plug", (Change(charger.path, "plug", own.family),))])
    if others:
        mends.append([Mend(f"Take {pack.name} out of  fits:", (Change(charger.path, "fits", others),))])
    return Failed(
        severity=Severity.STOP,
        message=f"its plug goes into the discharge outlet of {pack.name}",
        why="Charging has a path of its own there: at the outlet nothing stops the charger when the cells are full.",
        do=f"Another plug family for the charger and the charging socket of {pack.name}.",
        field="plug",
        cause="outlet",
        also=(pack,),
        mends=tuple(mends),
    )


RULE = Rule(
    name="charger-in-outlet",
    kind="danger",
    doubt="whether its plug goes into an outlet that must not be charged",
    page=__doc__ or "",
    basis=("protection circuits, from memory",),
    parts=chargers,
    check=check,
)
