"""Where a command has no answer and lines of the shop file take part, it says which file and line to mend."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Run

SHOP = """packyoke-shop: 1
defaults:
  coldest: 20 degC
  all_leads: {insulation: silicone}
shelf:
  packs:
    slim:
      label: 52 V
      chemistry: NMC
      full_charge: 58.8 V
      capacity: 13 Ah
      discharge: 30 A
  joiners:
    two way:
      type: ideal-diode
      inlets: [XT90 pin, XT90 pin]
      resistance: 2 mohm
  controllers:
    box:
      battery_current: 25 A
"""
BIKE = """packyoke: 1
name: Bench bike
packs:
  keel: {part: slim}
  aft: {part: slim}
joiners:
  yoke: {part: two way}
leads:
  a: {from: keel, to: yoke}
  b: {from: aft, to: yoke}
  main: {from: yoke, to: controller}
controller: {part: box}
"""
CASES = {
    "the coldest of the shop is not below the warmest of the bike": (
        ("name: Bench bike", "name: Bench bike\nwarmest: 15 degC"),
        "not below warmest",
        "coldest: 20",
    ),
    "cells in series of the bike, full charge of the shop": (
        ("keel: {part: slim}", "keel: {part: slim, series: 13}"),
        "13 NMC cells in series does not agree with full_charge 58.8 V",
        "full_charge",
    ),
    "the cut off is not below a full charge that follows from the shop's": (
        ("keel: {part: slim}", "keel: {part: slim, cut_off: 60 V}"),
        "60 V is not below the full charge",
        "label: 52",
    ),
    "inputs of the bike, inlets of the shop": (
        ("{part: two way}", "{part: two way, inputs: 3}"),
        "2 inlets for 3 inputs",
        "inlets",
    ),
    "inlets of the bike beside a joiner of the shop": (
        ("{part: two way}", "{part: two way, inlets: [XT90 pin]}"),
        "1 inlets for 2 inputs",
        "type: ideal",
    ),
    "a line that does not go with the type of the shop": (
        ("{part: two way}", "{part: two way, forward_voltage: 0.5 V}"),
        "not for type ideal-diode",
        "type: ideal",
    ),
    "the same by a copy of a copy": (
        ("aft: {part: slim}", "aft: {like: keel, series: 13}"),
        "13 NMC cells in series does not agree with full_charge 58.8 V",
        "full_charge",
    ),
}
COMMANDS = ("check", "plan", "quote", "charge", "range", "rundown", "meter --volts keel=55", "sheet --for workshop")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    (tmp_path / "packyoke-shop.yaml").write_text(SHOP, encoding="utf-8")
    (tmp_path / "bike.yaml").write_text(BIKE, encoding="utf-8")
    return tmp_path


def line_of(start: str) -> int:
    return 1 + next(number for number, line in enumerate(SHOP.splitlines()) if line.strip().startswith(start))


def one_line(text: str) -> str:
    """What is printed without its breaks; a name of a file is broken within."""
    return "".join(text.split())


@pytest.mark.parametrize("case", CASES)
def test_a_mistake_with_lines_of_the_shop_file_names_them(packyoke: Run, bench: Path, case: str) -> None:
    (old, new), message, start = CASES[case]
    bike = bench / "bike.yaml"
    bike.write_text(BIKE.replace(old, new), encoding="utf-8")
    for command in COMMANDS:
        name, *more = command.split()
        code, out, err = packyoke(name, bike, *more)
        said = one_line(out + err)
        assert code == 2, command
        assert one_line(message) in said, (command, said)
        assert (
            one_line(f"from the shop file, {bench / 'packyoke-shop.yaml'}:{line_of(start)}.") in said
            or one_line(f"in {bench / 'packyoke-shop.yaml'}:{line_of(start)}") in said
        ), (command, said)


def test_a_mistake_of_the_build_alone_names_no_shop_file(packyoke: Run, bench: Path) -> None:
    bike = bench / "bike.yaml"
    bike.write_text(BIKE.replace("{part: slim}", "{part: slim, capacity: 13 A}", 1), encoding="utf-8")
    code, out, err = packyoke("check", bike)
    assert code == 2
    assert "shop" not in out + err


@pytest.mark.parametrize("command", ["plan", "sheet --for workshop", "sheet --for labels"])
def test_what_cannot_be_planned_says_what_it_has_from_where(packyoke: Run, bench: Path, command: str) -> None:
    name, *more = command.split()
    code, out, err = packyoke(name, bench / "bike.yaml", *more)
    assert code == 2
    shop = bench / "packyoke-shop.yaml"
    for said in (
        f"coldest 20 degC (from the shop file, {shop}:{line_of('coldest')})",
        f"all leads insulation silicone (from the shop file, {shop}:{line_of('all_leads')})",
        f"keel: as slim of the shelf (from the shop file, {shop}:{line_of('label')})",
        f"yoke: as two way of the shelf (from the shop file, {shop}:{line_of('type')})",
        f"controller: as box of the shelf (from the shop file, {shop}:{line_of('battery')})",
    ):
        assert said in out + err
    bike = bench / "alone.yaml"
    bike.write_text(BIKE.replace("part: slim", "label: 52 V").replace("part: two way", "").replace("part: box", ""))
    code, out, err = packyoke(name, bike, *more, "--no-shop")
    assert code == 2
    assert "shop" not in out + err


@pytest.mark.parametrize("command", ["sheet --for customer --format text", "compare"])
def test_no_sheet_and_a_comparison_say_it_too(packyoke: Run, bench: Path, command: str) -> None:
    name, *more = command.split()
    bike = bench / "bike.yaml"
    _, out, _ = packyoke(name, bike, *([bike] if name == "compare" else []), *more)
    said = " ".join(out.split())
    for each in ("coldest 20 degC (from the shop file)", "keel: as slim of the shelf (from the shop file)"):
        assert each in said


def test_an_item_that_is_on_no_shelf_says_which_file_was_looked_into(packyoke: Run, bench: Path) -> None:
    bike = bench / "bike.yaml"
    bike.write_text(BIKE.replace("{part: slim}", "{part: wide}", 1), encoding="utf-8")
    code, out, err = packyoke("check", bike)
    assert code == 2
    assert one_line(f"The shop file is  {bench / 'packyoke-shop.yaml'}") in one_line(out + err)
    code, out, err = packyoke("check", bike, "--no-shop")
    assert code == 2
    assert "No shop file is used" in out + err


def test_items_without_a_price_are_named(packyoke: Run, bench: Path) -> None:
    code, out, err = packyoke("plan", bench / "bike.yaml", "--prefer", "cost")
    assert code == 2
    assert f"two way (line {line_of('type') - 1})" in out + err
