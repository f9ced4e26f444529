"""Results, shop files and options that are damaged or mistyped: 2 and a sentence that helps, never a 3 or a no."""

from __future__ import annotations

import io
import json
import os
import re
from pathlib import Path

import pytest

from packyoke.api import load_shop
from tests.cli.conftest import Run
from tests.support import EXAMPLES, edited

TRIKE = EXAMPLES / "quay-plain-trike.yaml"
TAIL = EXAMPLES / "skerry-long-tail.yaml"
COUNTER = EXAMPLES / "counter" / "parcel-bike.yaml"
SHOP = "packyoke-shop: 1\nname: x\nrates: {{{}}}\nshelf: {{packs: {{a: {{price: 9.50 EUR{}}}}}}}\n"


@pytest.fixture
def result(packyoke: Run) -> str:
    return packyoke("check", TRIKE, "--no-shop", "--format", "json")[1]


@pytest.mark.parametrize("value", ["1" + "0" * 400, "-1" + "0" * 400, "NaN", "Infinity", "-Infinity", "true", '"9"'])
def test_a_figure_that_no_check_writes_is_refused(packyoke: Run, tmp_path: Path, result: str, value: str) -> None:
    last = tmp_path / "last.json"
    broken, count = re.subn(r'("found": \{\s*"value": )[0-9.]+', rf"\g<1>{value}", result, count=1)
    last.write_text(broken, encoding="utf-8")
    code, out, err = packyoke("check", TRIKE, "--no-shop", "--against", last)
    assert (count, code, out) == (1, 2, "")
    assert re.search(r"last.json: builds\[0\].findings\[[0-9]+\].found is no figure", err)


@pytest.mark.parametrize(
    ("before", "again", "key"),
    [
        ('"schema"', '"builds": [],', "builds"),  # these counted last, or the others did, without a word
        ('"name"', '"verdict": "none-found",', "verdict"),
        ('"name"', '"findings": [],', "findings"),
        ('"rule"', '"severity": "stop",', "severity"),
        ('"rule"', '"a\\u001b": 1, "a\\u001b": 2,', "a\ufffd"),
        ('"value"', '"value": 9,', "value"),
    ],
)
def test_a_key_that_stands_twice_in_a_result_is_refused(
    packyoke: Run, tmp_path: Path, result: str, before: str, again: str, key: str
) -> None:
    last, whole = tmp_path / "last.json", tmp_path / "whole.json"
    last.write_text(result.replace(before, f"{again} {before}", 1), encoding="utf-8")
    whole.write_text(result, encoding="utf-8")
    for run in (("check", TRIKE, "--no-shop", "--against", last), ("compare", last, whole), ("compare", whole, last)):
        code, out, err = packyoke(*run)
        assert (code, out) == (2, "")
        assert f'last.json: the key "{key}" stands twice in one object' in err


@pytest.mark.parametrize("key", ["name", "file", "tool", "rules", "shelf"])
def test_a_result_acts_on_no_terminal(packyoke: Run, tmp_path: Path, result: str, key: str) -> None:
    data = json.loads(result)
    for each in (data, *data["builds"]):
        if key in each:
            each[key] = f"{each[key]}\x1b[31m\r\n\u202e\u2028!"
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    old.write_text(json.dumps(data), encoding="utf-8")
    data["builds"][0]["findings"].pop()
    new.write_text(json.dumps(data | {"tool": "0"}), encoding="utf-8")
    for run in (("compare", old, new), ("check", TRIKE, "--no-shop", "--against", old)):
        _, out, err = packyoke(*run)
        assert not {*"\x1b\r\u202e\u2028"} & {*out, *err}


@pytest.mark.parametrize(
    ("rates", "stock", "field", "message"),
    [
        ("rounding: 0.05", "3", "", ""),
        ("labour: 60 EUR/h, rounding: 0.05 EUR", "25 m", "", ""),
        ("rounding: 0.05x", "3", "rates.rounding", '"0.05x" is no amount'),  # these three ended in a 3
        ("rounding: 5.5.5", "3", "rates.rounding", '"5.5.5" is no amount'),
        ("rounding: '1,000'", "3", "rates.rounding", '"1,000" is no amount'),
        ("rounding: 1_0", "3", "rates.rounding", '"1_0" is no amount'),  # was read as 10
        ("rounding: 1.000", "3", "rates.rounding", '"1.000" is no amount'),  # one, or a thousand
        ("rounding: 0.05 USD, labour: 60 EUR/h", "3", "rates.rounding", "USD, where EUR came before"),
        ("labour: 60 EUR/h, rounding: 0.05 USD", "3", "rates.rounding", "USD, where EUR came before"),
        ("mark_up: 25 % ?", "3", "rates.mark_up", '"25 % ?" is a guess'),  # was left out of every bill
        ("tax: 20 %?", "3", "rates.tax", '"20 %?" is a guess'),
        ("labour: 60 EUR ?/h", "3", "rates.labour", '"60 EUR ?/h" is a guess'),
        ("labour: 60/h", "3", "rates.labour", '"60" has no unit'),
        ("rounding: 1", "3 ?", "shelf.packs.a.stock", '"3 ?" is a guess'),  # was left out without a word
        ("rounding: 1", "3 pcs", "shelf.packs.a.stock", '"3 pcs" is no stock'),
        ("rounding: 1", "1.5", "shelf.packs.a.stock", '"1.5" is no stock'),
        ("rounding: 1", "-1", "shelf.packs.a.stock", '"-1" is less than nothing'),
    ],
)
def test_money_and_stock_of_a_shop_file(rates: str, stock: str, field: str, message: str) -> None:
    found = load_shop(SHOP.format(rates, f", stock: {stock}"), "shop.yaml")
    told = [(each.field, each.message) for each in found] if isinstance(found, list) else []
    assert told == ([(field, message)] if field else [])


