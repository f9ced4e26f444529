"""`packyoke sheet --format json` as a program meets it: strict, documented, whole; where there is no sheet, why."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.answers.sheet import customer_words, how_far
from tests.cli.conftest import Run
from tests.cli.test_sheet_json_figures import BUILDS, FOR, SHOP, each_of, no_constant, plain
from tests.sheets import chain_text
from tests.support import EXAMPLES, ROOT, edited

DAY = ("--today", "2026-11-25")
READERS = ("customer", "workshop", "quote", "labels")
PAGE = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
OURS = PAGE.partition("# The JSON of `packyoke sheet`\n")[2].partition("\n# The JSON of")[0]
HEAD = {"schema", "tool", "for", "file", "name", "today", "verdict", "fingerprint", "sheet"}
NO_SHEET = {"why", "mend", "open", "find_out", "cure", "no_plan", "inherited"}


@pytest.fixture
def sheet(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Exit status and document; what is no strict JSON is refused."""
    monkeypatch.chdir(tmp_path)
    Path("long.yaml").write_text(chain_text(3, long=True), encoding="utf-8")

    def asked(build: Path | str, reader: str, *more: str | Path) -> tuple[int, Any]:
        code, out, err = packyoke("sheet", build, "--for", reader, *DAY, "--format", "json", *more)
        assert code in (0, 1), err
        return code, json.loads(out, parse_constant=no_constant)

    return asked


def texts(what: Any) -> list[str]:
    if isinstance(what, dict | list):
        return [each for one in (what.values() if isinstance(what, dict) else what) for each in texts(one)]
    return [what] if isinstance(what, str) else []


def keys(what: Any) -> set[str]:
    if isinstance(what, dict):
        own = {key for key in what if key not in NAMED}
        return own | {each for key in own for each in keys(what[key])}
    return {each for one in what for each in keys(one)} if isinstance(what, list) else set()


NAMED = {"charges", "values"}
"""Keys of what is in these are names of packs and fields."""
ELSEWHERE = {
    "customer": (
        r"^- .+: .*h$",
        r"^- .+: time not known$",
        r"^- Back to us by ",
        r"^- \[ \] ",
        r"^- Nothing to agree on",
        r"^.+ · .+$",
    ),
    "quote": (r"^(- )?\d+ November 2026$",),
    "workshop": (r"^(- )?\d+ November 2026$", r"^- The same in every row: ", r"^- .+: (flags|sleeves) "),
    "labels": (r": (flags|sleeves) ",),
}
"""Lines that are made of figures: those have tests of their own."""


@pytest.mark.parametrize(("reader", "build"), each_of(*READERS))
def test_every_sentence_of_the_page_is_in_it_whole(packyoke: Run, sheet: Any, reader: str, build: str) -> None:
    typed = ("sheet", BUILDS[build], "--for", reader, *DAY, "--shop", SHOP, "--format", "markdown")
    page = plain(packyoke(*typed)[1])
    found = sheet(BUILDS[build], reader, "--shop", SHOP)[1]
    said = {" ".join(each.replace("\u2068", "").replace("\u2069", "").split()) for each in texts(found)}
    said |= {f"{each['called']}: {', '.join(each['lines'])}" for each in _labels(found)}
    said |= {f"{each['at']}: {each['lines'][0]}" for each in _labels(found, "empty")}
    said |= {f"{each['ride']}: {each['about']}" for each in found["sheet"].get("rides", [])}
    made = f"packyoke {found['tool']}, build {found['fingerprint']}."
    lost = []
    for line in page.splitlines():
        if not line or line[0] in "#|" or any(re.search(each, line) for each in ELSEWHERE[reader]):
            continue
        bare = re.sub(r"^- (\[ \] (\d+ )?)?|^\d+\. ", "", line).removesuffix(made).removesuffix(": ________").strip()
        if bare and " ".join(bare.split()) not in said and not bare.startswith("Done and tested by"):
            lost.append(line)
    assert lost == []


def _labels(found: Any, kind: str = "plates") -> list[Any]:
    return list(found["sheet"].get("labels", {}).get(kind, []))


