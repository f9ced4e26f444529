"""A harness that is drawn whole, its joiners still without a place: many places are no reason to find nothing."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from packyoke.model import Build
from packyoke.planning.bounds import SET_UP
from packyoke.planning.effort import Effort
from packyoke.planning.plan import make_plan, plan
from packyoke.planning.relaxed import with_tree
from packyoke.planning.result import Plan
from packyoke.planning.search import Search
from tests.planning.bench_plan import wide_shelf
from tests.planning.bikes import build_of, random_bike, shop_of
from tests.planning.toy import ROOT, problem, site, terminal, wire

WIDE = shop_of(wide_shelf())


def two_by_two(seed: int, packs: int, places: int) -> Build:
    """Packs that meet two by two, what comes of two again, and the last joiner leads to the controller."""
    text = random_bike(Random(seed), packs, places, joiner_kinds=packs - 1, holds=3)
    waiting, leads = [f"p{number}" for number in range(packs)], []
    for number in range(packs - 1):
        one, other, *others = waiting
        leads += [(one, f"j{number}"), (other, f"j{number}")]
        waiting = [*others, f"j{number}"]
    leads.append((*waiting, "controller"))  # type: ignore[arg-type]
    lines = "".join(f"  l{number}: {{from: {one}, to: {to}}}\n" for number, (one, to) in enumerate(leads))
    return build_of(text.replace("controller: {", f"leads:\n{lines}controller: {{", 1), WIDE)


@pytest.mark.parametrize("packs", [5, 6, 7])
def test_the_best_places_are_found_however_many_packs_meet(packs: int) -> None:
    found = plan(two_by_two(5, packs, 20), WIDE)
    assert isinstance(found, Plan), found
    assert found.proved, found.doubt


def test_a_plan_comes_before_quickness() -> None:
    build = two_by_two(3, 4, 6)
    best = make_plan(build, WIDE)
    quick = make_plan(build, WIDE, effort=Effort(1))
    assert best.proved
    assert quick.doubt.startswith("too many layouts")
    assert best.objective.values <= quick.objective.values


def test_only_what_is_led_somewhere_takes_steps() -> None:
    """Two packs, one joiner, three places alike. Open: three sets, each from packs or joiners to joiners or the load.
    Drawn: a pack is led from where it is, both together from a joiner."""
    wires = {(number, at, 0): [wire(0.1)] for number in range(2) for at in (2, 3, 4)}
    wires |= {(at, ROOT, 0): [wire(0.1)] for at in (2, 3, 4)}
    p = problem([terminal(kind=0), terminal(kind=1)], [site(), site(), site()], wires)
    for each, steps in ((p, 3 * 2 * 2), (with_tree(replace(p, root_slots=1), {0b11: (0b01, 0b10)}), 3 * 1 * 2)):
        effort = Effort()
        assert Search(replace(each, effort=effort)).bounds.least() is not None
        assert effort.spent == SET_UP * steps
