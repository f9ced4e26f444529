"""A pack charges to more than 60 V d.c.: touching both poles can hurt.

What
    The pack's full-charge voltage is above the voltage that is taken as harmless to dry hands.
Why
    Above 60 V d.c. the current through a body can be felt, cramps muscles and can burn; with wet
    hands, a ring or a cut it needs less. 60 V is a limit for dry skin, and no promise.
Limit
    60 V d.c. at full charge, tolerances included. 14 cells of 4.20 V (58.8 V) are below it, 15
    (63.0 V) are above.
Do
    Work with one pole covered and insulated tools; cover every contact that stays live; use
    connectors that no finger gets into; and do not hand such a bike to anyone who expects less.
Rider notices
    a tingle when plugging in with wet hands; electric shock from the bike
Fails
    in skerry-long-tail
    packs.keel.series: 16
Passes
    in skerry-long-tail
    packs.keel.series: 14
Sources
    ISO/TS 4210-10:2020, scope: 60 V d.c. including tolerances (read); IEC 61140 (clause from
    memory).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity
from packyoke.model import Pack
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, packs

TOUCH_V = 60.0
"""ISO/TS 4210-10:2020, scope."""


def check(case: Case, pack: Pack) -> Outcome:
    full_v = full_charge_v(pack)
    if not above(full_v, TOUCH_V):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="over 60 V d.c.: shock hazard",
        found=Amount(full_v, "V", "full"),
        limit=Amount(TOUCH_V, "V", "d.c., dry hands; wet ones bear less"),
        why="Touching both poles at once can cramp and burn. Rules for electric bikes end at this voltage.",
        do="Cover every contact that stays live, work with insulated tools and one pole covered, tell the customer.",
        field="full_charge_v",
    )


RULE = Rule(
    name="shock-voltage",
    kind="danger",
    doubt="whether its voltage can hurt",
    page=__doc__ or "",
    basis=("ISO/TS 4210-10:2020, scope", "IEC 61140 (from memory)"),
    parts=packs,
    check=check,
    gravest=Severity.CAUTION,
)
