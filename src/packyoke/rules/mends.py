"""What several rules advise: a lower setting of the controller, a thicker wire, a joiner that blocks."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.circuit.currents import BRAKING, FROM_PACK, charged_together, mixing_joiners
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.contacts import fits_ends
from packyoke.analysis.limits.leads import IN_FRAME_RISE_K, derated, loaded_conductors
from packyoke.analysis.limits.margins import Limit, above
from packyoke.analysis.limits.settings import Excess, fitting_setting
from packyoke.core.findings import Amount, shown
from packyoke.core.paths import PartPath
from packyoke.model import Gauge, Lead
from packyoke.rules.outcome import Change, Mend, later
from packyoke.rules.refitting import with_connectors
from packyoke.shelf import wires

BEST_INSULATION = "silicone"


NO_RUSH = "Fit a joiner that blocks, so that no pack feeds another."


def without_rush(do: str, excess: Excess, rush_a: float) -> str:
    """The advice of a rule where no mend passes: against current of other packs a joiner, whatever else helps."""
    if excess.from_packs:
        return NO_RUSH
    if not rush_a:
        return do
    return f"{NO_RUSH} {do}" if above(excess.found_a - rush_a, excess.limit_a) else NO_RUSH


def found_current(excess: Excess, note: str = "", rush_a: float = 0.0) -> Amount:
    """A worst current with its time, as a finding shows it."""
    time = f"for {shown(excess.peak_s)} s" if excess.peak_s is not None else "continuous"
    if excess.back_by:
        time = excess.back_by if excess.back_by in (BRAKING, FROM_PACK) else f"charging with {excess.back_by}"
        if excess.pushed_a > 0 and excess.back_by != FROM_PACK:
            time += f", {shown(excess.pushed_a)} A of it from pack to pack"
    elif rush_a > 0:
        time = f"until the packs are level, {shown(rush_a)} A of it from pack to pack"
    if excess.high:
        time += "; counts high, at the lowest voltage of one pack alone"
    return Amount(excess.found_a, "A", f"{time}, {note}" if note else time)


@later
def lower_settings(case: Case, path: PartPath, limits: Sequence[Limit]) -> Sequence[Mend]:
    """Settings of the controller with which the limits of a part hold, the highest first."""
    found = [mend for limit in limits if (mend := _lower_setting(case, path, limit)) is not None]
    return sorted(found, key=lambda mend: -float(mend.changes[0].value))


def _lower_setting(case: Case, path: PartPath, limit: Limit) -> Mend | None:
    setting = if_known(fitting_setting, case, path, limit)
    if setting is None:
        return None
    controller = setting.controller
    text = f"Set the controller to {shown(setting.limit_a)} A"
    if len(case.build.controllers) > 1:
        text = f"Set {controller.name} to {shown(setting.limit_a)} A"
    changes = [Change(controller.path, "limit_a", setting.limit_a)]
    if controller.adjustable_a is not None:
        text += ", and lock it there"
        changes.append(Change(controller.path, "adjustable_a", setting.limit_a))
    if setting.falls_to_a is not None:
        changes.append(Change(controller.path, "falls_to_a", setting.falls_to_a))
        if above(setting.limit_a, setting.falls_to_a):
            text += f", falling to {shown(setting.falls_to_a)} A"
    return Mend(text, tuple(changes))


@later
def less_back(case: Case, path: PartPath, excess: Excess) -> Sequence[Mend]:
    """What to do about a current that flows back: braking set lower or off, a smaller charger or one at the packs."""
    if excess.from_packs:
        return blocking_joiners(case, path)
    at_most_a = floor(excess.limit_a * 10 + 1e-6) / 10
    if excess.back_by == BRAKING:
        braking = [
            case.build.controllers[name]
            for name in harness(case).controllers_ahead.get(path, ())
            if case.build.controllers[name].regen_a
        ]
        off = Mend(
            "Switch braking off in the controller's settings",
            tuple(Change(each.path, "regen_a", 0.0) for each in braking),
        )
        if len(braking) != 1 or at_most_a <= 0:
            return (off,)
        lower = Mend(f"Set braking to at most {shown(at_most_a)} A", (Change(braking[0].path, "regen_a", at_most_a),))
        return lower, off
    charger = case.build.chargers.get(excess.back_by)
    if charger is None:
        together = [case.build.chargers[name] for name in charged_together(case, path)[1]]
        changes = tuple(Change(each.path, "through", None) for each in together)
        return (Mend("Charge each pack by itself, at its own socket", changes),)
    smaller = Mend(f"A charger of at most {shown(at_most_a)} A", (Change(charger.path, "current_a", at_most_a),))
    own = Mend("Charge each pack by itself, at its own socket", (Change(charger.path, "through", None),))
    return (smaller, own) if at_most_a > 0 else (own,)


@later
def blocking_joiners(case: Case, path: PartPath) -> Sequence[Mend]:
    """Blocking joiners in place of the plain ones through which packs feed each other on the way of a part."""
    packs = set(harness(case).packs_behind.get(path, ()))
    plain = [each for each in mixing_joiners(case) if packs & set(harness(case).packs_behind[each.path])]
    if not plain:
        return ()
    changes = tuple(
        Change(joiner.path, attr, value)
        for joiner in plain
        for attr, value in (("type", "ideal-diode"), ("blocks_in", "positive"), ("bonded", None))
    )
    names = " and ".join(joiner.name for joiner in plain)
    return (Mend(f"An ideal-diode joiner in place of {names}, so that no pack feeds another", changes),)


@later
def better_wires(case: Case, lead: Lead, gauge: Gauge, insulation: str, current_a: float) -> Sequence[Mend]:
    """Wires from the present size up that bear a current where this lead lies, in the insulation that bears most."""
    ambient_k = case.build.warmest_k + (IN_FRAME_RISE_K if lead.run.in_frame else 0.0)
    conductors = loaded_conductors(case, lead)
    best = insulation
    if wires.insulation_column_c(insulation) < wires.insulation_column_c(BEST_INSULATION):
        best = BEST_INSULATION
    family = gauge.family if gauge.family == "mm2" else "AWG"
    area_m2 = wires.copper_area_m2(gauge.family, gauge.size)
    standard = (Gauge(family, size) for size in wires.standard_sizes(family))
    thicker = [each for each in standard if above(wires.copper_area_m2(each.family, each.size), area_m2)]
    found = []
    for each in thicker if best == insulation else (gauge, *thicker):
        bears_a = derated(each, best, ambient_k, conductors).amps_a
        if above(current_a, bears_a):
            continue
        changes = [Change(lead.path, "gauge", each)] if each != gauge else []
        if best != insulation:
            changes.append(Change(lead.path, "insulation", best))
        found.append((each, Mend(f"{each} {best}, {shown(bears_a)} A", tuple(changes))))
    return fitting_first(case, lead, found)


def fitting_first(case: Case, lead: Lead, wires_and_mends: Sequence[tuple[Gauge, Mend]]) -> Sequence[Mend]:
    """Wires that fit the lead's connectors before those that need others with them, else in their order.

    Where the present wire does not fit either, those that fit no better stand last.
    """
    fitting = [mend for gauge, mend in wires_and_mends if fits_ends(case, lead.ends, gauge)]
    others = [each for each in wires_and_mends if each[1] not in fitting]
    refitted = [new for gauge, mend in others if (new := with_connectors(case, lead, gauge, mend)) is not None]
    misfits = lead.gauge is not None and not fits_ends(case, lead.ends, lead.gauge)
    return [*fitting, *refitted, *(mend for _, mend in others if misfits)]
