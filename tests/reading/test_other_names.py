"""Fields under the names that people have for them: the mistake gives the line to type, and that line is read.

What is offered is written by hand beside what was typed; where more is to be said than was typed, dots stand for it.
"""

from __future__ import annotations

import pytest

from packyoke.api import Build, load
from packyoke.buildfile.reading.alike import nearest
from packyoke.buildfile.reading.other_names import OTHER_NAMES, instead_of, line_for
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
ride:
  round: {rider: 82 kg, load: 12 kg, speed: 21 km/h, hills: 6 m per km, wind: 2 m/s, surface: rough, air: 9 degC}
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
    ("condition: sound", "charge_port: 5.5 mm barrel socket", "charge_inlet: 5.5 mm barrel socket"),
    ("condition: sound", "charging socket: 5.5 mm barrel socket", "charge_inlet: 5.5 mm barrel socket"),
    ("condition: sound", "actual capacity: 16 Ah", "tested_capacity: 16 Ah"),
    ("condition: sound", "cell_type: power", "cells: power"),
    ("outlet: XT60 socket\n    fuse", "discharge port: XT60 socket\n    fuse", "outlet: XT60 socket"),
    ("ceiling: 60 V", "max_volts: 60 V", "ceiling: 60 V"),
    ("ceiling: 60 V", "rated voltage: 60 V", "marked: 60 V"),
    ("current: 40 A\n", "rated current: 40 A\n", "current: 40 A"),
    ("forward_voltage: 0.5 V", "mounted_on: frame metal", "mount: frame metal"),
    ("insulation: silicone, ends: [XT60 pin, XT60 socket]}\n  m", "wire_type: silicone}\n  m", "insulation: silicone"),
    ("insulation: silicone, ends: [XT60 pin, XT60 socket]}\n  m", "routing: in frame}\n  m", "run: in frame"),
    ("insulation: silicone, ends: [XT60 pin, XT60 socket]}\n  m", "fuse_rating: 30 A}\n  m", "fuse: {rating: 30 A}"),
    ("voltage: {max: 60 V}", "voltage_range: 36 to 60 V", "voltage: {min: ..., max: ...}"),
    ("voltage: {max: 60 V}", "voltage rating: 48 V", "voltage: {min: ..., max: ...}"),
    ("low_voltage_cut: 41 V", "undervoltage: 41 V", "low_voltage_cut: 41 V"),
    ("regen: none", "ebrake: none", "regen: none"),
    ("capacitance: 1 mF", "caps: 1 mF", "capacitance: 1 mF"),
    ("capacitance: 1 mF", "ignition: key", "switched_by: key"),
    ("plug: XT60", "port: XT60", "plug: XT60"),
    ("assist_limit: 25 km/h", "motor_power: 250 W", "rated_power: 250 W"),
    ("rider: 82 kg", "weight: 82 kg", "rider: 82 kg"),
    ("load: 12 kg", "payload: 12 kg", "load: 12 kg"),
    ("speed: 21 km/h", "average speed: 21 km/h", "speed: 21 km/h"),
    ("hills: 6 m per km", "climb: 180 m", "hills: ... m per km"),
    ("hills: 6 m per km", "track: quern.gpx", "gpx: quern.gpx"),
    ("wind: 2 m/s", "headwind: 2 m/s", "wind: 2 m/s"),
    ("surface: rough", "road: rough", "surface: rough"),
    ("air: 9 degC", "temperature: 9 degC", "air: 9 degC"),
    ("air: 9 degC", "consumption: 9 Wh/km", "measured: 9 Wh/km"),
    ("\nregion: EU", "\nambient: 30 degC", "warmest: 30 degC"),
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


METAL = (
    "Wire counts as copper here. Aluminium, clad with copper or not, bears less and loses more, which is not worked "
    "out: take copper, and"
)

