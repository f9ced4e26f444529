"""How the best and the worst of a rule made for the test are looked for where not every set of values is tried.

As in test_plain_rules: a lead's length is tried at 0.2 m and 2 m.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from packyoke.api import load
from packyoke.core.findings import Amount, Severity
from packyoke.model import Build
from packyoke.rules import RULES
from packyoke.rules.outcome import PASSED, Failed, Outcome, Passed, Undecided
from packyoke.verdict import trials as trying
from packyoke.verdict.explore import Decision, decide
from packyoke.verdict.judge import judge_build
from packyoke.verdict.leaf import Leaf, measure
from packyoke.verdict.trials import Trials
from tests.odd import ODD
from tests.support import edited
from tests.verdict.test_more_plain_rules import BRAKES, DRIVE, FOUR_KEYS, TYPE, stop_if
from tests.verdict.test_plain_rules import (
    BOX,
    CAUTION,
    FOUR,
    LINK,
    NORTH,
    NOTE,
    OPEN,
    PATH,
    SOUTH,
    STOP,
    Values,
    bad,
    build_without,
    decided,
    rule,
)


def roughly(
    says: Callable[[Values], Outcome], monkeypatch: pytest.MonkeyPatch, *gone: str, gravest: Severity = STOP
) -> Decision:
    """What is decided where a rule has been run too often."""
    monkeypatch.setattr(trying, "MOST_FOR_ONE", 100)
    trials, made = Trials(build_without(*gone)), rule(says, gravest)
    trials.spend(made, 101)
    return decide(trials, made, PATH)


def test_what_was_tried_roughly_asks_for_what_must_be_known(monkeypatch: pytest.MonkeyPatch) -> None:
    def says(value: Values) -> Outcome:
        value(*TYPE)
        return stop_if(value(*LINK) > 1.0)

    assert roughly(says, monkeypatch, "joiners.first.type", "leads.link.length").asks == (TYPE,)


def test_what_is_a_caution_or_a_stop_is_open_also_roughly(monkeypatch: pytest.MonkeyPatch) -> None:
    found = roughly(lambda value: bad(STOP if value(*LINK) > 1.0 else CAUTION), monkeypatch, "leads.link.length")
    assert (found.severity, found.asks) == (OPEN, (LINK,))


@pytest.mark.parametrize(
    ("others", "diode", "gravest", "severity"),
    [
        (None, STOP, STOP, OPEN),
        (NOTE, STOP, STOP, OPEN),
        (CAUTION, STOP, STOP, OPEN),
        (CAUTION, CAUTION, CAUTION, CAUTION),
        (STOP, STOP, STOP, STOP),
        (STOP, CAUTION, STOP, OPEN),
        (STOP, None, STOP, OPEN),
    ],
)
def test_what_was_tried_roughly_is_a_stop_only_where_every_value_is_one(
    others: Severity | None, diode: Severity | None, gravest: Severity, severity: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of four kinds of joiner plain is the first and a selector the last, a diode stands between them. And below a stop
    nothing is decided where it may be one."""

    def says(value: Values) -> Outcome:
        level = diode if value(*TYPE) == "diode" else others
        return bad(level) if level else PASSED

    assert roughly(says, monkeypatch, "joiners.first.type", gravest=gravest).severity == severity


