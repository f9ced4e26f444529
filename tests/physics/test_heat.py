import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.physics import heat
from packyoke.physics.conductor import awg_area_m2, resistance_temperature_factor, strand_bundle_diameter_m

AIR_K = 303.15


def lead(current_a, gauge=12, mohm=5.341, wall_mm=0.8, **more):
    over_strands_m = strand_bundle_diameter_m(awg_area_m2(gauge))
    return heat.conductor_temperature_k(current_a, mohm * 1e-3, over_strands_m, wall_mm * 1e-3, AIR_K, **more)


@pytest.mark.cross
@pytest.mark.parametrize("prandtl", [0.69, 0.71, 7.0])
@pytest.mark.parametrize("rayleigh", [1e-3, 1.0, 50.0, 1e4, 1.8147e9])
def test_churchill_chu_cylinder_of_ht(rayleigh, prandtl):
    ht = pytest.importorskip("ht", reason="the general heat transfer package ht is not installed")
    theirs = ht.conv_free_immersed.Nu_horizontal_cylinder_Churchill_Chu(Pr=prandtl, Gr=rayleigh / prandtl)
    # Both write the same equation: only rounding is left.
    assert heat.churchill_chu_cylinder_nusselt(rayleigh, prandtl) == pytest.approx(theirs, rel=1e-9)


def test_thermal_runaway_of_18_awg_at_500_a():
    with pytest.raises(heat.NoSteadyState):
        lead(500.0, gauge=18, mohm=21.45)


def test_runaway_begins_somewhere_and_stays():
    results = []
    for current_a in range(0, 400, 5):
        try:
            results.append(lead(float(current_a)))
        except heat.NoSteadyState:
            results.append(math.inf)
    assert results[0] == AIR_K
    assert results == sorted(results)
    assert results[-1] == math.inf
    assert max(value for value in results if value < math.inf) < heat.COPPER_MELTS_K


@given(
    st.floats(1.0, 120.0), st.sampled_from([18, 14, 12, 10, 8, 6]), st.floats(0.2, 2.0), st.sampled_from([0.5, 0.75, 1])
)
def test_heat_made_is_heat_lost(current_a, gauge, wall_mm, surface_fraction):
    area_m2 = awg_area_m2(gauge)
    ohm_per_m = 1.7241e-8 * 1.02 / area_m2
    diameter_m = strand_bundle_diameter_m(area_m2)
    wall_m = wall_mm * 1e-3
    try:
        conductor_k = heat.conductor_temperature_k(current_a, ohm_per_m, diameter_m, wall_m, AIR_K, surface_fraction)
    except heat.NoSteadyState:
        assert current_a**2 * ohm_per_m > 20.0  # W/m at 20 degC: far above what any lead is used at
        return
    made = current_a**2 * ohm_per_m * resistance_temperature_factor(conductor_k)
    outer_m = diameter_m + 2 * wall_m
    surface_k = conductor_k - made * math.log(outer_m / diameter_m) / (2 * math.pi * heat.INSULATION_W_PER_M_K)
    lost = surface_fraction * heat.surface_loss_w_per_m(surface_k, AIR_K, outer_m)
    assert lost == pytest.approx(made, rel=1e-5)


def test_more_current_wall_or_neighbour_is_warmer():
    assert lead(20.0) < lead(30.0) < lead(30.0, surface_fraction=0.75)
    # Below the critical radius of insulation more of it cools a thin wire.
    assert lead(30.0, wall_mm=0.8) < lead(30.0, wall_mm=0.2)


def test_neher_mcgrath_critical_radius():
    # k/h with 0.2 W/(m K) and 15 to 25 W/(m2 K) is 8 to 13 mm: a wall beyond that warms the wire again.
    assert lead(30.0, wall_mm=40.0) > lead(30.0, wall_mm=8.0)


def test_unchanged_rise_of_12_awg_at_35_a():
    # Result of an earlier calculation of the same equations; pins the model, proves nothing.
    assert lead(35.0) - AIR_K == pytest.approx(35.9, abs=1.0)
    assert lead(35.0, surface_fraction=0.75) - lead(35.0) == pytest.approx(10.0, abs=2.0)


