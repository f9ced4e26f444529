"""What is looked up in one go: fields that the table calls `must` and a few more, where they mean something."""

from __future__ import annotations

import pytest

from packyoke.api import load
from packyoke.model import Build, Key
from packyoke.model.fields import field_for
from packyoke.verdict.answers import NO_ANSWER
from packyoke.verdict.questions import Asked, questions, unasked
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


def test_what_a_full_charge_does_not_tell_is_asked() -> None:
    found = keys(PACK="full_charge: 54.6 V")
    assert {("packs.keel", attr) for attr in ("chemistry", "capacity_coulomb", "discharge_continuous_a")} <= found


def test_of_a_rack_that_carries_no_pack_nothing_is_asked() -> None:
    build = read(
        "packyoke: 1\nname: x\nracks: {rear: {}, front: {}}\npacks: {keel: {rack: rear}, pannier: {rack: none}}"
    )
    asked = {key[0] for key in (each.key for each in unasked(build, ())) if key[0].startswith("racks")}
    assert asked == {"racks.rear"}


@pytest.mark.parametrize(
    ("lead", "fields", "gauge"),
    [
        ("length: 300 mm", {"gauge", "length"}, "plan"),
        ("gauge: 12 AWG", {"gauge", "insulation", "ends", "length"}, "label"),
        ("ends: [XT60 pin, XT60 socket]", {"gauge", "insulation", "ends", "length"}, "label"),
    ],
)
def test_a_lead_that_is_still_to_be_made_is_one_line(lead: str, fields: set[str], gauge: str) -> None:
    """Neither wire nor ends: nothing can be read off but the length. With one of them the rest is looked up."""
    text = TEXT.replace("{PACK}", "{}").replace("{JOINER}", "{}").replace("{CONTROLLER}", "{}")
    build, path = read(text.replace("LEAD", lead)), "leads.first"
    asked = [
        Asked(Key(path, attr), field_for(path, attr), NO_ANSWER) for attr in ("ends", "gauge", "insulation", "length_m")
    ]
    found = {each.field: each for each in questions(build, [(each, each.key.attr) for each in asked])}
    assert set(found) == fields
    assert found["gauge"].ask == gauge
    assert set(found["gauge"].settles) == ({"ends", "gauge", "insulation"} if gauge == "plan" else {"gauge"})


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
