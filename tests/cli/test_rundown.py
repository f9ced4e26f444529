"""`packyoke rundown` as somebody types it."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.api import Build, load
from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "rundown")


def test_one_screen_says_who_when_and_how_much(run: Run) -> None:
    code, out, _ = run(BUILD, "--load", "12 A", "--at", "keel=100,pannier=60")
    assert code == 0
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "pannier has come level and helps" in out
    assert "the controller cuts" in out
    assert out.count("\n") < 50


def test_the_fuller_pack_works_alone_first(run: Run) -> None:
    _, out, _ = run(BUILD, "--load", "12 A", "--at", "keel=100,pannier=60", "--format", "json")
    data = json.loads(out)
    assert data["schema"] == "packyoke/rundown/1"
    assert data["phases"][0]["supplying"] == ["keel"]
    assert set(data["phases"][1]["supplying"]) == {"keel", "pannier"}
    assert data["energy_to_load_j"] < data["label_energy_j"]


def test_energy_balances_in_the_output(run: Run) -> None:
    """Out of the packs = into the load and the accessories + heat of leads and joiners."""
    data = json.loads(run(BUILD, "--load", "300 W", "--format", "json")[1])
    out_j = sum(pack["energy_out_j"] for pack in data["packs"])
    lost_j = sum(part["heat_j"] for part in data["parts"].values())
    into_j = data["energy_to_load_j"] + data["accessories_j"] + lost_j
    assert out_j == pytest.approx(into_j, rel=1e-4)


def test_a_ride_gives_the_load_and_the_way(run: Run) -> None:
    """Way = mean speed x time; the load is what the range counts with, accessories apart."""
    code, out, _ = run(BUILD, "--ride", "everyday", "--at", "keel=100,pannier=60", "--format", "json")
    assert code == 0
    data = json.loads(out)
    level = next(each["time_s"] for each in data["events"] if each["pack"] == "pannier")
    _, text, _ = run(BUILD, "--ride", "everyday", "--at", "keel=100,pannier=60")
    assert f"{level * data['speed_m_s'] / 1000:.0f} km: pannier has come level" in text
    counted = range_of(Case(built()), ("keel", "pannier"), "everyday")
    assert isinstance(counted, RangeEstimate)
    assert data["draw"]["power_w"] == pytest.approx(counted.mean_w - counted.ride.riding.accessories_w)


def built() -> Build:
    build = load(BUILD.read_bytes(), "bike.yaml")
    assert isinstance(build, Build)
    return build


def test_csv_has_the_series(run: Run) -> None:
    rows = list(csv.DictReader(io.StringIO(run(BUILD, "--format", "csv")[1])))
    times = [float(row["time_s"]) for row in rows]
    assert times == sorted(times)
    assert {"keel current_a", "pannier terminal_v", "keel charge_fraction"} <= set(rows[0])


def test_less_when_cold_and_old(run: Run) -> None:
    def energy(*more: str) -> float:
        return float(json.loads(run(BUILD, "--load", "12 A", "--format", "json", *more)[1])["energy_to_load_j"])

    assert energy("--cold", "0 degC") < energy()
    assert energy("--health", "80 %") < energy()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--packs", "kel"), "Did you mean keel?"),
        (("--ride", "evryday"), "Did you mean everyday?"),
        (("--ride", "everyday", "--load", "12 A"), "give one of them"),
        (("--packs", "keel,keel"), "named twice"),
        (("--at", "keel=120"), "between 0 and 100 %"),
        (("--at", "keel"), "NAME=VALUE"),
        (("--volts", "keel=70"), "outside what it can show: it shows 42 V to 58.8 V"),
        (("--volts", "keel=57", "--at", "keel=50"), "give one of them"),
        (("--load", "12"), "write a current or a power"),
        (("--load", "-5 A"), "--load"),
        (("--cold", "cold"), "--cold"),
        (("--health", "5 %"), "between 30 % and 100 %"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(BUILD, *arguments)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_an_lfp_voltage_is_no_state_of_charge(run: Run) -> None:
    code, _, err = run(EXAMPLES / "foghorn-lfp.yaml", "--volts", "port=49.5")
    assert code == 2
    assert "does not say it closer" in err


def test_a_load_beyond_the_packs_is_1(run: Run) -> None:
    code, out, _ = run(BUILD, "--load", "20000 W")
    assert code == 1
    assert "more than" in out


def test_a_build_of_which_too_little_is_known(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", drop=["packs.keel.capacity"]), encoding="utf-8")
    code, _, err = run(file)
    assert code == 2
    assert "keel: capacity is not known" in err


def test_what_was_assumed_is_listed(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", drop=["packs.keel.resistance"]), encoding="utf-8")
    _, out, _ = run(file)
    assert "keel: resistance" in out


def test_more_than_the_protection_allows_is_said_at_the_top(run: Run) -> None:
    """keel allows 40 A all the time."""
    code, out, _ = run(BUILD, "--packs", "keel", "--load", "55 A")
    assert code == 1
    assert out.startswith("STOP  Skerry mail")
    assert "keel gives 55" in " ".join(out.splitlines()[:3])


def test_a_state_of_a_pack_that_is_left_out_is_refused(run: Run) -> None:
    code, _, err = run(BUILD, "--packs", "keel", "--at", "pannier=50")
    assert (code, "leaves it out" in err) == (2, True)


def test_the_page_has_charts_with_words_and_nothing_from_outside(run: Run) -> None:
    code, out, _ = run(BUILD, "--load", "12 A", "--at", "keel=100,pannier=60", "--format", "html")
    assert code == 0
    page = ET.fromstring(
        out.removeprefix("<!DOCTYPE html>")
        .replace('<meta charset="utf-8">', "")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
    )
    svg = "{http://www.w3.org/2000/svg}"
    charts = page.findall(f".//{svg}svg")
    assert len(charts) == 3
    for chart in charts:
        assert chart.findtext(f"{svg}title")
        assert "pannier has come level" in (chart.findtext(f"{svg}desc") or "")
    # Marks 1 to 3 of each chart are the points of the list: begins, level, cut.
    assert [len(page.findall(".//ol/li")), [each.text for each in charts[0].findall(f"{svg}text")].count("3")] == [3, 1]
    assert "<script" not in out
    assert "src=" not in out
    assert "href=" not in out


def test_a_joiner_of_unknown_kind_is_said_at_the_top(run: Run, tmp_path: Path) -> None:
    bike = tmp_path / "bike.yaml"
    bike.write_text(edited("skerry-long-tail", drop=["joiners.yoke.type"]), encoding="utf-8")
    _, out, _ = run(bike, "--load", "12 A")
    assert "What is inside yoke is not known" in out.partition("WHAT HAPPENS")[0].replace("\n  ", " ")


PLAIN = EXAMPLES / "quay-plain-trike.yaml"


def test_a_pack_that_another_charges_too_fast_is_a_stop(run: Run) -> None:
    code, out, _ = run(PLAIN, "--at", "old=10,new=100", "--load", "10 A")
    words = " ".join(out.split())
    assert code == 1
    assert out.startswith("STOP  Quay baker")
    assert "old is charged with" in words
    assert "it takes 4 A at its outlet" in words
    assert "< is charged by the others" in words


def test_packs_that_are_level_charge_nobody(run: Run) -> None:
    code, out, _ = run(PLAIN, "--at", "old=90,new=90", "--load", "10 A")
    assert (code, "charged with" in out, "< is" in out) == (1, False, False)
    assert "packyoke check stops this build" in " ".join(out.split())


def test_a_pack_that_another_charges_past_full_is_a_stop(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("quay-plain-trike", {"packs.new.series": "14", "packs.new.like": "old"}), encoding="utf-8")
    code, out, _ = run(file, "--load", "5 A")
    assert (code, "old is charged past full" in " ".join(out.split())) == (1, True)


def test_a_controller_that_never_starts_is_no_answer(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("quay-plain-trike", {"controller.low_voltage_cut": "60 V"}), encoding="utf-8")
    assert run(file, "--load", "5 A")[0] == 1


def test_a_pack_named_twice_is_refused(run: Run) -> None:
    code, _, err = run(PLAIN, "--at", "old=50,old=60")
    assert (code, "named twice" in err) == (2, True)


def test_a_set_that_is_beyond_a_pack_is_marked_in_the_table(run: Run) -> None:
    # keel lets out 40 A, pannier 30 A.
    _, out, _ = run(BUILD, "--load", "35 A")
    (row,) = [line for line in out.splitlines() if line.startswith("  pannier  ") and "Wh" in line and "min" in line]
    assert "STOP" in row
    (row,) = [line for line in out.splitlines() if line.startswith("  keel  ") and "1008" in line]
    assert "STOP" not in row


def test_nothing_drawn_is_packs_at_rest(run: Run) -> None:
    """Two like packs on a plain joiner come level half way; behind blocking ones nothing flows, which is an answer."""
    code, out, _ = run(EXAMPLES / "quay-plain-trike.yaml", "--load", "0 A", "--at", "old=90 %,new=60 %")
    assert code == 1, "one charges the other with more than it takes"
    assert "come level" in out
    # 14 Ah each, one curve: (90 + 60) / 2 = 75 % by hand.
    assert "old from 90 % to 75 %, new from 60 % to 75 %" in " ".join(out.split())
    assert "the controller cuts" not in out
    code, out, _ = run(EXAMPLES / "breakwater-three-packs.yaml", "--load", "0 W", "--at", "north=90")
    assert code == 0
    assert "nothing flows from pack to pack" in " ".join(out.split())


def test_two_controllers_hold_their_power(run: Run, tmp_path: Path) -> None:
    """One with 500 W draws 500 W, one with 300 W and 5 A no more than 5 A, one without 4 A: at every moment."""
    motor = "{voltage: {min: 39 V, max: 63 V}, low_voltage_cut: 43 V, regen: none, inlet: XT90 pin, %s}"
    main = "{from: yoke, to: %s, length: 300 mm, gauge: 10 AWG, ends: [XT90 pin, XT90 socket]}"
    for second, most_w in (("power_limit: 300 W", 800.0), ("battery_current: 4 A", None)):
        put = {
            "controllers.front": motor % "power_limit: 500 W",
            "controllers.rear": motor % second,
            "joiners.yoke.outlet": "[XT90 socket, XT90 socket]",
            "leads.front lead": main % "front",
            "leads.rear lead": main % "rear",
        }
        file = tmp_path / "two.yaml"
        file.write_text(edited("skerry-long-tail", put, ["controller", "leads.main lead"]), encoding="utf-8")
        data = json.loads(run(file, "--format", "json")[1])
        assert len(data["series"]) > 3
        for each in data["series"]:
            # 500 W, and 4 A at whatever the voltage is.
            assert each["load_w"] == pytest.approx(most_w or 500.0 + 4.0 * each["bus_v"], rel=1e-6)
