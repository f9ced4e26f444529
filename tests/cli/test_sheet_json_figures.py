"""The JSON of `packyoke sheet` holds what the page says: each figure as printed is looked for in it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from math import floor
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run
from tests.sheets import chain_text
from tests.support import BASES, EXAMPLES, edited

SHOP = str(EXAMPLES / "workshop" / "packyoke-shop.yaml")
BUILDS = {
    "bike": EXAMPLES / "skerry-long-tail.yaml",
    "three packs": EXAMPLES / "breakwater-three-packs.yaml",
    "dock": EXAMPLES / "slipway-city-dock.yaml",
    "planned": EXAMPLES / "saltpan-planned.yaml",
    "planned with prices": EXAMPLES / "workshop" / "to-be-wired.yaml",
    "iron phosphate": EXAMPLES / "foghorn-lfp.yaml",
    "joined for good": BASES / "bonded-front-load.yaml",
    "selector": BASES / "selector-lfp.yaml",
    "two motors": BASES / "two-motors.yaml",
    "diodes": BASES / "trike-chain.yaml",
    "long names": Path("long.yaml"),
}
FOR = {
    "customer": tuple(each for each in BUILDS if "planned" not in each),
    "quote": ("bike", "three packs", "dock"),
    "workshop": tuple(BUILDS),
    "labels": ("bike", "planned", "dock", "long names"),
}


def no_constant(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


@pytest.fixture
def both(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The page as Markdown, in which no cell is broken, as bare text; and the sheet of the JSON."""
    monkeypatch.chdir(tmp_path)
    Path("long.yaml").write_text(chain_text(3, long=True), encoding="utf-8")

    def asked(reader: str, build: str) -> tuple[str, Any]:
        typed = ("sheet", BUILDS[build], "--for", reader, "--today", "2026-11-25", "--shop", SHOP)
        code, page, err = packyoke(*typed, "--format", "markdown")
        assert code == 0, err
        code, out, err = packyoke(*typed, "--format", "json")
        assert (code, err) == (0, "")
        return plain(page), json.loads(out, parse_constant=no_constant)["sheet"]

    return asked


def plain(page: str) -> str:
    """Markdown without its marks."""
    return re.sub(r"\\([\\|*_`\[\]#])", r"\1", page).replace("\u2068", "").replace("\u2069", "")


def part(page: str, title: str) -> str:
    """What stands under a heading that ends so."""
    return next(each for each in page.split("\n## ") if each.splitlines()[0].casefold().endswith(title.casefold()))


def table(page: str, title: str) -> list[dict[str, str]]:
    """The rows of the table under a heading; what is the same in every row stands in each again."""
    section = part(page, title)
    same = re.search(r"^- The same in every row: (.*)\.$", section, re.MULTILINE)
    alike = dict(each.split(": ", 1) for each in same[1].split("; ")) if same else {}
    lines = [[cell.strip() for cell in line[1:-1].split("|")] for line in section.splitlines() if line[:1] == "|"]
    heads = [head if head not in lines[0][:at] else f"{head} {at}" for at, head in enumerate(lines[0])]
    return [alike | dict(zip(heads, cells, strict=False)) for cells in lines[2:]]


def printed(text: str, value: float, per_unit: float) -> None:
    """A number as printed is the value, rounded to its last digit."""
    number = re.sub(r"[^\d.].*", "", text)
    digits = len(number.partition(".")[2])
    assert abs(float(number) - value * per_unit) <= 0.5 * 10**-digits * (1 + 1e-9), (text, value)


def rows(sheet: Any, name: str) -> list[dict[str, Any]]:
    return next(each["rows"] for each in sheet["sections"] if each["name"] == name)


def each_of(*readers: str) -> list[Any]:
    return [pytest.param(reader, build, id=f"{reader}, {build}") for reader in readers for build in FOR[reader]]


@pytest.mark.parametrize(("reader", "build"), each_of("customer", "quote"))
def test_ranges_are_those_of_the_table(both: Any, reader: str, build: str) -> None:
    """Whole kilometres, rounded down: 93.8 km are printed as 93 km."""
    page, sheet = both(reader, build)
    for row in table(page, "by the packs you take"):
        name, *cells = row.values()
        found = [each for each in sheet["ranges"] if each["line"] == name]
        rides = [each["ride"] for each in sheet["rides"]]
        assert {tuple(each["packs"]) for each in found if each["ride"] == rides[0]}
        for ride, low, likely in zip(rides, cells[::2], cells[1::2], strict=True):
            for each in (one["distance_m"] for one in found if one["ride"] == ride):
                assert [f"{floor(each[end] / 1000)} km" for end in ("low", "likely")] == [low, likely]
    assert {each["line"] for each in sheet["ranges"]} == {
        next(iter(row.values())) for row in table(page, "by the packs you take")
    }
    for ride in sheet["rides"]:
        told = next(line for line in page.splitlines() if line.startswith(f"- {ride['ride']}: "))
        assert f"{ride['rider_kg']:.0f} kg rider" in told
        assert f"{ride['speed_m_s'] * 3.6:.0f} km/h" in told
        for note in ride["notes"]:
            assert f"about {note['speed_m_s'] * 3.6:.0f} km/h on hills of {100 * note['slope_fraction']:.0f} %" in told


