"""Plugging in fills the controller's capacitors at once: a spark that eats the contacts.

What
    A controller has capacitors at its battery side. When the last contact closes they are empty,
    and only the wires hold the current back.
Why
    The spark burns the edge of the contacts; after some hundred times they run hot on every ride.
    A switch that closes onto the capacitors can weld shut, and then it no longer switches off. Some
    protection circuits take the rush for a short circuit and lock.
Limit
    W = C V^2/2 with the highest full-charge voltage and the capacitors of every controller that one
    plug fills, but for those that are filled first; I = V/R at the first moment with the lowest
    resistance on a way. Up to 3 J a note, above a caution; a caution also when a switch closes onto
    the capacitors. The 3 J are judgement. The field precharge settles it: resistor or switch
    always, plug unless a switch in the lead closes last. A bike on which every end is a joint is
    not plugged.
Do
    Let the capacitors fill through a resistor before the plug goes home: 100 ohm, for five times
    R C. Plugs with such a resistor inside do it by themselves. Write it into the file: precharge.
Rider notices
    loud crack or spark when plugging in; black marks on the plug; plug gets hot; pack switches off when
    plugged in; key switch no longer switches off; spark when plugging in the pack;
    spark when unplugging
Fails
    in skerry-long-tail
    controller.capacitance: 2 mF
Passes
    in skerry-long-tail
    controller.capacitance: 2 mF
    controller.precharge: resistor
Sources
    Energy of a capacitor and Ohm's law (physics); 3 J and the resistor (judgement, common
    practice).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.bus import (
    filled_first,
    filled_together_f,
    leads_to,
    parted_by_hand,
    spark_current_a,
    spark_energy_j,
)
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import above
from packyoke.analysis.packs.voltages import highest_full_charge
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Controller
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, controllers

NOTE_UP_TO_J = 3.0
RESISTOR_OHM = 100.0
FILLED_AFTER = 5.0
"""Time constants after which a capacitor counts as full (99 %)."""


def check(case: Case, controller: Controller) -> Outcome:
    if controller.path not in harness(case).packs_behind:
        return None
    leads = leads_to(case, controller)
    if leads and not parted_by_hand(leads):
        return None
    switched = next((lead for lead in leads if lead.switch is not None), None)
    if filled_first(case, controller):
        return PASSED
    energy_j = spark_energy_j(case, controller)
    worse = switched is not None or above(energy_j, NOTE_UP_TO_J)
    current_a = spark_current_a(case, controller)
    first = f"(about {shown(current_a)} A at the first moment)" if current_a is not None else ""
    return Failed(
        severity=Severity.CAUTION if worse else Severity.NOTE,
        message="the switch in its lead takes the spark of switching on" if switched else "sparks when plugged in",
        found=Amount(energy_j, "J", first),
        limit=Amount(NOTE_UP_TO_J, "J"),
        why="A switch that closes onto empty capacitors can weld shut and then no longer switches off."
        if switched
        else "Each spark burns the edge of the contacts a little; in time they run hot.",
        field="capacitance_f",
        usual=not worse,
        do=_resistor(case, controller, switched is not None),
        also=(switched,) if switched else (),
    )


def _resistor(case: Case, controller: Controller, switched: bool) -> str:
    peak_w = highest_full_charge(case, controller.path).volts_v ** 2 / RESISTOR_OHM
    time_s = FILLED_AFTER * RESISTOR_OHM * filled_together_f(case, controller)
    return (
        f"Fill the capacitors first through {shown(RESISTOR_OHM)} ohm (it takes {shown(peak_w)} W for a moment), for "
        f"{shown(time_s)} s{'' if switched else ', or use a plug that has such a resistor inside'}."
    )


RULE = Rule(
    name="plug-in-spark",
    kind="wear",
    doubt="how hard it sparks when plugged in",
    page=__doc__ or "",
    basis=("energy of a capacitor; 3 J is judgement",),
    parts=controllers,
    check=check,
    gravest=Severity.CAUTION,
)
