"""Nodes that are said to be left and entered by the same leads: held against leads that are made node by node."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from packyoke.planning.layout import Layout
from packyoke.planning.layout_leads import LayoutLeads
from packyoke.planning.merging import improved
from tests.planning.bench_plan import wide_shelf
from tests.planning.bikes import build_of, random_bike, shop_of
from tests.planning.test_layout_by_table import LAMP, ROOT, laid, text_of

SHOP = shop_of(wide_shelf())
Wires = dict[tuple[int, int, int], list[tuple[object, ...]]]
DRAWN = {
    "p0 lead": "{from: p0, to: y}",
    "p1 lead": "{from: p1, to: y, length: 700 mm}",
    "link": "{from: y, to: z, gauge: 10 AWG}",
    "p2 lead": "{from: p2, to: z}",
    "main lead": "{from: z, to: controller}",
}


def leads_of(layout: Layout) -> Wires:
    """What each lead between two nodes can be made of."""
    problem = layout.problem
    count = len(problem.terminals)
    ends = [(count + at, inlet) for at, site in enumerate(problem.sites) for inlet in range(site.slots)]
    return {
        (node, *end): [tuple(option) for option in problem.wires(node, *end)]
        for node, end in product(range(problem.node_count()), [(ROOT, 0), *ends])
    }


def alike(layout: Layout, wires: Wires) -> bool:
    """Whether nodes of one number are left by the same leads, and inlets of one number entered by the same."""
    left: dict[object, list[object]] = {}
    entered: dict[object, list[object]] = {}
    ends = list(dict.fromkeys((target, inlet) for _, target, inlet in wires))
    for node in range(layout.problem.node_count()):
        left.setdefault(layout.leaves(node), []).append([wires[node, *end] for end in ends])
    for end in ends:
        row = [wires[node, *end] for node in range(layout.problem.node_count())]
        entered.setdefault(layout.enters(*end), []).append(row)
    return all(row == rows[0] for groups in (left, entered) for rows in groups.values() for row in rows)


def bikes() -> list[tuple[str, str, bool]]:
    found = [
        (
            f"by lot {seed}",
            random_bike(Random(seed), 4, 4, joiner_kinds=seed % 3, holds=2, families=("XT60", "XT90")),
            False,
        )
        for seed in range(6)
    ]
    found += [
        (f"a lamp at {at}", text_of(3, {"y": JOINER, "z": "{like: y}"}, more=LAMP.format(at=at)), False)
        for at in ("p0", "y")
    ]
    return [*found, ("a tree that is drawn", text_of(3, {"y": JOINER, "z": "{like: y}"}, DRAWN), True)]


JOINER = (
    "{type: ideal-diode, ceiling: 65 V, current: {continuous: 30 A}, resistance: 2 mohm, blocks_in: positive, "
    "inputs: 2, inlets: XT60 pin, outlet: XT60 socket, charge_port: none}"
)


@pytest.mark.parametrize(("text", "drawn"), [each[1:] for each in bikes()], ids=[each[0] for each in bikes()])
def test_leads_are_what_they_are_when_each_is_made_for_itself(
    text: str, drawn: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    build = build_of(text, SHOP)
    layout = laid(build, SHOP, drawn=drawn)
    at_some = layout.at([put.place for put in layout.puts][:1])
    found = leads_of(layout), leads_of(at_some)
    assert alike(layout, found[0])
    assert alike(at_some, found[1])
    numbers = iter(range(10_000_000))
    monkeypatch.setattr(LayoutLeads, "leaves", lambda *_: next(numbers))
    monkeypatch.setattr(LayoutLeads, "enters", lambda *_: next(numbers))
    alone = laid(build, SHOP, drawn=drawn)
    assert found == (leads_of(alone), leads_of(alone.at([put.place for put in alone.puts][:1])))
    assert any(found[0].values())


@pytest.mark.parametrize("seed", range(4))
def test_packs_that_were_joined_are_left_by_leads_of_their_own(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    build = build_of(random_bike(Random(seed), 4, 4, joiner_kinds=2, holds=2))
    before = laid(build)
    leads_of(before)
    (joined, *_) = [one for one, _ in improved(before, None, 2) if len(one.spots) < 4]
    found = leads_of(joined)
    assert alike(joined, found)
    assert any(wires for (node, *_), wires in found.items() if node == len(joined.spots) - 1)
    numbers = iter(range(10_000_000))
    monkeypatch.setattr(LayoutLeads, "leaves", lambda *_: next(numbers))
    monkeypatch.setattr(LayoutLeads, "enters", lambda *_: next(numbers))
    joined._made, joined._led = {}, {}
    joined.problem.wires.cache_clear()  # type: ignore[attr-defined]
    assert leads_of(joined) == found


@pytest.mark.parametrize("seed", range(6))
def test_what_the_same_leads_leave_or_enter_has_one_number(seed: int) -> None:
    """At one place, with one plug: so many numbers, and no more, as there are places and plugs of joiners."""
    build = build_of(random_bike(Random(seed), 4, 4, joiner_kinds=0, holds=2, families=("XT60", "XT90")))
    layout = laid(build, SHOP)
    count = len(layout.spots)
    bought = [(count + at, put) for at, put in enumerate(layout.puts) if not put.kind.names]
    kinds = {(put.place, put.joiner.outlets[0]) for _, put in bought}
    assert len(bought) > len(kinds) == len({layout.leaves(node) for node, _ in bought})
    assert len({(put.place, put.joiner.inlets[0]) for _, put in bought}) == len(
        {layout.enters(node, 0) for node, _ in bought}
    )
