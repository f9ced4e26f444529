"""What a ride is resolved to and who says so, where packs begin and stop on a way, what the drive gives: by hand."""

from __future__ import annotations

from math import inf
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.ride.drive_power import motor_input_w, rate, starts_j_per_m, stretch
from packyoke.analysis.ride.named import Input, resolved, swung
from packyoke.analysis.ride.on_route import Along, along
from packyoke.analysis.ride.pieces import Piece
from packyoke.analysis.ride.reach import RangeEstimate, Swing, range_of
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.reference.road_cases import riding
from tests.support import edited

KM_H = 1 / 3.6
SHELF, GUESS, FILE = "ride everyday of the shelf", "a guess in the file", "the file"


def case_of(put: dict[str, Any] | None = None, drop: tuple[str, ...] = (), base: str = "skerry-long-tail") -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


@pytest.mark.parametrize(
    ("put", "drop", "attr", "expected"),
    [
        ({}, (), "bike_kg", (31.0, 31.0, 31.0, FILE)),
        # 22 to 65 kg, of which nobody knows more; a guess keeps that span and may lie beyond it.
        ({}, ("bike.mass",), "bike_kg", (22.0, 43.5, 65.0, "assumed")),
        ({"bike.mass": "31 kg ?"}, (), "bike_kg", (22.0, 31.0, 65.0, GUESS)),
        ({"bike.mass": "70 kg ?"}, (), "bike_kg", (22.0, 70.0, 70.0, GUESS)),
        ({"ride.everyday": "{speed: 20 km/h}"}, (), "speed_m_s", (18.4 * KM_H, 20 * KM_H, 21.6 * KM_H, FILE)),
        ({"ride.everyday": "{speed: 20 km/h}"}, (), "rider_kg", (60.0, 80.0, 110.0, SHELF)),
        ({"ride.everyday": "{rider: 82 kg}"}, (), "rider_kg", (82.0, 82.0, 82.0, FILE)),
        ({"ride.everyday": {"rider": "115 kg ?"}}, (), "rider_kg", (60.0, 115.0, 115.0, GUESS)),
        ({"ride.everyday": "{load: 12 kg}"}, (), "load_kg", (12.0, 12.0, 12.0, FILE)),
        ({}, (), "load_kg", (8.0, 8.0, 8.0, "what the file puts on the racks")),
        ({"ride.everyday": "{surface: gravel}"}, (), "rolling_factor", (0.012, 0.015, 0.02, "gravel, in the file")),
        ({}, (), "rolling_factor", (0.004, 0.0077, 0.012, "assumed")),
        ({"ride.everyday": "{assist: ratio 2}"}, (), "assist_ratio", (1.7, 2.0, 2.3, FILE)),
        ({"ride.everyday": "{assist: ratio 2}"}, (), "rider_w", (0.0, 0.0, 0.0, FILE)),
        ({"ride.everyday": "{assist: throttle}"}, (), "rider_w", (0.0, 0.0, 0.0, FILE)),
        ({"ride.everyday": "{assist: rider 90 W}"}, (), "rider_w", (72.0, 90.0, 108.0, FILE)),
        ({"ride.everyday": "{assist: rider 90 W}"}, (), "assist_ratio", (0.0, 0.0, 0.0, "the rider's power counts")),
        ({}, (), "rider_w", (40.0, 70.0, 100.0, SHELF)),
        ({}, (), "packs_kg", (9.5, 9.5, 9.5, FILE)),
        # 20 Ah at 50.4 V (3.6 V on 14 cells) are 1.008 kWh, 5 to 6 kg each; 3.9 kg of the other are weighed.
        ({}, ("packs.keel.mass",), "packs_kg", (8.94, 9.444, 9.948, "5 to 6 kg for each kWh")),
    ],
)
def test_a_figure_of_the_everyday_ride(
    put: dict[str, Any], drop: tuple[str, ...], attr: str, expected: tuple[float, float, float, str]
) -> None:
    """A word of mouth is right to some share by the table, what was weighed is right, a guess keeps the whole span."""
    found = resolved(case_of(put, drop), ("keel", "pannier"), "everyday")
    (told,) = [each for each in found.inputs if each.attr == attr]
    assert told[1:4] == pytest.approx(expected[:3])
    assert told.basis == expected[3]
    assert getattr(found.riding, attr) == pytest.approx(expected[1])


