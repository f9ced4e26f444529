"""Which part feeds which: the tree from the packs to the controllers, and what is wrong with it as a drawing."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.beside import fed_inside, one_way, order_of, side_by_side
from packyoke.core.paths import PartPath, is_joiner, is_lead, name_of, path_to
from packyoke.model import Build, Controller, Joiner, Lead, Pack, Part

MOST_STEPS = 500
"""Leads followed for one pack. Ways can be drawn so that they double at each joiner; no real bike comes near this."""
MOST_TOGETHER = 3000
"""The same for all packs together."""
MOST_PARTS = 120
"""Leads and joiners on one way: 24 packs in one chain make 49."""
MOST_LOOPS = 20
"""Loops that one pack runs into: leads between a few joiners can make thousands."""
MOST_TURNED = 24
"""Leads between joiners that are tried the other way round when a drawing is broken."""
MOST_TOO_MANY = 6
"""Leads beyond one for each pack and joiner up to which a drawing is looked at as one with a lead the wrong way."""


class Fault(NamedTuple):
    """Why the drawing cannot be a harness. `kind` is one of the words of `harness-broken`.

    `found` against `most` counts leads, where that is the fault; `others` are the paths of other parts in it.
    """

    kind: str
    part: PartPath
    about: str
    others: tuple[PartPath, ...] = ()
    found: int = 0
    most: int = 0


@dataclass(slots=True)
class Harness:
    """The drawing of a build. Names are those of the file; leads are listed in the order of the file."""

    leads_into: dict[str, list[Lead]] = field(default_factory=dict)
    leads_from: dict[str, list[Lead]] = field(default_factory=dict)
    ways: dict[str, tuple[tuple[PartPath, ...], ...]] = field(default_factory=dict)
    """For each pack that reaches a controller: its ways, as part paths from the pack to the controller."""
    packs_behind: dict[PartPath, tuple[str, ...]] = field(default_factory=dict)
    """For each part path on a way: the names of the packs whose current can pass it."""
    controllers_ahead: dict[PartPath, tuple[str, ...]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    """As they are found; `faults` of this module says which come from a lead drawn the wrong way round."""
    passed_over: Set[str] = frozenset()
    """Names of leads that no way leads through where a drawing has loops, or more ways to a controller than one: what
    is left ends at a pack, whoever follows it."""
    beside: dict[str, PartPath] = field(default_factory=dict)
    """Names of leads beside another one between the same two parts, and the path of the one that stands for both."""
    charge_ways: dict[str, frozenset[str]] = field(default_factory=dict)
    charged_through: dict[tuple[str, str], bool] = field(default_factory=dict)
    """By joiner, and by joiner and pack: what `charging.meant` finds once for a drawing and the joiners in it."""
    _passed: dict[str, frozenset[PartPath]] = field(default_factory=dict)
    _past: dict[PartPath, frozenset[str]] = field(default_factory=dict)
    _back: dict[tuple[str, str], tuple[str, ...] | None] = field(default_factory=dict)

    def intact(self) -> bool:
        return not self.faults

    def fed_past(self, path: PartPath) -> frozenset[str]:
        """The names of parts whose current passes another part on its way: what is tied to them draws through it."""
        found = self._past.get(path)
        if found is None:
            names = {name_of(each) for ways in self.ways.values() for way in ways for each in way}
            found = self._past[path] = frozenset(name for name in names if path in self.passed_before(name))
        return found

    def passed_before(self, name: str) -> frozenset[PartPath]:
        """The paths of the parts that current passes on its way to what is tied to a part: up to a joiner's outlet, to
        the load end of a lead, of a pack to that of its own lead."""
        found = self._passed.get(name)
        if found is None:
            paths: set[PartPath] = set()
            pack, joiner, lead = path_to("packs", name), path_to("joiners", name), path_to("leads", name)
            for way in (way for ways in self.ways.values() for way in ways):
                if way[0] == pack:
                    paths.update(way[:2])
                for path in (joiner, lead):
                    if path in way:
                        paths.update(way[: way.index(path) + 1])
            found = self._passed[name] = frozenset(paths)
        return found

    def back_to(self, pack: str, joiner: str, joiners: Container[str]) -> tuple[str, ...] | None:
        """The joiners from one back to a pack, itself included; None when the pack is not behind it. Follows the leads
        among `joiners`, so that it needs no controller and no whole harness."""
        key, seen = (pack, joiner), {joiner}
        open_ways: list[tuple[str, ...]] = [(joiner,)]
        while open_ways and key not in self._back:
            way = open_ways.pop()
            for lead in self.leads_into.get(way[-1], ()):
                if lead.source == pack:
                    self._back.setdefault(key, way)
                elif lead.source in joiners and lead.source not in seen:
                    seen.add(lead.source)
                    open_ways.append((*way, lead.source))
        return self._back.setdefault(key, None)

    def feeding(self, name: str) -> list[Lead]:
        """The leads into a part that may be followed back to the packs."""
        return [lead for lead in self.leads_into.get(name, ()) if lead.name not in self.passed_over]

    def onward(self, name: str) -> list[Lead]:
        """The leads out of a part that may be followed to the controllers."""
        return [lead for lead in self.leads_from.get(name, ()) if lead.name not in self.passed_over]


@once
def harness(case: Case) -> Harness:
    """Follow every pack to the controllers; collect what is wrong on the way."""
    return _drawn(case.build)


@once
def faults(case: Case) -> list[Fault]:
    """What is wrong with a drawing; one lead drawn the wrong way round is named as that and not by all it causes."""
    found = harness(case).faults
    return _explained(case.build, found) if found else found


def carrying_all(case: Case, lead: Lead) -> Case:
    """The case in which a lead stands for those beside it: it carries all when the plug of another works loose."""
    return _with_all_on(case, lead.name) if lead.name in harness(case).beside else case


@once
def _with_all_on(case: Case, name: str) -> Case:
    found = Case(case.build)
    found.take_over(harness, _drawn(case.build, name))
    return found


def _drawn(build: Build, in_use: str = "") -> Harness:
    """:param in_use: of leads beside one another the one that is followed; else the first by name"""
    found = Harness()
    into, out = found.leads_into, found.leads_from
    for lead in build.leads.values():
        into.setdefault(lead.target, []).append(lead)
        out.setdefault(lead.source, []).append(lead)
    place = order_of(build, in_use)
    for first, *others in side_by_side(build, place):
        paths = [build.leads[name].path for name in (first, *others)]
        found.beside |= dict.fromkeys(others, paths[0])
        found.faults.append(_divides(build.leads[first].source, paths[1], (paths[0], *paths[2:])))
    beside = found.beside
    _count_leads(build, found, beside)
    if beside:
        alone = {name: [lead for lead in leads if lead.name not in beside] for name, leads in out.items()}
        out = {name: sorted(leads, key=lambda lead: place[lead.name]) for name, leads in alone.items()}
    behind: dict[PartPath, list[str]] = {}
    ahead: dict[PartPath, list[str]] = {}
    walked, left = [], MOST_TOGETHER
    for pack in build.packs.values():
        walk = _Walk(build, out, pack, min(left, MOST_STEPS))
        walked.append((walk, tuple(walk.ways())))
        left -= walk.followed
    loops = {key: fault for walk, _ in walked for key, fault in walk.loops.items()}
    reached = {name for walk, _ in walked for name in walk.reached}
    closing = _closing(build, out, loops.values())
    kept = one_way(build, {each: [lead for lead in out[each] if lead.name not in closing] for each in out}, place)
    found.passed_over = build.leads.keys() - {lead.name for leads in kept.values() for lead in leads}
    closing_paths = {build.leads[name].path for name in closing}
    for walk, every in walked:
        pack, name = walk.pack, walk.pack.name
        open_ways = [way for way in every if closing_paths.isdisjoint(way)]
        meet = len({way[-1] for way in open_ways}) < len(open_ways)
        if meet:
            found.faults.append(_second_way(name, open_ways))
        ways = every if not found.passed_over else tuple(_Walk(build, kept, pack, MOST_STEPS).ways())
        if ways:
            found.ways[name] = ways
        elif build.controllers and not walk.loops:
            found.faults.append(Fault("reaches no controller", pack.path, walk.last_words()))
        if walk.endless and not meet:
            about = "more ways or joiners lead on from it than can be followed"
            found.faults.append(Fault("too many ways", pack.path, about))
        for way in ways:
            controller_name = name_of(way[-1])
            for path in way:
                if name not in behind.setdefault(path, []):
                    behind[path].append(name)
                if controller_name not in ahead.setdefault(path, []):
                    ahead[path].append(controller_name)
    found.faults += loops.values()
    if build.packs and not loops:
        unfed: list[Joiner | Controller] = [each for each in build.joiners.values() if each.name not in reached]
        unfed += [each for each in build.controllers.values() if each.path not in behind]
        found.faults += [Fault("not fed", each.path, "no pack reaches it") for each in unfed]
    found.packs_behind = {path: tuple(names) for path, names in behind.items()}
    found.controllers_ahead = {path: tuple(names) for path, names in ahead.items()}
    return found


def _closing(build: Build, out: dict[str, list[Lead]], loops: Iterable[Fault]) -> frozenset[str]:
    """The leads that loops are blamed on, and what closes those that no pack's way comes to."""
    found = {name_of(fault.part) for fault in loops}
    done: set[str] = set()
    for first in build.joiners:
        way: dict[str, Iterator[Lead]] = {} if first in done else {first: iter(out.get(first, ()))}
        while way:
            name = next(reversed(way))
            for lead in way[name]:
                if lead.name in found or lead.target not in build.joiners:
                    continue
                if lead.target in way:
                    found.add(lead.name)
                elif lead.target not in done:
                    way[lead.target] = iter(out.get(lead.target, ()))
                    break
            else:
                done.add(name)
                del way[name]
    return frozenset(found)


