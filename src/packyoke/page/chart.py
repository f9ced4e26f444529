"""A line chart as SVG: readable in grey, named at its lines, with words for those who do not see it."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10
from typing import NamedTuple
from xml.etree import ElementTree as ET

from packyoke.page.letters import FONT, broken, wide

INK, PAPER = "#000", "#fff"
WIDTH, HEIGHT = 700, 250
LEFT, RIGHT, TOP, BOTTOM = 56, 150, 30, 40
DASHES = ("", "9 4", "2 3", "12 3 2 3", "5 2", "2 7", "14 4 6 4", "7 7", "4 10", "16 3 2 3 2 3", "4 2 2 2", "20 5")
"""A solid line and eleven broken ones; what comes after them is told apart by longer dashes. No dot and no gap is under
2: a bad copy swallows it."""
DOTS, DOTTED, GRID = "1.5", "1.5 3", "1.5 9"
"""How thick what is no line of the chart is dotted: moments, the way to a name; the grid and the ground below zero."""
LEAST_SEEN = 1.5
"""How far apart two lines are that can be told apart."""
BELOW_APART = 6.0
"""Between the rows of dots that are the ground below zero."""
LINE_APART, MARK_APART = 14.0, 13.0
TICKS = 5
SIZE, NAMES = 12.0, 112.0
"""Letters, and the room of the names beside the lines."""


class Line(NamedTuple):
    """One line of a chart: its name and its points (x, y); None as y breaks it."""

    name: str
    points: Sequence[tuple[float, float | None]]


class Axis(NamedTuple):
    """What an axis shows; `factor` turns its numbers into the printed ones. `zero`: it starts at nothing."""

    label: str
    factor: float = 1.0
    zero: bool = False


class LimitLine(NamedTuple):
    """A height that must not be passed, or at which something switches: a thin line with its words."""

    y: float
    words: str


class Moment(NamedTuple):
    """Something that happens at an x: a thin upright line with a number that a list explains."""

    x: float
    mark: str


def line_chart(
    title: str,
    words: str,
    across: Axis,
    up: Axis,
    lines: Sequence[Line],
    moments: Sequence[Moment] = (),
    limits: Sequence[LimitLine] = (),
    below: str = "",
) -> ET.Element:
    """An SVG element.

    Parameters
        title: what it shows, in a few words
        words: the same as a sentence or two for somebody who hears it
        across, up: the axes
        lines: at least one, each with at least one point
        moments: what is marked on the way, in a lane of its own above
        limits: lines that must not be passed
        below: what it means to be below zero; shaded where something is
    """
    xs = [x * across.factor for line in lines for x, _ in line.points]
    ys = [y * up.factor for line in lines for _, y in line.points if y is not None]
    ys += [limit.y * up.factor for limit in limits]
    ticks = _ticks(min(xs), max(xs)), _ticks(0.0 if up.zero else min(ys), max(ys))
    lines = _merged(lines, _Plane(*ticks, across.factor, up.factor, HEIGHT))
    plane = _Plane(*ticks, across.factor, up.factor, _high(lines))
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {plane.height:.0f}",
            "width": f"{WIDTH}",
            "height": f"{plane.height:.0f}",
            "role": "img",
            "font-family": FONT,
            "font-size": "12",
            "fill": INK,
        },
    )
    ET.SubElement(svg, "title").text = title
    ET.SubElement(svg, "desc").text = words
    ET.SubElement(svg, "rect", {"width": str(WIDTH), "height": f"{plane.height:.0f}", "fill": PAPER})
    if below and plane.up[0] < 0.0 < plane.up[-1]:
        _below(svg, plane, below)
    _grid(svg, plane, across, up)
    for moment, x in zip(moments, _apart([plane.x(each.x) for each in moments]), strict=True):
        at = plane.x(moment.x)
        _stroke(svg, [(x, TOP - 8), (at, TOP), (at, plane.bottom)], INK, DOTS, DOTTED)
        _label(svg, x, TOP - 11, moment.mark, "middle")
    for limit in limits:
        y = plane.y(limit.y)
        _stroke(svg, [(LEFT, y), (WIDTH - RIGHT, y)], INK, "1.3", "8 2 2 2")
        at, anchor = _clear(lines, plane, y)
        _grounded(svg, at, y + 12 if y < TOP + 16 else y - 3, limit.words, anchor)
    for line, dash in zip(lines, _dashes(len(lines)), strict=True):
        for piece in _pieces(line.points):
            _stroke(svg, [(plane.x(x), plane.y(y)) for x, y in piece], INK, "2", dash)
    for words_, height, dash, (end_x, end_y) in _named_apart(lines, plane):
        at = WIDTH - RIGHT
        _stroke(svg, [(end_x, end_y), (at + 8, height - 4)], INK, DOTS, DOTTED)
        _stroke(svg, [(at + 8, height - 4), (at + 30, height - 4)], INK, "2", dash)
        for index, each in enumerate(words_):
            _label(svg, at + 34, height + LINE_APART * index, each, "start")
    return svg


def _below(svg: ET.Element, plane: _Plane, words: str) -> None:
    """Rows of dots below zero, a tone that a copier keeps, and what it means to be there."""
    top, low = plane.y(0.0), plane.bottom
    for row in range(1, int((low - top) / BELOW_APART) + 1):
        y, left = top + BELOW_APART * row, LEFT + (5.25 if row % 2 else 0.0)
        if y < low - 1.0:
            _stroke(svg, [(left, y), (WIDTH - RIGHT, y)], INK, DOTS, GRID)
    _grounded(svg, LEFT + 5, low - 4, words, "start")


def _high(lines: Sequence[Line]) -> float:
    """How high a chart is: higher where the names beside its lines need it."""
    names = sum(LINE_APART * len(broken(line.name, NAMES, SIZE)) + 2.0 for line in lines)
    return max(HEIGHT, TOP + names + 12.0)


def _clear(lines: Sequence[Line], plane: _Plane, y: float) -> tuple[float, str]:
    """Where the words of a limit stand: at the end of it that is farther from all lines."""
    left, right = (
        min((abs(plane.y(line.points[end][1] or 0.0) - y) for line in lines), default=0.0) for end in (0, -1)
    )
    return (LEFT + 4.0, "start") if left > right else (WIDTH - RIGHT - 4.0, "end")


def _merged(lines: Sequence[Line], plane: _Plane) -> list[Line]:
    """Lines that nobody can tell apart all the way are one, named after all of them: a broken line on a whole one is
    not seen."""
    groups: list[list[Line]] = []
    for line in lines:
        same = next((group for group in groups if _alike(group[0], line, plane)), None)
        if same is None:
            groups.append([line])
        else:
            same.append(line)
    return [Line(", ".join(line.name for line in group), group[0].points) for group in groups]


def _alike(one: Line, other: Line, plane: _Plane) -> bool:
    """Whether they are nowhere farther apart than a line is thick."""
    return len(one.points) == len(other.points) and all(
        abs(plane.x(x) - plane.x(at)) < LEAST_SEEN
        and (y == height if y is None or height is None else abs(plane.y(y) - plane.y(height)) < LEAST_SEEN)
        for (x, y), (at, height) in zip(one.points, other.points, strict=True)
    )


def _dashes(count: int) -> list[str]:
    """As many kinds of line, no two alike.

    >>> len({*_dashes(30)})
    30
    """
    return [DASHES[at] if at < len(DASHES) else f"{at + 10} 4" for at in range(count)]


def _apart(xs: Sequence[float]) -> list[float]:
    """Places in the lane of marks, pushed apart to the right, then back where they would leave the chart."""
    found: list[float] = []
    for x in xs:
        found.append(max(x, found[-1] + MARK_APART) if found else x)
    most = WIDTH - RIGHT + 10.0
    for at in range(len(found) - 1, -1, -1):
        found[at] = min(found[at], most)
        most = found[at] - MARK_APART
    return found


class _Plane(NamedTuple):
    across: tuple[float, ...]
    up: tuple[float, ...]
    x_factor: float
    y_factor: float
    height: float

    @property
    def bottom(self) -> float:
        return self.height - BOTTOM

    def x(self, value: float) -> float:
        share = (value * self.x_factor - self.across[0]) / (self.across[-1] - self.across[0])
        return LEFT + share * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        share = (value * self.y_factor - self.up[0]) / (self.up[-1] - self.up[0])
        return self.bottom - share * (self.bottom - TOP)


def _ticks(low: float, high: float) -> tuple[float, ...]:
    """Round numbers that hold everything between them.

    >>> _ticks(0.0, 2.3)
    (0.0, 0.5, 1.0, 1.5, 2.0, 2.5)
    """
    if high - low < 1e-9 * max(abs(high), 1.0):
        high = low + 1.0
    step = 10.0 ** floor(log10((high - low) / TICKS))
    step *= next(each for each in (1, 2, 5, 10) if (high - low) / (each * step) <= TICKS + 1)
    first, last = floor(low / step + 1e-9), -floor(-high / step + 1e-9)
    return tuple(round(index * step, 10) for index in range(first, last + 1))


def _grid(svg: ET.Element, plane: _Plane, across: Axis, up: Axis) -> None:
    for tick in plane.up:
        y = plane.y(tick / plane.y_factor)
        _stroke(svg, [(LEFT, y), (WIDTH - RIGHT, y)], INK, DOTS, GRID)
        _label(svg, LEFT - 6, y + 4, f"{tick:g}", "end")
    for tick in plane.across:
        x = plane.x(tick / plane.x_factor)
        _stroke(svg, [(x, plane.bottom), (x, plane.bottom + 4)], INK, "1.3", "")
        _label(svg, x, plane.bottom + 17, f"{tick:g}", "middle")
    _stroke(svg, [(LEFT, plane.bottom), (WIDTH - RIGHT, plane.bottom)], INK, "1.3", "")
    _label(svg, (LEFT + WIDTH - RIGHT) / 2, plane.height - 6, across.label, "middle")
    _label(svg, 4, TOP - 11, up.label, "start")


def _pieces(points: Sequence[tuple[float, float | None]]) -> list[list[tuple[float, float]]]:
    pieces: list[list[tuple[float, float]]] = [[]]
    for x, y in points:
        if y is None:
            pieces.append([])
        else:
            pieces[-1].append((x, y))
    return [piece for piece in pieces if piece]


def _named_apart(lines: Sequence[Line], plane: _Plane) -> list[tuple[list[str], float, str, tuple[float, float]]]:
    """The names beside the ends of the lines, whole and none over another: words, height, dash, end of the line."""
    ends = []
    for line, dash in zip(lines, _dashes(len(lines)), strict=True):
        last_x, last_y = next(((x, y) for x, y in reversed(line.points) if y is not None), (0.0, 0.0))
        ends.append(((plane.x(last_x), plane.y(last_y)), broken(line.name, NAMES, SIZE) or [""], dash))
    ends.sort(key=lambda each: each[0][1])
    heights: list[float] = []
    for at, (end, _, _) in enumerate(ends):
        least = heights[-1] + LINE_APART * len(ends[at - 1][1]) + 2.0 if heights else TOP + 4.0
        heights.append(max(end[1] + 4.0, least))
    high = sum(LINE_APART * len(words) + 2.0 for _, words, _ in ends)
    low = plane.bottom if high < plane.bottom - TOP else plane.height - 4.0
    for at in range(len(ends) - 1, -1, -1):
        heights[at] = min(heights[at], low - LINE_APART * (len(ends[at][1]) - 1))
        low = heights[at] - LINE_APART - 2.0
    return [(words, height, dash, end) for (end, words, dash), height in zip(ends, heights, strict=True)]


def _stroke(svg: ET.Element, points: Sequence[tuple[float, float]], colour: str, width: str, dash: str) -> None:
    attributes = {
        "points": " ".join(f"{x:.1f},{y:.1f}" for x, y in points),
        "fill": "none",
        "stroke": colour,
        "stroke-width": width,
    }
    if dash:
        attributes["stroke-dasharray"] = dash
    ET.SubElement(svg, "polyline", attributes)


def _label(svg: ET.Element, x: float, y: float, text: str, anchor: str) -> None:
    found = ET.SubElement(svg, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor})
    found.text = "".join(c if c >= " " else "?" for c in text)


def _grounded(svg: ET.Element, x: float, y: float, text: str, anchor: str) -> None:
    """Words on a ground of their own, where lines may cross them."""
    long = wide(text, SIZE) + 4.0
    left = x - 2.0 if anchor == "start" else x + 2.0 - long
    about = {"x": f"{left:.1f}", "y": f"{y - 10:.1f}", "width": f"{long:.1f}", "height": "12"}
    ET.SubElement(svg, "rect", {**about, "fill": PAPER})
    _label(svg, x, y, text, anchor)
