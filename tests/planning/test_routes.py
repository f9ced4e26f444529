"""Shortest ways between places, against a library of graphs, and the slack that leads get."""

from __future__ import annotations

from random import Random

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.buildfile.reading import load
from packyoke.making.routes import cut_length_m
from packyoke.model import Build, Run
from packyoke.planning.plan import SLACK_NOTE, plan
from packyoke.planning.result import Plan, Refusal
from packyoke.planning.topology import gaps
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike
from tests.planning.test_quote import COUNTER, TWO_PACKS, a_shop

ROUNDING = 1e-9


@pytest.mark.cross
@pytest.mark.parametrize("seed", range(30))
def test_shortest_ways_agree_with_networkx(seed: int) -> None:
    networkx = pytest.importorskip("networkx")
    build = build_of(random_bike(Random(seed), 2, 3 + seed % 9))
    graph = networkx.Graph()
    graph.add_nodes_from(build.places)
    for run in build.runs:
        one, other = run.between
        before = graph.get_edge_data(one, other, {"weight": float("inf")})["weight"]
        graph.add_edge(one, other, weight=min(before, run.length_m))
    theirs = dict(networkx.all_pairs_dijkstra_path_length(graph))
    ours = routes(build)
    assert {pair: way.length_m for pair, way in ours.items()} == pytest.approx(
        {(one, other): length for one, ends in theirs.items() for other, length in ends.items()}, abs=ROUNDING
    )


def test_a_way_is_as_long_as_its_runs_and_passes_its_places() -> None:
    build = build_of(random_bike(Random(5), 2, 8))
    for (start, end), way in routes(build).items():
        assert way.places[0] == start
        assert way.places[-1] == end
        assert way.length_m == pytest.approx(sum(run.length_m for run in way.runs), abs=ROUNDING)
        steps = [{one, other} for one, other in zip(way.places, way.places[1:], strict=False)]
        assert [set(run.between) for run in way.runs] == steps


def two_packs(runs: str, at: str = "motor") -> str:
    return bike(
        {"a": pack("bed"), "b": pack("bed")},
        {"y": joiner()},
        {"bed": "{holds: 1, mount: frame metal}", "post": "{holds: 0}", "motor": "{holds: 0}"},
        [],
        at=at,
        more=f"runs:\n{runs}" if runs else "",
    )


def test_a_lead_lies_as_the_runs_that_it_takes() -> None:
    text = two_packs(
        "  - {between: [bed, post], length: 300 mm, run: [in frame, beside 1 other]}\n"
        "  - {between: [post, motor], length: 400 mm, run: moving}\n"
        "  - {between: [bed, motor], length: 900 mm}\n"
    )
    found = plan(build_of(text))
    assert isinstance(found, Plan), found
    assert found.build.leads["main lead"].run == Run(in_frame=True, moving=True, beside=1)
    # 700 mm along the runs, 70 mm for bends, 100 mm of spare: by hand.
    assert found.build.leads["main lead"].length_m == pytest.approx(0.87)
    (piece,) = (piece for piece in found.pieces if piece.lead == "main lead")
    assert piece.way == ("bed", "post", "motor")


@pytest.mark.parametrize(
    ("way_m", "lead_m"),
    [(0.0, 0.15), (0.04, 0.15), (0.05, 0.16), (0.7, 0.87), (0.701, 0.88), (1.0, 1.2), (0.345, 0.48)],
)
def test_slack_is_common_practice(way_m: float, lead_m: float) -> None:
    assert cut_length_m(way_m) == pytest.approx(lead_m, abs=ROUNDING)


def test_a_distance_that_nobody_measured_is_named() -> None:
    found = plan(build_of(two_packs("  - {between: [bed, post], length: 300 mm}\n")))
    assert isinstance(found, Refusal), found
    assert found.kind == "distance"
    assert found.missing == (("bed", "motor"),)
    assert "bed to motor" in found.text


def test_without_runs_every_distance_is_asked_for() -> None:
    found = plan(build_of(two_packs("")))
    assert isinstance(found, Refusal), found
    assert found.kind == "distance"
    assert found.missing == (("a", "y"), ("b", "y"), ("y", "controller"))


@pytest.mark.parametrize(
    ("placed", "do"),
    [
        (("a", "y"), "Write  place:  at b, or the length of the lead."),
        (("y",), "Write  place:  at a and b, or the length of the lead."),
        (
            ("a", "b", "y"),
            "Measure it and add to  runs:  {between: [bed, tube], length: .. mm}, "
            "{between: [bed, tube], length: .. mm}",
        ),
    ],
)
def test_of_a_drawn_lead_of_unknown_length_what_is_missing_is_asked_for(placed: tuple[str, ...], do: str) -> None:
    """Places of the parts that have none; the way where both have theirs."""
    leads = {"a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}", "main lead": "{from: y, to: controller}"}
    at = {"a": ", place: bed", "b": ", place: bed", "y": ", place: tube"}
    packs = {name: pack("bed").replace(at[name], at[name] if name in placed else "") for name in "ab"}
    mine = joiner().replace("charge_port: none", f"charge_port: none, mount: frame metal{at['y']}")
    places = {"bed": "{holds: 0}", "tube": "{holds: 1}", "motor": "{holds: 0}"}
    found = plan(build_of(bike(packs, {"y": mine}, places, [("tube", "motor", 500)], leads=leads)))
    assert isinstance(found, Refusal), found
    assert found.do == do


def test_a_pack_without_a_place_is_named() -> None:
    text = two_packs("  - {between: [bed, motor], length: 300 mm}\n").replace(", place: bed", "", 1)
    found = plan(build_of(text))
    assert isinstance(found, Refusal), found
    assert found.missing == (("packs.a", "place_name"),)


def changed(old: str, new: str) -> Build:
    """The bike of two packs and its own joiner, with one lead changed."""
    head, _, rest = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8").partition("leads:\n")
    text = head + TWO_PACKS + rest.partition("\n")[2]
    assert old in text
    found = load(text.replace(old, new), "bike", shop=a_shop(4))
    assert isinstance(found, Build), found
    return found


KEEL = "keel lead: {from: keel, to: own yoke, length: 350 mm, gauge: 12 AWG, "


@pytest.mark.parametrize(("given", "cut"), [("length: 350 mm, ", False), ("", True)])
def test_how_lengths_are_cut_is_said_where_one_is(given: str, cut: bool) -> None:
    build = changed(KEEL, f"keel lead: {{from: keel, to: own yoke, {given}")
    found = plan(build, a_shop(4))
    assert isinstance(found, Plan), found
    assert (SLACK_NOTE in found.notes) is cut


def test_what_is_lost_behind_a_joiner_that_is_drawn_is_counted() -> None:
    """18 A through 2 mohm of the joiner and 700 mm of 12 AWG (5.2 mohm/m) are 0.10 V; two pairs of contacts of 0.5 mohm
    at the most on top of it."""
    topology = gaps(changed(f"  {KEEL}", "  # "))
    assert topology.root.name == "own yoke"
    assert 0.036 + 0.0655 <= topology.onward_v() <= 0.036 + 0.0655 + 18 * 4 * 0.0006
