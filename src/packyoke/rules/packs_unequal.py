"""Packs that can be on together do not charge to the same voltage.

What
    Packs in parallel share one pair of wires, so they must be of the same kind: the same number of
    cells in series, charged as high. Their capacities may differ as they like.
Why
    Behind blocking joiners the higher pack works alone until it has come down to where the lower
    one is full; for a pack with one more cell in series that is most of its charge. On a plain
    joiner the higher one charges the lower one beyond what its cells bear, and they can burn.
Limit
    Same chemistry: the same series count, and full-charge voltages at most 0.05 V a cell apart.

    Another chemistry: full-charge voltages at most 2 % of the lower one apart. Packs that only meet
    at a selector that lets go of one before it takes the next are never on together: a caution if
    the controller's voltages cover both, else a stop.
Do
    Use packs of one kind, or put a selector between them that breaks before it makes. Never an
    extra cell, never a charger that leaves one of them half full.
Rider notices
    one pack never empties; one pack never helps; range is that of one pack; a pack gets hot at rest; one pack
    empties sooner than the other
Fails
    in skerry-long-tail
    packs.pannier.series: 13
Passes
    in skerry-long-tail
    packs.pannier.series: 14
Sources
    Common practice; the bands of 0.05 V a cell and 2 % are our judgement.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joining import opponents, takes_turns, together
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.unequal import PER_CELL_V, SHARE, unequal
from packyoke.core.findings import Amount, Severity
from packyoke.model import Pack, known
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule


def parts(case: Case) -> list[Pack]:
    """Every pack where they are not all written alike."""
    packs = list(case.build.packs.values())
    kinds = {(pack.chemistry, pack.series, pack.full_charge_v) for pack in packs}
    return packs if len(kinds) > 1 or (len(packs) > 1 and None in next(iter(kinds))) else []


def check(case: Case, pack: Pack) -> Outcome:
    against = opponents(case, pack, unequal, together)
    if against:
        return _failed(case, pack, against, taking_turns=False)
    against = opponents(case, pack, unequal, takes_turns)
    if against:
        return _failed(case, pack, against, taking_turns=True)
    return PASSED


def _failed(case: Case, pack: Pack, against: list[Pack], taking_turns: bool) -> Failed:
    furthest = max(against, key=lambda other: abs(full_charge_v(other) - full_charge_v(pack)))
    other_v = full_charge_v(furthest)
    caution = taking_turns and _controllers_take(case, (pack, *against))
    same = pack.chemistry == furthest.chemistry
    band = f"{PER_CELL_V} V a cell" if same else f"{100 * SHARE:.0f} %"
    return Failed(
        severity=Severity.CAUTION if caution else Severity.STOP,
        message=_message(caution, taking_turns),
        found=Amount(full_charge_v(pack), "V", _cells(pack)),
        limit=Amount(other_v, "V", f"{_cells(furthest)}, {furthest.name}, at most {band} apart"),
        relation="as",
        why=(
            "The controller cuts and shows its charge by one voltage: on the other pack both are wrong."
            if taking_turns
            else "Plainly joined, the higher pack charges the lower one beyond what its cells bear. Behind blocking "
            "joiners the lower one waits until most of the higher one is gone."
        ),
        do=(
            "Set the low-voltage cut for the higher pack, and tell the customer that the ride ends early on the lower "
            "one; better, use packs of one kind."
            if caution
            else "Use packs with the same number of cells in series and the same chemistry; capacities may differ."
        ),
        field="series" if pack.series != furthest.series else "full_charge_v",
        also=tuple(against),
    )


def _message(caution: bool, taking_turns: bool) -> str:
    if caution:
        return "takes turns with a pack of another voltage"
    if taking_turns:
        return "takes turns with a pack of another voltage, and the controller does not take both"
    return "not the same voltage as what it is joined with"


def _cells(pack: Pack) -> str:
    return f"full ({pack.series}s {pack.chemistry or ''}".rstrip() + ")" if pack.series is not None else "full"


def _controllers_take(case: Case, packs: tuple[Pack, ...]) -> bool:
    """Whether every controller ahead may see all these packs full, and runs on all of them."""
    for name in harness(case).controllers_ahead.get(packs[0].path, ()):
        controller = case.build.controllers[name]
        highest_v = max(full_charge_v(pack) for pack in packs)
        lowest_v = min(full_charge_v(pack) for pack in packs)
        if above(controller.voltage_min_v, lowest_v):
            return False
        if above(highest_v, known(controller.voltage_max_v, controller, "voltage_max_v")):
            return False
    return True


RULE = Rule(
    name="packs-unequal",
    kind="danger",
    doubt="whether the packs are of the same voltage",
    page=__doc__ or "",
    basis=("common practice",),
    parts=parts,
    check=check,
    takes_two=True,
)
