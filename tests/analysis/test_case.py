"""A result of a case is worked out once, and so is that it cannot be: each asks for the first thing that is missing."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case, once
from packyoke.buildfile.reading import load
from packyoke.model import Build, Unknown, known
from tests.support import edited

WORKED: list[str] = []


@once
def resistance_ohm(case: Case, name: str) -> float:
    WORKED.append(name)
    joiner = case.build.joiners[name]
    return known(joiner.resistance_ohm, joiner, "resistance_ohm")


@once
def twice_ohm(case: Case, name: str) -> float:
    WORKED.append(f"twice {name}")
    return 2 * resistance_ohm(case, name)


def without_resistance() -> Build:
    build = load(edited("skerry-long-tail", {}, ("joiners.yoke.resistance",)), "case.yaml")
    assert isinstance(build, Build), build
    return build


def test_what_is_known_and_what_is_not_is_asked_once_for_each_case() -> None:
    WORKED.clear()
    build = without_resistance()
    without, with_it = Case(build), Case(build.with_value("joiners.yoke", "resistance_ohm", 0.002))
    for work in (resistance_ohm, twice_ohm, resistance_ohm, twice_ohm):
        with pytest.raises(Unknown) as missing:
            work(without, "yoke")
        assert (missing.value.part.path, missing.value.attr) == ("joiners.yoke", "resistance_ohm")
    assert WORKED == ["yoke", "twice yoke"]
    assert [twice_ohm(with_it, "yoke"), twice_ohm(with_it, "yoke")] == [0.004, 0.004]
    assert WORKED == ["yoke", "twice yoke", "twice yoke", "yoke"]


def test_asked_a_hundred_times_it_keeps_no_trail_of_all_who_asked() -> None:
    case = Case(without_resistance())
    lengths = []
    for _ in range(100):
        with pytest.raises(Unknown) as missing:
            twice_ohm(case, "yoke")
        lengths.append(len(missing.traceback))
    assert lengths[-1] == lengths[1]
