"""Values of the model in the words of the file: answers that pass, assumed values, fields."""

from __future__ import annotations

from math import inf
from typing import Any

from packyoke.core.units import Kind, show, show_gauge
from packyoke.core.words import listed
from packyoke.model import End, Gauge, Run
from packyoke.verdict.answers import Answer

INSTRUMENTS = ("look", "label", "tape", "scales", "settings", "meter", "customer", "maker", "plan")
"""Where to find things out, in the order of a person at the bike."""

MOST_WORDS = 4
"""Longer lists of words that pass are told by what does not."""

_KINDS = {
    "speed at voltage": Kind.SPEED,
    "current for time": Kind.CURRENT,
    "current after time": Kind.CURRENT,
    "voltage at current": Kind.VOLTAGE,
    "voltage or isolates only": Kind.VOLTAGE,
    "voltage, may be at current": Kind.VOLTAGE,
    "speed or none": Kind.SPEED,
    "voltage or none": Kind.VOLTAGE,
    "current or none": Kind.CURRENT,
    "mapping or none": Kind.CURRENT,  # regen; the others of this kind are parts, not numbers
    "climb per distance": Kind.CLIMB,
    "count per distance": Kind.COUNT_PER_DISTANCE,
    "energy per distance": Kind.ENERGY_PER_DISTANCE,
}


def kind_of(word: str) -> Kind | None:
    """The kind of quantity behind a word of the field table; None for words, counts and names."""
    found = _KINDS.get(word)
    return found or Kind.__members__.get(word.upper().replace(" ", "_"))


def value_words(value: Any, kind: str) -> str:
    """A value as somebody would write it in the file."""
    if isinstance(value, Gauge):
        return show_gauge(value.family, value.size)
    if isinstance(value, bool):
        return "yes" if value else "no"
    unit_kind = kind_of(kind)
    if value == inf:
        return "none"
    if isinstance(value, float | int) and unit_kind is not None:
        return show(float(value), unit_kind)
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, tuple) and not isinstance(value, End | Run):
        return ", ".join("not known" if each is None else str(each) for each in value)
    return str(value)


def answer_words(answer: Answer) -> str:
    """Which answer passes: `at least 25 A`, `12 AWG or thicker`, `silicone or XLPE`; empty when none is known."""
    words = [value_words(value, answer.kind) for value in answer.values]
    if not words:
        return ""
    if answer.relation == "one of":
        if not answer.others:
            return ""
        counts = [value for value in answer.values if isinstance(value, int) and not isinstance(value, bool)]
        if len(counts) > 2 and counts == list(range(counts[0], counts[-1] + 1)):
            return f"{counts[0]} to {counts[-1]}"
        if len(words) > MOST_WORDS and len(answer.others) < len(words):
            return f"anything but {listed([value_words(value, answer.kind) for value in answer.others], 'or')}"
        return listed(words, "or")
    if isinstance(answer.values[0], Gauge):
        return f"{words[0]} or thicker"
    # The speed of a free wheel says nothing without the volts: none that were not written are those of a full pack.
    at = " on a full pack" if answer.kind == "speed at voltage" else ""
    return f"{answer.relation} {words[0]}{at}"