def test_more_load_is_that_of_the_shelfs_ride_and_not_of_one_of_the_file() -> None:
    """15, 25 and 40 kg on top of what is on the racks, unless the file has a ride of this name."""
    for put, expected in (({}, (23.0, 33.0, 48.0)), ({"ride.loaded": "{speed: 20 km/h}"}, (8.0, 8.0, 8.0))):
        (told,) = [each for each in resolved(case_of(put), ("keel",), "loaded").inputs if each.attr == "load_kg"]
        assert told[1:4] == pytest.approx(expected)


@pytest.mark.parametrize(
    ("put", "drop", "packs", "most_w", "accessories_w"),
    [
        # 25 A, and 0.5 A of the lamp, at 50.4 V.
        ({}, (), ("keel",), 25 * 50.4, 0.5 * 50.4),
        ({}, ("controller.battery_current",), ("keel",), inf, 0.5 * 50.4),
        ({}, ("accessories",), ("keel", "pannier"), 25 * 50.4, 0.0),
        # A lamp at one pack is not lit by the other.
        ({"accessories.lamp.from": "keel"}, (), ("pannier",), 25 * 50.4, 0.0),
    ],
)
def test_what_the_drive_and_the_lamp_may_take(
    put: dict[str, Any], drop: tuple[str, ...], packs: tuple[str, ...], most_w: float, accessories_w: float
) -> None:
    found = resolved(case_of(put, drop), packs, "everyday")
    assert found.riding.most_w == pytest.approx(most_w)
    assert found.riding.accessories_w == pytest.approx(accessories_w)


AIR = {"ride.everyday": "{air: 5 degC}"}


@pytest.mark.parametrize(
    ("put", "asked_k", "air_k"), [({}, None, 288.15), (AIR, None, 278.15), (AIR, 290.0, 290.0), ({}, 290.0, 290.0)]
)
def test_the_air_is_as_asked_else_as_the_ride_says_else_15_degc(
    put: dict[str, Any], asked_k: float | None, air_k: float
) -> None:
    assert resolved(case_of(put), ("keel",), "everyday", asked_k).air_k == pytest.approx(air_k)


# Along a way


def test_where_a_pack_begins_and_why_it_stops() -> None:
    """300 W at 6.25 m/s. keel alone is down to pannier's 60 % after 8 Ah at about 55 V: 440 Wh, 1.5 h, 33 km. pannier
    drops out at 46 V, keel goes on until the controller cuts at 43 V."""
    case = case_of({"packs.pannier.cut_off": "46 V"}, ("accessories",))
    way = [Piece(500.0 * n, 500.0, 0.0) for n in range(400)]
    found = along(case, ("keel", "pannier"), way, lambda _: (300.0, 80.0), start={"keel": 1.0, "pannier": 0.6})
    assert isinstance(found, Along)
    keel, pannier = found.packs
    assert (keel.begins_m, keel.stops_m, keel.stops_why) == (0.0, None, "")
    assert pannier.begins_m is not None
    assert 28_000 < pannier.begins_m < 38_000
    assert pannier.stops_m is not None
    assert pannier.begins_m < pannier.stops_m < found.reached_m
    assert (pannier.stops_why, found.ended) == ("drops out", "controller cuts")


# The drive


def test_the_cut_off_holds_at_just_over_and_not_at_the_speed_itself() -> None:
    """At the cut-off the motor still gives all that is asked, above it nothing more than to start with."""
    at, over = (stretch(riding(21, 3, 80, km_h, 400, cut=25, wind=0), 0.0, 10.0) for km_h in (25, 25.1))
    ride = riding(21, 3, 80, 25, 400, cut=25, wind=0)
    assert at.motor_w == 0.0
    assert at.battery_w == pytest.approx(5.0)
    assert over.speed_m_s == pytest.approx(25.1 * KM_H)
    # 10 J for each metre up to 25 km/h, in the shorter time that a metre takes.
    assert over.motor_w == pytest.approx(10.0 * 25.1 * KM_H)
    assert over.battery_w == pytest.approx(motor_input_w(ride, 250 * KM_H, 25 * KM_H) * 25.1 / 25 + 5.0)


def test_below_the_least_power_the_motor_helps_a_part_of_the_time() -> None:
    """The table's least is 50 W: 25 W take half of what 50 W do; nothing is taken for nothing."""
    ride = riding(21, 3, 80, 22, 80)
    whole_w = motor_input_w(ride, 50.0, 6.0)
    assert motor_input_w(ride, 25.0, 6.0) == pytest.approx(whole_w / 2)
    assert motor_input_w(ride, 0.0, 6.0) == 0.0
    assert motor_input_w(ride, 50.1, 6.0) > whole_w


