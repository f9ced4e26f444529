"""What of the harness is drawn already, and what is left to be brought together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.drop import part_drop_v
from packyoke.analysis.harness.drawing import Harness, faults, harness
from packyoke.analysis.harness.routes import Routes
from packyoke.core.paths import name_of, path_to
from packyoke.model import Build, Controller, End, Joiner, Lead
from packyoke.planning.catalogue import BLOCKING
from packyoke.planning.labels import Label
from packyoke.planning.options import Workbench, blank_fuse
from packyoke.planning.parts import new_lead
from packyoke.planning.ready import ready
from packyoke.planning.result import NoPlan, Refusal, Stuck

GAPS = ("reaches no controller", "not fed")
"""Faults of a drawing that a plan is there to mend."""


@dataclass(slots=True)
class Topology:
    """Outlets to be brought together (`roots`, with the packs behind each) and where they are to end (`root`).

    `free`: joiners of the file that wait for a place in the tree. `drawn`: the tree is drawn whole, only places are
    open; then `leads_from` has its leads by what they come from.
    """

    build: Build
    drawn: bool
    roots: tuple[str, ...]
    packs: tuple[tuple[str, ...], ...]
    free: tuple[str, ...]
    root: Controller | Joiner
    root_inlet: End | None
    root_attr: str
    root_slots: int
    leads_from: dict[str, Lead] = field(default_factory=dict)
    children: dict[str, frozenset[int]] = field(default_factory=dict)

    def filters(
        self, site_joiners: Sequence[str]
    ) -> tuple[Callable[[int, int], bool] | None, Callable[[int, int], bool] | None]:
        """For a drawn tree: whether a set may meet at a site, and whether it may be a child there."""
        if not self.drawn:
            return None, None
        wholes = {name: sum(parts) for name, parts in self.children.items()}
        last = sum(1 << number for number in range(len(self.roots)))

        def meets(mask: int, site: int) -> bool:
            return wholes[site_joiners[site]] == mask

        def splits(part: int, site: int) -> bool:
            # The root of all is no joiner: whatever ends there is the whole.
            return part == last if site < 0 else part in self.children[site_joiners[site]]

        return meets, splits

    def sets(self) -> frozenset[int] | None:
        """For a drawn tree: the sets of roots that ever come together, a joiner that is half filled included."""
        if not self.drawn:
            return None
        found = {1 << number for number in range(len(self.roots))}
        for name, parts in self.children.items():
            alike = len(set(self.build.joiners[name].inlets)) == 1
            halves = {0}
            for part in sorted(parts, key=lambda each: each & -each):
                # Where it does not matter which inlet a lead takes, they come one after the other.
                halves |= {half | part for half in ({max(halves)} if alike else halves)}
            found |= halves - {0}
        return frozenset(found)

    def may_fuse(self, mask: int) -> bool:
        """Whether a fuse may be planned in the lead behind a set of roots."""
        if not self.drawn:
            return True
        name = next((name for name, parts in self.children.items() if sum(parts) == mask), None)
        if name is None:
            name = self.roots[mask.bit_length() - 1]
        lead = self.leads_from.get(name)
        return lead is None or (blank_fuse(lead) and not lead.direct)

    def rooted(self) -> Build:
        """The build with every root plugged straight into the controller, so that loads can be told."""
        (controller,) = self.build.controllers.values()
        leads = dict(self.build.leads)
        for name in self.roots:
            if not any(lead.source == name for lead in leads.values()):
                lead = new_lead(f"probe of {name}", name, controller.name)
                leads[lead.name] = replace(lead, direct=True)
        return replace(self.build, leads=leads)

    def onward_v(self) -> float:
        """What is lost between the root and the controller, where the root is a joiner whose lead is drawn [V]."""
        if isinstance(self.root, Controller):
            return 0.0
        case = Case(self.rooted())
        lost_v, name = 0.0, self.root.name
        for _ in range(len(self.build.joiners) + 1):
            lead = next((each for each in self.build.leads.values() if each.source == name), None)
            lost_v += part_drop_v(case, path_to("joiners", name)) if name in self.build.joiners else 0.0
            if lead is None or lead.length_m is None or lead.gauge is None:
                return lost_v
            lost_v += part_drop_v(case, lead.path)
            name = lead.target
            if name in self.build.controllers:
                return lost_v
        return lost_v

    def labels(self, bench: Workbench, ways: Routes, name: str) -> list[Label]:
        """What a drawn joiner with all its packs can be at its outlet."""
        from packyoke.planning.dress import HarnessTree

        build = ready(self.rooted(), ways)
        (controller,) = build.controllers.values()
        return HarnessTree(bench, build, self.rooted(), controller).at_node(name)


def is_whole(build: Build) -> bool:
    """Whether every pack reaches a controller and every joiner is fed. Raises Stuck for a drawing that is wrong."""
    found = faults(Case(build))
    for fault in found:
        if fault.kind not in GAPS:
            raise Stuck(NoPlan(constraint=f"{fault.kind}: {fault.about}", part=fault.part, rule="harness-broken"))
    return not found


def needs_places(build: Build, ways: Routes) -> bool:
    """Whether a whole drawing has leads without a length whose joiners could be put at several places."""
    if not ways:
        return False
    return any(
        lead.length_m is None
        and not lead.direct
        and any(name in build.joiners and build.joiners[name].place_name is None for name in (lead.source, lead.target))
        for lead in build.leads.values()
    )


def drawn_tree(build: Build) -> Topology:
    """A whole drawing whose joiners wait for places."""
    drawing = harness(Case(build))
    controller = _one_controller(build)
    numbers = {name: number for number, name in enumerate(build.packs)}
    children: dict[str, frozenset[int]] = {}
    for name, joiner in build.joiners.items():
        leads = drawing.leads_into.get(name, ())
        odd = len(leads) < 2 or joiner.type not in BLOCKING or joiner.built_in is not None
        if odd or len(drawing.leads_from.get(name, ())) != 1:
            raise Stuck(
                Refusal(
                    kind="fact",
                    text=f"{name} has no place of its own to be planned from",
                    do=f"Write  place:  at {name}.",
                    missing=((joiner.path, "place_name"),),
                )
            )
        children[name] = frozenset(
            sum(1 << numbers[pack] for pack in drawing.packs_behind[lead.path]) for lead in leads
        )
    return Topology(
        build,
        True,
        tuple(build.packs),
        tuple((name,) for name in build.packs),
        tuple(build.joiners),
        controller,
        controller.inlet,
        "inlet",
        1,
        {lead.source: lead for lead in build.leads.values()},
        children,
    )


def gaps(build: Build) -> Topology:
    """A drawing of which something is missing: where its loose ends are and where they have to go."""
    drawing = harness(Case(build))
    controller = _one_controller(build)
    ends: dict[str, list[str]] = {}
    for name in build.packs:
        if name not in drawing.ways:
            ends.setdefault(_loose_end(drawing, name), []).append(name)
    if not ends:
        unfed = [name_of(fault.part) for fault in faults(Case(build)) if fault.kind in GAPS]
        raise Stuck(
            Refusal(
                kind="drawing",
                text=f"every pack is led to the controller, and none feeds {' and '.join(unfed)}",
                do="Draw the leads from a pack into it, or leave it out, with the lead from it.",
            )
        )
    inside = [joiner.name for joiner in _led_inside(build, drawing)]
    free = tuple(
        name
        for name in build.joiners
        if name not in drawing.leads_into and name not in drawing.leads_from and name not in inside
    )
    for name in free:
        if build.joiners[name].type not in BLOCKING:
            raise Stuck(
                Refusal(
                    kind="drawing",
                    text=f"{name} does not block, or the file does not say that it does",
                    do=f"Draw the leads of {name}:  from  and  to.",
                )
            )
    root, inlet, attr, slots = _root(build, drawing, controller, tuple(ends))
    return Topology(build, False, tuple(ends), tuple(map(tuple, ends.values())), free, root, inlet, attr, slots)


def _one_controller(build: Build) -> Controller:
    if len(build.controllers) != 1:
        raise Stuck(
            Refusal(
                kind="drawing",
                text="with two controllers the drawing is yours",
                do="Draw every lead:  from  and  to;  the rest of it is planned.",
            )
        )
    (controller,) = build.controllers.values()
    return controller


def _loose_end(drawing: Harness, name: str) -> str:
    seen = {name}
    while drawing.leads_from.get(name):
        name = drawing.leads_from[name][0].target
        if name in seen:
            break
        seen.add(name)
    return name


def _led_inside(build: Build, drawing: Harness) -> list[Joiner]:
    """The bike maker's joiners that come with their own wire to the controller: nothing else is led into that."""
    led = drawing.leads_from
    return [each for each in build.joiners.values() if each.built_in is not None and not led.get(each.name)]


