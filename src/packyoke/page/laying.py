"""Where each part of a wiring diagram stands: packs on the left, controllers on the right.

Every lead lies in a row of its own and runs straight; what bends, bends inside a joiner. The rows follow the tree from
the controllers back, so that leads of a tree never cross.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from packyoke.page.letters import broken, wide
from packyoke.page.wiring import (
    BETWEEN,
    LINE,
    MOST_INNER,
    MOST_TAPS,
    OVER,
    PAD,
    RAIL,
    TEXT,
    WAY_WIDE,
    WIDEST,
    Box,
    DrawnWire,
    LeadRun,
    Tap,
    Wiring,
    family,
    needs,
    tap_high,
)


@dataclass(slots=True)
class Placed:
    """A box with its words in lines, its place, and the rows (heights of the plus) of the leads into and out of it."""

    box: Box
    name: list[str]
    head: list[str]
    about: list[str]
    way: list[str]
    port: list[str]
    over: list[str]
    inner: list[str]
    width: float
    x: float = 0.0
    rows_in: list[float] = field(default_factory=list)
    rows_out: list[float] = field(default_factory=list)

    @property
    def above(self) -> float:
        """From the top of the box to its first plus."""
        fuse = LINE if self.box.fuse else 0.0
        return (
            8.0 + (OVER if self.over else 0.0) + LINE * (len(self.name) + len(self.head) + len(self.over)) + fuse + 8.0
        )

    @property
    def below(self) -> float:
        """From the last minus to the foot of the box."""
        return 8.0 + LINE * (len(self.about) + len(self.port)) + (4.0 if self.about or self.port else 0.0)

    @property
    def rows(self) -> list[float]:
        return [*self.rows_in, *self.rows_out]

    @property
    def top(self) -> float:
        return min(self.rows) - self.above

    @property
    def bottom(self) -> float:
        return max(self.rows) + RAIL + self.below

    @property
    def right(self) -> float:
        return self.x + self.width


@dataclass(slots=True)
class DrawingLayout:
    """Everything placed, and the size of the whole."""

    boxes: dict[str, Placed]
    runs: list[LeadRun]
    width: float
    height: float


def laid_out(wiring: Wiring) -> DrawingLayout:
    """Where everything stands. Leads from or to nothing are left out; none may lead back."""
    boxes = {box.key: _measured(box) for box in wiring.boxes}
    runs = [_run(wire, wiring.taps) for wire in wiring.wires if wire.source in boxes and wire.target in boxes]
    columns = _columns(boxes, runs)
    rows = _Rows(boxes, runs)
    bottom = rows.all()
    up = _lift(boxes, runs)
    width = _across(boxes, runs, columns)
    return DrawingLayout(boxes, runs, width, bottom - up + 4.0)


def _measured(box: Box) -> Placed:
    most = WIDEST[box.kind]
    name = broken(box.name, most, TEXT, True) or ["?"]
    pack = box.kind == "pack"
    head = [line for each in box.head for line in broken(each, most - 46.0 if pack else most)]
    inner, head = (head, []) if pack else ([], head)
    about = [line for each in box.about for line in broken(each, most)]
    way = broken(box.way, most - 30.0)
    port = broken(box.port, most - 18.0)
    over = broken(f"! {box.over}", most, TEXT, True) if box.over else []
    inner, about = inner[:MOST_INNER], [*inner[MOST_INNER:], *about]
    longest = max(
        *(wide(line, TEXT, True) for line in (*name, *over)),
        *(wide(line) for line in (*head, *about, box.fuse)),
        *(wide(line) + 18.0 for line in ("", *port)),
        *(wide(line) + WAY_WIDE for line in ("", *way)),
        *(wide(line) + 40.0 for line in ("", *inner)),
    )
    least = {"pack": 104.0, "joiner": 96.0, "controller": 74.0, "elsewhere": 40.0}[box.kind]
    return Placed(box, name, head, about, way, port, over, inner, max(least, longest + 2 * PAD))


def _run(wire: DrawnWire, taps: Sequence[Tap]) -> LeadRun:
    own = [tap for tap in taps if tap.wire == wire.key]
    return LeadRun(wire, own[:MOST_TAPS], len(own[MOST_TAPS:]))


def _columns(boxes: Mapping[str, Placed], runs: Sequence[LeadRun]) -> dict[str, int]:
    """How many leads lie between each box and the end of its longest way; what nothing feeds stands first."""
    columns = dict.fromkeys(boxes, 0)
    for _ in range(min(len(columns), 40)):
        for run in runs:
            at = min(columns[run.wire.target] + 1, len(columns))
            columns[run.wire.source] = max(columns[run.wire.source], at)
    first = max(columns.values(), default=0)
    fed = {run.wire.target for run in runs}
    return {key: column if key in fed else first for key, column in columns.items()}


def columns_of(wiring: Wiring) -> dict[str, int]:
    """The column of each box, 0 where nothing is fed any more."""
    boxes = {box.key: _measured(box) for box in wiring.boxes}
    return _columns(boxes, [_run(wire, ()) for wire in wiring.wires if wire.source in boxes and wire.target in boxes])


class _Rows:
    """Gives each lead its row, from the controllers back."""

    def __init__(self, boxes: Mapping[str, Placed], runs: Sequence[LeadRun]) -> None:
        self.boxes, self.bottom = boxes, 1.0
        self.into: dict[str, list[LeadRun]] = {}
        self.out: dict[str, list[LeadRun]] = {}
        for run in runs:
            self.into.setdefault(run.wire.target, []).append(run)
            self.out.setdefault(run.wire.source, []).append(run)
        self.seen: set[str] = set()

    def all(self) -> float:
        """Rows for everything; what is at the bottom."""
        for key in (*(key for key in self.boxes if key not in self.out), *self.boxes):
            self.place(key, 0.0)
        for placed in self.boxes.values():
            if not placed.rows:
                placed.rows_in.append(self.bottom + BETWEEN + placed.above)
                self.bottom = placed.bottom
        return self.bottom

    def place(self, key: str, above: float) -> None:
        """The rows of what feeds a box, then of the leads out of it; `above` is what needs room over its first row."""
        if key in self.seen:
            return
        self.seen.add(key)
        placed = self.boxes[key]
        out = self.out.get(key, [])
        down = self._down(out)
        first = max(above, placed.above, _over_lead(out)) + down[-1] / 2
        for run in self.into.get(key, ()):
            self.place(run.wire.source, first)
            placed.rows_in.append(run.row)
            first = 0.0
        placed.rows_in.sort()
        if placed.rows_in:
            middle = (placed.rows_in[0] + placed.rows_in[-1]) / 2
            rows = [middle + each - down[-1] / 2 for each in down]
        else:
            start = self.bottom + BETWEEN + max(above, placed.above, _over_lead(out))
            rows = [start + each for each in down]
        placed.rows_out = rows if out or not placed.rows_in else []
        for run, row in zip(out, rows, strict=False):
            run.row = row
        lead_foot = max((run.row + RAIL + _under_lead(run) for run in out), default=0.0)
        self.bottom = max(self.bottom, placed.bottom, lead_foot)

    def _down(self, out: Sequence[LeadRun]) -> list[float]:
        """How far each lead out of a box is below the first: clear of its words, and the boxes that they end in too."""
        pitch = RAIL + max((_under_lead(run) for run in out), default=0.0) + 40.0
        down = [0.0]
        for one, other in pairwise(out):
            ends, begins = self.boxes[one.wire.target], self.boxes[other.wire.target]
            apart = 0.0 if ends is begins else RAIL + ends.below + BETWEEN + begins.above
            down.append(down[-1] + max(pitch, apart))
        return down


def _lift(boxes: Mapping[str, Placed], runs: Sequence[LeadRun]) -> float:
    """Moves everything to the top; by how much."""
    tops = [placed.top for placed in boxes.values()]
    tops += [run.row - _over_lead([run]) for run in runs]
    up = min(tops, default=2.0) - 2.0
    for placed in boxes.values():
        placed.rows_in = [row - up for row in placed.rows_in]
        placed.rows_out = [row - up for row in placed.rows_out]
    for run in runs:
        run.row -= up
    return up


def _over_lead(out: Sequence[LeadRun]) -> float:
    """What stands over the plus of a lead: families and fuses."""
    return max((LINE * max(len(family(plug)) for plug in run.wire.plugs) + 12.0 for run in out), default=0.0)


def _under_lead(run: LeadRun) -> float:
    return sum(map(tap_high, run.taps)) + (LINE if run.more_taps else 0.0) + (8.0 if run.taps else 0.0)


def _across(boxes: Mapping[str, Placed], runs: Sequence[LeadRun], columns: Mapping[str, int]) -> float:
    """Puts every box into its column; the width of the whole."""
    if not boxes:
        return 1.0
    columns_wide: dict[int, float] = {}
    for key, column in columns.items():
        columns_wide[column] = max(columns_wide.get(column, 0.0), boxes[key].width)
    at, left = 2.0, {}
    for column in sorted(columns_wide, reverse=True):
        left[column] = at
        gaps = [needs(run) for run in runs if columns[run.wire.source] == column]
        ends = [60.0 for run in runs if columns[run.wire.target] == column - 1]
        at += columns_wide[column] + max((*gaps, *ends), default=0.0)
    first = max(columns_wide)
    for key, placed in boxes.items():
        column = columns[key]
        placed.width = columns_wide[column] if column == first else placed.width
        placed.x = left[column]
    return max(placed.right for placed in boxes.values()) + 4.0
