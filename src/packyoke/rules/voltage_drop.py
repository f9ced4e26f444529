"""Too much of the packs' voltage is lost on the way to the controller.

What
    Adds up what is lost between a pack's outlet and the controller when that pack carries the
    whole continuous load: both conductors of every lead, contacts, joiners. The finding stands
    at the lead that costs most of it.
Why
    What is lost becomes heat in the harness and is missing at the motor. Near empty the
    controller sees less than the pack has and cuts out early. Packs whose ways lose unlike
    amounts share unevenly.
Limit
    sum of I R <= 3 % of the lowest running voltage

    lowest running voltage = highest of low-voltage cut, least voltage of the controller and
    the pack's cut-off

    R: copper at 20 degC, both conductors; contacts as new, middle of their band; joiner path as
    given, a diode its forward voltage. Warm copper and worn contacts lose more.

    Of a way with more than two lengths, sizes or resistances missing nothing is worked out.
Do
    A thicker or a shorter lead where most is lost.
Rider notices
    weak on hills when the pack is low; cuts out early though the pack shows charge left
Fails
    in skerry-long-tail
    leads.pannier lead.length: 3 m
    leads.pannier lead.gauge: 14 AWG
Passes
    in skerry-long-tail
    leads.pannier lead.length: 3 m
    leads.pannier lead.gauge: 12 AWG
Sources
    3 %: ABYC E-11, for what matters (read in reprints); IEC 60364-5-52 annex G allows 3 to 8 %;
    resistance: ASTM B258, NEC chapter 9 table 8, IEC 60228 class 5; contacts: common practice
"""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.drop import Drop, least_known_v, running_v, shorter_length_m, way_drop, wire_drop_v
from packyoke.analysis.harness.drawing import carrying_all, harness
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.core.paths import name_of
from packyoke.model import Gauge, Lead
from packyoke.rules.mends import fitting_first
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, later
from packyoke.rules.rule import Rule, leads_with_those_beside
from packyoke.shelf import wires

MOST_FRACTION = 0.03
PERCENT = 100.0


def check(case: Case, lead: Lead) -> Outcome:
    case = carrying_all(case, lead)
    drawing = harness(case)
    worst: tuple[float, float, Drop] | None = None
    for pack in drawing.packs_behind[lead.path]:
        for way in drawing.ways[pack]:
            if lead.path not in way:
                continue
            drop = way_drop(case, way)
            if drop.lead != lead.path or not above(drop.volts_v, MOST_FRACTION * least_known_v(case, drop)):
                continue
            lowest_v = running_v(case, drop)
            if above(drop.volts_v, MOST_FRACTION * lowest_v) and (worst is None or drop.volts_v / lowest_v > worst[0]):
                worst = drop.volts_v / lowest_v, lowest_v, drop
    if worst is None:
        return PASSED
    fraction, lowest_v, drop = worst
    mends = (_thicker(case, lead, drop, lowest_v), _shorter(case, lead, drop, lowest_v))
    return Failed(
        severity=Severity.CAUTION,
        message="too much voltage lost on the way to the controller",
        found=Amount(fraction * PERCENT, "%", f"({shown(drop.volts_v)} V from {drop.pack} to {drop.controller})"),
        limit=Amount(MOST_FRACTION * PERCENT, "%", f"of {shown(lowest_v)} V, the lowest running voltage"),
        why="It turns into heat, and near empty the controller cuts out early.",
        do=_advice(case, lead, drop),
        field="gauge",
        mends=tuple(mends),
    )


def _advice(case: Case, lead: Lead, drop: Drop) -> str:
    """What helps where no single change was found; diodes take theirs whatever the wire is."""
    way = next(way for way in harness(case).ways[drop.pack] if lead.path in way and name_of(way[-1]) == drop.controller)
    joiners = (case.build.joiners.get(name_of(path)) for path in way)
    diodes = [each.name for each in joiners if each is not None and joiner_type(each) == "diode"]
    if not diodes:
        return "A thicker or shorter lead."
    return f"Ideal-diode joiners in place of {' and '.join(diodes)}, which lose most; or a thicker or shorter lead."


@later
def _thicker(case: Case, lead: Lead, drop: Drop, lowest_v: float) -> Sequence[Mend]:
    if lead.direct or lead.gauge is None:
        return ()
    family = lead.gauge.family if lead.gauge.family == "mm2" else "AWG"
    present_v = wire_drop_v(case, lead, lead.gauge)
    found = []
    for gauge in (Gauge(family, size) for size in wires.standard_sizes(family)):
        volts_v = drop.volts_v - present_v + wire_drop_v(case, lead, gauge)
        if not above(volts_v, MOST_FRACTION * lowest_v):
            text = f"{gauge} ({shown(volts_v / lowest_v * PERCENT)} %)"
            found.append((gauge, Mend(text, (Change(lead.path, "gauge", gauge),))))
    return fitting_first(case, lead, found)


@later
def _shorter(case: Case, lead: Lead, drop: Drop, lowest_v: float) -> Sequence[Mend]:
    length_m = shorter_length_m(case, lead, drop.volts_v - MOST_FRACTION * lowest_v)
    if length_m is None:
        return ()
    return (Mend(f"At most {shown(length_m)} m of it", (Change(lead.path, "length_m", length_m),)),)


RULE = Rule(
    name="voltage-drop",
    kind="wear",
    doubt="how much voltage is lost on the way",
    page=__doc__ or "",
    basis=("ABYC E-11, 3 %",),
    parts=leads_with_those_beside,
    check=check,
    gravest=Severity.CAUTION,
)
