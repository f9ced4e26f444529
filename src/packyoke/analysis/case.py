"""One build in which every result is worked out once, and only when somebody asks for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Any, TypeVar, cast

from packyoke.model import Build, Unknown

Found = TypeVar("Found")
WorkedOnce = TypeVar("WorkedOnce", bound=Callable[..., Any])


class Case:
    """A build and what was worked out from it. Results raise `Unknown` when something they need is not written."""

    __slots__ = ("_results", "build", "effort")

    def __init__(self, build: Build) -> None:
        self.build = build
        self.effort = 0
        """What was worked out at length, counted in runs of a usual rule: who tries many values bounds it by this."""
        self._results: dict[tuple[Callable[..., Any], tuple[Any, ...]], Any] = {}

    def known(self, work: Callable[..., Found]) -> Found | None:
        """What a work without arguments has found for this case, if it was asked."""
        return self._results.get((getattr(work, "__wrapped__", work), ()))

    def take_over(self, work: Callable[..., Found], found: Found) -> None:
        """Use what was found in another case; for results that the difference does not touch."""
        self._results[getattr(work, "__wrapped__", work), ()] = found


def if_known(work: Callable[..., Found], *args: Any) -> Found | None:
    """A figure for an advice or a sentence, or None where it would need what nobody knows: these ask for nothing."""
    try:
        return work(*args)
    except Unknown:
        return None


def once(work: WorkedOnce) -> WorkedOnce:
    """Work out a function of a case once for each set of (hashable, positional) arguments.

    What asks for something that nobody knows asks for the same whoever comes next.
    """

    def wrapper(case: Case, /, *args: Any) -> Any:
        key = (work, args)
        found = case._results.get(key, case)
        if found is case:
            try:
                found = case._results[key] = work(case, *args)
            except Unknown as unknown:
                case._results[key] = unknown
                raise
        elif type(found) is Unknown:
            raise found.with_traceback(None)
        return found

    return cast("WorkedOnce", update_wrapper(wrapper, work))
