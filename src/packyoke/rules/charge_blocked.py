"""A charger is meant to charge a pack through a joiner that lets no current back.

What
    A charger plugged in behind a joiner, and the packs that it is meant for. A charge port made for
    it lies on the pack side of its joiner; a joiner further in blocks as it always does.
Why
    A joiner that blocks does so for charging too: the charger lights up, says full, and the packs
    stay as they are.
Limit
    From the joiner that the charger is plugged into back to each of its packs there must be no
    blocking joiner, except the one with the charge port, and that port must be made for this pack.
Do
    Charge each pack by itself at its own socket, or fit a joiner with a charge port.
Rider notices
    will not charge; charger says full at once; charger light goes green at once; pack does not charge
Fails
    in skerry-long-tail
    chargers.counter.through: yoke
Passes
    in skerry-long-tail
    chargers.counter.through: yoke
    joiners.yoke.charge_port: {current: 5 A, blocks: each pack, inlet: XT60 socket}
Sources
    How a diode works; trade experience.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import BLOCKED, NOT_BEHIND, NOT_REACHED, meant, obstacle
from packyoke.core.findings import Severity
from packyoke.model import Charger
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, chargers

_KINDS = (BLOCKED, NOT_BEHIND, NOT_REACHED)


def check(case: Case, charger: Charger) -> Outcome:
    if charger.through is None:
        return None
    for_it = [pack for name, pack in case.build.packs.items() if meant(case, charger.name, name)]
    found = [(pack, why) for pack in for_it if (why := obstacle(case, charger.name, pack.name)) is not None]
    if not found:
        return PASSED if for_it else None
    groups: dict[tuple[str, str], list[str]] = {}
    for pack, why in found:
        groups.setdefault((why.kind, why.joiner.name), []).append(pack.name)
    kinds = sorted(groups, key=lambda each: _KINDS.index(each[0]))
    return Failed(
        severity=Severity.STOP,
        message=f"cannot charge {'; nor '.join(_words(*each, groups[each]) for each in kinds)}",
        why="A joiner that blocks does so for charging too: the charger says full, and the pack stays as it is."
        if kinds[0][0] == BLOCKED
        else "No current of the charger gets there.",
        do="Charge each pack by itself at its own socket, or fit a joiner with a charge port made for these packs.",
        field="through",
        also=tuple(dict.fromkeys((*(why.joiner for _, why in found), *(pack for pack, _ in found)))),
        mends=([Mend("Charge each pack by itself, at its own socket", (Change(charger.path, "through", None),))],),
    )


def _words(kind: str, joiner: str, packs: list[str]) -> str:
    """Which packs one joiner keeps the charger from, and why: `p1 and p2: yoke lets nothing back`."""
    names = " and ".join(filter(None, (", ".join(packs[:-1]), packs[-1])))
    it, is_ = ("them", "they are") if packs[1:] else ("it", "it is")
    told = {BLOCKED: f"{joiner} lets nothing back", NOT_BEHIND: f"{is_} not behind {joiner}"}
    return f"{names}: {told.get(kind, f'the port of {joiner} was not made for {it}')}"


RULE = Rule(
    name="charge-blocked",
    kind="will-not-work",
    doubt="whether the charger gets through to its packs",
    page=__doc__ or "",
    basis=("common practice",),
    parts=chargers,
    check=check,
)
