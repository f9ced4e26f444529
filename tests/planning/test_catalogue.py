"""What a plan may be made of: fuses at both sides of what they are made for, joiners like those of the file, wire."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from packyoke.analysis.limits.fusing import family_for
from packyoke.analysis.unknowns.spans import ends
from packyoke.core.findings import Severity
from packyoke.model import Fuse
from packyoke.planning.assumed import worst_joiner
from packyoke.planning.catalogue import Catalogue, beyond, catalogue, copied_from, fits_together, suitable_fuses
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from packyoke.verdict.check import check
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of

SHOP = (Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8")
PLACES = {"bed": "{holds: 1}", "tube": "{holds: 2}", "motor": "{holds: 0}"}
RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]
PACKS = {"a": pack("bed"), "b": pack("bed")}


def shelf_with(fuses: str, leads: dict[str, str] | None = None) -> Catalogue:
    shop = shop_of(f"packyoke-shop: 1\nshelf:\n  fuses:\n{fuses}")
    return catalogue(build_of(bike(PACKS, {}, PLACES, RUNS, leads=leads), shop), shop)


FUSES = """
    dear 30: {family: class T, rating: 30 A, voltage: 60 V, price: 9 EUR}
    cheap 30: {family: class T, rating: 30 A, voltage: 160 V, price: 8 EUR}
    no price 30: {family: class T, rating: 30 A, voltage: 60 V}
    25: {family: class T, rating: 25 A, voltage: 60 V, price: 20 EUR}
    weak 20: {family: blade, rating: 20 A, voltage: 58 V, breaking: 500 A}
    blade 20: {family: blade, rating: 20 A, voltage: 58 V}
    unmarked 15: {family: blade, rating: 15 A}
