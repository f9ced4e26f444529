"""What is cut, joined, plated and billed: each condition at both sides, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.buildfile.reading import Shop
from packyoke.making.as_drawn import NO_INSULATION, drawn_lists
from packyoke.making.bill import bill
from packyoke.making.cutting import joints, piece
from packyoke.making.labels import Plate, labels_of
from packyoke.making.marks import labels, settings
from packyoke.making.methods import bare_m, method, solder_joints
from packyoke.making.stock import cables
from packyoke.model import CUSTOMER, NONE, SHOP, Build, End
from packyoke.model.shop import Wire
from tests.making.test_bill import BIKE, TEXT
from tests.making.test_marks import a_bike, a_shop, keel_lead, with_lead
from tests.planning.bikes import build_of, shop_of
from tests.support import edited

XT60 = End("XT60", "pin", "pin")


def bench() -> tuple[Build, Shop]:
    shop = shop_of(TEXT)
    return build_of(BIKE, shop), shop


def plates(build: Build) -> dict[tuple[str, str], Plate]:
    return {(each.part, each.what): each for each in labels_of(build).plates}


@pytest.mark.parametrize(
    ("family", "how", "soldered", "bare"),
    [
        ("XT60", "solder cup", 2, 6),
        ("5.5 mm barrel", "solder cup", 2, 3),
        ("joint solder", "solder", 2, 15),
        ("joint crimp", "crimp", 0, 10),
        ("M6 ring", "crimp", 0, 7),
        ("genderless 45 A", "crimp", 0, None),
        ("dock blade", "as its maker says", 2, None),
    ],
)
def test_how_a_contact_is_joined(family: str, how: str, soldered: int, bare: int | None) -> None:
    end = End(family, "pin", "pin")
    assert (method(end), solder_joints(end)) == (how, soldered)
    assert bare_m(end) == (None if bare is None else bare / 1000)


def test_a_lead_of_the_customer_is_not_made_and_the_others_are() -> None:
    build, shop = bench()
    ways = routes(build)
    every = drawn_lists(build, shop, ways)
    assert [each.lead for each in every.pieces] == ["left lead", "right lead", "main lead"]
    theirs = build.with_value("leads.left lead", "owner", CUSTOMER)
    some = drawn_lists(theirs, shop, ways)
    assert [each.lead for each in some.pieces] == ["right lead", "main lead"]
    assert {each.lead for each in some.joints} == {"right lead", "main lead"}
    assert not any(each.startswith("left lead: left") for each in some.labels)
    assert any(each.startswith("right lead: right") for each in some.labels)


def test_pieces_say_their_reel_where_there_is_a_shelf_and_their_way_where_places_are_known() -> None:
    build, shop = bench()
    reels = [(each.plus_item, each.minus_item) for each in drawn_lists(build, shop, {}).pieces]
    assert reels == [("red 12", "black 12")] * 3
    assert [(each.plus_item, each.minus_item) for each in drawn_lists(build, None, {}).pieces] == [("", "")] * 3
    bike = a_bike()
    laid = bike.with_value("leads.keel lead", "ends", (XT60, None))
    assert drawn_lists(laid, None, routes(laid)).pieces[0].way == ("down tube", "seat tube")
    for part in ("packs.keel", "controller"):
        apart = laid.with_value(part, "place_name", None)
        assert drawn_lists(apart, None, routes(apart)).pieces[0].way == ()
    bare = laid.with_value("leads.keel lead", "insulation", None)
    assert drawn_lists(bare, None, {}).pieces[0].insulation == NO_INSULATION


def test_a_reel_is_named_with_its_colour_unless_its_name_says_it() -> None:
    stocked = cables(a_shop().items)
    cable = stocked[0]
    assert cable.plus is not None
    assert isinstance(cable.plus.part, Wire)
    lead = keel_lead(a_bike()).but(gauge=cable.gauge, insulation=cable.insulation)
    for name, colour, said in (
        ("reel 7", "red", "reel 7, red"),
        ("Red reel", "red", "Red reel"),
        ("reel 7", None, "reel 7"),
    ):
        wire = cable.plus.but(part=cable.plus.part.but(name=name, colour=colour))
        assert piece(a_bike(), lead, (cable._replace(plus=wire),), ()).plus_item == said


def test_ends_that_the_file_gives_are_not_joined_again() -> None:
    """Two conductors at each end that is new, none at one that is still open."""
    build = a_bike()
    lead = keel_lead(build)
    open_ = with_lead(build, lead.but(ends=(None, None)))
    assert len(list(joints(open_, lead))) == 4
    assert [each.end for each in joints(with_lead(build, lead.but(ends=(XT60, None))), lead)] == ["to", "to"]
    assert not list(joints(build, lead))
    assert not list(joints(open_, lead.but(ends=(None, None))))
    assert len(list(joints(replace(build, leads={}), lead))) == 4


def test_plates_of_what_is_known() -> None:
    """By hand: 54.6 V and 4 A of the pack, its fuse only where it can be changed; 54.6 V of the charger."""
    build = a_bike()
    found = plates(build)
    assert found["keel", "charger"] == Plate(
        "keel", "charger", "54.6 V d.c., 4 A max.", "fuse: 10x38 30 A 1000 V d.c. only", "packs.keel", 54.6, 4.0
    )
    assert found["counter", "charger"].figure == "54.6 V d.c."
    sealed = build.with_value("packs.keel.fuse", "sealed", True)
    assert plates(sealed)["keel", "charger"].about == ""
    none = build.with_value("packs.keel.fuse", "presence", NONE)
    assert plates(none)["keel", "charger"].about == ""
    free = build.with_value("packs.keel", "charge_a", None)
    assert plates(free)["keel", "charger"].figure == "54.6 V d.c."
    dark = build.with_value("packs.keel", "full_charge_v", None)
    assert plates(dark)["keel", "fuse"] == Plate(
        "keel", "fuse", "10x38, 30 A", "1000 V d.c. only", "packs.keel", 1000.0, 30.0
    )
    assert ("keel", "fuse") not in plates(dark.with_value("packs.keel.fuse", "sealed", True))
    unread = dark.with_value("packs.keel.fuse", "voltage_v", None)
    assert plates(unread)["keel", "fuse"].about == ""
    nameless = dark.with_value("packs.keel.fuse", "rating_a", None)
    assert plates(nameless)["keel", "fuse"].figure == "10x38"
    assert ("counter", "charger") not in plates(build.with_value("chargers.counter", "output_v", None))
    assert ("counter", "charger") not in plates(build.with_value("chargers.counter", "fits", ()))
    assert ("controller", "battery current") not in plates(build.with_value("controller", "limit_a", None))


def test_a_joiner_has_on_it_what_it_bears_as_far_as_that_is_known() -> None:
    build, _ = bench()
    for ceiling_v, amps, plate, label in (
        (65.0, 30.0, "65 V, 30 A a path max.", "yoke: at most 65 V, 30 A a path, gets warm: never wrap it"),
        (None, 30.0, "30 A a path max.", "yoke: 30 A a path, gets warm: never wrap it"),
        (65.0, None, "65 V max.", "yoke: at most 65 V, gets warm: never wrap it"),
        (None, None, "", "yoke: gets warm: never wrap it"),
    ):
        given = build.with_value("joiners.yoke", "ceiling_v", ceiling_v)
        given = given.with_value("joiners.yoke", "current_continuous_a", amps)
        assert plates(given)["yoke", ""].figure == plate
        assert label in list(labels(given, given, []))


def test_plugs_that_stay_empty_are_those_of_packs_on_the_harness() -> None:
    build, _ = bench()
    assert labels_of(build).empty == ("plug for left", "plug for right")
    one = replace(build, leads={name: lead for name, lead in build.leads.items() if name != "right lead"})
    assert labels_of(one).empty == ()  # nothing else feeds its plug


def test_a_plug_on_wires_of_its_own_is_not_told_to_be_live() -> None:
    """Two motors: the packs at the yoke feed one, the third feeds the other by itself."""
    other = {
        "packs.aft": {"like": "keel", "condition": "sound"},
        "leads.aft lead": {"from": "aft", "to": "front", "length": "300 mm", "gauge": "12 AWG"},
        "controllers": {name: {"battery_current": "10 A"} for name in ("rear", "front")},
        "leads.main lead.to": "rear",
    }
    build = build_of(edited("skerry-long-tail", other, ("controller",)))
    assert labels_of(build).empty == ("plug for keel", "plug for pannier")


def test_what_is_not_measured_is_on_the_bill_as_that() -> None:
    build, shop = bench()
    assert bill(build, shop).terms.unmeasured == ()
    short = build.with_value("leads.left lead", "length_m", None).with_value("leads.main lead", "gauge", None)
    assert bill(short, shop).terms.unmeasured == ("left lead", "main lead")
    wires = {line.item: line.quantity for line in bill(short, shop).lines if line.section == "wires"}
    assert wires["black 12"] == bill(build, shop).lines[3].quantity - 1  # 400 and 600 mm are not cut


def test_a_switch_is_billed_with_its_amps_where_they_are_known() -> None:
    text = BIKE.replace("length: 600 mm,", "length: 600 mm, switch: {rating: 40 A, breaks: 60 V},")
    build = build_of(text, shop_of(TEXT))
    assert [line.item for line in bill(build, None).lines if line.section == "switches"] == ["switch 40 A"]
    unread = build.with_value("leads.main lead.switch", "rating_a", None)
    assert [line.item for line in bill(unread, None).lines if line.section == "switches"] == ["switch"]


def test_a_fuse_of_a_pack_from_the_shelf_comes_with_it_unless_it_is_said_to_be_the_shops() -> None:
    build, shop = bench()
    fuse = build.leads["left lead"].fuse.but(path="packs.left.fuse")
    own = replace(build, packs={**build.packs, "left": build.packs["left"].but(fuse=fuse.but(owner=None), owner=SHOP)})
    bought = replace(own, packs={**own.packs, "left": own.packs["left"].but(fuse=fuse.but(owner=SHOP))})

    def fuses(each: Build) -> list[str]:
        return [f"{line.quantity:f}" for line in bill(each, shop).lines if line.section == "fuses"]

    assert (fuses(build), fuses(own), fuses(bought)) == (["2"], ["2"], ["3"])
    loose = replace(own, items={})
    assert fuses(loose) == ["3"]


def test_what_the_shelf_has_is_marked_so() -> None:
    build, shop = bench()
    assert all(line.on_shelf for line in bill(build, shop).lines)
    assert not any(line.on_shelf for line in bill(build, None).lines)


def test_wire_that_does_for_either_pole_is_taken_where_none_is_for_that_pole() -> None:
    red, black = (each for each in shop_of(TEXT).items if each.section == "wires")
    either = red.but(part=red.part.but(name="grey 12", pole="either"))  # type: ignore[call-arg]
    for items, names in (
        ((red, black), ("red 12", "black 12")),
        ((red, either), ("red 12", "grey 12")),
        ((either, black), ("grey 12", "black 12")),
        ((either,), ("grey 12", "grey 12")),
        ((either, red, black), ("red 12", "black 12")),
    ):
        (cable,) = cables(items)
        assert tuple(each.part.name for each in (cable.plus, cable.minus) if each is not None) == names
    (half,) = cables((red,))
    assert (half.plus, half.minus) == (red, None)


def test_what_two_lines_take_of_one_item_is_taken_once() -> None:
    """Three pins and three sockets of four: two are short. One red metre: 1.41 m by half metres, so half a metre."""
    build, _ = bench()
    shop = shop_of(TEXT.replace("price: 1.20 EUR, stock: 40", "price: 1.20 EUR, stock: 4"))
    short = {(line.item, line.about): f"{line.short:f}" for line in bill(build, shop).lines if line.short}
    assert short == {("XT60", "XT60 socket"): "2", ("red 12", "12 AWG silicone"): "0.5"}


def test_money_without_rates_is_in_the_currency_of_the_shelf() -> None:
    build, _ = bench()
    no_rates = "\n".join(line for line in TEXT.splitlines() if not line.startswith("rates:"))
    shop = shop_of(no_rates.replace("EUR", "JPY").replace("price: 1.40 JPY", "price: 141 JPY"))
    found = bill(build, shop)
    assert {f"{line.amount:f}" for line in found.lines if line.item == "red 12"} == {"212"}  # 1.5 x 141: whole yen
    assert found.terms.mark_up is None


def test_a_holder_is_for_a_fuse_of_its_family_where_that_is_known() -> None:
    build, _ = bench()
    unread = build.with_value("leads.left lead.fuse", "family", None)
    assert [line.item for line in bill(unread, None).lines if line.section == "holders"] == [
        "holder for a fuse",
        "holder for a 10x38 fuse",
    ]


def test_a_precharge_part_is_billed_where_one_is_wanted_and_the_controller_is_not_the_customers() -> None:
    build, shop = bench()

    def parts(each: Build) -> list[str]:
        return [line.item for line in bill(each, shop).lines if line.item == "resistor plug"]

    assert parts(build) == ["resistor plug"]
    assert parts(build.with_value("controller", "precharge", NONE)) == []
    assert parts(build.with_value("controller", "owner", CUSTOMER)) == []


def test_a_controller_without_a_cut_of_its_own_is_set_above_the_highest_of_its_packs() -> None:
    build, _ = bench()
    bare = build.with_value("controller", "low_voltage_cut_v", None)
    for left_v, right_v in ((35.0, 37.0), (37.0, 35.0)):
        cut = bare.with_value("packs.left", "cut_off_v", left_v).with_value("packs.right", "cut_off_v", right_v)
        assert ("low-voltage cut, above", 37.0) in [(each.what, each.value.value) for each in settings(cut)]


def test_cables_stand_thin_to_thick() -> None:
    shop = shop_of(
        "packyoke-shop: 1\nname: x\nshelf:\n  wires:\n    thick: {gauge: 8 AWG, insulation: silicone}\n"
        "    bare: {gauge: 12 AWG}\n    thin: {gauge: 16 AWG, insulation: silicone}\n"
        "    mid: {gauge: 12 AWG, insulation: XLPE}\n"
    )
    assert [str(each.gauge) for each in cables(shop.items)] == ["16 AWG", "12 AWG", "12 AWG", "8 AWG"]
