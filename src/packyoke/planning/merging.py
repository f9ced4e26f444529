"""More packs than the exact search takes: the two that are cheapest to join are joined first, until it can go on."""

from __future__ import annotations

from itertools import combinations

from packyoke.planning.labels import Label, carried, joined
from packyoke.planning.layout import MOST_EXACT, Layout


def merged(layout: Layout) -> None:
    """Join packs of a layout until few enough are left; what is joined counts as one from there on."""
    while len(layout.problem.terminals) > MOST_EXACT:
        best: tuple[int, int, int, int, Label] | None = None
        for one, other in combinations(range(len(layout.problem.terminals)), 2):
            for site in range(len(layout.problem.sites)):
                label = _pair(layout, one, other, site)
                if label is not None and (best is None or label.score < best[0]):
                    best = (label.score, one, other, site, label)
        if best is None:
            return
        layout.merge(*best[1:])


def _pair(layout: Layout, one: int, other: int, site: int) -> Label | None:
    """Two terminals joined at a site, as cheaply as it goes."""
    problem = layout.problem
    put = problem.sites[site]
    if not problem.fits(put.use + problem.terminals[one].used + problem.terminals[other].used):
        return None
    first, second = (_brought(layout, number, site, inlet) for inlet, number in enumerate((one, other)))
    if first is None or second is None:
        return None
    both = joined(first, second, 0, None)
    return both._replace(score=both.score + put.score, over_v=both.over_v + put.volts_v)


def _brought(layout: Layout, number: int, at: int, inlet: int) -> Label | None:
    """The cheapest way to bring a terminal to a site."""
    problem = layout.problem
    terminal, site = problem.terminals[number], problem.sites[at]
    fuses = problem.fuses(1 << number) if terminal.must_fuse else ()
    share = problem.share(1 << number)
    found: list[Label] = []
    for option in problem.wires(number, len(problem.terminals) + at, 0 if site.uniform else inlet):
        loss = problem.score.of("loss", option.watts_w * share**2) + site.path_loss(share)
        for fuse in fuses or (None,):
            more = problem.fuse_score(fuse) if fuse is not None else 0
            for label in terminal.labels:
                further = carried(label, option._replace(fuse=fuse), loss + more, problem.score.finding, 0, None)
                if further is not None:
                    found.append(further)
    return min(found, key=lambda label: label[:4], default=None)
