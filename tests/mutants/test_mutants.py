"""The tool that changes the program: its changes are the ones meant, and they take effect in what is loaded."""

from __future__ import annotations

import ast

import pytest

from packyoke.analysis import tolerance
from tests.mutants.changes import ROOT, SOURCE, Change, Mutant, mutants

CHANGES = [
    ("flip", "a < b", ["a >= b"]),
    ("flip", "a <= b < c", ["a > b < c"]),
    (
        "flip",
        "(a is None) == (b not in c)",
        ["(a is not None) == (b not in c)", "(a is None) == (b in c)", "(a is None) != (b not in c)"],
    ),
    ("flip", "above(a, b)", ["not above(a, b)"]),
    ("flip", "assert a > b", []),
    ("ends", "max(a, min(b, c))", ["max(a, max(b, c))", "min(a, min(b, c))"]),
    ("joined", "a and b and c", ["a or b or c"]),
    ("number", "a[1] + 2 * 0.0 + True", ["a[1] + 4 * 0.0 + True", "a[1] + 2 * 1.0 + True"]),
    ("order", "sorted(a, key=b)", ["sorted(a, key=b, reverse=True)"]),
    ("order", "a.sort(reverse=c)", ["a.sort(reverse=not c)"]),
]


@pytest.mark.parametrize(("kind", "text", "expected"), CHANGES)
def test_every_change_of_a_text(kind: str, text: str, expected: list[str]) -> None:
    count = Change(kind, -2)
    count.visit(ast.parse(text))
    assert [ast.unparse(Change(kind, each).visit(ast.parse(text))) for each in range(count.seen + 1)] == expected


def test_what_runs_at_import_is_told_from_what_does_not() -> None:
    text = "@made(1)\ndef f(a=2):\n    return [3 for b in a]\nc = [4 for d in e]\ng = lambda h: 5"
    told = {}
    for number in range(5):
        change = Change("number", number)
        change.visit(ast.parse(text))
        told[change.lines.start, number] = change.inside
    assert [inside for _, inside in sorted(told.items())] == [False, False, True, False, True]


def test_a_change_takes_effect_in_the_functions_that_are_loaded() -> None:
    pytest.importorskip("coverage")
    from tests.mutants.running import Loaded, in_a_child

    mutant = Mutant(SOURCE / "analysis" / "tolerance.py", "flip", 0)
    assert mutant.place == "analysis/tolerance.py:11: value > limit + TOLERANCE * abs(limit)"

    def work() -> int:
        Loaded([mutant]).put_in(mutant)
        return 10 + tolerance.above(2.0, 1.0)

    assert tolerance.above(2.0, 1.0)
    assert in_a_child(work, 60) == 10
    assert tolerance.above(2.0, 1.0)


def test_tests_that_take_long_are_left_out_and_make_no_endless_loop_of_a_change() -> None:
    pytest.importorskip("coverage")
    from tests.mutants.running import within

    took = {"a": 1.0, "b": 2.0, "c": 3.0}
    assert within(["a", "b", "c"], took, 3.0) == ["a", "b"]
    assert within(["c", "a"], took, 2.0) == ["c"]


def test_every_room_has_changes_and_tests() -> None:
    pytest.importorskip("coverage")
    from tests.mutate import ROOMS

    for folder, tests in ROOMS.values():
        assert mutants(folder, "flip")
        assert [each for each in tests if not (ROOT / each).exists()] == []
    assert {each.path.stem for each in mutants("rules", "flip", ("live_pins",))} == {"live_pins"}
    in_lines = mutants("rules", "flip", ("live_pins:1", *(f"live_pins:{line}" for line in range(100, 400))))
    assert {each.tree()[1].lines.start >= 100 for each in in_lines} == {True}
