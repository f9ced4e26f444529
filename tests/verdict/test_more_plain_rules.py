"""More rules made for the test: which answer passes, what it hangs on, and what is asked.

As in test_plain_rules: a lead's length is tried at 0.2 m and 2 m, and may be 10 mm to 10 m.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from packyoke.model import Key
from packyoke.model.fields import field_for
from packyoke.rules.outcome import PASSED, Failed, Outcome, Undecided
from packyoke.verdict.answers import Answer, Trying, answer
from packyoke.verdict.explore import decide
from packyoke.verdict.judge import judge, judge_part
from packyoke.verdict.mending import identity
from packyoke.verdict.questions import Asked, asked_by, questions
from packyoke.verdict.trials import Trials
from tests.verdict.test_plain_rules import (
    BOX,
    LENGTHS,
    LINK,
    NORTH,
    NOTE,
    OPEN,
    PATH,
    SOUTH,
    STOP,
    Values,
    answers,
    bad,
    build_without,
    decided,
    rule,
)

DRIVE, BRAKES = ("bike", "drive_type"), ("controller", "regen_a")
TYPE, RESISTANCE = Key("joiners.first", "type"), Key("joiners.first", "resistance_ohm")
MOTOR = Key("leads.motor lead", "length_m")
FOUR_KEYS = (LINK, NORTH, SOUTH, BOX)


def stop_if(fails: bool) -> Outcome:
    return bad(STOP) if fails else PASSED


@pytest.mark.parametrize(
    ("fails", "words"),
    [(lambda amps: amps > 3.21, "at most 3.21 A"), (lambda amps: amps < 3.21, "at least 3.21 A")],
)
def test_a_span_that_begins_with_nothing(fails: Callable[[float], bool], words: str) -> None:
    """Braking may be 0 to 10 A where nobody knows the drive."""
    build = build_without("controller.regen", "bike.drive")
    assert answers(lambda value: stop_if(fails(value(*BRAKES))), build) == {"controller": words}


def test_which_insulation_passes() -> None:
    """Those on the shelf, then what stands on a wire that is none of them."""
    key = ("leads.link", "insulation")
    trials = Trials(build_without("all_leads.insulation"))
    made = rule(lambda value: stop_if(value(*key) in ("PVC", "XLPE")))
    (found,) = asked_by(trials, decide(trials, made, PATH))
    assert (found.answer.values, found.answer.others) == (("silicone", "105 degC"), ("PVC", "XLPE"))


def test_an_answer_beside_more_than_can_all_be_tried() -> None:
    """Of six fields 64 sets; the five others at their worst are 4 x 2 m, of 9.5 m."""
    keys = (LINK, NORTH, SOUTH, BOX, MOTOR)
    build = build_without(*(f"{path}.length" for path, _ in keys), "joiners.first.resistance")

    def says(value: Values) -> Outcome:
        return stop_if(sum(value(*key) for key in keys) + 0.0 * value(*RESISTANCE) > 9.5)

    assert not decided(says, build).complete
    assert answers(says, build)[LINK[0]] == "at most 1.5 m"


def either_long(value: Values) -> Outcome:
    value(*SOUTH)
    return stop_if(max(value(*LINK), value(*NORTH)) > 1.0)


def test_an_answer_hangs_on_what_turns_the_finding_alone() -> None:
    trials = Trials(LENGTHS)
    asked = asked_by(trials, decide(trials, rule(either_long), PATH))
    assert {each.key: each.answer.depends for each in asked} == {LINK: (NORTH,), NORTH: (LINK,)}


def test_a_question_says_on_which_other_fields_it_hangs() -> None:
    trials = Trials(LENGTHS)
    asked = asked_by(trials, decide(trials, rule(either_long), PATH))
    found = questions(LENGTHS, [(each, "print") for each in asked])
    assert {each.part: each.depends_on for each in found} == {
        "leads.link": ("leads.north lead.length",),
        "leads.north lead": ("leads.link.length",),
    }
    assert {each.settles for each in found} == {("print",)}


@pytest.mark.parametrize(
    ("gone", "depends"),
    [(("joiners.first.type", "leads.north lead.length"), (TYPE,)), (("leads.north lead.length",), (NORTH,))],
)
def test_what_everybody_has_to_look_up_is_named_before_what_has_a_span(
    gone: tuple[str, ...], depends: tuple[tuple[str, str], ...]
) -> None:
    """Where no other field is known to turn it: a joiner's type must be known, a length may be guessed."""

    def says(value: Values) -> Outcome:
        value(*TYPE)
        return stop_if(max(value(*LINK), value(*NORTH)) > 1.0)

    trials, made = Trials(build_without("leads.link.length", *gone)), rule(says)
    tried = decide(trials, made, PATH).tried
    assert answer(Trying(trials, made, PATH, LINK, OPEN), tried, True, ()).depends == depends


