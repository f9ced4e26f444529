"""What a plan is: the completed build, what to buy, cut and solder, and how sure it is that nothing is better."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from packyoke.core.findings import Amount, Severity
from packyoke.core.paths import PartPath
from packyoke.making.lists import Lists
from packyoke.model import Build
from packyoke.verdict.judge import Judgement


class Filled(NamedTuple):
    """One field that the plan has filled, of a part that the file describes."""

    path: PartPath
    attr: str
    value: Any


class NewPart(NamedTuple):
    """A part that the plan adds. A joiner is like another one of the file, or an item of the shop's shelf."""

    path: PartPath
    like: str = ""
    item: str = ""


class Left(NamedTuple):
    """A finding that the check still makes, because it hangs on parts that the plan must leave as they are."""

    rule: str
    severity: Severity
    part: str


class Objective(NamedTuple):
    """What was made least, in the order in which it counts, with its unit."""

    names: tuple[str, ...]
    units: tuple[str, ...]
    values: tuple[float, ...]


class RunnerUp(NamedTuple):
    """The next best plan: what it comes to and in what it differs."""

    values: tuple[float, ...]
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan(Lists):
    """A build completed so that the check makes no stop. `proved` says that nothing better exists, `doubt` why not.

    `judged`: what every rule says of `build`, for whoever makes a report of it. `offcut`: what whole steps of wire cost
    beyond what is used of them [currency].
    """

    build: Build
    filled: tuple[Filled, ...]
    new: tuple[NewPart, ...]
    objective: Objective
    proved: bool
    doubt: str
    runner_up: RunnerUp | None
    left: tuple[Left, ...]
    notes: tuple[str, ...] = ()
    judged: Judgement | None = None
    offcut: float = 0.0


class WayOut(NamedTuple):
    """A change with which there is a plan: it was tried. `changes`: part path, attribute, value."""

    text: str
    changes: tuple[tuple[str, str, Any], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlan:
    """Nothing passes: the constraint that stands in the way, the part that it is about, and the nearest ways out.

    `untried`: whether there were changes that were not tried to their end.
    """

    constraint: str
    part: str = "build"
    rule: str = ""
    found: Amount | None = None
    limit: Amount | None = None
    ways_out: tuple[WayOut, ...] = ()
    untried: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Nothing can be planned before something is told: `kind` is `distance`, `fact` or `drawing`.

    `missing` names distances as (from, to) and facts as (part path, attribute).
    """

    kind: str
    text: str
    do: str = ""
    missing: tuple[tuple[str, str], ...] = ()


class Stuck(Exception):
    """Raised inside the planner where it cannot go on; carries what is handed back instead of a plan."""

    def __init__(self, answer: NoPlan | Refusal) -> None:
        super().__init__(answer)
        self.answer = answer


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why a choice was left out while planning: kept to explain why nothing was left."""

    rule: str
    part: str
    message: str
    found: Amount | None = None
    limit: Amount | None = None
    wire: str = field(default="")


NONE_FOUND = "no plan was found, and not every layout was tried"


def none_found(why: NoPlan | Refusal) -> NoPlan | Refusal:
    """What is said where not every layout was tried: no proof that there is none."""
    if isinstance(why, Refusal):
        return why
    return replace(why, constraint=f"{NONE_FOUND}; the nearest: {why.constraint}" if why.rule else NONE_FOUND)
