"""A pack's own protection opens before the controller stops.

What
    Both look at the same voltage. The controller should stop first, gently; the pack's protection
    is there for when the controller fails.
Why
    When the protection opens under way the motor, the lights and the display go out at once, and
    some packs stay off until they are charged. The cells are emptied deeper each time.
Limit
    The pack's cut-off voltage must be below the controller's low-voltage cut (or the least voltage
    that it runs at, when that is higher). At rest both see the same voltage; under load the
    controller sees less, so rest is the worst case.
Do
    Raise the controller's low-voltage cut above the pack's cut-off, by a volt or so.
Rider notices
    the bike dies at once with charge left; display goes dark up a hill; the pack must be charged to
    wake again
Fails
    in skerry-long-tail
    controller.low_voltage_cut: 41 V
Passes
    in skerry-long-tail
    controller.low_voltage_cut: 43 V
Sources
    Common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import cut_off_v
from packyoke.analysis.discharge.energy import cut_of
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Controller, Pack
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, called, packs_on_ways

MARGIN_V = 1.0
"""How far the controller should stop above the pack's cut-off: common practice."""


def check(case: Case, pack: Pack) -> Outcome:
    opens_v = cut_off_v(pack)
    for name in harness(case).controllers_ahead[pack.path]:
        controller = case.build.controllers[name]
        stops_v = cut_of(controller)
        if not above(stops_v, opens_v):
            return _failed(case, pack, controller, opens_v, stops_v)
    return PASSED


def _failed(case: Case, pack: Pack, controller: Controller, opens_v: float, stops_v: float) -> Failed:
    raised_v = opens_v + MARGIN_V
    packs = case.build.packs
    others = [packs[name] for name in harness(case).packs_behind[controller.path] if name != pack.name]
    # Set above the cut-off of this one it would never start on the other.
    lost = [each.name for each in others if each.full_charge_v is not None and not above(each.full_charge_v, raised_v)]
    return Failed(
        severity=Severity.CAUTION,
        message="switches itself off before the controller stops",
        found=Amount(opens_v, "V", "its own cut-off"),
        limit=Amount(stops_v, "V", f"where {called(controller)} stops"),
        relation="below",
        why="Under way everything goes out at once, lights too, and the cells are emptied deeper than they should be.",
        do=f"No low-voltage cut of {called(controller)} suits both {pack.name} and {lost[0]}: use packs of one kind."
        if lost
        else f"Set the low-voltage cut of {called(controller)} above {shown(opens_v)} V.",
        field="cut_off_v",
        kind="wear",
        mends=(
            (
                Mend(
                    f"Set the low-voltage cut of {called(controller)} to {shown(raised_v)} V",
                    (Change(controller.path, "low_voltage_cut_v", raised_v),),
                ),
            ),
        ),
        also=(controller,),
    )


RULE = Rule(
    name="cutoff-order",
    kind="wear",
    doubt="whether the controller stops before the pack does",
    page=__doc__ or "",
    basis=("common practice",),
    parts=packs_on_ways,
    check=check,
    gravest=Severity.CAUTION,
)
