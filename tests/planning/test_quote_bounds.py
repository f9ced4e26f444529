"""What a choice of a quote costs at least and how far it goes at most, by hand; and small questions about its bike."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import inf
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.core.findings import Severity
from packyoke.model import CUSTOMER, Build, End
from packyoke.planning.quoting import offers
from packyoke.planning.quoting.bounds import Most, least_price, most_of, most_reach_m
from packyoke.planning.quoting.candidates import MIDDLE, MOST_NEW, Choice, bike_of, with_choice
from packyoke.planning.quoting.offers import Counter, Refused
from packyoke.planning.result import NoPlan, Refusal, Stuck
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.test_quote import RIDE, a_bike, a_shop, two_pack_bike
from tests.planning.test_quote_bike import on_shelf

MOST = Most(energy_j=1000.0, mass_kg=10.0, nominal_v=48.0, untested_fraction=0.1)
SHOP = a_shop(4)


def made(needed: float, **more: float) -> tuple[Any, Most]:
    return SimpleNamespace(needed_j_per_m=needed), MOST._replace(**more)


@pytest.mark.parametrize(
    ("offers_made", "reach_m"),
    [
        ([], inf),
        ([made(50.0)], 20.1),
        # Of several the one that takes most is the closest bound.
        ([made(40.0), made(50.0)], 20.1),
        ([made(50.0), made(40.0)], 20.1),
        ([made(0.0)], inf),
        # What is heavier, less tested or of another voltage says nothing.
        ([made(50.0, mass_kg=10.1)], inf),
        ([made(50.0, mass_kg=9.9)], 20.1),
        ([made(50.0, untested_fraction=0.11)], inf),
        ([made(50.0, untested_fraction=0.09)], 20.1),
        ([made(50.0, nominal_v=48.001)], inf),
        ([made(50.0, nominal_v=47.999)], inf),
    ],
)
def test_what_no_easier_choice_takes_bounds_the_reach(offers_made: list[Any], reach_m: float) -> None:
    """1000 J at 50 J/m are 20 m, and half a percent for what is worked out with spreads."""
    assert most_reach_m(MOST, offers_made) == pytest.approx(reach_m)
    assert most_reach_m(None, offers_made) == inf


def test_the_most_that_packs_give() -> None:
    build = build_of(bike({"a": pack("bed", 10), "b": pack("bed", 20)}, {}, {"bed": "{holds: 1}"}, [], at="bed"))
    masses = {name: replace(each, mass_kg=4.0) for name, each in build.packs.items()}
    build = replace(build, packs=masses)
    both, one = most_of(build, 298.15), most_of(replace(build, packs={"a": build.packs["a"]}), 298.15)
    assert both is not None
    assert one is not None
    # 30 Ah in place of 10; about 13 x 3.7 V on the way down.
    assert both.energy_j == pytest.approx(3 * one.energy_j)
    assert one.energy_j == pytest.approx(10 * 3600 * 13 * 3.7, rel=0.05)
    assert (one.mass_kg, both.mass_kg) == (4.0, 8.0)
    # A controller that cuts higher leaves less in them; a pack that is not known leaves nothing to say.
    high = most_of(build.with_value("controller", "low_voltage_cut_v", 48.0), 298.15)
    assert high is not None
    assert high.energy_j < 0.6 * both.energy_j
    assert most_of(build.with_value("packs.a", "capacity_coulomb", None), 298.15) is None
    assert most_of(build.with_value("packs.a", "chemistry", None), 298.15) is None


SHELF = """packyoke-shop: 1
shelf:
  joiners:
    dear: {type: ideal-diode, ceiling: 65 V, current: {continuous: 30 A}, blocks_in: positive, inputs: 2,
           inlets: XT60 pin, outlet: XT60 socket, price: 48 EUR}
    cheap: {type: ideal-diode, ceiling: 65 V, current: {continuous: 30 A}, blocks_in: positive, inputs: 2,
            inlets: XT60 pin, outlet: XT60 socket, price: 40 EUR}
    bar: {type: plain, ceiling: 65 V, current: {continuous: 30 A}, inputs: 2, inlets: XT60 pin, outlet: XT60 socket,
          price: 5 EUR}
  connectors: {XT60: {price: 1.20 EUR}}
  sundries:
    s: {use: sleeve, price: 0.10 EUR}
    c: {use: cap, price: 0.20 EUR}
    l: {use: labels, price: 3 EUR}
  packs:
    p: {label: 48 V, price: 300 EUR}
