"""Operating points against closed forms worked by hand, and what the solver refuses."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, nan

import pytest

from packyoke.analysis.circuit.curves import (
    Blocked,
    CannotDeliver,
    Demand,
    Joined,
    OperatingPoint,
    PackSource,
    Selected,
    Selector,
    Series,
    Tapped,
    TreeNode,
    operating_point,
)
from tests.kirchhoff import kirchhoff

# Printed with four or five figures after the point: half a millivolt and half a milliampere are their rounding.
PRINTED = 1e-3


def packs_behind_diodes(emfs_v: Sequence[float], resistances_ohm: Sequence[float], forward_v: float = 0.0) -> TreeNode:
    each = enumerate(zip(emfs_v, resistances_ohm, strict=True))
    return Joined(tuple(Blocked(Series(PackSource(f"{n}", e, r), f"path {n}", 0.0, forward_v)) for n, (e, r) in each))


def solved(root: TreeNode, load: Demand) -> OperatingPoint:
    point = operating_point(root, load)
    assert isinstance(point, OperatingPoint)
    assert kirchhoff(root, point) < 1e-9
    return point


def refused(root: TreeNode, load: Demand, sources: dict[str, PackSource | None] | None = None) -> CannotDeliver:
    point = operating_point(root, load, sources)
    assert isinstance(point, CannotDeliver)
    return point


# Highest source first: with k sources conducting V = (S - I) / G, or V = (S + sqrt(S^2 - 4 G P)) / (2 G).
# Closed form and ngspice, worked outside this project.
BLOCKING = [
    pytest.param([54.6, 48.0], [0.1, 0.12], 0.0, Demand(20.0), 52.6, [20.0, 0.0], id="closed form + ngspice or-one"),
    pytest.param([50.0, 49.0], [0.1, 0.15], 0.0, Demand(25.0), 48.1, [19.0, 6.0], id="closed form + ngspice or-share"),
    pytest.param(
        [54.0, 53.0, 50.0],
        [0.1, 0.12, 0.15],
        0.0,
        Demand(power_w=1000.0),
        52.50662,
        [14.93375, 4.11146, 0.0],
        id="closed form + ngspice or-cp3",
    ),
    pytest.param([50.0, 49.0], [0.1, 0.15], 0.45, Demand(25.0), 47.65, [19.0, 6.0], id="ngspice or-schottky"),
]


@pytest.mark.parametrize(("emfs_v", "resistances_ohm", "forward_v", "load", "voltage_v", "currents_a"), BLOCKING)
def test_packs_behind_diodes(emfs_v, resistances_ohm, forward_v, load, voltage_v, currents_a):
    point = solved(packs_behind_diodes(emfs_v, resistances_ohm, forward_v), load)
    assert point.voltage_v == pytest.approx(voltage_v, abs=PRINTED)
    for n, current_a in enumerate(currents_a):
        assert point.currents[f"{n}"] == pytest.approx(current_a, abs=PRINTED)


def test_schottky_loss():
    """ngspice or-schottky: 11.25 W in two diodes of 0.45 V at 25 A."""
    point = solved(packs_behind_diodes([50.0, 49.0], [0.1, 0.15], 0.45), Demand(25.0))
    sources = {"0": (50.0, 0.1), "1": (49.0, 0.15)}
    given_w = sum((e - r * point.currents[name]) * point.currents[name] for name, (e, r) in sources.items())
    assert given_w - point.voltage_v * point.current_a == pytest.approx(11.25, abs=PRINTED)


def test_largest_power_of_one_pack():
    """Circuit theory (matched load): P_max = E^2 / (4 R) = 4166.7 W for 50 V behind 0.15 ohm; tolerance as printed."""
    pack = PackSource("pack", 50.0, 0.15)
    assert isinstance(operating_point(pack, Demand(power_w=4166.6)), OperatingPoint)
    refusal = refused(pack, Demand(power_w=4166.7))
    assert refusal.reason == "too much"
    assert refusal.most_w == pytest.approx(4166.7, abs=0.1)
    exactly = solved(pack, Demand(power_w=50.0**2 / (4 * 0.15)))
    assert exactly.voltage_v == pytest.approx(25.0, abs=1e-5)


def test_plain_joint_rushes():
    """Ohm, ngspice hp-i0: 54.6 V onto 48.0 V through 0.32 ohm is 20.625 A, tolerance as printed."""
    root = Joined((Series(PackSource("high", 54.6, 0.15), "lead", 0.02), PackSource("low", 48.0, 0.15)))
    point = solved(root, Demand(0.0))
    assert point.currents["high"] == pytest.approx(20.625, abs=1e-3)
    assert point.currents["low"] == pytest.approx(-20.625, abs=1e-3)
    assert point.currents["lead"] == point.currents["high"]


def test_constant_power_takes_the_highest_of_four_solutions():
    """Both packs alone, by the quadratic: 54 V / 1 ohm gives 700 W at 32.385 or 21.615 V, 20 V / 0.01 ohm below 20 V.

    Every solution above 20 V is of the first pack alone: V^2 - 54 V + 700 = 0. Below 20 V both give: 101 V^2 - 2054 V +
    700 = 0, 19.990 or 0.347 V. The highest is 27 + sqrt(29) = 32.38516.
    """
    root = packs_behind_diodes([54.0, 20.0], [1.0, 0.01])
    roots_v = [27 + 29**0.5, 27 - 29**0.5, (2054 + 3936116**0.5) / 202, (2054 - 3936116**0.5) / 202]
    for voltage_v in roots_v:
        currents_a = max(0.0, 54 - voltage_v) + max(0.0, (20 - voltage_v) / 0.01)
        assert voltage_v * currents_a == pytest.approx(700.0, abs=1e-6)
    assert solved(root, Demand(power_w=700.0)).voltage_v == pytest.approx(max(roots_v), abs=1e-9)


def test_constant_power_passes_over_a_piece_that_cannot_give_it():
    """735 W is above the first pack's 54^2 / 4 = 729 W: 101 V^2 - 2054 V + 735 = 0 is left, V = 19.97259 at most."""
    root = packs_behind_diodes([54.0, 20.0], [1.0, 0.01])
    expected_v = (2054 + (2054**2 - 4 * 101 * 735) ** 0.5) / 202
    assert solved(root, Demand(power_w=735.0)).voltage_v == pytest.approx(expected_v, abs=1e-9)


