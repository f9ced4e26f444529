"""What the work sheet says: the whole order of work, and readings that the parts of the file let one expect."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.analysis.bench.joiner_tests import inlet_test, path_test
from packyoke.analysis.case import Case
from packyoke.answers.drawn import drawing
from packyoke.answers.plan.answer import planned
from packyoke.answers.sheet import workshop_words
from packyoke.answers.sheet.customer import NoSheet
from packyoke.answers.sheet.no_sheet import no_sheet_page
from packyoke.answers.sheet.workshop import CannotPlan, blank, workshop_sheet
from packyoke.answers.sheet.workshop_lists import _laid
from packyoke.answers.sheet.workshop_page import (
    Section,
    WorkshopSheet,
    workshop_html,
    workshop_page,
)
from packyoke.answers.typed import WrongInput
from packyoke.buildfile.reading import load_shop
from packyoke.core.findings import Severity
from packyoke.making.labels import Labels, Plate
from packyoke.model import Build, Joiner, Lead, Run
from packyoke.page.markdown import page_markdown
from packyoke.page.text import page_text
from packyoke.page.wired import wiring_svg
from packyoke.planning.result import Plan
from packyoke.verdict.check import check
from tests.odd import ODD
from tests.report.test_sheet import HOSTILE, Page, bare
from tests.sheets import TODAY, built, chain_text
from tests.support import ROOT, base_text, edited


def workshop_text(sheet: WorkshopSheet) -> str:
    return page_text(workshop_page(sheet))


def workshop_markdown(sheet: WorkshopSheet) -> str:
    return page_markdown(workshop_page(sheet))


FORMS = {"html": workshop_html, "text": workshop_text, "markdown": workshop_markdown}
WHOLE = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp", "slipway-city-dock")
NEVER = re.compile(r"\b(safe|certified|guarantee|legal\b|CFR\b|ABYC\b|ASTM\b|IEC\b)", re.IGNORECASE)
SHOP = ROOT / "tests" / "planning" / "shop.yaml"


def sheet_of(build: Build, **more: str) -> WorkshopSheet:
    return workshop_sheet(build, None, today=TODAY, **more)


def example(name: str, **more: str) -> WorkshopSheet:
    return sheet_of(built(base_text(name)), **more)


def section(sheet: WorkshopSheet, title: str) -> Section:
    return next(each for each in sheet.sections if each.title.endswith(title))


def rows(sheet: WorkshopSheet, title: str) -> tuple[tuple[str, ...], ...]:
    table = section(sheet, title).table
    assert table is not None
    return table.rows


@pytest.mark.parametrize("name", ["skerry-long-tail", "breakwater-three-packs"])
def test_each_phase_of_the_tests_is_signed_once_at_its_end(name: str) -> None:
    """Dead: the polarity. Live: four tests, the packs together last. Under load: four, the charging last."""
    tests = [each for each in example(name).sections if each.test is not None]
    assert [each.test for each in tests] == [*range(1, 10)]
    assert [each.test for each in tests if each.signed] == [1, 5, 9]


@pytest.mark.parametrize(("rows", "across"), [(1, False), (8, False), (9, True), (20, True)])
def test_few_rows_of_long_words_stand_in_half_a_page_and_many_do_not(rows: int, across: bool) -> None:
    """Words of some 154 mm in all: half a page is 92.5 mm. In four lines each they need 40 mm, in two 80 mm, and the
    name in front, not broken, some 21 mm more."""
    words = " ".join(["main lead to the yoke"] * 5)
    found = Section("a table").with_rows(("lead", "what"), [(("pannier lead", words), {})] * rows)
    assert found.wide is across


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", ["skerry-long-tail", "saltpan-planned"])
def test_every_step_of_the_trade_stands_on_it(name: str, form: str) -> None:
    told = bare(FORMS[form](example(name, shop="Ropewalk workshop")), form)
    for said_there in (
        "All packs off the bike and apart",
        "One conductor at a time, never both",
        "ask for a licence",
        "makers' instructions",
        "Tin is for solder cups only",
        "mating half plugged in and connected to nothing",
        "by the mark on the connector body first, by meter after",
        "Insulate each contact by itself",
        "Strain relief",
        "A clamp at least every",
        "drip loop",
        "metal body flat on metal of the frame, or with air",
        "nothing is wrapped closed",
        "One unbroken length of fine-stranded wire",
        "harness live from the others",
        "Fuse holders: in the plus",
        "plus is plus at every end",
        "every inlet of every joiner",
        "10 kohm",
        "each pack alone, each pair, all",
        "millivolts under load",
        "what it draws when off",
        "warmth after ten minutes",
        "nothing live that should be dead",
        "charging",
        "What the check found",
        "Labels",
        "Done and tested by, day",
        "Built by: name, day",
        "Lithium packs can burn",
        "warranty",
        "Ropewalk workshop",
    ):
        assert said_there.casefold() in told.casefold(), said_there


@pytest.mark.parametrize("name", [*WHOLE, "saltpan-planned"])
def test_words_that_never_stand_on_it(name: str) -> None:
    for form, printed in FORMS.items():
        assert NEVER.search(bare(printed(example(name)), form)) is None


def test_a_whole_build_is_the_file_s_own_and_nothing_is_added() -> None:
    build = built(base_text("breakwater-three-packs"))
    assert not blank(build)
    sheet = sheet_of(build)
    cut = rows(sheet, "Cut and mark")
    assert [row[0].split("  ")[1] for row in cut] == [*build.leads]
    assert {row[-1] for row in cut} == {"in the file"}
    assert [row[2] for row in cut] == ["300 mm", "350 mm", "600 mm", "500 mm", "450 mm"]
    # Three at the packs and the one of the motor lead: a plan would put one into the link too.
    assert [row[0] for row in rows(sheet, "Fuses")] == ["pack north", "pack south", "pack box", "5  motor lead"]
    assert "nothing was left open for a plan" in sheet.basis[0]


def test_what_the_whole_build_takes_is_counted() -> None:
    """By hand: 0.3 + 0.35 + 0.6 + 0.5 + 0.45 m of lead, five leads with two ends each; a sleeve for each conductor at
    each end and at both sides of the fuse; a cap on each of three packs and on the plug of its lead."""
    parts = {row[1]: row[0] for row in rows(example("breakwater-three-packs"), "Parts")}
    assert parts == {
        "12 AWG silicone (plus)": "2.20 m",
        "12 AWG silicone (minus)": "2.20 m",
        "class T 30 A 160 V d.c.": "1",
        "XT60 pin": "5",
        "XT60 socket": "5",
        "holder for a class T fuse": "1",
        "shrink sleeve": "22",
        "cap for an open plug": "6",
        "sheet of labels": "1",
    }


def test_blanks_are_planned_first_and_the_plan_is_what_is_printed() -> None:
    build = built(base_text("saltpan-planned"))
    found = planned(build, None, None)
    assert isinstance(found, Plan)
    sheet = sheet_of(build)
    cut = rows(sheet, "Cut and mark")
    assert [row[0].split("  ")[1] for row in cut] == [piece.lead for piece in found.pieces]
    assert {row[-1] for row in cut} == {"planned"}
    assert {row[-1] for row in rows(sheet, "Fuses")} == {"planned"}
    # Both ends of each lead, and each holder of a fuse.
    ends = {(joint.lead, joint.end) for joint in found.joints}
    assert len(rows(sheet, "Join")) == len(ends)
    assert sum(row[2].startswith("holder for") for row in rows(sheet, "Join")) == 4
    assert [row[1] for row in rows(sheet, "Joiners")] == [
        "ideal-diode, blocks in the positive",
        "ideal-diode, blocks in the positive (planned)",
    ]
    assert sheet.fingerprint.endswith(f"build {check(found.build, today=TODAY).fingerprint}.")


def test_one_blank_in_a_drawn_build_is_the_only_thing_planned() -> None:
    sheet = sheet_of(built(edited("skerry-long-tail", drop=["leads.main lead.gauge"])))
    assert [row[-1] for row in rows(sheet, "Cut and mark")] == ["in the file", "in the file", "planned"]
    # All three leads are made for this bike: 400, 900 and 300 mm.
    assert {row[0] for row in rows(sheet, "Parts") if row[0].endswith("m")} == {"1.30 m", "0.30 m"}
    fuses = {row[0]: row[-1] for row in rows(sheet, "Fuses")}
    # 40 and 35 A feed it, 75 A. 33 CFR 183.425 table 5, 90 degC: 10 AWG 55 A, 12 AWG 40 A; at 35 degC times
    # sqrt(55/60): 52.7 and 38.3 A. With 1.5 times that, 79 A, 10 AWG needs no third fuse; 12 AWG, 57 A, would.
    assert fuses == {"pack keel": "in the file", "pack pannier": "in the file", "lamp": "in the file"}
    assert len(rows(sheet, "Join")) == 6


def test_with_a_shop_there_are_prices_and_until_when_they_hold() -> None:
    shop = load_shop(SHOP.read_bytes(), str(SHOP))
    assert not isinstance(shop, list)
    build = built(base_text("saltpan-planned"))
    found = planned(build, shop, None)
    assert isinstance(found, Plan)
    told = workshop_text(workshop_sheet(build, shop, today="2026-12-05"))
    assert f"Altogether {found.totals.amount:.2f} EUR" in told
    # A joiner 20 min, four fuses 10 min each, both conductors of 2.93 m of wire at 2 min a metre: 71.72 min.
    assert "Fitting them: 72 min" in told
    assert "Prices hold until 2027-01-04." in told
    assert "hourly rate" in told
    assert "EUR" not in workshop_text(sheet_of(build))


def test_at_stop_or_open_there_is_no_sheet() -> None:
    for text in (base_text("oakum-draft"), edited("skerry-long-tail", drop=["joiners.yoke.ceiling"])):
        with pytest.raises(NoSheet) as none:
            sheet_of(built(text))
        assert none.value.report.verdict in ("stop", "open")
        told = page_text(no_sheet_page(none.value.report, "workshop"))
        assert "no sheet for the workshop" in " ".join(told.split())
        assert "customer" not in told


def test_a_completed_build_with_an_open_question_gets_none_either() -> None:
    with pytest.raises((NoSheet, CannotPlan, WrongInput)):
        sheet_of(built(edited("saltpan-planned", drop=["joiners.yoke.ceiling"])))


def test_what_cannot_be_planned_is_told() -> None:
    with pytest.raises(WrongInput, match="how far it is"):
        sheet_of(built(edited("saltpan-planned", drop=["runs"])))
    with pytest.raises(CannotPlan):
        sheet_of(built(edited("saltpan-planned", put={"packs.port.discharge": "10 A"})))


def test_every_inlet_is_tested_from_another_one() -> None:
    found = {(row[0], row[1]): row[2] for row in rows(example("breakwater-three-packs"), "every inlet of every joiner")}
    assert found == {
        ("first", "inlet of 1  north lead"): "south",
        ("first", "inlet of 2  south lead"): "north",
        ("second", "inlet of 3  link"): "box",
        ("second", "inlet of 4  box lead"): "north",
    }


def test_an_empty_inlet_is_tested_too() -> None:
    found = rows(sheet_of(built(edited("skerry-long-tail", put={"joiners.yoke.inputs": "3"}))), "every joiner")
    assert [row[1] for row in found] == ["inlet of 1  keel lead", "inlet of 2  pannier lead", "inlet 3, left empty"]


def test_the_thresholds_are_those_of_the_meter() -> None:
    yoke = built(base_text("skerry-long-tail")).joiners["yoke"]
    notes = " ".join(section(example("skerry-long-tail"), "every joiner").notes)
    below, share = re.findall(r"below (\d+) V. From (\d+) %", notes)[0]
    pack_v = 58.8
    assert inlet_test(yoke, float(below) - 0.01, pack_v).found == "blocks"
    assert inlet_test(yoke, float(below), pack_v).found == "leaks"
    assert inlet_test(yoke, float(share) / 100 * pack_v, pack_v).found == "plain or failed"


def test_each_pack_alone_each_pair_and_all() -> None:
    found = [row[0] for row in rows(example("breakwater-three-packs"), "each pair, all")]
    assert found == [
        "north",
        "south",
        "box",
        "north + south",
        "north + box",
        "south + box",
        "all of them",
    ]
    pair = [row[0] for row in rows(example("skerry-long-tail"), "each pair, all")]
    assert pair == ["keel", "pannier", "keel + pannier"]
    narrowed = sheet_of(built(base_text("breakwater-three-packs") + "sets: [[north, box], [south]]\n"))
    assert [row[0] for row in rows(narrowed, "each pair, all")] == ["south", "north + box"]


@pytest.mark.parametrize(
    ("name", "warm", "dead"),
    [
        ("skerry-long-tail", ["1  keel lead", "2  pannier lead", "3  main lead", "yoke"], ["keel", "pannier"]),
        # What a maker built in has no body to touch; a lead from joiner to joiner has no plug that anybody opens.
        ("factory-double", ["1  d1", "2  d2"], ["main pack", "second pack"]),
        (
            "breakwater-three-packs",
            ["1  north lead", "2  south lead", "3  link", "4  box lead", "5  motor lead", "first", "second"],
            ["north", "south", "box"],
        ),
    ],
)
def test_what_is_touched_when_warm_and_which_plugs_are_dead(name: str, warm: list[str], dead: list[str]) -> None:
    sheet = example(name)
    assert [row[0] for row in rows(sheet, "ten minutes")] == warm
    plugs = [row[0].removeprefix("plug for ").partition(" (")[0] for row in rows(sheet, "that should be dead")]
    assert plugs == dead


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (Run(), "open, by itself"),
        (Run(beside=1), "beside 1 other"),
        (Run(beside=2), "beside 2 others"),
        (Run(in_frame=True, moving=True, beside=1), "in the frame, moves, beside 1 other"),
        (Run(beside_leads=("keel lead",)), "beside keel lead"),
    ],
)
def test_how_a_lead_lies(run: Run, told: str) -> None:
    assert _laid(cast(Any, SimpleNamespace(name=str)), run) == told


def test_packs_that_never_meet_keep_their_own_voltage() -> None:
    assert rows(example("jetty-two-drives"), "each pair, all")[-1][1] == "each its own pack's"


def drops(sheet: WorkshopSheet) -> dict[str, tuple[str, str]]:
    return {row[0]: (row[2], row[3]) for row in rows(sheet, "millivolts under load")}


def test_copper_and_joiner_by_hand() -> None:
    """keel lead: 0.4 m there and back of 12 AWG, 1.588 ohm per 1000 ft (wire tables): 41.7 mV at 10 A, and contacts on
    top of it; yoke: 2 mohm of the file, 20 mV."""
    found = drops(example("skerry-long-tail"))
    low, high = map(float, found["1  keel lead"][0].split(" to "))
    copper_mv = 2 * 0.4 * 1.588 / 304.8 * 10 * 1000
    assert copper_mv < low < high < copper_mv + 40
    # An ideal diode may hold 30 mV by itself.
    assert found["yoke, from 1  keel lead"] == ("20", "30 mV")


def test_the_whole_way_is_the_sum_of_its_parts() -> None:
    found = drops(example("breakwater-three-packs"))
    parts = ("1  north lead", "first, from 1  north lead", "3  link", "second, from 3  link", "5  motor lead")
    low = sum(float(found[each][0].split(" to ")[0]) for each in parts)
    high = sum(float(found[each][0].split(" to ")[-1]) for each in parts)
    way = [float(each) for each in found["whole way, north to controller"][0].split(" to ")]
    assert way == pytest.approx([low, high], abs=1.0)  # figures are printed to 1 mV


def test_what_an_ideal_diode_holds_is_not_too_much_on_the_whole_way_either() -> None:
    """1 mohm is 10 mV at 10 A, where one may hold 30 mV: that is no reason to look for a bad contact."""
    found = drops(sheet_of(built(edited("skerry-long-tail", {"joiners.yoke.resistance": "1 mohm"}))))
    leads = sum(float(found[each][0].split(" to ")[-1]) for each in ("1  keel lead", "3  main lead"))
    way = found["whole way, keel to controller"]
    assert float(way[0].split(" to ")[-1]) == pytest.approx(leads + 10, abs=1.0)
    assert float(way[1].removesuffix(" mV")) == pytest.approx(leads + 30, abs=1.0)


@pytest.mark.parametrize(("kind", "told"), [("diode", True), ("ideal-diode", False)])
def test_the_drop_of_a_diode_is_explained(kind: str, told: bool) -> None:
    more = {"joiners.yoke.type": kind, "controller.battery_current": "5 A", "joiners.yoke.mount": "frame metal"}
    sheet = sheet_of(built(edited("skerry-long-tail", more, ("joiners.yoke.resistance",))))
    assert (workshop_words.DIODE_DROP in section(sheet, "millivolts under load").notes) is told


def test_the_far_end_of_a_lead_in_the_frame_is_joined_once_it_is_pulled_in() -> None:
    sheet = sheet_of(built(edited("skerry-long-tail", {"leads.main lead.run": "in frame"})))
    late = [row[:2] for row in rows(sheet, "Join") if row[4].endswith("once it is pulled in")]
    assert late == [("3  main lead", "controller")]


def test_a_charging_port_that_blocks_is_dead() -> None:
    port = {"current": "5 A", "blocks": "each pack", "inlet": "XT60 socket"}
    sheet = sheet_of(built(edited("skerry-long-tail", {"joiners.yoke.charge_port": port})))
    assert rows(sheet, "should be dead")[-1] == ("charging port of yoke", "keel", "dead: below 2 V")


def test_what_the_harness_carries_stands_under_the_title() -> None:
    """The XT60 of each pack's lead bears 30 A, and the lamp takes half an ampere of it."""
    (told,) = [line for line in example("skerry-long-tail").basis if "carries" in line]
    assert told.endswith(" The harness carries 29.5 A continuous; the controller draws 25 A.")


