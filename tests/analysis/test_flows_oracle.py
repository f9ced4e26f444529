"""Currents in both directions against brute force: every set of packs at several charges, drawing, resting, braking and
charging, solved node by node here, with figures of copper and contacts of its own. Shares no code with the program."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import pairwise, product
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import pytest
import yaml

import packyoke
from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import Flow, flow
from packyoke.buildfile.reading import load
from packyoke.model import Build

# ASTM B258, copper at 20 degC: ohm for each metre of one conductor; strands 2.5 % longer than their lead (practice).
AWG = {10: 1.025 * 3.277e-3, 12: 1.025 * 5.211e-3, 14: 1.025 * 8.286e-3}
CONTACTS = (4 * 0.3e-3, 4 * 0.8e-3)
"""Two XT60 with two contacts each: lowest and highest, common practice."""


class Spec(NamedTuple):
    """A build in figures: packs (R, full, cut-off), joiners (type, R, Vf, bonded), leads (AWG, m), what flows."""

    packs: list[tuple[float, float, float]]
    types: list[str]
    path_ohm: list[float]
    leads: list[tuple[int, float]]
    limit_a: float
    power_w: float | None
    regen_a: float
    charge_a: float
    charge_at: int
    bonded: bool = False
    fuse_a: float = 60.0
    capacity_ah: tuple[float, ...] = (10.0, 10.0, 10.0)
    falls_from_a: float | None = None


def lead_ohm(lead: tuple[int, float], worst: bool = False) -> float:
    return 2 * lead[1] * AWG[lead[0]] + CONTACTS[worst]


def text_of(spec: Spec) -> str:
    """One joiner for two packs, a chain of two for three: p0 and p1 into j0, j0 and p2 into j1."""
    chain = len(spec.packs) == 3
    tree: dict[str, Any] = {"packyoke": 1, "name": "random (invented)", "bike": {"drive": {"type": "mid motor"}}}
    tree["packs"] = {
        f"p{n}": {
            "chemistry": "NMC",
            "series": 13,
            "full_charge": f"{full} V",
            "capacity": f"{spec.capacity_ah[n]} Ah",
            "discharge": "60 A",
            "charge": "20 A",
            "cut_off": f"{cut} V",
            "resistance": f"{ohm * 1000:.6f} mohm",
            "outlet": "XT60 socket",
            "bms": {"charge_path": "common", "data": "none", "wakes": "always"},
            "fuse": {"family": "class T", "rating": f"{spec.fuse_a} A", "voltage": "160 V"},
            "condition": "sound",
        }
        for n, (ohm, full, cut) in enumerate(spec.packs)
    }
    joiners = {}
    for n, kind in enumerate(spec.types):
        joiner: dict[str, Any] = {
            "type": kind,
            "inlets": "XT60 pin",
            "outlet": "XT60 socket",
            "mount": "frame metal",
            "current": "60 A",
            "ceiling": "100 V",
        }
        if kind == "diode":
            joiner["forward_voltage"] = "0.5 V"
        else:
            joiner["resistance"] = f"{spec.path_ohm[n] * 1000:.6f} mohm"
        if spec.bonded and kind == "plain":
            joiner["bonded"] = {"by": "0.001 V", "charged": "together"}
        joiners[f"j{n}"] = joiner
    tree["joiners"] = joiners
    ways = [("p0", "j0"), ("p1", "j0"), *([("j0", "j1"), ("p2", "j1"), ("j1", "c")] if chain else [("j0", "c")])]
    tree["leads"] = {
        f"l{n}": {
            "from": a,
            "to": b if b != "c" else "controller",
            "length": f"{1000 * m:.3f} mm",
            "gauge": f"{awg} AWG",
            "insulation": "silicone",
            "ends": ["XT60 pin", "XT60 socket"],
        }
        for n, ((a, b), (awg, m)) in enumerate(zip(ways, spec.leads, strict=True))
    }
    tree["controller"] = {
        "voltage": {"min": "20 V", "max": "100 V"},
        "battery_current": f"{spec.limit_a} A",
        "low_voltage_cut": "30 V",
        "regen": {"current": f"{spec.regen_a} A"} if spec.regen_a else "none",
        "inlet": "XT60 pin",
    }
    if spec.falls_from_a:
        tree["controller"]["battery_current"] = {
            "limit": f"{spec.falls_from_a} A",
            "falls_to": f"{spec.limit_a} A after 10 s",
        }
    if spec.power_w:
        tree["controller"]["power_limit"] = f"{spec.power_w} W"
    if spec.charge_a:
        tree["chargers"] = {
            "box": {
                "output": "54.6 V",
                "current": f"{spec.charge_a} A",
                "plug": "ring",
                "through": f"j{spec.charge_at}",
            }
        }
    return yaml.safe_dump(tree)


def flows_of(spec: Spec) -> dict[str, Flow]:
    build = load(text_of(spec), "random.yaml")
    assert isinstance(build, Build), build
    case = Case(build)
    return {name: flow(case, f"leads.{name}") for name in build.leads}


def solve(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Gauss with pivots."""
    n = len(right)
    rows = [[*row, r] for row, r in zip(matrix, right, strict=True)]
    for at in range(n):
        pivot = max(range(at, n), key=lambda k: abs(rows[k][at]))
        rows[at], rows[pivot] = rows[pivot], rows[at]
        if abs(rows[at][at]) < 1e-14:
            raise ZeroDivisionError
        for k in range(n):
            if k != at:
                factor = rows[k][at] / rows[at][at]
                rows[k] = [a - factor * b for a, b in zip(rows[k], rows[at], strict=True)]
    return [rows[k][n] / rows[k][k] for k in range(n)]


