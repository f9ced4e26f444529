"""Readings beyond a limit: what was measured at the finished build, held against what parts bear."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from packyoke.analysis.bench.as_built import BAND, VOLTAGE_BAND
from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import draw
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import kind_of
from packyoke.analysis.limits.contacts import contact
from packyoke.analysis.limits.heat import TOUCH_K
from packyoke.analysis.limits.leads import described_ohm
from packyoke.analysis.limits.margins import above, end_places
from packyoke.analysis.packs.voltages import lowest_cut_off_v, series_count
from packyoke.core.findings import Severity
from packyoke.core.paths import owner_of
from packyoke.model import Charger, Joiner, Lead, Measured, Pack, Part, Unknown, known
from packyoke.model.found import newest, said_of
from packyoke.shelf import wires
from packyoke.shelf.chemistry import pack_resistance_span_ohm

NOTHING_SHARE = 0.5
"""Less than this share of the lowest cut-off: the cells are not what is measured. Judgement."""
DEAD_GATE_V = 0.4
DEAD_GATE_A = 5.0
"""A path of an ideal diode that drops more than this under load conducts through its body diode: memory."""
PACK_LIMIT_K = 333.15
"""No lithium cell is run hotter, whatever its maker: common practice, 60 degC."""
WORN_OUT = 2.0
"""Twice the resistance of new cells is the end of their life: common practice."""
OTHER_LIMIT_K = 358.15
"""Parts without a limit of their own: what a joiner's body has, judgement."""
SPOT_W = 2.0
"""Heat that one bad joint gives off without harm, where the connector's own figure is not known: judgement, about what
an XT60 gives off at its rating."""
OF_CHARGE = ("voltage", "voltage under load")


class Beyond(NamedTuple):
    """A reading beyond a limit: whose finding it is, in which words, and against what; `scale` is for showing.

    OPEN: it says nothing of the part yet, and has to be taken again.
    """

    rule: str
    reading: Measured
    found: float
    limit: float
    unit: str
    scale: float
    relation: str
    message: str
    why: str
    do: str
    severity: Severity = Severity.STOP


def beyond(case: Case, part: Part, rule: str) -> Beyond | None:
    """The gravest reading at a part that is beyond a limit which is this rule's, of equal ones the first; None where
    there is none.

    Raises Unknown where the limit is not known, and no other reading is a stop.
    """
    missing: Unknown | None = None
    gravest: Beyond | None = None
    for reading in newest(case.build, part.path):
        try:
            found = next((each for each in _beyond(case, part, reading) if each.rule == rule), None)
        except Unknown as unknown:
            if rule == _home(part, reading):
                missing = missing or unknown
            continue
        if found is not None and (gravest is None or found.severity > gravest.severity):
            gravest = found
    if missing is not None and (gravest is None or gravest.severity < Severity.STOP):
        raise missing
    return gravest


def _home(part: Part, reading: Measured) -> str:
    """The rule that asks for what a reading is held against: the one whose limit that is."""
    if isinstance(part, Pack):
        return "pack-unsound"
    if isinstance(part, Lead) and reading.what in ("drop", "resistance", "temperature"):
        return "lead-overheats"
    return "ceiling-exceeded"


def _beyond(case: Case, part: Part, reading: Measured) -> Iterator[Beyond]:
    if reading.what in OF_CHARGE and not isinstance(part, Charger):
        yield from _volts(case, part, reading)
    elif reading.what == "temperature":
        yield from _too_hot(part, reading)
    elif isinstance(part, Pack) and reading.what == "resistance":
        yield from _worn(case, part, reading)
    elif isinstance(part, Joiner) and gate_is_dead(part, reading):
        yield Beyond(
            "joiner-overheats",
            reading,
            reading.value,
            DEAD_GATE_V,
            "V",
            1.0,
            "at most",
            "its gate drive is dead",
            "The current goes through the body diode, and it gets many times as hot.",
            "Fit another joiner.",
        )
    elif isinstance(part, Lead) and reading.what in ("drop", "resistance"):
        yield from _bad_joint(case, part)