def test_too_much_is_where_the_meter_command_says_so() -> None:
    build = built(base_text("skerry-long-tail"))
    found = drops(sheet_of(build))
    parts: tuple[tuple[str, Joiner | Lead], ...] = (
        ("1  keel lead", build.leads["keel lead"]),
        ("yoke, from 1  keel lead", build.joiners["yoke"]),
    )
    for name, part in parts:
        limit_v = float(found[name][1].removesuffix(" mV")) / 1000
        assert path_test(Case(build), part, 0.99 * limit_v, 10.0).found == "as described"
        assert path_test(Case(build), part, 1.01 * limit_v, 10.0).found == "too much"


def test_a_bike_that_draws_less_than_ten_amps_is_measured_at_what_it_draws() -> None:
    sheet = sheet_of(built(edited("skerry-long-tail", put={"controller.battery_current": "8 A"})))
    table = section(sheet, "millivolts under load").table
    assert table is not None
    assert "mV at 8 A" in table.heads
    assert drops(sheet)["yoke, from 1  keel lead"][0] == "16"


def test_what_is_known_of_the_draw_when_off() -> None:
    found = rows(example("skerry-long-tail"), "when off")
    assert [row[0] for row in found] == ["keel", "pannier"]
    assert all(row[1].startswith("lamp 8 mA, and what joiners") for row in found)
    assert "8 mA" not in rows(example("breakwater-three-packs"), "when off")[0][1]