"""


def least(packs: int = 2, joined: bool = True, shelf: str = SHELF, build: Build | None = None) -> float:
    stock = shop_of(shelf)
    if build is None:
        given = {f"p{n}": pack("bed") for n in range(packs)}
        build = build_of(bike(given, {}, {"bed": "{holds: 1}"}, [], at="bed"))
    added = [each for each in stock.items if each.section == "packs"]
    return float(least_price(build, added, joined, stock, "EUR"))


SMALL = 4 * 0.10
"""Four sleeves a lead."""


def test_the_least_price_by_hand() -> None:
    # The pack; the cheapest joiner that blocks; two halves at each of three leads; sleeves; two caps a pack; labels.
    assert least() == pytest.approx(300 + 40 + 6 * 1.20 + 3 * SMALL + 4 * 0.20 + 3)
    assert least(3) == pytest.approx(300 + 40 + 8 * 1.20 + 4 * SMALL + 6 * 0.20 + 3)
    # One pack alone goes straight to the controller.
    assert least(1, joined=False) == pytest.approx(300 + 2 * 1.20 + SMALL + 2 * 0.20 + 3)


def test_where_a_price_is_missing_nothing_is_counted_for_it() -> None:
    whole = least()
    # One of the joiners could be had for nothing, as far as anybody can say.
    assert least(shelf=SHELF.replace(", price: 48 EUR", "")) == pytest.approx(whole - 40)
    assert least(shelf=SHELF.replace("  connectors: {XT60: {price: 1.20 EUR}}\n", "")) == pytest.approx(whole - 7.2)
    assert least(shelf=SHELF.replace("    c: {use: cap, price: 0.20 EUR}\n", "")) == pytest.approx(whole - 0.8)
    # The one without a price blocks nothing: it is no joiner to be had.
    assert least(shelf=SHELF.replace("\n          price: 5 EUR", "")) == pytest.approx(whole)


def test_what_needs_no_plug_is_not_counted() -> None:
    build = build_of(bike({f"p{n}": pack("bed") for n in range(2)}, {}, {"bed": "{holds: 1}"}, [], at="bed"))
    whole = least()
    wired = replace(build.packs["p0"], outlet=End("joint solder", "joint", "joint"))
    assert least(build=replace(build, packs={**build.packs, "p0": wired})) == pytest.approx(whole - 1.2)
    unknown = replace(build.packs["p0"], outlet=None)
    assert least(build=replace(build, packs={**build.packs, "p0": unknown})) == pytest.approx(whole - 1.2)
    # Where the file has connectors of its own that go onto one another, no half can be told.
    assert least(build=replace(build, connectors=cast(Any, {"own": None}))) == pytest.approx(whole - 7.2)


def test_a_bike_whose_leads_are_all_there_needs_the_pack_only() -> None:
    build = build_of(
        bike(
            {"p0": pack("bed")},
            {},
            {"bed": "{holds: 1}"},
            [],
            at="bed",
            leads={"lead": "{from: p0, to: controller, length: 500 mm}"},
        )
    )
    assert least(build=build, joined=False) == 300


def test_a_free_joiner_of_his_own_has_inlets_to_go_into() -> None:
    own = build_of(bike({"p0": pack("bed")}, {"y": joiner(family="XT90")}, {"bed": "{holds: 1}"}, [], at="bed"))
    # Into his joiner, XT90: no price is known for that half.
    assert least(build=own, joined=False) == pytest.approx(300 + 1.2 + SMALL + 0.4 + 3)


# The bike of a quote.


def test_what_the_shop_has_too_is_his_own_and_what_it_has_not_stays() -> None:
    build = two_pack_bike(SHOP)
    assert {"packs.keel", "packs.hull"} - {*build.items}
    both = replace(build, items={"packs.keel": "p0"})
    owners = {name: each.owner for name, each in bike_of(both).build.packs.items()}
    assert owners == {"keel": CUSTOMER, "hull": build.packs["hull"].owner}
    assert {each.owner for each in bike_of(both).build.leads.values()} == {CUSTOMER}


def test_with_a_pack_goes_what_was_accepted_of_it() -> None:
    items = on_shelf()
    name = next(iter(items))
    build = two_pack_bike(SHOP)
    accepted = tuple(SimpleNamespace(part=part) for part in ("packs.keel", "packs.hull", "build"))
    bare, _ = with_choice(bike_of(replace(build, accept=cast(Any, accepted))), Choice((name,), ("keel",)), items)
    assert [each.part for each in bare.accept] == ["packs.hull", "build"]


def test_in_the_middle_there_is_room_for_all_joiners_and_elsewhere_for_none() -> None:
    build = replace(a_bike(SHOP), places={}, runs=())
    places = bike_of(build).build.places
    assert places[MIDDLE].holds == len(build.joiners) + MOST_NEW
    assert {each.holds for name, each in places.items() if name != MIDDLE} == {0}


@pytest.mark.parametrize(
    ("severity", "found"), [(Severity.CAUTION, True), (Severity.STOP, True), (Severity.NOTE, False)]
)
def test_what_the_check_says_of_a_charger(severity: Severity, found: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of that charger alone: what is said of a pack is said again of the plan."""
    asked = []

    def judge_at(_build: Build, _rules: object, path: str) -> list[Any]:
        asked.append(path)
        return [SimpleNamespace(severity=severity)]

    monkeypatch.setattr(offers, "judge_at", judge_at)
    before = cast(Build, SimpleNamespace(chargers={"old": None}))
    tried = cast(Build, SimpleNamespace(chargers={"old": None, "new": None}))
    assert offers._charger_findings(tried, before) is found
    assert asked == ["chargers.new"]


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (
            NoPlan(constraint="no wire of the shelf fits", part="leads.main lead"),
            "main lead: no wire of the shelf fits",
        ),
        (NoPlan(constraint="there is no joiner"), "there is no joiner"),
        (Refusal(kind="fact", text="hull: chemistry is not known", do="Write it."), "hull: chemistry is not known"),
        (
            Refusal(kind="drawing", text="the file has two controllers", do="Leave one out"),
            "the file has two controllers. Leave one out",
        ),
        (Refusal(kind="drawing", text="the file has two controllers"), "the file has two controllers"),
    ],
)
def test_why_a_choice_is_no_offer(answer: NoPlan | Refusal, said: str) -> None:
    """With the part where it is one; of what has to be told first the answer itself says what to do."""
    assert offers._stuck_words(Stuck(answer)) == said


