"""Two answers as one, and an answer in words."""

from __future__ import annotations

import pytest

from packyoke.model import Gauge
from packyoke.verdict.answers import NO_ANSWER, Answer, both
from packyoke.verdict.wording import answer_words


def awg(size: float) -> Answer:
    return Answer("at least", (Gauge("AWG", size),), "gauge")


def least(value: float) -> Answer:
    return Answer("at least", (value,), "current")


def most(value: float) -> Answer:
    return Answer("at most", (value,), "current")


def words(*values: str, others: tuple[str, ...] = ()) -> Answer:
    return Answer("one of", values, "word", others)


@pytest.mark.parametrize(
    ("first", "second", "together"),
    [
        (least(20.0), least(30.0), least(30.0)),
        (most(20.0), most(30.0), most(20.0)),
        (least(20.0), most(30.0), None),
        (least(20.0), NO_ANSWER, None),
        (NO_ANSWER, NO_ANSWER, None),
        (awg(12), awg(10), awg(10)),
        (words("a", "b"), words("b", "c"), words("b", others=("a",))),
        (words("a", "b", others=("x",)), words("a", "b", others=("y",)), words("a", "b", others=("x", "y"))),
        (words("a"), words("b"), None),
    ],
)
def test_both(first: Answer, second: Answer, together: Answer | None) -> None:
    assert both(first, second) == together
    turned = both(second, first)
    assert (turned and (turned.relation, set(turned.values))) == (
        together and (together.relation, set(together.values))
    )


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (NO_ANSWER, ""),
        (least(20.0), "at least 20 A"),
        (most(0.5), "at most 0.5 A"),
        (awg(12), "12 AWG or thicker"),
        (Answer("at least", (10.0,), "speed at voltage"), "at least 36 km/h on a full pack"),
        (words("plain"), ""),  # whatever it is
        (words("plain", others=("x",)), "plain"),
        (words("plain", "diode", others=("x", "y", "z")), "plain or diode"),
        (words("plain", "diode", "selector", others=("x",)), "plain, diode or selector"),
        (Answer("one of", (13,), "count", (14,)), "13"),
        (Answer("one of", (13, 14, 15), "count", (16,)), "13 to 15"),
        (Answer("one of", (13, 15, 16), "count", (14,)), "13, 15 or 16"),
        (words("a", "b", "c", "d", "e", "f", others=("g",)), "anything but g"),
    ],
)
def test_words(answer: Answer, said: str) -> None:
    assert answer_words(answer) == said
