"""From what somebody types after `packyoke range` to ranges ready to print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import Draw, NoRundown, rundown
from packyoke.analysis.harness.sets import every_set, units
from packyoke.analysis.ride.named import rides_of
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.answers.checked import checked
from packyoke.answers.inherited import PARTS, inherited, with_places
from packyoke.answers.range.known import must_fit, typed_ride
from packyoke.answers.range.page import RangeView, SetRange
from packyoke.answers.rundown.page import refusal_text
from packyoke.answers.typed import WrongInput, air, assumed_words, health_share, pack_names, quantity, ride_name
from packyoke.core.units import Kind
from packyoke.model import Build
from packyoke.verdict.layout import sets_of

EARLY_SHARE = 0.85
"""Cut on a hill before this share of the mean load's charge is gone: worth a word. Judgement."""
EVERYDAY = "everyday"
MOST_EVERY_SET, MOST_PAIRS = 4, 8
"""Up to so many packs every set is answered; up to so many single ones, pairs and all; above that no pairs."""


def view(
    build: Build,
    *,
    rides: Sequence[str] = (),
    packs: Sequence[str] = (),
    need: str | None = None,
    cold: str | None = None,
    health: str | None = None,
    system: str = "metric",
    sensitivity: bool = False,
    known: Sequence[str] = (),
) -> RangeView:
    """Ranges of a build as typed. Raises WrongInput with a sentence for the person who typed it."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    names = tuple(dict.fromkeys(ride_name(build, each) for each in rides)) or rides_of(build)
    typed = tuple(typed_ride(build, each) for each in known)
    if typed:
        names = _the_ride(names, rides)
    sets = tuple(dict.fromkeys(pack_names(build, each) for each in packs)) or sets_to_answer(build)
    need_m = quantity(need, Kind.LENGTH, "--need", '"60 km"') if need else None
    if need_m is not None and not 0.0 < need_m < 1e7:
        raise WrongInput(f'--need "{need}": a way to ride is needed, up to 9999 km, for example "60 km"')
    air_k, health_fraction = air(cold), health_share(health)
    case = Case(build)
    for name in names:
        must_fit(case, name, typed, health_fraction, system)
    check = checked(build, "ride")
    shown: dict[str, Any] = {
        "file": build.file,
        "name": build.name,
        "need_m": need_m,
        "system": system,
        "sensitivity": sensitivity,
        "health_fraction": health_fraction,
        "check": check.answer,
        "refused": check.said,
        "check_lines": check.lines,
    }
    if check.answer == "no":
        return RangeView(rides=names, lines=(), assumed=inherited(build, places=True), sets_left_out=0, **shown)
    lines = tuple(
        SetRange(
            each,
            tuple(
                range_of(case, each, name, air_k=air_k, health_fraction=health_fraction, known=typed) for name in names
            ),
        )
        for each in sets
    )
    found = [each for line in lines for each in line.found]
    estimates = [each for each in found if isinstance(each, RangeEstimate)]
    if not estimates:
        raise WrongInput(with_places(next(refusal_text(each) for each in found if isinstance(each, NoRundown)), build))
    keys = dict.fromkeys(key for each in estimates for key in each.assumed)
    return RangeView(
        rides=tuple(
            next((each.ride.name for each in estimates if each.ride.name.casefold() == name.casefold()), name)
            for name in names
        ),
        lines=lines,
        assumed=(
            *assumed_words(build, keys),
            *inherited(build, "region", "coldest", "warmest", PARTS),
        ),
        sets_left_out=0 if packs else len(sets_of(build)) - len(sets),
        hills=tuple(_on_hills(case, lines, health_fraction)),
        **shown,
    )


def _the_ride(names: tuple[str, ...], said: Sequence[str]) -> tuple[str, ...]:
    """The one ride that what was ridden was: the one that was asked for, else the everyday one, else the first."""
    if len(names) > 1 and said:
        raise WrongInput("--known tells of one way to ride: give one --ride with it")
    return tuple(name for name in names if name.casefold() == EVERYDAY) or names[:1]


def sets_to_answer(build: Build) -> tuple[tuple[str, ...], ...]:
    """The sets of the file; else every one of few packs, of many single ones, pairs and all."""
    count = len(units(build))
    if build.sets is not None or count <= MOST_EVERY_SET:
        return sets_of(build)
    return every_set(build, (count, 2, 1) if count <= MOST_PAIRS else (count, 1))


def _on_hills(case: Case, lines: Sequence[SetRange], health_fraction: float | None) -> Iterator[str]:
    """Rides on which the controller cuts on a hill well before the mean load would have it; the worst set of each."""
    worst: dict[str, tuple[float, RangeEstimate]] = {}
    for each in (found for line in lines for found in line.found if isinstance(found, RangeEstimate)):
        share = _share_uphill(case, each, health_fraction)
        if share < EARLY_SHARE and share < worst.get(each.ride.name, (inf, each))[0]:
            worst[each.ride.name] = share, each
    for name, (share, each) in worst.items():
        packs = " + ".join(each.packs)
        yield (
            f"{name}: with {packs} the controller may cut on a hill after {100 * share:.0f} % of what is counted here, "
            f"for uphill it draws {each.rate.up.battery_w:.0f} W; on the level it goes on. A hilly way: --route."
        )


def _share_uphill(case: Case, each: RangeEstimate, health_fraction: float | None) -> float:
    """How much of the charge of the mean load has gone when the load of a hill makes the controller cut [-]."""
    riding = each.ride.riding
    if each.ride.measured or not riding.climb_fraction or not each.delivers:
        return 1.0
    power_w = each.rate.up.battery_w - riding.accessories_w
    uphill, mean = (
        rundown(
            case,
            each.packs,
            load=Draw(power_w=watts_w),
            temperature_k=each.ride.air_k,
            health_fraction=health_fraction or 1.0,
            series=False,
        )
        for watts_w in (power_w, max(power_w / 100.0, each.mean_w - riding.accessories_w))
    )
    if isinstance(uphill, NoRundown) or isinstance(mean, NoRundown):
        return 1.0
    given, whole = (sum(pack.charge_out_coulomb for pack in found.packs) for found in (uphill, mean))
    return given / whole if whole else 1.0
