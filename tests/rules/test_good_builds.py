"""Ordinary bikes as a competent shop would build them: nothing stops them, and at most two cautions are said.

All invented. Resistance of a pack: series x r / Ah + 12 mohm, r = 0.15 ohm Ah for energy cells, 0.06 for power cells
(middle of the spans, common practice). Fuses: the next standard size above load / 0.8.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from packyoke.api import Build, check, load
from packyoke.core.findings import Severity

FULL = {"NMC": 4.2, "NCA": 4.2, "LFP": 3.65}
CUT_OFF = {"NMC": 3.0, "NCA": 3.0, "LFP": 2.5}
LOWEST = {"NMC": 3.1, "NCA": 3.1, "LFP": 2.6}
"""Volts a cell: full, where the protection opens, where the controller stops."""
SIZES_A = (15, 20, 25, 30, 35, 40, 45, 50, 60)
MOST_CAUTIONS = 2


class Bike(NamedTuple):
    """What is told of a bike; the rest follows from it. `joiner`: none for one pack."""

    packs: int
    chemistry: str
    series: int
    ah: float
    amps: float
    gauge: int
    plug: str = "XT60"
    joiner: str = "ideal-diode"
    cells: str = "energy"
    drive: str = "mid motor"
    charger_a: float = 4
    region: str = "EU"
    more: str = ""


BIKES = (
    # 36 V: 10 cells, a family bike, a folding bike, a delivery bike.
    Bike(1, "NMC", 10, 10.4, 12, 14, joiner=""),
    Bike(1, "NMC", 10, 14, 15, 14, joiner="", drive="geared hub"),
    Bike(1, "NCA", 10, 17.5, 15, 12, joiner="", region="GB"),
    Bike(2, "NMC", 10, 14, 15, 14),
    Bike(2, "NMC", 10, 17.5, 20, 12),
    Bike(2, "NCA", 10, 21, 22, 12),
    Bike(3, "NMC", 10, 14, 15, 14),
    Bike(2, "NMC", 10, 14, 15, 14, joiner="selector"),
    Bike(2, "NMC", 10, 10.4, 10, 14, joiner="diode"),
    Bike(2, "NMC", 10, 17.5, 18, 12, drive="geared hub", region="AU"),
    # 48 V: 13 cells.
    Bike(1, "NMC", 13, 17.5, 18, 12, joiner=""),
    Bike(1, "NMC", 13, 20, 22, 12, joiner="", drive="geared hub", region="US"),
    Bike(1, "NCA", 13, 15.6, 15, 14, joiner="", region="GB"),
    Bike(2, "NMC", 13, 14, 15, 14),
    Bike(2, "NMC", 13, 17.5, 18, 12),
    Bike(2, "NMC", 13, 20, 25, 10, plug="XT90"),
    Bike(2, "NMC", 13, 20, 22, 12, joiner="selector"),
    Bike(3, "NMC", 13, 17.5, 18, 12, region="GB"),
    Bike(3, "NMC", 13, 20, 20, 12, drive="geared hub", region="NZ"),
    Bike(4, "NMC", 13, 14, 15, 12),
    Bike(2, "NCA", 13, 17.5, 12, 14, joiner="diode"),
    Bike(2, "NMC", 13, 20, 30, 10, plug="XT90", cells="power"),
    Bike(2, "NMC", 13, 28, 30, 10, plug="XT90", drive="geared hub", region="CA"),
    Bike(1, "NMC", 13, 20, 20, 12, joiner="", drive="direct-drive hub, no_load_speed: 32 km/h at 48 V"),
    # 52 V: 14 cells.
    Bike(1, "NMC", 14, 17.5, 18, 12, joiner="", region="US"),
    Bike(2, "NMC", 14, 17.5, 18, 12, region="US"),
    Bike(2, "NMC", 14, 20, 25, 10, plug="XT90", region="US"),
    Bike(3, "NMC", 14, 21, 20, 12, drive="geared hub", region="US"),
    Bike(2, "NCA", 14, 14, 15, 12, joiner="selector", region="CA"),
    # LFP.
    Bike(1, "LFP", 12, 15, 15, 12, joiner=""),
    Bike(2, "LFP", 12, 20, 18, 12),
    Bike(2, "LFP", 15, 15, 15, 12),
    Bike(2, "LFP", 15, 20, 18, 12, drive="geared hub"),
    Bike(1, "LFP", 16, 20, 20, 12, joiner="", region="GB"),
    Bike(2, "LFP", 16, 25, 25, 10, plug="XT90"),
    Bike(3, "LFP", 15, 20, 18, 12),
    Bike(2, "LFP", 8, 20, 12, 12),
    # A plug that fills the capacitors, a big controller, a long bike.
    Bike(2, "NMC", 13, 25, 30, 10, plug="XT90", more="precharge: plug, capacitance: 3 mF"),
    Bike(2, "NMC", 13, 17.5, 18, 10, plug="XT90", more="precharge: resistor"),
    Bike(1, "NMC", 7, 10.4, 10, 14, joiner=""),
    Bike(2, "NMC", 7, 14, 12, 12),
)


def text_of(bike: Bike) -> str:
    """The build file of a bike."""
    full_v = bike.series * FULL[bike.chemistry]
    ohm = bike.series * (0.15 if bike.cells == "energy" else 0.06) / bike.ah + 0.012
    rating_a = next(each for each in SIZES_A if each >= bike.amps / 0.8 - 1e-9)
    # A blade fuse breaks 1000 A at up to 58 V; the first moment has 0.65 of the resistance.
    blade = full_v <= 58 and full_v / (0.65 * ohm) <= 1000
    fuse = f"{{family: {'blade' if blade else 'class T'}, rating: {rating_a} A, voltage: {58 if blade else 160} V}}"
    lines = [
        "packyoke: 1",
        "name: an ordinary bike",
        f"region: {bike.region}",
        f"bike: {{mass: 30 kg, drive: {{type: {bike.drive}, assist_limit: 25 km/h, rated_power: 250 W}}}}",
        "packs:",
        f"  p1: {{chemistry: {bike.chemistry}, series: {bike.series}, capacity: {bike.ah} Ah, mass: 5 kg, rack: none,",
        f"    discharge: {rating_a} A, charge: {bike.charger_a + 1} A, outlet: {bike.plug} socket,",
        f"    cells: {bike.cells}, fuse: {fuse}, cut_off: {bike.series * CUT_OFF[bike.chemistry]:.1f} V,",
        f"    resistance: {1000 * ohm:.0f} mohm, condition: sound,",
        "    bms: {charge_path: common, data: none, wakes: always}}",
        *(f"  p{number}: {{like: p1}}" for number in range(2, bike.packs + 1)),
        "all_leads: {insulation: silicone, run: open}",
    ]
    ends = f"gauge: {bike.gauge} AWG, ends: [{bike.plug} pin, {bike.plug} socket]"
    if bike.joiner:
        kind = {
            "ideal-diode": "resistance: 2 mohm, blocks_in: positive",
            "diode": "forward_voltage: 0.45 V, blocks_in: positive",
            "selector": "resistance: 1 mohm, makes: after break",
        }[bike.joiner]
        lines += [
            f"joiners: {{y: {{type: {bike.joiner}, inputs: {bike.packs}, ceiling: {full_v * 1.15:.0f} V, {kind},",
            f"  current: {{continuous: {rating_a} A}}, inlets: {bike.plug} pin, outlet: {bike.plug} socket,",
            "  mount: frame metal, charge_port: none}}",
            "leads:",
            *(f"  l{n}: {{from: p{n}, to: y, length: {300 + 50 * n} mm, {ends}}}" for n in range(1, bike.packs + 1)),
            f"  main: {{from: y, to: controller, length: 400 mm, {ends}"
            + (f", fuse: {{family: class T, rating: {rating_a} A, voltage: 160 V}}}}" if bike.packs > 2 else "}"),
        ]
    else:
        lines += ["leads:", f"  main: {{from: p1, to: controller, length: 500 mm, {ends}}}"]
    more = bike.more if "capacitance" in bike.more else ", ".join(filter(None, (bike.more, "capacitance: 0.8 mF")))
    lines += [
        f"controller: {{voltage: {{max: {full_v * 1.1:.0f} V}}, battery_current: {bike.amps} A, regen: none, {more},",
        f"  low_voltage_cut: {bike.series * LOWEST[bike.chemistry]:.1f} V, inlet: {bike.plug} pin}}",
        f"chargers: {{shed: {{output: {full_v:g} V, current: {bike.charger_a} A, plug: XLR 3}}}}",
    ]
    return "\n".join(lines) + "\n"


def name_of(bike: Bike) -> str:
    pack = f"{bike.series}s {bike.chemistry} {bike.ah:g} Ah"
    return f"{bike.packs} x {pack}, {bike.joiner or 'no joiner'}, {bike.amps:g} A, {bike.drive[:10]}"


@pytest.mark.parametrize("bike", BIKES, ids=name_of)
def test_a_good_build_is_quiet(bike: Bike) -> None:
    build = load(text_of(bike), "good.yaml")
    assert isinstance(build, Build), [f"{each.span}: {each.message}" for each in build]
    found = [each for each in check(build, brief=True).findings if each.severity >= Severity.CAUTION]
    said = [f"{each.severity.word} {each.rule} {each.part}: {each.message}" for each in found]
    assert [each.rule for each in found if each.severity > Severity.CAUTION] == [], said
    assert len({(each.rule, each.message) for each in found}) <= MOST_CAUTIONS, said
