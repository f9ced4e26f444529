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
    is at its low-voltage cut. Up to 15 % of the energy between full and cut-off may stay unused.
    The same at the coldest air (cells resist more) is only a note. It is an estimate at a constant
    current: no rest, no warming, and no curve on file for LMO blends and LTO.
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

from packyoke.analysis.case import Case
from packyoke.analysis.energy import Ending, Endings, NoCurve, endings, settable_below_v
from packyoke.analysis.harness import harness
from packyoke.analysis.limits import above
from packyoke.analysis.voltages import highest_full_charge
from packyoke.findings import Amount, Severity, shown
from packyoke.model import Controller, Pack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, called, controllers

UNUSED = 0.15
"""Share of the energy that may stay in a pack: judgement."""


def check(case: Case, controller: Controller) -> Outcome:
    packs = harness(case).packs_behind.get(controller.path)
    if not packs:
        return None
    highest = highest_full_charge(case, controller.path)
    limit_v = known(controller.voltage_max_v, controller, "voltage_max_v")
    if above(highest.volts_v, limit_v):
        return Failed(
            severity=Severity.STOP,
            message="a full pack is above what it takes",
            found=Amount(highest.volts_v, "V", f"{highest.by}, full"),
            limit=Amount(limit_v, "V"),
            why="Its transistors and capacitors fail above this, often all at once.",
            do=f"Use packs that charge to at most {shown(limit_v)} V, or a controller for {shown(highest.volts_v)} V.",
            field="voltage_max_v",
            kind="danger",
            cause="above",
            also=(case.build.packs[highest.by],),
        )
    warm: list[tuple[Ending, str]] = []
    cold: list[tuple[Ending, str]] = []
    for name in packs:
        ends = endings(case, controller.name, name)
        if isinstance(ends, NoCurve):
            return _no_curve(ends.pack)
        if ends.warm.leaves_over(UNUSED):
            warm.append((ends.warm, name))
        if ends.cold.leaves_over(UNUSED):
            cold.append((ends.cold, name))
    share, pack = _most_unused(warm)
    if above(share, UNUSED):
        return _early(case, controller, share, pack)
    share, pack = _most_unused(cold)
    return _in_the_cold(share, pack) if above(share, UNUSED) else PASSED


def _most_unused(ends: list[tuple[Ending, str]]) -> tuple[float, str]:
    return max(((end.unused_fraction, name) for end, name in ends), default=(0.0, ""))


def _early(case: Case, controller: Controller, share: float, pack: str) -> Failed:
    ends = [endings(case, controller.name, name) for name in harness(case).packs_behind[controller.path]]
    cuts_v = [end.warm.cut_v(UNUSED) for end in ends if isinstance(end, Endings) and end.warm.empty < end.warm.full]
    cut_v = settable_below_v(min(cuts_v)) if len(cuts_v) == len(ends) else -1.0
    mends: tuple[tuple[Mend, ...], ...] = ()
    if cut_v >= max(controller.voltage_min_v, 0.0):
        text = f"Set the low-voltage cut of {called(controller)} to {shown(cut_v)} V"
        mends = ((Mend(text, (Change(controller.path, "low_voltage_cut_v", cut_v),)),),)
    return Failed(
        severity=Severity.CAUTION,
        message="stops while much is left in the packs",
        found=Amount(100 * share, "%", f"of what {pack} gives, unused"),
        limit=Amount(100 * UNUSED, "%"),
        why="The bike stops while the pack could go on: range that was paid for and is carried along.",
        do="Lower its low-voltage cut, but not to where the packs switch themselves off; or lower its current.",
        field="low_voltage_cut_v",
        kind="will-not-work",
        cause="early",
        mends=mends,
        packs_in=(pack,),
        also=(case.build.packs[pack],),
    )


def _in_the_cold(share: float, pack: str) -> Failed:
    return Failed(
        severity=Severity.NOTE,
        message="stops early in the cold",
        found=Amount(100 * share, "%", f"of what {pack} gives, unused in the coldest air"),
        limit=Amount(100 * UNUSED, "%"),
        why="Cold cells resist more: the voltage sags to the cut while much is left.",
        do="Expect less range in the cold; keep the packs indoors until the ride.",
        field="low_voltage_cut_v",
        kind="will-not-work",
        cause="cold",
        packs_in=(pack,),
    )


def _no_curve(pack: Pack) -> Failed:
    return Failed(
        severity=Severity.NOTE,
        message=f"how much stays unused in {pack.name} is not worked out",
        why=f"No open-circuit curve of {pack.chemistry} is on file.",
        do="Ride it to the cut once and measure what the charger puts back.",
        field="low_voltage_cut_v",
        kind="unknown",
        cause="no curve",
        also=(pack,),
    )


RULE = Rule(
    name="controller-window",
    kind="danger",
    doubt="whether the packs' voltages fit the controller",
    page=__doc__ or "",
    basis=("Chen et al. 2020, J. Electrochem. Soc. 167 080534", "common practice"),
    parts=controllers,
    check=check,
)