# a part, a line in it, what is said of it
NOT_ASKED = [
    ("leads:\n  first", "material: aluminium", f"{METAL} take this line out."),
    ("leads:\n  first", "conductor: CCA", f"{METAL} take this line out."),
    ("accessories:\n  lamp", "wire material: aluminium", f"{METAL} take this line out."),
    ("ride:\n  round", "distance: 42 km", "A ride has no length: packyoke range says how far one gets."),
    ("controller", "phase current: 60 A", "It is not what the packs give. Write  battery_current: ..."),
    (
        "packs:\n  tern",
        "charge_cold: 2 A",
        "One limit counts, warm or cold: where it is used in the cold, write the one for that.",
    ),
    (
        "accessories:\n  lamp",
        "power: 60 W",
        "The amperes that it draws from the packs are asked for: its watts over the lowest volts of the packs, a tenth "
        "more for a converter. Write  current: ... A",
    ),
    (
        "chargers:\n  home",
        "outlets: 2",
        "One that charges several packs at once is written as several chargers, each with the amperes of one outlet.",
    ),
    ("", "all_packs: {}", "What packs share is taken over from one of them, under the others:  like: ..."),
    (
        "",
        "include: common.yaml",
        "What several builds share stands in the shop file, packyoke-shop.yaml, under  defaults  and on its shelf.",
    ),
    ("packs:\n  tern", "energy: 840 Wh", "Ah is asked for, from the label. Write  capacity: ... Ah"),
    ("packs:\n  tern", "SoH: 90 %", "What a discharge test gave counts. Write  tested_capacity: ... Ah"),
    (
        "leads:\n  first",
        "rating: 40 A",
        "What flows in a lead is worked out, and what it bears follows from its gauge, insulation and ends.",
    ),
    ("packs:\n  tern", "Brand: x", "Nothing here asks for it. To keep it, put a # before it:  # Brand: ..."),
    ("packs:\n  tern", "serial: 12", "Nothing here asks for it. To keep it, put a # before it:  # serial: ..."),
    ("leads:\n  first", "plating: gold", "Nothing here asks for it. To keep it, put a # before it:  # plating: ..."),
    ("joiners:\n  yoke", "Torque: 2 Nm", "Nothing here asks for it. To keep it, put a # before it:  # Torque: ..."),
    (
        "controller",
        "terminal torque: 2 Nm",
        "Nothing here asks for it. To keep it, put a # before it:  # terminal torque: ...",
    ),
    ("controller", "precharge_resistor: 150 ohm", "Write  precharge: resistor"),
    ("packs:\n  tern", "age: 3 years", "Nothing here asks for it. To keep it, put a # before it:  # age: ..."),
    ("packs:\n  tern", "price: 400 EUR", "What the shop has and asks for it stands in the shop file, on its shelf."),
    ("", "notes: spare", "Nothing here asks for it. To keep it, put a # before it:  # notes: ..."),
]


@pytest.mark.parametrize("section", ["all_leads", "shelf.wires.red", "leads.first", "accessories.lamp"])
def test_the_metal_of_a_wire_is_told_wherever_wire_is_described(section: str) -> None:
    known = ["insulation"] if section == "all_leads" else ["gauge", "insulation"]
    assert instead_of("Material", known, section.partition(".")[0], {}) == f"{METAL} take this line out."
    assert METAL not in instead_of("Material", ["outlet", "mass"], "packs", {})


@pytest.mark.parametrize(
    ("line", "typed", "metal"),
    [
        ("gauge: 12 AWG, ins", "gauge: 12 AWG aluminium, ins", True),
        ("gauge: 12 AWG, ins", "gauge: 4 mm2 CCA, ins", True),
        ("gauge: 12 AWG, ins", "gauge: 12 AWG copper-clad aluminum, ins", True),
        ("gauge: 12 AWG, ins", "gauge: 4 mm2 Al, ins", True),
        ("insulation: silicone", "insulation: CCA PVC", True),
        ("gauge: 12 AWG, ins", "gauge: 12 AWG stranded, ins", False),
        ("insulation: silicone", "insulation: accra", False),
    ],
)
def test_wire_of_another_metal_is_not_taken_for_copper(line: str, typed: str, metal: bool) -> None:
    found = load(BUILD.replace(line, typed, 1))
    assert isinstance(found, list)
    assert [each.do == f"{METAL} write nothing of the metal." for each in found] == [metal]


