"""Offers of the counter: the front against all choices made one by one, and what bounds and stock allow."""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations_with_replacement
from random import Random

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.ride.known import Odd
from packyoke.analysis.ride.needs import needed_j_per_m
from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build
from packyoke.planning.quoting.bounds import least_price, most_of
from packyoke.planning.quoting.candidates import Choice, bike_of, with_choice
from packyoke.planning.quoting.offers import Counter, Offer, Refused
from packyoke.planning.quoting.search import ENOUGH, Quote, Wish, quote
from packyoke.verdict.check import check
from tests.support import EXAMPLES

COUNTER = EXAMPLES / "counter"
Figures = tuple[Decimal, float, float]
RIDE = "loaded"
HEAD = """packyoke-shop: 1
rates: {labour: 60 EUR/h, mark_up: 25 %, tax: 20 %, rounding: 0.05}
defaults: {region: EU, warmest: 35 degC, coldest: 0 degC, all_leads: {insulation: silicone}}
shelf:
  joiners:
    yoke: {type: ideal-diode, inputs: 3, ceiling: 65 V, current: {continuous: 30 A}, resistance: 2 mohm,
           blocks_in: positive, charge_port: none, inlets: XT60 pin, outlet: XT60 socket, mount: frame metal,
           price: 48 EUR, minutes: 20 min}
  chargers: {slow 52: {output: 58.8 V, current: 3 A, plug: XT60 pin, price: 48 EUR}}
  wires:
    red: {gauge: 12 AWG, insulation: silicone, pole: plus, price: 1.40 EUR}
    black: {gauge: 12 AWG, insulation: silicone, pole: minus, price: 1.40 EUR}
  fuses: {link: {family: 10x38, rating: 25 A, voltage: 1000 V, price: 3.20 EUR}}
  connectors: {XT60: {per_contact: 30 A, contacts: pin and socket, price: 1.20 EUR}}
  packs:
"""


def a_shop(seed: int) -> Shop:
    """Four or five packs of any size and price; one in four of another series count or chemistry."""
    rng = Random(seed)
    lines = []
    for number in range(rng.choice((4, 5))):
        chemistry, series, volts = rng.choice((("NMC", 13, 48),) * 6 + (("NMC", 14, 52), ("LFP", 16, 51)))
        ah = rng.randint(6, 30)
        price, stock = round(ah * rng.uniform(15, 40)), rng.choice((1, 2, 5))
        mass = f"mass: {round(0.05 * volts * ah / 10 + rng.uniform(0.3, 1.5), 1)} kg, " if rng.random() < 0.8 else ""
        lines.append(
            f"    p{number}: {{label: {volts} V, chemistry: {chemistry}, series: {series}, capacity: {ah} Ah, {mass}"
            f"discharge: {rng.choice((10, 20, 30))} A, charge: 4 A, outlet: XT60 socket, "
            "fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}, "
            f"bms: {{charge_path: common, data: none, wakes: always}}, price: {price} EUR, stock: {stock}}}"
        )
    found = load_shop(HEAD + "\n".join(lines) + "\n", "shop")
    assert isinstance(found, Shop), found
    return found


def a_bike(shop: Shop | None) -> Build:
    found = load((COUNTER / "parcel-bike.yaml").read_bytes(), "bike", shop=shop)
    assert isinstance(found, Build), found
    return found


def quoted(build: Build, shop: Shop, **wish: object) -> Quote:
    found = quote(build, shop, Wish(ride=RIDE, **wish))  # type: ignore[arg-type]
    assert not isinstance(found, Odd)
    return found


def everything(build: Build, shop: Shop, reach_m: float | None, added: int) -> list[Figures]:
    """Figures of every choice that nothing beats, each choice planned and checked: no bound, no order, no skipping."""
    packs = {item.part.name: item for item in shop.items if item.section == "packs"}
    chargers = tuple(item for item in shop.items if item.section == "chargers")
    counter = Counter(bike_of(build), packs, chargers, shop, RIDE, None)
    choices = [Choice()]
    for count in range(1, added + 1):
        choices += [Choice(names) for names in combinations_with_replacement(packs, count)]
    choices += [Choice((name,), ("keel",)) for name in packs]
    own = build.packs["keel"]
    made = []
    for choice in choices:
        parts = [packs[name].part for name in choice.added]
        if any(choice.added.count(name) > (packs[name].stock or 0) for name in choice.added):
            continue
        if not choice.off and any((each.chemistry, each.series) != (own.chemistry, own.series) for each in parts):  # type: ignore[attr-defined]
            continue
        found = counter.offer(choice)
        if isinstance(found, Offer) and (reach_m is None or found.distance_m.low >= reach_m):
            worth = found.distance_m.low if reach_m is None else min(found.distance_m.low, ENOUGH * reach_m)
            made.append((found.price, -worth, found.mass_kg))
    return sorted({one for one in made if not any(_beats(other, one) for other in made)})


