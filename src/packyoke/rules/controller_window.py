"""A pack is outside what the controller takes: too high when full, or cut off with much left in it.

What
    The controller has a highest voltage that it may ever see and a voltage at which it stops. A
    full pack must be below the first; the second must not come while much of the charge is left.
Why
    Above its highest voltage the controller's transistors and capacitors fail, often all at once,
    and a failed controller can drive the motor by itself. A cut that comes early leaves energy in
    the packs that the customer has paid for and carries along.
Limit
    Full charge at most voltage.max. Energy: the pack alone carries the whole continuous load at
    20 degC; it is taken as its open-circuit curve behind its resistance,

        U(s) = n E(s) - I R,

    its own protection opens at U = cut-off, the controller stops where U less the loss on the way
    is at its low-voltage cut. At most 15 % of the energy from full to cut-off may stay unused;
    where the pack is below that voltage even when full and at rest, it is a stop.

    The same at the coldest air, where that is written (cells resist more), is only a note. It is an
    estimate at a constant current: no rest, no warming, and no curve on file for LMO blends and LTO.
Do
    Use packs that charge to less, or a controller made for more; or lower the low-voltage cut to
    the value printed, but keep it above the packs' cut-off.
Rider notices
    the bike stops with charge left; range is shorter than the pack says; dies early in the cold;
    controller dies after a full charge
Fails
    in skerry-long-tail
    controller.voltage: {min: 39 V, max: 56 V}
Passes
    in skerry-long-tail
    controller.voltage: {min: 39 V, max: 63 V}
Sources
    Chen et al. 2020, J. Electrochem. Soc. 167 080534, and other published cells (curves, resistance
    in the cold); 15 % is our judgement.
"""

from __future__ import annotations

from dataclasses import replace

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.circuit.load import full_charge_v, lowest_running_v
from packyoke.analysis.discharge.energy import NoCurve, cut_for_all_v, endings, unused_by
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.voltages import highest_full_charge
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Controller, Pack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, called, packs_on_ways

UNUSED = 0.15
"""Share of the energy that may stay in a pack: judgement."""


def parts(case: Case) -> list[Controller | Pack]:
    """The controllers, for what is too high; the packs, for what stays in them."""
    behind = harness(case).packs_behind
    fed = [each for each in case.build.controllers.values() if each.path in behind]
    return [*fed, *packs_on_ways(case)]


def check(case: Case, part: Controller | Pack) -> Outcome:
    return _too_high(case, part) if isinstance(part, Controller) else _left_in(case, part)


def _too_high(case: Case, controller: Controller) -> Outcome:
    highest = highest_full_charge(case, controller.path)
    limit_v = known(controller.voltage_max_v, controller, "voltage_max_v")
    if not above(highest.volts_v, limit_v):
        return PASSED
    return Failed(
        severity=Severity.STOP,
        message="a full pack is above what it takes",
        found=Amount(highest.volts_v, "V", f"{highest.by}, full"),
        limit=Amount(limit_v, "V"),
        why="Its transistors and capacitors fail above this, often all at once.",
        do=f"Use packs that charge to at most {shown(limit_v)} V, or a controller for {shown(highest.volts_v)} V.",
        field="voltage_max_v",
        kind="danger",
        also=(case.build.packs[highest.by],),
    )


def _left_in(case: Case, pack: Pack) -> Outcome:
    """Each pack that a controller never starts on; of those that it leaves early, those in which most is left."""
    controllers = [case.build.controllers[name] for name in harness(case).controllers_ahead[pack.path]]
    for controller in controllers:
        if _never_starts(case, controller, pack):
            return _early(case, controller, pack, 1.0)
    for controller in controllers:
        if isinstance(endings(case, controller.name, pack.name), NoCurve):
            return _no_curve(pack, controller)
        share = unused_by(case, controller.name, pack.name, False, UNUSED)
        if above(share, UNUSED) and not _more_left_elsewhere(case, controller, pack, share, cold=False):
            return _early(case, controller, pack, share)
    if "coldest_k" not in case.build.spans:
        return PASSED
    for controller in controllers:
        share = unused_by(case, controller.name, pack.name, True, UNUSED)
        if above(share, UNUSED) and not _more_left_elsewhere(case, controller, pack, share, cold=True):
            return _in_the_cold(controller, pack, share)
    return PASSED