@pytest.mark.parametrize(
    ("typed", "size"),
    [
        ("2x2.5 mm2", "2.5 mm2"),
        ("2 × 14 AWG", "14 AWG"),
        ("2*4 mm²", "4 mm²"),
        ("2 of 14 AWG", "14 AWG"),
        ("two 14 AWG", "14 AWG"),
        ("14 AWG x 2", "14 AWG"),
        ("14/2 AWG", "14 AWG"),
        ("16/3 SAE", "16 SAE"),
        ("5/0 AWG", None),  # thicker than any
        ("12-14 AWG", None),
    ],
)
def test_a_cable_of_two_conductors_and_two_wires_on_one_pole_are_told_apart(typed: str, size: str | None) -> None:
    (found,) = load(BUILD.replace("gauge: 12 AWG, ins", f"gauge: {typed}, ins", 1))
    assert (f"write the size of one,  gauge: {size}  Wires side by side" in found.do) is (size is not None)


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        # A circular mil is pi / 4 of a square thousandth of an inch: 12 AWG has 6530 of them, and 3.31 mm2.
        ("6530 cmil", "Write  gauge: 3.31 mm2"),
        ("6530 circular mils", "Write  gauge: 3.31 mm2"),
        ("26 kcmil", "Write  gauge: 13.2 mm2"),
        ("26 MCM", "Write  gauge: 13.2 mm2"),
        ("26 cm", None),
    ],
)
def test_wire_by_its_circular_mils(typed: str, line: str | None) -> None:
    (found,) = load(BUILD.replace("gauge: 12 AWG, ins", f"gauge: {typed}, ins", 1))
    assert (found.do == line) is (line is not None)


@pytest.mark.parametrize(
    ("line", "typed", "message", "do"),
    [
        ("inlets: XT60 pin", "inlets: [XT60 pin, none]", '"none" is no connector', "neither listed nor counted"),
        # 5 A at 12 V are 60 W; 66.7 W out of the packs are 1.71 A at 39 V.
        ("current: 0.8 A", "current: 5 A at 12 V", '"5 A at 12 V" is behind a converter', "60 W through a converter"),
        ("current: 0.8 A", "current: 5 A at 12 V", '"5 A at 12 V" is behind a converter', "are 1.71 A at 39 V"),
        ("from: yoke, max", "from: controller, max", '"controller" is a controller', "write the lead to it"),
        (
            "lamp: {from: yoke",
            "b: {from: lamp, max: 15 V, current: 1 A}\n  lamp: {from: yoke",
            '"lamp" is an accessory',
            "count it with that one",
        ),
    ],
)
def test_what_hangs_on_something_that_feeds_nothing_here(line: str, typed: str, message: str, do: str) -> None:
    (found,) = load(BUILD.replace(line, typed))
    assert (found.message, do in found.do) == (message, True)


@pytest.mark.parametrize(("part", "typed", "said"), NOT_ASKED, ids=[each[1] for each in NOT_ASKED])
def test_what_nothing_asks_for_is_said_to_be_so(part: str, typed: str, said: str) -> None:
    head = f"\n{part}:"
    if f"{head} {{" in BUILD:
        text = BUILD.replace(f"{head} {{", f"{head} {{{typed}, ")
    elif part:
        text = BUILD.replace(f"{head}\n", f"{head}\n{'    ' if '  ' in part else '  '}{typed}\n")
    else:
        text = f"{BUILD}{typed}\n"
    assert advice(text) == [said]


@pytest.mark.parametrize(
    ("part", "name", "where"),
    [
        ("joiners", "fuse", "packs, leads, accessories"),
        ("joiners", "gauge", "leads, accessories"),
        ("controllers", "fuse", "packs, leads, accessories"),
        ("controllers", "throttle", "bike: drive"),
        ("packs", "ceiling", "joiners"),
        ("leads", "capacitance", "controllers"),
    ],
)
def test_a_field_of_another_part_says_where_it_stands(part: str, name: str, where: str) -> None:
    known = [*TABLES[part]]
    assert instead_of(name, known, part, {name: "x"}) == f"It stands under  {where}.  Known: {', '.join(known)}"


@pytest.mark.parametrize(
    ("typed", "known", "near"),
    [
        ("chemisty", "packs", "chemistry"),
        ("hemistry", "packs", "chemistry"),  # a first letter that is not there is one letter of many
        ("capcity", "packs", "capacity"),
        ("power", "chargers", ""),  # not owner
        ("sine", "controllers", ""),  # not inlet
        ("age", "packs", ""),  # not charge
    ],
)
def test_only_what_is_spelled_alike_is_taken_for_a_slip(typed: str, known: str, near: str) -> None:
    assert nearest(typed, TABLES[known]) == near


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
