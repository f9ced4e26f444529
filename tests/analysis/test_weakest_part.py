"""Builds in which one part is the weakest: bearing just less than flows it is found, bearing just more it is not.

Each build is drawn with everything ample; then wire, contact, fuse, switch, joiner, pack, port and plug become, one
after the other, the weakest. What flows through each part is worked out by hand and stands beside its reason.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any, NamedTuple

import pytest
import yaml

from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.verdict.explore import Trials, decide

OVER, UNDER = 1.01, 0.99
"""What the weakest part bears, as a share of what flows through it."""


class Bike(NamedTuple):
    """A build: who feeds whom, what is special, and what flows through which part [A]."""

    name: str
    leads: str
    """`a>j b>j j>c`: packs are single letters, joiners start with j, controllers with c."""
    special: dict[str, Any]
    flows: dict[str, float]
    because: str


def _lead(source: str, target: str) -> dict[str, Any]:
    return {
        "from": source,
        "to": "controller" if target == "c" else target,
        "length": "300 mm",
        "gauge": "35 mm2",
        "insulation": "silicone",
        "ends": ["ample pin", "ample socket"],
    }


def tree_of(bike: Bike) -> dict[str, Any]:
    pairs = [each.split(">") for each in bike.leads.split()]
    names = list(dict.fromkeys(name for pair in pairs for name in pair))
    controllers = [name for name in names if name.startswith("c")]
    pack = {
        "chemistry": "NMC",
        "series": 13,
        "capacity": "20 Ah",
        "tested_capacity": "20 Ah",
        "cells": "power",
        "discharge": "400 A",
        "charge": "200 A",
        "cut_off": "40 V",
        "resistance": "100 mohm",
        "outlet": "ample socket",
        "charge_inlet": "ample socket",
        "bms": {"charge_path": "common", "data": "none", "wakes": "always"},
        "fuse": {"family": "class T", "rating": "400 A", "voltage": "160 V"},
        "condition": "sound",
    }
    joiner = {
        "type": "ideal-diode",
        "inputs": 4,
        "ceiling": "100 V",
        "current": "400 A",
        "resistance": "1 mohm",
        "blocks_in": "positive",
        "inlets": "ample pin",
        "mount": "frame metal",
    }
    control = {
        "voltage": {"min": "20 V", "max": "100 V"},
        "battery_current": "30 A",
        "low_voltage_cut": "40 V",
        "regen": "none",
        "inlet": "ample pin",
        "capacitance": "1 mF",
    }
    tree: dict[str, Any] = {
        "packyoke": 1,
        "name": "weakest part (invented)",
        "bike": {"drive": {"type": "mid motor"}},
        "packs": {name: deepcopy(pack) for name in names if name in "abd"},
        "joiners": {name: deepcopy(joiner) for name in names if name.startswith("j")},
        "leads": {f"{a}-{b}": _lead(a, b) for a, b in pairs},
        "parts": {"connectors": {"ample": {"per_contact": "400 A", "contacts": "pin and socket"}}},
    }
    for name in tree["joiners"]:
        tree["joiners"][name]["outlet"] = ["ample socket"] * sum(a == name for a, _ in pairs)
    tree |= (
        {"controller": control}
        if controllers == ["c"]
        else {"controllers": {n: deepcopy(control) for n in controllers}}
    )
    for path, value in bike.special.items():
        put(tree, path, value)
    for name, each in tree["joiners"].items():
        if each.get("type") in ("plain", "selector"):
            del tree["joiners"][name]["blocks_in"]
        if each.get("type") == "diode":
            del tree["joiners"][name]["resistance"]
    return tree


def put(tree: dict[str, Any], path: str, value: Any) -> None:
    at: Any = tree
    *way, last = path.split(".")
    for step in way:
        at = at.setdefault(step, {})
    if value is None:
        at.pop(last, None)
    else:
        at[last] = yaml.safe_load(value) if isinstance(value, str) else value


def section_of(tree: dict[str, Any], part: str) -> str:
    return next(s for s in ("packs", "joiners", "leads", "chargers") if part in tree.get(s, {}))


ROWS = [
    ("20 AWG", 0),
    ("18 AWG", 20),
    ("16 AWG", 25),
    ("14 AWG", 30),
    ("12 AWG", 40),
    ("10 AWG", 55),
    ("8 AWG", 70),
    ("6 AWG", 100),
    ("4 AWG", 135),
]
"""33 CFR 183.425 table 5, 90 degC, 30 degC air."""


def wire(amps: float, bears: bool) -> str:
    """The thinnest wire that bears so much, or the next one below it."""
    at = next(n for n, (_, most_a) in enumerate(ROWS) if most_a >= amps)
    return ROWS[at if bears else at - 1][0]


WEAK = {
    "wire": "lead-overheats",
    "contact": "connector-overloaded",
    "outlet": "connector-overloaded",
    "fuse": "fuse-nuisance",
    "switch": "switch-overloaded",
    "joiner": "joiner-overloaded",
    "discharge": "pack-overloaded",
    "charge": "regen-trapped charger-current packs-rush",
    "inlet": "charge-port-overloaded",
    "plug": "charge-port-overloaded",
    "port": "charge-port-overloaded",
}


def outlet(tree: dict[str, Any], source: str, lead: str) -> None:
    """A weak outlet on a pack, or at the one lead of a joiner."""
    if source in tree["packs"]:
        tree["packs"][source]["outlet"] = "weak socket"
        return
    leads = [name for name, each in tree["leads"].items() if each["from"] == source]
    tree["joiners"][source]["outlet"] = ["weak socket" if name == lead else "ample socket" for name in leads]


def weaken(tree: dict[str, Any], kind: str, part: str, flows_a: float, share: float) -> None:
    """Make one thing bear just so much."""
    at = tree[section_of(tree, part)][part]
    amps = flows_a * share
    weak = {"per_contact": f"{amps} A", "contacts": "pin and socket", "mates": ["ample"]}
    if kind == "wire":
        at["gauge"] = wire(flows_a, share > 1)
    elif kind in ("contact", "outlet", "inlet", "plug"):
        tree["parts"]["connectors"]["weak"] = weak
        if kind == "contact":
            at["ends"] = ["ample pin", "weak socket"]
        elif kind == "outlet":
            outlet(tree, at["from"], part)
        elif kind == "inlet":
            at["charge_inlet"] = "weak socket"
        else:
            at["plug"] = "weak"
    elif kind == "fuse":
        at["fuse"] = {"family": "class T", "rating": f"{amps / 0.8} A", "voltage": "160 V"}
    elif kind == "switch":
        at["switch"] = {"rating": f"{amps} A", "breaks": "100 V"}
    elif kind == "joiner":
        at["current"] = f"{amps} A"
    elif kind == "port":
        tree["joiners"][at["through"]]["charge_port"]["current"] = f"{amps} A"
    else:
        at[kind] = f"{amps} A"


def kinds_for(tree: dict[str, Any], part: str) -> list[str]:
    """What can be the weakest of a part; `a<` is pack a as it is charged, through its outlet or its own socket."""
    if part.endswith("<"):
        own_socket = any("through" not in each for each in tree.get("chargers", {}).values())
        return ["charge", "inlet" if own_socket else "fuse"]
    section = section_of(tree, part)
    if section == "chargers":
        through = tree["joiners"].get(tree["chargers"][part].get("through"), {})
        return ["plug", "port"] if isinstance(through.get("charge_port"), dict) else ["plug"]
    return {
        "joiners": ["joiner"],
        "packs": ["discharge", "fuse"],
        "leads": ["wire", "contact", "outlet", "fuse", "switch"],
    }[section]


def judged(tree: dict[str, Any], rules: str) -> int:
    """The gravest that some rules say of any part."""
    build = load(yaml.safe_dump(tree, sort_keys=False), "weakest.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    trials = Trials(build)
    found = 0
    for rule in RULES:
        if rule.name in rules.split():
            for part in rule.parts(trials.plain):
                found = max(found, decide(trials, rule, part.path).severity)
    return found


PLAIN2 = {"joiners.j.type": "plain", "joiners.j.bonded": "{by: 0.001 V, charged: together}"}
BONDED = "{by: 0.001 V, charged: together}"
PORT = "{current: 100 A, blocks: each pack, inlet: ample socket}"
BIKES = [
    Bike("one pack", "a>c", {}, {"a": 30, "a-c": 30}, "one way"),
    Bike(
        "one pack brakes",
        "a>c",
        {"controller.regen": "{current: 45 A}"},
        {"a<": 45, "a-c": 45},
        "45 A back is more than 30 A out",
    ),
    Bike("two behind ideal diodes", "a>j b>j j>c", {}, {"a": 30, "b-j": 30, "j-c": 30, "j": 30}, "either is alone"),
    Bike(
        "two behind diodes",
        "a>j b>j j>c",
        {"joiners.j.type": "diode", "joiners.j.forward_voltage": "0.5 V"},
        {"a": 30, "b-j": 30, "j-c": 30, "j": 30},
        "either is alone",
    ),
    Bike(
        "selector",
        "a>j b>j j>c",
        {"joiners.j.type": "selector", "joiners.j.makes": "after break"},
        {"a": 30, "b-j": 30, "j": 30},
        "one at a time",
    ),
    Bike(
        "selector brakes",
        "a>j b>j j>c",
        {"joiners.j.type": "selector", "joiners.j.makes": "after break", "controller.regen": "{current: 45 A}"},
        {"a<": 45, "b-j": 45, "j": 45, "j-c": 45},
        "into the one that is on",
    ),
    Bike(
        "one input plain brakes",
        "a>j j>c",
        {"joiners.j.type": "plain", "controller.regen": "{current: 45 A}"},
        {"a<": 45, "a-j": 45, "j": 45, "j-c": 45},
        "one way",
    ),
    Bike("bonded", "a>j b>j j>c", PLAIN2, {"a-j": 30, "j": 30, "j-c": 30}, "the other drops out"),
    Bike(
        "bonded brakes",
        "a>j b>j j>c",
        {**PLAIN2, "controller.regen": "{current: 45 A}"},
        {"a<": 45, "b<": 45, "a-j": 45, "j": 45, "j-c": 45},
        "the other is out: what brakes goes into one",
    ),
    Bike(
        "nested bonds",
        "a>j b>j j>j2 d>j2 j2>c",
        {**PLAIN2, "joiners.j2.type": "plain", "joiners.j2.bonded": BONDED},
        {"a-j": 30, "j": 30, "j-j2": 30, "d-j2": 30, "j2": 30, "j2-c": 30},
        "the others drop out",
    ),
    Bike(
        "nested bonds brake",
        "a>j b>j j>j2 d>j2 j2>c",
        {**PLAIN2, "joiners.j2.type": "plain", "joiners.j2.bonded": BONDED, "controller.regen": "{current: 45 A}"},
        {"a<": 45, "a-j": 45, "j": 45, "j-j2": 45, "d-j2": 45, "j2": 45, "j2-c": 45},
        "into the one that is left",
    ),
    Bike(
        "bonded behind blocking",
        "a>j b>j j>j2 d>j2 j2>c",
        PLAIN2,
        {"a-j": 30, "j": 30, "j-j2": 30, "d": 30, "d-j2": 30, "j2": 30},
        "one is left, or they are highest",
    ),
    Bike(
        "chain of ideal diodes",
        "a>j b>j j>j2 d>j2 j2>c",
        {},
        {"a": 30, "a-j": 30, "j": 30, "j-j2": 30, "j2": 30},
        "a alone",
    ),
    Bike(
        "plain pair over blocking",
        "a>j b>j j>j2 d>j2 j2>c",
        {"joiners.j2.type": "plain", "packs.d.charge": "200 A", "controller.battery_current": "1 A"},
        {"j-j2": 94.0, "d-j2": 94.0},
        "a and b full into d: (54.6 - 40) V / (51 + 2.1 + 102.1 mohm), leads 0.3 mohm of wire, 0.8 of contacts",
    ),
    Bike(
        "two controllers",
        "a>j b>j j>c1 j>c2",
        {"controllers.c2.battery_current": "25 A"},
        {"a": 55, "a-j": 55, "j-c2": 25},
        "30 + 25 A; 25 A in the second lead",
    ),
    Bike(
        "two controllers brake",
        "a>j j>c1 j>c2",
        {
            "joiners.j.type": "plain",
            "controllers.c1.regen": "{current: 40 A}",
            "controllers.c2.regen": "{current: 25 A}",
            "controllers.c2.battery_current": "15 A",
        },
        {"a<": 65, "a-j": 65, "j": 65, "j-c1": 40, "j-c2": 25},
        "both brake at once",
    ),
    Bike(
        "lamp at a pack",
        "a>j b>j j>c",
        {"accessories.lamp": "{from: a, max: 100 V, current: 5 A, fuse: none}"},
        {"a": 35, "a-j": 35, "b-j": 30, "j-c": 30},
        "30 + 5 A out of a",
    ),
    Bike(
        "lamp at the joiner",
        "a>j b>j j>c",
        {"accessories.lamp": "{from: j, max: 100 V, current: 5 A, fuse: none}"},
        {"a": 35, "b-j": 35, "j": 35, "j-c": 30},
        "30 + 5 A up to the joiner",
    ),
    Bike(
        "lamp at the main lead",
        "a>j b>j j>c",
        {"accessories.lamp": "{from: j-c, max: 100 V, current: 5 A, fuse: none}"},
        {"a": 35, "b-j": 35, "j": 35, "j-c": 35},
        "up to its load end",
    ),
    Bike(
        "lamp on a lead",
        "a>j b>j j>c",
        {"accessories.lamp": "{from: a-j, max: 100 V, current: 5 A, fuse: none}"},
        {"a": 35, "a-j": 35, "b-j": 30, "j": 30},
        "its lead only",
    ),
    Bike(
        "lamp at two bonded packs",
        "a>j b>j j>c",
        {**PLAIN2, "accessories.lamp": "{from: [a, b], max: 100 V, current: 5 A, fuse: none}"},
        {"a-j": 35, "b-j": 35},
        "either may give all of it",
    ),
    Bike(
        "power limit",
        "a>c",
        {"controller.battery_current": "200 A", "controller.power_limit": "1500 W", "leads.a-c.length": "180 mm"},
        {"a": 37.7, "a-c": 37.7},
        "1500 W / 40 V = 37.5 A; 37.7 A on 5 mohm (4 contacts of 1 mohm, 0.36 m of 35 mm2) take 0.2 V: 1500 / 39.8",
    ),
    Bike(
        "falls back",
        "a>j b>j j>c",
        {"controller.battery_current": "{limit: 60 A, falls_to: 30 A after 600 s}"},
        {"j": 60},
        "no peak is given for the joiner",
    ),
    Bike(
        "can be set higher",
        "a>j b>j j>c",
        {"controller.battery_current": "{limit: 20 A, adjustable_to: 50 A}"},
        {"a": 50, "a-j": 50, "j": 50, "j-c": 50},
        "somebody will",
    ),
    Bike(
        "charge port",
        "a>j b>j j>c",
        {"joiners.j.charge_port": PORT, "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}"},
        {"a<": 45, "b<": 45, "a-j": 45, "b-j": 45, "box": 45},
        "the lower takes it all",
    ),
    Bike(
        "charge port at a chain",
        "a>j b>j j>j2 d>j2 j2>c",
        {"joiners.j.charge_port": PORT, "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}"},
        {"a<": 45, "a-j": 45, "b-j": 45, "j-j2": 30, "d-j2": 30, "box": 45},
        "past the paths of j only",
    ),
    Bike(
        "charge port for one",
        "a>j b>j j>c",
        {
            "joiners.j.charge_port": "{current: 100 A, blocks: each pack, inlet: ample socket, reaches: [a]}",
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "b-j": 30},
        "reaches a",
    ),
    Bike(
        "charged through bonds",
        "a>j b>j j>c",
        {
            **PLAIN2,
            "joiners.j.charge_port": "none",
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "b-j": 45, "j": 45, "j-c": 30},
        "one that is left takes it all",
    ),
    Bike(
        "charged through a selector",
        "a>j b>j j>c",
        {
            "joiners.j.type": "selector",
            "joiners.j.makes": "after break",
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "b-j": 45, "j": 45},
        "into the one that is on",
    ),
    Bike(
        "charged through nested bonds",
        "a>j b>j j>j2 d>j2 j2>c",
        {
            **PLAIN2,
            "joiners.j2.type": "plain",
            "joiners.j2.bonded": BONDED,
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "j": 45, "j-j2": 45, "d-j2": 45, "d<": 45, "j2": 45},
        "onward into d, when d is alone",
    ),
    Bike(
        "charged past a joiner with nothing else on it",
        "a>j j>j2 j2>j3 d>j3 j3>c",
        {
            "joiners.j.type": "plain",
            "joiners.j2.type": "plain",
            "joiners.j3.type": "plain",
            "joiners.j3.bonded": BONDED,
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "j": 45, "j-j2": 45, "j2": 45, "j2-j3": 45, "j3": 45, "d-j3": 45, "d<": 45},
        "onward through both into d, when d is alone",
    ),
    Bike(
        "charged at a fork",
        "a>j j>j2 j>j3 d>j3 j2>c1 j3>c2",
        {
            "joiners.j.type": "plain",
            "joiners.j2.type": "plain",
            "joiners.j3.type": "plain",
            "joiners.j3.bonded": BONDED,
            "chargers.box": "{output: 54.6 V, current: 75 A, plug: ring, through: j}",
        },
        {"a<": 75, "a-j": 75, "j-j3": 75, "d-j3": 75, "d<": 75, "j2-c1": 30},
        "onward into d, when d is alone",
    ),
    Bike(
        "two chargers in two joiners",
        "a>j b>j j>j2 d>j2 j2>c",
        {
            **PLAIN2,
            "joiners.j2.type": "plain",
            "joiners.j2.bonded": BONDED,
            "chargers.box": "{output: 54.6 V, current: 25 A, plug: ring, through: j}",
            "chargers.bin": "{output: 54.6 V, current: 20 A, plug: ring, through: j2}",
        },
        {"a<": 45, "a-j": 45, "j": 45, "d-j2": 45},
        "both at once, into the one that is left",
    ),
    Bike(
        "selector into plain",
        "a>j b>j j>j2 d>j2 j2>c",
        {
            "joiners.j.type": "selector",
            "joiners.j.makes": "after break",
            "joiners.j2.type": "plain",
            "controller.battery_current": "1 A",
        },
        {"j-j2": 70.7, "d-j2": 70.7, "a-j": 70.7},
        "a or b against d: 14.6 V / (102.1 + 2.1 + 102.1 mohm), either way",
    ),
    Bike(
        "port of a plain joiner",
        "a>j b>j j>j2 d>j2 j2>c",
        {
            **PLAIN2,
            "joiners.j2.type": "plain",
            "joiners.j2.bonded": BONDED,
            "joiners.j.charge_port": PORT,
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "j": 45, "j-j2": 45, "d-j2": 45, "d<": 45, "j2": 45},
        "nothing keeps them apart",
    ),
    Bike(
        "braking past a charge port",
        "a>j j>c",
        {
            "joiners.j.type": "plain",
            "joiners.j.charge_port": PORT,
            "controller.regen": "{current: 35 A}",
            "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, through: j}",
        },
        {"a<": 45, "a-j": 45, "j-c": 35},
        "never both at once",
    ),
    Bike(
        "three chargers in a chain",
        "a>j j>j2 j2>j3 j3>c",
        {
            "joiners.j.type": "plain",
            "joiners.j2.type": "plain",
            "joiners.j3.type": "plain",
            "chargers.box": "{output: 54.6 V, current: 15 A, plug: ring, through: j}",
            "chargers.bin": "{output: 54.6 V, current: 20 A, plug: ring, through: j2}",
            "chargers.can": "{output: 54.6 V, current: 25 A, plug: ring, through: j3}",
        },
        {"a<": 60, "a-j": 60, "j-j2": 45, "j": 60, "j2": 45},
        "each adds on the way to the pack",
    ),
    Bike(
        "split charging lead",
        "a>j b>j j>c",
        {**PLAIN2, "chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, y_lead: [a, b]}"},
        {"a<": 45, "b<": 45, "box": 45},
        "the lower takes it all",
    ),
    Bike(
        "charger at its own socket",
        "a>j b>j j>c",
        {"chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, fits: [a]}"},
        {"a<": 45, "box": 45},
        "one way",
    ),
    Bike(
        "charger without fits",
        "a>j b>j j>c",
        {"chargers.box": "{output: 54.6 V, current: 45 A}"},
        {"a<": 45, "b<": 45},
        "meant for both",
    ),
    Bike(
        "split charging lead on two",
        "a>c1 b>c2",
        {"chargers.box": "{output: 54.6 V, current: 45 A, plug: ring, y_lead: [a, b]}"},
        {"a<": 45, "b<": 45, "box": 45},
        "the lower takes it all",
    ),
    Bike(
        "bike maker's joiner",
        "a>j b>j j>c",
        {
            "joiners.j": {
                "built_in": {"packs": 2, "full_charge": "54.6 V", "current": "200 A"},
                "type": "ideal-diode",
                "inputs": 2,
                "inlets": "ample pin",
                "outlet": "ample socket",
                "blocks_in": "positive",
                "resistance": "1 mohm",
                "ceiling": "100 V",
            }
        },
        {"a": 30, "a-j": 30, "j-c": 30},
        "either is alone",
    ),
]


def every() -> list[Any]:
    found = []
    for bike in BIKES:
        tree = tree_of(bike)
        for part, amps in bike.flows.items():
            for kind in kinds_for(tree, part):
                found.append(pytest.param(bike, part.rstrip("<"), kind, amps, id=f"{bike.name}: {kind} of {part}"))
    return found


@pytest.mark.parametrize(("bike", "part", "kind", "amps"), every())
def test_the_weakest_part_is_found(bike: Bike, part: str, kind: str, amps: float) -> None:
    rules = WEAK[kind]
    levels = []
    for share in (UNDER, OVER):
        tree = tree_of(bike)
        weaken(tree, kind, part, amps, share)
        levels.append(judged(tree, rules))
    assert levels[0] in (Severity.CAUTION, Severity.STOP), bike.because
    assert levels[1] < Severity.CAUTION, bike.because
