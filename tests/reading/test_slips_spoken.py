"""Answers with more words or figures than a field takes: each gets a line to type, and that line is read.

What is offered is written by hand beside what was typed. A slip that may mean two things is offered both or asked.
"""

from __future__ import annotations

import pytest

from packyoke.api import Build, load
from packyoke.buildfile.reading.spoken import meant
from packyoke.buildfile.reading.table import TABLES
from tests.reading.test_slips import typed
from tests.support import edited

# part of the bike, what was typed, the lines that are offered in place of it
ONE_LINE = [
    ("p", "chemistry: LiFePO4 prismatic", "chemistry: LFP"),
    ("p", "chemistry: NMC or NCA", "chemistry: NMC ?"),
    ("p", "discharge: 30 Amps continuous", "discharge: 30 Amps"),
    ("p", "capacity: 14500", "capacity: 14500 mAh"),
    ("p", "capacity: 14500 mA", "capacity: 14500 mAh"),
    ("p", "label: 48V 14,5Ah", "label: 48V 14.5Ah"),
    ("p", "charger_label: 54.6V 2A", "charger_label: 54.6V"),
    ("p", "fuse: blade 30A 32V", "fuse: {family: blade, rating: 30 A, voltage: 32 V}"),
    ("p", "fuse: 30A 58V", "fuse: {rating: 30 A, voltage: 58 V}"),
    ("p", "fuse: 30 amp glass fuse", "fuse: {family: miniature, rating: 30 A}"),
    ("p", "fuse: in the BMS", "fuse: inside"),
    ("p", "condition: slightly swollen", "condition: swollen"),
    ("p", "condition: a cracked case", "condition: dropped"),
    ("p", "condition: it was opened once", "condition: opened"),
    ("p", "series: 13 cells", "series: 13"),
    ("p", "mass: 7lbs 4oz", "mass: 7.25 lb"),
    ("p", "full_charge: 54,6V", "full_charge: 54.6V"),
    ("p", "cut_off: 3.0V/cell", "cut_off: 39 V"),
    ("p", "bms: {data: still live}", "data: optional"),
    ("p", "bms: {charge_path: own socket}", "charge_path: separate"),
    ("j", "type: 2 Schottky diodes", "type: diode"),
    ("j", "type: an ideal diode module", "type: ideal-diode"),
    ("j", "type: dual battery module", "type: unknown"),
    ("p", "cells: probably power", "cells: power ?"),
    ("p", "chemistry: NCM?", "chemistry: NMC ?"),
    ("j", "ceiling: up to 75V", "ceiling: 75V"),
    ("j", "current: 20A per channel", "current: 20A"),
    ("j", "inputs: two", "inputs: 2"),
    ("j", "resistance: 2m ohm", "resistance: 2 mohm"),
    ("j", "blocks_in: both sides", "blocks_in: both"),
    ("l", "gauge: 12AWG silicone", "gauge: 12AWG"),
    ("l", "gauge: 14 AWG stranded", "gauge: 14 AWG"),
    ("l", "length: 40 cms", "length: 40 cm"),
    ("l", "length: about a foot", "length: 400 mm ?"),
    ("l", "insulation: 200C silicone", "insulation: 200 degC"),
    ("l", "splices: none", "splices: 0"),
    ("c", "battery_current: 22±1A", "battery_current: 23 A"),
    ("c", "battery_current: max 25A", "battery_current: 25A"),
    ("c", "precharge: 150 ohm", "precharge: resistor"),
    ("c", "precharge: resistor 100R", "precharge: resistor"),
    ("c", "precharge: 2.2k\u03a9 resistor", "precharge: resistor"),
    ("c", "capacitance: 1000uF 63V", "capacitance: 1000uF"),
    ("c", "regen: 'yes, 10A'", "regen: {current: 10 A}"),
    ("t", "status: finished", "status: built"),
    ("t", "region: England", "region: GB"),
]

# what may be two things: what has to be said of it
ASKED = [
    ("p", "discharge: 30A max", ("Continuous?", "peak")),
    ("p", "charger_label: 120V", ("OUTPUT", "120.0 V")),
    ("p", "charger_label: 230V", ("OUTPUT",)),
    ("p", "condition: 3 years old", ("swelling", "sound")),
    ("p", "charge: 2-4A", ("2 A", "4 A")),
    ("j", "type: nothing", ("plain", "selector", "one pack")),
    ("j", "mount: zip tied to frame", ("frame metal", "boxed")),
    ("l", "switch: yes 40A", ("rating: 40 A", "breaks: 60 V")),
    ("c", "voltage: {max: 48V nominal}", ("name, not a limit",)),
    ("c", "precharge: yes", ("plug", "resistor", "switch")),
    ("t", "ride: {daily: {hills: flat}}", ("2 m per km",)),
    ("t", "ride: {daily: {wind: strong}}", ("12 m/s",)),
    ("t", "bike: {drive: {type: rear hub 500W}}", ("geared hub", "direct-drive hub")),
]


@pytest.mark.parametrize(("part", "line", "fixed"), ONE_LINE, ids=[each[1] for each in ONE_LINE])
def test_the_line_to_type_is_offered_and_is_read(part: str, line: str, fixed: str) -> None:
    found = load(typed(part, line))
    assert isinstance(found, list), "it was read"
    value = fixed.partition(": ")[2]
    assert value in found[0].do
    key = fixed.partition(":")[0]
    whole = line.replace(line.partition(f"{key}: ")[2], value + "}" * (line.count("{") - value.count("{")))
    again = load(typed(part, whole))
    said = [] if isinstance(again, Build) else [each.field for each in again if each.field.endswith(key)]
    assert said == [], f"what was offered is refused: {whole}"


