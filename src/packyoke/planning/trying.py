"""Wires and fuses where packs can feed each other or a joiner feeds two controllers: tried on the whole build.

There currents depend on every resistance at once, so nothing adds up lead by lead. The thickest wires that pass are
changed one after the other, each to what the check finds least of and that costs least: good, not proved best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.fusing import needed_a
from packyoke.core.findings import Severity
from packyoke.core.paths import path_to
from packyoke.making.stock import Cable
from packyoke.model import Build, Lead
from packyoke.planning.catalogue import thickest
from packyoke.planning.dress import Dressed, fitted, made, obstacle
from packyoke.planning.effort import RUN
from packyoke.planning.labels import Option
from packyoke.planning.options import Workbench, blank_fuse, fused
from packyoke.planning.result import Stuck
from packyoke.rules import RULES
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judgement

STOP_FINDINGS = 10_000
MOST_SWEEPS = 4
"""Rounds over all leads; the second seldom changes anything."""
MOST_CHECKS = 2_000
"""Checks of a whole build, each counted by its leads; the leads that are left then keep the thickest wires."""

CHECK = 150
"""Steps of the search that such a check takes as long as, for each lead, where all is known."""


def tried(bench: Workbench, build: Build, given: Build) -> Dressed:
    """A drawn harness with wires and fuses that pass. Raises Stuck where even the thickest wires do not."""
    behind = harness(Case(build)).packs_behind
    open_leads = [name for name, lead in build.leads.items() if lead.path in behind and not lead.direct]
    build = _with_thickest(bench, build, given, open_leads)
    choices: dict[str, list[Option]] = {}
    for name in open_leads:
        choices[name] = _options(bench, build, given, build.leads[name])
        if not choices[name]:
            path = path_to("leads", name)
            mine = [each for (_, part, _), each in bench.obstacles.items() if part == path]
            raise Stuck(obstacle(mine, path, "nothing on the shelf will do for it"))
        build = made(build, given, name, choices[name][-1])
    build = _with_pack_fuses(bench, build, given)
    costs = {name: [_cost(bench, build, name, option) for option in options] for name, options in choices.items()}
    weight = _checked(bench, build)
    now = {name: listed[-1] for name, listed in costs.items()}
    left = MOST_CHECKS // max(1, len(build.leads))
    for _ in range(MOST_SWEEPS):
        before = build
        for name, options in choices.items():
            best = (weight, now[name])
            for cost, option in sorted(zip(costs[name], options, strict=True), key=lambda each: each[0]):
                if left <= 0 or bench.effort.gone or (weight == 0 and cost >= best[1]):
                    break
                other = made(build, given, name, option)
                if other == build:
                    continue  # what it weighs is known
                left -= 1
                found = (_checked(bench, other), cost)
                if found < best:
                    build, best = other, found
            weight, now[name] = best
        if build == before or left <= 0:
            break
    return Dressed(build, sum(now.values()), False, None, "")


def _with_thickest(bench: Workbench, build: Build, given: Build, names: list[str]) -> Build:
    """Every wire that is open at its thickest: the least resistance, and so the most current in all others."""
    cable = thickest(bench.shelf)
    for name in names:
        lead = build.leads[name]
        chosen = Cable(lead.gauge or cable.gauge, lead.insulation or cable.insulation)
        build = made(build, given, name, Option(chosen, None, 0, 0.0, 0.0, 0.0, 0.0))
    return build


def _options(bench: Workbench, build: Build, given: Build, lead: Lead) -> list[Option]:
    blank = given.leads[lead.name]
    case = Case(build)
    packs = harness(case).packs_behind[lead.path]
    pack = build.packs.get(lead.source)
    must_fuse = blank_fuse(blank) and pack is not None and not fused(pack)
    open_lead = replace(lead, gauge=blank.gauge, insulation=blank.insulation)
    found = bench.options(case, open_lead, packs, must_fuse=must_fuse, may_fuse=must_fuse, fixed=blank)
    return sorted(found, key=lambda option: -option.ohm)


def _with_pack_fuses(bench: Workbench, build: Build, given: Build) -> Build:
    drawing = harness(Case(build))
    for name, pack in build.packs.items():
        leads = drawing.leads_from.get(name, ())
        if fused(pack) or not leads or leads[0].fuse.presence == "fitted" or not blank_fuse(pack):
            continue
        kind = next(iter(bench.fuses(needed_a(Case(build), leads[0]), (name,))), None)
        if kind is not None:
            build = replace(build, packs={**build.packs, name: replace(pack, fuse=fitted(pack.fuse, kind))})
    return build


def _checked(bench: Workbench, build: Build) -> int:
    """What the whole check finds. It takes long where much is not known."""
    trials, decisions, _ = judgement(build, RULES)
    bench.effort.spend(CHECK * len(build.leads) + RUN * trials.effort)
    return _weight(decisions)


def _weight(decisions: Sequence[Decision]) -> int:
    """How bad findings are together, a stop far above everything else."""
    weights = {Severity.STOP: STOP_FINDINGS, Severity.OPEN: 100, Severity.CAUTION: 1}
    return sum(weights.get(Severity(each.severity), 0) for each in decisions if each.severity)


def _cost(bench: Workbench, build: Build, name: str, option: Option) -> int:
    """The score of a lead made so, with what it loses when all its load goes through it."""
    return option.score + bench.score.of(
        "loss", load(Case(build), path_to("leads", name)).continuous_a ** 2 * option.ohm
    )
