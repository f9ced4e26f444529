"""`packyoke meter` as somebody types it: readings in, an answer out."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import Draw, Rundown, rundown
from packyoke.analysis.packs.states import StateSpan, state_of
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.properties.odd_drawings import SHAPES
from tests.sheets import chain_text
from tests.support import BASES, EXAMPLES, edited

PLAIN = EXAMPLES / "quay-plain-trike.yaml"
BLOCKING = EXAMPLES / "skerry-long-tail.yaml"
UNKNOWN = EXAMPLES / "sluice-second-port.yaml"
PAIR = BASES / "slipway-bench-pair.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "meter")


def flat(text: str) -> str:
    return " ".join(text.split())


def asked(run: Run, *arguments: str | Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(run(*arguments, "--format", "json")[1])
    return data


def changed(tmp_path: Path, base: str, put: dict[str, Any], drop: tuple[str, ...] = ()) -> Path:
    file = tmp_path / "x.yaml"
    file.write_text(edited(base, put, drop), encoding="utf-8")
    return file


# May they be joined


def test_no_comes_first_with_the_number_and_the_next_step(run: Run) -> None:
    """53.9 - 49.2 V = 4.7 V; within 0.5 V: 53.4 to 54.4 V, 48.7 to 49.7 V."""
    code, out, _ = run(PLAIN, "--volts", "old=53.9,new=49.2")
    assert code == 1
    assert out.startswith("NO    do not plug old and new together.")
    assert "4.7 V apart" in out
    assert "Charge new by itself to 53.4 to 54.4 V" in flat(out)
    assert "ride old by itself down to 48.7 to 49.7 V" in flat(out)
    assert all(len(line) <= 80 for line in out.splitlines())
    assert out.count("\n") < 25


@pytest.mark.parametrize(("new", "code"), [("53.4", 0), ("53.39", 1), ("54.4", 0), ("54.41", 1)])
def test_half_a_volt_is_the_limit_of_practice_either_way(run: Run, new: str, code: int) -> None:
    assert run(PLAIN, "--volts", f"old=53.9,new={new}")[0] == code


def test_the_rush_is_ohms_law_at_the_resistance_of_the_first_moment(run: Run, tmp_path: Path) -> None:
    """6.6 V over 0.65 x (2 x 149) mohm, the two paths of 0.8 mohm and two pairs of contacts of 0.2 mohm: 33.7 A."""
    (pair,) = asked(run, PAIR, "--volts", "port=54.6,starboard=48")["pairs"]
    assert pair["rush_a"] == pytest.approx(6.6 / (0.65 * 0.298 + 0.0016 + 0.0004), rel=1e-6)
    assert pair["rush_after_10_s_a"] == pytest.approx(6.6 / (0.298 + 0.0016 + 0.0004), rel=1e-6)


def test_check_meter_and_rundown_give_one_figure_for_one_moment(run: Run, packyoke: Run) -> None:
    """15.6 V from full to empty: 52 A over 300 mohm, 79.7 A over 0.65 x 298 + 2 mohm."""
    found = flat(packyoke("check", PAIR, "--no-shop")[1])
    assert "52 A into starboard, full onto empty, after 10 s; 79.7 A in the first moment" in found
    out = flat(run(PAIR, "--volts", "port=54.6,starboard=39")[1])
    assert "As much as 79.7 A would rush into starboard in the first moment, 52 A 10 s later" in out


def test_a_small_charge_limit_narrows_what_is_allowed(run: Run, tmp_path: Path) -> None:
    """1 A through 0.65 x 298 mohm + 2 mohm: 0.196 V."""
    file = changed(tmp_path, "slipway-bench-pair", {"packs.port.charge": "1 A", "packs.starboard.charge": "1 A"})
    (pair,) = asked(run, file, "--volts", "port=50.3,starboard=50")["pairs"]
    assert pair["allowed_v"] == pytest.approx(1.0 * (0.65 * 0.298 + 0.002), rel=1e-6)
    assert (pair["answer"], pair["limited_by"]) == ("no", "starboard")
    assert asked(run, file, "--volts", "port=50.19,starboard=50")["answer"] == "yes"


def test_nothing_may_enter_an_outlet_with_a_charge_path_of_its_own(run: Run, tmp_path: Path) -> None:
    file = changed(tmp_path, "quay-plain-trike", {"packs.new.bms.charge_path": "separate"})
    code, out, _ = run(file, "--volts", "old=53.9,new=53.8")
    assert code == 1
    assert "no current may enter the outlet of new" in flat(out)


def test_yes_behind_a_blocking_joiner_with_who_first_and_when(run: Run) -> None:
    code, out, _ = run(BLOCKING, "--volts", "keel=57.9,pannier=55.2", "--load", "12 A")
    assert code == 0
    assert out.startswith("YES   keel and pannier may be plugged together now.")
    assert "keel supplies first" in flat(out)
    assert "pannier helps after" in flat(out)
    data = asked(run, BLOCKING, "--volts", "keel=57.9,pannier=55.2", "--load", "12 A")
    assert data["supplies_first"] == ["keel"]
    assert [level["pack"] for level in data["levels"]] == ["pannier"]


def test_when_they_level_is_when_the_rundown_says_so(run: Run) -> None:
    levels = asked(run, BLOCKING, "--volts", "keel=57.9,pannier=55.2", "--load", "12 A")["levels"]
    build = load(BLOCKING.read_bytes(), "x")
    assert isinstance(build, Build)
    start = {}
    for name, volts in (("keel", 57.9), ("pannier", 55.2)):
        state = state_of(build.packs[name], volts)
        assert isinstance(state, StateSpan)
        start[name] = state.likely
    found = rundown(Case(build), ("keel", "pannier"), start=start, load=Draw(current_a=12.0))
    assert isinstance(found, Rundown)
    assert levels[0]["time_s"] == next(event.time_s for event in found.events if event.kind == "level")


def test_at_a_selector_two_packs_touch_and_never_come_level_at_rest(run: Run, tmp_path: Path) -> None:
    """2 V over 2 x (0.65 x 149 + 1) mohm: 10.22 A, and a third pack that is in adds nothing. Within 0.5 V the one that
    is on is ridden."""
    put = {
        "packs.aft": {"like": "port", "condition": "sound"},
        "joiners.bar.type": "selector",
        "joiners.bar.makes": "before break",
        "joiners.bar.inputs": "3",
        "leads.aft lead": {"from": "aft", "to": "bar", "direct": "true"},
    }
    file = changed(tmp_path, "slipway-bench-pair", put)
    pairs = asked(run, file, "--volts", "port=54,starboard=54,aft=52")["pairs"]
    assert [each["rush_a"] for each in pairs] == pytest.approx([0.0, 10.22, 10.22], abs=0.005)
    _, out, _ = run(file, "--volts", "port=54,aft=53.9")
    assert "Ridden at 20 A: port first." in flat(out)


def test_not_yet_while_nobody_knows_whether_it_blocks(run: Run) -> None:
    """Whose outlet has live pins on top of it: that pack is a no by itself."""
    code, out, _ = run(UNKNOWN, "--volts", "frame pack=54,added pack=51")
    assert code == 1
    assert out.startswith("NO    do not plug")
    assert "10 kohm 1 W across another inlet" in flat(out)
    assert "below 2 V it blocks" in flat(out)


@pytest.mark.parametrize(
    ("across", "answer"), [("0.3 V", "yes"), ("1.9", "yes"), ("2", "no"), ("20 V", "no"), ("53 V", "no")]
)
def test_the_joiner_test_settles_it(run: Run, tmp_path: Path, across: str, answer: str) -> None:
    """Below 2 V it blocks; between it leaks; near the pack's voltage it is plain, and 3 V apart is too much."""
    file = changed(tmp_path, "skerry-long-tail", {"joiners.yoke.type": "unknown"})
    packs = ("--volts", "keel=57,pannier=54")
    assert asked(run, file, *packs)["answer"] == "not yet"
    both = ("--across-inlet", f"yoke 1: {across}", "--across-inlet", "yoke 2=0.3 V")
    assert asked(run, file, *packs, *both)["answer"] == answer


