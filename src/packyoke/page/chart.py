"""A line chart as SVG: readable in grey, named at its lines, with words for those who do not see it."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10
from typing import NamedTuple
from xml.etree import ElementTree as ET

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 56, 130, 14, 40
DASHES = ("", "9 4", "2 3", "12 3 2 3", "5 2", "1 4")
LINE_APART = 15
TICKS = 5


class Line(NamedTuple):
    """One line of a chart: its name and its points (x, y); None as y breaks it."""

    name: str
    points: Sequence[tuple[float, float | None]]


class Axis(NamedTuple):
    """What an axis shows; `factor` turns its numbers into the printed ones. `zero`: it starts at nothing."""

    label: str
    factor: float = 1.0
    zero: bool = False


class Moment(NamedTuple):
    """Something that happens at an x: a thin upright line with a number that a list explains."""

    x: float
    mark: str


def line_chart(
    title: str, words: str, across: Axis, up: Axis, lines: Sequence[Line], moments: Sequence[Moment] = ()
) -> ET.Element:
    """An SVG element.

    Parameters
        title: what it shows, in a few words
        words: the same as a sentence or two for somebody who hears it
        across, up: the axes
        lines: at least one, each with at least one point
        moments: what is marked on the way
    """
    xs = [x * across.factor for line in lines for x, _ in line.points]
    ys = [y * up.factor for line in lines for _, y in line.points if y is not None]
    plane = _Plane(_ticks(min(xs), max(xs)), _ticks(0.0 if up.zero else min(ys), max(ys)), across.factor, up.factor)
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "role": "img",
            "font-family": "system-ui, sans-serif",
            "font-size": "12",
            "fill": "#111",
        },
    )
    ET.SubElement(svg, "title").text = title
    ET.SubElement(svg, "desc").text = words
    _grid(svg, plane, across, up)
    for moment in moments:
        x = plane.x(moment.x)
        _stroke(svg, [(x, TOP), (x, HEIGHT - BOTTOM)], "#555", "1", "1 3")
        _label(svg, x, TOP - 3, moment.mark, "middle")
    for line, dash in zip(lines, _repeated(DASHES, len(lines)), strict=True):
        for piece in _pieces(line.points):
            _stroke(svg, [(plane.x(x), plane.y(y)) for x, y in piece], "#111", "2", dash)
    for line, height, dash in _named_apart(lines, plane):
        _stroke(svg, [(WIDTH - RIGHT + 4, height - 4), (WIDTH - RIGHT + 26, height - 4)], "#111", "2", dash)
        _label(svg, WIDTH - RIGHT + 30, height, line.name if len(line.name) <= 16 else f"{line.name[:14]}..", "start")
    return svg


class _Plane(NamedTuple):
    across: tuple[float, ...]
    up: tuple[float, ...]
    x_factor: float
    y_factor: float

    def x(self, value: float) -> float:
        share = (value * self.x_factor - self.across[0]) / (self.across[-1] - self.across[0])
        return LEFT + share * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        share = (value * self.y_factor - self.up[0]) / (self.up[-1] - self.up[0])
        return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)


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
        _stroke(svg, [(LEFT, y), (WIDTH - RIGHT, y)], "#ccc", "1", "")
        _label(svg, LEFT - 6, y + 4, f"{tick:g}", "end")
    for tick in plane.across:
        x = plane.x(tick / plane.x_factor)
        _stroke(svg, [(x, HEIGHT - BOTTOM), (x, HEIGHT - BOTTOM + 4)], "#111", "1", "")
        _label(svg, x, HEIGHT - BOTTOM + 17, f"{tick:g}", "middle")
    _stroke(svg, [(LEFT, HEIGHT - BOTTOM), (WIDTH - RIGHT, HEIGHT - BOTTOM)], "#111", "1", "")
    _label(svg, (LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6, across.label, "middle")
    _label(svg, 4, TOP - 2, up.label, "start")


def _pieces(points: Sequence[tuple[float, float | None]]) -> list[list[tuple[float, float]]]:
    pieces: list[list[tuple[float, float]]] = [[]]
    for x, y in points:
        if y is None:
            pieces.append([])
        else:
            pieces[-1].append((x, y))
    return [piece for piece in pieces if piece]


def _repeated(dashes: Sequence[str], count: int) -> list[str]:
    return [dashes[index % len(dashes)] for index in range(count)]


def _named_apart(lines: Sequence[Line], plane: _Plane) -> list[tuple[Line, float, str]]:
    """The names beside the ends of the lines, from top to bottom, none over another."""
    ends = []
    for line, dash in zip(lines, _repeated(DASHES, len(lines)), strict=True):
        last = next(y for _, y in reversed(line.points) if y is not None)
        ends.append((plane.y(last) + 4, line, dash))
    ends.sort(key=lambda each: each[0])
    heights = [max(each[0], TOP + 8) for each in ends]
    for index in range(1, len(heights)):
        heights[index] = max(heights[index], heights[index - 1] + LINE_APART)
    over = max(0.0, heights[-1] - (HEIGHT - BOTTOM + 4))
    return [(line, height - over, dash) for (_, line, dash), height in zip(ends, heights, strict=True)]


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