def _more_left_elsewhere(case: Case, controller: Controller, pack: Pack, share: float, *, cold: bool) -> bool:
    """Whether another pack is known to keep more; in the cold also whether one is early when it is warm already."""
    for name in harness(case).packs_behind[controller.path]:
        if name == pack.name:
            continue
        kept = if_known(_kept, case, controller, case.build.packs[name], cold)
        if kept is not None and (above(kept[0], share) or (cold and above(kept[1], UNUSED))):
            return True
    return False


def _kept(case: Case, controller: Controller, pack: Pack, cold: bool) -> tuple[float, float]:
    """What stays in a pack now, and what when it is warm."""
    now, warm = (unused_by(case, controller.name, pack.name, each, UNUSED) for each in (cold, False))
    return now, warm


def _never_starts(case: Case, controller: Controller, pack: Pack) -> bool:
    """Whether the pack is below what the controller runs at even when it is full and at rest."""
    return not above(full_charge_v(pack), lowest_running_v(case, controller, (pack.name,)))


def _early(case: Case, controller: Controller, pack: Pack, share: float) -> Failed:
    cut_v = cut_for_all_v(case, controller, UNUSED)
    mends: tuple[tuple[Mend, ...], ...] = ()
    if cut_v is not None:
        text = f"Set the low-voltage cut of {called(controller)} to {shown(cut_v)} V"
        mends = ((Mend(text, (Change(controller.path, "low_voltage_cut_v", cut_v),)),),)
    early = Failed(
        severity=Severity.CAUTION,
        message=f"{called(controller)} stops while much is left in it",
        found=Amount(100 * share, "%", "of its energy unused"),
        limit=Amount(100 * UNUSED, "%"),
        why="The bike stops while the pack could go on: range that was paid for and is carried along.",
        do=f"Lower the low-voltage cut of {called(controller)}, but not to where the packs switch themselves off; or "
        "lower its current.",
        kind="will-not-work",
        cause="early",
        mends=mends,
        packs_in=(pack.name,),
        also=(controller,),
    )
    if not _never_starts(case, controller, pack):
        return early
    return replace(
        early,
        severity=Severity.STOP,
        message=f"{called(controller)} does not run on it",
        found=Amount(100 * share, "%", "of its energy unused, however full it is"),
        why="Even full it is below the voltage at which the controller stops.",
        do=f"Lower the low-voltage cut of {called(controller)} if it was set too high; else a pack with more cells in "
        "series, or a controller for fewer.",
    )


def _in_the_cold(controller: Controller, pack: Pack, share: float) -> Failed:
    return Failed(
        severity=Severity.NOTE,
        message=f"{called(controller)} stops early in the cold",
        found=Amount(100 * share, "%", "of its energy unused in the coldest air"),
        limit=Amount(100 * UNUSED, "%"),
        why="Cold cells resist more: the voltage sags to the cut while much is left.",
        do="Expect less range in the cold; keep the packs indoors until the ride.",
        kind="will-not-work",
        cause="cold",
        packs_in=(pack.name,),
        also=(controller,),
    )


def _no_curve(pack: Pack, controller: Controller) -> Failed:
    return Failed(
        severity=Severity.NOTE,
        message="how much stays in it when the controller stops is not known",
        why=f"No open-circuit curve of {pack.chemistry} is on file.",
        do="Ride it to the cut once and measure what the charger puts back.",
        field="chemistry",
        kind="unknown",
        cause="no curve",
        also=(controller,),
    )


RULE = Rule(
    name="controller-window",
    kind="danger",
    doubt="whether the packs' voltages fit the controller",
    page=__doc__ or "",
    basis=("Chen et al. 2020, J. Electrochem. Soc. 167 080534", "common practice"),
    parts=parts,
    check=check,
)