class Branch(NamedTuple):
    """From an electromotive force or a node into a node, through a resistance and a drop, perhaps one way only."""

    lead: str
    emf_v: float | None
    node: int
    into: int
    ohm: float
    drop_v: float
    one_way: bool


def branches_of(spec: Spec, emf_v: list[float | None], worst: bool = False) -> list[Branch]:
    chain = len(spec.packs) == 3
    found = []
    for n, into in ((0, 0), (1, 0), *(((2, 1),) if chain else ())):
        if emf_v[n] is not None:
            lead = n if n < 2 else 3
            found.append(_branch(spec, lead, emf_v[n], -1, into, spec.packs[n][0], worst))
    if chain:
        found.append(_branch(spec, 2, None, 0, 1, 0.0, worst))
    return found


def _branch(spec: Spec, lead: int, emf_v: float | None, node: int, into: int, ohm: float, worst: bool) -> Branch:
    diode = spec.types[into] == "diode"
    more = 0.0 if diode else spec.path_ohm[into]
    return Branch(
        f"l{lead}",
        emf_v,
        node,
        into,
        ohm + lead_ohm(spec.leads[lead], worst) + more,
        0.5 if diode else 0.0,
        spec.types[into] != "plain",
    )


def currents(branches: list[Branch], nodes: int, push: list[float]) -> tuple[dict[str, float], list[float]] | None:
    """Currents with so much pushed into each node; every combination of one-way branches is tried."""
    blocked = [n for n, each in enumerate(branches) if each.one_way]
    for opens in product((False, True), repeat=len(blocked)):
        off = {n for n, shut in zip(blocked, opens, strict=True) if shut}
        matrix = [[0.0] * nodes for _ in range(nodes)]
        right = list(push)
        for n, each in enumerate(branches):
            if n in off:
                continue
            g = 1 / each.ohm
            matrix[each.into][each.into] += g
            right[each.into] -= g * each.drop_v
            if each.emf_v is not None:
                right[each.into] += g * each.emf_v
            else:
                matrix[each.into][each.node] -= g
                matrix[each.node][each.node] += g
                matrix[each.node][each.into] -= g
                right[each.node] += g * each.drop_v
        try:
            volts = solve(matrix, right)
        except ZeroDivisionError:
            continue
        found, fits = {}, True
        for n, each in enumerate(branches):
            inner = each.emf_v if each.emf_v is not None else volts[each.node]
            amps = (inner - each.drop_v - volts[each.into]) / each.ohm
            if n in off:
                fits &= amps <= 1e-9
                amps = 0.0
            elif each.one_way:
                fits &= amps >= -1e-9
            found[each.lead] = amps
        if fits:
            return found, volts
    return None


