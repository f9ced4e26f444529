"""The quote that a customer takes home: what is printed adds up, what is open stands first, a stop gets none."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from packyoke.answers.sheet.customer import NoSheet
from packyoke.answers.sheet.quote import _about, _asked, quote_sheet
from packyoke.answers.sheet.quote_page import QuoteSheet, quote_html, quote_page
from packyoke.answers.typed import WrongInput
from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.core.findings import Finding, Severity
from packyoke.model import Build
from packyoke.page.markdown import page_markdown
from packyoke.page.text import page_text
from packyoke.verdict.report import Report
from tests.support import EXAMPLES

TODAY = "2027-05-14"
SHOP = EXAMPLES / "workshop" / "packyoke-shop.yaml"
OFFER = """packyoke: 1
name: Two packs of the shelf
bike: {mass: 25 kg, drive: {type: geared hub, assist_limit: 25 km/h}}
packs:
  left: {part: pannier 14, condition: sound, mass: 4 kg}
  right: {part: pannier 14, condition: sound, mass: 4 kg, owner: customer}
joiners: {small yoke: {part: small yoke, mount: frame metal}}
leads:
  left lead: {from: left, to: small yoke, length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket], FUSE}
  right lead: {from: right, to: small yoke, length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket], FUSE}
  main lead: {from: small yoke, to: controller, length: 300 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}
controller:
  {voltage: {min: 36 V, max: 60 V}, battery_current: 18 A, low_voltage_cut: 39 V, regen: none, inlet: XT60 pin}
chargers: {counter: {output: 54.6 V, current: 3 A, plug: XT60 pin}}
""".replace("FUSE", "fuse: {family: 10x38, rating: 25 A, voltage: 1000 V}")


def shop() -> Shop:
    found = load_shop(SHOP.read_text(encoding="utf-8"), "shop")
    assert isinstance(found, Shop)
    return found


def sheet(text: str = OFFER, stock: Shop | None = None) -> QuoteSheet:
    stock = stock or shop()
    build = load(text, "offer", shop=stock, today=TODAY)
    assert isinstance(build, Build), build
    return quote_sheet(build, stock, today=TODAY, shop="Ropewalk workshop")


def test_what_is_printed_adds_up_to_the_last_coin() -> None:
    found = sheet()
    *lines, whole = found.prices
    assert whole.whole
    amount, currency = whole.price.split()
    assert currency == "EUR"
    assert sum(Decimal(line.price) for line in lines) == Decimal(amount)
    for text in (page_text(quote_page(found)), quote_html(found), page_markdown(quote_page(found))):
        assert whole.price in text


def test_his_own_pack_is_not_billed_and_the_new_one_says_what_it_is() -> None:
    found = sheet()
    packs = [line for line in found.prices if line.what.startswith("pack ")]
    assert [line.what for line in packs] == ["pack pannier 14 (48 V, 14 Ah)"]
    own = next(block for block in found.blocks if block.title.startswith("Yours"))
    assert "right" in own.lines[0]
    assert "left" not in own.lines[0]


def test_it_holds_as_long_as_the_shop_says() -> None:
    """30 days from 14 May are 13 June."""
    conditions = next(block for block in sheet().blocks if block.title == "Conditions")
    assert conditions.lines[0] == "This quote holds until 13 June 2027."


def test_an_open_build_is_quoted_subject_to_what_is_open() -> None:
    found = sheet(OFFER.replace("condition: sound, mass: 4 kg}", "mass: 4 kg}"))
    assert found.subject is not None
    assert any("left" in line and "condition" in line for line in found.subject.lines), found.subject
    text = page_text(quote_page(found))
    assert text.index("SUBJECT TO") < text.index("WHAT YOU GET")
    assert sheet().subject is None


@pytest.mark.parametrize(
    ("count", "last"),
    [
        (1, "pack 0: not known. Look."),
        (6, "pack 5: not known. Look."),
        (7, "1 more thing to find out: packyoke check has the list."),
        (8, "2 more things to find out: packyoke check has the list."),
    ],
)
def test_of_many_questions_six_stand_there_and_how_many_more_there_are(count: int, last: str) -> None:
    opens = [
        Finding(rule="x", severity=Severity.OPEN, part=f"packs.pack {at}", message="not known", do="Look.")
        for at in range(count)
    ]
    report = Report(file="", verdict="open", labels={})
    told = list(_asked(report, [*opens, *opens]))
    assert len(told) == min(count, 7)
    assert told[-1] == last


@pytest.mark.parametrize(("rates", "told"), [("tax: 20 %, prices: with tax, ", False), ("", True)])
def test_taxes_that_are_not_counted_are_told(rates: str, told: bool) -> None:
    text = SHOP.read_text(encoding="utf-8").replace("tax: 20 %, prices: with tax, ", rates)
    stock = load_shop(text, "shop")
    assert isinstance(stock, Shop), stock
    assert ("Taxes are not counted." in page_text(quote_page(sheet(stock=stock)))) is told


def test_tax_that_is_in_the_prices_is_told_with_the_whole() -> None:
    """20 % on top of the price without tax are a sixth of the price with it."""
    whole = sheet().prices[-1]
    (told,) = re.findall(r"^altogether, of which tax of 20 %: ([0-9.]+)$", whole.what)
    assert Decimal(told) == (Decimal(whole.price.split()[0]) / 6).quantize(Decimal("0.01"))


def test_tax_that_comes_on_top_has_a_line_of_its_own() -> None:
    text = SHOP.read_text(encoding="utf-8").replace("prices: with tax, ", "")
    stock = load_shop(text, "shop")
    assert isinstance(stock, Shop), stock
    *lines, whole = sheet(stock=stock).prices
    (tax,) = [Decimal(line.price) for line in lines if line.what == "tax, 20 %"]
    before = sum(Decimal(line.price) for line in lines) - tax
    assert tax == (before / 5).quantize(Decimal("0.01"))
    assert whole.what == "altogether"


@pytest.mark.parametrize(
    ("charger", "about"),
    [
        ("output: 54.6 V, current: 3 A", " (54.6 V, 3 A)"),
        ("current: 3 A", ""),
        ("output: 54.6 V", ""),
    ],
)
def test_a_charger_is_told_by_both_its_figures_or_by_its_name_only(charger: str, about: str) -> None:
    text = OFFER.replace("output: 54.6 V, current: 3 A", charger)
    build = load(text, "offer", shop=shop(), today=TODAY)
    assert isinstance(build, Build), build
    (part,) = build.chargers.values()
    assert _about(replace(build, items={**build.items, part.path: "quick"}), "chargers", "quick") == about


@pytest.mark.parametrize(("place", "told"), [("between the packs", True), ("seat tube", False)])
def test_ways_that_nobody_measured_are_told(place: str, told: bool) -> None:
    found = sheet(f"{OFFER}places: {{{place}: {{holds: 1}}}}\n")
    assert (
        "we measure them before we cut" in page_text(quote_page(found)).replace("\n", " ").replace("  ", " ")
    ) is told


def test_a_build_at_stop_gets_no_quote() -> None:
    with pytest.raises(NoSheet):
        sheet(OFFER.replace("max: 60 V", "max: 50 V"))


def test_without_prices_there_is_none() -> None:
    bare = load_shop(re.sub(r",? *price: [0-9.]+ EUR", "", SHOP.read_text(encoding="utf-8")), "shop")
    assert isinstance(bare, Shop), bare
    with pytest.raises(WrongInput, match="needs prices"):
        sheet(stock=bare)


def test_text_is_eighty_columns_wide() -> None:
    assert all(len(line) <= 80 for line in page_text(quote_page(sheet())).splitlines())
