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
        try:
            return self._results[key]  # type: ignore[no-any-return]
        except KeyError:
            value = work(self, *args)
        self._results[key] = value
        return value


def once(work: Callable[Concatenate[Case, P], T]) -> Callable[Concatenate[Case, P], T]:
    """Work out a function of a case once for each set of (hashable, positional) arguments."""

    def wrapper(case: Case, /, *args: P.args, **kwargs: P.kwargs) -> T:
        return case.result(work, *args)

    return update_wrapper(wrapper, work)
