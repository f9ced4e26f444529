"""Layouts made into whole builds, by tables: the best as the check judges it, and when that is proved."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.core.findings import Amount, Severity
from packyoke.planning import finishing
from packyoke.planning.assumed import at_worst, need_facts, worst_joiner
from packyoke.planning.changes import differs
from packyoke.planning.dress import obstacle
from packyoke.planning.finishing import MANY_LAYOUTS, MOST_LAYOUTS, Finished, Finisher
from packyoke.planning.labels import Label
from packyoke.planning.plan import plan
from packyoke.planning.rebuild import Drawn
from packyoke.planning.result import NONE_FOUND, NoPlan, Obstacle, Refusal, Stuck, none_found
from packyoke.rules.outcome import Failed
from tests.planning.bikes import bike, build_of, pack
from tests.planning.test_leads_asked import FUSE
from tests.planning.test_options_by_table import bench, drawn
from tests.planning.toy import SCORE, fed, kg

MANY = MOST_LAYOUTS + 5


class Told(Finisher):
    """A finisher for which layouts come to what a table says: what the search counts, and what the check makes of it.

    None: the check stops that layout."""

    def __init__(self, rows: list[tuple[float, float | None]]) -> None:
        self.labels = [
            fed()._replace(score=kg(each), kind=number, trace=number) for number, (each, _) in enumerate(rows)
        ]
        self.wholes = [None if whole is None else kg(whole) for _, whole in rows]
        self.made: list[int] = []
        self.bench = cast(Any, SimpleNamespace(score=SCORE))

    def shown(self, layout: Any, score: int) -> int:
        return score + 3

    def searched(self, layout: Any, score: int) -> int:
        return score - 3

    def finished(self, drawn: Any) -> Finished:
        self.made.append(drawn)
        whole = self.wholes[drawn]
        if whole is None:
            raise Stuck(NoPlan(constraint=f"stopped {drawn}", rule="some-rule"))
        return Finished(drawn, cast(Any, None), cast(Any, None), (), whole + 3, cast(Any, None))

    def nearest(self, cap: int, most: int, known: list[Label]) -> tuple[list[Label], bool]:
        below = sorted((each for each in self.labels if each.score <= cap), key=lambda each: each.score)
        return below[:most] or known, len(below[:most]) < most


def best_of(monkeypatch: pytest.MonkeyPatch, rows: list[tuple[float, float | None]]) -> tuple[Told, Any]:
    monkeypatch.setattr(finishing, "rebuilt", lambda layout, trace: trace)
    told = Told(rows)
    ranked = sorted(told.labels, key=lambda each: each.score)[:2]
    return told, told.best_of(cast(Any, None), cast(Any, told), ranked)


@pytest.mark.parametrize("seed", range(40))
def test_the_best_is_that_of_all_layouts_as_the_check_judges_them(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = Random(seed)
    rows: list[tuple[float, float | None]] = []
    for _ in range(rng.randint(1, 8)):
        counted = round(rng.uniform(1.0, 1.4) * rng.choice([1, 1, 2, 9]), 2)
        rows.append((counted, rng.choice([counted, counted + rng.choice([0.05, 0.3, 2.0]), None])))
    wanted = min((whole for _, whole in rows if whole is not None), default=None)
    if wanted is None:
        with pytest.raises(Stuck) as caught:
            best_of(monkeypatch, rows)
        assert isinstance(caught.value.answer, NoPlan)
        assert caught.value.answer.constraint.startswith("stopped")
        return
    told, (best, other, doubt) = best_of(monkeypatch, rows)
    assert (best.score, doubt) == (kg(wanted) + 3, "")
    assert len(told.made) == len({*told.made}), "no layout is made twice"
    if other is not None:
        assert other.kind != best.drawn
        assert other.score >= told.labels[best.drawn].score


def test_layouts_are_made_no_longer_than_one_may_still_be_better(monkeypatch: pytest.MonkeyPatch) -> None:
    told, (best, other, doubt) = best_of(monkeypatch, [(1.0, 1.0), (1.1, 1.1), (1.2, 1.2)])
    assert (told.made, best.drawn, other.kind, doubt) == ([0], 0, 1, "")
    # The check finds more of the first one: the second is made, the third cannot be better than that.
    told, (best, other, doubt) = best_of(monkeypatch, [(1.0, 1.3), (1.1, 1.1), (1.2, 1.2)])
    assert (told.made, best.drawn, other, doubt) == ([0, 1], 1, None, "")
    # What is as good as the bound of the next is not beaten by it.
    told, (best, _, doubt) = best_of(monkeypatch, [(1.0, 1.1), (1.1, 1.1), (1.2, 1.2)])
    assert (told.made, best.drawn, doubt) == ([0], 0, "")


def test_more_layouts_than_are_made_leave_a_doubt(monkeypatch: pytest.MonkeyPatch) -> None:
    rows: list[tuple[float, float | None]] = [(1.0 + n / 1000, 3.0) for n in range(MANY)]
    _, (best, _, doubt) = best_of(monkeypatch, rows)
    assert (best.score, doubt) == (kg(3.0) + 3, MANY_LAYOUTS)
    with pytest.raises(Stuck) as caught:
        best_of(monkeypatch, [(each, None) for each, _ in rows])
    assert isinstance(caught.value.answer, NoPlan)
    assert caught.value.answer.constraint.startswith(NONE_FOUND)


def test_what_is_said_where_not_every_layout_was_tried() -> None:
    asked = Refusal(kind="fact", text="which?")
    assert none_found(asked) is asked
    ruled = none_found(NoPlan(constraint="too hot", rule="lead-overheats"))
    assert isinstance(ruled, NoPlan)
    assert ruled.constraint == f"{NONE_FOUND}; the nearest: too hot"
    bare = none_found(NoPlan(constraint="no room"))
    assert isinstance(bare, NoPlan)
    assert bare.constraint == NONE_FOUND


@pytest.mark.parametrize(
    ("decisions", "left", "unseen"),
    [
        ([], 0, 0),
        ([("leads.a lead", Severity.CAUTION)], 1, 1),
        ([("leads.a lead", Severity.NOTE)], 0, 0),
        ([("joiners.y", Severity.CAUTION), ("leads.a lead", Severity.OPEN)], 2, 101),
        # What another layout cannot avoid is left and weighs nothing.
        ([("packs.a", Severity.CAUTION), ("build", Severity.OPEN)], 2, 0),
    ],
)
def test_what_the_check_finds_weighs(
    decisions: list[tuple[str, Severity]], left: int, unseen: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = drawn()
    one = bench(given)
    finisher = Finisher(one, given, one.shelf, {})
    plain = finisher.finished(Drawn(given))
    found = [
        SimpleNamespace(severity=severity, path=path, rule=SimpleNamespace(name="r"), outcome=None)
        for path, severity in decisions
    ]
    monkeypatch.setattr(finishing, "judgement", lambda *_: SimpleNamespace(decisions=found))
    judged = finisher.finished(Drawn(given))
    assert len(judged.left) == left
    assert judged.score - judged.dressed.score == unseen * one.score.finding
    assert (judged.dressed.score, judged.dressed.next) == (plain.dressed.score, plain.dressed.next)
    more = finisher.finished(Drawn(given, score=kg(2.0)))
    assert more.score == judged.score + kg(2.0)
    assert plain.dressed.next is not None
    assert more.dressed.next == plain.dressed.next + kg(2.0)


def test_a_stop_of_the_check_is_no_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    given = drawn()
    one = bench(given)
    outcome = Failed(message="too much", severity=Severity.STOP)
    stop = SimpleNamespace(severity=Severity.STOP, path="leads.a lead", rule=SimpleNamespace(name="r"), outcome=outcome)
    open_one = SimpleNamespace(severity=Severity.OPEN, path="packs.a", rule=SimpleNamespace(name="q"), outcome=None)
    monkeypatch.setattr(finishing, "judgement", lambda *_: SimpleNamespace(decisions=[open_one, stop]))
    with pytest.raises(Stuck) as caught:
        Finisher(one, given, one.shelf, {}).finished(Drawn(given))
    assert caught.value.answer == NoPlan(constraint="too much", part="leads.a lead", rule="r")


def test_the_mildest_obstacle_is_told() -> None:
    def beyond(message: str, found: float | None, limit: float | None) -> Obstacle:
        amounts = [None if each is None else Amount(each, "A") for each in (found, limit)]
        return Obstacle("r", "leads.x", message, amounts[0], amounts[1])

    every = [
        beyond("none", None, None),
        beyond("no limit", 9.0, None),
        beyond("nothing", None, 9.0),
        beyond("far", 30.0, 10.0),
        beyond("near", 12.0, 10.0),
        beyond("below", 5.0, 10.0),
        beyond("zero", 1.0, 0.0),
    ]
    assert obstacle(every, "leads.x", "").constraint == "near"
    assert obstacle(every[:3], "leads.x", "").constraint == "none"


# What is not known while planning.


@pytest.mark.parametrize(
    ("changed", "worst"),
    [
        ({"resistance_ohm": None}, "resistance_ohm"),
        ({"resistance_ohm": None, "type": "diode", "forward_v": None}, "forward_v"),
        ({"resistance_ohm": None, "type": None}, ""),
        ({"resistance_ohm": None, "type": "unknown"}, ""),
        ({"resistance_ohm": None, "built_in": "controller"}, ""),
        ({}, ""),
    ],
)
def test_a_joiner_of_which_the_losses_are_not_known_loses_most(changed: dict[str, Any], worst: str) -> None:
    build = drawn()
    for attr, value in changed.items():
        build = build.with_value("joiners.y", attr, value)
    one = build.joiners["y"]
    found = worst_joiner(build, one)
    if not worst:
        assert not differs(found, one)
        return
    assert getattr(found, worst) > 0.0
    assert not differs(replace(found, **{worst: None}), one)


def test_cuts_at_their_lowest_and_lamps_at_their_most() -> None:
    text = bike(
        {"a": pack("bed")},
        {},
        {"bed": "{holds: 1}"},
        [],
        at="bed",
        more=f"accessories:\n  lamp: {{from: a, max: 60 V, {FUSE}}}\n",
    )
    build = build_of(text)
    silent = build.with_value("packs.a", "cut_off_v", None).with_value("controller", "low_voltage_cut_v", None)
    worst = at_worst(silent)
    (controller,) = worst.controllers.values()
    cut_v, low_v = worst.packs["a"].cut_off_v, controller.low_voltage_cut_v
    assert cut_v is not None
    assert cut_v < 39.0
    assert low_v is None or low_v <= 40.0
    assert at_worst(build).packs["a"].cut_off_v == 39.0
    lamp_a = worst.accessories["lamp"].current_a
    assert lamp_a is not None
    assert lamp_a > 0.0


@pytest.mark.parametrize(
    ("path", "values", "asked"),
    [
        ("packs.a", {"full_charge_v": None}, "full_charge_v"),
        ("controller", {"limit_a": None}, "limit_a"),
        ("controller", {"limit_a": None, "adjustable_a": 20.0}, None),
        ("controller", {"limit_a": None, "power_limit_w": 800.0}, None),
        ("joiners.y", {"type": None}, "type"),
        ("joiners.y", {"type": None, "built_in": "controller"}, None),
        ("joiners.y", {}, None),
    ],
)
def test_what_no_span_stands_in_for_is_asked(path: str, values: dict[str, Any], asked: str | None) -> None:
    build = drawn()
    for attr, value in values.items():
        build = build.with_value(path, attr, value)
    if asked is None:
        need_facts(build)
        return
    with pytest.raises(Stuck) as stuck:
        need_facts(build)
    answer = stuck.value.answer
    assert isinstance(answer, Refusal)
    assert answer.missing == ((path, asked),)


def test_all_that_is_missing_is_asked_at_once() -> None:
    build = drawn()
    for path, attr in (("packs.a", "full_charge_v"), ("packs.b", "full_charge_v"), ("controller", "limit_a")):
        build = build.with_value(path, attr, None)
    refused = plan(build)
    assert isinstance(refused, Refusal)
    assert refused.text == "not in the file: full_charge of a and b; battery_current.limit of controller"
    assert refused.missing == (
        ("packs.a", "full_charge_v"),
        ("packs.b", "full_charge_v"),
        ("controller", "limit_a"),
    )
