"""The harness as a tree and the sets of packs, ready to print.

What is said of a part is worked out of a case, in the order of names; parts are listed as in the `build` beside it,
which has the order of the file (without one: as in the case).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from itertools import product

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import mixing_joiners
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.sets import every_set, units
from packyoke.analysis.limits.good_for import bearings
from packyoke.analysis.limits.margins import Bearing
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.analysis.unknowns.spans import nominal_energy_j
from packyoke.core.constants import WH_J
from packyoke.core.findings import Amount, Finding, Severity, shown
from packyoke.core.paths import PartPath, is_lead, is_pack, name_of, owner_of, path_to, steps_of
from packyoke.core.units import Kind, show, show_gauge
from packyoke.model import Build, Joiner, Lead, Pack, Unknown
from packyoke.model.found import inlets
from packyoke.rules import RULES, rule_crashed
from packyoke.rules.rule import each_check
from packyoke.verdict.judge import judge_part
from packyoke.verdict.report import PackSet, PartLine, TreeLine
from packyoke.verdict.trials import Trials

EVERYDAY = "everyday"
MOST_RIDDEN_PACKS = 5
"""Up to this many packs every set is ridden; above it packyoke range says how far those go that are asked for."""
MOST_SETS_PACKS = 6
"""Up to this many packs every set is listed; above it singles, pairs and all."""
RULE_NAMED = {rule.name: rule for rule in RULES}
TAKES_TWO = frozenset(rule.name for rule in RULES if rule.takes_two)
MOST_STOPPED_PACKS = 3
"""Up to this many packs that share is the weakest part of each set told of a build at stop, which nobody rides."""
MOST_ALONE = 1000
"""Runs of rules on sets of packs by themselves, all sets together; of the sets beyond it no rule is asked again."""


def part_lines(case: Case, build: Build | None = None) -> tuple[PartLine, ...]:
    """Every part of the harness with the worst current through it and what it bears."""
    found, _ = bearings(case)
    place = places(build or case.build)
    return tuple(
        PartLine(
            part=each.path,
            worst=Amount(each.flow.forward_a, "A"),
            back=Amount(each.flow.back_a, "A"),
            limit=Amount(each.limit_a, "A"),
            margin=each.margin,
            by=each.by,
            packs_in=each.flow.packs_in,
            charges=each.flow.charges,
        )
        for each in sorted(found, key=lambda each: place[each.path])
    )


def places(build: Build) -> dict[str, int]:
    """Where each part that has a name stands among the others of its kind in a build, by its path."""
    kinds = (build.packs, build.leads, build.joiners, build.controllers, build.accessories, build.chargers)
    return {part.path: place for place, part in enumerate(part for parts in kinds for part in parts.values())}


def tree_lines(case: Case, build: Build | None = None) -> tuple[TreeLine, ...]:
    """The harness from each controller down to the packs."""
    build = build or case.build
    found, unknown = bearings(case)
    known = {each.path: each for each in found}
    lines: list[TreeLine] = []
    for controller in build.controllers.values():
        lines.append(TreeLine((), controller.name, "", "", None))
        _branches(case, build, controller.name, (), known, set(unknown), lines, set())
    return tuple(lines)


def _branches(
    case: Case,
    build: Build,
    name: str,
    last: tuple[bool, ...],
    known: dict[PartPath, Bearing],
    unknown: set[str],
    lines: list[TreeLine],
    drawn: set[str],
) -> None:
    """What feeds a part. Where leads run side by side or in a loop, what is behind a joiner is drawn once."""
    if name in drawn:
        return
    drawn.add(name)
    leads = [lead for lead in build.leads.values() if lead.target == name]
    inside = _built_in_before(case, build, name)
    for index, joiner in enumerate(inside):
        place = (*last, index == len(inside) - 1 and not leads)
        lines.append(_line(place, joiner.name, joiner_about(joiner), joiner.path, known, unknown))
        _branches(case, build, joiner.name, place, known, unknown, lines, drawn)
    for index, lead in enumerate(leads):
        place = (*last, index == len(leads) - 1)
        lines.append(_line(place, lead.name, lead_about(lead), lead.path, known, unknown))
        source: Pack | Joiner | None = build.packs.get(lead.source) or build.joiners.get(lead.source)
        if source is None:
            continue
        about = pack_about(source) if isinstance(source, Pack) else joiner_about(source)
        about += ", drawn above" if source.name in drawn else ""
        below = (*place, True)
        lines.append(_line(below, source.name, about, source.path, known, unknown))
        if isinstance(source, Joiner):
            _branches(case, build, source.name, below, known, unknown, lines, drawn)


def _built_in_before(case: Case, build: Build, name: str) -> list[Joiner]:
    """The bike maker's joiners that come with their own wire to this controller."""
    controller = build.controllers.get(name)
    if controller is None:
        return []
    drawing = harness(case)
    return [
        joiner
        for joiner in build.joiners.values()
        if joiner.built_in is not None
        and not drawing.onward(joiner.name)
        and any(way[-2:] == (joiner.path, controller.path) for ways in drawing.ways.values() for way in ways)
    ]


