"""The wires and fuses of a drawn harness: every choice that the rules let pass, combined exactly from packs to load."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import mixing_joiners
from packyoke.analysis.circuit.load import load, lowest_running_v
from packyoke.analysis.circuit.network import forward_v, path_resistance_ohm
from packyoke.analysis.harness.drawing import Harness, harness
from packyoke.analysis.limits.fusing import needed_a
from packyoke.making.cutting import is_made
from packyoke.model import CUSTOMER, FITTED, SHOP, Build, Controller, Fuse, Joiner, Lead, Pack, known
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.growing import TooMany
from packyoke.planning.labels import (
    Kinds,
    Label,
    Option,
    Together,
    Wired,
    best_two,
    carried,
    figures,
    joined,
    kept,
    over_limit,
)
from packyoke.planning.options import Workbench, blank_fuse, fused
from packyoke.planning.result import NoPlan, Stuck, none_found
from packyoke.rules.voltage_drop import MOST_FRACTION

MOST_LABELS = 30_000
"""Labels that are made of one harness, all caps together, before there are too many: about a second."""
NARROW, MOST_NARROWED = 12, 200
"""Of too many: the cheapest and the ones with most in hand that are followed, and how many are looked at for that."""
CAPS = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.85, 1.0, 1.3, 1.7, 2.3, 3.0)
"""By how much more than the least is looked at, in small steps: far above the best one the ways are too many."""
NEAR = 0.1
"""By how much more the next best may come to before it is not looked for."""
EQUAL = 1 + 1e-9
"""Equality at a limit passes, with the tolerance of the rules."""


@dataclass(frozen=True, slots=True)
class Dressed:
    """A harness with its wires and fuses. `exact`: nothing better exists for this drawing; `next` the next best.

    `narrowed`: there were too many to try them all together.
    """

    build: Build
    score: int
    exact: bool
    next: int | None
    next_about: str
    narrowed: bool = False


def allowed_v(case: Case, pack: Pack, controller: Controller) -> float:
    """What a way from a pack may lose before it is a caution [V]."""
    return MOST_FRACTION * lowest_running_v(case, controller, (pack.name,)) * EQUAL


def share(build: Build, packs: Sequence[str], all_packs: Sequence[str]) -> float:
    """What these packs give of the whole, by capacity; by number where a capacity is not known [-]."""
    sizes = {name: build.packs[name].capacity_coulomb or 0.0 for name in all_packs}
    if not all(sizes.values()):
        return len(packs) / len(all_packs)
    return sum(sizes[name] for name in packs) / sum(sizes.values())


def leaf(case: Case, pack: Pack, controller: Controller, fuse: FuseKind | None) -> Label:
    """The label at a pack's outlet, with its own fuse or one fitted there."""
    over_v = -allowed_v(case, pack, controller)
    if fuse is not None:
        return Label(0, over_v, fuse.rating_a, fuse.rating_a, 0, None)
    if fused(pack):
        rating_a = known(pack.fuse.rating_a, pack.fuse, "rating_a")
        return Label(0, over_v, rating_a, rating_a, 0, None)
    return Label(0, over_v, inf, 0.0, 0, None, 0)


def through_joiner(bench: Workbench, joiner: Joiner, label: Label, current_a: float, shares: Sequence[float]) -> Label:
    """The label at a joiner's outlet. `current_a`: its whole load; `shares`: what the packs of each path give of it."""
    over_v = label.over_v + current_a * path_resistance_ohm(joiner) + forward_v(joiner)
    lost = sum(bench.score.of("loss", path_loss_w(joiner, current_a * part)) for part in shares)
    return label._replace(score=label.score + lost, over_v=over_v)


def path_loss_w(joiner: Joiner, current_a: float) -> float:
    """What one path of a joiner turns into heat [W]."""
    return current_a**2 * path_resistance_ohm(joiner) + current_a * forward_v(joiner)