def test_two_limits_take_the_smaller_current():
    pack = PackSource("pack", 50.0, 0.1)
    assert solved(pack, Demand(20.0, 500.0)).voltage_v == solved(pack, Demand(power_w=500.0)).voltage_v
    assert solved(pack, Demand(5.0, 500.0)).current_a == 5.0
    # More power than there is asked for: the current limit alone decides.
    assert solved(pack, Demand(5.0, 50.0**2)).current_a == 5.0
    assert solved(pack, Demand(50.0, 50.0**2 * 2.6)).current_a == 50.0


def test_two_braking_limits_take_the_smaller_current():
    pack = PackSource("pack", 50.0, 0.1)
    assert solved(pack, Demand(-20.0, -500.0)).current_a == pytest.approx(
        solved(pack, Demand(power_w=-500.0)).current_a
    )
    assert solved(pack, Demand(-5.0, -500.0)).current_a == -5.0
    assert solved(pack, Demand(0.0, -500.0)).current_a == 0.0


def test_braking_into_a_plain_pack():
    """V = E + R I = 52 V at 20 A in; at 1040 W in, the same."""
    pack = PackSource("pack", 50.0, 0.1)
    assert solved(pack, Demand(-20.0)).voltage_v == pytest.approx(52.0, abs=1e-12)
    assert solved(pack, Demand(power_w=-1040.0)).voltage_v == pytest.approx(52.0, abs=1e-12)


@pytest.mark.parametrize("load", [Demand(-0.1), Demand(power_w=-1.0)], ids=["current", "power"])
def test_blocked_tree_takes_no_braking(load):
    root = packs_behind_diodes([54.6, 48.0], [0.1, 0.12])
    assert refused(root, load).reason == "nothing takes it"
    assert refused(PackSource("pack", 50.0, 0.1, back=False), load).reason == "nothing takes it"


def test_tap_takes_braking_of_a_blocked_tree():
    """3 A of the tap's 5 A come from the brake, 2 A from the pack: V = 50 - 0.1 x 2 = 49.8 V."""
    root = Tapped(Blocked(PackSource("pack", 50.0, 0.1)), "lamp", 5.0)
    point = solved(root, Demand(-3.0))
    assert point.voltage_v == pytest.approx(49.8, abs=1e-12)
    assert (point.currents["pack"], point.currents["lamp"]) == (pytest.approx(2.0), 5.0)
    # All 5 A from the brake and more than the pack's voltage: 300 W / 5 A = 60 V.
    assert solved(root, Demand(power_w=-300.0)).voltage_v == pytest.approx(60.0, abs=1e-12)
    assert refused(root, Demand(-5.1)).reason == "nothing takes it"


