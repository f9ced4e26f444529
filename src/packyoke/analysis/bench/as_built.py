"""Readings that differ from the file: what was measured at the finished build, held against what the file says.

The readings themselves stand in the build already (`model.found`).
"""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.leads import copper_ohm, described_ohm
from packyoke.analysis.limits.margins import above
from packyoke.core.constants import AH_C
from packyoke.model import FITTED, Charger, Fuse, Joiner, Lead, Measured, Pack, Part, Unknown
from packyoke.model.found import lets_back, newest, regulates, said_of

BAND = 0.10
"""Readings of resistance, drop, capacity and fuse rating that differ by no more are the same: judgement."""
COPPER_SHARE = 0.75
"""A lead reads no less than this share of its copper at 20 degC: half is one conductor of the two, and at -20 degC
copper has 0.84 of it. Judgement."""
SHOWN = {"resistance": ("mohm", 1e3), "drop": ("mV", 1e3)}
VOLTAGE_BAND = 0.005
"""The same for voltages at rest, as for chargers."""


class Difference(NamedTuple):
    """A reading that is not as described. `unit` and `scale` are for showing."""

    reading: Measured
    described: float
    about: str
    unit: str = ""
    scale: float = 1.0
    relation: str = "at most"
    danger: bool = False


@once
def differences(case: Case, part: Part) -> tuple[Difference, ...]:
    """The readings at a part that are not as described; what the file does not describe is not compared."""
    build = case.build
    failed = lets_back(build, part)[:1] if isinstance(part, Joiner) else ()
    found = [_lets_back(case, part, each) for each in failed if isinstance(part, Joiner)]
    for reading in newest(build, part.path):
        if reading.what == "blocks" and failed:
            continue
        found.append(_difference(case, part, reading))
    return tuple(each for each in found if each is not None)


def _lets_back(case: Case, joiner: Joiner, reading: Measured) -> Difference | None:
    """What blocks by its description and was found not to block has failed; of others nobody said that they block."""
    if said_of(case.build, joiner, "type") in (None, "unknown", "plain"):
        return None
    return Difference(reading, 1.0, "it does not block", danger=True)


def _difference(case: Case, part: Part, reading: Measured) -> Difference | None:
    if reading.what == "polarity":
        if reading.value:
            return None
        return Difference(reading, 1.0, "plus and minus are the wrong way round", danger=True)
    if reading.what == "fuse":
        fuse = part if isinstance(part, Fuse) else getattr(part, "fuse", None)
        return _fuse(case, fuse, reading) if isinstance(fuse, Fuse) else None
    if isinstance(part, Pack):
        return _pack(case, part, reading)
    if isinstance(part, Joiner):
        return _joiner(case, part, reading)
    if isinstance(part, Lead) and reading.what in ("resistance", "drop"):
        try:
            return _resistance(reading, described_ohm(case, part)[1]) or _less_than_copper(reading, copper_ohm(part))
        except Unknown:
            return None
    output_v = said_of(case.build, part, "output_v") if isinstance(part, Charger) else None
    if (
        reading.what == "voltage"
        and output_v is not None
        and above(abs(reading.value - output_v), VOLTAGE_BAND * output_v)
    ):
        relation = "at most" if reading.value > output_v else "at least"
        return Difference(reading, output_v, "output voltage", "V", 1.0, relation)
    return None


def _fuse(case: Case, fuse: Fuse, reading: Measured) -> Difference | None:
    """A fuse that is not there, or another size. A reading of 1 means that there is one."""
    rating_a = said_of(case.build, fuse, "rating_a")
    if reading.value == 0.0:
        fitted = said_of(case.build, fuse, "presence") == FITTED
        return Difference(reading, 1.0, "no fuse was found") if fitted else None
    if reading.value == 1.0 or rating_a is None or not above(abs(reading.value - rating_a), BAND * rating_a):
        return None
    relation = "at most" if reading.value > rating_a else "at least"
    return Difference(reading, rating_a, "rating of the fuse", "A", 1.0, relation)


def _pack(case: Case, pack: Pack, reading: Measured) -> Difference | None:
    if reading.what == "resistance":
        described = said_of(case.build, pack, "resistance_ohm")
        if described is not None and above(reading.value, (1 + BAND) * described):
            return Difference(reading, described, "resistance", "mohm", 1e3, "at most")
        # Less resistance is better for the ride, but makes the rush between packs larger.
        if described is not None and above((1 - BAND) * described, reading.value) and _can_rush(case, pack):
            return Difference(reading, described, "resistance", "mohm", 1e3, "at least")
    if reading.what == "capacity":
        described = said_of(case.build, pack, "tested_capacity_coulomb") or pack.capacity_coulomb
        if described is not None and above((1 - BAND) * described, reading.value):
            return Difference(reading, described, "capacity", "Ah", 1 / AH_C, "at least")
        # More than it was made with is no luck: range and what its cells bear would rest on it.
        if described is not None and above(reading.value, (1 + BAND) * described):
            return Difference(reading, described, "capacity", "Ah", 1 / AH_C, "at most")
    return None


def _can_rush(case: Case, pack: Pack) -> bool:
    """Whether another pack may push current into this one: through any joiner that is not known to block."""
    behind = harness(case).packs_behind
    names = (behind.get(joiner.path, ()) for joiner in case.build.joiners.values() if not joiner.blocking)
    return any(pack.name in packs and len(packs) > 1 for packs in names)


def _joiner(case: Case, joiner: Joiner, reading: Measured) -> Difference | None:
    kind = said_of(case.build, joiner, "type")
    if reading.what == "blocks":
        # A plain one that blocks at one inlet is another part than described; it goes on counting as plain.
        return Difference(reading, 0.0, "it blocks") if kind == "plain" else None
    if reading.what == "drop" and kind == "diode":
        described_v = said_of(case.build, joiner, "forward_v")
        if described_v is not None and above(reading.value, (1 + BAND) * described_v):
            return Difference(reading, described_v, "forward voltage", "V", 1.0, "at most")
        return None
    described = said_of(case.build, joiner, "resistance_ohm")
    if described is None or kind == "diode" or regulates(joiner, reading):
        return None
    return _resistance(reading, described)


def _resistance(reading: Measured, described: float) -> Difference | None:
    """A resistance, or a drop at a current, against a resistance; only more is a difference."""
    scaled = _scaled(reading, described)
    if scaled is None or not above(reading.value, (1 + BAND) * scaled):
        return None
    return Difference(reading, scaled, reading.what, *SHOWN[reading.what], "at most")


def _less_than_copper(reading: Measured, copper: float) -> Difference | None:
    """Less than the wire alone can have: one conductor was measured, or the lead is another one."""
    scaled = _scaled(reading, copper)
    if scaled is None or not above(COPPER_SHARE * scaled, reading.value):
        return None
    return Difference(reading, scaled, reading.what, *SHOWN[reading.what], "at least")


def _scaled(reading: Measured, ohm: float) -> float | None:
    """What a reading would be of so much resistance; None for a drop without its current."""
    if reading.what == "resistance":
        return ohm
    return ohm * reading.at_a if reading.what == "drop" and reading.at_a else None
