import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.physics import conductor

REFERENCE = Path(__file__).parents[1] / "reference"
with (REFERENCE / "ambient_factors.csv").open(newline="") as file:
    FACTORS = list(csv.DictReader(file))


@pytest.mark.parametrize(
    "row", FACTORS, ids=lambda row: f"{row['table']}: {row['insulation_c']} degC in {row['ambient_c']} degC"
)
def test_ambient_factor_of_printed_tables(row):
    # Tables print two figures and some cut off instead of rounding: 0.01, and a little for both at once.
    insulation_k, reference_k, ambient_k = (
        float(row[name]) + 273.15 for name in ("insulation_c", "reference_c", "ambient_c")
    )
    ours = conductor.ambient_factor(insulation_k, ambient_k, reference_k)
    assert ours == pytest.approx(float(row["factor"]), abs=0.012)


def test_nec_310_15_prints_a_dash_where_air_is_hotter_than_the_insulation():
    with pytest.raises(ValueError, match="no current"):
        conductor.ambient_factor(75 + 273.15, 80 + 273.15)
    with pytest.raises(ValueError, match="no current"):
        conductor.ambient_factor(75 + 273.15, 75 + 273.15)


@pytest.mark.parametrize(
    "call",
    [
        lambda bad: conductor.awg_diameter_m(41.0 if bad == 0 else bad),
        lambda bad: conductor.awg_diameter_m(-4.0 if bad == 0 else bad),
        conductor.strand_bundle_diameter_m,
        conductor.resistance_temperature_factor,
        conductor.copper_resistivity_ohm_m,
        lambda bad: conductor.resistance_per_length_ohm_per_m(bad, 293.15, 1.0),
        lambda bad: conductor.resistance_per_length_ohm_per_m(1e-6, bad, 1.0),
        lambda bad: conductor.resistance_per_length_ohm_per_m(1e-6, 293.15, bad),
        lambda bad: conductor.ambient_factor(bad, 293.15),
    ],
)
@pytest.mark.parametrize("bad", [0.0, math.nan])
def test_impossible_input_is_refused(call, bad):
    with pytest.raises(ValueError, match=r"\w"):
        call(bad)


@given(st.floats(-3, 40), st.floats(-3, 40))
def test_higher_gauge_number_is_thinner(first, second):
    if first < second:
        assert conductor.awg_area_m2(first) >= conductor.awg_area_m2(second)


@given(st.floats(250, 470), st.floats(1e-8, 1e-4))
def test_resistance_is_factor_times_cold_resistance(temperature_k, area_m2):
    cold = conductor.resistance_per_length_ohm_per_m(area_m2, 293.15, 1.0)
    hot = conductor.resistance_per_length_ohm_per_m(area_m2, temperature_k, 1.0)
    assert hot / cold == pytest.approx(conductor.resistance_temperature_factor(temperature_k))
