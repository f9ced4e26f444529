"""Better ways to bring many packs together, one change of the tree after another; places and wires are searched."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.model import Build
from packyoke.planning.labels import Label
from packyoke.planning.layout import Layout
from packyoke.planning.merging import fewer
from packyoke.planning.relaxed import Relaxed, Tree, with_tree
from packyoke.planning.search import BEAMS, Search

MOST_TREES = 40
"""Changed trees of which places and wires are searched."""
TREE_LABELS = 6_000
"""Labels that the search of one of them makes at the most."""
MOST_IN_A_ROW = 24
"""Of the changes of one tree, the most promising ones."""
NestedGroup = int | tuple["NestedGroup", ...]
"""A pack by its number, or what is brought together in one joiner."""


def drawn_group(layout: Layout, build: Build) -> NestedGroup | None:
    """How a drawn harness brings the packs of a layout together; None where they do not end in one joiner."""
    numbers = {name: number for number, packs in enumerate(layout.packs) for name in packs}
    leads = harness(Case(build)).leads_into

    def group(name: str) -> NestedGroup:
        into = leads.get(name, ())
        return numbers[name] if not into else tuple(group(lead.source) for lead in into)

    (controller,) = build.controllers
    if len(numbers) != len(layout.packs) or len(leads.get(controller, ())) != 1:
        return None
    return group(leads[controller][0].source)


def regrouped(layout: Layout, relaxed: Relaxed, group: NestedGroup, cap: int) -> Iterator[tuple[Label, NestedGroup]]:
    """Labels of layouts that come to less than a figure, each less than the one before it."""
    seen = {_key(group)}
    tried, most = 0, fewer(MOST_TREES, layout)
    better = True
    while better:
        better = False
        ways = {_key(each): each for each in changes(group, relaxed.most_inlets) if _key(each) not in seen}
        ranked = sorted((relaxed.figure(tree_of(each)), key) for key, each in ways.items())
        for figure, key in ranked[:MOST_IN_A_ROW]:
            if figure >= cap or tried >= most or layout.problem.effort.gone:
                break
            seen.add(key)
            tried += 1
            search = Search(with_tree(layout.problem, tree_of(ways[key])), TREE_LABELS)
            found = search.most_promising(cap - 1, BEAMS[:1])
            if found is not None:
                group, cap, better = ways[key], found.best.score, True
                yield found.best, group
                break


def mask_of(group: NestedGroup) -> int:
    return 1 << group if isinstance(group, int) else sum(map(mask_of, group))


def tree_of(group: NestedGroup) -> Tree:
    """The sets that meet, each with those that are brought to it."""
    if isinstance(group, int):
        return {}
    found = {mask_of(group): tuple(map(mask_of, group))}
    for each in group:
        found.update(tree_of(each))
    return found


def _key(group: NestedGroup) -> tuple[int, ...]:
    """Equal for groups that differ in no more than the order."""
    return tuple(sorted(tree_of(group)))


def changes(group: NestedGroup, most: int) -> Iterator[NestedGroup]:
    """Every way to take one part of a group out and to put it in elsewhere, beside others or with one in a new joiner,
    and to let two parts change places.

    most: inlets of the largest joiner
    """
    for one, other in combinations(_parts(group), 2):
        if not mask_of(one) & mask_of(other):
            yield _exchanged(group, one, other)
    for part in _parts(group):
        rest = _without(group, part)
        if rest is not None:
            yield from _with(rest, part, most)


def _exchanged(group: NestedGroup, one: NestedGroup, other: NestedGroup) -> NestedGroup:
    if group in (one, other):
        return other if group == one else one
    return group if isinstance(group, int) else tuple(_exchanged(each, one, other) for each in group)


def _parts(group: NestedGroup) -> Iterator[NestedGroup]:
    for each in () if isinstance(group, int) else group:
        yield each
        yield from _parts(each)


def _without(group: NestedGroup, part: NestedGroup) -> NestedGroup | None:
    """A group without a part of it; what stands alone then needs no joiner."""
    if group == part:
        return None
    if isinstance(group, int):
        return group
    left = tuple(each for each in (_without(each, part) for each in group) if each is not None)
    return left[0] if len(left) == 1 else left


def _with(group: NestedGroup, part: NestedGroup, most: int) -> Iterator[NestedGroup]:
    yield (group, part)
    if isinstance(group, int):
        return
    if len(group) < most:
        yield (*group, part)
    for number, each in enumerate(group):
        yield from ((*group[:number], changed, *group[number + 1 :]) for changed in _with(each, part, most))