@pytest.mark.parametrize(
    "tests",
    [("1: 0.3 V",), ("yoke 2=0.1",), ("pannier lead: 0.3 V", "yoke pannier lead: 0.2 V")],
)
def test_one_inlet_proves_one_inlet(run: Run, tmp_path: Path, tests: tuple[str, ...]) -> None:
    file = changed(tmp_path, "skerry-long-tail", {"joiners.yoke.type": "unknown"})
    typed = [each for test in tests for each in ("--across-inlet", test)]
    assert asked(run, file, "--volts", "keel=57,pannier=54", *typed)["answer"] == "not yet"


@pytest.mark.parametrize("order", [("0.3 V", "50 V"), ("50 V", "0.3 V")])
def test_of_two_readings_of_one_inlet_the_worse_counts(run: Run, order: tuple[str, str]) -> None:
    typed = [each for volts in order for each in ("--across-inlet", f"yoke 2: {volts}")]
    assert asked(run, BLOCKING, "--volts", "keel=57.9,pannier=57.8", *typed)["answer"] == "no"


def test_a_reading_that_passes_names_its_inlet(run: Run) -> None:
    code, _, err = run(BLOCKING, "--across-inlet", "0.3 V")
    assert (code, 'write "yoke 1: 0.3 V"' in err) == (2, True)
    assert run(BLOCKING, "--across-inlet", "56 V")[0] == 1


