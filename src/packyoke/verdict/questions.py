"""What has to be found out, and what was assumed instead."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.unknowns.spans import ends, likely
from packyoke.core.findings import Severity
from packyoke.model import Build, Gauge, Key, Part, Unknown
from packyoke.model.fields import Field, field_for, field_name
from packyoke.rules.outcome import Undecided
from packyoke.verdict.answers import Answer, answer
from packyoke.verdict.explore import Decision
from packyoke.verdict.report import Assumed, Question
from packyoke.verdict.trials import Trials
from packyoke.verdict.wording import INSTRUMENTS, answer_words, value_words


class Asked(NamedTuple):
    """One field that an open finding asks for, and which answers pass; `words` where only words can tell."""

    key: Key
    field: Field
    answer: Answer
    words: str = ""

    @property
    def passes_if(self) -> str:
        return self.words or answer_words(self.answer)


def asked_by(trials: Trials, decision: Decision) -> tuple[Asked, ...]:
    """The fields that settle an open finding, each with the answers that pass."""
    outcome = decision.outcome
    told = outcome.passes_if if isinstance(outcome, Undecided) else ""
    return tuple(
        Asked(key, field_for(*key), NO_ANSWER if told else _answer(trials, decision, key), told)
        for key in decision.asks
    )


NO_ANSWER = Answer("", (), "")
MOST_TRIED_FOR_ANSWERS = 5000
"""Trials on one build after which questions are asked without the answer that passes."""


def _answer(trials: Trials, decision: Decision, key: Key, fails: int = Severity.OPEN) -> Answer:
    """The answers that pass whatever the other missing values are; else those that pass with the better ones."""
    if trials.tried > MOST_TRIED_FOR_ANSWERS:
        return NO_ANSWER
    found = []
    for given in (decision.worse, decision.better):
        others = tuple((asked, value) for asked, value in given if value is not None and asked not in trials.follows)
        try:
            found.append(answer(trials, decision.rule, decision.path, key, others, fails))
        except (KeyError, AttributeError, ValueError, TypeError, ZeroDivisionError):
            found.append(NO_ANSWER)
    worse, better = found
    if worse.relation == "one of" and worse.values and better.values:
        # What passes only beside one other guess is no answer: two packs may each be anything, if they are equal.
        return both(worse, better) or NO_ANSWER
    return worse if worse.values else better


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


def questions(build: Build, asked: list[tuple[Asked, str]]) -> tuple[Question, ...]:
    """The open findings turned round: one line a field, the field that settles most first, grouped by instrument."""
    merged: dict[Key, list[tuple[Asked, str]]] = {}
    for each, fingerprint in asked:
        merged.setdefault(each.key, []).append((each, fingerprint))
    found = []
    for key, entries in merged.items():
        field = entries[0][0].field
        part = _part(build, key)
        found.append(
            Question(
                part=key[0],
                field=field_name(key),
                span=part.place(key[1]) if part is not None else None,
                ask=field.ask,
                question=field.about,
                passes_if=_passing([each for each, _ in entries]),
                settles=tuple(dict.fromkeys(fingerprint for _, fingerprint in entries)),
            )
        )
    order = {word: rank for rank, word in enumerate(INSTRUMENTS)}
    return tuple(sorted(found, key=lambda each: (-len(each.settles), order.get(each.ask, 9), each.part)))


def _passing(asked: list[Asked]) -> str:
    """One sentence for all the findings that ask for a field: what satisfies every one of them."""
    answers: dict[str, Answer] = {}
    for each in asked:
        new = each.answer
        if each.words or not new.values:
            continue
        together = both(answers.get(new.relation, new), new)
        # Nothing is in both where each depends on another missing value: then no answer can be named.
        answers[new.relation] = together or Answer(new.relation, (), new.kind)
    words = [each.words for each in asked] + [answer_words(each) for each in answers.values()]
    return "; ".join(dict.fromkeys(word for word in words if word))


def _part(build: Build, key: Key) -> Part | None:
    try:
        return build.part(key[0])
    except (KeyError, AttributeError):
        return None


def assumptions(trials: Trials, decisions: list[Decision]) -> tuple[Assumed, ...]:
    """Every value that was missing and that a verdict stands on, with what it was taken to be.

    What was missing and is asked for anyway is not listed again. Where a worse value would turn a pass into a caution,
    the turning value is printed.
    """
    build = trials.build
    asked = {key for each in decisions for key in each.asks}
    turning: dict[Key, list[Decision]] = {}
    for each in decisions:
        for key in each.assumed:
            turning.setdefault(key, [])
            if key in each.turns:
                turning[key].append(each)
    found = [Assumed(each.part, "", each.text, each.basis) for each in build.stated]
    for key, turned in turning.items():
        if key in asked:
            continue
        field = field_for(*key)
        turns = []
        for decision in turned:
            words = answer_words(_answer(trials, decision, key, Severity.CAUTION))
            if words:
                turns.append(f"{decision.rule.name}: {words} passes")
        text = _span_words(trials, key, field)
        found.append(Assumed(key[0], field_name(key), text, field.basis, "; ".join(dict.fromkeys(turns))))
    return tuple(found)


def _span_words(trials: Trials, key: Key, field: Field) -> str:
    build = trials.build
    try:
        part = build.part(key[0])
        guess = build.guesses.get(key)
        if guess is not None:
            return f"{value_words(guess, field.kind)}, a guess"
        choices = ends(build, part, key[1])
        if not choices:
            return field.missing
        words = tuple(dict.fromkeys(value_words(choice, field.kind) for choice in choices))
        if len(words) == 1:
            return words[0]
        if isinstance(choices[0], float) and len(words) == 2:
            return f"{words[0]} to {words[1]} (counted with {value_words(likely(build, part, key[1]), field.kind)})"
        return " or ".join(words)
    except (KeyError, AttributeError, Unknown):
        return field.missing
