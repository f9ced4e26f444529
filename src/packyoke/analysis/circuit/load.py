"""How much the controllers and accessories ask of each part between them and the packs."""

from __future__ import annotations

from collections.abc import Collection
from math import sqrt
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.curves import Demand, shape_of
from packyoke.analysis.circuit.network import STIFF_OHM, tree, upper, without_asking
from packyoke.analysis.harness.drawing import harness
from packyoke.core.paths import PartPath, name_of, path_to
from packyoke.model import Accessory, Controller, Pack, Unknown, known
from packyoke.shelf import wires
from packyoke.shelf.chemistry import chemistry

MOST_ROUNDS = 20
"""Two controllers that hold their power wait for each other's drop: each round adds less than the one before."""


LoadStep = tuple[float, float]
"""A current that is asked for a time from when it all began [A], [s]."""


class Load(NamedTuple):
    """What is asked of a part: all the time, and at the most for a stated time (None: no more than all the time).

    `at_empty` is the pack that is at its lowest then, where a power limit decides; empty: any charge will do. `later`:
    where the peaks of several controllers last unlike long, what is left once the shorter ones are over.
    """

    continuous_a: float
    peak_a: float | None = None
    peak_s: float | None = None
    at_empty: str = ""
    later: tuple[LoadStep, ...] = ()

    @property
    def most_a(self) -> float:
        return self.continuous_a if self.peak_a is None else max(self.continuous_a, self.peak_a)

    @property
    def steps(self) -> tuple[LoadStep, ...]:
        """The peak and what comes after it, each with the time from the beginning."""
        return () if self.peak_a is None else ((self.peak_a, self.peak_s or 0.0), *self.later)


def together(loads: Collection[Load], besides_a: float = 0.0) -> Load:
    """What several controllers ask, whose peaks begin at one time, and a current besides all the time.

    That is the worst of all beginnings for every single current: those that are at their peak together are so no longer
    than the shortest of their peaks lasts.
    """
    continuous_a = sum(each.continuous_a for each in loads) + besides_a
    at_empty = next((each.at_empty for each in loads if each.at_empty), "")
    times_s = sorted({each.peak_s or 0.0 for each in loads if each.peak_a is not None})
    steps = [
        (
            sum(each.most_a if (each.peak_s or 0.0) >= time_s else each.continuous_a for each in loads) + besides_a,
            time_s,
        )
        for time_s in times_s
    ]
    if not steps or steps[0][0] <= continuous_a:
        return Load(continuous_a, at_empty=at_empty)
    return Load(continuous_a, *steps[0], at_empty, tuple(steps[1:]))


def lowest_running_v(case: Case, controller: Controller, packs: tuple[str, ...]) -> float:
    """The lowest voltage at which the controller still runs on these packs [V].

    The highest of its low-voltage cut, its least voltage and the (lowest) cut-off of the packs. Asks for no more than
    it needs: a cut-off below the controller's own cut changes nothing.
    """
    cut_v = stops_drawing_v(controller)
    if not packs:
        return cut_v
    return max(cut_v, min(cut_off_v(case.build.packs[name]) for name in packs))


def stops_drawing_v(controller: Controller) -> float:
    """Where a controller stops drawing: its low-voltage cut, or its least voltage [V]."""
    return max(known(controller.low_voltage_cut_v, controller, "low_voltage_cut_v"), controller.voltage_min_v)


def full_charge_v(pack: Pack) -> float:
    """What a pack charges to [V]."""
    return known(pack.full_charge_v, pack, "full_charge_v")


def nominal_v(pack: Pack) -> float:
    """What a pack is called by its cells: full charge, times nominal over full of a cell [V].

    Asks for no chemistry where the full charge itself is below the line that the rules draw.
    """
    full_v = full_charge_v(pack)
    if full_v < wires.LOW_CIRCUIT_V:
        return full_v
    cell = chemistry(known(pack.chemistry, pack, "chemistry"))
    assert cell is not None, f"the reader lets no other chemistry in: {pack.chemistry}"
    return full_v * cell.nominal_v / cell.full_v


