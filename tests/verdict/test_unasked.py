"""What is looked up in one go: fields that the table calls `must` and a few more, where they mean something."""

from __future__ import annotations

import pytest

from packyoke.api import load
from packyoke.model import Build
from packyoke.verdict.questions import unasked
from tests.verdict.test_layout import WITH_A_PORT, read

TEXT = """
packyoke: 1
name: as it stands
packs:
  keel: {PACK}
joiners:
  yoke: {JOINER}
leads:
  first: {from: keel, to: yoke, LEAD}
  main: {from: yoke, to: controller, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
controller: {CONTROLLER}
"""
SAID = {
    "PACK": "chemistry: NMC",
    "JOINER": "type: plain",
    "LEAD": "gauge: 12 AWG",
    "CONTROLLER": "battery_current: 20 A",
}


def keys(asked: tuple[tuple[str, str], ...] = (), **said: str) -> set[tuple[str, str]]:
    text = TEXT
    for name, words in {**SAID, **said}.items():
        text = text.replace(name, words)
    build = load(text, "x.yaml")
    assert isinstance(build, Build), build
    return {each.key for each in unasked(build, asked)}


@pytest.mark.parametrize(
    ("key", "where", "said"),
    [
        # what answers it, and what makes it meaningless
        (("packs.keel", "series"), "PACK", "chemistry: NMC, series: 13"),
        (("packs.keel", "series"), "PACK", "chemistry: NMC, full_charge: 54.6 V"),
        (("packs.keel", "series"), "PACK", "chemistry: NMC, charger_label: 54.6 V"),
        (("packs.keel.fuse", "presence"), "PACK", "chemistry: NMC, fuse: {rating: 30 A}"),
        (("packs.keel.fuse", "presence"), "PACK", "chemistry: NMC, fuse: none"),
        (("leads.first", "ends"), "LEAD", "gauge: 12 AWG, ends: [XT60 pin, XT60 socket]"),
        (("joiners.yoke", "inlets"), "JOINER", "type: plain, inlets: [XT60 pin, XT60 pin]"),
        (("joiners.yoke", "outlets"), "JOINER", "type: plain, outlet: XT60 socket"),
        (("controller", "inlet"), "CONTROLLER", "battery_current: 20 A, inlet: XT60 pin"),
        (("controller", "low_voltage_cut_v"), "CONTROLLER", "battery_current: 20 A, low_voltage_cut: 39 V"),
    ],
)
def test_asked_until_it_is_said(key: tuple[str, str], where: str, said: str) -> None:
    assert key in keys()
    assert key not in keys(asked=(key,))
    assert key not in keys(**{where: said})


def test_of_a_lead_that_is_none_nothing_is_asked() -> None:
    assert ("leads.first", "gauge") in keys(LEAD="length: 300 mm")
    assert not [path for path, _ in keys(LEAD="direct: yes") if path == "leads.first"]


def test_of_a_fuse_that_is_there_its_marks_are_asked() -> None:
    known, none = keys(PACK="chemistry: NMC, fuse: {rating: 30 A}"), keys(PACK="chemistry: NMC, fuse: none")
    assert ("packs.keel.fuse", "family") in known
    assert not [path for path, _ in none if path == "packs.keel.fuse"]


def test_of_the_bike_makers_joiner_and_its_wire_nothing_is_asked() -> None:
    build = read(WITH_A_PORT.replace("PLACE", "port"))
    found = {each.key for each in unasked(build, ())}
    assert not [path for path, attr in found if path == "joiners.port"]
    assert ("controller", "inlet") not in found
