"""What was measured at the finished build, against what the file describes."""

from __future__ import annotations

from typing import Any, NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.analysis.limits.margins import above
from packyoke.model import FITTED, NONE, Charger, Fuse, Joiner, Lead, Measured, Pack, Part, Unknown
from packyoke.shelf import wires

BAND = 0.10
"""Readings of resistance, drop, capacity and fuse rating that differ by no more are the same: judgement."""
VOLTAGE_BAND = 0.005
"""The same for voltages at rest, as for chargers."""
DEAD_GATE_V = 0.4
DEAD_GATE_A = 5.0
"""A path of an ideal diode that drops more than this under load conducts through its body diode: memory."""


class Difference(NamedTuple):
    """A reading that is not as described. `unit` and `scale` are for showing; `changes` put it into the build."""

    reading: Measured
    described: float
    about: str
    unit: str = ""
    scale: float = 1.0
    relation: str = "at most"
    changes: tuple[tuple[str, str, Any], ...] = ()
    danger: bool = False


@once
def newest_readings(case: Case, path: str) -> tuple[Measured, ...]:
    """The newest reading of each kind at a part; of two of one day the later in the file."""
    found: dict[str, Measured] = {}
    for reading in case.build.measured:
        if reading.part == path and (reading.what not in found or reading.date >= found[reading.what].date):
            found[reading.what] = reading
    return tuple(found.values())


def differences(case: Case, part: Part) -> list[Difference]:
    """The newest readings at a part that are not as described; what the file does not describe is not compared."""
    found = []
    for reading in newest_readings(case, part.path):
        difference = _difference(case, part, reading)
        if difference is not None:
            found.append(difference)
    return found


def _difference(case: Case, part: Part, reading: Measured) -> Difference | None:
    if reading.what == "polarity":
        if reading.value:
            return None
        return Difference(reading, 1.0, "plus and minus are the wrong way round", danger=True)
    if reading.what == "fuse":
        fuse = part if isinstance(part, Fuse) else getattr(part, "fuse", None)
        return _fuse(fuse, reading) if isinstance(fuse, Fuse) else None
    if isinstance(part, Pack):
        return _pack(case, part, reading)
    if isinstance(part, Joiner):
        return _joiner(part, reading)
    if isinstance(part, Lead):
        return _lead(case, part, reading)
    if isinstance(part, Charger) and reading.what == "voltage" and part.output_v is not None:
        slack_v = VOLTAGE_BAND * part.output_v
        if above(abs(reading.value - part.output_v), slack_v):
            change = (part.path, "output_v", reading.value)
            relation = "at most" if reading.value > part.output_v else "at least"
            return Difference(reading, part.output_v, "output voltage", "V", 1.0, relation, (change,))
    return None


def _fuse(fuse: Fuse, reading: Measured) -> Difference | None:
    """A fuse that is not there, or another size. A reading of 1 means that there is one."""
    if reading.value == 0.0:
        if fuse.presence != FITTED:
            return None
        return Difference(reading, 1.0, "no fuse was found", changes=((fuse.path, "presence", NONE),))
    if reading.value == 1.0 or fuse.rating_a is None:
        return None
    if not above(abs(reading.value - fuse.rating_a), BAND * fuse.rating_a):
        return None
    relation = "at most" if reading.value > fuse.rating_a else "at least"
    change = (fuse.path, "rating_a", reading.value)
    return Difference(reading, fuse.rating_a, "rating of the fuse", "A", 1.0, relation, (change,))


