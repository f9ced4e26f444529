"""Rules made for the test, of which anybody can say by hand what is decided, what is asked and which answer passes.

A lead's length is tried at 0.2 m and 2 m when it is missing, and may be 10 mm to 10 m (field table).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.api import load
from packyoke.core.findings import Severity
from packyoke.model import Build, Gauge, Key
from packyoke.model.build import known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome, Undecided
from packyoke.rules.rule import Rule
from packyoke.verdict import trials as trying
from packyoke.verdict.explore import Decision, decide
from packyoke.verdict.mending import Workshop
from packyoke.verdict.questions import answer_to, asked_by, assumptions
from packyoke.verdict.trials import Trials
from packyoke.verdict.wording import answer_words
from tests.support import edited

PATH = "joiners.first"
NOTE, CAUTION, STOP, OPEN = Severity.NOTE, Severity.CAUTION, Severity.STOP, Severity.OPEN
LINK, NORTH, SOUTH = (Key(f"leads.{each}", "length_m") for each in ("link", "north lead", "south lead"))


def build_without(*gone: str) -> Build:
    found = load(edited("breakwater-three-packs", {}, gone), "case.yaml", today="2026-11-25")
    assert isinstance(found, Build), found
    return found


LENGTHS = build_without("leads.link.length", "leads.north lead.length", "leads.south lead.length")
BOX = Key("leads.box lead", "length_m")
FOUR = build_without(*(f"{path}.length" for path, _ in (LINK, NORTH, SOUTH, BOX)))
Values = Callable[[str, str], Any]


def rule(says: Callable[[Values], Outcome], gravest: Severity = STOP) -> Rule:
    """A rule on one joiner. `says` gets what looks up a field and raises when it is missing."""

    def check(case: Case, _part: object) -> Outcome:
        def value(path: str, attr: str) -> Any:
            part = case.build.part(path)
            return known(getattr(part, attr), part, attr)

        return says(value)

    return Rule(
        name="made-up",
        kind="danger",
        doubt="a thing holds",
        page="",
        basis=(),
        parts=lambda case: [case.build.joiners["first"]],
        check=check,
        gravest=gravest,
    )


def bad(severity: Severity, message: str = "too much") -> Failed:
    return Failed(severity=severity, message=message)


def beyond(most: float, severity: Severity = STOP) -> Callable[[Values], Outcome]:
    return lambda value: bad(severity) if value(*LINK) > most else PASSED


def looks_at(key: tuple[str, str]) -> Callable[[Values], Outcome]:
    """A rule that passes whatever a field is, and asks for it."""
    return lambda value: PASSED if value(*key) > 0.0 else bad(STOP)


def decided(says: Callable[[Values], Outcome], build: Build = LENGTHS, gravest: Severity = STOP) -> Decision:
    return decide(Trials(build), rule(says, gravest), PATH)


def answers(says: Callable[[Values], Outcome], build: Build = LENGTHS) -> dict[str, str]:
    trials = Trials(build)
    decision = decide(trials, rule(says), PATH)
    assert decision.severity == OPEN
    return {each.key[0]: each.passes_if for each in asked_by(trials, decision)}


@pytest.mark.parametrize(
    ("short", "long", "severity", "said"),
    [
        (None, None, 0, None),
        (NOTE, NOTE, NOTE, NOTE),
        (CAUTION, CAUTION, CAUTION, CAUTION),
        (STOP, STOP, STOP, STOP),
        (None, NOTE, 0, None),
        (NOTE, None, 0, None),
        (None, CAUTION, 0, None),
        (NOTE, CAUTION, NOTE, NOTE),
        (CAUTION, NOTE, NOTE, NOTE),
        (None, STOP, OPEN, STOP),
        (STOP, None, OPEN, STOP),
        (NOTE, STOP, OPEN, STOP),
        (CAUTION, STOP, OPEN, STOP),
        (STOP, CAUTION, OPEN, STOP),
    ],
)
def test_what_is_decided_of_a_short_lead_and_a_long_one(
    short: Severity | None, long: Severity | None, severity: int, said: Severity | None
) -> None:
    """What is the same at both ends is found; what may be a stop is open; what may be a caution is assumed."""

    def says(value: Values) -> Outcome:
        level = long if value(*LINK) > 1.0 else short
        return bad(level) if level else PASSED

    found = decided(says)
    assert found.severity == severity
    assert getattr(found.outcome, "severity", None) == said
    assert found.assumed == ((LINK,) if severity != OPEN else ())
    assert found.asks == ((LINK,) if severity == OPEN else ())
    may_be_caution = CAUTION in (short, long) and severity in (0, NOTE)
    assert found.turns == ((LINK,) if may_be_caution else ())


def test_a_rule_that_can_only_caution_leaves_no_question() -> None:
    assert decided(beyond(1.0, CAUTION), gravest=CAUTION).severity == 0


@pytest.mark.parametrize(
    ("most_m", "words"),
    [
        (0.75, "at most 750 mm"),
        (1.9, "at most 1.9 m"),
        (0.31, "at most 310 mm"),
        (0.73333, "at most 733 mm"),
        (1.23789, "at most 1.23 m"),
    ],
)
def test_the_longest_that_passes(most_m: float, words: str) -> None:
    assert answers(beyond(most_m)) == {LINK[0]: words}


@pytest.mark.parametrize(("least_m", "words"), [(0.6, "at least 600 mm"), (0.61234, "at least 613 mm")])
def test_the_shortest_that_passes(least_m: float, words: str) -> None:
    assert answers(lambda value: bad(STOP) if value(*LINK) < least_m else PASSED) == {LINK[0]: words}


@pytest.mark.parametrize("severity", [CAUTION, STOP])
def test_what_passes_of_a_caution_is_more_than_of_a_stop(severity: Severity) -> None:
    """Over 0.5 m a caution, over 1 m a stop: what is asked is what leaves no stop; of an assumption no caution."""
    trials = Trials(LENGTHS)
    made = rule(lambda value: beyond(1.0)(value) if value(*LINK) > 1.0 else beyond(0.5, CAUTION)(value))
    found = answer_to(trials, decide(trials, made, PATH), LINK, OPEN if severity == STOP else CAUTION)
    assert answer_words(found) == ("at most 1 m" if severity == STOP else "at most 500 mm")


@pytest.mark.parametrize(
    ("fails", "words"),
    [
        (lambda link, north: link > north, "at most 200 mm"),
        (lambda link, north: link < north, "at least 2 m"),
        (lambda link, north: link > 3 - north, "at most 1 m"),
        (lambda link, north: link < 3 - north, "at least 2.8 m"),
        (lambda link, north: link > 1.0 if north < 1.0 else link < 0.5, ""),
        (lambda link, north: link < 0.5 if north < 1.0 else link > 1.0, ""),
    ],
)
def test_an_answer_holds_for_a_short_one_beside_it_and_for_a_long_one(
    fails: Callable[[float, float], bool], words: str
) -> None:
    assert answers(lambda value: bad(STOP) if fails(value(*LINK), value(*NORTH)) else PASSED)[LINK[0]] == words


def test_what_passes_beside_the_worst_of_the_others() -> None:
    """Both together at most 5.2 m: 3.2 m for one where the other is at its 2 m; the same for both."""
    found = answers(lambda value: bad(STOP) if 2 * value(*LINK) + value(*NORTH) > 5.2 else PASSED)
    assert found[LINK[0]] == "at most 1.6 m"
    assert found[NORTH[0]] == "at most 1.2 m"


def test_what_depends_on_the_other_is_said_to() -> None:
    """Beside two others at their worst 5 mm would pass, or 80 m: neither can be a lead's length."""
    trials = Trials(LENGTHS)
    made = rule(lambda value: bad(STOP) if value(*LINK) * value(*NORTH) > 0.05 * value(*SOUTH) else PASSED)
    asked = asked_by(trials, decide(trials, made, PATH))
    assert {each.key for each in asked} == {LINK, NORTH, SOUTH}
    for each in asked:
        assert set(each.beside) == {LINK, NORTH, SOUTH} - {each.key}
        assert not each.passes_if
        assert set(each.answer.depends) == {LINK, NORTH, SOUTH} - {each.key}


