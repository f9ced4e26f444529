"""How far each set of packs goes on each ride, as the customer's sheet prints it."""

from __future__ import annotations

from collections.abc import Sequence
from math import comb, floor
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import accessories_behind
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.ride.named import rides_of
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.analysis.unknowns.spans import nominal_energy_j
from packyoke.answers.sheet import customer_words as words
from packyoke.answers.sheet.called import Called, said
from packyoke.answers.sheet.customer_page import CustomerRide, RangeFigure, RangeLine
from packyoke.core.paths import is_joiner, name_of
from packyoke.core.units import Kind, from_si, show
from packyoke.model import Build
from packyoke.page.bars import scale_end
from packyoke.verdict.layout import sets_of

ALL_SETS_PACKS = 3
"""Up to this many packs every set has a line."""
SINGLE_LINES = 4
"""Up to this many packs each has a line by itself, else the strongest and the weakest."""
MOST_RIDES, MOST_LINES = 3, 5
"""What fits on one page; what is left out is counted."""


class Distance(NamedTuple):
    """How far: what to count on and what is likely [m]."""

    low_m: float
    likely_m: float


class RideRange(NamedTuple):
    """How far each set of packs goes on one ride, or a word why there is no figure.

    `about` says how it is ridden, in the words of `told`: the first estimate that there is.
    """

    ride: str
    about: str
    figures: dict[tuple[str, ...], Distance | str]
    told: RangeEstimate | None = None


class Far(NamedTuple):
    """What the sheet prints of it; `found` is what that was made of, `sets` which sets of packs share each line."""

    rides: tuple[CustomerRide, ...]
    lines: tuple[RangeLine, ...]
    notes: tuple[str, ...]
    scale: float = 0.0
    found: tuple[RideRange, ...] = ()
    sets: tuple[tuple[tuple[str, ...], ...], ...] = ()


def how_far(case: Case, called: Called, system: str) -> Far:
    """The table of ranges, the longest first; sets that go equally far share a line."""
    build = case.build
    found = ranges(case, system)
    given = [each for ride in found for each in ride.figures.values() if isinstance(each, Distance)]
    if not given:
        return Far((), (), (words.NO_RANGE,), found=found)
    scale = scale_end(max(each.likely_m for each in given) / _unit(system)[0])
    longest_m = scale * _unit(system)[0]
    same: dict[tuple[int, tuple[RangeFigure, ...]], list[tuple[str, ...]]] = {}
    for packs in found[0].figures:
        figures = tuple(_figure(ride.figures[packs], longest_m, system) for ride in found)
        same.setdefault((len(packs), figures), []).append(packs)
    ordered = sorted(same, key=lambda key: -max(each.low_share for each in key[1]))
    if len(ordered) > MOST_LINES:
        # The best of each number of packs, and the shortest way of all.
        best = {key[0]: key for key in reversed(ordered)}
        ordered = [key for key in ordered if key in best.values() or key == ordered[-1]][-MOST_LINES:]
    lines = tuple(
        RangeLine(_set_words(build, called, same[key]), key[1], tuple(name in same[key][0] for name in build.packs))
        for key in ordered
    )
    notes = [words.TAKE] if len(found[0].figures) > 1 else []
    left_out = len(sets_of(build)) - sum(len(same[key]) for key in ordered)
    if left_out:
        notes.append(f"Left out here: {left_out} other sets; each goes at least as far as any of its packs alone.")
    notes.append(words.RANGE_BASIS)
    rides = tuple(CustomerRide(said(ride.ride), ride.about) for ride in found)
    return Far(rides, lines, tuple(notes), scale, found, tuple(tuple(same[key]) for key in ordered))


def ranges(case: Case, system: str) -> tuple[RideRange, ...]:
    """How far each chosen set of packs goes on each ride; sets of packs that are alike are worked out once."""
    build, found = case.build, []
    for name in rides_of(build)[:MOST_RIDES]:
        figures: dict[tuple[str, ...], Distance | str] = {}
        once: dict[object, Distance | str] = {}
        told: RangeEstimate | None = None
        for packs in _chosen(case):
            key = _alike(case, packs)
            if key not in once:
                estimate = range_of(case, packs, name)
                once[key] = _reach(estimate)
                told = told or (estimate if isinstance(estimate, RangeEstimate) else None)
            figures[packs] = once[key]
        found.append(RideRange(name, _ride_words(told, system) if told else "", figures, told))
    return tuple(found)