def test_a_price_of_an_hour_is_offered_with_its_hour() -> None:
    for labour in ("60/h", "EUR 60/h", "1e2 EUR/h"):
        (told,) = load_shop(SHOP.format(f"labour: {labour}", ""), "shop.yaml")
        assert told.do == "Write for example  labour: 60 EUR/h", labour


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("quote", COUNTER, "--reach", "80 km", "--most", "1.000 EUR"),
            'for its thousands: write for example "1000 EUR"',
        ),
        (("quote", COUNTER, "--reach", "80 km", "--most", "1.000"), 'for its thousands: write for example "1000 EUR"'),
        (("quote", COUNTER, "--reach", "80 km", "--most", "1.0005 EUR"), '1.0005 EUR": write for example "900 EUR"'),
        *(
            (("quote", COUNTER, "--reach", "80 km", "--most", typed), said)
            for typed, said in (
                ("60,000 EUR", 'a comma for its thousands: write for example "60000 EUR"'),
                ("1,234,567", 'a comma for its thousands: write for example "1234567 EUR"'),
                ("1.000,50 EUR", 'a point for its thousands: write for example "1000.50 EUR"'),
                ("60 000 EUR", '60 000 EUR": write for example "60000 EUR"'),
                ("60,50", '60,50": write for example "60.50 EUR"'),
                ("€700", '€700": write for example "700 EUR"'),
                ("EUR 700", 'write for example "700 EUR"'),
                ("700 euros", 'write for example "700 EUR"'),
                ("60,000 JPY", "the prices are in EUR"),
                ("£700", "the prices are in EUR"),
                ("7e3 EUR", 'write for example "900 EUR"'),  # no one number in it
                ("2 x 300 EUR", 'write for example "900 EUR"'),
                ("7k EUR", 'write for example "900 EUR"'),
                ("-700 EUR", 'write for example "900 EUR"'),
                ("12345678901 EUR", 'write for example "900 EUR"'),  # more than is read
            )
        ),
        (("quote", COUNTER, "--reach", "100000 km"), "a way to ride is needed, of 100 m to 9999 km"),
        (("quote", COUNTER, "--choose", "1", "--write", "-"), "that is where the answer is printed; name a file"),
        (("plan", TAIL, "--write", "-"), "that is where the answer is printed; name a file"),
        (("meter", TRIKE, "--volts", "old=53,new=49", "--record", "-"), "that is where the answer is printed"),
        (("range", TAIL, "--need", "99999 km"), "a way to ride is needed, up to 9999 km"),
        (("meter", TRIKE, "--volts", "old=53,9,new=49"), "For a decimal write a point: 53.9"),
        (("meter", TRIKE, "--volts", "old=53.9,1,new=49"), '"1": write NAME=VALUE'),
        (("meter", TRIKE, "--volts", "old=53,y9"), '"y9": write NAME=VALUE'),
        (("rundown", TAIL, "--at", "keel=50,5"), "For a decimal write a point: 50.5"),
        (("meter", TAIL, "--volts", "keel=57", "--loaded", "keel=55,1 at 20 A"), "write a point: 55.1 at 20 A"),
        (("meter", TAIL, "--volts", "keel=57", "--loaded", "keel=155 at 20 A"), "at most 120 V and 1000 A"),
        (("meter", "--series", "13", "--volts", "54,1,51,3"), "write a point: 54.1; for two packs 54,1.0"),
        (("meter", "--series", "13", "--volts", "54,51", "--capacity", "0 Ah"), '"0 Ah": between 0.5 Ah and 200 Ah'),
        (("meter", "--series", "13", "--volts", "54,51", "--resistance", "3 ohm"), "between 1 mohm and 2 ohm"),
        (("meter", "--series", "13", "--volts", "54,51", "--charge", "0.05 A"), "between 0.1 A and 200 A"),
        (("quote", COUNTER, "--today", "9999-12-31"), "years 2000 to 2199 are read"),  # offers hold for a month from it
        (("sheet", TAIL, "--for", "customer", "--today", "0226-11-30"), "years 2000 to 2199 are read"),
        (("find", TAIL, "--before", "1999-12-31"), '--before "1999-12-31": years 2000 to 2199 are read'),
        (("check", TAIL, "--today", "2200-01-01"), "years 2000 to 2199 are read"),
        (("start", "--template", "--name", "x"), "takes nothing else"),
        (("start", "--template", "--today", "2027-05-14"), "takes nothing else"),
        (("shelf", "shop", "--no-shop"), "no shop file is used: it is packyoke-shop.yaml"),
    ],
)
def test_what_is_mistyped_is_told(packyoke: Run, arguments: tuple[str | Path, ...], said: str) -> None:
    code, out, err = packyoke(*arguments)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())


