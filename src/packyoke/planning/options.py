"""Every way to make one lead that the rules let pass, with what it costs, loses and bears."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load, nominal_v
from packyoke.analysis.circuit.network import middle
from packyoke.analysis.harness.changed import keep_drawing
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.mating import mate_of
from packyoke.analysis.limits.fusing import needed_a
from packyoke.analysis.limits.leads import TAIL_M, ampacity, end_contacts_ohm, inlet_of, outlet_of
from packyoke.analysis.limits.margins import above
from packyoke.analysis.unknowns.spans import OHMIC_SHARE
from packyoke.analysis.unknowns.spans import ends as ends_of_span
from packyoke.core.findings import Severity
from packyoke.core.paths import name_of
from packyoke.making.cutting import is_made
from packyoke.making.methods import CONDUCTORS, solder_joints
from packyoke.making.routes import least_length_m
from packyoke.making.stock import UNMARKED_INSULATION, Cable, metres, sundry
from packyoke.model import FITTED, Build, End, Lead, Pack, Part, Unknown, known
from packyoke.planning.catalogue import BEST_INSULATION, Catalogue, FuseKind, suitable_fuses
from packyoke.planning.effort import RUN, Effort
from packyoke.planning.labels import Option
from packyoke.planning.result import Obstacle, Refusal, Stuck
from packyoke.planning.said import PassingWire, Said, WiresTold
from packyoke.planning.score import Score
from packyoke.rules import (
    connector_overloaded,
    ends_do_not_mate,
    joiner_overheats,
    joiner_overloaded,
    lead_overheats,
    live_pins,
    reversible_plug,
    switch_overloaded,
    wire_does_not_fit,
)
from packyoke.rules.outcome import Outcome, level
from packyoke.rules.rule import Rule
from packyoke.shelf import wires
from packyoke.verdict.explore import decide
from packyoke.verdict.trials import Trials

WIRE_RULES = (lead_overheats.RULE, connector_overloaded.RULE, wire_does_not_fit.RULE)
ENDS_RULES = (ends_do_not_mate.RULE, live_pins.RULE, reversible_plug.RULE)
"""What hangs on the ends of a lead alone, whatever wire lies between them."""
DIRECT_RULES = (connector_overloaded.RULE, ends_do_not_mate.RULE, reversible_plug.RULE)
JOINER_RULES = (joiner_overloaded.RULE, joiner_overheats.RULE)
OPEN_FINDINGS = 100
"""An open question weighs more than any number of cautions."""
NO_FIT_FINDINGS = 2
"""A wire that does not go into its connector is no cure for one that loses too many volts: judgement."""
FUSE_JOINTS = 2
"""Joints of a fuse holder in the plus of a lead."""


class Judged(NamedTuple):
    """One wire in a lead: what the rules say of it, in findings, and what it bears."""

    cable: Cable
    findings: int
    amps_a: float


class Workbench:
    """What all choices of one plan share: the shelf, the score and why choices were left out."""

    def __init__(
        self, build: Build, shelf: Catalogue, score: Score, said: Said | None = None, effort: Effort | None = None
    ) -> None:
        self.build, self.shelf, self.score = build, shelf, score
        self._said, self.effort = said, effort or Effort()
        self.obstacles: dict[tuple[str, str, str], Obstacle] = {}
        sleeve = sundry(shelf.items, "sleeve")
        self._sleeve = score.money(sleeve.price) if sleeve is not None and sleeve.price is not None else 0
        self._fuse_scores: dict[tuple[object, ...], int] = {}
        self._judged: dict[object, list[Judged]] = {}
        self._least_ohm = {name: least_resistance_ohm(build, pack) for name, pack in build.packs.items()}
        self.full_v = {name: known(each.full_charge_v, each, "full_charge_v") for name, each in build.packs.items()}

    def note(self, rule: str, part: str, outcome: Outcome, wire: str = "") -> None:
        """Keep why a choice was left out."""
        message = getattr(outcome, "message", "")
        found, limit = getattr(outcome, "found", None), getattr(outcome, "limit", None)
        self.obstacles[rule, part, message] = Obstacle(rule, part, message, found, limit, wire)

    def findings_of(self, build: Build, part: Part, rules: Iterable[Rule], wire: str = "") -> int | None:
        """What some rules say of a part, counted; None when one of them stops it."""
        return self._findings(Trials(build), part, rules, wire)

    def _findings(self, trials: Trials, part: Part, rules: Iterable[Rule], wire: str) -> int | None:
        count = 0
        for rule in rules:
            try:
                outcome = rule.check(trials.plain, part)
                severity = level(outcome)
            except Unknown:
                decision = decide(trials, rule, part.path)
                outcome, severity = decision.outcome, decision.severity
            if severity == Severity.STOP:
                self.note(rule.name, part.path, outcome, wire)
                return None
            if severity == Severity.OPEN:
                count += OPEN_FINDINGS
            elif severity == Severity.CAUTION:
                count += NO_FIT_FINDINGS if rule is wire_does_not_fit.RULE else 1
        return count

    def judged(self, case: Case, lead: Lead, key: object = None, *, exists: bool = False) -> list[Judged]:
        """The wires that a lead may be made of. Answers are kept by `key`, where there is one."""
        build = case.build
        tail = lead.length_m is not None and above(TAIL_M, lead.length_m)
        known_as = (key, exists, tail, lead.run, lead.ends, lead.gauge, lead.insulation)
        if key is not None and known_as in self._judged:
            return self._judged[known_as]
        cables = self._cables(lead, exists)
        asked = (*known_as, tuple((cable.gauge, cable.insulation) for cable in cables))
        told = self._said.of(asked, build) if key is not None and self._said is not None else None
        if told is None:
            told = self._judged_anew(case, lead, cables)
            if key is not None and self._said is not None:
                self._said.keep(asked, build, told)
        self.obstacles.update(told.obstacles)
        found = [Judged(cables[each.number], each.findings, each.amps_a) for each in told.wires]
        if key is not None:
            self._judged[known_as] = found
        return found

    def _judged_anew(self, case: Case, lead: Lead, cables: Sequence[Cable]) -> WiresTold:
        found = []
        build = case.build
        harness(case)
        of_ends: int | None = None
        before = self.obstacles
        thickest: dict[tuple[str, str, str], Obstacle] = {}
        for number, cable in enumerate(cables):
            # Why thin wires do not do is of no interest while a thicker one does.
            self.obstacles = thickest = {}
            made = lead.but(gauge=cable.gauge, insulation=cable.insulation)
            changed = build.but(leads={**build.leads, lead.name: made})
            trials = Trials(changed)
            keep_drawing(case, trials.plain)
            wire = f"{cable.gauge} {cable.insulation}"
            findings = self._findings(trials, made, _rules(lead), wire)
            if findings is not None and of_ends is None:
                of_ends = self._findings(trials, made, ENDS_RULES, wire)
            if findings is not None and of_ends is not None:
                found.append(PassingWire(number, findings + of_ends, _bears_a(changed, made)))
            self.effort.spend(RUN * trials.tried)
        self.obstacles = before
        return WiresTold(tuple(found), {} if found else thickest)

    def _cables(self, lead: Lead, exists: bool) -> list[Cable]:
        """Wires of the shelf that agree with what the lead says; where none does, the wire that it names itself."""
        fitting = [
            cable
            for cable in self.shelf.cables
            if lead.gauge in (None, cable.gauge) and lead.insulation in (None, cable.insulation)
        ]
        if exists:
            # Nothing of a cable that is there is chosen: what nobody knows of it stays a question.
            return [Cable(lead.gauge, lead.insulation)] if lead.gauge is not None else []
        if fitting:
            return fitting
        if lead.gauge is not None:
            return [Cable(lead.gauge, lead.insulation or BEST_INSULATION)]
        sizes = dict.fromkeys(cable.gauge for cable in self.shelf.cables)
        return [Cable(gauge, lead.insulation or BEST_INSULATION) for gauge in sizes]

    def options(
        self,
        case: Case,
        lead: Lead,
        packs: Sequence[str],
        *,
        must_fuse: bool,
        may_fuse: bool,
        key: object = None,
        fixed: Lead | None = None,
    ) -> list[Option]:
        """Every way to make a lead that no rule stops. `packs`: those behind it; `fixed`: the lead as in the file."""
        build = case.build
        asked = load(case, lead.path)
        full_v = max(nominal_v(self.build.packs[name]) for name in packs)
        if lead.direct:
            contacts_ohm = middle(end_contacts_ohm(case, outlet_of(case, lead)))
            findings = self.findings_of(build, lead, DIRECT_RULES)
            direct = Option(
                None,
                None,
                self.score.of("findings", findings or 0),
                contacts_ohm,
                asked.continuous_a * contacts_ohm,
                inf,
                full_v,
            )
            return [] if findings is None else [direct]
        length_m = known(lead.length_m, lead, "length_m")
        contacts_ohm = sum(middle(end_contacts_ohm(case, end)) for end in lead.ends)
        # A fuse that could as well be left out needs a lead that is long enough for its holder.
        least_m = least_length_m(True)
        short = above(least_m, length_m)
        open_length = fixed is None or fixed.length_m is None
        may_fuse = may_fuse and (open_length or not short)
        fuse_kinds = self.fuses(needed_a(case, lead), packs) if may_fuse or must_fuse else ()
        given = given_fuse(lead) if not fuse_kinds else None
        whole = fixed is not None and not is_made(fixed)
        around = self.making(fixed or lead, lead.ends)

        def made_of(wire: Lead, length_m: float) -> list[Option]:
            billed = metres(length_m)
            length = None if above(least_m, length_m) else length_m
            found = []
            for cable, findings, amps_a in self.judged(case, wire, key, exists=whole):
                ohm = 2 * length_m * wires.resistance20_ohm_per_m(*cable.gauge) + contacts_ohm
                score = self.score.of("findings", findings) + around
                if not whole:
                    score += self.score.of("copper", cable.copper_kg_per_m * length_m)
                    score += self.score.money((cable.price_per_m or Decimal(0)) * billed)
                    score += self.score.item("bought wire", None) if self.shelf.bought(cable) else 0
                watts_w = asked.continuous_a * ohm
                found.append(Option(cable, given, score, ohm, watts_w, amps_a, full_v, length))
            return found

        longer: dict[Cable, Option] = {}
        if short and open_length and not whole:
            longer = {each.cable: each for each in made_of(lead.but(length_m=least_m), least_m) if each.cable}
        found = []
        for each in made_of(lead, length_m):
            plain = each._replace(held=longer.get(each.cable)) if longer and each.cable else each
            if not (must_fuse and fuse_kinds):
                found.append(plain)
            holding = plain if must_fuse or not short else plain.held
            if holding is not None:
                found += [
                    holding._replace(fuse=kind, score=holding.score + self.fuse_score(kind)) for kind in fuse_kinds
                ]
        return found

    def fuses(self, least_a: float | None, packs: Sequence[str]) -> tuple[FuseKind, ...]:
        """Fuses that suit a lead fed by these packs. `least_a`: what its load does not wear out."""
        if least_a is None:
            return ()
        full_v = max(self.full_v[name] for name in packs)
        found: list[FuseKind] = []
        suitable = suitable_fuses(self.shelf, full_v, self.short_a(packs), least_a)
        for kind in sorted(suitable, key=lambda each: (each.rating_a, self.fuse_score(each))):
            # A larger one guards no better: it is left out unless it costs less, with its holder.
            if not found or self.fuse_score(kind) < self.fuse_score(found[-1]):
                found.append(kind)
        return tuple(found)

    def short_a(self, packs: Iterable[str]) -> float:
        """What these packs send into a short circuit at the most [A]."""
        return sum(self.full_v[name] / (OHMIC_SHARE * self._least_ohm[name]) for name in packs)

    def fuse_score(self, kind: FuseKind) -> int:
        key = (*kind[:4], kind.item.part.name if kind.item is not None else None)
        found = self._fuse_scores.get(key)
        if found is None:
            found = self._fuse_scores[key] = self._fuse_score(kind)
        return found

    def _fuse_score(self, kind: FuseKind) -> int:
        fuse = self.score.item("fuse", kind.item.price if kind.item is not None else None)
        held = self.shelf.holder(kind)
        fuse += self.score.item("holder", held.price if held is not None else None)
        return fuse + self.score.of("joints", FUSE_JOINTS) + self._sleeves(FUSE_JOINTS)

    def _sleeves(self, count: int) -> int:
        """What so many sleeves cost, where the shelf has a price for them."""
        return count * self._sleeve

    def making(self, lead: Lead, ends: tuple[End | None, End | None]) -> int:
        """The score of the connectors of a lead and of soldering them, where the file does not give them."""
        total = 0
        for given, end in zip(lead.ends if "ends" in lead.spans else (None, None), ends, strict=True):
            if given is None and end is not None:
                item = self.shelf.connector(end)
                total += self.score.item("half", item.price if item is not None else None)
                total += self.score.of("joints", solder_joints(end)) + self._sleeves(CONDUCTORS)
        return total


def _bears_a(build: Build, lead: Lead) -> float:
    """What a lead bears; with the lowest insulation where it is not in the file [A]."""
    if lead.insulation is None:
        build = build.with_value(lead.path, "insulation", UNMARKED_INSULATION)
    return ampacity(Case(build), lead.name).amps_a


def _rules(lead: Lead) -> tuple[Rule, ...]:
    return WIRE_RULES if lead.switch is None else (*WIRE_RULES, switch_overloaded.RULE)


def least_resistance_ohm(build: Build, pack: Pack) -> float:
    """The resistance of a pack, or the least that it may have [ohm]."""
    if pack.resistance_ohm is not None:
        return pack.resistance_ohm
    return float(min(ends_of_span(build, pack, "resistance_ohm")))


def fused(pack: Pack) -> bool:
    return pack.fuse.presence == FITTED


def must_hold(build: Build, lead: Lead) -> bool:
    """Whether a fuse goes into a lead: that of a pack which has none of its own."""
    pack = build.packs.get(lead.source)
    return pack is not None and not fused(pack) and blank_fuse(lead) and not lead.direct


def given_fuse(lead: Lead) -> FuseKind | None:
    """The fuse that the file gives a lead, as far as its rating is known."""
    fuse = lead.fuse
    if fuse.presence != FITTED or fuse.rating_a is None:
        return None
    return FuseKind(fuse.family or "", fuse.rating_a, fuse.voltage_v or 0.0, fuse.breaking_a)


def blank_fuse(part: Pack | Lead) -> bool:
    """Whether the file says nothing of a fuse there, so that one may be planned."""
    return "fuse" not in part.spans


def plugged(case: Case, lead: Lead) -> tuple[End | None, End | None]:
    """The two ends of a lead: as given, else the halves that go onto what it is plugged into."""
    fixed = (outlet_of(case, lead), inlet_of(case, lead))
    found = [
        own if own is not None else mate_of(other) if other is not None else None
        for own, other in zip(lead.ends, fixed, strict=True)
    ]
    return found[0], found[1]


def need_ends(case: Case, lead: Lead) -> tuple[End | None, End | None]:
    """The ends of a lead; asks for the outlet or inlet that decides one, where it is not in the file."""
    ends = plugged(case, lead)
    asked = [_fixed_part(case.build, lead, index) for index, end in enumerate(ends) if end is None]
    if asked:
        names = " and ".join(name_of(path) for path, _ in asked)
        raise Stuck(
            Refusal(
                kind="fact",
                text=f"not in the file: which connector is on {names}",
                do="Look at it, and write it after  outlet:  or  inlet:",
                missing=tuple(asked),
            )
        )
    return ends


def _fixed_part(build: Build, lead: Lead, index: int) -> tuple[str, str]:
    if index == 0:
        pack = build.packs.get(lead.source)
        return (pack.path, "outlet") if pack is not None else (build.joiners[lead.source].path, "outlets")
    controller = build.controllers.get(lead.target)
    return (controller.path, "inlet") if controller is not None else (build.joiners[lead.target].path, "inlets")