def _beats(one: Figures, other: Figures) -> bool:
    return one != other and one[0] <= other[0] and one[1] <= other[1] and one[2] <= other[2]


@pytest.mark.parametrize("seed", range(8))
def test_the_front_is_that_of_all_choices(seed: int) -> None:
    shop = a_shop(seed)
    build = a_bike(shop)
    reach_m = (None, 70_000.0, 90_000.0, 120_000.0)[seed % 4]
    wanted = everything(build, shop, reach_m, 2)
    found = quoted(build, shop, reach_m=reach_m)
    assert found.short is (not wanted)
    if wanted:
        assert sorted({each.figures for each in found.front}) == wanted


@pytest.mark.parametrize("seed", range(4))
def test_bounds_bound(seed: int) -> None:
    """What a choice costs is never below its least, and its packs never give more than the most."""
    shop = a_shop(100 + seed)
    found = quoted(a_bike(shop), shop)
    for each in found.front:
        if not each.choice.added:
            continue
        items = [item for name in each.choice.added for item in shop.items if item.part.name == name]
        assert 0 < least_price(each.bare, items, not each.choice.off, shop, "EUR") <= each.price
        most = most_of(each.bare, each.estimate.ride.air_k)
        assert most is not None
        assert each.energy_j <= most.energy_j


@pytest.mark.parametrize("seed", range(3))
def test_what_is_needed_for_a_metre_does_not_hang_on_the_leads(seed: int) -> None:
    """So a choice can be bounded before it is planned: what its packs give at most, over what the ride takes."""
    shop = a_shop(200 + seed)
    offers = [each for each in quoted(a_bike(shop), shop).front if each.choice.added]
    assert offers
    for each in offers:
        needed = needed_j_per_m(Case(each.bare), tuple(each.bare.packs), RIDE)
        most = most_of(each.bare, each.estimate.ride.air_k)
        assert most is not None
        assert needed is not None
        assert 0.98 * each.needed_j_per_m < needed <= each.needed_j_per_m * (1 + 1e-12), "up to a kilogram lighter"
        assert each.reach_m <= most.energy_j / needed


def test_nothing_beyond_the_money_is_named_the_farthest_for_it() -> None:
    """110 km for 700 EUR: nothing gets there; a pack for 832 EUR comes nearest, one for 365 EUR is within the money."""
    shop = a_shop(1030)
    build = a_bike(shop)
    every = [each for each in quoted(build, shop, add=(0, 1)).front if each.reach_m < 110_000.0]
    assert any(each.price > 700 for each in every)
    found = quoted(build, shop, reach_m=110_000.0, most=Decimal(700), add=(0, 1))
    assert found.short
    (nearest,) = found.front
    assert nearest.price <= 700
    assert nearest.reach_m == max(each.reach_m for each in every if each.price <= 700)


def test_where_nothing_gets_there_the_farthest_is_named() -> None:
    shop = a_shop(1)
    build = a_bike(shop)
    found = quoted(build, shop, reach_m=900_000.0)
    assert found.short
    (nearest,) = found.front
    assert -nearest.reach_m == min(worth for _, worth, _ in everything(build, shop, None, 2))


def test_no_more_of_a_pack_than_there_are() -> None:
    shop = a_shop(2)
    stock = {item.part.name: item.stock for item in shop.items if item.section == "packs"}
    for each in quoted(a_bike(shop), shop).front:
        for name in each.choice.added:
            assert each.choice.added.count(name) <= (stock[name] or 0)


