"""How long which charger takes for which packs, and how they are charged, as the customer's sheet says it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.charging.bands import BANDS
from packyoke.analysis.charging.card import card
from packyoke.analysis.charging.meant import COLDEST_CHARGE_K
from packyoke.analysis.harness.sets import units
from packyoke.answers.sheet import customer_words as words
from packyoke.answers.sheet.called import Called, said
from packyoke.answers.sheet.customer_page import ChargeLine
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import percent
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.model import Build

NO_TIME = "time not known"


class ChargeTime(NamedTuple):
    """One charger on one pack, from empty until it is done [s]; None where the time is not known.

    `short_fraction`: how much is charged then where that is not what people call full [-].
    """

    packs: tuple[str, ...]
    charger: str
    time_s: float | None
    short_fraction: float | None = None


def charge_lines(build: Build, names: Called, found: Sequence[ChargeTime]) -> Iterator[ChargeLine]:
    """Each charger with the packs that it is for; packs that take equally long together."""
    for charger in build.chargers.values():
        times: dict[str, list[str]] = {}
        for each in found:
            if each.charger == charger.name:
                time = hours(each.time_s) if each.time_s is not None else NO_TIME
                if each.short_fraction is not None:
                    time += words.NOT_FULL.format(part=percent(each.short_fraction))
                times.setdefault(time, []).append(names.set(each.packs))
        if not times:
            continue
        output = f" ({show(charger.output_v, Kind.VOLTAGE)})" if charger.output_v is not None else ""
        through = f" at {said(charger.through)}" if charger.through else ""
        first = next((time for time in times if time != NO_TIME), None)
        told = (f"{listed(packs, 'or')}: {'about ' if time == first else ''}{time}" for time, packs in times.items())
        yield ChargeLine(f"{said(charger.name)}{output}{through}", "; ".join(told))


def how_to_charge(case: Case) -> Iterator[str]:
    build, least = case.build, f"{_charged_from_k(case) - ZERO_C_K:.0f}"
    if not build.chargers:
        yield words.NO_CHARGER
    if any(len(each) > 1 for each in units(build)):
        yield words.CHARGED_AS_ONE
    if build.coldest_k < COLDEST_CHARGE_K:
        yield words.INDOORS.format(least=least)
    in_turn = not build.chargers or any(each.through is None for each in build.chargers.values())
    apart = len(build.packs) == 1 or (in_turn and len(units(build)) > 1)
    yield words.CHARGING.format(how=words.BY_ITSELF if apart else words.TOGETHER, least=least)


def _charged_from_k(case: Case) -> float:
    """From which temperature on every charger may go on all that it is told for [K]: few chargers give as little as
    packs take just above freezing. Where no charger is told nobody knows what comes."""
    told, cold = (
        {(each.charger, each.pack) for each in shown.pairings if each.verdict == "yes"}
        for shown in (card(case), card(case, temperature_k=COLDEST_CHARGE_K))
    )
    just_above = next(each for each in BANDS if each.from_k == COLDEST_CHARGE_K)
    return just_above.from_k if told and told <= cold else just_above.to_k


def hours(seconds: float) -> str:
    """A charging time to half an hour, upwards."""
    halves = max(1, -floor(-seconds / 1800.0 + 1e-9))
    whole = f"{halves // 2}" if halves > 1 else ""
    return f"{whole}{'½' if halves % 2 else ''} h"


def charge_times(case: Case) -> tuple[ChargeTime, ...]:
    """Which charger is for which pack, and how long it takes; of packs that are joined for good all of them, whichever
    outlet is used. One in a joiner is for a pack alone, and for all that are plugged in there."""
    shown = card(case)
    may = {(each.charger, each.pack): each for each in shown.pairings if each.verdict == "yes"}
    together = {each.charger: each.course for each in shown.ports}
    found = []
    for charger in case.build.chargers:
        for unit in units(case.build):
            pair = next((may[charger, name] for name in unit if (charger, name) in may), None)
            if pair is not None:
                times = pair.times
                short = times.end_fraction if times is not None and not pair.fills else None
                found.append(ChargeTime(unit, charger, times.full_s if times is not None else None, short))
        if charger in together:
            packs = tuple(name for name, _ in together[charger].full_s)
            if len({*map(shown.unit, packs)}) > 1:
                shorts = (each.short_fraction for each in found if each.charger == charger)
                least = min((each for each in shorts if each is not None), default=None)
                found.append(ChargeTime(packs, charger, together[charger].finish_s, least))
    return tuple(found)