def test_the_cheapest_charger_that_does_is_taken() -> None:
    """For a new pack whose plug the bike's charger has not."""
    slow = next(each for each in SHOP.items if each.section == "chargers")
    dear = replace(slow, price=Decimal(90), part=replace(slow.part, name="dear"))
    name, item = next(iter(on_shelf().items()))
    items = {name: replace(item, part=replace(item.part, series=14, full_charge_v=58.8))}  # type: ignore[call-arg]
    bike_of_one = bike_of(a_bike(SHOP))
    for chargers, taken in (((dear, slow), "slow 52"), ((slow, dear), "slow 52"), ((dear,), "dear"), ((), None)):
        counter = Counter(bike_of_one, items, chargers, SHOP, RIDE, None)
        build, new = with_choice(bike_of_one, Choice((name,), ("keel",)), items)
        charged = counter._with_chargers(build, new)
        assert [*(charged.chargers.keys() - build.chargers.keys())] == ([] if taken is None else [taken])


def test_what_no_plan_is_made_without_is_asked_for_before_chargers_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a bike whose full charge nobody knows each choice tried all chargers first: a minute and a half."""
    build = a_bike(SHOP)
    keel = replace(build.packs["keel"], series=None, full_charge_v=None)
    monkeypatch.setattr(Counter, "_with_chargers", lambda *_: pytest.fail("tried"))
    counter = Counter(bike_of(replace(build, packs={"keel": keel})), on_shelf(), (), SHOP, RIDE, None)
    found = counter.offer(Choice((next(iter(on_shelf())),)))
    assert isinstance(found, Refused)
    assert found.reason == "not in the file: full_charge of keel"
    assert found.waits, "nobody knows whether it is one"
