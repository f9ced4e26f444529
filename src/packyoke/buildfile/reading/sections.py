"""From the lines of one part to the part: what is missing, what does not go together, what follows from what."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from packyoke.buildfile.reading import deduce
from packyoke.buildfile.reading.document import Scalar
from packyoke.buildfile.reading.records import day_of, reading_value
from packyoke.buildfile.reading.subparts import no_fuse
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import DraftPart, Reader
from packyoke.core.constants import WH_J
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.units import Kind, read, show
from packyoke.model import (
    NONE,
    Acceptance,
    Accessory,
    Bike,
    Charger,
    ConnectorPart,
    Controller,
    Joiner,
    Key,
    Lead,
    Measured,
    Pack,
    Place,
    Rack,
    Ride,
    RunBetween,
    Stated,
)
from packyoke.model.fields_harness import ONLY_FOR
from packyoke.model.found import REGULATED_V
from packyoke.shelf.chemistry import chemistry

Written = dict[str, Scalar]
"""The keys of a part that were written there and not taken over."""

PEAK = "A peak is what it bears for a short time: more than all the time. Swap the two, or take the peak out."
MOST_TESTED = 1.2
"""A pack that holds more than this share of what is marked on it is another pack, or was tested wrong: judgement."""
MOST_WH_KG = 300.0
"""No pack holds more in a kilogram: the best cells by themselves come to about that (judgement)."""
ROUNDED = 0.98
"""Figures of a label are rounded: judgement."""
NOT_DIRECT = ("length", "gauge", "insulation", "run", "ends", "splices")


def lacking(reader: Reader, draft: DraftPart, written: Written, section: str, attrs: dict[str, str]) -> bool:
    """Whether a line is missing without which the part means nothing; says so."""
    missing = [key for key in attrs.values() if key not in written]
    for key in missing:
        field = TABLES[section][key].field
        reader.tell(
            draft.span,
            line_in(draft.path, key),
            f"{key} is missing",
            f"Write for example  {key}: {field.example}" if field else "",
        )
    guesses = [key for attr, key in attrs.items() if (draft.path, attr) in reader.guesses]
    for key in guesses:
        reader.tell(
            draft.span, line_in(draft.path, key), "a guess does not do here", "Find it out, or leave the whole out."
        )
    return any(attr not in draft.values for attr in attrs)


def make_rack(reader: Reader, draft: DraftPart, written: Written) -> Rack:
    assumed(reader, draft, "racks", "load")
    return Rack(**draft.head(), **draft.values)


def assumed(reader: Reader, draft: DraftPart, section: str, key: str) -> None:
    """Put a default that counts among the assumptions, when the line was not written."""
    field = TABLES[section][key].field
    if field is not None and field.listed and field.attr not in draft.spans:
        reader.stated.append(Stated(draft.path, field.missing, field.basis))


def _in_order(reader: Reader, draft: DraftPart, low: tuple[str, ...], high: tuple[str, ...], do: str) -> None:
    """Two currents of a part, each by its attribute and its keys in the file: the first is not above the second.

    Told at the second, without which the first would stand alone."""
    (low_attr, *low_keys), (high_attr, *high_keys) = low, high
    low_a, high_a = draft.values.get(low_attr), draft.values.get(high_attr)
    if low_a is None or high_a is None or low_a <= high_a:
        return
    least, most = (show(amps, Kind.CURRENT) for amps in (low_a, high_a))
    message = f"{high_keys[-1]} {most} is below {low_keys[-1]} {least}"
    reader.tell(draft.spans[high_attr].span, line_in(draft.path, *high_keys), message, do)


def make_pack(reader: Reader, draft: DraftPart, written: Written) -> Pack:
    values = draft.values
    deduce.identity(reader, draft)
    _in_order(
        reader,
        draft,
        ("discharge_continuous_a", "discharge", "continuous"),
        ("discharge_peak_a", "discharge", "peak"),
        PEAK,
    )
    marked, tested = values.get("capacity_coulomb"), values.get("tested_capacity_coulomb")
    if marked is not None and tested is not None and tested > MOST_TESTED * marked:
        message = f"tested with {show(tested, Kind.CHARGE)}, where {show(marked, Kind.CHARGE)} are marked"
        do = "A pack holds hardly more than is marked on it. Look at the label, test again, or correct the capacity."
        span = draft.spans["tested_capacity_coulomb"].span
        reader.tell(span, line_in(draft.path, "tested_capacity"), message, do)
    kind = chemistry(values["chemistry"]) if values.get("chemistry") else None
    mass_kg = values.get("mass_kg") if "mass" in written else None
    if mass_kg and marked and kind and values.get("series"):
        energy_wh = values["series"] * kind.nominal_v * marked / WH_J
        if energy_wh > MOST_WH_KG * mass_kg * (1 + 1e-9):
            message = f"{show(mass_kg, Kind.MASS)} for {energy_wh:.0f} Wh"
            do = f"No pack holds more than {MOST_WH_KG:.0f} Wh in a kilogram. Weigh it, or correct the capacity."
            reader.tell(draft.spans["mass_kg"].span, line_in(draft.path, "mass"), message, do)
    if "fuse" not in values:
        values["fuse"] = no_fuse(draft, None)
    if "rack" not in draft.spans and not reader.names["racks"]:
        values["rack"] = NONE
    return Pack(**draft.head(), **values)


def make_joiner(reader: Reader, draft: DraftPart, written: Written) -> Joiner:
    values = draft.values
    kind = values.get("type")
    if kind == "unknown":
        kind = values["type"] = None
    for key, kinds in ONLY_FOR.items():
        if key in written and kind and kind not in kinds:
            reader.tell(
                written[key].span, line_in(draft.path, key), f"not for type {kind}", f"It is for {' and '.join(kinds)}."
            )
    if "resistance" in written and "drop" in written:
        reader.tell(
            written["drop"].span, line_in(draft.path, "drop"), "resistance and drop together", "Write one of the two."
        )
    if kind == "ideal-diode":
        _leave_held_drop(reader, draft)
    _in_order(
        reader, draft, ("current_continuous_a", "current", "continuous"), ("current_peak_a", "current", "peak"), PEAK
    )
    inputs: int = values.get("inputs", 2)
    inlets = values.get("inlets")
    if isinstance(inlets, list):
        if len(inlets) != inputs:
            reader.tell(
                draft.spans["inlets"].span,
                line_in(draft.path, "inlets"),
                f"{len(inlets)} inlets for {inputs} inputs",
                "Write one for all, or a list with one for each input.",
            )
        values["inlets"] = tuple(inlets)
    else:
        values["inlets"] = (inlets,) * inputs
    outlets = values.get("outlets")
    values["outlets"] = tuple(outlets) if isinstance(outlets, list) else (outlets,)
    return Joiner(**draft.head(), **values)


def _leave_held_drop(reader: Reader, draft: DraftPart) -> None:
    """A drop that an ideal diode holds by itself tells nothing of its resistance: that stays to be found out."""
    node, key = draft.spans.get("resistance_ohm"), Key(draft.path, "resistance_ohm")
    if not isinstance(node, Scalar) or not re.search(r"\bat\b|@", node.text):
        return
    if read(node.text, Kind.VOLTAGE_AT_CURRENT).value <= REGULATED_V:
        draft.values.pop("resistance_ohm", None)
        reader.guesses.pop(key, None)
        text = f"{clean(node.text)} tells no resistance: an ideal diode holds so little by itself at small currents"
        reader.stated.append(Stated(draft.path, text, "common practice"))


def make_lead(reader: Reader, draft: DraftPart, written: Written) -> Lead | None:
    values = draft.values
    if values.get("direct"):
        for key in NOT_DIRECT:
            if key in written:
                reader.tell(
                    written[key].span,
                    line_in(draft.path, key),
                    "no cable, so nothing to say of it",
                    "direct: yes means outlet straight into inlet. Take one of the two lines out.",
                )
    if "fuse" not in values:
        values["fuse"] = no_fuse(draft, NONE)
    if lacking(reader, draft, written, "leads", {"source": "from", "target": "to"}):
        return None
    return Lead(**draft.head(), **values)


def make_controller(reader: Reader, draft: DraftPart, written: Written) -> Controller:
    if "adjustable_a" not in draft.spans and draft.values.get("limit_a") is not None:
        field = TABLES["controllers"]["battery_current"].children["adjustable_to"].field
        assert field is not None
        reader.stated.append(Stated(draft.path, field.missing, field.basis))
    low, high = draft.values.get("voltage_min_v"), draft.values.get("voltage_max_v")
    if low is not None and high is not None and low >= high:
        reader.tell(
            draft.spans["voltage_min_v"].span,
            line_in(draft.path, "voltage", "min"),
            "min is not below max",
            "Swap min and max.",
        )
    limit = ("limit_a", "battery_current", "limit")
    adjustable = ("adjustable_a", "battery_current", "adjustable_to")
    most = adjustable if "adjustable_a" in draft.values else limit
    do = "It is the highest that the limit can be set to. Where that is not higher take the line out."
    _in_order(reader, draft, limit, adjustable, do)
    do = "It falls from the limit to less. Swap the two, or take falls_to out."
    _in_order(reader, draft, ("falls_to_a", "battery_current", "falls_to"), most, do)
    return Controller(**draft.head(), **draft.values)


def make_accessory(reader: Reader, draft: DraftPart, written: Written) -> Accessory | None:
    if "fuse" not in draft.values:
        draft.values["fuse"] = no_fuse(draft, None)
    if lacking(reader, draft, written, "accessories", {"sources": "from"}):
        return None
    return Accessory(**draft.head(), **draft.values)


def make_charger(reader: Reader, draft: DraftPart, written: Written) -> Charger:
    values = draft.values
    mains_w = values.get("mains_power_w")
    output_w = values.get("output_v", 0.0) * values.get("current_a", 0.0)
    if mains_w is not None and mains_w < ROUNDED * output_w:
        message = f"{show(mains_w, Kind.POWER)} from the mains for {show(output_w, Kind.POWER)} at its output"
        do = "It takes more than it gives. Look at the label again, or leave the line out."
        reader.tell(draft.spans["mains_power_w"].span, line_in(draft.path, "mains_power"), message, do)
    return Charger(**draft.head(), **draft.values)


def make_place(reader: Reader, draft: DraftPart, written: Written) -> Place:
    return Place(**draft.head(), **draft.values)


def make_connector(reader: Reader, draft: DraftPart, written: Written) -> ConnectorPart:
    return ConnectorPart(**draft.head(), **draft.values)


def make_ride(reader: Reader, draft: DraftPart, written: Written) -> Ride:
    air = TABLES["ride"]["air"].field
    if "hills" in written and "gpx" in written:
        reader.tell(written["gpx"].span, line_in(draft.path, "gpx"), "hills and gpx together", "Write one of the two.")
    if air is not None:
        draft.values.setdefault("air_k", air.default)
    return Ride(**draft.head(), **draft.values)


def make_run(reader: Reader, draft: DraftPart, written: Written) -> RunBetween | None:
    if lacking(reader, draft, written, "runs", {"between": "between", "length_m": "length"}):
        return None
    draft.name = " - ".join(draft.values["between"])
    return RunBetween(**draft.head(), **draft.values)


def make_reading(reader: Reader, draft: DraftPart, written: Written) -> Measured | None:
    day, today = day_of(draft.values.get("date", "")), day_of(reader.today or "")
    if day and today and day > today:
        said = f"{day.isoformat()} has not come: today is {today.isoformat()}"
        do = "The newest reading counts. Write the day on which it was taken."
        reader.tell(draft.spans["date"].span, line_in(draft.path, "date"), said, do)
    node, what = draft.values.pop("value", None), draft.values.get("what")
    found = (
        reading_value(reader, node, what, line_in(draft.path, "value"))
        if node is not None and what is not None
        else None
    )
    if found is not None:
        draft.values["value"] = found
    if lacking(reader, draft, written, "measured", {"date": "date", "part": "part", "what": "what", "value": "value"}):
        return None
    draft.name = f"{what} of {draft.values['part']}"
    return Measured(**draft.head(), **draft.values)


def make_acceptance(reader: Reader, draft: DraftPart, written: Written) -> Acceptance | None:
    until, today = day_of(draft.values.get("until", "")), day_of(reader.today or "")
    if until and today and (until.year, until.month, until.day) > (today.year + 2, today.month, today.day):
        reader.tell(
            draft.spans["until"].span,
            line_in(draft.path, "until"),
            f"{until.isoformat()} is too far ahead",
            f"At most two years after today, {today.isoformat()}.",
        )
    needed = ("rule", "part", "found", "because", "by", "until")
    if lacking(reader, draft, written, "accept", {key: key for key in needed}):
        return None
    draft.name = f"{draft.values['rule']} of {draft.values['part']}"
    return Acceptance(**draft.head(), **draft.values)


def make_bike(reader: Reader, draft: DraftPart, written: Written) -> Bike:
    return Bike(**draft.head(), **draft.values)


MAKERS: dict[str, Callable[[Reader, DraftPart, Written], Any]] = {
    "bike": make_bike,
    "racks": make_rack,
    "places": make_place,
    "packs": make_pack,
    "joiners": make_joiner,
    "leads": make_lead,
    "controllers": make_controller,
    "accessories": make_accessory,
    "chargers": make_charger,
    "connectors": make_connector,
    "ride": make_ride,
    "runs": make_run,
    "measured": make_reading,
    "accept": make_acceptance,
}
