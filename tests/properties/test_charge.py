"""What holds of every charge: more amps are never later, a fuller start never later, equal packs may be swapped."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.charging.order import Refill, behind_port, plans, times
from packyoke.analysis.circuit.curves import Blocked, Joined, PackSource
from packyoke.physics.charge import charge_energy_j, charge_time_s
from packyoke.shelf.chemistry import ocv_curve

HOUR_S = 3600.0
CHEMISTRIES = st.sampled_from(["NMC", "LFP"])
STARTS = st.floats(0.0, 0.95)
HOURS = st.floats(0.1, 12.0)
SAME_S = 1e-6


@st.composite
def refills(draw: st.DrawFn) -> tuple[Refill, float]:
    """A pack and the voltage at which it is full."""
    chemistry, series = draw(CHEMISTRIES), draw(st.integers(7, 20))
    curve = ocv_curve(chemistry)
    assert curve is not None
    points = tuple((charge, series * volts) for charge, volts in curve.points)
    amp_hours = draw(st.floats(5.0, 30.0))
    ohm = series * draw(st.floats(0.04, 0.20)) / amp_hours + draw(st.floats(0.01, 0.025))
    return Refill("pack", points, amp_hours * HOUR_S, ohm, draw(STARTS)), series * {"NMC": 4.2, "LFP": 3.65}[chemistry]


@given(refills(), st.floats(1.0, 10.0), st.floats(1.0, 3.0))
@settings(max_examples=80, deadline=None)
def test_more_amps_are_never_later(pack: tuple[Refill, float], amps: float, more: float) -> None:
    refill, volts = pack
    slow, fast = times(refill, amps, volts), times(refill, more * amps, volts)
    assert fast.full_s <= slow.full_s + SAME_S
    assert (fast.mostly_s or 0.0) <= (slow.mostly_s or 0.0) + SAME_S


@given(refills(), st.floats(1.0, 10.0), STARTS)
@settings(max_examples=80, deadline=None)
def test_a_fuller_start_is_never_later(pack: tuple[Refill, float], amps: float, other: float) -> None:
    refill, volts = pack
    low, high = sorted((refill.start_fraction, other))
    later = times(refill._replace(start_fraction=low), amps, volts)
    sooner = times(refill._replace(start_fraction=high), amps, volts)
    assert sooner.full_s <= later.full_s + SAME_S
    assert sooner.energy_j <= later.energy_j + SAME_S


@given(refills(), st.floats(1.0, 10.0), st.lists(st.floats(0.0, 0.99), min_size=1, max_size=5))
@settings(max_examples=80, deadline=None)
def test_a_charge_in_parts_is_the_charge_in_one(pack: tuple[Refill, float], amps: float, stops: list[float]) -> None:
    refill, volts = pack
    way = sorted((refill.start_fraction, *stops))
    fixed = (refill.capacity_coulomb, refill.resistance_ohm, amps, volts)
    whole_s = charge_time_s(refill.curve, way[0], way[-1], *fixed)
    assert sum(charge_time_s(refill.curve, a, b, *fixed) for a, b in pairwise(way)) == pytest.approx(whole_s, rel=1e-9)
    whole_j = charge_energy_j(refill.curve, way[0], way[-1], *fixed)
    parts_j = sum(charge_energy_j(refill.curve, a, b, *fixed) for a, b in pairwise(way))
    assert parts_j == pytest.approx(whole_j, rel=1e-9)


@given(refills(), st.floats(1.0, 10.0))
@settings(max_examples=80, deadline=None)
def test_time_and_energy_stay_within_what_physics_allows(pack: tuple[Refill, float], amps: float) -> None:
    """Never sooner than the charge over the current; energy between that of the curve's ends times the charge."""
    refill, volts = pack
    found = times(refill, amps, volts)
    coulomb = max(0.0, found.end_fraction - refill.start_fraction) * refill.capacity_coulomb
    assert found.full_s >= coulomb / amps - SAME_S
    assert found.energy_j <= coulomb * volts * (1 + 1e-9)
    assert found.energy_j >= coulomb * refill.curve[0][1]
    assert found.mostly_s is None or found.mostly_s <= found.full_s + SAME_S
    assert 0.0 <= found.lag_s <= found.full_s


@given(st.dictionaries(st.tuples(st.sampled_from("abc"), st.sampled_from("pqrst")), HOURS, min_size=1))
@settings(max_examples=80, deadline=None)
def test_swapping_equal_packs_or_chargers_changes_nothing(durations_s: dict[tuple[str, str], float]) -> None:
    """The same names in another order, and p and q, a and b renamed into each other."""
    other = {"a": "b", "b": "a", "p": "q", "q": "p"}
    turned = {(other.get(c, c), other.get(p, p)): time for (c, p), time in reversed(durations_s.items())}
    ours, theirs = plans(durations_s), plans(turned)
    assert [(plan.chargers, plan.changes) for plan in ours] == [(plan.chargers, plan.changes) for plan in theirs]
    assert [plan.finish_s for plan in ours] == pytest.approx([plan.finish_s for plan in theirs], abs=2e-6)


@given(
    st.dictionaries(st.tuples(st.sampled_from("abc"), st.sampled_from("pqrst")), HOURS, min_size=1),
    st.sampled_from("pqrst"),
    HOURS,
)
@settings(max_examples=80, deadline=None)
def test_another_charger_at_hand_never_makes_the_best_later(
    durations_s: dict[tuple[str, str], float], pack: str, hours: float
) -> None:
    packs = {each for _, each in durations_s}
    more = {**durations_s, ("d", pack): hours} if pack in packs else durations_s
    assert min(plan.finish_s for plan in plans(more)) <= min(plan.finish_s for plan in plans(durations_s)) + 2e-6


@given(st.lists(STARTS, min_size=2, max_size=4), st.floats(1.0, 8.0))
@settings(max_examples=30, deadline=None)
def test_behind_a_port_nothing_is_sooner_than_all_the_charge_and_order_does_not_matter(
    starts: list[float], amps: float
) -> None:
    curve = ocv_curve("NMC")
    assert curve is not None
    points = tuple((charge, 13 * volts) for charge, volts in curve.points)
    packs = {f"p{n}": Refill(f"p{n}", points, 14 * HOUR_S, 0.15, start) for n, start in enumerate(starts)}
    root = Joined(tuple(Blocked(PackSource(name, 1.0, 0.15)) for name in packs))
    course = behind_port(root, packs, amps, 54.6)
    coulomb = sum((0.99 - start) * 14 * HOUR_S for start in starts)
    assert course.finish_s >= coulomb / amps
    back = Joined(tuple(reversed(root.children)))
    turned = behind_port(back, dict(reversed(packs.items())), amps, 54.6)
    assert turned.finish_s == pytest.approx(course.finish_s, abs=0.1)
    assert dict(turned.full_s) == pytest.approx(dict(course.full_s), abs=0.1)
