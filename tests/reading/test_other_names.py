"""Fields under the names that people have for them: the mistake gives the line to type, and that line is read.

What is offered is written by hand beside what was typed; where more is to be said than was typed, dots stand for it.
"""

from __future__ import annotations

import pytest

from packyoke.api import Build, load
from packyoke.buildfile.reading.other_names import OTHER_NAMES, line_for
from packyoke.buildfile.reading.table import TABLES

BUILD = """
packyoke: 1
name: Sound of the Quern, parcel round
region: EU
bike:
  mass: 31 kg
  drive: {type: mid motor, assist_limit: 25 km/h}
racks:
  rear: {limit: 27 kg, load: 8 kg}
packs:
  tern:
    label: 48 V
    chemistry: NMC
    series: 13
    charger_label: 54.6 V
    cut_off: 39 V
    capacity: 17.5 Ah
    discharge: 30 A
    charge: 5 A
    resistance: 95 mohm
    mass: 4.6 kg
    outlet: XT60 socket
    fuse: {family: blade, rating: 30 A, voltage: 58 V}
    condition: sound
joiners:
  yoke:
    type: diode
    ceiling: 60 V
    current: 40 A
    forward_voltage: 0.5 V
    inlets: XT60 pin
    outlet: XT60 socket
leads:
  first: {from: tern, to: yoke, length: 400 mm, gauge: 12 AWG, insulation: silicone, ends: [XT60 pin, XT60 socket]}
  main: {from: yoke, to: controller, length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
controller:
  voltage: {max: 60 V}
  battery_current: 25 A
  power_limit: 1000 W
  low_voltage_cut: 41 V
  regen: none
  capacitance: 1 mF
  inlet: XT60 pin
chargers:
  home: {output: 54.6 V, current: 4 A, plug: XT60, fits: [tern]}
accessories:
  lamp: {from: yoke, max: 60 V, current: 0.8 A, gauge: 20 AWG}
"""

