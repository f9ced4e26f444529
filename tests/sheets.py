"""Builds for the customer's sheet: packs in a chain of joiners, with names as long as the file allows."""

from __future__ import annotations

from packyoke.answers.sheet.customer import customer_sheet
from packyoke.answers.sheet.customer_page import CustomerSheet
from packyoke.api import load
from packyoke.model import Build
from tests.support import base_text

TODAY = "2026-11-25"
CAPACITIES_AH = (17.5, 14, 20, 10, 12, 16)
LONGEST_NAME = 40
LONG_TITLE = "The bicycle with the long name that somebody typed into the file, all 80 letters"
ENDS = "gauge: 12 AWG, ends: [XT60 pin, XT60 socket]"


def chain_text(packs: int, *, long: bool = False, wide: bool = False, rides: int = 0, chargers: int = 1) -> str:
    """A build of some packs that passes the check. `long`: names of 40 letters; `wide`: of the widest letters."""
    names = [_name(f"Pack {'abcdef'[at]}", " in the left bag of the carrier", long, wide) for at in range(packs)]
    leads, links = (
        [_name(f"{kind} {at}", " with the red sleeve along the top tube", long, wide) for at in range(count)]
        for kind, count in (("pack lead", packs), ("link", packs - 1))
    )
    joiners = [_name(f"J{at}", " behind the seat posts and the charger", long, wide) for at in range(packs - 1)]
    lines = [
        "packyoke: 1",
        f"name: {LONG_TITLE if long else 'Breakwater parcels'}",
        "region: EU",
        "warmest: 30 degC",
        "coldest: -5 degC",
        "bike: {mass: 48 kg, drive: {type: mid motor, assist_limit: 25 km/h}}",
        "racks: {bed: {limit: 80 kg, load: 20 kg}}",
        "packs:",
    ]
    places = [_name(f"Place {'abcdef'[at]}", " on the left side of the carriers", long, wide) for at in range(packs)]
    for name, seat, capacity_ah in zip(names, places, CAPACITIES_AH, strict=False):
        place = f", place: '{seat}'" if long else ""
        lines.append(
            f"  '{name}': {{chemistry: NMC, series: 13, capacity: {capacity_ah} Ah, discharge: 30 A, charge: 5 A,"
            f" mass: 4 kg, rack: bed{place}, outlet: XT60 socket, cells: power, cut_off: 39 V, resistance: 90 mohm,"
            " fuse: {family: blade, rating: 30 A, voltage: 58 V}, condition: sound,"
            " bms: {charge_path: common, data: none, wakes: always}}"
        )
    lines += ["places:", *(f"  '{name}': {{rack: bed}}" for name in places)] if long else []
    lines += ["joiners:"] if joiners else []
    lines += [
        f"  '{name}': {{type: ideal-diode, ceiling: 65 V, current: 30 A, resistance: 2 mohm, blocks_in: positive,"
        " inlets: XT60 pin, outlet: XT60 socket, mount: frame metal, charge_port: none}"
        for name in joiners
    ]
    lines += ["all_leads: {insulation: silicone, run: open}", "leads:"]
    onwards = [*joiners, "controller"]
    for at, name in enumerate(names):
        lines.append(f"  {leads[at]}: {{from: '{name}', to: '{onwards[max(0, at - 1)]}', length: 300 mm, {ENDS}}}")
    for at, name in enumerate(joiners):
        fuse = ", fuse: {family: class T, rating: 30 A, voltage: 160 V}" if at == len(joiners) - 1 else ""
        lines.append(f"  {links[at]}: {{from: '{name}', to: '{onwards[at + 1]}', length: 300 mm, {ENDS}{fuse}}}")
    lines += [
        "controller: {voltage: {min: 36 V, max: 60 V}, battery_current: 18 A, low_voltage_cut: 40 V, regen: none,"
        " inlet: XT60 pin, capacitance: 0.8 mF}",
        "chargers:",
    ]
    for at in range(chargers):
        name = _name(f"Charger {at}", " with the grey cable and the lamp on it", long, wide)
        lines.append(f"  '{name}': {{output: 54.6 V, current: {2 + at} A, plug: XLR 3}}")
    lines += ["ride:"] if rides else []
    for at in range(rides):
        name = _name(f"Ride {at}", " over the hills and back along the sea", long, wide)
        lines.append(f"  '{name}': {{rider: {80 + at} kg, speed: {20 + at} km/h}}")
    return "\n".join(lines) + "\n"


def _name(name: str, more: str, long: bool, wide: bool) -> str:
    if not long:
        return name
    return f"{name.replace(' ', '')}{'W' * LONGEST_NAME}"[:LONGEST_NAME] if wide else f"{name}{more}"[:LONGEST_NAME]


def built(text: str) -> Build:
    build = load(text, "bike.yaml", today=TODAY)
    assert isinstance(build, Build), build
    return build


def sheet_of(text: str, **more: str) -> CustomerSheet:
    return customer_sheet(built(text), today=TODAY, **more)


def example_sheet(name: str, **more: str) -> CustomerSheet:
    return sheet_of(base_text(name), **more)
