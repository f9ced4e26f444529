"""`packyoke range` as somebody types it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
BREAKWATER = EXAMPLES / "breakwater-three-packs.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "range")


def test_one_screen_for_three_packs(run: Run) -> None:
    code, out, _ = run(BREAKWATER, "--no-shop")
    assert code == 0
    assert all(len(line) <= 80 for line in out.splitlines())
    assert out.count("\n") <= 66
    head = out[: out.index("WHAT IT TAKES")]
    assert "count on" in head
    assert "north + south + box" in head
    assert "Not a promise".casefold() in out.casefold()


def test_the_low_figure_comes_first_and_no_high_one(run: Run) -> None:
    data = json.loads(run(BUILD, "--ride", "hard", "--format", "json")[1])
    high_km = data["ranges"][0]["distance_m"]["high"] / 1000
    _, out, _ = run(BUILD, "--ride", "hard")
    row = next(line for line in out.splitlines() if line.startswith("  keel + pannier"))
    low, likely = (int(word) for word in row.split() if word.isdigit())
    assert low < likely
    assert f"{high_km:.0f} km" not in out


def test_json_is_complete(run: Run) -> None:
    data = json.loads(run(BUILD, "--format", "json", "--need", "40 km")[1])
    assert data["schema"] == "packyoke/range/1"
    assert len(data["ranges"]) == 3 * 3
    for each in data["ranges"]:
        assert each["distance_m"]["low"] <= each["distance_m"]["likely"] <= each["distance_m"]["high"]
        assert each["usable_j"] <= each["rundown_j"] <= each["label_energy_j"]
        assert each["reaches"] == (each["distance_m"]["low"] >= 40_000)
        assert {"speed_m_s", "rider_kg", "drag_area_m2"} <= {figure["attr"] for figure in each["inputs"]}


def test_markdown_has_the_tables(run: Run) -> None:
    _, out, _ = run(BUILD, "--format", "markdown", "--ride", "everyday")
    assert "| packs | everyday: count on | likely |" in out
    assert "## Assumed" in out


def test_what_is_needed_decides_the_exit(run: Run) -> None:
    code, out, _ = run(BUILD, "--ride", "hard", "--need", "30 km")
    assert code == 0
    assert "WHAT GETS THERE  (30 km, counted with" in out
    assert "hard: keel + pannier" in out
    code, out, _ = run(BUILD, "--ride", "hard", "--need", "300 km")
    assert code == 1
    assert "none of these sets gets there" in out


@pytest.mark.parametrize(
    ("need", "told"),
    [
        ("32 km", ["WHAT GETS THERE (32 km,"]),
        # what falls short of it is not told as that far, and what gets there is told no shorter
        ("52.9 km", ["is sure to go 52.9 ", "WHAT GETS THERE (52.9 km,", "keel + pannier 52.8 km 76.1 km"]),
        ("52.8 km", ["WHAT GETS THERE (52.8 km,", "hard: keel + pannier", "keel + pannier 52.8 km 76.1 km"]),
        ("53 km", ["is sure to go 53 ", "keel + pannier 52 km 76 km"]),
        ("52.91 km", ["WHAT GETS THERE (53 km,"]),
        ("40 mi", ["WHAT GETS THERE (64.4 km,"]),
    ],
)
def test_what_is_needed_is_told_as_it_was_typed(run: Run, need: str, told: list[str]) -> None:
    out = " ".join(run(BUILD, "--ride", "hard", "--need", need)[1].split())
    assert all(each in out for each in told)


def test_sets_and_rides_are_chosen(run: Run) -> None:
    data = json.loads(
        run(BUILD, "--packs", "keel", "--packs", "pannier, keel", "--ride", "Brisk", "--format", "json")[1]
    )
    assert [each["packs"] for each in data["ranges"]] == [["keel"], ["pannier", "keel"]]
    assert {each["ride"] for each in data["ranges"]} == {"brisk"}


def test_miles_and_pounds(run: Run) -> None:
    _, out, _ = run(BUILD, "--units", "us", "--sensitivity")
    assert " mi" in out
    assert "Wh/mi" in out
    assert " lb" in out
    assert " km" not in out
    assert all(len(line) <= 80 for line in out.splitlines())


def test_miles_are_the_same_way(run: Run) -> None:
    metric, us = (run(BUILD, "--ride", "hard", "--units", each)[1] for each in ("metric", "us"))

    def first(out: str) -> int:
        row = next(line for line in out.splitlines() if line.startswith("  keel + pannier"))
        return next(int(word) for word in row.split() if word.isdigit())

    assert first(us) == pytest.approx(first(metric) / 1.609344, abs=1.0)


def test_less_when_cold_and_old(run: Run) -> None:
    def low(*more: str) -> float:
        data = json.loads(run(BUILD, "--ride", "everyday", "--format", "json", *more)[1])
        return float(data["ranges"][0]["distance_m"]["low"])

    assert low("--cold", "-10 degC") < low("--cold", "5 degC") < low()
    assert low("--health", "80 %") < low()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--ride", "evryday"), "Did you mean everyday?"),
        (("--ride", "zzz"), "Rides: gentle"),
        (("--packs", "kel"), "Did you mean keel?"),
        (("--packs", "keel,keel"), "named twice"),
        (("--need", "60"), "--need"),
        (("--need", "0 km"), "a way to ride is needed"),
        (("--cold", "-80 degC"), "between -50 degC and 60 degC"),
        (("--health", "5 %"), "between 30 % and 100 %"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(BUILD, *arguments)
    assert (code, out) == (2, "")
    assert said in err


def test_a_build_of_which_too_little_is_known(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", drop=["packs.keel.capacity"]), encoding="utf-8")
    code, out, _ = run(file)
    assert code == 0, "pannier alone is known"
    assert "not known" in out
    assert "keel: capacity" in out
    assert "(out of the packs, with pannier)" in out
    assert "speed on the level" in out
    code, _, err = run(file, "--packs", "keel")
    assert (code, "keel: capacity" in err) == (2, True)


def test_a_pack_that_cannot_deliver_is_1(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", {"packs.keel.resistance": "1.99 ohm"}), encoding="utf-8")
    code, out, _ = run(file, "--ride", "hard", "--packs", "keel")
    assert code == 1
    assert "cannot deliver" in out


def test_six_packs_are_not_every_set(run: Run, tmp_path: Path) -> None:
    more = {f"packs.extra {n}": "{like: north, rack: none}" for n in (1, 2, 3)}
    wires = {
        f"leads.extra lead {n}": f"{{from: extra {n}, to: first, length: 300 mm, gauge: 12 AWG, "
        "ends: [XT60 pin, XT60 socket]}"
        for n in (1, 2, 3)
    }
    file = tmp_path / "x.yaml"
    put = {**more, **wires, "joiners.first.inputs": "5"}
    file.write_text(edited("breakwater-three-packs", put), encoding="utf-8")
    code, out, _ = run(file, "--ride", "everyday")
    assert code == 0
    assert "41 more sets of packs" in out
    assert all(len(line) <= 80 for line in out.splitlines())


def test_hostile_names_stay_text_and_in_their_column(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    text = edited("skerry-long-tail", {"name": "<script>|x", "ride.a long name of a ride that goes on": "{}"})
    file.write_text(text, encoding="utf-8")
    _, out, _ = run(file)
    assert all(len(line) <= 80 for line in out.splitlines())
    _, marked, _ = run(file, "--format", "markdown")
    assert "<script>" not in marked


def test_output_is_a_new_file(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "range.txt"
    assert run(BUILD, "--output", target)[0] == 0
    assert "how far" in target.read_text(encoding="utf-8")
    code, _, err = run(BUILD, "--output", target)
    assert (code, "--replace" in err) == (2, True)
    assert run(BUILD, "--output", target, "--replace")[0] == 0


def test_the_shop_file_is_used_and_can_be_left_out(run: Run, tmp_path: Path) -> None:
    file, shop = tmp_path / "x.yaml", tmp_path / "packyoke-shop.yaml"
    file.write_text(edited("skerry-long-tail"), encoding="utf-8")
    shop.write_text("packyoke-shop: 1\ndefaults:\n  ride: {harbour: {rider: 75 kg}}\n", encoding="utf-8")
    assert "harbour" in run(file)[1]
    assert "harbour" not in run(file, "--no-shop")[1]
    assert "harbour" in run(BUILD, "--shop", shop)[1]


def test_a_controller_that_never_starts_carries_nobody(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", {"controller.low_voltage_cut": "60 V"}), encoding="utf-8")
    assert run(file)[0] == 1
    assert run(file, "--route", EXAMPLES / "skerry-round.gpx")[0] == 1


def test_a_hill_that_ends_the_ride_early_is_said(run: Run) -> None:
    cold = ("--ride", "hard", "--cold", "-5 degC", "--packs", "pannier")
    _, out, _ = run(BUILD, *cold)
    assert "with pannier the controller may cut on a hill" in " ".join(out.split())
    data = json.loads(run(BUILD, *cold, "--format", "json")[1])
    assert len(data["hills"]) == 1
    _, out, _ = run(BUILD)
    assert "cut on a hill" not in out


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
@pytest.mark.parametrize("route", [(), ("--route", EXAMPLES / "skerry-round.gpx")])
def test_a_build_at_stop_has_no_range_in_any_form(run: Run, form: str, route: tuple[str, ...]) -> None:
    """It says that it is stopped and by what, and nothing that looks like a way."""
    code, out, _ = run(EXAMPLES / "quay-plain-trike.yaml", "--format", form, *route)
    assert code == 1
    assert "packyoke check stops this build" in out
    if form == "json":
        data = json.loads(out)
        assert data.get("ranges", data.get("sets")) == []
        assert data["because"]
    else:
        assert "STOP" in out
        shown = re.sub(r"<style>.*</style>", "", out, flags=re.DOTALL)
        assert re.findall(r"\d[ \u00a0](?:km|mi)\b|likely|count on", shown) == []
        assert "current rushes from one pack into the other" in " ".join(out.split())
    code, out, _ = run(BUILD, "--format", form, *route)
    assert code == 0
    assert "packyoke check stops" not in out