def brute(spec: Spec) -> tuple[dict[str, float], dict[str, float]]:
    """The most towards the controller while it draws, and the most that is no load, by lead."""
    nodes = len(spec.types)
    last = "l4" if len(spec.packs) == 3 else "l2"
    forward: dict[str, float] = {}
    back: dict[str, float] = {}
    top_v = max(full for _, full, _ in spec.packs)
    for emf_v in product(*((None, cut, (cut + full) / 2, full) for _, full, cut in spec.packs)):
        if all(each is None for each in emf_v):
            continue
        branches = branches_of(spec, list(emf_v))
        moments = (
            ("draw", nodes - 1, -spec.limit_a),
            ("rest", 0, 0.0),
            ("brake", nodes - 1, spec.regen_a),
            ("charge", spec.charge_at, spec.charge_a),
        )
        for kind, node, amps in moments:
            push = [0.0] * nodes
            push[node] = amps
            found = currents(branches, nodes, push)
            if found is None:
                continue
            by_lead, volts = found
            by_lead[last] = spec.limit_a if kind == "draw" else -spec.regen_a if kind == "brake" else 0.0
            if kind in ("draw", "rest") and volts[-1] < 39.0:
                continue
            if kind in ("brake", "charge") and volts[node] > top_v + 1e-9:
                continue
            for lead, each in by_lead.items():
                if kind in ("draw", "rest"):
                    forward[lead] = max(forward.get(lead, 0.0), each)
                if kind != "draw":
                    # A charger at the first of two joiners pushes towards the second one.
                    onward = each if kind == "charge" and amps and lead == "l2" and spec.charge_at == 0 else 0.0
                    back[lead] = max(back.get(lead, 0.0), -each, onward)
    return forward, back


def random_spec(dice: Random) -> Spec:
    count = dice.choice((2, 2, 3))
    return Spec(
        [(dice.uniform(0.06, 0.2), 54.6, dice.uniform(39.5, 42.0)) for _ in range(count)],
        [dice.choice(("plain", "ideal-diode", "diode")) for _ in range(count - 1)],
        [dice.uniform(0.0005, 0.003) for _ in range(count - 1)],
        [(dice.choice(tuple(AWG)), round(dice.uniform(0.2, 1.0), 3)) for _ in range(2 * count - 1)],
        dice.choice((10.0, 18.0, 25.0)),
        None,
        dice.choice((0.0, 4.0, 12.0)),
        dice.choice((0.0, 3.0, 15.0)),
        dice.randrange(count - 1),
    )


@pytest.mark.parametrize("seed", range(300))
def test_both_directions_of_any_build(seed: int) -> None:
    spec = random_spec(Random(seed))
    forward, back = brute(spec)
    for name, found in flows_of(spec).items():
        assert found.forward_a == pytest.approx(forward.get(name, 0.0), rel=2e-4, abs=1e-3), (name, spec)
        # From above as well: nothing is shown where nothing can flow.
        assert found.back_a == pytest.approx(back.get(name, 0.0), rel=2e-4, abs=1e-3), (name, spec)


@pytest.mark.parametrize("seed", range(60))
def test_a_power_limit_behind_blocking_joiners(seed: int) -> None:
    """The pack runs down until its outlet stands at its cut-off; the controller holds its power all the way."""
    dice = Random(1000 + seed)
    spec = random_spec(dice)._replace(
        power_w=dice.choice((400.0, 750.0, 1000.0)), limit_a=200.0, regen_a=0.0, charge_a=0.0
    )
    spec = spec._replace(types=[dice.choice(("ideal-diode", "diode")) for _ in spec.types])
    chain = len(spec.packs) == 3
    ways = (
        ((0, (0,), (0,)), (1, (1,), (0,))) if not chain else ((0, (0, 2), (0, 1)), (1, (1, 2), (0, 1)), (2, (3,), (1,)))
    )
    main = len(spec.leads) - 1
    most: dict[str, float] = {}
    for pack, leads, joiners in ways:
        ohm = sum(lead_ohm(spec.leads[n], True) for n in (*leads, main))
        ohm += sum(0.0 if spec.types[n] == "diode" else spec.path_ohm[n] for n in joiners)
        drop_v = sum(0.5 for n in joiners if spec.types[n] == "diode")
        worst_a = 0.0
        for step in range(201):
            outlet_v = spec.packs[pack][2] + (54.6 - spec.packs[pack][2]) * step / 200
            amps = spec.power_w / outlet_v  # type: ignore[operator]
            for _ in range(200):
                amps = spec.power_w / max(30.0, outlet_v - drop_v - amps * ohm)  # type: ignore[operator]
            worst_a = max(worst_a, amps)
        for n in (*leads, main):
            most[f"l{n}"] = max(most.get(f"l{n}", 0.0), worst_a)
    for name, found in flows_of(spec).items():
        assert found.forward_a == pytest.approx(most[name], rel=1e-4), (name, spec)
        assert [charge for _, charge in found.charges] == [0.0]