def test_voltages_span_cut_off_to_full() -> None:
    assert rows(example("skerry-long-tail"), "every far end")[0][2:] == ("yoke", "as the pack (42 to 58.8 V)")
    far = ("dock yoke", "as the pack (about 27.5 to 42 V)")
    assert rows(example("slipway-city-dock"), "every far end")[0][2:] == far


def test_chargers_are_tested_on_the_packs_that_they_are_for() -> None:
    assert rows(example("skerry-long-tail"), "charging") == (
        ("counter", "58.5 to 59.1 V", "keel", "at most 4 A", "58.8 V"),
        ("counter", "58.5 to 59.1 V", "pannier", "at most 4 A", "58.8 V"),
    )


@pytest.mark.parametrize(
    ("volts", "without", "end"),
    [("57 V", "56.7 to 57.3 V", "57 V"), ("58.8 V", "58.5 to 59.1 V", "58.8 V"), ("59 V", "58.7 to 59.3 V", "58.8 V")],
)
def test_a_charge_ends_where_the_charger_or_the_pack_does(volts: str, without: str, end: str) -> None:
    """14 cells are full at 58.8 V, where their protection or the charger ends it."""
    sheet = sheet_of(built(edited("skerry-long-tail", put={"chargers.counter.output": volts})))
    assert {(row[1], row[4]) for row in rows(sheet, "charging")} == {(without, end)}


