"""A charger gives more current than the charge port of its joiner may carry.

What
    The charger's current, against what is stated for the charge port that it is plugged into.
Why
    The contacts and the small wires behind a charge port get hot for hours, with nobody looking,
    and next to the packs.
Limit
    Charger current at most the current of the port.
Do
    A smaller charger, or charge each pack by itself at its own socket.
Rider notices
    hot charge socket; melted charging plug; smell of plastic while charging
Fails
    in skerry-long-tail
    chargers.counter.through: yoke
    joiners.yoke.charge_port: {current: 3 A, blocks: each pack, inlet: XT60 socket}
Passes
    in skerry-long-tail
    chargers.counter.through: yoke
    joiners.yoke.charge_port: {current: 5 A, blocks: each pack, inlet: XT60 socket}
Sources
    The joiner maker's figure.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import port_of
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Charger, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, chargers


def check(case: Case, charger: Charger) -> Outcome:
    port = port_of(case, charger)
    if port is None:
        return None
    limit_a = known(port.current_a, port, "current_a")
    amps = known(charger.current_a, charger, "current_a")
    if not above(amps, limit_a):
        return PASSED
    return Failed(
        severity=Severity.STOP,
        message="gives more than the charge port carries",
        found=Amount(amps, "A"),
        limit=Amount(limit_a, "A", f"({charger.through})"),
        why="The contacts and the wires behind the port get hot for hours, next to the packs.",
        do="A smaller charger, or charge each pack by itself at its own socket.",
        field="current_a",
        also=(port,),
        mends=(
            [Mend(f"A charger of at most {shown(limit_a)} A", (Change(charger.path, "current_a", limit_a),))],
            [Mend("Charge each pack by itself, at its own socket", (Change(charger.path, "through", None),))],
        ),
    )


RULE = Rule(
    name="charge-port-overloaded",
    kind="danger",
    doubt="whether the charge port carries the charger's current",
    page=__doc__ or "",
    basis=("the joiner's maker",),
    parts=chargers,
    check=check,
)
