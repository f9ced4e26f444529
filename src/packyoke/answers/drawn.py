"""The harness of a build as something to draw: boxes with what the parts are, leads with what they are made of."""

from __future__ import annotations

from packyoke.answers.sheet.called import said
from packyoke.core.findings import shown
from packyoke.core.units import Kind, show, show_gauge
from packyoke.model import FITTED, Build, Fuse, Joiner, Lead
from packyoke.page.drawing import Drawing, Edge, Node, natural_size
from packyoke.verdict.layout import joiner_about, pack_about

WIDEST = 900.0
"""A drawing wider than this has letters too small to read on paper: its leads are then called by number only."""


def numbers(build: Build) -> dict[str, int]:
    """The number by which each lead is called, in the order of the file."""
    return {name: number for number, name in enumerate(build.leads, 1)}


def drawing(build: Build, system: str = "metric") -> Drawing:
    """The harness with what each lead is made of; numbers stand for names where the drawing would get too wide."""
    full = _drawn(build, system, names=True)
    return full if natural_size(full)[0] <= WIDEST else _drawn(build, system, names=False)


def wire(lead: Lead) -> str:
    """The size of a lead's wire."""
    return show_gauge(lead.gauge.family, lead.gauge.size) if lead.gauge is not None else "wire not in the file"


def _drawn(build: Build, system: str, *, names: bool) -> Drawing:
    number = numbers(build)
    nodes = [
        Node(name, "pack", said(name), _about_pack(pack_about(pack), pack.fuse)) for name, pack in build.packs.items()
    ]
    for name, joiner in build.joiners.items():
        place = f", {said(joiner.place_name)}" if joiner.place_name else ""
        nodes.append(Node(name, "joiner", said(name), f"{joiner_about(joiner)}{place}"))
    nodes += [Node(name, "controller", said(name)) for name in build.controllers]
    edges, told = [], []
    for name, lead in build.leads.items():
        made_of = "direct" if lead.direct else wire(lead)
        length = "" if lead.direct or lead.length_m is None else show(lead.length_m, Kind.LENGTH, system)
        fuse = f"fuse {shown(lead.fuse.rating_a or 0.0)} A" if lead.fuse.presence == FITTED else ""
        about = [", ".join(each for each in (made_of, length) if each), fuse] if names else [made_of, fuse]
        label = f"{number[name]}  {said(name)}" if names else f"{number[name]}"
        edges.append(Edge(lead.source, lead.target, tuple(each for each in (label, *about) if each)))
        made = ", ".join(each for each in (made_of, length, fuse) if each)
        told.append(f"{number[name]} {said(name)} from {said(lead.source)} to {said(lead.target)}: {made}")
    if len(build.controllers) == 1:
        own = [each.name for each in build.joiners.values() if each.built_in and not _leads_on(build, each)]
        edges += [Edge(name, next(iter(build.controllers)), ("the bike maker's",)) for name in own]
    return Drawing(
        title="The harness, from the packs to the controller",
        words=f"{'; '.join(told)}.",
        nodes=tuple(nodes),
        edges=tuple(edges),
    )


def _leads_on(build: Build, joiner: Joiner) -> bool:
    return any(lead.source == joiner.name for lead in build.leads.values())


def _about_pack(about: str, fuse: Fuse) -> str:
    return f"{about}, fuse\u00a0{shown(fuse.rating_a or 0.0)}\u00a0A" if fuse.presence == FITTED else about