def test_every_offer_passes_the_check_and_none_is_beaten() -> None:
    shop = a_shop(3)
    found = quoted(a_bike(shop), shop, reach_m=70_000.0)
    for each in found.front:
        assert check(each.build, brief=True).verdict != "stop"
        assert each.price == each.totals.amount
        assert not any(other.beats(each) for other in found.front)


def test_without_measured_ways_every_lead_has_the_assumed_one() -> None:
    """500 mm of way, 10 % for bends, 50 mm at each end: 650 mm to the joiner."""
    text = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8")
    text = text[: text.index("places:")] + text[text.index("ride:") :]
    text = text.replace(", place: down tube", "").replace(",\n   place: seat tube", "")
    shop = a_shop(4)
    build = load(text, "bike", shop=shop)
    assert isinstance(build, Build), build
    found = quoted(build, shop, reach_m=60_000.0)
    assert found.bike.assumed
    assert found.front
    for each in found.front:
        lengths = {lead.length_m for lead in each.build.leads.values() if lead.name != "keel lead" or each.choice.off}
        assert all(length is not None and 0.1 < length < 1.3 for length in lengths), lengths


def test_a_pack_instead_of_his_own_takes_its_place() -> None:
    shop = a_shop(5)
    bike = bike_of(a_bike(shop))
    items = {item.part.name: item for item in shop.items if item.section == "packs"}
    name = next(iter(items))
    build, new = with_choice(bike, Choice((name,), ("keel",)), items)
    assert list(build.packs) == [name]
    assert new[0].place == "down tube"
    assert not any(lead.source == "keel" for lead in build.leads.values())


def test_a_bike_that_is_stopped_is_said_to_be() -> None:
    shop = a_shop(6)
    text = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8").replace("max: 60 V", "max: 50 V")
    build = load(text, "bike", shop=shop)
    assert isinstance(build, Build)
    found = quoted(build, shop, reach_m=60_000.0)
    assert isinstance(found.now, Refused)
    assert not found.front


KNOWN = "label: 48 V, chemistry: NMC, series: 13"
UNSAID = [
    # 54.6 V is full charge of 13 cells of 4.2 V: as good as the count itself.
    ("chemistry: NMC, charger_label: 54.6 V", ""),
    ("chemistry: NMC, charger_label: 58.8 V", "14 cells in series, keel has 13: not the same voltage"),
    # 48 V stands on packs of 13 and of 14 cells.
    ("label: 48 V, chemistry: NMC", "series not in the shop file"),
    ("label: 48 V, series: 13", "chemistry not in the shop file"),
    # 13 cells of 4.2 V, or 15 of 3.65 V, are about 54.6 V.
    ("charger_label: 54.6 V", "chemistry and series not in the shop file"),
    ("label: 48 V", "chemistry and series not in the shop file"),
]


@pytest.mark.parametrize(("said", "why"), UNSAID)
def test_a_pack_is_offered_only_where_the_shop_file_says_what_it_is(said: str, why: str) -> None:
    text = HEAD + (
        f"    odd: {{{said}, capacity: 20 Ah, mass: 5 kg, discharge: 30 A, charge: 4 A, outlet: XT60 socket, "
        "cells: power, fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}, "
        "bms: {charge_path: common, data: none, wakes: always}, price: 400 EUR, stock: 1}\n"
    )
    shop = load_shop(text, "shop")
    assert isinstance(shop, Shop), shop
    found = quoted(a_bike(shop), shop, reach_m=80_000.0, add=(1, 1), instead=False)
    assert dict(found.out) == ({"odd": why} if why else {})
    assert [each.choice.added for each in found.front] == ([] if why else [("odd",)]) or found.short


TWO_PACKS = """  hull:
    {label: 48 V, chemistry: NMC, series: 13, capacity: 8 Ah, discharge: 30 A, charge: 4 A, mass: 2.7 kg, rack: none,
     outlet: XT60 socket, fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}, cells: energy,
     bms: {charge_path: common, data: none, wakes: always}, condition: sound, place: seat tube}
joiners:
  own yoke: {type: ideal-diode, inputs: 2, ceiling: 65 V, current: {continuous: 30 A}, resistance: 2 mohm,
    blocks_in: positive, charge_port: none, inlets: XT60 pin, outlet: XT60 socket, place: seat tube, mount: frame metal}
leads:
  keel lead: {from: keel, to: own yoke, length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
  hull lead: {from: hull, to: own yoke, length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
  main lead: {from: own yoke, to: controller, length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
"""


