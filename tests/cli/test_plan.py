"""`packyoke plan` as somebody types it."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES, ROOT, base_text

BLANK, WHOLE, HIGH = (
    EXAMPLES / f"{name}.yaml" for name in ("saltpan-planned", "breakwater-three-packs", "headland-72-volts")
)
TODAY = "2026-11-25"
SHOP = ROOT / "tests" / "planning" / "shop.yaml"


def written(folder: Path, text: str | bytes) -> Path:
    file = folder / "bike.yaml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return file


def test_the_answer_comes_first_and_nothing_is_wider_than_a_terminal(packyoke: Run) -> None:
    code, out, err = packyoke("plan", BLANK, "--no-shop")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("PLAN  Saltpan mail")
    assert "passes the check" in lines[1]
    assert "Proved best" in lines[2]
    assert [line for line in lines if len(line) > 80] == []
    for title in ("CHOSEN", "THE HARNESS", "TO BUY", "TO CUT", "TO JOIN", "CONTROLLER SETTINGS", "LABELS"):
        assert f"\n{title}" in out


def test_with_prices_the_total_is_what_was_made_least(packyoke: Run) -> None:
    code, out, _ = packyoke("plan", BLANK, "--shop", SHOP, "--today", "2026-11-25", "--format", "json")
    found = json.loads(out)
    assert code == 0
    amounts = [Decimal(line["amount"]) for line in found["bill"] if line["amount"] is not None]
    assert Decimal(found["totals"]["amount"]) == sum(amounts)
    assert found["objective"]["names"][1:3] == ["weighed", "cost"]
    assert found["objective"]["values"][2] == found["totals"]["amount"]
    assert found["prices_valid_until"] == "2026-12-25"
    assert found["schema"] == "packyoke/plan/1"
    assert found["passes"] is True


def test_the_priced_list_is_as_wide_as_a_terminal(packyoke: Run) -> None:
    _, out, _ = packyoke("plan", BLANK, "--shop", SHOP, "--today", "2026-11-25")
    assert [line for line in out.splitlines() if len(line) > 80] == []
    # Lengths, each way by 1.1 and 0.1 m: 0.49 + 0.49 + 0.76 + 1.04 = 2.78 m of 14 AWG at 0.90 and 0.80 EUR a metre;
    # between the joiners the least, 0.15 m, of 12 AWG at 1.40 and 1.30, as two fuses feed it. A second joiner, 48 EUR.
    # 18 A over 0.8 is 22.5 A; of the fuses T25 and T30 for 54.6 V the larger one costs less: one at each pack, one in
    # the lead to the motor. Five leads, ten halves: 48 + 2.50 + 2.22 + 0.21 + 0.20 + 4 x 8 + 10 x 1.20.
    assert "Altogether 97.13 EUR, taxes not counted." in out
    assert "Prices hold until 2026-12-25." in out


def test_the_completed_build_is_written_and_passes(packyoke: Run, tmp_path: Path) -> None:
    new = tmp_path / "built.yaml"
    code, out, err = packyoke("plan", BLANK, "--no-shop", "--write", new)
    assert code == 0
    assert str(new) in err
    assert "--write" not in out
    assert new.read_text(encoding="utf-8").startswith(BLANK.read_text(encoding="utf-8").partition("\n")[0])
    code, out, _ = packyoke("check", new, "--no-shop")
    assert (code, "no fault found" in out) == (0, True)
    code, out, _ = packyoke("plan", new, "--no-shop")
    assert (code, "nothing to plan" in out) == (0, True)


def test_a_file_with_a_byte_order_mark_and_windows_lines_is_completed(packyoke: Run, tmp_path: Path) -> None:
    text = BLANK.read_text(encoding="utf-8").replace("\n", "\r\n")
    new = tmp_path / "new.yaml"
    code, _, err = packyoke("plan", written(tmp_path, "\ufeff".encode() + text.encode()), "--no-shop", "--write", new)
    assert (code, "is written" in err) == (0, True)
    assert packyoke("check", new, "--no-shop")[0] == 0


def test_no_file_is_replaced_unasked(packyoke: Run, tmp_path: Path) -> None:
    new = tmp_path / "built.yaml"
    new.write_text("mine", encoding="utf-8")
    code, out, err = packyoke("plan", BLANK, "--no-shop", "--write", new)
    assert (code, new.read_text(encoding="utf-8")) == (2, "mine")
    assert "--replace" in err
    assert out.startswith("PLAN")  # what was worked out is not lost
    assert packyoke("plan", BLANK, "--no-shop", "--write", new, "--replace")[0] == 0
    assert packyoke("plan", BLANK, "--no-shop", "--write", BLANK, "--replace")[0] == 2


def test_what_nothing_can_be_put_into_is_not_written(packyoke: Run, tmp_path: Path) -> None:
    import yaml

    braces = json.dumps(yaml.safe_load(BLANK.read_text(encoding="utf-8")))
    new = tmp_path / "new.yaml"
    code, out, err = packyoke("plan", written(tmp_path, braces), "--no-shop", "--write", new)
    assert (code, new.exists()) == (2, False)
    assert out.startswith("PLAN")
    assert "nothing was written" in err


def test_a_whole_build_has_nothing_to_plan(packyoke: Run) -> None:
    code, out, _ = packyoke("plan", WHOLE, "--no-shop")
    assert code == 0
    assert "leaves nothing to plan" in out
    assert "Proved best" not in out


def test_where_nothing_passes_the_ways_out_are_said(packyoke: Run) -> None:
    code, out, _ = packyoke("plan", HIGH, "--no-shop")
    assert code == 1
    assert "bridge: voltage above its rating: 84 V right, full, limit 75 V" in " ".join(out.split())
    assert "84 V or more" in out
    code, out, _ = packyoke("plan", HIGH, "--no-shop", "--format", "json")
    found = json.loads(out)
    assert (code, found["rule"], found["limit"]["value"]) == (1, "ceiling-exceeded", 75.0)
    assert found["ways_out"]


def test_without_a_way_out_the_check_is_named(packyoke: Run) -> None:
    code, out, _ = packyoke("plan", EXAMPLES / "oakum-draft.yaml", "--no-shop")
    assert (code, "packyoke check" in out) == (1, True)


def test_what_is_still_to_find_out_is_no_pass(packyoke: Run, tmp_path: Path) -> None:
    text = base_text("skerry-long-tail").replace("data: none, ", "").replace(", gauge: 10 AWG", "")
    code, out, _ = packyoke("plan", written(tmp_path, text), "--no-shop")
    assert code == 1
    assert out.startswith("OPEN  ")
    assert "passes the check" not in out
    assert "pack-locked" in out
    code, out, _ = packyoke("plan", written(tmp_path, text), "--no-shop", "--format", "json")
    assert (code, json.loads(out)["passes"]) == (1, False)


def test_what_has_to_be_told_first(packyoke: Run, tmp_path: Path) -> None:
    far = base_text("saltpan-planned").replace("  - {between: [bed rear, cross tube], length: 600 mm}\n", "")
    far = far.replace("  - {between: [bed front, bed rear], length: 550 mm}\n", "")
    code, out, err = packyoke("plan", written(tmp_path, far), "--no-shop")
    assert (code, out) == (2, "")
    assert "bed rear" in err
    lost = base_text("saltpan-planned").replace("    place: bed rear\n", "")
    code, _, err = packyoke("plan", written(tmp_path, lost), "--no-shop")
    assert (code, "stern" in err) == (2, True)


@pytest.mark.parametrize(("words", "said"), [("beauty", "beauty"), ("cost", "has a price"), ("loss,beauty", "beauty")])
def test_preferences_that_cannot_be_had(packyoke: Run, words: str, said: str) -> None:
    code, _, err = packyoke("plan", BLANK, "--no-shop", "--prefer", words)
    assert (code, said in err) == (2, True)


def test_less_loss_takes_more_copper(packyoke: Run) -> None:
    plain, asked = (
        json.loads(packyoke("plan", BLANK, "--no-shop", "--format", "json", *more)[1])["objective"]
        for more in ([], ["--prefer", "loss"])
    )
    figures = [dict(zip(each["names"], each["values"], strict=True)) for each in (plain, asked)]
    assert figures[1]["loss"] < figures[0]["loss"]
    assert figures[1]["copper"] > figures[0]["copper"]


def test_page_and_drawing(packyoke: Run) -> None:
    code, out, _ = packyoke("plan", BLANK, "--no-shop", "--format", "html")
    assert (code, out.startswith("<!DOCTYPE html>")) == (0, True)
    assert "<script" not in out
    code, out, _ = packyoke("plan", BLANK, "--no-shop", "--format", "svg")
    svg = ET.fromstring(out)
    assert svg.tag == "{http://www.w3.org/2000/svg}svg"
    words = " ".join(each.text or "" for each in svg.iter() if each.tag.endswith("text")).replace("\u00a0", " ")
    for name in ("port", "starboard", "stern", "yoke 2", "controller", "14 AWG 1.04 m", "blade 25 A"):
        assert name in words


def test_inches(packyoke: Run) -> None:
    _, out, _ = packyoke("plan", BLANK, "--no-shop", "--units", "us")
    assert " mm" not in out.partition("TO CUT")[2].partition("TO JOIN")[0]


def test_what_is_left_is_what_the_check_says_of_the_written_build(packyoke: Run, tmp_path: Path) -> None:
    """In its words and as often: a value that was only tried ("swollen") is nothing that anybody found."""
    lines = [
        "packyoke: 1",
        "name: x",
        "coldest: -5 degC",
        "packs:",
        "  fore: {label: 48 V, series: 13, chemistry: NMC, capacity: 16 Ah, discharge: 25 A, outlet: XT60 socket}",
        "  aft: {like: fore}",
        "joiners:",
        "  yoke: {type: ideal-diode, ceiling: 75 V, current: 30 A, resistance: 3 mohm, blocks_in: positive,",
        "    inlets: XT60 pin, outlet: XT60 socket, charge_port: none, mount: open air}",
        "leads:",
        "  fore lead: {from: fore, to: yoke, length: 250 mm}",
        "  aft lead: {from: aft, to: yoke, length: 250 mm}",
        "  main lead: {from: yoke, to: controller, length: 400 mm}",
        "controller: {voltage: {min: 39 V, max: 60 V}, battery_current: 22 A, low_voltage_cut: 41 V,",
        "  inlet: XT60 pin}",
        "accept:",
        "  - {rule: charged-cold, part: build, because: they sleep indoors, by: a technician,",
        "     found: -5 degC, until: 2027-12-31}",
    ]
    build, new = written(tmp_path, "\n".join(lines)), tmp_path / "new.yaml"
    plan = json.loads(packyoke("plan", build, "--today", TODAY, "--format", "json", "--write", new)[1])
    check = json.loads(packyoke("check", new, "--today", TODAY, "--format", "json")[1])["builds"][0]
    left = [
        {key: each[key] for key in ("rule", "severity", "part", "message")}
        for each in check["findings"]
        if each["severity"] in ("open", "caution") and not each["accepted"]
    ]
    assert {each["accepted"] for each in check["findings"] if each["rule"] == "charged-cold"} != {None}
    assert left
    assert sorted(plan["left"], key=str) == sorted(left, key=str)
    page = packyoke("plan", build, "--today", TODAY)[1]
    assert f"{len(check['to_find_out'])} things to find out" in page
    assert "fore, aft: not decided whether it is sound" in " ".join(page.split())