# the line of the build, what was typed in its place, what is offered
RENAMED = [
    ("  mass: 31 kg", "  weight: 31 kg", "mass: 31 kg"),
    ("drive: {type: mid motor, assist_limit: 25 km/h}", "motor: mid motor", "drive: {type: mid motor}"),
    ("type: mid motor", "motor: mid motor", "type: mid motor"),
    ("assist_limit: 25 km/h", "max speed: 25 km/h", "assist_limit: 25 km/h"),
    ("limit: 27 kg", "max-load: 27 kg", "limit: 27 kg"),
    ("limit: 27 kg", "max: 27 kg", "limit: 27 kg"),
    ("load: 8 kg", "weight: 8 kg", "load: 8 kg"),
    ("label: 48 V", "voltage: 48 V", "label: 48 V"),
    ("label: 48 V", "volts: 48", "label: 48 V"),
    ("chemistry: NMC", "type: NMC", "chemistry: NMC"),
    ("series: 13", "S: 13", "series: 13"),
    ("charger_label: 54.6 V", "charger: 54.6 V", "charger_label: 54.6 V"),
    ("cut_off: 39 V", "cutoff: 39 V", "cut_off: 39 V"),
    ("capacity: 17.5 Ah", "Ah: 17.5", "capacity: 17.5 Ah"),
    ("discharge: 30 A", "discharge_current: 30 A", "discharge: 30 A"),
    (
        "discharge: 30 A",
        "max_current: 30 A",
        "discharge: 30 A  or, for a peak,  discharge: {continuous: ..., peak: 30 A for 10 s}",
    ),
    ("discharge: 30 A", "peak: 60 A for 4 s", "discharge: {continuous: ..., peak: 60 A for 4 s}"),
    ("discharge: 30 A", "discharge: {rated: 30 A}", "continuous: 30 A"),
    ("discharge: 30 A", "discharge: {limit: 30 A}", "continuous: 30 A"),
    ("discharge: 30 A", "discharge: {max: 30 A}", "continuous: 30 A  or, for a peak,  peak: 30 A for 10 s"),
    ("charge: 5 A", "charging current: 5 A", "charge: 5 A"),
    ("resistance: 95 mohm", "internal resistance: 95 mohm", "resistance: 95 mohm"),
    ("mass: 4.6 kg", "weight: 4.6 kg", "mass: 4.6 kg"),
    ("outlet: XT60 socket\n    fuse", "connector: XT60 socket\n    fuse", "outlet: XT60 socket"),
    ("family: blade", "type: blade", "family: blade"),
    ("rating: 30 A", "amps: 30", "rating: 30 A"),
    ("rating: 30 A", "current: 30 A", "rating: 30 A"),
    ("voltage: 58 V", "max_voltage: 58 V", "voltage: 58 V"),
    ("condition: sound", "state: sound", "condition: sound"),
    ("type: diode", "kind: diode", "type: diode"),
    ("ceiling: 60 V", "max_voltage: 60 V", "ceiling: 60 V"),
    ("ceiling: 60 V", "voltage: 60 V", "marked: 60 V"),
    ("current: 40 A\n", "peak_current: 60 A\n", "current: {continuous: ..., peak: 60 A for 10 s}"),
    ("current: 40 A\n", "continuous_current: 40 A\n", "current: 40 A"),
    ("forward_voltage: 0.5 V", "vf: 0.5 V", "forward_voltage: 0.5 V"),
    ("inlets: XT60 pin", "connectors: XT60 pin", "inlets: XT60 pin"),
    ("    outlet: XT60 socket\nleads", "    output: XT60 socket\nleads", "outlet: XT60 socket"),
    ("from: tern", "source: tern", "from: tern"),
    ("to: yoke", "target: yoke", "to: yoke"),
    ("length: 400 mm, gauge: 12 AWG, ins", "cable length: 400 mm, gauge: 12 AWG, ins", "length: 400 mm"),
    ("gauge: 12 AWG, ins", "awg: 12, ins", "gauge: 12 AWG"),
    ("gauge: 12 AWG, ins", "mm2: 4, ins", "gauge: 4 mm2"),
    ("gauge: 12 AWG, ins", "wire size: 12 AWG, ins", "gauge: 12 AWG"),
    ("insulation: silicone", "jacket: silicone", "insulation: silicone"),
    ("ends: [XT60 pin, XT60 socket]}\n  main", "plugs: [XT60 pin, XT60 socket]}\n  main", "ends:"),
    ("voltage: {max: 60 V}", "max_voltage: 60 V", "voltage: {max: 60 V}"),
    ("battery_current: 25 A", "max_current: 25 A", "battery_current: 25 A"),
    ("battery_current: 25 A", "current: 25 A", "battery_current: 25 A"),
    (
        "battery_current: 25 A",
        "continuous_current: 15 A",
        "battery_current: {limit: ..., falls_to: 15 A after 10 s}",
    ),
    (
        "battery_current: 25 A",
        "peak: 50 A for 5 s",
        "battery_current: {limit: 50 A, falls_to: ... after 5 s}",
    ),
    ("battery_current: 25 A", "battery_current: {limit: 50 A, continuous: 25 A}", "falls_to: 25 A after 10 s"),
    ("battery_current: 25 A", "battery_current: {peak: 50 A for 5 s}", "limit: 50 A"),
    ("power_limit: 1000 W", "max_power: 1000 W", "power_limit: 1000 W"),
    ("low_voltage_cut: 41 V", "LVC: 41 V", "low_voltage_cut: 41 V"),
    ("low_voltage_cut: 41 V", "cut_off: 41 V", "low_voltage_cut: 41 V"),
    ("regen: none", "braking: none", "regen: none"),
    ("capacitance: 1 mF", "capacitors: 1 mF", "capacitance: 1 mF"),
    ("inlet: XT60 pin\nch", "plug: XT60 pin\nch", "inlet: XT60 pin"),
    ("output: 54.6 V", "voltage: 54.6 V", "output: 54.6 V"),
    ("current: 4 A", "charge_current: 4 A", "current: 4 A"),
    ("plug: XT60", "connector: XT60", "plug: XT60"),
    ("fits: [tern]", "packs: [tern]", "fits:"),
    ("max: 60 V, c", "max_voltage: 60 V, c", "max: 60 V"),
    ("current: 0.8 A", "amps: 0.8", "current: 0.8 A"),
    ("gauge: 20 AWG", "awg: 20", "gauge: 20 AWG"),
    ("\npacks:", "\nbatteries:", "packs:"),
    ("\nleads:", "\nharness:", "leads:"),
    ("\njoiners:", "\ncombiner:", "joiners:"),
    ("\ncontroller:", "\nmotor controller:", "controller:"),
    ("\naccessories:", "\nlights:", "accessories:"),
    ("\nracks:", "\ncarriers:", "racks:"),
    ("\nname: ", "\ntitle: ", "name: Sound of the Quern, parcel round"),
    ("\nregion: EU", "\ncountry: EU", "region: EU"),
]


