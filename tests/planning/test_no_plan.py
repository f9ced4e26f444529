"""Bikes for which nothing passes: what stands in the way, and ways out that really lead out."""

from __future__ import annotations

import pytest

from packyoke.core.findings import Amount
from packyoke.model import Build
from packyoke.planning.dress import obstacle
from packyoke.planning.plan import make_plan, plan
from packyoke.planning.result import NoPlan, Obstacle, Plan, Refusal, Stuck, WayOut
from packyoke.planning.ways_out import _blocking_joiner
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
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


def test_many_packs_without_room_for_their_joiners_are_told_so_at_once() -> None:
    """Seven packs: the joiner of the file takes two of them, and two of four inlets leave one over."""
    four = joiner(60, "XT90", inputs=4).removeprefix("{")
    shop = shop_of(f"packyoke-shop: 1\nshelf:\n  joiners:\n    wide: {{{four}\n")
    packs = {f"p{number}": pack("bed", outlet="XT90") for number in range(7)}
    text = bike(packs, {"y": joiner(60, "XT90")}, places(2), RUNS, amps=25, inlet="XT90")
    with pytest.raises(Stuck) as caught:
        make_plan(build_of(text, shop), shop)
    assert caught.value.answer == NoPlan(constraint="3 joiners are needed, and the places have room for 2")
    roomy = bike(packs, {"y": joiner(60, "XT90")}, places(3), RUNS, amps=25, inlet="XT90")
    assert len(make_plan(build_of(roomy, shop), shop, brief=True).build.joiners) == 3


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


@pytest.mark.parametrize(
    ("inlets", "family"),
    [(["XT60 pin", "XT90 pin"], "XT90"), (["XT60 pin", "XT60 pin", "XT30 pin"], "XT30")],
)
def test_a_live_inlet_that_no_lead_goes_to_is_capped(inlets: list[str], family: str) -> None:
    """One pack behind a plain joiner: a cap on a socket does, another joiner does, too."""
    put = {
        "joiners.yoke": {"type": "plain", "inputs": str(len(inlets)), "inlets": inlets, "ceiling": "75 V"},
        "joiners.yoke.current": "40 A",
        "joiners.yoke.outlet": "XT90 socket",
        "joiners.yoke.mount": "frame metal",
        "joiners.yoke.charge_port": "none",
        "leads.keel lead.ends": ["XT60 pin", "XT60 socket"],
        "chargers.counter.fits": "[keel]",
    }
    drop = ["packs.pannier", "leads.pannier lead", "leads.main lead.gauge"]
    build, found = no_plan(edited("skerry-long-tail", put, drop))
    assert found.rule == "live-pins"
    capped, *others = found.ways_out
    assert capped.text == "sockets with a cap in the inlets of yoke that no lead goes to"
    assert [way.text for way in others] == ["an ideal-diode joiner in place of yoke"]
    changed = after(build, capped).build.joiners["yoke"].inlets
    assert {str(end) for end in changed[1:]} <= {"XT60 socket", f"{family} socket"}
    assert str(changed[0]) == "XT60 pin"


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


def test_the_mildest_of_what_stands_in_the_way_is_named() -> None:
    """27 A through a rating of 25 A is nearer to it than 40 A; without figures nothing is near."""
    amps = [
        Obstacle("joiner-overloaded", "p", f"{n} A", Amount(n, "A"), Amount(25.0, "A"), "") for n in (40.0, 27.0, 20.0)
    ]
    bare = Obstacle("ends-do-not-mate", "p", "do not mate", None, None, "")
    half = Obstacle("ends-do-not-mate", "p", "half", Amount(26.0, "A"), None, "")
    none = Obstacle("ends-do-not-mate", "p", "none", Amount(26.0, "A"), Amount(0.0, "A"), "")
    for others in ([], [bare], [half], [none], [bare, half, none]):
        assert obstacle([*others, *amps], "p", "otherwise").constraint == "27.0 A"
        assert obstacle([*amps[::-1], *others], "p", "otherwise").constraint == "27.0 A"
    assert obstacle([bare], "p", "otherwise").rule == "ends-do-not-mate"
    assert obstacle([], "p", "otherwise") == NoPlan(constraint="otherwise", part="p")


