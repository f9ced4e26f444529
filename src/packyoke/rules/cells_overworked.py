"""The cells of a pack are overloaded and age early, or worse.

What
    Compares the whole continuous load with the capacity of each pack: a current of 1.5 times
    the capacity for each hour (1.5 C) empties it in forty minutes.
Why
    The protection circuit allows more than the cells like. Energy cells run at more than that
    warm up, sag on hills and lose their capacity years early; at twice that they get hot. Other
    packs take no load off while this one is the fullest.
Limit
    continuous load <= 1.5 /h x capacity, as tested where that is given, else as labelled; packs
    bonded to each other share the load

    Energy cells: above 1.5 C a note, above 2 C a caution, above 3 C a stop. Power cells: above
    1.5 C a note, above 10 C a caution.

    Not known which: a note up to 2 C; above 3 C the cells are asked for.
Do
    Set the controller lower, or fit a larger pack or one with power cells.
Rider notices
    pack gets warm; sags on hills; range shrinks within a year or two;
    range drops every month
Fails
    in skerry-long-tail
    packs.pannier.capacity: 12 Ah
Passes
    in skerry-long-tail
    packs.pannier.capacity: 17 Ah
Sources
    1.5 C for energy cells: common practice; 2, 3 and 10 C: judgement (data sheets name 1 to 2 C as
    continuous for energy cells, 5 to 10 C for power cells, from memory)
"""

from __future__ import annotations

from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import draw, mixing_joiners
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import Limit, above
from packyoke.core.constants import HOUR_S
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Pack, known
from packyoke.rules.mends import lower_settings
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, packs_on_ways

MOST_PER_HOUR = 1.5
CAUTION_PER_HOUR = {"energy": 2.0, "power": 10.0}
STOP_PER_HOUR = {"energy": 3.0, "power": inf}
"""Continuous current over capacity that cells last at, age early at, and are not made for. On the capacity of power
cells hangs no stop."""


def check(case: Case, pack: Pack) -> Outcome:
    tested = pack.tested_capacity_coulomb
    coulomb = tested if tested is not None else known(pack.capacity_coulomb, pack, "capacity_coulomb")
    capacity_ah = coulomb / HOUR_S
    found_a = load(case, pack.path).continuous_a
    if not above(found_a, MOST_PER_HOUR * capacity_ah):
        return PASSED
    if _bonded(case, pack):
        found_a = min(found_a, draw(case, pack.path).forward_a)
        if not above(found_a, MOST_PER_HOUR * capacity_ah):
            return PASSED
    severity, most_per_hour, noted_per_hour = Severity.NOTE, MOST_PER_HOUR, MOST_PER_HOUR
    # Up to there it is a note whatever the cells are, and nobody has to find out.
    if above(found_a, min(CAUTION_PER_HOUR.values()) * capacity_ah):
        cells = known(pack.cells, pack, "cells")
        noted_per_hour = CAUTION_PER_HOUR[cells]
        for graver, limits in ((Severity.CAUTION, CAUTION_PER_HOUR), (Severity.STOP, STOP_PER_HOUR)):
            if above(found_a, limits[cells] * capacity_ah):
                severity, most_per_hour = graver, limits[cells]
    better = "A larger pack" if pack.cells == "power" else "A larger pack, or one with power cells"
    alone = "continuous, when it is alone or the fullest" if len(harness(case).ways) > 1 else "continuous"
    return Failed(
        severity=severity,
        message=MESSAGES[severity],
        found=Amount(found_a, "A", alone),
        limit=Amount(most_per_hour * capacity_ah, "A", _limit_words(most_per_hour, capacity_ah, tested is not None)),
        why=WHYS[severity],
        do=f"{better}; or a lower battery current of the controller.",
        field="capacity_coulomb" if tested is None else "tested_capacity_coulomb",
        kind="damage" if severity == Severity.STOP else "",
        # A setting is offered that leaves no more than a note.
        mends=(lower_settings(case, pack.path, (Limit(min(most_per_hour, noted_per_hour) * capacity_ah),)),),
    )


MESSAGES = {
    Severity.NOTE: "cells under high load",
    Severity.CAUTION: "cells overloaded, they will age early",
    Severity.STOP: "cells overloaded, far above what energy cells bear",
}
WHYS = {
    Severity.NOTE: "They warm up, sag on hills and lose capacity years early.",
    Severity.CAUTION: "They warm up, sag on hills and lose capacity years early.",
    Severity.STOP: "Energy cells get hot at this current; the hottest one in the middle of the pack can vent and burn.",
}


def _limit_words(per_hour: float, capacity_ah: float, is_tested: bool) -> str:
    return f"({shown(per_hour)} C of {shown(capacity_ah)} Ah{' as tested' if is_tested else ''})"


def _bonded(case: Case, pack: Pack) -> bool:
    behind = harness(case).packs_behind
    return any(joiner.bonded and pack.name in behind[joiner.path] for joiner in mixing_joiners(case))


RULE = Rule(
    name="cells-overworked",
    kind="wear",
    doubt="whether the cells last at this load",
    page=__doc__ or "",
    basis=("common practice", "2 and 3 C are judgement"),
    parts=packs_on_ways,
    check=check,
)
