"""What of a harness is drawn and what is left to be brought together, by tables."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.drop import part_drop_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.routes import routes
from packyoke.model import Build
from packyoke.planning import topology
from packyoke.planning.result import NoPlan, Refusal, Stuck
from packyoke.planning.topology import Topology, drawn_tree, gaps, is_whole, needs_places
from tests.planning.bikes import bike, build_of, joiner, pack

PLAIN = joiner().replace("type: ideal-diode", "type: plain").replace("blocks_in: positive, ", "")
PLACES = {"bed": "{holds: 3, mount: frame metal}"}


def lead(source: str, target: str, more: str = "length: 500 mm, gauge: 12 AWG, insulation: silicone") -> str:
    return f"{{from: {source}, to: {target}{', ' if more else ''}{more}}}"


def build(
    leads: dict[str, str], packs: str = "abc", joiners: dict[str, str] | None = None, placed: bool = False
) -> Build:
    given = joiners if joiners is not None else {"y": joiner(), "z": joiner()}
    if placed:
        given = {
            name: text.replace("charge_port: none", "charge_port: none, place: bed") for name, text in given.items()
        }
    return build_of(bike({name: pack("bed") for name in packs}, given, PLACES, [], leads=leads, at="bed"))


TREE = {
    "a lead": lead("a", "y"),
    "b lead": lead("b", "y"),
    "link": lead("y", "z"),
    "c lead": lead("c", "z"),
    "main lead": lead("z", "controller"),
}


def without(*names: str) -> dict[str, str]:
    return {name: text for name, text in TREE.items() if name not in names}


# A tree that is drawn whole.


def test_a_drawn_tree_says_what_meets_where() -> None:
    found = drawn_tree(build(TREE))
    assert found.children == {"y": frozenset({0b001, 0b010}), "z": frozenset({0b011, 0b100})}
    assert (found.free, found.root_slots, found.drawn) == (("y", "z"), 1, True)
    meets, splits = found.filters(["y", "z"])
    assert meets is not None
    assert splits is not None
    assert [[mask for mask in range(1, 8) if meets(mask, at)] for at in (0, 1)] == [[0b011], [0b111]]
    assert [[part for part in range(1, 8) if splits(part, at)] for at in (0, 1, -1)] == [
        [0b001, 0b010],
        [0b011, 0b100],
        [0b111],
    ]
    assert found.sets() == {0b001, 0b010, 0b100, 0b011, 0b111}
    open_one = gaps(build(without("main lead", "link", "c lead")))
    assert open_one.filters(["y"]) == (None, None)
    assert open_one.sets() is None


@pytest.mark.parametrize(
    ("inlets", "halves"),
    [
        # Where it does not matter which inlet a lead takes they come one after the other; else in any order.
        ("XT60 pin", {0b001, 0b010, 0b100, 0b011, 0b111}),
        ("[XT60 pin, XT60 pin, XT90 pin]", {0b001, 0b010, 0b100, 0b011, 0b101, 0b110, 0b111}),
    ],
)
def test_sets_of_a_joiner_that_is_half_filled(inlets: str, halves: set[int]) -> None:
    leads = {f"{name} lead": lead(name, "y") for name in "abc"} | {"main lead": lead("y", "controller")}
    three = joiner(inputs=3).replace("inlets: XT60 pin", f"inlets: {inlets}")
    assert drawn_tree(build(leads, joiners={"y": three})).sets() == halves


@pytest.mark.parametrize(
    ("link", "a_lead", "mask", "may"),
    [
        ("length: 500 mm", "", 0b011, True),
        ("length: 500 mm, fuse: none", "", 0b011, False),
        ("length: 500 mm", "fuse: none", 0b011, True),
        ("length: 500 mm", "", 0b001, True),
        ("length: 500 mm", "fuse: none", 0b001, False),
        ("length: 500 mm, fuse: none", "", 0b001, True),
        ("direct: true", "", 0b011, False),
        ("length: 500 mm", "direct: true", 0b001, False),
    ],
)
def test_where_a_fuse_may_be_planned_in_a_drawn_tree(link: str, a_lead: str, mask: int, may: bool) -> None:
    found = drawn_tree(build(TREE | {"link": lead("y", "z", link), "a lead": lead("a", "y", a_lead)}))
    assert found.may_fuse(mask) is may
    assert replace(found, drawn=False).may_fuse(mask)
    # Where nothing is drawn from it, nothing stands against one.
    assert replace(found, leads_from={}).may_fuse(mask)


@pytest.mark.parametrize(
    ("changed", "refused"),
    [
        ({}, None),
        ({"type": "plain"}, "y"),
        ({"built_in": "controller"}, "y"),
    ],
)
def test_joiners_of_a_drawn_tree_that_have_to_say_where_they_sit(changed: dict[str, Any], refused: str | None) -> None:
    one = build(TREE)
    for attr, value in changed.items():
        one = one.with_value("joiners.y", attr, value)
    if refused is None:
        assert drawn_tree(one).drawn
        return
    with pytest.raises(Stuck) as caught:
        drawn_tree(one)
    answer = caught.value.answer
    assert isinstance(answer, Refusal)
    assert answer.missing == ((f"joiners.{refused}", "place_name"),)


def test_a_joiner_that_one_lead_enters_or_two_leave_is_none_of_a_tree() -> None:
    single = build(without("b lead"), packs="ac")
    two = build(TREE | {"more": lead("y", "controller")})
    for one in (single, two):
        with pytest.raises(Stuck) as caught:
            drawn_tree(one)
        answer = caught.value.answer
        assert isinstance(answer, Refusal)
        assert answer.missing == (("joiners.y", "place_name"),)


# Whether it is drawn whole, and whether places are open.


def test_a_whole_drawing_and_one_with_gaps() -> None:
    assert is_whole(build(TREE))
    assert not is_whole(build(without("main lead")))
    assert not is_whole(build(without("link")))
    # Two leads into one inlet are no gap that a plan could fill.
    with pytest.raises(Stuck) as caught:
        is_whole(build(TREE | {"d lead": lead("d", "z")}, packs="abcd"))
    assert isinstance(caught.value.answer, NoPlan)


@pytest.mark.parametrize(
    ("link", "placed", "open_places"),
    [
        ("", False, True),
        ("length: 500 mm", False, False),
        ("direct: true", False, False),
        ("", True, False),
    ],
)
def test_places_are_open_where_a_lead_has_no_length_and_a_joiner_no_place(
    link: str, placed: bool, open_places: bool
) -> None:
    one = build(TREE | {"link": lead("y", "z", link)}, placed=placed)
    ways = routes(one)
    assert ways
    assert needs_places(one, ways) is open_places
    assert not needs_places(one, {})


def test_a_lead_between_pack_and_controller_leaves_no_place_open() -> None:
    one = build({"a lead": lead("a", "controller", "")}, packs="a")
    assert not needs_places(one, routes(one))


# Loose ends, and where they go.


def roots(one: Build) -> Topology:
    return gaps(one)


def test_every_pack_that_does_not_get_there_and_the_joiners_that_wait() -> None:
    found = gaps(build({}))
    assert (found.roots, found.packs, found.free) == (("a", "b", "c"), (("a",), ("b",), ("c",)), ("y", "z"))
    assert (found.root.name, found.root_attr, found.root_slots) == ("controller", "inlet", 1)
    group = gaps(build(without("link", "c lead", "main lead")))
    assert (group.roots, group.packs, group.free) == (("y", "c"), (("a", "b"), ("c",)), ("z",))
    # The controller is fed by z, whose second inlet is free: c goes in there.
    rest = gaps(build(without("c lead")))
    assert (rest.roots, rest.free, rest.root.name, rest.root_attr, rest.root_slots) == (("c",), (), "z", "inlets", 1)
    two = gaps(build(without("c lead", "link", "a lead", "b lead"), joiners={"y": joiner(), "z": joiner(inputs=3)}))
    assert (two.roots, two.free, two.root.name, two.root_slots) == (("a", "b", "c"), ("y",), "z", 3)


def test_which_inlet_is_the_next_one() -> None:
    uneven = joiner().replace("inlets: XT60 pin", "inlets: [XT60 pin, XT90 pin]")
    found = gaps(build(without("c lead"), joiners={"y": joiner(), "z": uneven}))
    assert str(found.root_inlet) == "XT90 pin"


def test_a_joiner_that_waits_and_does_not_block_is_drawn_by_hand() -> None:
    with pytest.raises(Stuck) as caught:
        gaps(build({}, joiners={"y": PLAIN}))
    assert isinstance(caught.value.answer, Refusal)
    assert "y does not block" in caught.value.answer.text
    drawn = {"a lead": lead("a", "y"), "b lead": lead("b", "y")}
    assert gaps(build(drawn, joiners={"y": PLAIN})).free == ()


@pytest.mark.parametrize(
    ("more", "unfed"),
    [
        ({}, "x"),
        ({"on": lead("x", "z")}, "x"),
        ({"on": lead("x", "w"), "last": lead("w", "z")}, "x and w"),
        ({"on": lead("x", "w")}, "x and w"),
    ],
)
def test_a_joiner_that_no_pack_feeds_leaves_nothing_to_plan_where_all_are_led(more: dict[str, str], unfed: str) -> None:
    """It ended in a traceback where an inlet was left before the controller."""
    names = {"y": joiner(), "z": joiner(inputs=3), "x": joiner()} | ({"w": joiner()} if "w" in unfed else {})
    whole = {
        "a lead": lead("a", "y"),
        "b lead": lead("b", "y"),
        "link": lead("y", "z"),
        "main": lead("z", "controller"),
    }
    with pytest.raises(Stuck) as caught:
        gaps(build(whole | more, "ab", names))
    answer = caught.value.answer
    assert isinstance(answer, Refusal)
    assert answer.text == f"every pack is led to the controller, and none feeds {unfed}"


def test_where_a_pack_could_go_into_two_joiners_the_drawing_decides() -> None:
    leads = {"link": lead("y", "z"), "a lead": lead("a", "y"), "main lead": lead("z", "controller")}
    with pytest.raises(Stuck) as caught:
        gaps(build(leads))
    assert isinstance(caught.value.answer, Refusal)
    assert "could go into z or y" in caught.value.answer.text
    full = {"a lead": lead("a", "z"), "b lead": lead("b", "z"), "main lead": lead("z", "controller")}
    with pytest.raises(Stuck) as caught:
        gaps(build(full, joiners={"z": joiner()}))
    assert isinstance(caught.value.answer, NoPlan)
    assert caught.value.answer.part == "leads.main lead"


def test_two_controllers_are_drawn_by_hand() -> None:
    one = build({})
    (controller,) = one.controllers.values()
    two = replace(one, controllers={"controller": controller, "other": replace(controller, name="other")})
    with pytest.raises(Stuck) as caught:
        gaps(two)
    assert isinstance(caught.value.answer, Refusal)
    assert caught.value.answer.kind == "drawing"


def test_a_ring_of_leads_ends_somewhere() -> None:
    ring = {"a": [SimpleNamespace(target="y")], "y": [SimpleNamespace(target="z")], "z": [SimpleNamespace(target="y")]}
    assert topology._loose_end(cast(Any, SimpleNamespace(leads_from=ring)), "a") == "y"
    assert topology._loose_end(cast(Any, SimpleNamespace(leads_from={})), "a") == "a"
    chain = {"a": ring["a"], "y": ring["y"]}
    assert topology._loose_end(cast(Any, SimpleNamespace(leads_from=chain)), "a") == "z"


# Loads and losses of what is drawn.


def test_every_root_is_plugged_into_the_controller_for_its_load() -> None:
    found = gaps(build(without("link", "c lead", "main lead")))
    rooted = found.rooted()
    new = {
        name: (each.source, each.target, each.direct)
        for name, each in rooted.leads.items()
        if name not in found.build.leads
    }
    assert new == {
        "probe of y": ("y", "controller", True),
        "probe of c": ("c", "controller", True),
    }
    # What is led on already keeps its lead.
    led = drawn_tree(build(TREE))
    assert led.rooted().leads == led.build.leads


@pytest.mark.parametrize(
    ("main", "link", "counted"),
    [
        ("", "", ("joiners.y",)),
        ("", "length: 500 mm, gauge: 12 AWG, insulation: silicone", ("joiners.y", "leads.link", "joiners.z")),
        (
            "length: 500 mm, gauge: 12 AWG, insulation: silicone",
            "length: 500 mm, gauge: 12 AWG, insulation: silicone",
            ("joiners.y", "leads.link", "joiners.z", "leads.main lead"),
        ),
        ("length: 500 mm, gauge: 12 AWG, insulation: silicone", "length: 500 mm", ("joiners.y",)),
        ("length: 500 mm, gauge: 12 AWG, insulation: silicone", "gauge: 12 AWG", ("joiners.y",)),
    ],
)
def test_what_is_lost_behind_a_joiner_that_packs_go_into(main: str, link: str, counted: tuple[str, ...]) -> None:
    """A pack goes into y; from there it is y, the link, z and the main lead, as far as they are known."""
    leads = {
        "a lead": lead("a", "y"),
        "link": lead("y", "z", link),
        "c lead": lead("c", "z"),
        "main lead": lead("z", "controller", main),
    }
    one = build(leads, joiners={"y": joiner(), "z": joiner()})
    found = gaps(one)
    assert found.root.name == "y"
    case = Case(found.rooted())
    assert found.onward_v() == pytest.approx(sum(part_drop_v(case, path) for path in counted))
    assert gaps(build({})).onward_v() == 0.0


def test_one_joiner_alone_before_the_controller_has_no_lead_behind_it() -> None:
    found = gaps(build(without("c lead")))
    open_end = replace(found, build=replace(found.build, leads={}))
    case = Case(open_end.rooted())
    assert harness(case)
    assert open_end.onward_v() == pytest.approx(0.0)
