"""What the page of a check says, and what it asks: reports made by hand, one fact at a time."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.check.asking import assumed, to_find_out
from packyoke.answers.check.page import (
    batch_html,
    batch_text,
    carries_text,
    check_page,
    counts_text,
    cure_text,
    set_energy,
    set_range,
    summary_line,
)
from packyoke.api import load
from packyoke.core.findings import Amount, Finding, Severity, Span
from packyoke.page.page import FindingBlock, Table
from packyoke.verdict.report import Assumed, Batch, Cure, GoodFor, PackSet, Question, Report
from tests.support import edited

STOP, OPEN, CAUTION, NOTE = Severity.STOP, Severity.OPEN, Severity.CAUTION, Severity.NOTE


def finding(severity: Severity = STOP, part: str = "leads.a", rule: str = "lead-overheats", **more: Any) -> Finding:
    return Finding(rule=rule, severity=severity, part=part, **{"message": "too hot", "cause": rule, **more})


def report(*findings: Finding, verdict: str = "stop", **more: Any) -> Report:
    return Report(
        **{"file": "f.yaml", "name": "Skerry", "verdict": verdict, "findings": findings, "labels": {}, **more}
    )


def asks(*settles: Finding, part: str = "leads.a", field: str = "gauge", **more: Any) -> Question:
    told: dict[str, Any] = {"span": None, "ask": "look", "question": "which wire", "passes_if": ""}
    return Question(part, field, **{**told, **more}, settles=tuple(each.fingerprint for each in settles))


def groups(found: Report, **more: Any) -> list[FindingBlock]:
    return [each for each in check_page(found, **more).blocks if isinstance(each, FindingBlock)]


def facts(found: Report, at: int = 0) -> dict[str, str]:
    return {fact.label: fact.text for fact in groups(found)[at].facts if fact.text}


@pytest.mark.parametrize(
    ("found", "line"),
    [
        (report(finding()), "STOP        f.yaml: 1 stop"),
        (report(finding(), finding(part="leads.b")), "STOP        f.yaml: 2 stops"),
        (report(verdict="none-found"), "-           f.yaml: no findings"),
        (report(finding(), verdict="unreadable"), "UNREADABLE  f.yaml: 1 mistake"),
        (report(finding(), finding(), verdict="unreadable"), "UNREADABLE  f.yaml: 2 mistakes"),
        (report(finding(CAUTION), verdict="caution"), "CAUTION     f.yaml: 1 caution"),
    ],
)
def test_a_file_in_one_line(found: Report, line: str) -> None:
    assert summary_line(found) == line


def test_counts_of_each_weight() -> None:
    said = finding(NOTE, usual=True)
    found = report(
        finding(),
        finding(CAUTION),
        finding(CAUTION),
        finding(CAUTION, accepted="as told"),
        finding(NOTE),
        said,
        to_find_out=(asks(), asks()),
    )
    shown = [each for each in found.findings if not each.usual]
    assert counts_text(found, shown) == "1 stop, 2 to find out, 2 cautions, 1 note, 1 accepted, 1 more with --all"
    assert counts_text(report(said), []) == "1 note with --all"
    assert counts_text(report(said, said), []) == "2 notes with --all"
    assert counts_text(report(finding(NOTE, accepted="so")), [finding(NOTE, accepted="so")]) == "1 accepted"
    assert counts_text(report(said), [said]) == "1 note"


@pytest.mark.parametrize(
    ("verdict", "word", "level", "text"),
    [
        ("none-found", "", "good", "Skerry: no fault found in what was described"),
        ("caution", "CAUTION", "caution", "Skerry"),
        ("open", "OPEN", "open", "Skerry"),
        ("stop", "STOP", "stop", "Skerry"),
    ],
)
def test_the_verdict(verdict: str, word: str, level: str, text: str) -> None:
    page = check_page(report(verdict=verdict))
    assert page.verdict is not None
    assert (page.verdict.word, page.verdict.level, page.verdict.text) == (word, level, text)
    assert ("Do not build it" in " ".join(page.lead)) is (verdict in ("stop", "open"))


def test_a_file_that_cannot_be_read_is_told_with_its_mistakes() -> None:
    found = report(finding(part="build", message="no such field", span=Span(1, 1, 1, 2)), verdict="unreadable")
    page = check_page(found)
    assert page.verdict is not None
    assert page.verdict.text.startswith("cannot be read")
    one = Batch("1", "1", "1", (found,))
    assert "=" * 20 not in batch_text(one)
    two = batch_text(Batch("1", "1", "1", (found, report(verdict="none-found"))))
    assert two.count("=" * 20) >= 2
    assert "UNREADABLE  f.yaml: 1 mistake" in two
    assert "no fault found in what was described" in two
    assert "<title>Skerry" in batch_html(Batch("1", "1", "1", (report(verdict="none-found"),)))
    assert "<title>Checked builds" in batch_html(Batch("1", "1", "1", (found, found)))


A, B, C = finding(part="leads.a"), finding(part="leads.b"), finding(part="leads.c", rule="contact-overheats")
DO = "take 10 AWG."


def cure(*settles: Finding, do: str = DO) -> Cure:
    return Cure(do, tuple(each.fingerprint for each in settles), ("leads.a", "leads.b"))


def test_the_one_change_is_named_where_it_settles_two_that_are_told() -> None:
    assert cure_text(report(A, B)) == ""
    assert cure_text(report(A, B, cure=cure(A, B))) == "One change, at a and b, settles 2 of these: take 10 AWG."
    assert cure_text(report(A, B, cure=cure(A))) == ""
    waits = B.but(severity=OPEN, asks=("leads.b.gauge",))
    assert cure_text(report(A, waits, cure=cure(A, waits), to_find_out=(asks(waits),))) == ""


def test_what_the_one_change_settles_stands_in_one_block() -> None:
    told = [each.but(do=DO) for each in (A, C)] + [B.but(do="something else.")]
    found = report(*told, cure=cure(A, B, C))
    blocks = groups(found)
    assert [each.text for each in blocks] == ["a: too hot", "b: too hot"]
    assert facts(found)["do"] == "The one change named above."
    assert facts(found)["with"] == "c: too hot, rule contact-overheats"
    assert facts(found, 1)["do"] == "something else."
    assert "with" not in facts(found, 1)
    nothing = report(*told, cure=cure(do="other."))
    assert len(groups(nothing)) == 3
    assert facts(nothing)["do"] == DO


def test_figures_of_what_is_settled_with_it() -> None:
    hot = C.but(do=DO, found=Amount(50.0, "A"), limit=Amount(30.0, "A"))
    hotter = hot.but(part="leads.d", found=Amount(60.0, "A"))
    found = report(A.but(do=DO), hot, hotter, cure=cure(A, C, hotter))
    assert facts(found)["with"] == "c, d: too hot (60 A, limit 30 A), rule contact-overheats"
    bare = report(A.but(do=DO), hot.but(limit=None), cure=cure(A, C))
    assert facts(bare)["with"] == "c: too hot, rule contact-overheats"


def test_the_same_on_several_parts_is_one_block_with_the_worst_of_them() -> None:
    hot = [each.but(found=Amount(amps, "A"), limit=Amount(30.0, "A")) for each, amps in ((A, 40.0), (B, 50.0))]
    found = report(*hot)
    assert [each.text for each in groups(found)] == ["a, b: too hot"]
    assert facts(found)["found"] == "50 A; b is the worst; limit 30 A"
    least = [each.but(relation="at least") for each in hot]
    assert facts(report(*least))["found"] == "40 A; a is the worst; limit 30 A"
    alike = [each.but(found=Amount(50.0, "A")) for each in hot]
    assert facts(report(*alike))["found"] == "50 A; limit 30 A"
    noted = [each.but(found=Amount(50.0, "A", note)) for each, note in zip(hot, ("of a", "of b"), strict=True)]
    assert facts(report(*noted))["found"] == "50 A of a; the same of b; limit 30 A"
    for other in ({"message": "so"}, {"why": "so"}, {"do": "so"}, {"accepted": "so"}, {"limit": Amount(1.0, "A")}):
        assert len(groups(report(hot[0], hot[1].but(**other)))) == 2, other
    assert len(groups(report(hot[0], hot[1].but(severity=CAUTION)))) == 2


def test_facts_of_a_finding() -> None:
    figures = {"found": Amount(50.0, "A"), "limit": Amount(30.0, "A")}
    whole = A.but(**figures, why="because", do="this", basis=("a table", "common practice"))
    assert facts(report(whole)) == {
        "found": "50 A; limit 30 A",
        "why": "because",
        "do": "this",
        "rule": "lead-overheats; a table",
    }
    assert facts(report(whole.but(packs_in=("keel", "box"))))["found"].startswith("50 A, with keel + box in")
    assert "with" not in facts(report(whole.but(packs_in=("keel",))))["found"]
    # found and limit stand on one line when they are shorter than 44 letters together
    note = "n" * (43 - len("50 A ") - len("30 A"))
    assert facts(report(whole.but(found=Amount(50.0, "A", note))))["found"].endswith("; limit 30 A")
    wide = facts(report(whole.but(found=Amount(50.0, "A", f"{note}n"))))
    assert (wide["found"], wide["limit"]) == (f"50 A {note}n", "30 A")
    alone = facts(report(whole.but(found=None)))
    assert (alone.get("found"), alone["limit"]) == (None, "30 A")
    note_ = finding(NOTE, why="because", do="this", basis=("a table",))
    assert facts(report(note_)) == {"do": "this", "rule": "lead-overheats"}
    assert facts(report(note_.but(do="")))["why"] == "because"
    assert facts(report(A.but(accepted="as told")))["taken"] == "accepted: as told"
    assert groups(report(A.but(part="build"), labels={"build": "the build"}))[0].text == "too hot"


def test_lines_of_a_rule() -> None:
    at = [Span(line, 1, line, 2) for line in (3, 7, 9)]
    assert facts(report(A.but(span=at[0])))["rule"] == "lead-overheats, line 3"
    assert facts(report(A.but(span=at[1]), B.but(span=at[0])))["rule"] == "lead-overheats, lines 3, 7"
    also = A.but(span=at[0], also=(("x", at[2]), ("y", at[0]), ("z", None)))
    assert facts(report(also))["rule"] == "lead-overheats, line 3, with line 9"


WAITS = finding(OPEN, asks=("leads.a.gauge",))


def test_what_waits_for_an_answer_stands_in_the_list_only() -> None:
    asked = (asks(WAITS),)
    assert groups(report(WAITS, verdict="open", to_find_out=asked)) == []
    # nobody is asked: it has a block, unless a stop on the page makes it moot
    assert len(groups(report(WAITS, verdict="open"))) == 1
    rush = finding(rule="packs-rush", part="joiners.y")
    assert [each.text for each in groups(report(rush, WAITS))] == ["y: too hot"]
    assert len(groups(report(rush.but(severity=CAUTION), WAITS))) == 2
    assert len(groups(report(rush.but(rule="other"), WAITS))) == 2
    # what must not be done meanwhile has a block besides
    meanwhile = WAITS.but(rule="packs-rush")
    lacking = (asks(meanwhile), asks(meanwhile, field="length"), asks(C, field="run"))
    found = report(meanwhile, verdict="open", to_find_out=lacking)
    assert facts(found)["do"] == "Find out gauge, length: see To find out."
    assert facts(report(meanwhile.but(do="do so"), verdict="open"))["do"] == "do so"
    hot = {"found": Amount(50.0, "A"), "limit": Amount(30.0, "A")}
    assert "at worst" in facts(report(meanwhile.but(**hot), verdict="open"))
    assert "found" in facts(report(meanwhile.but(**hot, asks=()), verdict="open"))
    caution = WAITS.but(severity=CAUTION)
    assert len(groups(report(caution, verdict="caution", to_find_out=(asks(caution),)))) == 1


def test_notes_that_stand_on_every_bike_are_shown_on_request() -> None:
    found = report(finding(NOTE, usual=True), verdict="none-found")
    assert groups(found) == []
    assert len(groups(found, everything=True)) == 1


AMPS = Amount(30.0, "A")
GOOD = GoodFor(AMPS, None, None, None, (), ())


@pytest.mark.parametrize(
    ("good", "said"),
    [
        (GOOD, ["This harness carries 30 A continuous."]),
        (
            GOOD._replace(continuous=None),
            ["What this harness carries is not decided: a current or a limit is not known."],
        ),
        (GOOD._replace(continuous=Amount(0.0, "A")), ["This harness carries no current at all."]),
        (GOOD._replace(peak=Amount(50.0, "A", "for 10 s")), ["This harness carries 30 A continuous, 50 A for 10 s."]),
        (GOOD._replace(asked=Amount(20.0, "A")), ["This harness carries 30 A continuous; the controller draws 20 A."]),
        (
            GOOD._replace(asked=Amount(20.0, "A"), asked_peak=Amount(35.0, "A")),
            ["This harness carries 30 A continuous; the controller draws 20 A, and 35 A."],
        ),
        (
            GOOD._replace(open_parts=("leads.a", "leads.b", "leads.c", "leads.d")),
            ["This harness carries 30 A continuous (without a, b, c: not known)."],
        ),
        (
            GOOD._replace(weakest=(("leads.a", "wire"), ("joiners.y", ""))),
            ["This harness carries 30 A continuous.", "Weakest: a (wire), then y."],
        ),
    ],
)
def test_what_a_harness_carries(good: GoodFor, said: list[str]) -> None:
    assert [*carries_text(good)] == said
    assert all(line in check_page(report(verdict="none-found", good_for=good)).lead for line in said)
    assert "carries" not in " ".join(check_page(report(verdict="none-found")).lead)


@pytest.mark.parametrize(
    ("base", "said"),
    [("skerry-long-tail", "the controller draws 20 A"), ("windlass-two-outlets", "the controllers together draw 20 A")],
)
def test_several_controllers_draw_together(base: str, said: str) -> None:
    drawn = report(verdict="none-found", good_for=GOOD._replace(asked=Amount(20.0, "A")), build=load(edited(base)))
    assert f"This harness carries 30 A continuous; {said}." in " ".join(
        batch_text(Batch("0", "0", "0", (drawn,))).split()
    )


ALL = PackSet(("keel", "box"), 1000.0, 900.0, (40_999.0, 52_000.0), "keel", "none-found", "main lead", "0.9 for 20 A")
ONE = PackSet(("keel",), 600.0, None, None, "keel", "caution", "keel lead", "0.5")


def sets(*lines: PackSet, verdict: str = "none-found") -> Table:
    found = [each for each in check_page(report(verdict=verdict, sets=lines)).blocks if isinstance(each, Table)]
    return found[0]


def test_what_each_set_gives() -> None:
    assert (set_energy(ALL), set_energy(ALL, label_only=True)) == ("900 of 1000 Wh", "1000 Wh")
    assert set_energy(ONE) == "600 Wh"
    assert set_energy(ONE._replace(label_wh=None)) == "?"
    assert (set_range(ALL), set_range(ONE)) == ("40 - 52 km", "?")
    table = sets(ALL, ONE)
    assert table.heads == ("packs", "gives", "everyday ride", "supplies first", "result")
    assert table.rows == (
        ("keel + box", "900 of 1000 Wh", "40 - 52 km", "keel", "-"),
        ("keel", "600 Wh", "?", "-", "CAUTION"),
    )
    assert table.notes[-1].startswith("Count on the shorter way")
    for verdict in ("stop", "open"):
        table = sets(ALL, ONE, verdict=verdict)
        assert table.heads == ("packs", "Wh on label", "supplies first", "result", "weakest")
        assert table.rows == (
            ("keel + box", "1000 Wh", "keel", "-", "main lead 0.9"),
            ("keel", "600 Wh", "-", "CAUTION", "keel lead 0.5"),
        )
        assert table.notes == ()
    assert sets(ONE).heads[-1] == "weakest"  # how far is not known of any
    assert sets(ALL, ONE, verdict="caution").heads[-1] == "result"


def test_sets_that_give_the_same_share_a_row_and_many_are_left_out() -> None:
    alike = ONE._replace(packs=("box",))
    assert sets(ALL, ONE, alike).rows[1][0] == "keel or box"
    singles = [ONE._replace(packs=(f"p{n}",), label_wh=float(n)) for n in range(5)]
    pairs = [ALL._replace(packs=(f"p{n}", f"q{n}"), label_wh=1000.0 + n) for n in range(25)]
    whole = ALL._replace(packs=("a", "b", "c"))
    table = sets(whole, *pairs, *singles)
    assert (len(table.rows), len(table.notes)) == (31, 1)
    more = sets(whole, *pairs, *singles, pairs[0]._replace(packs=("r", "s")))
    assert len(more.rows) == 6
    assert more.notes[0] == "And 26 sets more: --format json has them all."


def rows(*questions: Question, found: tuple[Finding, ...] = ()) -> list[tuple[str, ...]]:
    tables = [*to_find_out(report(*found, verdict="open", to_find_out=questions))]
    return [row for table in tables for row in table.rows]


def test_each_field_is_asked_once() -> None:
    assert rows() == []
    one = asks(A, span=Span(4, 1, 4, 2), passes_if="12 AWG or thicker")
    other = one._replace(part="leads.b", span=Span(2, 1, 2, 2))
    assert rows(one, other, found=(A,)) == [
        ("look", "a, b: gauge. Which wire. Passes: 12 AWG or thicker. (lead-overheats)", "2, 4")
    ]
    assert rows(asks()) == [("look", "a: gauge. Which wire.", "")]
    assert rows(asks(ask="plan"))[0][1] == "a: Which wire."
    assert rows(asks(ask=""))[0][0] == "ask"
    assert rows(asks(part="packs.keel.fuse", field="fuse.rating"))[0][1].startswith("keel: fuse.rating.")
    many = [finding(part=f"leads.{n}", rule=f"rule-{n}") for n in range(5)]
    assert rows(asks(*many), found=tuple(many))[0][1].endswith("(rule-0, rule-1, rule-2 and 2 more)")
    assert rows(asks(*many[:3]), found=tuple(many))[0][1].endswith("(rule-0, rule-1, rule-2)")


@pytest.mark.parametrize(
    ("depends", "said"),
    [
        (("leads.a.length",), "What passes depends on length."),
        (("leads.b.length",), "What passes depends on b.length."),
        (("leads.a.length", "leads.a.run"), "What passes depends on length and run."),
        (tuple(f"leads.a.{n}" for n in "pqrs"), "What passes depends on p, q, r and s."),
        (tuple(f"leads.a.{n}" for n in "pqrst"), "What passes depends on p, q, r and others."),
    ],
)
def test_on_what_an_answer_depends(depends: tuple[str, ...], said: str) -> None:
    assert rows(asks(depends_on=depends))[0][1].endswith(said)


def test_answers_that_depend_on_each_other() -> None:
    one, other = asks(depends_on=("leads.b.gauge",)), asks(part="leads.b", depends_on=("leads.a.gauge",))
    assert rows(one, other)[0][1].endswith("They depend on each other.")
    third = other._replace(depends_on=("leads.a.gauge", "leads.a.length"))
    assert rows(one, third)[0][1].endswith("What passes depends on each other and a.length.")
    on_another = [asks(part=part, depends_on=("leads.c.gauge",)) for part in ("leads.a", "leads.b")]
    assert "each other" not in rows(*on_another)[0][1]


def test_what_was_assumed() -> None:
    assert [*assumed(())] == []
    plain = Assumed("packs.keel", "resistance", "at most 120 mohm", "typical")
    shop = Assumed("build", "", "region EU", "from the shop file")
    turning = plain._replace(field="mass", text="3 kg", turns_into="a caution from 5 kg")
    (lines,) = assumed((plain, plain._replace(part="packs.box"), shop, turning))
    assert lines.lines == (
        "keel, box: resistance at most 120 mohm; region EU (from the shop file)",
        "keel: mass 3 kg; a caution from 5 kg",
    )
