"""The bill of a build: worked out by hand, the same whoever chose the parts, and never a coin off."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest

from packyoke.buildfile.reading import load, load_shop
from packyoke.making.bill import Bill, bill
from packyoke.making.lists import BillLine
from packyoke.making.money import totals, whole_steps
from packyoke.model import Build
from packyoke.model.shop import Rates
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.cli.conftest import Run, packyoke  # noqa: F401
from tests.planning.bikes import build_of, random_bike, shop_of
from tests.support import EXAMPLES

SHELF = Path(__file__).parent / "shop.yaml"
TEXT = SHELF.read_text(encoding="utf-8")
SHOP = shop_of(TEXT)
PLAIN = "packyoke: 1\nname: a bike\nregion: EU\n"
BIKE = (
    PLAIN
    + """\
bike: {mass: 30 kg, drive: {type: mid motor}}
packs:
  left: {part: pannier 14, condition: sound}
  right: {like: left}
joiners:
  yoke: {part: small yoke, mount: frame metal}
leads:
  left lead: {from: left, to: yoke, length: 400 mm, gauge: 12 AWG, insulation: silicone, ends: [XT60 pin, XT60 socket],
              fuse: {family: 10x38, rating: 25 A, voltage: 1000 V}}
  right lead: {from: right, to: yoke, length: 410 mm, gauge: 12 AWG, insulation: silicone,
               ends: [XT60 pin, XT60 socket], fuse: {family: 10x38, rating: 25 A, voltage: 1000 V}}
  main lead: {from: yoke, to: controller, length: 600 mm, gauge: 12 AWG, insulation: silicone,
              ends: [XT60 pin, XT60 socket]}
controller: {voltage: {min: 36 V, max: 60 V}, battery_current: 20 A, low_voltage_cut: 39 V, regen: none,
             inlet: XT60 pin, precharge: resistor}
