"""Builds with something left open: what is given stays, the rest is filled, and the file keeps its looks."""

from __future__ import annotations

from pathlib import Path

import pytest

from packyoke.api import check, load
from packyoke.buildfile.reading import Shop
from packyoke.buildfile.writing.complete import completed_text
from packyoke.buildfile.writing.places import CannotWrite
from packyoke.core.findings import Severity
from packyoke.model import FITTED, Build, End, Gauge
from packyoke.planning.changes import differs
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan, Refusal
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.support import base_text, edited

SHOP = shop_of((Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8"))
PLACES = {"bed": "{holds: 1, mount: open air}", "tube": "{holds: 2, mount: frame metal}", "motor": "{holds: 0}"}
RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]


def completed(text: str, shop: Shop | None = None) -> tuple[Plan, str]:
    """The plan and the file that it writes, which reads as what was planned and has no stop."""
    build = build_of(text, shop)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    new = completed_text(text, build, found)
    done = load(new, "completed.yaml", shop=shop)
    assert isinstance(done, Build), done
    for section in ("packs", "joiners", "leads", "controllers"):
        mine, theirs = getattr(done, section), getattr(found.build, section)
        assert list(mine) == list(theirs)
        for name, part in theirs.items():
            assert not differs(part, mine[name]), f"{section}.{name}: {mine[name]} {part}"
    assert max((each.severity for each in check(done).findings), default=Severity.NOTE) < Severity.STOP
    return found, new


def test_skerry_with_blanks_is_completed_as_it_was_drawn() -> None:
    blank = base_text("skerry-long-tail").replace(", ends: [XT60 pin, XT90 socket]", "").replace(", gauge: 12 AWG", "")
    found, _ = completed(blank)
    drawn = build_of(base_text("skerry-long-tail"))
    for name in ("keel lead", "pannier lead"):
        assert found.build.leads[name].gauge == drawn.leads[name].gauge
        assert found.build.leads[name].ends == drawn.leads[name].ends
    assert {each.path for each in found.filled} == {"leads.keel lead", "leads.pannier lead"}
    assert found.left == ()
    assert found.proved


def test_one_blank_lead_is_the_small_case() -> None:
    text = edited("skerry-long-tail", drop=["leads.main lead.ends", "leads.main lead.gauge"])
    found, _ = completed(text)
    assert {each.path for each in found.filled} == {"leads.main lead"}
    assert [piece.lead for piece in found.pieces if piece.planned] == ["main lead"]
    assert {(joint.conductor, joint.contact) for joint in found.joints if joint.end == "from"} == {
        ("plus", "pin"),
        ("minus", "pin"),
    }
    assert {joint.method for joint in found.joints if joint.end != "fuse"} == {"solder cup"}


def test_a_complete_build_has_nothing_to_plan() -> None:
    found, new = completed(base_text("breakwater-three-packs"))
    assert new == base_text("breakwater-three-packs")
    assert (found.filled, found.new, found.runner_up) == ((), (), None)
    # What the file draws is on the bill all the same: it has to be bought, whoever chose it.
    assert {line.section for line in found.bill} == {"wires", "fuses", "holders", "connectors", "sundries"}


def test_packs_without_a_fuse_get_one_where_their_lead_begins() -> None:
    text = edited("skerry-long-tail", drop=["packs.keel.fuse", "packs.pannier.fuse"])
    found, _ = completed(text)
    for name in ("keel lead", "pannier lead"):
        fuse = found.build.leads[name].fuse
        # 25.5 A with the lamp, over 0.8: by hand 31.9, so 35 A; 58.8 V is above what blades are made for.
        assert (fuse.presence, fuse.rating_a, fuse.family, fuse.at_m) == (FITTED, 35.0, "class T", 0.0)


def test_a_lead_that_says_it_has_no_fuse_leaves_it_to_the_pack() -> None:
    text = edited("skerry-long-tail", {"leads.keel lead.fuse": "none"}, ["packs.keel.fuse", "leads.keel lead.gauge"])
    # pannier is like keel in all that it does not say itself, and has its own fuse.
    found, _ = completed(text)
    assert found.build.packs["keel"].fuse.rating_a == 35.0
    assert found.build.leads["keel lead"].fuse.presence == "none"


def test_a_fuse_that_would_count_for_a_copy_too_is_asked_about() -> None:
    text = edited(
        "skerry-long-tail",
        {"leads.keel lead.fuse": "none", "leads.pannier lead.fuse": "{family: class T, rating: 35 A, voltage: 160 V}"},
        ["packs.keel.fuse", "packs.pannier.fuse"],
    )
    found = plan(build_of(text))
    assert isinstance(found, Refusal), found
    assert found.missing == (("packs.pannier", "fuse"),)


def test_drawn_leads_without_lengths_put_the_joiners_where_they_are_best() -> None:
    leads = {
        "a lead": "{from: a, to: y}",
        "b lead": "{from: b, to: y}",
        "main lead": "{from: y, to: controller}",
    }
    packs = {"a": pack("bed"), "b": pack("bed")}
    found, _ = completed(bike(packs, {"y": joiner()}, PLACES, RUNS, leads=leads))
    # Beside the packs, at bed: 0.25 + 0.25 + 1.09 m; at tube: 0.54 + 0.54 + 0.65 m. 14 AWG: 37 g and 16.6 mohm a metre.
    # 0.14 m more copper is 5 g; 0.44 m at 18 A less and 2 x 0.29 m at 9 A more is 1.6 W less, or 8 g.
    assert found.build.joiners["y"].place_name == "tube"
    assert found.proved
    assert not found.new
    assert [found.build.leads[name].length_m for name in leads] == pytest.approx([0.54, 0.54, 0.65])


def test_a_lead_of_given_length_costs_the_same_wherever_its_joiner_sits() -> None:
    """As above, but what leads to the controller is there already: all that is open is shortest at bed."""
    leads = {
        "a lead": "{from: a, to: y}",
        "b lead": "{from: b, to: y}",
        "main lead": "{from: y, to: controller, length: 1090 mm, gauge: 12 AWG}",
    }
    found, _ = completed(bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner()}, PLACES, RUNS, leads=leads))
    assert found.build.joiners["y"].place_name == "bed"
    assert found.proved


