"""Packs along a way: closed forms, an integration of small fixed steps, and laws that every way keeps."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Demand, OperatingPoint, PackSource, TreeNode, operating_point
from packyoke.analysis.discharge.course import Discharge, discharge, driven
from packyoke.analysis.discharge.energy import curve_of
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, rundown
from packyoke.analysis.discharge.stepping import NEAR_S, Battery
from packyoke.analysis.ride.on_route import COLUMNS, Along, along
from packyoke.analysis.ride.pieces import Piece, Route, route_of
from packyoke.analysis.ride.reach_on_route import Routed, routed
from packyoke.analysis.unknowns.filled import filled
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model import Build
from packyoke.model.track import Track
from packyoke.physics.cell import curve_v
from tests.rundowns import assert_balanced, audited, battery, chain, together
from tests.support import EXAMPLES, edited


@pytest.fixture(autouse=True)
def breaches() -> Iterator[list[float]]:
    """Every solve of every test here is audited."""
    with audited() as found:
        yield found


A, B = battery("a", 14.0, 0.15), battery("b", 10.0, 0.18)


def built(name: str, put: dict[str, object] | None = None) -> Case:
    build = load(edited(name, put), "test.yaml")
    assert isinstance(build, Build), build
    return Case(build)


SELECTOR = {"joiners.yoke": {"type": "selector", "makes": "after break", "ceiling": "75 V", "resistance": "2 mohm"}}


def flat(count: int, grade: float | None = 0.0) -> list[Piece]:
    return [Piece(50.0 * n, 50.0, grade) for n in range(count)]


def at_300_w(piece: Piece) -> tuple[float, float]:
    return 300.0, 8.0


def hilly(piece: Piece) -> tuple[float, float]:
    """Some 120 W on the flat, what 100 kg weigh on top of it uphill, nothing downhill, at 6 m/s."""
    assert piece.grade_fraction is not None
    return max(0.0, 120.0 + 100 * 9.81 * piece.grade_fraction * 6.0 / 0.8), piece.length_m / 6.0


def there(case: Case, *packs: str, **more: object) -> Along:
    track = load_track((EXAMPLES / "skerry-round.gpx").read_bytes(), "")
    assert isinstance(track, Track)
    found = along(case, packs, route_of(track).pieces, hilly, **more)  # type: ignore[arg-type]
    assert isinstance(found, Along), found
    return found


class TestDriven:
    def test_one_power_all_the_time_is_a_rundown(self) -> None:
        """The same power in pieces of 20 s gives what it gives in one."""
        whole = discharge(together([A, B]), Demand(power_w=600.0), [A, B], (1.0, 0.6), 39.0)
        parts = driven(together([A, B]), [(600.0, 20.0)] * 400, [A, B], (1.0, 0.6), 39.0)
        assert_balanced(parts)
        assert parts.ended == whole.ended
        assert parts.duration_s == pytest.approx(whole.duration_s, abs=0.1)
        assert [pack.end_fraction for pack in parts.packs] == pytest.approx(
            [pack.end_fraction for pack in whole.packs], abs=2e-5
        )
        assert [event.pack for event in parts.events] == [event.pack for event in whole.events]

    def test_one_pack_by_hand(self) -> None:
        """E = E0 - k q behind R: t = integral of dq (E + sqrt(E^2 - 4 R P))/(2 P), for each power on from the last."""
        pack = Battery("p", "p", (0.0, 1.0), (40.0, 50.0), 36000.0, 0.2, 30.0)

        def primitive(e_v: float, power_w: float) -> float:
            root = math.sqrt(e_v * e_v - 4 * 0.2 * power_w)
            return e_v * e_v / 2 + (e_v * root - 4 * 0.2 * power_w * math.log(e_v + root)) / 2

        powers = [(400.0, 600.0), (0.0, 300.0), (150.0, 900.0), (700.0, 300.0)]
        e_v = 50.0
        for power_w, taken_s in powers:
            if power_w == 0.0:
                continue
            low_v, high_v = 40.0, e_v
            for _ in range(60):
                middle_v = (low_v + high_v) / 2
                gone_s = (primitive(e_v, power_w) - primitive(middle_v, power_w)) / (2 * power_w) * 3600.0
                low_v, high_v = (middle_v, high_v) if gone_s > taken_s else (low_v, middle_v)
            e_v = (low_v + high_v) / 2
        run = driven(together([pack]), powers, [pack], [1.0], 0.0)
        assert_balanced(run)
        assert run.packs[0].end_fraction == pytest.approx((e_v - 40.0) / 10.0, abs=1e-6)
        assert run.energy_to_load_j == pytest.approx(sum(power_w * taken_s for power_w, taken_s in powers), rel=1e-4)
        assert (run.ended, run.duration_s) == ("all driven", pytest.approx(2100.0))

    def test_packs_level_while_they_rest(self) -> None:
        """Two capacitors through a resistor: the difference falls by exp(-t/tau), tau = R C1 C2/(C1 + C2)."""
        high = Battery("high", "high", (0.0, 1.0), (44.6, 54.6), 40000.0, 0.16, 0.0)
        low = Battery("low", "low", (0.0, 1.0), (44.6, 54.6), 40000.0, 0.16, 0.0)
        run = driven(together([high, low], blocked=False), [(0.0, 500.0), (0.0, 500.0)], [high, low], [1.0, 0.34], 0.0)
        assert_balanced(run)
        apart = run.packs[0].end_fraction - run.packs[1].end_fraction
        assert apart == pytest.approx(0.66 * math.exp(-1000.0 / (0.32 * 4000.0 / 2)), rel=1e-4)

    def test_packs_behind_blocking_joiners_rest(self) -> None:
        run = driven(together([A, B]), [(0.0, 3600.0)], [A, B], (1.0, 0.6), 39.0)
        assert [pack.end_fraction for pack in run.packs] == pytest.approx([1.0, 0.6], abs=1e-12)
        assert (run.energy_to_load_j, run.duration_s) == (0.0, 3600.0)

    @pytest.mark.parametrize("blocked", [True, False])
    def test_against_small_fixed_steps(self, blocked: bool) -> None:
        """Charges by the midpoint rule at 1 s, the operating point taken anew each time: its error is below 1e-6."""
        powers = [(max(0.0, 500.0 * math.sin(n / 7.0) + 150.0), 20.0) for n in range(100)]
        packs, root = [A, B], together([A, B], blocked=blocked)
        theirs = fixed_steps(root, powers, packs, (0.75, 0.7))
        run = driven(root, powers, packs, (0.75, 0.7), 39.0)
        assert_balanced(run)
        assert [pack.end_fraction for pack in run.packs] == pytest.approx(theirs, abs=5e-6)

    def test_a_hill_too_steep_ends_it(self) -> None:
        """48 V at 50 % behind 0.15 ohm give 49.3^2/(4 R) = 4 kW and no more; 10 kW are asked after 100 s."""
        run = driven(together([A]), [(200.0, 100.0), (10_000.0, 10.0), (0.0, 10.0)], [A], [0.5], 0.0)
        assert (run.ended, run.duration_s) == ("cannot deliver", pytest.approx(100.0))
        assert run.refused is not None
        assert 3500.0 < run.refused.most_w < 4500.0

    @pytest.mark.parametrize("wrong", [(-1.0, 1.0), (1.0, 0.0), (1.0, math.inf), (math.nan, 1.0)])
    def test_what_cannot_be_driven(self, wrong: tuple[float, float]) -> None:
        with pytest.raises(ValueError, match="W for"):
            driven(together([A]), [wrong], [A], [1.0], 0.0)


def fixed_steps(
    root: TreeNode, powers: Sequence[tuple[float, float]], packs: Sequence[Battery], start: Sequence[float]
) -> list[float]:
    def rates(states: Sequence[float], power_w: float) -> list[float]:
        sources: dict[str, PackSource | None] = {}
        for one, state in zip(packs, states, strict=True):
            n = next(n for n, fraction in enumerate(one.fractions) if fraction >= state)
            part = (state - one.fractions[n - 1]) / (one.fractions[n] - one.fractions[n - 1])
            emf_v = one.volts_v[n - 1] + part * (one.volts_v[n] - one.volts_v[n - 1])
            sources[one.source] = PackSource(one.source, emf_v, one.resistance_ohm)
        point = operating_point(root, Demand(power_w=power_w), sources)
        assert isinstance(point, OperatingPoint)
        return [point.currents[one.source] / one.capacity_coulomb for one in packs]

    states = list(start)
    for power_w, taken_s in powers:
        for _ in range(round(taken_s)):
            half = [state - 0.5 * rate for state, rate in zip(states, rates(states, power_w), strict=True)]
            states = [state - rate for state, rate in zip(states, rates(half, power_w), strict=True)]
    return states


class TestAlong:
    def test_a_constant_load_is_the_rundown(self) -> None:
        """Kilometres are those of the clock: 300 W at 50 m in 8 s until the packs are empty."""
        case = built("breakwater-three-packs")
        packs = tuple(case.build.packs)
        found = along(case, packs, flat(20_000), at_300_w)
        clock = rundown(case, packs, load=Draw(power_w=300.0))
        assert isinstance(found, Along)
        assert isinstance(clock, Rundown)
        assert found.ended == clock.ended
        assert found.reached_m == pytest.approx(clock.duration_s * 50.0 / 8.0, abs=1.0)
        assert found.energy_to_load_j == pytest.approx(clock.energy_to_load_j, rel=1e-4)
        assert {pack.name: pack.left_fraction for pack in found.packs} == pytest.approx(
            {pack.name: pack.end_fraction for pack in clock.packs}, abs=1e-4
        )
        for each in found.packs:
            begins = next((phase.from_s for phase in clock.phases if each.name in phase.supplying), None)
            assert begins is not None
            assert each.begins_m == pytest.approx(begins * 50.0 / 8.0, abs=10.0)

    def test_the_example_round(self) -> None:
        found = there(built("skerry-long-tail"), "keel", "pannier")
        assert found.ended == "arrived"
        assert found.reached_m == found.distance_m == pytest.approx(21_774.0, abs=50.0)
        assert len(found.columns) == COLUMNS
        assert found.columns[-1].fractions == pytest.approx([pack.left_fraction for pack in found.packs])
        assert found.peak_a > 0.0
        # The steepest pieces climb 6 %.
        assert found.peak_a == pytest.approx((120 + 981 * 0.06 * 7.5) / 50.0, rel=0.15)

    def test_who_carries_where(self) -> None:
        """A full pack and one at 85 %, the same cells: it helps before the full one is down to its resting voltage, by
        no more than what the largest current loses in the full one and its leads (30 mohm at the most)."""
        case = built("skerry-long-tail")
        found = there(case, "keel", "pannier", start={"keel": 1.0, "pannier": 0.85})
        assert found.stretches[0].packs == ("keel",)
        assert found.stretches[-1].packs == ("keel", "pannier")
        level_m = found.level_m
        assert level_m is not None
        keel = [column.fractions[0] for column in found.columns if column.to_m <= level_m]
        curve = curve_of(case.build.packs["keel"])
        resistance_ohm = filled(case.build)[0].packs["keel"].resistance_ohm
        assert curve is not None
        assert resistance_ohm is not None
        points = list(zip(curve.charges, curve.volts_v, strict=True))
        above_v = 14 * (curve_v(points, keel[-1]) - curve_v(points, 0.85))
        assert 0.0 < above_v < found.peak_a * (resistance_ohm + 0.03)
        pannier = next(pack for pack in found.packs if pack.name == "pannier")
        assert pannier.begins_m is not None
        assert pannier.begins_m <= level_m

    def test_it_ends_short(self) -> None:
        found = there(built("skerry-long-tail"), "pannier", start={"pannier": 0.3})
        assert found.ended in ("controller cuts", "no pack left")
        assert 1_000.0 < found.reached_m < found.distance_m
        assert found.columns[-1].to_m == pytest.approx(found.reached_m)
        assert found.stretches[-1].to_m == pytest.approx(found.reached_m)

    def test_a_pack_alone_has_nobody_to_come_level_with(self) -> None:
        assert there(built("skerry-long-tail"), "keel").level_m is None

    def test_what_is_not_known_is_refused(self) -> None:
        case = built("skerry-long-tail", {"packs.keel.chemistry": "LFP"})
        case = Case(case.build.with_value("packs.keel", "capacity_coulomb", None))
        found = along(case, ("keel",), flat(10), at_300_w)
        assert isinstance(found, NoRundown)
        assert (found.reason, found.attr) == ("not known", "capacity_coulomb")

    def test_what_cannot_be_asked(self) -> None:
        case = built("skerry-long-tail")
        with pytest.raises(ValueError, match="no set of packs"):
            along(case, ("nobody",), flat(10), at_300_w)
        with pytest.raises(ValueError, match="without pieces"):
            along(case, ("keel",), [], at_300_w)
        with pytest.raises(ValueError, match="from 0 to 1"):
            along(case, ("keel",), flat(10), at_300_w, start={"keel": 1.1})

    @pytest.mark.parametrize(
        ("put", "start", "left"),
        [
            # 300 W at 57.5 V for 80 s and the lamp's 0.5 A: 0.13 of 33 Ah, whoever gives them
            ({}, {}, 1 - 0.127 / 33),
            (SELECTOR, {}, 1 - 0.127 / 33),
            # pannier, half full, gives nothing: its 6.5 Ah are left
            (SELECTOR, {"pannier": 0.5}, 1 - (0.127 + 6.5) / 33),
        ],
    )
    def test_what_is_left_counts_packs_that_gave_nothing(
        self, put: dict[str, object], start: dict[str, float], left: float
    ) -> None:
        case = built("skerry-long-tail", put)
        found = along(case, ("keel", "pannier"), flat(10), at_300_w, start=start)
        assert isinstance(found, Along)
        assert found.left_fraction == pytest.approx(left, abs=2e-4)

    def test_a_way_downhill_takes_nothing(self) -> None:
        case = built("skerry-long-tail", {})
        found = along(case, ("keel", "pannier"), flat(10, -0.05), lambda piece: (0.0, 5.0))
        assert isinstance(found, Along)
        assert (found.ended, found.energy_to_load_j) == ("arrived", 0.0)
        # The lamp burns.
        assert found.accessories_j > 0.0


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from([0.0, 100.0, 350.0, 900.0]), st.floats(1.0, 300.0)), min_size=1, max_size=30),
    st.tuples(st.floats(0.2, 1.0), st.floats(0.2, 1.0), st.floats(0.2, 1.0)),
    st.booleans(),
)
def test_laws_of_every_way(powers: list[tuple[float, float]], start: tuple[float, ...], plain: bool) -> None:
    packs = [battery(f"p{n}", 10.0 + n, 0.1 + 0.02 * n) for n in range(3)]
    root = together(packs, blocked=False) if plain else chain(packs)
    run: Discharge = driven(root, powers, packs, start, 36.0)
    assert_balanced(run)
    total_s = sum(taken_s for _, taken_s in powers)
    assert (run.ended == "all driven") == (run.duration_s > total_s - NEAR_S)
    for a, b in pairwise(run.series):
        assert a.time_s <= b.time_s
        if not plain:
            assert all(after <= before + 1e-12 for before, after in zip(a.fractions, b.fractions, strict=True))
    if run.ended == "all driven":
        # Energies of a power come out of the same stages as charges: they are off by what the method leaves.
        assert run.energy_to_load_j == pytest.approx(sum(p * s for p, s in powers), rel=1e-3, abs=1.0)


def test_pieces_without_heights_take_the_mean_of_the_ride() -> None:
    """5 km: as much as the range counts on average, more than on the flat and less than up 4 %, which at 100 kg and 200
    m is 196 kJ of climbing alone."""

    def ridden(grades: tuple[float | None, ...]) -> Routed:
        pieces = tuple(Piece(50.0 * n, 50.0, grades[n % len(grades)]) for n in range(100))
        route = Route("", "", 1, pieces, 5000.0, None, None, None, 0.0, 0.0, 0.0, None, None)
        found = routed(built("skerry-long-tail"), ("keel", "pannier"), "everyday", route)
        assert isinstance(found, Routed)
        assert found.arrives
        return found

    unknown, flat_way, up, partly = ridden((None,)), ridden((0.0,)), ridden((0.04,)), ridden((0.0, None))
    mean = unknown.mean
    accessories_w = mean.ride.riding.accessories_w
    taken_j = (mean.mean_w - accessories_w) * 5000.0 / mean.speed_m_s
    assert unknown.likely.energy_to_load_j == pytest.approx(taken_j, rel=1e-6)
    assert flat_way.likely.energy_to_load_j < partly.likely.energy_to_load_j < unknown.likely.energy_to_load_j
    assert up.likely.energy_to_load_j > flat_way.likely.energy_to_load_j + 196e3
    assert [each.heights_known for each in (unknown, flat_way, up, partly)] == [False, True, True, False]
