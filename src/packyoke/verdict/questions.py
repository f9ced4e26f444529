"""What has to be found out, and what was assumed instead."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.unknowns.spans import ends, likely
from packyoke.core.findings import Severity
from packyoke.model import Build, Key
from packyoke.model.fields import Field, field_for, field_name
from packyoke.verdict.answers import FOR_ANSWERS, NO_ANSWER, Answer, Trying, answer, both
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
    found = []
    for key in decision.asks:
        told = dict(decision.told)
        if told.get(key):
            found.append(Asked(key, field_for(*key), NO_ANSWER, told[key]))
        elif key in told:
            found.append(Asked(key, field_for(*key), NO_ANSWER._replace(depends=_others(trials, decision, key))))
        else:
            found.append(Asked(key, field_for(*key), answer_to(trials, decision, key)))
    return tuple(found)


def _others(trials: Trials, decision: Decision, key: Key) -> tuple[Key, ...]:
    """The other fields on which it depends what passes: those that turn the finding, else all that were tried."""
    tried = [asked for asked, _ in decision.worse if asked != key and asked not in trials.follows]
    return tuple(asked for asked in tried if asked in decision.asks) or tuple(tried)


def answer_to(trials: Trials, decision: Decision, key: Key, fails: int = Severity.OPEN) -> Answer:
    """The answers that pass whatever the other missing values are; none for a field that has no span to try."""
    tried = dict.fromkeys((decision.worse, decision.better, *decision.tried))
    if not any(asked == key and value is not None for given in tried for asked, value in given):
        return NO_ANSWER
    if trials.beyond(decision.rule, FOR_ANSWERS):
        return NO_ANSWER
    trying = Trying(trials, decision.rule, decision.path, key, fails)
    return answer(trying, tuple(tried), decision.complete, decision.turns or decision.asks)


def questions(build: Build, asked: list[tuple[Asked, str]]) -> tuple[Question, ...]:
    """The open findings turned round: one line a field, in the order of a person at the bike.

    What one sees and reads off labels comes first, then the tape, the scales, the settings, the meter; those who have
    to be asked come last. Parts stand in the order of the file.
    """
    merged: dict[Key, list[tuple[Asked, str]]] = {}
    for each, fingerprint in asked:
        merged.setdefault(each.key, []).append((each, fingerprint))
    found = []
    for key, entries in merged.items():
        field = entries[0][0].field
        passes, depends = _passing([each for each, _ in entries])
        found.append(
            Question(
                part=key[0],
                field=field_name(key),
                span=build.part(key[0]).place(key[1]),
                ask=field.ask,
                question=field.about,
                passes_if=passes,
                depends_on=tuple(
                    f"{path}.{field_name((path, attr))}" for path, attr in depends if path != key[0] or attr != key[1]
                ),
                settles=tuple(dict.fromkeys(fingerprint for _, fingerprint in entries)),
            )
        )
    order = {word: rank for rank, word in enumerate(INSTRUMENTS)}
    return tuple(sorted(found, key=lambda each: (order.get(each.ask, 9), each.span.line if each.span else 0)))


def _passing(asked: list[Asked]) -> tuple[str, tuple[Key, ...]]:
    """What satisfies every finding that asks for a field; else the fields on which it depends."""
    depends = dict.fromkeys(key for each in asked for key in each.answer.depends)
    answers: dict[str, Answer] = {}
    for each in asked:
        new = each.answer
        if each.words or not new.values:
            continue
        together = both(answers.get(new.relation, new), new)
        if together is None:
            depends |= dict.fromkeys(key for other in asked for key in other.answer.depends)
        answers[new.relation] = together or NO_ANSWER
    if depends:
        return "", tuple(depends)
    words = [each.words for each in asked] + [answer_words(each) for each in answers.values()]
    return "; ".join(dict.fromkeys(word for word in words if word)), ()


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
            words = answer_words(answer_to(trials, decision, key, Severity.CAUTION))
            if words:
                turns.append(f"{decision.rule.name}: {words} passes")
        text = _span_words(trials, key, field)
        found.append(Assumed(key[0], field_name(key), text, field.basis, "; ".join(dict.fromkeys(turns))))
    return tuple(found)


def _span_words(trials: Trials, key: Key, field: Field) -> str:
    build = trials.build
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
