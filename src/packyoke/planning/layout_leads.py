"""The leads of a layout: between packs, joiners at places and the load, and what each of them can be made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from packyoke.analysis.case import Case
from packyoke.analysis.harness.mating import mate_of
from packyoke.analysis.harness.routes import CableRoute, Routes, says_its_run
from packyoke.making.routes import cut_length_m
from packyoke.model import Accessory, Build, End, Key, Lead, Pack, Run
from packyoke.model.parts import OPEN_RUN
from packyoke.planning.growing import ROOT
from packyoke.planning.labels import Option
from packyoke.planning.options import Workbench, fused
from packyoke.planning.parts import new_lead, with_joiners_alone
from packyoke.planning.placing import PutJoiner, Spot
from packyoke.planning.result import Obstacle, Refusal, Stuck
from packyoke.planning.topology import Topology

PROBE = "probe"


class LayoutLeads:
    """Outlets and joiners at places by number, and the leads between them. Numbers: first `spots`, then `puts`."""

    def __init__(self, bench: Workbench, topology: Topology, ways: Routes) -> None:
        self.bench, self.build, self.topology, self.ways = bench, topology.build, topology, ways
        self.spots = [self._spot(name) for name in topology.roots]
        self.packs = list(topology.packs)
        self.puts: list[PutJoiner] = []
        self.blocked: dict[int, list[Obstacle]] = defaultdict(list)
        """Why leads from a node cannot be made."""
        self._made: dict[object, Sequence[Option]] = {}
        """Leads that are alike, made once."""
        self._led: dict[tuple[int, int], Sequence[Option]] = {}
        """The same by what they lead from and to: found without making the lead."""
        self._cases: dict[object, Case] = {}
        """The whole load on one lead, by what it leads from and to."""
        self._runs: dict[int, Run] = {}
        """How a lead lies along each way, by the way's id."""
        self._ends: dict[object, int] = {}
        """A number for everything that a lead can leave or enter."""
        self._numbered()
        self.unreached: set[tuple[str, str]] = set()
        self.all_packs = tuple(name for packs in topology.packs for name in packs)
        self.root_place, self.root_inlet = self._root()

    def _numbered(self) -> None:
        """Nodes are numbered anew: what was known by their numbers counts no longer."""
        self._left: dict[int, int] = {}
        self._entered: dict[tuple[int, int], int] = {}

    def leaves(self, node: int) -> int:
        """A number for what a lead leaves: nodes of one number are left by the same leads."""
        found = self._left.get(node)
        if found is None:
            if node < len(self.spots):
                whose: object = self.spots[node].name, self.packs[node]
            else:
                whose = self.puts[node - len(self.spots)].kind.names
            key = self._place(node), self._outlet(node), whose
            found = self._left[node] = self._ends.setdefault(key, len(self._ends))
        return found

    def enters(self, target: int, inlet: int) -> int:
        """The same for what a lead leads into."""
        found = self._entered.get((target, inlet))
        if found is None:
            whose = self._name(target) if self.topology.drawn else ""
            key = self._place(target), self._inlet(target, inlet), whose
            found = self._entered[target, inlet] = self._ends.setdefault(key, len(self._ends))
        return found

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
            connector = f"which connector is on {part.name}"
            words = {"place_name": f"where {part.name} sits", "inlet": connector, "inlets": connector}
            said = " and ".join(words[attr] for attr in asked)
            do = f"Write  {' and '.join(attr.removesuffix('_name') + ':' for attr in asked)}  at {part.name}."
            raise _not_in_file(said, do, *(Key(part.path, attr) for attr in asked))
        return part.place_name, inlet

    def _lead(self, node: int, target: int, inlet: int, length_m: float) -> Lead:
        (controller,) = self.build.controllers.values()
        return new_lead(PROBE, next(iter(self.build.packs)), controller.name, self.build.lead_insulation).but(
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
        return with_joiners_alone(self.build, {}).but(
            packs={pack.name: pack},
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
        between = self.leaves(node), self.enters(target, inlet)
        if drawn is None and between in self._led:
            return self._led[between]
        places = self._place(node), self._place(target)
        way = self.ways.get(places)
        if way is None and (drawn is None or drawn.length_m is None):
            self.unreached.add(places)
            return ()
        pack = self.spots[node].name if node < len(self.spots) else ""
        packs = self.packs[node] if node < len(self.spots) else self.all_packs
        plugs = (self._outlet(node), self._inlet(target, inlet))
        holder = node < len(self.spots) and self._must_fuse(self.spots[node])
        length_m = 0.0 if way is None else cut_length_m(way.length_m, holder)
        run = OPEN_RUN if way is None else self._run(way)
        taps = tuple(self._taps(PROBE, pack, node))
        alike = (plugs, pack, packs, taps, length_m, run)
        if drawn is None and alike in self._made:
            self._led[between] = self._made[alike]
            return self._made[alike]
        lead = self._lead(node, target, inlet, length_m).but(run=run)
        if drawn is not None:
            given_run = drawn.run if says_its_run(self.build, drawn) or drawn.length_m is not None else lead.run
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
        # How long a lead is and how it lies changes nothing of what flows in it.
        case = self._cases.get(alike[:4]) if drawn is None else None
        if case is None:
            case = Case(self._probe(lead, pack, node))
            if drawn is None:
                self._cases[alike[:4]] = case
        self.bench.obstacles.clear()
        found = self.bench.options(
            case,
            lead.but(source=case.build.leads[PROBE].source),
            packs,
            must_fuse=False,
            may_fuse=False,
            key=(plugs, pack, taps),
            fixed=drawn if drawn is not None else lead.but(length_m=None, ends=(None, None)),
        )
        if not found:
            self.blocked[node].extend(self.bench.obstacles.values())
        elif drawn is None:
            self._made[alike] = self._led[between] = found
        return found

    def _run(self, way: CableRoute) -> Run:
        found = self._runs.get(id(way))
        if found is None:
            found = self._runs[id(way)] = way.run
        return found

    def _taps(self, source: str, pack: str, node: int = ROOT) -> dict[str, Accessory]:
        """Accessories as the load of one part: those of its pack, and of joiners that may lie ahead, not behind."""
        behind = set(self.puts[node - len(self.spots)].kind.names) if node >= len(self.spots) else set()
        found = {}
        for name, each in self.build.accessories.items():
            ahead = [other for other in each.sources if other not in self.build.packs]
            if pack in each.sources or (ahead and not (len(behind) == 1 and set(ahead) == behind)):
                found[name] = replace(each, sources=(source,))
        return found

    def _name(self, node: int) -> str:
        if node == ROOT:
            return self.topology.root.name
        return self.spots[node].name if node < len(self.spots) else self.puts[node - len(self.spots)].joiner.name

    def _drawn(self, node: int) -> Lead | None:
        """The lead that the file draws from a node."""
        return self.topology.leads_from.get(self._name(node)) if self.topology.drawn else None

    def _must_fuse(self, spot: Spot) -> bool:
        pack = self.build.packs.get(spot.name)
        return pack is not None and not fused(pack)


def _not_in_file(what: str, do: str, *missing: Key) -> Stuck:
    return Stuck(Refusal(kind="fact", text=f"not in the file: {what}", do=do, missing=missing))
