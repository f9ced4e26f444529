"""The voltage printed on a pack says another kind of pack than it is.

What
    A label names a round number. What counts is how many cells are in series and of which kind:
    "48 V" is sold with 13 or 14 layered-oxide cells and with 15 or 16 iron-phosphate ones, which
    charge to anything from 54.6 to 58.8 V.
Why
    Somebody will buy the charger, the next pack or a joiner by the label. A charger for another
    kind overcharges the cells or never fills them.
Limit
    The label against the kinds of pack that are sold under it. Its own kind's first label, or its
    cells in series times 3.6 to 3.7 V (LFP 3.2 V, LTO 2.3 to 2.4 V), within 0.5 V, passes. A label
    that its own kind shares with another one is a note, as is one that fits no kind. A label that
    fits other kinds only is a caution.
Do
    Write cells, chemistry and full-charge voltage on the pack, with a marker that stays.
Rider notices
    charger never shows full; meter reads more than the sticker says;
    charger and pack are both "48 V" and do not fit
Fails
    in breakwater-three-packs
    packs.north.label: 52 V
Passes
    in breakwater-three-packs
    packs.north.label: 48 V
Sources
    Voltages that packs are sold under (common practice); nominal cell voltages (from memory).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.voltages import series_count
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Pack, known
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule
from packyoke.shelf.chemistry import SeriesRow, row_for, series_rows

NOMINAL_V = {"LFP": (3.2, 3.2), "LTO": (2.3, 2.4)}
LAYERED_V = (3.6, 3.7)
"""What labels count a cell with, from and to: from memory."""
SAME_V = 0.5
"""Labels are whole or half volts."""


def parts(case: Case) -> list[Pack]:
    """The packs whose label is written down."""
    return [pack for pack in case.build.packs.values() if pack.label_v is not None]


def check(case: Case, pack: Pack) -> Outcome:
    label_v = pack.label_v
    if label_v is None or (pack.series is None and pack.full_charge_v is None):
        # A label says nothing wrong of a pack of which nothing else is known.
        return None
    chemistry, count = known(pack.chemistry, pack, "chemistry"), series_count(pack)
    own = row_for(chemistry, count)
    if own is not None and own.labels_v[0] == label_v:
        return PASSED
    if own is not None and label_v in own.labels_v:
        others = [row for row in series_rows() if row.labels_v[0] == label_v]
        return _failed(pack, label_v, others, Severity.NOTE) if others else PASSED
    if _counted(chemistry, count, label_v):
        return PASSED
    others = [
        row
        for row in series_rows()
        if label_v in row.labels_v or _counted(row.chemistries[0], row.series_count, label_v)
    ]
    if others and above(abs(label_v - full_charge_v(pack)), SAME_V):
        return _failed(pack, label_v, others, Severity.CAUTION)
    return _failed(pack, label_v, [], Severity.NOTE)


def _counted(chemistry: str, count: int, label_v: float) -> bool:
    """Whether a label is what such a pack's cells add up to."""
    low_v, high_v = NOMINAL_V.get(chemistry, LAYERED_V)
    return not above(count * low_v - SAME_V, label_v) and not above(label_v, count * high_v + SAME_V)


def _failed(pack: Pack, label_v: float, others: list[SeriesRow], severity: Severity) -> Failed:
    kinds = ", ".join(f"{row.series_count} {row.chemistries[0]} ({shown(row.full_v)} V full)" for row in others)
    return Failed(
        severity=severity,
        message="the printed voltage stands for another kind of pack"
        if others
        else "the printed voltage is no usual one",
        found=Amount(label_v, "V", "on the label"),
        limit=Amount(full_charge_v(pack), "V", f"full ({series_count(pack)} {pack.chemistry})"),
        relation="charges to",
        why=f"Under this number packs are sold with {kinds}: a charger or a pack bought by it can be the wrong one."
        if others
        else "A charger or a second pack bought by this number can be the wrong one.",
        do=f"Write on the pack: {series_count(pack)} {pack.chemistry}, full at {shown(full_charge_v(pack))} V.",
        field="label_v",
        kind="paper",
    )


RULE = Rule(
    name="label-misleads",
    kind="paper",
    doubt="whether its label says what it is",
    page=__doc__ or "",
    basis=("common practice",),
    parts=parts,
    check=check,
    gravest=Severity.CAUTION,
)
