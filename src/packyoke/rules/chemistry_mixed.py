"""Packs of different chemistry share the wires: full at one voltage, empty at different times.

What
    Two packs charge to nearly the same voltage but their voltages come down along different curves.
Why
    Behind blocking joiners the pack whose voltage is higher at the moment works alone: each carries
    everything for long stretches, and near the end one is empty while the other is half full.
    Plainly joined they push current into each other all the time, at rest too, without end.
Limit
    Chemistries with another open-circuit curve, whose full-charge voltages are at most 2 % apart
    (further apart they are unequal, another page). What is printed is the largest difference in
    charge of the two at rest at one voltage, from the curves on file.
Do
    Use packs of one chemistry. Behind blocking joiners, if it has to be, count for range on the
    packs one after the other, and size every part for the whole current.
Rider notices
    one pack is empty and the other half full; charge display jumps; packs take turns
Fails
    in skerry-long-tail
    packs.pannier.chemistry: LFP
    packs.pannier.series: 16
    packs.pannier.cut_off: 44 V
Passes
    in skerry-long-tail
    packs.pannier.chemistry: NCA
Sources
    Chen et al. 2020, J. Electrochem. Soc. 167 080534, and other published cells (curves); the rest
    follows from parallel connection.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.energy import NoCurve, unevenness
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.harness.joining import feeds, opponents, together
from packyoke.analysis.packs.unequal import mixed
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Pack
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule


def parts(case: Case) -> list[Pack]:
    """Every pack where not all are known to be of one chemistry."""
    packs = list(case.build.packs.values())
    kinds = {pack.chemistry for pack in packs}
    return packs if len(kinds) > 1 or (len(packs) > 1 and None in kinds) else []


def check(case: Case, pack: Pack) -> Outcome:
    against = opponents(case, pack, mixed, _share_wires)
    if not against:
        return PASSED
    plain = [each for each in against if _plainly(case, pack.name, each.name)]
    other = (plain or against)[0]
    uneven = unevenness(case, pack.name, other.name)
    return Failed(
        severity=Severity.STOP if plain else Severity.CAUTION,
        message=f"another chemistry than what it is joined with ({pack.chemistry} and {other.chemistry})",
        found=None
        if isinstance(uneven, NoCurve)
        else Amount(100 * uneven.apart_fraction, "percentage points", f"apart at {shown(uneven.at_v)} V"),
        why=_why(bool(plain), uneven.pack if isinstance(uneven, NoCurve) else None),
        do="Use packs of one chemistry."
        if plain
        else "Use packs of one chemistry; or count on one pack after the other, and tell the customer.",
        field="chemistry",
        also=tuple(against),
        packs_in=(pack.name, other.name),
        charges=() if isinstance(uneven, NoCurve) else uneven.charges,
    )


def _share_wires(case: Case, first: str, second: str) -> bool:
    """Whether two packs share the wires for longer than a selector takes to change over."""
    return together(case, first, second) and not _only_changes_over(case, first, second)


def _only_changes_over(case: Case, first: str, second: str) -> bool:
    meeting = feeds(case, first, second) or feeds(case, second, first)
    return meeting is not None and joiner_type(meeting.joiner) == "selector"


def _plainly(case: Case, first: str, second: str) -> bool:
    return feeds(case, first, second) is not None or feeds(case, second, first) is not None


def _why(plain: bool, without: Pack | None) -> str:
    missing = f" How unevenly is not worked out: no curve of {without.chemistry} is on file." if without else ""
    if plain:
        return f"Their voltages come down differently, so each pushes current into the other, at rest too.{missing}"
    return f"Their voltages come down differently: one ends empty while the other still holds much.{missing}"


RULE = Rule(
    name="chemistry-mixed",
    kind="danger",
    doubt="whether the packs are of one chemistry",
    page=__doc__ or "",
    basis=("Chen et al. 2020, J. Electrochem. Soc. 167 080534", "common practice"),
    parts=parts,
    check=check,
    takes_two=True,
)
