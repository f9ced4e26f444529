"""`packyoke range --route` and rides that name a track, as somebody types it."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.ride.drive_power import on_route, rate
from packyoke.analysis.ride.named import resolved
from packyoke.analysis.ride.pieces import route_of
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.answers.range import route as route_answer
from packyoke.api import Build, load
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model.track import Track
from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
ROUND = EXAMPLES / "skerry-round.gpx"
Run = Callable[..., tuple[int, str, str]]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "range")


def track(path: Path, points: list[tuple[float, float | None]]) -> Path:
    """A way due north: along [m], height [m]."""
    lines = "".join(
        f'<trkpt lat="{at / 111_195:.7f}" lon="0">{"" if height is None else f"<ele>{height}</ele>"}</trkpt>'
        for at, height in points
    )
    path.write_text(f'<gpx version="1.1"><trk><trkseg>{lines}</trkseg></trk></gpx>', encoding="utf-8")
    return path


def build(path: Path, put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Path:
    path.write_text(edited("skerry-long-tail", put, drop), encoding="utf-8")
    return path


def test_one_screen_says_what_is_left_and_who_carries(run: Run) -> None:
    code, out, _ = run(BUILD, "--route", ROUND)
    assert code == 0
    assert "21.8 km, 212 m up" in out
    assert "% left" in out
    assert all(len(line) <= 80 for line in out.splitlines() if "skerry-round" not in line)
    assert out.count("\n") < 40


def test_a_flat_way_takes_what_a_ride_without_hills_takes(run: Run, tmp_path: Path) -> None:
    """30 km level: energy of the route against the summary model with hills of nothing, within 0.1 %."""
    flat = track(tmp_path / "flat.gpx", [(at * 500.0, 12.0) for at in range(61)])
    ride = {"ride.everyday": {"hills": "0 m per km", "wind": "2 m/s"}}
    bike = build(tmp_path / "bike.yaml", ride, drop=("accessories",))
    _, out, _ = run(bike, "--route", flat, "--packs", "keel,pannier", "--no-shop", "--format", "json")
    data = json.loads(out)
    likely = data["sets"][0]["likely"]
    model = load(bike.read_bytes(), "bike.yaml")
    assert isinstance(model, Build)
    mean = range_of(Case(model), ("keel", "pannier"), "everyday")
    assert isinstance(mean, RangeEstimate)
    taken_j = likely["energy_to_load_j"] + likely["accessories_j"]
    assert taken_j == pytest.approx(mean.taken_j_per_m.likely * data["route"]["distance_m"], rel=0.001)
    assert likely["ended"] == "arrived"


def test_hills_are_ridden_and_the_careful_figure_is_less(run: Run, tmp_path: Path) -> None:
    ends = []
    for height in (0.0, 60.0):
        hilly = track(tmp_path / f"{height}.gpx", [(at * 500.0, 1 + height * (at % 2)) for at in range(61)])
        data = json.loads(run(BUILD, "--route", hilly, "--packs", "keel", "--format", "json")[1])
        ends.append(data["sets"][0])
        assert data["sets"][0]["count_on"]["left_fraction"] < data["sets"][0]["likely"]["left_fraction"]
    assert ends[1]["likely"]["left_fraction"] < ends[0]["likely"]["left_fraction"]


def test_a_way_too_long_ends_where_it_ends_and_exits_1(run: Run, tmp_path: Path) -> None:
    far = track(tmp_path / "far.gpx", [(at * 2000.0, 5.0) for at in range(101)])
    code, out, _ = run(BUILD, "--route", far, "--packs", "pannier")
    assert code == 1
    assert "ends at " in out
    assert out.startswith("NO ")
    assert "the controller cuts" in " ".join(out.split())


def test_without_heights_it_says_so(run: Run, tmp_path: Path) -> None:
    bare = track(tmp_path / "bare.gpx", [(at * 500.0, None) for at in range(21)])
    code, out, _ = run(BUILD, "--route", bare)
    assert code == 0
    assert "climb not known" in out
    assert "100 % of it has no heights" in out


def test_the_page_has_the_profile_and_the_charge(run: Run) -> None:
    _, out, _ = run(BUILD, "--route", ROUND, "--format", "html")
    page = ET.fromstring(
        out.removeprefix("<!DOCTYPE html>")
        .replace('<meta charset="utf-8">', "")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
    )
    assert [chart.findtext(f"{SVG}title") for chart in page.findall(f".//{SVG}svg")] == [
        "Height above the start",
        "State of charge along the way",
    ]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--route", "nowhere.gpx"), "cannot be opened"),
        (("--route", str(BUILD)), "not XML"),
        (("--route", str(ROUND), "--need", "20 km"), "--route answers by itself"),
        (("--route", str(ROUND), "--ride", "hard", "--ride", "brisk"), "takes one --ride"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(BUILD, *arguments)
    assert code == 2
    assert out == ""
    assert said in err


def test_one_place_is_no_way(run: Run, tmp_path: Path) -> None:
    code, _, err = run(BUILD, "--route", track(tmp_path / "still.gpx", [(0.0, 3.0)] * 5))
    assert code == 2
    assert "all its points are one place" in err


def test_a_ride_takes_its_hills_from_its_track(run: Run, tmp_path: Path) -> None:
    """Up 240 m and down again every 8 km is 30 m per km, but for tops that smoothing rounds."""
    track(tmp_path / "round.gpx", [(at * 100.0, 1 + 240 * abs((at % 80) / 40 - 1)) for at in range(321)])
    named = build(tmp_path / "named.yaml", {"ride.post": {"gpx": "round.gpx", "speed": "20 km/h"}})
    told = build(tmp_path / "told.yaml", {"ride.post": {"hills": "30 m per km", "speed": "20 km/h"}})
    low = [
        json.loads(run(each, "--ride", "post", "--packs", "keel", "--format", "json")[1])["ranges"][0]["distance_m"][
            "likely"
        ]
        for each in (named, told)
    ]
    assert low[0] == pytest.approx(low[1], rel=0.02)


STEEP = "% of odd.gpx is steeper than any road: its heights are wrong. Write hills: instead"


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([(at * 100.0, 10.0 + at % 2) for at in range(21)], ""),
        ([(at * 101.0, 10.0) for at in range(6)], ""),
        (
            [(at * 100.4, 10.0) for at in range(6)],
            "the way of odd.gpx is 499 m long, and a ride takes its hills from 500 m",
        ),
        (
            [(0.0, -500.0), (11.0, 9000.0)],
            "the way of odd.gpx is 11 m long",
        ),  # was a ride without hills, as were the next
        (
            [(at * 190_000.0, 10.0) for at in range(4)],
            "no heights, or no points for 2 km and more, on 100 % of the way",
        ),
        ([(at * 100.0, 9000.0 - 90.0 * at) for at in range(101)], STEEP),
        ([(at * 100.0, 10.0 + 84.0 * at) for at in range(101)], STEEP),
        (
            [(at * 100.0, 10.0 + 21.0 * at) for at in range(101)],
            "odd.gpx climbs 210 m per km, and at most 200 are read",
        ),
        ([(at * 100.0, 10.0 + 19.9 * at) for at in range(101)], ""),
        ([(at * 100.0, 10.0 + 40.0 * min(max(at - 60, 0), 9)) for at in range(101)], ""),  # 900 m of 10 km
        ([(at * 100.0, 10.0 + 40.0 * min(max(at - 60, 0), 11)) for at in range(101)], STEEP),
    ],
)
def test_hills_that_no_ride_has_are_not_taken_from_a_track(
    run: Run, tmp_path: Path, points: list[tuple[float, float]], said: str
) -> None:
    """In a build the climb is all that is left of a track: what is wrong with it would be seen nowhere."""
    track(tmp_path / "odd.gpx", list(points))
    ride = {"ride.everyday": {"gpx": "odd.gpx"}}
    code, out, err = run(build(tmp_path / "bike.yaml", ride), "--ride", "everyday", "--no-shop")
    assert said in " ".join(err.split())
    assert (code, bool(out)) == ((2, False) if said else (0, True))


def test_a_track_that_is_not_there_leaves_the_check_alone_and_the_range_unknown(packyoke: Run, tmp_path: Path) -> None:
    bike = build(tmp_path / "bike.yaml", {"ride.everyday": {"gpx": "gone.gpx"}})
    code, out, err = packyoke("check", bike, "--no-shop")
    assert code == 0
    assert "gone.gpx cannot be opened" in err
    assert "everyday ride" not in out
    code, _, err = packyoke("range", bike)
    assert code == 2
    assert "gone.gpx cannot be opened" in err


@pytest.mark.parametrize(
    ("most", "named", "ridden", "left_out"),
    [(395, (), 1, 2), (396, (), 2, 1), (593, (), 2, 1), (594, (), 3, 0), (-1, ("keel", "pannier"), 2, 0)],
)
def test_sets_beyond_what_takes_seconds_are_counted_and_ridden_when_named(
    run: Run,
    tmp_path: Path,
    most: int,
    named: tuple[str, ...],
    ridden: int,
    left_out: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Some 4972 m are 99 pieces, ridden twice, to count on and likely: 2 x 99 x 2 with both packs, 2 x 99 with one."""
    monkeypatch.setattr(route_answer, "MOST_DRIVEN", most)
    flat = track(tmp_path / "flat.gpx", [(at * 500.0, 12.0) for at in range(11)])
    asked = [part for name in named for part in ("--packs", name)]
    _, out, _ = run(BUILD, "--route", flat, *asked, "--no-shop", "--format", "json")
    data = json.loads(out)
    assert (len(data["sets"]), data["sets_left_out"]) == (ridden, left_out)
    _, out, _ = run(BUILD, "--route", flat, *asked, "--no-shop")
    assert (f"{left_out} more sets of packs: --packs NAMES rides one of them." in out) == (left_out > 0)