@pytest.mark.parametrize(("reader", "build"), each_of(*READERS))
def test_every_key_is_documented(sheet: Any, reader: str, build: str) -> None:
    """In the chapter of the sheet, or where findings, bills and plans are described."""
    code, found = sheet(BUILDS[build], reader, "--shop", SHOP)
    assert (code, found["schema"], found["for"], set(found)) == (0, "packyoke/sheet/1", reader, HEAD)
    lent = PAGE.partition("# The JSON of `packyoke rundown`")[0]
    lent += PAGE.partition("# The JSON of `packyoke plan`")[2].partition("# The JSON of")[0]
    told = {word for text in (OURS, lent) for word in re.findall(r"`(?:\w+\[?\]?\.)*(\w+)(?:\[\])?`", text)}
    assert sorted(keys(found) - told - {"schema"}) == []
    own = set(re.findall(r"`(?:labels\.)?(\w+)(?:\[\])?`", OURS))
    assert sorted(set(found["sheet"]) - own) == []


def test_the_rows_of_a_work_sheet_are_documented_and_nothing_else_is(sheet: Any) -> None:
    rows = OURS.partition("| `name` | each of `rows` |")[2]
    told = dict(re.findall(r"^\| `([a-z ]+)` \| (.*) \|$", rows, re.MULTILINE))
    seen: dict[str, set[str]] = {}
    for build in FOR["workshop"]:
        for section in sheet(BUILDS[build], "workshop", "--shop", SHOP)[1]["sheet"]["sections"]:
            seen.setdefault(section["name"], set()).update(keys(section["rows"]))
    assert {name for name, found in seen.items() if found} == set(told)
    for name, words in told.items():
        said = set(re.findall(r"`(\w+)(?:\[\])?`", words)) - {"null"}
        said |= {"lead", "number", "source", "target"} if "the lead" in words else set()
        if name == "fuses":
            said = said - {"fuse"} | {"presence", "family", "rating_a", "voltage_v", "sealed"}
        assert words.startswith("as `") or seen[name] == said, name


@pytest.fixture
def none(tmp_path: Path) -> dict[str, Path]:
    """Builds that get no sheet: at stop, open, with blanks that nothing fills, with a distance that nobody told."""
    made = {
        "stop": (EXAMPLES / "quay-plain-trike.yaml").read_text(encoding="utf-8"),
        "open": edited("skerry-long-tail", drop=["leads.keel lead.gauge"]),
        "open joiner": edited("skerry-long-tail", drop=["joiners.yoke.ceiling"]),
        "no plan": edited("saltpan-planned", put={"packs.port.discharge": "10 A"}),
        "untold": edited("saltpan-planned", drop=["runs"]),
    }
    for name, text in made.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return {name: tmp_path / f"{name}.yaml" for name in made}


@pytest.mark.parametrize(
    ("build", "reader"),
    [
        *(("stop", reader) for reader in READERS),
        ("open", "customer"),
        ("open joiner", "workshop"),
        ("open joiner", "labels"),
    ],
)
def test_without_a_sheet_it_says_what_to_mend_and_to_find_out(
    packyoke: Run, sheet: Any, none: dict[str, Path], build: str, reader: str
) -> None:
    """As the check of the same build says it, and in no other words than the page."""
    code, found = sheet(none[build], reader, "--no-shop")
    assert (code, set(found), found["sheet"]) == (1, HEAD | NO_SHEET, None)
    (checked,) = json.loads(packyoke("check", none[build], *DAY, "--no-shop", "--format", "json")[1])["builds"]
    assert (found["verdict"], found["fingerprint"]) == (checked["verdict"], checked["fingerprint"])
    for key, weight in (("mend", "stop"), ("open", "open")):
        assert found[key] == [each for each in checked["findings"] if each["severity"] == weight]
        assert bool(found[key]) == (build.split()[0] == weight)
    assert (found["find_out"], found["cure"], found["no_plan"]) == (checked["to_find_out"], checked["cure"], None)
    page = plain(packyoke("sheet", none[build], "--for", reader, *DAY, "--no-shop", "--format", "markdown")[1])
    assert [each for each in found["why"] if each not in page] == []
    assert [each["message"] for each in found["mend"] if each["message"] not in page] == []
    assert sorted(keys(found) - set(re.findall(r"`(?:\w+\[?\]?\.)*(\w+)(?:\[\])?`", PAGE)) - {"schema"}) == []