@pytest.mark.parametrize("build", FOR["customer"])
def test_what_the_customer_s_page_rests_on(both: Any, build: str) -> None:
    page, sheet = both("customer", build)
    rests, found = part(page, "rests on"), sheet["rests_on"]
    printed(re.search(r"set to ([\d.]+) A", rests)[1], found["controllers"][0]["set_a"], 1)  # type: ignore[index]
    told = re.findall(r"Rack (.+?), ([\d.]+) kg stamped on it: (\d+) kg is left", rests)
    assert told == [(each["rack"], f"{each['limit_kg']:g}", f"{floor(each['left_kg'])}") for each in found["racks"]]
    air = [f"{found[each] - 273.15:.0f}".replace("-", "\u2212") for each in ("coldest_k", "warmest_k")]
    assert f"Air of {air[0]} to {air[1]} °C" in rests
    assert (sheet["back_by"], "by November 2027" in rests) == ("2027-11", True)
    charged = re.findall(r"([\d.]*)(½?) h\b", part(page, "charging"))
    halves = {2 * int(whole or 0) + bool(half) for whole, half in charged}
    times = [each["full_s"] for charger in sheet["charging"]["chargers"] for each in charger["times"]]
    assert halves == {-floor(-time_s / 1800) for time_s in times}


@pytest.mark.parametrize(("reader", "build"), each_of("customer", "quote"))
def test_no_caution_is_lost(both: Any, reader: str, build: str) -> None:
    """Each box to tick has its findings, and each finding its box."""
    page, sheet = both(reader, build)
    title, mark = ("What we told you", "- [ ] ") if reader == "customer" else ("before you order", "- ")
    boxes = [line for line in part(page, title).splitlines() if line.startswith(mark)] if title in page else []
    for box in boxes:
        assert any(each["message"] in box and (each["accepted"] or each["why"]) in box for each in sheet["told"]), box
    for each in sheet["told"]:
        assert any(each["message"] in box and (each["accepted"] or each["why"]) in box for box in boxes), each
    assert bool(boxes) == (build in ("three packs", "dock", "diodes", "long names"))


@pytest.mark.parametrize("build", FOR["quote"])
def test_prices_are_those_of_the_quote(both: Any, build: str) -> None:
    page, sheet = both("quote", build)
    told = [(row["what"], row["price"].removesuffix(" EUR")) for row in table(page, "what it costs")]
    assert told == [(each["what"], each["amount"] or "no price yet") for each in sheet["prices"]]
    assert told[-1][1] == sheet["totals"]["amount"]
    assert "holds until 25 December 2026" in page
    assert sheet["holds_until"] == "2026-12-25"


@pytest.mark.parametrize("build", FOR["workshop"])
def test_what_is_cut_joined_bought_and_set(both: Any, build: str) -> None:
    page, sheet = both("workshop", build)
    metres = {"mm": 1e3, "m": 1.0}
    cut = table(page, "Cut and mark")
    for row, each in zip(cut, rows(sheet, "cut"), strict=True):
        printed(row["length"], each["length_m"], metres[row["length"].split()[1]])
        assert row["wire"].startswith(f"{each['gauge']} {each['insulation']}")
        assert row["chosen"] == ("planned" if each["planned"] else "in the file")
    if "\n## Join\n" in page:
        bare = [float(row["bare"].removesuffix(" mm")) / 1e3 for row in table(page, "Join") if "mm" in row["bare"]]
        assert set(bare) == {each["bare_m"] for each in rows(sheet, "join")} - {None}
    values = [row["value"] for row in table(page, "Settings of the controller")]
    shown = [f"{each['value']:.3g} {each['unit']}" if each["value"] else "none" for each in rows(sheet, "settings")]
    assert values == shown
    if rows(sheet, "parts"):
        bill = table(page, "Parts")
        assert [row.get("amount", "") for row in bill] == [each["amount"] or "" for each in rows(sheet, "parts")]
        assert f"Altogether {sheet['totals']['amount']} EUR" in page
    packs = zip(table(page, "The packs"), rows(sheet, "packs"), strict=True)
    for row, each in packs:
        for head, key in (("cut-off", "cut_off_v"), ("full", "full_charge_v")):
            printed(row[head].removeprefix("about "), each[key], 1)
            assert row[head].startswith("about ") == (key in each["assumed"])
        rack = "" if each["rack"] == "none" else each["rack"] or ""
        assert build == "long names" or row.get("sits", "") == (each["place"] or rack)
    if "\n## Joiners\n" in page:
        for row, each in zip(table(page, "Joiners"), rows(sheet, "joiners"), strict=True):
            for head, key, unit in (("at most", "ceiling_v", "V"), ("each path", "path_a", "A")):
                assert row[head] == ("not in the file" if each[key] is None else f"{each[key]:g} {unit}")
    assert (sheet["planned"] is not None) == page.count("Planned from") == build.startswith("planned")


def span(text: str) -> list[str]:
    return re.findall(r"[\d.]+", text)


