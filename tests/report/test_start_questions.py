"""Which question `packyoke start` asks next: reports made by hand, with one field that is missing at a time."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.start.interview import (
    DraftQuestion,
    Interview,
    inner_of,
    key_of,
    listed,
    remark_on,
    told_of,
    topic_of,
)
from packyoke.core.findings import Amount, Finding, Severity
from packyoke.verdict.report import Question, Report

FIRST, SECOND = "packs.first", "packs.second"


def lacks(part: str, field: str, ask: str = "label", settles: int = 1) -> Question:
    return Question(part, field, None, ask, "how much?", "", tuple(f"{n}" for n in range(settles)))


def asking(*lacking: Question, alike: bool = False, **more: Any) -> Interview:
    """Somebody with two packs, of which these fields are missing; the opening questions are done."""
    made = Interview("bike", "2027-05-14")
    made.draft.set_packs(2)
    made.draft.set_alike(alike)
    opening = ("name", "packs", "alike", "joiner", "limit")
    made.done = frozenset((*opening, *(f"{pack} {what}" for pack in (FIRST, SECOND) for what in ("label", "charger"))))
    made.report = Report(file="draft", verdict="open", to_find_out=lacking, labels={}, **more)
    return made


def asked(made: Interview) -> DraftQuestion:
    found = made.next()
    assert found is not None
    return found


def keys(made: Interview) -> list[str]:
    """The keys of all questions to somebody who answers none, without a check between them."""
    found = []
    while (one := made.next()) is not None:
        found.append(one.key)
        made.done |= {one.key}
    return found


def test_one_field_of_two_packs_is_one_question() -> None:
    one = asked(asking(lacks(FIRST, "capacity"), lacks(SECOND, "capacity")))
    assert (one.key, one.topic, one.parts) == ("packs.capacity", "label", (FIRST, SECOND))
    assert one.text == "first and second: how many Ah?"
    assert one.prompt.how.endswith("One for all, or one each with commas.")
    alone = asked(asking(lacks(FIRST, "capacity")))
    assert alone.text == "first: how many Ah?"
    assert "commas" not in alone.prompt.how


def test_a_field_without_words_of_its_own_has_those_of_the_table() -> None:
    one = asked(asking(lacks("joiners.joiner", "inputs", "look")))
    assert (one.text, one.prompt.how) == ("joiner: inputs? How much?.", "")
    assert one.prompt.example


@pytest.mark.parametrize(
    ("lacking", "alike", "asked_for"),
    [
        ((lacks(FIRST, "capacity"),), False, ["packs.capacity"]),
        ((), False, []),
        ((lacks(SECOND, "capacity"),), False, ["packs.capacity"]),
        # One more of the same model has its lines, but not its dents.
        ((lacks(SECOND, "capacity"),), True, []),
        ((lacks(SECOND, "condition", "look"),), True, ["packs.condition"]),
        ((lacks(FIRST, "resistance", "meter"),), False, []),  # measured in a second round
        ((lacks("joiners.joiner", "makes", "meter"),), False, []),  # nobody said that it is a selector
        ((lacks(FIRST, "capacity", "maker"),), False, []),  # nothing that is seen at the bike
        (
            (lacks("leads.main lead", "length", "tape"), lacks(FIRST, "capacity")),
            False,
            ["packs.capacity", "leads.length"],
        ),
        (
            (lacks("controller", "low_voltage_cut", "settings"), lacks("leads.main lead", "length", "tape")),
            False,
            ["leads.length", "controller.low_voltage_cut"],
        ),
        # Of one topic: the order of the prompts; what has no place there comes last, what settles more first.
        (
            (lacks(FIRST, "series"), lacks(FIRST, "capacity"), lacks(FIRST, "chemistry")),
            False,
            ["packs.chemistry", "packs.capacity", "packs.series"],
        ),
        (
            (lacks("joiners.joiner", "inputs"), lacks("joiners.joiner", "colour", settles=2), lacks(FIRST, "series")),
            False,
            ["packs.series", "joiners.colour", "joiners.inputs"],
        ),
    ],
)
def test_what_is_asked_and_in_which_order(lacking: tuple[Question, ...], alike: bool, asked_for: list[str]) -> None:
    assert keys(asking(*lacking, alike=alike)) == asked_for


def test_a_selector_is_asked_how_it_makes() -> None:
    made = asking(lacks("joiners.joiner", "makes", "meter"))
    made.draft.put("joiners.joiner", "type", "selector")
    assert keys(made) == ["joiners.makes"]
    assert [each.key for each in made.missing()] == ["makes"]


@pytest.mark.parametrize(
    ("lacking", "asked_for"),
    [
        ((lacks(FIRST, "outlet", "look"),), ["connectors", "packs.outlet"]),
        ((lacks("leads.main lead", "ends", "look"),), ["connectors", "leads.ends"]),
        ((lacks(FIRST, "condition", "look"),), ["packs.condition"]),
        ((lacks(FIRST, "capacity"),), ["packs.capacity"]),
    ],
)
def test_connectors_are_asked_once_before_each_of_them(lacking: tuple[Question, ...], asked_for: list[str]) -> None:
    assert keys(asking(*lacking)) == asked_for


def test_which_way_round_is_asked_where_a_family_was_named() -> None:
    made = asking(lacks(FIRST, "condition", "look"), lacks(FIRST, "capacity"))
    made.draft.family = "XT60"
    assert keys(made) == ["packs.capacity", "towards", "packs.condition"]


def test_what_is_known_is_checked_when_the_opening_questions_are_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    checked = Report(file="draft", verdict="open", labels={})
    monkeypatch.setattr(Interview, "checked", lambda self: checked)
    made = Interview("bike", "2027-05-14")
    replies = {"packs": "2", "alike": "yes", "joiner": "diode", f"{FIRST} label": "48V"}
    while (one := made.next()) is not None:
        assert made.report is None
        made.answer(one, replies.get(one.key, ""))
    assert one is None
    assert made.report is checked


def test_who_does_not_know_the_plugs_is_not_asked_for_each_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Interview, "checked", lambda self: self.report)  # what it finds is no matter here
    for first in ("connectors", "towards"):
        made = asking(lacks(FIRST, "outlet", "look"))
        if first == "towards":
            made.draft.family = "XT60"
            made.done |= {"connectors"}
        one = asked(made)
        assert one.key == first
        made.answer(one, "no idea")
        assert {"packs.outlet", "leads.ends", "controller.inlet"} <= made.done
    made = asking(lacks(FIRST, "condition", "look"))
    made.answer(asked(made), "no idea")
    assert "packs.outlet" not in made.done


def test_a_peak_is_asked_for_its_time() -> None:
    made = asking(lacks(FIRST, "capacity"))
    made.draft.peaks = {FIRST: ("discharge.continuous", "50"), "controller": ("battery_current.limit", "30")}
    one = asked(made)
    assert (one.key, one.text) == (f"{FIRST} peak", "first: for how many seconds may it give 50 A?")
    made.done |= {one.key}
    two = asked(made)
    assert two.key == "controller peak"
    assert "fall from 30 A" in two.text
    made.done |= {two.key}
    assert asked(made).key == "packs.capacity"


def test_a_topic_that_was_left_is_not_asked() -> None:
    made = asking(lacks(FIRST, "capacity"), lacks(FIRST, "condition", "look"))
    made.done |= {"topic label"}
    assert keys(made) == ["packs.condition"]
    assert asking(lacks(FIRST, "capacity")).next() is not None
    nothing = asking()
    nothing.report = None
    assert nothing.next() is None


def test_what_is_missing_goes_into_the_file_in_the_order_of_a_round() -> None:
    made = asking(
        lacks(FIRST, "resistance", "maker"),
        lacks("leads.main lead", "length", "tape"),
        lacks("controller", "regen"),
        lacks(SECOND, "capacity"),
        lacks(SECOND, "condition", "look"),
        lacks(FIRST, "fuse"),
        alike=True,
    )
    found = [(each.part, each.key) for each in made.missing()]
    assert found == [
        ("controller", "regen"),
        (FIRST, "fuse"),
        (SECOND, "condition"),
        ("leads.main lead", "length"),
        (FIRST, "resistance"),
    ]
    made.report = None
    assert made.missing() == []


def stop(part: str, message: str = "too much", **more: Any) -> Finding:
    return Finding(rule="r", severity=Severity.STOP, part=part, message=message, **more)


@pytest.mark.parametrize(
    ("findings", "lacking", "said"),
    [
        ((), 0, "So far: no fault found in what was described."),
        ((stop(FIRST),), 0, "So far: 1 stop."),
        ((stop(FIRST), stop(SECOND)), 0, "So far: 2 stops."),
        ((), 1, "So far: 1 to find out."),
        ((stop(FIRST),), 2, "So far: 1 stop, 2 to find out."),
        ((stop(FIRST).but(severity=Severity.CAUTION),), 0, "So far: no fault found in what was described."),
    ],
)
def test_the_verdict_so_far(findings: tuple[Finding, ...], lacking: int, said: str) -> None:
    made = asking(*[lacks(FIRST, "capacity")] * lacking, findings=findings)
    assert made.said() == said
    stopped = [each.part for each in findings if each.severity == Severity.STOP]
    assert [each.part for each in made.stops().values()] == stopped
    made.report = None
    assert made.said() == ""
    assert made.stops() == {}


def test_what_is_stopped_is_told_in_a_line_for_each_kind() -> None:
    figures = {"found": Amount(50.0, "A"), "limit": Amount(30.0, "A")}
    assert told_of([stop(FIRST), stop(SECOND), stop("build", "no way")]) == [
        "STOP  first and second: too much",
        "STOP  no way",
    ]
    assert told_of([stop(FIRST, **figures)]) == ["STOP  first: too much (50 A, limit 30 A)"]
    assert told_of([stop(FIRST, found=Amount(50.0, "A"))]) == ["STOP  first: too much"]


def test_names_of_fields_and_where_they_are_found_out() -> None:
    fuse, inside = lacks("packs.first.fuse", "fuse"), lacks("packs.first.fuse", "rating")
    assert [key_of(each) for each in (fuse, inside)] == ["packs.fuse.fuse", "packs.fuse.rating"]
    assert [inner_of(each) for each in (fuse, inside)] == ["fuse", "fuse.rating"]
    assert key_of(lacks("controller", "voltage.max")) == "controller.voltage.max"
    assert topic_of(lacks("packs.first.bms", "data", "maker")) == "look"
    assert remark_on(lacks(FIRST, "tested", "maker")) == "ask the maker: how much?"
    assert remark_on(lacks(FIRST, "capacity")) == "label: On its label; or its Wh divided by its volts"
    assert remark_on(lacks("bike", "drive.rated_power", "plan")).startswith("packyoke plan chooses")
    assert [listed(each) for each in (["a"], ["a", "b"], ["a", "b", "c"])] == ["a", "a and b", "a, b and c"]


def test_the_second_label_may_be_one_more_of_the_first() -> None:
    made = Interview("bike", "2027-05-14")
    made.draft.set_packs(2)
    made.done = frozenset(("name", "packs", "alike", "joiner", f"{FIRST} charger"))
    assert "same as first" not in asked(made).prompt.how
    made.done |= {f"{FIRST} label"}
    assert asked(made).key == f"{SECOND} label"
    assert "same as first" in asked(made).prompt.how
