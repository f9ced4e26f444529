"""What follows from where a lead lies, how a traced layout is drawn, and what is written of it, by tables."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.model import Build
from packyoke.model.build import NOWHERE
from packyoke.planning.catalogue import Model, catalogue
from packyoke.planning.changes import told_by_copies
from packyoke.planning.placing import PutJoiner, Spot, _alike, kinds
from packyoke.planning.plan import plan
from packyoke.planning.ready import apart_notes, missing_distance, ready, same_runs
from packyoke.planning.rebuild import _Drawing, _least, _spot, chain
from packyoke.planning.result import Plan, Stuck
from packyoke.planning.taps import _fuse
from packyoke.planning.topology import gaps
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.test_options_by_table import end

PLACES = {"bed": "{holds: 1}", "tube": "{holds: 2, mount: frame metal}", "motor": "{holds: 0}"}
ANY = cast(Any, None)


def bike_with(
    runs: list[tuple[str, str, int]], leads: dict[str, str], *, in_frame: str = "", places: dict[str, str] | None = None
) -> Build:
    yoke = joiner().replace("charge_port: none", "charge_port: none, place: tube")
    text = bike({"a": pack("bed"), "b": pack("bed")}, {"y": yoke}, places or PLACES, runs, leads=leads)
    if in_frame:
        text = text.replace(f"{{between: [{in_frame}]", f"{{run: [in frame], between: [{in_frame}]")
    return build_of(text)


RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]
BACK = [("bed", "motor", 300), ("tube", "motor", 500)]
"""All ways between bed and tube go past the motor."""
LEADS = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}", "main lead": "{from: y, to: controller}"}


def laid(build: Build) -> Build:
    return ready(build, routes(build))


def beside(build: Build) -> dict[str, tuple[str, ...]]:
    return {name: each.run.beside_leads for name, each in laid(build).leads.items()}


def test_leads_in_series_in_one_stretch_of_frame_lie_beside_each_other() -> None:
    inside = bike_with(BACK, LEADS, in_frame="tube, motor")
    # Each pack's lead takes the run that the main lead comes back on; of two packs each carries its own share.
    found = beside(inside)
    assert "main lead" in found["a lead"]
    assert "a lead" in found["main lead"]
    assert beside(bike_with(BACK, LEADS)) == {"a lead": (), "b lead": (), "main lead": ()}
    assert beside(bike_with(RUNS, LEADS, in_frame="tube, motor")) == {"a lead": (), "b lead": (), "main lead": ()}
    # What the file says of how a lead lies stays.
    said = LEADS | {"a lead": "{from: a, to: y, run: [in frame]}"}
    found = beside(bike_with(BACK, said, in_frame="tube, motor"))
    assert found["a lead"] == ()
    outside = {name: each.run.in_frame for name, each in laid(bike_with(BACK, said)).leads.items()}
    assert outside == {"a lead": True, "b lead": False, "main lead": False}
    inside_all = laid(bike_with(RUNS, LEADS, in_frame="tube, motor")).leads
    assert {name: each.run.in_frame for name, each in inside_all.items()} == {
        "a lead": False,
        "b lead": False,
        "main lead": True,
    }
    assert "a lead" in found["main lead"]


def test_leads_that_share_a_run_outside_the_frame_are_told_to_lie_apart() -> None:
    build = bike_with(BACK, LEADS)
    notes = apart_notes(build, laid(build), routes(build))
    assert "lay a lead and main lead apart from tube to motor: tied together they would warm each other" in notes
    inside = bike_with(BACK, LEADS, in_frame="tube, motor")
    assert apart_notes(inside, laid(inside), routes(inside)) == ()
    apart = bike_with(RUNS, LEADS)
    assert apart_notes(apart, laid(apart), routes(apart)) == ()


@pytest.mark.parametrize(
    ("a_lead", "said"),
    [
        # The way from bed to tube is 400 mm.
        ("{from: a, to: y, length: 400 mm}", False),
        ("{from: a, to: y, length: 399 mm}", True),
        ("{from: a, to: y, length: 2 m}", False),
        ("{from: a, to: y}", False),
        ("{from: a, to: y, direct: true}", False),
    ],
)
def test_a_lead_that_is_shorter_than_its_way_is_told(a_lead: str, said: bool) -> None:
    build = bike_with(RUNS, LEADS | {"a lead": a_lead})
    found = plan(build)
    assert isinstance(found, Plan), found
    assert found.judged is not None
    told = [each.path for each in found.judged.decisions if each.rule.name == "lead-too-short" and each.severity]
    assert told == (["leads.a lead"] if said else [])


@pytest.mark.parametrize(
    ("a_lead", "shared"),
    [("{from: a, to: y}", True), ("{from: a, to: y, length: 1 m}", False), ("{from: a, to: y, direct: true}", False)],
)
def test_only_leads_that_are_planned_are_told_to_share_a_run(a_lead: str, shared: bool) -> None:
    build = bike_with(BACK, LEADS | {"a lead": a_lead})
    pairs = {frozenset(each[:2]) for each in same_runs(build, laid(build), routes(build))}
    assert (frozenset({"a lead", "main lead"}) in pairs) is shared
    # A lead without a way shares none.
    assert same_runs(build, laid(build), {}) == []


@pytest.mark.parametrize(("guess", "told"), [(False, ""), (True, " (the length of a lead is only a guess)")])
def test_a_distance_that_is_only_guessed_is_said_to_be(guess: bool, told: str) -> None:
    build = bike_with(RUNS, LEADS)
    lead = build.leads["a lead"]
    guessed = replace(build, guesses={(lead.path, "length_m"): ANY} if guess else {})
    assert missing_distance(guessed, [lead]).text == f"not in the file: how far it is from a to y{told}"


# Joiners.


def test_the_first_joiner_that_takes_so_many() -> None:
    models = [Model(SimpleNamespace(inputs=each, name=f"of {each}")) for each in (4, 2, 3)]  # type: ignore[arg-type]
    assert [_least(models, count).joiner.inputs for count in (2, 3, 4, 5)] == [2, 3, 4, 4]


@pytest.mark.parametrize(
    ("inputs", "joiners", "drawn"),
    [
        # Four packs: joiners of two, of three; two of the file, and as many more as it takes.
        (2, 1, [("a", "b"), ("c", "y0"), ("d", "y0 b")]),
        (3, 1, [("a", "b", "c"), ("d", "y0")]),
        (4, 1, [("a", "b", "c", "d")]),
        (4, 2, [("a", "b", "c"), ("d", "y0")]),
        (4, 3, [("a", "b"), ("c", "y0"), ("d", "y1")]),
    ],
)
def test_the_plain_chain(inputs: int, joiners: int, drawn: list[tuple[str, ...]]) -> None:
    given = {f"y{n}": joiner(inputs=inputs) if not n else "{like: y0}" for n in range(joiners)}
    build = build_of(bike({name: pack("bed") for name in "abcd"}, given, {"bed": "{holds: 9}"}, [], at="bed"))
    loose = gaps(build)
    found = chain(loose, catalogue(build, None).models)
    assert found is not None
    into: dict[str, list[str]] = {}
    for lead in found.build.leads.values():
        into.setdefault(lead.target, []).append(lead.source)
    assert [{*each} for name, each in into.items() if name != "controller"] == [{*each} for each in drawn]
    # Without one to be had there is none.
    if joiners < len(drawn):
        assert chain(loose, ()) is None


@pytest.mark.parametrize(("inlets", "said"), [("XT60 pin", False), ("[XT60 pin, XT90 pin]", True)])
def test_into_which_inlet_a_lead_goes_is_said_where_it_matters(inlets: str, said: bool) -> None:
    yoke = joiner().replace("inlets: XT60 pin", f"inlets: {inlets}")
    build = build_of(bike({"a": pack("bed"), "b": pack("bed", outlet="XT90")}, {"y": yoke}, PLACES, RUNS))
    (kind,) = kinds(gaps(build), (), 2)
    put = PutJoiner(kind, "tube", build.joiners["y"])
    spots = [Spot("bed", end("XT60 socket"), "a"), Spot("bed", end("XT90 socket"), "b")]
    drawing = _Drawing(build)
    layout = cast(Any, SimpleNamespace(price=lambda kind: 0))
    assert _spot(drawing, layout, Spot("tube", end("XT60 socket"), "", (put, *spots))) == "y"
    found = {each.source: each.inlet for each in drawing.build.leads.values()}
    assert found == ({"a": 1, "b": 2} if said else {"a": None, "b": None})
    assert drawing.build.joiners["y"].place_name == "tube"


def loose(joiners: dict[str, str], **more: Any) -> Any:
    return gaps(build_of(bike({name: pack("bed") for name in "abc"}, joiners, PLACES, RUNS, **more)))


def test_joiners_that_are_alike_are_one_kind() -> None:
    found = kinds(loose({"y": joiner(), "z": "{like: y}"}), (), 3)
    assert [(each.names, each.model, each.most) for each in found] == [(("y", "z"), None, 2)]
    apart = kinds(loose({"y": joiner(), "z": joiner(45)}), (), 3)
    assert [(each.names, each.most) for each in apart] == [(("y",), 1), (("z",), 1)]


def test_as_many_more_come_as_it_takes() -> None:
    one = loose({"y": joiner()})
    models = catalogue(one.build, None).models
    # Three packs take two of two inlets: one more like it, of the same kind.
    assert [(each.names, each.model is not None, each.most) for each in kinds(one, models, 3)] == [(("y",), True, 2)]
    assert [each.most for each in kinds(one, models, 4)] == [3]
    assert [(each.model, each.most) for each in kinds(one, models, 2)] == [(None, 1)]
    # Two models that are alike: the second is a kind of its own.
    assert [(each.names, each.most) for each in kinds(one, (*models, *models), 3)] == [(("y",), 2), ((), 1)]
    assert [each.names for each in kinds(replace(one, drawn=True), models, 3)] == [("y",)]


@pytest.mark.parametrize(
    ("change", "alike"),
    [
        ({}, True),
        ({"y": {"place_name": "bed"}}, False),
        ({"z": {"place_name": "bed"}}, False),
        ({"y": {"place_name": "bed"}, "z": {"place_name": "bed"}}, False),
        ({"z": {"mount": "open air"}}, False),
    ],
)
def test_which_joiners_are_alike(change: dict[str, dict[str, Any]], alike: bool) -> None:
    one = loose({"y": joiner(), "z": "{like: y}"})
    y, z = (replace(one.build.joiners[name], **change.get(name, {})) for name in "yz")
    assert _alike(one, y, z) is alike
    assert not _alike(replace(one, drawn=True), y, z)


@pytest.mark.parametrize(("at", "alike"), [("y", False), ("z", False), ("a", True)])
def test_a_joiner_that_a_lamp_hangs_on_is_none_like_the_others(at: str, alike: bool) -> None:
    lamp = f"accessories:\n  lamp: {{from: {at}, max: 60 V, current: 1 A, fuse: none}}\n"
    one = loose({"y": joiner(), "z": "{like: y}"}, more=lamp)
    assert one.build.accessories["lamp"].sources == (at,)
    assert _alike(one, one.build.joiners["y"], one.build.joiners["z"]) is alike


# What is written.


def copies(joiners: dict[str, str] | None = None, **more: Any) -> Build:
    return build_of(bike({"a": pack("bed"), "b": "{like: a}"}, joiners or {"y": joiner()}, PLACES, RUNS, **more))


def test_a_mount_that_a_new_joiner_needs_is_asked_for_where_the_first_one_gets_one_too() -> None:
    build = copies()
    y = build.joiners["y"]
    mounted = replace(y, place_name="tube", mount="frame metal")
    other = replace(y, name="y 2", path="joiners.y 2", place_name="bed", mount=None, span=NOWHERE, spans={})

    def asked(*joiners: Any, given: Build = build) -> tuple[tuple[str, str], ...]:
        answer: Any = None
        try:
            told_by_copies(given, replace(given, joiners={each.name: each for each in joiners}))
        except Stuck as stuck:
            answer = stuck.answer
        return answer.missing if answer is not None else ()

    assert asked(mounted, other) == (("places.bed", "mount"),)
    assert asked(mounted, replace(other, mount="open air")) == ()
    assert asked(mounted, replace(other, place_name=None)) == ()
    assert asked(mounted) == ()
    # Where the file's own joiner has its mount, or gets none, nothing is copied.
    assert asked(replace(y, place_name="tube"), other) == ()
    own = replace(build, joiners={"y": replace(y, mount="frame metal")})
    assert asked(mounted, other, given=own) == ()
    # One that the file has itself is no new one.
    both = replace(build, joiners={"y": y, "y 2": replace(other, place_name=None)})
    assert asked(mounted, other, given=both) == ()


@pytest.mark.parametrize(
    ("least_a", "kind"),
    [
        # Up to 32 A the family for taps; beyond, what the trade has.
        (2.0, ("10x38", 2.0)),
        (4.9, ("10x38", 5.0)),
        (30.0, ("10x38", 30.0)),
        (33.0, ("blade", 35.0)),
    ],
)
def test_the_fuse_of_a_tap_that_is_bought(least_a: float, kind: tuple[str, float]) -> None:
    bare = catalogue(copies(), None)
    found = _fuse(bare, 54.6, 500.0, least_a)
    assert found is not None
    assert (found.family, found.rating_a) == kind
    assert _fuse(bare, 54.6, 500.0, 999.0) is None


def test_the_fuse_of_a_tap_is_one_of_the_shelf_where_that_is_no_bigger_than_it_need_be() -> None:
    shop = shop_of(
        "packyoke-shop: 1\nshelf:\n  fuses:\n"
        + "".join(f"    f{n}: {{family: class T, rating: {n} A, voltage: 160 V}}\n" for n in (5, 7))
    )
    shelf = catalogue(copies(), shop)
    for least_a, name in ((1.0, "f5"), (5.0, "f5"), (5.1, "f7"), (7.1, None)):
        found = _fuse(shelf, 54.6, 500.0, least_a)
        assert found is not None
        assert (found.item.part.name if found.item is not None else None) == name
