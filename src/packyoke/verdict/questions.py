"""What has to be found out, and what was assumed instead."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from packyoke.analysis.unknowns.spans import ends, likely, missing_fields
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Severity
from packyoke.core.paths import PartPath, is_lead, name_of, steps_of
from packyoke.model import FITTED, Build, Controller, Fuse, Joiner, Key, Lead, Pack
from packyoke.model.field import MUST
from packyoke.model.fields import FIELDS, Field, field_for, field_name
from packyoke.verdict.answers import FOR_ANSWERS, NO_ANSWER, Answer, Trying, answer, both
from packyoke.verdict.explore import Decision
from packyoke.verdict.report import Assumed, Question
from packyoke.verdict.trials import Trials
from packyoke.verdict.wording import INSTRUMENTS, answer_words, value_words


class Asked(NamedTuple):
    """One field that an open finding asks for, and which answers pass; `words` where only words can tell.

    `beside` are the other fields that the finding asks for.
    """

    key: Key
    field: Field
    answer: Answer
    words: str = ""
    beside: tuple[Key, ...] = ()

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
    return tuple(each._replace(beside=tuple(key for key in decision.asks if key != each.key)) for each in found)


def _others(trials: Trials, decision: Decision, key: Key) -> tuple[Key, ...]:
    """The other fields on which it depends what passes: those that turn the finding, else all that were tried."""
    tried = [asked for asked, _ in decision.worse if asked != key and asked not in trials.follows]
    must = tuple(asked for asked in tried if field_for(*asked).need == MUST)
    return tuple(asked for asked in tried if asked in decision.asks) or must or tuple(tried)


def answer_to(trials: Trials, decision: Decision, key: Key, fails: int = Severity.OPEN) -> Answer:
    """The answers that pass whatever the other missing values are; none for a field that has no span to try."""
    if trials.beyond(decision.rule, FOR_ANSWERS):
        return NO_ANSWER
    tried = dict.fromkeys((decision.worse, decision.better, *decision.tried))
    if not any(asked == key and value is not None for given in tried for asked, value in given):
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
        passes, depends = _passing([each for each, _ in entries])
        found.append(
            Question(
                part=key.path,
                field=field_name(key),
                span=build.part(key.path).place(key.attr),
                ask=entries[0][0].field.ask,
                question=entries[0][0].field.about,
                passes_if=passes,
                depends_on=tuple(
                    line_in(path, field_name((path, attr))) for path, attr in depends if (path, attr) != key
                ),
                settles=tuple(dict.fromkeys(fingerprint for _, fingerprint in entries if fingerprint)),
            )
        )
    order = {word: rank for rank, word in enumerate(INSTRUMENTS)}
    table = {field.path: row for row, field in enumerate(FIELDS)}
    rows = {(key.path, field_name(key)): table[field_for(*key).path] for key in merged}

    def place(each: Question) -> tuple[int, int, int]:
        """Where it is found out, then part by part in the order of the file, then as the table of fields has it."""
        return order.get(each.ask, len(order)), build.part(each.part).span.line, rows.get((each.part, each.field), 0)

    return tuple(sorted(_to_be_made(build, sorted(found, key=place)), key=place))


NOTHING_LIKELY = 100
"""A span as wide as this has no likely middle: braking of which only that there is some is known. Judgement."""
UNMADE = ("gauge", "insulation", "ends")
"""What is chosen when a lead is made."""


def _to_be_made(build: Build, asked: list[Question]) -> list[Question]:
    """Of a lead that has neither wire nor ends nothing can be read off: it is still to be made, which one line says."""
    found: dict[tuple[str, str], Question] = {}
    for each in asked:
        lead = build.leads.get(name_of(each.part)) if is_lead(each.part) else None
        if lead is None or lead.gauge is not None or any(lead.ends) or each.field not in UNMADE:
            found[each.part, each.field] = each
            continue
        before = found.get((each.part, "gauge"))
        settles = dict.fromkeys((*(before.settles if before else ()), *each.settles))
        found[each.part, "gauge"] = each._replace(
            field="gauge",
            ask="plan",
            passes_if="",
            depends_on=(),
            settles=tuple(settles),
            question="its wire and its ends are not chosen: packyoke plan chooses them",
        )
    return list(found.values())


EARLY = ("regen_a", "low_voltage_cut_v", "charge_path", "drive_type")
"""Fields that have a span and are asked for all the same where it is not known what they turn: their worse end stops a
build."""


def unasked(build: Build, asked: Collection[Key]) -> Iterator[Asked]:
    """What is missing and will be asked for once other answers are there: it is looked up in one go."""
    for path, attr in (*missing_fields(build), *_missing_ends(build)):
        field = field_for(path, attr)
        if (field.need == MUST or attr in EARLY) and (path, attr) not in asked and _concerns(build, path, attr):
            yield Asked(Key(path, attr), field, NO_ANSWER)


def _missing_ends(build: Build) -> Iterator[Key]:
    for lead in build.leads.values():
        if None in lead.ends and not lead.direct:
            yield Key(lead.path, "ends")
    for joiner in build.joiners.values():
        for attr in ("inlets", "outlets"):
            if not getattr(joiner, attr) or None in getattr(joiner, attr):
                yield Key(joiner.path, attr)


def _concerns(build: Build, path: PartPath, attr: str) -> bool:
    part = build.part(path)
    section, name, _ = steps_of(path)
    if isinstance(part, Fuse):
        return attr == "presence" or part.presence == FITTED
    if isinstance(part, Joiner):
        return part.built_in is None
    if isinstance(part, Lead):
        return not part.direct
    if isinstance(part, Controller) and attr == "inlet":
        return not _has_own_wire(build, part)
    if isinstance(part, Pack):
        # One of three says how many cells it has; a rack and a capacity turn nothing that is open.
        told = attr == "series" and (part.full_charge_v or part.charger_label_v)
        return not told and attr not in ("full_charge_v", "charger_label_v", "rack")
    if section == "racks":
        return any(pack.rack == name for pack in build.packs.values())
    return True


def _has_own_wire(build: Build, controller: Controller) -> bool:
    """Whether the wire that feeds a controller came with the bike maker's joiner."""
    leads = build.leads.values()
    own = any(
        joiner.built_in is not None and not any(lead.source == joiner.name for lead in leads)
        for joiner in build.joiners.values()
    )
    return own and not any(lead.target == controller.name for lead in leads)


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
            # One finding wants one thing, one another: which of them stands hangs on what else they ask for.
            depends |= dict.fromkeys(key for other in asked for key in other.beside)
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
    found = [Assumed(each.part, "", each.text, each.basis, origin=each.origin) for each in build.stated]
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
        found.append(Assumed(key.path, field_name(key), text, field.basis, "; ".join(dict.fromkeys(turns))))
    return tuple(found)


def _span_words(trials: Trials, key: Key, field: Field) -> str:
    build = trials.build
    part = build.part(key.path)
    guess = build.guesses.get(key)
    if guess is not None:
        return f"{value_words(guess, field.kind)}, a guess"
    choices = ends(build, part, key.attr)
    if not choices:
        return field.missing
    words = tuple(dict.fromkeys(value_words(choice, field.kind) for choice in choices))
    if len(words) == 1:
        return words[0]
    if isinstance(choices[0], float) and len(words) == 2:
        if choices[-1] > NOTHING_LIKELY * abs(choices[0]) > 0.0:
            return f"{words[0]} to {words[1]}"
        return f"{words[0]} to {words[1]} (counted with {value_words(likely(build, part, key.attr), field.kind)})"
    return " or ".join(words)