def test_a_field_that_turns_nothing_is_not_asked() -> None:
    def says(value: Values) -> Outcome:
        return bad(STOP) if value(*LINK) + 0.0 * value(*NORTH) > 1.0 else PASSED

    assert answers(says) == {LINK[0]: "at most 1 m"}


def test_words_that_pass() -> None:
    """A type that other lines of the joiner rule out is no answer: a selector has no conductor that it blocks in."""
    for without, words in (
        ((), {"ideal-diode"}),
        (("joiners.first.blocks_in",), {"ideal-diode or selector", "selector or ideal-diode"}),
    ):
        build = build_without("joiners.first.type", *without)
        found = answers(
            lambda value: bad(STOP) if value("joiners.first", "type") in ("plain", "diode") else PASSED, build
        )
        assert found["joiners.first"] in words


def test_words_that_pass_beside_everything_else() -> None:
    build = build_without("joiners.first.type", "leads.link.length")

    def says(value: Values) -> Outcome:
        refused = ("plain", "selector") if value(*LINK) > 1.0 else ("diode", "selector")
        return bad(STOP) if value("joiners.first", "type") in refused else PASSED

    trials = Trials(build)
    found = {each.key[0]: each.answer for each in asked_by(trials, decide(trials, rule(says), PATH))}
    assert found["joiners.first"].values == ("ideal-diode",)
    assert set(found["joiners.first"].others) == {"plain", "diode", "selector"}


