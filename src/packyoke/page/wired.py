"""A wiring diagram as SVG: both conductors of every lead, symbols after IEC 60617, a key to them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from xml.etree import ElementTree as ET

from packyoke.page import symbols as draw
from packyoke.page.elements import add
from packyoke.page.laying import DrawingLayout, Placed, laid_out
from packyoke.page.letters import FONT, broken, wide
from packyoke.page.opened import opened
from packyoke.page.parted import parts
from packyoke.page.wiring import (
    CIRCLE,
    CIRCLE_GAP,
    ITEM_GAP,
    LINE,
    OVER,
    RAIL,
    TAP_DOWN,
    TAPS_WIDE,
    TEXT,
    DrawnWire,
    LeadRun,
    Plug,
    Tap,
    Wiring,
    direct_words,
    inset,
    items,
    notes,
    over_words,
    radius,
    tap_high,
    tap_words,
)

LEAST_WIDE, KEY_WIDE = 420.0, 700.0
"""How wide a drawing is at least, and the last of several, below which all symbols are named: as wide as every page has
room for [CSS px]."""
BUS, BUS_APART = 10.0, 11.0
"""The plus bus of a joiner from its right side, and the minus bus from that."""
BATTERY, INNER = 26.0, 13.0
"""Where the battery stands in its box, and the height of a line beside it."""


def wiring_svgs(wiring: Wiring, key: str, most: float) -> tuple[ET.Element, ...]:
    """The diagram in parts of at most this width, the key to its symbols under the last; `key` names its ids."""
    wiring = opened(wiring)
    found = parts(wiring, most)
    if len(found) == 1:
        return (wiring_svg(wiring, key),)
    *some, last = found
    return (
        *(wiring_svg(part, f"{key}-{at}", explains=()) for at, part in enumerate(some, 1)),
        wiring_svg(last, f"{key}-{len(found)}", explains=(wiring,), least=min(most, KEY_WIDE)),
    )


def wiring_svg(
    wiring: Wiring, key: str = "harness", *, explains: tuple[Wiring, ...] | None = None, least: float = LEAST_WIDE
) -> ET.Element:
    """The diagram; `key` makes its ids its own on a page with several.

    `explains`: the drawings whose symbols are named below it; without it its own. `least`: how wide
    it is at least, so that they stand in few lines.
    """
    layout = laid_out(opened(wiring))
    inside = ET.Element("g")
    for run in layout.runs:
        _lead(inside, run, layout)
    for placed in layout.boxes.values():
        {"pack": _pack, "joiner": _joiner, "controller": _controller, "elsewhere": _elsewhere}[placed.box.kind](
            inside, placed
        )
    width = max(layout.width, least)
    more = bool(wiring.chargers) or explains != ()
    bottom = _chargers(inside, wiring, width, layout.height + (12.0 if more else 4.0))
    for each in (wiring,) if explains is None else explains:
        bottom = _key(inside, each, width, bottom + 14.0) + 6.0
    frame = (width, bottom)
    svg = ET.Element(
        "svg",
        {
            "viewBox": f"0 0 {frame[0]:.0f} {frame[1]:.0f}",
            "width": f"{frame[0]:.0f}",
            "height": f"{frame[1]:.0f}",
            "role": "img",
            "aria-labelledby": f"{key}-title {key}-words",
            "font-family": FONT,
        },
    )
    add(svg, "title", wiring.title, id=f"{key}-title")
    add(svg, "desc", wiring.words, id=f"{key}-words")
    draw.box(svg, 0.0, 0.0, *frame, stroke="none")
    svg.append(inside)
    return svg


def _lead(svg: ET.Element, run: LeadRun, layout: DrawingLayout) -> None:
    source, target, wire = layout.boxes[run.wire.source], layout.boxes[run.wire.target], run.wire
    dash = "" if wire.number or wire.direct else "6 3"
    start, end, row = source.right, target.x, run.row
    draw.plus(svg, (start, row), (end, row), dash=dash)
    draw.minus(svg, (start, row + RAIL), (end, row + RAIL), dash=dash)
    if wire.direct:
        _plug(svg, (start + end) / 2, row, wire.plugs[0] or wire.plugs[1])
        _over(svg, (start + end) / 2, row - 10.0, direct_words(wire), "middle")
        _number(svg, wire, (start + end) / 2, row + RAIL / 2)
        return
    at = start + 5.0
    for each in items(wire):
        if each.kind == "far":
            at = max(at, end - each.width - 4.0)
        middle = at + each.width / 2
        if each.kind in ("near", "far"):
            middle = start + 12.0 if each.kind == "near" else end - 12.0
            _plug(svg, middle, row, wire.plugs[0 if each.kind == "near" else 1])
        elif each.kind == "fuse":
            draw.fuse(svg, middle, row)
        else:
            draw.switch(svg, middle, row)
        x = at if each.kind == "near" else at + each.width if each.kind == "far" else middle
        _over(svg, x, row - 11.0, each.words, {"near": "start", "far": "end"}.get(each.kind, "middle"))
        at += each.width + ITEM_GAP
    left = start + inset(wire) + (TAPS_WIDE if run.taps else 0.0)
    if wire.number:
        _number(svg, wire, left + radius(wire), row + RAIL / 2)
        left += 2 * radius(wire) + CIRCLE_GAP
    told = notes(wire)
    over = over_words(wire)
    first = row + RAIL / 2 + 4.0 - LINE * (len(told) - 1) / 2
    for index, line in enumerate(told):
        draw.words(svg, left, first + LINE * index, line, TEXT)
    beside = left + max(map(wide, told), default=0.0) + (8.0 if told else 0.0)
    first = row + RAIL / 2 + 4.0 - LINE * (len(over) - 1) / 2
    for index, line in enumerate(over):
        draw.words(svg, beside, first + LINE * index, line, TEXT, bold=True)
    y = row + RAIL + 6.0
    for tap in run.taps:
        _tap(svg, tap, start + 38.0, row, y)
        y += tap_high(tap)
    if run.more_taps:
        y += 13.0
        draw.words(svg, start + 14.0, y, f"and {run.more_taps} more here", TEXT)


def _over(svg: ET.Element, x: float, y: float, lines: Sequence[str], anchor: str) -> None:
    """Lines of small text of which the last stands at `y`."""
    for index, line in enumerate(lines):
        draw.words(svg, x, y - LINE * (len(lines) - 1 - index), line, TEXT, anchor=anchor)


def _number(svg: ET.Element, wire: DrawnWire, x: float, y: float) -> None:
    """The number of a lead in its circle, filled where the lead is over its limit."""
    if wire.number:
        draw.circle(svg, x, y, radius(wire), fill=draw.INK if wire.over else draw.PAPER)
        colour = draw.PAPER if wire.over else draw.INK
        draw.words(svg, x, y + 4.4, wire.number, 12.5, bold=True, anchor="middle", colour=colour)


def _plug(svg: ET.Element, x: float, row: float, plug: Plug | None) -> None:
    if plug is not None:
        draw.plug(svg, x, row, row + RAIL, (plug.plus, plug.minus))


def _tap(svg: ET.Element, tap: Tap, x: float, row: float, top: float) -> None:
    """An accessory on the lead above it, behind its fuse; several hang on one branch."""
    y = top + TAP_DOWN
    lamp_x = x + 58.0
    draw.minus(svg, (x - 12.0, row + RAIL), (x - 12.0, y + 18.0), (lamp_x, y + 18.0), (lamp_x, y + 10.0))
    draw.plus(svg, (x, row), (x, y), (lamp_x - 10.0, y))
    draw.dot(svg, x, row)
    draw.dot(svg, x - 12.0, row + RAIL)
    if tap.fitted:
        draw.fuse(svg, x + 24.0, y)
    if tap.fuse:
        draw.words(svg, x + 8.0, y - 14.0, tap.fuse, TEXT)
    draw.lamp(svg, lamp_x, y)
    told = tap_words(tap)
    bold = len(broken(tap.name, 120.0, TEXT, True))
    for at, line in enumerate(told):
        draw.words(svg, lamp_x + 16.0, y + 4.0 + LINE * at, line, TEXT, bold=at < bold)


def _header(svg: ET.Element, placed: Placed, *, dash: str = "", round_: float = 4.0) -> float:
    """The frame of a box with its name; the name on a filled ground where it is over a limit. The height below it."""
    x, top = placed.x, placed.top
    draw.box(svg, x, top, placed.width, placed.bottom - top, round_=round_, dash=dash)
    over, y = bool(placed.over), top + 5.0
    heads = [*placed.name, *placed.over]
    if over:
        draw.box(svg, x, top, placed.width, LINE * len(heads) + 7.0, fill=draw.INK)
    colour = draw.PAPER if over else draw.INK
    for line in heads:
        y += LINE
        draw.words(svg, x + 8.0, y - 3.0, line, TEXT, bold=True, colour=colour)
    y += OVER if over else 0.0
    for line in placed.head:
        y += LINE
        draw.words(svg, x + 8.0, y - 3.0, line, TEXT)
    return y


def _foot(svg: ET.Element, placed: Placed) -> None:
    y = placed.bottom - 8.0 - LINE * (len(placed.about) + len(placed.port) - 1)
    for line in placed.about:
        draw.words(svg, placed.x + 8.0, y, line, TEXT)
        y += LINE
    if placed.port:
        draw.port(svg, placed.x + 14.0, y - 4.0)
    for line in placed.port:
        draw.words(svg, placed.x + 24.0, y, line, TEXT)
        y += LINE


def _pack(svg: ET.Element, placed: Placed) -> None:
    _header(svg, placed, dash="6 3")
    rows, x, right = placed.rows, placed.x + BATTERY, placed.right
    row = rows[0]
    draw.minus(svg, (x, row + RAIL), (right, row + RAIL))
    draw.plus(svg, (x, row), (right, row))
    for more in rows[1:]:
        draw.minus(svg, (right - 18.0, row + RAIL), (right - 18.0, more + RAIL), (right, more + RAIL))
        draw.plus(svg, (right - 10.0, row), (right - 10.0, more), (right, more))
    draw.battery(svg, x, row, row + RAIL)
    for sign, y in (("+", row + 11.0), ("\u2212", row + RAIL - 4.0)):
        draw.words(svg, x - 19.0, y, sign, 14.0, bold=True)
    if placed.box.fitted:
        draw.fuse(svg, right - 24.0, row)
    draw.words(svg, right - 7.0, row - 10.0, placed.box.fuse, TEXT, anchor="end")
    first = row + RAIL / 2 + 5.5 - INNER * (len(placed.inner) - 1) / 2
    for at, line in enumerate(placed.inner):
        draw.words(svg, x + 17.0, first + INNER * at, line, TEXT)
    _foot(svg, placed)


def _joiner(svg: ET.Element, placed: Placed) -> None:
    _header(svg, placed, round_=2.0)
    box, x, right = placed.box, placed.x, placed.right
    bus, low = right - BUS, right - BUS - BUS_APART
    every = sorted({*placed.rows_in, *placed.rows_out})
    for row in placed.rows_out:
        draw.minus(svg, (low, row + RAIL), (right, row + RAIL))
    if every[-1] - every[0] > 0.5:
        draw.minus(svg, (low, every[0] + RAIL), (low, every[-1] + RAIL))
        draw.plus(svg, (bus, every[0]), (bus, every[-1]))
    for row in placed.rows_out:
        draw.plus(svg, (bus, row), (right, row))
    for row in placed.rows_in:
        draw.minus(svg, (x, row + RAIL), (low, row + RAIL))
        draw.plus(svg, (x, row), (bus, row))
        y = row + RAIL if box.in_minus else row
        if box.path == "diode":
            draw.diode(svg, x + 24.0, y, back=box.in_minus)
        elif box.path == "switch":
            draw.switch(svg, x + 24.0, y)
        elif box.path == "unknown":
            draw.unknown(svg, x + 24.0, y)
        first = row + RAIL / 2 + 4.5 - LINE * (len(placed.way) - 1) / 2
        for at, line in enumerate(placed.way[:3]):
            draw.words(svg, x + 9.0, first + LINE * at, line, TEXT)
    for at, row in enumerate(every):
        met = (at > 0) + (at < len(every) - 1) + (row in placed.rows_in) + (row in placed.rows_out)
        if met > 2:
            draw.dot(svg, bus, row)
            draw.dot(svg, low, row + RAIL)
    _foot(svg, placed)


def _controller(svg: ET.Element, placed: Placed) -> None:
    _header(svg, placed, round_=2.0)
    rows, middle = sorted(placed.rows), placed.x + placed.width / 2
    row = rows[0]
    y = row + RAIL / 2
    if placed.rows_in:
        draw.plus(svg, (placed.x, row), (middle, row), (middle, y - 17.0))
        draw.minus(svg, (placed.x, row + RAIL), (middle, row + RAIL), (middle, y + 17.0))
        for above, below in pairwise(rows):
            draw.plus(svg, (placed.x, below), (placed.x + 10.0, below), (placed.x + 10.0, above))
            draw.minus(svg, (placed.x, below + RAIL), (placed.x + 18.0, below + RAIL), (placed.x + 18.0, above + RAIL))
    draw.motor(svg, middle, y)
    _foot(svg, placed)


def _elsewhere(svg: ET.Element, placed: Placed) -> None:
    _header(svg, placed, round_=12.0, dash="2 3")


def _chargers(svg: ET.Element, wiring: Wiring, width: float, y: float) -> float:
    """Each charger with its symbol, under the harness; where they end."""
    for name, about in wiring.chargers:
        draw.converter(svg, 4.0, y)
        lines = broken(name, width - 40.0, TEXT, True)
        for at, line in enumerate(lines):
            draw.words(svg, 34.0, y + 10.0 + LINE * at, line, TEXT, bold=True)
        told = broken(about, width - 40.0)
        for at, line in enumerate(told):
            draw.words(svg, 34.0, y + 10.0 + LINE * (len(lines) + at), line, TEXT)
        y += max(LINE * (len(lines) + len(told)), 22.0) + 10.0
    return y


Symbol = Callable[[ET.Element, float, float], None]


def _key(svg: ET.Element, wiring: Wiring, width: float, y: float) -> float:
    """What the symbols mean, of those that stand in the drawing; where it ends."""
    draw.words(svg, 4.0, y, "Key", TEXT, bold=True)
    x = 40.0
    for symbol, room, told in _used(wiring):
        need = room + 8.0 + wide(told) + 18.0
        if x > 4.0 and x + need > width:
            x, y = 4.0, y + 21.0
        symbol(svg, x, y - 4.0)
        draw.words(svg, x + room + 8.0, y, told, TEXT)
        x += need
    return y


def _used(wiring: Wiring) -> Iterator[tuple[Symbol, float, str]]:
    kinds = {box.path for box in wiring.boxes if box.kind == "joiner"}
    yield lambda svg, x, y: draw.plus(svg, (x, y), (x + 34, y)), 34.0, "plus"
    yield lambda svg, x, y: draw.minus(svg, (x, y), (x + 34, y)), 34.0, "minus"
    if any(wire.number for wire in wiring.wires):
        yield _sample_number, 19.0, "lead, as in all lists"
    if any(wire.fuse for wire in wiring.wires) or any(each.fitted for each in wiring.boxes):
        yield lambda svg, x, y: draw.fuse(svg, x + 12, y), 24.0, "fuse, where the current comes from"
    plugs = {pole for wire in wiring.wires for each in wire.plugs if each for pole in (each.plus, each.minus)}
    halves = {half for pole in plugs for half in pole}
    if halves & {"pin", "socket"}:
        yield _sample_plug, 20.0, "plug: arc = socket, bar = pin"
    if "genderless" in halves:
        yield _sample_alike, 17.0, "plug of two halves alike"
    if "joint" in halves:
        yield lambda svg, x, y: draw.dot(svg, x + 4, y), 8.0, "joined, no plug"
    if "diode" in kinds:
        yield lambda svg, x, y: draw.diode(svg, x + 9, y), 18.0, "lets current out only"
    if "switch" in kinds or any(wire.switch for wire in wiring.wires):
        yield lambda svg, x, y: draw.switch(svg, x + 11, y + 3), 22.0, "switch"
    if "unknown" in kinds:
        yield lambda svg, x, y: draw.unknown(svg, x + 9, y), 18.0, "not in the file"
    if wiring.taps:
        yield lambda svg, x, y: draw.lamp(svg, x + 10, y), 20.0, "accessory"
    if any(box.port for box in wiring.boxes):
        yield lambda svg, x, y: draw.port(svg, x + 6, y), 12.0, "where it is charged"
    if any(box.over for box in wiring.boxes) or any(wire.over for wire in wiring.wires):
        yield lambda svg, x, y: draw.box(svg, x, y - 6, 16, 12, fill=draw.INK), 16.0, "over its limit"


def _sample_number(svg: ET.Element, x: float, y: float) -> None:
    draw.circle(svg, x + 9.5, y, CIRCLE)
    draw.words(svg, x + 9.5, y + 4.4, "1", 12.5, bold=True, anchor="middle")


def _sample_plug(svg: ET.Element, x: float, y: float) -> None:
    draw.half(svg, x + 9, y, "socket", -1.0)
    draw.half(svg, x + 9, y, "pin", 1.0)


def _sample_alike(svg: ET.Element, x: float, y: float) -> None:
    for side in (-1.0, 1.0):
        draw.half(svg, x + 8, y, "genderless", side)
