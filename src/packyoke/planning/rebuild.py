"""From the trace of a search back to a build: joiners at their places, leads between them, nothing else decided yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from packyoke.core.paths import path_to
from packyoke.model import Build, Joiner
from packyoke.planning.catalogue import Model
from packyoke.planning.labels import Begun, Together
from packyoke.planning.layout import Layout
from packyoke.planning.parts import new_joiner, with_joiner, with_lead
from packyoke.planning.placing import PutJoiner, Spot
from packyoke.planning.result import NewPart
from packyoke.planning.topology import Topology


class Drawn(NamedTuple):
    """A build with its harness drawn whole. `new`: parts that the file has not; `score`: what its joiners come to."""

    build: Build
    new: tuple[NewPart, ...] = ()
    score: int = 0


class _Drawing:
    def __init__(self, build: Build) -> None:
        self.build = build
        self.new: list[NewPart] = []
        self.placed: set[str] = set()
        self.score = 0

    def lead(self, source: str, target: str, inlet: int | None = None) -> None:
        before = self.build.leads
        self.build = with_lead(self.build, source, target)
        (name,) = self.build.leads.keys() - before.keys()
        if inlet is not None:
            self.build = self.build.with_value(path_to("leads", name), "inlet", inlet)
        self.new.append(NewPart(path_to("leads", name)))

    def joiner(self, model: Model) -> Joiner:
        joiner = new_joiner(self.build, model)
        self.build = with_joiner(self.build, joiner)
        self.new.append(NewPart(joiner.path, model.like, model.item.part.name if model.item is not None else ""))
        return joiner

    def done(self) -> Drawn:
        return Drawn(self.build, tuple(self.new), self.score)


def rebuilt(layout: Layout, trace: Any) -> Drawn:
    """The build drawn as a search found it."""
    drawing = _Drawing(layout.build)
    _arriving(drawing, layout, trace, layout.topology.root.name)
    return drawing.done()


def _arriving(drawing: _Drawing, layout: Layout, trace: Any, target: str) -> None:
    """Draw what arrives at a node: one lead, or those of several inlets."""
    if isinstance(trace, Together):
        for each in trace:
            _arriving(drawing, layout, each, target)
        return
    node, inlet, before = trace
    if isinstance(before, Begun):
        source = _spot(drawing, layout, layout.spots[before.terminal])
    else:
        source = _put(drawing, layout, layout.puts[before.site - len(layout.spots)])
        _arriving(drawing, layout, before.before, source)
    if not layout.topology.drawn:
        drawing.lead(source, target, None if layout.alike(node) else inlet + 1)


def _spot(drawing: _Drawing, layout: Layout, spot: Spot) -> str:
    """The part at a spot; packs that were joined beforehand are drawn here."""
    if spot.grown is None:
        return spot.name
    put, *before = spot.grown
    name = _put(drawing, layout, put)
    uniform = len(set(put.joiner.inlets)) == 1
    for inlet, each in enumerate(before):
        drawing.lead(_spot(drawing, layout, each), name, None if uniform else inlet + 1)
    return name


def _put(drawing: _Drawing, layout: Layout, put: PutJoiner) -> str:
    waiting = next((name for name in put.kind.names if name not in drawing.placed), None)
    if waiting is not None:
        drawing.placed.add(waiting)
        drawing.score -= layout.price(put.kind)
        joiner = drawing.build.joiners[waiting]
    else:
        assert put.kind.model is not None
        joiner = drawing.joiner(put.kind.model)
    placed = replace(joiner, place_name=put.place, mount=put.joiner.mount)
    drawing.build = with_joiner(drawing.build, placed)
    drawing.score += put.score
    return joiner.name


def chain(topology: Topology, models: Sequence[Model]) -> Drawn | None:
    """The plain chain in the order of the file: packs into the first joiner until it is full, the next behind it.

    None where there are not enough joiners to go round.
    """
    drawing = _Drawing(topology.build)
    waiting = list(topology.free)
    last, *others = topology.roots
    while others:
        if not waiting and not models:
            return None
        joiner = topology.build.joiners[waiting.pop(0)] if waiting else drawing.joiner(_least(models, len(others) + 1))
        # Joiners of the file are all used: each leaves packs for those that wait behind it.
        count = max(1, min(joiner.inputs - 1, len(others) - len(waiting)))
        for name in (last, *others[:count]):
            drawing.lead(name, joiner.name)
        last, others = joiner.name, others[count:]
    drawing.lead(last, topology.root.name)
    return drawing.done()


def _least(models: Sequence[Model], count: int) -> Model:
    """The first joiner that takes so many, else the one that takes most."""
    fitting = [model for model in models if model.joiner.inputs >= count]
    return min(fitting, key=lambda each: each.joiner.inputs) if fitting else max(models, key=lambda m: m.joiner.inputs)
