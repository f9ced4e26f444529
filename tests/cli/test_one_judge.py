"""Every command that says yes takes it from the findings of the check, readings included."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.support import BASES, EXAMPLES, edited

Run = Callable[..., tuple[int, str, str]]
DAY = "2026-05-14"
SKERRY = "skerry-long-tail"
VOLTS = {SKERRY: "keel=57.9,pannier=57.8", "slipway-bench-pair": "port=50,starboard=50"}


def reading(part: str, what: str, value: str, **more: str) -> dict[str, str]:
    return {"date": DAY, "part": part, "what": what, "value": value, **more}


BAD: dict[str, tuple[str, dict[str, Any]]] = {
    # Two chemistries on one plain joiner, level or not: full at 54.6 V and at 54.75 V.
    "two chemistries": ("slipway-bench-pair", {"packs.starboard.chemistry": "LFP", "packs.starboard.series": "15"}),
    "two counts": ("slipway-bench-pair", {"packs.starboard.series": "14"}),
    "joiner failed": (SKERRY, {"measured": [reading("joiners.yoke", "blocks", "no")]}),
    "joiner failed at one inlet": (
        SKERRY,
        {
            "measured": [
                reading("joiners.yoke", "blocks", "no", inlet="2"),
                reading("joiners.yoke", "blocks", "yes", inlet="1"),
            ]
        },
    ),
    "joiner failed, later test good": (
        SKERRY,
        {
            "measured": [
                reading("joiners.yoke", "blocks", "no"),
                {**reading("joiners.yoke", "blocks", "yes"), "date": "2026-06-01"},
            ]
        },
    ),
    "swollen": (SKERRY, {"packs.keel.condition": "swollen"}),
    "not looked at": (SKERRY, {"packs.keel.condition": "sound ?"}),
    "wrong polarity": (SKERRY, {"measured": [reading("leads.keel lead", "polarity", "no")]}),
    "polarity of the pack": (SKERRY, {"measured": [reading("packs.pannier", "polarity", "no")]}),
    "hot joiner": (SKERRY, {"measured": [reading("joiners.yoke", "temperature", "110 degC")]}),
    "hot pack": (SKERRY, {"measured": [reading("packs.keel", "temperature", "70 degC")]}),
    "109 V on a lead": (SKERRY, {"measured": [reading("leads.main lead", "voltage", "109 V")]}),
    "a bad joint": (SKERRY, {"measured": [reading("leads.main lead", "drop", "900 mV", at="20 A")]}),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("asked", ["check", "meter", "range", "rundown", "sheet"])
def test_no_command_says_yes_to_a_build_that_is_stopped(packyoke: Run, tmp_path: Path, name: str, asked: str) -> None:
    base, put = BAD[name]
    file = tmp_path / "x.yaml"
    file.write_text(edited(base, put), encoding="utf-8")
    more = {"meter": ("--volts", VOLTS[base]), "sheet": ("--for", "customer"), "range": (), "rundown": (), "check": ()}
    code, out, _ = packyoke(asked, file, *more[asked], "--no-shop")
    assert code in (1, 2)
    assert not out.startswith("YES")
    if asked in ("check", "meter"):
        assert code == 1


@pytest.mark.parametrize("asked", [("meter", "--volts", "keel=57.9,pannier=57.8"), ("charge",), ("range",), ("check",)])
def test_a_good_build_is_a_yes(packyoke: Run, asked: tuple[str, ...]) -> None:
    command, *more = asked
    assert packyoke(command, EXAMPLES / f"{SKERRY}.yaml", *more, "--no-shop")[0] == 0


@pytest.mark.parametrize(
    "measured", [[], [reading("joiners.yoke", "blocks", "yes")], [reading("packs.keel", "resistance", "97 mohm")]]
)
def test_good_readings_keep_the_yes(packyoke: Run, tmp_path: Path, measured: list[dict[str, str]]) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited(SKERRY, {"measured": measured} if measured else {}), encoding="utf-8")
    assert packyoke("meter", file, "--volts", VOLTS[SKERRY], "--no-shop")[0] == 0


def test_a_joiner_that_was_replaced_is_judged_anew(packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    put = {"measured": [reading("joiners.yoke", "blocks", "no")], "joiners.yoke.replaced": DAY}
    file.write_text(edited(SKERRY, put), encoding="utf-8")
    assert packyoke("meter", file, "--volts", VOLTS[SKERRY], "--no-shop")[0] == 0
    target = tmp_path / "y.yaml"
    code, _, err = packyoke("meter", file, "--across-inlet", "50 V", "--record", target, "--today", DAY, "--no-shop")
    assert (code, "replaced on this very day" in err, target.exists()) == (2, True, False)


@pytest.mark.parametrize(
    ("put", "code"),
    [
        ({"racks.rear.limit": "1 kg"}, 0),  # a rack does not stop a charge
        ({"packs.keel.condition": "wet"}, 1),
        ({"measured": [reading("packs.keel", "voltage", "28 V")]}, 1),
        ({"measured": [reading("packs.keel", "temperature", "70 degC")]}, 1),
    ],
)
def test_what_stops_a_charge(packyoke: Run, tmp_path: Path, put: dict[str, Any], code: int) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited(SKERRY, put), encoding="utf-8")
    assert packyoke("charge", file, "--no-shop")[0] == code


def test_a_charger_that_can_burn_a_pack_is_a_no(packyoke: Run, tmp_path: Path) -> None:
    """67.2 V is 4.8 V a cell on 14 of them; nothing in the file keeps it off them."""
    file = tmp_path / "x.yaml"
    text = (EXAMPLES / f"{SKERRY}.yaml").read_text(encoding="utf-8")
    assert "\nchargers:" in text
    added = text.replace("\nchargers:", "\nchargers:\n  wrong: {output: 67.2 V, current: 3 A}", 1)
    file.write_text(added, encoding="utf-8")
    code, out, _ = packyoke("charge", file, "--no-shop")
    assert (code, "it can burn" in " ".join(out.split())) == (1, True)


# The charger of another bike, 84 V: 6 V a cell on 14 of them. keel's own charger has a 5.5 mm barrel.
@pytest.mark.parametrize(
    ("other", "code"),
    [
        ({"plug": "XLR 3", "fits": []}, 0),
        ({"plug": "5.5 mm barrel", "fits": []}, 1),
        ({"fits": []}, 1),  # a plug that nobody has looked at may be the same
        ({"plug": "XLR 3", "fits": ["keel"]}, 1),
    ],
)
def test_check_and_charge_agree_on_the_charger_of_another_bike(
    packyoke: Run, tmp_path: Path, other: dict[str, Any], code: int
) -> None:
    file = tmp_path / "x.yaml"
    put = {"chargers.other": {"output": "84 V", "current": "4 A"} | other}
    file.write_text(edited(SKERRY, put), encoding="utf-8")
    assert (packyoke("check", file, "--no-shop")[0], packyoke("charge", file, "--no-shop")[0]) == (code, code)


def test_bases_are_there() -> None:
    assert (BASES / "slipway-bench-pair.yaml").exists()
