"""The result of each set of packs: what holds with these packs alone, and nothing that takes another one."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.api import Build, Report, check, load
from packyoke.verdict import layout
from tests.support import edited

DAY = "2026-11-28"


def report(base: str, put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Report:
    build = load(edited(base, put, drop), "x.yaml", today=DAY)
    assert isinstance(build, Build), build
    return check(build, today=DAY, rides=False)


def results(found: Report) -> dict[str, str]:
    return {" + ".join(each.packs): each.verdict for each in found.sets}


ALONE_IN_ORDER = [
    # What is between packs does not hold of one that is plugged in alone.
    ("a plain joiner", "quay-plain-trike", {}, ()),
    ("another count of cells", "skerry-long-tail", {"packs.pannier": {"like": "keel", "series": "13"}}, ()),
    ("another chemistry", "breakwater-three-packs", {"packs.box.chemistry": "LFP", "packs.box.series": "15"}, ()),
    ("a lamp on both packs", "skerry-long-tail", {"accessories.lamp.from": ["keel", "pannier"]}, ()),
    (
        "leads that meet at the controller",
        "skerry-long-tail",
        {"leads.keel lead.to": "controller", "leads.pannier lead.to": "controller"},
        ("joiners", "accessories", "leads.main lead"),
    ),
]


@pytest.mark.parametrize(("name", "base", "put", "drop"), ALONE_IN_ORDER, ids=[each[0] for each in ALONE_IN_ORDER])
def test_what_takes_two_packs_is_no_fault_of_one(
    name: str, base: str, put: dict[str, Any], drop: tuple[str, ...]
) -> None:
    found = report(base, put, drop)
    told = results(found)
    between = {"packs-rush", "packs-unequal", "chemistry-mixed", "bypassed-joiner", "harness-broken"}
    assert {each.rule for each in found.findings if each.severity.word in ("stop", "caution")} & between
    assert {verdict for packs, verdict in told.items() if " + " not in packs} <= {"none-found", "caution", "open"}
    pairs = {packs: verdict for packs, verdict in told.items() if " + " in packs}
    assert "stop" in pairs.values() or "caution" in pairs.values(), told


@pytest.mark.parametrize(
    ("part", "what", "value"),
    [("packs.keel", "capacity", "15 Ah"), ("leads.keel lead", "resistance", "9 mohm")],
)
def test_a_reading_of_one_pack_or_its_lead_says_nothing_of_another(part: str, what: str, value: str) -> None:
    """15 Ah of 20 Ah; 9 mohm of 4.3 mohm of copper and at most 2.6 mohm of contacts."""
    reading = {"date": "2026-11-20", "part": part, "what": what, "value": value}
    found = report("skerry-long-tail", {"measured": [reading]})
    assert {(each.rule, each.part) for each in found.findings if each.severity.word == "caution"} == {
        ("as-built-differs", part)
    }
    assert results(found) == {"keel + pannier": "caution", "keel": "caution", "pannier": "none-found"}


def test_of_three_packs_the_pair_that_is_alike_is_in_order() -> None:
    told = results(report("breakwater-three-packs", {"packs.box.series": "14"}))
    assert told["north + south"] == "none-found"
    assert told["north + box"] == told["south + box"] == told["north + south + box"] == "stop"
    assert told["north"] == "none-found"
    assert told["box"] == "caution"  # 14 cells are left half full by a controller set for 13; nothing else is wrong


def test_what_stands_at_the_controller_holds_of_every_set_that_it_sees() -> None:
    """Braking into a joiner that blocks goes wrong with any pack."""
    told = results(report("skerry-long-tail", {"controller.regen": {"current": "8 A"}}))
    assert set(told.values()) == {"stop"}


@pytest.mark.parametrize(
    ("max_v", "stopped"), [("50 V", {"keel", "keel + pannier"}), ("46 V", {"keel", "pannier", "keel + pannier"})]
)
def test_the_controllers_limit_is_held_against_each_set(max_v: str, stopped: set[str]) -> None:
    """13 cells are 54.6 V full, 11 are 46.2 V: a controller for 50 V takes the pack of 11 cells alone."""
    put = {
        "packs.keel.series": "13",
        "packs.keel.label": "48 V",
        "packs.pannier": {"like": "keel", "series": "11", "cut_off": "33 V", "label": "40 V"},
        "controller.voltage": {"min": "30 V", "max": max_v},
    }
    found = report("skerry-long-tail", put)
    alone = {packs for packs, verdict in results(found).items() if verdict == "stop" and " + " not in packs}
    assert alone == {packs for packs in stopped if " + " not in packs}
    assert results(found)["keel + pannier"] == "stop"


LAMP_FUSE = {"family": "10x38", "rating": "2 A", "voltage": "1000 V"}
GEARED = {"bike.drive": {"type": "geared hub"}}
THIRD = {
    "packs.third": {"like": "old"},
    "leads.third lead": {
        "from": "third",
        "to": "y",
        "length": "300 mm",
        "gauge": "12 AWG",
        "insulation": "silicone",
        "ends": ["XT60 pin", "XT60 socket"],
    },
    "joiners.y.inputs": "3",
}
SEPARATE = {"packs.new.bms": {"charge_path": "separate", "data": "none", "wakes": "always"}}
AS_THE_SET_IS = [
    (
        # Full onto empty through 0.28 to 0.3 ohm is some 50 A in every pair, and each pack may be charged with 4 A. The
        # finding names the worst set, all three.
        "three packs on a plain joiner",
        "quay-plain-trike",
        GEARED | THIRD,
        {1: {"none-found"}, 2: {"stop"}, 3: {"stop"}},
    ),
    (
        # Nothing but another pack pushes current into it.
        "a pack that may not be charged at its outlet",
        "quay-plain-trike",
        GEARED | SEPARATE,
        {1: {"none-found"}, 2: {"stop"}},
    ),
    (
        # 25.5 A through a wire of 15 A, 18 AWG silicone at most 20 A: the main lead carries the load of either pack.
        "a main lead too thin for either pack",
        "skerry-long-tail",
        {"leads.main lead.gauge": "18 AWG"},
        {1: {"stop"}, 2: {"stop"}},
    ),
    (
        # 46 V is 3.54 V for each of 13 cells, where two fifths are left in them; the finding names one pack.
        "a low-voltage cut too high for either pack",
        "breakwater-three-packs",
        {"packs.box": {"like": "north"}, "controller.low_voltage_cut": "46 V"},
        {1: {"caution"}, 2: {"caution"}, 3: {"caution"}},
    ),
    (
        # 25 A through XT30: above 1.4 times 15 A with either pack.
        "contacts too small for either pack",
        "skerry-long-tail",
        {"joiners.yoke.outlet": "XT30 socket", "leads.main lead.ends": ["XT30 pin", "XT90 socket"]},
        {1: {"stop"}, 2: {"stop"}},
    ),
    (
        # 8 kg of load with 5.6 and 3.9 kg of packs are 17.5 kg; with one of them 13.6 or 11.9 kg.
        "a rack that carries one pack and not both",
        "skerry-long-tail",
        {"packs.keel.rack": "rear", "racks.rear.limit": "15 kg"},
        {1: {"none-found"}, 2: {"stop"}},
    ),
    (
        # 58.8 V of 14 cells are above the 50 V of the lamp behind the joiner with any pack.
        "a lamp behind the joiner that does not bear the voltage",
        "skerry-long-tail",
        {"accessories.lamp.max": "50 V"},
        {1: {"stop"}, 2: {"stop"}},
    ),
    (
        "a lamp on one of two circuits",
        "jetty-two-drives",
        {"accessories.lamp": {"from": "port", "max": "50 V", "current": "1 A", "fuse": LAMP_FUSE}},
        {1: {"stop", "none-found"}, 2: {"stop"}},
    ),
    (
        "a joiner of one outlet with two leads out, whatever is plugged in",
        "windlass-two-outlets",
        {"joiners.fork.outlet": "XT90 socket"},
        {1: {"stop"}, 2: {"stop"}},
    ),
    (
        "a rack that carries neither",
        "skerry-long-tail",
        {"packs.keel.rack": "rear", "racks.rear.limit": "11 kg"},
        {1: {"stop"}, 2: {"stop"}},
    ),
]


@pytest.mark.parametrize(("name", "base", "put", "told"), AS_THE_SET_IS, ids=[each[0] for each in AS_THE_SET_IS])
def test_sets_of_packs_that_are_alike_are_told_the_same(
    name: str, base: str, put: dict[str, Any], told: dict[int, set[str]]
) -> None:
    """Also where the finding names one of them, the worst."""
    found = report(base, put)
    assert {count: {each.verdict for each in found.sets if len(each.packs) == count} for count in told} == told


def test_a_part_that_only_the_higher_pack_is_too_much_for_is_no_fault_of_the_other() -> None:
    """20 cells are 84 V full, above the 75 V of the yoke and the 63 V of the controller; 14 cells are 58.8 V."""
    put = {
        "packs.keel.series": "20",
        "packs.keel.label": "72 V",
        "packs.pannier.label": "52 V",
        "packs.pannier.series": "14",
    }
    told = results(report("skerry-long-tail", put))
    assert (told["keel"], told["keel + pannier"]) == ("stop", "stop")
    assert told["pannier"] == "none-found"


def test_a_lead_alone_is_in_the_inlet_that_it_has_among_all() -> None:
    """Its end would fit the first inlet, where the lead of the other pack is plugged in."""
    put = {"joiners.yoke.inlets": ["XT90 pin", "XT60 pin"], "leads.pannier lead.ends": ["XT60 pin", "XT90 socket"]}
    told = results(report("skerry-long-tail", put))
    assert told == {"keel + pannier": "stop", "pannier": "stop", "keel": "none-found"}


@pytest.mark.parametrize(("most", "others"), [(0, "none-found"), (-1, "open")])
def test_a_set_for_which_no_rule_is_asked_again_is_not_told_as_good(
    most: int, others: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The swollen pack is a stop; of the others it is not known whether the rule would find another one."""
    monkeypatch.setattr(layout, "MOST_ALONE", most)
    told = results(report("breakwater-three-packs", {"packs.box.condition": "swollen", "coldest": "5 degC"}))
    assert {verdict for packs, verdict in told.items() if "box" in packs} == {"stop"}
    assert {verdict for packs, verdict in told.items() if "box" not in packs} == {others}, told