def test_unchanged_time_constants():
    # The earlier calculation followed the warming up step by step to 63 % of a rise of 45 K. Less heat leaves while
    # the lead is cool, so its times are up to 10 % longer than heat capacity over final loss.
    for gauge, mohm, current_a, wall_mm, seconds in (
        (18, 21.45, 16.6, 0.6, 58.0),
        (12, 5.341, 39.3, 0.8, 120.0),
        (6, 1.325, 96.0, 1.0, 248.0),
    ):
        area_m2 = awg_area_m2(gauge)
        loss = current_a**2 * mohm * 1e-3 * resistance_temperature_factor(AIR_K + 45.0)
        ours = heat.time_constant_s(area_m2, strand_bundle_diameter_m(area_m2), wall_mm * 1e-3, loss, 45.0)
        assert ours == pytest.approx(seconds, rel=0.10)


def test_iec_60949_copper_alone_follows_the_adiabatic_rise():
    # In the first moment nothing is lost: dT/dt = q/C' = rise/tau.
    seconds = heat.time_constant_s(1e-6, 1e-3, 0.0, 3.45, 10.0)
    assert seconds == pytest.approx(10.0, rel=1e-12)  # 3.45 J/(m K) at 3.45 W/m: one kelvin a second


def test_rise_starts_at_nothing_and_ends_at_one():
    assert heat.rise_fraction(0.0, 100.0) == 0.0
    assert heat.rise_fraction(1e6, 100.0) == 1.0
    # Definition of the time constant.
    assert heat.rise_fraction(100.0, 100.0) == pytest.approx(1 - 1 / math.e)


def test_joiner_feedback_is_the_limit_of_the_series():
    # dT = P0 R (1 + g + g^2 + ...) with g = P0 R alpha
    gain = 3.2 * 12.0 * 0.006
    series_k = 3.2 * 12.0 * sum(gain**n for n in range(200))
    assert heat.joiner_temperature_k(3.2, 12.0, AIR_K, 0.006) - AIR_K == pytest.approx(series_k)


def test_joiner_runaway_at_the_limit():
    with pytest.raises(heat.NoSteadyState):
        heat.joiner_temperature_k(20.0, 10.0, AIR_K, 0.005)
    assert heat.joiner_temperature_k(19.9, 10.0, AIR_K, 0.005) > 1000.0


@pytest.mark.parametrize(
    "call",
    [
        heat.air,
        lambda bad: heat.churchill_chu_cylinder_nusselt(bad, 0.7),
        lambda bad: heat.churchill_chu_cylinder_nusselt(1.0, bad),
        lambda bad: heat.surface_loss_w_per_m(bad, AIR_K, 0.01),
        lambda bad: heat.surface_loss_w_per_m(AIR_K, AIR_K, bad),
        lambda bad: heat.conductor_temperature_k(1.0, bad, 1e-3, 1e-3, AIR_K),
        lambda bad: heat.conductor_temperature_k(1.0, 1e-3, bad, 1e-3, AIR_K),
        lambda bad: heat.conductor_temperature_k(1.0, 1e-3, 1e-3, bad, AIR_K),
        lambda bad: heat.conductor_temperature_k(1.0, 1e-3, 1e-3, 1e-3, AIR_K, bad),
        lambda bad: heat.conductor_temperature_k(1.0, 1e-3, 1e-3, 1e-3, AIR_K, 1.0 - bad),
        lambda bad: heat.conductor_temperature_k(bad * math.nan, 1e-3, 1e-3, 1e-3, AIR_K),
        lambda bad: heat.conductor_temperature_k(1.0, 1e-3, 1e-3, 1e-3, bad),
        lambda bad: heat.time_constant_s(bad, 1e-3, 1e-3, 1.0, 1.0),
        lambda bad: heat.time_constant_s(1e-6, 1e-3, 1e-3, bad, 1.0),
        lambda bad: heat.rise_fraction(bad, 1.0),
        lambda bad: heat.rise_fraction(1.0, bad),
        lambda bad: heat.diode_loss_w(bad, 0.5),
        lambda bad: heat.diode_loss_w(1.0, bad),
        lambda bad: heat.mosfet_loss_w(1.0, bad),
        lambda bad: heat.joiner_temperature_k(bad, 1.0, AIR_K, 0.0),
        lambda bad: heat.joiner_temperature_k(1.0, bad, AIR_K, 0.0),
        lambda bad: heat.joiner_temperature_k(1.0, 1.0, AIR_K, bad),
    ],
)
@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_impossible_input_is_refused(call, bad):
    with pytest.raises(ValueError, match=r"\w"):
        call(bad)
