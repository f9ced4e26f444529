"""Which pack supplies when, what each lead and joiner sees meanwhile, and what a set of packs really gives."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.curves import Demand, TreeNode, nodes
from packyoke.analysis.circuit.load import controller_load, cut_off_v, full_charge_v, held_load
from packyoke.analysis.circuit.mixed import root_of
from packyoke.analysis.circuit.network import middle, tree
from packyoke.analysis.discharge.course import Discharge, EndedBy, PartTally, discharge
from packyoke.analysis.discharge.energy import CellCurve, cold_factor, curve_of, cut_of
from packyoke.analysis.discharge.stepping import Battery
from packyoke.analysis.harness.drawing import faults, harness
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.voltages import series_count
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.analysis.unknowns.spans import nominal_energy_j
from packyoke.core.paths import in_section, name_of
from packyoke.model import Key, Pack, Unknown, known
from packyoke.model.fields import field_name
from packyoke.shelf.cold import cold_capacity_factor

WARM_K = 293.15
AGED_FRACTION, AGED_RESISTANCE = 0.8, 1.75
"""At 80 % of its capacity a pack has 1.5 to 2 times its resistance, here the middle: cells as measured, from memory."""


class Draw(NamedTuple):
    """What the controllers draw: a constant current [A] or power [W], or the smaller of both; neither: as much as they
    may all the time. `besides_a` is what those without a power limit draw beside those with one."""

    current_a: float | None = None
    power_w: float | None = None
    besides_a: float = 0.0

    @property
    def at_rest(self) -> bool:
        """Whether nothing is drawn."""
        return 0.0 in (self.current_a, self.power_w) and not self.besides_a


AS_SET = Draw()


class NoRundown(NamedTuple):
    """Why there is no rundown, and the field or part that it hangs on. `assumed` as in `Rundown`."""

    reason: Literal[
        "not known", "no curve", "no harness", "no common way", "two ways", "gives nothing", "fits no rider"
    ]
    part: str
    attr: str
    assumed: tuple[Key, ...] = ()

    @property
    def name(self) -> str:
        """The part as people call it."""
        return name_of(self.part)

    @property
    def field(self) -> str:
        """The field as the file calls it; empty where it hangs on the part as a whole."""
        return field_name((self.part, self.attr)) if self.attr else ""


@dataclass(frozen=True)
class Rundown(Discharge):
    """How a set of packs runs down. `passed` has leads and joiners by path, both directions of current.

    `draw` is what was drawn. `label_energy_j` is nominal voltage times marked capacity; `assumed` are the fields that
    are not in the file, which count with what printed numbers count with.
    """

    draw: Draw
    label_energy_j: float
    assumed: tuple[Key, ...]

    @property
    def usable_fraction(self) -> float:
        """What the load got over what the labels promise [-]."""
        return self.energy_to_load_j / self.label_energy_j


class SetLine(NamedTuple):
    """One set of packs in a line. `begins` is when each pack first supplies, in that order; `beyond` are packs that
    give more than their protection lets out all the time."""

    packs: tuple[str, ...]
    begins: tuple[tuple[str, float], ...]
    duration_s: float
    energy_to_load_j: float
    label_energy_j: float
    ended: EndedBy
    beyond: tuple[str, ...] = ()


def rundown(
    case: Case,
    packs: tuple[str, ...],
    *,
    start: Mapping[str, float] | None = None,
    load: Draw = AS_SET,
    temperature_k: float = WARM_K,
    health_fraction: float = 1.0,
    series: bool = True,
    off_share: float = 0.0,
) -> Rundown | NoRundown:
    """Run a set of packs down through the harness until the controller cuts or no pack is left.

    Parameters
        packs: names of the packs that are plugged in
        start: states of charge by name [-]; full where there is none
        load: what is drawn [A], [W]; 0 A: packs joined at rest, until they are level or a day has passed
        temperature_k: of the cells, for capacity and resistance [K]
        health_fraction: capacity left of the marked, 1 as new; a tested capacity is taken as tested, without it [-]
        series: whether to keep every moment
        off_share: how far off the mean currents of a step may seem to be, of those of all packs, beyond the usual [-]
    Returns
        the rundown [s], [A], [V], [C], [J], or why there is none
    Valid
        resistances from full to empty the same, leads at 20 degC. A selector stays on its first input that a pack feeds
        until that drops out or the controller cuts, then it is turned to the next. Accessories draw all the time, the
        controllers nothing back. Two controllers behind one joiner draw there, together, until the first one cuts.
    Raises
        ValueError: no packs, a pack that is not in the build or twice, a fraction outside 0 to 1
    """
    if start or series:
        return _run_down(case, packs, start or {}, load, temperature_k, health_fraction, series, off_share)
    return _sums(case, packs, load, temperature_k, health_fraction, off_share)


@once
def _sums(
    case: Case, packs: tuple[str, ...], load: Draw, temperature_k: float, health_fraction: float, off_share: float
) -> Rundown | NoRundown:
    """One from full, without its moments, is small enough to keep: ranges ask for the same ones again."""
    return _run_down(case, packs, {}, load, temperature_k, health_fraction, False, off_share)


def _run_down(
    case: Case,
    packs: tuple[str, ...],
    start: Mapping[str, float],
    load: Draw,
    temperature_k: float,
    health_fraction: float,
    series: bool,
    off_share: float,
) -> Rundown | NoRundown:
    found = circuit_with(case, packs, start, temperature_k, health_fraction, load)
    if isinstance(found, NoRundown):
        return found
    try:
        label_j = sum(_label_j(found.case.build.packs[name]) for name in packs)
    except Unknown as unknown:
        return NoRundown("not known", unknown.part.path, unknown.attr, found.assumed)
    drawn = Demand(found.draw.current_a, found.draw.power_w, besides_a=found.draw.besides_a)
    course = discharge(
        found.root, drawn, found.batteries, found.states, found.cut_v, series=series, off_share=off_share
    )
    fields = {**vars(course), "passed": by_part(course.passed)}
    return Rundown(**fields, draw=found.draw, label_energy_j=label_j, assumed=found.assumed)


def summary(
    case: Case,
    sets: Iterable[tuple[str, ...]],
    *,
    start: Mapping[str, float] | None = None,
    load: Draw = AS_SET,
    temperature_k: float = WARM_K,
    health_fraction: float = 1.0,
) -> tuple[SetLine | NoRundown, ...]:
    """One line for each set of packs; parameters as of `rundown`."""
    lines: list[SetLine | NoRundown] = []
    for packs in sets:
        found = rundown(
            case,
            packs,
            start=start,
            load=load,
            temperature_k=temperature_k,
            health_fraction=health_fraction,
            series=False,
        )
        if isinstance(found, NoRundown):
            lines.append(found)
            continue
        begins: dict[str, float] = {}
        for phase in found.phases:
            for name in phase.supplying:
                begins.setdefault(name, phase.from_s)
        energy_j, label_j = found.energy_to_load_j, found.label_energy_j
        limits_a = {name: case.build.packs[name].discharge_continuous_a for name in packs}
        beyond = tuple(
            each.name
            for each in found.packs
            if (limit_a := limits_a[each.name]) is not None and above(each.peak_a, limit_a)
        )
        lines.append(SetLine(packs, tuple(begins.items()), found.duration_s, energy_j, label_j, found.ended, beyond))
    return tuple(lines)


def as_set(case: Case, names: Sequence[str], packs: tuple[str, ...]) -> Draw:
    """What controllers draw all the time as they are set: those with a power limit that power, and no more current than
    they may, those without their current."""
    held = held_load(case, tuple(names), packs, peak=False)
    if held is not None:
        return Draw(held.current_a, held.power_w, held.besides_a)
    return Draw(sum(controller_load(case, name, packs).continuous_a for name in names))


class Circuit(NamedTuple):
    """What is run down: the filled case, the tree up to where all current passes, the packs, their states, the load."""

    case: Case
    assumed: tuple[Key, ...]
    root: TreeNode
    batteries: tuple[Battery, ...]
    states: tuple[float, ...]
    draw: Draw
    cut_v: float


def circuit_with(
    case: Case,
    packs: Sequence[str],
    start: Mapping[str, float],
    temperature_k: float,
    health_fraction: float,
    load: Draw,
) -> Circuit | NoRundown:
    """The circuit with these packs plugged in; parameters, errors and refusals as of `rundown`."""
    if not packs or len({*packs}) < len(packs) or not {*packs, *start} <= {*case.build.packs}:
        raise ValueError(f"no set of packs of this build: {packs}, {dict(start)}")
    if not all(0.0 <= each <= 1.0 for each in start.values()) or not 0.0 < health_fraction <= 1.0:
        raise ValueError("states of charge and health run from 0 to 1")
    case, assumed = filled_case(case)
    build, drawing = case.build, harness(case)
    if not drawing.intact():
        return NoRundown("no harness", faults(case)[0].part, "", assumed)
    batteries, states = [], []
    try:
        for name in packs:
            pack = build.packs[name]
            if pack.path not in drawing.controllers_ahead:
                return NoRundown("no harness", pack.path, "", assumed)
            curve = curve_of(pack)
            if curve is None:
                return NoRundown("no curve", pack.path, "chemistry", assumed)
            batteries.append(_battery(pack, curve, temperature_k, health_fraction))
            full = curve.charge_at(full_charge_v(pack) / series_count(pack))
            states.append(start.get(name, full))
        first, *others = (build.packs[name] for name in sorted(packs))  # which one is named hangs on no order
        root = root_of(case, first.path)
        for pack in others:
            if root_of(case, pack.path) != root:
                return NoRundown("no common way", pack.path, "", assumed)
        names = drawing.controllers_ahead[first.path]
        if load == AS_SET:
            load = as_set(case, names, tuple(packs))
        cut_v = max(cut_of(build.controllers[name]) for name in names)
        emf_v = {pack.name: pack.volts_v[-1] for pack in batteries}
        whole = tree(case, root, emf_v, middle)
        twice = _named_twice(whole)
        if twice:
            return NoRundown("two ways", twice, "", assumed)
    except Unknown as unknown:
        return NoRundown("not known", unknown.part.path, unknown.attr, assumed)
    return Circuit(case, assumed, whole, tuple(batteries), tuple(states), load, cut_v)


def _named_twice(root: TreeNode) -> str:
    """A part that stands in the tree more than once: what it carries has two ways to the controller."""
    seen: set[str] = set()
    for node in nodes(root):
        name = getattr(node, "name", "")
        if in_section(name, "accessories"):
            # One that is tied at several points.
            name = name.partition("<")[0]
        if name in seen:
            return str(name).partition("<")[0]
        seen |= {name} if name else set()
    return ""


def _battery(pack: Pack, curve: CellCurve, temperature_k: float, health_fraction: float) -> Battery:
    count, health = series_count(pack), 1.0 if pack.tested_capacity_coulomb else health_fraction
    aged = 1.0 + (AGED_RESISTANCE - 1.0) * (1.0 - health) / (1.0 - AGED_FRACTION)
    return Battery(
        pack.name,
        pack.path,
        curve.charges,
        tuple([count * volts_v for volts_v in curve.volts_v]),
        counted_capacity_coulomb(pack) * health * cold_capacity_factor(temperature_k),
        known(pack.resistance_ohm, pack, "resistance_ohm") * cold_factor(temperature_k) * aged,
        cut_off_v(pack),
    )


def _label_j(pack: Pack) -> float:
    energy_j = nominal_energy_j(pack)
    return known(energy_j, pack, "capacity_coulomb")


def by_part(passed: Mapping[str, PartTally]) -> dict[str, PartTally]:
    """Paths through a joiner as one: their heat together, the largest current of any of them."""
    found: dict[str, PartTally] = {}
    for name, each in passed.items():
        path = name.partition("<")[0]
        before = found.get(path, PartTally(0.0, 0.0))
        found[path] = PartTally(before.heat_j + each.heat_j, max(before.peak_a, each.peak_a))
    return found