@pytest.mark.parametrize(
    ("turns", "last_alone_passes", "severity"), [(3, False, OPEN), (4, False, STOP), (3, True, OPEN), (4, True, OPEN)]
)
def test_a_stop_is_believed_only_where_every_turn_was_made(
    turns: int, last_alone_passes: bool, severity: Severity, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four lengths have one other end each: four turns. All short and all long is a stop."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    monkeypatch.setattr(trying, "TO_BELIEVE_A_STOP", turns)

    def says(value: Values) -> Outcome:
        long = [value(*key) > 1.0 for key in FOUR_KEYS]
        return stop_if(not last_alone_passes or long != [False, False, False, True])

    assert decided(says, FOUR).severity == severity


def test_what_follows_at_one_value_of_another_field_is_asked_where_it_does_not() -> None:
    """Only a direct-drive hub may brake or not; other drives do not."""
    build = build_without("controller.regen", "bike.drive")

    def says(value: Values) -> Outcome:
        drive, amps = value(*DRIVE), value(*BRAKES)
        return stop_if(drive == "direct-drive hub" and amps > 5.0)

    assert decided(says, build).asks == (BRAKES,)


def test_what_does_not_follow_everywhere_is_asked_with_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that was tried turns the finding: all is asked, braking too, that only follows from some drives."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    build = build_without(*(f"{path}.length" for path, _ in FOUR_KEYS), "controller.regen", "bike.drive")

    def says(value: Values) -> Outcome:
        long = [value(*each) > 1.0 for each in FOUR_KEYS]
        value(*DRIVE), value(*BRAKES)
        return stop_if(long == [True, False, True, False])

    assert set(decided(says, build).asks) == {*FOUR_KEYS, DRIVE, BRAKES}


def test_what_follows_wherever_it_is_looked_for_is_not_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who looks up the chemistry of a pack of 54.6 V knows how many cells it has."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    gone = (*(f"{path}.length" for path, _ in FOUR_KEYS), "packs.north.chemistry", "packs.north.series")
    build = load(edited("breakwater-three-packs", {"packs.north.full_charge": "54.6 V"}, gone), "x.yaml")
    assert isinstance(build, Build), build

    def says(value: Values) -> Outcome:
        long = [value(*each) > 1.0 for each in FOUR_KEYS]
        value("packs.north", "chemistry"), value("packs.north", "series")
        return stop_if(long == [True, False, True, False])

    assert decided(says, build).asks == (("packs.north", "chemistry"),)


@pytest.mark.parametrize("long_passes", [True, False])
def test_the_best_and_the_worst_are_looked_for_from_the_best_and_the_worst_that_was_seen(
    long_passes: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three of four long leads turn it: no single turn from all short ones shows that."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)

    def says(value: Values) -> Outcome:
        return stop_if((sum(value(*key) > 1.0 for key in FOUR_KEYS) >= 3) != long_passes)

    found = decided(says, FOUR)
    assert found.severity == OPEN
    assert isinstance(found.outcome, Failed)


@pytest.mark.parametrize(
    ("passing", "severity"),
    [((2,), OPEN), ((1, 3), OPEN), ((0, 4), OPEN), ((), STOP)],
    ids=["two long ones", "one or three", "none or all", "none of them"],
)
def test_a_stop_is_told_only_where_no_values_together_get_out_of_it(
    passing: tuple[int, ...], severity: Severity, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With two of four long and the others short it passes: no single turn from all short or all long leads there."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    found = decided(lambda value: stop_if(sum(value(*key) > 1.0 for key in FOUR_KEYS) not in passing), FOUR)
    assert found.severity == severity
    assert set(found.asks if severity == OPEN else found.assumed) == set(FOUR_KEYS)


def test_figures_of_what_stands_whatever_it_is_are_those_of_the_middle() -> None:
    """0.2 to 2 m; where one field has no middle, those of an end."""
    found = decided(lambda value: Failed(severity=CAUTION, message="x", found=Amount(value(*LINK), "m")))
    assert isinstance(found.outcome, Failed)
    assert found.outcome.found == Amount(pytest.approx(1.1), "m")


@pytest.mark.parametrize(("least", "most", "level"), [(13.5, None, 0), (None, 6.5, STOP)])
def test_figures_lead_to_the_one_set_of_values_that_turns_a_finding(
    least: float | None, most: float | None, level: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two long and two short leads of four are the worst (13.6) or, the other way round, the best (6.4); all short and
    all long are 10. Each turn towards it makes the figure a little larger or smaller."""
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)

    def says(value: Values) -> Outcome:
        link, north, south, box = (value(*key) for key in (LINK, NORTH, SOUTH, BOX))
        found, limit = Amount(link - north + south - box + 10.0, "m"), Amount(least or most or 0.0, "m")
        if found.value > limit.value:
            return Failed(severity=STOP, message="too much", found=found, limit=limit)
        return Passed(found, limit)

    found = decided(says, FOUR)
    assert found.severity == OPEN
    assert set(found.asks) == {LINK, NORTH, SOUTH, BOX}
    assert isinstance(found.outcome, Failed)


def test_a_field_that_nothing_can_be_tried_for_leaves_a_question(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trying, "MOST_UNKNOWNS", 0)
    build = build_without("leads.link.length", "packs.north.outlet")

    def says(value: Values) -> Outcome:
        return stop_if(value(*LINK) > 9.0 or value("packs.north", "outlet") is None)

    found = decided(says, build)
    assert (found.severity, found.asks) == (OPEN, (("packs.north", "outlet"),))
    assert decided(
        lambda value: bad(CAUTION) if value("packs.north", "outlet") is None else PASSED, build, CAUTION
    ).assumed


@pytest.mark.parametrize(
    ("outcome", "how_bad"),
    [
        (None, (0, 0.0)),
        (PASSED, (0, 0.0)),
        (Passed(Amount(4.0, "A"), Amount(5.0, "A")), (0, 0.8)),
        (Failed(severity=STOP, message="", found=Amount(10.0, "A"), limit=Amount(5.0, "A")), (STOP, 2.0)),
        (Failed(severity=STOP, message="", found=Amount(10.0, "A"), limit=Amount(5.0, "V")), (STOP, 0.0)),
        (Failed(severity=STOP, message="", found=Amount(10.0, "A")), (STOP, 0.0)),
        (
            Failed(severity=NOTE, message="", found=Amount(4.0, "V"), limit=Amount(10.0, "V"), relation="at least"),
            (NOTE, 2.5),
        ),
        (Undecided(message="", asks=()), (OPEN, 0.0)),
    ],
)
def test_how_bad_an_outcome_is(outcome: Outcome, how_bad: tuple[int, float]) -> None:
    assert measure(Leaf((), outcome)) == how_bad


def test_a_lead_too_thin_whatever_the_joiners_are_is_a_stop_though_others_took_most_tries() -> None:
    """48 A in a wire for 40 A behind three joiners of unknown type; six leads before it are tried first."""
    ideal = "type: ideal-diode, ceiling: 65 V, current: 40 A, resistance: 2 mohm, blocks_in: positive"
    text = ODD["a tree"].replace("battery_current: 18 A", "battery_current: 48 A")
    build = load(text.replace(ideal, "type: unknown, ceiling: 65 V, current: 40 A"), "x.yaml")
    assert isinstance(build, Build)
    rules = [rule for rule in RULES if rule.name == "lead-overheats"]
    told = {each.path: each.severity for each in judge_build(build, rules)}
    assert told["leads.l7"] == Severity.STOP