def test_a_quote_of_an_open_build_is_subject_to_what_is_open(sheet: Any, none: dict[str, Path]) -> None:
    code, found = sheet(none["open joiner"], "quote", "--shop", SHOP)
    assert (code, found["verdict"]) == (0, "open")
    assert {each["part"] for each in found["sheet"]["subject_to"]} == {"joiners.yoke"}
    assert [each["field"] for each in found["sheet"]["find_out"]] == ["joiners.yoke.ceiling"]


def test_blanks_that_nothing_fills_say_what_stands_in_the_way(packyoke: Run, sheet: Any, none: dict[str, Path]) -> None:
    code, found = sheet(none["no plan"], "workshop", "--no-shop")
    assert (code, found["verdict"], found["sheet"]) == (1, "no plan", None)
    plan = json.loads(packyoke("plan", none["no plan"], *DAY, "--no-shop", "--format", "json")[1])
    assert found["no_plan"] == {key: plan[key] for key in found["no_plan"]}
    assert {"constraint", "part", "rule", "found", "limit", "ways_out", "untried"} == set(found["no_plan"])
    assert found["inherited"] == plan["inherited"]
    assert any("What stands in the way: " in each for each in found["why"])


def test_what_has_to_be_told_first_is_wrong_input_and_an_old_document_gives_way(
    packyoke: Run, none: dict[str, Path], tmp_path: Path
) -> None:
    old = tmp_path / "sheet.json"
    typed = ("sheet", none["untold"], "--for", "workshop", *DAY, "--no-shop", "--format", "json")
    code, out, err = packyoke(*typed)
    assert (code, out) == (2, "")
    assert packyoke(*typed, "--output", old, "--replace") == (2, "", err)
    assert not old.exists()
    old.write_text("{}", encoding="utf-8")
    assert packyoke(*typed, "--output", old)[0] == 2
    assert old.read_text(encoding="utf-8") == "{}"
    assert packyoke(*typed, "--output", old, "--replace") == (2, "", err)
    found = json.loads(old.read_text(encoding="utf-8"))
    assert (found["verdict"], found["sheet"], set(found)) == ("open", None, HEAD | NO_SHEET)
    (why,) = found["why"]
    assert why in err


@pytest.mark.parametrize(("build", "code"), [("bike", 0), ("stop", 1)])
def test_a_file_is_written_once_and_replaced_when_asked(
    packyoke: Run, none: dict[str, Path], tmp_path: Path, build: str, code: int
) -> None:
    path, file = tmp_path / "sheet.json", {**BUILDS, **none}[build]
    typed = ("sheet", file, "--for", "customer", *DAY, "--no-shop", "--format", "json")
    printed = packyoke(*typed)
    assert printed[0] == code
    assert packyoke(*typed, "--output", path) == (code, "", "")
    assert path.read_text(encoding="utf-8") == printed[1]
    path.write_text("{}", encoding="utf-8")
    refused = packyoke(*typed, "--output", path)
    assert (refused[0], "exists already" in refused[2], path.read_text(encoding="utf-8")) == (2, True, "{}")
    assert packyoke(*typed, "--output", path, "--replace") == (code, "", "")
    assert path.read_text(encoding="utf-8") == printed[1]


