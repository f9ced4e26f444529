"""The leads between the places of a bike that is laid out: which there are, drawn ones among them, and packs joined."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from packyoke.planning.options import Workbench
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.test_layout_by_table import PLACES, ROOT, bench_of, laid, lamp, text_of
from tests.planning.test_prices import SHOP


def test_leads_between_nodes() -> None:
    layout = bench_of(2)
    count = len(layout.spots)
    bed = next(n for n, put in enumerate(layout.puts) if put.place == "bed" and put.joiner.name == "small yoke") + count
    tube = (
        next(n for n, put in enumerate(layout.puts) if put.place == "tube" and put.joiner.name == "small yoke") + count
    )
    # 400 mm, a tenth for bends, 50 mm at each end: 540 mm; 900 mm from bed to motor: 1090 mm.
    assert {each.holder_m for each in layout.wires(0, tube, 0)} == {0.54}
    assert {each.holder_m for each in layout.wires(0, ROOT, 0)} == {1.09}
    assert {each.holder_m for each in layout.wires(tube, ROOT, 0)} == {0.65}
    # At the same place: what can be made at the least, with the holder of the fuse that this pack has not got.
    assert {each.holder_m for each in layout.wires(0, bed, 0)} == {0.25}
    assert {each.holder_m for each in layout.wires(bed, bed, 0)} == {None}
    # Two packs that are alike share their leads.
    assert layout.wires(1, tube, 0) == layout.wires(0, tube, 0)


def test_no_run_no_lead() -> None:
    runs = [("tube", "motor", 500)]
    text = bike({f"p{n}": pack("bed") for n in range(2)}, {}, PLACES, runs)
    layout = laid(build_of(text, SHOP), SHOP)
    assert layout.wires(0, ROOT, 0) == ()
    assert layout.unreached == {("bed", "motor")}
    assert layout.blocked == {}


def test_a_lead_that_no_wire_does_for_is_kept_as_such() -> None:
    shop = "packyoke-shop: 1\nshelf:\n  wires:\n    t: {gauge: 24 AWG, insulation: PVC}\n"
    layout = laid(build_of(text_of(2, {"y": joiner()}), shop_of(shop)), shop_of(shop))
    assert not layout.wires(0, ROOT, 0)
    assert {each.rule for each in layout.blocked[0]} == {"lead-overheats"}


TREE = {
    "p0 lead": "{from: p0, to: y}",
    "p1 lead": "{from: p1, to: y, length: 700 mm, gauge: 12 AWG}",
    "main lead": "{from: y, to: controller}",
}


def test_a_drawn_lead_stays_as_it_is_and_goes_where_it_goes() -> None:
    layout = laid(build_of(text_of(2, {"y": joiner()}, TREE)), drawn=True)
    site = len(layout.spots)
    assert layout._drawn(0).name == "p0 lead"  # type: ignore[union-attr]
    assert layout._drawn(ROOT) is None
    assert layout.wires(0, ROOT, 0) == ()
    open_one, given = layout.wires(0, site, 0), layout.wires(1, site, 0)
    assert len(open_one) > 1
    assert [each.cable.gauge.size for each in given] == [12.0]  # type: ignore[union-attr]
    assert given[0].holder_m == 0.7
    plain = laid(
        build_of(text_of(2, {"y": joiner()}, TREE | {"p1 lead": "{from: p1, to: y, direct: true}"})), drawn=True
    )
    assert plain.wires(1, site, 0) == ()


def test_a_drawn_lead_of_given_length_needs_no_run() -> None:
    text = bike({f"p{n}": pack("bed") for n in range(2)}, {"y": joiner()}, PLACES, [("tube", "motor", 500)], leads=TREE)
    layout = laid(build_of(text), drawn=True)
    tube = next(n for n, put in enumerate(layout.puts) if put.place == "tube") + 2
    assert [each.holder_m for each in layout.wires(1, tube, 0)] == [0.7]
    assert layout.wires(0, tube, 0) == ()
    assert layout.unreached == {("bed", "tube")}


def test_a_lead_lies_as_the_file_says_or_as_its_runs_do(monkeypatch: pytest.MonkeyPatch) -> None:
    leads = {
        "p0 lead": "{from: p0, to: y}",
        "p1 lead": "{from: p1, to: y, run: [in frame]}",
        "main lead": "{from: y, to: controller, length: 600 mm}",
    }
    text = text_of(2, {"y": joiner()}, leads).replace(
        "{between: [bed, tube], length: 400 mm}", "{between: [bed, tube], length: 400 mm, run: [moving]}"
    )
    layout = laid(build_of(text), drawn=True)
    asked: list[Any] = []
    monkeypatch.setattr(layout.bench, "options", lambda case, lead, *_, **__: asked.append(lead.run) or [])
    tube = next(n for n, put in enumerate(layout.puts) if put.place == "tube") + 2
    for node, target in ((0, tube), (1, tube), (tube, ROOT)):
        layout.wires(node, target, 0)
    given = layout.build.leads
    way = layout.ways["bed", "tube"].run
    assert asked == [way, given["p1 lead"].run, given["main lead"].run]
    assert len({*asked}) == 3


def test_what_a_fuse_needs_is_asked_once_for_a_pack_and_once_for_all(monkeypatch: pytest.MonkeyPatch) -> None:
    layout = bench_of(3)
    asked = []
    layout._needed_a.clear()
    monkeypatch.setattr(layout, "_probed", lambda pack: asked.append(pack) or (None, None))
    monkeypatch.setattr("packyoke.planning.layout.needed_a", lambda *_: 22.5)
    for mask in (1, 2, 3, 7, 6, 1, 2):
        assert layout.fuses(mask)[0].rating_a == 25.0 or layout.fuses(mask)[0].rating_a == 30.0
    assert asked == ["p0", "p1", ""]


def test_packs_that_were_joined_are_one_from_there_on() -> None:
    layout = bench_of(4).copy()
    label = layout.problem.terminals[0].labels[0]._replace(score=7)
    used = layout.problem.sites[2].use
    layout.merge((1, 3), 2, label)
    assert [each.name for each in layout.spots] == ["p0", "p2", ""]
    assert layout.packs == [("p0",), ("p2",), ("p1", "p3")]
    assert [each.used for each in layout.problem.terminals] == [0, 0, used]
    assert layout.problem.terminals[2].labels == (label,)
    assert layout.packs_of(0b101) == ("p0", "p1", "p3")
    put, *before = layout.spots[2].grown
    assert (put, [each.name for each in before]) == (layout.puts[2], ["p1", "p3"])
    assert layout.problem.meets is None
    tapped = lamp("y", packs=4).copy()
    tapped.merge((0, 1), 0, label)
    assert tapped.problem.meets is not None
    mine = next(number for number, put in enumerate(tapped.puts) if "y" in put.kind.names)
    assert [tapped.problem.meets(mask, mine) for mask in (0b011, 0b111)] == [False, True]


def test_of_a_part_that_is_no_pack_no_fuse_is_asked() -> None:
    leads = {f"{name} lead": f"{{from: {name}, to: y, length: 300 mm}}" for name in ("p0", "p1")}
    mine = joiner().replace("charge_port: none", "charge_port: none, place: tube, mount: frame metal")
    fitted = pack("bed", more="fuse: {family: class T, rating: 30 A, voltage: 160 V}")
    given = {"p0": pack("bed"), "p1": pack("bed"), "p2": pack("bed"), "p3": fitted}
    layout = laid(build_of(text_of(joiners={"y": mine}, leads=leads, given=given), SHOP), SHOP)
    assert {spot.name: layout._must_fuse(spot) for spot in layout.spots} == {"y": False, "p2": True, "p3": False}
    assert [each.must_fuse for each in layout.problem.terminals] == [layout._must_fuse(spot) for spot in layout.spots]


def test_names_of_nodes() -> None:
    layout = bench_of(2)
    count = len(layout.spots)
    assert [layout._name(node) for node in (ROOT, 0, 1, count)] == ["controller", "p0", "p1", "small yoke"]
    assert [layout._place(node) for node in (ROOT, 0, count)] == ["motor", "bed", layout.puts[0].place]
    assert str(layout._outlet(count)) == "XT60 socket"
    assert str(layout._outlet(ROOT)) == "XT60 socket"
    assert str(layout._inlet(ROOT, 0)) == "XT60 pin"


def test_leads_that_are_alike_are_made_once_and_drawn_ones_each(monkeypatch: pytest.MonkeyPatch) -> None:
    some = bench_of(2).wires(0, ROOT, 0)
    asked: list[Any] = []
    monkeypatch.setattr(
        Workbench, "options", lambda self, case, lead, packs, **more: asked.append(more["fixed"]) or some
    )
    layout = bench_of(2)
    asked.clear()
    site = len(layout.spots)
    assert layout.wires(0, site, 0) == layout.wires(0, site, 0) == some
    (fixed,) = asked
    assert (fixed.length_m, fixed.ends) == (None, (None, None))
    leads = {f"p{n} lead": f"{{from: p{n}, to: y, length: 500 mm}}" for n in range(2)}
    text = text_of(2, {"y": joiner()}, leads | {"main lead": "{from: y, to: controller}"})
    drawn = laid(build_of(text), drawn=True)
    asked.clear()
    for _ in range(2):
        drawn.wires(0, site, 0)
    assert asked == 2 * [drawn.build.leads["p0 lead"]]


def test_joiners_that_sit_already_take_up_their_places() -> None:
    leads = {f"{name} lead": f"{{from: {name}, to: y, length: 300 mm}}" for name in ("p0", "p1")}
    mine = joiner().replace("charge_port: none", "charge_port: none, place: tube, mount: frame metal")
    for given, most in ((leads, 1), ({}, 2)):
        layout = laid(build_of(text_of(4, {"y": mine}, given), SHOP), SHOP)
        unit = layout._places["tube"]
        assert [layout.problem.fits(count * unit) for count in (1, 2, 3)] == [count <= most for count in (1, 2, 3)]


def test_the_load_is_led_to_the_inlet_that_the_controller_has() -> None:
    layout = bench_of(2, inlet="XT90")
    assert (str(layout._outlet(ROOT)), str(layout._outlet(0))) == ("XT90 socket", "XT60 socket")


def test_only_the_pack_of_a_lead_that_is_tried_counts_as_of_the_shelf() -> None:
    layout = bench_of(2)
    build = replace(layout.build, items={"packs.p0": "one", "packs.p1": "other"})
    layout.build = build
    probe = layout._probe(layout._lead(1, ROOT, 0, 0.5), "p1")
    assert (dict(probe.items), [*probe.packs]) == ({"packs.p1": "other"}, ["p1"])
