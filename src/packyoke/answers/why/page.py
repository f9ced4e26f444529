"""What a rule finds and why, the list of all rules, and those behind what a rider notices: as pages and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from packyoke.page import strict
from packyoke.page.page import Figure, Lines, Page, Table, Verdict, filled
from packyoke.rules.pages import ALARM_WORDS, AS_WRITTEN, RulePage

SCHEMA = "packyoke/why/1"


def rule_page(rule: RulePage) -> Page:
    """One rule: what it finds, why it matters, where the limit comes from, what to do, builds that fail and pass."""
    blocks = (
        Figure(title, tuple(f"  {line}" for line in text.splitlines()), f"{title}: {text}")
        if title in AS_WRITTEN
        else Lines(title, tuple(" ".join(part.split()) for part in text.split("\n\n")))
        for title, text in rule.sections
    )
    return Page(title=rule.name, lead=(rule.title,), blocks=tuple(blocks))


def rules_page(rules: Sequence[RulePage]) -> Page:
    """All rules, a line each."""
    rows = tuple((each.name, each.title) for each in rules)
    return Page(title="The rules", blocks=(Table("", ("rule", "what it finds"), rows, "ll"),))


def symptom_page(symptom: str, found: Sequence[tuple[RulePage, str]], alarm: bool) -> Page:
    """The rules behind what a rider notices, the likeliest first; before anything else what to do where it smokes."""
    rows = tuple((each.name, each.title, notices) for each, notices in found)
    return Page(
        title=f"A rider notices: {symptom}",
        verdict=Verdict("stop", "STOP", ALARM_WORDS) if alarm else None,
        blocks=filled(Table("", ("rule", "what it finds", "a rider notices"), rows, "lll")),
    )


def why_json(found: Sequence[tuple[RulePage, str]], alarm: bool = False, symptom: str | None = None) -> str:
    """Rules with all their sections, schema `packyoke/why/1`."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "symptom": symptom,
        "first": ALARM_WORDS if alarm else None,
        "rules": [
            {
                "rule": each.name,
                "kind": each.kind,
                "finds": each.title,
                "rider_notices": notices or None,
                "page": dict(each.sections),
            }
            for each, notices in found
        ],
    }
    return strict.written(data)
