"""What a quote may choose from and what it says of what it leaves out, by tables."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import inf
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.core.findings import Severity
from packyoke.model import Pack
from packyoke.model.shop import ShelfItem
from packyoke.planning.quoting import bounds
from packyoke.planning.quoting import search as searching
from packyoke.planning.quoting.bounds import STEPS_KG, Most
from packyoke.planning.quoting.candidates import Choice, bike_of, too_high, unlike_bonded
from packyoke.planning.quoting.offers import Counter, Offer, Refused
from packyoke.planning.quoting.search import Quote, Wish, _Search, _unlike, quote
from packyoke.verdict.check import check
from tests.planning.bikes import bike, build_of, joiner, pack
from tests.planning.test_quote import RIDE, a_bike, a_shop, two_pack_bike
from tests.planning.test_quote_search import Row, offer_of

SHOP = a_shop(4)


# What there is to choose from.


def item(name: str = "p", stock: int | None = None, lead_days: int | None = None, **part: Any) -> ShelfItem:
    base = next(each for each in SHOP.items if each.section == "packs" and cast(Pack, each.part).series == 13)
    pack = replace(cast(Pack, base.part), name=name, chemistry="NMC", **part)
    return replace(base, part=pack, stock=None if stock is None else Decimal(stock), lead_days=lead_days)


def searched(*items: ShelfItem, bike: Any = None, **wish: Any) -> _Search:
    counter = SimpleNamespace(
        bike=bike or bike_of(a_bike(SHOP)), items={each.part.name: each for each in items}, rider=None
    )
    return _Search(cast(Counter, counter), SHOP, Wish(ride=RIDE, **wish), "EUR")


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (item(), ""),
        (replace(item(), price=None), "no price in the shop file"),
        (item(stock=0), "none in stock"),
        (item(stock=1), ""),
        (item(stock=0, lead_days=5), ""),
        (item(outlet=None), "outlet not in the shop file"),
        (item(capacity_coulomb=None, outlet=None), "capacity and outlet not in the shop file"),
        (item(series=None, full_charge_v=None), "series not in the shop file"),
    ],
)
def test_what_is_not_offered_whatever_the_bike(one: ShelfItem, said: str) -> None:
    assert dict(searched(one).not_sold()).get("p", "") == said


@pytest.mark.parametrize(
    ("part", "own", "said"),
    [
        ({}, {}, ""),
        ({"series": 14}, {}, "14 cells in series, keel has 13: not the same voltage"),
        ({"chemistry": "LFP"}, {}, "LFP, keel is NMC: two chemistries are not joined"),
        ({"chemistry": None}, {}, ""),
        ({"chemistry": "LFP"}, {"chemistry": None}, ""),
        ({"series": None, "full_charge_v": None}, {}, ""),
        ({"series": 14}, {"series": None, "full_charge_v": None}, ""),
    ],
)
def test_what_is_not_joined(part: dict[str, Any], own: dict[str, Any], said: str) -> None:
    build = a_bike(SHOP)
    keel = replace(build.packs["keel"], **own)
    one = replace(cast(Pack, item().part), **part)
    assert _unlike(one, keel) == said
    bike = bike_of(replace(build, packs={"keel": keel}))
    search = searched(replace(item(), part=one), bike=bike)
    assert dict(search.not_beside(["p"])) == ({"p": said} if said else {})
    assert dict(search.not_beside(["p"], "keel")) == {}, "nothing of the bike stays"


@pytest.mark.parametrize(
    ("stock", "lead_days", "many"),
    [(None, None, 3), (0, None, 0), (1, None, 1), (2, None, 2), (3, None, 3), (1, 7, 3)],
)
def test_as_many_come_on_as_there_are(stock: int | None, lead_days: int | None, many: int) -> None:
    search = searched(item(stock=stock, lead_days=lead_days), add=(1, 3))
    assert [*search.choices(["p"], ["p"])] == [Choice(("p",) * number) for number in range(1, many + 1)]


@pytest.mark.parametrize(
    ("add", "instead", "added", "swaps"),
    [
        ((0, 2), True, (1, 2), True),
        ((0, 2), False, (1, 2), False),
        ((0, 1), True, (1,), True),
        ((0, 0), True, (), True),
        # Where one has to come on, none comes in place of another.
        ((1, 1), True, (1,), False),
        ((2, 2), True, (2,), False),
        # Three at most.
        ((0, 5), True, (1, 2, 3), True),
    ],
)
def test_how_many_come_on(add: tuple[int, int], instead: bool, added: tuple[int, ...], swaps: bool) -> None:
    search = searched(item(), add=add, instead=instead)
    found = [*search.choices(["p"], ["p"])]
    assert [len(each.added) for each in found if not each.off] == [*added]
    assert [each for each in found if each.off] == ([Choice(("p",), ("keel",))] if swaps else [])


def test_all_of_two_come_off_for_one_or_for_as_many_as_go_together() -> None:
    items = item("a"), item("b", stock=1), item("c", series=14)
    search = searched(*items, bike=bike_of(two_pack_bike(SHOP)), add=(0, 2))
    own = ("keel", "hull")
    of_all = [each.added for each in search.choices(["a", "b"], ["a", "b", "c"]) if each.off == own]
    # Of b there is one; c has 14 cells in series and goes with its like only.
    assert of_all == [("a",), ("b",), ("c",), ("a", "a"), ("a", "b"), ("c", "c")]
    one = searched(*items, bike=bike_of(two_pack_bike(SHOP)), add=(0, 1))
    assert [each.added for each in one.choices(["a"], ["a"]) if each.off == own] == [("a",)]


@pytest.mark.parametrize(
    ("packs", "choice", "joined"),
    [
        (1, Choice(("p",)), True),
        (1, Choice(("p",), ("keel",)), False),
        (2, Choice(("p",)), True),
        # His joiner has the inlet of the one that comes off.
        (2, Choice(("p",), ("keel",)), False),
        (2, Choice(("p",), ("keel", "hull")), False),
    ],
)
def test_whether_a_joiner_has_to_come(
    packs: int, choice: Choice, joined: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    monkeypatch.setattr(searching, "least_price", lambda *each: asked.append(each) or Decimal(7))
    bike = bike_of(a_bike(SHOP) if packs == 1 else two_pack_bike(SHOP))
    assert searched(item(), bike=bike)._least(choice) == 7
    assert [(len(each[1]), each[2]) for each in asked] == [(1, joined)]


def test_two_packs_without_a_joiner_before_the_controller_need_one(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(searching, "least_price", lambda *each: asked.append(each[2]) or Decimal(7))
    bike = bike_of(two_pack_bike(SHOP))
    bike = bike._replace(build=replace(bike.build, joiners={}, leads={}))
    searched(item(), bike=bike)._least(Choice(("p",), ("keel",)))
    assert asked == [True]


@pytest.mark.parametrize(
    ("needed", "wanted"),
    [
        ((40.0, 50.0), [inf, 25.0, 20.0]),
        ((None, None), [inf, inf, inf]),
        ((0.0, 0.0), [inf, inf, inf]),
        ((40.0, None), [inf, 25.0, 25.0]),
    ],
)
def test_how_far_a_choice_goes_comes_ever_closer_and_is_worked_out_once(
    needed: tuple[float | None, ...], wanted: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The most that packs give over what the ride takes: 1000 J over 40 J/m of packs up to 8 kg lighter, then 50."""
    asked: list[float] = []
    answers = dict(zip(STEPS_KG, needed, strict=True))
    monkeypatch.setattr(bounds, "needed_j_per_m", lambda *each: asked.append(each[-1]) or answers[each[-1]])
    farthest, build = bounds.Farthest(RIDE, None), a_bike(SHOP)
    for _ in range(2):
        found = farthest.ever_closer(Choice(("p",)), lambda _: build, Most(1000.0, 5.0, 48.0, 0.0), [])
        assert [*found] == wanted
    assert asked == [8.0, 1.0]
    assert [*farthest.ever_closer(Choice(("q",)), lambda _: build, None, [])] == [inf]


