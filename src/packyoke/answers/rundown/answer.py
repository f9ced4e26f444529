"""From what somebody types after `packyoke rundown` to a rundown ready to print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import AS_SET, WARM_K, Draw, NoRundown, Rundown, SetLine, rundown, summary
from packyoke.analysis.limits.margins import above
from packyoke.analysis.ride.reach import range_of
from packyoke.answers.checked import checked
from packyoke.answers.inherited import PARTS, inherited, with_places
from packyoke.answers.rundown.page import Ridden, RundownView, refusal_text
from packyoke.answers.typed import (
    WrongInput,
    air,
    assumed_words,
    current_or_power,
    health_share,
    pack_names,
    resting,
    ride_name,
    states,
)
from packyoke.core.findings import shown
from packyoke.core.paths import is_joiner
from packyoke.core.units import Kind, show
from packyoke.model import Build
from packyoke.verdict.layout import sets_of

MOST_SETS_PACKS = 5
"""Up to this many packs every set is run down; above it only the set that was asked for."""


LEAST_A = 0.05
"""Less than this into a pack is levelling at rest."""
FULL = 1.002
"""State of charge from which on a pack is past full; below it is rounding."""


def view(
    build: Build,
    *,
    packs: str | None = None,
    at: str | None = None,
    volts: str | None = None,
    load: str | None = None,
    ride: str | None = None,
    cold: str | None = None,
    health: str | None = None,
) -> RundownView:
    """Run down a build as typed. Raises WrongInput with a sentence for the person who typed it."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    if at and volts:
        raise WrongInput("--at and --volts both say how full the packs are; give one of them")
    chosen = pack_names(build, packs) if packs else tuple(build.packs)
    start = states(build, at, "--at") if at else resting(build, volts) if volts else {}
    absent = [name for name in start if name not in chosen]
    if absent:
        raise WrongInput(f"{', '.join(absent)}: a state is given, but --packs leaves it out")
    if load and ride:
        raise WrongInput("--load and --ride both say what is drawn; give one of them")
    case = Case(build)
    ridden = _ridden(case, chosen, ride) if ride else None
    draw = ridden.draw if ridden else _draw(load) if load else AS_SET
    temperature_k = air(cold) or (ridden.air_k if ridden else WARM_K)
    fraction = health_share(health) or 1.0
    found = rundown(case, chosen, start=start, load=draw, temperature_k=temperature_k, health_fraction=fraction)
    if isinstance(found, NoRundown):
        raise WrongInput(with_places(refusal_text(found), build))
    others: tuple[SetLine | NoRundown, ...] = ()
    if packs is None and len(build.packs) <= MOST_SETS_PACKS and not draw.at_rest:
        others = summary(
            case, sets_of(build), start=start, load=draw, temperature_k=temperature_k, health_fraction=fraction
        )
    taken = inherited(build, PARTS, *(("ride", "region") if ride else ()))
    assumed = (*assumed_words(build, found.assumed), *taken)
    doubts = _doubts(build, found)
    return RundownView(
        build.file,
        build.name,
        found,
        others,
        assumed,
        _beyond(build, found),
        doubts,
        ridden,
        checked(build, "ride", chosen).said,
        tuple(_cuts(build)),
        tuple(_most(build, chosen)),
    )


def _cuts(build: Build) -> Iterator[tuple[float, str]]:
    """The lines under which a controller takes nothing more."""
    for controller in build.controllers.values():
        if controller.low_voltage_cut_v is not None:
            name = "controller" if len(build.controllers) == 1 else controller.name
            yield controller.low_voltage_cut_v, f"{name} cuts at {shown(controller.low_voltage_cut_v)} V"


def _most(build: Build, chosen: Sequence[str]) -> Iterator[tuple[float, str]]:
    """The lowest fuse of the packs."""
    fuses = [(rating, name) for name in chosen if (rating := build.packs[name].fuse.rating_a) is not None]
    if fuses:
        amps, name = min(fuses)
        yield amps, f"fuse of {name}, {shown(amps)} A"


def _ridden(case: Case, packs: tuple[str, ...], name: str) -> Ridden:
    """The mean load of a ride with these packs on the bike."""
    found = range_of(case, packs, ride_name(case.build, name))
    if isinstance(found, NoRundown):
        raise WrongInput(with_places(refusal_text(found), case.build))
    power_w = found.mean_w - found.ride.riding.accessories_w
    return Ridden(found.ride.name, Draw(power_w=power_w), found.speed_m_s, found.ride.air_k)


def _doubts(build: Build, found: Rundown) -> tuple[str, ...]:
    """What is not known and would change who supplies when, not only the figures."""
    return tuple(
        f"What is inside {build.part(path).name} is not known: it is counted as plain, so that packs even out through "
        "it by themselves. If it blocks, the fullest pack supplies first and the others wait."
        for path, attr in found.assumed
        if attr == "type" and is_joiner(path)
    )


def _beyond(build: Build, found: Rundown) -> tuple[str, ...]:
    """Packs that would give more than their protection lets out all the time: on the bike it may open first."""
    said = []
    for pack in found.packs:
        limit_a = build.packs[pack.name].discharge_continuous_a
        if limit_a is None:
            said.append(f"{pack.name}: what its protection allows is not known")
        elif above(pack.peak_a, limit_a):
            said.append(
                f"{pack.name} gives {show(pack.peak_a, Kind.CURRENT)} here; its protection allows "
                f"{show(limit_a, Kind.CURRENT)} all the time and may open, which is not counted"
            )
    return (*said, *_charged(build, found))


def _charged(build: Build, found: Rundown) -> Iterator[str]:
    """Packs that the others charge with more than they take, or past full."""
    for n, tally in enumerate(found.packs):
        into_a = max((-each.currents_a[n] for each in found.series), default=0.0)
        if into_a < LEAST_A:
            continue
        pack = build.packs[tally.name]
        limit_a = pack.charge_a if pack.charges_at_outlet else 0.0
        words = f"{tally.name} is charged with {show(into_a, Kind.CURRENT)} by the others, 10 s after they are joined"
        if limit_a is None:
            yield f"{words}; what it takes is not known"
        elif above(into_a, limit_a):
            yield f"{words}; it takes {show(limit_a, Kind.CURRENT)} at its outlet"
        most = max(each.fractions[n] for each in found.series)
        if most > FULL:
            yield f"{tally.name} is charged past full, to {100 * most:.1f} %: an overcharged lithium cell burns"


def _draw(text: str) -> Draw:
    """What was typed; nothing at all, as a current or as a power, is packs at rest."""
    kind, value = current_or_power(text)
    if value < 0:
        raise WrongInput(f'--load "{text}": a load draws, or with "0 A" the packs rest')
    if kind is Kind.CURRENT:
        return Draw(current_a=value)
    return Draw(power_w=value) if value > 0.0 else Draw(current_a=0.0)
