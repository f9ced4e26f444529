"""Harnesses as nobody should draw them, and as few do: rings, leads side by side, dead ends, inlets left empty."""

from __future__ import annotations

from tests.sheets import ENDS

CONTROLLER = (
    "controller: {voltage: {min: 36 V, max: 60 V}, battery_current: 18 A, low_voltage_cut: 40 V, regen: none,"
    " inlet: XT60 pin, capacitance: 0.8 mF}"
)


def _build(packs: str, joiners: str, leads: str, more: str = "") -> str:
    """`joiners`: names with their inputs, `yoke 3`; `leads`: from, to and more, `keel yoke; yoke controller`."""
    lines = ["packyoke: 1", "name: Odd", "warmest: 30 degC", "coldest: 1 degC", "packs:"]
    lines += [
        f"  {name}: {{chemistry: NMC, series: 13, capacity: 14 Ah, discharge: 30 A, charge: 5 A, outlet: XT60 socket,"
        " cells: power, cut_off: 39 V, resistance: 90 mohm, fuse: {family: blade, rating: 30 A, voltage: 58 V},"
        " condition: sound, bms: {charge_path: common, data: none, wakes: always}}"
        for name in packs.split()
    ]
    lines += ["joiners:"] if joiners else []
    for each in filter(None, joiners.split(", ")):
        name, inputs = each.split()
        lines.append(
            f"  {name}: {{type: ideal-diode, ceiling: 65 V, current: 40 A, resistance: 2 mohm, blocks_in: positive,"
            f" inputs: {inputs}, inlets: XT60 pin, outlet: XT60 socket, mount: frame metal, charge_port: none}}"
        )
    lines += ["all_leads: {insulation: silicone, run: open}", "leads:"]
    for at, one in enumerate(leads.split("; "), 1):
        source, target, *inlet = one.split()
        into = f", inlet: {inlet[0]}" if inlet else ""
        lines.append(f"  l{at}: {{from: {source}, to: {target}, length: 300 mm, {ENDS}{into}}}")
    return "\n".join([*lines, CONTROLLER, more]) + "\n"


def _taps(*names: str) -> str:
    fuse = "{family: 10x38, rating: 2 A, voltage: 1000 V}"
    return "\n".join(
        ["accessories:", *(f"  a{at}: {{from: {of}, current: 0.4 A, fuse: {fuse}}}" for at, of in enumerate(names))]
    )


ODD = {
    "back to its own input": _build("keel stern", "yoke 3", "keel yoke; stern yoke; yoke controller; yoke yoke"),
    "two joiners in a ring": _build(
        "keel stern", "fore 2, aft 2", "keel fore; stern aft; fore aft; aft fore; aft controller"
    ),
    "three joiners in a ring": _build(
        "keel stern", "one 2, two 2, three 2", "keel one; stern two; one two; two three; three one; three controller"
    ),
    "a ring that nothing feeds": _build(
        "keel stern", "yoke 2, one 2, two 2", "one two; two one; keel yoke; stern yoke; yoke controller; two controller"
    ),
    "side by side": _build("keel stern", "yoke 2", "keel yoke; stern yoke; yoke controller; yoke controller"),
    "one pack by two leads": _build("keel stern", "yoke 3", "keel yoke; keel yoke; stern yoke; yoke controller"),
    "straight at the second inlet": _build(
        "keel stern rack", "yoke 2", "keel yoke; stern yoke; yoke controller; rack controller"
    ),
    "no joiner": _build("keel stern", "", "keel controller; stern controller"),
    "three deep": _build(
        "keel stern rack box",
        "one 2, two 2, three 2",
        "keel one; stern one; rack two; box three; one two; two three; three controller",
    ),
    "a tree": _build(
        "keel stern rack box",
        "left 2, right 2, top 2",
        "keel left; stern left; rack right; box right; left top; right top; top controller",
    ),
    "past a joiner": _build(
        "keel stern rack", "one 2, two 3", "keel one; stern two; rack two; one two; two controller"
    ),
    "one pack into two joiners": _build(
        "keel stern", "one 2, two 2", "keel one; keel two; stern two; one two; two controller"
    ),
    "a dead end": _build("keel stern", "yoke 2, lost 2", "keel yoke; stern yoke; yoke controller; yoke lost"),
    "everything to everything": _build(
        "keel stern rack",
        "one 4, two 4, three 4",
        "keel one; keel two; keel three; stern one; stern two; stern three; rack controller; one two; two one; "
        "one three; three two; three controller; two controller; one one",
    ),
    "accessories on a joiner": _build(
        "keel stern", "yoke 2", "keel yoke; stern yoke; yoke controller", _taps("yoke", "yoke", "yoke", "yoke", "keel")
    ),
    "inlets left empty": _build("keel stern", "yoke 5", "keel yoke 2; stern yoke 5; yoke controller"),
    "a pack that is not connected": _build("keel stern", "yoke 2", "keel yoke; yoke controller"),
}
"""By what is odd about each. A lead from a pack into a pack is refused by the reader."""
