"""The cells of a pack are worked harder than they last for.

What
    Compares the whole continuous load with the capacity of each pack: a current of 1.5 times
    the capacity for each hour (1.5 C) empties it in forty minutes.
Why
    The protection circuit allows more than the cells like. Energy cells run at more than that
    warm up, sag on hills and lose their capacity years early. Other packs take no load off
    while this one is the fullest.
Limit
    continuous load <= 1.5 /h x capacity as labelled; packs bonded to each other share the load
    Energy cells: caution. Power cells, or nobody knows: note.
Do
    Set the controller lower, or fit a larger pack or one with power cells.
Rider notices
    pack gets warm; sags on hills; range shrinks within a year or two
Fails
    in skerry-long-tail
    packs.pannier.capacity: 16 Ah
Passes
    in skerry-long-tail
    packs.pannier.capacity: 17 Ah
Sources
    1.5 C: common practice for energy cells, no source
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import draw, mixing_joiners
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import Limit, above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Pack, known
from packyoke.rules.mends import lower_settings
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, packs_on_ways

MOST_PER_HOUR = 1.5
HOUR_S = 3600.0


def check(case: Case, pack: Pack) -> Outcome:
    capacity_ah = known(pack.capacity_coulomb, pack, "capacity_coulomb") / HOUR_S
    limit_a = MOST_PER_HOUR * capacity_ah
    found_a = load(case, pack.path).continuous_a
    if not above(found_a, limit_a):
        return PASSED
    if _bonded(case, pack):
        found_a = min(found_a, draw(case, pack.path).forward_a)
        if not above(found_a, limit_a):
            return PASSED
    energy = pack.cells == "energy"
    better = "A larger pack" if pack.cells == "power" else "A larger pack, or one with power cells"
    alone = "continuous, when it is alone or the fullest" if len(harness(case).ways) > 1 else "continuous"
    return Failed(
        severity=Severity.CAUTION if energy else Severity.NOTE,
        message="cells worked harder than they last for" if energy else "cells worked hard",
        found=Amount(found_a, "A", alone),
        limit=Amount(limit_a, "A", f"({shown(MOST_PER_HOUR)} C of {shown(capacity_ah)} Ah)"),
        why="They warm up, sag on hills and lose capacity years early.",
        do=f"{better}; or a lower battery current of the controller.",
        field="capacity_coulomb",
        mends=(lower_settings(case, pack.path, (Limit(limit_a),)),),
    )


def _bonded(case: Case, pack: Pack) -> bool:
    behind = harness(case).packs_behind
    return any(joiner.bonded and pack.name in behind[joiner.path] for joiner in mixing_joiners(case))


RULE = Rule(
    name="cells-overworked",
    kind="wear",
    doubt="whether the cells last at this load",
    page=__doc__ or "",
    basis=("common practice",),
    parts=packs_on_ways,
    check=check,
    gravest=Severity.CAUTION,
)