def test_tap_adds_to_what_is_inside():
    """10 A to the load and 2 A to the tap: V = 50 - 0.1 x 12 = 48.8 V at the tap, 48.3 V after 0.05 ohm at the load."""
    root = Series(Tapped(PackSource("pack", 50.0, 0.1), "lamp", 2.0), "lead", 0.05)
    point = solved(root, Demand(10.0))
    assert point.voltages == pytest.approx({"lead": 48.3, "lamp": 48.8, "pack": 48.8}, abs=1e-12)
    assert point.currents == pytest.approx({"lead": 10.0, "lamp": 2.0, "pack": 12.0}, abs=1e-12)


def test_tap_without_a_source_draws_nothing():
    inside = Series(Tapped(PackSource("absent", 50.0, 0.1), "lamp", 2.0), "lead", 0.02)
    root = Joined((Blocked(inside), PackSource("pack", 48.0, 0.1)))
    point = operating_point(root, Demand(10.0), {"absent": None})
    assert isinstance(point, OperatingPoint)
    assert kirchhoff(root, point, {"absent": None}) < 1e-9
    assert point.voltage_v == pytest.approx(47.0, abs=1e-12)
    assert point.currents == {"lead": 0.0, "lamp": 0.0, "absent": 0.0, "pack": pytest.approx(10.0)}
    assert set(point.voltages) == {"pack"}


def test_tap_of_an_absent_pack_lives_on_a_plain_bus():
    root = Joined((Tapped(PackSource("absent", 50.0, 0.1), "lamp", 2.0), PackSource("pack", 48.0, 0.1)))
    point = operating_point(root, Demand(10.0), {"absent": None})
    assert isinstance(point, OperatingPoint)
    assert kirchhoff(root, point, {"absent": None}) < 1e-9
    assert point.currents == pytest.approx({"lamp": 2.0, "absent": 0.0, "pack": 12.0})
    assert point.voltage_v == pytest.approx(48.0 - 1.2, abs=1e-12)


def test_blocked_branch_floats_at_its_own_voltage():
    """Two plain packs of 40 and 44 V, 0.1 ohm each, behind a diode: 20 A between them at 42 V, the bus above."""
    inner = Joined((PackSource("low", 40.0, 0.1), PackSource("high", 44.0, 0.1)))
    root = Joined((Blocked(Series(inner, "path", 0.01)), PackSource("top", 54.0, 0.1)))
    point = solved(root, Demand(10.0))
    assert point.voltages["path"] == pytest.approx(42.0, abs=1e-12)
    assert point.currents == pytest.approx({"low": -20.0, "high": 20.0, "path": 0.0, "top": 10.0}, abs=1e-9)


def test_selector_leaves_the_other_inputs_open():
    other = Joined((PackSource("a", 40.0, 0.1), PackSource("b", 44.0, 0.1)))
    root = Selected((other, PackSource("c", 54.0, 0.1)), 1)
    point = solved(root, Demand(10.0))
    assert point.currents == pytest.approx({"a": -20.0, "b": 20.0, "c": 10.0}, abs=1e-9)
    assert solved(Selected(root.children, 0), Demand(10.0)).voltage_v == pytest.approx(41.5, abs=1e-12)


def test_source_that_lets_nothing_back():
    root = Joined((PackSource("high", 54.0, 0.1), PackSource("low", 48.0, 0.1, back=False)))
    point = solved(root, Demand(10.0))
    assert point.currents == pytest.approx({"high": 10.0, "low": 0.0}, abs=1e-12)


def test_sources_can_be_replaced_and_taken_out():
    root = packs_behind_diodes([54.6, 48.0], [0.1, 0.12])
    replaced = {"0": PackSource("0", 50.0, 0.1), "1": PackSource("1", 49.0, 0.15)}
    point = operating_point(root, Demand(25.0), replaced)
    assert isinstance(point, OperatingPoint)
    assert point.voltage_v == pytest.approx(48.1, abs=PRINTED)
    alone = operating_point(root, Demand(20.0), {"0": None})
    assert isinstance(alone, OperatingPoint)
    assert alone.voltage_v == pytest.approx(48.0 - 0.12 * 20, abs=1e-12)
    assert refused(root, Demand(1.0), {"0": None, "1": None}).reason == "no source"
    assert refused(Joined(()), Demand(1.0)) == CannotDeliver("no source", 0.0, 0.0)
    assert refused(Joined(()), Demand(power_w=0.0)).reason == "no source"


