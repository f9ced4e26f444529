"""What a wiring diagram shows: packs, joiners and controllers, the leads between them, and the words on each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from packyoke.page.letters import broken, wide

BoxKind = Literal["pack", "joiner", "controller", "elsewhere"]
Path = Literal["diode", "switch", "plain", "unknown"]
Half = Literal["pin", "socket", "genderless", "joint", ""]

TEXT, LINE, RAIL = 12.0, 14.0, 48.0
"""Size of letters (9 points); height of a line; between plus and minus of a lead."""
BETWEEN, PAD = 10.0, 7.0
WIDEST: Mapping[BoxKind, float] = {"pack": 138.0, "joiner": 116.0, "controller": 92.0, "elsewhere": 80.0}
"""Where words in a box are broken."""
PLUG, CIRCLE, CIRCLE_GAP, ITEM_GAP, FUSE = 16.0, 9.5, 4.0, 7.0, 26.0
MANY_DIGITS, BETWEEN_PLUGS = 3, 2
WAY_WIDE = 20.0
"""Beside the words in a joiner, within its padding: its two buses."""
MOST_TAPS = 4
"""Accessories drawn at one lead; more are counted."""
TAP_DOWN, TAPS_WIDE = 32.0, 34.0
OVER = 4.0
"""Below the filled name of a part over its limit."""
MOST_INNER = 3
"""Lines that stand between plus and minus inside a pack."""


class Plug(NamedTuple):
    """A plug: its family, and for either pole the half on the live side and the half on the other."""

    family: str
    plus: tuple[Half, Half]
    minus: tuple[Half, Half]


class Box(NamedTuple):
    """A pack, joiner or controller, or one that stands in another part of the drawing.

    `fuse`: what stands over the fuse of a pack; without `fitted` there is no symbol.

    `head` stands under the name, `about` at the foot; `path` is what lies in each way through a joiner and `way` its
    words; `port`: who charges it and where. `over`: by what it is over a limit.
    """

    key: str
    kind: BoxKind
    name: str
    head: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    fuse: str = ""
    fitted: bool = False
    path: Path = "plain"
    way: str = ""
    in_minus: bool = False
    port: str = ""
    over: str = ""


class DrawnWire(NamedTuple):
    """One lead of two conductors. `number`: what every list calls it; none: not ours to make."""

    key: str
    source: str
    target: str
    number: str = ""
    about: tuple[str, ...] = ()
    plugs: tuple[Plug | None, Plug | None] = (None, None)
    fuse: str = ""
    switch: str = ""
    direct: bool = False
    over: str = ""


class Tap(NamedTuple):
    """An accessory on the lead called `wire`."""

    wire: str
    name: str
    about: str = ""
    fuse: str = ""
    fitted: bool = False


class ChargerBox(NamedTuple):
    """A charger, in words."""

    name: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """A harness to be drawn; `title` and `words` are what a screen reader says instead of the picture."""

    title: str
    words: str
    boxes: tuple[Box, ...] = ()
    wires: tuple[DrawnWire, ...] = ()
    taps: tuple[Tap, ...] = ()
    chargers: tuple[ChargerBox, ...] = ()


@dataclass(slots=True)
class LeadRun:
    """A lead with its row at either end, and its taps."""

    wire: DrawnWire
    taps: list[Tap]
    more_taps: int
    row: float = 0.0


def tap_high(tap: Tap) -> float:
    """How much room an accessory takes under its lead: its fuse with the words over it, its lamp, its own words."""
    return max(50.0, TAP_DOWN + 4.0 + LINE * (len(tap_words(tap)) - 1))


def family(plug: Plug | None) -> list[str]:
    """The family of a plug, in lines."""
    return broken(plug.family, 74.0) if plug is not None else []


class Item(NamedTuple):
    """A symbol on the plus of a lead with its words in lines above: how wide both are together."""

    kind: Literal["near", "fuse", "switch", "far"]
    words: list[str]
    width: float


def items(wire: DrawnWire) -> list[Item]:
    """What stands on a lead, from its live end on."""
    near, far = wire.plugs
    found = [Item("near", family(near), 0.0)] if near is not None else []
    found += [Item("fuse", broken(wire.fuse, 56.0), FUSE)] if wire.fuse else []
    found += [Item("switch", broken(wire.switch, 70.0), FUSE)] if wire.switch else []
    found += [Item("far", family(far), 0.0)] if far is not None else []
    return [each._replace(width=max(PLUG, each.width, *(wide(line) for line in each.words or [""]))) for each in found]


def notes(wire: DrawnWire) -> list[str]:
    """What stands between the conductors of a lead."""
    return [line for each in wire.about for line in broken(each, 96.0)]


def radius(wire: DrawnWire) -> float:
    """Of the circle about the number of a lead."""
    return CIRCLE if len(wire.number) < MANY_DIGITS else CIRCLE + 4.0


def inset(wire: DrawnWire, side: int = 0) -> float:
    """How far from its end the words between the conductors of a lead begin: two lines clear the halves of a plug."""
    if wire.plugs[side] is None:
        return 8.0
    return 17.0 if max(len(notes(wire)), len(over_words(wire))) <= BETWEEN_PLUGS else 26.0


def needs(run: LeadRun) -> float:
    """How long a lead has to be for everything on it."""
    if run.wire.direct:
        return max(44.0, 12.0 + max(wide(line) for line in direct_words(run.wire)))
    over = sum(each.width + ITEM_GAP for each in items(run.wire)) + 8.0
    circle = 2 * radius(run.wire) + CIRCLE_GAP if run.wire.number else 0.0
    inner = inset(run.wire) + circle + max((wide(line) for line in notes(run.wire)), default=0.0)
    inner += max((wide(line, TEXT, True) for line in over_words(run.wire)), default=-8.0) + 8.0
    inner += inset(run.wire, 1) + (TAPS_WIDE if run.taps else 0.0)
    taps = max((_tap_wide(tap) for tap in run.taps), default=0.0)
    return max(over, inner, taps, 44.0)


def _tap_wide(tap: Tap) -> float:
    words = max((wide(line, TEXT, True) for line in tap_words(tap)), default=0.0)
    return max(PLUG + 102.0 + words, PLUG + 40.0 + wide(tap.fuse))


def direct_words(wire: DrawnWire) -> list[str]:
    """What stands over a plug without a cable."""
    plug = wire.plugs[0] or wire.plugs[1]
    return family(plug) or ["plugged in"]


def over_words(wire: DrawnWire) -> list[str]:
    return broken(f"! {wire.over}", 60.0, TEXT, True) if wire.over else []


def tap_words(tap: Tap) -> list[str]:
    """Name and what is to be known of an accessory, in lines."""
    return [*broken(tap.name, 120.0, TEXT, True), *broken(tap.about, 120.0)]
