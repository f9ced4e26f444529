"""The best plan against every plan there is, on bikes small enough to try them all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import pytest

from packyoke.analysis.harness.routes import routes
from packyoke.buildfile.reading import Shop
from packyoke.model import FITTED, Build, Fuse, Gauge
from packyoke.planning.plan import make_plan, plan
from packyoke.planning.ready import ready
from packyoke.planning.result import NoPlan, Plan, Stuck
from packyoke.shelf.wires import standard_fuses_a
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike, shop_of
from tests.planning.judging import figures, weight

TWO_WIRES = shop_of(
    "packyoke-shop: 1\nshelf:\n  wires:\n    thin: {gauge: 14 AWG, insulation: silicone}\n"
    "    mid: {gauge: 12 AWG, insulation: silicone}\n    thick: {gauge: 10 AWG, insulation: silicone}\n"
)
GAUGES = tuple(Gauge("AWG", size) for size in (14.0, 12.0, 10.0))
PRICED = shop_of((Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8"))
JOINER_KG = 0.9
AS_SUMMED = 1e-5
"""Figures of a plan are counted in steps of 1e-6, one for each lead."""


def drawn(packs: int, rng: Random) -> str:
    """A chain that is drawn, with lengths: only wires and fuses are open."""
    names = [f"p{n}" for n in range(packs)]
    leads = {}
    last = names[0]
    for n, name in enumerate(names[1:]):
        for source in (last, name):
            leads[f"{source} lead"] = f"{{from: {source}, to: j{n}, length: {rng.randint(20, 150)} cm}}"
        last = f"j{n}"
    leads["main lead"] = f"{{from: {last}, to: controller, length: {rng.randint(20, 150)} cm}}"
    return bike(
        {name: pack("here", rng.choice([10, 14, 20]), rng.choice(["XT60", "XT90"])) for name in names},
        {f"j{n}": joiner(45, rng.choice(["XT60", "XT90"])) for n in range(packs - 1)},
        {"here": "{holds: 9, mount: frame metal}"},
        [],
        amps=rng.choice([14, 18, 22, 26]),
        leads=leads,
        at="here",
    ).replace("charge_port: none", "charge_port: none, mount: frame metal")


def every_dress(build: Build, given: Build, amps: float) -> Iterator[Build]:
    """Every wire in every lead, with and without a fuse behind each joiner; every pack's lead has one."""
    rating_a = next(each for each in standard_fuses_a() if each >= amps / 0.8 - 1e-9)
    names = list(build.leads)
    # A holder needs a lead of 250 mm: both ends, a bend and its own length.
    after_joiners = [
        name
        for name in names
        if build.leads[name].source in build.joiners and (build.leads[name].length_m or 0.0) >= 0.25
    ]
    for gauges in product(GAUGES, repeat=len(names)):
        for fused in product((False, True), repeat=len(after_joiners)):
            fuses = dict(zip(after_joiners, fused, strict=True))
            leads = {}
            for name, gauge in zip(names, gauges, strict=True):
                lead = replace(build.leads[name], gauge=gauge, insulation="silicone")
                if fuses.get(name, lead.source in build.packs):
                    lead = replace(lead, fuse=fitted(lead.fuse, rating_a))
                leads[name] = lead
            yield replace(build, leads=leads)


def fitted(fuse: Fuse, rating_a: float) -> Fuse:
    # 160 V class T breaks whatever these packs send: the choice of family costs nothing without prices.
    return replace(fuse, presence=FITTED, family="class T", rating_a=rating_a, voltage_v=160.0)


@pytest.mark.parametrize("seed", range(4))
def test_wires_and_fuses_of_two_packs_are_the_best_of_all(seed: int) -> None:
    text = drawn(2, Random(seed))
    build = build_of(text, TWO_WIRES)
    found = plan(build, TWO_WIRES)
    assert isinstance(found, Plan), found
    ready_build = ready(build, routes(build))
    (controller,) = build.controllers.values()
    assert controller.limit_a is not None
    passing = [one for one in every_dress(ready_build, build, controller.limit_a) if weight(one)[0] == 0]
    best = min(figures(one, build) for one in passing)
    assert found.objective.values == pytest.approx(best, abs=AS_SUMMED)
    assert found.proved == ("voltage-drop" not in {each.rule for each in found.left})


def test_wires_and_fuses_of_three_packs_are_the_best_of_all() -> None:
    build = build_of(drawn(3, Random(11)), TWO_WIRES)
    found = plan(build, TWO_WIRES)
    assert isinstance(found, Plan), found
    assert found.proved
    # Thinning one lead after the other, the plan's own choice fixed for all the others, never does better.
    for name in build.leads:
        for gauge in GAUGES:
            for presence in (FITTED, "none"):
                lead = replace(found.build.leads[name], gauge=gauge)
                if lead.source in build.joiners:
                    fuse = fitted(lead.fuse, 35.0) if presence == FITTED else replace(lead.fuse, presence="none")
                    lead = replace(lead, fuse=fuse)
                other = replace(found.build, leads={**found.build.leads, name: lead})
                if weight(other)[0] == 0:
                    rounded = tuple(round(value, 5) for value in figures(other, build))
                    assert rounded >= tuple(round(value, 5) for value in found.objective.values)


Tree = Any
"""A pack's name, or two trees and the place of the joiner that brings them together."""


