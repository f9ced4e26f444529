"""A wiring diagram whose leads all run straight from left to right: what leads back or would run through a box is cut.

A lead that is cut runs, with its number, to a dotted box that names where it goes on; where it arrives it is drawn
whole, out of a dotted box that names where it comes from. So whatever a file draws is seen lead by lead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

from packyoke.page.laying import DrawingLayout, Placed, laid_out
from packyoke.page.wiring import RAIL, Box, DrawnWire, Wiring

ONWARD, ARRIVING = "goes on there", "comes from there"
ROUNDS = 20
"""In about so many rounds a tangle is cut: one lead a round where there are fewer than twice as many, else more."""
Frame = tuple[float, float, float, float]


def opened(wiring: Wiring) -> Wiring:
    """The diagram with as few leads cut as are needed, of a large tangle a few more; itself where none is."""
    for wire in [*_leading_back(wiring)]:
        wiring = _cut(wiring, wire)
    at_once = max(1, len(wiring.wires) // ROUNDS)
    for _ in wiring.wires:
        crossing = dict.fromkeys(islice(_in_the_way(wiring, laid_out(wiring)), at_once))
        if not crossing:
            break
        for wire in crossing:
            wiring = _cut(wiring, wire)
    return wiring


def _leading_back(wiring: Wiring) -> Iterator[DrawnWire]:
    """The leads that close a ring, seen from the packs on in the order of the file."""
    keys = {box.key for box in wiring.boxes}
    out: dict[str, list[DrawnWire]] = {}
    for wire in wiring.wires:
        if wire.source in keys and wire.target in keys:
            out.setdefault(wire.source, []).append(wire)
    begun: set[str] = set()
    for first in sorted(wiring.boxes, key=lambda box: box.kind != "pack"):
        way = [(first.key, iter(out.get(first.key, ())))] if first.key not in begun else []
        begun.add(first.key)
        while way:
            following = next(way[-1][1], None)
            if following is None:
                way.pop()
            elif any(following.target == key for key, _ in way):
                yield following
            elif following.target not in begun:
                begun.add(following.target)
                way.append((following.target, iter(out.get(following.target, ()))))


def _in_the_way(wiring: Wiring, layout: DrawingLayout) -> Iterator[DrawnWire]:
    """Leads that run through a box. Where only halves of leads do, or boxes stand one over another: leads of parts that
    feed more than one, first those that end there."""
    dotted = {box.key for box in wiring.boxes if box.kind == "elsewhere"}
    whole = [run.wire for run in layout.runs if not {run.wire.source, run.wire.target} & dotted]
    frames = {key: _frame(placed) for key, placed in layout.boxes.items()}
    trouble: set[str] = set()
    for run in layout.runs:
        source, target = run.wire.source, run.wire.target
        lead = (layout.boxes[source].right, run.row, layout.boxes[target].x, run.row + RAIL)
        crossed = {key for key, frame in frames.items() if _over(lead, frame)}
        if crossed and not {source, target} & dotted:
            yield run.wire
        trouble |= crossed | {source} if crossed else set()
    for (one, frame), (other, beside) in combinations(frames.items(), 2):
        trouble |= {one, other} if _over(frame, beside) else set()
    feeding = [run.wire.source for run in layout.runs]
    several = [wire for wire in reversed(whole) if trouble and feeding.count(wire.source) > 1]
    yield from sorted(several, key=lambda wire: not {wire.source, wire.target} & trouble)


def _frame(placed: Placed) -> Frame:
    return placed.x, placed.top, placed.right, placed.bottom


def _over(one: Frame, other: Frame) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _cut(wiring: Wiring, wire: DrawnWire) -> Wiring:
    names = {box.key: box.name for box in wiring.boxes}
    onward, arriving = f"on with {wire.key}", f"from before {wire.key}"
    halves = DrawnWire(onward, wire.source, onward, wire.number), wire._replace(source=arriving)
    return replace(
        wiring,
        boxes=(
            *wiring.boxes,
            Box(onward, "elsewhere", names[wire.target], (ONWARD,)),
            Box(arriving, "elsewhere", names[wire.source], (ARRIVING,)),
        ),
        wires=tuple(half for each in wiring.wires for half in (halves if each.key == wire.key else (each,))),
    )