@pytest.mark.parametrize("pole", ["positive", "negative"])
def test_what_blocks_in_the_negative_leaves_plus_connected(pole: str) -> None:
    sheet = sheet_of(built(edited("skerry-long-tail", put={"joiners.yoke.blocks_in": pole})))
    told = any("leaves plus connected: cap the inlet" in each for each in section(sheet, "should be dead").notes)
    assert told == (pole == "negative")


def test_a_dock_has_contacts_that_nobody_bridges_unmeasured() -> None:
    assert any("Unused contacts of a dock" in each for each in section(example("slipway-city-dock"), "dead").notes)
    assert not any("dock" in each for each in section(example("skerry-long-tail"), "dead").notes)


def test_leads_are_fitted_from_the_controller_and_packs_come_last() -> None:
    found = [row[0].split("  ")[1] for row in rows(example("saltpan-planned"), "Lay and fit")]
    assert found[:2] == ["main lead", "yoke 2 link"]
    assert {*found[2:]} == {"port lead", "starboard lead", "stern lead"}


def test_more_than_60_volts_is_said_on_top() -> None:
    high = sheet_of(built(edited("headland-72-volts", put={"joiners.bridge.ceiling": "90 V"})))
    assert any("84 V when full: more than 60 V d.c. shocks" in each for each in high.first)
    assert not any("shocks" in each for each in example("breakwater-three-packs").first)


