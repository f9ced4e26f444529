"""The result of each set of packs: what holds with these packs alone, and nothing that takes another one."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.api import Build, Report, check, load
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
