"""Which answer passes: the value at which a rule turns, found by trying the rule itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import floor, isinf, log10
from typing import Any, NamedTuple

from packyoke.analysis.unknowns.spans import ends
from packyoke.core.constants import AH_C, KM_H, WH_J, ZERO_C_K
from packyoke.core.field_paths import keys_of
from packyoke.core.paths import PartPath
from packyoke.model import Gauge, Key, Part
from packyoke.model.field import MUST
from packyoke.model.fields import Field, field_for
from packyoke.model.fields_harness import JOINERS, ONLY_FOR
from packyoke.rules.outcome import level
from packyoke.rules.rule import Rule
from packyoke.shelf import wires
from packyoke.verdict.leaf import Given
from packyoke.verdict.trials import Asking, Trials

FOR_ANSWERS = 2
"""So many times the runs that are allowed for judging; after that a question comes without the answer that passes."""
MOST_RUNS = 32
"""Runs of a rule to see whether one value passes."""
MOST_PROVED = 6
"""Words of an answer that are held against every set of the other values."""
STEPS = 40
"""Halvings of a span at the most."""
FIGURES = 3
NEAR = 5e-4
"""Share within which a turning value is looked for: under the last figure that is printed."""

DISPLAY = {"charge": AH_C, "speed": KM_H, "energy": WH_J}
"""SI units in one unit that people read, for kinds where that is no power of ten."""


class Answer(NamedTuple):
    """What a missing value must be for a rule to pass, whatever the other missing values are.

    relation `at least`, `at most` (one value), `one of` (words, counts), or empty when no answer passes.
    `others` are the words that do not pass. `depends` are the fields that must be known before an answer can be named.
    """

    relation: str
    values: tuple[Any, ...]
    kind: str
    others: tuple[Any, ...] = ()
    depends: tuple[Key, ...] = ()


NO_ANSWER = Answer("", (), "")


class Trying(NamedTuple):
    """One field of one rule on one part, and from which level on an outcome does not pass."""

    trials: Trials
    rule: Rule
    path: PartPath
    key: Key
    fails: int

    def passes(self, value: Any, others: Given) -> bool:
        """Whether the rule passes with one value, the others as given, what it asks for beside at any of its ends."""
        waiting: list[Given] = [(*others, (self.key, value))]
        runs = 0
        while waiting:
            runs += 1
            if runs > MOST_RUNS or self.trials.beyond(self.rule, FOR_ANSWERS + 1):
                return False
            given = waiting.pop()
            step = self.trials.step(self.rule, self.path, given)
            if not isinstance(step, Asking):
                if level(step) >= self.fails:
                    return False
            elif not step.values:
                return False
            else:
                waiting += ((*given, (step.key, each)) for each in step.values)
        return True

    def holds(self, found: Answer, others: Given) -> Answer:
        """What is left of an answer beside other values of the rest."""
        if found.relation == "one of":
            values = tuple(value for value in found.values if self.passes(value, others))
            gone = tuple(value for value in found.values if value not in values)
            return found._replace(values=values, others=(*found.others, *gone))
        if all(self.passes(value, others) for value in found.values):
            return found
        return both(found, self.beside(others)) or NO_ANSWER

    def far_end_passes(self, found: Answer, others: Given) -> bool:
        """Whether the value farthest from where an answer turns passes too: beside other values the other side may be
        the one that does, and no figure passes beside both."""
        if found.relation == "one of":
            return True
        if isinstance(found.values[0], Gauge):
            return self.passes(Gauge("AWG", wires.standard_sizes("AWG")[-1]), others)
        build = self.trials.case(others).build
        low, high = _bounds(field_for(*self.key), ends(build, build.part(self.key.path), self.key.attr))
        return self.passes(low if found.relation == "at most" else high, others)

    def beside(self, others: Given) -> Answer:
        """Which values pass with the others as given."""
        trials, key = self.trials, self.key
        field = field_for(*key)
        build = trials.case(others).build
        choices = ends(build, build.part(key.path), key.attr)

        def passes(value: Any) -> bool:
            return _may_stand(build.part(key.path), field, value) and self.passes(value, others)

        numbers = bool(choices) and isinstance(choices[0], float)
        if (field.words and not numbers) or (choices and isinstance(choices[0], str | bool)):
            words = tuple(word for word in field.words or choices if word != "unknown")
            if field.kind == "insulation":
                words = (*wires.insulation_names(), *(word for word in choices if word not in wires.insulation_names()))
            return _which(passes, words, field)
        if choices and isinstance(choices[0], Gauge):
            return _gauge_answer(passes, field)
        if choices and isinstance(choices[0], int):
            # No count beyond what the other rules took it for: a label of 48 V is no pack of thirty cells.
            return _which(passes, tuple(range(min(choices), max(choices) + 1)), field)
        return _number_answer(passes, field, *_bounds(field, choices))


def _may_stand(part: Part, field: Field, word: Any) -> bool:
    """Whether the file lets a value stand beside the other lines of its part: a diode has no resistance."""
    if field.path != "joiners.*.type":
        return True
    return all(word in types for line, types in _ONLY_FOR.items() if line in part.spans)


_ONLY_FOR = {field.attr: ONLY_FOR[line] for field in JOINERS if (line := keys_of(field.path)[-1]) in ONLY_FOR}


def answer(trying: Trying, tried: Sequence[Given], complete: bool, turning: Sequence[Key]) -> Answer:
    """Which values of one field let a rule pass on one part, whatever the other missing values are.

    Parameters
        tried: the sets of values under which the rule was run [-]
        complete: whether those are every set of ends; else what passes beside them is tried for its worst [-]
        turning: the fields that turn the outcome, of which an answer may depend [-]
    """
    key = trying.key
    if not complete:
        leaves = trying.trials.every_set(trying.rule, trying.path)
        if leaves is not None:
            tried, complete = [leaf.given for leaf in leaves], True
    first = _without(trying.trials, tried[0], key) if tried else ()
    # What a value may be hangs on others: beside one set of them too little is seen of what it may be.
    seen = complete or any(_without(trying.trials, given, key) != first for given in tried)
    found = trying.beside(first) if seen else NO_ANSWER
    others = {_without(trying.trials, given, key): None for given in (tried if found.values else ())}
    others.pop(first, None)
    for each in others:
        if not found.values:
            break
        found = trying.holds(found, each)
    if found.values and not complete and not all(_at_worst(trying, value) for value in found.values[:MOST_PROVED]):
        found = NO_ANSWER
    if found.values and all(trying.far_end_passes(found, each) for each in others):
        return found
    rest = [each for each in turning if each != key and each not in trying.trials.follows]
    given_too = [each for each, _ in first]
    rest = rest or [each for each in given_too if field_for(*each).need == MUST] or given_too
    return NO_ANSWER._replace(depends=tuple(dict.fromkeys(rest)))


def _without(trials: Trials, given: Given, key: Key) -> Given:
    return tuple(
        (each, value) for each, value in given if each != key and value is not None and each not in trials.follows
    )


def _at_worst(trying: Trying, value: Any) -> bool:
    """Whether a rule passes with one value, all sets of ends of the others tried."""
    trials, (path, attr) = trying.trials, trying.key
    if trials.beyond(trying.rule, FOR_ANSWERS):
        return False
    inner = Trials(trials.build.with_value(path, attr, value), trials.plain)
    leaves = inner.every_set(trying.rule, trying.path)
    trials.spend(trying.rule, inner.tried)
    return leaves is not None and all(level(leaf.outcome) < trying.fails for leaf in leaves)


def _bounds(field: Field, choices: Sequence[Any]) -> tuple[float, float]:
    """The least and the most that a number may be: the field's own bounds, else the ends that are tried."""
    low = field.low if field.low is not None else min(choices)
    high = field.high if field.high is not None else max(choices)
    return float(low), float(high)


