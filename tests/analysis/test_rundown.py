"""Rundowns against figures worked out elsewhere and closed forms; every solve is held against Kirchhoff's laws."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from packyoke.analysis.circuit.curves import Blocked, Demand, Joined, PackSource, Selector, Series, Tapped
from packyoke.analysis.discharge import stepping
from packyoke.analysis.discharge.course import Discharge, Event, discharge
from packyoke.analysis.discharge.stepping import Battery
from tests.rundowns import assert_balanced, audited, battery, chain, state_at, together


@pytest.fixture(autouse=True)
def breaches() -> Iterator[list[float]]:
    """Every solve of every test here is audited."""
    with audited() as found:
        yield found


def test_solves_are_audited(breaches: list[float]) -> None:
    discharge(together([A, B]), Demand(15.0), [A, B], CROSS_START, 0.0)
    assert len(breaches) > 1000


def kinds(run: Discharge) -> list[tuple[str, str]]:
    return [(event.kind, event.pack) for event in run.events]


# Two packs behind ideal diodes: 13s NMC, A 14 Ah full behind 0.15 ohm, B 10 Ah at 60 % behind 0.18 ohm, 15 A to 39 V.
# The figures are those of ngspice with a capacitor as charge counter and of an independent integration of fixed steps.
A, B = battery("a", 14.0, 0.15), battery("b", 10.0, 0.18)
CROSS_START = (1.0, 0.6)


@pytest.fixture
def cross() -> Discharge:
    run = discharge(together([A, B]), Demand(15.0), [A, B], CROSS_START, 0.0)
    assert_balanced(run)
    return run


class TestTwoPacksAgainstNgspice:
    def test_b_starts(self, cross: Discharge) -> None:
        """ngspice: B gives 0.05 A at 700.1 s; 0.5 s is what events may be off."""
        (begins,) = [event for event in cross.events if event.kind == "level"]
        assert begins.pack == "b"
        n = next(n for n, sample in enumerate(cross.series) if sample.currents_a[1] > 0.05)
        before, after = cross.series[n - 1 : n + 1]
        share = (0.05 - before.currents_a[1]) / (after.currents_a[1] - before.currents_a[1])
        assert before.time_s + share * (after.time_s - before.time_s) == pytest.approx(700.1, abs=0.5)

    def test_cut_off(self, cross: Discharge) -> None:
        """ngspice: 39 V at 4687.75 s."""
        assert cross.duration_s == pytest.approx(4687.75, abs=0.5)
        assert cross.ended == "no pack left"
        assert kinds(cross) == [("level", "b"), ("drops out", "a"), ("drops out", "b")]

    def test_at_one_hour(self, cross: Discharge) -> None:
        """ngspice: 8.943 A and 6.057 A, states of charge 0.2156 and 0.1981; last digit printed."""
        states = state_at(cross, [A, B], 3600.0)
        assert states == pytest.approx((0.2156, 0.1981), abs=1e-4)
        here = discharge(together([A, B]), Demand(15.0), [A, B], states, 0.0).series[0]
        assert here.currents_a == pytest.approx((8.943, 6.057), abs=1e-3)

    def test_share_tends_to_that_of_capacity(self, cross: Discharge) -> None:
        """Long after all conduct, equal curves: I_k / I -> Q_k / sum Q; 14/24 of 15 A; within 5 %."""
        assert state_at(cross, [A, B], 3600.0)[0] < 0.3
        n = next(n for n, sample in enumerate(cross.series) if sample.time_s > 3500.0)
        assert cross.series[n].currents_a == pytest.approx((8.75, 6.25), rel=0.05)


def flat(name: str, volts_v: float, ohm: float, cut_off_v: float = 0.0) -> Battery:
    """A pack whose voltage hardly falls: closed forms of circuits hold at its first moment."""
    return Battery(name, name, (0.0, 1.0), (volts_v - 1e-6, volts_v), 36000.0, ohm, cut_off_v)


@pytest.mark.parametrize(
    ("packs", "load", "bus_v", "currents_a"),
    [
        pytest.param([(54.6, 0.1), (48.0, 0.12)], Demand(20.0), 52.6, [20.0, 0.0], id="ngspice or-one"),
        pytest.param([(50.0, 0.1), (49.0, 0.15)], Demand(25.0), 48.1, [19.0, 6.0], id="ngspice or-share"),
        pytest.param(
            [(54.0, 0.1), (53.0, 0.12), (50.0, 0.15)],
            Demand(power_w=1000.0),
            52.50662,
            [14.93375, 4.11146, 0.0],
            id="ngspice or-cp3",
        ),
    ],
)
def test_first_moment_of_ideal_diodes(
    packs: list[tuple[float, float]], load: Demand, bus_v: float, currents_a: list[float]
) -> None:
    used = [flat(f"p{n}", *each) for n, each in enumerate(packs)]
    first = discharge(together(used), load, used, [1.0] * len(used), 40.0).series[0]
    # Figures are printed to the fifth digit after the point, tolerances of the source are 1 mV and 1 mA.
    assert first.bus_v == pytest.approx(bus_v, abs=1e-3)
    assert first.currents_a == pytest.approx(currents_a, abs=1e-3)


def test_schottky_diodes_lose_their_forward_voltage() -> None:
    """ngspice or-schottky: 50 and 49 V behind 0.10 and 0.15 ohm, 0.45 V each, 25 A: 47.65 V, 19 and 6 A, 11.25 W."""
    used = [flat("p0", 50.0, 0.10), flat("p1", 49.0, 0.15)]
    paths = [Blocked(Series(PackSource(one.name, 50.0, 0.1), f"diode {one.name}", 0.0, 0.45)) for one in used]
    run = discharge(Joined(tuple(paths)), Demand(25.0), used, [1.0, 1.0], 40.0)
    assert_balanced(run)
    assert run.series[0].bus_v == pytest.approx(47.65, abs=1e-3)
    assert run.series[0].currents_a == pytest.approx((19.0, 6.0), abs=1e-3)
    heat_j = sum(each.heat_j for each in run.passed.values())
    assert heat_j / run.duration_s == pytest.approx(11.25, abs=1e-3)


def test_more_than_a_pack_can_give() -> None:
    """Maximum power transfer: 50 V behind 0.15 ohm give E^2/(4R) = 4166.7 W; above that there is no solution."""
    one = flat("p", 50.0, 0.15)
    below = discharge(together([one]), Demand(power_w=4166.0), [one], [1.0], 0.0)
    assert below.series[0].load_w == pytest.approx(4166.0)
    above = discharge(together([one]), Demand(power_w=4167.5), [one], [1.0], 0.0)
    assert above.ended == "cannot deliver"
    assert above.duration_s == 0.0
    assert above.refused is not None
    assert above.refused.most_w == pytest.approx(4166.7, abs=0.1)


class TestOnePackInClosedForm:
    """A straight open-circuit curve, E = E0 - k q: everything can be worked out by hand."""

    pack = Battery("p", "p", (0.0, 1.0), (40.0, 50.0), 36000.0, 0.2, 39.0)

    def test_constant_current(self) -> None:
        # 50 V - 10 V s - 0.2 ohm 10 A = 39 V at 9/10 of the charge out: 3240 s; the terminal falls straight.
        run = discharge(together([self.pack]), Demand(10.0), [self.pack], [1.0], 0.0)
        assert run.duration_s == pytest.approx(3240.0, abs=stepping.NEAR_S)
        assert run.energy_to_load_j == pytest.approx(3240.0 * 10.0 * (48.0 + 39.0) / 2, rel=1e-5)
        assert run.packs[0].heat_j == pytest.approx(0.2 * 100.0 * 3240.0, rel=1e-5)
        assert run.packs[0].depth_fraction == pytest.approx(0.9, abs=1e-5)

    def test_empty_before_its_protection_opens(self) -> None:
        low = Battery("p", "p", (0.0, 1.0), (40.0, 50.0), 36000.0, 0.2, 30.0)
        run = discharge(together([low]), Demand(10.0), [low], [1.0], 0.0)
        assert kinds(run) == [("empty", "p")]
        assert run.duration_s == pytest.approx(3600.0, abs=stepping.NEAR_S)

    @pytest.mark.parametrize("load_a", [1e-3, 1e-5, 2e-8, 1e-12])
    def test_next_to_no_load_on_a_pack_whose_protection_opens_below_its_curve_comes_to_an_end(
        self, load_a: float
    ) -> None:
        low = Battery("p", "p", (0.0, 1.0), (40.0, 50.0), 36000.0, 0.2, 30.0)
        run = discharge(together([low]), Demand(load_a), [low], [1.0], 0.0)
        assert kinds(run) == [("empty", "p")]
        assert run.duration_s == pytest.approx(36000.0 / load_a, rel=1e-5)

    def test_controller_cuts(self) -> None:
        run = discharge(together([self.pack], lead_ohm=0.05), Demand(10.0), [self.pack], [1.0], 42.0)
        # 50 - 10 s - 2.5 = 42 at 55 %.
        assert run.duration_s == pytest.approx(0.55 * 3600.0, abs=stepping.NEAR_S)
        assert run.events == (Event(run.duration_s, "controller cuts", ""),)
        assert run.passed["lead p"].heat_j == pytest.approx(0.05 * 100.0 * run.duration_s, rel=1e-5)
        assert run.passed["lead p"].peak_a == pytest.approx(10.0)

    def test_constant_power(self) -> None:
        # q' = -I with V = E - R I and V I = P: t = integral of dq (E + sqrt(E^2 - 4 R P))/(2 P), E straight in q.
        power_w, ohm = 400.0, 0.2

        def primitive(e_v: float) -> float:
            root = math.sqrt(e_v * e_v - 4 * ohm * power_w)
            return e_v * e_v / 2 + (e_v * root - 4 * ohm * power_w * math.log(e_v + root)) / 2

        end_v = 39.0 + ohm * power_w / 39.0
        expected_s = (primitive(50.0) - primitive(end_v)) / (2 * power_w) * 3600.0
        run = discharge(together([self.pack]), Demand(power_w=power_w), [self.pack], [1.0], 0.0)
        assert run.duration_s == pytest.approx(expected_s, abs=0.05)
        assert run.energy_to_load_j == pytest.approx(power_w * expected_s, rel=1e-4)

    def test_power_that_cannot_be_met_any_more(self) -> None:
        """1000 W out of 0.5 ohm need E^2/(4R) >= 1000 W, 44.72 V: until then as above. Events may be 0.5 s off."""
        weak = self.pack._replace(resistance_ohm=0.5, cut_off_v=0.0)
        least_v = math.sqrt(4 * 0.5 * 1000.0)

        def primitive(e_v: float) -> float:
            root = math.sqrt(max(0.0, e_v * e_v - least_v * least_v))
            return e_v * e_v / 2 + (e_v * root - least_v * least_v * math.log(e_v + root)) / 2

        expected_s = (primitive(50.0) - primitive(least_v)) / (2 * 1000.0) * 3600.0
        run = discharge(together([weak]), Demand(power_w=1000.0), [weak], [1.0], 0.0)
        assert kinds(run) == [("cannot deliver", "")]
        assert run.duration_s == pytest.approx(expected_s, abs=0.5)
        assert run.packs[0].end_fraction == pytest.approx((least_v - 40.0) / 10.0, abs=1e-4)


@pytest.mark.parametrize(
    ("blocked", "load"),
    [(True, Demand(15.0)), (True, Demand(power_w=700.0)), (False, Demand(15.0)), (False, Demand(0.0))],
    ids=["current", "power", "one charges the other", "level"],
)
def test_no_knot_of_a_curve_is_stepped_over(blocked: bool, load: Demand) -> None:
    """The voltage of a pack bends there: each is one of the moments, to within what counts as standing on it."""
    run = discharge(together([A, B], blocked=blocked), load, [A, B], CROSS_START, 0.0)
    for n, pack in enumerate((A, B)):
        stood = [sample.fractions[n] for sample in run.series]
        knots = [each for each in pack.fractions if min(stood) < each < max(stood)]
        assert len(knots) > 2
        assert [min(abs(each - knot) for each in stood) for knot in knots] == pytest.approx(
            [0.0] * len(knots), abs=stepping.KNOT
        )


class TestPlainJoining:
    def test_two_capacitors_through_a_resistor(self) -> None:
        """54.6 V onto 48.0 V through 0.32 ohm: 20.625 A at once, tau = R C1 C2/(C1 + C2), end at the mean charge."""
        high = Battery("high", "high", (0.0, 1.0), (44.6, 54.6), 40000.0, 0.16, 0.0)
        low = Battery("low", "low", (0.0, 1.0), (44.6, 54.6), 40000.0, 0.16, 0.0)
        run = discharge(together([high, low], blocked=False), Demand(0.0), [high, low], [1.0, 0.34], 0.0)
        assert_balanced(run)
        assert run.ended == "level"
        assert run.series[0].currents_a == pytest.approx((20.625, -20.625), abs=1e-3)
        tau_s = 0.32 * 4000.0 / 2
        assert run.duration_s == pytest.approx(tau_s * math.log(20.625 / stepping.SETTLED_A), abs=0.5)
        assert run.packs[1].end_fraction == pytest.approx(0.67, abs=2e-4)
        # Half the energy that the difference stores is lost, whatever the resistance.
        assert sum(pack.heat_j for pack in run.packs) == pytest.approx(2000.0 * 6.6**2 / 2, rel=1e-4)
        assert run.energy_to_load_j == 0.0
        # Nothing but the packs' own figures tells which lead saw it: its current is that of its pack.
        assert run.passed["lead high"].peak_a == pytest.approx(20.625, abs=1e-3)

    def test_a_tenth_of_a_volt(self) -> None:
        """ngspice: 0.1 V apart at 54 %, 13s 14 Ah, 0.32 ohm: 0.3125 A, 0.1148 A after 647 s; 1 % as the slope moves."""
        packs = [battery("high", 14.0, 0.16), battery("low", 14.0, 0.16)]
        slope_v = 13 * (3.794 - 3.746) / 0.05
        run = discharge(together(packs, blocked=False), Demand(0.0), packs, [0.54 + 0.1 / slope_v, 0.54], 0.0)
        assert run.series[0].currents_a[0] == pytest.approx(0.3125, rel=1e-6)
        states = state_at(run, packs, 647.0)
        later = discharge(together(packs, blocked=False), Demand(0.0), packs, states, 0.0)
        assert later.series[0].currents_a[0] == pytest.approx(0.1148, rel=0.01)

    def test_a_lower_pack_is_charged_until_it_supplies(self) -> None:
        packs = [battery("high", 14.0, 0.15), battery("low", 14.0, 0.15)]
        run = discharge(together(packs, blocked=False), Demand(5.0), packs, [1.0, 0.3], 0.0)
        assert_balanced(run)
        assert run.series[0].currents_a[1] < -5.0
        assert kinds(run)[0] == ("level", "low")
        assert [phase.supplying for phase in run.phases] == [("high",), ("high", "low")]
        assert run.series[0].load_a == pytest.approx(5.0)

    def test_a_day_is_long_enough(self) -> None:
        high = Battery("high", "high", (0.0, 1.0), (40.0, 60.0), 3.6e6, 1.0, 0.0)
        low = Battery("low", "low", (0.0, 1.0), (40.0, 60.0), 3.6e6, 1.0, 0.0)
        run = discharge(together([high, low], blocked=False), Demand(0.0), [high, low], [1.0, 0.5], 0.0)
        assert run.ended == "a day has passed"
        assert run.duration_s == stepping.LONGEST_REST_S

    def test_blocking_joiners_have_nothing_to_level(self) -> None:
        run = discharge(together([A, B]), Demand(0.0), [A, B], CROSS_START, 0.0)
        assert (run.ended, run.duration_s, run.events) == ("level", 0.0, ())


def test_a_pack_that_drops_out_leaves_the_load_to_the_others() -> None:
    early = battery("early", 10.0, 0.1, cut_off_v=47.0)
    run = discharge(together([A, early]), Demand(10.0), [A, early], [1.0, 1.0], 0.0)
    assert_balanced(run)
    assert kinds(run) == [("drops out", "early"), ("drops out", "a")]
    gone_s = run.events[0].time_s
    assert [phase.supplying for phase in run.phases] == [("a", "early"), ("a",)]
    later = [sample for sample in run.series if sample.time_s > gone_s]
    assert later
    assert all(sample.currents_a[1] == 0.0 and sample.fractions[1] == later[0].fractions[1] for sample in later)


def test_a_pack_that_waited_joins_in_when_another_drops_out() -> None:
    early = battery("early", 10.0, 0.1, cut_off_v=52.0)
    low = battery("low", 10.0, 0.1)
    run = discharge(together([early, low]), Demand(5.0), [early, low], [1.0, 0.3], 0.0)
    assert kinds(run) == [("drops out", "early"), ("joins in", "low"), ("drops out", "low")]
    assert run.events[0].time_s == run.events[1].time_s


def test_a_pack_whose_protection_is_open_from_the_start() -> None:
    run = discharge(together([A, B]), Demand(15.0), [A, B], [1.0, 0.0], 0.0)
    assert run.events[0] == Event(0.0, "drops out", "b")
    assert run.packs[1].charge_out_coulomb == 0.0


class TestSelector:
    packs = (battery("first", 10.0, 0.1, cut_off_v=40.0), battery("second", 10.0, 0.1, cut_off_v=40.0))
    root = Selector(
        (
            Series(PackSource("first", 50.0, 0.1), "lead 1", 0.01),
            Series(PackSource("second", 50.0, 0.1), "lead 2", 0.01),
        )
    )

    def test_the_next_input_follows_when_the_first_drops_out(self) -> None:
        run = discharge(self.root, Demand(10.0), self.packs, [0.5, 1.0], 0.0)
        assert_balanced(run)
        assert kinds(run) == [("drops out", "first"), ("joins in", "second"), ("drops out", "second")]
        assert [phase.supplying for phase in run.phases] == [("first",), ("second",)]

    def test_it_is_turned_when_the_controller_cuts(self) -> None:
        run = discharge(self.root, Demand(10.0), self.packs, [0.5, 1.0], 43.0)
        assert kinds(run) == [("controller cuts", "first"), ("joins in", "second"), ("controller cuts", "")]
        assert_balanced(run)

    def test_a_pair_on_an_input_that_is_off_levels(self) -> None:
        pair = [battery("pair 1", 10.0, 0.1), battery("pair 2", 10.0, 0.1)]
        branches = tuple(Series(PackSource(one.name, 50.0, 0.1), f"lead {one.name}", 0.01) for one in pair)
        root = Selector((PackSource("first", 50.0, 0.1), Joined(branches)))
        run = discharge(root, Demand(5.0), [self.packs[0], *pair], [1.0, 0.8, 0.7], 0.0)
        assert_balanced(run)
        assert run.series[0].currents_a[1] == pytest.approx(-run.series[0].currents_a[2])
        assert run.series[0].currents_a[1] > 1.0


def test_accessories_draw_all_the_time() -> None:
    root = Tapped(together([A, B]), "lamp", 0.5)
    run = discharge(root, Demand(10.0), [A, B], CROSS_START, 0.0)
    assert_balanced(run)
    assert run.taps_j == pytest.approx(run.energy_to_load_j * 0.5 / 10.0, rel=1e-9)


def test_a_full_pack_that_is_charged_goes_on_along_its_curve() -> None:
    high, low = battery("high", 10.0, 0.1, series=14), battery("low", 10.0, 0.1)
    run = discharge(together([high, low], blocked=False), Demand(0.0), [high, low], [1.0, 1.0], 0.0)
    assert run.packs[1].end_fraction > 1.0


def test_the_method_is_of_third_order_and_damps_what_is_stiff() -> None:
    """Conditions of order of any Runge-Kutta method (Butcher); at infinity R is 0, as the last stage is the end."""
    rows = [(*row, stepping.GAMMA, *[0.0] * (2 - len(row))) for row in stepping.STAGES]
    b = stepping.WEIGHTS
    c = [sum(row) for row in rows]
    assert sum(b) == pytest.approx(1.0, abs=1e-14)
    assert sum(x * y for x, y in zip(b, c, strict=True)) == pytest.approx(1 / 2, abs=1e-14)
    assert sum(x * y * y for x, y in zip(b, c, strict=True)) == pytest.approx(1 / 3, abs=1e-14)
    nested = sum(b[i] * rows[i][j] * c[j] for i in range(3) for j in range(3))
    assert nested == pytest.approx(1 / 6, abs=1e-14)
    assert rows[-1] == b


def test_currents_do_not_ring_where_a_curve_turns_steep() -> None:
    """LFP packs on one node near their ends: each supplies until it drops out, none stops and starts again."""
    packs = [battery(f"p{n}", 12.0 + n, 0.08 + 0.02 * n, 41.6, 16, "LFP") for n in range(4)]
    run = discharge(together(packs, lead_ohm=0.02), Demand(power_w=774.0), packs, [1.0, 0.8, 0.9, 0.7], 0.0)
    assert "waits" not in {event.kind for event in run.events}


def test_chain_of_joiners() -> None:
    packs = [battery(f"p{n}", 14.0 - n, 0.10 + 0.01 * n) for n in range(5)]
    run = discharge(chain(packs), Demand(30.0), packs, (1.0, 0.9, 0.85, 0.7, 0.95), 39.0)
    assert_balanced(run)
    assert [kind for kind, _ in kinds(run)][-1] == "controller cuts"
