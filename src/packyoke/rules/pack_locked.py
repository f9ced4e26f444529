"""A pack gives nothing without its data wires, or the data wires of two packs are joined.

What
    Some packs open their outlet only while a controller, a display or a lock talks to them over
    data wires. And some builds join the data wires of two packs.
Why
    A pack that waits for an answer stays dead on a harness with only plus and minus, or drops out
    on the ride. Joined data wires make two packs talk at once: one is taken for the other, or both
    lock. Their data ground also ties the packs together behind the back of a blocking joiner.
Limit
    data needed: its data wires must lead to a controller. No two packs may share data wires; what
    two controllers hear apart is not shared. Packs on the bike maker's own joiner talk to its
    controller as they were made to.
Do
    Use packs that need no data link. Otherwise ask the maker for a setting without one, and connect
    the data wires of one pack only.
Rider notices
    pack shows full but gives nothing; does not switch on; bike switches off after a few seconds; error on the
    display; works with one pack and not with two; bike does not switch on with this pack
Fails
    in skerry-long-tail
    packs.pannier.bms.data: needed
Passes
    in skerry-long-tail
    packs.pannier.bms.data: none
Sources
    Behaviour of protection circuits (memory); that data ground ties packs together is circuit
    theory.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import Severity
from packyoke.model import NONE, Pack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, packs


def check(case: Case, pack: Pack) -> Outcome:
    if pack.wired_data != NONE:
        other = _talks_with(case, pack)
        if other is not None:
            return _joined(pack, other)
    if known(pack.data, pack, "data") == "needed" and pack.wired_data != "to controller":
        return Failed(
            severity=Severity.STOP,
            message="gives nothing without its data wires",
            kind="will-not-work",
            why="It opens its outlet only while a controller or display of its own maker talks to it. On plus and "
            "minus alone it stays dead or drops out on the ride.",
            do="Use a pack that needs no data link, or ask the maker for a setting that lets it run without one.",
            field="data",
            cause="needed",
        )
    return PASSED


def _talks_with(case: Case, pack: Pack) -> Pack | None:
    """The pack whose data wires are joined to those of this one."""
    ahead = harness(case).controllers_ahead
    mine = ahead.get(pack.path, ())
    for other in case.build.packs.values():
        if other is pack:
            continue
        if "to other packs" in (pack.wired_data, other.wired_data) and (
            pack.wired_data == "to other packs" or other.wired_data != NONE
        ):
            return other
        as_made = pack.wired_data == other.wired_data and _as_made(case, pack, other)
        if other.wired_data == "to controller" and not as_made:
            theirs = ahead.get(other.path, ())
            if not mine or not theirs or any(name in theirs for name in mine):
                return other
    return None


def _as_made(case: Case, pack: Pack, other: Pack) -> bool:
    """Whether both packs come in through the bike maker's own joiner, and so talk to the controller as it was made."""
    behind = harness(case).packs_behind
    return any(
        joiner.built_in is not None and {pack.name, other.name} <= set(behind.get(joiner.path, ()))
        for joiner in case.build.joiners.values()
    )


def _joined(pack: Pack, other: Pack) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message=f"data wires joined with those of {other.name}",
        why="Two packs talk on one pair of wires: one is taken for the other, or both lock. The ground among the data "
        "wires also ties the packs together where the joiner keeps them apart.",
        do=f"Connect the data wires of one pack only; take those of {pack.name} or of {other.name} off.",
        field="wired_data",
        cause="joined",
        also=(other,),
        mends=(
            (
                Mend(
                    f"Take the data wires of {pack.name} off and insulate each",
                    (Change(pack.path, "wired_data", NONE),),
                ),
                Mend(
                    f"Take the data wires of {other.name} off and insulate each",
                    (Change(other.path, "wired_data", NONE),),
                ),
            ),
        ),
    )


RULE = Rule(
    name="pack-locked",
    kind="danger",
    doubt="whether it gives current without its data wires",
    page=__doc__ or "",
    basis=("protection circuits, from memory",),
    parts=packs,
    check=check,
)
