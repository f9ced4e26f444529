"""Readings held against what the file says and against what parts bear, at both sides of each limit.

The bike: keel of 14 cells (58.8 V full, cut-off 42 V, 95 mohm, 20 Ah, fuse 40 A), pannier like it, an ideal diode.
"""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.bench.as_built import differences
from packyoke.analysis.bench.beyond_limits import beyond
from packyoke.analysis.bench.metering import brisk_build, read_voltages
from packyoke.analysis.case import Case
from packyoke.analysis.harness.joining import SLOW_PER_HOUR
from packyoke.core.findings import Severity
from packyoke.model import Unknown
from tests.planning.bikes import build_of
from tests.support import edited

NAME = "skerry-long-tail"


def measured(*readings: str, put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    each = ", ".join(f"{{date: 2026-05-14, {reading}}}" for reading in readings)
    return Case(build_of(edited(NAME, {"measured": f"[{each}]", **(put or {})}, drop)))


PLAIN: dict[str, Any] = {"put": {"joiners.yoke.type": "plain"}, "drop": ("joiners.yoke.blocks_in",)}
DIRECT: dict[str, Any] = {"put": {"leads.main lead": {"from": "yoke", "to": "controller", "direct": "yes"}}}
DIODE: dict[str, Any] = {
    "put": {"joiners.yoke.type": "diode", "joiners.yoke.forward_voltage": "0.5 V"},
    "drop": ("joiners.yoke.resistance",),
}


@pytest.mark.parametrize(
    ("part", "reading", "more", "about", "relation"),
    [
        ("packs.keel", "what: fuse, value: no", {}, "no fuse was found", "at most"),
        ("packs.keel", "what: fuse, value: yes", {}, None, ""),
        ("packs.keel", "what: fuse, value: 44 A", {}, None, ""),  # a tenth more is the same
        ("packs.keel", "what: fuse, value: 45 A", {}, "rating of the fuse", "at most"),
        ("packs.keel", "what: fuse, value: 36 A", {}, None, ""),
        ("packs.keel", "what: fuse, value: 35 A", {}, "rating of the fuse", "at least"),
        ("leads.main lead", "what: fuse, value: no", {}, None, ""),  # none is described
        ("packs.keel", "what: capacity, value: 18 Ah", {}, None, ""),
        ("packs.keel", "what: capacity, value: 17.9 Ah", {}, "capacity", "at least"),
        ("packs.keel", "what: capacity, value: 22 Ah", {}, None, ""),
        ("packs.keel", "what: capacity, value: 22.1 Ah", {}, "capacity", "at most"),
        ("packs.keel", "what: resistance, value: 104.5 mohm", {}, None, ""),
        ("packs.keel", "what: resistance, value: 104.6 mohm", {}, "resistance", "at most"),
        # Less is told only where another pack can push current in.
        ("packs.keel", "what: resistance, value: 85 mohm", {}, None, ""),
        ("packs.keel", "what: resistance, value: 85 mohm", PLAIN, "resistance", "at least"),
        ("packs.keel", "what: resistance, value: 86 mohm", PLAIN, None, ""),
        ("leads.main lead", "what: polarity, value: yes", {}, None, ""),
        ("leads.main lead", "what: polarity, value: no", {}, "plus and minus are the wrong way round", "at most"),
        ("joiners.yoke", "inlet: keel lead, what: blocks, value: yes", {}, None, ""),
        ("joiners.yoke", "what: blocks, value: no", {}, "it does not block", "at most"),
        ("joiners.yoke", "what: blocks, value: no", PLAIN, None, ""),
        ("joiners.yoke", "inlet: keel lead, what: blocks, value: yes", PLAIN, "it blocks", "at most"),
        # 2 mohm at 20 A are 40 mV; a diode of 0.5 V.
        ("joiners.yoke", "what: drop, value: 44 mV, at: 20 A", PLAIN, None, ""),
        ("joiners.yoke", "what: drop, value: 45 mV, at: 20 A", PLAIN, "drop", "at most"),
        ("joiners.yoke", "what: drop, value: 0.55 V, at: 20 A", DIODE, None, ""),
        ("joiners.yoke", "what: drop, value: 0.56 V, at: 20 A", DIODE, "forward voltage", "at most"),
        ("joiners.yoke", "what: resistance, value: 3 mohm", PLAIN, "resistance", "at most"),
        # 58.8 V, to half a per cent: 0.294 V.
        ("chargers.counter", "what: voltage, value: 59 V", {}, None, ""),
        ("chargers.counter", "what: voltage, value: 59.2 V", {}, "output voltage", "at most"),
        ("chargers.counter", "what: voltage, value: 58.4 V", {}, "output voltage", "at least"),
        ("leads.main lead", "what: resistance, value: 100 mohm", {}, "resistance", "at most"),
        ("leads.main lead", "what: drop, value: 2 V, at: 20 A", {}, "drop", "at most"),
        # 0.6 m of 10 AWG, 3.28 mohm/m and 2.5 % for the lay, are 2.02 mohm: 0.75 of it 1.51 mohm, 30.2 mV at 20 A.
        ("leads.main lead", "what: drop, value: 31 mV, at: 20 A", {}, None, ""),
        ("leads.main lead", "what: drop, value: 30 mV, at: 20 A", {}, "drop", "at least"),
        ("leads.main lead", "what: drop, value: 30 mV", {}, None, ""),
        ("leads.main lead", "what: resistance, value: 1.52 mohm", {}, None, ""),
        ("leads.main lead", "what: resistance, value: 1.51 mohm", {}, "resistance", "at least"),
        ("leads.main lead", "what: resistance, value: 0.1 mohm", DIRECT, None, ""),
        ("leads.main lead", "what: temperature, value: 30 degC", {}, None, ""),
    ],
)
def test_a_reading_and_the_file(
    part: str, reading: str, more: dict[str, Any], about: str | None, relation: str
) -> None:
    case = measured(f"part: {part}, {reading}", **more)
    found = differences(case, case.build.part(part))
    assert [(each.about, each.relation) for each in found] == ([] if about is None else [(about, relation)])


def test_a_joiner_that_failed_at_one_inlet_is_told_once() -> None:
    case = measured(
        "part: joiners.yoke, inlet: keel lead, what: blocks, value: yes",
        "part: joiners.yoke, inlet: pannier lead, what: blocks, value: no",
    )
    assert [each.about for each in differences(case, case.build.part("joiners.yoke"))] == ["it does not block"]


STOP, OPEN, CAUTION = Severity.STOP, Severity.OPEN, Severity.CAUTION


@pytest.mark.parametrize(
    ("part", "reading", "rule", "severity"),
    [
        # 58.8 V and half a per cent are 59.09 V.
        ("packs.keel", "what: voltage, value: 59.05 V", "pack-unsound", None),
        ("packs.keel", "what: voltage, value: 59.2 V", "pack-unsound", STOP),
        ("leads.main lead", "what: voltage, value: 59.05 V", "ceiling-exceeded", None),
        ("leads.main lead", "what: voltage, value: 59.2 V", "ceiling-exceeded", STOP),
        ("joiners.yoke", "what: voltage, value: 59.2 V", "ceiling-exceeded", STOP),
        ("controller", "what: voltage, value: 59.2 V", "ceiling-exceeded", STOP),
        ("leads.main lead", "what: voltage, value: 59.2 V", "pack-unsound", None),
        ("chargers.counter", "what: voltage, value: 59.2 V", "ceiling-exceeded", None),
        # Below 42 V its protection opens; below half of that nothing comes out of it.
        ("packs.keel", "what: voltage, value: 42 V", "pack-unsound", None),
        ("packs.keel", "what: voltage, value: 41.9 V", "pack-unsound", STOP),
        ("packs.keel", "what: voltage, value: 21 V", "pack-unsound", STOP),
        ("packs.keel", "what: voltage, value: 20.9 V", "pack-unsound", OPEN),
        ("packs.keel", "what: voltage under load, value: 41.8 V, at: 10 A", "pack-unsound", None),
        ("packs.keel", "what: voltage under load, value: 41.7 V, at: 10 A", "pack-unsound", STOP),
        ("packs.keel", "what: temperature, value: 60 degC", "pack-unsound", None),
        ("packs.keel", "what: temperature, value: 60.5 degC", "pack-unsound", STOP),
        ("joiners.yoke", "what: temperature, value: 60 degC", "joiner-overheats", None),
        ("joiners.yoke", "what: temperature, value: 60.5 degC", "joiner-overheats", CAUTION),
        ("joiners.yoke", "what: temperature, value: 85 degC", "joiner-overheats", CAUTION),
        ("joiners.yoke", "what: temperature, value: 85.5 degC", "joiner-overheats", STOP),
        ("leads.main lead", "what: temperature, value: 250 degC", "lead-overheats", STOP),
        ("controller", "what: temperature, value: 85.5 degC", "as-built-differs", STOP),
        ("controller", "what: temperature, value: 84.5 degC", "as-built-differs", None),
        # A dead gate: more than 0.4 V at 5 A and more.
        ("joiners.yoke", "what: drop, value: 0.4 V, at: 5 A", "joiner-overheats", None),
        ("joiners.yoke", "what: drop, value: 0.41 V, at: 5 A", "joiner-overheats", STOP),
        ("joiners.yoke", "what: drop, value: 0.41 V, at: 4.9 A", "joiner-overheats", None),
        ("leads.main lead", "what: drop, value: 2 V, at: 20 A", "lead-overheats", STOP),
        ("leads.main lead", "what: resistance, value: 100 mohm", "lead-overheats", STOP),
        ("leads.main lead", "what: drop, value: 5 mV, at: 20 A", "lead-overheats", None),
        ("packs.keel", "what: resistance, value: 3 ohm", "pack-unsound", STOP),
        ("packs.keel", "what: resistance, value: 5 mohm", "pack-unsound", CAUTION),
        ("packs.keel", "what: resistance, value: 95 mohm", "pack-unsound", None),
    ],
)
def test_a_reading_and_what_a_part_bears(part: str, reading: str, rule: str, severity: Severity | None) -> None:
    case = measured(f"part: {part}, {reading}")
    found = beyond(case, case.build.part(part), rule)
    assert (None if found is None else found.severity) is severity
    assert beyond(case, case.build.part(part), "another-rule") is None


LITTLE, MUCH = "what: resistance, value: 5 mohm", "what: resistance, value: 3 ohm"
HOT, WARM = "what: temperature, value: 60.5 degC", "what: temperature, value: 60 degC"
DEAD = "what: voltage, value: 20.9 V"


@pytest.mark.parametrize(
    ("first", "second", "what", "severity"),
    [
        (LITTLE, HOT, "temperature", STOP),
        (HOT, LITTLE, "temperature", STOP),
        (LITTLE, WARM, "resistance", CAUTION),
        (LITTLE, DEAD, "voltage", OPEN),
        (DEAD, LITTLE, "voltage", OPEN),
        (DEAD, MUCH, "resistance", STOP),
        (MUCH, HOT, "resistance", STOP),
        (HOT, MUCH, "temperature", STOP),
    ],
)
def test_of_several_readings_the_gravest_is_told(first: str, second: str, what: str, severity: Severity) -> None:
    """Of two as grave the first in the file."""
    case = measured(f"part: packs.keel, {first}", f"part: packs.keel, {second}")
    found = beyond(case, case.build.part("packs.keel"), "pack-unsound")
    assert found is not None
    assert (found.reading.what, found.severity) == (what, severity)


def test_one_spot_takes_all_that_is_too_much() -> None:
    """The controller draws 25 A and half an ampere goes to the lamp before the main lead: 25 A squared times what the
    reading has too much is the heat in one spot."""
    case = measured("part: leads.main lead, what: resistance, value: 100 mohm")
    found = beyond(case, case.build.part("leads.main lead"), "lead-overheats")
    assert found is not None
    assert 40.0 < found.found < 25.5**2 * 0.1
    assert found.unit == "W"


def test_what_is_not_known_is_asked_by_the_rule_whose_limit_it_is() -> None:
    drop = ("packs.keel.series", "packs.keel.label", "packs.keel.cut_off")
    case = measured("part: packs.keel, what: voltage, value: 50 V", drop=drop)
    keel = case.build.part("packs.keel")
    with pytest.raises(Unknown):
        beyond(case, keel, "pack-unsound")
    assert beyond(case, keel, "ceiling-exceeded") is None
    bare = measured("part: leads.main lead, what: temperature, value: 50 degC", drop=("all_leads",))
    lead = bare.build.part("leads.main lead")
    with pytest.raises(Unknown):
        beyond(bare, lead, "lead-overheats")
    assert beyond(bare, lead, "ceiling-exceeded") is None
    drawn = measured("part: leads.main lead, what: voltage, value: 50 V", drop=drop)
    lead = drawn.build.part("leads.main lead")
    with pytest.raises(Unknown):
        beyond(drawn, lead, "ceiling-exceeded")
    assert beyond(drawn, lead, "lead-overheats") is None


def test_what_a_rush_is_worked_out_with() -> None:
    """0.65 of 95 and 150 mohm in the first moment; a fifth of 20 and 13 Ah an hour where nobody says what they take."""
    told = brisk_build(measured(**PLAIN).build).packs
    assert [told[name].resistance_ohm for name in ("keel", "pannier")] == pytest.approx([0.06175, 0.0975])
    assert [told[name].charge_a for name in ("keel", "pannier")] == [6.0, 4.0]
    drop = (*PLAIN["drop"], "packs.keel.charge", "packs.pannier.charge")
    silent = brisk_build(measured(put=PLAIN["put"], drop=drop).build).packs
    assert [silent[name].charge_a for name in ("keel", "pannier")] == pytest.approx([4.0, 2.6])
    unknown = brisk_build(
        measured(put=PLAIN["put"], drop=(*drop, "packs.keel.capacity", "packs.pannier.capacity")).build
    )
    assert [unknown.packs[name].charge_a for name in ("keel", "pannier")] == [None, None]


def test_gentle_charging_is_a_share_of_a_capacity_that_is_known() -> None:
    volts_v = {"keel": 50.1, "pannier": 50.0}
    (crossing,) = read_voltages(measured(**PLAIN), volts_v).crossings
    assert crossing.slow_a == pytest.approx(SLOW_PER_HOUR * 13.0)
    bare = measured(put=PLAIN["put"], drop=(*PLAIN["drop"], "packs.keel.capacity", "packs.pannier.capacity"))
    (crossing,) = read_voltages(bare, volts_v).crossings
    assert crossing.slow_a is None


@pytest.mark.parametrize("typed", [("keel", "pannier"), ("pannier", "keel")])
def test_of_packs_that_stand_alike_the_first_by_name_counts_as_the_higher(typed: tuple[str, str]) -> None:
    (crossing,) = read_voltages(measured(**PLAIN), dict.fromkeys(typed, 50.1)).crossings
    assert (crossing.higher, crossing.lower) == ("keel", "pannier")


BURNT, TORN = "what: temperature, value: 100 degC", "what: resistance, value: 3 ohm"


@pytest.mark.parametrize(("other", "told"), [(BURNT, STOP), (DEAD, None)])
def test_a_stop_stands_whatever_is_not_known_of_another_reading(other: str, told: Severity | None) -> None:
    """What a resistance is held against hangs on the capacity: beside a reading that stops the pack nobody has to ask;
    beside one that only has to be taken again it is asked."""
    case = measured(f"part: packs.keel, {other}", f"part: packs.keel, {TORN}", drop=("packs.keel.capacity",))
    keel = case.build.part("packs.keel")
    if told is None:
        with pytest.raises(Unknown):
            beyond(case, keel, "pack-unsound")
    else:
        found = beyond(case, keel, "pack-unsound")
        assert found is not None
        assert (found.reading.what, found.severity) == ("temperature", told)


@pytest.mark.parametrize(
    ("ends", "limit_w"), [(["joint", "joint"], 2.0), (["XT90 pin", "XT90 socket"], 2.025), (["joint", "joint ?"], 2.0)]
)
def test_what_a_spot_bears(ends: list[str], limit_w: float) -> None:
    """2 W where the connector has no figure of its own; an XT90 gives off 45 A squared times twice 0.5 mohm at its
    rating."""
    put = {"leads.main lead.ends": ends}
    case = measured("part: leads.main lead, what: resistance, value: 100 mohm", put=put)
    found = beyond(case, case.build.part("leads.main lead"), "lead-overheats")
    assert found is not None
    assert found.limit == pytest.approx(limit_w)


@pytest.mark.parametrize(("amps", "by"), [("1 A", "keel lead"), ("30 A", "practice")])
def test_a_contact_that_bears_least_says_how_far_apart_packs_may_stand(amps: str, by: str) -> None:
    """Half a volt pushes some 3 A: a plug of the file that bears less than that decides, else practice."""
    plug = {
        "per_contact": amps,
        "contacts_each_pole": "1",
        "contact_resistance": "1 mohm",
        "contacts": "pin and socket",
    }
    tiny = {"parts": {"connectors": {"tiny": plug}}, "leads.keel lead.ends": ["tiny pin", "XT90 socket"]}
    case = measured("part: packs.keel, what: fuse, value: yes", put=PLAIN["put"] | tiny, drop=PLAIN["drop"])
    (crossing,) = read_voltages(case, {"keel": 52.1, "pannier": 52.0}).crossings
    assert (crossing.kind, crossing.limited_by) == ("rush", by)
