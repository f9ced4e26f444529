"""What becomes of what a rule says: sentence, field, questions, what the build is good for, its short name."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from packyoke.core.findings import Amount, Severity
from packyoke.model import Build, End, Gauge
from packyoke.rules.outcome import Change, Failed, Mend, Outcome, Undecided
from packyoke.verdict.check import check
from packyoke.verdict.fingerprint import fingerprint
from packyoke.verdict.report import Report
from packyoke.verdict.wording import value_words
from tests.support import edited
from tests.verdict.test_layout import read
from tests.verdict.test_plain_rules import LENGTHS, LINK, PATH, STOP, Values, bad, rule

WHOLE = read(edited("breakwater-three-packs"))
RESISTANCE = ("joiners.first", "resistance_ohm")
WITHOUT_RESISTANCE = read(edited("breakwater-three-packs", {}, ("joiners.first.resistance", "leads.link.length")))


def report(says: Callable[[Values], Outcome], build: Build = LENGTHS) -> Report:
    return check(build, rules=(rule(says),), rides=False)


def noted(stops: bool, field: str = "type") -> Failed:
    return Failed(severity=STOP if stops else Severity.NOTE, message="x", field=field)


def too_long(key: tuple[str, str], field: str = "type") -> Callable[[Values], Outcome]:
    return lambda value: noted(value(*key) > 1.0, field)


@pytest.mark.parametrize(
    ("says", "message", "do"),
    [
        (lambda _value: bad(STOP, "too much"), "too much", ""),
        (lambda _value: bad(Severity.CAUTION, "too much"), "too much", ""),
        (
            lambda value: bad(STOP) if value(*LINK) > 1.0 else None,
            "not decided a thing holds",
            "Find out length of link",
        ),
        (
            lambda _value: Undecided(message="not in the file", asks=((LENGTHS.joiners["second"], "type"),)),
            "not in the file",
            "Find out type of second.",
        ),
        (
            lambda _value: Undecided(message="", asks=((LENGTHS.joiners["second"], "type"),), do="Look at it."),
            "not decided a thing holds",
            "Look at it.",
        ),
    ],
)
def test_what_is_said_of_a_finding(says: Callable[[Values], Outcome], message: str, do: str) -> None:
    (found,) = report(says).findings
    assert found.message == message
    assert found.do.startswith(do)


@pytest.mark.parametrize(
    ("build", "says", "field"),
    [
        (WHOLE, lambda _value: Failed(severity=STOP, message="x", field="type"), "type"),
        # what is asked for is on another part
        (LENGTHS, too_long(LINK), "type"),
        (LENGTHS, too_long(LINK, ""), ""),
        # one field of the part itself is asked for, or two
        (WITHOUT_RESISTANCE, lambda value: noted(value(*RESISTANCE) > 0.003), "resistance_ohm"),
        (WITHOUT_RESISTANCE, lambda value: noted(value(*RESISTANCE) > 0.003 or value(*LINK) > 1.0), "type"),
    ],
)
def test_the_line_that_a_finding_stands_at(build: Build, says: Callable[[Values], Outcome], field: str) -> None:
    """The field that a rule names; of an open one that which is asked for, where it is one of the part's own."""
    (found,) = report(says, build).findings
    assert found.field == field
    assert found.span == build.part(PATH).place(field)


@pytest.mark.parametrize(
    ("severity", "usual", "told"),
    [
        (Severity.NOTE, True, True),
        (Severity.NOTE, False, False),
        (Severity.CAUTION, True, False),
    ],
)
def test_only_a_note_is_usual(severity: Severity, usual: bool, told: bool) -> None:
    (found,) = report(lambda _value: Failed(severity=severity, message="x", usual=usual)).findings
    assert found.usual == told


def test_a_connector_in_the_middle_of_an_advice_stays_as_it_is_written() -> None:
    families = tuple((Mend(text, (Change(*LINK, 0.5),)),) for text in ("Take it out", "XT90 on both halves", "A fuse"))

    def says(value: Values) -> Outcome:
        return Failed(severity=STOP, message="x", mends=families) if value(*LINK) > 1.0 else None

    (found,) = report(says, LENGTHS.with_value(*LINK, 2.0)).findings
    assert found.do == "Take it out; or XT90 on both halves; or a fuse."