def test_cautions_wait_for_a_name_until_somebody_accepted_them() -> None:
    text = edited("skerry-long-tail", {"packs.pannier.capacity": "12.5 Ah"})  # 25.5 A are 2.04 C
    assert rows(sheet_of(built(text)), "What the check found")[0][2] == workshop_words.TO_ACCEPT
    text += (
        "accept: [{rule: cells-overworked, part: packs.pannier, found: 25.5 A, because: rides short, by: workshop lead,"
        " until: 2027-05-31}]\n"
    )
    accepted = rows(sheet_of(built(text)), "What the check found")[0][2]
    assert "rides short (by workshop lead, until 2027-05-31)" in accepted


@pytest.mark.parametrize("name", WHOLE)
def test_every_caution_and_note_of_the_check_is_on_it(name: str) -> None:
    build = built(base_text(name))
    found = section(sheet_of(build), "What the check found")
    report = check(build, today=TODAY)
    cautions = sum(each.severity == Severity.CAUTION for each in report.findings)
    assert (len(found.table.rows) if found.table else 0) == cautions
    usual = sum(each.usual for each in report.findings)
    assert len(found.notes) == len(report.findings) - cautions - usual


def test_what_nobody_measured_is_to_be_measured_now() -> None:
    sheet = example("slipway-city-dock")
    assert ("carrier pack", "resistance") in {row[:2] for row in rows(sheet, "Not known for sure")}
    assert not any(each.title == "Not known for sure" for each in example("breakwater-three-packs").sections)


