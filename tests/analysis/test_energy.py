"""What a controller leaves in a pack, against a plain sum over thin slices of the curve."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.energy import Ending, Endings, cell_curve, cut_for_all_v, endings, unevenness
from packyoke.buildfile.reading import load
from packyoke.model import Build
from packyoke.physics.cell import curve_charge_fraction, curve_v
from packyoke.shelf.chemistry import ocv_curve
from tests.support import edited

SLICES = 4000


def by_slices(chemistry: str, series: int, sag_v: float, lost_v: float, stops_v: float, opens_v: float) -> float:
    """Share of the energy below the controller's cut, pack full at the end of its curve."""
    found = ocv_curve(chemistry)
    assert found is not None
    whole = left = 0.0
    for n in range(SLICES):
        outlet_v = series * curve_v(found.points, (n + 0.5) / SLICES) - sag_v
        if outlet_v >= opens_v:
            whole += outlet_v
            left += outlet_v if outlet_v - lost_v < stops_v else 0.0
    return left / whole if whole else 1.0


def ended(chemistry: str, series: int, sag_v: float, lost_v: float, stops_v: float, opens_v: float) -> Ending:
    curve = cell_curve(chemistry)
    assert curve is not None
    cut, empty = curve.charge_at((stops_v + lost_v + sag_v) / series), curve.charge_at((opens_v + sag_v) / series)
    return Ending(curve, series, sag_v, lost_v, 1.0, cut, empty)


cases = given(
    st.sampled_from(("NMC", "LFP")),
    st.floats(0.0, 6.0),
    st.floats(0.0, 1.5),
    st.floats(2.4, 3.7),
    st.floats(2.2, 3.0),
)


@cases
@settings(max_examples=80, deadline=None)
def test_share_is_that_of_thin_slices(
    chemistry: str, sag_v: float, lost_v: float, stops_v: float, opens_v: float
) -> None:
    given_v = (chemistry, 14, sag_v, lost_v, 14 * stops_v, 14 * opens_v)
    end = ended(*given_v)
    # Two slices at either end may fall on the other side of a limit: so many of those that the pack gives at all.
    given_slices = max(1.0, SLICES * (end.full - end.empty))
    assert end.unused_fraction == pytest.approx(by_slices(*given_v), abs=4 / given_slices)


@cases
@settings(max_examples=80, deadline=None)
def test_the_cut_worked_out_leaves_the_share_asked_for(
    chemistry: str, sag_v: float, lost_v: float, stops_v: float, opens_v: float
) -> None:
    end = ended(chemistry, 14, sag_v, lost_v, 14 * stops_v, 14 * opens_v)
    if end.empty >= end.full:
        return
    again = ended(chemistry, 14, sag_v, lost_v, end.cut_v(0.15), 14 * opens_v)
    assert again.unused_fraction == pytest.approx(0.15, abs=1e-9)


@cases
@settings(max_examples=80, deadline=None)
def test_the_share_of_the_charge_is_never_less(
    chemistry: str, sag_v: float, lost_v: float, stops_v: float, opens_v: float
) -> None:
    end = ended(chemistry, 14, sag_v, lost_v, 14 * stops_v, 14 * opens_v)
    if end.unused_fraction > 0.15 + 1e-9:
        assert end.leaves_over(0.15)


@given(st.sampled_from(("NMC", "LFP")), st.floats(2.0, 4.5))
def test_charge_at_a_voltage_is_that_of_the_curve(chemistry: str, voltage_v: float) -> None:
    curve, points = cell_curve(chemistry), ocv_curve(chemistry)
    assert curve is not None
    assert points is not None
    assert curve.charge_at(voltage_v) == pytest.approx(curve_charge_fraction(points.points, voltage_v), abs=1e-12)


def case_of(base: str, put: dict[str, object]) -> Case:
    build = load(edited(base, put), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def test_the_cold_lifts_only_what_the_cells_lose() -> None:
    """2.7 times the resistance at 0 degC: 20 A through 149 mohm are 2.98 V, in the cold 8.046 V."""
    found = endings(case_of("slipway-bench-pair", {"coldest": "0 degC"}), "controller", "port")
    assert isinstance(found, Endings)
    assert found.warm.sag_v == pytest.approx(2.98)
    assert found.cold.sag_v == pytest.approx(8.046)
    assert found.cold.lost_v == found.warm.lost_v == pytest.approx(20 * 1.2e-3)


def test_lfp_and_nmc_at_one_voltage_by_hand() -> None:
    """53.328 V: 16 LFP cells at 3.333 V are at 95 %, 14 NMC cells at 3.80914 V at 56.4 %."""
    put: dict[str, object] = {"packs.pannier.chemistry": "LFP", "packs.pannier.series": "16"}
    found = unevenness(case_of("skerry-long-tail", put), "keel", "pannier")
    assert found.at_v == pytest.approx(53.328)  # type: ignore[union-attr]
    assert dict(found.charges) == {  # type: ignore[union-attr]
        "keel": pytest.approx(0.55 + 0.05 * (53.328 / 14 - 3.794) / (3.848 - 3.794)),
        "pannier": pytest.approx(0.95),
    }


@pytest.mark.parametrize(
    ("empty", "unused", "over"), [(1.0, 1.0, True), (1.2, 1.0, True), (0.999, 0.0, False), (0.5, 0.0, False)]
)
def test_a_full_pack_that_cannot_carry_the_load_leaves_all(empty: float, unused: float, over: bool) -> None:
    """Where the protection opens at full charge there is nothing to use; the controller cuts below that here."""
    curve = cell_curve("NMC")
    assert curve is not None
    end = Ending(curve, 13, 1.0, 0.5, 1.0, min(empty, 0.4), empty)
    assert (end.unused_fraction, end.leaves_over(0.15)) == (unused, over)


@pytest.mark.parametrize(("current", "told"), [("25 A", True), ("400 A", False)])
def test_no_setting_of_the_cut_helps_a_pack_that_cannot_carry_the_load(current: str, told: bool) -> None:
    """13 Ah and 150 mohm at 400 A: 60 V would be lost of 58.8 V. No figure then, least of all 0 V."""
    put = {"controller.battery_current": current, "controller.voltage": {"max": "63 V"}}
    build = load(edited("skerry-long-tail", put), "x.yaml")
    assert isinstance(build, Build)
    found = cut_for_all_v(Case(build), build.controllers["controller"], 0.15)
    assert (found is not None) is told
    assert found is None or 38.0 < found < 50.0
