"""No harness that the check passes weighs less than the plan: every place, wire and fuse of small bikes, in and beside
the frame, with an accessory, with prices and without."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random

import pytest

from packyoke.making.routes import routes
from packyoke.model import FITTED, Build, Fuse, Gauge, Lead
from packyoke.planning.parts import with_lead
from packyoke.planning.plan import plan
from packyoke.planning.ready import ready
from packyoke.planning.result import Plan
from packyoke.shelf.wires import standard_fuses_a
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.judging import weighed_kg, weighed_money, weight

SHELF = (Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8")
PRICED = shop_of(SHELF)
WIRES = shop_of(
    "packyoke-shop: 1\nshelf:\n  wires:\n    thin: {gauge: 14 AWG, insulation: silicone}\n"
    "    mid: {gauge: 12 AWG, insulation: silicone}\n    thick: {gauge: 10 AWG, insulation: silicone}\n"
)
GAUGES = tuple(Gauge("AWG", size) for size in (14.0, 12.0))
"""The thickest of the shelf fits no XT60."""
HOLDER_M = 0.25
AS_SUMMED = 1e-4
LAMP = "{from: SOURCE, max: 60 V, current: 1 A, fuse: {family: 10x38, rating: 2 A, voltage: 1000 V}}"


def text_of(rng: Random) -> str:
    """Two packs, a joiner in hand, three places along the frame, a lamp behind the joiner or at a pack."""
    places = ("bed", "tube", "motor")
    packs = {name: pack(rng.choice(places), rng.choice([10, 14, 20])) for name in "ab"}
    frame = [rng.random() < 0.6 for _ in range(3)]
    pairs = (("bed", "tube"), ("tube", "motor"), ("bed", "motor"))
    runs = "".join(
        f"  - {{between: [{one}, {other}], length: {rng.randint(100, 1400)} mm{', run: in frame' if inside else ''}}}\n"
        for (one, other), inside in zip(pairs, frame, strict=True)
    )
    return bike(
        packs,
        {"y": joiner()},
        {name: f"{{holds: 1, mount: {rng.choice(['frame metal', 'open air'])}}}" for name in places},
        [],
        amps=rng.choice([14, 18, 19, 22]),
        more=f"runs:\n{runs}accessories:\n  lamp: {LAMP.replace('SOURCE', rng.choice(['y', 'a']))}\n",
    )


def every_harness(build: Build, ratings_a: tuple[float, ...]) -> Iterator[Build]:
    """The joiner at each place, each wire in each lead, each fuse at each pack, and one or none behind the joiner."""
    for place in build.places.values():
        placed = replace(build.joiners["y"], place_name=place.name, mount=place.mount)
        drawn = replace(build, joiners={"y": placed})
        for source, target in (("a", "y"), ("b", "y"), ("y", "controller")):
            drawn = with_lead(drawn, source, target)
        laid = ready(drawn, routes(build))
        for gauges in product(GAUGES, repeat=3):
            for fuses in product(ratings_a, ratings_a, (None, *ratings_a)):
                leads = {
                    name: made(lead, gauge, rating_a)
                    for (name, lead), gauge, rating_a in zip(laid.leads.items(), gauges, fuses, strict=True)
                }
                yield replace(laid, leads=leads)


def made(lead: Lead, gauge: Gauge, rating_a: float | None) -> Lead:
    lead = replace(lead, gauge=gauge, insulation="silicone")
    if rating_a is None:
        return lead
    return replace(lead, fuse=fitted(lead.fuse, rating_a), length_m=max(HOLDER_M, lead.length_m or 0.0))


def fitted(fuse: Fuse, rating_a: float) -> Fuse:
    return replace(fuse, presence=FITTED, family="class T", rating_a=rating_a, voltage_v=160.0)


@pytest.mark.parametrize("priced", [False, True], ids=["copper", "prices"])
@pytest.mark.parametrize("seed", range(4))
def test_nothing_that_passes_weighs_less(seed: int, priced: bool) -> None:
    shop = PRICED if priced else WIRES
    build = build_of(text_of(Random(seed)), shop)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    least_a = next(each for each in standard_fuses_a() if each >= (build.controllers["controller"].limit_a or 0) / 0.8)
    ratings_a = (25.0, 30.0) if priced else tuple(sorted({least_a, 25.0, 30.0}))[:2]

    def weighed(one: Build) -> float:
        return weighed_money(one, build, SHELF) if priced else weighed_kg(one, build)

    # The plan says of itself what comes out here.
    mine = weight(found.build)
    assert mine == (0, found.objective.values[0])
    assert found.objective.values[1] == pytest.approx(weighed(found.build), abs=AS_SUMMED)
    seen = 0
    for one in every_harness(build, ratings_a):
        seen += 1
        figure = weighed(one)
        if mine[1] or figure < found.objective.values[1] - AS_SUMMED:
            stops, others = weight(one)
            assert stops or (others, figure) >= (mine[1], found.objective.values[1] - AS_SUMMED), one.leads
    assert seen > 100