def _line(
    last: tuple[bool, ...], name: str, about: str, path: PartPath, known: dict[PartPath, Bearing], unknown: set[str]
) -> TreeLine:
    each = known.get(path)
    if each is None:
        return TreeLine(last, name, about, "not known" if path in unknown else "", None)
    # A connector or switch that bears less than the wire is named: the gauge beside it would say something else.
    by = f" {each.by}" if is_lead(path) and each.by not in ("", "wire") else ""
    return TreeLine(last, name, about, f"{_worst(each)}{by}", each.margin)


def _worst(each: Bearing) -> str:
    """What is asked of what a part bears, all the time, at its peak or flowing back, whichever leaves less."""
    found_a, limit_a, peak_s = each.told
    time = f" for {shown(peak_s)} s" if peak_s else ""
    return f"{'up to ' if each.up_to else ''}{shown(found_a)} of {shown(limit_a)} A{time}"


def pack_about(pack: Pack) -> str:
    """What a pack is, in a few words."""
    words = [f"{pack.series}s" if pack.series else "", pack.chemistry or ""]
    if pack.capacity_coulomb:
        words.append(show(pack.capacity_coulomb, Kind.CHARGE))
    return " ".join(word for word in words if word)


def joiner_about(joiner: Joiner) -> str:
    if joiner.built_in is not None:
        return "built in"
    return joiner.type or "type not known"


def lead_about(lead: Lead) -> str:
    if lead.direct:
        return "plugged in directly"
    words = []
    if lead.gauge is not None:
        words.append(show_gauge(lead.gauge.family, lead.gauge.size))
    if lead.length_m is not None:
        words.append(show(lead.length_m, Kind.LENGTH))
    return ", ".join(words)


def sets_of(build: Build) -> tuple[tuple[str, ...], ...]:
    """The sets of packs to list: those of the file, else every one up to six packs, else singles, pairs and all."""
    if build.sets is not None:
        return build.sets
    count = len(units(build))
    return every_set(build, range(count, 0, -1) if count <= MOST_SETS_PACKS else (count, 2, 1))


def pack_sets(
    case: Case, findings: Sequence[Finding], rides: bool = True, build: Build | None = None
) -> tuple[PackSet, ...]:
    """Each set of packs with its energy by the label, who works first, and the worst that was found on its ways;
    with `rides` how far it carries the everyday ride, which is nine tenths of the time that a good build takes."""
    build = build or case.build
    drawing = harness(case)
    mixing = _mixing(case)
    known = {each.path: each for each in bearings(case)[0]}
    lines = []
    stopped = any(f.severity == Severity.STOP and not f.accepted for f in findings)  # nobody rides it as it is
    spent = 0
    for names in sets_of(build):
        if mixing and (len(build.packs) > MOST_SETS_PACKS or (stopped and len(build.packs) > MOST_STOPPED_PACKS)):
            known = {}  # hundreds of circuits to solve for a line each
        elif mixing:
            known = {each.path: each for each in bearings(Case(only(case.build, names)))[0]}
        alone = SetAlone(case, names, tried=spent <= MOST_ALONE)
        ordered = tuple(name for name in case.build.packs if name in names)
        ways = dict.fromkeys(path for name in ordered for way in drawing.ways.get(name, ()) for path in way)
        worst = _worst_of(alone, findings, ways)
        spent += alone.effort
        weakest = min((known[path] for path in ways if path in known), key=lambda each: each.margin, default=None)
        energies = [nominal_energy_j(build.packs[name]) for name in ordered]
        known_j = [energy for energy in energies if energy is not None]
        ridden = _ridden(case, ordered) if rides and not stopped else None
        lines.append(
            PackSet(
                packs=names,
                label_wh=sum(known_j) / WH_J if len(known_j) == len(energies) else None,
                usable_wh=ridden.usable_j / WH_J if ridden else None,
                range_m=ridden.distance_m[:2] if ridden else None,
                works_first=names[0] if len(names) == 1 else _first(case, names),
                verdict=worst.word if worst > Severity.NOTE else "none-found",
                weakest=name_of(weakest.path) if weakest else "",
                worst=_worst(weakest) if weakest else "",
            )
        )
    return tuple(lines)


def _ridden(case: Case, names: tuple[str, ...]) -> RangeEstimate | None:
    """How far the everyday ride goes; nothing where it cannot be said, or there are too many sets to ask for all."""
    if len(case.build.packs) > MOST_RIDDEN_PACKS:
        return None
    found = range_of(case, names, EVERYDAY, brief=True)
    return found if isinstance(found, RangeEstimate) and found.delivers else None


def _mixing(case: Case) -> bool:
    try:
        return bool(mixing_joiners(case))
    except Unknown:
        return False


