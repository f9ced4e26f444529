import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.physics import cell

CURVE = ((0.0, 3.0), (0.2, 3.5), (0.5, 3.7), (1.0, 4.2))


@given(st.floats(0, 1))
def test_charge_and_voltage_are_each_others_inverse(charge):
    assert cell.curve_charge_fraction(CURVE, cell.curve_v(CURVE, charge)) == pytest.approx(charge, abs=1e-12)


@pytest.mark.parametrize(("charge", "voltage"), CURVE)
def test_knots_are_hit(charge, voltage):
    assert cell.curve_v(CURVE, charge) == pytest.approx(voltage)
    assert cell.curve_charge_fraction(CURVE, voltage) == pytest.approx(charge)


def test_beyond_the_ends_a_voltage_is_full_or_empty():
    assert cell.curve_charge_fraction(CURVE, 2.0) == 0.0
    assert cell.curve_charge_fraction(CURVE, 5.0) == 1.0


def test_slope_is_that_of_the_piece():
    assert cell.curve_slope_v(CURVE, 0.1) == pytest.approx(2.5)
    assert cell.curve_slope_v(CURVE, 0.2) == pytest.approx(2.5)
    assert cell.curve_slope_v(CURVE, 0.75) == pytest.approx(1.0)


@given(st.floats(0.01, 10), st.floats(1, 1e5), st.floats(1, 1e5))
def test_rush_decays_at_the_rate_of_charge_conservation(ohm, first, second):
    # d(dV)/dt = -I (1/C1 + 1/C2)
    tau = cell.rush_time_constant_s(ohm, first, second)
    assert 1.0 / tau == pytest.approx((1.0 / first + 1.0 / second) / ohm)


@pytest.mark.parametrize(
    "call",
    [
        lambda bad: cell.curve_v(CURVE, bad),
        lambda bad: cell.curve_slope_v(CURVE, bad),
        lambda bad: cell.curve_v(CURVE[:1], 0.0),
        lambda bad: cell.curve_charge_fraction(CURVE[:1], 3.0),
        lambda bad: cell.pack_resistance_ohm(bad, 1, 0.1, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, bad, 0.1, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, 1, bad, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, 1, 0.1, bad),
        lambda bad: cell.rush_current_a(1.0, bad),
        lambda bad: cell.capacity_coulomb_per_volt(bad, 1.0),
        lambda bad: cell.capacity_coulomb_per_volt(1.0, bad),
        lambda bad: cell.rush_time_constant_s(bad, 1.0, 1.0),
        lambda bad: cell.rush_time_constant_s(1.0, bad, 1.0),
        lambda bad: cell.rush_time_constant_s(1.0, 1.0, bad),
    ],
)
@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_impossible_input_is_refused(call, bad):
    with pytest.raises(ValueError, match=r"\w"):
        call(bad)


def test_charge_beyond_full_is_refused():
    with pytest.raises(ValueError, match="outside the curve"):
        cell.curve_v(CURVE, 1.0001)