def _volts(case: Case, part: Part, reading: Measured) -> Iterator[Beyond]:
    full_v = full_charge_v(part) if isinstance(part, Pack) else _highest_full_v(case, part)
    if full_v is not None and above(reading.value, (1 + VOLTAGE_BAND) * full_v):
        rule = "pack-unsound" if isinstance(part, Pack) else "ceiling-exceeded"
        yield Beyond(
            rule,
            reading,
            reading.value,
            full_v,
            "V",
            1.0,
            "at most",
            "more volts were read than a full pack has",
            "Cells were charged past full, or a pack or charger is not the one described: both burn.",
            "Unplug all packs; find the pack or charger it comes from, and hold the meter against another one.",
        )
    if isinstance(part, Pack) and reading.what == "voltage":
        lowest_v = lowest_cut_off_v(part, series_count(part))
        if reading.value < NOTHING_SHARE * lowest_v:
            yield Beyond(
                "pack-unsound",
                reading,
                reading.value,
                lowest_v,
                "V",
                1.0,
                "at least",
                "nothing comes out of it: asleep, tripped, or its fuse is open",
                "Its cells are not what was measured.",
                "Wake the pack (button, key, charger), look at its fuse, and measure again.",
                Severity.OPEN,
            )
        elif above(lowest_v, reading.value):
            message = "less voltage was read than its protection (BMS) lets it fall to"
            why = "Cells that were so low grow copper inside: charged again they can short and burn."
            do = "Do not charge it and do not join it: its maker or a qualified person decides."
            yield Beyond("pack-unsound", reading, reading.value, lowest_v, "V", 1.0, "at least", message, why, do)
    if isinstance(part, Pack) and reading.what == "voltage under load":
        yield from _still_on(part, reading)


def _still_on(pack: Pack, reading: Measured) -> Iterator[Beyond]:
    lowest_v = (1 - VOLTAGE_BAND) * lowest_cut_off_v(pack, series_count(pack))
    if above(lowest_v, reading.value):
        message = "its protection (BMS) did not open under load"
        why = "Below this it has to switch off, before the cells are damaged."
        do = "Take it out of use; let its maker look at the protection, or measure again at its outlet."
        yield Beyond("pack-unsound", reading, reading.value, lowest_v, "V", 1.0, "at least", message, why, do)


def _highest_full_v(case: Case, part: Part) -> float | None:
    """The highest full charge of the packs that reach a part; of all packs where none is drawn to reach it [V]."""
    build, path = case.build, part.path
    behind = harness(case).packs_behind
    names = behind.get(path) or behind.get(owner_of(path)) or tuple(build.packs)
    return max((full_charge_v(build.packs[name]) for name in names), default=None)


def _too_hot(part: Part, reading: Measured) -> Iterator[Beyond]:
    rule, limit_k, whose = "as-built-differs", OTHER_LIMIT_K, "a part without a limit of its own bears"
    if isinstance(part, Joiner):
        rule, limit_k, whose = "joiner-overheats", part.body_limit_k, "its body bears"
    elif isinstance(part, Lead):
        rule, limit_k = "lead-overheats", wires.insulation_limit_k(known(part.insulation, part, "insulation"))
        whose = "its insulation bears"
    elif isinstance(part, Pack):
        rule, limit_k, whose = "pack-unsound", PACK_LIMIT_K, "any lithium cell bears"
    if above(reading.value, limit_k):
        yield Beyond(
            rule,
            reading,
            reading.value,
            limit_k,
            "degC",
            0.0,
            "at most",
            "hotter than its limit",
            f"It was measured hotter than what {whose}: it fails, and what lies beside it can burn.",
            "Unplug all packs; find why it gets so hot, mend it, and measure again under the same load.",
        )
    elif isinstance(part, Lead | Joiner) and above(reading.value, TOUCH_K):
        yield Beyond(
            rule,
            reading,
            reading.value,
            TOUCH_K,
            "degC",
            0.0,
            "at most",
            "too hot to touch",
            "A hand does not bear that; and a bad contact, or more current than it was made for, can be behind it.",
            "Feel along it for the place where the heat arises, mend that, and measure again under the same load.",
            Severity.CAUTION,
        )


