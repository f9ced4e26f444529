"""From a build with places and runs to the search problem, and from its answer back to a drawn harness."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from copy import copy
from dataclasses import replace
from functools import cache, cached_property
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load
from packyoke.analysis.circuit.network import forward_v, path_resistance_ohm
from packyoke.analysis.harness.routes import Routes
from packyoke.analysis.limits.fusing import needed_a
from packyoke.core.paths import path_to
from packyoke.model import Controller, Joiner, Lead
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.dress import leaf, path_loss_w, share
from packyoke.planning.growing import ROOT
from packyoke.planning.labels import Label, kept
from packyoke.planning.layout_leads import PROBE, LayoutLeads
from packyoke.planning.options import JOINER_RULES, Workbench
from packyoke.planning.parts import new_lead, with_joiners_alone
from packyoke.planning.placing import JoinerKind, PutJoiner, Spot, kinds
from packyoke.planning.result import Obstacle
from packyoke.planning.search import Problem, Site, Terminal
from packyoke.planning.tolls import FIELD, Room, Tolls, fields
from packyoke.planning.topology import Topology
from packyoke.rules import ceiling_exceeded

MOST_EXACT = 6
"""Terminals up to which the search is exact; above, the nearest are joined first."""


class Layout(LayoutLeads):
    """One bike to be laid out: what is to be brought together, where joiners may sit, what leads between them cost."""

    def __init__(self, bench: Workbench, topology: Topology, ways: Routes, *, tapped_last: bool = True) -> None:
        """`tapped_last`: whether the joiner that accessories hang on has to be the last before the load."""
        super().__init__(bench, topology, ways)
        self.unfit: list[Obstacle] = []
        """Why joiners cannot be used."""
        self.kinds = kinds(topology, bench.shelf.models, len(self.spots))
        self.last = self._tapped() if tapped_last else ""
        self._capacities()
        self._needed_a: dict[str, float | None] = {}  # of a fuse, by the pack that the load comes from
        self._fuse_sets: dict[tuple[FuseKind, ...], tuple[FuseKind, ...]] = {}
        """Sets of fuses: those that are equal are one object."""
        self.problem = self._problem()

    # What there is.

    def _capacities(self) -> None:
        """Units of what is taken up: room at places, joiners of each kind."""
        waiting = set(self.topology.free)
        fixed = [each.place_name for each in self.build.joiners.values() if each.name not in waiting]
        room = [max(0, place.holds - fixed.count(name)) for name, place in self.build.places.items()]
        units, self._limit, self._high = fields([*room, *(kind.most for kind in self.kinds)])
        self._places = dict(zip(self.build.places, units, strict=False))
        self._kind_units = units[len(room) :]
        self._rooms = [
            *(Room(unit, 0, most) for unit, most in zip(units, room, strict=False)),
            *(Room(unit, len(kind.names), kind.most) for unit, kind in zip(self._kind_units, self.kinds, strict=True)),
        ]

    def _complete(self, used: int) -> bool:
        """Whether every joiner that the file gives has found its place."""
        return all(room.taken(used) >= room.least for room in self._rooms)

    def _sites(self) -> list[Site]:
        found = []
        for unit, kind in zip(self._kind_units, self.kinds, strict=True):
            joiner = kind.joiner
            if None in joiner.inlets or joiner.outlets[0] is None:
                continue
            volts_v = self._current_a * path_resistance_ohm(joiner) + forward_v(joiner)
            uniform = len(set(joiner.inlets)) == 1
            path_loss = self._path_loss(joiner)
            judged: dict[str | None, int | None] = {}
            for name, place in self.build.places.items():
                other_mount = kind.names and joiner.mount and place.mount and joiner.mount != place.mount
                if not place.holds or joiner.place_name not in (None, name) or other_mount:
                    continue
                mount = (joiner.mount if kind.names else None) or place.mount or joiner.mount
                path = joiner.path if kind.names else path_to("joiners", joiner.name)
                put = PutJoiner(kind, name, replace(joiner, path=path, place_name=name, mount=mount))
                if mount not in judged:
                    # Of a place the rules ask no more than how a joiner sits there.
                    judged[mount] = self._judge(put)
                    if judged[mount] is None:
                        self.unfit.extend(self.bench.obstacles.values())
                findings = judged[mount]
                if findings is None:
                    continue
                score = self.bench.score.of("findings", findings) + self.price(kind)
                found.append(
                    Site(
                        self._places[name] + unit,
                        joiner.inputs,
                        uniform,
                        score,
                        volts_v,
                        path_loss,
                        (name, joiner.name),
                    )
                )
                self.puts.append(put._replace(score=score))
        return found

    def price(self, kind: JoinerKind) -> int:
        """The score of what one more joiner of a kind costs."""
        if kind.model is None:
            return 0
        item = kind.model.item
        return self.bench.score.item("joiner", item.price if item is not None else None)

    def in_hand(self) -> int:
        """What the search counts for joiners that the file gives: all of them are used, and none is bought."""
        return sum(self.price(kind) * len(kind.names) for kind in self.kinds)

    def _path_loss(self, joiner: Joiner) -> Any:
        return cache(lambda part: self.bench.score.of("loss", path_loss_w(joiner, self._current_a * part)))

    def _judge(self, put: PutJoiner) -> int | None:
        """What the rules say of a joiner at a place, with every pack on it."""
        joiner = put.joiner.but(inputs=max(put.joiner.inputs, len(self.build.packs)))
        (controller,) = self.build.controllers.values()
        leads = {f"{PROBE} {n}": new_lead(f"{PROBE} {n}", pack, joiner.name) for n, pack in enumerate(self.build.packs)}
        leads[PROBE] = new_lead(PROBE, joiner.name, controller.name)
        self.bench.obstacles.clear()
        alone = with_joiners_alone(self.build, {joiner.name: joiner})
        probe = alone.but(leads=leads, accessories=self._taps(joiner.name, ""))
        return self.bench.findings_of(probe, joiner, (*JOINER_RULES, ceiling_exceeded.RULE))

    def _tapped(self) -> str:
        """The one joiner without a place in the tree that accessories hang on: there they have every pack's current."""
        if self.topology.drawn or not isinstance(self.topology.root, Controller):
            return ""
        sources = {source for each in self.build.accessories.values() for source in each.sources}
        tapped = [name for name in self.topology.free if name in sources]
        return tapped[0] if len(tapped) == 1 else ""

    def open_taps(self) -> bool:
        """Whether it depends on the tree which leads carry the current of some accessory."""
        sources = {source for each in self.build.accessories.values() for source in each.sources}
        several = len(self.topology.free) > 1 or self.joiners_needed() > 1
        return several and any(name not in self.build.packs for name in sources - {self.last})

    def may_meet(self, mask: int, site: int) -> bool:
        """Whether a set may meet at a site: everything does at the joiner that has to be the last."""
        return self.last not in self.puts[site].kind.names or mask == (1 << len(self.spots)) - 1

    @cached_property
    def _current_a(self) -> float:
        case, lead = self._probed("")
        return load(case, lead.path).continuous_a

    def _probed(self, pack: str) -> tuple[Case, Lead]:
        """The whole load on one lead into the root, behind a pack or, without one, behind all."""
        probe = self._probe(self._lead(ROOT, ROOT, 0, 0.0), pack)
        return Case(probe), probe.leads[PROBE]

    def alike(self, node: int) -> bool:
        """Whether it does not matter into which inlet of a node a lead goes."""
        return node == ROOT or len(set(self.puts[node - len(self.spots)].joiner.inlets)) == 1

    def fuses(self, mask: int) -> tuple[FuseKind, ...]:
        pack = self.spots[mask.bit_length() - 1].name if not mask & (mask - 1) else ""
        if pack not in self._needed_a:
            self._needed_a[pack] = needed_a(*self._probed(pack))
        found = self.bench.fuses(self._needed_a[pack], self.packs_of(mask))
        return self._fuse_sets.setdefault(found, found)

    def packs_of(self, mask: int) -> tuple[str, ...]:
        return tuple(name for n, packs in enumerate(self.packs) if mask >> n & 1 for name in packs)

    # The problem as a whole.

    def _terminals(self) -> list[Terminal]:
        case = Case(self.topology.rooted())
        onward_v = self.topology.onward_v()
        (controller,) = self.build.controllers.values()
        found = []
        for spot, packs in zip(self.spots, self.packs, strict=True):
            pack = self.build.packs.get(spot.name)
            if pack is not None:
                labels: Sequence[Label] = [leaf(case, pack, controller, None)]
            else:
                labels = kept(self.topology.labels(self.bench, self.ways, spot.name))
            labels = [label._replace(over_v=label.over_v + onward_v) for label in labels]
            kind = (spot.place, spot.outlet, labels[0][:4], share(self.build, packs, self.all_packs))
            must_fuse = self._must_fuse(spot)
            found.append(Terminal(tuple(labels), 0, packs, must_fuse, kind))
        return found

    def _problem(self) -> Problem:
        terminals = self._terminals()
        sites = self._sites()
        meets, splits = self.topology.filters([put.joiner.name for put in self.puts])
        meets = self.may_meet if self.last else meets
        return Problem(
            terminals,
            sites,
            self.topology.root_slots,
            cache(self.wires),
            self.leaves,
            self.enters,
            cache(self.fuses),
            self.bench.fuse_score,
            self.topology.may_fuse,
            cache(self.share),
            self._limit,
            self._high,
            self._complete,
            self.bench.score,
            meets,
            splits,
            self.topology.sets(),
            self._rooms,
            effort=self.bench.effort,
        )

    def toll(self, tolls: Tolls) -> None:
        """Let what is short cost a toll from now on."""
        self.problem = replace(self.problem, tolls=tolls)

    def share(self, mask: int) -> float:
        return share(self.build, self.packs_of(mask), self.all_packs)

    def copy(self) -> Layout:
        """The same bike, to be merged without touching this one."""
        return copy(self)

    def at(self, places: Collection[str]) -> Layout:
        """The same bike with joiners at some places only."""
        one, kept = copy(self), [number for number, put in enumerate(self.puts) if put.place in places]
        one.puts = [self.puts[number] for number in kept]
        one.blocked, one.unreached = defaultdict(list), set()
        one._numbered()
        one.problem = replace(
            self.problem,
            sites=[self.problem.sites[number] for number in kept],
            wires=cache(one.wires),
            leaves=one.leaves,
            enters=one.enters,
            meets=one.may_meet if one.last else self.problem.meets,
        )
        return one

    def merge(self, members: Sequence[int], site: int, label: Label) -> None:
        """Let terminals be one from now on, joined at a site."""
        before = self.problem
        put, use = self.puts[site], before.sites[site].use
        outlet = put.joiner.outlets[0]
        assert outlet is not None
        spot = Spot(put.place, outlet, "", (put, *(self.spots[number] for number in members)))
        packs = tuple(name for number in members for name in self.packs[number])
        rest = [number for number in range(len(self.spots)) if number not in members]
        self.spots = [*(self.spots[number] for number in rest), spot]
        self.packs = [*(self.packs[number] for number in rest), packs]
        self._numbered()
        used = use + sum(before.terminals[number].used for number in members)
        joined = Terminal((label,), used, packs, False, packs)
        terminals = [*(before.terminals[number] for number in rest), joined]
        self.problem = replace(
            before,
            terminals=terminals,
            wires=cache(self.wires),
            leaves=self.leaves,
            enters=self.enters,
            fuses=cache(self.fuses),
            share=cache(self.share),
            meets=self.may_meet if self.last else before.meets,
        )

    def leaves_room(self, used: int, count: int) -> bool:
        """Whether so many terminals can still be brought together when joiners have taken up so much."""
        room = self.room(used)
        taken = (used // unit % FIELD for unit in self._kind_units)
        unplaced = sum(max(0, len(kind.names) - each) for kind, each in zip(self.kinds, taken, strict=True))
        most = max((put.joiner.inputs for put in self.puts), default=2) - 1
        return unplaced < count and count - self.topology.root_slots <= room * most

    def room(self, used: int = 0) -> int:
        """Joiners that the usable places still hold."""
        usable = {put.place for put in self.puts}
        waiting = set(self.topology.free)
        fixed = [each.place_name for each in self.build.joiners.values() if each.name not in waiting]
        return sum(
            max(0, self.build.places[name].holds - fixed.count(name) - used // unit % FIELD)
            for name, unit in self._places.items()
            if name in usable
        )

    def joiners_needed(self) -> int:
        """How many joiners it takes to bring everything together; those of the file are all used."""
        most = max((put.joiner.inputs for put in self.puts), default=2)
        given = [self.build.joiners[name].inputs - 1 for name in self.topology.free]
        loose = len(self.spots) - self.topology.root_slots
        return len(given) + max(0, -(-(loose - sum(given)) // (most - 1))) if loose > 0 else 0