@pytest.mark.parametrize("first_thicker", [True, False])
def test_the_thinnest_wire_that_passes_beside_everything_else(first_thicker: bool) -> None:
    build = build_without("leads.link.gauge", "leads.north lead.length")

    def says(value: Values) -> Outcome:
        size = 10 if (value(*NORTH) < 1.0) == first_thicker else 14
        return PASSED if float(value("leads.link", "gauge").size) <= size else bad(STOP)

    assert answers(says, build)["leads.link"] == "10 AWG or thicker"


def crossed(value: Values, severity: Severity = STOP) -> Outcome:
    """Fails for two of four leads that are long, and one turn from neither all short nor all long leads there."""
    long = [value(*key) > 1.0 for key in (LINK, NORTH, SOUTH, BOX)]
    return bad(severity) if long == [True, False, True, False] else PASSED


def test_what_was_not_all_tried_does_not_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every set of four ends finds the one that fails; a bounded search may miss it, and leaves the question open."""
    assert decided(crossed, FOUR).severity == OPEN
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    assert decided(crossed, FOUR).severity == OPEN
    cautions = decided(lambda value: crossed(value, CAUTION), FOUR, CAUTION)
    assert cautions.severity == 0
    assert LINK in cautions.assumed
    assert not cautions.complete


@pytest.mark.parametrize("runs", [0, 100])
def test_a_rule_that_has_been_run_too_often_is_tried_roughly(runs: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With all fields of a name alike: what fails then is open or a stop; what passes is not known to pass."""
    monkeypatch.setattr(trying, "MOST_FOR_ONE", runs)

    def spent(says: Callable[[Values], Outcome], gravest: Severity = STOP) -> Decision:
        trials, made = Trials(FOUR), rule(says, gravest)
        trials.spend(made, runs + 1)
        return decide(trials, made, PATH)

    assert spent(lambda value: bad(STOP) if value(*LINK) > 0.0 else PASSED).severity == (STOP if runs else OPEN)
    for says in (beyond(1.0), lambda value: bad(STOP) if value(*LINK) < 1.0 else PASSED, crossed):
        found = spent(says)
        assert found.severity == OPEN
        assert LINK in found.asks
    cautions = spent(beyond(1.0, CAUTION), CAUTION)
    assert (cautions.severity, cautions.assumed) == (0, (LINK,))