@pytest.mark.parametrize(("name", "asked"), [("made-up", set()), ("harness-broken", {("joiners.second", "type")})])
def test_more_is_asked_where_what_is_drawn_cannot_be_judged(name: str, asked: set[tuple[str, str]]) -> None:
    """The rule says nothing of the joiner that nobody knows; behind a fault of the drawing others will."""
    build = WHOLE.with_value("joiners.second", "type", None)
    found = check(build, rules=(rule(lambda _value: bad(STOP)).but(name=name),), rides=False)
    assert {(each.part, each.field) for each in found.to_find_out} == asked


def test_what_a_build_is_good_for() -> None:
    """Packs, joiners and XT60 bear 30 A; 18 A are asked. Of a harness with a fault nothing is said."""
    found = check(WHOLE, rides=False).good_for
    assert found is not None
    assert found.continuous == Amount(pytest.approx(30.0), "A", "")
    assert found.asked == Amount(18.0, "A", "")
    short_cut = {"from": "box", "to": "controller", "length": "0.4 m", "gauge": "12 AWG"}
    broken = read(edited("breakwater-three-packs", {"leads.short cut": short_cut}))
    report_of_it = check(broken, rides=False)
    assert "harness-broken" in {each.rule for each in report_of_it.findings}
    assert report_of_it.good_for is None


@pytest.mark.parametrize(
    ("value", "kind", "words"),
    [
        (Gauge("AWG", 12), "gauge", "12 AWG"),
        (True, "yes/no", "yes"),
        (False, "yes/no", "no"),
        (25.5, "current", "25.5 A"),
        (13, "count", "13"),
        (13.0, "count", "13"),
        ("plain", "word", "plain"),
        ((End("XT60", "pin", "pin"), None), "ends", "XT60 pin, not known"),
        (("keel", "pannier"), "names", "keel, pannier"),
    ],
)
def test_a_value_as_it_is_written(value: object, kind: str, words: str) -> None:
    assert value_words(value, kind) == words


@pytest.mark.parametrize(
    ("put", "same"),
    [
        ({"name": "another name"}, True),
        ({"joiners.first.resistance": "0.002 ohm"}, True),
        ({"joiners.first.resistance": "2.1 mohm"}, False),
        ({"packs.box.fuse.rating": "25 A"}, False),
    ],
)
def test_the_short_name_is_of_what_was_checked(put: dict[str, str], same: bool) -> None:
    assert (fingerprint(read(edited("breakwater-three-packs", put))) == fingerprint(WHOLE)) == same


def test_the_short_name_does_not_hang_on_where_a_line_stands() -> None:
    text = edited("breakwater-three-packs")
    assert fingerprint(read(f"# one line more\n{text}")) == fingerprint(WHOLE)
    assert read(f"# one line more\n{text}").packs["box"].span != WHOLE.packs["box"].span


@pytest.mark.parametrize(
    ("outcome", "kind", "basis"),
    [
        (bad(STOP), "danger", ("a book",)),
        (Failed(severity=STOP, message="x", kind="wear"), "wear", ("a book",)),
        (Failed(severity=STOP, message="x", basis=("another book",)), "danger", ("another book",)),
        (Undecided(message="x", asks=((LENGTHS.joiners["second"], "type"),)), "danger", ("a book",)),
    ],
)
def test_kind_and_basis_are_the_rules_where_the_finding_has_none(
    outcome: Outcome, kind: str, basis: tuple[str, ...]
) -> None:
    made = rule(lambda _value: outcome).but(kind="danger", basis=("a book",))
    (found,) = check(LENGTHS, rules=(made,), rides=False).findings
    assert (found.kind, found.basis) == (kind, basis)


@pytest.mark.parametrize(("put", "recheck"), [({}, ""), ({"recheck": "2027-05-01"}, "2027-05-01")])
def test_the_day_of_the_next_check(put: dict[str, str], recheck: str) -> None:
    build = read(edited("breakwater-three-packs", put))
    assert check(build, rules=(), rides=False).recheck == recheck
