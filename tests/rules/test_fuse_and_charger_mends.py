"""What the fuse and charger rules advise: tried on the whole build, with these rules judging it."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.buildfile.reading import load
from packyoke.model import Build
from packyoke.rules import reversible_plug
from packyoke.rules.outcome import Failed
from packyoke.verdict.judge import judge, judge_build
from packyoke.verdict.mending import Workshop
from packyoke.verdict.trials import Trials
from tests.support import edited

NAMES = (
    "fuse_missing",
    "fuse_oversized",
    "fuse_nuisance",
    "fuse_voltage",
    "fuse_breaking",
    "charger_voltage",
    "charger_current",
    "charge_blocked",
    "charge_port_overloaded",
    "charger_mixup",
    "lead_overheats",
)
RULES = tuple(import_module(f"packyoke.rules.{name}").RULE for name in NAMES)
PORT = {"current": "3 A", "blocks": "each pack", "inlet": "XT60 socket"}


def advised(base: str, put: dict[str, Any], rule: str, part: str) -> list[str]:
    build = load(edited(base, put), f"{base}.yaml")
    assert isinstance(build, Build), [each.message for each in build]
    decisions = judge_build(build, RULES)
    (decision,) = [each for each in decisions if each.rule.name == rule and each.path == part and each.severity]
    workshop = Workshop(Trials(build), decisions, lambda changed: judge(changed, RULES))
    return [tried.mend.text for tried in workshop.first_of_each_family(decision)]


SKERRY, BREAKWATER, QUAY = "skerry-long-tail", "breakwater-three-packs", "quay-plain-trike"
BLADE = {"family": "blade", "rating": "40 A", "voltage": "58 V", "sealed": "yes"}
SEALED = {"family": "class T", "rating": "30 A", "voltage": "160 V", "sealed": "yes"}


@pytest.mark.parametrize(
    ("base", "put", "rule", "part", "texts"),
    [
        pytest.param(
            SKERRY,
            {"leads.main lead.gauge": "14 AWG"},
            "fuse-oversized",
            "leads.main lead",
            [
                "10 AWG silicone, 52.7 A",
                "12 AWG silicone, 38.3 A, and a 35 A class T fuse and holder, 160 V d.c., in this lead, at yoke",
            ],
            id="one fuse too big: the gauge that takes all, or a thinner one with a fuse at the joiner",
        ),
        pytest.param(
            SKERRY,
            {"packs.pannier.fuse.rating": "30 A", "leads.main lead.gauge": "12 AWG"},
            "fuse-nuisance",
            "packs.pannier",
            ["A 35 A fuse", "Set the controller to 23.5 A"],
            id="a larger fuse by itself: 75 A of two on the main lead, that takes 57.5 A, are a note, as 70 A were",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse.rating": "25 A", "leads.keel lead.gauge": "18 AWG"},
            "fuse-nuisance",
            "packs.keel",
            ["A 35 A fuse, and keel lead in 12 AWG silicone (38.3 A)", "Set the controller to 19.5 A"],
            id="the lead is too thin for the fuse that is there: never a larger one by itself",
        ),
        pytest.param(
            SKERRY,
            {"packs.pannier.fuse.rating": "30 A", "leads.pannier lead.gauge": "2.5 mm2"},
            "fuse-nuisance",
            "packs.pannier",
            ["A 35 A fuse, and pannier lead in 4 mm2 silicone (39.7 A)", "Set the controller to 23.5 A"],
            id="a larger fuse, and the lead that is too thin for it alone",
        ),
        pytest.param(
            SKERRY,
            {"leads.keel lead.gauge": "1.5 mm2"},
            "fuse-oversized",
            "leads.keel lead",
            ["4 mm2 silicone, 39.7 A"],
            id="2.5 mm2 takes 30 A, and 25.5 A of load asks for 35 A",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse.rating": "45 A"},
            "fuse-oversized",
            "leads.keel lead",
            ["10 AWG silicone, 52.7 A, and XT90 in place of XT60 on both halves", "A 40 A fuse at keel"],
            id="the next size down, in its place",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse": {**SEALED, "rating": "60 A"}},
            "fuse-oversized",
            "leads.keel lead",
            [
                "10 AWG silicone, 52.7 A, and XT90 in place of XT60 on both halves",
                "A 40 A class T fuse and holder, 160 V d.c., in this lead, at keel",
            ],
            id="a sealed fuse stays, a smaller one comes in front",
        ),
        pytest.param(
            BREAKWATER,
            {"leads.motor lead.fuse": "none"},
            "fuse-oversized",
            "leads.motor lead",
            ["A 60 A class T fuse and holder, 160 V d.c., in this lead, at second"],
            id="three fuses of 30 A on 40 A: one fuse at the outlet; 70 A of wire fits no keyed plug",
        ),
        pytest.param(
            SKERRY,
            {"leads.pannier lead.run": "beside 1 others"},
            "fuse-oversized",
            "leads.pannier lead",
            ["Run it by itself (38.3 A)"],
            id="away from its neighbour",
        ),
        pytest.param(
            SKERRY,
            {"accessories.lamp.fuse.rating": "15 A", "accessories.lamp.gauge": "18 AWG"},
            "fuse-oversized",
            "accessories.lamp",
            ["A 10 A fuse", "16 AWG wire"],
            id="a tap: 18 AWG takes 10 A, 16 AWG 13.7 A and so 15 A",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse": "none", "leads.keel lead.gauge": "14 AWG"},
            "fuse-missing",
            "packs.keel",
            [
                "Fit a 35 A class T fuse and holder, 160 V d.c., at the outlet, "
                "and keel lead in 12 AWG silicone (38.3 A)"
            ],
            id="a fuse and the lead that it guards",
        ),
        pytest.param(
            SKERRY,
            {
                "packs.pannier.fuse": "none",
                "leads.pannier lead.fuse": {"family": "class T", "rating": "35 A", "voltage": "160 V", "at": "300 mm"},
            },
            "fuse-missing",
            "leads.pannier lead",
            ["Move the fuse to the end where the current comes from"],
            id="a fuse too far along",
        ),
        pytest.param(
            SKERRY,
            {"packs.pannier.fuse.rating": "30 A"},
            "fuse-nuisance",
            "packs.pannier",
            ["A 35 A fuse", "Set the controller to 23.5 A"],
            id="25.5 A: 35 A, or 24 A less the lamp",
        ),
        pytest.param(
            SKERRY,
            {"packs.pannier.fuse": SEALED},
            "fuse-nuisance",
            "packs.pannier",
            ["Set the controller to 23.5 A"],
            id="a sealed fuse stays",
        ),
        pytest.param(
            SKERRY,
            {"accessories.lamp.current": "1.7 A"},
            "fuse-nuisance",
            "accessories.lamp",
            ["A 3 A fuse"],
            id="1.7 A / 0.8 = 2.1 A",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse": BLADE},
            "fuse-voltage",
            "packs.keel",
            ["A 35 A class T fuse and holder, 160 V d.c., in keel lead, at the outlet"],
            id="a sealed fuse: a smaller one in front",
        ),
        pytest.param(
            SKERRY,
            {"packs.keel.fuse": {**BLADE, "sealed": "no"}},
            "fuse-voltage",
            "packs.keel",
            ["A 40 A class T fuse and holder, 160 V d.c., in its place"],
            id="one that can be reached",
        ),
        pytest.param(
            BREAKWATER,
            {"packs.north.resistance": "40 mohm"},
            "fuse-breaking",
            "packs.north",
            ["A 30 A 10x38 fuse and holder, 1000 V d.c., in its place"],
            id="1365 A",
        ),
        pytest.param(
            SKERRY,
            {"packs.pannier.series": "13", "packs.keel.series": "13"},
            "charger-voltage",
            "chargers.counter",
            ["A 54.6 V charger"],
            id="the voltage that both packs charge to",
        ),
        pytest.param(
            SKERRY,
            {
                "packs.pannier.series": "13",
                "chargers.small": {"output": "54.6 V", "current": "2 A", "plug": "5.5 mm barrel", "fits": ["pannier"]},
            },
            "charger-voltage",
            "chargers.counter",
            ["A 54.6 V charger"],
            id="taken away from the pannier it would still plug into it; 54.6 V leaves keel not full: a caution",
        ),
        pytest.param(
            SKERRY,
            {
                "packs.pannier.series": "13",
                "chargers.small": {"output": "54.6 V", "current": "2 A", "plug": "XLR 3", "fits": ["pannier"]},
            },
            "charger-voltage",
            "chargers.counter",
            ["Take pannier out of  fits:", "A 54.6 V charger"],
            id="with another plug on the pannier it may be kept for keel",
        ),
        pytest.param(
            SKERRY,
            {"chargers.counter.current": "5 A"},
            "charger-current",
            "chargers.counter",
            ["A charger of at most 4 A", "Take pannier out of  fits:"],
            id="keel takes 6 A",
        ),
        pytest.param(
            SKERRY,
            {"chargers.counter.current": "7 A"},
            "charger-current",
            "chargers.counter",
            ["A charger of at most 4 A"],
            id="no pack takes 7 A",
        ),
        pytest.param(
            QUAY,
            {"packs.new.charge": "2 A", "chargers.kitchen.through": "y"},
            "charger-current",
            "chargers.kitchen",
            ["A charger of at most 2 A"],
            id="through a joiner no pack can be taken out",
        ),
        pytest.param(
            SKERRY,
            {"chargers.counter.through": "yoke"},
            "charge-blocked",
            "chargers.counter",
            ["Charge each pack by itself, at its own socket"],
            id="behind a blocking joiner",
        ),
        pytest.param(
            SKERRY,
            {"chargers.counter.through": "yoke", "joiners.yoke.charge_port": PORT},
            "charge-port-overloaded",
            "chargers.counter",
            ["A charger of at most 3 A", "Charge each pack by itself, at its own socket"],
            id="a port for 3 A",
        ),
    ],
)
def test_the_mends_that_work(base: str, put: dict[str, Any], rule: str, part: str, texts: list[str]) -> None:
    assert advised(base, put, rule, part) == texts


def test_opposite_halves_are_of_the_kind_that_can_be_crossed() -> None:
    """Nobody has described the end of the lead: the inlet that it goes into tells, not the joiner at its other end."""
    text = edited("skerry-long-tail", {"controller.inlet": "4 mm bullet pin"}, ["leads.main lead.ends"])
    build = load(text, "x.yaml")
    assert isinstance(build, Build)
    found = reversible_plug.RULE.check(Case(build), build.leads["main lead"])
    assert isinstance(found, Failed)
    opposite = next(mend for family in found.mends for mend in family if mend.text.startswith("Opposite halves"))
    inlet, ends = (change.value for change in opposite.changes)
    assert (inlet.family, inlet.plus, inlet.minus) == ("4 mm bullet", "pin", "socket")
    assert [end and (end.family, end.plus, end.minus) for end in ends] == [None, ("4 mm bullet", "socket", "pin")]