def _pack(case: Case, pack: Pack, reading: Measured) -> Difference | None:
    if reading.what == "resistance" and pack.resistance_ohm is not None:
        change = (pack.path, "resistance_ohm", reading.value)
        if above(reading.value, (1 + BAND) * pack.resistance_ohm):
            return Difference(reading, pack.resistance_ohm, "resistance", "mohm", 1e3, "at most", (change,))
        # Less resistance is better for the ride, but makes the rush between packs larger.
        if above((1 - BAND) * pack.resistance_ohm, reading.value) and _can_rush(case, pack):
            return Difference(reading, pack.resistance_ohm, "resistance", "mohm", 1e3, "at least", (change,))
    if reading.what == "capacity":
        described = pack.tested_capacity_coulomb or pack.capacity_coulomb
        if described is not None and above((1 - BAND) * described, reading.value):
            change = (pack.path, "tested_capacity_coulomb", reading.value)
            return Difference(reading, described, "capacity", "Ah", 1 / 3600, "at least", (change,))
    if reading.what == "voltage":
        if pack.full_charge_v is not None and above(reading.value, (1 + VOLTAGE_BAND) * pack.full_charge_v):
            change = (pack.path, "full_charge_v", reading.value)
            return Difference(reading, pack.full_charge_v, "voltage", "V", 1.0, "at most", (change,))
        if pack.cut_off_v is not None and above(pack.cut_off_v, reading.value):
            return Difference(reading, pack.cut_off_v, "voltage at rest, below its cut-off", "V", 1.0, "at least")
    return None


def _can_rush(case: Case, pack: Pack) -> bool:
    """Whether another pack may push current into this one: through any joiner that is not known to block."""
    behind = harness(case).packs_behind
    names = (behind.get(joiner.path, ()) for joiner in case.build.joiners.values() if not joiner.blocking)
    return any(pack.name in packs and len(packs) > 1 for packs in names)


def _joiner(joiner: Joiner, reading: Measured) -> Difference | None:
    if reading.what == "blocks":
        blocks = joiner.blocking or joiner.type == "selector"
        if joiner.type in (None, "unknown") or blocks == bool(reading.value):
            return None
        becomes = "ideal-diode" if reading.value else "plain"
        about = "it blocks" if reading.value else "it does not block"
        return Difference(reading, float(blocks), about, changes=((joiner.path, "type", becomes),))
    if reading.what == "temperature":
        if above(reading.value, joiner.body_limit_k):
            return Difference(reading, joiner.body_limit_k, "temperature of its body", "degC", 0.0, "at most")
        return None
    if reading.what == "drop" and joiner.type == "diode":
        if joiner.forward_v is not None and above(reading.value, (1 + BAND) * joiner.forward_v):
            change = (joiner.path, "forward_v", reading.value)
            return Difference(reading, joiner.forward_v, "forward voltage", "V", 1.0, "at most", (change,))
        return None
    if joiner.resistance_ohm is None or joiner.type == "diode":
        return None
    return _resistance(reading, joiner.resistance_ohm, joiner.path)


def _lead(case: Case, lead: Lead, reading: Measured) -> Difference | None:
    if reading.what == "temperature" and lead.insulation is not None:
        limit_k = wires.insulation_limit_k(lead.insulation)
        if above(reading.value, limit_k):
            return Difference(reading, limit_k, "temperature of its wire", "degC", 0.0, "at most")
    if reading.what in ("resistance", "drop"):
        try:
            described_ohm = lead_resistance_ohm(case, lead)[1]
        except Unknown:
            return None
        return _resistance(reading, described_ohm, "")
    return None


def _resistance(reading: Measured, described_ohm: float, path: str) -> Difference | None:
    """A resistance, or a drop at a current, against a resistance; only more is a difference."""
    if reading.what == "resistance":
        if not above(reading.value, (1 + BAND) * described_ohm):
            return None
        changes = ((path, "resistance_ohm", reading.value),) if path else ()
        return Difference(reading, described_ohm, "resistance", "mohm", 1e3, "at most", changes)
    if reading.what != "drop" or not reading.at_a:
        return None
    if not above(reading.value, (1 + BAND) * described_ohm * reading.at_a):
        return None
    changes = ((path, "resistance_ohm", reading.value / reading.at_a),) if path else ()
    return Difference(reading, described_ohm * reading.at_a, "drop", "mV", 1e3, "at most", changes)


def gate_is_dead(part: Part, reading: Measured) -> bool:
    """Whether a drop says that an ideal diode no longer switches on and conducts through its body diode."""
    return (
        isinstance(part, Joiner)
        and part.type == "ideal-diode"
        and reading.what == "drop"
        and reading.value > DEAD_GATE_V
        and (reading.at_a or 0.0) >= DEAD_GATE_A
    )