def curve() -> list[tuple[float, float]]:
    """Charge and volts of one NMC cell, from the table of the shelf."""
    path = Path(packyoke.__file__).parent / "shelf" / "data" / "ocv.csv"
    with path.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["group"] == "layered"]
    return [(float(row["charge_percent"]) / 100, float(row["volts"])) for row in rows]


def volts_at(points: list[tuple[float, float]], charge: float) -> float:
    for (low, low_v), (high, high_v) in pairwise(points):
        if charge <= high:
            return low_v + (charge - low) / (high - low) * (high_v - low_v)
    return points[-1][1]


def shares(spec: Spec, *moments_a: float) -> Iterator[list[list[float]]]:
    """Two bonded packs run down by small steps of time, until one is at its cut-off or empty: what either gives while
    the load draws, and what it would give at each other moment, at that charge [A]."""
    points = curve()
    charge = [1.0, 1.0]
    ohms = [spec.packs[n][0] + lead_ohm(spec.leads[n]) + spec.path_ohm[0] for n in (0, 1)]
    step_s = 5.0
    while min(charge) > 0:
        emf_v = [13 * volts_at(points, each) for each in charge]
        found = []
        for load_a in (spec.limit_a, *moments_a):
            bus_v = (emf_v[0] / ohms[0] + emf_v[1] / ohms[1] - load_a) / (1 / ohms[0] + 1 / ohms[1])
            found.append([(emf_v[n] - bus_v) / ohms[n] for n in (0, 1)])
        amps = found[0]
        if any(emf_v[n] - amps[n] * spec.packs[n][0] <= spec.packs[n][2] for n in (0, 1)):
            return
        yield found
        charge = [charge[n] - amps[n] * step_s / (3600 * spec.capacity_ah[n]) for n in (0, 1)]


@pytest.mark.parametrize("seed", range(60))
def test_bonded_packs_drift_apart(seed: int) -> None:
    dice = Random(2000 + seed)
    spec = random_spec(dice)
    spec = spec._replace(
        packs=[(dice.uniform(0.06, 0.2), 54.6, 39.5) for _ in range(2)],
        types=["plain"],
        path_ohm=spec.path_ohm[:1],
        leads=spec.leads[:3],
        regen_a=0.0,
        charge_a=0.0,
        charge_at=0,
        bonded=True,
        fuse_a=0.5,
        limit_a=18.0,
        capacity_ah=(10.0, dice.choice((10.0, 9.0, 7.0))),
    )
    most = [max(each[0][n] for each in shares(spec)) for n in (0, 1)]
    found = flows_of(spec)
    for n in (0, 1):
        # Steps of 5 s, and a bond that may be 1 mV off.
        assert found[f"l{n}"].forward_a == pytest.approx(most[n], rel=0.01, abs=0.05), spec


@pytest.mark.parametrize("seed", range(30))
def test_bonded_packs_that_drifted_apart_peak_and_brake(seed: int) -> None:
    """A peak and the brake at any moment of the run; braking may also find one pack alone."""
    dice = Random(3000 + seed)
    spec = random_spec(dice)
    regen_a = dice.choice((0.2, 1.0, 6.0))
    spec = spec._replace(
        packs=[(dice.uniform(0.06, 0.2), 54.6, 39.5) for _ in range(2)],
        types=["plain"],
        path_ohm=spec.path_ohm[:1],
        leads=spec.leads[:3],
        regen_a=regen_a,
        charge_a=0.0,
        charge_at=0,
        bonded=True,
        fuse_a=0.5,
        limit_a=18.0,
        capacity_ah=(10.0, dice.choice((10.0, 9.0, 7.0))),
        falls_from_a=24.0,
    )
    states = list(shares(spec, 24.0, 0.0, -regen_a))
    found = flows_of(spec)
    for n in (0, 1):
        peak_a = max(each[1][n] for each in states)
        back_a = max(regen_a, *(-amps[n] for each in states for amps in each[2:]))
        assert found[f"l{n}"].peak_a == pytest.approx(peak_a, rel=0.01, abs=0.05), spec
        assert found[f"l{n}"].back_a == pytest.approx(back_a, rel=0.01, abs=0.05), spec