@pytest.mark.parametrize(("most", "said"), [(0, "no set of packs that was ridden is"), (10**6, "no set of packs is")])
def test_no_way_is_denied_to_sets_that_were_not_ridden(
    run: Run, tmp_path: Path, most: int, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(route_answer, "MOST_DRIVEN", most)
    far = track(tmp_path / "far.gpx", [(at * 500.0, 12.0) for at in range(601)])
    _, out, _ = run(BUILD, "--route", far, "--no-shop")
    assert said in " ".join(out.split())


ONE_WAY = {
    "up": [(at * 50.0, 0.05 * at * 50.0) for at in range(201)],
    "down": [(at * 50.0, 500.0 - 0.05 * at * 50.0) for at in range(201)],
    "up and down": [(at * 50.0, 0.05 * min(at, 200 - at) * 50.0) for at in range(201)],
    "up and half down": [(at * 50.0, 0.05 * min(at, 267 - at) * 50.0) for at in range(201)],
    "down and half up": [(at * 50.0, 500.0 - 0.05 * min(at, 267 - at) * 50.0) for at in range(201)],
}


@pytest.mark.parametrize("way", ONE_WAY)
def test_a_track_of_one_way_counts_there_and_back_and_one_that_was_ridden_as_it_is(way: str, tmp_path: Path) -> None:
    """10 km of 5 %: what ride and known ride take by the summary, against the pieces of the track, within 3 % (heights
    are smoothed over 150 m where the slope turns)."""
    made = load_track(track(tmp_path / "way.gpx", ONE_WAY[way]).read_bytes(), "way.gpx")
    assert isinstance(made, Track)
    lines = "{gpx: way.gpx, speed: 20 km/h, stops: 0 per km, wind: 0 km/h, assist: rider 0 W, known: %s}"
    known = "{packs: [keel], from: 100 %, to: 20 %, distance: 10 km, on: way.gpx}"
    found = load(edited("skerry-long-tail", {"ride.own": lines % known}, ("accessories",)), "bike")
    assert isinstance(found, Build)
    read = route_answer.with_tracks(found, lambda name: made)
    riding = resolved(Case(read), ("keel",), "own").riding
    (told,) = read.rides["own"].known
    assert told.hills_fraction is not None

    def taken_j(sign: int) -> float:
        grades = [(each.length_m, sign * (each.grade_fraction or 0.0)) for each in route_of(made).pieces]
        return sum(power_w * time_s for power_w, time_s in (on_route(riding, *each) for each in grades))

    ridden = riding._replace(climb_fraction=told.hills_fraction, rise_fraction=told.rise_fraction)
    assert rate(ridden).j_per_m * 10_000 == pytest.approx(taken_j(1), rel=0.03, abs=20_000)
    assert rate(riding).j_per_m * 20_000 == pytest.approx(taken_j(1) + taken_j(-1), rel=0.03)


@pytest.mark.parametrize(
    ("way", "said"), [("up", "its track climbs"), ("down", "its track falls"), ("up and down", "")]
)
def test_a_track_of_one_way_is_told(way: str, said: str, run: Run, tmp_path: Path) -> None:
    track(tmp_path / "way.gpx", ONE_WAY[way])
    bike = build(tmp_path / "bike.yaml", {"ride.own": "{gpx: way.gpx}"})
    told = " ".join(run(bike, "--ride", "own", "--no-shop")[1].split())
    assert ("counted there and back" in told) is bool(said)
    assert said in told