def test_the_drawing_says_what_each_lead_is_made_of() -> None:
    told = {"".join(text.itertext()) for text in wiring_svg(example("saltpan-planned").drawing).iter("text")}
    # 350 mm from the bed to the cross tube, 10 % and 0.1 m more.
    assert {"1", "14\u00a0AWG", "490\u00a0mm", "blade", "25\u00a0A 58\u00a0V"} <= told
    words = example("saltpan-planned").drawing.words
    assert "1 port lead from port to yoke 2: 14 AWG, 490 mm, fuse blade 25 A 58 V d.c." in words


def test_leads_of_many_packs_have_numbers_and_what_they_are_made_of() -> None:
    sheet = sheet_of(built(chain_text(6, long=True)))
    assert [wire.number for wire in sheet.drawing.wires] == [f"{at + 1}" for at in range(len(sheet.drawing.wires))]
    assert {wire.about for wire in sheet.drawing.wires} == {("12 AWG", "300 mm")}
    assert [row[0] for row in rows(sheet, "Cut and mark")] == [f"lead {at}" for at in range(1, 12)]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("inlets left empty", "3 inlets left empty: capped"),
        ("a pack that is not connected", "1 inlet left empty: capped"),
        ("side by side", ""),
    ],
)
def test_the_drawing_counts_the_inlets_that_stay_empty(name: str, told: str) -> None:
    """Of five inlets two have a lead, of two one; and a lead says which inlet it goes to."""
    drawn = drawing(built(ODD[name]))
    joiner = next(box for box in drawn.boxes if box.kind == "joiner")
    assert [each for each in joiner.about if "empty" in each] == ([told] if told else [])
    inlets = [each for wire in drawn.wires for each in wire.about if each.startswith("inlet")]
    assert inlets == (["inlet 2", "inlet 5"] if name == "inlets left empty" else [])


