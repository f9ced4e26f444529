"""A pack has to give more current than its protection (BMS) allows.

What
    Compares what the controller and the accessories may draw with the discharge limit of each
    pack, for every pack by itself.
Why
    Behind blocking joiners the fullest pack carries everything alone until it has come down to
    the next one. A second pack therefore takes no load off the first: the protection circuit
    opens and the bike stops dead, mostly half way up a hill and with traffic behind.
Limit
    continuous load <= continuous limit of the pack

    peak of the load <= peak of the pack, if that is stated for at least as long; else its
    continuous limit counts

    Load = battery current limit of the controller (what it can be set to, if that is known; or
    what its power limit draws at the lowest voltage that pack and controller run at, drops
    included, if that is less) + accessories. A controller whose current falls after some time asks
    for what it falls to all the time, for its limit as a peak. Peaks of several controllers begin at
    one time: all together for as long as the shortest lasts, then what is left of them.

    Where packs can feed each other (plain joiner), what one pushes into the other comes on top.

    Bonded packs share: the worst share while they run down together. A caution where one that is
    left alone, because another has dropped out, opens its fuse or its protection.
Do
    Set the controller to what the weakest pack gives, less the accessories; or fit a pack that
    gives what is asked. Riding the weak pack only together with others does not help.
Rider notices
    dies on hills; cuts out at full throttle; stops dead and comes back after switching off and on; cuts out
    only with one of the packs plugged in; bike dies going uphill; dies when the motor pulls hard
Fails
    in skerry-long-tail
    packs.pannier.discharge: 25 A
Passes
    in skerry-long-tail
    packs.pannier.discharge: 25.5 A
Sources
    limits: label of the pack; that the highest pack carries all: Kirchhoff's laws (derived)
"""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.bonded import group_of, let_through_a
from packyoke.analysis.circuit.currents import draw
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import can_join, harness
from packyoke.analysis.limits.margins import Limit, above, pack_limit
from packyoke.analysis.limits.settings import Excess, at_least_a, excesses, rush_a
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Pack
from packyoke.rules.mends import blocking_joiners, found_current, lower_settings, without_rush
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, packs_on_ways


def check(case: Case, pack: Pack) -> Outcome:
    limit = pack_limit(pack)
    worst = draw(case, pack.path)
    beyond = excesses(limit, worst)
    if not beyond:
        return _left_alone(case, pack) or PASSED
    too_much = beyond[0]
    others = [name for name in harness(case).ways if name != pack.name and can_join(case, pack.name, name)]
    from_packs_a = rush_a(case, pack.path, load(case, pack.path))
    why = "Its protection opens, and the bike stops dead."
    shares = group_of(case, pack.name) is not None
    if others and not from_packs_a and not shares:
        why = (
            f"The fullest pack carries everything by itself. {why} "
            "Riding it only with the others does not help: it is still alone for as long as it is the fullest."
        )
    when = f"whenever {pack.name} is alone or the fullest pack plugged in" if others else ""
    if shares:
        when = "its largest share while the bonded packs run down"
    elif from_packs_a:
        when = f"while {pack.name} is the fullest"
    changes = [Change(pack.path, "discharge_continuous_a", max(limit.continuous_a, at_least_a(worst.forward_a)))]
    gives = f"{shown(at_least_a(worst.forward_a))} A"
    if worst.peak_a is not None and worst.peak_s is not None:
        longest_s = worst.steps[-1][1]
        changes.append(Change(pack.path, "discharge_peak_a", at_least_a(worst.peak_a)))
        changes.append(Change(pack.path, "discharge_peak_s", longest_s))
        gives += f", and {shown(at_least_a(worst.peak_a))} A for {shown(longest_s)} s"
    families: list[Sequence[Mend]] = [blocking_joiners(case, pack.path)]
    if not from_packs_a:
        families = [lower_settings(case, pack.path, (limit,)), (Mend(f"A pack that gives {gives}", tuple(changes)),)]
    return Failed(
        severity=Severity.STOP,
        message="load above the pack's limit",
        found=found_current(too_much, when, from_packs_a),
        limit=Amount(too_much.limit_a, "A", _limit_note(pack, too_much)),
        why=why,
        do=without_rush(
            f"Lower the controller's battery current, or fit a pack that gives {gives}.", too_much, from_packs_a
        ),
        field="discharge_continuous_a",
        mends=tuple(families),
        packs_in=worst.packs_in,
        charges=worst.charges,
    )


def _left_alone(case: Case, pack: Pack) -> Failed | None:
    """A bonded pack that opens when the others have dropped out."""
    group = group_of(case, pack.name)
    if group is None:
        return None
    (lead,) = harness(case).leads_from[pack.name][:1]
    lets_a, asked_a = let_through_a(case, lead.path, False), load(case, pack.path).continuous_a
    if not above(asked_a, lets_a):
        return None
    opens = "protection" if lets_a == pack.discharge_continuous_a else "fuse"
    others = " and ".join(name for name in group.packs if name != pack.name)
    return Failed(
        severity=Severity.CAUTION,
        message="left alone by the packs bonded to it, it cannot carry the load",
        found=Amount(asked_a, "A", f"when {others} drops out"),
        limit=Amount(lets_a, "A", f"(its {opens})"),
        why=f"Its {opens} opens then, and the bike stops dead.",
        do="Lower the controller's battery current to what one pack gives, or know that one fault stops the bike.",
        field="discharge_continuous_a",
        cause="alone",
        mends=(lower_settings(case, pack.path, (Limit(lets_a),)),),
        packs_in=(pack.name,),
    )


def _limit_note(pack: Pack, too_much: Excess) -> str:
    if too_much.peak_s is None:
        return "continuous"
    if pack.discharge_peak_a is None or pack.discharge_peak_s is None:
        return f"(no peak given: {shown(too_much.limit_a)} A counts for peaks too)"
    if pack.discharge_peak_s < too_much.peak_s:
        return f"(its {shown(pack.discharge_peak_a)} A hold for {shown(pack.discharge_peak_s)} s only)"
    return f"for {shown(pack.discharge_peak_s)} s"


RULE = Rule(
    name="pack-overloaded",
    kind="will-not-work",
    doubt="whether the pack gives what is asked of it",
    page=__doc__ or "",
    basis=("label of the pack",),
    parts=packs_on_ways,
    check=check,
)