def cut_off_v(pack: Pack) -> float:
    """Where the pack's protection circuit opens [V]; while a full charge is only tried, no higher than that."""
    cut_v = known(pack.cut_off_v, pack, "cut_off_v")
    return cut_v if pack.full_charge_v is None else min(cut_v, pack.full_charge_v)


def series_count(pack: Pack) -> int:
    """Cells in series. With the full-charge voltage at hand the chemistry is asked for, which says it too."""
    if pack.series is not None:
        return pack.series
    if pack.full_charge_v is None:
        raise Unknown(pack, "full_charge_v")
    found = chemistry(known(pack.chemistry, pack, "chemistry"))
    assert found is not None, f"the reader lets no other chemistry in: {pack.chemistry}"
    return round(pack.full_charge_v / found.full_v)


@once
def controller_load(case: Case, name: str, packs: tuple[str, ...]) -> Load:
    """What a controller may draw from any of these packs, whichever is the only one; of those that feed it, if any do.

    The smaller of its current limit (what it can be set to, if that is known) and what its power limit draws. With a
    current that it falls to the limit is a peak for its time and the lower one is continuous.
    """
    controller = case.build.controllers[name]
    limit_a = controller.adjustable_a or controller.limit_a
    if controller.power_limit_w is None:
        limit_a = known(limit_a, controller, "limit_a")
        power_a, at_empty = limit_a, ""
    else:
        feeding = harness(case).packs_behind.get(controller.path, ())
        packs = tuple(pack for pack in packs if pack in feeding) or packs or (NO_PACK,)
        power_a, at_empty = max((_power_a(case, pack)[name], pack) for pack in packs)
        limit_a = power_a if limit_a is None else limit_a
    most_a, at_empty = (power_a, at_empty) if power_a <= limit_a else (limit_a, "")
    if controller.falls_to_a is not None and controller.falls_to_a < most_a:
        return Load(controller.falls_to_a, most_a, controller.falls_after_s, at_empty)
    return Load(most_a, at_empty=at_empty)


@once
def _power_a(case: Case, pack: str) -> dict[str, float]:
    """What each controller draws at its power limit from one pack alone, at the lowest voltage at which it runs [A].

    The pack's outlet stands at its cut-off; leads, joiners and diodes take their drop from it, and what accessories and
    other controllers draw meanwhile adds to that:

        I = P/V, V (s - g V) = P, I = s - g V what the pack gives at a voltage

    Nothing runs below the controller's own cut: V is that at least. Where the pack cannot give the power at its cut-off
    it last gave it at V = sqrt(P/g). Worse ends count: contacts at their most, 2 m of a lead of which the length is not
    known; one without a gauge loses nothing, for no rule passes it.
    """
    case = _typed(case)
    build, drawing = case.build, harness(case)
    limited = {name: each.power_limit_w for name, each in build.controllers.items() if each.power_limit_w is not None}
    reached = drawing.controllers_ahead.get(path_to("packs", pack), ())
    lowest_v = {name: stops_drawing_v(build.controllers[name]) for name in limited}
    found = {}
    for name, power_w in limited.items():
        if name not in reached and pack in build.packs:
            lowest_v[name] = max(lowest_v[name], cut_off_v(build.packs[pack]))
        found[name] = power_w / lowest_v[name]
    if not reached:
        return found
    cut_v = cut_off_v(build.packs[pack])
    fixed_a = {name: build.controllers[name].adjustable_a or build.controllers[name].limit_a for name in reached}
    for name in limited:
        if name in reached:
            found[name] = 0.0
    for _ in range(MOST_ROUNDS if len(reached) > 1 else 1):
        before = dict(found)
        for name in reached:
            if name not in limited:
                continue
            others: dict[str, float] = {}
            for other in reached:
                if other != name:
                    limit_a = fixed_a[other]
                    asked_a = min(before[other], limit_a or before[other]) if other in limited else limit_a or 0.0
                    at = _parts_from(case, pack, name, other)
                    others[at] = others.get(at, 0.0) + asked_a
            root = tree(case, name, {pack: cut_v}, upper, spans=without_asking, pack_ohm=_stiff, taps=others)
            _, s, g = shape_of(root, {})[1][-1]
            power_w = limited[name]
            discriminant = s * s - 4.0 * g * power_w
            volts_v = (s + sqrt(discriminant)) / (2.0 * g) if discriminant >= 0.0 and s > 0.0 else sqrt(power_w / g)
            found[name] = power_w / max(volts_v, lowest_v[name])
        if all(abs(found[name] - before[name]) < 1e-9 for name in limited):
            break
    return found


