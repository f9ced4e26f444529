"""What people call the fields of a file: which line to type for a name that the file does not know.

The reader looks here only after a mistake. A name means the first of its fields that the part in question has.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from packyoke.buildfile.reading.alike import nearest
from packyoke.buildfile.reading.names import NAMED
from packyoke.buildfile.reading.shapes import NAMES
from packyoke.buildfile.reading.slips import FORMER
from packyoke.buildfile.reading.table import TABLES
from packyoke.core.findings import clean, shown

NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?").fullmatch
_FOR = re.compile(r"(?P<figure>.*?) *\b(?:for|@) *(?P<time>[0-9.]+ *[a-z]+)", re.I).fullmatch
SECONDS = "10 s"
"""Where nothing is said of how long a peak lasts: what is usual on labels, common practice."""

_UNITS = {"awg": "AWG", "mm2": "mm2", "ah": "Ah", "amps": "A", "volts": "V", "kg": "kg"}
"""Names that say the unit too: it goes behind a bare number."""

OTHER_NAMES: dict[str, tuple[str, ...]] = {}
"""By a name as people write it: the lines that it may stand for, `*` the value as written, `~` the time that goes with
it; some only in one section, `joiners/current: *`. The first is meant of which the part has the field."""


def _called(words: str, *lines: str) -> None:
    OTHER_NAMES.update({word: (*OTHER_NAMES.get(word, ()), *lines) for word in words.split()})


_IN_PARTS = (
    "packs/discharge: *  or, for a peak,  discharge: {continuous: ..., peak: * for ~}",
    "joiners/current: *  or, for a peak,  current: {continuous: ..., peak: * for ~}",
)
_called("weight weighs kg", "mass: *", "racks/load: *")
# A voltage by itself is what a part is called by and no limit: of a joiner it is what is marked on it.
_called("voltage volts nominal_voltage", "label: *", "output: *", "joiners/marked: *", "voltage: *")
_called("max_voltage voltage_max maximum_voltage", "controller/voltage: {max: *}", "ceiling: *", "max: *", "voltage: *")
_called("min_voltage voltage_min minimum_voltage", "controller/voltage: {min: *}", "cut_off: *")
_called("ah amp_hours", "capacity: *")
_called("charger charger_voltage charge_voltage", "charger_label: *")
_called("full_voltage full_charge_voltage", "full_charge: *")
_called("charge_current charging_current max_charge", "charge: *", "chargers/current: *")
_called("internal_resistance ir dcir", "resistance: *")
_called("cell_count series_cells cells_in_series s", "series: *")
_called("state", "condition: *")
_called("cutoff lvc low_voltage_cutoff cutoff_voltage", "cut_off: *", "low_voltage_cut: *")
_called("cut_off", "low_voltage_cut: *")
_called("max_current current_limit max_amps", *_IN_PARTS, "battery_current: *", "current: *", "rating: *")
_called("current amps", *_IN_PARTS, "battery_current: *", "current: *", "rating: *")
_called("current_rating", *_IN_PARTS, "current: *", "rating: *")
_called(
    "continuous_current continuous_discharge discharge_current",
    "discharge: *",
    "battery_current: {limit: ..., falls_to: * after ~}",
    "joiners/current: *",
)
_called("battery_amps battery_current_limit controller_current", "battery_current: *")
_called(
    "peak peak_current max_peak burst",
    "limit: *",
    "peak: * for ~",
    "battery_current: {limit: *, falls_to: ... after ~}",
    "discharge: {continuous: ..., peak: * for ~}",
    "joiners/current: {continuous: ..., peak: * for ~}",
)
_called("continuous rated nominal", "falls_to: * after ~", "continuous: *")
_called("max maximum", "limit: *", "continuous: *  or, for a peak,  peak: * for ~")
_called("limit", "continuous: *")
_called("max_power power_max", "power_limit: *")
_called("awg wire_gauge wire_size wire thickness cross_section mm2 gage", "gauge: *")
_called("cable_length wire_length", "length: *")
_called("jacket sheath", "insulation: *")
_called("connector plug socket terminal", "packs/outlet: *", "plug: *", "ends: *", "controller/inlet: *")
_called("connectors plugs terminals", "ends: *", "inlets: *")
_called("source", "from: *")
_called("target destination", "to: *")
_called("forward_drop vf diode_drop", "forward_voltage: *")
_called("ports input", "inputs: *")
_called("output", "outlet: *")
_called("breaking_capacity interrupting_rating", "breaking: *")
_called("location position", "place: *")
_called("kind type", "type: *", "family: *", "chemistry: *")
_called("regenerative regen_braking braking", "regen: *")
_called("capacitor capacitors", "capacitance: *")
_called("for packs batteries", "fits: *")
_called("max_load", "limit: *")
_called("motor", "drive: {type: *}", "bike/type: *")
_called("speed_limit max_speed", "assist_limit: *")
_called("batteries battery pack", "packs: *")
_called("harness wires wiring cables cable lead", "leads: *")
_called("combiner combiners splitter splitters joiner", "joiners: *")
_called("motor_controller esc", "controller: *")
_called("lights lamps accessory", "accessories: *")
_called("title", "name: *")
_called("country market", "region: *")
_called("rack carrier carriers", "racks: *")
_called("rides trips", "ride: *")
_called("charge_port charging_port charge_socket charging_socket charge_connector charge_plug", "charge_inlet: *")
_called("discharge_port discharge_connector output_connector output_plug battery_connector", "outlet: *")
_called("input_connector input_plug", "inlet: *", "inlets: *")
_called("real_capacity measured_capacity actual_capacity", "tested_capacity: *")
_called("cell_type", "cells: *")
_called("fuse_rating fuse_size fuse_amps", "fuse: {rating: *}")
_called("max_volts volts_max voltage_limit", "controller/voltage: {max: *}", "ceiling: *", "max: *", "voltage: *")
_called("voltage_rating rated_voltage", "controller/voltage: {min: ..., max: ...}", "joiners/marked: *", "voltage: *")
_called("rated_current amp_rating", "joiners/current: *", "rating: *")
_called("on_resistance rds_on r", "resistance: *")
_called("mounting mounted mounted_on", "mount: *")
_called("voltage_range operating_voltage input_voltage battery_voltage", "controller/voltage: {min: ..., max: ...}")
_called("uvlo undervoltage undervoltage_cutoff low_voltage_disconnect lvd low_voltage_protection", "low_voltage_cut: *")
_called("recuperation ebrake e_brake regeneration", "regen: *")
_called("caps input_capacitance", "capacitance: *")
_called("pre_charge", "precharge: *")
_called("precharge_resistor precharge_resistance", "precharge: resistor")
_called("ignition key key_switch", "switched_by: *")
_called("wire_type insulation_type", "insulation: *")
_called("routing route run_in", "run: *")
_called("switched isolator", "switch: {rating: ...}")
_called("amperage charging_rate", "chargers/current: *")
_called("port", "plug: *")
_called("input_power", "mains_power: *")
_called("motor_power nominal_power", "rated_power: *")
_called("rider_weight rider_mass weight mass", "rider: *")
_called("payload cargo luggage baggage", "load: *")
_called("pace average_speed avg_speed", "ride/speed: *")
_called("climb ascent elevation elevation_gain gradient hilliness terrain", "hills: ... m per km")
_called("track route map", "gpx: *")
_called("headwind", "wind: *")
_called("road ground", "surface: *")
_called("temperature temp air_temperature ambient", "air: *", "warmest: *")
_called("posture riding_position", "ride/position: *")
_called("consumption energy_use wh_per_km", "measured: *")
_called("support help", "ride/assist: *")
_called("max_temperature hottest ambient_temperature", "warmest: *")
_called("min_temperature", "coldest: *")

INSTEAD: dict[tuple[str, str], str] = {}
"""What to do about names that stand for nothing that is asked for, by section and name."""


def _not_asked(section: str, words: str, do: str) -> None:
    INSTEAD.update({(section, word): do for word in words.split()})


_not_asked("ride", "distance length km", "A ride has no length: packyoke range says how far one gets.")
_not_asked(
    "controller", "phase_current motor_current phase_amps", "It is not what the packs give. Write  battery_current: ..."
)
_not_asked("packs", "energy wh watt_hours", "Ah is asked for, from the label. Write  capacity: ... Ah")
_not_asked("packs", "soh health state_of_health", "What a discharge test gave counts. Write  tested_capacity: ... Ah")
_not_asked(
    "leads",
    "current amps rating max_current current_rating ampacity",
    "What flows in a lead is worked out, and what it bears follows from its gauge, insulation and ends.",
)
_not_asked(
    "packs",
    "cold cold_limit discharge_cold cold_discharge charge_cold cold_charge",
    "One limit counts, warm or cold: where it is used in the cold, write the one for that.",
)
_not_asked(
    "accessories",
    "power watts wattage load",
    "The amperes that it draws from the packs are asked for: its watts over the lowest volts of the packs, a tenth "
    "more for a converter. Write  current: ... A",
)
_not_asked(
    "chargers",
    "outlets outputs ports channels sockets",
    "One that charges several packs at once is written as several chargers, each with the amperes of one outlet.",
)
_not_asked("", "all_packs", "What packs share is taken over from one of them, under the others:  like: ...")
_not_asked(
    "",
    "include includes import imports extends defaults",
    "What several builds share stands in the shop file, packyoke-shop.yaml, under  defaults  and on its shelf.",
)
COPPER = (
    "Wire counts as copper here. Aluminium, clad with copper or not, bears less and loses more, which is not worked "
    "out: take copper"
)
METALS = ("material", "conductor", "metal", "core", "wire_material")
"""What the metal of a wire is written under, wherever a gauge or an insulation is asked for."""
for _section in (*NAMED, "controller"):
    _not_asked(
        _section, "price cost minutes stock", "What the shop has and asks for it stands in the shop file, on its shelf."
    )

REMARKS = (
    "brand maker manufacturer make model serial serial_number sn colour color notes note comment remark remarks author "
    "description technician mechanic customer client phone email date made built_on bought purchased year age cycles "
    "cycle_count ip ip_rating strands material crimped soldered display wheels wheel_size tyres tires brakes photo url "
    "link supplier article sku plating plated contact_plating connector_plating pin_plating plating_thickness torque "
    "tightening_torque terminal_torque screw_torque bolt_torque"
)
"""What people write down for themselves, and no rule asks for."""


_OTHER_METAL = re.compile(r"alumin|\balu?\b|\bccaw?\b|copper[ -]clad", re.IGNORECASE).search


def of_other_metal(text: str) -> str:
    """What to do where a wire is said to be of another metal than copper; empty where it is not."""
    return f"{COPPER}, and write nothing of the metal." if _OTHER_METAL(text) else ""


_SEVERAL = re.compile(
    r"\A\s*(?:(?P<count>[2-9]|two|three|four)\s*(?:[x×*]|of|\s)\s*(?P<size>[0-9./]+\s*(?:AWG|SAE|mm2|mm²))"
    r"|(?P<behind>[0-9./]+\s*(?:AWG|SAE|mm2|mm²))\s*[x×*]\s*[2-9]"
    r"|(?:(?P<cable>[6-9]|1[0-9]|2[0-4])/[2-5]\s*(?P<scale>AWG|SAE)))\s*\Z",
    re.IGNORECASE,
).match


def of_several(text: str) -> str:
    """What to do where a wire is written as several, a cable of conductors or wires side by side; else empty."""
    found = _SEVERAL(text)
    if found is None:
        return ""
    size = found["size"] or found["behind"] or f"{found['cable']} {found['scale']}"
    return (
        f"Marked on a cable it counts its conductors: write the size of one,  gauge: {size}  Wires side by side on one "
        "pole are not worked out: take one of a size that carries everything."
    )


_CIRCULAR = re.compile(
    r"\s*(?P<n>[0-9]+(?:\.[0-9]+)?)\s*(?P<kilo>k|m)?c(?:ircular)?[ .]?m(?:ils?)?\s*", re.IGNORECASE
).fullmatch
CIRCULAR_MIL_MM2 = 5.067074790975e-4
"""A disc of a thousandth of an inch across: pi / 4 x 0.0254^2 [mm2]."""


def of_circular_mils(text: str) -> str:
    """What to do where a wire is written by its circular mils (kcmil, MCM are thousands of them); else empty."""
    found = _CIRCULAR(text)
    if found is None:
        return ""
    area = float(found["n"]) * (1000 if found["kilo"] else 1) * CIRCULAR_MIL_MM2
    return f"Write  gauge: {shown(area)} mm2"


def instead_of(name: str, known: Sequence[str], section: str, lines: Mapping[str, str | None]) -> str:
    """What to do about a name that the file does not know: the line to type, a field that is written alike, or all.

    :param lines: what stands in the lines of the part, by their names, this one among them
    """
    if name.casefold() in NAMES and section in NAMED:
        return "The name of a part stands before the colon above its lines. Take this line out."
    there = {key: value for key, value in lines.items() if key != name}
    line = None if name in FORMER else line_for(name, lines.get(name), known, section, there)
    if line is not None:
        return f"Write  {line}"
    word = _word(name)
    if word in METALS and not {"gauge", "insulation"}.isdisjoint(known):
        return f"{COPPER}, and take this line out."
    if (section, word) in INSTEAD:
        return INSTEAD[section, word]
    if word in REMARKS.split():
        return f"Nothing here asks for it. To keep it, put a # before it:  # {clean(name)}: ..."
    near = FORMER.get(name) or nearest(name, known)
    first = f"Did you mean  {near} ?  " if near else "" if word in OTHER_NAMES else _elsewhere(word)
    return f"{first}Known: {', '.join(known)}"


def _elsewhere(word: str) -> str:
    """Where a field stands that this part does not have."""
    inside = [("bike: drive", TABLES["bike"]["drive"].children), *((name, TABLES[name]) for name in NAMED)]
    there = [section for section, fields in inside if word in fields]
    return f"It stands under  {', '.join(there)}.  " if there else ""


def _word(name: str) -> str:
    return re.sub(r"[ -]+", "_", name.strip().casefold())


def line_for(
    name: str, value: str | None, known: Collection[str], section: str, there: Mapping[str, str | None]
) -> str | None:
    """The line to type in place of one with a name that the file does not know; None where nobody can tell.

    :param name: the name as written
    :param value: the one value behind it; None where something longer stands there
    :param known: the fields that the part has
    :param section: where the part is listed: `joiners`, `controller` for any
    :param there: what stands in the other lines of the part, by field; None for something longer
    """
    word = _word(name)
    for each in OTHER_NAMES.get(word, ()):
        where, _, line = each.rpartition("/")
        field = line.partition(":")[0]
        if field not in known or where not in ("", section.replace("controllers", "controller")):
            continue
        if field not in there:
            return f"{field}:" if value is None else _with_value(line, word, clean(value.strip()))
        other = there[field]
        if "..." in line and " or" not in line and value is not None and other is not None:
            both = _with_value(line, word, clean(value.strip())).replace("...", clean(other.strip()))
            return f"{both}  in place of both lines"
    return None


def _with_value(line: str, word: str, value: str) -> str:
    split = _FOR(value) if word.startswith(("peak", "max", "burst")) else None
    figure, time = (split["figure"], split["time"]) if split else (value, SECONDS)
    unit = _UNITS.get(word)
    if unit is not None and NUMBER(figure):
        figure = f"{figure} {unit}"
    return line.replace("*", figure).replace("~", time)
