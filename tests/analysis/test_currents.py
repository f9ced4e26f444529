"""What the worst current through a part is made of, on builds of round figures, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import _charged, draw, flow, lasting_back_a
from packyoke.analysis.circuit.load import Load, controller_load, together
from packyoke.analysis.circuit.network import tree, upper
from packyoke.analysis.circuit.worst_case import extremes
from packyoke.buildfile.reading import load
from packyoke.core.paths import PartPath
from packyoke.model import Build
from tests.support import edited


def case_of(base: str, put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    return Case(build)


def test_only_in_front_of_a_plain_joiner_does_the_other_pack_add_to_the_load() -> None:
    """150 mohm a side. Behind the joiner flows what the controller asks for, whichever pack it comes from: one is
    named. In front of it, one pack full (13 x 4.20 V = 54.6 V) and one empty (39 V): 10 A and (54.6 - 39) V / 0.3 ohm
    = 52 A over, 62 A in all."""
    case = case_of("slipway-bench-pair")
    behind, before = draw(case, "leads.main lead"), draw(case, "leads.port lead")
    assert (behind.forward_a, behind.packs_in) == (20.0, ("port",))
    assert before.forward_a == pytest.approx(62.0, abs=0.5)
    assert set(before.packs_in) == {"port", "starboard"}


@pytest.mark.parametrize(("bonded", "least_a", "most_a"), [(True, 5.0, 5.0), (False, 80.0, 140.0)])
def test_a_charger_behind_bonded_packs_pushes_its_own_current(bonded: bool, least_a: float, most_a: float) -> None:
    """5 A of the charger, into one of two packs of 70 mohm. Bonded they differ by 0.1 V: half of 5 A and at most
    0.1 V / 0.14 ohm = 0.7 A over, so that 5 A, all of it into the only one left, is the most. Not bonded a full one
    (54.6 V) pushes into an empty one (37 V) besides: 17.6 V / 0.14 ohm = 126 A less what the leads take."""
    case = case_of("bonded-front-load", drop=() if bonded else ("joiners.tee.bonded",))
    assert least_a <= lasting_back_a(case, "leads.s1") <= most_a
    assert flow(case, "leads.m").back_a == 0.0


@pytest.mark.parametrize(
    ("loads", "besides_a", "asked"),
    [
        ([Load(10, 18, 10), Load(6, 12, 60)], 0.0, Load(16, 30, 10, later=((22, 60),))),
        ([Load(10, 18, 60), Load(6, 12, 60)], 0.0, Load(16, 30, 60)),
        ([Load(10, 18, 10), Load(6)], 0.5, Load(16.5, 24.5, 10)),
        ([Load(1, 2, 5), Load(1, 3, 9), Load(1, 4, 7)], 0.0, Load(3, 9, 5, later=((8, 7), (5, 9)))),
        ([Load(10), Load(6)], 1.0, Load(17)),
        ([Load(10, at_empty="b"), Load(6, 8, 5)], 0.0, Load(16, 18, 5, "b")),
        ([], 2.0, Load(2)),
    ],
)
def test_peaks_of_unlike_length_fall_one_after_the_other(loads: list[Load], besides_a: float, asked: Load) -> None:
    assert together(loads, besides_a) == asked


def test_a_selector_loads_one_pack_at_a_time() -> None:
    """All of 20 A from one pack, and nothing from a full one (54.6 V) into an empty one; tied, 62 A and 52 A back."""
    put = {"joiners.bar.type": "selector"}
    for edit, most_a, back_a in ((put, 20.0, 0.0), ({}, 62.0, -52.0)):
        root = tree(case_of("slipway-bench-pair", edit), "controller", {"port": 54.6, "starboard": 54.6}, upper)
        found = extremes(root, {"packs.port": (54.6, 39.0), "packs.starboard": (54.6, 39.0)}, 20.0, 30.0)
        assert found["packs.port"].forward_a == pytest.approx(most_a, abs=0.5)
        assert found["packs.port"].back_a == pytest.approx(back_a, abs=0.5 if back_a else 1e-9)


DIRECT = {"direct": "yes"}
HELD = {"voltage": {"min": "20 V", "max": "60 V"}, "low_voltage_cut": "25 V", "inlet": "bench contact pin"}


def several(bar: dict[str, dict[str, str]], next_one: dict[str, dict[str, str]] | None = None) -> Case:
    """Controllers behind one pack that is held at its 39 V: those of `bar` behind 0.1 ohm, those of `next_one` behind
    as much again."""
    joiner = {"type": "plain", "ceiling": "100 V", "current": {"continuous": "60 A"}, "resistance": "100 mohm"}
    ends = {"inlets": "bench contact pin", "outlet": "bench contact socket"}
    leads = {"port lead": {"from": "port", "to": "bar"} | DIRECT}
    leads |= {f"lead of {name}": {"from": "bar", "to": name} | DIRECT for name in bar}
    if next_one:
        leads["between"] = {"from": "bar", "to": "aft"} | DIRECT
        leads |= {f"lead of {name}": {"from": "aft", "to": name} | DIRECT for name in next_one}
    put = {
        "joiners": dict.fromkeys(("bar", "aft") if next_one else ("bar",), joiner | ends),
        "leads": leads,
        "controllers": {name: said | HELD for name, said in {**bar, **(next_one or {})}.items()},
    }
    return case_of("slipway-bench-pair", put, ("packs.starboard", "controller"))


@pytest.mark.parametrize(
    ("other", "amps"),
    [
        ({"power_limit": "600 W"}, 11.04),
        ({"power_limit": "600 W", "battery_current": "15 A"}, 10.99),
        ({"battery_current": "15 A"}, 10.99),
    ],
)
def test_what_a_power_limit_draws_beside_another_controller(other: dict[str, str], amps: float) -> None:
    """400 W at V = 39 V - 0.1 ohm x I: with 600 W besides V (39 V - V) / 0.1 ohm = 1000 W, V = 36.24 V and 11.04 A;
    with 15 A besides V = 36.40 V and 10.99 A. Alone it would draw 10.54 A."""
    case = several({"left": {"power_limit": "400 W"}, "right": other})
    assert controller_load(case, "left", ("port",)).most_a == pytest.approx(amps, rel=0.005)


def test_what_another_controller_draws_leaves_the_way_where_it_branches() -> None:
    """400 W at V = 39 V - 0.1 ohm x (I + 20 A) - 0.1 ohm x (I + 10 A) = 36 V - 0.2 ohm x I: 33.62 V and 11.90 A."""
    case = several(
        {"first": {"battery_current": "10 A"}},
        {"held": {"power_limit": "400 W"}, "last": {"battery_current": "10 A"}},
    )
    assert controller_load(case, "held", ("port",)).most_a == pytest.approx(11.90, rel=0.005)


@pytest.mark.parametrize(
    ("leads", "packs", "amps"),
    [
        # What the pack of the other controller, empty at 30 V, would have it draw is nothing to it.
        ({"port": "left", "starboard": "right"}, ("port", "starboard"), 400 / 39),
        ({"port": "right", "starboard": "left"}, ("port", "starboard"), 400 / 30),
        ({"port": "left", "starboard": "right"}, ("port",), 400 / 39),
        # Nothing is drawn to it: any pack may feed it. Without one it runs down to its own cut.
        ({"starboard": "right"}, ("port", "starboard"), 400 / 30),
        ({"starboard": "right"}, ("port",), 400 / 39),
        ({"starboard": "right"}, (), 400 / 25),
    ],
)
def test_a_power_limit_draws_from_the_packs_that_feed_the_controller(
    leads: dict[str, str], packs: tuple[str, ...], amps: float
) -> None:
    put = {
        "packs.starboard.cut_off": "30 V",
        "leads": {f"{pack} lead": {"from": pack, "to": to} | DIRECT for pack, to in leads.items()},
        "controllers": {name: {"power_limit": "400 W"} | HELD for name in ("left", "right")},
    }
    case = case_of("slipway-bench-pair", put, ("joiners", "controller"))
    assert controller_load(case, "left", packs).most_a == pytest.approx(amps, rel=0.001)


WORN = {"cut_off": "39 V", "resistance": "0.1 ohm"}
INSIDE = {"joiners.frame port.resistance": "5 mohm", "all_leads": {"insulation": "PVC"}}
LEAD = "length: 1 m, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]"
TWO_PORTS = """
packyoke: 1
name: two Y-leads
packs: {a: PACK, b: PACK}
joiners:
  y: {type: plain, ceiling: 60 V, current: 30 A, resistance: 1 mohm, inlets: XT60 pin, outlet: XT60 socket}
  z: {like: y}
