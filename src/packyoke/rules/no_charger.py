"""No charger of this bike charges a pack.

What
    A pack that none of the listed chargers fits, and that none reaches through a joiner.
Why
    Somebody will take whatever charger is at hand.
Limit
    One charger at least that lists the pack under  fits:, or, where a charger lists none, goes
    into its socket, or reaches it through a joiner that does not block. Packs that are joined for
    good are filled by one on any of them.
Do
    Add a charger for its full charge and within its charge limit, or add the pack to  fits: .
Rider notices
    will not charge; no charger came with the pack
Fails
    in skerry-long-tail
    chargers.counter.fits: [keel]
Passes
    in skerry-long-tail
    chargers.counter.fits: [keel, pannier]
Sources
    Common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import charges
from packyoke.analysis.circuit.bonded import group_of
from packyoke.core.findings import Severity, one, shown
from packyoke.model import Pack
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, packs


def check(case: Case, pack: Pack) -> Outcome:
    bonded = group_of(case, pack.name)  # one charger on any of them fills them all
    for name in case.build.chargers:
        if any(charges(case, name, each) for each in (bonded.packs if bonded else (pack.name,))):
            return PASSED
    volts = f"{shown(pack.full_charge_v)} V charger" if pack.full_charge_v else "charger for its full charge"
    amps = f", at most {shown(pack.charge_a)} A" if pack.charge_a else ""
    listed = [each.name for each in case.build.chargers.values() if pack.name in (each.fits or ())]
    return Failed(
        severity=Severity.NOTE,
        message="no charger reaches it" if listed else "no charger fits it",
        why="Somebody will take whatever charger is at hand.",
        do=f"Charge it with {listed[0]} at its own socket."
        if listed
        else one(f"{volts}{amps}; or add it to  fits:  of one that suits it.", first=True),
    )


RULE = Rule(
    name="no-charger",
    kind="paper",
    doubt="whether a charger fits it",
    page=__doc__ or "",
    basis=("common practice",),
    parts=packs,
    check=check,
    gravest=Severity.CAUTION,
)