def test_a_blocking_joiner_that_passes_current_has_failed(run: Run) -> None:
    code, out, _ = run(BLOCKING, "--across-inlet", "yoke=56 V", "--volts", "keel=57.9,pannier=57.8")
    assert code == 1
    assert "yoke has failed" in out
    assert "Fit another joiner" in out


def test_a_joiner_said_to_be_plain_stays_plain_whatever_a_test_says(run: Run) -> None:
    assert asked(run, PLAIN, "--across-inlet", "1: 0.1,2: 0.1", "--volts", "old=53.9,new=49.2")["answer"] == "no"


def test_packs_of_other_counts_never_go_together(run: Run, tmp_path: Path) -> None:
    file = changed(tmp_path, "skerry-long-tail", {"packs.pannier.series": "13", "packs.pannier.cut_off": "39 V"})
    code, out, _ = run(file, "--volts", "keel=54,pannier=54")
    assert code == 1
    assert "never go together" in flat(out)


def test_one_pack_by_itself(run: Run) -> None:
    code, out, _ = run(BLOCKING, "--volts", "keel=57.9")
    assert code == 0
    assert "Not measured, and taken as unplugged: pannier" in out


def test_three_packs_each_two_of_them(run: Run) -> None:
    data = asked(run, EXAMPLES / "breakwater-three-packs.yaml", "--volts", "north=54,south=52,box=50")
    assert {(pair["higher"], pair["lower"]) for pair in data["pairs"]} == {
        ("north", "south"),
        ("north", "box"),
        ("south", "box"),
    }
    assert data["answer"] == "yes"


# What a voltage can be


@pytest.mark.parametrize(
    ("volts", "said", "answer"),
    [
        ("old=54.8", "", "yes"),
        ("old=54.9", "54.6 V is full", "no"),
        ("old=58.1", "14 in series (full at 58.8 V)", "no"),
        ("old=38.9", "below 39 V its protection opens", "no"),
        ("old=3", "asleep, tripped, or its fuse is open", "not yet"),
        ("old=0", "asleep, tripped, or its fuse is open", "not yet"),
    ],
)
def test_a_voltage_that_does_not_go_with_its_pack(run: Run, volts: str, said: str, answer: str) -> None:
    """13 cells: 54.6 V full, half a percent for the meter; cut-off 39 V."""
    code, out, _ = run(PLAIN, "--volts", volts)
    assert said in flat(out)
    assert asked(run, PLAIN, "--volts", volts)["answer"] == answer
    assert code == (0 if answer == "yes" else 1)


