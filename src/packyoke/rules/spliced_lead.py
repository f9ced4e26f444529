"""A lead has joints inside it.

What
    Counts the splices inside each lead.
Why
    Every joint is one more place that can work loose, corrode and get hot, out of sight under
    tape or heat-shrink. In a lead that moves (folding frame, steering) the stiff end of a
    splice is where the strands break.
Limit
    no joints; a note, and a caution in a lead that moves
Do
    One unbroken length of fine-stranded wire. Where a joint must be: a crimp made for the size,
    sealed, held on both sides, where it does not move.
Rider notices
    cuts out over bumps; cuts out when steering; warm spot on the cable;
    wire broke at a solder joint
Fails
    in skerry-long-tail
    leads.main lead.splices: 1
Passes
    in skerry-long-tail
    leads.main lead.splices: 0
Sources
    common practice
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.core.findings import Amount, Severity
from packyoke.model import Lead
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, leads


def check(case: Case, lead: Lead) -> Outcome:
    if lead.direct:
        return None
    if lead.splices == 0:
        return PASSED
    return Failed(
        severity=Severity.CAUTION if lead.run.moving else Severity.NOTE,
        message="a joint in a lead that moves" if lead.run.moving else "joints inside it",
        found=Amount(lead.splices, "joint" if lead.splices == 1 else "joints"),
        limit=Amount(0, "joints"),
        why="Each is one more place that works loose and gets hot, out of sight.",
        do="One unbroken length of fine-stranded wire.",
        field="splices",
        mends=((Mend("One unbroken length of fine-stranded wire", (Change(lead.path, "splices", 0),)),),),
    )


RULE = Rule(
    name="spliced-lead",
    kind="wear",
    doubt="whether it has joints inside",
    page=__doc__ or "",
    basis=("common practice",),
    parts=leads,
    check=check,
    gravest=Severity.CAUTION,
)
