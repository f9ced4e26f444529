"""What holds for any ride: more of what holds back never takes less, more capacity never shortens."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from packyoke.analysis.case import Case
from packyoke.analysis.ride.drive_power import Riding, on_route, rate, starts_j_per_m, stretch
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.buildfile.reading import load
from packyoke.model import Build
from packyoke.shelf.road import drive
from tests.support import edited

KM_H = 1 / 3.6
HAIR = 1 + 1e-6
RIDINGS = st.builds(
    Riding,
    rider_kg=st.floats(40.0, 130.0),
    bike_kg=st.floats(15.0, 80.0),
    packs_kg=st.floats(1.0, 30.0),
    load_kg=st.floats(0.0, 120.0),
    speed_m_s=st.floats(10 * KM_H, 45 * KM_H),
    climb_fraction=st.floats(0.0, 0.03),
    slope_fraction=st.floats(0.02, 0.08),
    wind_m_s=st.floats(0.0, 8.0),
    stops_per_m=st.floats(0.0, 5e-3),
    braked_fraction=st.floats(0.3, 1.0),
    rider_w=st.floats(0.0, 200.0),
    assist_ratio=st.just(0.0),
    pedalling_fraction=st.floats(0.5, 1.0),
    drag_area_m2=st.floats(0.3, 1.1),
    rolling_factor=st.floats(0.003, 0.05),
    efficiency_fraction=st.floats(0.55, 0.88),
    auxiliaries_w=st.floats(0.0, 15.0),
    air_kg_m3=st.floats(1.1, 1.4),
    drive=st.sampled_from(["mid motor", "geared hub", "direct-drive hub", None]).map(drive),
    cut_m_s=st.sampled_from([inf, 25 * KM_H]),
    most_w=st.sampled_from([inf, 350.0, 700.0, 1500.0]),
    accessories_w=st.just(0.0),
    rise_fraction=st.just(0.0),  # there and back: on the way down alone more mass takes less
)


@pytest.mark.parametrize("attr", ["bike_kg", "load_kg", "wind_m_s", "climb_fraction", "rolling_factor", "air_kg_m3"])
@given(riding=RIDINGS, more=st.floats(1.0, 1.5))
@settings(max_examples=60)
def test_more_of_what_holds_back_never_takes_less(attr: str, riding: Riding, more: float) -> None:
    """As long as the drive holds the speed: who is slowed down takes less air with him."""
    changed = riding._replace(**{attr: more * getattr(riding, attr)})
    harder = rate(changed)
    assume(not harder.level.held_back and not harder.up.held_back)
    assume(2 * changed.climb_fraction <= changed.slope_fraction)  # more hills, not steeper ones
    assert harder.j_per_m * HAIR >= rate(riding).j_per_m


@given(riding=RIDINGS, less=st.floats(0.5, 1.0))
@settings(max_examples=60)
def test_a_rider_who_gives_less_never_goes_further(riding: Riding, less: float) -> None:
    alone = rate(riding._replace(rider_w=less * riding.rider_w))
    assume(not alone.level.held_back and not alone.up.held_back)
    assert alone.j_per_m * HAIR >= rate(riding).j_per_m


@given(riding=RIDINGS)
@settings(max_examples=40)
def test_faster_than_the_best_speed_never_takes_less(riding: Riding) -> None:
    """At speeds that are ridden, on level road, with a drive that holds them and no cut-off. (Up a hill a hub motor
    likes it faster, and a mid motor does not like walking speed.)"""
    riding = riding._replace(cut_m_s=inf, most_w=inf, climb_fraction=0.0)
    taken = [rate(riding._replace(speed_m_s=km_h * KM_H)).j_per_m for km_h in range(15, 51, 4)]
    best = taken.index(min(taken))
    assert all(later * HAIR >= earlier for earlier, later in zip(taken[best:], taken[best + 1 :], strict=False))


@given(riding=RIDINGS, grade=st.floats(-0.12, 0.12))
@settings(max_examples=60)
def test_a_stretch_keeps_its_limits(riding: Riding, grade: float) -> None:
    found = stretch(riding, grade, starts_j_per_m(riding))
    assert 0.0 < found.speed_m_s <= riding.speed_m_s
    assert found.battery_w >= found.motor_w >= 0.0
    drawn_w = found.battery_w - riding.auxiliaries_w - riding.accessories_w
    assert drawn_w <= riding.most_w + 1e-3 or not found.held_back
    power_w, time_s = on_route(riding, 50.0, grade)
    assert power_w >= 0.0
    assert time_s * riding.speed_m_s >= 50.0 * (1 - 1e-12)


def estimate(build: Build, ride: str = "everyday") -> RangeEstimate:
    found = range_of(Case(build), tuple(build.packs), ride)
    assert isinstance(found, RangeEstimate)
    return found


def built(put: dict[str, str]) -> Build:
    found = load(edited("skerry-long-tail", put), "test")
    assert isinstance(found, Build)
    return found


RIDES = st.sampled_from(["gentle", "everyday", "brisk", "loaded", "hard", "throttle"])


@given(ride=RIDES, capacity_ah=st.floats(8.0, 40.0), more=st.floats(1.0, 2.0))
@settings(max_examples=25, deadline=None)
def test_more_capacity_never_shortens(ride: str, capacity_ah: float, more: float) -> None:
    short, long = (
        estimate(built({"packs.pannier.capacity": f"{ah:.3f} Ah", "packs.pannier.mass": f"{0.28 * ah:.3f} kg"}), ride)
        for ah in (capacity_ah, more * capacity_ah)
    )
    for one, other in zip(short.distance_m, long.distance_m, strict=True):
        assert other * HAIR >= one


@given(
    ride=RIDES,
    speed=st.floats(10, 40),
    climb=st.floats(0, 40),
    wind=st.floats(0, 10),
    rider=st.floats(0, 250),
    surface=st.sampled_from(["smooth", "city", "rough", "gravel", "soft"]),
    mass=st.floats(15, 80),
)
@settings(max_examples=40, deadline=None)
def test_what_to_count_on_is_never_more_than_what_is_likely(
    ride: str, speed: float, climb: float, wind: float, rider: float, surface: str, mass: float
) -> None:
    lines = {
        f"ride.{ride}": f"{{speed: {speed:.1f} km/h, hills: {climb:.1f} m per km, wind: {wind:.1f} m/s, "
        f"assist: rider {rider:.0f} W, surface: {surface}}}",
        "bike.mass": f"{mass:.1f} kg",
    }
    found = estimate(built(lines), ride)
    assert 0.0 <= found.distance_m.low <= found.distance_m.likely <= found.distance_m.high
    assert found.taken_j_per_m.low <= found.taken_j_per_m.likely <= found.taken_j_per_m.high
    assert found.taken_j_per_m.low >= 6 * 3.6 * (1 - 1e-12)
    assert found.usable_j <= found.given_j
