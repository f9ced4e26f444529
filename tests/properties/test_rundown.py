"""What holds for any rundown: laws in every solve, order of time, order of packs, more capacity, more load."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.circuit.curves import Blocked, Demand, Joined, PackSource, Selector, Series, Tapped, TreeNode
from packyoke.analysis.discharge.course import Discharge, discharge
from packyoke.analysis.discharge.stepping import NEAR_S, Battery
from tests.rundowns import assert_balanced, audited, battery

SEEDS = st.integers(0, 2**32 - 1)
COUNTS = st.integers(1, 4)


class Bike(NamedTuple):
    root: TreeNode
    load: Demand
    packs: tuple[Battery, ...]
    start: tuple[float, ...]
    cut_v: float


def bike(seed: int, count: int, *, plain: float = 0.3, selectors: float = 0.1) -> Bike:
    """A random bike of 13s or 16s packs with leads, joiners and a lamp."""
    rng = Random(seed)
    chemistry, series = rng.choice([("NMC", 13), ("LFP", 16)])
    packs = tuple(
        battery(f"p{n}", rng.uniform(5, 25), rng.uniform(0.05, 0.25), rng.uniform(36, 43), series, chemistry)
        for n in range(count)
    )

    def joined(some: tuple[Battery, ...]) -> TreeNode:
        names = "+".join(one.name for one in some)
        if len(some) == 1:
            node: TreeNode = PackSource(some[0].name, some[0].volts_v[-1], some[0].resistance_ohm)
        else:
            at = rng.randint(1, len(some) - 1)
            inputs = (joined(some[:at]), joined(some[at:]))
            kind = rng.random()
            if kind < selectors:
                node = Selector(inputs)
            elif kind < selectors + plain:
                node = Joined(inputs)
            else:
                drop_v = rng.choice([0.0, 0.45])
                node = Joined(
                    tuple(Blocked(Series(each, f"path {n} {names}", 0.002, drop_v)) for n, each in enumerate(inputs))
                )
        node = Series(node, f"lead {names}", rng.choice([0.0, 0.01, 0.03]))
        return Tapped(node, f"lamp {names}", 0.5) if rng.random() < 0.1 else node

    load = Demand(rng.uniform(2, 30)) if rng.random() < 0.5 else Demand(power_w=rng.uniform(100, 1200))
    start = tuple(rng.uniform(0.2, 1.0) for _ in packs)
    return Bike(joined(packs), load, packs, start, rng.choice([0.0, 40.0, 43.0]))


def run_of(one: Bike) -> Discharge:
    run = discharge(*one)
    assert_balanced(run)
    return run


@given(SEEDS, COUNTS)
@settings(max_examples=40, deadline=None)
def test_laws_hold_in_every_solve(seed: int, count: int) -> None:
    one = bike(seed, count)
    with audited():
        run = run_of(one)
    for n, pack in enumerate(run.packs):
        fallen_coulomb = pack.depth_fraction * one.packs[n].capacity_coulomb
        assert pack.charge_out_coulomb == pytest.approx(fallen_coulomb, rel=1e-9, abs=1e-6)
    assert run.ended in ("controller cuts", "no pack left", "cannot deliver")


@given(SEEDS, COUNTS)
@settings(max_examples=40, deadline=None)
def test_phases_tell_who_supplies(seed: int, count: int) -> None:
    one = bike(seed, count)
    run = run_of(one)
    for phase in run.phases:
        for sample in run.series:
            if phase.from_s < sample.time_s < phase.to_s:
                supplying = tuple(p.name for p, a in zip(one.packs, sample.currents_a, strict=True) if a > 1e-6)
                assert supplying == phase.supplying


@given(SEEDS, COUNTS)
@settings(max_examples=40, deadline=None)
def test_without_series_everything_else_is_the_same(seed: int, count: int) -> None:
    one = bike(seed, count)
    assert replace(run_of(one), series=()) == discharge(*one, series=False)


@given(SEEDS, COUNTS, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_order_in_which_packs_are_named_changes_nothing(seed: int, count: int, rng: Random) -> None:
    one = bike(seed, count)
    order = list(range(count))
    rng.shuffle(order)
    other = one._replace(packs=tuple(one.packs[n] for n in order), start=tuple(one.start[n] for n in order))
    first, second = run_of(one), run_of(other)
    assert second.duration_s == pytest.approx(first.duration_s, abs=NEAR_S)
    assert {(event.kind, event.pack) for event in first.events} == {(e.kind, e.pack) for e in second.events}
    for n, at in enumerate(order):
        assert second.packs[n].energy_out_j == pytest.approx(first.packs[at].energy_out_j, rel=1e-6, abs=1.0)


@given(SEEDS, st.floats(0.2, 1.0), st.booleans())
@settings(max_examples=40, deadline=None)
def test_equal_packs_on_equal_leads_share_alike(seed: int, start: float, blocked: bool) -> None:
    rng = Random(seed)
    alike = battery("", rng.uniform(5, 25), rng.uniform(0.05, 0.2))
    packs = tuple(alike._replace(name=name, source=name) for name in "ab")
    leads: list[TreeNode] = [Series(PackSource(p.name, 54.6, p.resistance_ohm), f"lead {p.name}", 0.02) for p in packs]
    root = Joined(tuple(Blocked(lead) if blocked else lead for lead in leads))
    run = run_of(Bike(root, Demand(rng.uniform(5, 30)), packs, (start, start), 0.0))
    assert run.packs[0].charge_out_coulomb == pytest.approx(run.packs[1].charge_out_coulomb, rel=1e-9)
    assert [pack.share for pack in run.packs] == pytest.approx([0.5, 0.5])
    swapped = run_of(Bike(root, run_load(run), packs[::-1], (start, start), 0.0))
    assert swapped.duration_s == pytest.approx(run.duration_s, abs=1e-9)


def run_load(run: Discharge) -> Demand:
    return Demand(run.series[0].load_a)


@given(SEEDS, COUNTS, st.floats(1.05, 2.0))
@settings(max_examples=40, deadline=None)
def test_more_capacity_never_ends_earlier(seed: int, count: int, factor: float) -> None:
    one = bike(seed, count, selectors=0.0)
    n = seed % count
    larger = one.packs[n]._replace(capacity_coulomb=factor * one.packs[n].capacity_coulomb)
    more = one._replace(packs=(*one.packs[:n], larger, *one.packs[n + 1 :]))
    assert run_of(more).duration_s >= run_of(one).duration_s - 2 * NEAR_S


@given(SEEDS, COUNTS)
@settings(max_examples=40, deadline=None)
def test_more_load_never_lasts_longer(seed: int, count: int) -> None:
    one = bike(seed, count, selectors=0.0)
    load = Demand(one.load.current_a * 1.2) if one.load.current_a else Demand(power_w=(one.load.power_w or 0.0) * 1.2)
    assert run_of(one._replace(load=load)).duration_s <= run_of(one).duration_s + 2 * NEAR_S


@given(SEEDS, COUNTS)
@settings(max_examples=40, deadline=None)
def test_a_pack_that_has_dropped_out_gives_nothing_more(seed: int, count: int) -> None:
    one = bike(seed, count)
    run = run_of(one)
    for event in run.events:
        if event.kind in ("drops out", "empty"):
            n = [p.name for p in one.packs].index(event.pack)
            later = [sample for sample in run.series if sample.time_s > event.time_s]
            assert all(sample.currents_a[n] == 0.0 for sample in later)
            assert all(a.fractions[n] == b.fractions[n] for a, b in pairwise(later))
