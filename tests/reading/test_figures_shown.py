"""Figures as they are printed, at both sides of where their form changes; the one interpolation; the tape in feet."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest

from packyoke.core.findings import Amount, Finding, Severity, clean, percent, shown
from packyoke.core.lines import on_line
from packyoke.core.paths import name_of
from packyoke.core.tape import far, tape, tape_m


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (4.9e-7, "0"),
        (-4.9e-7, "0"),
        (6e-7, "0.000001"),
        (0.00001, "0.00001"),
        (0.000123456, "0.000123"),
        (0.35299, "0.353"),
        (0.1, "0.1"),
        (1.0, "1"),
        (9.995, "9.99"),
        (12.34, "12.3"),
        (99.94, "99.9"),
        (99.96, "100"),
        (100.0, "100"),
        (100.4, "100"),
        (1470.2, "1470"),
        (123456.7, "123457"),
        (-250.0, "-250"),
        (10.0, "10"),
        (110.0, "110"),
        (-0.5, "-0.5"),
    ],
)
def test_three_figures_that_count(value: float, text: str) -> None:
    assert shown(value) == text


@pytest.mark.parametrize(
    ("amount", "text", "bare"),
    [
        (Amount(2.5, "A"), "2.5 A", "2.5 A"),
        (Amount(2.5, "A", "for 10 s"), "2.5 A for 10 s", "2.5 A"),
        (Amount(3, ""), "3", "3"),
        (Amount(float("inf"), "A"), "no limit", "no limit"),
        (Amount(float("inf"), "A", "here"), "no limit here", "no limit"),
    ],
)
def test_an_amount_with_its_unit_and_its_note(amount: Amount, text: str, bare: str) -> None:
    assert (str(amount), amount.bare) == (text, bare)


def test_shares_and_names() -> None:
    assert [percent(each) for each in (0.0, 0.124, 0.126, 1.0)] == ["0 %", "12 %", "13 %", "100 %"]
    assert [name_of(each) for each in ("packs.keel", "controller", "packs.a.fuse")] == ["keel", "controller", "a.fuse"]


@pytest.mark.parametrize(
    ("text", "most", "shown_as"),
    [("abc", 3, "abc"), ("abcd", 4, "abcd"), ("abcde", 4, "a..."), ("a\tb\nc", 9, "a b c"), ("a\x1bb", 9, "a\ufffdb")],
)
def test_what_is_echoed_is_on_one_line_and_short(text: str, most: int, shown_as: str) -> None:
    assert clean(text, most) == shown_as


def test_a_finding_knows_its_fields_and_stays_as_it_is() -> None:
    one = Finding(rule="r", severity=Severity.STOP, part="p", message="m")
    assert one.but(message="n").message == "n"
    assert one.but(message="n", part="p").fingerprint == one.fingerprint
    assert one.but(cause="c").fingerprint != one.fingerprint
    for wrong in (lambda: one.but(colour=1), lambda: Finding(rule="r", colour=1)):
        with pytest.raises(TypeError, match="Finding has no colour"):
            wrong()
    with pytest.raises(FrozenInstanceError):
        one.message = "x"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("wanted", "inside", "beyond"),
    [
        (-1.0, 1.0, -1.0),
        (0.0, 1.0, 1.0),
        (1.0, 3.0, 3.0),
        (2.0, 5.0, 5.0),
        (3.0, 5.5, 5.5),
        (4.0, 6.0, 6.0),
        (6.0, 6.0, 7.0),
    ],
)
def test_straight_between_points(wanted: float, inside: float, beyond: float) -> None:
    """Points (0, 1), (2, 5) and (4, 6): two a step, then one half."""
    points = (0.0, 2.0, 4.0), (1.0, 5.0, 6.0)
    assert on_line(*points, wanted) == inside
    assert on_line(*points, wanted, beyond=True) == beyond


def test_at_a_step_the_value_behind_it_counts() -> None:
    assert on_line((0.0, 1.0, 1.0), (0.0, 1.0, 9.0), 1.0) == 9.0
    assert on_line((1.0, 1.0), (2.0, 3.0), 1.0) == 3.0


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        # To 1/16 in below a foot, to 1/8 in from there on, whole feet beyond what a tape has.
        (0.03, None),
        (0.04, "1/16 in"),
        (0.5, "1/2 in"),
        (11.9, "11 7/8 in"),
        (11.97, "1 ft"),
        (12.0, "1 ft"),
        (12.1, "1 ft 1/8 in"),
        (15.75, "1 ft 3 3/4 in"),
        (24.0, "2 ft"),
        (1200.0, "100 ft"),
        (1200.1, None),
        (-15.75, "-1 ft 3 3/4 in"),
    ],
)
def test_a_length_as_a_tape_has_it(inches: float, text: str | None) -> None:
    assert tape(inches * 0.0254) == text
    if text is not None and inches > 0:
        read = tape_m(text)
        if " ft" not in text or text.endswith("in"):
            assert read == pytest.approx(inches * 0.0254, abs=0.0254 / 15)


@pytest.mark.parametrize("text", ["1 ft 12 in", "1/3 in", "3/2 in", "1 ft", "ft 3 in", "1 m"])
def test_what_no_tape_has_is_not_read_as_such(text: str) -> None:
    assert tape_m(text) is None


@pytest.mark.parametrize(
    ("metres", "system", "text"),
    [
        (9_990.0, "metric", "9.9 km"),
        (10_000.0, "metric", "10 km"),
        (10_900.0, "metric", "10 km"),
        (0.0, "metric", "0 km"),
        (2_000.0, "metric", "2 km"),
        (16_093.44, "us", "10 mi"),
        (16_000.0, "us", "9.9 mi"),
        (1_609.344, "us", "1 mi"),
    ],
)
def test_a_way_is_rounded_down(metres: float, system: str, text: str) -> None:
    assert far(metres, system) == text
