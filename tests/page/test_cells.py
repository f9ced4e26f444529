"""Widths after Unicode Standard Annex 11: its examples, and tables whose columns stand under each other."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from packyoke.page.cells import ISOLATE, POP, WIDTH, cells, isolated, kept, table, wrapped

LETTERS = "abc ÄÖ 荷台 배 é e\u0301 אבג 12 V,-" + ISOLATE + POP
TEXTS = st.text(st.sampled_from(LETTERS), max_size=120).map(lambda text: text.lstrip("\u0301 "))
"""A mark that stands over nothing is no text: the reader takes none."""


@pytest.mark.parametrize(
    ("text", "wide"),
    [
        ("pack", 4),
        ("\u6f22\u5b57", 4),  # UAX 11: ideographs are wide
        ("\uff21", 2),  # UAX 11: fullwidth A
        ("\uff71", 1),  # UAX 11: halfwidth katakana
        ("e\u0301", 1),  # a combining mark takes none
        ("\u05d0\u05d1", 2),
    ],
)
def test_widths_of_the_standard(text: str, wide: int) -> None:
    assert cells(text) == wide


@given(TEXTS, st.integers(12, WIDTH))
def test_no_line_is_wider_and_nothing_is_lost(text: str, most: int) -> None:
    lines = wrapped(text, 0, 4, most)
    assert all(cells(line) <= most for line in lines)
    bare = "".join(lines).replace(" ", "").replace(ISOLATE, "").replace(POP, "")
    assert bare == text.replace(" ", "").replace(ISOLATE, "").replace(POP, "")


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS), min_size=1, max_size=6))
def test_tables_fit_and_their_columns_stand_under_each_other(rows: list[tuple[str, str, str]]) -> None:
    longest = [max(cells(word) for row in rows for word in [*kept(row[at]).split(" "), "second"]) for at in range(3)]
    assume(sum(longest) + len("#") + 3 * len("  ") + len("  ") <= WIDTH)  # else each row is a paragraph
    lines = table([[*row, "#"] for row in rows], "lrll", ["first", "second", "third", "#"])
    assert all(cells(line) <= WIDTH for line in lines)
    ends = {cells(line) for line in lines if line.endswith("#")}
    assert len(ends) == 1
    everything = "".join(each for row in rows for each in row)
    for letter in set(everything) - {" ", ISOLATE, POP}:
        assert "".join(lines[1:]).count(letter) == everything.count(letter)


def test_two_names_that_differ_at_their_end_stay_two() -> None:
    first, second = "a" * 90 + "1", "a" * 90 + "2"
    assert "".join(table([[first, "x"]], "ll")) != "".join(table([[second, "x"]], "ll"))


def test_numbers_stay_with_their_units() -> None:
    for most in range(12, 40):
        lines = wrapped("at most 25 A and 1.5 mm2 or 80 km/h at 20 degC", most=most)
        assert not any(line.endswith(("25", "1.5", "80", "20")) for line in lines)


def test_two_spaces_set_apart_what_is_to_be_typed() -> None:
    assert wrapped("Did you mean  series ?") == ["Did you mean  series ?"]


def test_right_to_left_names_are_set_apart() -> None:
    assert isolated("keel + אבג דה 12 V") == f"keel + {ISOLATE}אבג דה{POP} 12 V"
    assert isolated("keel 12 V") == "keel 12 V"
