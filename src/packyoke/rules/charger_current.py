"""A charger gives more current than a pack may be charged with.

What
    The charger's current, against what each pack takes that it is for: those it fits, those it
    reaches through a joiner, and those that are joined to them for good.
Why
    Cells that are charged too fast get hot and grow lithium metal inside: they age early, and one
    day short themselves. The wires of the charging side are sized for the pack's limit too.
Limit
    Charger current at most the charge limit of every single pack. Several packs behind one charger
    never share: the lowest takes everything until it has caught up. Chargers in several joiners
    add. A pack without a figure counts with 0.2 to 0.5 x its capacity for one hour; one with
    charge: none  and a socket of its own has none: a caution above 0.5 x its capacity for one hour.

    Chargers at packs' own sockets, with each other or with those in joiners: all that can be
    plugged in at one time and give together more than the pack takes are a caution. Packs that are
    joined for good have a socket each, and the lowest limit of them counts. A charger of no more
    volts than an empty pack has adds nothing.
Do
    A charger within the limit of the pack that takes least, or one for each kind of pack.
Rider notices
    battery gets hot while charging; charger cuts out; range goes down within a year
Fails
    in skerry-long-tail
    chargers.counter.current: 5 A
Passes
    in skerry-long-tail
    chargers.counter.current: 4 A
Sources
    Common practice, 0.2 to 0.5 C.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.at_once import above_together
from packyoke.analysis.charging.meant import charge_limit_a, concerns, meant
from packyoke.analysis.circuit.bonded import group_of
from packyoke.analysis.circuit.currents import charged_together
from packyoke.analysis.limits.margins import above
from packyoke.analysis.unknowns.spans import ends
from packyoke.core.findings import Amount, Severity, one, shown
from packyoke.core.words import listed
from packyoke.model import Charger, Pack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, chargers


def check(case: Case, charger: Charger) -> Outcome:
    least: Pack | None = None
    least_a = 0.0
    for name, pack in case.build.packs.items():
        limit_a = charge_limit_a(pack) if _gets_into(case, charger, name) else None
        if limit_a is not None and (least is None or limit_a < least_a):
            least, least_a = pack, limit_a
    if least is None:
        return _no_limit(case, charger)
    amps = known(charger.current_a, charger, "current_a")
    if not above(amps, least_a):
        return _together(case, charger) or _at_once(case, charger) or _no_limit(case, charger) or PASSED
    names = [pack.name for pack in _overcharged(case, charger, amps)]
    return Failed(
        severity=Severity.STOP,
        message="charging current above the pack's limit",
        found=Amount(amps, "A"),
        limit=Amount(least_a, "A", f"({least.name})"),
        why="Cells charged too fast get hot and age; through a joiner the lowest pack takes it all."
        if charger.through is not None
        else "Cells charged too fast get hot, age early, and can short themselves later.",
        do=one(f"{shown(least_a)} A charger for {least.name}; take {least.name} away from this one.", first=True),
        field="current_a",
        also=(least,),
        mends=(
            [Mend(f"A charger of at most {shown(least_a)} A", (Change(charger.path, "current_a", least_a),))],
            _without(case, charger, names),
        ),
    )


def _gets_into(case: Case, charger: Charger, name: str) -> bool:
    """Whether a charger is for a pack, or for one that is joined to it for good: then it may take all the current."""
    bonded = group_of(case, name)
    return any(concerns(case, charger.name, each) for each in (bonded.packs if bonded else (name,)))


def _no_limit(case: Case, charger: Charger) -> Failed | None:
    """Packs that charge through a socket of their own state no limit for it: what is usual for their capacity."""
    for pack in case.build.packs.values():
        if charge_limit_a(pack) is not None or pack.charge_inlet is None or not concerns(case, charger.name, pack.name):
            continue
        known(pack.capacity_coulomb, pack, "capacity_coulomb")
        usual_a = max(ends(case.build, pack, "charge_a"))
        amps = known(charger.current_a, charger, "current_a")
        if above(amps, usual_a):
            return Failed(
                severity=Severity.CAUTION,
                message="charges faster than usual, and the pack states no limit",
                found=Amount(amps, "A"),
                limit=Amount(usual_a, "A", f"(0.5 x the capacity of {pack.name} in an hour)"),
                why="What the charge socket of the pack takes is not in the file.",
                do=f"Ask for the charge limit of {pack.name}, or use a smaller charger.",
                field="current_a",
                cause="usual",
                also=(pack,),
            )
    return None


def _together(case: Case, charger: Charger) -> Failed | None:
    """A pack into which chargers in several joiners charge at one time, said at the first of them."""
    for pack in case.build.packs.values():
        amps, names = charged_together(case, pack.path)
        if len(names) < 2 or charger.name != names[0] or not pack.charges_at_outlet:
            continue
        limit_a = known(pack.charge_a, pack, "charge_a")
        if above(amps, limit_a):
            changes = tuple(Change(case.build.chargers[name].path, "through", None) for name in names)
            return Failed(
                severity=Severity.STOP,
                message="charging current above the pack's limit",
                found=Amount(amps, "A", f"({' and '.join(names)} at one time)"),
                limit=Amount(limit_a, "A", f"({pack.name})"),
                why="Both work into one harness, and the lowest pack takes it all.",
                do="Plug in one charger at a time, or charge each pack by itself.",
                field="through",
                cause="together",
                also=(pack,),
                mends=((Mend("Charge each pack by itself, at its own socket", changes),),),
            )
    return None


def _at_once(case: Case, charger: Charger) -> Failed | None:
    """Chargers at packs' own sockets, with each other or with those in joiners; said at the first of them.

    One that gives too much by itself is told as that.
    """
    found = above_together(case, charger)
    if not found:
        return None
    worst = max(found, key=lambda each: each.current_a / each.limit_a)
    names = listed(each.name for each in worst.chargers)
    others = [each for each in worst.chargers if each is not charger]
    why = "A pack that stays plugged in gets the current of all of them at one time."
    if group_of(case, worst.pack.name) is not None:
        why = "They work into one pair of wires: when the protection of one pack opens, what is left gets all of it."
    return Failed(
        severity=Severity.CAUTION,
        message=f"together with {listed(each.name for each in others)} above what {worst.pack.name} takes",
        found=Amount(worst.current_a, "A", f"({names} at one time)"),
        limit=Amount(worst.limit_a, "A", f"({worst.pack.name})"),
        why=why,
        do="One charger at a time: keep only one with the bike, or tell the customer.",
        field="current_a",
        cause="at once",
        also=(*others, worst.pack),
    )


def _overcharged(case: Case, charger: Charger, amps: float) -> list[Pack]:
    return [
        pack
        for name, pack in case.build.packs.items()
        if _gets_into(case, charger, name) and pack.charge_a is not None and above(amps, pack.charge_a)
    ]


def _without(case: Case, charger: Charger, names: list[str]) -> list[Mend]:
    """The charger kept for the packs that take its current."""
    if charger.through is not None or charger.y_lead:
        return []
    kept = tuple(name for name in case.build.packs if name not in names and meant(case, charger.name, name))
    return [Mend(f"Take {' and '.join(names)} out of  fits:", (Change(charger.path, "fits", kept),))] if kept else []


RULE = Rule(
    name="charger-current",
    kind="damage",
    doubt="whether the charger's current is right for its packs",
    page=__doc__ or "",
    basis=("common practice",),
    parts=chargers,
    check=check,
)