def held_load(case: Case, names: tuple[str, ...], packs: tuple[str, ...], peak: bool) -> Demand | None:
    """What controllers draw together that hold a power, beside those that do not; None where none does.

    Of several the powers and the current limits are added up: never less than what they draw.
    """
    current_a: float | None = 0.0
    power_w = besides_a = 0.0
    for name in names:
        controller = case.build.controllers[name]
        if controller.power_limit_w is None:
            each = controller_load(case, name, packs)
            besides_a += each.most_a if peak else each.continuous_a
            continue
        power_w += controller.power_limit_w
        limits_a = [controller.adjustable_a or controller.limit_a, None if peak else controller.falls_to_a]
        limit_a = min((each_a for each_a in limits_a if each_a is not None), default=None)
        current_a = None if limit_a is None or current_a is None else current_a + limit_a
    return Demand(current_a, power_w, besides_a=besides_a) if power_w else None


def lowest_held_v(case: Case, names: tuple[str, ...], pack: str) -> float:
    """The lowest voltage at which controllers that hold a power still get it from one pack alone [V]."""
    limited = {name: case.build.controllers[name].power_limit_w for name in names}
    return min(power_w / _power_a(case, pack)[name] for name, power_w in limited.items() if power_w is not None)


NO_PACK = ""


@once
def _typed(case: Case) -> Case:
    """The case with a blocking joiner in place of the bike maker's own, of which nobody has to know what is inside."""
    build = case.build
    for joiner in case.build.joiners.values():
        if joiner.built_in is not None and joiner.blocking is None:
            build = build.with_value(joiner.path, "type", "ideal-diode")
    return case if build is case.build else Case(build)


def _stiff(pack: Pack) -> float:
    """The outlet of a pack held where it is."""
    return STIFF_OHM


def _parts_from(case: Case, pack: str, name: str, other: str) -> str:
    """The part where the way of a pack to one controller leaves that to another."""
    mine, theirs = (
        next(way for way in harness(case).ways[pack] if way[-1] == case.build.controllers[each].path)
        for each in (name, other)
    )
    return name_of([path for path in mine if path in theirs][-1])


def accessories_behind(case: Case, path: PartPath) -> tuple[Accessory, ...]:
    """The accessories whose current passes a part on its way.

    A joiner feeds them from its outlet side, a lead from its load end, a pack from its own lead.
    """
    names = harness(case).fed_past(path)
    return tuple([each for each in case.build.accessories.values() if not names.isdisjoint(each.sources)])


@once
def load(case: Case, path: PartPath) -> Load:
    """The whole of what is asked of a part: every controller ahead of it and every accessory fed from behind it."""
    drawing = harness(case)
    packs = drawing.packs_behind.get(path, ())
    draws = [controller_load(case, name, packs) for name in drawing.controllers_ahead.get(path, ())]
    taps = accessories_behind(case, path) if case.build.accessories else ()
    return together(draws, sum(known(each.current_a, each, "current_a") for each in taps))