def test_of_two_packs_each_may_be_changed_for_a_larger_one() -> None:
    shop = a_shop(4)
    build = two_pack_bike(shop)
    found = quoted(build, shop, add=(0, 0))
    gone = {each.choice.off for each in found.front if each.choice.added}
    assert gone
    assert gone <= {("keel",), ("hull",), ("keel", "hull")}
    for each in found.front:
        # What comes on takes the inlet of what goes: his joiner and both other leads stay, and no joiner is bought.
        assert list(each.build.joiners) == ["own yoke"]
        assert "main lead" in each.build.leads
        assert check(each.build, brief=True).verdict != "stop"


def two_pack_bike(shop: Shop | None) -> Build:
    text = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8")
    head, _, rest = text.partition("leads:\n")
    build = load(head + TWO_PACKS + rest.partition("\n")[2], "bike", shop=shop)
    assert isinstance(build, Build), build
    return build


@pytest.mark.parametrize(
    ("seed", "added", "reach_m"), [(4, 0, None), (7, 1, 90_000.0), (9, 2, None), (12, 2, 110_000.0)]
)
def test_all_packs_of_a_bike_may_be_changed_for_larger_ones(seed: int, added: int, reach_m: float | None) -> None:
    """The front of a bike of two packs against every choice made one by one: added, one instead of one, one or two
    that go together instead of both."""
    shop = a_shop(seed)
    build = two_pack_bike(shop)
    found = quoted(build, shop, reach_m=reach_m, add=(0, added))
    items = {item.part.name: item for item in shop.items if item.section == "packs"}
    chargers = tuple(item for item in shop.items if item.section == "chargers")
    counter = Counter(bike_of(build), items, chargers, shop, RIDE, None)

    def kind(name: str) -> tuple[object, object]:
        return items[name].part.chemistry, items[name].part.series  # type: ignore[attr-defined]

    own = (build.packs["keel"].chemistry, build.packs["keel"].series)
    like_his = [name for name in items if kind(name) == own]
    choices = [Choice()]
    for count in range(1, added + 1):
        choices += [Choice(names) for names in combinations_with_replacement(like_his, count)]
    choices += [Choice((name,), (off,)) for name in like_his for off in ("keel", "hull")]
    for count in range(1, max(1, added) + 1):
        together = [names for names in combinations_with_replacement(items, count) if len({*map(kind, names)}) == 1]
        choices += [Choice(names, ("keel", "hull")) for names in together]
    made = []
    for choice in choices:
        if all(choice.added.count(name) <= (items[name].stock or 0) for name in choice.added):
            one = counter.offer(choice)
            if isinstance(one, Offer) and (reach_m is None or one.reach_m >= reach_m):
                worth = one.reach_m if reach_m is None else min(one.reach_m, ENOUGH * reach_m)
                made.append((one.price, -worth, one.mass_kg))
    best = sorted({one for one in made if not any(_beats(other, one) for other in made)})
    assert best
    assert sorted({each.figures for each in found.front}) == best


def test_where_all_come_off_the_joiner_stays_and_the_heaviest_sits_where_the_heaviest_sat() -> None:
    shop = a_shop(9)
    build = two_pack_bike(shop)
    items = {item.part.name: item for item in shop.items if item.section == "packs"}
    light, heavy = sorted(items, key=lambda name: items[name].part.mass_kg or 0.0)[:: len(items) - 1]  # type: ignore[attr-defined]
    bare, new = with_choice(bike_of(build), Choice((light, heavy), ("hull", "keel")), items)
    assert list(bare.packs) == [light, heavy]
    assert [each.place for each in new] == ["seat tube", "down tube"]
    assert list(bare.leads) == ["main lead"]
    assert list(bare.joiners) == ["own yoke"]


def test_a_new_pack_is_not_called_as_the_one_that_it_comes_on_for() -> None:
    shop = a_shop(5)
    items = {"keel": next(item for item in shop.items if item.section == "packs")}
    build, _ = with_choice(bike_of(a_bike(shop)), Choice(("keel",), ("keel",)), items)
    assert list(build.packs) == ["keel 2"]