def _second_way(name: str, ways: Sequence[tuple[PartPath, ...]]) -> Fault:
    """The second lead at the fork from which two ways lead to one controller, or the one that goes round a joiner."""
    first = next(way for way in ways if sum(each[-1] == way[-1] for each in ways) > 1)
    second = next(way for way in ways if way is not first and way[-1] == first[-1])
    of_first, of_second = ([path for path in way if is_joiner(path)] for way in (first, second))
    if set(of_first) < set(of_second):
        first, second, of_first, of_second = second, first, of_second, of_first
    passed = tuple(path for path in of_first if path not in of_second)
    at = next(path for path, other in zip(second, first, strict=False) if path != other)
    if passed and set(of_second) < set(of_first):
        return Fault("round a joiner", at, f"a way of {name} past {' and '.join(map(name_of, passed))}", passed)
    return _divides(name, at)


def _divides(source: str, lead: PartPath, others: tuple[PartPath, ...] = ()) -> Fault:
    return Fault("two ways", lead, f"the current of {source} divides, and nobody can tell how", others)


def _count_leads(build: Build, found: Harness, beside: Container[str]) -> None:
    """More leads than there are places for them, or two in one place; one beside another is a fault of its own."""
    into, out = (
        {part: [lead for lead in leads if lead.name not in beside] for part, leads in side.items()}
        for side in (found.leads_into, found.leads_from)
    )
    for name, joiner in build.joiners.items():
        leads = into.get(name, ())
        if len(leads) > joiner.inputs:
            found.faults.append(_crowded("in", joiner, len(leads), joiner.inputs))
        elif len(leads) > 1:
            named = [lead.inlet for lead in leads if lead.inlet is not None]
            if len(set(named)) < len(named):
                found.faults.append(Fault("one inlet twice", joiner.path, "two leads name the same inlet"))
        leads = out.get(name, ())
        if joiner.built_in is None and len(leads) > len(joiner.outlets) and joiner.outlets != (None,):
            found.faults.append(_crowded("out", joiner, len(leads), len(joiner.outlets)))
    # What the bike maker led to the controller takes its inlet, too.
    inside = [path_to("joiners", name) for name in into if not out.get(name) and fed_inside(build, name)]
    for name, controller in build.controllers.items():
        if (count := len(into.get(name, ())) + len(inside)) > 1:
            found.faults.append(_crowded("in", controller, count, 1, inside))
    for name, pack in build.packs.items():
        leads = out.get(name, ())
        if len(leads) > 1:
            found.faults.append(_crowded("out", pack, len(leads), 1))


