"""What a rule says of one part: it passed, it failed, or it cannot be decided; None where it does not apply."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, NamedTuple, ParamSpec, overload

from packyoke.analysis.case import if_known
from packyoke.core.findings import Amount, Fixed, Severity
from packyoke.core.paths import PartPath
from packyoke.model import Part


class Passed(NamedTuple):
    """Within the limit. Figures only where they say something."""

    found: Amount | None = None
    limit: Amount | None = None


PASSED = Passed()


class Change(NamedTuple):
    """One field of one part set to another value."""

    path: PartPath
    attr: str
    value: Any


class Mend(NamedTuple):
    """A sentence that says what to do, and the same as changes that the program can try before it says so."""

    text: str
    changes: tuple[Change, ...]


class _Later(Sequence[Mend]):
    """Mends that are worked out when somebody looks at them; none where that would need what nobody knows."""

    def __init__(self, work: Callable[[], Sequence[Mend]]) -> None:
        self._work = work
        self._found: Sequence[Mend] | None = None

    def _mends(self) -> Sequence[Mend]:
        if self._found is None:
            self._found = if_known(self._work) or ()
        return self._found

    def __len__(self) -> int:
        return len(self._mends())

    @overload
    def __getitem__(self, at: int) -> Mend: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Mend]: ...
    def __getitem__(self, at: int | slice) -> Mend | Sequence[Mend]:
        return self._mends()[at]


Given = ParamSpec("Given")


def later(work: Callable[Given, Sequence[Mend]]) -> Callable[Given, Sequence[Mend]]:
    """A family of mends that is worked out for those findings only that are told: rules are run on many values and
    changes that are only tried."""

    @wraps(work)
    def family(*args: Given.args, **others: Given.kwargs) -> Sequence[Mend]:
        return _Later(lambda: work(*args, **others))

    return family


class Failed(Fixed):
    """Beyond the limit.

    `message` is a headline without the part's name. `mends` are families of mends, each from the least change to the
    most; the first of a family that settles the finding without a new stop is printed. `do` is the advice when none of
    them does, or when there is nothing to work out. `usual` marks a note that stands on nearly every bike: pages show
    it on request. `in_words` adds what takes long to work out and decides nothing: it is called for the one outcome of
    the many tried that is told.
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
    in_words: Callable[[Failed], Failed] | None = None


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


def told(outcome: Outcome) -> Outcome:
    """An outcome with all its words, as it is shown to people; without those that would need what nobody knows."""
    if isinstance(outcome, Failed) and outcome.in_words is not None:
        return if_known(outcome.in_words, outcome) or outcome
    return outcome


def level(outcome: Outcome) -> int:
    """How bad an outcome is, on the scale of Severity; 0 for nothing to say."""
    if isinstance(outcome, Failed):
        return outcome.severity
    return Severity.OPEN if isinstance(outcome, Undecided) else 0
