"""A part sees a voltage above its rating.

What
    The highest voltage that reaches a joiner, an accessory or a connector is above its ceiling: the
    highest working voltage that its maker states.
Why
    Transistors in a blocking joiner break down above their ceiling and then conduct for good: it
    blocks no more, and nobody sees it. Lamps and converters burn.
Limit
    The largest of: full charge of the packs behind it; output of a charger that reaches it; full
    charge plus what braking adds, E + I R. Never the label. A number that is only marked on a
    joiner passes when the voltage is at or below it. Else it may stand for packs sold under that
    number: above the highest full charge of those it is a stop, else the ceiling is asked for.
Do
    Fit a part with a ceiling above the voltage found, with something to spare, or ask the maker for
    the ceiling in writing.
Rider notices
    lamp burns out after charging; joiner got hot or smells; a pack charges the other one
Fails
    in skerry-long-tail
    joiners.yoke.ceiling: 55 V
Passes
    in skerry-long-tail
    joiners.yoke.ceiling: 60 V
Sources
    Makers' ratings; kinds of pack by label: common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.contacts import contact
from packyoke.analysis.limits.margins import above, end_places
from packyoke.analysis.packs.voltages import (
    BRAKING,
    CHARGER,
    Highest,
    highest_braking,
    highest_charger,
    highest_full_charge,
    highest_full_charge_of_label_v,
)
from packyoke.core.findings import Amount, Severity, shown
from packyoke.core.paths import PartPath
from packyoke.model import Accessory, Joiner, Lead, Part, known
from packyoke.rules.outcome import PASSED, Failed, Outcome, Undecided
from packyoke.rules.readings import heeding_readings
from packyoke.rules.rule import Rule

WHYS = {
    Joiner: "Blocking parts fail short above it, without a sign: from then on one pack feeds the other.",
    Accessory: "It fails, and a failed lamp or converter can burn.",
    Lead: "Between its contacts and out of its body it may arc.",
}


def parts(case: Case) -> list[Part]:
    """Joiners on a way, accessories, and the leads where the file gives a connector's ceiling."""
    build, behind = case.build, harness(case).packs_behind
    found: list[Part] = [joiner for joiner in build.joiners.values() if joiner.path in behind]
    found += build.accessories.values()
    if any(connector.ceiling_v is not None for connector in build.connectors.values()):
        found += [lead for lead in build.leads.values() if lead.path in behind]
    return found


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Joiner):
        return _joiner(case, part)
    if isinstance(part, Accessory):
        behind, paths = harness(case).packs_behind, _source_paths(case, part)
        return _compare(case, part, [path for path in paths if path in behind], "max_v", part.max_v)
    assert isinstance(part, Lead)
    return _ends(case, part)


def _joiner(case: Case, joiner: Joiner) -> Outcome:
    if joiner.built_in is not None:
        if joiner.built_in.full_charge_v is None:
            return None
        return _compare(case, joiner, [joiner.path], "built_in", joiner.built_in.full_charge_v)
    if joiner.ceiling_v is not None or joiner.marked_v is None:
        return _compare(case, joiner, [joiner.path], "ceiling_v", joiner.ceiling_v)
    over = _over(case, [joiner.path], joiner.marked_v)
    if over is None:
        return PASSED
    sold_v = highest_full_charge_of_label_v(joiner.marked_v)
    if sold_v is None or above(over.volts_v, sold_v):
        return _failed(case, joiner, "marked_v", joiner.marked_v, over, "(marked on it)")
    return Undecided(
        message="what it is marked with may be the packs it is for, or the most it bears",
        asks=((joiner, "ceiling_v"),),
        passes_if=f"{shown(over.volts_v)} V or more, in writing",
        found=Amount(over.volts_v, "V", _note(over)),
        limit=Amount(joiner.marked_v, "V", "(marked on it)"),
        why=WHYS[Joiner],
        do=f"Ask the maker for its highest working voltage in writing: {shown(over.volts_v)} V or more passes.",
    )


def _ends(case: Case, lead: Lead) -> Outcome:
    lowest_v: float | None = None
    for _, end in end_places(case, lead):
        found = contact(case, end) if end is not None else None
        if found is not None and found.ceiling_v is not None:
            lowest_v = found.ceiling_v if lowest_v is None else min(lowest_v, found.ceiling_v)
    return _compare(case, lead, [lead.path], "ends", lowest_v) if lowest_v is not None else None


def _source_paths(case: Case, accessory: Accessory) -> list[PartPath]:
    build = case.build
    return [
        (build.packs.get(source) or build.joiners.get(source) or build.leads[source]).path
        for source in accessory.sources
    ]


def _compare(case: Case, part: Part, paths: list[PartPath], attr: str, ceiling_v: float | None) -> Outcome:
    if not paths:
        return None
    limit_v = known(ceiling_v, part, attr)
    over = _over(case, paths, limit_v)
    return _failed(case, part, attr, limit_v, over) if over is not None else PASSED


def _over(case: Case, paths: list[PartPath], limit_v: float) -> Highest | None:
    """A voltage above a limit; what is known without asking decides first."""
    for find in (highest_full_charge, highest_charger, highest_braking):
        for path in paths:
            found = find(case, path)
            if found is not None and above(found.volts_v, limit_v):
                return found
    return None


def _failed(case: Case, part: Part, attr: str, limit_v: float, over: Highest, note: str = "") -> Failed:
    by = case.build.chargers[over.by] if over.cause == CHARGER else case.build.packs[over.by]
    return Failed(
        severity=Severity.STOP,
        message="voltage above its rating",
        found=Amount(over.volts_v, "V", _note(over)),
        limit=Amount(limit_v, "V", note),
        why=WHYS[type(part)],
        do=f"Fit one with a ceiling of {shown(over.volts_v)} V or more, stated by its maker.",
        field=attr,
        also=(by,),
    )


def _note(over: Highest) -> str:
    if over.cause == CHARGER:
        return f"charger {over.by}"
    return f"{over.by}, full and braking" if over.cause == BRAKING else f"{over.by}, full"


RULE = heeding_readings(
    Rule(
        name="ceiling-exceeded",
        kind="danger",
        doubt="whether it is rated for the highest voltage",
        page=__doc__ or "",
        basis=("maker's rating", "common practice"),
        parts=parts,
        check=check,
    )
)