def _ask(more: dict[str, str], leads: dict[str, str]) -> tuple[tuple[str, str], ...]:
    parts = {
        "a": pack("bed"),
        "b": pack("bed"),
        "y": joiner().replace("charge_port: none", "charge_port: none, mount: frame metal"),
    }
    for name, text in more.items():
        key, end = text.split("|")
        assert end in parts[name]
        parts[name] = parts[name].replace(end, key)
    text = bike({"a": parts["a"], "b": parts["b"]}, {"y": parts["y"]}, places(), RUNS, leads=leads)
    found = plan(build_of(text))
    assert isinstance(found, Refusal), found
    return found.missing


LEADS = {
    "a lead": "{from: a, to: y, length: 200 mm}",
    "b lead": "{from: b, to: y, length: 200 mm}",
    "main lead": "{from: y, to: controller, length: 500 mm}",
}


@pytest.mark.parametrize(
    ("more", "asked"),
    [
        ({"a": "|outlet: XT60 socket, "}, ("packs.a", "outlet")),
        ({"y": "|inlets: XT60 pin, "}, ("joiners.y", "inlets")),
        ({"y": "charge_port: none|outlet: XT60 socket, charge_port: none"}, ("joiners.y", "outlets")),
    ],
)
def test_of_a_lead_without_ends_the_connector_that_decides_one_is_asked_for(
    more: dict[str, str], asked: tuple[str, str]
) -> None:
    assert set(_ask(more, LEADS)) == {asked}


def test_a_plain_joiner_of_the_bike_maker_is_not_taken_out() -> None:
    """One that is bought can be changed for one that blocks; his cannot. Unlike packs need it."""
    plain = joiner().replace("ideal-diode", "plain").replace("blocks_in: positive, ", "")
    packs = {"a": pack("bed"), "b": pack("bed").replace("series: 13", "series: 14")}
    tried: list[Build] = []

    def passes(changed: Build, stock: object = None) -> bool:
        tried.append(changed)
        return True

    for built_in, names in (("", ["y", "z"]), ("built_in: true, ", ["z"])):
        joiners = {"y": plain.replace("type:", f"{built_in}type:"), "z": plain, "w": joiner()}
        build = build_of(bike(packs, joiners, places(), RUNS))
        (way,) = _blocking_joiner(build, None, passes)
        assert [path for path, _, _ in way.changes] == [f"joiners.{name}" for name in names]
        assert [name for name, each in tried[-1].joiners.items() if each.type == "plain"] == [
            name for name in "yz" if name not in names
        ]


@pytest.mark.parametrize(("amps", "told"), [(25.0, 20), (20.5, 20)])
def test_the_lower_current_is_a_whole_one_and_the_highest_that_passes(amps: float, told: int) -> None:
    """A joiner of 20 A."""
    _, found = no_plan(bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner(20)}, places(), RUNS, amps=amps))
    assert f"the controller limited to {told} A" in ways(found)


def test_a_place_that_a_drawn_joiner_fills_has_no_room_for_another() -> None:
    drawn = joiner().replace("charge_port: none", "charge_port: none, place: tube, mount: frame metal")
    packs = {name: pack("bed") for name in "abcd"}
    leads = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}"}
    for holds, told in (
        (1, "2 joiners are needed, and the places have room for 0"),
        (2, "2 joiners are needed, and the places have room for 1"),
    ):
        with pytest.raises(Stuck) as caught:
            make_plan(build_of(bike(packs, {"y": drawn}, places(holds), RUNS, leads=leads)), brief=True)
        assert getattr(caught.value.answer, "constraint", "") == told
    assert make_plan(build_of(bike(packs, {"y": drawn}, places(3), RUNS, leads=leads)), brief=True).new


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