def test_where_inlets_differ_each_lead_says_into_which_one_it_goes() -> None:
    packs = {"a": pack("bed", outlet="XT90"), "b": pack("bed")}
    unlike = joiner().replace("inlets: XT60 pin", "inlets: [XT60 pin, XT90 pin]")
    found, _ = completed(bike(packs, {"y": unlike}, PLACES, RUNS))
    assert {lead.source: lead.inlet for lead in found.build.leads.values()} == {"a": 2, "b": 1, "y": None}
    found, _ = completed(bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner()}, PLACES, RUNS))
    assert {lead.inlet for lead in found.build.leads.values()} == {None}


def test_a_lead_of_given_length_stays() -> None:
    leads = {
        "a lead": "{from: a, to: y, length: 777 mm, gauge: 12 AWG}",
        "b lead": "{from: b, to: y}",
        "main lead": "{from: y, to: controller}",
    }
    found, _ = completed(bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner()}, PLACES, RUNS, leads=leads))
    assert found.build.leads["a lead"].length_m == 0.777
    assert found.build.leads["a lead"].gauge == Gauge("AWG", 12)


def test_a_third_pack_goes_into_the_inlet_that_is_free() -> None:
    leads = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}", "main lead": "{from: y, to: controller}"}
    three = joiner(inputs=3).replace("charge_port: none", "charge_port: none, place: tube, mount: frame metal")
    packs = {name: pack("bed") for name in "abc"}
    found, _ = completed(bike(packs, {"y": three}, PLACES, RUNS, leads=leads))
    assert [(lead.source, lead.target) for lead in found.build.leads.values()][-1] == ("c", "y")


def test_where_the_controller_is_fed_and_nothing_is_free_it_says_so() -> None:
    leads = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}", "main lead": "{from: y, to: controller}"}
    packs = {name: pack("bed") for name in "abc"}
    found = plan(build_of(bike(packs, {"y": joiner()}, PLACES, RUNS, leads=leads)))
    assert "every inlet before it is taken" in getattr(found, "constraint", "")


