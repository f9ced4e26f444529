"""Public limits of the region, and what the file says beside them.

What
    Laws and standards say what counts as an electric bike and what a battery must stand for. This
    note shows the lines that are on file for the region, with their sources.
Why
    Beyond such a line a bike can need type approval, insurance and a plate, and who adds a pack may
    become its maker in law. Certification, warranty and insurance of the bike can end.
Limit
    The documents as named in the note, and the authority that applies them. This program reads a
    few lines of them and decides nothing.
Do
    Ask the authority, the maker and the insurer before the work, and keep the answer with the
    papers of the bike.
Rider notices
    nothing
Fails
    in skerry-long-tail
    region: EU
Passes
    in skerry-long-tail
    status: retired
Sources
    EN 15194 (scope), ISO/TS 4210-10 (scope), Regulation (EU) 168/2013 and 2023/1542, UK SI 2015/24,
    15 USC 2085, 16 CFR 1512.2, 36 CFR 1.4, New York GBL 495-a, NYC Administrative Code 20-609
    (read, some in part). GB guidelines of December 2024 (scope).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.law import assist_limit_m_s, public_lines
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Build
from packyoke.rules.outcome import Failed, Outcome
from packyoke.rules.rule import Rule, whole

KM_H = 1 / 3.6
MAKER = "Who adds a pack may become the maker of the bike in law, and its certification, warranty or insurance can end."


def check(case: Case, build: Build) -> Outcome:
    if build.status == "retired":
        return None
    lines = public_lines(build.region)
    limit_m_s = assist_limit_m_s(build.region)
    speed_m_s = build.bike.assist_limit_m_s
    faster = limit_m_s is not None and speed_m_s is not None and above(speed_m_s, limit_m_s * ROUNDED)
    words = list(lines) if lines else ["No document of this region is on file."]
    words.append(_stated(build))
    if len(build.packs) > 1:
        words.append(MAKER)
    return Failed(
        severity=Severity.NOTE,
        message=_headline(build, faster, bool(lines)),
        found=Amount(speed_m_s / KM_H, "km/h", "(assisted)") if faster and speed_m_s else None,
        limit=Amount(limit_m_s / KM_H, "km/h") if faster and limit_m_s else None,
        why=" ".join(words),
        do="Ask the authority, the maker and the insurer; the documents themselves and the authority decide.",
        field="region",
        also=(build.bike,) if faster else (),
    )


ROUNDED = 1.005
"""The same speed written in mph and in km/h differs by as much as that."""


def _headline(build: Build, faster: bool, on_file: bool) -> str:
    if not on_file:
        return f"public limits are not on file for region {build.region}"
    return (
        f"public limits of {build.region}: it helps faster than one of them"
        if faster
        else (f"public limits of {build.region} to hold the bike against")
    )


def _stated(build: Build) -> str:
    """What the file says that such documents look at."""
    power_w = build.bike.rated_power_w
    labels = [pack.label_v for pack in build.packs.values() if pack.label_v is not None]
    said = [f"motor power {shown(power_w)} W" if power_w is not None else "motor power not stated"]
    if labels:
        said.append(f"highest label {shown(max(labels))} V")
    return f"The file says: {', '.join(said)}."


RULE = Rule(
    name="local-law",
    kind="paper",
    doubt="which public limits apply",
    page=__doc__ or "",
    basis=("the documents named in the note",),
    parts=whole,
    check=check,
)
