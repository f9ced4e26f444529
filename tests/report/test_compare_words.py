"""What a comparison says, of two builds and of many: changes made by hand, one fact at a time."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from packyoke.answers.changes import FindingChange, ToldFinding, by_print
from packyoke.answers.compare.many import ManyView, Pair, of_results
from packyoke.answers.compare.many_page import many_json, many_page
from packyoke.answers.compare.page import (
    CompareView,
    FigurePair,
    FileDifference,
    Margin,
    PriceStep,
    compare_json,
    compare_page,
    difference_words,
    turned,
)
from packyoke.answers.results import NotAResult, Result, Stored
from packyoke.core.findings import Amount
from packyoke.model.build import FROM_SHOP
from packyoke.page.page import FindingBlock, Table
from packyoke.verdict.report import Assumed, PartLine, Report

STOP = ToldFinding("rule", "leads.a", "a", "stop", "too hot", Amount(50.0, "A"), Amount(30.0, "A"), "", False, "x", 1)
OPEN, CAUTION, NOTE = (STOP._replace(severity=each) for each in ("open", "caution", "note"))
NEW = FindingChange("new", STOP, None)


def report(verdict: str = "none-found", name: str = "Skerry", **more: Any) -> Report:
    return Report(**{"file": "f.yaml", "name": name, "verdict": verdict, "labels": {}, **more})


def seen(*turns: FindingChange, **more: Any) -> CompareView:
    told: dict[str, Any] = {
        "old": report(),
        "new": report(),
        "refused": False,
        "differences": (),
        "margins": (),
        "figures": (),
    }
    return CompareView(turns=turns, **{**told, **more})


LINE = FileDifference("leads.a", "gauge", "12 AWG", "10 AWG")


@pytest.mark.parametrize(
    ("view", "level", "word", "text"),
    [
        (seen(), "good", "SAME", "Nothing that counts is different."),
        (seen(differences=(LINE,)), "good", "", "nothing open that was not there before. Findings: the same."),
        (seen(FindingChange("gone", STOP, STOP)), "good", "", "not there before. Findings: 1 gone."),
        (seen(NEW, refused=True), "stop", "STOP", "The change brings what was not there before. Findings: 1 new."),
        (seen(FindingChange("new", OPEN, None), refused=True), "open", "OPEN", "The change brings"),
        # a stop that is gone makes no stop of what is new
        (
            seen(FindingChange("new", OPEN, None), FindingChange("gone", STOP, STOP), refused=True),
            "open",
            "OPEN",
            "The change",
        ),
        (seen(FindingChange("worse", STOP, OPEN), refused=True), "stop", "STOP", "Findings: 1 worse."),
        (
            seen(new=report("stop")),
            "stop",
            "STOP",
            "Nothing that counts is different; it is at stop, as it was before. Findings: the same.",
        ),
        (
            seen(new=report("open"), differences=(LINE,)),
            "open",
            "OPEN",
            "Nothing new stops it; it has open questions, as it had before.",
        ),
        (seen(FindingChange("gone", NOTE, NOTE), new=report("open")), "open", "OPEN", "Nothing new stops it;"),
        (seen(new=report("caution")), "good", "SAME", "Nothing that counts"),
    ],
)
def test_the_answer(view: CompareView, level: str, word: str, text: str) -> None:
    verdict = compare_page(view).verdict
    assert verdict is not None
    assert (verdict.level, verdict.word) == (level, word)
    assert text in verdict.text
    assert view.answered is (level == "good")
    assert compare_page(view).title == "Skerry: before and after"


def test_what_both_have_from_the_shop_s_file() -> None:
    taken = [Assumed("build", "", text, FROM_SHOP) for text in ("region EU", "warmest 30 degC", "coldest 0 degC")]
    view = seen(old=report(assumed=(taken[0], taken[1])), new=report("caution", assumed=(taken[0], taken[2])))
    found = {each.heading: each for each in compare_page(view).blocks}["Taken over"]
    both, after, before = found.lines  # type: ignore[union-attr]
    assert both.startswith("region EU")
    assert after.startswith("after: coldest 0 degC")
    assert before.startswith("before: warmest 30 degC")
    assert compare_page(view).lead == ("before: f.yaml: no fault found", "after: f.yaml: CAUTION")


@pytest.mark.parametrize(
    ("each", "said"),
    [
        (LINE, "a: gauge 12 AWG -> 10 AWG"),
        (FileDifference("packs.keel", "", "", "there"), "packs: keel, only after"),
        (FileDifference("packs.keel", "", "there", ""), "packs: keel, only before"),
    ],
)
def test_a_difference_in_words(each: FileDifference, said: str) -> None:
    assert [*difference_words([each])] == [said]


def test_twelve_differences_are_told() -> None:
    assert len([*difference_words([LINE] * 12)]) == 12
    assert [*difference_words([LINE] * 14)][12:] == ["and 2 more (--format json has them all)"]


@pytest.mark.parametrize(
    ("turn", "said"),
    [
        (NEW, "a: too hot, 50 A (limit 30 A)"),
        (FindingChange("gone", STOP, STOP), "a: too hot, 50 A (limit 30 A)"),
        (FindingChange("worse", STOP, CAUTION), "a: too hot, 50 A (limit 30 A); was caution, 50 A"),
        (FindingChange("better", NOTE, STOP._replace(found=None)), "a: too hot, 50 A (limit 30 A); was stop"),
        (FindingChange("new", STOP._replace(limit=None), None), "a: too hot"),
    ],
)
def test_a_turn_in_words(turn: FindingChange, said: str) -> None:
    assert turned(turn) == said


def tables(view: CompareView) -> dict[str, Table]:
    return {each.heading: each for each in compare_page(view).blocks if isinstance(each, Table)}


@pytest.mark.parametrize(
    ("before", "after", "row"),
    [
        (100.0, 120.0, ("100 Wh", "120 Wh", "+20 Wh")),
        (120.0, 100.0, ("120 Wh", "100 Wh", "-20 Wh")),
        (100.0, 100.04, ("100 Wh", "100 Wh", "same")),  # less than 0.05 %
        (1000.0, 1000.6, ("1000 Wh", "1001 Wh", "+0.6 Wh")),
        (None, 100.0, ("?", "100 Wh", "")),
        (100.0, None, ("100 Wh", "?", "")),
        (99.96, 12.34, ("100 Wh", "12.3 Wh", "-87.6 Wh")),
    ],
)
def test_a_figure_before_and_after(before: float | None, after: float | None, row: tuple[str, ...]) -> None:
    table = tables(seen(figures=(FigurePair("energy", "Wh", before, after),)))["Figures"]
    assert table.rows == (("energy", *row),)


def test_what_parts_cost_that_come_and_go() -> None:
    table = tables(seen(price=PriceStep(Decimal("12.5"), "EUR", ("+1 keel",))))["Figures"]
    assert table.rows[-1] == ("parts added, less parts removed", "", "", "+12.50 EUR")
    assert table.notes == ("Without a price on the shelf: +1 keel.",)
    assert tables(seen(price=PriceStep(Decimal(-3), "EUR", ())))["Figures"].notes == ()
    assert "Figures" not in tables(seen())


def part(name: str, worst_a: float, limit_a: float = 40.0) -> PartLine:
    margin = 1 - worst_a / limit_a if limit_a else 0.0
    return PartLine(name, Amount(worst_a, "A"), Amount(0.0, "A"), Amount(limit_a, "A"), margin, "wire", (), ())


def test_currents_before_and_after_the_tightest_first() -> None:
    rows = [Margin(f"leads.l{n}", part("", 10.0), part("", 10.0 + n)) for n in range(9)]
    table = tables(seen(margins=(*rows, Margin("leads.gone", part("", 39.0), None))))["Currents"]
    assert [row[0] for row in table.rows] == [f"l{n}" for n in range(8, 0, -1)]
    assert table.rows[0] == ("l8", "10 of 40 A", "18 of 40 A")
    assert table.notes == ("and 2 with more room",)
    # Of 40 A, 10 are a quarter and 18 are 45 % of a scale that ends at 100 %.
    assert (table.bars[0, 1].solid, table.bars[0, 2].solid) == (pytest.approx(0.25), pytest.approx(0.45))
    few = tables(seen(margins=(Margin("leads.a", None, part("", 60.0)), Margin("leads.b", part("", 0.0, 0.0), None))))
    assert few["Currents"].rows == (("a", "-", "60 of 40 A"), ("b", "0 of 0 A", "-"))
    assert few["Currents"].notes == ()
    assert [*few["Currents"].bars] == [(0, 2)]
    eight = tables(seen(margins=tuple(rows[:8])))["Currents"]
    assert (len(eight.rows), eight.notes) == (8, ())


def test_a_comparison_as_json() -> None:
    view = seen(NEW, FindingChange("worse", STOP, CAUTION), margins=(Margin("leads.a", None, part("", 10.0)),))
    data = json.loads(compare_json(view))
    assert [each["severity_before"] for each in data["findings"]] == [None, "caution"]
    assert data["parts"] == [
        {"part": "leads.a", "before": None, "after": {"worst_a": 10.0, "limit_a": 40.0, "margin": 0.75}}
    ]
    assert data["price"] is None


def pair(before: str = "none-found", after: str = "none-found", *turns: FindingChange, **more: Any) -> Pair:
    return Pair("a.yaml", "Skerry", before, after, turns, **more)


def many(*pairs: Pair) -> ManyView:
    return ManyView("folders", "old", "new", pairs)


@pytest.mark.parametrize(
    ("view", "level", "word", "text"),
    [
        (many(pair()), "good", "SAME", "1 build: nothing that counts is different."),
        (many(pair(), pair()), "good", "SAME", "2 builds: nothing that counts is different."),
        (
            many(pair("caution", "none-found", FindingChange("gone", CAUTION, CAUTION))),
            "good",
            "",
            "No stop and nothing open that was not there before, in 1 build. Findings: 1 gone.",
        ),
        (
            many(pair("none-found", "stop", NEW), pair()),
            "stop",
            "STOP",
            "1 of 2 builds: the change brings what was not there before. Findings: 1 new.",
        ),
        (
            many(pair("none-found", "open", FindingChange("new", OPEN, None)), pair("stop", "stop")),
            "open",
            "OPEN",
            "1 of 2 builds: the change brings",
        ),
        (many(pair("stop", "stop"), pair()), "stop", "STOP", "1 of 2 builds at stop or open. Findings: the same."),
        (many(pair("open", "open")), "open", "OPEN", "1 of 1 build at stop or open."),
        (many(pair("none-found", "unreadable"), pair()), "open", "OPEN", "1 could not be read"),
    ],
)
def test_the_answer_of_many(view: ManyView, level: str, word: str, text: str) -> None:
    verdict = many_page(view).verdict
    assert verdict is not None
    assert (verdict.level, verdict.word) == (level, word)
    assert text in verdict.text
    assert json.loads(many_json(view))["answered"] is view.answered


def builds(view: ManyView) -> Table:
    (found,) = (each for each in many_page(view).blocks if isinstance(each, Table))
    return found


def test_every_build_in_a_line() -> None:
    table = builds(
        many(
            pair(),
            pair("none-found", "stop", NEW),
            pair("", "caution"),
            pair("open", ""),
            pair("stop", "retired"),
            pair("none-found", "unreadable"),
            pair("caution", "caution", FindingChange("worse", CAUTION, NOTE)),
        )
    )
    assert [row[1:] for row in table.rows] == [
        ("no fault found", "no fault found", "the same"),
        ("no fault found", "STOP", "1 new"),
        ("-", "caution", "only after"),
        ("OPEN", "-", "only before"),
        ("STOP", "retired", "the same"),
        ("no fault found", "unreadable", "not compared"),
        ("caution", "caution", "1 worse"),
    ]
    assert 1 in table.marked
    assert 0 not in table.marked
    assert 5 in table.marked


def block(one: Pair) -> tuple[FindingBlock, dict[str, str]]:
    (found,) = (each for each in many_page(many(one)).blocks if isinstance(each, FindingBlock))
    return found, {fact.label: fact.text for fact in found.facts if fact.text}


def test_what_changed_of_one_of_many() -> None:
    found, facts = block(
        pair("none-found", "stop", NEW, FindingChange("gone", NOTE, NOTE), differences=(LINE,), note="other bike")
    )
    assert (found.level, found.word, found.text) == ("stop", "STOP", "a.yaml: Skerry")
    assert facts == {
        "before": "no fault found",
        "note": "other bike",
        "in the file": "a: gauge 12 AWG -> 10 AWG",
        "new": "stop, a: too hot, 50 A (limit 30 A)",
        "notes": "1 came, went or moved (--format json has them)",
    }
    same, facts = block(pair("stop", "stop", NEW)._replace(name=""))
    assert same.text == "a.yaml"
    assert "before" not in facts
    assert "notes" not in facts
    gone, _ = block(pair("stop", ""))
    assert (gone.level, gone.word, gone.text) == ("plain", "", "a.yaml: Skerry: only before")


def result(*files: str, only: frozenset[str] | None = None, verdict: str = "stop", tool: str = "1") -> Result:
    stored = {each: Stored(each, each, verdict, by_print([STOP])) for each in files}
    return Result(tool, "1", "1", only, stored)


def test_two_results_of_the_check() -> None:
    view = of_results("old", "new", result("a", "b"), result("a", "c"))
    assert [(each.file, each.before, each.after, len(each.turns)) for each in view.pairs] == [
        ("a", "stop", "stop", 0),
        ("b", "stop", "", 0),
        ("c", "", "stop", 1),
    ]
    assert view.notes == ()
    other = of_results("old", "new", result("a"), result("a", tool="2"))
    assert other.notes == (
        "Made by other versions: packyoke 1, now 2. What changed can come from that, not from the bike.",
    )
    unread = of_results("old", "new", result("a"), result("a", verdict="unreadable"))
    assert unread.pairs[0].turns == ()
    with pytest.raises(NotAResult, match="old is about all rules, new about only x, y"):
        of_results("old", "new", result("a"), result("a", only=frozenset("yx")))
    with pytest.raises(NotAResult, match="no file in common"):
        of_results("old", "new", result("a"), result("b"))


def test_of_two_findings_with_one_fingerprint_the_worse_counts() -> None:
    for pair_ in ((STOP, CAUTION), (CAUTION, STOP)):
        assert by_print(pair_)["x"].severity == "stop"