def test_a_group_that_is_drawn_is_kept_and_led_on() -> None:
    leads = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}"}
    placed = joiner().replace("charge_port: none", "charge_port: none, place: bed, mount: open air")
    packs = {name: pack("bed") for name in "abc"}
    found, _ = completed(bike(packs, {"y": placed}, PLACES, RUNS, leads=leads))
    assert [each.like for each in found.new if each.path.startswith("joiners.")] == ["y"]
    assert {lead.source for lead in found.build.leads.values()} == {"a", "b", "c", "y", "y 2"}


def test_plain_joiners_stay_plain_and_are_tried_not_proved() -> None:
    text = edited(
        "skerry-long-tail",
        {"joiners.yoke.type": "plain", "joiners.yoke.bonded": {"by": "0.1 V", "charged": "together"}},
        [
            "joiners.yoke.blocks_in",
            "leads.main lead.gauge",
            "packs.pannier.capacity",
            "packs.pannier.discharge",
            "packs.pannier.charge",
            "packs.pannier.cells",
            "packs.pannier.resistance",
            "packs.pannier.fuse",
        ],
    )
    found = plan(build_of(text))
    if isinstance(found, Plan):
        assert found.build.joiners["yoke"].type == "plain"
        assert not found.proved
    else:
        assert not isinstance(found, Refusal), found


def test_accessories_count_and_leave_a_layout_provable() -> None:
    fuse = "{family: 10x38, rating: 2 A, voltage: 1000 V}"
    lamp = f"accessories:\n  lamp: {{from: y, max: 60 V, current: 1 A, fuse: {fuse}}}\n"
    text = bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner()}, PLACES, RUNS, amps=19.5, more=lamp)
    found, _ = completed(text)
    # 20.5 A over 0.8 is 25.6 A: a 30 A fuse, where 19.5 A alone would do with 25 A.
    assert found.build.leads["a lead"].fuse.rating_a == 30.0
    assert found.build.leads["main lead"].gauge is not None


BLOCK = """packyoke: 1
# the workshop's own remark
name: "a bike: in blocks"
bike: {mass: 30 kg, drive: {type: mid motor}}
racks: {}

packs:
    o'clock:   # quoted below
        chemistry: NMC
        series: 13
        capacity: 14 Ah
        cut_off: 39 V
        discharge: 40 A
        charge: 5 A
        resistance: 120 mohm
        outlet: XT60 socket
        cells: power
        rack: none
        bms: {charge_path: common, data: none, wakes: always}
        condition: sound
        place: bed
    other: {like: o'clock,
            place: bed}   # beside it

joiners:
    yoke:
        type: ideal-diode
        ceiling: 65 V
        current: 30 A
        resistance: 2 mohm
        blocks_in: positive
        inlets: XT60 pin
        outlet: XT60 socket     # sockets: it stays live
        charge_port: none
    # nothing more to say of it

leads:
    first lead: {from: "o'clock", to: yoke}   # blank, in braces
    second lead:      # blank, in lines
        from: other   # the second
        to: yoke
        # who knows how long

    'main "lead"s':
        from: yoke
        to: controller
places: {bed: {holds: 1, mount: open air}, motor: {holds: 0}}
runs:
  - {between: [bed, motor], length: 700 mm}
controller: {voltage: {min: 36 V, max: 60 V}, battery_current: 18 A, low_voltage_cut: 40 V, regen: none,
             inlet: XT60 pin, capacitance: 0.5 mF, place: motor}"""


def blocks() -> str:
    return BLOCK.replace("'main \"lead\"s'", "main lead")


def test_comments_and_order_stay_in_a_file_of_blocks() -> None:
    text = blocks()
    _, new = completed(text)
    lines = iter(new.splitlines())
    for line in text.splitlines():
        start = line.split("}")[0]
        assert any(line == other or (start and other.startswith(start)) for other in lines), line
    assert "# blank, in braces" in new
    assert "        length: 250 mm" in new


def test_line_ends_of_the_file_are_kept() -> None:
    text = blocks().replace("\n", "\r\n")
    _, new = completed(text)
    assert "\n" not in new.replace("\r\n", "")


