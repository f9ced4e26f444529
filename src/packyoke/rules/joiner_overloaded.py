"""A joiner carries more current on one path than it is rated for.

What
    Compares the whole load behind a joiner with what one of its paths may carry, and so what
    braking, a charger or another pack pushes back through one that lets it. Of the bike
    maker's own joiner it compares with what the maker states: current and number of packs.
Why
    With one pack plugged in, or one fuller than the rest, a single path carries everything;
    the figures of two paths never add. A joiner driven beyond its figure overheats, and
    blocking parts fail short: from then on packs feed each other without a sign.
Limit
    whole continuous load <= continuous current of one path

    peak of the load <= its peak, if that is stated for at least as long

    packs behind a built-in joiner <= the packs that the maker states
Do
    A joiner for the whole load on each path, or a lower setting of the controller.
Rider notices
    hot box between the packs; cuts out under load; packs suddenly at the same voltage
Fails
    in skerry-long-tail
    joiners.yoke.current: 25 A
Passes
    in skerry-long-tail
    joiners.yoke.current: 25.5 A
Sources
    limits: label of the joiner, or the bike maker; that one path carries all: Kirchhoff's laws
    (derived); that blocking parts fail short: common practice
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import joiner_limit
from packyoke.analysis.limits.settings import Excess, at_least_a, beyond, rush_a
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Joiner
from packyoke.rules.mends import blocking_joiners, found_current, less_back, lower_settings, without_rush
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, joiners_on_ways


def check(case: Case, joiner: Joiner) -> Outcome:
    maker = joiner.built_in
    if maker is not None:
        behind = len(harness(case).packs_behind[joiner.path])
        if maker.packs_count is not None and behind > maker.packs_count:
            return _too_many(behind, maker.packs_count)
        if maker.current_a is None:
            return None
    limit = joiner_limit(joiner)
    worst, found = beyond(case, joiner.path, limit)
    if not found:
        return PASSED
    too_much = found[0]
    from_packs_a = rush_a(case, joiner.path, load(case, joiner.path))
    why = "Joiners overheat and fail short."
    if not too_much.back_by and not from_packs_a and joiner.bonded is None:
        why = f"A pack that is alone or the fullest sends everything through one path. {why}"
    bears = f"{shown(at_least_a(worst.forward_a))} A"
    changes = [Change(joiner.path, "current_continuous_a", max(limit.continuous_a, at_least_a(worst.forward_a)))]
    if worst.peak_a is not None and worst.peak_s is not None:
        longest_s = worst.steps[-1][1]
        changes.append(Change(joiner.path, "current_peak_a", at_least_a(worst.peak_a)))
        changes.append(Change(joiner.path, "current_peak_s", longest_s))
        bears += f", and {shown(at_least_a(worst.peak_a))} A for {shown(longest_s)} s"
    families = [blocking_joiners(case, joiner.path)]
    if too_much.back_by:
        families = [less_back(case, joiner.path, too_much)]
    elif not from_packs_a:
        families = [lower_settings(case, joiner.path, (limit,))]
        if maker is None:
            families.append((Mend(f"A joiner that carries {bears} on each path", tuple(changes)),))
    return Failed(
        severity=Severity.STOP,
        message="joiner overloaded",
        found=found_current(too_much, "on one path", from_packs_a),
        limit=Amount(too_much.limit_a, "A", _limit_note(joiner, too_much)),
        why=why,
        do=without_rush(
            f"A joiner for {bears} on each path, or a lower battery current of the controller.", too_much, from_packs_a
        ),
        field="built_in" if maker is not None else "current_continuous_a",
        cause="current",
        mends=tuple(families),
        packs_in=worst.packs_in,
        charges=worst.charges,
    )


def _limit_note(joiner: Joiner, too_much: Excess) -> str:
    if joiner.built_in is not None:
        return "(as its maker states)"
    if too_much.peak_s is None:
        return "continuous"
    if joiner.current_peak_a is None or joiner.current_peak_s is None:
        return f"(no peak given: {shown(too_much.limit_a)} A counts for peaks too)"
    if joiner.current_peak_s < too_much.peak_s:
        return f"(its {shown(joiner.current_peak_a)} A hold for {shown(joiner.current_peak_s)} s only)"
    return f"for {shown(joiner.current_peak_s)} s"


def _too_many(behind: int, stated: int) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message="more packs than its maker made it for",
        found=Amount(behind, "packs"),
        limit=Amount(stated, "pack" if stated == 1 else "packs", "(as its maker states)"),
        why="Nobody knows what it does with one more: it may not block, and its wire may be too thin.",
        do="Leave a pack out, or bypass the bike's own joiner with one that is made for all of them.",
        field="built_in",
        cause="packs",
    )


RULE = Rule(
    name="joiner-overloaded",
    kind="danger",
    doubt="whether one path of the joiner is rated for the whole load",
    page=__doc__ or "",
    basis=("label of the joiner",),
    parts=joiners_on_ways,
    check=check,
)
