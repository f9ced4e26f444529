"""A lead carries more current than its wire is rated for.

What
    Compares the worst current through each lead, the load as well as what braking, a charger in a
    joiner or another pack pushes back, with the amps of its wire: size, insulation,
    the air where it lies and the loaded conductors beside it. Each lead on the way is looked
    at, for behind blocking joiners each may carry the whole load.
Why
    A wire that is too thin does not fail at once. Its insulation softens and ages, rubs
    through, and the short circuit that follows starts a fire where nobody looks: in the frame
    or under the seat, between two batteries.
Limit
    I <= table amps x ambient factor x bundling factor

    ambient factor = sqrt((Tc - Ta)/(Tc - 30)), at most 1, for a column of Tc degC

    Ta: warmest air, 10 K more inside the frame (assumption)

    bundling: 1 up to 2 loaded conductors, 0.7 for 3, 0.6 for 4 to 6, 0.5 for 7 to 24, 0.4 beyond

    Silicone counts in the 90 degC column, unmarked PVC at 60 degC. Sections in mm2 and odd
    gauges by copper area, between the rows of the table. Leads that share one load through one
    blocking joiner count as one.

    Peaks: Ip^2 <= Ic^2 + (I^2 - Ic^2)/(1 - exp(-t/tau)), run at the continuous current before;
    tau is 48 s for 18 AWG, 94 s for 12 AWG, 185 s for 6 AWG.

    Tails under 180 mm are exempt where a connector at one end says which wires it takes; there the
    connector decides.

    A lead within its limit whose outside is estimated above 60 degC is a note, unless it lies
    in the frame: the estimate is good for 25 % of the rise. Measured above 60 degC it is a caution.
Do
    A thicker wire, silicone instead of PVC, or the lead by itself instead of in a bundle.
    Thicker wire still has to fit the connectors.
Rider notices
    hot cable; smell of plastic; soft or shiny insulation
Fails
    in skerry-long-tail
    leads.main lead.gauge: 16 AWG
Passes
    in skerry-long-tail
    leads.main lead.gauge: 10 AWG
Sources
    33 CFR 183.425 table 5 (read), 183.425(g) for tails (read), 183.435(b) for bundles (read);
    ABYC E-11 bundling table (read in a reprint); ambient factor as NEC 310.15(B) (read in a
    reprint); time constants derived; Churchill and Chu 1975 for the estimate

    33 CFR 183 and ABYC E-11 are rules for boats, taken as the best public tables for wires of low voltage.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import Flow
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import carrying_all
from packyoke.analysis.limits.heat import TOUCH_K, lead_surface_k, touch_current_a
from packyoke.analysis.limits.leads import Ampacity, ampacity
from packyoke.analysis.limits.margins import Limit, above, lead_limit
from packyoke.analysis.limits.settings import Excess, beyond, rush_a
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Gauge, Lead, known
from packyoke.rules.mends import better_wires, blocking_joiners, found_current, less_back, lower_settings, without_rush
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.readings import heeding_readings
from packyoke.rules.rule import Rule, leads_with_those_beside
from packyoke.shelf import wires


def check(case: Case, lead: Lead) -> Outcome:
    case = carrying_all(case, lead)
    limit = lead_limit(case, lead)
    if limit is None:
        return None
    worst, found = beyond(case, lead.path, limit)
    gauge = known(lead.gauge, lead, "gauge")
    if found:
        return _too_thin(case, lead, gauge, limit, worst, found[0])
    if not lead.run.in_frame and above(worst.forward_a, touch_current_a(gauge, case.build.warmest_k)):
        return _hot(case, gauge, worst)
    return PASSED


def _too_thin(case: Case, lead: Lead, gauge: Gauge, limit: Limit, worst: Flow, too_much: Excess) -> Failed:
    bears = ampacity(case, lead.name)
    insulation = known(lead.insulation, lead, "insulation")
    from_packs_a = rush_a(case, lead.path, load(case, lead.path))
    why = "Its insulation softens and ages; the short circuit that follows burns where nobody looks."
    families = [blocking_joiners(case, lead.path)]
    if too_much.back_by:
        families = [
            better_wires(case, lead, gauge, insulation, too_much.found_a),
            less_back(case, lead.path, too_much),
        ]
    elif not from_packs_a:
        families = [
            _by_itself(case, lead, gauge, insulation, bears, worst),
            better_wires(case, lead, gauge, insulation, worst.forward_a),
            lower_settings(case, lead.path, (limit,)),
        ]
    return Failed(
        severity=Severity.STOP,
        message="wire too thin" if bears.ambient_factor > 0 else "air hotter than its insulation is rated for",
        found=found_current(too_much, rush_a=from_packs_a),
        limit=Amount(too_much.limit_a, "A", _limit_note(lead, gauge, insulation, bears, too_much)),
        why=why,
        do=without_rush("A thicker wire, or a lower battery current of the controller.", too_much, from_packs_a),
        field="gauge",
        mends=tuple(families),
        packs_in=worst.packs_in,
        charges=worst.charges,
    )


def _limit_note(lead: Lead, gauge: Gauge, insulation: str, bears: Ampacity, too_much: Excess) -> str:
    where = f"{shown(bears.ambient_k - ZERO_C_K)} degC air"
    if lead.run.in_frame:
        where += " in the frame"
    if bears.loaded_conductors > 2:
        where += f", {bears.loaded_conductors} loaded conductors together"
    copper = wires.copper_words(*gauge)
    note = f"({gauge} {insulation}{', ' if copper else ''}{copper}, {where})"
    return f"for {shown(too_much.peak_s)} s {note}" if too_much.peak_s is not None else note


def _by_itself(case: Case, lead: Lead, gauge: Gauge, insulation: str, bears: Ampacity, worst: Flow) -> tuple[Mend, ...]:
    alone_a = bears.amps_a / bears.bundling_factor
    if bears.bundling_factor >= 1 or above(worst.forward_a, alone_a):
        return ()
    run = lead.run._replace(beside=0, beside_leads=())
    return (Mend(f"Run it by itself ({shown(alone_a)} A)", (Change(lead.path, "run", run),)),)


def _hot(case: Case, gauge: Gauge, worst: Flow) -> Failed:
    ambient_k = case.build.warmest_k
    outside_k = lead_surface_k(gauge, worst.forward_a, ambient_k)
    return Failed(
        severity=Severity.NOTE,
        message="may get too hot to hold",
        found=Amount(outside_k - ZERO_C_K, "degC", f"outside (estimate) at {shown(worst.forward_a)} A"),
        limit=Amount(TOUCH_K - ZERO_C_K, "degC"),
        why="The wire bears it; a hand or a leg on it does not.",
        do="Cover it where someone can touch it, or take a thicker wire.",
        field="gauge",
        basis=("estimate, 25 % of the rise either way",),
    )


RULE = heeding_readings(
    Rule(
        name="lead-overheats",
        kind="danger",
        doubt="whether its wire is thick enough",
        page=__doc__ or "",
        basis=("33 CFR 183.425 table 5",),
        parts=leads_with_those_beside,
        check=check,
    )
)