@pytest.mark.parametrize("volts", ["54,1.0", "54,0", "54,10", "5,4"])
def test_two_readings_are_two_packs(packyoke: Run, volts: str) -> None:
    """A pack may show nothing, and nobody takes 54,1.0 for one number."""
    code, out, _ = packyoke("meter", "--series", "13", "--volts", volts, "--joiner", "diode")
    assert (code, out.startswith("NO")) == (1, True)


def test_a_name_with_a_line_separator_stays_on_its_line(packyoke: Run, tmp_path: Path) -> None:
    bike = tmp_path / "a\u2028b\u2029c\u00a0d.yaml"
    bike.write_text(edited("quay-plain-trike"), encoding="utf-8")
    _, out, _ = packyoke("check", bike, "--no-shop", "--format", "lines")
    assert out
    assert len(out.splitlines()) == out.count("\n") == out.count("a\\u2028b\\u2029c\u00a0d.yaml:")


def test_a_build_that_is_named_twice_is_checked_once(packyoke: Run, tmp_path: Path) -> None:
    """Else nothing could be held against what is stored of it."""
    bike, last = tmp_path / "bike.yaml", tmp_path / "last.json"
    bike.write_text(edited("skerry-long-tail"), encoding="utf-8")
    code, out, _ = packyoke("check", tmp_path, bike, tmp_path, f"{tmp_path}/*.yaml", "--no-shop", "--format", "json")
    assert (code, len(json.loads(out)["builds"])) == (0, 1)
    last.write_text(out, encoding="utf-8")
    assert packyoke("check", bike, "--no-shop", "--against", last)[0] == 0
    (tmp_path / "other.yaml").write_text("a: 1\n", encoding="utf-8")
    assert packyoke("check", tmp_path, "--no-shop")[0] == 0
    assert packyoke("check", tmp_path, tmp_path / "other.yaml", "--no-shop")[0] == 2, "it was named, so it is read"


@pytest.mark.parametrize("kind", ["link to nothing", "folder", "pipe"])
def test_a_shop_file_that_is_none_is_not_passed_over(packyoke: Run, tmp_path: Path, kind: str) -> None:
    """Its defaults would be missing without a word."""
    shop, bike = tmp_path / "packyoke-shop.yaml", tmp_path / "builds" / "bike.yaml"
    bike.parent.mkdir()
    bike.write_text(edited("skerry-long-tail"), encoding="utf-8")
    assert packyoke("check", bike)[0] == 0
    if kind == "pipe":
        os.mkfifo(shop)
    elif kind == "folder":
        shop.mkdir()
    else:
        shop.symlink_to("nowhere.yaml")
    code, out, err = packyoke("check", bike)
    assert (code, out) == (2, "")
    assert f"the shop file {shop} cannot be read" in err


@pytest.mark.parametrize("day", ["2000-01-01", "2199-12-31"])
def test_the_first_day_and_the_last_one_are_read(packyoke: Run, day: str) -> None:
    for run in (("quote", COUNTER), ("sheet", TAIL, "--for", "customer"), ("check", TAIL)):
        assert packyoke(*run, "--today", day)[0] == 0


def test_standard_input_is_one_thing_only(packyoke: Run, monkeypatch: pytest.MonkeyPatch, result: str) -> None:
    def typed(text: str) -> None:
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8"))

    told = "standard input was read already, and - can be one thing only"
    for more in (("--format", "lines"), ("--format", "text")):
        typed(result)
        code, out, _ = packyoke("check", "-", "--no-shop", "--against", "-", *more)
        assert (code, told in " ".join(out.split())) == (2, True)
    typed(TAIL.read_text("utf-8"))
    code, out, err = packyoke("check", "-", "--no-shop", "--format", "lines")
    assert (code, "unreadable" in out, err) == (0, False, "")
    typed(TAIL.read_text("utf-8"))
    assert packyoke("check", "-", "-", "--no-shop")[0] == 0, "named twice it is checked once"