def test_what_every_row_says_is_said_once_over_them() -> None:
    """The column goes, its head and its words stand over the table; a caution keeps its line to sign."""
    told = bare(workshop_text(example("breakwater-three-packs")), "text")
    assert "The same in every row: wire: 12 AWG silicone; chosen: in the file." in told
    assert "The same in every row: reads: as the pack (39 to 54.6 V)." in told
    assert "blade 30 A 58 V d.c.; sits: bed." in told
    assert "accepted: because" not in told
    planned_here = bare(workshop_text(example("saltpan-planned")), "text")
    assert "chosen: planned" in planned_here


def test_a_fuse_of_unknown_family_is_called_by_what_is_known() -> None:
    sheet = sheet_of(built(edited("breakwater-three-packs", drop=["leads.motor lead.fuse.family"])))
    assert ("5 motor lead", "fuse", "30 A", "160 V d.c. only") in [each[:4] for each in sheet.labels.plates]
    assert "None" not in workshop_text(sheet)


BONDED = {"joiners.y.bonded": {"by": "0.05 V", "charged": "together"}}
ONE_AGE = {
    **BONDED,
    "packs.new.resistance": "150 mohm",
    "packs.old.fuse": {"family": "class T", "rating": "30 A", "voltage": "160 V"},
    "controller.battery_current": "20 A",
}


def test_packs_joined_for_good_are_measured_before_and_never_parted_after() -> None:
    sheet = sheet_of(built(edited("quay-plain-trike", ONE_AGE)))
    together = section(sheet, "each pair, all")
    assert "within 50 mV" in together.lines[0]
    assert [row[0] for row in rows(sheet, "each pair, all")] == ["old + new"]
    for title in ("millivolts under load", "when off", "ten minutes", "charging"):
        for row in rows(sheet, title):
            assert not {"old", "new"} & {*row[1:3]}, row
            assert any("old + new" in cell for cell in row), row


def test_a_selector_shows_the_pack_that_is_switched_on() -> None:
    selector = {"joiners.yoke.type": "selector", "joiners.yoke.makes": "after break"}
    sheet = sheet_of(built(edited("skerry-long-tail", selector, ["joiners.yoke.blocks_in"])))
    assert rows(sheet, "each pair, all")[2][1] == "that of the one switched on"


def test_a_sealed_fuse_is_not_looked_for() -> None:
    sheet = sheet_of(built(base_text("slipway-city-dock")))
    sealed = [pack.name for pack in sheet_build("slipway-city-dock").packs.values() if pack.fuse.sealed]
    assert sealed
    fuses = next(each for each in sheet.sections if each.title == "Fuses")
    told = [row[0] for row in fuses.table.rows] if fuses.table else []
    assert not [name for name in sealed for row in told if name in row]
    assert any(name in line and "not to be opened" in line for name in sealed for line in (*fuses.lines, *fuses.notes))


def test_a_sleeping_pack_is_woken_before_a_joiner_is_said_to_block() -> None:
    told = workshop_text(example("skerry-long-tail"))
    words = " ".join(told.split())
    assert "First see the whole voltage of the pack at the outlet of the joiner" in words
    assert "controller and all accessories unplugged" in words


def sheet_build(name: str) -> Build:
    return built(base_text(name))


def test_inches_for_those_who_measure_in_inches() -> None:
    us = example("skerry-long-tail", system="us")
    assert rows(us, "Cut and mark")[0][2] == "1 ft 3 3/4 in"


@pytest.mark.parametrize("form", FORMS)
def test_hostile_names_are_text(form: str) -> None:
    sheet = example("skerry-long-tail", shop=HOSTILE, contact=HOSTILE)
    parts = tuple(
        each._replace(
            title=HOSTILE,
            table=each.table and each.table._replace(rows=tuple((HOSTILE, *row[1:]) for row in each.table.rows)),
        )
        for each in sheet.sections
    )
    told = FORMS[form](
        replace(
            sheet, title=HOSTILE, sections=parts, labels=Labels(plates=(Plate(HOSTILE, "", "", ""),)), basis=(HOSTILE,)
        )
    )
    if form == "text":
        assert HOSTILE in told
        return
    assert "<script" not in told
    if form == "html":
        page = Page(told)
        assert "script" not in page.tags
        assert HOSTILE in page.words
        assert told.count("</style") == 1


