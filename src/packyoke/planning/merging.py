"""More packs than the exact search takes: groups are joined first, in several ways, and the search does the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from random import Random

from packyoke.planning.growing import ROOT, TooMany
from packyoke.planning.labels import Label, Option, carried, figures, joined
from packyoke.planning.layout import MOST_EXACT, Layout
from packyoke.planning.relaxed import Tree, with_tree
from packyoke.planning.search import BEAMS, Problem, Search, Terminal

TRIES = 6
"""Ways of joining groups that are tried, the first without chance in it."""
FEWEST = 2
"""So few are left at the least where no layout is known yet."""
AS_MANY_SITES = 16
"""Joiners at places with which a search is quick."""
TRY_LABELS = 62_500
"""Labels that the search of one try makes at the most."""
FEW_LABELS = 20_000
"""The same where few terminals are left."""
MOST_TREES = 12
"""Trees of which places and wires are searched before anything else."""
TREE_LABELS = 10_000
"""Labels that the search of one of them makes at the most."""
SPREAD = 0.4
"""By how much chance makes a group look dearer than it is."""


def along(layout: Layout, trees: Sequence[Tree]) -> Label | None:
    """The best layout that brings packs together as one of some trees says, the last of them first."""
    best: Label | None = None
    for tree in trees[: -1 - MOST_TREES : -1]:
        search = Search(with_tree(layout.problem, tree), TREE_LABELS)
        best = _first(search, None if best is None else best.score) or best
        if layout.problem.effort.gone:
            break
    return best


def improved(layout: Layout, begun: Label | None, most: int = MOST_EXACT) -> Iterator[tuple[Layout, Label]]:
    """Layouts with their labels, each better than the one before it; always the same ones for the same bike.

    begun: the first of them, where one is known; most: terminals that are left to the search at the most
    """
    best: int | None = None
    brought: Brought = {}
    if begun is not None:
        best = begun.score
        yield layout, begun
    for number, few in _ways(layout, most):
        if layout.problem.effort.gone:
            break
        trial = layout.copy()
        if not _merged(trial, few, Random(number), SPREAD if number else 0.0, brought):
            continue
        search = Search(trial.problem, TRY_LABELS if few == most else FEW_LABELS)
        if number == 0 and begun is None:
            found = _first(search, best)
        else:
            better = search.most_promising(None if best is None else best - 1, BEAMS[:1])
            found = better.best if better is not None else None
        if found is not None:
            best = found.score
            yield trial, found


def _ways(layout: Layout, most: int) -> Iterator[tuple[int, int]]:
    """Numbers of chances, and how many terminals each leaves to the search: few at first, which is quick."""
    most = min(most, len(layout.problem.terminals))
    yield from ((0, few) for few in range(FEWEST + 1, FEWEST - 1, -1) if few < most)
    yield from ((number, most) for number in range(fewer(TRIES, layout)))


def fewer(most: int, layout: Layout) -> int:
    """How many searches of a layout are made, of as many as there may be: with many places each takes long."""
    return min(most, max(2, most * AS_MANY_SITES // max(1, len(layout.problem.sites))))


def _first(search: Search, before: int | None) -> Label | None:
    """The best layout, or what turns up where there are too many; None where it is no better than the one before."""
    below = None if before is None else before - 1
    try:
        found = search.run(first_only=True, near=below)
    except TooMany:
        search.most_labels = TRY_LABELS
        found = search.most_promising(below, BEAMS[:1])
    return found.best if found is not None else None


Brought = dict[tuple[int, int, int], tuple[Terminal, Label | None]]
"""The cheapest ways to bring terminals to sites, by the terminal's id, the site and the inlet. What is joined changes
nothing for the terminals that are left, nor from one try to the next."""


def _merged(layout: Layout, few: int, chance: Random, spread: float, brought: Brought) -> bool:
    """Join terminals of a layout until few enough are left; what is joined counts as one from there on."""
    while len(layout.problem.terminals) > few:
        groups = [
            (weight * (1 + spread * chance.random()), number, group)
            for number, (weight, group) in enumerate(_groups(layout, brought))
        ]
        if not groups:
            return False
        members, site, label = min(groups)[2]
        layout.merge(members, site, label)
    return True


MergedGroup = tuple[tuple[int, ...], int, Label]


def _groups(layout: Layout, brought: Brought) -> Iterator[tuple[float, MergedGroup]]:
    """The cheapest group of each size at each site that leaves room for the rest, with what each pack less costs."""
    problem = layout.problem
    count = len(problem.terminals)
    before = sum(terminal.used for terminal in problem.terminals)
    for at, site in enumerate(problem.sites):
        if not problem.fits(before + site.use) or (problem.meets is not None and not problem.meets(0, at)):
            continue
        near: list[tuple[int, int, Label]] = []
        for number in range(count):
            label = _brought(problem, number, at, 0, brought)
            if label is not None:
                near.append((label.score - min(each.score for each in problem.terminals[number].labels), number, label))
        near.sort(key=lambda each: each[:2])
        for size in range(2, min(site.slots, len(near)) + 1):
            members = tuple(number for _, number, _ in near[:size])
            if not layout.leaves_room(before + site.use, count - size + 1):
                continue
            group = _joined(problem, members, at, brought)
            if group is not None:
                more = sum(cost for cost, _, _ in near[:size]) + site.score
                yield more / (size - 1), (members, at, group)


def _joined(problem: Problem, members: tuple[int, ...], at: int, brought: Brought) -> Label | None:
    """Terminals joined at a site, each as cheaply as it goes."""
    put = problem.sites[at]
    whole: Label | None = None
    for inlet, number in enumerate(members):
        label = _brought(problem, number, at, inlet, brought)
        if label is None:
            return None
        whole = label if whole is None else joined(whole, label, 0, None)
    assert whole is not None
    return whole._replace(score=whole.score + put.score, over_v=whole.over_v + put.volts_v)


def _brought(problem: Problem, number: int, at: int, inlet: int, brought: Brought) -> Label | None:
    """The cheapest way to bring a terminal to a site."""
    terminal, inlet = problem.terminals[number], 0 if problem.sites[at].uniform else inlet
    key = (id(terminal), at, inlet)
    if key not in brought:
        brought[key] = terminal, _cheapest(problem, number, at, inlet)
    return brought[key][1]


def _cheapest(problem: Problem, number: int, at: int, inlet: int) -> Label | None:
    terminal, site = problem.terminals[number], problem.sites[at]
    fuses = problem.fuses(1 << number) if terminal.must_fuse else ()
    share = problem.share(1 << number)
    found: list[Label] = []
    for option in problem.wires(number, len(problem.terminals) + at, inlet):
        loss = problem.score.of("loss", option.watts_w * share**2) + site.path_loss(share)
        for fuse in fuses or (None,):
            more = problem.fuse_score(fuse) if fuse is not None else 0
            for label in terminal.labels:
                made = option if fuse is None else option._replace(fuse=fuse)
                further = carried(label, made, loss + more, problem.score, 0, None)
                if further is not None:
                    found.append(further)
    return min(found, key=figures, default=None)


def least_of_all(layout: Layout) -> int | None:
    """What any layout comes to at least: each pack's cheapest way out, and the joiners that it takes at the least."""
    problem, count = layout.problem, len(layout.problem.terminals)
    sites = {count + number: site for number, site in enumerate(problem.sites)}
    least: dict[tuple[int, float], int | None] = {}

    def of_these(options: Sequence[Option], share: float) -> int | None:
        key = id(options), share  # leads that are alike have the same options
        if key not in least:
            scores = [each.score + problem.score.of("loss", each.watts_w * share**2) for each in options]
            least[key] = min(scores, default=None)
        return least[key]

    entered: dict[object, list[int]] = {}
    for target, site in sites.items():
        inlets = range(1 if site.uniform else site.slots)
        entered.setdefault(tuple(problem.enters(target, inlet) for inlet in inlets), []).append(target)

    def lead(node: int, target: int, share: float) -> int | None:
        slots = range(1 if target < 0 or sites[target].uniform else sites[target].slots)
        ways = [of_these(problem.wires(node, target, inlet), share) for inlet in slots]
        return min((way for way in ways if way is not None), default=None)

    def lead_on(node: int, share: float) -> int | None:
        """To whatever joiner or load that is reached best."""
        ways = [(lead(node, ROOT, share), 0)]
        for targets in entered.values():
            way = lead(node, targets[0], share)
            ways.append((way, min(sites[target].path_loss(share) for target in targets)))
        return min((way + path for way, path in ways if way is not None), default=None)

    total = 0
    for number, terminal in enumerate(problem.terminals):
        way = lead_on(number, problem.share(1 << number))
        if way is None:
            return None
        fuses = problem.fuses(1 << number) if terminal.must_fuse else ()
        fuse = min(map(problem.fuse_score, fuses)) if fuses else 0
        total += way + fuse + min(label.score for label in terminal.labels)
    needed = layout.joiners_needed()
    left: dict[object, list[int]] = {}
    for node in sites:
        left.setdefault(problem.leaves(node), []).append(node)
    prices = {nodes[0]: min(sites[node].score for node in nodes) for nodes in left.values()}
    last = [price + way for node, price in prices.items() if (way := lead(node, ROOT, 1.0)) is not None]
    if needed and not last:
        return None
    onward = [price + way for node, price in prices.items() if needed > 1 and (way := lead_on(node, 0.0)) is not None]
    # One lead carries everything to the load; of the others only the wire is counted.
    total += min(last) if needed else 0
    total += (needed - 1) * min(onward) if onward else 0
    return total