def test_one_cell_less_is_a_possibility_and_no_claim(run: Run) -> None:
    """58.6 V on 14 cells are 4.19 V each: 54.4 V beside it is one cell less."""
    code, out, _ = run(BLOCKING, "--volts", "keel=58.6,pannier=54.4")
    assert code == 0
    assert "may be dead" in out
    assert "may be dead" not in run(BLOCKING, "--volts", "keel=55.6,pannier=51.6")[1]


def test_state_of_charge_has_its_width_and_lfp_has_none(run: Run) -> None:
    packs = asked(run, BLOCKING, "--volts", "keel=52.0,pannier=52.0")["packs"]
    assert packs[0]["charged_to"] - packs[0]["charged_from"] > 0.10
    port = asked(run, EXAMPLES / "foghorn-lfp.yaml", "--volts", "port=49.5,starboard=49.4")["packs"][0]
    assert (port["charged_likely"], "does not say it" in port["why_not"]) == (None, True)


# Under load


def test_resistance_of_a_pack_under_load(run: Run) -> None:
    """(57.9 - 55.1) V / 20 A = 140 mohm; the file says 95."""
    (test,) = asked(run, BLOCKING, "--volts", "keel=57.9", "--loaded", "keel=55.1 at 20 A")["loads"]
    assert test["resistance_ohm"] == pytest.approx(0.140)
    assert test["found"] == "more"
    (fine,) = asked(run, BLOCKING, "--volts", "keel=57.9", "--loaded", "keel=56.0@20A")["loads"]
    assert fine["found"] == "as described"


def test_resistance_against_new_packs_where_the_file_says_none(run: Run) -> None:
    """13 cells, 14 Ah, kind not known: 13 x 0.04/14 + 10 mohm = 47 to 13 x 0.20/14 + 25 = 211 mohm."""
    (test,) = asked(run, UNKNOWN, "--volts", "frame pack=50", "--loaded", "frame pack=48 at 8 A")["loads"]
    assert test["found"] == "more"
    assert test["described_ohm"] == pytest.approx([0.04714, 0.21071], abs=1e-5)


@pytest.mark.parametrize(
    ("drop", "found"),
    [
        ("yoke=0.41 V at 5 A", "gate drive dead"),
        ("yoke=0.65 V at 20 A", "gate drive dead"),
        ("yoke=0.65 V at 4.9 A", "too little current"),
        ("yoke=0.04 V at 20 A", "as described"),
        ("yoke=0.06 V at 20 A", "too much"),
    ],
)
def test_a_path_of_an_ideal_diode(run: Run, drop: str, found: str) -> None:
    """Above 0.4 V at 5 A or more the gate drive is dead (memory); 2 mohm x 20 A = 40 mV."""
    data = asked(run, BLOCKING, "--drop", drop)
    assert data["paths"][0]["found"] == found
    assert data["answer"] == {"gate drive dead": "no", "too much": "not yet"}.get(found, "yes")


def test_a_wire_that_is_thinner_than_described(run: Run) -> None:
    """0.9 m of 16 AWG there and back: 1.8 m x 13.2 mohm/m = 23.7 mohm, and 4 contacts; described is 12 AWG."""
    path = asked(run, BLOCKING, "--drop", "pannier lead=0.5 V at 20 A")["paths"][0]
    assert (path["found"], path["like"]) == ("too much", "16 AWG")
    _, out, _ = run(BLOCKING, "--drop", "pannier lead=0.5 V at 20 A")
    assert "a bad joint or a thinner wire; 16 AWG would drop as much" in flat(out)


def test_what_is_said_to_differ_is_what_the_rule_about_readings_says(run: Run) -> None:
    data = asked(
        run,
        BLOCKING,
        "--drop",
        "pannier lead=0.5 V at 20 A",
        "--volts",
        "keel=57.9",
        "--loaded",
        "keel=55.1 at 20 A",
        "--across-inlet",
        "yoke 1: 0.2",
    )
    assert len(data["not_as_described"]) == 2
    keel, lead = sorted(data["not_as_described"])
    assert "points to a tired or cold pack" in keel
    assert "points to a bad joint or a thinner wire" in lead


