"""What a check asks and what it assumed: each field once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packyoke.answers.inherited import from_shop
from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.paths import name_of, owner_of, steps_of
from packyoke.model import FROM_SHOP
from packyoke.page.page import Lines, Table
from packyoke.verdict.report import Assumed, Question, Report

MOST_NAMES = 3


def listed(names: list[str]) -> str:
    """The first names, and how many more."""
    more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
    return f"{', '.join(names[:MOST_NAMES])}{more}"


def to_find_out(report: Report) -> Iterator[Table]:
    """Each field once, with the answer that passes and the rules that wait for it."""
    waiting = {finding.fingerprint: finding.rule for finding in report.findings}
    merged: dict[tuple[object, ...], list[Question]] = {}
    for question in report.to_find_out:
        merged.setdefault((question.ask, question.question, question.passes_if, bool(question.depends_on)), []).append(
            question
        )
    rows = []
    for same in merged.values():
        first = same[0]
        who = ", ".join(dict.fromkeys(_whose(question) for question in same))
        field = "" if first.ask == "plan" else f"{first.field}. "
        text = f"{who}: {field}{first.question[:1].upper()}{first.question[1:]}."
        text += f" Passes: {first.passes_if}." if first.passes_if else ""
        text += f" {_depends(same)}." if first.depends_on else ""
        rules = [*dict.fromkeys(waiting[one] for each in same for one in each.settles if one in waiting)]
        text += f" ({listed(rules)})" if rules else ""
        lines = sorted({question.span.line for question in same if question.span})
        rows.append((first.ask or "ask", text, ", ".join(map(str, lines))))
    if rows:
        yield Table("To find out", ("where", "what", "line"), tuple(rows), "lll", about="nothing here has passed")


def _whose(question: Question) -> str:
    """The part that a question is about; `fuse` of `keel.fuse` stands in the name of the field already."""
    own = steps_of(question.part).inside == keys_of(question.field)[0]
    return name_of(owner_of(question.part) if own else question.part)


def _depends(same: list[Question]) -> str:
    """On which fields an answer depends, those of the same part by their own name."""
    own = {line_in(question.part, question.field) for question in same}
    paths = dict.fromkeys(path for question in same for path in question.depends_on)
    names = ["each other"] if len(same) > 1 and any(path in own for path in paths) else []
    for path in paths:
        if path not in own:
            mine = f"{same[0].part}."
            names.append(path.removeprefix(mine) if len(same) == 1 and path.startswith(mine) else name_of(path))
    if names == ["each other"]:
        return "They depend on each other"
    few = f"{', '.join(names[:MOST_NAMES])} and others" if len(names) > MOST_NAMES + 1 else _and(names)
    return f"What passes depends on {few}"


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def assumed(taken: Iterable[Assumed]) -> Iterator[Lines]:
    """What was assumed, in one paragraph; what could turn on a worse value, each on a line of its own."""
    merged: dict[tuple[str, str, str, bool], list[str]] = {}
    for one in taken:
        merged.setdefault((one.field, one.text, one.turns_into, one.basis == FROM_SHOP), []).append(name_of(one.part))
    plain, turning = [], []
    for (field, text, turns, shop), parts in merged.items():
        who = ", ".join(dict.fromkeys(part for part in parts if part != "build"))
        value = f"{field} {text}".strip()
        what = from_shop(value) if shop else value
        said = f"{who}: {what}" if who else what
        if turns:
            turning.append(f"{said}; {turns}")
        else:
            plain.append(said)
    lines = (["; ".join(plain)] if plain else []) + turning
    if lines:
        yield Lines("Assumed", tuple(lines), "write it in the file and that counts instead")
