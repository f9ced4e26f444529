"""What to set or buy so that a part bears its load: figures worked out, rounded to the safe side."""

from __future__ import annotations

from math import ceil, floor
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import FROM_PACK, Flow, draw, flow
from packyoke.analysis.circuit.load import Load, controller_load, load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import Limit, above, peak_limit_a, peaks_borne
from packyoke.core.paths import PartPath
from packyoke.model import Controller

LEAST_SHARE = 1 / 3
"""A controller set below this share of its current is no mend: it is not the bike any more that was asked for.
Judgement."""
HAIR = 1e-6
"""Keeps a round figure that comes out of floating point a hair beside itself."""


class CurrentSetting(NamedTuple):
    """Battery current to set a controller to; `falls_to_a` only where its current falls after a time."""

    controller: Controller
    limit_a: float
    falls_to_a: float | None


def at_most_a(current_a: float) -> float:
    """The figure that a person sets, not above what is borne [A]."""
    steps_per_a = 10 if current_a < 100 else 1
    return floor(current_a * steps_per_a + HAIR) / steps_per_a


def at_least_a(current_a: float) -> float:
    """The figure to look for on a label, not below what is needed [A]."""
    steps_per_a = 10 if current_a < 100 else 1
    return ceil(current_a * steps_per_a - HAIR) / steps_per_a


def fitting_setting(case: Case, path: PartPath, limit: Limit) -> CurrentSetting | None:
    """The highest setting of the one controller ahead of a part with which its limit holds, accessories subtracted.

    None with two controllers, where too little is left for the controller (`LEAST_SHARE`), and where packs feed each
    other through the part: then a setting is not what is wrong.
    """
    names = harness(case).controllers_ahead.get(path, ())
    if len(names) != 1:
        return None
    (name,) = names
    asked = load(case, path)
    if above(draw(case, path).forward_a, asked.continuous_a):
        return None
    own = controller_load(case, name, harness(case).packs_behind[path])
    others_a = asked.continuous_a - own.continuous_a
    continuous_a = at_most_a(min(own.continuous_a, limit.continuous_a - others_a))
    if continuous_a <= 0 or continuous_a < LEAST_SHARE * own.continuous_a:
        return None
    controller = case.build.controllers[name]
    if own.peak_a is None:
        return CurrentSetting(controller, continuous_a, None)
    peak_a = at_most_a(min(own.peak_a, peak_limit_a(limit, own.peak_s, continuous_a + others_a) - others_a))
    return (
        CurrentSetting(controller, peak_a, continuous_a)
        if peak_a > continuous_a
        else CurrentSetting(controller, peak_a, peak_a)
    )


class Excess(NamedTuple):
    """A current that is above a limit: for `peak_s` seconds, or all the time when that is None.

    `back_by`: it is no load but what flows back, and by what; `pushed_a` is what packs push back without it. `high`: it
    counts high.
    """

    found_a: float
    limit_a: float
    peak_s: float | None
    back_by: str = ""
    pushed_a: float = 0.0
    high: bool = False

    @property
    def from_packs(self) -> bool:
        """Whether what other packs push back is too much, whatever else does."""
        return self.back_by == FROM_PACK or above(self.pushed_a, self.limit_a)

    @property
    def share(self) -> float:
        return self.found_a / self.limit_a if self.limit_a else float("inf")


def excesses(limit: Limit, worst: Flow) -> tuple[Excess, ...]:
    """Where the worst current is above a limit: all the time, at its peak, or what flows back, in this order."""
    found = _drawn(limit, worst)
    if above(worst.back_a, limit.continuous_a):
        found = (*found, Excess(worst.back_a, limit.continuous_a, None, worst.back_by, worst.pushed_a))
    return found


def beyond(case: Case, path: PartPath, limit: Limit) -> tuple[Flow, tuple[Excess, ...]]:
    """The worst current through a part and where it is above a limit; what flows back is only asked for when the load
    alone is not too much."""
    worst = draw(case, path)
    found = excesses(limit, worst)
    if not found:
        worst = flow(case, path)
        found = excesses(limit, worst)
    return worst, found


def _drawn(limit: Limit, worst: Flow) -> tuple[Excess, ...]:
    found = []
    if above(worst.forward_a, limit.continuous_a):
        found.append(Excess(worst.forward_a, limit.continuous_a, None, high=worst.high))
    peaks = (Excess(each.asked_a, each.limit_a, each.until_s, high=worst.high) for each in peaks_borne(limit, worst))
    too_high = [each for each in peaks if above(each.found_a, each.limit_a)]
    if too_high:
        found.append(max(too_high, key=lambda each: each.share))
    return tuple(found)


def rush_a(case: Case, path: PartPath, asked: Load) -> float:
    """What other packs push through a part on top of the load [A]."""
    return max(0.0, draw(case, path).forward_a - asked.continuous_a)