def test_the_thinnest_wire_that_passes() -> None:
    """14 AWG and thicker; 15 AWG is no standard size that a shop buys, 16 AWG is too thin."""
    build = build_without("leads.link.gauge")

    def says(value: Values) -> Outcome:
        gauge = value("leads.link", "gauge")
        assert isinstance(gauge, Gauge)
        return PASSED if gauge.family == "AWG" and float(gauge.size) <= 14 else bad(STOP)

    assert answers(says, build)["leads.link"] == "14 AWG or thicker"


def test_what_a_rule_says_itself_passes_where_it_says_one_thing() -> None:
    """Undecided with words of its own: said where they are the same whatever the rest is, else what it depends on."""

    def says(value: Values) -> Outcome:
        long = value(*NORTH) > 1.0
        words = "a mark on it" if same or long else "a drawing"
        return Undecided(message="not known", asks=((LENGTHS.joiners["second"], "type"),), passes_if=words)

    same = True
    trials = Trials(LENGTHS)
    found = {each.key: each for each in asked_by(trials, decide(trials, rule(says), PATH))}
    assert found["joiners.second", "type"].passes_if == "a mark on it"
    same = False
    trials = Trials(LENGTHS)
    found = {each.key: each for each in asked_by(trials, decide(trials, rule(says), PATH))}
    assert found["joiners.second", "type"].passes_if == ""
    assert found["joiners.second", "type"].answer.depends == (NORTH,)


def test_words_of_an_answer_are_plain() -> None:
    trials = Trials(LENGTHS)
    (asked,) = asked_by(trials, decide(trials, rule(beyond(0.75)), PATH))
    assert answer_words(asked.answer) == asked.passes_if


def stepped(value: Values) -> Outcome:
    """Over 0.5 m a caution, over 1 m a stop; two ways to mend it: two shorter leads, or one between."""
    long = value(*LINK)
    if long <= 0.5:
        return PASSED
    families = tuple([Mend(f"make it {m} m", (Change(*LINK, m),)) for m in family] for family in ((0.75, 0.4), (0.9,)))
    return Failed(severity=STOP if long > 1.0 else CAUTION, message="too long", mends=families)


def mended(*others: Callable[[Values], Outcome], link_m: float = 2.0) -> list[tuple[str, bool]]:
    """What is advised for a link that is too long, where other rules have a say; whether it leaves a caution."""
    build = LENGTHS.with_value(*LINK, link_m)
    rules = [rule(stepped), *(rule(each).but(name=f"other {n}") for n, each in enumerate(others))]
    trials = Trials(build)
    before = [decide(trials, each, PATH) for each in rules]
    judged = [each for each in before if each.severity]
    workshop = Workshop(trials, judged, lambda changed: [d for r in rules if (d := decide(changed, r, PATH)).severity])
    return [(each.mend.text, each.lowers) for each in workshop.first_of_each_family(before[0])]


def test_what_settles_a_finding_is_advised_before_what_makes_a_caution_of_it() -> None:
    assert mended() == [("make it 0.4 m", False), ("make it 0.9 m", True)]


def test_a_caution_is_mended_by_what_settles_it_alone() -> None:
    assert mended(link_m=0.8) == [("make it 0.4 m", False)]


def test_what_adds_a_stop_or_a_caution_elsewhere_is_not_advised() -> None:
    for severity in (CAUTION, STOP):
        assert mended(lambda value, severity=severity: bad(severity) if value(*LINK) < 0.6 else PASSED) == [  # type: ignore[misc]
            ("make it 0.75 m", True),
            ("make it 0.9 m", True),
        ]
    assert mended(lambda value: bad(STOP) if value(*LINK) < 1.5 else PASSED) == []


