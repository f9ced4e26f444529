"""What the harness bears as drawn: the largest current that a controller may take without a stop of a current rule."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from contextlib import suppress
from functools import cache
from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.circuit.currents import mixing_joiners
from packyoke.analysis.circuit.load import Load, controller_load, together
from packyoke.analysis.harness.changed import keep_drawing
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import Bearing, PeakStep, bearing, parts_on_ways
from packyoke.analysis.unknowns.spans import ends, first_asked, likely
from packyoke.core.paths import PartPath
from packyoke.model import Key, Unknown
from packyoke.model.field import MUST
from packyoke.model.fields import field_for

STEPS = 16
MOST_SPANS = 4
"""Missing values tried together for one part."""
ALIKE = 1e-9
"""Two currents whose shares differ by less than this are one."""


class Capability(NamedTuple):
    """What the controllers may ask together [A], what they do ask, and the parts that limit it, weakest first.

    `unknown` are parts with a limit or a load that is not known: the figures leave them out.
    """

    continuous_a: float | None
    peak_a: float | None
    peak_s: float | None
    asked: Load | None
    weakest: tuple[Bearing, ...]
    unknown: tuple[str, ...]


@once
def bearings(case: Case) -> tuple[tuple[Bearing, ...], tuple[str, ...]]:
    """Every part on a way with its worst current and limit, and the parts where one of them is not known.

    What has a span counts with its worse end, and as findings count it where too much flows then, too. A rating that
    nobody knows leaves the part out.
    """
    found, unknown = _at_worse_ends(case)
    return tuple(_as_told(case, each) for each in found), unknown


@once
def _at_worse_ends(case: Case) -> tuple[tuple[Bearing, ...], tuple[str, ...]]:
    found, unknown = [], []
    for path in parts_on_ways(case):
        try:
            each = _worst(case, path)
        except Unknown:
            unknown.append(path)
            continue
        if each is not None:
            found.append(each)
    return tuple(found), tuple(unknown)


def _worst(case: Case, path: PartPath) -> Bearing | None:
    """The bearing of a part; Unknown where it is not known, and the numbers that stand in bring no finding."""
    try:
        return worse_end(case, path, MOST_SPANS)
    except Unknown:
        each = _counted(case).get(path)
        if each is None or each.margin >= 0:
            raise
        return each


def worse_end(case: Case, path: PartPath, spans: int) -> Bearing | None:
    """The bearing of a part, at the worse ends of what has a span. Raises Unknown for what has none."""
    try:
        return bearing(case, path)
    except Unknown as missing:
        if spans == 0 or field_for(missing.part.path, missing.attr).need == MUST:
            raise
        choices = ends(case.build, missing.part, missing.attr)
        cases = [_with(case, missing.part.path, missing.attr, choice) for choice in choices]
    tried = [each for each in (worse_end(one, path, spans - 1) for one in cases) if each is not None]
    return min(tried, key=lambda each: each.margin, default=None)


def _as_told(case: Case, worse: Bearing) -> Bearing:
    """The bearing of a part at the values that printed numbers count with, where it is over its limit with them, too;
    else the one at the worse ends, as a bound where less flows at those values."""
    counted = _counted(case).get(worse.path)
    if counted is None:
        return worse
    if counted.margin < 0:
        return counted
    return worse._replace(up_to=counted.told[0] < (1 - ALIKE) * worse.told[0])


@once
def _counted(case: Case) -> dict[PartPath, Bearing]:
    """The bearings at the values that printed numbers count with, by path; not where a field is missing for which no
    number stands in. What one part asks for is there for the next."""
    found: dict[PartPath, Bearing] = {}
    put: set[Key] = set()
    for path in parts_on_ways(case):
        while True:
            try:
                each = bearing(case, path)
            except Unknown as missing:
                if field_for(missing.part.path, missing.attr).need == MUST:
                    break
                part, attr = first_asked(missing.part, missing.attr)
                # What has no span, or is asked for though it is there, has no number that stands in.
                if (key := Key(part.path, attr)) in put or not ends(case.build, part, attr):
                    break
                put.add(key)
                case = _with(case, part.path, attr, likely(case.build, part, attr))
                continue
            if each is not None:
                found[path] = each
            break
    return found


@once
def _with(case: Case, path: PartPath, attr: str, choice: Hashable) -> Case:
    """A case with one value tried, the same for every part that asks for it."""
    found = Case(case.build.with_value(path, attr, choice))
    keep_drawing(case, found)
    return found


def capability(case: Case) -> Capability | None:
    """How much current the harness is good for, all controllers together; None without a way from a pack to one.

    Behind blocking joiners each part carries the whole load, so its limit less what accessories take is what it
    leaves for the controllers. Where packs feed each other the limit is searched for, the current through a part never
    falling as the load rises.
    """
    drawing = harness(case)
    if not drawing.ways:
        return None
    found, unknown = bearings(case)
    try:
        mixing = bool(mixing_joiners(case))
        draws = {
            name: controller_load(case, name, drawing.packs_behind.get(controller.path, ()))
            for name, controller in case.build.controllers.items()
        }
    except Unknown:
        return Capability(None, None, None, None, (), unknown)
    asked = together(draws.values())
    if not found or asked.continuous_a <= 0:
        return Capability(None, None, asked.peak_s, asked, (), unknown)
    weakest = tuple(sorted(found, key=lambda each: each.margin))
    if mixing:
        return Capability(*_searched(case, asked), asked.peak_s, asked, weakest, unknown)
    shares, peak_shares = [], []
    for each in found:
        ahead = [draws[name] for name in drawing.controllers_ahead[each.path]]
        mine = together(ahead)
        others_a = each.flow.forward_a - mine.continuous_a
        shares.append((each.limit_a - others_a) / mine.continuous_a)
        peaks = each.peaks or (PeakStep(each.flow.forward_a, 0.0, each.limit_a),)
        peak_shares += [(peak.limit_a - others_a) / (peak.asked_a - others_a) for peak in peaks]
    peak_a = max(0.0, min(peak_shares)) * asked.most_a if asked.peak_a is not None else None
    return Capability(max(0.0, min(shares)) * asked.continuous_a, peak_a, asked.peak_s, asked, weakest, unknown)


def _left_a(each: Bearing) -> float:
    """What a part bears all the time beside what is asked then [A]."""
    return each.limit_a - each.flow.forward_a


def _peak_left_a(each: Bearing) -> float:
    """What a part bears at the peak beside what is asked then [A]."""
    if not each.peaks:
        return _left_a(each)
    return min(peak.limit_a - peak.asked_a for peak in each.peaks)


def _searched(case: Case, asked: Load) -> tuple[float | None, float | None]:
    @cache
    def scaled(scale: float) -> Case:
        build = case.build
        for controller in case.build.controllers.values():
            for attr in ("limit_a", "adjustable_a", "falls_to_a", "power_limit_w"):
                value = getattr(controller, attr)
                if value is not None:
                    build = build.with_value(controller.path, attr, value * scale)
        found = Case(build)
        keep_drawing(case, found)
        return found

    def over(parts: Sequence[PartPath], scale: float, left_a: Callable[[Bearing], float]) -> list[PartPath]:
        """Those that bear less than what flows."""
        found = []
        for path in parts:
            with suppress(Unknown):
                each = _worst(scaled(scale), path)
                if each is not None and left_a(each) < 0:
                    found.append(path)
        return found

    def largest(left_a: Callable[[Bearing], float]) -> float:
        low, high = 0.0, 4.0
        if over(parts_on_ways(case), low + 1e-9, left_a):
            return 0.0
        # What a part bears at a load it bears at a smaller one.
        parts = over(parts_on_ways(case), high, left_a)
        for _ in range(STEPS):
            between = (low + high) / 2
            still = over(parts, between, left_a)
            if still:
                high, parts = between, still
            else:
                low = between
        return low

    continuous_a = largest(_left_a) * asked.continuous_a
    return continuous_a, (largest(_peak_left_a) * asked.most_a if asked.peak_a is not None else None)
