"""`packyoke start` on a terminal: more made-up people: with a photograph, with commas as decimals, in a hurry."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from packyoke.api import check
from tests.cli.test_start_terminal import Terminal, built, talk

PHOTOGRAPH: dict[str, list[str] | str] = {
    "What do you call": "the one on the photo",
    "How many packs does": ["two, one in the frame one on the rack", "two"],
    "Are they the same": ["can't tell from the photo", "no"],
    "What joins": "a y thing, as far as the photo shows",
    "what is printed": ["36V 13Ah", "dont know, label is on the other side"],
    "its charger say": "not in the picture",
    "does the controller draw": "no idea (black box)",
    "how many amps may it give": "too blurry",
    "which cells": "can't see it in the photo",
    "Which connectors": ["the yellow ones", "not visible in the photo"],
    "what do you see": "can't tell from the photo",
    "is there a fuse": "not visible on the photo",
    "What kind of motor": ["rear wheel", "can't tell from a photo"],
    "same two contacts": "round charge socket",
    "data link": ["5 pins", "not sure from the picture"],
    "which wire": "not on the photo",
}
GERMAN: dict[str, list[str] | str] = {
    "What do you call": "Lastenrad 4",
    "How many packs does": "2",
    "Are they the same": "ja",
    "What joins": "Y-Kabel",
    "what is printed": ["48V 14,5Ah", "48V 14.5Ah"],
    "its charger say": ["54,6V 4A", "54.6V 4A"],
    "does the controller draw": ["22,5A", "22.5A"],
    "how many amps may it give": "dauernd 20A, Spitze 40A",
    "for how many seconds": "10 s",
    "which cells": "Li-Ion",
    "How many volts does the controller take": ["63,5 V", "63.5 V"],
    "which wire": ["2,5 mm2", "2.5 mm²"],
    "covered with": "Silikon",
    "Which connectors": "XT60",
    "hollow tubes": "ja",
    "what do you see": "in Ordnung",
    "is there a fuse": "Flachsicherung 30A",
    "which volts are marked": "keine Ahnung",
    "What kind of motor": ["hinten", "Hinterrad, drags"],
    "how long": ["0,4 m", "0.4 m"],
    "stop drawing": ["39,5", "39.5"],
    "brake into": "nein",
    "same two contacts": "Ladebuchse",
    "data link": "nein",
}
HURRY: dict[str, list[str] | str] = {
    "What do you call": "b",
    "How many packs does": "2",
    "Are they the same": "y",
    "What joins": ["y-kable", "plain"],
    "what is printed": "48v 14ah",
    "its charger say": ["54.6 4", "54.6V 4A"],
    "does the controller draw": "twenty",
    "how many amps may it give": "25 A peak, 18 cont",
    "for how many seconds": "5",
    "which cells": "nmc",
    "Which connectors": ["xt 60s and bullets", "xt60"],
    "hollow tubes": "y",
    "what do you see": "ok",
    "is there a fuse": ["30", "30a"],
    "which kind": "blade",
    "What kind of motor": "hub, clicks",
    "brake into": "no",
    "stop drawing": "thirty nine",
}


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    found = Terminal(tmp_path)
    yield found
    if found.process.poll() is None:
        found.process.kill()
        found.process.wait()


def test_one_with_a_photograph_leaves_open_what_it_does_not_show(terminal: Terminal) -> None:
    talk(terminal, PHOTOGRAPH)
    assert terminal.end() == 0
    build = built(terminal.text)
    first, second = build.packs["first"], build.packs["second"]
    assert (first.label_v, first.capacity_coulomb, second.label_v) == (36.0, 13 * 3600.0, None)
    assert {pack.condition for pack in build.packs.values()} == {None}
    assert {pack.fuse.presence for pack in build.packs.values()} == {None}
    assert {pack.charge_path for pack in build.packs.values()} <= {None, "separate"}
    assert build.controllers["controller"].limit_a is None
    assert build.joiners["joiner"].type is None or ("joiners.joiner", "type") in build.guesses
    assert check(build, today="2027-05-14").verdict in ("open", "stop")


def test_one_with_commas_as_decimals_is_asked_and_never_misread(terminal: Terminal) -> None:
    talk(terminal, GERMAN)
    assert terminal.end() == 0
    build = built(terminal.text)
    first, controller = build.packs["first"], build.controllers["controller"]
    assert first.capacity_coulomb == pytest.approx(14.5 * 3600)
    assert (build.chargers["charger"].output_v, controller.limit_a) == (pytest.approx(54.6), 22.5)
    assert (first.discharge_continuous_a, first.discharge_peak_a) == (20.0, 40.0)
    assert (first.fuse.family, first.fuse.rating_a, first.condition) == ("blade", 30.0, "sound")
    assert (first.charge_path, first.data) == ("separate", "none")
    assert build.bike.drive_type == "direct-drive hub"
    assert controller.regen_a == 0.0
    assert {lead.length_m for lead in build.leads.values()} <= {None, 0.4}


def test_one_in_a_hurry_answers_in_fragments(terminal: Terminal) -> None:
    talk(terminal, HURRY)
    assert terminal.end() == 0
    build = built(terminal.text)
    first, controller = build.packs["first"], build.controllers["controller"]
    assert (first.discharge_continuous_a, first.discharge_peak_a, controller.limit_a) == (18.0, 25.0, 20.0)
    assert build.joiners["joiner"].type == "plain"
    assert (first.fuse.family, first.fuse.rating_a) == ("blade", 30.0)
    assert build.bike.drive_type in (None, "geared hub")
    assert controller.low_voltage_cut_v in (None, 39.0)
