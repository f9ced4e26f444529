import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.physics import bus


@given(st.floats(1e-6, 0.05), st.floats(1, 100), st.floats(1, 50), st.floats(0.1, 100))
def test_constant_current_carries_the_charge_of_the_capacitors(farad, from_v, more_v, current_a):
    seconds = bus.regen_voltage_rise_time_s(farad, from_v, from_v + more_v, current_a)
    assert seconds * current_a == pytest.approx(farad * more_v, rel=1e-9)


@pytest.mark.parametrize(
    "call",
    [
        lambda bad: bus.inrush_peak_a(50.0, bad),
        lambda bad: bus.inrush_energy_j(50.0, bad),
        lambda bad: bus.regen_voltage_rise_time_s(bad, 50.0, 60.0, 1.0),
        lambda bad: bus.regen_voltage_rise_time_s(1e-3, 50.0, bad, 1.0),
        lambda bad: bus.regen_voltage_rise_time_s(1e-3, 50.0, 60.0, bad),
        lambda bad: bus.back_emf_bus_v(bad, 50.0, 10.0),
        lambda bad: bus.back_emf_bus_v(10.0, bad, 10.0),
        lambda bad: bus.back_emf_bus_v(10.0, 50.0, bad),
    ],
)
@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_impossible_input_is_refused(call, bad):
    with pytest.raises(ValueError, match=r"\w"):
        call(bad)