# Without a file


def test_without_a_file(run: Run) -> None:
    code, out, _ = run("--series", "13", "--volts", "54.1,51.3", "--load", "22A", "--joiner", "plain")
    assert code == 1
    assert out.startswith("NO    do not plug pack 1 and pack 2 together.")
    assert "2.8 V apart" in out
    assert "chemistry NMC" in out


def test_without_a_file_a_small_difference_needs_the_capacity(run: Run) -> None:
    bench = ("--series", "13", "--volts", "54.1,53.9", "--joiner", "plain")
    code, out, _ = run(*bench)
    assert code == 1
    assert out.startswith("NOT YET")
    assert "capacity" in out
    assert run(*bench, "--capacity", "14Ah", "--charge", "4A")[0] == 0


def test_without_a_file_nobody_knows_the_joiner(run: Run) -> None:
    assert asked(run, "--series", "13", "--volts", "54.1,51.3")["answer"] == "not yet"
    assert asked(run, "--series", "13", "--volts", "54.1,51.3", "--joiner", "diode")["answer"] == "yes"
    assert asked(run, "--series", "13", "--volts", "54.1,51.3", "--across-inlet", "1: 0.5,2: 0.4")["answer"] == "yes"
    assert asked(run, "--series", "13", "--volts", "54.1,51.3", "--across-inlet", "1: 0.5")["answer"] == "not yet"


