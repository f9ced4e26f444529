"""Which of several plans is taken, and what is said of it, by tables: without a search behind them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.core.findings import Severity
from packyoke.making.stock import Cable
from packyoke.model import Gauge
from packyoke.planning import plan as planning
from packyoke.planning.effort import AGAIN, RESERVE, Effort
from packyoke.planning.layout import MOST_EXACT
from packyoke.planning.plan import NOT_ON_SHELF, Laid
from packyoke.planning.relaxed import MOST_PACKS
from packyoke.planning.result import NONE_FOUND, Left, NoPlan, Refusal, Stuck
from packyoke.planning.score import Score
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.test_options_by_table import bench, drawn
from tests.planning.toy import SCORE, kg

NONE = cast(Any, None)
GO_ON = Effort.go_on


def left(rule: str, part: str = "leads.a lead") -> Left:
    return Left(rule, Severity.CAUTION, part)


# The shelf alone, or with wire that is bought.


@pytest.mark.parametrize(
    ("shelf", "wider", "taken"),
    [
        # What finds nothing of the wire is taken; wire beside the shelf is looked for where another could do better.
        ([], [], "shelf"),
        (["pack-trips"], [], "shelf"),
        (["voltage-drop"], [], "wider"),
        (["lead-overheats"], ["voltage-drop"], "shelf"),
        (["voltage-drop", "pack-trips"], ["pack-trips"], "wider"),
        (["wire-does-not-fit"], None, "shelf"),
        (["wire-does-not-fit"], "none", "shelf"),
        (None, [], "wider"),
        (None, ["voltage-drop", "lead-overheats"], "wider"),
        (None, None, "stuck"),
        (None, "none", "stuck"),
        ("asked", [], "asked"),
    ],
)
def test_the_shelf_alone_or_with_wire_beside_it(
    shelf: Any, wider: Any, taken: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    more = cast(Any, object())
    monkeypatch.setattr(planning, "beyond", lambda build, own: None if wider == "none" else more)
    preferred: list[tuple[str, ...]] = []

    def made(build: Any, given: Any, prefer: Any, brief: bool, doubt: str, *rest: Any) -> Any:
        found = wider if given is more else shelf
        if given is more:
            preferred.append((*prefer, doubt))
        if found == "asked":
            raise Stuck(Refusal(kind="fact", text="asked"))
        if found is None:
            raise Stuck(NoPlan(constraint="stuck"))
        return SimpleNamespace(
            offcut=0.0, left=[left(rule) for rule in found], name="wider" if given is more else "shelf"
        )

    monkeypatch.setattr(planning, "_on_shelf", made)
    if taken in ("stuck", "asked"):
        with pytest.raises(Stuck) as caught:
            planning._on_shelf_or_beyond(NONE, NONE, (), False, None, None)
        answer = caught.value.answer
        assert taken == (answer.text if isinstance(answer, Refusal) else answer.constraint)
        return
    found = cast(Any, planning._on_shelf_or_beyond(NONE, NONE, ("cost", "loss"), False, None, None))
    assert found.name == taken
    # Wire that is bought has no price: by cost nothing can be told.
    assert all(each == ("loss", NOT_ON_SHELF) for each in preferred)
    assert preferred or taken == "shelf"


# Many packs.


class Whole(SimpleNamespace):
    score: int


def many(
    monkeypatch: pytest.MonkeyPatch,
    wholes: list[float | None],
    *,
    least: float | None = 1.0,
    packs: int = 8,
    again: tuple[float | None, ...] = (),
    group: bool = True,
    doubt: str = "",
    near: Any = None,
    asked: list[str] | None = None,
    effort: Effort | None = None,
) -> tuple[list[str], Any]:
    """Layouts one after the other that come to so many kilograms (None: stopped), and what is taken of them."""
    asked = [] if asked is None else asked

    class Bound:
        def __init__(self, layout: Any) -> None:
            asked.append("relaxed")
            self.least = None if least is None else kg(least)

    def improved(layout: Any, begun: Any, most: int) -> Iterator[Any]:
        asked.append(f"from {begun}")
        for each in wholes:
            asked.append(f"layout {each}")
            yield layout, SimpleNamespace(trace=each)

    def regrouped(layout: Any, relaxed: Any, group: Any, cap: int) -> Iterator[Any]:
        asked.append(f"again below {SCORE.shown(cap)[1]}")
        yield from ((SimpleNamespace(trace=each), None) for each in again)

    class Finishing:
        def shown(self, layout: Any, score: int) -> int:
            return score

        searched = shown

        def finished(self, each: Any) -> Any:
            if each is None:
                raise Stuck(NoPlan(constraint="stopped", rule="r"))
            return Whole(score=kg(each), drawn=SimpleNamespace(build=None))

    monkeypatch.setattr(planning, "Relaxed", Bound)
    monkeypatch.setattr(planning, "improved", improved)
    monkeypatch.setattr(planning, "regrouped", regrouped)
    monkeypatch.setattr(planning, "rebuilt", lambda layout, trace: trace)
    monkeypatch.setattr(planning, "drawn_group", lambda layout, build: (0, 1) if group else None)
    monkeypatch.setattr(planning, "least_of_all", lambda layout: None if least is None else kg(least / 2))
    monkeypatch.setattr(planning, "why_stuck", lambda layout: NoPlan(constraint="why"))
    layout = cast(Any, SimpleNamespace(spots=[None] * packs, problem=SimpleNamespace(effort=effort or Effort())))
    relaxed = cast(Any, Bound(layout)) if packs <= MOST_PACKS else None
    start = planning.Start(layout if near is None else cast(Any, near), cast(Any, relaxed and "tree"))
    return asked, planning._many(layout, cast(Any, Finishing()), doubt, relaxed, start)


def test_what_comes_to_the_bound_is_proved_and_nothing_else_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, found = many(monkeypatch, [1.2, 1.0, 0.9])
    assert (found.best.score, found.doubt, found.bound, found.other) == (kg(1.0), "", kg(1.0), None)
    assert asked == ["relaxed", "from tree", "layout 1.2", "layout 1.0"]
    _, found = many(monkeypatch, [1.0], doubt="lamps")
    assert found.doubt == "lamps"


def test_the_best_of_all_is_taken_and_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, found = many(monkeypatch, [1.4, None, 1.3, 1.5], again=(1.35, None, 1.2, 1.25))
    assert (found.best.score, found.bound) == (kg(1.2), kg(1.0))
    assert f"more than {MOST_EXACT} packs" in found.doubt
    assert asked[-1] == "again below 1.3"
    asked, found = many(monkeypatch, [1.4], group=False)
    assert (found.best.score, asked[-1]) == (kg(1.4), "layout 1.4")


def test_very_many_packs_have_a_plain_bound_and_are_not_grouped_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, found = many(monkeypatch, [1.4], packs=MOST_PACKS + 1)
    assert asked == ["from None", "layout 1.4"]
    assert (found.bound, found.best.score) == (kg(0.5), kg(1.4))
    asked, _ = many(monkeypatch, [1.4], packs=MOST_PACKS)
    assert asked[0] == "relaxed"
    asked, found = many(monkeypatch, [1.4], packs=MOST_PACKS + 1, least=None)
    assert (found.bound, found.best.score) == (None, kg(1.4))
    _, found = many(monkeypatch, [0.5], packs=MOST_PACKS + 1)
    assert found.doubt == ""


def test_where_no_layout_passes_it_is_said_why(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Stuck) as caught:
        many(monkeypatch, [1.2], least=None)
    assert caught.value.answer == NoPlan(constraint="why")
    for wholes, said in (([None, None], "stopped"), ([], "")):
        with pytest.raises(Stuck) as caught:
            many(monkeypatch, cast(Any, wholes))
        assert isinstance(caught.value.answer, NoPlan)
        assert said in caught.value.answer.constraint
        assert caught.value.answer.constraint.startswith(NONE_FOUND)


def test_all_places_are_tried_where_the_promising_ones_lead_nowhere_and_no_place_twice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried: list[str] = []
    for near in (object(), None):
        with pytest.raises(Stuck):
            many(monkeypatch, [None], near=near, asked=tried)
    first, again = ["from tree", "layout None"], ["from None", "layout None"]
    assert tried == ["relaxed", *first, *again, "relaxed", *first]
    asked, found = many(monkeypatch, [1.4], near=object())
    assert (asked.count("layout 1.4"), found.best.score) == (1, kg(1.4))


@pytest.mark.parametrize(("packs", "left"), [(MOST_PACKS, AGAIN), (MOST_PACKS + 1, RESERVE)])
def test_where_no_layout_is_known_more_is_spent_until_there_is_one(
    packs: int, left: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    effort, had = Effort(0), []
    monkeypatch.setattr(Effort, "go_on", lambda self, known: (GO_ON(self, known=known), had.append(self.left)))
    many(monkeypatch, [1.4], packs=packs, effort=effort)
    assert had == [left]


# What is said.


@pytest.mark.parametrize(
    ("places", "joiners", "said"),
    [
        # Where two were placed and some place does not say how many it holds.
        ({"bed": "{mount: open air}", "tube": "{mount: frame metal}"}, 2, True),
        ({"bed": "{mount: open air}", "tube": "{mount: frame metal}"}, 1, False),
        ({"bed": "{holds: 1, mount: open air}", "tube": "{mount: frame metal}"}, 2, True),
        ({"bed": "{holds: 1}", "tube": "{holds: 2}"}, 2, False),
    ],
)
def test_that_one_joiner_fits_at_a_place_is_said_where_it_decides(
    places: dict[str, str], joiners: int, said: bool
) -> None:
    text = bike(
        {"a": pack("bed")},
        {f"j{n}": joiner() for n in range(2)},
        places,
        [],
        at="bed",
        leads={"main lead": "{from: a, to: controller, length: 500 mm}"},
    )
    build = build_of(text)
    placed = {
        name: replace(each, place_name="tube") if number < joiners else each
        for number, (name, each) in enumerate(build.joiners.items())
    }
    done = replace(build, joiners=placed)
    assert (planning.ROOM_NOTE in planning._notes(build, build, done, {})) is said
    # Those whose place the file gives were not placed by the plan.
    assert planning.ROOM_NOTE not in planning._notes(done, done, done, {})


def test_wire_of_which_nobody_says_which_conductor_it_is_is_asked_about_where_it_is_cut() -> None:
    shop = shop_of("packyoke-shop: 1\nshelf:\n  wires:\n    w: {gauge: 12 AWG, insulation: silicone, price: 1 EUR}\n")
    build = drawn(shop=shop)
    shelf = bench(build, shop).shelf
    assert [each.poles for each in shelf.cables] == [False]

    def asked(gauge: float, given: Any = build, cables: Any = shelf.cables) -> list[str]:
        lead = build.leads["a lead"].but(gauge=Gauge("AWG", gauge), insulation="silicone")
        done = replace(build, leads={**build.leads, "a lead": lead})
        return [*planning._unmarked(given, done, replace(shelf, cables=cables))]

    assert asked(12.0) == ["which is the plus, which the minus: w? Write  pole:  at it in the shop file"]
    assert asked(14.0) == []
    assert asked(12.0, cables=(shelf.cables[0]._replace(poles=True),)) == []
    assert asked(12.0, cables=(Cable(Gauge("AWG", 12.0), "silicone", poles=False),)) == [
        "which is the plus, which the minus: ? Write  pole:  at it in the shop file"
    ]
    # A lead that is there whole is not cut.
    whole = "{from: a, to: y, length: 500 mm, gauge: 12 AWG, insulation: silicone, ends: [XT60 pin, XT60 socket]}"
    assert asked(12.0, drawn({"a lead": whole}, shop)) == []
    # One that the file has not is.
    fewer = replace(build, leads={name: each for name, each in build.leads.items() if name != "a lead"})
    assert asked(12.0, fewer)


@pytest.mark.parametrize(
    ("rules", "said"),
    [(["voltage-drop"], "no choice keeps"), (["pack-trips"], "packs feed each other"), ([], "packs feed each other")],
)
def test_why_a_plan_is_not_exact(rules: list[str], said: str) -> None:
    assert planning._why_inexact(tuple(left(rule) for rule in rules)).startswith(said)


def laid_as(
    score: float, next_one: float | None, other: float | None, bound: float | None, found: int = 0, priced: bool = False
) -> tuple[Score, Laid]:
    score_of = Score((), priced, "EUR")

    def of(value: float | None) -> Any:
        if value is None:
            return None
        return score_of.money(Decimal(str(value))) if priced else score_of.of("copper", value)

    dressed = SimpleNamespace(score=of(score), next=of(next_one), next_about="another wire or fuse")
    best = SimpleNamespace(dressed=dressed, score=of(score), left=(left("r"),) * found)
    return score_of, Laid(cast(Any, best), of(other), "", of(bound))


@pytest.mark.parametrize(
    ("next_one", "other", "bound", "kg_of", "about"),
    [
        (1.5, None, None, 1.5, "another wire"),
        (None, 1.4, None, None, ""),
        # Laid out: the next layout, not the next wire.
        (1.5, 1.4, 1.0, 1.4, "another layout"),
        (1.5, None, 1.0, None, ""),
        (1.2, None, None, 1.2, "another wire"),
        # What is said to come to less than the best leaves something out.
        (1.19, None, None, None, ""),
    ],
)
def test_the_next_best(
    next_one: float | None, other: float | None, bound: float | None, kg_of: float | None, about: str
) -> None:
    score, laid = laid_as(1.2, next_one, other, bound)
    found = planning._runner_up(score, laid, 0.0)
    if kg_of is None:
        assert found is None
        return
    assert found is not None
    assert found.values[1] == pytest.approx(kg_of)
    assert found.about.startswith(about)


def test_what_the_check_finds_counts_for_the_next_best_too_and_the_cost_is_that_of_the_bill() -> None:
    score, laid = laid_as(20.0, 25.0, None, None, found=2, priced=True)
    found = planning._runner_up(score, laid, 20.35)
    assert found is not None
    named = dict(zip(score.names, found.values, strict=True))
    assert (named["findings"], named["cost"]) == (2.0, pytest.approx(25.35))
    counted = planning._counted(score, laid.best, 20.35)
    named = dict(zip(counted.names, counted.values, strict=True))
    assert (named["findings"], named["cost"]) == (2.0, 20.35)
    plain, other = laid_as(1.2, None, None, None)
    assert "cost" not in planning._counted(plain, other.best, 20.35).names


@pytest.mark.parametrize(("section", "said"), [("packs", "no pack"), ("controllers", "no controller")])
def test_a_bike_without_packs_or_controller(section: str, said: str) -> None:
    build = replace(drawn(), **{section: {}})
    with pytest.raises(Stuck) as caught:
        planning._laid_out(NONE, build, {}, NONE, False)
    assert isinstance(caught.value.answer, Refusal)
    assert caught.value.answer.text == f"the file describes {said}"
    assert caught.value.answer.do.endswith("packs:" if section == "packs" else "controller:")


@pytest.mark.parametrize(
    ("waiting", "spots", "spare"), [(1, 2, 0), (2, 2, 1), (2, 3, 0), (3, 3, 1), (4, 3, 2), (0, 1, 0)]
)
def test_joiners_that_cannot_all_be_used(waiting: int, spots: int, spare: int) -> None:
    free = tuple(f"j{n}" for n in range(waiting))
    layout = cast(Any, SimpleNamespace(topology=SimpleNamespace(free=free), spots=[None] * spots))
    if not spare:
        planning._refuse_spare(layout)
        return
    with pytest.raises(Stuck) as caught:
        planning._refuse_spare(layout)
    assert isinstance(caught.value.answer, NoPlan)
    assert caught.value.answer.constraint.endswith(f"{spots - 1} at the most can be: leave {spare} out of the file")