SILENT = {"kind": "motor is silent", "slope_fraction": None}
READ = {"date": "2026-11-01", "part": "packs.keel", "what": "voltage", "value": "57.9 V"}
CASES: dict[str, tuple[dict[str, Any], tuple[str, ...], str, Any]] = {
    "packs not weighed": (
        {"racks.rear.limit": "60 kg"},
        ("packs.keel.mass", "packs.pannier.mass"),
        "rests_on.racks",
        [{"rack": "rear", "limit_kg": 60.0, "left_kg": None}],
    ),
    "no pack on the rack": (
        {"packs.pannier.rack": "none"},
        (),
        "rests_on.racks",
        [{"rack": "rear", "limit_kg": 27.0, "left_kg": 27.0}],
    ),
    "a day to come back": ({"recheck": "2028-05-14"}, (), "back_by", "2028-05-14"),
    "a month to come back": ({"recheck": "2028-05"}, (), "back_by", "2028-05"),
    "measured on rides": ({"ride.everyday.measured": "10 Wh/km"}, (), "rides.0.measured", True),
    "nothing is told of how those go": ({"ride.everyday.measured": "10 Wh/km"}, (), "rides.0.rider_kg", None),
    "faster than it helps": ({"ride.everyday.speed": "32 km/h"}, (), "rides.0.notes.0", SILENT),
    "no charger": ({}, ("chargers",), "charging.chargers", []),
    "a setting": ({"controller.battery_current": "18 A"}, (), "rests_on.controllers.0.set_a", 18.0),
    "a reading": ({"measured": [READ]}, (), "rests_on.readings", 1),
    "the day of the last": ({"measured": [READ]}, (), "rests_on.last_reading", "2026-11-01"),
    "some sets only": ({"sets": [["keel"], ["keel", "pannier"]]}, (), "sets", [["keel"], ["keel", "pannier"]]),
    "warm air": ({"warmest": "40 degC"}, (), "rests_on.warmest_k", 313.15),
}
"""What is changed or left out in an example, and what follows in its document for the customer."""


@pytest.mark.parametrize("name", CASES)
def test_what_is_known_and_what_is_not(sheet: Any, tmp_path: Path, name: str) -> None:
    put, drop, where, expected = CASES[name]
    build = tmp_path / "a.yaml"
    build.write_text(edited("skerry-long-tail", put, drop), encoding="utf-8")
    code, found = sheet(build, "customer", "--no-shop")
    assert code == 0, found["why"]
    at = found["sheet"]
    for step in where.split("."):
        at = at[int(step) if step.isdigit() else step]
    if expected is SILENT:  # 25 km/h are as fast as the motor helps
        assert at.pop("speed_m_s") == pytest.approx(25 / 3.6, rel=0.02)
    assert at == expected


def test_how_far_is_not_known_of_one_set(sheet: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    known = how_far.range_of
    none = NoRundown("no curve", "packs.pannier", "")
    monkeypatch.setattr(how_far, "range_of", lambda *asked: none if asked[1] == ("pannier",) else known(*asked))
    ranges = sheet(BUILDS["bike"], "customer", "--no-shop")[1]["sheet"]["ranges"]
    told = {tuple(each["packs"]): (each["distance_m"], each["why"]) for each in ranges}
    assert told["pannier",] == (None, "not known")
    assert [told[packs][1] for packs in told if packs != ("pannier",)] == [None, None]
    monkeypatch.setattr(how_far, "range_of", lambda *_: none)
    found = sheet(BUILDS["bike"], "customer", "--no-shop")[1]["sheet"]
    assert (found["rides"], found["ranges"]) == ([], [])
    assert found["range_notes"] == [customer_words.NO_RANGE]


def test_parts_are_called_as_in_the_file(sheet: Any) -> None:
    """On paper long names are signs: pack A, lead 3."""
    found = sheet("long.yaml", "workshop", "--no-shop")[1]["sheet"]
    by_name = {each["name"]: each["rows"] for each in found["sections"]}
    packs = [each["pack"] for each in by_name["packs"]]
    assert packs == [f"Pack {at} in the left bag of the carrier" for at in "abc"]
    assert [each["packs_in"] for each in by_name["together"]][:3] == [[[each]] for each in packs]
    assert {"pack A": packs[0]}.items() <= {each["sign"]: each["name"] for each in by_name["names"]}.items()
    assert {each["lead"] for each in found["labels"]["flags"]} == {each["lead"] for each in by_name["cut"]}
