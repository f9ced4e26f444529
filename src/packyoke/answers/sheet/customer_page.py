"""The customer's sheet: one page with everything decided beforehand; here as text and Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from packyoke.page.cells import cells, wrapped
from packyoke.page.drawing import Drawing
from packyoke.page.markdown import cell, table


class Ride(NamedTuple):
    """One way of riding that ranges are given for."""

    name: str
    about: str


class Figure(NamedTuple):
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
    figures: tuple[Figure, ...]
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
    def rides(self) -> tuple[Ride, ...]: ...
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
    rides: tuple[Ride, ...] = ()
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
CHARGER, FULL = "charger", "from empty to full"
LINE_TO_WRITE = "________________"
TICK = "[ ]"


def customer_text(sheet: CustomerSheet) -> str:
    """The sheet for a terminal or a letter: 80 columns."""
    head = " · ".join(each for each in (sheet.shop, sheet.contact, *sheet.head) if each)
    lines = [*wrapped(head), "", *wrapped(sheet.title), "", *wrapped(sheet.intro)]
    for at, ride in enumerate(sheet.rides):
        rows = [(line.packs, line.figures[at]) for line in sheet.ranges]
        lines += ["", *ride_text(ride, rows)]
    lines += [] if sheet.ranges else ["", HOW_FAR.upper()]
    for note in sheet.range_notes:
        lines += wrapped(note, 2)
    for heading, texts in _sections(sheet):
        lines += ["", *wrapped(heading.upper(), 0, 2)]
        for text in texts:
            lines += wrapped(f"- {text}", 2, 4)
    lines += ["", TOLD.upper()]
    for text in sheet.told:
        lines += wrapped(f"{TICK} {text}", 2, 6)
    lines += [] if sheet.told else wrapped(sheet.nothing_told, 2)
    for each in sheet.signatures:
        lines += ["", "", "_" * 40, *wrapped(each)]
    return "\n".join([*lines, "", *wrapped(f"{sheet.cautions} {sheet.fingerprint}")]) + "\n"


def _sections(sheet: CustomerSheet) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What stands below the ranges, in the order in which it is read."""
    yield PLUGGING, sheet.plugging
    yield CHARGING, (*(f"{each.charger}: {each.packs}" for each in sheet.chargers), *sheet.charging)
    yield f"{STOP} {sheet.contact or LINE_TO_WRITE}", sheet.stop
    yield NEVER, (sheet.never,)
    yield JOINED, (sheet.drawing.words,)
    yield RESTS, (*sheet.rests, sheet.due)


def ride_text(ride: Ride, rows: Sequence[tuple[str, Figure]]) -> Iterator[str]:
    """The lines of one ride: its sets of packs with their figures."""
    yield from wrapped(f"{HOW_FAR.upper()}: {ride.name}")
    yield from wrapped(ride.about, 2)
    yield f"  {'packs plugged in':<44} {COUNT_ON:>18} {LIKELY:>12}"
    for packs, figure in rows:
        *before, last = wrapped(packs, most=43) or [""]
        yield from (f"  {line}" for line in before)
        gap = " " * (44 - cells(last))
        yield f"  {last}{gap} {figure.count_on:>18} {figure.likely:>12}".rstrip()


def customer_markdown(sheet: CustomerSheet) -> str:
    """The sheet for a ticket or a mail."""
    head = [each for each in (sheet.shop, sheet.contact, *sheet.head) if each]
    lines = [f"# {cell(sheet.title)}", "", *(f"{cell(each)}  " for each in head), "", cell(sheet.intro), ""]
    lines += [f"## {HOW_FAR}", ""]
    heads = ["packs plugged in"]
    heads += [cell(f"{ride.name}: {what}") for ride in sheet.rides for what in (COUNT_ON, LIKELY)]
    rows = [[line.packs, *(text for each in line.figures for text in each[:2])] for line in sheet.ranges]
    lines += table(heads, rows)
    lines += [f"- {cell(f'{ride.name}: {ride.about}')}" for ride in sheet.rides if ride.about]
    lines += [*(f"- {cell(note)}" for note in sheet.range_notes), ""]
    for heading, texts in _sections(sheet):
        lines += [f"## {cell(heading)}", "", *(f"- {cell(text)}" for text in texts), ""]
    lines += [f"## {TOLD}", "", *(f"- [ ] {cell(text)}" for text in sheet.told)]
    lines += ["" if sheet.told else f"{cell(sheet.nothing_told)}", ""]
    lines += [*(f"- {cell(each)}: \\_\\_\\_\\_\\_\\_\\_\\_" for each in sheet.signatures), ""]
    return "\n".join([*lines, cell(f"{sheet.cautions} {sheet.fingerprint}"), ""])
