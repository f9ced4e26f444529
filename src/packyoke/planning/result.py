"""What a plan is: the completed build, what to buy, cut and solder, and how sure it is that nothing is better."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any, NamedTuple

from packyoke.core.findings import Amount, Severity
from packyoke.model import Build, Gauge


class Filled(NamedTuple):
    """One field that the plan has filled, of a part that the file describes."""

    path: str
    attr: str
    value: Any


class New(NamedTuple):
    """A part that the plan adds. A joiner is like another one of the file, or an item of the shop's shelf."""

    path: str
    like: str = ""
    item: str = ""


class Left(NamedTuple):
    """A finding that the check still makes, because it hangs on parts that the plan must leave as they are."""

    rule: str
    severity: Severity
    part: str
    message: str


class Piece(NamedTuple):
    """One lead to cut: two conductors of `length_m`. `planned` is false for a lead that the file gives whole."""

    lead: str
    source: str
    target: str
    gauge: Gauge | None
    insulation: str | None
    length_m: float | None
    mark_from: str
    mark_to: str
    plus_item: str
    minus_item: str
    way: tuple[str, ...]
    planned: bool


class Joint(NamedTuple):
    """One conductor to be joined to one contact. `end` is `from`, `to` or `fuse`, `method` as the trade does it."""

    lead: str
    conductor: str
    end: str
    at: str
    connector: str
    contact: str
    method: str


class BillLine(NamedTuple):
    """One item to take from the shelf or to buy. `amount` is None without a price; `short` is what the stock lacks."""

    section: str
    item: str
    about: str
    quantity: float
    unit: str
    price_each: float | None
    amount: float | None
    minutes_s: float | None
    stock: float | None
    short: float
    on_shelf: bool


class Totals(NamedTuple):
    """The sum of what has a price, in one currency, and how many lines have none; work as far as minutes are given."""

    amount: float
    currency: str
    unpriced_count: int
    minutes_s: float
    untimed_count: int


class Setting(NamedTuple):
    """A figure to program into a controller."""

    part: str
    what: str
    value: Amount


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
class Lists:
    """All that the bench needs: what to cut, to join, to buy, to set and to write on it."""

    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    bill: tuple[BillLine, ...]
    totals: Totals
    settings: tuple[Setting, ...]
    labels: tuple[str, ...]

    def lists(self) -> dict[str, Any]:
        """Each list by its name."""
        return {each.name: getattr(self, each.name) for each in fields(Lists)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan(Lists):
    """A build completed so that the check makes no stop. `proved` says that nothing better exists, `doubt` why not."""

    build: Build
    filled: tuple[Filled, ...]
    new: tuple[New, ...]
    objective: Objective
    proved: bool
    doubt: str
    runner_up: RunnerUp | None
    left: tuple[Left, ...]
    notes: tuple[str, ...] = ()


class WayOut(NamedTuple):
    """A change with which there is a plan: it was tried. `changes`: part path, attribute, value."""

    text: str
    changes: tuple[tuple[str, str, Any], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlan:
    """Nothing passes: the constraint that stands in the way, the part that it is about, and the nearest ways out."""

    constraint: str
    part: str = "build"
    rule: str = ""
    found: Amount | None = None
    limit: Amount | None = None
    ways_out: tuple[WayOut, ...] = ()


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
