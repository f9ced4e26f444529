"""Whatever a build has from the shop file shows where it came from, in every command that counts with it."""

from __future__ import annotations

import html
import json
import random
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from packyoke.buildfile.reading.table import TABLES
from tests.cli.conftest import Run
from tests.support import EXAMPLES, edited

FROM = "(from the shop file)"
COMMANDS: dict[str, tuple[str, ...]] = {
    "check": ("check",),
    "plan": ("plan",),
    "rundown": ("rundown", "--ride", "errand"),
    "range": ("range",),
    "charge": ("charge",),
    "meter": ("meter", "--volts", "pannier=55"),
    "customer": ("sheet", "--for", "customer"),
    "workshop": ("sheet", "--for", "workshop"),
}
TOLD: dict[str, tuple[str, ...]] = {
    "check": ("region", "warmest", "coldest", "all leads", "ride", "pannier"),
    "plan": ("region", "warmest", "coldest", "all leads", "ride", "pannier"),
    "rundown": ("region", "ride", "pannier"),
    "range": ("region", "warmest", "coldest", "pannier"),
    "charge": ("region", "coldest", "pannier"),
    "meter": ("pannier",),
    "customer": ("region", "warmest", "coldest", "all leads", "ride", "pannier"),
    "workshop": ("region", "warmest", "coldest", "all leads", "ride", "pannier"),
}
"""What each of them counts with."""


def drawn(seed: int) -> dict[str, Any]:
    """A shop file with every line that a build can inherit."""
    draw = random.Random(seed)
    return {
        "packyoke-shop": 1,
        "name": "Harbour bench",
        "defaults": {
            "region": draw.choice(["GB", "EU", "NZ", "US"]),
            "warmest": f"{draw.randint(31, 36)} degC",
            "coldest": f"{draw.randint(1, 9)} degC",
            "all_leads": {"insulation": "silicone", "run": draw.choice(["open", "[open, moving]"])},
            "ride": {"errand": {"rider": f"{draw.randint(60, 95)} kg", "speed": f"{draw.randint(17, 24)} km/h"}},
        },
        "shelf": {
            "packs": {
                "slim": {
                    "label": "52 V",
                    "chemistry": "NMC",
                    "series": 14,
                    "capacity": "13 Ah",
                    "discharge": "30 A",
                    "charge": "4 A",
                    "cut_off": "42 V",
                    "cells": "power",
                }
            }
        },
    }


@pytest.fixture
def bike(tmp_path: Path) -> Path:
    """A bike that says nothing of its own where the shop file does."""
    fuse = {"family": "class T", "rating": "35 A", "voltage": "160 V"}
    bms = {"charge_path": "common", "data": "none", "wakes": "always"}
    own = {"part": "slim", "mass": "3.9 kg", "rack": "rear", "outlet": "XT60 socket", "condition": "sound"}
    pannier = {**own, "fuse": fuse, "bms": bms, "resistance": "150 mohm"}
    path = tmp_path / "bike.yaml"
    gone = ["coldest", "warmest", "region", "all_leads"]
    path.write_text(edited("skerry-long-tail", {"packs.pannier": pannier}, drop=gone), encoding="utf-8")
    return path


def shop_beside(bike: Path, seed: int) -> dict[str, str]:
    """A shop file beside a bike; gives what is told of each line, by its name."""
    shop = drawn(seed)
    text = yaml.safe_dump(shop, sort_keys=False).replace("'[open, moving]'", "[open, moving]")
    (bike.parent / "packyoke-shop.yaml").write_text(text, encoding="utf-8")
    defaults = shop["defaults"]
    errand = defaults["ride"]["errand"]
    run = " and ".join(re.findall(r"[a-z]+", defaults["all_leads"]["run"]))
    return {
        "region": f"region {defaults['region']} {FROM}",
        "warmest": f"warmest {defaults['warmest']} {FROM}",
        "coldest": f"coldest {defaults['coldest']} {FROM}",
        "all leads": f"all leads insulation silicone, run {run} {FROM}",
        "ride": f"ride errand rider {errand['rider']}, speed {errand['speed']} {FROM}",
        "pannier": f"pannier: as slim of the shelf {FROM}",
    }


def plain(text: str, form: str) -> str:
    if form == "html":
        text = html.unescape(re.sub(r"<style.*?</style>|<[^>]*>", "", text, flags=re.S))
    return " ".join(text.replace("\\", "").replace("\u00a0", " ").split())


