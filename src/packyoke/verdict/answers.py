"""Which answer passes: the value at which a rule turns, found by trying the rule itself."""

from __future__ import annotations

from math import floor, isinf, log10
from typing import Any, NamedTuple

from packyoke.analysis.unknowns.spans import ends, first_asked
from packyoke.model import Gauge, Key, Unknown
from packyoke.model.fields import Field, field_for
from packyoke.rules.outcome import level
from packyoke.rules.rule import Rule
from packyoke.shelf import wires
from packyoke.verdict.trials import Given, Trials

STEPS = 40
"""Halvings of a span at the most."""
FIGURES = 3
NEAR = 1e-5
"""Share within which a turning value is looked for: well under the last figure that is printed."""

DISPLAY = {"charge": 3600.0, "speed": 1 / 3.6, "energy": 3600.0}
"""SI units in one unit that people read, for kinds where that is no power of ten."""


class Answer(NamedTuple):
    """What a missing value must be for a rule to pass.

    relation `at least`, `at most` (one value), `one of` (words, counts), or empty when no answer passes.
    `others` are the words that do not pass.
    """

    relation: str
    values: tuple[Any, ...]
    kind: str
    others: tuple[Any, ...] = ()


def answer(trials: Trials, rule: Rule, path: str, key: Key, given: Given, fails: int) -> Answer:
    """Which values of one field let a rule pass on one part, with the other missing values as given."""
    field = field_for(*key)
    others = tuple(pair for pair in given if pair[0] != key)

    def passes(value: Any) -> bool:
        tried = (*others, (key, value))
        for _ in range(12):
            try:
                return level(trials.outcome(rule, path, tried)) < fails
            except Unknown as unknown:
                part, attr = first_asked(unknown.part, unknown.attr)
                choices = ends(trials.case(tried).build, part, attr)
                if not choices:
                    return False
                tried = (*tried, ((part.path, attr), choices[0]))
        return False

    choices = ends(trials.build, trials.build.part(key[0]), key[1]) if _reachable(trials, key) else field.ends
    numbers = bool(choices) and isinstance(choices[0], float)
    if (field.words and not numbers) or (choices and isinstance(choices[0], str | bool)):
        words = tuple(word for word in field.words or choices if word != "unknown")
        if field.kind == "insulation":
            words = (*wires.insulation_names(), *(word for word in choices if word not in wires.insulation_names()))
        passing = tuple(word for word in words if passes(word))
        return Answer("one of", passing, field.kind, tuple(word for word in words if word not in passing))
    if choices and isinstance(choices[0], Gauge):
        return _gauge_answer(passes, field)
    if choices and isinstance(choices[0], int):
        low, high = int(field.low or choices[0]), int(field.high or choices[-1])
        passing = tuple(count for count in range(low, high + 1) if passes(count))
        return Answer("one of", passing, field.kind, tuple(n for n in range(low, high + 1) if n not in passing))
    if len(choices) < 2 and (field.low is None or field.high is None):
        return Answer("", (), field.kind)
    low_end = field.low if field.low is not None else min(choices)
    high_end = field.high if field.high is not None else max(choices)
    return _number_answer(passes, field, float(low_end), float(high_end))


def _reachable(trials: Trials, key: Key) -> bool:
    try:
        return trials.build.part(key[0]) is not None
    except (KeyError, AttributeError):
        return False


def _gauge_answer(passes: Any, field: Field) -> Answer:
    for size in wires.standard_sizes("AWG"):
        if passes(Gauge("AWG", size)):
            return Answer("at least", (Gauge("AWG", size),), field.kind)
    return Answer("", (), field.kind)


def _number_answer(passes: Any, field: Field, low: float, high: float) -> Answer:
    low_passes, high_passes = passes(low), passes(high)
    if low_passes == high_passes:
        return Answer("", (), field.kind)
    good, bad = (low, high) if low_passes else (high, low)
    for _ in range(STEPS):
        if abs(good - bad) <= NEAR * max(abs(good), abs(bad)):
            break
        between = (good * bad) ** 0.5 if good > 0 and bad > 0 else (good + bad) / 2
        if passes(between):
            good = between
        else:
            bad = between
    value = _rounded(good, bad, up=high_passes, kind=field.kind, passes=passes)
    return Answer("at most" if low_passes else "at least", (value,), field.kind)


def _rounded(good: float, bad: float, *, up: bool, kind: str, passes: Any) -> float:
    """The nearest number with few figures on the passing side; the value itself when rounding would fail."""
    scale = DISPLAY.get(kind, 1.0)
    shift = 273.15 if kind == "temperature" else 0.0
    shown, other = (good - shift) / scale, (bad - shift) / scale
    if shown == 0 or isinf(shown):
        return good
    for figures in (2, FIGURES, FIGURES + 1):
        step = 10.0 ** (floor(log10(abs(shown))) - figures + 1)
        # A turning value that is itself a round number lies between what was seen to pass and what was not.
        nearest = float(f"{round(shown / step) * step:.12g}")
        if min(shown, other) <= nearest <= max(shown, other) and passes(nearest * scale + shift):
            return nearest * scale + shift
        if figures < FIGURES:
            continue
        count = floor(shown / step) + (1 if up else 0)
        rounded = float(f"{count * step:.12g}") * scale + shift
        if passes(rounded):
            return rounded
    return good
