"""Answers that are told as good are good: put into the file they settle the question, and bring no stop."""

from __future__ import annotations

import pytest

from packyoke.api import check, load
from packyoke.model import Build
from packyoke.verdict.report import Report

TEXT = """
packyoke: 1
name: as it stands
bike: {drive: {type: geared hub}}
packs:
  keel:
    {LABEL, chemistry: NMC, SERIES, capacity: 14 Ah, discharge: 30 A, charge: 4 A, outlet: XT60 socket,
     condition: sound, cut_off: 36 V, fuse: {family: 10x38, rating: 30 A, voltage: 1000 V},
     bms: {charge_path: common, data: none}}
leads: {main: {from: keel, to: controller, direct: yes}}
controller:
  {voltage: {min: 36 V, max: 63 V}, battery_current: 20 A, regen: none, inlet: XT60 pin, low_voltage_cut: 39 V}
chargers: {home: {output: 54.6 V, current: 3 A}}
"""


def checked(**lines: str) -> Report:
    text = TEXT
    for name, line in lines.items():
        text = text.replace(f"{name}, ", f"{line}, " if line else "")
    build = load(text, "x.yaml")
    assert isinstance(build, Build), build
    return check(build, "x.yaml")


@pytest.mark.parametrize(
    ("label", "passes", "good", "bad"),
    [
        # 48 V on a pack of NMC is 13 cells, seldom 14 or 15: 15 are full at 63 V; thirty (126 V) are no 48 V pack
        ("label: 48 V", "13 to 15", (13, 14, 15), ()),
        # nothing tells: 16 are full at 67.2 V, above what the controller takes, and 12 at 50.4 V, below the charger
        ("", "13 to 15", (13, 15), (12, 16)),
    ],
)
def test_cells_in_series(label: str, passes: str, good: tuple[int, ...], bad: tuple[int, ...]) -> None:
    report = checked(LABEL=label, SERIES="")
    assert report.verdict == "open"
    assert {each.field: each.passes_if for each in report.to_find_out} == {"series": passes}
    for count, stops in (*((each, False) for each in good), *((each, True) for each in bad)):
        found = checked(LABEL=label, SERIES=f"series: {count}")
        assert not found.to_find_out
        assert (found.verdict == "stop") is stops, count
