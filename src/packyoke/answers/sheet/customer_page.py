"""The customer's sheet: one page with everything decided beforehand; here as a page in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol

from packyoke.page.drawing import Drawing
from packyoke.page.page import Block, Lines, Page, Table, Ticks, filled


class CustomerRide(NamedTuple):
    """One way of riding that ranges are given for."""

    name: str
    about: str


class RangeFigure(NamedTuple):
    """A range: what to count on, what is likely, and both as shares of the one scale of the sheet for the bar.

    Without a likely figure `count_on` is a word that says why there is none.
    """

    count_on: str
    likely: str
    low_share: float
    likely_share: float


class RangeLine(NamedTuple):
    """One set of packs, and how far it goes on each ride. `taken`: for each pack of the bike, whether it is in it."""

    packs: str
    figures: tuple[RangeFigure, ...]
    taken: tuple[bool, ...] = ()


class ChargeLine(NamedTuple):
    """One charger, and how long it takes for which packs."""

    charger: str
    packs: str


class HasRanges(Protocol):
    """A page that says how far; `scale` is what its bars end at, in the unit of the ranges."""

    @property
    def intro(self) -> str: ...
    @property
    def scale(self) -> float: ...
    @property
    def rides(self) -> tuple[CustomerRide, ...]: ...
    @property
    def ranges(self) -> tuple[RangeLine, ...]: ...
    @property
    def range_notes(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerSheet:
    """All that a customer takes home. `contact` is how to reach the `shop`, `head` the ticket and the day.

    `scale` is what the bars end at, in the unit of the ranges. `told`: every caution, one tick box each.
    """

    title: str
    shop: str
    contact: str
    head: tuple[str, ...]
    intro: str
    drawing: Drawing
    unit: str
    scale: float = 0.0
    rides: tuple[CustomerRide, ...] = ()
    ranges: tuple[RangeLine, ...] = ()
    range_notes: tuple[str, ...]
    plugging: tuple[str, ...]
    chargers: tuple[ChargeLine, ...] = ()
    charging: tuple[str, ...]
    stop: tuple[str, ...]
    never: str
    rests: tuple[str, ...]
    due: str
    told: tuple[str, ...]
    nothing_told: str
    signatures: tuple[str, ...]
    cautions: str
    fingerprint: str


HOW_FAR, JOINED, CHARGING, PLUGGING = (
    "How far it goes, by the packs you take",
    "How it is joined",
    "Charging",
    "Plugging in",
)
STOP, NEVER, RESTS, TOLD = "STOP, and call", "Never", "What this sheet rests on", "What we told you"
COUNT_ON, LIKELY = "count on", "likely"
LINE_TO_WRITE = "________________"


def customer_page(sheet: CustomerSheet) -> Page:
    """The sheet in the order in which it is read, for a terminal, a letter, a ticket or a mail."""
    return Page(
        title=sheet.title,
        lead=tuple(
            each for each in (" · ".join(filter(None, (sheet.shop, sheet.contact, *sheet.head))), sheet.intro) if each
        ),
        blocks=filled(
            *range_blocks(sheet),
            Lines(PLUGGING, sheet.plugging),
            Lines(CHARGING, (*(f"{each.charger}: {each.packs}" for each in sheet.chargers), *sheet.charging)),
            Lines(f"{STOP} {sheet.contact or LINE_TO_WRITE}", sheet.stop),
            Lines(NEVER, (sheet.never,)),
            Lines(JOINED, (sheet.drawing.words,)),
            Lines(RESTS, (*sheet.rests, sheet.due)),
            Ticks(TOLD, sheet.told) if sheet.told else Lines(TOLD, (sheet.nothing_told,)),
        ),
        signatures=sheet.signatures,
        closing=(f"{sheet.cautions} {sheet.fingerprint}",),
    )


def range_blocks(sheet: HasRanges) -> tuple[Block, ...]:
    """How far each set of packs goes on each ride, how the rides are ridden, and what that rests on."""
    heads = [head for ride in sheet.rides for head in (f"{ride.name}: {COUNT_ON}", LIKELY)]
    rows = tuple((line.packs, *(text for each in line.figures for text in each[:2])) for line in sheet.ranges)
    told = (*(f"{ride.name}: {ride.about}" for ride in sheet.rides if ride.about), *sheet.range_notes)
    if not rows:
        return (Lines(HOW_FAR, told),)
    return (Table(HOW_FAR, ("packs plugged in", *heads), rows, "l" + "rr" * len(sheet.rides), notes=told),)