def both(first: Answer, second: Answer) -> Answer | None:
    """The answers that are in both; None when they cannot be told as one."""
    if first.relation != second.relation or not first.values or not second.values:
        return None
    if first.relation == "one of":
        values = tuple(value for value in first.values if value in second.values)
        gone = dict.fromkeys((*first.others, *second.others, *(v for v in first.values if v not in values)))
        return Answer("one of", values, first.kind, tuple(gone)) if values else None
    choose = max if first.relation == "at least" else min
    if isinstance(first.values[0], Gauge):
        thicker = min if first.values[0].family == "AWG" else max
        return Answer(first.relation, (thicker(first.values[0], second.values[0]),), first.kind)
    return Answer(first.relation, (choose(first.values[0], second.values[0]),), first.kind)


def _which(passes: Callable[[Any], bool], values: tuple[Any, ...], field: Field) -> Answer:
    passing = tuple(value for value in values if passes(value))
    return Answer("one of", passing, field.kind, tuple(value for value in values if value not in passing))


def _gauge_answer(passes: Callable[[Any], bool], field: Field) -> Answer:
    """The thinnest wire that passes; thicker ones bear more."""
    sizes = wires.standard_sizes("AWG")
    low, high = 0, len(sizes)
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if passes(Gauge("AWG", sizes[middle])) else (middle + 1, high)
    return Answer("at least", (Gauge("AWG", sizes[low]),), field.kind) if low < len(sizes) else NO_ANSWER


def _number_answer(passes: Callable[[Any], bool], field: Field, low: float, high: float) -> Answer:
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


def _rounded(good: float, bad: float, *, up: bool, kind: str, passes: Callable[[Any], bool]) -> float:
    """The nearest number with few figures on the passing side; the value itself when rounding would fail."""
    scale = DISPLAY.get(kind, 1.0)
    shift = ZERO_C_K if kind == "temperature" else 0.0
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
