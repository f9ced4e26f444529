"""What a rule says with values tried for what nobody knows, and which of two such answers is worse."""

from __future__ import annotations

from typing import Any, NamedTuple

from packyoke.core.findings import Amount
from packyoke.model import Key
from packyoke.rules.outcome import Failed, Outcome, Passed, level

Given = tuple[tuple[Key, Any], ...]
"""Values tried for fields that are not known, in the order in which they were asked for."""


class Leaf(NamedTuple):
    """One set of tried values and what the rule says then; `choices` counts the ends that each value was taken from."""

    given: Given
    outcome: Outcome
    choices: tuple[int, ...] = ()


def measure(leaf: Leaf) -> tuple[int, float]:
    """How bad an outcome is: its level, then how far it is past its limit."""
    outcome = leaf.outcome
    if not isinstance(outcome, Failed | Passed):
        return level(outcome), 0.0
    relation = outcome.relation if isinstance(outcome, Failed) else "at most"
    return level(outcome), _share(outcome.found, outcome.limit, relation)


def _share(found: Amount | None, limit: Amount | None, relation: str) -> float:
    if found is None:
        return 0.0
    if limit is None or limit.unit != found.unit:
        return 0.0
    high, low = (limit.value, found.value) if relation == "at least" else (found.value, limit.value)
    return high / max(low, 1e-9)


def further(tried: Leaf, leaf: Leaf, sign: int) -> bool:
    """Whether what was tried is worse (1) or better (-1) than a leaf."""
    (new, share), (old, old_share) = measure(tried), measure(leaf)
    return sign * (new - old) > 0 or (new == old and sign * (share - old_share) > 1e-9 * abs(old_share))