def every_tree(names: tuple[str, ...], places: tuple[str, ...]) -> Iterator[Tree]:
    """Every way to bring packs together two by two, each joiner at every place."""
    if len(names) == 1:
        yield names[0]
        return
    first, *rest = names
    for mask in range(2 ** len(rest) - 1):
        mine = (first, *(name for n, name in enumerate(rest) if mask >> n & 1))
        others = tuple(name for name in rest if name not in mine)
        for one in every_tree(mine, places):
            for other in every_tree(others, places):
                for place in places:
                    yield (one, other, place)


def places_of(tree: Tree) -> list[str]:
    return [] if isinstance(tree, str) else [*places_of(tree[0]), *places_of(tree[1]), tree[2]]


def as_drawn(build: Build, tree: Tree) -> Build:
    """The build with this tree drawn and nothing else decided."""
    from packyoke.planning.parts import with_lead

    base = build.joiners["j0"]
    waiting = [*build.joiners, *(f"extra {n}" for n in range(9))]

    def draw(build: Build, tree: Tree) -> tuple[Build, str]:
        if isinstance(tree, str):
            return build, tree
        name = waiting.pop(0)
        mount = build.places[tree[2]].mount
        placed = replace(base, name=name, path=f"joiners.{name}", place_name=tree[2], mount=mount)
        build = replace(build, joiners={**build.joiners, name: placed})
        for each in tree[:2]:
            build, source = draw(build, each)
            build = with_lead(build, source, name)
        return build, name

    build, last = draw(build, tree)
    return with_lead(build, last, "controller")


def best_of_all(build: Build, shop: Shop | None = None, prefer: tuple[str, ...] = ()) -> tuple[float, ...] | None:
    """The least figures over all layouts, each with its best wires."""
    return min(all_layouts(build, shop, prefer).values(), default=None)


def signature(build: Build, tree: Tree) -> Any:
    """A layout, with packs that could change places without anybody noticing under one name."""
    if isinstance(tree, str):
        one = build.packs[tree]
        return (one.place_name, one.outlet, one.capacity_coulomb)
    return (tree[2], *sorted((signature(build, each) for each in tree[:2]), key=repr))


def all_layouts(build: Build, shop: Shop | None = None, prefer: tuple[str, ...] = ()) -> dict[Any, tuple[float, ...]]:
    """Every layout that passes, with its figures."""
    best: dict[Any, tuple[float, ...]] = {}
    for tree in every_tree(tuple(build.packs), tuple(build.places)):
        used = places_of(tree)
        if any(used.count(name) > place.holds for name, place in build.places.items()):
            continue
        try:
            drawn = as_drawn(build, tree)
            found = make_plan(drawn, shop, prefer, brief=True).objective
        except Stuck:
            continue
        # Drawn, its joiners are all there already: what more of them weigh, 900 g each, comes on top.
        more = JOINER_KG * len(drawn.joiners.keys() - build.joiners.keys())
        best[signature(build, tree)] = tuple(
            value + more if name == "weighed" and shop is None else value
            for name, value in zip(found.names, found.values, strict=True)
        )
    return best


@pytest.mark.parametrize(
    ("seed", "packs", "places"),
    [(seed, 2, 5) for seed in range(4)] + [(seed, 3, 4) for seed in range(6)] + [(20, 4, 3), (21, 4, 3)],
)
def test_layout_is_the_best_of_all(seed: int, packs: int, places: int) -> None:
    rng = Random(seed)
    build = build_of(random_bike(rng, packs, places, families=("XT60", "XT90"), holds=packs - 1))
    found = plan(build)
    best = best_of_all(build)
    if best is None:
        assert isinstance(found, NoPlan)
        return
    assert isinstance(found, Plan), found
    assert found.objective.values == pytest.approx(best, abs=AS_SUMMED)
    assert found.proved


@pytest.mark.parametrize("prefer", [("loss",), ("joints",), ("joints", "loss")], ids=lambda words: "+".join(words))
@pytest.mark.parametrize("seed", [0, 3, 7])
def test_layout_is_the_best_of_all_by_what_is_preferred(seed: int, prefer: tuple[str, ...]) -> None:
    build = build_of(random_bike(Random(seed), 3, 4, families=("XT60", "XT90"), holds=2))
    found = plan(build, None, prefer)
    assert isinstance(found, Plan), found
    assert found.objective.values == pytest.approx(best_of_all(build, None, prefer), abs=AS_SUMMED)
    assert found.proved


@pytest.mark.parametrize("seed", range(4))
def test_layout_is_the_cheapest_of_all(seed: int) -> None:
    build = build_of(random_bike(Random(seed), 3, 4, families=("XT60",), holds=2, more_alike=1), PRICED)
    found = plan(build, PRICED)
    assert isinstance(found, Plan), found
    assert found.objective.names[1:3] == ("weighed", "cost")
    assert found.objective.values == pytest.approx(best_of_all(build, PRICED), abs=10 * AS_SUMMED)
    assert found.proved


@pytest.mark.parametrize("seed", [1, 2, 4, 5, 8, 9])
def test_runner_up_is_the_second_best_of_all(seed: int) -> None:
    build = build_of(random_bike(Random(seed), 3, 4, families=("XT60", "XT90"), holds=2))
    found = plan(build)
    assert isinstance(found, Plan), found
    second = sorted(all_layouts(build).values())[1]
    if found.runner_up is None:
        # Nothing within a tenth more.
        assert (second[0], second[1]) > (found.objective.values[0], 1.1 * found.objective.values[1])
    else:
        assert found.runner_up.values == pytest.approx(second, abs=AS_SUMMED)
