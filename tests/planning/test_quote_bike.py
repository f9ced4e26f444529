"""What comes off a bike, what comes on and where it sits: the bike of a quote before anything is planned."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from packyoke.buildfile.reading import Shop, load
from packyoke.model import Build, Pack
from packyoke.model.shop import ShelfItem
from packyoke.planning.quoting.candidates import Choice, bike_of, cut_for, pack_lines, takes_all_off, with_choice
from packyoke.planning.quoting.offers import Counter, Offer, Refused
from packyoke.planning.quoting.search import Quote, Wish, _Search, quote
from packyoke.planning.result import Stuck
from packyoke.verdict.check import check
from tests.planning.bikes import build_of
from tests.planning.test_quote import COUNTER, RIDE, TWO_PACKS, a_bike, a_shop, two_pack_bike
from tests.support import base_text, edited

SHOP = a_shop(4)
DIRECT = {"from": "keel", "to": "yoke", "direct": "yes"}
ALONE = {"leads": {"keel lead": {"from": "keel", "to": "controller", "length": "600 mm"}}}
TWO = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8")


def on_shelf(shop: Shop = SHOP) -> dict[str, ShelfItem]:
    return {item.part.name: item for item in shop.items if item.section == "packs"}


def two_with(lines: str) -> Build:
    """The bike of two packs, with more lines at its end and its charger for both."""
    head, _, rest = TWO.partition("leads:\n")
    text = head + TWO_PACKS + rest.partition("\n")[2]
    text = text.replace("plug: XT60 pin}\nplaces", "plug: XT60 pin, fits: [keel, hull]}\nplaces") + lines
    found = load(text, "bike", shop=SHOP)
    assert isinstance(found, Build), found
    return found


def test_a_new_pack_sits_on_the_rack_of_its_place_or_where_the_old_one_sat() -> None:
    items = on_shelf()
    name = next(iter(items))
    bike = bike_of(a_bike(SHOP))
    added, _ = with_choice(bike, Choice((name,)), items)
    assert (added.packs[name].place_name, added.packs[name].rack) == ("rear rack", "rear")
    swapped, _ = with_choice(bike, Choice((name,), ("keel",)), items)
    assert (swapped.packs[name].place_name, swapped.packs[name].rack) == ("down tube", "none")
    nowhere = {"keel": replace(bike.build.packs["keel"], place_name=None)}
    moved, _ = with_choice(bike._replace(build=replace(bike.build, packs=nowhere)), Choice((name,), ("keel",)), items)
    assert (moved.packs[name].place_name, moved.packs[name].rack) == ("rear rack", "rear")


def test_a_bike_without_racks_leaves_the_rack_as_the_shelf_has_it() -> None:
    items = on_shelf()
    name, item = next(iter(items.items()))
    part = item.part
    assert isinstance(part, Pack)
    items[name] = replace(item, part=replace(part, rack="rear"))
    bike = bike_of(a_bike(SHOP))
    build, (new,) = with_choice(bike._replace(rack=None), Choice((name,)), items)
    assert build.packs[name].rack == "rear"
    assert not any(line.startswith("rack:") for line in pack_lines(new))


@pytest.mark.parametrize(("condition", "told"), [(None, ["condition: sound"]), ("swollen", [])])
def test_a_pack_of_the_shelf_is_sound_until_the_shop_file_says_otherwise(
    condition: str | None, told: list[str]
) -> None:
    items = on_shelf()
    name, item = next(iter(items.items()))
    part = item.part
    assert isinstance(part, Pack)
    items[name] = replace(item, part=replace(part, condition=condition))
    build, (new,) = with_choice(bike_of(a_bike(SHOP)), Choice((name,)), items)
    assert build.packs[name].condition == (condition or "sound")
    assert pack_lines(new) == [f"part: {name}", *told, "place: rear rack", "rack: rear"]


def test_with_a_pack_goes_what_the_file_says_of_it_and_nothing_else() -> None:
    items = on_shelf()
    name = next(iter(items))
    build = two_with(
        "measured:\n"
        "  - {date: 2026-11-01, part: packs.keel, what: resistance, value: 104 mohm}\n"
        "  - {date: 2026-11-01, part: packs.hull, what: resistance, value: 170 mohm}\n"
    )
    assert {each.part for each in build.measured} == {"packs.keel", "packs.hull"}
    bare, _ = with_choice(bike_of(build), Choice((name,), ("keel",)), items)
    assert bare.chargers["counter"].fits == ("hull",)
    assert [each.part for each in bare.measured] == ["packs.hull"]
    assert {*bare.leads} == {"hull lead", "main lead"}
    assert list(bare.packs) == ["hull", name]


def test_a_charger_with_two_plugs_keeps_the_one_for_the_pack_that_stays() -> None:
    items = on_shelf()
    name = next(iter(items))
    build = two_with("")
    both = replace(build.chargers["counter"], y_lead=("keel", "hull"))
    bare, _ = with_choice(bike_of(replace(build, chargers={"counter": both})), Choice((name,), ("keel",)), items)
    assert bare.chargers["counter"].y_lead == ("hull",)


def test_only_the_leads_into_the_controller_come_off_for_a_joiner() -> None:
    """Both inlets of his joiner are taken: one more pack needs another one before the controller."""
    bike = bike_of(two_pack_bike(SHOP))
    assert bike.cut == ("main lead",)
    assert cut_for(bike, Choice(("p0",))) == ("main lead",)
    assert cut_for(bike, Choice(("p0",), ("keel",))) == ()
    assert cut_for(bike, Choice(("p0", "p1"), ("keel", "hull"))) == ()
    assert cut_for(bike, Choice()) == ()


def test_all_come_off_where_one_joiner_or_none_stands_before_the_controller() -> None:
    bike = bike_of(two_pack_bike(SHOP))
    assert takes_all_off(bike)
    assert not takes_all_off(bike_of(a_bike(SHOP))), "of one pack that is each of them"
    yokes = {**bike.build.joiners, "other": bike.build.joiners["own yoke"]}
    assert not takes_all_off(bike._replace(build=replace(bike.build, joiners=yokes)))
    assert takes_all_off(bike._replace(build=replace(bike.build, joiners={})))


@pytest.mark.parametrize(
    ("on", "place", "rack"),
    [
        ("", "rear rack", "rear"),
        ("seat tube", "seat tube", "none"),
        ("Rear Rack", "rear rack", "rear"),
        ("rear", "rear rack", "rear"),
    ],
)
def test_where_new_packs_go(on: str, place: str, rack: str) -> None:
    bike = bike_of(a_bike(SHOP), on)
    assert (bike.place, bike.rack) == (place, rack)


def test_a_place_that_the_file_has_not_is_refused_with_those_that_it_has() -> None:
    with pytest.raises(Stuck) as caught:
        bike_of(a_bike(SHOP), "basket")
    assert "basket" in caught.value.answer.text  # type: ignore[union-attr]
    assert "There are: down tube, seat tube, rear rack, rear." in caught.value.answer.do  # type: ignore[union-attr]


def test_what_is_refused_names_the_part_unless_it_is_the_bike_as_a_whole() -> None:
    text = TWO.replace("max: 60 V", "max: 50 V")
    build = load(text, "bike", shop=SHOP)
    assert isinstance(build, Build)
    found = Counter(bike_of(build), on_shelf(), (), SHOP, RIDE, None).offer(Choice())
    assert isinstance(found, Refused)
    assert found.stopped
    assert found.reason.startswith("controller: ")


def test_an_offer_beats_none_that_is_like_it_in_everything() -> None:
    found = Counter(bike_of(a_bike(SHOP)), on_shelf(), (), SHOP, RIDE, None).offer(Choice())
    assert isinstance(found, Offer)
    assert not found.beats(found)
    dearer = found._replace(totals=found.totals._replace(amount=found.price + 1))
    assert found.beats(dearer)
    assert not dearer.beats(found)


def test_energy_for_a_metre_is_that_of_the_way_and_none_where_there_is_no_way() -> None:
    found = Counter(bike_of(a_bike(SHOP)), on_shelf(), (), SHOP, RIDE, None).offer(Choice())
    assert isinstance(found, Offer)
    assert found.needed_j_per_m * found.distance_m.low == pytest.approx(found.estimate.given_j)
    assert found._replace(distance_m=found.distance_m._replace(low=0.0)).needed_j_per_m == 0.0


def test_what_comes_on_for_a_pack_is_held_against_those_that_stay() -> None:
    """Of two unlike packs the one that stays decides: 13 cells beside 13, 14 beside 14."""
    items = on_shelf()
    name, item = next((name, item) for name, item in items.items() if item.part.series == 13)  # type: ignore[attr-defined]
    build = two_pack_bike(SHOP)
    build = replace(build, packs={**build.packs, "hull": replace(build.packs["hull"], series=14)})
    counter = Counter(bike_of(build), {name: item}, (), SHOP, RIDE, None)
    search = _Search(counter, SHOP, Wish(ride=RIDE, add=(0, 0)), "EUR")
    assert [*search.choices([], [name])] == [Choice((name,), ("hull",)), Choice((name,), ("keel", "hull"))]


def test_what_is_beaten_in_price_reach_and_mass_is_not_planned() -> None:
    """A pack of less for 100 EUR more, and a heavier one of less for 50 EUR more: neither is worth a plan."""
    items = on_shelf()
    name, item = next((name, item) for name, item in items.items() if item.part.series == 13)  # type: ignore[attr-defined]
    part = item.part
    assert isinstance(part, Pack)
    assert item.price is not None
    assert part.capacity_coulomb is not None
    part = replace(part, mass_kg=4.0)
    less_coulomb = 0.85 * part.capacity_coulomb
    dearer = replace(item, part=replace(part, name="dearer", capacity_coulomb=less_coulomb), price=item.price + 100)
    worse = replace(
        item,
        part=replace(part, name="worse", mass_kg=5.0, capacity_coulomb=less_coulomb),
        price=item.price + 50,
    )
    others = [each for each in SHOP.items if each.section != "packs"]
    shop = SHOP._replace(items=(replace(item, part=part), dearer, worse, *others))
    found = quote(a_bike(SHOP), shop, Wish(ride=RIDE, add=(1, 1)))
    assert isinstance(found, Quote)
    assert [each.choice.added for each in found.front] == [(), (name,)]
    assert found.counted == (3, 1)


def test_without_ways_all_is_as_far_from_the_middle_and_every_joiner_is_there() -> None:
    build = build_of(base_text("factory-double"))
    own = build.joiners["maker"]
    joiners = {"maker": own, "own": replace(own, name="own", path="joiners.own", built_in=None)}
    bike = bike_of(replace(build, joiners=joiners))
    assert bike.assumed
    (middle,) = {each.place_name for each in bike.build.joiners.values()}
    assert middle in bike.build.places
    assert {each.length_m for each in bike.build.runs} == {bike.build.runs[0].length_m}
    ends = {place for each in bike.build.runs for place in each.between}
    assert {each.place_name for each in bike.build.packs.values()} <= ends


PLACED = {"packs.keel.place": "tube", "joiners.yoke.place": "tube", "packs.pannier.place": "rack"}
PLACED |= {"controller.place": "motor", "places": {"tube": {"holds": 2}, "rack": {"holds": 0}, "motor": {"holds": 0}}}


@pytest.mark.parametrize(
    ("put", "drop", "ways_mm"),
    [
        ({}, (), {"at keel": 400, "at pannier": 900, "at controller": 300}),
        ({"leads.keel lead.length": "700 mm"}, (), {"at keel": 700, "at pannier": 900, "at controller": 300}),
        ({}, ("leads.keel lead.length",), {"at keel": 500, "at pannier": 900, "at controller": 300}),
        ({"leads.keel lead": DIRECT}, (), {"at keel": 500, "at pannier": 900, "at controller": 300}),
        # Parts that have places: half of a lead on each side of the middle, nothing of one that stays at its place.
        (PLACED, (), {"tube": 150, "rack": 450, "motor": 150}),
        # Straight from the pack to the controller: half of it each.
        (ALONE, ("joiners", "accessories", "chargers"), {"at keel": 300, "at controller": 300}),
    ],
)
def test_without_ways_a_part_is_as_far_from_the_middle_as_its_lead_is_long(
    put: dict[str, Any], drop: tuple[str, ...], ways_mm: dict[str, float]
) -> None:
    build = build_of(edited("skerry-long-tail", put, drop))
    bike = bike_of(build)
    assert bike.assumed
    found = {name: 1000 * each.length_m for each in bike.build.runs for name in each.between if name in ways_mm}
    assert found == pytest.approx(ways_mm)
    # No lead that is there is told to be too short for a way that nobody has measured.
    assert {each.rule for each in check(bike.build).findings if each.rule == "lead-too-short"} == set()


def test_what_is_worth_a_plan_is_within_the_money_and_the_way_and_beaten_by_no_offer() -> None:
    counter = Counter(bike_of(a_bike(SHOP)), on_shelf(), (), SHOP, RIDE, None)
    search = _Search(counter, SHOP, Wish(ride=RIDE, most=Decimal(500), reach_m=50_000.0), "EUR")
    for price, most_m, worth in (("500", 50e3, True), ("500.01", 50e3, False), ("500", 49_999.0, False)):
        assert search._worth_it([], Decimal(price), most_m, None) is worth
    now = counter.offer(Choice())
    assert isinstance(now, Offer)
    now, reach_m = now._replace(mass_kg=0.0), now.reach_m
    free = _Search(counter, SHOP, Wish(ride=RIDE), "EUR")
    for price, most_m, worth in (
        (now.price, reach_m, False),
        (now.price + 1, reach_m - 1, False),
        (now.price, reach_m + 1, True),
        (now.price - 1, reach_m - 1, True),
    ):
        assert free._worth_it([now], price, most_m, None) is worth


def test_the_bike_as_it_is_is_enough_from_just_so_far_on() -> None:
    found = quote(a_bike(SHOP), SHOP, Wish(ride=RIDE, add=(0, 0)))
    assert isinstance(found, Quote)
    assert isinstance(found.now, Offer)
    assert not found.enough, "nobody said how far"
    for more_m, enough in ((0.0, True), (-1.0, True), (1.0, False)):
        assert replace(found, wish=replace(found.wish, reach_m=found.now.reach_m + more_m)).enough is enough