@pytest.mark.parametrize(("outcome", "count"), [(None, 0), (PASSED, 0), (bad(NOTE), 1), (bad(STOP), 1)])
def test_only_what_says_something_is_told(outcome: Outcome, count: int) -> None:
    assert len(list(judge(Trials(LENGTHS), [rule(lambda _value: outcome)] * 2))) == 2 * count


@pytest.mark.parametrize(
    ("first", "second", "passes", "depends"),
    [
        (("plain", "diode"), ("diode", "selector"), "diode", ()),
        (("plain",), ("selector",), "", ("leads.link.length",)),
    ],
)
def test_what_two_findings_want_of_one_field(
    first: tuple[str, ...], second: tuple[str, ...], passes: str, depends: tuple[str, ...]
) -> None:
    """Where one wants one thing and one another, it hangs on what else they ask for."""
    field, rest = field_for(*TYPE), ("ideal-diode",)
    asked = [
        Asked(TYPE, field, Answer("one of", first, "word", rest), beside=(LINK,)),
        Asked(TYPE, field, Answer("one of", second, "word", rest)),
    ]
    (found,) = questions(LENGTHS, [(each, "") for each in asked])
    assert (found.passes_if, found.depends_on) == (passes, depends)


@pytest.mark.parametrize(
    ("outcome", "severity", "asks"),
    [
        (None, None, ()),
        (PASSED, None, ()),
        (bad(NOTE), NOTE, ()),
        (bad(STOP), STOP, ()),
        (
            Undecided(message="not known", asks=((LENGTHS.joiners["second"], "type"),)),
            OPEN,
            (("joiners.second", "type"),),
        ),
    ],
)
def test_what_needs_no_missing_value_is_judged_as_it_is(
    outcome: Outcome, severity: int | None, asks: tuple[tuple[str, str], ...]
) -> None:
    for build in (LENGTHS, build_without()):
        found = judge_part(Trials(build), rule(lambda _value: outcome), build.joiners["first"])
        assert (found.severity if found else None) == severity
        assert (found.asks if found else ()) == asks
        whole = decide(Trials(build), rule(lambda _value: outcome), PATH)
        assert (whole.severity, whole.asks, whole.assumed) == (severity or 0, asks, ())


@pytest.mark.parametrize(("most_m", "cause"), [(1.0, ""), (0.1, "length")])
def test_an_open_question_has_no_cause(most_m: float, cause: str) -> None:
    """The cause that it shows is that of a value that was only tried."""

    def says(value: Values) -> Outcome:
        return Failed(severity=STOP, message="x", cause="length") if value(*LINK) > most_m else PASSED

    assert identity(decided(says)) == ("made-up", PATH, cause)


def test_words_of_a_rule_hang_on_what_turns_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """What passes is another mark for each lead that is long; the third lead is asked for and turns nothing."""
    second = LENGTHS.joiners["second"]

    def says(value: Values) -> Outcome:
        value(*SOUTH)
        if value(*LINK) > 1.0 or value(*NORTH) > 1.0:
            words = "a mark" if value(*LINK) > 1.0 else "a drawing"
            return Undecided(message="not known", asks=((second, "type"),), passes_if=words)
        return PASSED

    trials = Trials(LENGTHS)
    found = {each.key: each.answer for each in asked_by(trials, decide(trials, rule(says), PATH))}
    assert set(found["joiners.second", "type"].depends) <= {LINK, NORTH}
    assert found["joiners.second", "type"].depends


def test_words_of_a_rule_hang_first_on_what_must_be_known() -> None:
    build = build_without("joiners.first.type", "leads.north lead.length")

    def says(value: Values) -> Outcome:
        value(*NORTH)
        words = "a mark" if value(*TYPE) == "plain" else "a drawing"
        return Undecided(message="not known", asks=((build.joiners["second"], "type"),), passes_if=words)

    trials = Trials(build)
    found = {each.key: each.answer for each in asked_by(trials, decide(trials, rule(says), PATH))}
    assert found["joiners.second", "type"].depends == (TYPE,)