def test_every_line_that_can_be_inherited_is_drawn() -> None:
    assert set(drawn(1)["defaults"]) == set(TABLES["shop"]["defaults"].children)


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_inherited_says_so(packyoke: Run, bike: Path, command: str, form: str) -> None:
    lines = shop_beside(bike, len(command) + len(form))
    name, *more = COMMANDS[command]
    code, out, err = packyoke(name, bike, *more, "--format", form, "--today", "2027-05-14")
    if "No such option" in err:
        code, out, err = packyoke(name, bike, *more, "--format", form)
    assert code in (0, 1), err
    said = plain(out, form)
    for key in TOLD[command]:
        assert lines[key] in said, (key, said)


@pytest.mark.parametrize("command", [each for each in COMMANDS if each not in ("customer", "workshop")])
def test_what_is_inherited_says_so_in_json(packyoke: Run, bike: Path, command: str) -> None:
    lines = shop_beside(bike, len(command))
    name, *more = COMMANDS[command]
    code, out, err = packyoke(name, bike, *more, "--format", "json")
    assert code in (0, 1), err
    data = json.loads(out)
    if command == "check":
        listed = {f"{each['field'] or each['from']}": each["basis"] for each in data["builds"][0]["assumed"]}
        assert "from the shop file" in listed.values()
        told = json.dumps(data["builds"][0]["assumed"])
        wanted = [lines[key].removesuffix(f" {FROM}").rpartition(": ")[2] for key in TOLD[command]]
    else:
        told = json.dumps(data["inherited" if command == "plan" else "assumed"])
        wanted = [lines[key] for key in TOLD[command]]
    assert [each for each in wanted if each not in told] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_without_a_shop_file_nothing_is_from_it(packyoke: Run, bike: Path, command: str) -> None:
    """A line of the file itself always wins, and then nothing says that it is inherited."""
    shop_beside(bike, 1)
    bike.write_text(edited("skerry-long-tail"), encoding="utf-8")
    name, *more = COMMANDS[command]
    code, out, err = packyoke(name, bike, *[each for each in more if each not in ("--ride", "errand")], "--no-shop")
    assert code in (0, 1), err
    assert "from the shop file" not in " ".join(out.split())


COUNTER = EXAMPLES / "counter" / "parcel-bike.yaml"
AT_THE_COUNTER = tuple(
    f"{each} {FROM}" for each in ("warmest 35 degC", "coldest 0 degC", "all leads insulation silicone")
)
"""The example's own lines say all else."""
WISH = ("--reach", "60 km", "--most", "400 EUR", "--today", "2027-05-14")


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
def test_a_quote_says_what_it_has_from_the_shop_file(packyoke: Run, form: str) -> None:
    code, out, err = packyoke("quote", COUNTER, *WISH, "--format", form)
    assert code in (0, 1), err
    said = " ".join(json.loads(out)["inherited"]) if form == "json" else plain(out, form)
    assert [each for each in AT_THE_COUNTER if each not in said] == []


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_the_page_of_a_quote_says_it_too(packyoke: Run, form: str) -> None:
    code, out, err = packyoke("sheet", COUNTER, "--for", "quote", "--format", form, "--output", "-")
    assert code in (0, 1), err
    assert [each for each in AT_THE_COUNTER if each not in plain(out, form)] == []


NONE = {
    "no plan": (("plan",), {"controller.battery_current": "400 A"}, ("leads.main lead.gauge",)),
    "range at stop": (("range",), {"packs.keel.condition": "swollen"}, ()),
    "route at stop": (("range", "--route", EXAMPLES / "skerry-round.gpx"), {"packs.keel.condition": "swollen"}, ()),
    "route": (("range", "--route", EXAMPLES / "skerry-round.gpx"), {}, ()),
}
"""Answers that are a no, or of another shape: how they are asked for, and what is changed in the bike."""


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
@pytest.mark.parametrize("case", NONE)
def test_a_no_says_what_was_inherited(packyoke: Run, bike: Path, case: str, form: str) -> None:
    (name, *more), put, drop = NONE[case]
    lines = shop_beside(bike, 7)
    gone = ["coldest", "warmest", "region", "all_leads", *drop]
    bike.write_text(edited("skerry-long-tail", put, drop=gone), encoding="utf-8")
    code, out, err = packyoke(name, bike, *more, "--format", form)
    assert code == (0 if case == "route" else 1), err
    data = json.loads(out) if form == "json" else {}
    said = " ".join(data["inherited" if name == "plan" else "assumed"]) if data else plain(out, form)
    wanted = [
        lines[key] if case == "route" else lines[key].removesuffix(")") for key in ("region", "warmest", "coldest")
    ]
    assert [each for each in wanted if each not in said] == []