@pytest.mark.parametrize(("ratio", "held_back"), [(1.0, True), (4.0, False)])
def test_a_motor_that_follows_gives_no_more_than_the_rider_brings(ratio: float, held_back: bool) -> None:
    """104 kg up 8 % at 22 km/h take about 570 W: once a rider's 200 W is too little, four times as much is enough."""
    found = stretch(swung(riding(21, 3, 80, 22, 0), {"assist_ratio": ratio}), 0.08)
    assert found.held_back is held_back
    assert (found.speed_m_s < 22 * KM_H) is held_back
    assert found.speed_m_s >= 1.0


def test_nobody_slows_down_where_the_rider_alone_holds_the_speed() -> None:
    """Downhill the motor is asked for nothing; that the packs give next to nothing holds nobody back."""
    found = stretch(swung(riding(21, 3, 80, 22, 80), {"most_w": 1.0}), -0.05)
    assert (found.motor_w, found.held_back, found.speed_m_s) == (0.0, False, pytest.approx(22 * KM_H))


def test_hills_are_never_counted_as_easier_than_level_road() -> None:
    """About 54 W on the level are hardly more than the motor's least, 50 W, which cost it nearly as much as 88 W do: up
    and down 1 % would come out as less than the level. On 4 % the same climb takes more than that."""

    def told(slope: float, climb: float) -> float:
        ride = riding(21, 3, 80, 12, 0, crr=0.012, climb=climb, wind=0, stops=0)
        return rate(swung(ride, {"slope_fraction": slope})).j_per_m

    level = told(0.01, 0.0)
    assert told(0.01, 4.0) == pytest.approx(level)
    assert told(0.04, 4.0) > 1.02 * level


@pytest.mark.parametrize("slope", [0.01, 0.02, 0.04])
def test_a_way_that_ends_higher_takes_the_lift_at_least(slope: float) -> None:
    """104 kg lifted by 4 m each km are 4.1 J/m more at the wheel, and no hill of it is counted as level road."""
    ride = riding(21, 3, 80, 12, 0, crr=0.012, climb=4.0, wind=0, stops=0)
    up = rate(swung(ride, {"slope_fraction": slope, "rise_fraction": 0.004})).j_per_m
    level = rate(riding(21, 3, 80, 12, 0, crr=0.012, climb=0.0, wind=0, stops=0)).j_per_m
    assert up - level > 104 * 9.81 * 0.004


def test_starts_are_helped_up_to_the_cut_off() -> None:
    """One stop for each km, 0.7 of it braked: 0.7e-3 of (104 + 1.447) kg v^2/2 at 25 km/h, however fast is ridden."""
    whole_j = 0.5 * (104 + 0.14 / 0.311**2) * (25 * KM_H) ** 2
    fast, at, slow = (riding(21, 3, 80, km_h, 400, cut=25, wind=0) for km_h in (28, 25, 20))
    assert starts_j_per_m(fast) == pytest.approx(0.7e-3 * whole_j)
    assert starts_j_per_m(at) == pytest.approx(0.7e-3 * whole_j)
    assert starts_j_per_m(slow) == pytest.approx(0.7e-3 * whole_j * (20 / 25) ** 2)


def test_where_somebody_walks_beside_it_the_motor_gives_what_it_gets() -> None:
    """104 kg up 30 % take 300 W at 1 m/s; of 100 W from the packs less than that comes out."""
    found = stretch(swung(riding(21, 3, 80, 22, 0, stops=0), {"most_w": 100.0}), 0.3)
    assert found.held_back
    assert found.speed_m_s == pytest.approx(1.0, abs=0.01)
    assert 0.0 <= found.motor_w < 100.0


@pytest.mark.parametrize(("climb", "slope"), [("10 m per km", 0.04), ("25 m per km", 0.05)])
def test_the_hills_that_slow_it_down_are_told_as_steep_as_they_are(climb: str, slope: float) -> None:
    """4 % as hills are, unless half of the way is not enough for so much climb."""
    put = {
        "ride.everyday": f"{{speed: 25 km/h, assist: throttle, hills: {climb}}}",
        "controller.battery_current": "5 A",
    }
    found = range_of(case_of(put), ("keel", "pannier"), "everyday")
    assert isinstance(found, RangeEstimate)
    (note,) = [each for each in found.notes if each.kind in ("slows on hills", "walks on hills")]
    assert note.wanted == pytest.approx(slope)


def test_a_swing_is_as_large_as_its_larger_side() -> None:
    figure = Input("rider_w", 1.0, 2.0, 3.0, "assumed")
    assert (Swing(figure, -3.0, 1.0).size_m, Swing(figure, -1.0, 3.0).size_m) == (3.0, 3.0)