def test_no_scripts_and_nothing_from_outside() -> None:
    html = workshop_html(example("saltpan-planned"))
    page = Page(html)
    assert not {"script", "link", "img", "iframe", "object", "base"} & {*page.tags}
    assert not {"src", "href", "style"} & {name for name, _ in page.attributes}
    assert "url(" not in html


@pytest.mark.parametrize(
    "text", [chain_text(6, long=True, chargers=3), base_text("slipway-city-dock"), base_text("saltpan-planned")]
)
def test_the_text_keeps_to_80_columns(text: str) -> None:
    told = workshop_text(sheet_of(built(text), shop="S" * 80, contact="c" * 120))
    assert max(map(len, told.splitlines())) <= 80


@pytest.mark.parametrize("packs", [1, 2, 7])
def test_any_number_of_packs(packs: int) -> None:
    sheet = sheet_of(built(chain_text(min(packs, 6)) if packs <= 6 else _seven()))
    together = section(sheet, "each pair, all")
    assert together.table is not None
    count = len(together.table.rows)
    assert count == {1: 1, 2: 3, 7: 7 + 6 + 1}[packs]
    assert any("paired with the next" in each for each in together.notes) == (packs == 7)


@pytest.mark.parametrize(("packs", "over"), [(2, 1), (6, 3)])
def test_a_drawing_in_parts_stands_further_down(packs: int, over: int) -> None:
    """One of one part right behind what the check found; of several behind the packs and what is prepared."""
    html = workshop_html(sheet_of(built(chain_text(packs))))
    heads = re.findall(r"<h2>(.*?)</h2>", html)
    at = heads.index("The harness")
    assert ("The harness, part 1 of" in html) is (packs == 6)
    assert heads[at - 1] == section_titles(built(chain_text(packs)))[over - 1]


def section_titles(build: Build) -> list[str]:
    return [each.title for each in sheet_of(build).sections]


def test_where_the_fuse_of_a_pack_is() -> None:
    """keel has one of its own, and pannier none, but its lead has one."""
    fuse = "{family: class T, rating: 35 A, voltage: 160 V}"
    text = edited("skerry-long-tail", {"leads.pannier lead.fuse": fuse, "packs.pannier.fuse": "none"})
    kept = rows(sheet_of(built(text)), "The packs")
    told = {row[0].split(" ")[0]: row[5] for row in kept}
    assert told["pannier"] == "in its lead"
    assert "40 A" in told["keel"]


def _seven() -> str:
    """Six packs in a chain, and one more before the first joiner through another joiner."""
    text = chain_text(6)
    pack = next(line for line in text.splitlines() if line.startswith("  'Pack a'"))
    joiner = next(line for line in text.splitlines() if line.startswith("  'J0'"))
    ends = "length: 300 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]"
    text = text.replace(pack, f"{pack}\n{pack.replace('Pack a', 'Pack g')}", 1)
    text = text.replace(joiner, f"{joiner}\n{joiner.replace('J0', 'J9')}", 1)
    text = text.replace("pack lead 0: {from: 'Pack a', to: 'J0'", "pack lead 0: {from: 'Pack a', to: 'J9'", 1)
    more = f"  pack lead 6: {{from: 'Pack g', to: 'J9', {ends}}}\n  link 9: {{from: 'J9', to: 'J0', {ends}}}\n"
    return text.replace("controller: {voltage", f"{more}controller: {{voltage", 1)


@pytest.mark.parametrize(
    ("base", "told"),
    [
        # Each pack feeds both motors of 20 A; a lead behind the joiner one of them.
        ("windlass-two-outlets", {"fore lead": "40 A", "aft lead": "40 A", "left lead": "20 A", "right lead": "20 A"}),
        ("jetty-two-drives", {}),
        ("skerry-long-tail", {}),
    ],
)
def test_each_part_is_warmed_by_what_it_carries(base: str, told: dict[str, str]) -> None:
    sheet = sheet_of(built(edited(base)))
    warm = rows(sheet, "warmth after ten minutes")
    assert {row[0].partition("  ")[2]: row[3] for row in warm if told and row[3] and "  " in row[0]} == told
    assert ("What its row says" in " ".join(section(sheet, "warmth after ten minutes").lines)) is bool(told)