def _worn(case: Case, pack: Pack, reading: Measured) -> Iterator[Beyond]:
    """Against new packs of its kind; what the file itself says of it, to within the band, is no surprise."""
    capacity_coulomb = known(pack.capacity_coulomb, pack, "capacity_coulomb")
    low_ohm, high_ohm = pack_resistance_span_ohm(series_count(pack), capacity_coulomb, known(pack.cells, pack, "cells"))
    described = said_of(case.build, pack, "resistance_ohm")
    most_ohm, least_ohm = (
        (high_ohm, low_ohm)
        if described is None
        else (max(high_ohm, (1 + BAND) * described), min(low_ohm, (1 - BAND) * described))
    )
    worn = above(reading.value, WORN_OUT * high_ohm)
    if worn or above(reading.value, most_ohm):
        yield Beyond(
            "pack-unsound",
            reading,
            reading.value,
            high_ohm,
            "mohm",
            1e3,
            "at most",
            "more resistance than packs of its kind have",
            "Worn cells, a bad weld or a burnt contact: under load the heat arises there.",
            "Measure again, warm and at both contacts of the outlet. If it stays, "
            + ("take the pack out of use." if worn else "count with what was measured, and look at it every season."),
            Severity.STOP if worn else Severity.CAUTION,
        )
    elif above(least_ohm, reading.value):
        yield Beyond(
            "pack-unsound",
            reading,
            reading.value,
            low_ohm,
            "mohm",
            1e3,
            "at least",
            "less resistance than packs of its kind have",
            "It is another pack than described, or it was measured in another way; the rush follows from it.",
            "Measure again; if it stays, find out which pack it is.",
            Severity.CAUTION,
        )


def _bad_joint(case: Case, lead: Lead) -> Iterator[Beyond]:
    """The resistance that a lead has too much sits in one spot, at worst: its heat there at the load."""
    ohm = lead.measured_ohm or 0.0
    described = described_ohm(case, lead)[1]
    if not above(ohm, (1 + BAND) * described):
        return
    load_a = draw(case, lead.path).forward_a
    spot_w = load_a**2 * (ohm - described)
    limit_w = min((_at_rating_w(case, end) for _, end in end_places(case, lead)), default=SPOT_W)
    if above(spot_w, limit_w):
        reading = next(each for each in newest(case.build, lead.path) if each.what in ("drop", "resistance"))
        yield Beyond(
            "lead-overheats",
            reading,
            spot_w,
            limit_w,
            "W",
            1.0,
            "at most",
            "a joint in it gets too hot",
            f"{1e3 * ohm:.3g} mohm were measured and {1e3 * described:.3g} are described: at {load_a:.3g} A the rest "
            "heats one bad joint.",
            "Unplug all packs, find the joint (feel along it, pull at each), mend it and measure again.",
        )


def _at_rating_w(case: Case, end: Any) -> float:
    """What one connector gives off at its rating [W]: it bears that much in one spot."""
    found = contact(case, end) if end is not None else None
    if found is None or found.limit_a is None:
        return SPOT_W
    return found.limit_a**2 * found.resistance_ohm[1]


def gate_is_dead(joiner: Joiner, reading: Measured) -> bool:
    """Whether a drop says that an ideal diode no longer switches on and conducts through its body diode."""
    high = reading.what == "drop" and reading.value > DEAD_GATE_V and (reading.at_a or 0.0) >= DEAD_GATE_A
    return high and kind_of(joiner) == "ideal-diode"