class HarnessTree:
    """One drawn harness, worked through from the packs to its controller."""

    def __init__(self, bench: Workbench, build: Build, given: Build, controller: Controller) -> None:
        self.bench, self.build, self.given, self.controller = bench, build, given, controller
        self.case = Case(build)
        self.drawing: Harness = harness(self.case)
        self.all_packs = self.drawing.packs_behind[controller.path]
        self.cap: int | None = None
        self.made = 0
        self.narrowed = False
        """Whether there are too many labels, and only the most promising ones of each place are followed."""
        self._least: dict[str, int] = {}
        self._options: dict[str, list[Option]] = {}
        self._kinds = Kinds()

    def least(self, name: str) -> int:
        """The least that all leads up to the outlet of a part can add; joiners and losses left out."""
        if name not in self._least:
            leads = self.drawing.leads_into.get(name, ())
            self._least[name] = sum(self.least_of(lead) for lead in leads)
        return self._least[name]

    def alive(self, label: Label, least: int) -> bool:
        """Whether a label whose leads come to `least` at least can still end below the cap."""
        if self.cap is None:
            return True
        missed = self.bench.score.missed(label.over_v) if over_limit(label) else 0
        return label.score + self.least(self.controller.name) - least + missed <= self.cap

    def at_node(self, name: str) -> list[Label]:
        """The labels at the outlet of a pack or joiner."""
        build = self.build
        if name in build.packs:
            return [leaf(self.case, build.packs[name], self.controller, self.fuse_at(name))]
        joiner = build.joiners[name]
        labels: list[Label] = []
        shares = []
        least = 0
        for number, lead in enumerate(self.drawing.leads_into[name]):
            arriving = self.behind(lead)
            shares.append(self.share(lead))
            least += self.least_of(lead)
            labels = self._together(labels, arriving, least, joiner.type == "selector") if number else arriving
        if joiner.built_in is not None:
            return labels
        current_a = load(self.case, joiner.path).continuous_a
        return [through_joiner(self.bench, joiner, label, current_a, shares) for label in labels]

    def _together(self, ones: list[Label], others: list[Label], least: int, alternating: bool) -> list[Label]:
        both = (
            joined(
                one, other, self._kinds[one.kind, other.kind], Together(one.trace, other.trace), alternating=alternating
            )
            for one in ones
            for other in others
        )
        return self._kept(label for label in both if self.alive(label, least))

    def _kept(self, labels: Iterable[Label]) -> list[Label]:
        """What is worth following; where there is too much of it the cheapest, and what loses least on its way."""
        made = [*labels]
        self.made += len(made)
        self.bench.effort.spend(2 * len(made))
        if not self.narrowed:
            if self.made > MOST_LABELS:
                raise TooMany
            return kept(made)
        found = kept(sorted(made, key=figures)[:MOST_NARROWED])
        spare = sorted(made, key=lambda each: (each.over_v, each.largest_a, each.total_a, each.score))
        return kept([*found[:NARROW], *spare[:NARROW]])

    def least_of(self, lead: Lead) -> int:
        return self.least(lead.source) + min((option.score for option in self.options(lead)), default=0)

    def behind(self, lead: Lead) -> list[Label]:
        """The labels at the far end of a lead."""
        before = self.at_node(lead.source)
        options = self.options(lead)
        found = []
        for number, option in enumerate(options):
            loss = self.bench.score.of("loss", option.watts_w * self.share(lead) ** 2)
            for label in before:
                trace = Wired(lead.name, option, label.trace)
                kind = self._kinds[number, label.kind]
                further = carried(label, option, loss, self.bench.score, kind, trace)
                if further is not None:
                    found.append(further)
        if not found and (before or self.cap is None):
            raise Stuck(no_wire(self.bench, lead.path, before, options))
        least = self.least_of(lead)
        return self._kept(label for label in found if self.alive(label, least))

    def options(self, lead: Lead) -> list[Option]:
        if lead.name not in self._options:
            self._options[lead.name] = self._made_of(lead)
        return self._options[lead.name]

    def _made_of(self, lead: Lead) -> list[Option]:
        given = self.given.leads[lead.name]
        pack = self.build.packs.get(lead.source)
        may_fuse = blank_fuse(given) and not lead.direct
        must_fuse = may_fuse and pack is not None and not fused(pack)
        packs = self.drawing.packs_behind[lead.path]
        return self.bench.options(self.case, lead, packs, must_fuse=must_fuse, may_fuse=may_fuse, fixed=given)

    def share(self, lead: Lead) -> float:
        return share(self.build, self.drawing.packs_behind[lead.path], self.all_packs)

    def fuse_at(self, name: str) -> FuseKind | None:
        """The fuse to fit at a pack whose lead cannot take one."""
        pack = self.build.packs[name]
        lead = self.drawing.leads_from[name][0]
        blank = blank_fuse(self.given.leads[lead.name]) and not lead.direct
        if fused(pack) or blank or lead.fuse.presence == FITTED or not blank_fuse(pack):
            return None
        return next(iter(self.bench.fuses(needed_a(self.case, lead), (name,))), None)


def no_wire(bench: Workbench, path: str, before: Sequence[Label], options: Sequence[Option]) -> NoPlan:
    """Why a lead cannot be made: the mildest of what stood against its wires."""
    if options and before:
        bears = max((option.amps_a for option in options), default=0.0)
        fuse = min(label.largest_a for label in before)
        return NoPlan(
            constraint=f"no wire on the shelf is thick enough for the fuses that feed it ({fuse:g} A; {bears:.3g} A)",
            part=path,
            rule="fuse-oversized",
        )
    mine = [each for (_, part, _), each in bench.obstacles.items() if part == path]
    return obstacle(mine, path, "nothing on the shelf will do for it")


