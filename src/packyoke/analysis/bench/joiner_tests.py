"""Tests with a meter at the bench: whether a joiner blocks, what a path drops under load, the resistance of a pack."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import NamedTuple

from packyoke.analysis.bench.as_built import BAND, COPPER_SHARE
from packyoke.analysis.bench.beyond_limits import DEAD_GATE_A, DEAD_GATE_V
from packyoke.analysis.case import Case
from packyoke.analysis.limits.leads import copper_ohm, described_ohm
from packyoke.analysis.limits.margins import above
from packyoke.model import Build, Gauge, Joiner, Lead, Pack, Unknown
from packyoke.model.found import REGULATED_V, said_of
from packyoke.shelf import wires
from packyoke.shelf.chemistry import pack_resistance_span_ohm

BLOCKS_BELOW_V = 2.0
"""Across an empty inlet with 10 kohm on it: less than this, and the joiner blocks. From memory."""
PLAIN_SHARE = 0.8
"""From this share of the pack's voltage on it is plain or has failed; between the two it leaks. Judgement."""


class InletTest(NamedTuple):
    """One pack in, 10 kohm across another inlet: `blocks`, `plain or failed`, `leaks`; and whether that is as described
    (None: the type is not known)."""

    joiner: str
    volts_v: float
    found: str
    described: bool | None
    inlet: str = ""


def inlet_test(joiner: Joiner, volts_v: float, pack_v: float, inlet: str = "") -> InletTest:
    """What the voltage across an empty inlet says, with a pack of this voltage in another."""
    found = "blocks" if volts_v < BLOCKS_BELOW_V else "plain or failed" if volts_v >= PLAIN_SHARE * pack_v else "leaks"
    if joiner.type == "selector":
        return InletTest(joiner.name, volts_v, found, found == "blocks", inlet)
    if joiner.blocking is None:
        return InletTest(joiner.name, volts_v, found, None, inlet)
    expected = "blocks" if joiner.blocking else "plain or failed"
    return InletTest(joiner.name, volts_v, found, found == expected, inlet)


def as_tested(build: Build) -> Build:
    """The build with each joiner that nobody knows, but that was found to block at every inlet, as one that blocks."""
    for joiner in build.joiners.values():
        if joiner.tested and joiner.blocking is None:
            build = build.with_value(joiner.path, "type", "ideal-diode")
    return build


class PathTest(NamedTuple):
    """A drop under load, over one path of a joiner or over a lead, against what the file describes, whatever was read
    before.

    found: `as described`, `too much`, `too little`, `gate drive dead`, `too little current`, `not described`.
    `described_v` is the most that would be right; of too little what the copper alone drops. `like`: a thinner wire
    that would drop as much.
    """

    part: Joiner | Lead
    drop_v: float
    at_a: float
    found: str
    described_v: float | None
    like: Gauge | None = None


def path_test(case: Case, part: Joiner | Lead, drop_v: float, at_a: float) -> PathTest:
    """What a drop under load says of a joiner's path or of a lead."""
    if isinstance(part, Joiner) and said_of(case.build, part, "type") == "ideal-diode":
        if at_a < DEAD_GATE_A:
            return PathTest(part, drop_v, at_a, "too little current", None)
        if drop_v > DEAD_GATE_V:
            return PathTest(part, drop_v, at_a, "gate drive dead", DEAD_GATE_V)
    described_v = _described_drop_v(case, part, at_a)
    if described_v is None:
        return PathTest(part, drop_v, at_a, "not described", None)
    copper_v = at_a * copper_ohm(part) if isinstance(part, Lead) else 0.0
    if above(COPPER_SHARE * copper_v, drop_v):
        return PathTest(part, drop_v, at_a, "too little", copper_v)
    if not above(drop_v, (1 + BAND) * described_v):
        return PathTest(part, drop_v, at_a, "as described", described_v)
    like = _thinner_like(case, part, drop_v / at_a) if isinstance(part, Lead) else None
    return PathTest(part, drop_v, at_a, "too much", described_v, like)


def _described_drop_v(case: Case, part: Joiner | Lead, at_a: float) -> float | None:
    with suppress(Unknown):
        if isinstance(part, Lead):
            return at_a * described_ohm(case, part)[1]
        kind, ohm = said_of(case.build, part, "type"), said_of(case.build, part, "resistance_ohm")
        if kind == "diode":
            volts_v: float | None = said_of(case.build, part, "forward_v")
            return volts_v
        least_v = REGULATED_V / (1 + BAND) if kind == "ideal-diode" else 0.0
        return max(least_v, at_a * ohm) if ohm is not None else None
    return None


def _thinner_like(case: Case, lead: Lead, ohm: float) -> Gauge | None:
    """The wire thinner than described with which this lead would have a resistance, to within the band."""
    if lead.direct or lead.gauge is None:
        return None
    family = lead.gauge.family if lead.gauge.family == "mm2" else "AWG"
    area_m2 = wires.copper_area_m2(*lead.gauge)
    found: list[tuple[float, Gauge]] = []
    for size in wires.standard_sizes(family):
        if wires.copper_area_m2(family, size) < area_m2:
            each = Gauge(family, size)
            low_ohm, high_ohm = described_ohm(case, replace(lead, gauge=each))
            found.append((abs(2 * ohm / (low_ohm + high_ohm) - 1), each))
    off, nearest = min(found, default=(1.0, lead.gauge))
    return nearest if off <= BAND else None


class LoadTest(NamedTuple):
    """A pack under load: its resistance [ohm], and that of the file or of new packs of its kind (from, to).

    found: `as described`, `more`, `less`, `not described`.
    """

    pack: str
    rest_v: float
    load_v: float
    at_a: float
    ohm: float
    found: str
    described_ohm: tuple[float, float] | None


def load_test(build: Build, pack: Pack, rest_v: float, load_v: float, at_a: float) -> LoadTest:
    """The resistance of a pack from its voltage at rest and under load, against what the file describes.

    R = (V_rest - V_load)/I
    """
    ohm = (rest_v - load_v) / at_a
    described: tuple[float, float] | None = None
    said_ohm = said_of(build, pack, "resistance_ohm")
    if said_ohm is not None:
        described = (said_ohm, said_ohm)
    elif pack.series is not None and pack.capacity_coulomb is not None:
        described = pack_resistance_span_ohm(pack.series, pack.capacity_coulomb, pack.cells)
    found = "not described"
    if described is not None:
        more, less = above(ohm, (1 + BAND) * described[1]), above((1 - BAND) * described[0], ohm)
        found = "more" if more else "less" if less else "as described"
    return LoadTest(pack.name, rest_v, load_v, at_a, ohm, found, described)
