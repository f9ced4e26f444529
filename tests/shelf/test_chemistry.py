import math
from itertools import pairwise

import pytest

from packyoke.physics.cell import curve_v
from packyoke.shelf import chemistry as shelf


def chen_2020_open_circuit_v(share):
    """Chen et al. 2020, J. Electrochem. Soc. 167 080534, equations 8 and 9 with the limits of table VII (memory)."""
    x = 0.0279 + share * (0.9014 - 0.0279)
    y = 0.9084 + share * (0.27 - 0.9084)
    tanh = math.tanh
    negative = (
        1.9793 * math.exp(-39.3631 * x)
        + 0.2482
        - 0.0909 * tanh(29.8538 * (x - 0.1234))
        - 0.04478 * tanh(14.9159 * (x - 0.2769))
        - 0.0205 * tanh(30.4444 * (x - 0.6103))
    )
    positive = (
        -0.8090 * y
        + 4.4875
        - 0.0428 * tanh(18.5138 * (y - 0.5542))
        - 17.7326 * tanh(15.7890 * (y - 0.3117))
        + 17.5842 * tanh(15.9308 * (y - 0.3120))
    )
    return positive - negative


def share_at(voltage):
    low, high = 0.0, 1.1
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if chen_2020_open_circuit_v(middle) < voltage else (low, middle)
    return low


def test_chen_2020_cut_off():
    # The cell's lower cut-off of 2.5 V belongs to the first limits: shows that the equations are recalled rightly.
    assert chen_2020_open_circuit_v(0.0) == pytest.approx(2.5, abs=0.005)


@pytest.mark.parametrize("percent", range(10, 100, 5))
def test_chen_2020_open_circuit_voltage(percent):
    # 50 mV is the band stated for modern nickel-rich cells around the median.
    empty, full = share_at(3.0), share_at(4.2)
    theirs = chen_2020_open_circuit_v(empty + percent / 100 * (full - empty))
    assert curve_v(shelf.ocv_curve("NMC").points, percent / 100) == pytest.approx(theirs, abs=0.050)


@pytest.mark.parametrize("name", ["NMC", "NCA", "LFP"])
def test_curves_rise_within_their_band(name):
    curve = shelf.ocv_curve(name)
    for points in (curve.points, curve.lowest, curve.highest):
        assert [charge for charge, _ in points] == pytest.approx([step / 20 for step in range(21)])
        assert all(lower < upper for (_, lower), (_, upper) in pairwise(points))
    for (_, low), (_, middle), (_, high) in zip(curve.lowest, curve.points, curve.highest, strict=True):
        assert low <= middle <= high


def test_lfp_is_flat_where_layered_oxides_are_not():
    # Literature and trade: an LFP cell changes by about 0.1 V between 20 and 90 %, a layered oxide by about 0.6 V.
    lfp, nmc = shelf.ocv_curve("LFP").points, shelf.ocv_curve("NMC").points
    assert curve_v(lfp, 0.9) - curve_v(lfp, 0.2) == pytest.approx(0.1, abs=0.02)
    assert curve_v(nmc, 0.9) - curve_v(nmc, 0.2) == pytest.approx(0.6, abs=0.06)


@pytest.mark.parametrize("name", ["LMO blend", "LTO"])
def test_no_curve_on_file(name):
    assert shelf.ocv_curve(name) is None


def test_unknown_chemistry():
    assert shelf.chemistry("NiMH") is shelf.ocv_curve("NiMH") is None


@pytest.mark.parametrize("name", shelf.chemistry_names())
def test_voltages_of_a_cell_stand_in_order(name):
    found = shelf.chemistry(name)
    low, high = found.cut_off_v
    assert low < high < found.nominal_v < found.full_v <= found.ceiling_v
    assert low < found.minimum_v


@pytest.mark.parametrize(
    ("charger_v", "series", "name", "passes"),
    [
        (58.8, 13, "NMC", False),
        (54.6, 14, "NMC", True),
        (58.8, 16, "LFP", False),
        (43.8, 10, "NMC", False),
        (54.6, 13, "NMC", True),
    ],
)
def test_jeita_ceiling_and_lfp_limit_of_look_alike_chargers(charger_v, series, name, passes):
    assert (charger_v / series <= shelf.chemistry(name).ceiling_v) is passes


@pytest.mark.parametrize(
    ("name", "series", "labels", "full_v"),
    [
        ("NMC", 10, (36,), 42.0),
        ("NCA", 13, (48,), 54.6),
        ("LMO blend", 14, (52, 48), 58.8),
        ("NMC", 20, (72,), 84.0),
        ("LFP", 15, (48,), 54.75),
        ("LFP", 16, (48, 51.2), 58.4),
        ("LFP", 24, (72, 76.8), 87.6),
    ],
)
def test_trade_labels(name, series, labels, full_v):
    row = shelf.row_for(name, series)
    assert row.labels_v == labels
    assert row.full_v == pytest.approx(full_v, abs=0.005)
    assert row in shelf.series_rows()


def test_four_packs_are_sold_as_48_v():
    found = {(row.chemistries[0], row.series_count) for row in shelf.series_rows() if 48 in row.labels_v}
    assert found == {("NMC", 13), ("NMC", 14), ("LFP", 15), ("LFP", 16)}


def test_packs_nobody_sells_have_no_row():
    assert shelf.row_for("NMC", 11) is shelf.row_for("LTO", 20) is None


@pytest.mark.parametrize(
    ("cells", "cell_ohm", "capacity_ah"),
    [
        ("energy", 0.035, 3.5),
        ("energy", 0.060, 3.2),
        ("energy", 0.020, 5.0),
        ("energy", 0.035, 5.0),
        ("power", 0.020, 2.5),
        ("power", 0.025, 2.5),
        ("power", 0.010, 4.0),
        ("power", 0.018, 4.0),
    ],
)
def test_usual_cells_lie_within_the_span(cells, cell_ohm, capacity_ah):
    low, high = shelf.cell_resistance_ohm_coulomb(cells)
    # The span is kept to 0.01 ohm Ah: half of that is rounding.
    assert low / 3600 - 0.005 <= cell_ohm * capacity_ah <= high / 3600 + 0.005


@pytest.mark.parametrize(("cells", "capacity_ah", "ohm"), [("energy", 12.8, 0.16125), ("power", 10.0, 0.080)])
def test_13s4p_lies_within_the_span(cells, capacity_ah, ohm):
    low, high = shelf.pack_resistance_span_ohm(13, capacity_ah * 3600, cells)
    assert low < ohm < high
    unknown = shelf.pack_resistance_span_ohm(13, capacity_ah * 3600, None)
    assert unknown[0] <= low < high <= unknown[1]


@pytest.mark.parametrize(
    "call",
    [
        lambda: shelf.cell_resistance_ohm_coulomb("lead"),
        lambda: shelf.pack_resistance_span_ohm(0, 3600.0, "power"),
        lambda: shelf.pack_resistance_span_ohm(13, 0.0, "power"),
    ],
)
def test_impossible_packs_are_refused(call):
    with pytest.raises(ValueError, match=r"\w"):
        call()