@pytest.mark.parametrize(("adding", "judged"), [(1, 6), (2, 6), (3, 4), (5, 4)])
def test_a_mend_that_adds_three_findings_is_given_up(adding: int, judged: int) -> None:
    """Six rules; the first is the one that is mended, so many of the others stop a lead of less than 1.5 m."""
    rules = [rule(stepped), *(rule(lambda _value: bad(STOP)).but(name=f"other {n}") for n in range(5))]
    shorter = [
        rule(lambda value: bad(STOP) if value(*LINK) < 1.5 else bad(NOTE)).but(name=f"other {n}") for n in range(adding)
    ]
    rules[1 : 1 + adding] = shorter
    trials, seen = Trials(LENGTHS.with_value(*LINK, 2.0)), []

    def judge(changed: Trials) -> Iterator[Decision]:
        for each in rules:
            seen.append(each.name)
            yield decide(changed, each, PATH)

    before = [decide(trials, each, PATH) for each in rules]
    workshop = Workshop(trials, before, judge)
    assert workshop.works(before[0], Mend("make it 0.4 m", (Change(*LINK, 0.4),))) is None
    assert len(seen) == judged


def test_what_adds_a_note_or_was_there_before_is_advised() -> None:
    assert mended(lambda value: bad(NOTE) if value(*LINK) < 1.5 else PASSED, lambda value: bad(STOP)) == mended()


def test_what_makes_another_finding_worse_is_not_advised() -> None:
    """A caution of another rule that becomes a stop, though it stood there before."""
    assert mended(lambda value: bad(STOP) if value(*LINK) < 0.6 else bad(CAUTION)) == [
        ("make it 0.75 m", True),
        ("make it 0.9 m", True),
    ]


def assumed(*says: Callable[[Values], Outcome], build: Build = LENGTHS) -> dict[str, tuple[str, str]]:
    trials = Trials(build)
    made = [rule(each, CAUTION).but(name=f"rule {n}") for n, each in enumerate(says)]
    found = assumptions(trials, [decide(trials, each, PATH) for each in made])
    return {each.part: (each.text, each.turns_into) for each in found if each.field}


def test_what_a_missing_value_was_taken_to_be_and_where_a_worse_one_turns_it() -> None:
    """Ends and middle of the span of a length (0.2 m, 1.1 m, 2 m); of two rules that it turns each is said."""
    middle = "200 mm to 2 m (counted with 1.1 m)"
    assert assumed(looks_at(LINK)) == {LINK[0]: (middle, "")}
    turned = assumed(beyond(1.0, CAUTION), beyond(0.5, CAUTION), looks_at(NORTH))
    assert turned == {
        LINK[0]: (middle, "rule 0: at most 1 m passes; rule 1: at most 500 mm passes"),
        NORTH[0]: (middle, ""),
    }


def test_a_guess_is_said_as_one() -> None:
    text = edited("breakwater-three-packs", {"leads.link.length": "400 mm ?"})
    build = load(text, "case.yaml", today="2026-11-25")
    assert isinstance(build, Build)
    assert assumed(looks_at(LINK), build=build) == {LINK[0]: ("400 mm, a guess", "")}


def test_what_is_asked_anyway_is_not_assumed_too() -> None:
    trials = Trials(LENGTHS)
    decisions = [decide(trials, rule(each), PATH) for each in (beyond(1.0), looks_at(LINK))]
    assert not [each for each in assumptions(trials, decisions) if each.part == LINK[0]]


@pytest.mark.parametrize(("long", "severity"), [(True, OPEN), (False, STOP)])
def test_a_stop_is_believed_roughly_only_where_no_turn_of_a_name_gets_out_of_it(
    long: bool, severity: Severity, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It fails with all at their lower and with all at their upper ends. A long lead with little resistance passes."""
    monkeypatch.setattr(trying, "MOST_FOR_ONE", 100)

    def says(value: Values) -> Outcome:
        little = value("joiners.first", "resistance_ohm") < 0.003
        return PASSED if long and value(*LINK) > 1.0 and little else bad(STOP)

    trials, made = Trials(build_without("leads.link.length", "joiners.first.resistance")), rule(says)
    trials.spend(made, 101)
    assert decide(trials, made, PATH).severity == severity