# Wrong input


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--volts", "kel=57"), "Did you mean keel?"),
        (("--volts", "keel=-57"), "wrong way round"),
        (("--volts", "keel=1000"), "no pack of a bike shows that"),
        (("--volts", "keel=57 A"), "is a current"),
        (("--volts", "keel=57 Q"), 'no unit "Q"'),
        (("--volts", "keel=nan"), "--volts keel"),
        (("--volts", "keel"), "NAME=VALUE"),
        (("--loaded", "keel=55 at 20 A"), "its voltage at rest is needed"),
        (("--volts", "keel=57", "--loaded", "keel=58 at 20 A"), "not below 57 V at rest"),
        (("--volts", "keel=57", "--loaded", "keel=55 at 0 A"), "above zero"),
        (("--volts", "keel=57", "--loaded", "keel=55"), "no current"),
        (("--drop", "yok=0.4 V at 20 A"), 'no joiner or lead called "yok"'),
        (("--drop", "0.4 V"), "no current"),
        (("--across-inlet", "yok=0.4 V"), 'no joiner called "yok"'),
        (("--across-inlet", "-1"), "wrong way round"),
        (("--volts", "keel=57", "--load", "12"), "write a current or a power"),
        (("--series", "13", "--volts", "keel=57"), "--series is for packs without a build file"),
        ((), "nothing was measured"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(BLOCKING, *arguments)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--series", "13", "--volts", "54.1"), "two voltages or more"),
        (("--series", "13", "--volts", "54.1,"), "two voltages or more"),
        (("--series", "13", "--volts", "a=54.1,b=50"), "give the voltages alone"),
        (("--series", "13"), "give --series and --volts"),
        (("--volts", "54.1,50"), "give --series and --volts"),
        (("--series", "99", "--volts", "54.1,50"), "3<=x<=30"),
        (("--series", "13", "--volts", "54.1,50", "--joiner", "magic"), "write one of plain"),
        (("--series", "13", "--volts", "54.1,50", "--chemistry", "NMC}, evil: {a: b"), "write one of NMC"),
        (("--series", "13", "--volts", "54.1,50", "--capacity", "14"), "no unit"),
        (("--series", "13", "--volts", "54.1,50", "--record", "x.yaml"), "name the file"),
        (("nowhere.yaml", "--volts", "a=1"), "cannot be opened"),
    ],
)
def test_wrong_input_without_a_file(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert said in err


# Forms


def test_every_example_prints(run: Run) -> None:
    for path in sorted(EXAMPLES.glob("*.yaml")):
        build = load(path.read_bytes(), path.name)
        if not isinstance(build, Build):
            continue
        volts = ",".join(f"{name}={45 + n}" for n, name in enumerate(build.packs))
        for form in ("text", "markdown", "json"):
            code, out, _ = run(path, "--volts", volts, "--format", form)
            assert code in (0, 1)
            assert out
            assert form != "text" or max(map(len, out.splitlines())) <= 80
            for word in ("certified", "guaranteed", "up to "):
                assert word not in out


def test_packs_that_a_diode_keeps_apart_stand_as_far_apart_as_practice_lets_them(run: Run, tmp_path: Path) -> None:
    """By hand: behind 1.2 V of a diode nothing flows at 0.2 V, nor at 1 V, from which the limit is worked out."""
    known = "charge: 4 A, condition: sound, bms: {data: none, charge_path: common}"
    build = tmp_path / "bike.yaml"
    build.write_text(SHAPES["a diode of 1.2 V before a plain joiner"].replace("bms: {data: none}", known), "utf-8")
    (pair,) = asked(run, build, "--volts", "p0=50,p1=49.8")["pairs"]
    assert (pair["kind"], pair["rush_a"], pair["allowed_v"], pair["limited_by"]) == ("rush", 0.0, 0.5, "practice")


def test_packs_that_all_meet_in_blocking_joiners_are_told_in_one_sentence(run: Run, tmp_path: Path) -> None:
    """Six packs meet in fifteen pairs; by hand: d has the highest voltage, and b and e are level with it."""
    file = tmp_path / "six.yaml"
    file.write_text(chain_text(6), encoding="utf-8")
    volts = {"a": "50", "b": "51", "c": "50.2", "d": "51", "e": "51", "f": "48.7"}
    code, out, _ = run(file, "--volts", ",".join(f"Pack {name}={volt}" for name, volt in volts.items()))
    assert code == 0
    told = flat(out)
    assert told.count("supply first") == 1
    assert "J0, J1, J2, J3 and J4 block as described: " in told
    assert "Pack b, Pack d and Pack e supply first; the others help when it has come down to them: " in told
    assert "Pack c (0.8 V lower), Pack a (1 V lower), Pack f (2.3 V lower)." in told


def test_of_two_packs_each_pair_has_its_sentence(run: Run) -> None:
    out = flat(run(BLOCKING, "--volts", "keel=56.1,pannier=53.2")[1])
    assert "keel supplies first, pannier, 2.9 V lower, helps when that has come down to it." in out


ON_THE_BENCH = [
    "--series",
    "13",
    "--joiner",
    "plain",
    "--capacity",
    "14Ah",
    "--resistance",
    "120mohm",
    "--charge",
    "4A",
]


@pytest.mark.parametrize(
    ("load", "said"),
    [((), ""), (("--load", "22 A"), "22 A is not counted"), (("--load", "500 W"), "500 W is not counted")],
)
def test_a_load_that_does_not_count_is_said(run: Run, load: tuple[str, ...], said: str) -> None:
    """Behind a plain joiner packs level with nothing drawn."""
    bench = (
        "--series",
        "13",
        "--joiner",
        "plain",
        "--capacity",
        "14 Ah",
        "--resistance",
        "120 mohm",
        "--charge",
        "4 A",
    )
    status, out, _ = run(*bench, "--volts", "54.1,53.95", *load)
    assert status == 0
    assert ("with nothing drawn" in flat(out)) == bool(load)
    assert said in flat(out)


def test_readings_are_told_to_the_last_digit(run: Run) -> None:
    """54.1 and 53.95 V are 0.15 V apart; it said 54 V."""
    out = run(*ON_THE_BENCH, "--volts", "54.1,53.95")[1]
    assert "0.15 V apart" in out
    assert "  53.95 V  " in out
