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


@pytest.mark.parametrize(
    "call",
    [
        lambda bad: cell.curve_v(CURVE, bad),
        lambda bad: cell.curve_v(CURVE[:1], 0.0),
        lambda bad: cell.curve_charge_fraction(CURVE[:1], 3.0),
        lambda bad: cell.pack_resistance_ohm(bad, 1, 0.1, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, bad, 0.1, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, 1, bad, 0.1),
        lambda bad: cell.pack_resistance_ohm(1, 1, 0.1, bad),
    ],
)
@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_impossible_input_is_refused(call, bad):
    with pytest.raises(ValueError, match=r"\w"):
        call(bad)


def test_charge_beyond_full_is_refused():
    with pytest.raises(ValueError, match="outside the curve"):
        cell.curve_v(CURVE, 1.0001)
