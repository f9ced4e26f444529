"""A reading at the finished bike is not what the file describes.

What
    The newest reading of each kind at a part is held against the file: resistance, drop, capacity,
    voltage, whether a joiner blocks, whether a fuse is there, polarity, temperature.
Why
    Everything that was checked was checked for the described bike. A joint that was soldered cold,
    another wire, an aged pack or a joiner of another kind makes it another bike.
Limit
    Resistance and drop more than 10 % above, capacity more than 10 % below, a fuse more than 10 %
    off, voltages at rest more than 0.5 % off (judgement). A pack's resistance may not be lower
    either where packs can feed each other. A joiner must block or not as described. Temperatures
    against the limit of body or insulation. Plus and minus the wrong way round is a stop by itself;
    all else is a caution, and a stop where the measured value makes another rule stop. What the
    file does not describe is not compared.
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
    10 % and 0.5 % (judgement); more than 0.4 V on an ideal diode under load: its gate drive is dead
    (memory).
"""

from __future__ import annotations

from packyoke.analysis.bench.as_built import Difference, differences, gate_is_dead
from packyoke.analysis.case import Case
from packyoke.core.findings import Amount, Severity
from packyoke.model import Part
from packyoke.rules.outcome import PASSED, Change, Failed, Outcome
from packyoke.rules.rule import Rule

ZERO_C = 273.15


def measured_parts(case: Case) -> list[Part]:
    """Every part at which something was measured, once."""
    build = case.build
    if not build.measured:
        return []
    return [build.part(path) for path in dict.fromkeys(reading.part for reading in build.measured)]


def check(case: Case, part: Part) -> Outcome:
    found = differences(case, part)
    if not found:
        return PASSED
    worst = max(found, key=lambda each: (each.danger, bool(each.changes)))
    changes = tuple(Change(*change) for each in found for change in each.changes)
    dead = any(gate_is_dead(part, each.reading) for each in found)
    return Failed(
        severity=Severity.STOP if worst.danger else Severity.CAUTION,
        message=f"measured otherwise than described: {', '.join(each.about for each in found)}",
        found=_amount(worst, worst.reading.value, f"({worst.reading.date})"),
        limit=_amount(worst, worst.described, "(described)"),
        relation=worst.relation,
        why=_why(worst, dead),
        do="Connect nothing; turn it round and measure again."
        if worst.danger
        else "Measure again; if it stays, find the reason, or write the measured value into the file and check again.",
        cause="measured",
        instead=() if worst.danger else changes,
    )


def _why(worst: Difference, dead: bool) -> str:
    if worst.danger:
        return "Plus on minus is a short circuit through whatever comes next, and kills a controller at once."
    if dead:
        return "Its gate drive is dead: the current goes through the body diode, and it gets many times as hot."
    return "The check holds for the described bike; this is another one."


def _amount(each: Difference, value: float, note: str) -> Amount | None:
    if not each.unit:
        return None
    return Amount(value - ZERO_C if each.unit == "degC" else value * each.scale, each.unit, note)


RULE = Rule(
    name="as-built-differs",
    kind="damage",
    doubt="whether it was built as described",
    page=__doc__ or "",
    basis=("10 % and 0.5 % are judgement",),
    parts=measured_parts,
    check=check,
)
