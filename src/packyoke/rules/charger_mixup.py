"""A charger with too high a voltage, or too much current, plugs into a pack that it is not for.

What
    Every charger of this bike against every pack that it does not fit: where its plug is the same
    as that of the pack's own charger, or fits a socket of the pack, somebody will one day take the
    wrong one.
Why
    Chargers look alike. 58.8 V on a pack of 13 NMC cells is 4.52 V a cell: if its protection
    circuit fails or has none for this, it burns. Charged too fast, cells get hot and age early.
Limit
    Output more than 0.5 % above the full charge of a pack it does not fit, and the same plug: a
    caution. A stop where output / cells in series passes 4.25 V (LFP 3.65 V). Of a charger of the
    right voltage more current than such a pack may be charged with: a caution.

    An unknown plug may be the same as any other.
Do
    Another plug for one kind of pack, or one kind of pack and charger only. Paint alone is not
    enough.
Rider notices
    wrong charger was plugged in; charger of another bike fits
Fails
    in skerry-long-tail
    chargers.depot: {output: 84 V, current: 4 A, plug: 5.5 mm barrel, fits: []}
Passes
    in skerry-long-tail
    chargers.depot: {output: 84 V, current: 4 A, plug: XLR 3, fits: []}
Sources
    Ceiling of 4.25 V a cell: JEITA guideline (read in an application note); LFP 3.65 V from
    memory.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import ceiling_v, cell_v, concerns, mixed_up, too_fast
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity
from packyoke.model import Charger, Pack, known
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, chargers

OTHER_PLUG = "Fit another plug to one kind of pack and its charger, so that the wrong one does not go in."


def check(case: Case, charger: Charger) -> Outcome:
    worst: tuple[float, Pack] | None = None
    for name, pack in case.build.packs.items():
        if concerns(case, charger.name, name) or not mixed_up(case, charger, pack):
            continue
        share = cell_v(charger, pack) / ceiling_v(pack)
        if worst is None or share > worst[0]:
            worst = share, pack
    return _failed(charger, *worst) if worst is not None else _current(case, charger)


def _current(case: Case, charger: Charger) -> Outcome:
    least: tuple[float, Pack] | None = None
    for name, pack in case.build.packs.items():
        if concerns(case, charger.name, name) or not too_fast(case, charger, pack):
            continue
        limit_a = known(pack.charge_a, pack, "charge_a")
        if least is None or limit_a < least[0]:
            least = limit_a, pack
    if least is None:
        return PASSED
    limit_a, pack = least
    return Failed(
        severity=Severity.CAUTION,
        message=f"plugs into {pack.name}, and gives more current than it takes",
        found=Amount(known(charger.current_a, charger, "current_a"), "A"),
        limit=Amount(limit_a, "A", f"({pack.name})"),
        why="Chargers look alike: one day the wrong one is plugged in, and charges the cells too fast.",
        do=OTHER_PLUG,
        field="plug",
        also=(pack,),
    )


def _failed(charger: Charger, share: float, pack: Pack) -> Failed:
    severity = Severity.STOP if above(share, 1.0) else Severity.CAUTION
    return Failed(
        severity=severity,
        message=f"plugs into {pack.name}, and its voltage is too high for it",
        found=Amount(cell_v(charger, pack), "V a cell", f"of {pack.name}"),
        limit=Amount(ceiling_v(pack), "V a cell"),
        why="Chargers look alike: one day the wrong one is plugged in, and only the protection circuit is left."
        if severity == Severity.STOP
        else "Chargers look alike: one day the wrong one is plugged in, and overfills the cells.",
        do=OTHER_PLUG,
        field="plug",
        also=(pack,),
    )


RULE = Rule(
    name="charger-mixup",
    kind="danger",
    doubt="whether a wrong charger can be plugged in",
    page=__doc__ or "",
    basis=("JEITA guideline",),
    parts=chargers,
    check=check,
)
