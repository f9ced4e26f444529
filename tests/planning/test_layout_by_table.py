"""One bike to be laid out, by tables: where joiners may sit, what room is left, which leads there are between them."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.model import Build
from packyoke.planning import topology
from packyoke.planning.assumed import at_worst
from packyoke.planning.catalogue import catalogue
from packyoke.planning.layout import Layout
from packyoke.planning.options import Workbench
from packyoke.planning.result import Refusal, Stuck
from packyoke.planning.score import Score
from tests.planning.bikes import bike, build_of, joiner, pack
from tests.planning.test_prices import SHOP

PLACES = {
    "bed": "{holds: 1, mount: open air}",
    "tube": "{holds: 2, mount: frame metal}",
    "motor": "{holds: 0}",
}
RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]
LAMP = (
    "accessories:\n  lamp: {{from: {at}, max: 60 V, current: 1 A, "
    "fuse: {{family: 10x38, rating: 2 A, voltage: 1000 V}}}}\n"
)
ROOT = -1


def text_of(
    packs: int = 3, joiners: dict[str, str] | None = None, leads: dict[str, str] | None = None, **more: Any
) -> str:
    given = {f"p{n}": pack("bed") for n in range(packs)}
    return bike(more.pop("given", given), joiners or {}, more.pop("places", PLACES), RUNS, leads=leads, **more)


def laid(build: Build, shop: Any = None, *, drawn: bool = False, **more: Any) -> Layout:
    shelf = catalogue(build, shop)
    score = Score((), shelf.priced, shelf.currency, shelf.copper_price)
    worst = at_worst(build)
    loose = topology.drawn_tree(worst) if drawn else topology.gaps(worst)
    return Layout(Workbench(worst, shelf, score), loose, routes(build), **more)


def bench_of(packs: int = 3, joiners: dict[str, str] | None = None, **more: Any) -> Layout:
    return laid(build_of(text_of(packs, joiners, **more), SHOP), SHOP)


# What is asked for before anything is laid out.


@pytest.mark.parametrize(
    ("attr", "part", "missing"),
    [
        ("place_name", "packs.p0", ("packs.p0", "place_name")),
        ("outlet", "packs.p0", ("packs.p0", "outlet")),
        ("place_name", "controller", ("controller", "place_name")),
        ("inlet", "controller", ("controller", "inlet")),
    ],
)
def test_what_has_to_be_known_of_packs_and_controller(attr: str, part: str, missing: tuple[str, str]) -> None:
    build = build_of(text_of(2), SHOP).with_value(part, attr, None)
    with pytest.raises(Stuck) as caught:
        laid(build, SHOP)
    answer = caught.value.answer
    assert isinstance(answer, Refusal)
    assert answer.missing == (missing,)


def test_of_a_controller_all_that_is_missing_is_asked_at_once() -> None:
    build = build_of(text_of(2), SHOP).with_value("controller", "place_name", None)
    with pytest.raises(Stuck) as caught:
        laid(build.with_value("controller", "inlet", None), SHOP)
    answer = caught.value.answer
    assert isinstance(answer, Refusal)
    assert answer.missing == (("controller", "place_name"), ("controller", "inlet"))
    assert answer.text == "not in the file: where controller sits and which connector is on controller"


def test_of_a_drawn_joiner_that_is_led_on_place_and_outlet_are_asked_for() -> None:
    """Two packs meet in a joiner whose outlet leads nowhere yet."""
    leads = {f"{name} lead": f"{{from: {name}, to: y, length: 300 mm}}" for name in ("p0", "p1")}
    build = build_of(text_of(2, {"y": joiner()}, leads), SHOP)
    for changed, missing in (
        (build, ("joiners.y", "place_name")),
        (
            build.with_value("joiners.y", "place_name", "tube").with_value("joiners.y", "outlets", (None,)),
            ("joiners.y", "outlets"),
        ),
    ):
        with pytest.raises(Stuck) as caught:
            laid(changed, SHOP)
        answer = caught.value.answer
        assert isinstance(answer, Refusal)
        assert answer.missing == (missing,)
    spots = laid(build.with_value("joiners.y", "place_name", "tube"), SHOP).spots
    assert [(each.name, each.place) for each in spots] == [("y", "tube")]


# Where joiners may sit.


def sites(layout: Layout) -> list[tuple[str, str, str | None]]:
    return [(put.joiner.name, put.place, put.joiner.mount) for put in layout.puts]


@pytest.mark.parametrize(
    ("more", "where"),
    [
        # Without a mount of its own it sits as the place has it; nothing sits where there is no room.
        ("", [("bed", "open air"), ("tube", "frame metal")]),
        (", place: tube", [("tube", "frame metal")]),
        (", mount: frame metal", [("tube", "frame metal")]),
        (", mount: open air", [("bed", "open air")]),
        (", place: motor", []),
    ],
)
def test_where_a_joiner_of_the_file_may_sit(more: str, where: list[tuple[str, str]]) -> None:
    mine = joiner().replace("charge_port: none", f"charge_port: none{more}")
    found = sites(laid(build_of(text_of(2, {"y": mine}))))
    assert found == [("y", *each) for each in where]


def test_a_joiner_with_a_mount_sits_at_a_place_of_which_nobody_says_one() -> None:
    places = PLACES | {"tube": "{holds: 2}"}
    mine = joiner().replace("charge_port: none", "charge_port: none, mount: frame metal")
    assert sites(laid(build_of(text_of(2, {"y": mine}, places=places)))) == [("y", "tube", "frame metal")]


def test_one_of_the_shelf_sits_anywhere_as_the_place_has_it() -> None:
    found = sites(bench_of(2))
    assert found == [
        (name, place, mount)
        for name in ("small yoke", "triple")
        for place, mount in (("bed", "open air"), ("tube", "frame metal"))
    ]


def test_a_joiner_of_which_a_connector_is_not_known_is_none_to_place() -> None:
    build = build_of(text_of(2, {"y": joiner()}))
    inlets = build.joiners["y"].inlets
    for attr, value in (("inlets", (inlets[0], None)), ("outlets", (None,))):
        assert sites(laid(build.with_value("joiners.y", attr, value))) == []


def test_why_a_joiner_does_nowhere_is_kept() -> None:
    """10 A is less than the 18 A of the load."""
    layout = laid(build_of(text_of(2, {"y": joiner(10)})))
    assert layout.puts == []
    assert {each.rule for each in layout.unfit} == {"joiner-overloaded"}


def test_what_a_joiner_costs() -> None:
    # EUR 48 of the shelf; in hand one costs nothing, and one more like it its nominal weight.
    layout = bench_of(3)
    cost = {kind.joiner.name: layout.bench.score.shown(layout.price(kind))[2] for kind in layout.kinds}
    assert cost == {"small yoke": 48.0, "triple": 80.0}
    own = laid(build_of(text_of(3, {"y": joiner()})))
    (kind,) = own.kinds
    assert own.bench.score.shown(own.price(kind))[1] == pytest.approx(0.9)
    assert own.in_hand() == own.price(kind)
    assert own.price(kind._replace(model=None)) == 0
    assert own.price(kind._replace(model=kind.model._replace(item=None))) == own.price(kind)  # type: ignore[union-attr]


def test_inlets_that_differ_are_told_apart() -> None:
    uneven = joiner().replace("inlets: XT60 pin", "inlets: [XT60 pin, XT90 pin]")
    alike, other = laid(build_of(text_of(2, {"y": joiner()}))), laid(build_of(text_of(2, {"y": uneven})))
    assert [each.uniform for each in alike.problem.sites] == [True, True]
    assert [each.uniform for each in other.problem.sites] == [False, False]
    assert (alike.alike(2), other.alike(2), other.alike(ROOT)) == (True, False, True)


# Room.


@pytest.mark.parametrize(
    ("packs", "inputs", "needed"),
    [(2, 2, 1), (3, 2, 2), (4, 2, 3), (3, 3, 1), (4, 3, 2), (5, 3, 2), (6, 3, 3), (1, 2, 0)],
)
def test_how_many_joiners_it_takes(packs: int, inputs: int, needed: int) -> None:
    layout = laid(build_of(text_of(2, {"y": joiner(inputs=inputs)})))
    layout.spots = [layout.spots[0]] * packs
    assert layout.joiners_needed() == needed


@pytest.mark.parametrize(
    ("packs", "needed"),
    # Both joiners of the file are used, of two inlets and of four: they bring five together. Beyond, more of four.
    [(1, 0), (2, 2), (5, 2), (6, 3), (8, 3), (9, 4)],
)
def test_joiners_of_the_file_are_all_counted(packs: int, needed: int) -> None:
    layout = laid(build_of(text_of(3, {"y": joiner(inputs=2), "z": joiner(inputs=4)})))
    layout.spots = [layout.spots[0]] * packs
    assert layout.joiners_needed() == needed


def test_without_any_joiner_two_at_a_time_are_counted() -> None:
    layout = laid(build_of(text_of(3, {"y": joiner(10)})))
    assert layout.puts == []
    assert layout.joiners_needed() == 2


def test_room_is_what_places_hold_less_what_sits_there() -> None:
    layout = bench_of(3)
    assert layout.room() == 3
    unit = layout._places["tube"]
    assert [layout.room(count * unit) for count in (1, 2)] == [2, 1]
    assert layout.room(layout._places["bed"] + unit) == 1
    # A joiner that is drawn already takes its place; one that waits takes none yet.
    leads = {f"{name} lead": f"{{from: {name}, to: y, length: 300 mm}}" for name in ("p0", "p1")}
    mine = joiner().replace("charge_port: none", "charge_port: none, place: tube, mount: frame metal")
    drawn = laid(build_of(text_of(4, {"y": mine}, leads), SHOP), SHOP)
    assert [each.name for each in drawn.spots] == ["y", "p2", "p3"]
    assert drawn.room() == 2
    waiting = laid(build_of(text_of(4, {"y": mine}), SHOP), SHOP)
    assert waiting.room() == 3
    # A place at which nothing can be put is no room.
    only = laid(build_of(text_of(2, {"y": joiner().replace("charge_port: none", "charge_port: none, place: bed")})))
    assert only.room() == 1


@pytest.mark.parametrize(
    ("inputs", "room", "count", "waiting", "fits"),
    [
        # A joiner of two inlets brings one terminal less, one of three two less.
        (2, 2, 3, 0, True),
        (2, 1, 3, 0, False),
        (3, 1, 3, 0, True),
        (3, 1, 4, 0, False),
        # Joiners of the file that wait are all to be used: each takes two at least.
        (2, 5, 2, 1, True),
        (2, 5, 2, 2, False),
        (2, 5, 3, 2, True),
    ],
)
def test_whether_the_rest_still_goes_together(inputs: int, room: int, count: int, waiting: int, fits: bool) -> None:
    mine = {f"y{n}": joiner(inputs=inputs) if not n else "{like: y0}" for n in range(max(1, waiting))}
    layout = laid(build_of(text_of(4, mine)))
    layout.room = lambda used=0: room  # type: ignore[method-assign]
    if not waiting:
        layout.kinds = [kind._replace(names=()) for kind in layout.kinds]
    assert layout.leaves_room(0, count) is fits
    if waiting == 2:
        # One of them has been used.
        (unit,) = layout._kind_units
        assert layout.leaves_room(unit, 2)


def test_all_joiners_of_the_file_have_to_be_used() -> None:
    layout = laid(build_of(text_of(4, {"y": joiner(), "z": "{like: y}"})))
    (unit,) = layout._kind_units
    assert [layout._complete(count * unit) for count in (0, 1, 2, 3)] == [False, False, True, True]


# Accessories.


def lamp(at: str, **more: Any) -> Layout:
    joiners = more.pop("joiners", {"y": joiner(), "z": joiner(45)})
    return laid(build_of(text_of(more.pop("packs", 3), joiners, more=LAMP.format(at=at))), **more)


@pytest.mark.parametrize(
    ("at", "last", "open_taps"), [("y", "y", False), ("z", "z", False), ("p0", "", False), ("[y, z]", "", True)]
)
def test_the_one_joiner_that_lamps_hang_on_is_the_last(at: str, last: str, open_taps: bool) -> None:
    layout = lamp(at)
    assert layout.last == last
    assert layout.open_taps() is open_taps


def test_where_it_need_not_be_the_last_it_is_open_which_leads_carry_the_lamp() -> None:
    assert lamp("y", tapped_last=False).open_taps()
    one = lamp("y", tapped_last=False, joiners={"y": joiner(inputs=3)})
    assert not one.open_taps(), "one joiner is all that it takes"


def test_everything_meets_at_the_joiner_that_has_to_be_the_last() -> None:
    layout = lamp("y")
    mine = [number for number, put in enumerate(layout.puts) if "y" in put.kind.names]
    others = [number for number, put in enumerate(layout.puts) if "y" not in put.kind.names]
    assert mine
    assert others
    for mask in range(1, 8):
        assert all(layout.may_meet(mask, site) for site in others)
        assert all(layout.may_meet(mask, site) is (mask == 0b111) for site in mine)


def test_what_a_lead_carries_of_lamps() -> None:
    layout = lamp("[y, z]")
    of = {put.joiner.name: len(layout.spots) + number for number, put in enumerate(layout.puts)}
    # Whatever lies before it may carry the lamp; a lead out of the one joiner that it hangs on carries it on no more.
    assert [*layout._taps("x", "p0")] == ["lamp"]
    assert [*layout._taps("x", "", of["y"])] == ["lamp"]
    alone = lamp("y", tapped_last=False)
    of = {put.joiner.name: len(alone.spots) + number for number, put in enumerate(alone.puts)}
    assert [*alone._taps("x", "", of["y"])] == []
    assert [*alone._taps("x", "", of["z"])] == ["lamp"]
    at_pack = lamp("p0")
    assert [[*at_pack._taps("x", name)] for name in ("p0", "p1", "")] == [["lamp"], [], []]
    assert at_pack._taps("x", "p0")["lamp"].sources == ("x",)
