"""Which findings of a check touch which question: one judge for every command that says yes, no or how much.

A stop or an open question counts against an answer unless its rule is known to have nothing to do with it. In doubt it
counts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Literal

from packyoke.core.findings import Finding, Severity
from packyoke.core.paths import PartPath, is_pack, steps_of
from packyoke.model import Build

Action = Literal["join", "charge", "ride"]
"""May these packs be plugged together; may they be charged; may the bike be ridden."""

_PAPER = frozenset(("local-law", "label-misleads", "acceptance-stale", "recheck-due", "no-charger"))
"""What no current and no voltage depends on."""
_ON_THE_ROAD = frozenset(
    (
        "rack-overloaded",
        "voltage-drop",
        "cells-overworked",
        "cutoff-order",
        "fuse-nuisance",
        "regen-trapped",
        "pack-asleep",
        "spliced-lead",
        "plug-as-switch",
        "plug-in-spark",
    )
)
"""What only comes up once the bike rolls, or works badly and no more."""
_LOAD = frozenset(
    (
        "lead-overheats",
        "connector-overloaded",
        "joiner-overheats",
        "joiner-overloaded",
        "switch-overloaded",
        "pack-overloaded",
    )
)
"""What the controller's load does; a reading that is beyond a limit is a fact and always counts."""
_CHARGERS = frozenset(
    (
        "charger-voltage",
        "charger-mixup",
        "charger-current",
        "charge-blocked",
        "charge-port-overloaded",
        "mains-connector",
    )
)
_APART: dict[Action, frozenset[str]] = {
    "join": _PAPER | _ON_THE_ROAD | _LOAD | _CHARGERS,
    "charge": _PAPER | _ON_THE_ROAD | {"controller-window", "pack-locked"},
    "ride": _PAPER,
}
_FROM_VOLTAGES = frozenset(("packs-rush", "back-charged"))
"""What happens at any states of charge: the voltages at hand decide it, and whoever has them works it out. Conditions
that no voltage meets (a `cause`) stay."""


def touching(
    build: Build, findings: Iterable[Finding], question: Action, packs: Collection[str] = ()
) -> tuple[Finding, ...]:
    """The stops and open questions that touch a question, worst first.

    `packs`: those that it is about; empty for all. What is found at packs that stay unplugged does not count.
    """
    chosen = set(packs) or set(build.packs)
    found = [each for each in findings if _touches(build, each, question, chosen)]
    return tuple(sorted(found, key=lambda each: -each.severity))


def _touches(build: Build, each: Finding, question: Action, chosen: set[str]) -> bool:
    if each.severity < Severity.OPEN or each.accepted:
        return False
    at = _pack_of(each.part)
    others = {name for name in (_pack_of(path) for path, _ in each.also) if name}
    if (at and at not in chosen) or (others and not others & chosen):
        return False
    if each.cause == "measured":
        return True
    if question == "join" and at and each.rule not in _PAPER | _LOAD | _FROM_VOLTAGES | {"cells-overworked"}:
        return True
    if question == "join" and each.rule in _FROM_VOLTAGES:
        return bool(each.cause)
    if question == "charge" and each.rule in _LOAD:
        return any(charger.through or charger.y_lead for charger in build.chargers.values())
    return each.rule not in _APART[question]


def _pack_of(path: PartPath) -> str:
    return steps_of(path).name if is_pack(path) else ""
