"""Many builds against what they were: what changed of each, then a line for every build."""

from __future__ import annotations

from typing import Any

from packyoke.answers.check.page import CAUTIONS
from packyoke.answers.compare.many import NOT_PASSED, ManyView, Pair
from packyoke.answers.compare.page import difference_words, turn_data, turned
from packyoke.page import strict
from packyoke.page.page import Block, Fact, FindingBlock, Level, Lines, Page, Table, Verdict, filled

SCHEMA = "packyoke/compare-many/1"
LEVELS: dict[str, Level] = {
    "stop": "stop",
    "open": "open",
    "unreadable": "stop",
    "no build": "stop",
    "caution": "caution",
}
WORDS = {"none-found": "no fault found", "": "-"}


def many_page(view: ManyView) -> Page:
    """The answer, what changed of each build, every build in a line."""
    changed: list[Block] = [_changed(each) for each in view.pairs if each.changed]
    rows = tuple((each.file, _word(each.before), _word(each.after), _row(each)) for each in view.pairs)
    over = frozenset(at for at, each in enumerate(view.pairs) if not each.answered or each.unreadable)
    builds = Table("Builds", ("build", "before", "after", "findings"), rows, "llll", marked=over)
    return Page(
        title="Builds: before and after",
        verdict=_answer(view),
        lead=(f"before: {view.old}", f"after: {view.new}"),
        blocks=filled(*changed, builds, Lines("Notes", view.notes)),
        closing=(CAUTIONS,),
    )


def _answer(view: ManyView) -> Verdict:
    count = len(view.pairs)
    builds = f"{count} build{'s' if count != 1 else ''}"
    found = f" Findings: {view.counts or 'the same'}."
    unread = f" {view.unreadable} could not be read." if view.unreadable else ""
    refused = [each for each in view.pairs if each.refused]
    if refused:
        brought = [turn.told.severity for each in refused for turn in each.turns if turn.grave]
        level: Level = "stop" if "stop" in brought else "open"
        some = f"{len(refused)} of {builds}: the change brings what was not there before."
        return Verdict(level, level.upper(), some + found + unread)
    waiting = [each.after for each in view.pairs if not each.answered]
    if waiting:
        level = "stop" if "stop" in waiting else "open"
        still = f"Nothing new stops a build that was there before; {len(waiting)} of {builds} at stop or open."
        return Verdict(level, level.upper(), still + found + unread)
    if unread:
        return Verdict("open", "OPEN", f"Of {builds}{unread.replace('.', ':')} they are not compared.{found}")
    if not any(each.changed for each in view.pairs):
        return Verdict("good", "SAME", f"{builds}: nothing that counts is different.")
    return Verdict("good", "", f"No stop and nothing open that was not there before, in {builds}.{found}")


def _changed(pair: Pair) -> FindingBlock:
    facts = [
        Fact("before", "" if pair.before == pair.after else _word(pair.before)),
        Fact("note", pair.note),
        *(Fact("in the file", line) for line in difference_words(pair.differences)),
        *(Fact(turn.kind, f"{turn.told.severity}, {turned(turn)}") for turn in pair.turns if turn.told.gravity > 1),
        Fact("notes", _notes(pair)),
        *(Fact("taken over", line) for line in pair.inherited),
    ]
    level = LEVELS.get(pair.after, "plain")
    word = pair.after.upper() if pair.after in LEVELS else ""
    title = f"{pair.file}: {pair.name}" if pair.name else pair.file
    return FindingBlock(level, word, title if pair.after else f"{title}: only before", tuple(facts))


def _notes(pair: Pair) -> str:
    count = sum(turn.told.gravity <= 1 for turn in pair.turns)
    return f"{count} came, went or moved (--format json has them)" if count else ""


def _row(pair: Pair) -> str:
    if not pair.before or not pair.after:
        return "only after" if pair.after else "only before"
    return pair.counts or ("the same" if not pair.unreadable else "not compared")


def _word(verdict: str) -> str:
    return verdict.upper() if verdict in NOT_PASSED else WORDS.get(verdict, verdict)


def many_json(view: ManyView) -> str:
    """Everything, schema `packyoke/compare-many/1`."""
    return strict.written(
        {
            "schema": SCHEMA,
            "of": view.of,
            "old": view.old,
            "new": view.new,
            "refused": any(each.refused for each in view.pairs),
            "answered": view.answered,
            "unreadable": view.unreadable,
            "builds": [_pair(each) for each in view.pairs],
            "notes": list(view.notes),
        }
    )


def _pair(pair: Pair) -> dict[str, Any]:
    return {
        "file": pair.file,
        "name": pair.name,
        "before": pair.before or None,
        "after": pair.after or None,
        "refused": pair.refused,
        "differences": [each._asdict() for each in pair.differences],
        "findings": [turn_data(turn) for turn in pair.turns],
        "note": pair.note or None,
        "inherited": list(pair.inherited),
    }
