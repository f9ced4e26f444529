"""No harness that the check passes is better than the plan, on bikes that press on it from every side.

Broken on purpose the search was found out each time: only the cheapest label kept, only the smallest fuse tried, no
fuse behind a joiner, the first layout believed without the check.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.model import FITTED, Build, Joiner
from packyoke.planning.plan import NOT_ON_SHELF, plan
from packyoke.planning.result import NoPlan, Plan
from tests.planning.bikes import build_of, shop_of
from tests.planning.harder import Hard, Scale, hard_bike, harnesses, made
from tests.planning.judging import weight

AS_SUMMED = 1e-4
MOST_LAYOUTS = 20
MOST_JUDGED = 24
"""Of one layout."""
Choice = tuple[int, int | None]


def better(
    build: Build,
    hard: Hard,
    models: dict[str, Joiner],
    mine: tuple[int, float],
    rng: Random,
    judged: list[Build],
) -> Iterator[Build]:
    """Harnesses that the check passes and that find less or weigh less than `mine`.

    `judged`: all that were held against it. In each layout those that weigh a little less than the plan are judged
    first: what is far too thin fails anyway.
    """
    scale = Scale(hard.shelf, build)
    laid = [*harnesses(build, models)]
    for drawn in rng.sample(laid, min(MOST_LAYOUTS // (2 if mine[0] else 1), len(laid))):
        case = Case(drawn)
        if any("own" in each.sources and not _is_last(case, "own") for each in build.accessories.values()):
            # The joiner of a lamp is planned as the last, so that each pack lights it.
            continue
        choices: dict[str, dict[Choice, float]] = {}
        for name, lead in drawn.leads.items():
            fused = lead.source in build.packs and build.packs[lead.source].fuse.presence != FITTED
            ratings: tuple[int | None, ...] = hard.ratings if fused else (None, *hard.ratings)
            choices[name] = {
                (size, rating): scale.lead(case, made(lead, size, rating)) for size in hard.sizes for rating in ratings
            }
        fixed = scale.joiners(drawn)
        for picked in _near(choices, mine[1] - fixed, bool(mine[0]), rng):
            leads = {name: made(lead, *picked[name]) for name, lead in drawn.leads.items()}
            one = replace(drawn, leads=leads)
            judged.append(one)
            stops, others = weight(one)
            if stops or others > mine[0]:
                continue
            if (others, scale.whole(one)) < (mine[0], mine[1] - AS_SUMMED):
                yield one


def _is_last(case: Case, name: str) -> bool:
    return [lead.target for lead in harness(case).leads_from[name]] == ["controller"]


def _near(choices: dict[str, dict[Choice, float]], most: float, findings: bool, rng: Random) -> list[dict[str, Choice]]:
    """Choices for all leads that come to less than a figure, the nearest to it first; any, where there are findings
    that something heavier may not have."""
    found: dict[tuple[Choice, ...], tuple[float, dict[str, Choice]]] = {}
    for _ in range(4 * MOST_JUDGED):
        picked = {name: rng.choice([*options]) for name, options in choices.items()}
        if not findings:
            # One lead after the other is made lighter until all together are light enough.
            for name in rng.sample([*choices], len(choices)):
                rest = sum(choices[other][each] for other, each in picked.items() if other != name)
                fitting = [each for each, cost in choices[name].items() if rest + cost < most]
                by_weight = sorted(fitting or choices[name], key=choices[name].__getitem__)
                picked[name] = by_weight[-1] if fitting else by_weight[0]
                if fitting:
                    break
        total = sum(choices[name][each] for name, each in picked.items())
        if findings or total < most:
            found[(*picked.values(),)] = total, picked
    near = sorted(found.values(), key=lambda each: -each[0])
    return [picked for _, picked in near[: MOST_JUDGED // (3 if findings else 1)]]


@pytest.mark.parametrize("first", range(0, 30, 6))
def test_nothing_that_passes_is_better(first: int) -> None:
    judged: list[Build] = []
    for seed in range(first, first + 6):
        rng = Random(seed)
        hard = hard_bike(rng, 2 if seed % 3 else 3)
        shop = shop_of(hard.shelf)
        build = build_of(hard.text, shop)
        models = {item.part.name: item.part for item in shop.items if isinstance(item.part, Joiner)}
        found = plan(build, shop)
        assert isinstance(found, Plan | NoPlan), found
        if isinstance(found, NoPlan):
            mine = (10**6, float("inf"))
        elif NOT_ON_SHELF in found.doubt:
            # Wire that has to be bought is planned with only where the shelf's own finds more.
            mine = (len(found.left) + 1, 0.0)
        else:
            # The plan says of itself what comes out here.
            mine = (int(found.objective.values[0]), found.objective.values[1])
            assert weight(found.build) == (0, mine[0])
            assert mine[1] == pytest.approx(Scale(hard.shelf, build).whole(found.build), abs=AS_SUMMED)
        beaten = next(better(build, hard, models, mine, rng, judged), None)
        assert beaten is None, (seed, mine, beaten.leads)
    assert len(judged) > 200
