"""The slips that people really make while they write a build file, and the line that each of them gets to type."""
# ruff: noqa: E501  a table

from __future__ import annotations

import re

import pytest

from packyoke.api import Build, load

HEAD = """packyoke: 1
name: x
packs: {{keel: {{{p}}}}}
joiners: {{yoke: {{{j}}}}}
leads: {{l: {{from: keel, to: yoke{l}}}, m: {{from: yoke, to: controller}}}}
controller: {{{c}}}
{t}
"""

# part of the bike, what was typed, what is said of it, the advice
SLIPS = [
    (
        "p",
        "chemistry: Li-ion",
        '"Li-ion" is a family of chemistries',
        "The volts on the charger tell: 4.20 V a cell (54.6 V, 58.8 V) is NMC or NCA, 3.65 V a cell (58.4 V) is LFP. A guess has a question mark:  chemistry: NMC ?",
    ),
    (
        "p",
        "chemistry: lithium",
        '"lithium" is a family of chemistries',
        "The volts on the charger tell: 4.20 V a cell (54.6 V, 58.8 V) is NMC or NCA, 3.65 V a cell (58.4 V) is LFP. A guess has a question mark:  chemistry: NMC ?",
    ),
    ("p", "chemistry: LiFePO4", '"LiFePO4" is called otherwise here', "Write  chemistry: LFP"),
    (
        "p",
        "chemistry: unknown",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "chemistry: TBD",
        '"TBD" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "chemistry: lead acid",
        '"lead acid" cells are not covered',
        "Nothing here holds for them; this pack cannot be checked.",
    ),
    (
        "p",
        "discharge: 25/50A",
        '"25/50A" is 25 A, and a peak of 50 A for how long?',
        "Write  {continuous: 25 A, peak: 50 A for 10 s}  with the seconds of the label; without them  25 A",
    ),
    (
        "p",
        "discharge: 25A continuous 50A peak",
        '"25A continuous 50A peak" is 25 A, and a peak of 50 A for how long?',
        "Write  {continuous: 25 A, peak: 50 A for 10 s}  with the seconds of the label; without them  25 A",
    ),
    (
        "p",
        "discharge: {continuous: 25/50A}",
        '"25/50A" is 25 A, and a peak of 50 A for how long?',
        "Write  {continuous: 25 A, peak: 50 A for 10 s}  with the seconds of the label; without them  25 A",
    ),
    (
        "p",
        "discharge: 25 A (50 A peak)",
        '"25 A (50 A peak)" is 25 A, and a peak of 50 A for how long?',
        "Write  {continuous: 25 A, peak: 50 A for 10 s}  with the seconds of the label; without them  25 A",
    ),
    ("p", "discharge: ~25A", '"~25A" is a guess', "A guess has a question mark behind it:  discharge: 25A ?"),
    (
        "p",
        "discharge: n/a",
        '"n/a" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "capacity: 48V 20Ah",
        '"48V 20Ah" is volts and ampere hours',
        "Write  capacity: 20 Ah  and the volts apart:  label: 48 V",
    ),
    (
        "p",
        "capacity: 150 Ah",
        '"150 Ah" is more than packs of bikes have',
        "Did you mean  15 Ah ?  If it is so, write  150.0 Ah",
    ),
    (
        "p",
        "capacity: 74200 mAh",
        '"74200 mAh" is more than packs of bikes have',
        "Did you mean  7.42 Ah ?  If it is so, write  74.2 Ah",
    ),
    (
        "p",
        "capacity: 720 Wh",
        '"720 Wh" is an energy',
        "Ah is Wh divided by the volts of the label: 720 Wh on 48 V are 15 Ah. Look for Ah on the label first.",
    ),
    ("p", "capacity: 20", '"20" has no unit', "Write  20 Ah"),
    ("p", "capacity: 20A", '"20A" is a current', "Capacity is amperes times hours. Did you mean  20 Ah ?"),
    (
        "p",
        "charger_label: 48V",
        '"48V" is what packs are called, not what they are charged to',
        "A charger of a 48 V pack gives 54.6 V, 54.8 V, 58.4 V or 58.8 V: look behind OUTPUT on its label. If it really is so, write  charger_label: 48.0 V",
    ),
    (
        "p",
        "fuse: 30A",
        '"30A" is amps by themselves',
        "Write  fuse: {rating: 30 A}  and add the d.c. volts that are marked on it, for example  voltage: 58 V",
    ),
    (
        "p",
        "fuse: 30A blade",
        '"30A blade" is amps by themselves',
        "Write  fuse: {family: blade, rating: 30 A}  and add the d.c. volts that are marked on it, for example  voltage: 58 V",
    ),
    ("p", "fuse: yes", '"yes" is called otherwise here', "Write  fuse: inside"),
    ("p", "fuse: no", '"no" is called otherwise here', "Write  fuse: none"),
    (
        "p",
        "fuse: unknown",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "condition: good",
        '"good" does not say what was looked at',
        "Look for swelling, dents, water, an opened case. Nothing of that?  Write  condition: sound",
    ),
    (
        "p",
        "bms: {data: yes}",
        '"yes" may be two things',
        "Unplug the data contacts. Does the outlet stay live under a lamp?  optional.  Goes dead?  needed.",
    ),
    ("p", "bms: {data: no}", '"no" is called otherwise here', "Write  data: none"),
    (
        "p",
        "outlet: XT60",
        '"XT60" of which kind?',
        "Write  XT60 pin  or  XT60 socket.  Not known yet? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "outlet: XT60F",
        '"F"',
        "Write  XT60 socket  or  XT60 pin.  (The side that stays live should be the socket.)",
    ),
    (
        "p",
        "outlet: xt60 female",
        '"female"',
        "Write  xt60 socket  or  xt60 pin.  (The side that stays live should be the socket.)",
    ),
    (
        "p",
        "label: unknown",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "label: TBD",
        '"TBD" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "charge: unknown",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "charge: 0.2C",
        '"0.2C" is a temperature',
        "A C-rate is not read. Write the amperes: the C-rate times the capacity in Ah.",
    ),
    ("p", "series: 13s", '"13s" is not a whole number', "Write  series: 13"),
    ("p", "series: 13S4P", '"13S4P" is not a whole number', "Write  series: 13"),
    ("j", "type: Schottky", '"Schottky" is called otherwise here', "Write  type: diode"),
    ("j", "type: Y-splitter", '"Y-splitter" is called otherwise here', "Write  type: plain"),
    ("j", "type: Y lead", '"Y lead" is called otherwise here', "Write  type: plain"),
    (
        "j",
        "type: don't know",
        '"don\'t know" does not say what is inside',
        "Write  type: unknown  and test it: one pack in, meter on the other inlet.",
    ),
    ("j", "ceiling: ~60V", '"~60V" is a guess', "A guess has a question mark behind it:  ceiling: 60 V ?"),
    (
        "j",
        "current: 30/60A",
        '"30/60A" is 30 A, and a peak of 60 A for how long?',
        "Write  {continuous: 30 A, peak: 60 A for 10 s}  with the seconds of the label; without them  30 A",
    ),
    ("j", "mount: on the frame", '"on the frame" is called otherwise here', "Write  mount: frame metal"),
    ("l", "gauge: 12", '"12" has no unit', "Write  12 AWG  or  12 mm2"),
    (
        "l",
        "gauge: 12ga",
        '"12ga" is a size on two scales',
        "Write  12 AWG  where the jacket says AWG; 12 SAE is thinner. Or the copper area in mm2.",
    ),
    (
        "l",
        "gauge: 2.5mm",
        '"2.5mm" is a length',
        "A wire is known by its gauge or the area of its copper in mm2, not by a width.",
    ),
    ("l", "length: 40", '"40" has no unit', "Write  40 mm  or  40 cm"),
    ("l", "length: 1'6\"", '"1\'6"" is feet and inches', "Write  18 in"),
    ("l", "insulation: silicon", '"silicon" is called otherwise here', "Write  insulation: silicone"),
    (
        "l",
        "insulation: rubber",
        '"rubber" may be two things',
        "What is marked on the jacket? A material (PVC, XLPE, silicone) or degrees, for example  105 degC",
    ),
    ("l", "run: in the frame", '"in the frame" is called otherwise here', "Write  run: in frame"),
    ("l", "ends: XT60", "a list of two is needed", "Write for example  ends: [XT60 pin, XT90 socket]"),
    (
        "l",
        "ends: [XT60, XT60]",
        '"XT60" of which kind?',
        "Write  XT60 pin  or  XT60 socket.  Not known yet? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "c",
        "battery_current: 25/50A",
        '"25/50A" is 25 A, and a peak of 50 A for how long?',
        "Write  {limit: 50 A, falls_to: 25 A after 10 s}  with the seconds of the settings; without them  50 A",
    ),
    ("c", "battery_current: 25-30A", '"25-30A" is two numbers', "One number is needed. Write  25 A  or  30 A"),
    (
        "c",
        "battery_current: 1000 W",
        '"1000 W" is a power',
        "The current from the packs is needed, in A. Read it off the label or out of the settings; do not work it out from the power.",
    ),
    ("c", "regen: no", '"no" is called otherwise here', "Write  regen: none"),
    (
        "c",
        "regen: yes",
        '"yes" may be two things',
        "With how many amps? They stand in the settings:  regen: {current: 8 A}",
    ),
    ("c", "voltage: 36-60V", '"36-60V" is two numbers', "Write  {min: 36 V, max: 60 V}"),
    (
        "c",
        "voltage: 48V",
        '"48V" is one figure',
        "Its name is not its limit. What stands on it as the highest?  voltage: {max: 60 V}",
    ),
    (
        "c",
        "voltage: 48",
        '"48" is one figure',
        "Its name is not its limit. What stands on it as the highest?  voltage: {max: 60 V}",
    ),
    (
        "c",
        "low_voltage_cut: unknown",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    ("t", "region: UK", '"UK" is called otherwise here', "Write  region: GB"),
    ("t", "region: Germany", '"Germany" is called otherwise here', "Write  region: EU"),
    ("t", "region: Switzerland", '"Switzerland" is called otherwise here', "Write  region: other"),
    (
        "t",
        "chargers: {c: {output: 48V}}",
        '"48V" is what packs are called, not what they are charged to',
        "A charger of a 48 V pack gives 54.6 V, 54.8 V, 58.4 V or 58.8 V: look behind OUTPUT on its label. If it really is so, write  output: 48.0 V",
    ),
    (
        "t",
        "chargers: {c: {output: 54.6V/4A}}",
        '"54.6V/4A" is two quantities',
        "Write  54.6V  here, without the other figure.",
    ),
    ("t", "chargers: {c: {output: 54.6}}", '"54.6" has no unit', "Write  54.6 V"),
    ("t", "warmest: hot", '"hot" is not a temperature', "Write a number and a unit, for example  30 degC"),
    (
        "t",
        "bike: {drive: {type: hub}}",
        '"hub" may be two things',
        "Turn the wheel backwards by hand, motor off. Turns freely or clicks:  geared hub.  Drags in steps, with magnets:  direct-drive hub.",
    ),
    ("t", "bike: {drive: mid motor}", '"mid motor" is one of several things', "Write  drive: {type: mid motor}"),
    ("t", "bike: {drive: {type: mid drive}}", '"mid drive" is called otherwise here', "Write  type: mid motor"),
    (
        "t",
        "bike: {mass: unknown}",
        '"unknown" is no answer',
        "Not known? Leave the line out: it then goes on the list of things to find out.",
    ),
    (
        "p",
        "outlet: XT60-F",
        '"-F"',
        "Write  XT60 socket  or  XT60 pin.  (The side that stays live should be the socket.)",
    ),
    (
        "l",
        "length: 2 x 300 mm",
        '"2 x 300 mm" is there and back',
        "The cable counts, one way. Write  300 mm",
    ),
    (
        "l",
        "length: 3 ft there and back",
        '"3 ft there and back" is there and back',
        "The cable counts, one way. Write  1.5 ft",
    ),
    ("p", "charge: <= 4 A", '"<= 4 A" has a word before its figure', "Write  4 A"),
    ("p", "charge: ≤4 A", '"≤4 A" has a word before its figure', "Write  4 A"),
    ("p", "discharge: min 30 A", '"min 30 A" has a word before its figure', "Write  30 A"),
    (
        "p",
        "resistance: '< 90 mohm'",
        '"< 90 mohm" is not a resistance',
        "Write a number and a unit, for example  95 mohm",
    ),
    ("p", "mass: 4 kg (scales)", '"4 kg (scales)" has a word behind its unit', "Write  4 kg"),
    ("p", "cut_off: 36 V typ", '"36 V typ" has a word behind its unit', "Write  36 V"),
    ("p", "mass: 3 kg each", '"3 kg each" has a word behind its unit', "Write  3 kg"),
    ("c", "voltage: {max: 60 V max}", '"60 V max" has a word behind its unit', "Write  60 V"),
    ("l", "length: ~40cm", '"~40cm" is a guess', "A guess has a question mark behind it:  length: 40 cm ?"),
    (
        "l",
        "length: 40 cm approx",
        '"40 cm approx" is a guess',
        "A guess has a question mark behind it:  length: 40 cm ?",
    ),
    ("p", "charge: 2A/5A", '"2A/5A" is two numbers', "One number is needed. Write  2 A  or  5 A"),
    ("p", "full_charge: 54,6 V", "comma in a number", "For a decimal write a point:  54.6 V"),
    ("p", "rack: no", '"no" is called otherwise here', "Write  rack: none"),
    ("j", "marked: 48", '"48" has no unit', "Write  48 V"),
    ("c", "precharge: anti-spark", '"anti-spark" is called otherwise here', "Write  precharge: plug"),
]


def typed(part: str, line: str) -> str:
    lines = dict.fromkeys("pjlct", "")
    lines[part] = f", {line}" if part == "l" else line
    return HEAD.format(**lines)


@pytest.mark.parametrize(("part", "line", "message", "do"), SLIPS, ids=[each[1] for each in SLIPS])
def test_a_slip_gets_its_line(part: str, line: str, message: str, do: str) -> None:
    found = load(typed(part, line))
    assert isinstance(found, list), "it was read"
    assert (found[0].message, found[0].do) == (message, do)


def offered() -> list[tuple[str, str, str]]:
    """The slips whose advice is one line to type, with that line."""
    found = []
    for part, line, _, do in SLIPS:
        key = line.partition(":")[0]
        one = re.fullmatch(rf"(?:.*  )?(?:Write  )?({key}: [^.]*?)(?:  and add.*)?", do)
        if one and "  and the" not in do and "[" not in key and not line.startswith(("chargers", "bike")):
            found.append((part, line, one[1]))
    return found


@pytest.mark.parametrize(("part", "line", "fixed"), offered(), ids=[each[1] for each in offered()])
def test_the_line_that_is_offered_can_be_read(part: str, line: str, fixed: str) -> None:
    assert isinstance(load(typed(part, fixed)), Build), fixed


def test_there_are_lines_to_type_for_most_of_them() -> None:
    assert len(SLIPS) >= 65
    assert len(offered()) >= 25


@pytest.mark.parametrize(
    ("line", "amps"), [("25/50A", 0.5), ("20A", 20.0), ("2A", 2.0), ("120 A", 120.0), ("12.5A", 12.5)]
)
def test_a_slash_is_never_a_division_and_one_figure_never_two(line: str, amps: float) -> None:
    found = load(typed("p", f"discharge: {line}"))
    if "/" in line:
        assert isinstance(found, list)
        assert "0.5" not in found[0].do
    else:
        assert isinstance(found, Build)
        assert found.packs["keel"].discharge_continuous_a == amps