@pytest.mark.parametrize(("part", "line", "words"), ASKED, ids=[each[1] for each in ASKED])
def test_what_may_be_two_things_is_asked(part: str, line: str, words: tuple[str, ...]) -> None:
    found = load(typed(part, line))
    assert isinstance(found, list), "it was read"
    for word in words:
        assert word in found[0].do


@pytest.mark.parametrize(
    ("section", "key", "text"),
    [
        ("packs", "condition", "not swollen"),
        ("packs", "condition", "works but smells"),
        ("packs", "condition", "cracked, and water inside"),
        ("packs", "condition", "sounds odd"),
        ("packs", "chemistry", "no idea, perhaps LFP or NMC"),
        ("packs", "chemistry", "not LFP"),
        ("joiners", "type", "Y cable with diodes"),
        ("joiners", "type", "box without diodes"),
    ],
)
def test_a_word_that_is_denied_or_one_of_two_is_never_the_answer(section: str, key: str, text: str) -> None:
    """A swollen pack taken for sound, or a plain Y-lead for diodes, would be a yes that nobody gave."""
    found = meant(TABLES[section][key], text)
    assert found is None or found.value == ""


@pytest.mark.parametrize(
    ("part", "line", "said"),
    [
        ("t", "ride: {daily: {hills: flat}}", '"flat" says no number'),
        ("t", "ride: {daily: {wind: strong}}", '"strong" says no number'),
        ("c", "precharge: yes", '"yes" may be two things'),
        ("t", "ride: {daily: {hills: mostly flat here}}", '"mostly flat here" says no number'),
        ("t", "ride: {daily: {wind: often rather strong}}", '"often rather strong" says no number'),
        ("c", "precharge: fitted already", '"fitted already" may be two things'),
    ],
)
def test_a_word_where_a_number_belongs_is_no_two_things(part: str, line: str, said: str) -> None:
    found = load(typed(part, line))
    assert isinstance(found, list), "it was read"
    assert said in found[0].message


def test_a_decimal_comma_is_never_two_currents() -> None:
    """25,5 A is a little over 25 A; read as 25 A and 5 A it would be less."""
    found = load(typed("c", "battery_current: 25,5A"))
    assert isinstance(found, list)
    assert "25.5A" in found[0].do


@pytest.mark.parametrize("text", ["9" * 400, "x" * 5000, "1" * 30 + " A", "30A," * 60, "{", "[", "½", "²", "±"])
@pytest.mark.parametrize(
    ("part", "key"),
    [
        ("p", "capacity"),
        ("p", "charger_label"),
        ("p", "fuse"),
        ("p", "condition"),
        ("j", "current"),
        ("l", "gauge"),
        ("l", "length"),
        ("c", "battery_current"),
        ("p", "label"),
        ("p", "cut_off"),
        ("j", "inputs"),
    ],
)
def test_nonsense_is_a_mistake_and_no_more(part: str, key: str, text: str) -> None:
    found = load(typed(part, f"{key}: '{text}'"))
    assert isinstance(found, list) or key == "label"


@pytest.mark.parametrize("typed", ["ideel-diode", "ideel diode", "idael-diode", "ideal-diod", "ideel-diode?"])
def test_a_word_with_a_slip_is_not_taken_for_another_one_in_it(typed: str) -> None:
    found = load(edited("skerry-long-tail", {"joiners.yoke.type": typed}), "x")
    assert isinstance(found, list)
    (told,) = found
    assert "type: diode" not in told.do
    assert "ideal-diode" in told.do


@pytest.mark.parametrize(
    ("path", "typed", "example"),
    [
        ("packs.keel.discharge", "thirty?", "discharge: 40 A ?"),
        ("packs.keel.charge", "maybe five", "charge: 6 A ?"),
        ("joiners.yoke.current", "plenty?", "current: 40 A ?"),
    ],
)
def test_a_guess_without_a_figure_is_shown_one_that_is_read(path: str, typed: str, example: str) -> None:
    found = load(edited("skerry-long-tail", {path: typed}), "x")
    assert isinstance(found, list)
    assert f"A guess is a number and a unit with a question mark:  {example}" in found[0].do
    value = example.partition(": ")[2]
    assert isinstance(load(edited("skerry-long-tail", {path: value}), "x"), Build)


TWO_CURRENTS = [
    ("35 A, peak 50 A for 5 s", "35", "50", "5"),
    ("50 A peak for 5 s, 35 A continuous", "35", "50", "5"),
    ("35A cont 50A peak 5s", "35", "50", "5"),
    ("35 A (50 A for 10 sec)", "35", "50", "10"),
    ("30 A / 45 A @ 20 s", "30", "45", "20"),
]


@pytest.mark.parametrize(("said", "low", "high", "time"), TWO_CURRENTS, ids=[each[0] for each in TWO_CURRENTS])
def test_two_currents_with_their_time_need_no_question(said: str, low: str, high: str, time: str) -> None:
    for part, line, offered in (
        ("c", f'battery_current: "{said}"', f"{{limit: {high} A, falls_to: {low} A after {time} s}}"),
        ("p", f'discharge: "{said}"', f"{{continuous: {low} A, peak: {high} A for {time} s}}"),
    ):
        found = load(typed(part, line))
        assert isinstance(found, list)
        assert [(each.message, each.do) for each in found] == [(f'"{said}" is two currents', f"Write  {offered}")]


@pytest.mark.parametrize("said", ["35 A for 5 s, 50 A", "35 A for 5 s, 50 A for 2 s", "50 A after 35 A for 10 s"])
def test_of_currents_whose_time_stands_elsewhere_none_is_offered(said: str) -> None:
    found = load(typed("c", f'battery_current: "{said}"'))
    assert isinstance(found, list)
    assert [each.do for each in found] == ["One number and one unit are needed."]