def only(build: Build, names: Sequence[str]) -> Build:
    """The same build with only these packs and their leads plugged in, each in the inlet that it has among all.

    What was measured at a part that is not there is not there either.
    """
    gone = set(build.packs) - set(names)
    inlet = {lead: number for name in build.joiners for lead, number in inlets(build, name)}
    left = [name for name, lead in build.leads.items() if lead.source not in gone]
    away = {build.packs[name].path for name in gone} | {build.leads[name].path for name in build.leads.keys() - left}
    return replace(
        build,
        packs={name: pack for name, pack in build.packs.items() if name not in gone},
        leads={name: replace(build.leads[name], inlet=inlet.get(name, build.leads[name].inlet)) for name in left},
        measured=tuple(each for each in build.measured if owner_of(each.part) not in away),
    )


class SetAlone:
    """The build with one set of packs plugged in, where rules are run again. `tried`: there is time for it."""

    def __init__(self, case: Case, names: tuple[str, ...], tried: bool) -> None:
        self.case, self.names, self.tried = case, names, tried
        self._trials: Trials | None = None

    @property
    def effort(self) -> int:
        """What asking the rules again took, in runs of a usual rule."""
        return self._trials.effort if self._trials else 0

    def severity(self, finding: Finding, paths: Iterable[PartPath]) -> Severity:
        """How grave it is what a rule finds at these parts with these packs; no more than it found."""
        self._trials = self._trials or Trials(only(self.case.build, self.names))
        found, checks = Severity.NOTE, each_check(RULE_NAMED[finding.rule])
        for path, rule in product(paths, checks):
            decision = judge_part(self._trials, rule, self._trials.plain.build.part(path))
            if decision is not None and decision.severity > found:
                found = Severity(decision.severity)
        return min(found, finding.severity)


def _worst_of(alone: SetAlone, findings: Sequence[Finding], ways: Collection[PartPath]) -> Severity:
    """The gravest of what was found that holds with these packs alone."""
    worst = Severity.NOTE
    for finding in sorted(findings, key=lambda each: -each.severity):
        if finding.severity <= worst:
            break
        if not finding.accepted:
            worst = max(worst, _alone(alone, finding, ways))
    return worst


def _alone(alone: SetAlone, finding: Finding, ways: Collection[PartPath]) -> Severity:
    """How grave a finding is with these packs alone: on a part of their ways, with the packs that it takes."""
    if finding.rule == rule_crashed.RULE.name:
        return finding.severity  # nobody knows what it would have said
    names, section = set(alone.names), steps_of(finding.part).section
    others = {name_of(path) for path, _ in finding.also if is_pack(path)}
    all_on = len(names) == len(alone.case.build.packs)
    asked = not all_on and finding.rule in RULE_NAMED and finding.severity != Severity.OPEN
    if finding.part not in ways:
        # A lamp or a charging lead that ties packs does so wherever all of them are plugged in.
        if section in ("accessories", "chargers"):
            if finding.rule in TAKES_TWO:
                return finding.severity if len(others) > 1 and others <= names else Severity.NOTE
            if not names & _feeding(alone.case, finding.part):
                return Severity.NOTE
            return alone.severity(finding, (finding.part,)) if asked else finding.severity
        if section == "racks":  # it carries the packs that are on
            return alone.severity(finding, (finding.part,)) if asked else finding.severity
        # A rule that names the worst pack or lead only may find the next of them.
        alike = [path for path in ways if steps_of(path).section == section]
        if not (asked and alike):
            return Severity.NOTE
        return alone.severity(finding, alike) if alone.tried else min(finding.severity, Severity.OPEN)
    if finding.rule in TAKES_TWO or (finding.rule == "harness-broken" and not asked):
        # Between a pack and others at least one of those is there; in a joiner or at an inlet two meet.
        behind = names & set(harness(alone.case).packs_behind.get(finding.part, ()))
        if not (others & names if is_pack(finding.part) and others else len(behind) > 1):
            return Severity.NOTE
    return alone.severity(finding, (finding.part,)) if asked and alone.tried else finding.severity


def _feeding(case: Case, path: PartPath) -> set[str]:
    """The packs that feed an accessory; none of a charger, with which nobody rides."""
    build, behind = case.build, harness(case).packs_behind
    section, name, _ = steps_of(path)
    fed: set[str] = set()
    for source in build.accessories[name].sources if section == "accessories" else ():
        where = path_to("joiners" if source in build.joiners else "leads", source)
        fed |= {source} if source in build.packs else set(behind.get(where, ()))
    return fed


def _first(case: Case, names: tuple[str, ...]) -> str:
    build, behind, ahead = case.build, harness(case).packs_behind, harness(case).controllers_ahead
    fed = [set(ahead.get(build.packs[name].path, ())) for name in names]
    if all(fed) and not set.intersection(*fed):
        return "each its own controller"
    for joiner in build.joiners.values():
        if joiner.type == "selector" and len(set(names) & set(behind.get(joiner.path, ()))) > 1:
            return "as switched"
    full = [build.packs[name].full_charge_v for name in names]
    if any(volts is None for volts in full):
        return "not decided"
    highest = max(volts for volts in full if volts is not None)
    first = [name for name, volts in zip(names, full, strict=True) if volts is not None and volts > highest - 1e-6]
    return first[0] if len(first) == 1 else "the fullest"
