"""Legal limits of the region, and what the file says beside them.

What
    Laws and standards say what counts as an electric bike and what a battery must stand for. The
    motor's rated power, its throttle and the assisted speed are compared with the figures that are
    on file for the region; the note shows the lines with their sources.
Why
    Beyond such a line a bike can need type approval, insurance and a plate, and who adds a pack may
    become its maker in law. Certification, warranty and insurance of the bike can end.
Limit
    The documents as named in the note, and the authority that applies them. This program reads a
    few lines of them and decides nothing. A figure beyond them is a caution, else this is a note.
Do
    Ask the authority, the maker and the insurer before the work, and keep the answer with the
    papers of the bike.
Rider notices
    nothing
Fails
    in skerry-long-tail
    bike.drive: {type: geared hub, assist_limit: 25 km/h, rated_power: 1000 W, throttle: full}
Passes
    in skerry-long-tail
    status: retired
Sources
    EN 15194 (scope), ISO/TS 4210-10 (scope), Regulation (EU) 168/2013 and 2023/1542, UK SI 2015/24,
    15 USC 2085, 16 CFR 1512.2, 36 CFR 1.4, New York GBL 495-a, NYC Administrative Code 20-609
    (read, some in part). GB guidelines of December 2024 (scope). Canada, Australia, New Zealand: none
    on file.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.law import figures, public_lines
from packyoke.analysis.limits.margins import above
from packyoke.core.constants import KM_H
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Build
from packyoke.rules.outcome import Failed, Outcome
from packyoke.rules.rule import Rule, whole

MAKER = "Who adds a pack may become the maker of the bike in law, and its certification, warranty or insurance can end."

NAMES = {"CA": "Canada", "AU": "Australia", "NZ": "New Zealand"}
"""Regions by their names where nothing else tells which is meant: CA may be typed for California, which is US."""

ROUNDED = 1.005
"""The same speed written in mph and in km/h differs by as much as that."""


class BeyondLaw(NamedTuple):
    """One figure of the bike beyond the documents' one."""

    words: str
    found: Amount | None
    limit: Amount | None


def check(case: Case, build: Build) -> Outcome:
    if build.status == "retired":
        return None
    lines = public_lines(build.region)
    beyond = list(_beyond(build))
    words = list(lines) if lines else ["No document of this region is on file."]
    words.append(_stated(build))
    if len(build.packs) > 1:
        words.append(MAKER)
    return Failed(
        severity=Severity.CAUTION if beyond else Severity.NOTE,
        message=_headline(build, beyond, bool(lines)),
        found=beyond[0].found if beyond else None,
        limit=beyond[0].limit if beyond else None,
        why=" ".join(words),
        do="Ask the authority, the maker and the insurer; the documents themselves and the authority decide.",
        field="region",
        cause="beyond" if beyond else "",
        usual=not beyond,
        also=(build.bike,) if beyond else (),
    )


def _beyond(build: Build) -> Iterator[BeyondLaw]:
    """Motor power, throttle and speed of the bike, as far as given, beyond the figures of the region."""
    limits, bike = figures(build.region), build.bike
    power_w = bike.rated_power_w
    if power_w is not None:
        if limits.most_w is not None and above(power_w, limits.most_w):
            yield BeyondLaw("motor power", Amount(power_w, "W", "(motor)"), Amount(limits.most_w, "W"))
        elif limits.below_w is not None and not above(limits.below_w, power_w):
            yield BeyondLaw(
                "motor power", Amount(power_w, "W", "(motor)"), Amount(limits.below_w, "W", "or more is too much")
            )
    if limits.pedal_only and bike.throttle == "full":
        yield BeyondLaw("a throttle that needs no pedalling", None, None)
    limit_m_s = limits.assist_m_s if bike.throttle == "full" else limits.pedal_m_s
    speed_m_s = bike.assist_limit_m_s
    if limit_m_s is not None and speed_m_s is not None and above(speed_m_s, limit_m_s * ROUNDED):
        found = Amount(speed_m_s / KM_H, "km/h", "(assisted)") if isfinite(speed_m_s) else None
        yield BeyondLaw("it helps faster", found, Amount(limit_m_s / KM_H, "km/h"))


def _headline(build: Build, beyond: list[BeyondLaw], on_file: bool) -> str:
    if not on_file:
        named = f"{NAMES[build.region]} ({build.region})" if build.region in NAMES else build.region
        return f"public limits are not on file for region {named}"
    if beyond:
        return f"beyond local limits of {build.region}: {', '.join(each.words for each in beyond)}"
    limits = figures(build.region)
    said = []
    if limits.most_w is not None:
        said.append(f"{shown(limits.most_w)} W")
    if limits.below_w is not None:
        said.append(f"less than {shown(limits.below_w)} W")
    if limits.assist_m_s is not None:
        said.append(f"{shown(limits.assist_m_s / KM_H)} km/h")
    if limits.pedal_only:
        said.append("motor only while pedalling")
    return f"{build.region} electrically assisted cycles: {', '.join(said)}"


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
    gravest=Severity.CAUTION,
)
