"""Conditions of the reader and of what writes into a file, each at both sides."""

from __future__ import annotations

import pytest

from packyoke.buildfile.reading import is_build, load, load_shop, parse
from packyoke.buildfile.writing.readings import Entry, with_readings
from packyoke.buildfile.writing.words import value_words
from packyoke.model import FITTED, Build, End, Fuse, Gauge, Run
from packyoke.model.build import NOWHERE
from tests.support import edited


@pytest.mark.parametrize(
    ("inlet", "taken"),
    [
        ("1", True),
        ("2", True),
        ("keel lead", True),
        ("0", False),
        ("3", False),
        ("nowhere", False),
        ("main lead", False),
    ],
)
def test_a_reading_names_an_inlet_that_its_joiner_has(inlet: str, taken: bool) -> None:
    """A joiner of two inlets, by number or by the lead that goes in."""
    reading = {"date": "2026-11-20", "part": "joiners.yoke", "what": "blocks", "value": "yes", "inlet": inlet}
    text = edited("skerry-long-tail", {"measured": [reading]}, [])
    found = load(text, "x.yaml")
    if taken:
        assert isinstance(found, Build), found
    else:
        assert isinstance(found, list)
        assert any("has no inlet" in each.message for each in found)


def test_a_second_currency_is_told_where_it_stands() -> None:
    """In the labour where that has it, on the shelf where it is there."""
    shelf = "shelf: {sundries: {tube: {use: sleeve, price: 1 EUR}, cap: {use: cap, price: 2 CUR}}}"
    for currency, rates, place in (
        ("EUR", "labour: 60 EUR/h, rounding: 0.05", ""),
        ("EUR", "labour: 60 USD/h, rounding: 0.05", "labour"),
        ("USD", "labour: 60 EUR/h", "price"),
    ):
        text = f"packyoke-shop: 1\nname: x\n{shelf.replace('CUR', currency)}\nrates: {{{rates}}}\n"
        found = load_shop(text, "shop")
        told = [each.field for each in found if "came before" in each.message] if isinstance(found, list) else []
        assert [each.rpartition(".")[2] for each in told] == ([place] if place else []), found


@pytest.mark.parametrize(
    "after",
    ["", "accept: []\n", "# a word\naccept: []\n", "\n\nride: {}\n"],
)
@pytest.mark.parametrize("indent", ["", "  ", "    "])
def test_readings_go_behind_the_last_of_the_list(indent: str, after: str) -> None:
    """The list may be indented below its key or stand right under it; what follows the list stays behind it."""
    item = f"{indent}- {{date: 2026-11-20, part: packs.keel, what: voltage, value: 54.1 V}}\n"
    text = f"packyoke: 1\nname: x\nmeasured:\n{item}{after}"
    new = with_readings(text, [Entry("2026-11-25", "packs.keel", "voltage", "53.9 V", "")])
    lines = new.splitlines()
    at = lines.index(item.rstrip("\n"))
    assert lines[at + 1].startswith(f"{indent}- ")
    assert "53.9 V" in lines[at + 1]
    assert new.replace(lines[at + 1] + "\n", "", 1).rstrip("\n") == text.rstrip("\n")


@pytest.mark.parametrize(
    ("attr", "value", "line"),
    [
        ("length_m", 0.45, ("length", "450 mm")),
        ("gauge", Gauge("AWG", 12.0), ("gauge", "12 AWG")),
        ("ends", (End("XT60", "pin", "pin"), End("XT60", "socket", "socket")), ("ends", "[XT60 pin, XT60 socket]")),
        ("run", Run(in_frame=True, moving=False, beside=0, beside_leads=()), ("run", "in frame")),
        ("insulation", "PVC", ("insulation", "PVC")),
        ("place_name", "down tube", ("place", "down tube")),
        (
            "fuse",
            Fuse(
                name="fuse",
                path="x.fuse",
                span=NOWHERE,
                spans={},
                presence=FITTED,
                family="blade",
                rating_a=30.0,
                voltage_v=58.0,
            ),
            ("fuse", "{family: blade, rating: 30 A, voltage: 58 V}"),
        ),
    ],
)
def test_a_planned_field_as_a_line_of_the_file(attr: str, value: object, line: tuple[str, str]) -> None:
    assert value_words(attr, value) == line


@pytest.mark.parametrize(
    ("field", "typed", "meant"),
    [
        ("chemistry", "NiMH cells NMC", ""),  # two kinds of cells: nobody guesses which
        ("chemistry", "lead acid NMC", ""),
        ("chemistry", "good NMC cells", "chemistry: NMC"),
        ("condition", "wet lead", "condition: wet"),  # a word that is another chemistry says nothing here
    ],
)
def test_one_word_of_a_list_is_found_in_a_longer_text(field: str, typed: str, meant: str) -> None:
    found = load(f"packyoke: 1\nname: x\npacks:\n  a: {{{field}: '{typed}'}}\n", "x")
    assert isinstance(found, list)
    (told,) = [each for each in found if each.field == f"packs.a.{field}"]
    assert told.do.startswith(f"Write  {meant}" if meant else "Known:")


@pytest.mark.parametrize(("amount", "read"), [("0.05", "0.05"), ("0.05 EUR", "0.05"), ("0.05 XQZ", None)])
def test_an_amount_may_have_a_currency_and_no_other_word(amount: str, read: str | None) -> None:
    found = load_shop(f"packyoke-shop: 1\nname: x\nrates: {{labour: 60 EUR/h, rounding: {amount}}}\n", "shop")
    if isinstance(found, list):
        assert read is None
        assert found[0].message == f'"{amount}" is no amount'
    else:
        assert str(found.rates.rounding) == read


@pytest.mark.parametrize(
    ("current", "stated"),
    [("25 A", True), ("{limit: 25 A}", True), ("{limit: 25 A, adjustable_to: 30 A}", False), ("", False)],
)
def test_a_limit_that_may_be_raised_is_spoken_of_where_a_limit_is_given(current: str, stated: bool) -> None:
    """What it can be set to is taken as the limit, and that is said; without a limit there is nothing to say."""
    put = {"controller.battery_current": current} if current else {}
    found = load(edited("skerry-long-tail", put, [] if current else ["controller.battery_current"]), "x.yaml")
    assert isinstance(found, Build), found
    assert any(each.part == "controller" for each in found.stated) is stated


@pytest.mark.parametrize(
    ("text", "build"),
    [
        ("packyoke: 1\n", True),
        ("my bike:\n  packyoke: 1\n", True),  # somebody put a name over it
        ("my bike:\n  packs: {a: {series: 13}}\n  leads: {b: {from: a}}\n", True),
        ("jobs:\n  packyoke: {run: check}\n  build: {run: make}\n", False),  # a job of that name
        ("jobs:\n  lint: {run: check}\n  build: {run: make}\n", False),
        ("name: x\n", False),
    ],
)
def test_a_build_is_told_from_the_file_of_another_program(text: str, build: bool) -> None:
    document = parse(text, "x.yaml")
    assert not isinstance(document, list)
    assert is_build(document) is build