"""
)


def bill_of(text: str, shelf: str = TEXT) -> Bill:
    shop = shop_of(shelf)
    return bill(build_of(text, shop), shop)


def rows(found: Bill) -> dict[tuple[str, str], tuple[str, str | None]]:
    return {
        (line.item, line.about): (f"{line.quantity:f}", None if line.amount is None else f"{line.amount:f}")
        for line in found.lines
    }


def test_a_drawn_build_worked_out_by_hand() -> None:
    """25 % on each price, in whole cents: 475; 60; 1.75; 1.625 -> 1.63; 4; 1.50; 5.125 -> 5.13; 0.1375 -> 0.14; 1;
    1.25; 8.75. Red wire by half metres: 1.41 m are 1.5 m."""
    found = bill_of(BIKE)
    assert rows(found) == {
        ("pannier 14", ""): ("2", "950.00"),
        ("small yoke", "ideal-diode"): ("1", "60.00"),
        ("red 12", "12 AWG silicone"): ("1.5", "2.63"),  # 2.625
        ("black 12", "12 AWG silicone"): ("1.41", "2.30"),  # 2.2983
        ("link 25", "10x38 25 A 1000 V d.c."): ("2", "8.00"),
        ("holder 10x38", ""): ("2", "10.26"),
        ("XT60", "XT60 pin"): ("3", "4.50"),
        ("XT60", "XT60 socket"): ("3", "4.50"),
        ("tube", ""): ("16", "2.24"),  # six ends with two conductors each, two holders with two joints each
        ("plug cap", ""): ("4", "4.00"),  # at each pack its outlet and the plug of its lead
        ("mark sheet", ""): ("1", "1.25"),
        ("resistor plug", ""): ("1", "8.75"),
    }
    sums = found.totals
    assert sums.parts == Decimal("1058.43")
    # 20 min, 2 x 1.5 + 2 x 1.41 min for wire, 2 x 10 min for fuses: 45.82, whole minutes.
    assert (sums.minutes, sums.labour) == (46, Decimal("46.00"))
    assert sums.tax == Decimal("220.89")  # a fifth of 1104.43: 220.886
    assert (sums.rounding, sums.amount) == (Decimal("-0.02"), Decimal("1325.30"))
    assert (sums.unpriced, found.terms.valid_days) == ((), 14)


def test_tax_that_is_in_the_prices_is_named_and_not_added() -> None:
    found = bill_of(BIKE, TEXT.replace("tax: 20 %", "tax: 20 %, prices: with tax").replace(", rounding: 0.05", ""))
    assert found.totals.amount == Decimal("1104.43")
    assert found.totals.tax is None
    assert found.totals.tax_in_it == Decimal("184.07")  # a sixth: 184.0717


def test_what_is_the_customers_is_on_no_bill() -> None:
    own = BIKE.replace("condition: sound", "condition: sound, owner: customer").replace(
        "{from: left,", "{owner: customer, from: left,"
    )
    found, whole = bill_of(own), bill_of(BIKE)
    assert ("left" in found.terms.owned, "left lead" in found.terms.owned) == (True, True)
    # `like` takes the model over, not whose it is.
    assert rows(found)["pannier 14", ""] == ("1", "475.00")
    assert rows(found)["link 25", "10x38 25 A 1000 V d.c."] == ("1", "4.00")
    assert rows(found)["black 12", "12 AWG silicone"][0] == "1.01"
    assert found.totals.parts < whole.totals.parts


def test_what_is_not_of_the_shelf_is_billed_only_where_it_is_the_shops() -> None:
    other = BIKE.replace(
        "part: small yoke",
        "type: ideal-diode, ceiling: 65 V, current: {continuous: 30 A}, inlets: XT60 pin, outlet: XT60 socket",
    )
    assert not [line for line in bill_of(other).lines if line.section == "joiners"]
    asked = bill_of(other.replace("type: ideal-diode,", "type: ideal-diode, owner: shop,"))
    assert [(line.item, line.amount) for line in asked.lines if line.section == "joiners"] == [("yoke", None)]
    assert asked.totals.unpriced == ("yoke",)


def test_without_a_shop_file_nothing_has_a_price_and_nothing_is_left_out() -> None:
    build = build_of(BIKE.replace("part: pannier 14", "chemistry: NMC").replace("part: small yoke", "type: diode"))
    found = bill(build, None)
    assert {line.section for line in found.lines} == {"wires", "fuses", "holders", "connectors", "sundries"}
    assert len(found.totals.unpriced) == len(found.lines)
    assert (found.totals.amount, found.totals.labour) == (0, None)


def test_what_the_stock_lacks_and_when_it_comes() -> None:
    found = {(line.item, line.about): line for line in bill_of(BIKE).lines}
    red = found["red 12", "12 AWG silicone"]
    assert (red.short, red.lead_days) == (Decimal("0.5"), 10)
    assert found["holder 10x38", ""].short == 0


@pytest.mark.parametrize("seed", range(6))
def test_the_bill_of_a_plan_is_that_of_its_written_file(seed: int, packyoke: Run, tmp_path: Path) -> None:  # noqa: F811
    rng = Random(seed)
    text = random_bike(rng, rng.choice([2, 3, 4]), 4, holds=2, more_alike=seed % 2)
    file, new = tmp_path / "bike.yaml", tmp_path / "new.yaml"
    file.write_text(text, encoding="utf-8")
    code, out, _ = packyoke("plan", file, "--shop", SHELF, "--format", "json", "--write", new)
    if "bill" not in json.loads(out):
        pytest.skip("nothing passes")
    first = json.loads(out)
    again = json.loads(packyoke("plan", new, "--shop", SHELF, "--format", "json")[1])
    for key in ("bill", "totals", "terms"):
        assert first[key] == again[key]
    assert code in (0, 1)


@pytest.mark.parametrize("seed", range(5))
def test_text_and_pages_say_the_same_money(seed: int, packyoke: Run, tmp_path: Path) -> None:  # noqa: F811
    text = random_bike(Random(seed), 2, 4, holds=2)
    file = tmp_path / "bike.yaml"
    file.write_text(text, encoding="utf-8")
    found = json.loads(packyoke("plan", file, "--shop", SHELF, "--format", "json")[1])
    if "bill" not in found:
        pytest.skip("nothing passes")
    amounts = [line["amount"] for line in found["bill"] if line["amount"]]
    sums = found["totals"]
    assert all(isinstance(each, str) for each in amounts)
    assert sum(map(Decimal, amounts)) == Decimal(sums["parts"])
    asked = sum(Decimal(sums[name]) for name in ("parts", "labour", "tax", "rounding"))
    assert asked == Decimal(sums["amount"])
    for form in ("text", "markdown", "html"):
        page = packyoke("plan", file, "--shop", SHELF, "--format", form)[1]
        for each in (*amounts, sums["parts"], sums["labour"], sums["tax"], sums["amount"]):
            assert each in page, (form, each)


def line_of(amount: Decimal, minutes_s: float | None) -> BillLine:
    return BillLine("fuses", "x", "", Decimal(1), "piece", amount, amount, minutes_s, None, Decimal(0), None, True)


@pytest.mark.parametrize("seed", range(40))
def test_sums_add_up_to_the_last_coin_in_every_currency(seed: int) -> None:
    rng = Random(seed)
    currency, places = rng.choice([("EUR", 2), ("JPY", 0), ("KWD", 3)])
    coin = Decimal(1).scaleb(-places)
    lines = [line_of(rng.randint(0, 10**6) * coin, rng.choice([None, 60.0, 95.0])) for _ in range(rng.randint(1, 12))]
    rates = Rates(
        labour=rng.choice([None, Decimal("47.30")]),
        tax=rng.choice([None, Decimal("0.077"), Decimal("0.2")]),
        prices=rng.choice(["before tax", "with tax"]),
        rounding=rng.choice([None, 5 * coin, Decimal(1)]),
    )
    found = totals(lines, rates, currency)
    assert found.parts + (found.labour or 0) + (found.tax or 0) + found.rounding == found.amount
    assert found.amount == found.amount.quantize(coin)
    if rates.rounding:
        assert found.amount % rates.rounding == 0
        assert abs(found.rounding) <= rates.rounding / 2
    else:
        assert found.rounding == 0
    if found.tax_in_it is not None and rates.tax is not None:
        net = found.parts + (found.labour or 0) - found.tax_in_it
        assert abs(net * rates.tax - found.tax_in_it) <= coin


def test_whole_steps_are_never_less_and_never_a_step_more() -> None:
    rng = Random(1)
    for _ in range(200):
        asked, step = Decimal(rng.randint(1, 10**4)) / 100, Decimal(rng.choice(["0.05", "0.5", "1", "3"]))
        sold = whole_steps(asked, step)
        assert asked <= sold < asked + step
        assert sold % step == 0


WRONG = [
    ("rates: {labour: 60 EUR/h", "rates: {labour: 60 USD/h", "One currency"),
    ("labour: 60 EUR/h", "labour: 60 EUR", "labour: 60 EUR/h"),
    ("price: 4.10 EUR", "price: -4.10 EUR", "between 0 and"),
    ("price: 4.10 EUR", "price: 4.10 USD", "One currency"),
    ("price: 4.10 EUR", "price: 4.10", "4.10 EUR"),
    ("stock: 3}", "stock: -3}", "Write  0"),
    ("tax: 20 %", "tax: 20", "20 %"),
    ("tax: 20 %", "tax: 0.2", "per cent"),
    ("valid: 2 weeks", "valid: soon", "valid: 14 days"),
    ("lead_time: 10 days", "lead_time: -10 days", "lead_time: 10 days"),
    ("rounding: 0.05", "rounding: 0", "rounding: 0.05"),
    ("step: 0.5 m", "step: -0.5 m", "Write  0"),
    ("use: holder", "use: holders", "holder"),
    ("holder: holder 10x38", "holder: holder 14x51", "holder 10x38"),
]


@pytest.mark.parametrize(("given", "slip", "told"), WRONG)
def test_slips_in_a_shop_file_are_told_with_the_line_to_type(given: str, slip: str, told: str) -> None:
    text = (
        TEXT.replace(given, slip, 1)
        if given != "stock: 3}"
        else TEXT.replace("stock: 3}\n    tube", "stock: -3}\n    tube")
    )
    assert text != TEXT
    found = load_shop(text, "shop.yaml")
    assert isinstance(found, list), "taken as it stands"
    assert any(told in each.message + " " + each.do for each in found), [(each.message, each.do) for each in found]
    assert all(each.span is not None for each in found)


def test_examples_have_a_bill_that_adds_up() -> None:
    for file in sorted(EXAMPLES.glob("*.yaml")):
        build = load(file.read_text(encoding="utf-8"), file.name)
        if isinstance(build, Build):
            found = bill(build, SHOP)
            assert found.totals.parts == sum(line.amount or 0 for line in found.lines), file.name


def test_a_plan_has_the_bill_of_its_build() -> None:
    build = build_of(random_bike(Random(3), 3, 4, holds=2), SHOP)
    found = plan(build, SHOP)
    assert isinstance(found, Plan)
    assert (found.bill, found.totals) == bill(found.build, SHOP)[:2]
