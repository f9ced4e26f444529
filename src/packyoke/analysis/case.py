"""One build in which every result is worked out once, and only when somebody asks for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Any, Concatenate, ParamSpec, TypeVar

from packyoke.model import Build

P = ParamSpec("P")
T = TypeVar("T")


class Case:
    """A build and what was worked out from it. Results raise `Unknown` when something they need is not written."""

    __slots__ = ("_results", "build")

    def __init__(self, build: Build) -> None:
        self.build = build
        self._results: dict[tuple[Any, ...], Any] = {}

    def result(self, work: Callable[..., T], *args: Any) -> T:
        key = (work, *args)
        found = self._results.get(key, self)
        if found is self:
            found = self._results[key] = work(self, *args)
        return found  # type: ignore[no-any-return]

    def take_over(self, other: Case, work: Callable[..., Any]) -> None:
        """Use what was worked out in another case, if it was; for results that the difference does not touch."""
        key = (getattr(work, "__wrapped__", work),)
        if key in other._results:
            self._results[key] = other._results[key]


def once(work: Callable[Concatenate[Case, P], T]) -> Callable[Concatenate[Case, P], T]:
    """Work out a function of a case once for each set of (hashable, positional) arguments."""

    def wrapper(case: Case, /, *args: P.args, **kwargs: P.kwargs) -> T:
        key = (work, *args)
        found = case._results.get(key, case)
        if found is case:
            found = case._results[key] = work(case, *args, **kwargs)
        return found  # type: ignore[no-any-return]

    return update_wrapper(wrapper, work)