def test_what_a_choice_gives_at_most_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(searching, "most_of", lambda *each: asked.append(each))
    search = searched(item())
    assert [search._most(Choice(("p",))) for _ in range(2)] == [None, None]
    assert len(asked) == 1


# The quote as a whole, with offers by table.


def quoted(
    monkeypatch: pytest.MonkeyPatch, now: Row, rows: dict[tuple[str, ...], Row], *items: ShelfItem, **wish: Any
) -> Quote:
    """A quote whose offers are rows by what comes on."""
    made = {}

    def counter(bike: Any, packs: Any, chargers: Any, *rest: Any) -> Any:
        made.update(packs=[*packs], chargers=[each.part.name for each in chargers], enough_m=rest[3])

        def offer(choice: Choice, worth_it: Any = None) -> Offer | Refused:
            row = rows.get(choice.added, now)
            return (
                Refused(choice, row.none, ("joiners.yoke",) if row.none == "stopped" else ())
                if row.none
                else offer_of(row, choice)
            )

        return SimpleNamespace(bike=bike, items=packs, offer=offer, rider=None, made=made)

    monkeypatch.setattr(searching, "Counter", counter)
    monkeypatch.setattr(searching, "least_price", lambda build, added, *_: Decimal(100 * len(added)))
    monkeypatch.setattr(searching, "most_of", lambda *_: None)
    others = tuple(each for each in SHOP.items if each.section != "packs")
    found = quote(a_bike(SHOP), SHOP._replace(items=(*others, *items)), Wish(ride=RIDE, **wish))
    assert isinstance(found, Quote)
    assert made["packs"] == [each.part.name for each in items]
    assert made["chargers"] == ["slow 52"]
    reach_m = wish.get("reach_m")
    assert made["enough_m"] == (inf if reach_m is None else 1.25 * reach_m)
    return found


