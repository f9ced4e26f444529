"""Which charger is for which pack, what it fits and what stands in its way: at, over and under each limit, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import (
    BLOCKED,
    NOT_BEHIND,
    NOT_REACHED,
    charge_limit_a,
    charge_ways,
    charges,
    concerns,
    goes_into_outlet,
    guarded_at_outlet,
    joiners_between,
    meant,
    mixed_up,
    obstacle,
    plugs_for,
    plugs_into,
    port_of,
    voltage_fit,
)
from packyoke.analysis.harness.changed import with_value
from packyoke.buildfile.reading import load
from packyoke.model import Build, Key
from tests.support import edited


def case_of(put: dict[str, Any] | None = None, drop: tuple[str, ...] = (), base: str = "skerry-long-tail") -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


@pytest.mark.parametrize(
    ("charger_v", "fit"),
    [
        (50.25, "right"),
        (50.26, "too high"),
        (49.5, "right"),
        (49.49, "slightly low"),
        (47.5, "slightly low"),
        (47.49, "too low"),
    ],
)
def test_a_charger_beside_a_full_charge_of_50_v(charger_v: float, fit: str) -> None:
    """0.5 % above, 1 % and 5 % below (common practice)."""
    assert voltage_fit(charger_v, 50.0) == fit


FITS = ("chargers.counter.fits",)
OTHER = {"output": "58.8 V", "current": "2 A", "plug": "5.5 mm barrel", "fits": ["keel"]}
BARREL = {"packs.keel.charge_inlet": "5.5 mm barrel socket", "packs.pannier.charge_inlet": "XLR 3 socket"}
PLUGGED = {"output": "58.8 V", "current": "2 A", "plug": "5.5 mm barrel"}
AT_YOKE = {"output": "58.8 V", "current": "2 A", "plug": "XT60", "through": "yoke"}
PORT = {"current": "5 A", "blocks": "each pack", "inlet": "XT60 socket"}
WRONG = BARREL | {"chargers.counter.output": "67 V"}


@pytest.mark.parametrize(
    ("put", "drop", "pack", "expected"),
    [
        ({}, (), "keel", True),
        ({"chargers.counter.fits": ["pannier"]}, (), "keel", False),
        (BARREL, FITS, "keel", True),
        (BARREL, FITS, "pannier", False),
        (WRONG, FITS, "keel", True),
        (WRONG | {"chargers.other": OTHER}, FITS, "keel", False),
        (WRONG | {"chargers.other": OTHER | {"output": "67 V"}}, FITS, "keel", True),
        (WRONG | {"chargers.other": OTHER | {"fits": ["pannier"]}}, FITS, "keel", True),
        (BARREL | {"chargers.other": OTHER}, FITS, "keel", True),
        # Without a list the other one is right if its plug goes in, or if it works through a joiner and nothing blocks.
        (WRONG | {"chargers.other": PLUGGED}, FITS, "keel", False),
        (WRONG | {"chargers.other": PLUGGED | {"plug": "XLR 3"}}, FITS, "keel", True),
        (WRONG | {"chargers.other": AT_YOKE}, FITS, "keel", True),
        (WRONG | {"chargers.other": AT_YOKE, "joiners.yoke.charge_port": PORT}, FITS, "keel", False),
        ({"chargers.counter.through": "yoke"}, FITS, "keel", True),
        ({"chargers.counter.through": "yoke"}, (*FITS, "leads.keel lead"), "keel", False),
    ],
)
def test_what_a_charger_is_meant_for(put: dict[str, Any], drop: tuple[str, ...], pack: str, expected: bool) -> None:
    """By list, else by plug, unless the voltage is wrong and the pack has another charger that is right."""
    assert meant(case_of(put, drop), "counter", pack) == expected


@pytest.mark.parametrize(
    ("inlet", "outlet", "plug", "goes", "into_outlet"),
    [
        ("5.5 mm barrel socket", "XT60 socket", "5.5 mm barrel", True, False),
        ("XLR 3 socket", "XT60 socket", "5.5 mm barrel", False, False),
        ("XLR 3 socket", "XT60 socket", "XT60", True, True),
        (None, "XT60 socket", "5.5 mm barrel", True, False),
        ("XLR 3 socket", "joint crimp", "crimp", False, False),
        ("XLR 3 socket", None, "5.5 mm barrel", False, False),
        ("XLR 3 socket", "XT60 socket", None, True, None),
    ],
)
def test_plugs_and_sockets(
    inlet: str | None, outlet: str | None, plug: str | None, goes: bool, into_outlet: bool | None
) -> None:
    """What is not known to differ may go in."""
    given = {"packs.keel.charge_inlet": inlet, "packs.keel.outlet": outlet, "chargers.counter.plug": plug}
    put = {key: each for key, each in given.items() if each is not None}
    gone = ["packs.keel.outlet"] * (outlet is None) + ["chargers.counter.plug"] * (plug is None)
    build = case_of(put, tuple(gone)).build
    assert plugs_into(Case(build), build.chargers["counter"], build.packs["keel"]) == goes
    if plug is not None:
        assert goes_into_outlet(plug, build.packs["keel"]) == into_outlet


def test_what_a_pack_may_be_charged_with() -> None:
    assert charge_limit_a(case_of().build.packs["keel"]) == 6.0
    assert charge_limit_a(case_of({"packs.keel.charge": "none"}).build.packs["keel"]) is None


@pytest.mark.parametrize(("path", "expected"), [("common", True), ("separate", False)])
def test_a_protection_in_the_common_path_guards_the_outlet(path: str, expected: bool) -> None:
    case = case_of({"packs.keel.bms": {"charge_path": path, "data": "none", "wakes": "always"}})
    assert guarded_at_outlet(case.build.packs["keel"]) == expected


THROUGH = {"chargers.counter.through": "yoke"}


@pytest.mark.parametrize(
    ("put", "drop", "pack", "kind"),
    [
        ({}, (), "keel", None),
        (THROUGH, (), "keel", BLOCKED),
        (THROUGH | {"joiners.yoke.type": "plain"}, ("joiners.yoke.blocks_in",), "keel", None),
        (THROUGH | {"joiners.yoke.charge_port": PORT}, (), "keel", None),
        (THROUGH | {"joiners.yoke.charge_port": PORT | {"reaches": ["keel"]}}, (), "keel", None),
        (THROUGH | {"joiners.yoke.charge_port": PORT | {"reaches": ["keel"]}}, (), "pannier", NOT_REACHED),
        (THROUGH, ("leads.keel lead",), "keel", NOT_BEHIND),
    ],
)
def test_what_stands_in_the_way(put: dict[str, Any], drop: tuple[str, ...], pack: str, kind: str | None) -> None:
    case = case_of(put, drop)
    found = obstacle(case, "counter", pack)
    assert (None if found is None else found.kind) == kind
    assert charges(case, "counter", pack) == (kind is None)
    assert (port_of(case, case.build.chargers["counter"]) is not None) == ("joiners.yoke.charge_port" in put)


@pytest.mark.parametrize(
    ("put", "drop", "pack", "expected"),
    [
        # Without a list: by plug and volts. With one: those that it names, whatever plug and volts say.
        (BARREL, FITS, "keel", True),
        (BARREL, FITS, "pannier", False),
        (WRONG, FITS, "keel", False),
        (BARREL | {"chargers.counter.fits": ["pannier"]}, (), "keel", False),
        (BARREL | {"chargers.counter.fits": ["pannier"]}, (), "pannier", True),
        (WRONG | {"chargers.counter.fits": ["keel"]}, (), "keel", True),
        (BARREL | {"chargers.counter.fits": ["pannier"], "chargers.counter.y_lead": ["keel"]}, (), "keel", True),
    ],
)
def test_which_charger_a_pack_has(put: dict[str, Any], drop: tuple[str, ...], pack: str, expected: bool) -> None:
    """The wrong volts of one that is listed are another finding than a pack that has none."""
    assert charges(case_of(put, drop), "counter", pack) == expected


def test_joiners_between_a_joiner_and_a_pack() -> None:
    case = case_of(base="breakwater-three-packs")

    def names(joiner: str, pack: str) -> list[str] | None:
        found = joiners_between(case, joiner, pack)
        return None if found is None else [each.name for each in found]

    assert names("second", "box") == ["second"]
    assert names("second", "north") == ["second", "first"]
    assert names("first", "box") is None


def test_the_way_back_through_a_ring_has_an_end() -> None:
    case = case_of({"leads.back": {"from": "second", "to": "first"}}, ("leads.box lead",), "breakwater-three-packs")
    assert joiners_between(case, "second", "box") is None


PLAIN = {"joiners.first.type": "plain", "joiners.second.type": "plain"}
WHOLE = {
    "joiners.second",
    "leads.link",
    "joiners.first",
    "leads.north lead",
    "packs.north",
    "leads.south lead",
    "packs.south",
    "leads.box lead",
    "packs.box",
}


@pytest.mark.parametrize(
    ("put", "drop", "expected"),
    [
        ({"chargers.depot.through": "first"}, (), set()),  # both block
        (
            PLAIN | {"chargers.depot.through": "second"},
            ("joiners.first.blocks_in",),
            WHOLE,
        ),
        (
            PLAIN | {"chargers.depot.through": "first"},
            ("joiners.first.blocks_in",),
            WHOLE,
        ),
        (  # a port of a plain joiner keeps nothing apart
            PLAIN | {"chargers.depot.through": "first", "joiners.first.charge_port": PORT},
            ("joiners.first.blocks_in",),
            WHOLE,
        ),
        (  # the lead that closes a ring is a mistake of the drawing, and followed nowhere
            PLAIN | {"chargers.depot.through": "second", "leads.back": {"from": "second", "to": "first"}},
            ("joiners.first.blocks_in",),
            WHOLE,
        ),
        (
            {"chargers.depot.through": "second", "joiners.second.charge_port": PORT},
            (),
            {"leads.box lead", "packs.box"},  # the first joiner blocks
        ),
        (
            {"chargers.depot.through": "first", "joiners.first.charge_port": PORT | {"reaches": ["north"]}},
            (),
            {"leads.north lead", "packs.north"},
        ),
        ({}, (), set()),
    ],
)
def test_where_the_current_of_a_charger_goes(put: dict[str, Any], drop: tuple[str, ...], expected: set[str]) -> None:
    case = case_of(put, drop, "breakwater-three-packs")
    assert charge_ways(case, "depot") == expected


@pytest.mark.parametrize(
    ("fits", "output", "expected"),
    [(["pannier"], "59.0 V", False), (["pannier"], "59.1 V", True)],
)
def test_a_charger_that_could_be_mixed_up(fits: list[str], output: str, expected: bool) -> None:
    """58.8 V and 0.5 % is 59.094 V; both chargers have the same plug."""
    put = {"chargers.other": {"output": output, "current": "2 A", "plug": "5.5 mm barrel", "fits": fits}}
    case = case_of(put)
    assert mixed_up(case, case.build.chargers["other"], case.build.packs["keel"]) == expected
    assert not concerns(case, "other", "keel")
    assert concerns(case, "other", "pannier")
    assert plugs_for(case, "keel", "other") == {"5.5 mm barrel", "XT60"}
    assert plugs_for(case, "keel", "counter") == {"XT60"}


def test_a_charger_that_is_listed_for_one_pack_concerns_those_that_its_current_gets_into() -> None:
    """In the first of two plain joiners: on through it into box too. What keeps packs apart keeps it from box."""
    at_first = {"chargers.depot.through": "first", "chargers.depot.fits": ["north"]}
    plain = case_of(PLAIN | at_first, ("joiners.first.blocks_in",), "breakwater-three-packs")
    assert [concerns(plain, "depot", pack) for pack in ("north", "south", "box")] == [True, True, True]
    apart = case_of(at_first, (), "breakwater-three-packs")
    assert [concerns(apart, "depot", pack) for pack in ("north", "south", "box")] == [True, False, False]


@pytest.mark.parametrize(("kind", "gets_in"), [("plain", True), ("ideal-diode", False), ("diode", False)])
def test_what_a_charger_in_a_joiner_gets_into_where_another_joiner_is_tried_as_what_it_may_be(
    kind: str, gets_in: bool
) -> None:
    """In the first joiner; box hangs on the second. What was found with two plain joiners is not told of others."""
    drop = ("joiners.first.blocks_in", "chargers.depot.fits")
    plain = case_of(PLAIN | {"chargers.depot.through": "first"}, drop, "breakwater-three-packs")
    assert concerns(plain, "depot", "box")
    assert "packs.box" in charge_ways(plain, "depot")
    tried = with_value(plain, Key("joiners.second", "type"), kind)
    assert concerns(tried, "depot", "box") == gets_in
    assert ("packs.box" in charge_ways(tried, "depot")) == gets_in