def test_new_parts_in_a_file_without_leads_and_without_a_last_line_end() -> None:
    text = blocks()
    start, end = text.index("leads:"), text.index("places:")
    _, new = completed(text[:start] + text[end:])
    assert "\nleads:\n  o'clock lead:" in new


def test_leads_in_one_pair_of_braces() -> None:
    text = blocks()
    start, end = text.index("leads:"), text.index("places:")
    _, new = completed(text[:start] + "leads: {}\n" + text[end:])
    assert new.count("leads:") == 1


def test_a_shelf_item_is_written_as_such() -> None:
    text = bike({"a": pack("bed"), "b": pack("bed")}, {}, PLACES, RUNS)
    _, new = completed(text, SHOP)
    assert "part: small yoke" in new


@pytest.mark.parametrize("before", ["", "# packyoke: 1\n", "--- # {\n", "{ # packyoke\n", "\ufeff"])
def test_a_file_in_one_pair_of_braces_is_refused(before: str) -> None:
    text = blocks()
    build = build_of(text)
    found = plan(build)
    assert isinstance(found, Plan)
    with pytest.raises(CannotWrite, match="the whole file stands in braces"):
        completed_text(before + "{packyoke: 1, name: x}".removeprefix("{" if "{ #" in before else ""), build, found)


@pytest.mark.parametrize(
    "before", ["# {\n", "# [ {\n", "    # packyoke: 1\n", "--- # {\n", "%YAML 1.2 # {\n---\n", "\ufeff"]
)
@pytest.mark.parametrize("leads", ["", "leads: {}\n"])
def test_what_stands_before_the_first_line_is_no_brace(before: str, leads: str) -> None:
    """A comment that ended in a brace made it "the whole file stands in braces"."""
    text = blocks()
    start, end = text.index("leads:"), text.index("places:")
    _, new = completed(before + text[:start] + leads + text[end:])
    assert new.startswith(before)
    assert new.count("leads:") == 1


def test_saltpan_is_laid_out() -> None:
    found, new = completed(base_text("saltpan-planned"))
    assert found.proved
    assert not found.left
    # All meet in the cross tube, where the way to the motor is short, in the joiner at hand and one more like it. What
    # links them is fed by two fuses of 25 A, too much for 14 AWG: thicker wire is laid on the 150 mm between joiners.
    assert [str(each.place_name) for each in found.build.joiners.values()] == ["cross tube", "cross tube"]
    gauges = {name: str(lead.gauge) for name, lead in found.build.leads.items() if name != "main lead"}
    assert gauges.pop("yoke 2 link") == "12 AWG"
    assert {*gauges.values()} == {"14 AWG"}
    assert [each.like for each in found.new if each.path.startswith("joiners.")] == ["yoke"]
    assert found.build.leads["main lead"].run.in_frame
    assert found.build.leads["main lead"].ends == (End("XT60", "pin", "pin"), End("XT60", "socket", "socket"))
    assert {each.what for each in found.settings} == {
        "battery current",
        "low-voltage cut",
        "braking current into the packs",
    }
    assert check(build_of(new)).verdict == "none-found"


@pytest.mark.parametrize(("warmest", "size"), [("30 degC", 16.0), ("45 degC", 16.0), ("55 degC", 12.0)])
def test_the_wire_of_a_tap_is_chosen_for_the_warmest_air(warmest: str, size: float) -> None:
    """A fuse of 15 A. 18 AWG takes 10 A, 16 AWG 15 A, in 45 degC x sqrt(15/30) 10.6 A, next size 15 A. In 55 degC
    x sqrt(5/30): 14 AWG 8.2 A, next size 10 A, 12 AWG 10.2 A, next size 15 A."""
    put = {"warmest": warmest, "accessories.lamp.fuse.rating": "15 A", "accessories.lamp.current": "2 A"}
    found = plan(build_of(edited("skerry-long-tail", put, ("leads.main lead.gauge",))))
    assert isinstance(found, Plan), found
    assert found.build.accessories["lamp"].gauge == Gauge("AWG", size)
