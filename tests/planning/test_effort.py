"""Steps of work: counted, kept for what has nothing yet, and told where they were too few."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from packyoke.planning import ways_out as ways
from packyoke.planning.effort import Effort
from packyoke.planning.growing import TooMany
from packyoke.planning.plan import make_plan, plan
from packyoke.planning.result import NoPlan, Plan, Stuck
from packyoke.planning.search import Search
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike
from tests.planning.test_layout_by_table import laid


def test_steps_are_counted_and_gone_when_more_are_spent_than_there_were() -> None:
    effort = Effort(10, again=5, reserve=50)
    effort.spend(10)
    assert (effort.left, effort.spent, effort.gone) == (0, 10, False)
    effort.spend(1)
    assert (effort.left, effort.spent, effort.gone) == (-1, 11, True)


PLACES = {"rear": "{holds: 2, mount: frame metal}"}


@pytest.mark.parametrize(
    ("left", "known", "then", "found"),
    [
        # Where nothing is known the reserve is opened, and closed again once something is.
        (0, False, 50, 5),
        (0, True, 5, 5),
        (4, True, 5, 5),
        (6, True, 6, 5),
        (60, False, 60, 5),
    ],
)
def test_more_is_left_as_long_as_nothing_is_found(left: int, known: bool, then: int, found: int) -> None:
    effort = Effort(left, again=5, reserve=50)
    effort.go_on(known=known)
    assert (effort.left, effort.spent) == (then, 0)
    effort.found()
    assert effort.left == found


def test_a_bike_with_few_steps_has_a_plan_that_is_not_proved_and_with_more_one_that_is() -> None:
    build = build_of(random_bike(Random(3), 4, 5, joiner_kinds=1, holds=2))
    proved = plan(build)
    assert isinstance(proved, Plan), proved
    quick = make_plan(build, effort=Effort(1, again=1))
    assert proved.proved
    assert not quick.proved
    assert "too many layouts" in quick.doubt
    assert proved.objective.values <= quick.objective.values


def test_the_same_steps_whatever_the_machine_does_meanwhile() -> None:
    build, spent = build_of(random_bike(Random(4), 6, 6, holds=2)), set()
    for _ in range(2):
        effort = Effort()
        make_plan(build, effort=effort)
        spent.add(effort.spent)
    assert len(spent) == 1


@pytest.mark.parametrize(("steps", "untried"), [(ways.FOR_ONE, False), (ways.FOR_ONE + 1, True)])
def test_a_way_out_that_took_more_steps_than_it_had_was_not_tried_to_its_end(
    steps: int, untried: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the more is spent on the first ones, the less is left for those that follow; some for each of them."""
    had: list[int] = []

    def never(*_: object, effort: Effort, **__: object) -> None:
        had.append(effort.left)
        effort.spend(steps)
        raise Stuck(NoPlan(constraint="never"))

    monkeypatch.setattr("packyoke.planning.plan.make_plan", never)
    monkeypatch.setattr(ways, "FOR_EACH", ways.FOR_ONE)
    build = build_of(bike({"a": pack("rear"), "b": pack("rear")}, {"j": joiner(20)}, PLACES, [], at="rear"))
    assert ways.ways_out(build, None, (), NoPlan(constraint="never")) == ((), untried)
    assert len(had) > 1
    monkeypatch.setattr(ways, "FOR_EACH", 7)
    had.clear()
    ways.ways_out(build, None, (), NoPlan(constraint="never"))
    assert had[:2] == [ways.FOR_ONE, min(ways.FOR_ONE, ways.WAYS_OUT - steps)]
    assert had == sorted(had, reverse=True)
    assert had[-1] >= 7


@pytest.mark.parametrize(("steps", "allowed", "left"), [(9, True, 1), (10, True, 0), (11, False, 10)])
def test_work_that_takes_more_than_is_left_is_not_begun(steps: int, allowed: bool, left: int) -> None:
    effort = Effort(10)
    assert effort.allows(steps) is allowed
    assert effort.left == left


def test_bounds_that_would_take_all_the_steps_are_left_and_a_plan_is_found_all_the_same() -> None:
    layout = laid(build_of(random_bike(Random(3), 4, 5, joiner_kinds=1, holds=2)))
    search = Search(layout.problem)
    assert not search.bounds.too_wide
    needed = layout.problem.effort.spent
    for steps, too_wide in ((needed - 1, True), (needed, False)):
        again = Search(replace(layout.problem, effort=Effort(steps)))
        assert again.bounds.too_wide is too_wide
    again = Search(replace(layout.problem, effort=Effort(needed - 1)))
    with pytest.raises(TooMany):
        again.run()
    assert again.most_promising() is None
    found = make_plan(layout.build, effort=Effort(needed - 1))
    assert not found.proved
    assert "too many layouts" in found.doubt