def _crowded(side: str, part: Part, found: int, most: int, others: Sequence[PartPath] = ()) -> Fault:
    about = f"{found} leads, {most} place{'s' if most != 1 else ''}"
    return Fault(f"too many leads {side}", part.path, about, (*others,), found, most)


class _Walk:
    """One pack followed along its leads: its ways, and where it ran into a loop or came to an end."""

    def __init__(self, build: Build, out: dict[str, list[Lead]], pack: Pack, most: int) -> None:
        self.build, self.out, self.pack, self.most = build, out, pack, most
        self.followed = 0
        self.loops: dict[frozenset[str], Fault] = {}
        self.reached: set[str] = set()
        self.ends: list[str] = []
        self.endless = False

    def ways(self) -> Iterator[tuple[PartPath, ...]]:
        build, name = self.build, self.pack.name
        open_ways: list[tuple[str, tuple[PartPath, ...]]] = [(name, (self.pack.path,))]
        while open_ways:
            name, way = open_ways.pop()
            leads = self.out.get(name, ())
            self.followed += len(leads)
            if self.followed > self.most or len(way) > MOST_PARTS or len(self.loops) > MOST_LOOPS:
                self.endless = True
                return
            if not leads:
                self.ends.append(name)
            for lead in reversed(leads):
                if lead.target in build.controllers:
                    yield (*way, lead.path, build.controllers[lead.target].path)
                elif lead.target in build.joiners:
                    joiner = build.joiners[lead.target]
                    if joiner.path in way:
                        self._loop(way[way.index(joiner.path) + 1 :], lead)
                        continue
                    self.reached.add(joiner.name)
                    further = (*way, lead.path, joiner.path)
                    controller = None if self.out.get(joiner.name) else fed_inside(build, joiner.name)
                    if controller is not None:
                        yield (*further, build.controllers[controller].path)
                    open_ways.append((lead.target, further))

    def _loop(self, round_way: tuple[PartPath, ...], last: Lead) -> None:
        """A loop, blamed on the lead that leaves a joiner beside another way out; the same one whoever finds it."""
        leads = [self.build.leads[name_of(path)] for path in round_way if is_lead(path)]
        leads.append(last)
        forks = [lead for lead in leads if len(self.out[lead.source]) > 1]
        blamed = min(forks or leads, key=lambda lead: lead.name)
        paths = tuple(sorted(lead.path for lead in leads))
        others = tuple(path for path in paths if path != blamed.path)
        self.loops[frozenset(paths)] = Fault("loop", blamed.path, "leads back to where it came from", others)

    def last_words(self) -> str:
        if self.ends in ([], [self.pack.name]):
            return "no lead leaves it"
        return f"no lead leaves {' and '.join(sorted(self.ends))}"


