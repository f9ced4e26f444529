"""A reading at the finished bike is not what the file describes.

What
    The newest reading of each kind at a part is held against the file: resistance, drop, capacity,
    whether a joiner blocks, whether a fuse is there, polarity.
Why
    Readings count in every command in place of what the file says. Where they differ, the file
    describes another bike: a joint that was soldered cold, another wire, an aged pack.
Limit
    Resistance and drop more than 10 % above, capacity or a fuse more than 10 % off, the output of a
    charger more than 0.5 % off (judgement). A pack's resistance may not be lower either where packs
    can feed each other, nor that of a lead lower than 0.75 of its copper: then one conductor was
    measured, or another lead. What the file does not describe is not compared.

    Two things are a stop here: plus and minus the wrong way round, and a joiner that was found not
    to block though it should. That one counts as plain until  replaced:  has the day on which
    another one was fitted; a later reading does not heal it.

    A reading beyond a limit is the finding of the rule of that limit: more volts than a full pack
    has, fewer than its protection (BMS) lets it fall to, too hot, a resistance no such pack has, a bad joint.

    A test of one inlet of a joiner says nothing of its other inlets.
Do
    Measure again. If it stays, find the reason, or write the measured value into the file and check
    again.
Rider notices
    hot plug on a new bike; less range than promised; second pack drains into the first
Fails
    in skerry-long-tail
    measured: [{date: 2026-05-14, part: packs.keel, what: resistance, value: 130 mohm}]
Passes
    in skerry-long-tail
    measured: [{date: 2026-05-14, part: packs.keel, what: resistance, value: 97 mohm}]
Sources
    10 % and 0.5 % (judgement).
"""

from __future__ import annotations

from packyoke.analysis.bench.as_built import Difference, differences
from packyoke.analysis.case import Case
from packyoke.core.findings import Amount, Severity
from packyoke.model import Joiner, Part
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.readings import heeding_readings, measured_parts
from packyoke.rules.rule import Rule


def check(case: Case, part: Part) -> Outcome:
    found = differences(case, part)
    if not found:
        return PASSED
    worst = max(found, key=lambda each: each.danger)
    why, do = _words(part, worst)
    return Failed(
        severity=Severity.STOP if worst.danger else Severity.CAUTION,
        message=f"reading differs from the file: {', '.join(each.about for each in found)}",
        found=_amount(worst, worst.reading.value, f"({worst.reading.date})"),
        limit=_amount(worst, worst.described, "(described)"),
        relation=worst.relation,
        why=why,
        do=do,
        cause="measured",
    )


def _words(part: Part, worst: Difference) -> tuple[str, str]:
    if worst.danger and isinstance(part, Joiner) and worst.reading.what == "blocks":
        return (
            "It has failed: one pack feeds the other through it, and it counts as plain from then on.",
            "Plug nothing into it. Fit another one, test that, and write  replaced:  with the day at the joiner.",
        )
    if worst.danger:
        return (
            "Plus on minus is a short circuit through whatever comes next, and kills a controller at once.",
            "Connect nothing; turn it round and measure again.",
        )
    return (
        "What was measured counts in every figure here; the file describes another bike.",
        "Measure again; if it stays, find the reason, or write the measured value into the file.",
    )


def _amount(each: Difference, value: float, note: str) -> Amount | None:
    return Amount(value * each.scale, each.unit, note) if each.unit else None


RULE = heeding_readings(
    Rule(
        name="as-built-differs",
        kind="damage",
        doubt="whether it was built as described",
        page=__doc__ or "",
        basis=("10 % and 0.5 % are judgement",),
        parts=measured_parts,
        check=check,
    )
)
