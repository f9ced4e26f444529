"""The order of charging against a search written from scratch, a charge port against plain time steps, and the card
against the rules about chargers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise, permutations
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from packyoke.analysis.case import Case
from packyoke.analysis.charging.bands import BANDS
from packyoke.analysis.charging.card import card
from packyoke.analysis.charging.meant import concerns
from packyoke.analysis.charging.order import MOST_ASSIGNMENTS, ChargeOrder, Refill, behind_port, plans, times
from packyoke.analysis.charging.pairs import Pairing
from packyoke.analysis.charging.port import WARM_K
from packyoke.analysis.circuit.curves import Blocked, Joined, PackSource, TreeNode
from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build, Unknown
from packyoke.rules import (
    charge_blocked,
    charge_port_overloaded,
    charger_current,
    charger_in_outlet,
    charger_voltage,
    pack_unsound,
)
from packyoke.shelf.chemistry import ocv_curve
from packyoke.verdict.judge import judge_build
from tests.support import ROOT, edited

HOUR_S = 3600.0
ZERO_C = 273.15


def case_of(base: str, put: Mapping[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


# The order


def schedules(packs: tuple[str, ...], chargers: tuple[str, ...]) -> Iterator[list[tuple[str, ...]]]:
    """Every way to cut every order of the packs into queues, one for each charger: assignment and order at once."""
    for order in permutations(packs):
        yield from cut(order, chargers)


def cut(order: tuple[str, ...], chargers: tuple[str, ...]) -> Iterator[list[tuple[str, ...]]]:
    if len(chargers) == 1:
        yield [order]
        return
    for at in range(len(order) + 1):
        for rest in cut(order[at:], chargers[1:]):
            yield [order[:at], *rest]


def searched(durations_s: Mapping[tuple[str, str], float], count: int) -> tuple[float, float]:
    """Earliest finish with so many chargers in use, and the least sum of moments at which packs are ready then."""
    packs = tuple(dict.fromkeys(pack for _, pack in durations_s))
    chargers = tuple(dict.fromkeys(charger for charger, _ in durations_s))
    best = (float("inf"), float("inf"))
    for queues in schedules(packs, chargers):
        if sum(map(bool, queues)) != count:
            continue
        finish = ready = 0.0
        for charger, queue in zip(chargers, queues, strict=True):
            at = 0.0
            for pack in queue:
                at += durations_s.get((charger, pack), float("inf"))
                ready += at
            finish = max(finish, at)
        best = min(best, (round(finish, 6), ready))
    return best


def drawn(seed: int, packs: int, chargers: int, sparse: float) -> dict[tuple[str, str], float]:
    rng = Random(seed)
    found = {}
    for pack in range(packs):
        usable = [n for n in range(chargers) if rng.random() > sparse] or [rng.randrange(chargers)]
        for charger in usable:
            found[f"c{charger}", f"p{pack}"] = rng.uniform(1.0, 6.0)
    return found


@pytest.mark.parametrize("seed", range(12))
def test_the_earliest_finish_is_the_one_of_a_full_search(seed: int) -> None:
    durations_s = drawn(seed, 3 + seed % 3, 2 + seed % 2, 0.3 * (seed % 2))
    for plan in plans(durations_s)[1:]:
        finish_s, ready_s = searched(durations_s, plan.chargers)
        assert plan.finish_s == pytest.approx(finish_s)
        assert sum(turn.ends_s for turn in plan.turns) == pytest.approx(ready_s)
        assert plan.exact


@pytest.mark.parametrize("seed", range(12))
def test_no_number_of_chargers_is_left_out_and_plans_hold_together(seed: int) -> None:
    durations_s = drawn(seed, 5, 3, 0.4)
    found = plans(durations_s)
    counts = [plan.chargers for plan in found]
    assert counts == sorted(set(counts))
    for count in range(2, 4):
        assert (count in counts) == (searched(durations_s, count)[0] < float("inf"))
    for plan in found:
        assert_sound(plan, durations_s)


def assert_sound(plan: ChargeOrder, durations_s: Mapping[tuple[str, str], float]) -> None:
    """Every pack once, on a charger that may be used, as long as it takes, one pack at a time on each charger."""
    assert sorted(turn.pack for turn in plan.turns) == sorted({pack for _, pack in durations_s})
    for turn in plan.turns:
        assert turn.ends_s - turn.begins_s == pytest.approx(durations_s[turn.charger, turn.pack])
    for charger in {turn.charger for turn in plan.turns}:
        mine = sorted((turn.begins_s, turn.ends_s) for turn in plan.turns if turn.charger == charger)
        assert all(before[1] <= after[0] + 1e-9 for before, after in pairwise(mine))
    assert plan.finish_s == pytest.approx(max(turn.ends_s for turn in plan.turns))
    assert len(plan.at_once) == plan.chargers
    assert plan.changes == len(plan.turns) - plan.chargers


def test_one_at_a_time_uses_the_quickest_charger_of_each_pack() -> None:
    """2 h + 3 h: p on b, q on a."""
    times_s = {("a", "p"): 4.0, ("a", "q"): 3.0, ("b", "p"): 2.0, ("b", "q"): 5.0}
    first = plans(times_s)[0]
    assert (first.finish_s, [turn.charger for turn in first.turns]) == (5.0, ["b", "a"])


def test_too_many_ways_say_so_and_still_hold_together() -> None:
    durations_s = drawn(3, 24, 4, 0.0)
    assert MOST_ASSIGNMENTS < 4**24
    found = plans(durations_s)
    assert [plan.exact for plan in found if plan.chargers > 1] == [False] * (len(found) - 1)
    for plan in found:
        assert_sound(plan, durations_s)


def test_nothing_to_plan() -> None:
    assert plans({}) == ()


# A charge port


def refill(name: str, amp_hours: float, ohm: float, start: float, chemistry: str = "NMC", series: int = 13) -> Refill:
    curve = ocv_curve(chemistry)
    assert curve is not None
    points = tuple((charge, series * volts) for charge, volts in curve.points)
    return Refill(name, points, amp_hours * HOUR_S, ohm, start)


def stepped(refills: list[Refill], amps: float, volts: float, step_s: float) -> tuple[list[float], list[float]]:
    """Time when each pack begins to take current and when it is full, in plain steps: the current goes to the packs of
    lowest voltage, as far as that lifts them to the next."""
    charge = [each.start_fraction for each in refills]
    begins, full = [float("inf")] * len(refills), [float("inf")] * len(refills)
    time_s = 0.0
    while max(full) == float("inf") and time_s < 100 * HOUR_S:
        emf = [voltage(each, x) for each, x in zip(refills, charge, strict=True)]
        bus = volts
        order = sorted(range(len(refills)), key=lambda n: emf[n])
        for count in range(1, len(refills) + 1):
            inside = order[:count]
            g = sum(1 / refills[n].resistance_ohm for n in inside)
            tried = (amps + sum(emf[n] / refills[n].resistance_ohm for n in inside)) / g
            if count == len(refills) or tried <= emf[order[count]]:
                bus = min(volts, tried)
                break
        for n, each in enumerate(refills):
            current = max(0.0, (bus - emf[n]) / each.resistance_ohm)
            if current > 1e-9 and begins[n] == float("inf"):
                begins[n] = time_s
            if bus == volts and current <= each.taper_a and full[n] == float("inf"):
                full[n] = time_s
            charge[n] = min(1.0, charge[n] + current * step_s / each.capacity_coulomb)
        time_s += step_s
    return begins, full


def voltage(each: Refill, charge: float) -> float:
    for (x0, v0), (x1, v1) in pairwise(each.curve):
        if charge <= x1:
            return v0 + (charge - x0) * (v1 - v0) / (x1 - x0)
    return each.curve[-1][1]


def port(refills: list[Refill], blocks: bool = True) -> TreeNode:
    sources = [PackSource(each.pack, 1.0, each.resistance_ohm) for each in refills]
    return Joined(tuple(Blocked(each) if blocks else each for each in sources))


@pytest.mark.parametrize(
    ("refills", "amps"),
    [
        ([refill("a", 14, 0.15, 0.2), refill("b", 10, 0.18, 0.6)], 4.0),
        ([refill("a", 14, 0.15, 0.9), refill("b", 10, 0.18, 0.3), refill("c", 17, 0.12, 0.5)], 4.0),
        # 40 Ah count as full at 2 A, more than there ever is: then full is when the charger comes to its voltage.
        ([refill("a", 40, 0.15, 0.7), refill("b", 14, 0.15, 0.9)], 1.0),
    ],
    ids=["two packs", "three packs", "a small charger"],
)
def test_the_lowest_pack_takes_all_until_it_has_caught_up(refills: list[Refill], amps: float) -> None:
    """Within two steps of 2 s, at the end within the 20 s in which a current near its last changes by 1 %."""
    course = behind_port(port(refills), {each.pack: each for each in refills}, amps, 54.6)
    begins, full = stepped(refills, amps, 54.6, 2.0)
    first = {name: phase.from_s for phase in reversed(course.phases) for name in phase.packs}
    lowest = min(refills, key=lambda each: voltage(each, each.start_fraction)).pack
    assert course.phases[0].packs == (lowest,)
    assert [first[each.pack] for each in refills] == pytest.approx(begins, abs=4.0)
    assert [dict(course.full_s)[each.pack] for each in refills] == pytest.approx(full, abs=20.0)
    assert course.finish_s >= course.constant_s


def test_a_pack_that_is_full_waits_for_nobody() -> None:
    packs = [refill("a", 14, 0.15, 0.2), refill("b", 14, 0.15, 1.0)]
    course = behind_port(port(packs), {each.pack: each for each in packs}, 4.0, 54.6)
    alone = times(packs[0], 4.0, 54.6)
    assert dict(course.full_s)["b"] == 0.0
    assert dict(course.full_s)["a"] >= alone.full_s


def test_a_full_pack_that_is_plainly_joined_gives_first_and_is_full_with_the_other() -> None:
    packs = [refill("a", 14, 0.15, 0.2), refill("b", 14, 0.15, 1.0)]
    course = behind_port(port(packs, blocks=False), {each.pack: each for each in packs}, 4.0, 54.6)
    assert dict(course.full_s)["b"] == pytest.approx(dict(course.full_s)["a"], rel=0.01)


def test_one_pack_behind_a_port_is_one_pack_on_a_charger() -> None:
    one = refill("a", 14, 0.15, 0.2)
    course, alone = behind_port(port([one]), {"a": one}, 4.0, 54.6), times(one, 4.0, 54.6)
    assert course.finish_s == pytest.approx(alone.full_s, rel=1e-9)
    assert course.energy_j == pytest.approx(alone.energy_j, rel=1e-9)


def test_one_pack_behind_a_port_with_a_small_charger() -> None:
    """40 Ah count as full at 2 A: 1 A is less all the time. In steps of the course, to a second."""
    one = refill("a", 40, 0.15, 0.2)
    assert behind_port(port([one]), {"a": one}, 1.0, 54.6).finish_s == pytest.approx(
        times(one, 1.0, 54.6).full_s, abs=1.0
    )


def test_two_like_packs_behind_a_port_take_twice_as_long() -> None:
    packs = [refill("a", 14, 0.15, 0.2), refill("b", 14, 0.15, 0.2)]
    course = behind_port(port(packs), {each.pack: each for each in packs}, 4.0, 54.6)
    assert course.finish_s == pytest.approx(times(packs[0], 2.0, 54.6).full_s, rel=1e-6)


# The card against the rules

RULES = tuple(
    each.RULE for each in (charger_voltage, charger_current, charge_blocked, charge_port_overloaded, charger_in_outlet)
)
CASES = [
    pytest.param(one, id=f"{name}: {one['name']}")
    for name in ("charger-voltage", "charger-current", "charge-blocked", "charge-port-overloaded", "charger-in-outlet")
    for one in yaml.load((ROOT / "tests/rules/cases" / f"{name}.yaml").read_text("utf-8"), yaml.BaseLoader)["cases"]
]


def concerned(case: Case, each: Pairing) -> bool:
    try:
        return concerns(case, each.charger, each.pack)
    except Unknown:
        return True


@pytest.mark.parametrize("one", CASES)
def test_the_card_says_no_where_a_rule_stops_and_yes_where_none_does(one: dict[str, Any]) -> None:
    """Every case of the rules about chargers: the same build judged by those rules and put on a card."""
    case = case_of(one["base"], one.get("set"), tuple(one.get("drop", ())))
    judged = {each.path: 0 for each in case.build.chargers.values()}
    for decision in judge_build(case.build, (*RULES, pack_unsound.RULE)):
        if decision.path in judged:
            judged[decision.path] = max(judged[decision.path], decision.severity)
    found = card(case)
    for charger in case.build.chargers.values():
        mine = [each for each in found.pairings if each.charger == charger.name and concerned(case, each)]
        verdicts = {each.verdict for each in mine if {r.kind for r in each.reasons} != {"not at the outlet"}}
        together = {reason.other for each in mine for reason in each.reasons if reason.kind == "not together"}
        if together:  # one at a time each may: the rule stops both at once, and names them at the first
            names = (charger.name, *together)
            assert Severity.STOP in [judged[f"chargers.{name}"] for name in names]
            assert verdicts == {"yes"}
        elif judged[charger.path] == Severity.STOP:
            assert "no" in verdicts
        elif judged[charger.path] == Severity.OPEN:
            assert "not known" in verdicts or not charger.output_v
        elif any(reason.kind == "own socket fast" for each in mine for reason in each.reasons):
            # No line of a file states what such a socket takes: both caution, and neither says more than the other.
            assert judged[charger.path] == Severity.CAUTION
            assert verdicts == {"yes"}
            kinds = {r.kind: r.weight for each in mine for r in each.reasons}
            assert kinds["own socket fast"] == "caution"
        else:
            assert verdicts <= {"yes"}


PLAIN = {"type": "plain", "inlets": "XT60 pin", "outlet": "XT60 socket"}
BLOCKS = PLAIN | {"type": "ideal-diode", "blocks_in": "positive"}


@pytest.mark.parametrize(
    ("put", "full"),
    [
        # 17.5 and 17.5 Ah behind the first, 14 Ah at the second: 49 Ah at 4 A are 12.25 h, those behind alone 8.75 h
        ({"joiners.first": PLAIN, "joiners.second": PLAIN, "chargers.depot.through": "first"}, 12.25),
        ({"joiners.first": PLAIN, "joiners.second": PLAIN, "chargers.depot.through": "second"}, 12.25),
        ({"joiners.first": PLAIN, "joiners.second": BLOCKS, "chargers.depot.through": "first"}, 8.75),
        ({"joiners.second": PLAIN, "chargers.depot.through": "first"}, 3.5),
    ],
)
def test_what_plain_joiners_further_on_feed_is_charged_with_the_rest(put: dict[str, Any], full: float) -> None:
    """Packs that are plainly joined come full together, and take as long as their capacities together."""
    (line,) = card(case_of("breakwater-three-packs", put)).ports
    assert line.course.finish_s / 3600 == pytest.approx(full, rel=0.03)


@pytest.mark.parametrize(
    ("amps", "stated"),
    [
        ("4 A", None),  # 6 A and 4 A are what every pack takes
        ("4.1 A", (10.1, 10.0)),
    ],
)
def test_chargers_in_two_joiners_are_told_to_be_used_one_at_a_time(
    amps: str, stated: tuple[float, float] | None
) -> None:
    put = {
        "joiners.j1.type": "plain",
        "joiners.j2.type": "plain",
        "chargers.big.through": "j1",
        "chargers.second": {"output": "58.8 V", "current": amps, "plug": "XT90", "through": "j2"},
    }
    found = card(case_of("trike-chain", put, ("joiners.j1.blocks_in",)))
    told = {
        (each.charger, reason.other, round(reason.found, 6), reason.limit)
        for each in found.pairings
        for reason in each.reasons
        if reason.kind == "not together" and each.pack == "a"
    }
    assert told == ({("big", "second", *stated), ("second", "big", *stated)} if stated else set())


def test_no_figure_of_a_tried_value_is_printed() -> None:
    """Nobody has said what the charger puts out: whatever it is, it is not for north."""
    case = case_of("breakwater-three-packs", {"chargers.vague": {"plug": "XLR 3", "fits": ["box"]}})
    north = next(each for each in card(case).pairings if (each.charger, each.pack) == ("vague", "north"))
    assert (north.verdict, [(r.kind, r.found) for r in north.reasons]) == ("no", [("not listed", 0.0)])


def test_an_unknown_is_no_yes() -> None:
    case = case_of("skerry-long-tail", drop=("packs.keel.charge", "chargers.counter.current"))
    keel = card(case).pairings[0]
    assert (keel.verdict, set(keel.asks)) == (
        "not known",
        {("packs.keel", "charge_a"), ("chargers.counter", "current_a")},
    )


@pytest.mark.parametrize("condition", ["swollen", "wet", "dropped"])
def test_nothing_goes_on_a_pack_that_is_not_sound(condition: str) -> None:
    found = card(case_of("skerry-long-tail", {"packs.keel.condition": condition, "packs.pannier.condition": "sound"}))
    assert found.unserved == ("keel",)


def test_what_one_charger_fills_is_not_planned_on_a_quicker_one_that_does_not() -> None:
    """56.2 V is 4.4 % under 58.8 V: allowed on keel, which stops at 4.01 V a cell with it. Pannier has no other."""
    low = {"output": "56.2 V", "current": "6 A", "plug": "XLR 3", "fits": ["keel"]}
    found = card(case_of("skerry-long-tail", {"chargers.low": low}))
    verdicts = {(each.charger, each.pack): (each.verdict, each.fills) for each in found.pairings}
    assert verdicts[("counter", "keel")] == ("yes", True)
    assert verdicts[("low", "keel")] == ("yes", False)
    assert found.plans
    assert all(turn.charger == "counter" for plan in found.plans for turn in plan.turns)
    low_alone = card(case_of("skerry-long-tail", {"chargers.low": low, "chargers.counter.fits": ["pannier"]}))
    assert {(turn.charger, turn.pack) for turn in low_alone.plans[0].turns} == {("low", "keel"), ("counter", "pannier")}


@pytest.mark.parametrize(
    ("base", "charger", "lead", "stopped"),
    [
        ("skerry-long-tail", "counter", ["keel", "pannier"], {"keel", "pannier"}),
        ("skerry-long-tail", "counter", ["keel"], set()),
        ("breakwater-three-packs", "split", ["north", "south"], {"north", "south"}),
        ("slipway-bench-pair", "shore", ["port", "starboard"], set()),
    ],
)
def test_a_split_lead_ties_the_packs_that_it_names(base: str, charger: str, lead: list[str], stopped: set[str]) -> None:
    """Two at once are tied where a joiner keeps them apart otherwise; behind a plain joiner they are tied anyway."""
    now = {"output": "54.6 V", "current": "2 A", "plug": "XLR 3", "fits": list(lead), "y_lead": list(lead)}
    put = {f"chargers.{charger}.y_lead": lead} if base == "skerry-long-tail" else {f"chargers.{charger}": now}
    found = card(case_of(base, put)).pairings
    assert {
        each.pack
        for each in found
        if each.charger == charger and any(reason.kind == "split lead" for reason in each.reasons)
    } == stopped


# Temperature: 0 to 45 degC; 0 to 10 degC at half the current or 4.1 V a cell; 45 to 50 degC at 4.15 V (JEITA)


@pytest.mark.parametrize(
    ("celsius", "output", "current", "kind"),
    [
        (-0.1, "58.8 V", "1 A", "too cold"),
        (0.0, "58.8 V", "3 A", None),
        (0.0, "58.8 V", "3.1 A", "cold: half current"),
        (9.9, "57.4 V", "6 A", None),
        (9.9, "57.5 V", "6 A", "cold: half current"),
        (10.0, "58.8 V", "6 A", None),
        (44.9, "58.8 V", "6 A", None),
        (45.0, "58.8 V", "6 A", "warm: less voltage"),
        (45.0, "58.1 V", "6 A", None),
        (50.0, "58.1 V", "1 A", "too hot"),
    ],
)
def test_jeita_limits(celsius: float, output: str, current: str, kind: str | None) -> None:
    """keel: 14 cells, 6 A; 14 x 4.10 V = 57.4 V, 14 x 4.15 V = 58.1 V."""
    put = {"chargers.counter.output": output, "chargers.counter.current": current, "chargers.counter.fits": ["keel"]}
    keel = card(case_of("skerry-long-tail", put), ["keel"], None, celsius + ZERO_C).pairings[0]
    stopping = [reason.kind for reason in keel.reasons if reason.weight == "no"]
    assert stopping == ([kind] if kind else [])


def test_bands_leave_no_temperature_out() -> None:
    assert all(before.to_k == after.from_k for before, after in pairwise(BANDS))


def test_in_the_cold_the_current_falls_earlier_and_full_is_less() -> None:
    """More resistance: the voltage is reached sooner, and the last current flows while there is more room left."""
    put = {"chargers.counter.current": "2 A"}
    warm, cold = (card(case_of("skerry-long-tail", put), (), None, k).pairings[0].times for k in (WARM_K, ZERO_C + 1))
    assert warm is not None
    assert cold is not None
    assert cold.knee_fraction < warm.knee_fraction
    assert cold.end_fraction < warm.end_fraction
    assert (cold.mostly_s or 0.0) >= (warm.mostly_s or 0.0)


def test_mains_as_marked_or_over_0_85() -> None:
    """58.8 V x 4 A / 0.85 = 276.7 W."""
    assert card(case_of("skerry-long-tail")).mains_w["counter"] == pytest.approx(276.7, abs=0.05)
    marked = card(case_of("skerry-long-tail", {"chargers.counter.mains_power": "300 W"}))
    assert marked.mains_w["counter"] == 300.0
    keel = marked.pairings[0]
    assert keel.times is not None
    assert keel.wall_j == pytest.approx(keel.times.energy_j * 300.0 / (58.8 * 4.0))


def test_every_example_has_a_card() -> None:
    for path in sorted(Path(ROOT / "examples").glob("*.yaml")):
        build = load(path.read_bytes(), path.name)
        if isinstance(build, Build):
            found = card(Case(build))
            assert len(found.pairings) == len(build.packs) * len(build.chargers)