def _root(
    build: Build, drawing: Harness, controller: Controller, loose: tuple[str, ...]
) -> tuple[Controller | Joiner, End | None, str, int]:
    before: list[Joiner | Lead] = [*drawing.leads_into.get(controller.name, ()), *_led_inside(build, drawing)]
    if not before:
        return controller, controller.inlet, "inlet", 1
    open_joiners: list[Joiner] = []
    waiting = [each.source if isinstance(each, Lead) else each.name for each in before]
    while waiting:
        name = waiting.pop()
        if name in build.joiners and len(open_joiners) < len(build.joiners):
            taken = drawing.leads_into.get(name, ())
            if len(taken) < build.joiners[name].inputs:
                open_joiners.append(build.joiners[name])
            waiting += [lead.source for lead in taken]
    if not open_joiners:
        raise Stuck(
            NoPlan(
                constraint="nothing more can be joined in: the controller is fed, and every inlet before it is taken",
                part=before[0].path,
                rule="harness-broken",
            )
        )
    if len(open_joiners) > 1:
        names, said = " and ".join(loose), " or ".join(joiner.name for joiner in open_joiners)
        raise Stuck(Refusal(kind="drawing", text=f"{names} could go into {said}", do="Draw that lead:  from  and  to."))
    joiner = open_joiners[0]
    taken = drawing.leads_into.get(joiner.name, ())
    free = joiner.inlets[len(taken) :]
    return joiner, free[0], "inlets", joiner.inputs - len(taken)
