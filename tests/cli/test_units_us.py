"""`--units us`: no figure of metres, kilograms, kilometres or degrees Celsius is left in anything that people read, and
JSON stays as it is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from packyoke.answers.shelf.page import US
from packyoke.core.tape import tape, tape_m
from packyoke.page.us import in_us
from tests.cli.conftest import Run
from tests.cli.test_every_form import Seen, unmarked
from tests.support import EXAMPLES, ROOT

LONG_TAIL = "examples/skerry-long-tail.yaml"
DAY = ("--today", "2027-05-14")
COMMANDS: dict[str, tuple[str, ...]] = {
    "check": ("check", LONG_TAIL, *DAY, "--all"),
    "check of three packs": ("check", "examples/breakwater-three-packs.yaml", *DAY, "--all"),
    "check of open questions": ("check", "examples/oakum-draft.yaml", *DAY),
    "check at stop": ("check", "examples/quay-plain-trike.yaml", *DAY),
    "check of what is to be wired": ("check", "examples/saltpan-planned.yaml", *DAY),
    "rundown": ("rundown", LONG_TAIL, "--ride", "everyday", "--cold", "-5 degC"),
    "range": ("range", LONG_TAIL, "--sensitivity", "--need", "60 km"),
    "range of rides with much not known": ("range", "examples/sluice-second-port.yaml", "--sensitivity"),
    "range on a route": ("range", LONG_TAIL, "--route", "examples/skerry-round.gpx"),
    "range from what is known": ("range", LONG_TAIL, "--known", "48 km from 100 % to 20 % with keel"),
    "charge": ("charge", LONG_TAIL, "--cold", "5 degC"),
    "meter": ("meter", LONG_TAIL, "--volts", "keel=56.1,pannier=53.2", "--load", "12 A"),
    "compare": ("compare", "examples/first-steps/1-labels.yaml", "examples/first-steps/2-complete.yaml"),
    "compare folders": ("compare", "examples/first-steps", "examples/first-steps"),
    "plan": ("plan", "examples/saltpan-planned.yaml"),
    "plan over a shelf": ("plan", "examples/workshop/to-be-wired.yaml"),
    "quote": ("quote", "examples/counter/parcel-bike.yaml", "--reach", "60 km", "--ride", "loaded"),
    "why": ("why", "lead-overheats"),
    "why of every rule": ("why",),
    "shelf": ("shelf",),
    "sheet for customer": ("sheet", LONG_TAIL, "--for", "customer", *DAY),
    "sheet for workshop": ("sheet", LONG_TAIL, "--for", "workshop", *DAY),
    "sheet of a plan": ("sheet", "examples/workshop/to-be-wired.yaml", "--for", "workshop", *DAY),
    "quote sheet": ("sheet", "examples/workshop/to-be-wired.yaml", "--for", "quote", *DAY),
    "labels": ("sheet", LONG_TAIL, "--for", "labels", *DAY),
    "sheet at stop": ("sheet", "examples/quay-plain-trike.yaml", "--for", "customer", *DAY),
}
SVG = ("plan", "plan over a shelf")
METRIC = re.compile(
    r"(?:[0-9)]|__)[ \u00a0\n]*(?:km/h|m/s|m per|per km|Wh/km|km|cm|mm|kg|m|g|degC|°C|m2)(?![\w/\u00b2])"
    r"|(?<![\w/])(?:km/h|Wh/km|per km|km|kg|degC|°C)(?![\w/])"
)
"""A figure of a metric unit, or its name alone at the head of a column."""
OF_THE_TRADE = re.compile(r"[0-9.]+\s?mm\s(?:bullet|barrel|blade| +pin and)|[0-9.]+ ?mm2")
AS_WRITTEN = re.compile(r"this line is 50\s?mm long|for a\s+column\s+of\s+Tc\s+degC|for\s+each\s+kg\s+of\s+rider")
"""The line to check a printer by is drawn in millimetres, to the millimetre; formulas and sources stay."""


@pytest.mark.parametrize("form", ["text", "markdown", "html", "svg"])
@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_metric_is_left(packyoke: Run, monkeypatch: pytest.MonkeyPatch, command: str, form: str) -> None:
    if form == "svg" and command not in SVG:
        return
    monkeypatch.chdir(ROOT)
    code, out, err = packyoke(*COMMANDS[command], "--units", "us", "--format", form)
    assert code in (0, 1), err
    metric = packyoke(*COMMANDS[command], "--format", form)[1]
    read = AS_WRITTEN.sub("", OF_THE_TRADE.sub("", words(out, form)))
    assert METRIC.findall(read) == []
    if METRIC.search(AS_WRITTEN.sub("", OF_THE_TRADE.sub("", words(metric, form)))):
        assert re.search(r"[0-9][ \u00a0](?:ft|in|mi|lb|oz|mph|degF|Wh/mi|ft2|°F|per mi)(?!\w)", read)


def words(out: str, form: str) -> str:
    if form in ("html", "svg"):
        seen = Seen()
        seen.feed(out)
        return seen.text + seen.key
    return unmarked(out) if form == "markdown" else out


@pytest.mark.parametrize("command", COMMANDS)
def test_json_stays_in_si(packyoke: Run, monkeypatch: pytest.MonkeyPatch, command: str) -> None:
    monkeypatch.chdir(ROOT)
    given = (*COMMANDS[command], "--format", "json")
    assert packyoke(*given, "--units", "us") == packyoke(*given)


def test_lengths_of_a_plan_are_those_of_a_tape(packyoke: Run) -> None:
    out = packyoke("check", EXAMPLES / "skerry-long-tail.yaml", "--no-shop", "--units", "us", *DAY)[1]
    # 400 mm are 15.75 in, 900 mm 35.43 in: 2 ft 11 3/8 in (11.375; the next mark is 11.5). 35 degC are 95 degF.
    assert "keel lead  12 AWG, 1 ft 3 3/4 in" in out
    assert "pannier lead  12 AWG, 2 ft 11 3/8 in" in out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("at most 0.4 m", "at most 1 ft 3 3/4 in"),  # 15.748 in
        ("180 mm or 1 m", "7 1/16 in or 3 ft 3 3/8 in"),  # 7.087 and 39.370 in
        ("60 x 40 x 20 mm", "2 3/8 in x 1 9/16 in x 13/16 in"),  # 2.362, 1.575, 0.787
        ("-10 to 40 degC", "14 to 104 degF"),
        ("at most 30 K above, 60 °C", "at most 54 degF above, 140 °F"),
        ("____ °C", "____ °F"),
        ("one end °C", "one end °F"),
        ("+3.5 kg, -22 km", "+7.72 lb, -13.7 mi"),
        ("12\u00a0kg", "26.5 lb"),
        ("8 m per km, stops 1 to 4 per km", "42.2 ft per mi, stops 1.61 to 6.44 per mi"),  # 5280 x 0.008; 1.609344
        ("0.65 (0.48 to 0.85) m2", "7 (5.17 to 9.15) ft2"),
        ("count on 47-63 km", "count on 29.2-39.1 mi"),
        ("25 km/h, 12 Wh/km, 3 m/s", "15.5 mph, 19.3 Wh/mi, 6.71 mph"),
        ("0 km, 0 m", "0 mi, 0 ft"),
        ("12 AWG, 3.31 mm2, 12 min, 3 mm², 17 K/W, 5 m3, 4 mA", "12 AWG, 3.31 mm2, 12 min, 3 mm², 17 K/W, 5 m3, 4 mA"),
        ("4 mm bullet 40 A, 4 mm apart", "4 mm bullet 40 A, 3/16 in apart"),
        ("the lead front 2 m long lead is 2 m long", "the lead front 2 m long lead is 6 ft 6 3/4 in long"),
    ],
)
def test_texts_in_us_units(text: str, told: str) -> None:
    assert in_us(text, ["4 mm bullet", "front 2 m long lead"]) == told


def test_names_that_somebody_gave_stay_as_they_are(packyoke: Run, tmp_path: Path) -> None:
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8")
    path = tmp_path / "a.yaml"
    path.write_text(
        text.replace("keel lead:", "lead 2 m keel:").replace("pannier lead:", "rear 90 cm:"), encoding="utf-8"
    )
    for form in ("text", "markdown"):
        out = packyoke("check", path, "--no-shop", "--units", "us", "--format", form)[1]
        assert "lead 2 m keel  12 AWG, 1 ft 3 3/4 in" in out
        assert "rear 90 cm  12 AWG, 2 ft 11 3/8 in" in out


def test_mistakes_quote_the_file_as_it_is(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("packyoke: 1\nname: x\nwarmest: 30 degC 2 m\n", encoding="utf-8")
    code, out, _ = packyoke("check", path, "--units", "us")
    assert code == 2
    assert "30 degC 2 m" in out


@pytest.mark.parametrize("sixteenths", range(1, 500, 7))
def test_what_a_tape_says_is_read_again_to_the_mark(sixteenths: int) -> None:
    metres = sixteenths / 16 * 0.0254
    told = tape(metres)
    assert told is not None
    found = tape_m(told) or tape_m_of_plain(told)
    assert found == pytest.approx(metres, abs=0.00159 if metres > 0.3 else 1e-9)


def tape_m_of_plain(told: str) -> float:
    number, unit = told.split()
    return float(number) * {"in": 0.0254, "ft": 0.3048}[unit]


BARE_MM2 = re.compile(r"[0-9][ \u00a0](?:mm2|mm\u00b2)(?![\w/])(?! per )")


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
@pytest.mark.parametrize("command", ["check", "plan", "customer", "workshop"])
def test_wire_in_mm2_is_told_in_awg_too(packyoke: Run, tmp_path: Path, command: str, form: str) -> None:
    """4 mm2 of IEC 60228 has the copper of 3.48 mm2, 12 AWG 3.31 and 11 AWG 4.17; 6 mm2 has 5.22, 10 AWG 5.26."""
    path = tmp_path / "a.yaml"
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8")
    path.write_text(text.replace("gauge: 12 AWG", "gauge: 4 mm2").replace("gauge: 10 AWG", "gauge: 6 mm2"), "utf-8")
    given = ("sheet", path, "--for", command) if command in ("customer", "workshop") else (command, path)
    out = packyoke(*given, "--no-shop", "--units", "us", "--format", form)[1]
    drawn = re.sub("<svg.*?</svg>", "", out, flags=re.S)  # no room there
    read = " ".join(words(drawn, form).split()).replace("\u00a0", " ")
    for found in BARE_MM2.finditer(read) if form != "text" else ():  # there a cell goes on below itself
        assert "AWG" in read[max(0, found.start() - 24) : found.end() + 30], read[found.start() - 40 : found.end() + 40]
    if command in ("check", "workshop") and form != "text":
        assert "4 mm2 (between 12 and 11 AWG)" in read
        assert "6 mm2 (10 AWG)" in read


@pytest.mark.parametrize("unit", US)
def test_units_of_the_shelf_are_those_of_pint(unit: str) -> None:
    pint = pytest.importorskip("pint").UnitRegistry()
    name, factor, added = US[unit]
    theirs = {"mohm/m": "milliohm/m", "K/W": "delta_degC/W", "degF/W": "delta_degF/W", "1/mi": "1/mile", "m2": "m**2"}
    theirs |= {"ft/mi": "ft/mile", "mph": "mile/hour", "ft2": "ft**2", "mohm/ft": "milliohm/ft"}
    given = pint.Quantity(7.0, theirs.get(unit, unit))
    assert 7.0 * factor + added == pytest.approx(given.to(theirs.get(name, name)).magnitude, rel=1e-9)
