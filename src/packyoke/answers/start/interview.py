"""The questions of `packyoke start`, one after the other: first what every bike needs, then only what decides.

Which question comes next is worked out from the check of what is known so far: what no rule asks for is not asked.
Every answer is read at once by the reader of build files; what it refuses is asked again, with what it said.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from packyoke.answers.start.draft import Draft, Missing
from packyoke.answers.start.labels import charger_of, label_of
from packyoke.answers.start.prompts import (
    ALIKE,
    AT_THE_BIKE,
    CHARGER,
    CONNECTORS,
    COUNT,
    FALLS,
    INLETS,
    JOINER,
    LABEL,
    NAME,
    NOT_ASKED,
    ORDER,
    PEAK,
    PROMPTS,
    SAME,
    TOPICS,
    TOWARDS,
    Prompt,
)
from packyoke.answers.start.taking import (
    NOT_SURE,
    Again,
    as_answer,
    field,
    field_example,
    of_figures,
    seconds_of,
    take_alike,
    take_connectors,
    take_count,
    take_each,
    take_inlets,
    take_joiner,
    take_name,
    take_towards,
)
from packyoke.buildfile.reading import load
from packyoke.buildfile.reading.number_words import in_figures
from packyoke.buildfile.reading.spoken import meant
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.unknown_words import is_unknown
from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.findings import Finding, Severity
from packyoke.core.paths import heading_of, name_of, owner_of, steps_of
from packyoke.core.words import listed
from packyoke.model import Build
from packyoke.verdict.check import check
from packyoke.verdict.report import Question, Report

ENDS = ("packs.outlet", "joiners.inlets", "joiners.outlet", "leads.ends", "controller.inlet")


class DraftQuestion(NamedTuple):
    """One question: under which head it stands, what it says, and what an answer does to the draft."""

    key: str
    topic: str
    prompt: Prompt
    parts: tuple[str, ...]
    take: Callable[[Draft, str], str]
    """Changes the draft; gives what was understood, to be shown. Raises Again."""
    figure: bool = False
    """Whether a figure is asked for, and nothing that somebody looks at."""

    @property
    def text(self) -> str:
        return self.prompt.ask.format(part=listed([name_of(part) for part in self.parts] or [""]))


class Interview:
    """What has been answered, what comes next, and the way back."""

    def __init__(self, name: str, today: str = "") -> None:
        self.draft = Draft(name)
        self.today = today
        self.done: frozenset[str] = frozenset()
        self.report: Report | None = None
        self._before: list[tuple[Draft, frozenset[str], Report | None]] = []

    @property
    def answered(self) -> int:
        return len(self._before)

    def next(self) -> DraftQuestion | None:
        """The next question, None when nothing that can be answered at the bike is left."""
        for asked in self._opening():
            if asked.key not in self.done:
                return asked
        return self._deciding()

    def answer(self, asked: DraftQuestion, text: str) -> str:
        """Take an answer; gives what was understood, empty for "not known". Raises Again."""
        draft = self.draft.copy()
        told, left = "", frozenset((asked.key,))
        said = in_figures(text.strip()) if asked.figure else text.strip()
        if said and not is_unknown(said) and not (asked.figure and _knows_none(said)):
            told = asked.take(draft, said)
            self._read(draft)
            told = told or (said if said != text.strip() else "")
        elif asked.key == "alike" and not text.strip():
            draft.set_alike(False)
            told = "no, each by itself"
        elif asked.key in ("packs", "alike"):
            raise Again("This one is needed to go on." if asked.key == "packs" else NOT_SURE)
        elif asked.key in ("connectors", "towards"):
            left |= frozenset(ENDS)  # who does not know the plugs is not asked for each of them
        self._before.append((self.draft, self.done, self.report))
        self.draft, self.done = draft, self.done | left
        if draft.count and all(each.key in self.done for each in self._opening()):
            self.report = self.checked()
        return told

    def set_region(self, text: str) -> None:
        """Where the bike is ridden: a region of the list, or a country. Raises Again."""
        found = meant(TABLES["file"]["region"], text)
        draft = self.draft.copy()
        draft.region = found.value if found and found.value else text
        self._read(draft)
        self.draft = draft

    def skip(self, topic: str) -> None:
        """Leave the rest of a topic open."""
        self._before.append((self.draft, self.done, self.report))
        self.done = self.done | {f"topic {topic}"}
        self.done |= {each.key for each in self._opening() if each.topic == topic} - {"packs", "alike"}
        if self.draft.count and all(each.key in self.done for each in self._opening()):
            self.report = self.checked()

    def back(self) -> bool:
        """Take the last answer back; whether there was one."""
        if not self._before:
            return False
        self.draft, self.done, self.report = self._before.pop()
        return True

    def checked(self) -> Report:
        """The check of what is known so far."""
        build = self._read(self.draft)
        return check(build, today=self.today, brief=True)

    def _read(self, draft: Draft) -> Build:
        """The build so far. Raises Again with what the reader says of the newest line."""
        found = load(draft.text(), "draft", today=self.today or None)
        if isinstance(found, Build):
            return found
        first = found[0]
        raise Again(as_answer(first.message, first.why, first.do))

    # what every bike needs

    def _opening(self) -> Iterable[DraftQuestion]:
        draft = self.draft
        yield DraftQuestion("name", "start", NAME, (), take_name)
        yield DraftQuestion("packs", "start", COUNT, (), take_count)
        if not draft.count:
            return
        if draft.count > 1:
            yield DraftQuestion("alike", "start", ALIKE, (), take_alike)
        if draft.count > 2:
            yield DraftQuestion("inlets", "start", INLETS, (), take_inlets)
        if draft.count > 1:
            yield DraftQuestion("joiner", "start", JOINER, (), take_joiner)
        for pack in draft.packs:
            copied = pack not in draft.distinct
            if draft.alike and copied:
                continue
            prompt = LABEL if pack == draft.packs[0] else LABEL._replace(how=f"{LABEL.how} {SAME}")
            yield DraftQuestion(f"{pack} label", "label", prompt, (pack,), label_of(pack), figure=True)
            if copied:
                continue
            yield DraftQuestion(f"{pack} charger", "label", CHARGER, (pack,), charger_of(pack), figure=True)
        limit = PROMPTS["controller.battery_current.limit"]
        take = field("controller", "battery_current.limit")
        yield DraftQuestion("limit", "label", limit, ("controller",), take, figure=True)

    # what decides

    def _deciding(self) -> DraftQuestion | None:
        if self.report is None:
            return None
        groups = self._groups(self.report.to_find_out)
        for topic in TOPICS:
            if f"topic {topic}" in self.done:
                continue
            here = {key: found for key, found in groups.items() if topic_of(found[0]) == topic and key not in self.done}
            if topic == "look" and "connectors" not in self.done and set(ENDS) & set(here):
                return DraftQuestion("connectors", topic, CONNECTORS, (), take_connectors)
            if topic == "label" and (peak := self._peak()) is not None:
                return peak
            if topic == "look" and "towards" not in self.done and self.draft.family:
                return DraftQuestion("towards", topic, TOWARDS, (), take_towards)
            if here:
                key = min(here, key=lambda each: (ORDER.get(each, 999), -len(here[each][0].settles)))
                return self._about(key, topic, here[key])
        return None

    def _peak(self) -> DraftQuestion | None:
        """A peak that was named without its time."""
        for part, (inner, amps) in self.draft.peaks.items():
            key, prompt = f"{part} peak", FALLS if part == "controller" else PEAK
            if key not in self.done:
                prompt = prompt._replace(ask=prompt.ask.replace("{peak}", amps))
                return DraftQuestion(key, "label", prompt, (part,), seconds_of(part, inner, amps), figure=True)
        return None

    def _groups(self, lacking: Iterable[Question]) -> dict[str, list[Question]]:
        """One field of all the parts that lack it: asked once, answered once or for each."""
        groups: dict[str, list[Question]] = {}
        for each in lacking:
            key = key_of(each)
            if key in NOT_ASKED or self._moot(each):
                continue
            pack = owner_of(each.part)
            if keys_of(key)[0] == "packs" and key != "packs.condition" and pack not in self.draft.distinct:
                continue
            groups.setdefault(key, []).append(each)
        return groups

    def _moot(self, lacking: Question) -> bool:
        """How a selector makes is no question before somebody says that it is one."""
        return key_of(lacking) == "joiners.makes" and self.draft.parts[lacking.part].get("type") != "selector"

    def _about(self, key: str, topic: str, lacking: list[Question]) -> DraftQuestion:
        parts = tuple(dict.fromkeys(owner_of(each.part) for each in lacking))
        inner = inner_of(lacking[0])
        prompt = PROMPTS.get(key)
        if prompt is None:
            about = lacking[0].question
            ask = f"{{part}}: {inner.replace('_', ' ')}? {about[:1].upper()}{about[1:]}."
            prompt = Prompt(ask, "", field_example(parts[0], inner))
        if len(parts) > 1:
            how = f"{prompt.how} One for all, or one each with commas.".strip()
            prompt = prompt._replace(how=how)
        figure = of_figures(parts[0], inner)
        return DraftQuestion(
            key, topic, prompt, parts, lambda draft, text: take_each(draft, parts, inner, text), figure
        )

    def missing(self) -> list[Missing]:
        """The lines that are not known yet, for the file."""
        found = []
        lacking = self.report.to_find_out if self.report else ()
        for each in sorted(lacking, key=lambda each: (*TOPICS, topic_of(each)).index(topic_of(each))):
            part = owner_of(each.part)
            inner = inner_of(each)
            if self._moot(each) or (
                part in self.draft.packs and part not in self.draft.distinct and inner != "condition"
            ):
                continue
            found.append(Missing(part, inner, self.draft.like_seen(inner, field_example(part, inner)), remark_on(each)))
        return found

    def said(self) -> str:
        """The verdict so far, in one line."""
        report = self.report
        if report is None:
            return ""
        stops, opens = report.count(Severity.STOP), len(report.to_find_out)
        words = [f"{stops} stop{'s' if stops > 1 else ''}"] if stops else []
        words += [f"{opens} to find out"] if opens else []
        return f"So far: {', '.join(words)}." if words else "So far: no fault found in what was described."

    def stops(self) -> dict[str, Finding]:
        """What is stopped so far, by fingerprint."""
        found = self.report.findings if self.report else ()
        return {each.fingerprint: each for each in found if each.severity == Severity.STOP}


def told_of(stops: Iterable[Finding]) -> list[str]:
    """What is stopped, in a line for each kind and figure; why and what to do is said by the check, of all the file."""
    parts: dict[str, list[str]] = {}
    for each in stops:
        amounts = f" ({each.found.bare}, limit {each.limit.bare})" if each.found and each.limit else ""
        parts.setdefault(f"{each.message}{amounts}", []).append("" if each.part == "build" else name_of(each.part))
    return [f"STOP  {f'{listed(names)}: ' if any(names) else ''}{what}" for what, names in parts.items()]


def key_of(lacking: Question) -> str:
    """A question as the prompts know it: section and field, `packs.fuse.rating`, `controller.voltage.max`."""
    inside = steps_of(lacking.part).inside
    return line_in(heading_of(lacking.part), *([inside] if inside else []), lacking.field)


def topic_of(lacking: Question) -> str:
    """Where an answer comes from: what can be seen or tried at the bike is not left to its maker."""
    return AT_THE_BIKE.get(key_of(lacking), lacking.ask)


def remark_on(lacking: Question) -> str:
    """Where to look for a line that is not known yet, and how."""
    where = {
        "maker": "ask the maker",
        "customer": "ask the customer",
        "plan": "packyoke plan chooses, where there is none yet",
    }.get(topic_of(lacking), topic_of(lacking))
    prompt = PROMPTS.get(key_of(lacking))
    return f"{where}: {first_sentence(prompt.how) if prompt and prompt.how else lacking.question}"


def sentences(text: str) -> list[str]:
    return [each for each in re.split(r"(?<=[.?])\s", text) if each]


def first_sentence(text: str) -> str:
    return sentences(text)[0].rstrip(".")


def inner_of(lacking: Question) -> str:
    """The field below its part: `fuse.rating`; the fuse itself is `fuse`."""
    inside = steps_of(lacking.part).inside
    return lacking.field if inside == lacking.field else line_in(inside, lacking.field)


def _knows_none(text: str) -> bool:
    """Whether somebody who was asked for a figure does not know and says more: "no idea, a black box".

    Of what was looked at nothing is dropped: "don't know, a dent" is asked again.
    """
    first, *more = re.split(r"[,;:.(]", text, maxsplit=1)
    return bool(more) and not re.search("[0-9]", text) and is_unknown(first)
