"""The bike is ridden below freezing, and cells must not be charged there.

What
    The coldest air of the build, where chargers belong to it.
Why
    Charged below 0 degC, cells take up lithium as metal instead of storing it: they lose capacity
    at once, and the metal can grow through the separator and short the cell weeks later.
Limit
    0 degC for the cells, whatever the chemistry. A pack that was out in the frost is as cold as the
    air for hours.
Do
    Charge indoors only, when the pack has warmed up; the customer's sheet says so.
Rider notices
    range went down over the winter; charged in the cold shed; does not charge in the winter
Fails
    in skerry-long-tail
    coldest: -5 degC
Passes
    in skerry-long-tail
    coldest: 0 degC
Sources
    No charging below 0 degC: data sheets of layered-oxide and iron-phosphate cells (common
    practice).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import COLDEST_CHARGE_K
from packyoke.analysis.limits.margins import above
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Amount, Severity
from packyoke.model import Build
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule, whole


def check(case: Case, build: Build) -> Outcome:
    if not build.chargers or not build.packs:
        return None
    if not above(COLDEST_CHARGE_K, build.coldest_k):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="charge the packs indoors only",
        found=Amount(build.coldest_k - ZERO_C_K, "degC", "coldest air"),
        limit=Amount(COLDEST_CHARGE_K - ZERO_C_K, "degC", "for charging"),
        relation="at least",
        why="Charged below freezing, cells grow lithium metal inside and can short later.",
        do="Let a cold pack warm up indoors before it is charged; the customer's sheet says so.",
        field="coldest_k",
    )


RULE = Rule(
    name="charged-cold",
    kind="damage",
    doubt="whether it is charged in the cold",
    page=__doc__ or "",
    basis=("common practice",),
    parts=whole,
    check=check,
    gravest=Severity.CAUTION,
)