@pytest.mark.parametrize("build", FOR["workshop"])
def test_tests_expect_the_same_readings(both: Any, build: str) -> None:
    page, sheet = both("workshop", build)
    for row, each in zip(table(page, "at every far end"), rows(sheet, "live"), strict=True):
        for text, key in zip(span(row["reads"]), ("low_v", "high_v"), strict=True):
            printed(text, each[key], 1)
        assert ("about" in row["reads"]) == each["assumed"]
    for row, each in zip(table(page, "plus is plus at every end"), rows(sheet, "polarity"), strict=True):
        if "lead" in each:
            ends = [row["one end"], row["other end"]]
            assert ends == [end or "its end" for end in each["ends"]]
    drops = table(page, "millivolts under load")
    for row, each in zip(drops, rows(sheet, "drops"), strict=True):
        head = next(head for head in row if head.startswith("mV at "))
        printed(head.split()[2], each["at_a"], 1)
        low, *high = span(row[head])
        printed(low, each["low_v"], 1e3)
        printed((high or [low])[0], each["high_v"], 1e3)
        printed(row["too much above"], each["too_much_v"], 1e3)
    for row, each in zip(table(page, "warmth after ten minutes"), rows(sheet, "warmth"), strict=True):
        if told := re.search(r"body (\d+)(?: to (\d+))? K", row["plugs at, or what to expect"]):
            printed(told[1], each["rise_low_k"], 1)
            printed(told[2] or told[1], each["rise_high_k"], 1)
        if told := re.search(r"at most (\d+) °C", row["plugs at, or what to expect"]):
            printed(told[1], each["limit_k"] - 273.15, 1)
    for name, title in (("inlets", "every inlet of every joiner"), ("dead", "that should be dead")):
        if f"{title}\n" not in page:
            continue
        for row, each in zip(table(page, title), rows(sheet, name), strict=True):
            low = each["below_v"]
            assert ("below 2 V" in row["expected"]) == (low == 2.0)
            assert (low is None) == (not each.get("blocks", each.get("dead")))
    if any(each["name"] == "charging" for each in sheet["sections"]):
        for row, each in zip(table(page, ": charging"), rows(sheet, "charging"), strict=True):
            for text, key in zip(span(row["without a pack"]), ("low_v", "high_v"), strict=True):
                printed(text, each[key], 1)
            assert row["charges with"] == f"at most {each['most_a']:g} A"
            printed(row["ends at"].removeprefix("about "), each["end_v"], 1)
    together = zip(table(page, "each pair, all"), rows(sheet, "together"), strict=True)
    for row, each in together:
        if each["low_v"] is None:
            assert row["at the controller"] == each["reads"]
        else:
            for text, key in zip(span(row["at the controller"]), ("low_v", "high_v"), strict=True):
                printed(text, each[key], 1)


@pytest.mark.parametrize("build", FOR["labels"])
def test_every_label_is_there_with_its_lines(both: Any, build: str) -> None:
    page, sheet = both("labels", build)
    labels = sheet["labels"]
    flags = re.findall("\u201c(.*?)\u201d", page)
    assert flags == [each["lines"][1] for each in labels["flags"]]
    assert 2 * len(re.findall("\\+ and \u2212", page)) == len(labels["sleeves"])
    for each in labels["plates"]:
        assert f"- {each['called']}: {', '.join(each['lines'])}" in page
        for key, unit in (("voltage_v", "V"), ("current_a", "A")):
            told = [re.search(rf"([\d.]+) {unit}\b", line) for line in each["lines"] if not line.startswith("fuse: ")]
            assert [float(found[1]) for found in told if found] == [each[key]] * (each[key] is not None)
    for each in labels["empty"]:
        assert f"- {each['at']}: {each['lines'][0]}" in page
    lines = sum(line.startswith("- ") for line in page.splitlines())
    assert lines == len(labels["flags"]) + len(labels["plates"]) + len(labels["empty"])


def test_what_a_drop_should_be_hangs_on_no_reading(packyoke: Run, tmp_path: Path) -> None:
    """It is held against what the file describes: a bad joint that was read once is no measure for the next time."""
    read = {"date": "2026-10-01", "what": "drop", "at": "20 A"}
    told = []
    for readings in ([], [read | {"part": "joiners.yoke", "value": "43 mV"}]):
        file = tmp_path / "x.yaml"
        file.write_text(edited("skerry-long-tail", {"measured": readings} if readings else {}), encoding="utf-8")
        code, out, _ = packyoke("sheet", file, "--for", "workshop", "--today", "2026-11-25", "--format", "json")
        assert code == 0
        rows = [each for each in _each(json.loads(out)) if "joiner" in each and "too_much_v" in each]
        told.append([(each["from_lead"], each["low_v"], each["high_v"], each["too_much_v"]) for each in rows])
    assert told[0] == told[1] == [("keel lead", 0.02, 0.02, 0.03), ("pannier lead", 0.02, 0.02, 0.03)]


def _each(data: Any) -> Iterator[dict[str, Any]]:
    """Every object in a tree of JSON."""
    if isinstance(data, dict):
        yield data
    for inside in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from _each(inside)
