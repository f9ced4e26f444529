"""A build with a value changed, drawn as before where that leaves the drawing as it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import faults, harness
from packyoke.model import Build, Key


def with_value(case: Case, key: Key, value: Any) -> Case:
    """A case in which one value is another, drawn as before where that leaves the drawing as it is."""
    found = Case(case.build.with_value(*key, value))
    keep_drawing(case, found)
    return found


def keep_drawing(before: Case, after: Case) -> None:
    """Take the drawing of a case over into one that is drawn alike: values of parts do not redraw it."""
    found = before.known(harness)
    if found is None or not all(_drawn_alike(before.build, after.build)):
        return
    leads = after.build.leads
    if leads is not before.build.leads:
        into, out = (
            {part: [leads[each.name] for each in ends] for part, ends in side.items()}
            for side in (found.leads_into, found.leads_from)
        )
        found = replace(found, leads_into=into, leads_from=out)
    if after.build.joiners is not before.build.joiners:
        found = replace(found, charge_ways={}, charged_through={})
    after.take_over(harness, found)
    of_both = before.known(faults)
    if of_both is not None:
        after.take_over(faults, of_both)


def _drawn_alike(one: Build, other: Build) -> Iterator[bool]:
    """Whether two builds are alike in all that a drawing is made from. Sections that are one thing need no look."""
    if one.packs is not other.packs:
        yield [*one.packs] == [*other.packs]
    if one.controllers is not other.controllers:
        yield [*one.controllers] == [*other.controllers]
    if one.joiners is not other.joiners:
        yield _sockets(one) == _sockets(other)
    if one.leads is not other.leads:
        yield _lines(one) == _lines(other)


def _sockets(build: Build) -> list[object]:
    return [(name, each.inputs, each.outlets, each.built_in) for name, each in build.joiners.items()]


def _lines(build: Build) -> list[object]:
    return [(name, each.source, each.target, each.inlet) for name, each in build.leads.items()]