def obstacle(found: Sequence[Any], path: str, otherwise: str) -> NoPlan:
    if not found:
        return NoPlan(constraint=otherwise, part=path)
    nearest = min(found, key=_beyond)
    return NoPlan(constraint=nearest.message, part=path, rule=nearest.rule, found=nearest.found, limit=nearest.limit)


def _beyond(each: Any) -> float:
    if each.found is None or each.limit is None or not each.limit.value:
        return inf
    return float(abs(each.found.value / each.limit.value - 1))


def dress(bench: Workbench, build: Build, given: Build) -> Dressed:
    """The best wires and fuses for a drawn harness whose lengths and ends are known.

    `given` is the same harness as the file has it: what it says stays. Raises Stuck where nothing passes.
    """
    case = Case(build)
    drawing = harness(case)
    forked = any(len(leads) > 1 for leads in drawing.leads_from.values())
    led = all(name in drawing.leads_into for name in build.controllers)
    if len(build.controllers) != 1 or forked or not led or mixing_joiners(case):
        from packyoke.planning.trying import tried

        return tried(bench, build, given)
    (controller,) = build.controllers.values()
    tree = HarnessTree(bench, build, given, controller)
    (last,) = drawing.leads_into[controller.name]
    found = _best_two(tree, last)
    best = found[0]
    other = found[1] if len(found) > 1 else None
    filled = _filled(tree, best.trace)
    about = "another wire or fuse" if other is not None else ""
    exact = not (over_limit(best) or tree.narrowed)
    return Dressed(filled, best.score, exact, other.score if other else None, about, tree.narrowed)


def _best_two(tree: HarnessTree, last: Lead) -> list[Label]:
    """The best and the next best; where there are too many, what the most promising ways lead to."""
    try:
        return _all_best_two(tree, last)
    except TooMany:
        tree.cap, tree.narrowed = None, True
    try:
        return best_two(tree.behind(last), tree.bench.score)
    except Stuck as stuck:
        raise Stuck(none_found(stuck.answer)) from None


def _all_best_two(tree: HarnessTree, last: Lead) -> list[Label]:
    """The best and the next best, below a cap that is raised until both are found or the next is far off."""
    score = tree.bench.score
    least = tree.least(tree.controller.name)
    for fraction in CAPS:
        tree.cap = score.raised(least, fraction)
        found = best_two(tree.behind(last), score)
        if len(found) > 1 or (found and tree.cap > score.raised(found[0].score, NEAR)):
            return found
    tree.cap = None
    return best_two(tree.behind(last), score)


def _filled(tree: HarnessTree, trace: Any) -> Build:
    build = tree.build
    for name, option in _choices(trace):
        build = made(build, tree.given, name, option)
    for name, pack in build.packs.items():
        fuse = tree.fuse_at(name) if name in tree.drawing.ways else None
        if fuse is not None:
            build = replace(build, packs={**build.packs, name: replace(pack, fuse=fitted(pack.fuse, fuse, SHOP))})
    return build


def _choices(trace: Any) -> list[tuple[str, Option]]:
    """Leads and what was chosen for them, out of the nested trace of a label."""
    if trace is None:
        return []
    if isinstance(trace, Together):
        return _choices(trace.one) + _choices(trace.other)
    return [(trace.lead, trace.option), *_choices(trace.before)]


def made(build: Build, given: Build, name: str, option: Option) -> Build:
    """The build with one lead made as chosen."""
    lead = build.leads[name]
    if option.cable is None:
        return build
    fuse = lead.fuse
    if option.fuse is not None and blank_fuse(given.leads[name]):
        fuse = fitted(fuse, option.fuse, SHOP if lead.owner == CUSTOMER else None)
    before = given.leads[name]
    insulation = option.cable.insulation if is_made(before) else before.insulation
    length_m = lead.length_m
    if before.length_m is None and option.fuse is not None and option.holder_m is not None:
        length_m = option.holder_m
    done = lead.but(length_m=length_m, gauge=option.cable.gauge, insulation=insulation, fuse=fuse)
    return build.but(leads={**build.leads, name: done})


def fitted(fuse: Fuse, kind: FuseKind, owner: str | None = None) -> Fuse:
    """A fuse put in. `owner`: whose it is where that does not follow from the part that it is in."""
    return replace(
        fuse,
        presence=FITTED,
        family=kind.family,
        rating_a=kind.rating_a,
        voltage_v=kind.voltage_v,
        dc=None,
        breaking_a=kind.breaking_a,
        sealed=False,
        at_m=0.0,
        owner=owner,
    )