"""


@pytest.mark.parametrize(
    ("volts_v", "short_a", "least_a", "names"),
    [
        (58.0, 400.0, 20.0, ["weak 20", "blade 20", "25"]),
        (58.0, 400.0, 20.01, ["25"]),
        (58.0, 500.0, 20.0, ["weak 20", "blade 20", "25"]),
        (58.0, 501.0, 20.0, ["blade 20", "25"]),  # it says itself what it breaks
        (58.0, 1000.0, 20.0, ["blade 20", "25"]),  # ISO 8820-3: 1000 A
        (58.0, 1001.0, 20.0, ["25"]),
        (58.1, 400.0, 20.0, ["25"]),  # made for 58 V
        (32.0, 400.0, 15.0, ["unmarked 15"]),  # without a mark a blade fuse may be one for 32 V
        (32.1, 400.0, 15.0, ["weak 20"]),
        (60.0, 400.0, 25.0, ["25"]),
        (60.1, 400.0, 25.0, ["cheap 30"]),
    ],
)
def test_a_fuse_of_the_shelf_is_chosen_up_to_what_it_is_made_for(
    volts_v: float, short_a: float, least_a: float, names: list[str]
) -> None:
    found = suitable_fuses(shelf_with(FUSES), volts_v, short_a, least_a)
    told = [each.item.part.name for each in found if each.item is not None]
    assert told[: len(names)] == names


def test_the_least_rating_comes_first_and_of_equal_ones_the_cheapest() -> None:
    found = suitable_fuses(shelf_with(FUSES), 54.6, 400.0, 24.0)
    assert [each.item.part.name for each in found if each.item is not None][:2] == ["25", "cheap 30"]


@pytest.mark.parametrize(
    ("volts_v", "short_a", "least_a", "kind"),
    [
        # ISO 8820-3: blade fuses up to 58 V, 100 A and a short circuit of 1000 A. NEC 240.6(A): 15, 20 .. 100, 110 A.
        (58.0, 1000.0, 20.0, ("blade", 20.0, 58.0)),
        (58.0, 1000.0, 20.1, ("blade", 25.0, 58.0)),
        (58.0, 1000.0, 100.0, ("blade", 100.0, 58.0)),
        (58.0, 1000.0, 100.1, ("class T", 110.0, 160.0)),
        (58.0, 1001.0, 20.0, ("10x38", 20.0, 1000.0)),
        (58.1, 1000.0, 20.0, ("10x38", 20.0, 1000.0)),
        # Links of 10 x 38 mm: up to 32 A. Class T: up to 160 V and 10 kA.
        (58.8, 1000.0, 30.0, ("10x38", 30.0, 1000.0)),
        (58.8, 1000.0, 30.1, ("class T", 35.0, 160.0)),
        (160.0, 10_000.0, 35.0, ("class T", 35.0, 160.0)),
        (160.1, 10_000.0, 35.0, ("battery link", 35.0, 1500.0)),
        (58.8, 10_001.0, 35.0, ("battery link", 35.0, 1500.0)),
    ],
)
def test_without_a_shelf_the_fuse_is_the_one_that_the_check_names(
    volts_v: float, short_a: float, least_a: float, kind: tuple[str, float, float]
) -> None:
    bare = catalogue(build_of(bike(PACKS, {}, PLACES, RUNS)), None)
    (found,) = suitable_fuses(bare, volts_v, short_a, least_a)
    assert (found.family, found.rating_a, found.voltage_v) == kind
    assert family_for(found.rating_a, volts_v, short_a) == (found.family, found.voltage_v)


def test_beyond_the_largest_rating_there_is_none() -> None:
    """The table of ratings ends at 150 A, more than a bike draws."""
    bare = catalogue(build_of(bike(PACKS, {}, PLACES, RUNS)), None)
    assert [each.rating_a for each in suitable_fuses(bare, 54.6, 1000.0, 150.0)] == [150.0]
    assert suitable_fuses(bare, 54.6, 1000.0, 151.0) == ()


def test_what_is_no_whole_fuse_is_none_to_choose() -> None:
    lines = "    a: {family: class T, rating: 30 A}\n    b: {rating: 30 A}\n    c: {family: class T}\n"
    assert [(each.family, each.rating_a, each.voltage_v) for each in shelf_with(lines).fuses] == [
        ("class T", 30.0, 160.0)
    ]


@pytest.mark.parametrize(("amps_a", "bears"), [(20.0, True), (19.9, False)])
def test_two_fuses_are_borne_together_by_wire_for_two_thirds_of_them(amps_a: float, bears: bool) -> None:
    assert fits_together(30.0, amps_a) is bears


def test_one_more_is_like_the_joiner_that_the_file_describes_whole() -> None:
    build = build_of(bike(PACKS, {"y": joiner(), "z": "{like: y, place: tube}", "w": joiner(45)}, PLACES, RUNS))
    assert [copied_from(build, each).name for each in build.joiners.values()] == ["y", "y", "w"]
    turned = build_of(bike(PACKS, {"z": "{like: y, place: tube}", "w": joiner(45), "y": joiner()}, PLACES, RUNS))
    assert [copied_from(turned, each).name for each in turned.joiners.values()] == ["y", "w", "y"]
    shelf = "{part: small yoke}"
    bought = build_of(bike(PACKS, {"y": shelf, "w": joiner(), "z": shelf}, PLACES, RUNS), shop_of(SHOP))
    assert [copied_from(bought, each).name for each in bought.joiners.values()] == ["y", "w", "z"]
    assert [each.like for each in catalogue(build, None).models] == ["y", "w"]
    assert [each.joiner.place_name for each in catalogue(build, None).models] == [None, None]


@pytest.mark.parametrize(
    ("text", "more"),
    [
        (joiner(), True),
        (joiner().replace("ideal-diode", "diode").replace("resistance: 2 mohm, ", ""), True),
        (joiner().replace("ideal-diode", "plain").replace("blocks_in: positive, ", ""), False),
        (joiner().replace("type: ideal-diode", "built_in: true, type: ideal-diode"), False),
    ],
)
def test_more_of_a_joiner_only_where_it_blocks_and_can_be_bought(text: str, more: bool) -> None:
    build = build_of(bike(PACKS, {"y": text}, PLACES, RUNS))
    assert bool(catalogue(build, None).models) is more


@pytest.mark.parametrize(
    ("gauges", "family"),
    [
        ((), "AWG"),
        (("2.5 mm2",), "mm2"),
        (("2.5 mm2", "4 mm2"), "mm2"),
        (("2.5 mm2", "12 AWG"), "AWG"),
        (("12 AWG",), "AWG"),
    ],
)
def test_wire_is_planned_in_the_sizes_that_the_file_uses(gauges: tuple[str, ...], family: str) -> None:
    leads = {f"l{n}": f"{{from: a, to: y, gauge: {gauge}}}" for n, gauge in enumerate(gauges)}
    build = build_of(bike(PACKS, {"y": joiner(inputs=4)}, PLACES, RUNS, leads=leads))
    assert {each.gauge.family for each in catalogue(build, None).cables} == {family}


def test_wire_of_the_trade_comes_beside_a_shelf_that_has_some_and_not_all() -> None:
    build = build_of(bike(PACKS, {"y": joiner()}, PLACES, RUNS))
    assert beyond(build, catalogue(build, None)) is None
    shop = shop_of(SHOP)
    shelf = catalogue(build, shop)
    assert shelf.priced
    wider = beyond(build, shelf)
    assert wider is not None
    assert not wider.priced
    assert wider.cables[: len(shelf.cables)] == shelf.cables
    assert [wider.bought(each) for each in wider.cables] == [n >= len(shelf.cables) for n in range(len(wider.cables))]
    assert not any(shelf.bought(each) for each in shelf.cables)


def test_one_piece_without_a_price_leaves_the_plan_without_a_sum() -> None:
    build = build_of(bike(PACKS, {"y": joiner()}, PLACES, RUNS))
    without = SHOP.replace("voltage: 160 V, price: 9.50 EUR,", "voltage: 160 V,")
    assert without != SHOP
    assert not catalogue(build, shop_of(without)).priced
    assert any(isinstance(each.part, Fuse) and each.price is None for each in shop_of(without).items)


def test_wire_is_bought_only_where_the_shelf_has_other_wire() -> None:
    """A shop without any wire of its own has nothing that could do instead."""
    shop = shop_of(SHOP)
    build = build_of(bike(PACKS, {}, PLACES, RUNS), shop)
    bare, own = catalogue(build, None), catalogue(build, shop)
    wider = beyond(build, own)
    assert wider is not None
    assert not any(bare.bought(each) for each in bare.cables)
    assert [wider.bought(each) for each in wider.cables] == [each.plus is None for each in wider.cables]
    assert {each.plus is None for each in wider.cables} == {False, True}


def test_prices_are_those_of_a_bill_and_what_has_none_has_none() -> None:
    """A quarter more than the shop pays; 2.00 in place of 1.60."""
    text = (
        "packyoke-shop: 1\nrates: {mark_up: 25 %}\nshelf:\n  wires:\n"
        "    red: {pole: plus, gauge: 12 AWG, insulation: silicone, price: 1.60 EUR}\n"
        "    black: {pole: minus, gauge: 12 AWG, insulation: silicone}\n"
    )
    shop = shop_of(text)
    found = catalogue(build_of(bike(PACKS, {}, PLACES, RUNS), shop), shop)
    assert [each.price for each in found.items] == [Decimal("2.00"), None]


def test_a_copy_that_blocks_of_a_joiner_that_does_not_is_one_of_its_own() -> None:
    plain = joiner().replace("type: ideal-diode", "type: plain").replace("blocks_in: positive, ", "")
    copied = {"y": plain, "z": "{like: y, type: ideal-diode, blocks_in: positive}"}
    (model,) = catalogue(build_of(bike(PACKS, copied, PLACES, RUNS)), None).models
    assert (model.like, model.joiner.type) == ("z", "ideal-diode")


@pytest.mark.parametrize("name", ["small yoke", "yoke v1.2"])
@pytest.mark.parametrize(
    ("kind", "attr", "lines"),
    [
        ("ideal-diode", "resistance_ohm", "resistance: 2 mohm"),
        ("ideal-diode", "resistance_ohm", ""),
        ("diode", "forward_v", "forward_voltage: 0.5 V"),
        ("diode", "forward_v", ""),
    ],
)
def test_a_joiner_of_the_shelf_may_leave_its_loss_open(name: str, kind: str, attr: str, lines: str) -> None:
    shop = shop_of(
        f"packyoke-shop: 1\nshelf:\n  joiners:\n    {name}: {{type: {kind}, inputs: 2, current: {{continuous: 30 A}}, "
        f"inlets: XT60 pin, outlet: XT60 socket, ceiling: 65 V, blocks_in: positive, charge_port: none, "
        f"mount: frame metal, price: 48 EUR{', ' + lines if lines else ''}}}\n"
    )
    build = build_of(bike(PACKS, {}, PLACES, RUNS), shop)
    (model,) = catalogue(build, shop).models
    said = getattr(model.joiner, attr)
    counted = getattr(worst_joiner(build, model.joiner), attr)
    assert counted == (said if lines else max(ends(build, model.joiner, attr)))
    done = plan(build, shop)
    assert isinstance(done, Plan)
    assert [each.item for each in done.new if each.item] == [name]
    assert not [each for each in check(done.build).findings if each.severity is Severity.STOP]
