"""A simple search of its own for bikes of many packs, and what the plan's is held against it.

    python -m tests.planning.simple 0 20 --seconds 170     bikes by number, of 7 to 10 packs, as rows of a table

It begins once by chance and once with the tree of the plan itself. It draws a tree with joiners by chance at places by
chance, changes one thing at a time and keeps what is cheaper. Wires and fuses of each drawn tree are the plan's own,
which the tests hold against every choice there is.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from time import process_time
from typing import NamedTuple

from packyoke.model import Build
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.parts import with_lead
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bench_plan import wide_shelf
from tests.planning.bikes import build_of, random_bike, shop_of

STEPS = 120
PLACES = 6


class Put(NamedTuple):
    """A joiner of the shelf at a place, and what it brings together."""

    item: ShelfItem
    place: str
    parts: tuple[str | Put, ...]


def drawn(build: Build, top: Put) -> Build:
    """The build with a tree drawn and its joiners in their places."""

    def draw(build: Build, part: str | Put) -> tuple[Build, str]:
        if isinstance(part, str):
            return build, part
        name = f"j{len(build.joiners)}"
        mount = build.places[part.place].mount
        put = replace(part.item.part, name=name, path=f"joiners.{name}", place_name=part.place, mount=mount)
        build = replace(
            build, joiners={**build.joiners, name: put}, items={**build.items, put.path: part.item.part.name}
        )
        for each in part.parts:
            build, source = draw(build, each)
            build = with_lead(build, source, name)
        return build, name

    build, last = draw(build, top)
    return with_lead(build, last, "controller")


def puts(part: str | Put) -> Iterator[Put]:
    if isinstance(part, Put):
        yield part
        for each in part.parts:
            yield from puts(each)


def by_chance(build: Build, items: list[ShelfItem], rng: Random) -> Put:
    """Packs brought together two to four at a time until all are."""
    waiting: list[str | Put] = [*build.packs]
    while len(waiting) > 1:
        count = min(len(waiting), rng.choice([2, 3, 4]))
        taken = tuple(waiting.pop(rng.randrange(len(waiting))) for _ in range(count))
        fitting = [item for item in items if item.part.inputs >= count]
        waiting.append(Put(rng.choice(fitting), rng.choice([*build.places]), taken))
    (top,) = waiting
    assert isinstance(top, Put)
    return top


def changed(top: Put, build: Build, items: list[ShelfItem], rng: Random) -> Put:
    """One joiner elsewhere, another joiner, or two parts that change places."""
    all_puts = [*puts(top)]
    chosen = rng.choice(all_puts)
    kind = rng.randrange(3)
    if kind == 0:
        return _with(top, chosen, chosen._replace(place=rng.choice([*build.places])))
    if kind == 1:
        fitting = [item for item in items if item.part.inputs >= len(chosen.parts)]
        return _with(top, chosen, chosen._replace(item=rng.choice(fitting)))
    one, other = rng.sample([*build.packs], 2)
    return _swapped(top, one, other)


def _with(part: Put, old: Put, new: Put) -> Put:
    if part is old:
        return new
    return part._replace(parts=tuple(_with(each, old, new) if isinstance(each, Put) else each for each in part.parts))


def _swapped(part: Put, one: str, other: str) -> Put:
    names = {one: other, other: one}
    return part._replace(
        parts=tuple(
            _swapped(each, one, other) if isinstance(each, Put) else names.get(each, each) for each in part.parts
        )
    )


def cost(build: Build, top: Put, shop: Stock) -> tuple[float, float] | None:
    """Findings, and what a tree comes to with its best wires; None where it does not fit or does not pass."""
    used = [put.place for put in puts(top)]
    if any(used.count(name) > place.holds for name, place in build.places.items()):
        return None
    found = plan(drawn(build, top), shop)
    if not isinstance(found, Plan):
        return None
    return found.objective.values[0], found.objective.values[1] + sum(float(put.item.price or 0) for put in puts(top))


def simple(
    build: Build, shop: Stock, rng: Random, steps: int = STEPS, first: Put | None = None
) -> tuple[tuple[float, float], Put] | None:
    """The best that the simple search comes to, from a first tree or from one by chance."""
    items = [item for item in shop.items if item.section == "joiners"]
    best: tuple[tuple[float, float], Put] | None = None
    if first is not None:
        found = cost(build, first, shop)
        assert found is not None, "a plan's own tree can be planned"
        best = found, first
    for _ in range(steps):
        top = by_chance(build, items, rng) if best is None else changed(best[1], build, items, rng)
        found = cost(build, top, shop)
        if found is not None and (best is None or found < best[0]):
            best = found, top
    return best


def tree_of(done: Build, shop: Stock) -> Put:
    """The tree of a plan."""
    items = {item.part.name: item for item in shop.items if item.section == "joiners"}
    into: dict[str, list[str]] = {}
    for lead in done.leads.values():
        into.setdefault(lead.target, []).append(lead.source)

    def part(name: str) -> str | Put:
        joiner = done.joiners.get(name)
        if joiner is None:
            return name
        assert joiner.place_name is not None
        return Put(items[done.items[joiner.path]], joiner.place_name, tuple(map(part, into[name])))

    (controller,) = done.controllers
    (top,) = map(part, into[controller])
    assert isinstance(top, Put)
    return top


def tight(build: Build, top: Put) -> Build:
    """The bike with room for the joiners of one tree, and no more."""
    used = [put.place for put in puts(top)]
    return replace(build, places={name: replace(each, holds=used.count(name)) for name, each in build.places.items()})


def bike_of(seed: int) -> tuple[Build, Stock]:
    """A bike of 7 to 10 packs."""
    shop = shop_of(wide_shelf())
    return build_of(random_bike(Random(seed), 7 + seed % 4, PLACES, joiner_kinds=0, holds=3), shop), shop


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("first", type=int)
    parser.add_argument("last", type=int)
    parser.add_argument("--seconds", type=float, default=170.0)
    asked = parser.parse_args()
    print("| bike | packs | plan | by chance | from the plan | bound | s |", "|---|---|---|---|---|---|---|", sep="\n")
    for seed in range(asked.first, asked.last):
        build, shop = bike_of(seed)
        start = process_time()
        found = plan(build, shop)
        spent = process_time() - start
        other = simple(build, shop, Random(seed))
        further = None
        if isinstance(found, Plan):
            further = simple(build, shop, Random(seed), first=tree_of(found.build, shop))
        mine = cost(build, tree_of(found.build, shop), shop) if isinstance(found, Plan) else None
        said = found.doubt.rpartition("; ")[2] if isinstance(found, Plan) else str(found)
        tried = [mine, other and other[0], further and further[0]]
        cells = [f"{each[1]:.2f}" + (f" +{each[0]:g}" if each[0] else "") if each else "none" for each in tried]
        print(
            "|",
            " | ".join([str(seed), str(len(build.packs)), *cells, said or "proved", f"{spent:.0f}"]),
            "|",
            flush=True,
        )
        if process_time() > asked.seconds:
            break


if __name__ == "__main__":
    main()
