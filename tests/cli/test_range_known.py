"""`range --known` and `ride.*.known`: what a rider has really ridden, typed and in the file."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from packyoke.answers.range.route import with_tracks
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model import Build
from packyoke.model.track import Track
from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
Run = Callable[..., tuple[int, str, str]]
RIDDEN = "48 km from 100 % to 20 % with keel"
LINES = "{known: {packs: [keel], from: 100 %, to: 20 %, distance: 48 km}}"


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "range")


def answered(run: Run, *arguments: str | Path) -> dict[str, Any]:
    code, out, err = run(*arguments, "--format", "json")
    assert code == 0, err
    data: dict[str, Any] = json.loads(out)
    return data


def test_typed_and_in_the_file_are_one(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "bike.yaml"
    file.write_text(edited("skerry-long-tail", {"ride.everyday": LINES}), encoding="utf-8")
    plain = tmp_path / "plain.yaml"
    plain.write_text(edited("skerry-long-tail", {"ride.everyday": "{}"}), encoding="utf-8")
    typed, told = answered(run, plain, "--known", RIDDEN), answered(run, file)
    assert [each["distance_m"] for each in typed["ranges"]] == [each["distance_m"] for each in told["ranges"]]
    assert typed["ranges"][0]["known"] == told["ranges"][0]["known"]


def test_it_answers_the_one_ride_that_was_ridden(run: Run) -> None:
    """By hand: 48 km on 80 points are 60 km on all; the controller cuts with some of it left."""
    data = answered(run, BUILD, "--known", RIDDEN, "--packs", "keel")
    (found,) = data["ranges"]
    assert found["ride"] == "everyday"
    assert 0.9 * 60_000 < found["distance_m"]["likely"] < 1.05 * 60_000
    low, high = found["distance_m"]["low"], found["distance_m"]["high"]
    assert high / low < 1.4, "two standard deviations and a half of about 12 %"
    assert found["known"][0]["farther_fraction"] > 0.85


def test_the_screen_says_what_it_rests_on(run: Run) -> None:
    code, out, _ = run(BUILD, "--known", RIDDEN)
    assert code == 0
    assert "FITTED TO THIS RIDER" in out
    assert "48 km from 100 % to 20 % with keel" in out
    assert all(len(line) <= 80 for line in out.splitlines())
    code, out, _ = run(BUILD, "--known", RIDDEN, "--format", "markdown")
    assert "## Fitted to this rider" in out


def test_percent_may_be_left_out_and_several_add_up(run: Run) -> None:
    bare = answered(run, BUILD, "--known", "48 km from 100 to 20 with keel")
    assert bare["ranges"] == answered(run, BUILD, "--known", RIDDEN)["ranges"]
    two = answered(run, BUILD, "--known", RIDDEN, "--known", "20 mi from 90 % to 30 % with keel at 5 degC")
    assert len(two["ranges"][0]["known"]) == 2


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("9 km from 100 % to 20 % with keel", "fits no rider"),
        ("400 km from 100 % to 20 % with keel", "fits no rider"),
        ("42 km", "write for example"),
        ("42 km from 100 % to 20 %", "with which packs?"),
        ("42 km from 100 % to 20 % with kel", "Did you mean keel?"),
        ("42 km from 30 % to 20 % with keel", "too little"),
        ("42 km from 20 % to 100 % with keel", "too little"),
        ("42 km from 120 % to 20 % with keel", "out of bounds"),
        ("0 km from 100 % to 20 % with keel", "out of bounds"),
        ("42 kg from 100 % to 20 % with keel", "--known"),
        ("42 km from 100 % to 20 % with keel at 300 degC", "out of bounds"),
        ("42 km from full to 20 % with keel", "--known"),
    ],
)
def test_what_cannot_be_used_is_refused_with_a_sentence(run: Run, typed: str, said: str) -> None:
    code, out, err = run(BUILD, "--known", typed)
    assert code == 2
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_a_worn_pack_is_asked_about_and_other_commands_go_on(run: Run, packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "bike.yaml"
    file.write_text(edited("skerry-long-tail", {"ride.everyday": LINES.replace("48", "12")}), encoding="utf-8")
    code, _, err = run(file)
    assert code == 2
    assert "ride.everyday.known, line" in err
    assert "Is the pack worn" in err
    code, out, _ = packyoke("check", file)
    assert "Traceback" not in out
    assert code in (0, 1)


def test_two_rides_and_one_known_are_refused(run: Run) -> None:
    code, _, err = run(BUILD, "--known", RIDDEN, "--ride", "hard", "--ride", "everyday")
    assert code == 2
    assert "give one --ride" in err
    assert run(BUILD, "--known", RIDDEN, "--route", EXAMPLES / "skerry-round.gpx")[0] == 2


def test_the_track_that_was_ridden_gives_its_hills() -> None:
    lines = "{known: {packs: [keel], from: 100 %, to: 20 %, distance: 48 km, on: round.gpx}}"
    build = load(edited("skerry-long-tail", {"ride.everyday": lines}), "skerry")
    assert isinstance(build, Build)
    track = load_track((EXAMPLES / "skerry-round.gpx").read_bytes(), "round.gpx")
    assert isinstance(track, Track)
    (known,) = with_tracks(build, lambda name: track).rides["everyday"].known
    assert known.hills_fraction is not None
    assert 0.001 < known.hills_fraction < 0.1


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("{packs: [keel], from: 100 %, to: 90 %, distance: 4 km}", "says too little"),
        ("{packs: [keel], from: 100 %, to: 20 %}", "distance is missing"),
        ("{packs: [keel], from: '100 % ?', to: 20 %, distance: 42 km}", "a guess does not do here"),
        ("{packs: [], from: 100 %, to: 20 %, distance: 42 km}", "an empty list"),
        ("{packs: [nobody], from: 100 %, to: 20 %, distance: 42 km}", "no part called"),
        ("42 km", "needs its own indented lines"),
        ("{packs: [keel], from: 100 %, to: 20 %, way: 42 km}", 'no field "way"'),
    ],
)
def test_mistakes_of_the_file_have_their_line(lines: str, said: str) -> None:
    found = load(edited("skerry-long-tail", {"ride.everyday": f"{{known: {lines}}}"}), "skerry")
    assert isinstance(found, list)
    assert any(said in each.message for each in found), [each.message for each in found]


def test_several_known_rides_are_a_list() -> None:
    one = "{packs: [keel], from: 100 %, to: 20 %, distance: 48 km}"
    found = load(edited("skerry-long-tail", {"ride.everyday": f"{{known: [{one}, {one}]}}"}), "skerry")
    assert isinstance(found, Build)
    assert [each.distance_m for each in found.rides["everyday"].known] == [48_000.0, 48_000.0]


@pytest.mark.parametrize("km", ["12", "240"])
def test_check_range_and_quote_say_the_same_of_a_ride_that_fits_nobody(packyoke: Run, tmp_path: Path, km: str) -> None:
    """One sentence from one computation: a caution of the check at its line, why range and quote go no further."""
    file = tmp_path / "bike.yaml"
    file.write_text(edited("skerry-long-tail", {"ride.everyday": LINES.replace("48", km)}), encoding="utf-8")
    code, out, _ = packyoke("check", file, "--format", "json")
    (found,) = [each for each in json.loads(out)["builds"][0]["findings"] if each["rule"] == "ride-fits-nobody"]
    assert code == 0
    assert found["severity"] == "caution"
    assert found["part"] == "ride.everyday"
    said = f"{found['message']}. {found['why']} {found['do']}"
    assert said.startswith(f"{km} km from 100 % to 20 % with keel fits no rider. On that charge most riders get ")
    for command in (("range",), ("quote", "--reach", "80 km", "--shop", EXAMPLES / "counter" / "packyoke-shop.yaml")):
        code, _, err = packyoke(command[0], file, *command[1:])
        assert code == 2
        assert f"ride.everyday.known, line {found['line']}: {said}" in err
        code, _, err = packyoke(command[0], BUILD, *command[1:], "--known", f"{km} km from 100 % to 20 % with keel")
        assert code == 2
        assert f"--known: {said}" in err
