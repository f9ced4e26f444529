"""What the current rules advise: worked out, tried on the whole build, and nothing else."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.limits.settings import at_least_a, at_most_a
from packyoke.buildfile.reading import load
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.rules.mends import NO_RUSH
from packyoke.verdict.judge import judge, judge_build
from packyoke.verdict.mending import Workshop
from packyoke.verdict.trials import Trials
from tests.support import edited

DIODE = {"joiners.yoke.type": "diode", "joiners.yoke.forward_voltage": "0.55 V"}
CASES: list[tuple[str, str, str, str, dict[str, Any], list[str], list[str]]] = [
    (
        "one pack alone carries 25.5 A",
        "skerry-long-tail",
        "pack-overloaded",
        "packs.pannier",
        {"packs.pannier.discharge": "25 A"},
        [],
        ["Set the controller to 24.5 A", "A pack that gives 25.5 A"],
    ),
    (
        "a peak is lowered, what it falls to stays",
        "skerry-long-tail",
        "pack-overloaded",
        "packs.pannier",
        {"controller.battery_current": {"limit": "30 A", "falls_to": "25 A after 5 s"}},
        [],
        ["Set the controller to 29.5 A, falling to 25 A", "A pack that gives 25.5 A, and 30.5 A for 5 s"],
    ),
    (
        "both figures are both too much",
        "skerry-long-tail",
        "pack-overloaded",
        "packs.pannier",
        {
            "controller.battery_current": {"limit": "30 A", "falls_to": "25 A after 5 s"},
            "packs.pannier.discharge": "20 A",
        },
        [],
        ["Set the controller to 19.5 A", "A pack that gives 25.5 A, and 30.5 A for 5 s"],
    ),
    (
        "a controller that can be set higher is locked",
        "skerry-long-tail",
        "pack-overloaded",
        "packs.pannier",
        {"controller.battery_current": {"limit": "20 A", "adjustable_to": "30 A"}},
        [],
        ["Set the controller to 29.5 A, and lock it there", "A pack that gives 30.5 A"],
    ),
    (
        "one of two controllers by its name",
        "jetty-two-drives",
        "pack-overloaded",
        "packs.port",
        {"packs.port.discharge": "14 A"},
        [],
        ["Set left to 14 A", "A pack that gives 15 A"],
    ),
    (
        "two controllers on one pack: no single setting is the answer",
        "windlass-two-outlets",
        "pack-overloaded",
        "packs.aft",
        {"packs.aft.discharge": "39.9 A"},
        [],
        ["A pack that gives 40 A"],
    ),
    (
        "a pack that another one feeds: the joiner, not the setting",
        "quay-plain-trike",
        "pack-overloaded",
        "packs.old",
        {},
        [],
        [
            # Behind a blocking joiner nothing holds what the hub makes: 65 km/h lift the controller to 78 V.
            "An ideal-diode joiner in place of y, so that no pack feeds another, and with it change controller for "
            "parts that bear 78 V (reached at 65 km/h)"
        ],
    ),
    (
        "a fuse that another pack blows: the joiner, no larger fuse",
        "quay-plain-trike",
        "fuse-nuisance",
        "packs.old",
        {"bike.drive": {"type": "geared hub"}},
        [],
        ["An ideal-diode joiner in place of y, so that no pack feeds another"],
    ),
    (
        "a wire that fits both plugs and that the fuse suits",
        "skerry-long-tail",
        "lead-overheats",
        "leads.keel lead",
        {"leads.keel lead.gauge": "16 AWG", "leads.keel lead.insulation": "PVC", "warmest": "30 degC"},
        [],
        ["12 AWG silicone, 40 A", "Set the controller to 14.5 A"],
    ),
    (
        "out of the bundle",
        "skerry-long-tail",
        "lead-overheats",
        "leads.main lead",
        {"leads.main lead.run": "beside 2 others", "warmest": "30 degC", "controller.battery_current": "34 A"},
        [],
        # 8 AWG is too thick for an XT90, and nothing larger is keyed.
        ["Run it by itself (55 A)", "Set the controller to 33 A"],
    ),
    (
        "alone it would be too thin as well",
        "skerry-long-tail",
        "lead-overheats",
        "leads.main lead",
        {"leads.main lead.run": "beside 2 others", "leads.main lead.gauge": "18 AWG", "warmest": "30 degC"},
        [],
        ["10 AWG silicone, 33 A", "Set the controller to 12 A"],
    ),
    (
        "larger plugs on both halves",
        "skerry-long-tail",
        "connector-overloaded",
        "leads.keel lead",
        {"controller.battery_current": "29.51 A"},
        [],
        ["XT90 on both halves, 45 A (cautious)", "Set the controller to 29.5 A"],
    ),
    (
        "larger plugs where the outlet is the weak half",
        "skerry-long-tail",
        "connector-overloaded",
        "leads.keel lead",
        {"packs.keel.outlet": "XT30 socket"},
        [],
        ["XT60 on both halves, 30 A (cautious)", "Set the controller to 14.5 A"],
    ),
    (
        "larger plugs at a joiner with two inlets",
        "breakwater-three-packs",
        "connector-overloaded",
        "leads.north lead",
        {"controller.battery_current": "31 A"},
        [],
        ["XT90 on both halves, 45 A (cautious)", "Set the controller to 30 A"],
    ),
    (
        "larger plugs from joiner to controller",
        "breakwater-three-packs",
        "connector-overloaded",
        "leads.motor lead",
        {"controller.battery_current": "31 A"},
        [],
        ["XT90 on both halves, 45 A (cautious)", "Set the controller to 30 A"],
    ),
    (
        "a joiner for the whole load",
        "skerry-long-tail",
        "joiner-overloaded",
        "joiners.yoke",
        {"joiners.yoke.current": "25 A"},
        [],
        ["Set the controller to 24.5 A", "A joiner that carries 25.5 A on each path"],
    ),
    (
        "a joiner for the peak",
        "skerry-long-tail",
        "joiner-overloaded",
        "joiners.yoke",
        {
            "controller.battery_current": {"limit": "29 A", "falls_to": "20 A after 5 s"},
            "joiners.yoke.current": "25 A",
        },
        [],
        [
            "Set the controller to 24.5 A, falling to 20 A",
            "A joiner that carries 20.5 A, and 29.5 A for 5 s on each path",
        ],
    ),
    (
        "the bike maker's joiner cannot be had larger",
        "sluice-second-port",
        "joiner-overloaded",
        "joiners.frame port",
        {"joiners.frame port.built_in": {"packs": "2", "full_charge": "54.6 V", "current": "18 A"}},
        [],
        ["Set the controller to 18 A"],
    ),
    (
        "a cooler kind of joiner, or the current that a hand stands",
        "skerry-long-tail",
        "joiner-overheats",
        "joiners.yoke",
        DIODE,
        ["joiners.yoke.resistance"],
        ["An ideal-diode joiner of 2 mohm in its place", "Set the controller to 17.6 A"],
    ),
    (
        "metal on the frame",
        "skerry-long-tail",
        "joiner-overheats",
        "joiners.yoke",
        {"joiners.yoke.mount": "wrapped", "joiners.yoke.resistance": "5 mohm"},
        [],
        ["Mount it with its metal tight on the frame", "Set the controller to 13.8 A"],
    ),
    (
        "a thicker or a shorter lead",
        "skerry-long-tail",
        "voltage-drop",
        "leads.pannier lead",
        {"leads.pannier lead.length": "3 m", "leads.pannier lead.gauge": "14 AWG"},
        [],
        ["12 AWG (2.32 %)", "At most 2.55 m of it"],
    ),
    (
        "metric stays metric",
        "skerry-long-tail",
        "voltage-drop",
        "leads.pannier lead",
        {"leads.pannier lead.length": "3.5 m", "leads.pannier lead.gauge": "2.5 mm2"},
        [],
        ["4 mm2 (2.48 %)", "At most 2.72 m of it"],
    ),
    (
        "a switch for the current",
        "skerry-long-tail",
        "switch-overloaded",
        "leads.main lead",
        {"leads.main lead.switch": {"rating": "20 A", "breaks": "60 V"}},
        [],
        ["A switch for 25 A d.c.", "Set the controller to 20 A"],
    ),
    (
        "a switch for the voltage",
        "skerry-long-tail",
        "switch-overloaded",
        "leads.main lead",
        {"leads.main lead.switch": {"rating": "40 A", "breaks": "48 V"}},
        [],
        ["A switch that breaks 58.8 V d.c."],
    ),
    (
        "the next metric size that fits",
        "skerry-long-tail",
        "wire-does-not-fit",
        "leads.keel lead",
        {"leads.keel lead.gauge": "6 mm2"},
        [],
        ["4 mm2"],
    ),
    (
        "one unbroken length",
        "skerry-long-tail",
        "spliced-lead",
        "leads.main lead",
        {"leads.main lead.splices": "2"},
        [],
        ["One unbroken length of fine-stranded wire"],
    ),
]


@pytest.mark.parametrize(
    ("base", "rule", "path", "put", "drop", "advice"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_advice(base: str, rule: str, path: str, put: dict[str, Any], drop: list[str], advice: list[str]) -> None:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build)
    before = judge_build(build, RULES)
    workshop = Workshop(Trials(build), before, lambda changed: judge(changed, RULES))
    (decision,) = [each for each in before if (each.rule.name, each.path) == (rule, path)]
    assert [tried.mend.text for tried in workshop.first_of_each_family(decision)] == advice


@pytest.mark.parametrize(
    ("exact", "at_most", "at_least"),
    [(24.5, 24.5, 24.5), (24.54, 24.5, 24.6), (0.3 - 1e-17, 0.3, 0.3), (133.4, 133, 134), (99.99, 99.9, 100)],
)
def test_figures_are_rounded_to_the_safe_side(exact: float, at_most: float, at_least: float) -> None:
    assert at_most_a(exact) == pytest.approx(at_most, rel=1e-12)
    assert at_least_a(exact) == pytest.approx(at_least, rel=1e-12)


def test_one_setting_gets_one_value() -> None:
    """43 V, 1 V above the cut-off of 14 cells, leaves more than 15 % in the packs of 13; both are settled just above
    42 V. That one is advised, not "to 43 V, and with it to 42.7 V"."""
    put = {"packs.box.series": "14", "packs.box.cut_off": "42 V", "controller.low_voltage_cut": "40 V"}
    build = load(edited("breakwater-three-packs", put), "x.yaml")
    assert isinstance(build, Build)
    before = judge_build(build, RULES)
    workshop = Workshop(Trials(build), before, lambda changed: judge(changed, RULES))
    (decision,) = [each for each in before if (each.rule.name, each.path) == ("cutoff-order", "packs.box")]
    ((mend, _, _),) = workshop.first_of_each_family(decision)
    ((_, attr, volts),) = mend.changes
    assert attr == "low_voltage_cut_v"
    assert 42 < volts < 43
    assert mend.text == f"Set the low-voltage cut of the controller to {volts:g} V"


# Old and new meet in a plain joiner; old lead is 12 AWG silicone, 40 A, all other parts are made for 30 A.
@pytest.mark.parametrize(
    ("rule", "path", "limit_a"),
    [
        ("lead-overheats", "leads.old lead", 40.0),
        ("connector-overloaded", "leads.old lead", 30.0),
        ("joiner-overloaded", "joiners.y", 30.0),
        ("pack-overloaded", "packs.old", 30.0),
        ("fuse-nuisance", "packs.old", 24.0),
    ],
)
def test_against_current_from_pack_to_pack_a_joiner_is_advised(rule: str, path: str, limit_a: float) -> None:
    """No thicker wire, larger plug, other pack or lower setting, but where the load alone is too much, too."""
    for load_a, other_advice in ((limit_a - 0.1, False), (limit_a, False), (limit_a + 0.1, True)):
        build = load(edited("quay-plain-trike", {"controller.battery_current": f"{load_a:g} A"}), "x.yaml")
        assert isinstance(build, Build)
        (decision,) = [each for each in judge_build(build, RULES) if (each.rule.name, each.path) == (rule, path)]
        joiner, rest = decision.outcome.do[: len(NO_RUSH)], decision.outcome.do[len(NO_RUSH) :]
        assert (joiner, bool(rest)) == (NO_RUSH, other_advice), load_a
