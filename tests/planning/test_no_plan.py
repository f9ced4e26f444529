"""Bikes for which nothing passes: what stands in the way, and ways out that really lead out."""

from __future__ import annotations

import pytest

from packyoke.model import Build
from packyoke.planning.plan import make_plan, plan
from packyoke.planning.result import NoPlan, Plan, Refusal, WayOut
from tests.planning.bikes import bike, build_of, joiner, pack
from tests.support import edited

RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]


def places(holds: int = 2, mount: str = "frame metal") -> dict[str, str]:
    return {"bed": "{holds: 0}", "tube": f"{{holds: {holds}, mount: {mount}}}", "motor": "{holds: 0}"}


def after(build: Build, way: WayOut) -> Plan:
    for path, attr, value in way.changes:
        build = build.with_value(path, attr, value)
    return make_plan(build)


def no_plan(text: str) -> tuple[Build, NoPlan]:
    build = build_of(text)
    found = plan(build)
    assert isinstance(found, NoPlan), found
    return build, found


def ways(found: NoPlan) -> dict[str, WayOut]:
    return {way.text: way for way in found.ways_out}


def test_joiner_too_small_names_it_and_the_current_that_would_do() -> None:
    build, found = no_plan(bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner(20)}, places(), RUNS, amps=25))
    assert found.rule == "joiner-overloaded"
    assert found.part == "joiners.y"
    assert (found.found, found.limit) is not None
    assert {"the controller limited to 20 A", "a 25 A joiner, for 54.6 V or more"} <= set(ways(found))
    for way in found.ways_out:
        assert after(build, way).build.controllers
    higher = build.with_value("controller", "limit_a", 21.0)
    assert isinstance(plan(higher), NoPlan)


def test_joiner_too_hot_is_cured_by_its_mount() -> None:
    text = bike(
        {"a": pack("bed"), "b": pack("bed")},
        {"y": joiner(45, "XT90", mohm=9)},
        places(mount="wrapped"),
        RUNS,
        amps=24,
        inlet="XT90",
    )
    _, found = no_plan(text)
    assert found.rule == "joiner-overheats"
    assert "the joiners with their metal tight on the frame" in ways(found)


def test_too_little_room_is_said_and_where_more_would_do() -> None:
    packs = {name: pack("bed") for name in "abc"}
    build, found = no_plan(bike(packs, {"y": joiner()}, places(holds=1), RUNS))
    assert found.constraint == "2 joiners are needed, and the places have room for 1"
    # Not at bed or motor: nobody has said what would take its heat there.
    assert after(build, ways(found)["room for one more joiner at tube"])


def test_no_joiner_at_all() -> None:
    _, found = no_plan(bike({"a": pack("bed"), "b": pack("bed")}, {}, places(), RUNS))
    assert "no joiner" in found.constraint
    assert [way.text for way in found.ways_out] == [
        "a joiner that blocks (ideal-diode), 18 A a path, for 54.6 V or more, with inlets XT60 pin and outlet "
        "XT60 socket"
    ]
    with_one = bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner(18)}, places(), RUNS)
    assert isinstance(plan(build_of(with_one)), Plan)


def test_connector_that_melts_names_what_stands_in_the_way() -> None:
    text = bike(
        {"a": pack("bed", outlet="XT30"), "b": pack("bed")},
        {"y": joiner(45, "XT90")},
        places(),
        RUNS,
        amps=26,
        inlet="XT90",
    )
    build, found = no_plan(text)
    assert found.rule == "connector-overloaded"
    assert found.limit is not None
    assert found.limit.value == 15
    (way,) = (way for way in found.ways_out if way.text.startswith("the controller limited to"))
    amps = float(way.changes[0][2])
    assert after(build, way).proved
    assert isinstance(plan(build.with_value("controller", "limit_a", amps + 1)), NoPlan)


def test_pack_that_trips() -> None:
    weak = pack("bed").replace("discharge: 40 A", "discharge: 12 A")
    build, found = no_plan(bike({"a": weak, "b": pack("bed")}, {"y": joiner()}, places(), RUNS))
    assert (found.rule, found.part) == ("pack-overloaded", "packs.a")
    assert after(build, ways(found)["the controller limited to 12 A"])


def test_a_fixed_lead_stays_and_is_named() -> None:
    _, found = no_plan(edited("skerry-long-tail", {"leads.keel lead.gauge": "18 AWG"}, ["leads.main lead.gauge"]))
    assert found.part == "leads.keel lead"
    assert found.rule in ("lead-overheats", "fuse-oversized")


def test_ends_that_do_not_mate_are_cured_by_others_or_an_adapter() -> None:
    text = edited("skerry-long-tail", {"leads.main lead.ends": ["XT90 pin", "XT60 socket"]}, ["leads.keel lead.gauge"])
    build, found = no_plan(text)
    assert found.rule == "ends-do-not-mate"
    (way,) = found.ways_out
    assert way.text == "XT90 socket on main lead at controller, or an adapter with it to XT60 pin"
    assert after(build, way).filled


def test_what_has_to_be_known_is_asked_for() -> None:
    build = build_of(
        edited("skerry-long-tail", drop=["leads.main lead.gauge", "leads.main lead.ends", "controller.inlet"])
    )
    found = plan(build)
    assert isinstance(found, Refusal)
    assert found.missing == (("controller", "inlet"),)
    found = plan(build_of(edited("skerry-long-tail", drop=["controller.battery_current"])))
    assert isinstance(found, Refusal)
    assert found.missing == (("controller", "limit_a"),)


def test_a_preference_that_cannot_be_had() -> None:
    build = build_of(edited("skerry-long-tail"))
    for word in ("cost", "beauty"):
        with pytest.raises(ValueError, match=word):
            plan(build, None, (word,))


def test_more_joiners_than_can_be_used_are_named() -> None:
    joiners = {"y": joiner(), "z": "{like: y}"}
    _, found = no_plan(bike({"a": pack("bed"), "b": pack("bed")}, joiners, places(), RUNS))
    assert found.constraint == "y and z are all to be used, and 1 at the most can be: leave 1 out of the file"
    three = bike({name: pack("bed") for name in "abc"}, joiners, places(), RUNS)
    assert isinstance(plan(build_of(three)), Plan)
