"""A joiner that an accessory hangs on is planned as the last; halves that can be crossed are no choice."""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.planning.plan import plan
from packyoke.planning.result import NoPlan, Plan
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.judging import weight

LAMP = (
    "accessories:\n  lamp: {from: SOURCE, max: 60 V, current: 1 A, "
    "fuse: {family: 10x38, rating: 2 A, voltage: 1000 V}}\n"
)
RUNS = [("bed", "tube", 500), ("tube", "motor", 700)]


def three_packs(source: str) -> str:
    return bike(
        {"a": pack("bed"), "b": pack("bed"), "c": pack("tube")},
        {"first": joiner(), "second": joiner()},
        dict.fromkeys(("bed", "tube", "motor"), "{holds: 2, mount: frame metal}"),
        RUNS,
        more=LAMP.replace("SOURCE", source),
    )


def test_the_joiner_with_a_lamp_feeds_the_controller_and_the_plan_is_proved() -> None:
    for source in ("first", "second"):
        found = plan(build_of(three_packs(source)))
        assert isinstance(found, Plan), found
        assert found.proved, found.doubt
        assert [lead.target for lead in harness(Case(found.build)).leads_from[source]] == ["controller"]
        assert weight(found.build) == (0, found.objective.values[0])


def test_a_joiner_that_does_nowhere_is_named_at_once() -> None:
    tiny = three_packs("second").replace("current: {continuous: 30 A}", "current: {continuous: 5 A}", 1)
    found = plan(build_of(tiny))
    assert isinstance(found, NoPlan)
    assert (found.part, found.rule) == ("joiners.first", "joiner-overloaded")


def test_with_lamps_on_two_joiners_nothing_is_called_proved() -> None:
    lamps = LAMP + LAMP.removeprefix("accessories:\n").replace("lamp:", "horn:").replace("SOURCE", "second")
    text = three_packs("first").replace(LAMP.replace("SOURCE", "first"), lamps.replace("SOURCE", "first"))
    found = plan(build_of(text))
    assert isinstance(found, Plan), found
    assert not found.proved
    assert "place among the others" in found.doubt


def shelf(keyed_price: int) -> str:
    sold = [
        ("crossed", "4 mm bullet", 20),
        ("keyed", "XT60", keyed_price),
    ]
    items = "".join(f"    {name}: {joiner(30, family)[:-1]}, price: {price} EUR}}\n" for name, family, price in sold)
    return f"packyoke-shop: 1\nshelf:\n  joiners:\n{items}"


def test_a_joiner_that_can_be_plugged_crossed_is_never_chosen_however_cheap() -> None:
    places = {f"spot {n}": "{holds: 1, mount: frame metal}" for n in range(14)}
    runs = [(f"spot {n}", f"spot {n + 1}", 40) for n in range(13)]
    text = bike({"a": pack("spot 0"), "b": pack("spot 5")}, {}, places, runs, at="spot 9")
    shop = shop_of(shelf(90))
    found = plan(build_of(text, shop), shop)
    assert isinstance(found, Plan), found
    assert [*found.build.joiners] == ["keyed"]
    assert found.proved