def _chosen(case: Case) -> list[tuple[str, ...]]:
    """The sets that ranges are worked out for: those of the file, or every one of few packs. Of many: all of them, all
    but one, two (where they are not alike those with most energy), and each alone, or the most and the least of them.
    """
    build = case.build
    every = sets_of(build)
    if build.sets is not None or len(build.packs) <= ALL_SETS_PACKS:
        return [*every]
    chosen: list[tuple[str, ...]] = []
    for size in (len(build.packs), len(build.packs) - 1, 2, 1):
        same = [each for each in every if len(each) == size]
        if not same:
            continue  # packs that are joined for good come in no such number
        alike = len({_alike(case, each) for each in same}) == 1
        most = sorted(same, key=lambda each: -sum(nominal_energy_j(build.packs[name]) or 0.0 for name in each))
        few = size == 1 and len(same) <= SINGLE_LINES
        chosen += same if alike or few else [most[0], most[-1]] if size == 1 else most[:1]
    return chosen


def _alike(case: Case, names: Sequence[str]) -> tuple[tuple[object, ...], ...]:
    """What tells one set of packs from another as to how far it goes: the packs, what they feed and through what."""
    build, drawing = case.build, harness(case)
    packs = [build.packs[name] for name in names]
    ridden = {name for ride in build.rides.values() for known in ride.known for name in known.packs}
    kinds = [
        (
            each.name if each.name in ridden else "",
            each.chemistry,
            each.series,
            each.capacity_coulomb,
            each.tested_capacity_coulomb,
            each.full_charge_v,
            each.cut_off_v,
            each.resistance_ohm,
            each.mass_kg,
            drawing.controllers_ahead.get(each.path, ()),
            tuple(tap.name for tap in accessories_behind(case, each.path)),
            tuple(
                (joiner.type, joiner.forward_v)
                for way in drawing.ways.get(each.name, ())
                for joiner in (build.joiners[name_of(path)] for path in way if is_joiner(path))
                if joiner.type == "diode"
            ),
        )
        for each in packs
    ]
    return tuple(sorted(kinds, key=str))


def _reach(estimate: RangeEstimate | NoRundown) -> Distance | str:
    if isinstance(estimate, NoRundown):
        return words.NOT_KNOWN
    if not estimate.delivers:
        return words.TOO_WEAK
    return Distance(estimate.distance_m.low, estimate.distance_m.likely)


def _ride_words(estimate: RangeEstimate, system: str) -> str:
    """How a ride is ridden, in a few words, and where the drive cannot keep to that."""
    ride = estimate.ride
    if ride.measured:
        return "as measured on your rides"
    riding = ride.riding
    told = [f"{show(riding.rider_kg, Kind.MASS, system)} rider"]
    if riding.load_kg:
        told.append(f"{show(riding.load_kg, Kind.MASS, system)} load")
    hills = next(word for most, word in words.HILLS if riding.climb_fraction <= most or most == 1.0)
    told += [show(riding.speed_m_s, Kind.SPEED, system), hills]
    told += ["no pedalling"] if ride.throttle else []
    for note in estimate.notes:
        unit = "mph" if system == "us" else "km/h"
        speed = f"about {from_si(note.found, unit):.0f} {unit}"
        if note.kind == "motor is silent":
            told.append(f"the motor helps to {speed} only, counted with that")
        elif note.kind == "slows on hills":
            told.append(f"{speed} on hills of {show(note.wanted, Kind.FRACTION)}")
        elif note.kind == "walks on hills":
            told.append(f"pushed on hills of {show(note.wanted, Kind.FRACTION)}")
    return ", ".join(told)


def _figure(found: Distance | str, longest_m: float, system: str) -> RangeFigure:
    if isinstance(found, str):
        return RangeFigure(found, "", 0.0, 0.0)
    low, likely = _distance(found.low_m, system), _distance(found.likely_m, system)
    longest_m = longest_m or 1.0  # nothing goes anywhere: no bars
    return RangeFigure(low, likely, found.low_m / longest_m, found.likely_m / longest_m)


def _distance(metres: float, system: str) -> str:
    """Whole kilometres or miles, rounded down: nobody walks the last one for a rounding."""
    unit, name = _unit(system)
    return f"{floor(metres / unit + 1e-9)} {name}"


def _unit(system: str) -> tuple[float, str]:
    return (1609.344, "mi") if system == "us" else (1000.0, "km")


def _set_words(build: Build, called: Called, same: Sequence[tuple[str, ...]]) -> str:
    """Sets of one size that go equally far, in words: `any two`, `north or south alone`, `north + box`."""
    size, count = len(same[0]), len(build.packs)
    number = words.NUMBERS.get(size, str(size)).lower()
    if count == 1:
        return called.short(same[0][0])
    if size == count:
        return "both together" if size == 2 else f"all {number}"
    if len(same) > 1 and len(same) == comb(count, size):
        return f"any {number}" if size > 1 else "either alone" if count == 2 else "any one alone"
    return " or ".join(map(called.set, same)) + (" alone" if size == 1 else "")