def test_what_a_quote_says_of_what_it_leaves_out(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = {("good",): Row(150, 60.0), ("good", "good"): Row(250, 60.0), ("other",): Row(80, 20.0, none="heavy")}
    items = item("good"), item("gone", stock=0), item("other", series=14)
    found = quoted(monkeypatch, Row(0, 40.0), rows, *items, add=(0, 2))
    # Beside his own pack or in place of it: neither is better.
    assert [each.choice for each in found.front] == [Choice(), Choice(("good",)), Choice(("good",), ("keel",))]
    assert not found.short
    assert [each.choice.added for each in found.refused] == [("other",)]
    assert [name for name, _ in found.out] == ["gone", "other"]
    # One or two of the good one, and each of both in place of keel.
    assert found.counted == (4, 4)


def test_what_comes_on_in_place_of_a_pack_is_not_called_out(monkeypatch: pytest.MonkeyPatch) -> None:
    found = quoted(monkeypatch, Row(0, 40.0), {("other",): Row(80, 60.0)}, item("other", series=14), add=(0, 1))
    assert [each.choice for each in found.front] == [Choice(), Choice(("other",), ("keel",))]
    assert found.out == ()


@pytest.mark.parametrize(("none", "planned"), [("stopped", 0), ("heavy", 2)])
def test_what_stops_the_bike_as_it_is_comes_first(monkeypatch: pytest.MonkeyPatch, none: str, planned: int) -> None:
    rows = {("good",): Row(150, 60.0)}
    found = quoted(monkeypatch, Row(0, 0.0, none=none), rows, item("good"), item("gone", stock=0), add=(0, 1))
    assert found.counted == (planned, planned)
    assert [name for name, _ in found.out] == ([] if none == "stopped" else ["gone"])
    assert found.short is (none == "stopped")


def test_a_quote_that_nothing_reaches_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = {("good",): Row(150, 60.0)}
    found = quoted(monkeypatch, Row(0, 40.0), rows, item("good"), add=(0, 1), reach_m=70.0)
    assert found.short
    assert [each.choice.added for each in found.front] == [("good",)]
    assert not found.enough
    assert quoted(monkeypatch, Row(0, 40.0), rows, item("good"), add=(0, 1), reach_m=40.0).enough
    assert not quoted(monkeypatch, Row(0, 40.0), rows, item("good"), add=(0, 1), reach_m=60.0).short


BONDED = bike(
    {"a": pack("bed", 14), "b": pack("bed", 14)},
    {"y": joiner().replace("type: ideal-diode", "type: plain").replace(", blocks_in: positive", ", %s")},
    {"bed": "{holds: 1}"},
    [],
    at="bed",
    leads={"la": "{from: a, to: y}", "lb": "{from: b, to: y}", "main": "{from: y, to: controller}"},
)
GOOD = "bonded: {by: 0.1 V, charged: together}"


@pytest.mark.parametrize(
    ("joins", "added", "off", "ah", "said"),
    [
        (GOOD, ("p",), ("a",), 14, False),  # as far as is written it is of their model; the check says the rest
        (GOOD, ("p",), ("a",), 15, True),
        (GOOD, ("p",), ("a", "b"), 15, False),  # alone in it
        (GOOD, ("p", "p"), ("a", "b"), 15, False),  # two of one model
        (GOOD, ("p", "q"), ("a", "b"), 15, True),
        (GOOD, ("p",), (), 15, False),  # no inlet is free: a joiner of its own comes before the controller
        (GOOD, (), ("a",), 15, False),
        ("inputs: 2", ("p",), ("a",), 15, False),  # not joined for good
    ],
)
def test_only_packs_of_one_model_go_into_a_joiner_that_joins_for_good(
    joins: str, added: tuple[str, ...], off: tuple[str, ...], ah: float, said: bool
) -> None:
    build = build_of(BONDED.replace(", %s, inputs: 2", f", {joins}" if joins != GOOD else f", {joins}, inputs: 2"))
    items = {name: item(name, capacity_coulomb=ah * 3600.0) for name in "pq"}
    words = "y joins its packs for good: they have to be of one model" if said else ""
    assert unlike_bonded(bike_of(build), Choice(added, off), items) == words


@pytest.mark.parametrize(
    ("series", "most", "said"),
    [
        (13, "54.5 V", "54.6 V when full, the controller takes 54.5 V"),
        (13, "54.6 V", ""),
        (13, "60 V", ""),
        (14, "54.6 V", "58.8 V when full, the controller takes 54.6 V"),
        (13, "54.5 V?", ""),  # a guess decides nothing
    ],
)
def test_a_pack_that_the_controller_does_not_bear_is_not_planned(series: int, most: str, said: str) -> None:
    """What is refused before it is planned is what the check stops at the controller."""
    text = BONDED.replace(", %s, inputs: 2", f", {GOOD}, inputs: 2").replace("max: 60 V", f"max: {most}")
    build = build_of(text.replace("series: 13", f"series: {series}"))
    one = item("p", full_charge_v=series * 4.2)
    assert too_high(bike_of(build), cast(Pack, one.part)) == said
    assert dict(searched(one, bike=bike_of(build)).not_sold()) == ({"p": said} if said else {})
    stops = {each.part: each.severity for each in check(build).findings if each.rule == "controller-window"}
    assert (stops.get("controller") == Severity.STOP) == bool(said)


def test_what_no_controller_bears_is_told_where_the_bike_is_at_stop_for_its_own_packs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing else of the shelf is left to choose from, and without it nothing would be said."""
    high = item("high", full_charge_v=100.8, series=24)
    found = quoted(monkeypatch, Row(0, 0.0, none="stopped"), {}, high, add=(0, 1))
    assert [name for name, _ in found.out] == ["high"]
