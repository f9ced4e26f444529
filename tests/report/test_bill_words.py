"""The words and rows of a bill, by tables: what is said of a price that is there, and of one that is not."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import NamedTuple

import pytest

from packyoke.answers.bill import bill_notes, bill_table, sums, valid_until
from packyoke.making.lists import BillLine, Terms, Totals

D = Decimal
LINE = BillLine("wires", "red 12", "", D("1.74"), "m", D("1.40"), D("2.44"), 120.0, D(10), D(0), None, True)
TOTALS = Totals(D("2.44"), "EUR", D("2.44"), None, None, None, D(0), (), 0, 0)


class Bill(NamedTuple):
    bill: tuple[BillLine, ...] = (LINE,)
    totals: Totals = TOTALS
    terms: Terms = Terms()


NO_PRICE = LINE._replace(price_each=None, amount=None)


@pytest.mark.parametrize(
    ("line", "row"),
    [
        # 1.74 times 2 min are 3.48 min: told so that two such lines add up to 7 min, as the sum below does.
        (LINE, ("1.74 m", "red 12", "1.40", "2.44", "3.5 min", "")),
        (LINE._replace(about="red 12"), ("1.74 m", "red 12", "1.40", "2.44", "3.5 min", "")),
        (LINE._replace(about="12 AWG"), ("1.74 m", "red 12 (12 AWG)", "1.40", "2.44", "3.5 min", "")),
        (LINE._replace(price_each=D("1.405")), ("1.74 m", "red 12", "1.405", "2.44", "3.5 min", "")),
        (LINE._replace(price_each=D("1.4")), ("1.74 m", "red 12", "1.40", "2.44", "3.5 min", "")),
        (LINE._replace(minutes_s=None), ("1.74 m", "red 12", "1.40", "2.44", "", "")),
        (LINE._replace(quantity=D(3), unit="piece", minutes_s=600.0), ("3", "red 12", "1.40", "2.44", "30 min", "")),
        (LINE._replace(short=D("0.74")), ("1.74 m", "red 12", "1.40", "2.44", "3.5 min", "0.74 m to order")),
        (
            LINE._replace(short=D(2), lead_days=3, unit="piece", quantity=D(2)),
            ("2", "red 12", "1.40", "2.44", "4 min", "2 to order, 3 days"),
        ),
        (
            LINE._replace(short=D(2), lead_days=0, unit="piece", quantity=D(2)),
            ("2", "red 12", "1.40", "2.44", "4 min", "2 to order, 0 days"),
        ),
        (LINE._replace(on_shelf=False), ("1.74 m", "red 12", "1.40", "2.44", "3.5 min", "to buy")),
    ],
)
def test_a_line(line: BillLine, row: tuple[str, ...]) -> None:
    heads, rows = bill_table(Bill((line,)))
    assert heads == ("how much", "what", "each", "amount", "work", "stock")
    assert rows == (row,)


def test_columns_of_prices_are_there_where_anything_has_one() -> None:
    heads, rows = bill_table(Bill((NO_PRICE, NO_PRICE)))
    assert (heads, rows[0]) == (("how much", "what", "stock"), ("1.74 m", "red 12", ""))
    heads, rows = bill_table(Bill((NO_PRICE, LINE)))
    assert len(heads) == 6
    assert rows[0] == ("1.74 m", "red 12", "", "", "3.5 min", "")


def test_prices_hold_for_as_long_as_the_shop_says_from_the_day_on() -> None:
    assert valid_until(Bill(terms=Terms(valid_days=30)), date(2026, 11, 25)) == "2026-12-25"
    assert valid_until(Bill((NO_PRICE, LINE), terms=Terms(valid_days=1)), date(2026, 12, 31)) == "2027-01-01"
    assert valid_until(Bill((NO_PRICE,)), date(2026, 11, 25)) == ""


LABOUR = Terms(labour=D(60))


@pytest.mark.parametrize(
    ("totals", "terms", "rows"),
    [
        ({}, Terms(), ["altogether, EUR"]),
        ({"labour": D(30), "minutes": 30}, LABOUR, ["parts", "work, 30 min at 60 EUR/h", "altogether, EUR"]),
        ({"labour": D(0)}, LABOUR, ["parts", "work, 0 min at 60 EUR/h", "altogether, EUR"]),
        ({"tax": D("0.49")}, Terms(tax=D("0.20")), ["parts", "tax, 20 %", "altogether, EUR"]),
        ({"tax": D("0.19")}, Terms(tax=D("0.077")), ["parts", "tax, 7.7 %", "altogether, EUR"]),
        ({"rounding": D("0.01")}, Terms(), ["parts", "rounding", "altogether, EUR"]),
        ({"rounding": D("-0.02")}, Terms(), ["parts", "rounding", "altogether, EUR"]),
        # Prices that have the tax in them: nothing comes on top.
        ({"tax_in_it": D("0.41")}, Terms(tax=D("0.20")), ["altogether, EUR"]),
    ],
)
def test_what_the_sum_is_made_of(totals: dict[str, object], terms: Terms, rows: list[str]) -> None:
    found = sums(Bill(totals=TOTALS._replace(**totals), terms=terms))
    assert [row[1] for row in found] == rows
    assert found[-1][3] == "2.44"
    assert all(row[3] == "2.44" for row in found if row[1] == "parts")


def test_without_prices_there_is_no_sum_and_no_word_of_one() -> None:
    assert sums(Bill((NO_PRICE,))) == ()
    assert bill_notes(Bill(()), "") == []
    notes = bill_notes(Bill((NO_PRICE,), TOTALS._replace(unpriced=("red 12",))), "")
    assert not any(word in note for note in notes for word in ("Altogether", "Prices", "Without a price"))
    assert notes[-1].startswith("Not in it: ")


@pytest.mark.parametrize(
    ("totals", "terms", "there", "missing"),
    [
        ({}, Terms(), ["Altogether 2.44 EUR, taxes not counted.", "Prices hold until X.", "taxes, tests"], ["Fitting"]),
        ({}, Terms(tax=D("0.2")), ["Altogether 2.44 EUR, tax of 20 % in it."], ["taxes"]),
        ({"tax_in_it": D("0.41")}, Terms(tax=D("0.2")), ["Altogether 2.44 EUR, of which 0.41 are tax (20 %)."], []),
        ({"unpriced": ("cap", "cap", "label")}, Terms(), ["Without a price, and in no sum: cap, label."], []),
        ({"minutes": 25}, Terms(), ["Fitting them: 25 min.", "the hourly rate"], ["items without minutes"]),
        ({"minutes": 25, "labour": D(25)}, LABOUR, [], ["Fitting them", "the hourly rate"]),
        ({"minutes": 25, "untimed_count": 2}, Terms(), ["2 items without minutes."], []),
        ({"untimed_count": 2}, Terms(), [], ["items without minutes"]),
        ({}, Terms(unmeasured=("a lead", "b lead")), ["Not measured, and not in it: the wire of a lead, b lead."], []),
        ({}, Terms(owned=("keel",)), ["the customer's own (keel)"], ["Not measured"]),
        ({}, Terms(), [], ["the customer's own"]),
    ],
)
def test_what_is_said_below_it(totals: dict[str, object], terms: Terms, there: list[str], missing: list[str]) -> None:
    notes = "\n".join(bill_notes(Bill(totals=TOTALS._replace(**totals), terms=terms), "X"))
    assert [each for each in there if each not in notes] == []
    assert [each for each in missing if each in notes] == []
