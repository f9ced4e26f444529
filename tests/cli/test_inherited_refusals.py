"""Where a command has no answer and lines of the shop file take part, it says which file and line to mend."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from packyoke.answers import inherited
from tests.cli.conftest import Run
from tests.support import EXAMPLES

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
    bare: {label: 52 V, chemistry: NMC, full_charge: 58.8 V}
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


def line_of(start: str) -> int:
    return 1 + next(number for number, line in enumerate(SHOP.splitlines()) if line.strip().startswith(start))


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


DRAWN = BIKE.replace("{part: two way}", "{type: plain, resistance: 1 mohm}")
"""Planned wires apart: two packs of the shelf on a plain joiner, which is a stop."""
BARE = BIKE.replace("part: slim", "part: bare")
"""Nobody says how much is in the packs."""
NEXT = ("b.yaml", DRAWN.replace("{part: slim}", "{part: slim, condition: wet}", 1))
NO_ANSWER: dict[str, tuple[str, str, int]] = {
    "plan": ("plan bike.yaml", BIKE, 2),
    "sheet for the workshop": ("sheet bike.yaml --for workshop", BIKE, 2),
    "labels": ("sheet bike.yaml --for labels", BIKE, 2),
    "range at stop": ("range bike.yaml", DRAWN, 1),
    "route at stop": ("range bike.yaml --route round.gpx", DRAWN, 1),
    "range that cannot be worked out": ("range bike.yaml", BARE, 2),
    "rundown that cannot be worked out": ("rundown bike.yaml", BARE, 2),
    "no sheet for the customer": ("sheet bike.yaml --for customer --format text", DRAWN, 1),
    "no page of a quote": ("sheet bike.yaml --for quote --format text", DRAWN, 1),
    "comparison": ("compare bike.yaml b.yaml", DRAWN, 1),
}
"""What is asked, of which bike, and the exit status: a page or a message without an answer, and a comparison."""


@pytest.mark.parametrize("case", NO_ANSWER)
def test_where_there_is_no_answer_every_line_of_the_shop_file_has_its_place(
    packyoke: Run, bench: Path, monkeypatch: pytest.MonkeyPatch, case: str
) -> None:
    asked, text, status = NO_ANSWER[case]
    monkeypatch.chdir(bench)
    Path("bike.yaml").write_text(text, encoding="utf-8")
    Path(NEXT[0]).write_text(NEXT[1], encoding="utf-8")
    Path("round.gpx").write_text((EXAMPLES / "skerry-round.gpx").read_text(encoding="utf-8"), encoding="utf-8")
    code, out, err = packyoke(*asked.split())
    assert code == status, err
    shop = bench.resolve() / "packyoke-shop.yaml"
    lines = [
        f"coldest 20 degC (from the shop file, {shop}:{line_of('coldest')})",
        f"all leads insulation silicone (from the shop file, {shop}:{line_of('all_leads')})",
        f"controller: as box of the shelf (from the shop file, {shop}:{line_of('battery')})",
    ]
    pack, line = ("bare", line_of("bare")) if text is BARE else ("slim", line_of("label"))
    lines += [f"{name}: as {pack} of the shelf (from the shop file, {shop}:{line})" for name in ("keel", "aft")]
    if text is not DRAWN:
        lines.append(f"yoke: as two way of the shelf (from the shop file, {shop}:{line_of('type')})")
    assert [each for each in lines if one_line(each) not in one_line(out + err)] == []
    alone = re.sub("{part: (slim|bare)}", "{label: 52 V, full_charge: 58.8 V}", text).replace("{part: two way}", "{}")
    for name in ("bike.yaml", NEXT[0]):
        Path(name).write_text(alone.replace("{part: box}", "{battery_current: 25 A}"), encoding="utf-8")
    code, out, err = packyoke(*asked.split(), "--no-shop")
    assert code in (1, 2)
    assert "from the shop file" not in out + err


@pytest.mark.parametrize("form", ["text", "json"])
def test_many_builds_compared_say_it_of_each_that_changed(packyoke: Run, bench: Path, form: str) -> None:
    shop = (bench / "packyoke-shop.yaml").read_text(encoding="utf-8")
    for folder, text in (("old", DRAWN), ("new", NEXT[1])):
        (bench / folder).mkdir()
        (bench / folder / "a.yaml").write_text(text, encoding="utf-8")
        (bench / folder / "packyoke-shop.yaml").write_text(shop, encoding="utf-8")
        code, out, _ = packyoke("check", bench / folder / "a.yaml", "--format", "json")
        data = json.loads(out)
        data["builds"][0]["file"] = "a.yaml"
        (bench / f"{folder}.json").write_text(json.dumps(data), encoding="utf-8")
    for end in ("", ".json"):
        code, out, err = packyoke("compare", bench / f"old{end}", bench / f"new{end}", "--format", form)
        assert code == 1, err
        said = one_line(" ".join(json.loads(out)["builds"][0]["inherited"]) if form == "json" else out)
        for folder, which in (("old", "before"), ("new", "after")):
            place = f"{bench.resolve() / folder / 'packyoke-shop.yaml'}:{line_of('coldest')}"
            assert one_line(f"{which}: coldest 20 degC (from the shop file, {place})") in said


def test_a_result_of_an_earlier_version_says_it_without_places(packyoke: Run, bench: Path) -> None:
    """And what is no text in it, is none here. A list that is none is refused."""
    for name, text in (("old", DRAWN), ("new", NEXT[1])):
        (bench / "a.yaml").write_text(text, encoding="utf-8")
        data = json.loads(packyoke("check", bench / "a.yaml", "--format", "json")[1])
        for each in data["builds"][0]["assumed"]:
            del each["origin"]
        data["builds"][0]["assumed"] += [3, None, {"basis": "from the shop file", "field": 1, "value": None}]
        (bench / f"{name}.json").write_text(json.dumps(data), encoding="utf-8")
    code, out, err = packyoke("compare", bench / "old.json", bench / "new.json")
    assert code == 1, err
    assert one_line("coldest 20 degC (from the shop file)") in one_line(out)
    data["builds"][0]["assumed"] = "nothing"
    (bench / "new.json").write_text(json.dumps(data), encoding="utf-8")
    assert packyoke("compare", bench / "old.json", bench / "new.json")[0] == 2


PRICES = {
    "quote without a price": ("quote bike.yaml", True, f"slim (line {line_of('slim')})"),
    "quote without packs": ("quote bike.yaml --shop bare.yaml", True, "packs on the shop's shelf, and there are none"),
    "quote without a shop file": ("quote bike.yaml --no-shop", False, "packs on the shop's shelf, and there are none"),
    "plan for cost": ("plan bike.yaml --prefer cost", True, f"two way (line {line_of('two way')})"),
    "plan for cost without a shop file": ("plan bike.yaml --prefer cost --no-shop", False, "has a price"),
    "page of a quote": ("sheet bike.yaml --for quote --format text", True, "nothing on this bill has one"),
    "page of a quote without a shop file": (
        *("sheet bike.yaml --for quote --format text --no-shop", False),
        "nothing on this bill has one",
    ),
    "most in another currency": ("quote bike.yaml --most 5GBP --shop priced.yaml", True, "the prices are in EUR"),
}


@pytest.mark.parametrize("case", PRICES)
def test_what_needs_prices_says_which_shop_file_was_looked_into(
    packyoke: Run, bench: Path, monkeypatch: pytest.MonkeyPatch, case: str
) -> None:
    asked, used, said = PRICES[case]
    monkeypatch.chdir(bench)
    Path("bike.yaml").write_text((EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    Path("bare.yaml").write_text("packyoke-shop: 1\n", encoding="utf-8")
    Path("priced.yaml").write_text(SHOP.replace("    slim:", "    slim:\n      price: 300 EUR"), encoding="utf-8")
    code, out, err = packyoke(*asked.split())
    assert code == 2
    named = re.search(r"--shop (\S+)", asked)
    shop = named[1] if named else str(bench.resolve() / "packyoke-shop.yaml")
    assert one_line(f"The shop file is  {shop}" if used else "No shop file is used") in one_line(out + err)
    assert one_line(said) in one_line(out + err)


def test_one_room_has_the_words_for_what_is_from_the_shop_file() -> None:
    """So that every command says it alike."""
    answers = Path(inherited.__file__).parent
    own = [
        path for path in answers.rglob("*.py") if re.search(r"\{FROM_SHOP|from the shop file", path.read_text("utf-8"))
    ]
    assert [path.name for path in own] == ["inherited.py"]


def test_an_item_that_is_on_no_shelf_says_which_file_was_looked_into(packyoke: Run, bench: Path) -> None:
    bike = bench / "bike.yaml"
    bike.write_text(BIKE.replace("{part: slim}", "{part: wide}", 1), encoding="utf-8")
    code, out, err = packyoke("check", bike)
    assert code == 2
    assert one_line(f"The shop file is  {bench / 'packyoke-shop.yaml'}") in one_line(out + err)
    code, out, err = packyoke("check", bike, "--no-shop")
    assert code == 2
    assert "No shop file is used" in out + err