def _explained(build: Build, found: list[Fault]) -> list[Fault]:
    """The same faults, or the one lead that only has to be turned round and what is left after that.

    A drawing with many leads more than parts is more than one lead away from a harness: none is tried.
    """
    if len(build.leads) > len(build.packs) + len(build.joiners) + MOST_TOO_MANY:
        return found
    joined = build.joiners.keys()
    beside = {name for names in side_by_side(build, order_of(build)) for name in names}
    between = [
        each for name, each in build.leads.items() if {each.source, each.target} <= joined and name not in beside
    ]
    before = {(fault.kind, fault.part) for fault in found}
    best: tuple[int, str, list[Fault]] | None = None
    for lead in between[:MOST_TURNED]:
        turned = replace(lead, source=lead.target, target=lead.source, inlet=None)
        after = _drawn(replace(build, leads={**build.leads, lead.name: turned})).faults
        if {(fault.kind, fault.part) for fault in after} < before:
            about = f"from {lead.source} to {lead.target}"
            better = [Fault("backwards", lead.path, about), *after]
            if best is None or (len(after), lead.name) < best[:2]:
                best = (len(after), lead.name, better)
    return best[2] if best else found


def can_join(case: Case, first: str, second: str) -> Joiner | None:
    """The joiner at which the ways of two packs meet for the first time, or None when they never do."""
    drawing = harness(case)
    for way in drawing.ways.get(first, ()):
        for path in way:
            if is_joiner(path) and second in drawing.packs_behind[path]:
                return case.build.joiners[name_of(path)]
    return None
