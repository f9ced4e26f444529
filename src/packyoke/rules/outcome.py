"""What a rule says of one part: it passed, it failed, or it cannot be decided; None where it does not apply."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from packyoke.core.findings import Amount, Fixed, Severity
from packyoke.model import Part


class Passed(NamedTuple):
    """Within the limit. Figures only where they say something."""

    found: Amount | None = None
    limit: Amount | None = None


PASSED = Passed()


class Change(NamedTuple):
    """One field of one part set to another value."""

    path: str
    attr: str
    value: Any


class Mend(NamedTuple):
    """A sentence that says what to do, and the same as changes that the program can try before it says so."""

    text: str
    changes: tuple[Change, ...]


class Failed(Fixed):
    """Beyond the limit.

    `message` is a headline without the part's name. `mends` are families of mends, each from the least change to the
    most; the first of a family that settles the finding without a new stop is printed. `do` is the advice when none of
    them does, or when there is nothing to work out. `usual` marks a note that stands on nearly every bike: pages show
    it on request.
    """

    severity: Severity
    message: str
    found: Amount | None = None
    limit: Amount | None = None
    relation: str = "at most"
    why: str = ""
    do: str = ""
    field: str = ""
    kind: str = ""
    cause: str = ""
    usual: bool = False
    mends: tuple[Sequence[Mend], ...] = ()
    also: tuple[Part, ...] = ()
    packs_in: tuple[str, ...] = ()
    charges: tuple[tuple[str, float], ...] = ()
    basis: tuple[str, ...] = ()


class Undecided(NamedTuple):
    """Cannot be decided, and no span of values would help: which fields to ask, and which answer passes, in words."""

    message: str
    asks: tuple[tuple[Part, str], ...]
    passes_if: str = ""
    found: Amount | None = None
    limit: Amount | None = None
    why: str = ""
    do: str = ""
    cause: str = ""
    also: tuple[Part, ...] = ()


Outcome = Passed | Failed | Undecided | None


def level(outcome: Outcome) -> int:
    """How bad an outcome is, on the scale of Severity; 0 for nothing to say."""
    if isinstance(outcome, Failed):
        return outcome.severity
    return Severity.OPEN if isinstance(outcome, Undecided) else 0