def advice(text: str) -> list[str]:
    found = load(text)
    assert isinstance(found, list), "it was read"
    return [each.do for each in found if each.message.startswith("no field")]


def test_the_build_is_read_as_it_is() -> None:
    assert isinstance(load(BUILD), Build)


@pytest.mark.parametrize(("line", "typed", "offered"), RENAMED, ids=[each[1].strip() for each in RENAMED])
def test_a_field_under_another_name_gets_its_line(line: str, typed: str, offered: str) -> None:
    assert BUILD.count(line) == 1
    assert advice(BUILD.replace(line, typed)) == [f"Write  {offered}"]


# a line beside those of the build, what is offered
BESIDE = [
    (
        "controller",
        "peak: 50 A for 5 s",
        "battery_current: {limit: 50 A, falls_to: 25 A after 5 s}  in place of both lines",
    ),
    (
        "controller",
        "continuous_current: 15 A",
        "battery_current: {limit: 25 A, falls_to: 15 A after 10 s}  in place of both lines",
    ),
    ("packs:\n  tern", "burst: 60 A", "discharge: {continuous: 30 A, peak: 60 A for 10 s}  in place of both lines"),
    (
        "joiners:\n  yoke",
        "peak: 60 A for 9 s",
        "current: {continuous: 40 A, peak: 60 A for 9 s}  in place of both lines",
    ),
]


@pytest.mark.parametrize(("part", "typed", "offered"), BESIDE, ids=[each[1] for each in BESIDE])
def test_a_second_figure_of_a_field_goes_into_it(part: str, typed: str, offered: str) -> None:
    blanks = "    " if "\n" in part else "  "
    assert advice(BUILD.replace(f"{part}:\n", f"{part}:\n{blanks}{typed}\n")) == [f"Write  {offered}"]


def test_what_stands_under_its_own_name_too_gets_no_line() -> None:
    (said,) = advice(BUILD.replace("    label: 48 V", "    label: 48 V\n    voltage: 48 V"))
    assert said.startswith("Known: like, ")


READ_ALONE = [each for each in RENAMED if "..." not in each[2] and "  or" not in each[2]]


@pytest.mark.parametrize(("line", "typed", "offered"), READ_ALONE, ids=[each[1].strip() for each in READ_ALONE])
def test_the_line_that_is_offered_can_be_read(line: str, typed: str, offered: str) -> None:
    name, _, value = typed.strip().rpartition("{")[2].rstrip("}").partition(":")
    there = f"{name}:{value}" if not offered.endswith(":") else f"{name}:"
    mended = BUILD.replace(line, typed.replace(there, offered))
    found = load(mended)
    assert isinstance(found, Build) or all(not each.message.startswith("no field") for each in found)


def test_every_name_stands_for_some_field() -> None:
    """Each name gets a line in some part, one that the part has, and never stands where it is a field itself."""
    parts = [(section, [*table]) for section, table in TABLES.items()]
    parts += [(section, [*slot.children]) for section, table in TABLES.items() for slot in table.values()]
    parts.append(("", ["packs", "joiners", "leads", "controller", "accessories", "racks", "ride"]))
    for name in OTHER_NAMES:
        lines = {line_for(name, "1", known, section, {}) for section, known in parts if name not in known}
        assert lines - {None}, name


@pytest.mark.parametrize("name", ["", "nonsense", "watts", "power"])
def test_what_may_be_several_things_gets_no_line(name: str) -> None:
    assert line_for(name, "1 W", [*TABLES["controllers"], *TABLES["chargers"]], "controller", {}) is None


@pytest.mark.parametrize(
    ("line", "typed"),
    [("max: 60 V, c", "voltage: 60 V, c"), ("battery_current: 25 A", "current_rating: 15 A")],
)
def test_what_a_part_is_called_by_is_offered_as_no_limit(line: str, typed: str) -> None:
    (said,) = advice(BUILD.replace(line, typed))
    assert "Write" not in said