def test_cut_voltage():
    """V = 50 - 0.1 I: 20 A at 48 V exactly, no more."""
    pack = PackSource("pack", 50.0, 0.1)
    assert solved(pack, Demand(20.0, cut_v=48.0)).voltage_v == pytest.approx(48.0, abs=1e-12)
    refusal = refused(pack, Demand(20.001, cut_v=48.0))
    assert refusal.reason == "too much"
    assert refusal.most_a == pytest.approx(20.0, abs=1e-9)
    assert refusal.most_w == pytest.approx(960.0, abs=1e-9)
    # Without a cut the load ends where the voltage does.
    assert refused(pack, Demand(500.1)).most_a == pytest.approx(500.0, abs=1e-9)


def test_most_power_may_lie_where_a_second_pack_begins():
    """One of 54 V / 1 ohm peaks at 27 V (729 W); with 20 V / 0.01 ohm beside it both peak at 2054 / 202 V."""
    peak_w = 2054**2 / (4 * 101)
    assert refused(packs_behind_diodes([54.0, 20.0], [1.0, 0.01]), Demand(power_w=2e4)).most_w == pytest.approx(peak_w)
    # Cut at 27.5 V the most is given there: 27.5 x 26.5.
    root = packs_behind_diodes([54.0, 20.0], [1.0, 0.01])
    assert refused(root, Demand(power_w=2e4, cut_v=27.5)).most_w == pytest.approx(27.5 * 26.5)


@pytest.mark.parametrize(
    "make",
    [
        lambda: PackSource("x", nan, 0.1),
        lambda: PackSource("x", 50.0, 0.0),
        lambda: PackSource("x", 50.0, inf),
        lambda: Series(PackSource("x", 50.0, 0.1), "y", -0.1),
        lambda: Series(PackSource("x", 50.0, 0.1), "y", 0.1, -0.4),
        lambda: Series(PackSource("x", 50.0, 0.1), "y", nan),
        lambda: Tapped(PackSource("x", 50.0, 0.1), "y", -1.0),
        lambda: Tapped(PackSource("x", 50.0, 0.1), "y", inf),
        lambda: Selected((PackSource("x", 50.0, 0.1),), 1),
        lambda: Selected((PackSource("x", 50.0, 0.1),), -1),
        lambda: Demand(),
        lambda: Demand(nan),
        lambda: Demand(1.0, -1.0),
        lambda: Demand(1.0, cut_v=-1.0),
        lambda: operating_point(Selector((PackSource("x", 50.0, 0.1),)), Demand(1.0)),
        lambda: operating_point(Series(PackSource("x", 50.0, 0.1), "x", 0.1), Demand(1.0)),
    ],
)
def test_impossible_input_is_refused(make):
    with pytest.raises(ValueError, match=r"\w"):
        make()


def test_kirchhoff_sees_a_wrong_point():
    """The check itself: a milliampere or a millivolt added anywhere must show."""
    inner = Selected((PackSource("a", 50.0, 0.1), PackSource("b", 49.0, 0.1)), 0)
    root = Joined((Blocked(Series(Tapped(inner, "lamp", 1.0), "path", 0.01)), PackSource("c", 48.0, 0.2)))
    point = solved(root, Demand(30.0))
    for name in point.currents:
        wrong = {**point.currents, name: point.currents[name] + 1e-3}
        assert kirchhoff(root, OperatingPoint(point.voltage_v, 30.0, wrong, point.voltages)) > 1e-5
        moved = {**point.voltages, name: point.voltages[name] + 1e-3}
        assert kirchhoff(root, OperatingPoint(point.voltage_v, 30.0, point.currents, moved)) > 1e-5
    assert kirchhoff(root, OperatingPoint(point.voltage_v, 30.001, point.currents, point.voltages)) > 1e-5
    assert kirchhoff(root, OperatingPoint(point.voltage_v + 1e-3, 30.0, point.currents, point.voltages)) > 1e-5
