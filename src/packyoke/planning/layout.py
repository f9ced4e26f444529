"""From a build with places and runs to the search problem, and from its answer back to a drawn harness."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from copy import copy
from dataclasses import replace
from functools import cache, cached_property
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load
from packyoke.analysis.circuit.network import forward_v, path_resistance_ohm
from packyoke.analysis.harness.mating import mate_of
from packyoke.analysis.limits.fusing import needed_a
from packyoke.core.paths import path_to
from packyoke.making.routes import Routes, cut_length_m
from packyoke.model import Accessory, Build, Controller, End, Joiner, Key, Lead, Pack
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.dress import leaf, path_loss_w, share
from packyoke.planning.growing import ROOT
from packyoke.planning.labels import Label, Option, kept
from packyoke.planning.options import JOINER_RULES, Workbench, fused
from packyoke.planning.parts import new_lead
from packyoke.planning.placing import JoinerKind, PutJoiner, Spot, kinds
from packyoke.planning.result import Obstacle, Refusal, Stuck
from packyoke.planning.search import FIELD_BITS, Problem, Site, Terminal, fields
from packyoke.planning.topology import Topology
from packyoke.rules import ceiling_exceeded

PROBE = "probe"
FIELD = 1 << FIELD_BITS
MOST_EXACT = 6
"""Terminals up to which the search is exact; above, the nearest are joined first."""


class Layout:
    """One bike to be laid out: what is to be brought together, where joiners may sit, what leads between them cost."""

    def __init__(self, bench: Workbench, topology: Topology, ways: Routes, *, tapped_last: bool = True) -> None:
        """`tapped_last`: whether the joiner that accessories hang on has to be the last before the load."""
        self.bench, self.build, self.topology, self.ways = bench, topology.build, topology, ways
        self.spots = [self._spot(name) for name in topology.roots]
        self.packs = list(topology.packs)
        self.puts: list[PutJoiner] = []
        self.blocked: dict[int, list[Obstacle]] = defaultdict(list)
        self.unfit: list[Obstacle] = []
        """Why leads from a node cannot be made, and why joiners cannot be used."""
        self._made: dict[object, Sequence[Option]] = {}
        """Leads that are alike, made once."""
        self.unreached: set[tuple[str, str]] = set()
        self.all_packs = tuple(name for packs in topology.packs for name in packs)
        self.root_place, self.root_inlet = self._root()
        self.kinds = kinds(topology, bench.shelf.models, len(self.spots))
        self.last = self._tapped() if tapped_last else ""
        self._capacities()
        self._needed_a: dict[str, float | None] = {}  # of a fuse, by the pack that the load comes from
        self.problem = self._problem()

    # What there is.

    def _spot(self, name: str) -> Spot:
        part = self.build.packs.get(name) or self.build.joiners[name]
        outlet = part.outlet if isinstance(part, Pack) else part.outlets[0]
        attr = "outlet" if isinstance(part, Pack) else "outlets"
        if part.place_name is None:
            do = f"Write  place:  at {name}, one of {', '.join(self.build.places)}."
            raise _not_in_file(f"where {name} sits", do, Key(part.path, "place_name"))
        if outlet is None:
            do = f"Look at it, and write it after  outlet:  of {name}."
            raise _not_in_file(f"which connector is on {name}", do, Key(part.path, attr))
        return Spot(part.place_name, outlet, name)

    def _root(self) -> tuple[str, End]:
        part, inlet = self.topology.root, self.topology.root_inlet
        asked = [
            attr for attr, value in (("place_name", part.place_name), (self.topology.root_attr, inlet)) if not value
        ]
        if part.place_name is None or inlet is None:
            words = {"place_name": "where it sits", "inlet": "its connector", "inlets": "its connector"}
            said = " and ".join(words[attr] for attr in asked)
            do = f"Write  {' and '.join(attr.removesuffix('_name') for attr in asked)}  at it."
            raise _not_in_file(f"of {part.name} {said}", do, *(Key(part.path, attr) for attr in asked))
        return part.place_name, inlet

    def _capacities(self) -> None:
        """Units of what is taken up: room at places, joiners of each kind."""
        waiting = set(self.topology.free)
        fixed = [each.place_name for each in self.build.joiners.values() if each.name not in waiting]
        room = [max(0, place.holds - fixed.count(name)) for name, place in self.build.places.items()]
        units, self._limit, self._high = fields([*room, *(kind.most for kind in self.kinds)])
        self._places = dict(zip(self.build.places, units, strict=False))
        self._kind_units = units[len(room) :]

    def _complete(self, used: int) -> bool:
        """Whether every joiner that the file gives has found its place."""
        counted = zip(self._kind_units, self.kinds, strict=True)
        return all(used // unit % FIELD >= len(kind.names) for unit, kind in counted)

    def _sites(self) -> list[Site]:
        found = []
        for unit, kind in zip(self._kind_units, self.kinds, strict=True):
            joiner = kind.joiner
            if None in joiner.inlets or joiner.outlets[0] is None:
                continue
            for name, place in self.build.places.items():
                other_mount = kind.names and joiner.mount and place.mount and joiner.mount != place.mount
                if not place.holds or joiner.place_name not in (None, name) or other_mount:
                    continue
                mount = (joiner.mount if kind.names else None) or place.mount or joiner.mount
                path = joiner.path if kind.names else path_to("joiners", joiner.name)
                put = PutJoiner(kind, name, replace(joiner, path=path, place_name=name, mount=mount))
                findings = self._judge(put)
                if findings is None:
                    self.unfit.extend(self.bench.obstacles.values())
                    continue
                score = self.bench.score.of("findings", findings) + self.price(kind)
                volts_v = self._current_a * path_resistance_ohm(joiner) + forward_v(joiner)
                uniform = len(set(joiner.inlets)) == 1
                found.append(
                    Site(
                        self._places[name] + unit,
                        joiner.inputs,
                        uniform,
                        score,
                        volts_v,
                        self._path_loss(joiner),
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
        probe = self.build.but(joiners={joiner.name: joiner}, leads=leads, accessories=self._taps(joiner.name, ""))
        return self.bench.findings_of(probe, joiner, (*JOINER_RULES, ceiling_exceeded.RULE))

    def _taps(self, source: str, pack: str, node: int = ROOT) -> dict[str, Accessory]:
        """Accessories as the load of one part: those of its pack, and of joiners that may lie ahead, not behind."""
        behind = set(self.puts[node - len(self.spots)].kind.names) if node >= len(self.spots) else set()
        found = {}
        for name, each in self.build.accessories.items():
            ahead = [other for other in each.sources if other not in self.build.packs]
            if pack in each.sources or (ahead and not (len(behind) == 1 and set(ahead) == behind)):
                found[name] = replace(each, sources=(source,))
        return found

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

    # What a lead costs.

    def _lead(self, node: int, target: int, inlet: int, length_m: float) -> Lead:
        (controller,) = self.build.controllers.values()
        return new_lead(PROBE, next(iter(self.build.packs)), controller.name).but(
            length_m=length_m,
            ends=(mate_of(self._outlet(node)), mate_of(self._inlet(target, inlet))),
        )

    def _outlet(self, node: int) -> End:
        if node == ROOT:
            return mate_of(self.root_inlet)
        if node < len(self.spots):
            return self.spots[node].outlet
        found = self.puts[node - len(self.spots)].joiner.outlets[0]
        assert found is not None
        return found

    def _inlet(self, target: int, inlet: int) -> End:
        if target == ROOT:
            return self.root_inlet
        found = self.puts[target - len(self.spots)].joiner.inlets[inlet]
        assert found is not None
        return found

    def _place(self, node: int) -> str:
        if node == ROOT:
            return self.root_place
        return self.spots[node].place if node < len(self.spots) else self.puts[node - len(self.spots)].place

    def _probe(self, lead: Lead, pack_name: str, node: int = ROOT) -> Build:
        """The whole load on one lead between two connectors."""
        (controller,) = self.build.controllers.values()
        lowest = min(self.build.packs.values(), key=lambda each: each.cut_off_v or 0.0)
        pack = self.build.packs.get(pack_name, lowest)
        ends = [mate_of(end) for end in lead.ends if end is not None]
        pack = pack.but(outlet=ends[0])
        return self.build.but(
            packs={pack.name: pack},
            joiners={},
            leads={lead.name: lead.but(source=pack.name)},
            controllers={controller.name: controller.but(inlet=ends[1])},
            accessories=self._taps(lead.name, pack_name, node),
            items={path: item for path, item in self.build.items.items() if path == pack.path},
        )

    def wires(self, node: int, target: int, inlet: int) -> Sequence[Option]:
        """The wires of a lead between two nodes; none where no way leads from one to the other."""
        drawn = self._drawn(node)
        if drawn is not None and (drawn.direct or drawn.target != self._name(target)):
            return ()
        way = self.ways.get((self._place(node), self._place(target)))
        if way is None and (drawn is None or drawn.length_m is None):
            self.unreached.add((self._place(node), self._place(target)))
            return ()
        holder = node < len(self.spots) and self._must_fuse(self.spots[node])
        lead = self._lead(node, target, inlet, 0.0 if way is None else cut_length_m(way.length_m, holder))
        lead = lead if way is None else lead.but(run=way.run)
        if drawn is not None:
            given_run = drawn.run if "run" in drawn.spans or drawn.length_m is not None else lead.run
            ends = tuple(own or end for own, end in zip(drawn.ends, lead.ends, strict=True))
            lead = replace(
                lead,
                length_m=drawn.length_m or lead.length_m,
                gauge=drawn.gauge,
                insulation=drawn.insulation,
                run=given_run,
                ends=(ends[0], ends[1]),
                switch=drawn.switch,
                fuse=drawn.fuse,
            )
        pack = self.spots[node].name if node < len(self.spots) else ""
        packs = self.packs[node] if node < len(self.spots) else self.all_packs
        taps = tuple(self._taps(PROBE, pack, node))
        plugs = (self._outlet(node), self._inlet(target, inlet))
        alike = (plugs, pack, packs, taps, lead.length_m, lead.run)
        if drawn is None and alike in self._made:
            return self._made[alike]
        probe = self._probe(lead, pack, node)
        self.bench.obstacles.clear()
        found = self.bench.options(
            Case(probe),
            probe.leads[PROBE],
            packs,
            must_fuse=False,
            may_fuse=False,
            key=(plugs, pack, taps),
            fixed=drawn if drawn is not None else lead.but(length_m=None, ends=(None, None)),
        )
        if not found:
            self.blocked[node].extend(self.bench.obstacles.values())
        elif drawn is None:
            self._made[alike] = found
        return found

    def alike(self, node: int) -> bool:
        """Whether it does not matter into which inlet of a node a lead goes."""
        return node == ROOT or len(set(self.puts[node - len(self.spots)].joiner.inlets)) == 1

    def _name(self, node: int) -> str:
        if node == ROOT:
            return self.topology.root.name
        return self.spots[node].name if node < len(self.spots) else self.puts[node - len(self.spots)].joiner.name

    def _drawn(self, node: int) -> Lead | None:
        """The lead that the file draws from a node."""
        return self.topology.leads_from.get(self._name(node)) if self.topology.drawn else None

    def fuses(self, mask: int) -> tuple[FuseKind, ...]:
        pack = self.spots[mask.bit_length() - 1].name if not mask & (mask - 1) else ""
        if pack not in self._needed_a:
            self._needed_a[pack] = needed_a(*self._probed(pack))
        return self.bench.fuses(self._needed_a[pack], self.packs_of(mask))

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

    def _must_fuse(self, spot: Spot) -> bool:
        pack = self.build.packs.get(spot.name)
        return pack is not None and not fused(pack)

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
        )

    def share(self, mask: int) -> float:
        return share(self.build, self.packs_of(mask), self.all_packs)

    def copy(self) -> Layout:
        """The same bike, to be merged without touching this one."""
        return copy(self)

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
        used = use + sum(before.terminals[number].used for number in members)
        joined = Terminal((label,), used, packs, False, packs)
        terminals = [*(before.terminals[number] for number in rest), joined]
        self.problem = replace(
            before,
            terminals=terminals,
            wires=cache(self.wires),
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


def _not_in_file(what: str, do: str, *missing: Key) -> Stuck:
    return Stuck(Refusal(kind="fact", text=f"not in the file: {what}", do=do, missing=missing))
