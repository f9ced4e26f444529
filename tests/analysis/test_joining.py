"""Which pack can feed which, and the rush between them."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.harness.joining import _met_at, feeds, meetings, rushes, tied, together
from packyoke.buildfile.reading import load
from packyoke.model import Build, Unknown
from tests.support import edited

PLAIN = {
    "type": "plain",
    "ceiling": "65 V",
    "current": {"continuous": "30 A"},
    "resistance": "0.5 mohm",
    "inlets": "XT60 pin",
    "outlet": "XT60 socket",
    "mount": "frame metal",
}


def case_of(base: str, put: dict[str, object] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


@pytest.mark.parametrize(
    ("joiner", "pack", "met"),
    [
        ("first", "north", ["south"]),
        ("second", "north", ["box"]),  # it has met the other one at the first
        ("second", "box", ["north", "south"]),
    ],
)
def test_packs_meet_at_the_first_joiner_that_both_come_to(joiner: str, pack: str, met: list[str]) -> None:
    case = case_of("breakwater-three-packs")
    assert _met_at(case, case.build.joiners[joiner], pack) == met


def test_rush_ohm_54_6_v_onto_48_v_through_0_32_ohm() -> None:
    """Ohm's law, and a circuit simulator on the same netlist: 20.625 A."""
    case = case_of("slipway-bench-pair", {"packs.port.cut_off": "48 V", "packs.port.resistance": "159 mohm"})
    assert rushes(case, "bar").into["port"].amps_a == pytest.approx(20.625, abs=1e-3)


def test_rush_of_0_1_v_through_0_32_ohm() -> None:
    """Ohm's law: 0.3125 A."""
    case = case_of("slipway-bench-pair", {"packs.port.resistance": "159 mohm"})
    assert rushes(case, "bar", 0.1).into["port"].amps_a == pytest.approx(0.3125, abs=1e-6)


def test_two_full_packs_push_into_the_third() -> None:
    """Two of 150 mohm side by side are 75 mohm: 15.6 V / (75 + 150) mohm = 69.33 A; either carries half of it."""
    put = {
        "packs.aft": {"like": "port", "condition": "sound"},
        "joiners.bar.inputs": "3",
        "leads.aft lead": {"from": "aft", "to": "bar", "direct": "true"},
    }
    found = rushes(case_of("slipway-bench-pair", put), "bar")
    assert found.into["aft"].amps_a == pytest.approx(15.6 / 0.225, rel=1e-9)
    # The other way round: one full pack into two empty ones pushes as much through its own lead.
    assert found.leads_a["leads.aft lead"] == pytest.approx(15.6 / 0.225, rel=1e-9)


def test_a_selector_touches_two_inputs_at_a_time_however_many_it_has() -> None:
    """Two of 150 mohm: 15.6 V / 300 mohm = 52 A into any of three; 81 A where one has 43 mohm, in its lead too."""
    put = {
        "packs.aft": {"like": "port", "condition": "sound"},
        "packs.port.resistance": "42 mohm",
        "packs.starboard.resistance": "149 mohm",
        "packs.aft.resistance": "149 mohm",
        "joiners.bar.inputs": "3",
        "joiners.bar.type": "selector",
        "joiners.bar.makes": "before break",
        "leads.aft lead": {"from": "aft", "to": "bar", "direct": "true"},
    }
    found = rushes(case_of("slipway-bench-pair", put), "bar")
    assert {name: rush.amps_a for name, rush in found.into.items()} == {
        name: pytest.approx(15.6 / 0.193, rel=1e-9) for name in ("port", "starboard", "aft")
    }
    assert set(dict(found.into["port"].states_v)) in ({"port", "starboard"}, {"port", "aft"})
    assert found.leads_a["leads.port lead"] == pytest.approx(15.6 / 0.193, rel=1e-9)
    last = {**put, "packs.port.resistance": "149 mohm"}
    assert rushes(case_of("slipway-bench-pair", last), "bar").into["aft"].amps_a == pytest.approx(52.0, rel=1e-9)


def test_rush_names_the_packs_and_their_states() -> None:
    """The receiver at its cut-off, the giver at its full charge."""
    rush = rushes(case_of("slipway-bench-pair"), "bar").into["port"]
    assert dict(rush.states_v) == {"port": 39.0, "starboard": pytest.approx(54.6)}


def test_accessories_do_not_count_and_are_not_asked_for() -> None:
    case = case_of("slipway-bench-pair", {"accessories.lamp": {"from": "bar", "max": "60 V"}})
    assert rushes(case, "bar").into["port"].amps_a == pytest.approx(52.0, rel=1e-9)


def test_a_blocking_joiner_on_the_receivers_way_keeps_the_others_out() -> None:
    case = case_of("breakwater-three-packs", {"joiners.second": PLAIN})
    assert feeds(case, "north", "box") is not None
    assert feeds(case, "box", "north") is None
    assert feeds(case, "north", "south") is None


def test_current_would_pass_every_joiner_back_to_the_receiver() -> None:
    case = case_of("breakwater-three-packs")
    (meeting,) = meetings(case, "box", "north")
    assert meeting.joiner.name == "second"
    assert [joiner.name for joiner in meeting.back] == ["first", "second"]


def test_packs_of_a_selector_that_breaks_first_are_never_together() -> None:
    put = {"joiners.bar.type": "selector", "joiners.bar.makes": "after break"}
    assert not together(case_of("slipway-bench-pair", put), "port", "starboard")
    put["joiners.bar.makes"] = "before break"
    assert together(case_of("slipway-bench-pair", put), "port", "starboard")


def test_the_type_is_asked_for_only_when_nothing_else_blocks() -> None:
    unknown = {"joiners.second": {**PLAIN, "type": "unknown"}}
    case = case_of("breakwater-three-packs", unknown)
    assert feeds(case, "box", "north") is None
    with pytest.raises(Unknown, match="type"):
        feeds(case, "north", "box")


def test_a_tie_is_none_where_packs_are_joined_plainly_anyway() -> None:
    assert tied(case_of("slipway-bench-pair"), ("port", "starboard")) is None
    assert tied(case_of("skerry-long-tail"), ("keel", "pannier")) == ("keel", "pannier")
    assert tied(case_of("skerry-long-tail"), ("keel", "main lead")) == ("pannier", "keel")