leads:
  from a: {from: a, to: y, LEAD}
  on: {from: y, to: z, LEAD}
  from b: {from: b, to: z, LEAD}
  last: {from: z, to: controller, LEAD}
controller: {inlet: XT60 pin, battery_current: 10 A}
chargers: {brick: {output: 54.6 V, current: 2 A, through: y}, other: {output: 54.6 V, current: 3 A, through: z}}
""".replace(
    "PACK",
    "{chemistry: NMC, series: 13, capacity: 10 Ah, resistance: 150 mohm, cut_off: 39 V, outlet: XT60 socket, "
    "charge: 2 A, cells: energy, condition: sound}",
).replace("LEAD", LEAD)


@pytest.mark.parametrize(
    ("part", "together"),
    [
        ("packs.a", [(5.0, "brick and other")]),
        ("leads.from a", [(5.0, "brick and other")]),
        ("leads.from b", [(5.0, "brick and other")]),
        # What is plugged in at y goes on through it, what is plugged in at z comes back: never both.
        ("leads.on", []),
        ("leads.last", []),
    ],
)
def test_chargers_at_two_joiners_push_into_a_pack_together(part: str, together: list[tuple[float, str]]) -> None:
    build = load(TWO_PORTS, "case.yaml")
    assert isinstance(build, Build), build
    assert [each for each in _charged(Case(build), PartPath(part)) if " and " in each[1]] == together


@pytest.mark.parametrize(
    ("part", "together"),
    [
        # What is plugged in at y and at x goes on through it, 3.5 A; what is plugged in at z comes back, 3 A.
        ("leads.on", [(1.5 + 2.0, "aft and brick")]),
        # What is plugged in at x goes on, 1.5 A; at y and z it comes back.
        ("leads.from x", [(2.0 + 3.0, "brick and other")]),
        ("packs.c", [(1.5 + 2.0 + 3.0, "aft and brick and other")]),
    ],
)
def test_chargers_behind_a_lead_on_the_way_of_one_of_its_packs(part: str, together: list[tuple[float, str]]) -> None:
    """A third pack on a joiner of its own, x, that leads into y; its charger gives 1.5 A."""
    text = TWO_PORTS
    for old, new in (
        ("b: {chem", "c: {like: a, condition: sound}, b: {chem"),
        ("z: {like: y}", "z: {like: y}\n  x: {like: y}"),
        ("leads:", f"leads:\n  from c: {{from: c, to: x, {LEAD}}}\n  from x: {{from: x, to: y, {LEAD}}}"),
        ("chargers: {", "chargers: {aft: {output: 54.6 V, current: 1.5 A, through: x}, "),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    build = load(text, "case.yaml")
    assert isinstance(build, Build), build
    assert [each for each in _charged(Case(build), PartPath(part)) if " and " in each[1]] == together


def test_what_a_power_limit_draws_through_a_joiner_of_the_bike_maker_s_is_told_without_asking_what_is_inside() -> None:
    """400 W at a cut-off of 39 V, less what 5 mohm, 0.5 m of 14 AWG and the contacts drop: a little over 10.26 A."""
    packs = {f"packs.{name} pack.{key}": at for name in ("frame", "added") for key, at in WORN.items()}
    put = packs | {"controller.power_limit": "400 W", "controller.low_voltage_cut": "38 V", **INSIDE}
    case = case_of("sluice-second-port", put)
    told, known = (
        controller_load(each, "controller", tuple(each.build.packs)).continuous_a
        for each in (case, case_of("sluice-second-port", put | {"joiners.frame port.type": "ideal-diode"}))
    )
    assert told == known
    assert 10.26 < told < 10.53
