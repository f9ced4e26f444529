"""The gauge that is chosen against the published regulation, worked by hand."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from packyoke.model import Gauge
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import build_of

with (Path(__file__).parent / "gauges.csv").open(newline="", encoding="utf-8") as file:
    CASES = list(csv.DictReader(file))
SERIES = {"42.0": 10, "54.6": 13, "58.8": 14}


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']} {case['locator']}")
def test_gauge_of_the_regulation(case: dict[str, str]) -> None:
    series = SERIES[case["volts"]]
    text = f"""packyoke: 1
name: one lead
region: EU
warmest: {case["warmest"]} degC
bike: {{drive: {{type: mid motor}}}}
packs:
  one: {{chemistry: NMC, series: {series}, capacity: 60 Ah, cut_off: {3 * series} V, discharge: 100 A, rack: none,
        condition: sound, outlet: joint crimp, cells: power, bms: {{data: none}}, resistance: 60 mohm}}
leads:
  only: {{from: one, to: controller, length: 300 mm, insulation: {case["insulation"]}, run: {case["run"]}}}
controller: {{voltage: {{max: 60 V}}, battery_current: {case["amps"]} A, low_voltage_cut: {3 * series} V, regen: none,
             inlet: joint crimp}}
"""
    found = plan(build_of(text), None, ("copper",))
    assert isinstance(found, Plan), found
    assert found.build.leads["only"].gauge == Gauge("AWG", float(case["gauge"])), case["worked"]
    assert found.proved


@pytest.mark.parametrize(("length_m", "gauge"), [(3.4, 14), (3.6, 12)])
def test_three_percent_of_the_lowest_running_voltage(length_m: float, gauge: float) -> None:
    """14 AWG stranded is 3.14 ohm/kft at 75 degC (NEC chapter 9 table 8), over 1.216 at 20 degC: 8.47 mohm/m.

    20 A there and back: 0.339 V/m. 3 % of 40 V is 1.2 V: 3.4 m lose 1.15 V and some mV in two joints, 3.6 m 1.22 V.
    """
    text = f"""packyoke: 1
name: one long lead
region: EU
warmest: 30 degC
bike: {{drive: {{type: mid motor}}}}
packs:
  one: {{chemistry: NMC, series: 13, capacity: 60 Ah, cut_off: 39 V, discharge: 100 A, rack: none,
        condition: sound, outlet: joint crimp, cells: power, bms: {{data: none}}, resistance: 60 mohm}}
leads:
  only: {{from: one, to: controller, length: {length_m} m, insulation: 105 degC}}
controller: {{voltage: {{max: 60 V}}, battery_current: 20 A, low_voltage_cut: 40 V, regen: none, inlet: joint crimp}}
"""
    found = plan(build_of(text), None, ("copper",))
    assert isinstance(found, Plan), found
    assert found.build.leads["only"].gauge == Gauge("AWG", gauge)
