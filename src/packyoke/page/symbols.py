"""Symbols of wiring diagrams after IEC 60617: battery, fuse, contacts, diode, switch, lamp, motor, converter.

Plus is one heavy line, minus a hollow double line, so that a drawing needs no colour and survives a bad copier: no
grey, no stroke under 1.2, no dot or gap under 1.5.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from packyoke.page.elements import add

INK, PAPER = "#000", "#fff"
HEAVY, HOLLOW, INSIDE, THIN = "3", "5", "2.2", "1.3"

Points = Sequence[tuple[float, float]]


def line(svg: ET.Element, points: Points, stroke: str = THIN, colour: str = INK, dash: str = "") -> None:
    """A line through points."""
    more = {"stroke-dasharray": dash} if dash else {}
    told = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    ET.SubElement(svg, "polyline", {"points": told, "fill": "none", "stroke": colour, "stroke-width": stroke, **more})


def plus(svg: ET.Element, *points: tuple[float, float], dash: str = "") -> None:
    line(svg, points, HEAVY, dash=dash)


def minus(svg: ET.Element, *points: tuple[float, float], dash: str = "") -> None:
    line(svg, points, HOLLOW, dash=dash)
    line(svg, points, INSIDE, PAPER)


def words(
    svg: ET.Element,
    x: float,
    y: float,
    text: str,
    size: float,
    *,
    bold: bool = False,
    anchor: str = "start",
    colour: str = INK,
) -> None:
    """One line of text; names that run from right to left stand by themselves."""
    if text:
        about = {"x": f"{x:.1f}", "y": f"{y:.1f}", "font-size": f"{size:g}", "fill": colour}
        about |= {"text-anchor": anchor} if anchor != "start" else {}
        about |= {"font-weight": "bold"} if bold else {}
        about |= {"stroke": PAPER, "stroke-width": "0.3"} if colour == PAPER else {}
        add(svg, "text", text, **about)


def box(
    svg: ET.Element,
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    stroke: str = INK,
    fill: str = PAPER,
    thick: str = "1.8",
    round_: float = 0.0,
    dash: str = "",
) -> None:
    """A rectangle."""
    about = {"x": f"{x:.1f}", "y": f"{y:.1f}", "width": f"{width:.1f}", "height": f"{height:.1f}"}
    about |= {"fill": fill, "stroke": stroke, "stroke-width": thick}
    about |= {"rx": f"{round_:g}"} if round_ else {}
    about |= {"stroke-dasharray": dash} if dash else {}
    ET.SubElement(svg, "rect", about)


def circle(svg: ET.Element, x: float, y: float, r: float, *, fill: str = PAPER, thick: str = "1.6") -> None:
    about = {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": f"{r:g}", "fill": fill, "stroke": INK, "stroke-width": thick}
    ET.SubElement(svg, "circle", about)


def dot(svg: ET.Element, x: float, y: float) -> None:
    """Where conductors are joined."""
    circle(svg, x, y, 3.2, fill=INK, thick="0")


def battery(svg: ET.Element, x: float, y: float, y_minus: float) -> None:
    """Two cells between a plus above and a minus below; the long thin line is plus."""
    middle = (y + y_minus) / 2
    plus(svg, (x, y), (x, middle - 9))
    minus(svg, (x, middle + 10), (x, y_minus))
    for at, half, thick in ((-9.0, 11.0, "1.8"), (-3.5, 5.5, "4"), (3.5, 11.0, "1.8"), (9.5, 5.5, "4")):
        line(svg, ((x - half, middle + at), (x + half, middle + at)), thick)


def fuse(svg: ET.Element, x: float, y: float) -> None:
    """A fuse in the middle of `x`, its line drawn through."""
    box(svg, x - 12.0, y - 5.0, 24.0, 10.0, thick="1.5")
    line(svg, ((x - 12.0, y), (x + 12.0, y)))


def switch(svg: ET.Element, x: float, y: float) -> None:
    """A make contact."""
    box(svg, x - 9.0, y - 3.0, 18.0, 6.0, stroke="none")
    line(svg, ((x - 9.0, y), (x + 9.0, y - 10.0)), HEAVY)
    circle(svg, x - 9.0, y, 1.8, fill=INK, thick="0")
    circle(svg, x + 9.0, y, 1.8, fill=INK, thick="0")


def diode(svg: ET.Element, x: float, y: float, *, back: bool = False) -> None:
    """Current passes towards the bar: to the right, or to the left in a minus."""
    side = -1.0 if back else 1.0
    told = f"{x - 8 * side:.1f},{y - 8:.1f} {x - 8 * side:.1f},{y + 8:.1f} {x + 8 * side:.1f},{y:.1f}"
    ET.SubElement(svg, "polygon", {"points": told, "fill": PAPER, "stroke": INK, "stroke-width": "1.6"})
    line(svg, ((x + 8 * side, y - 8.0), (x + 8 * side, y + 8.0)), "2.6")


def unknown(svg: ET.Element, x: float, y: float) -> None:
    """Something that the file does not name."""
    box(svg, x - 9.0, y - 8.0, 18.0, 16.0, thick="1.5")
    words(svg, x, y + 4.5, "?", 12.0, bold=True, anchor="middle")


def half(svg: ET.Element, x: float, y: float, kind: str, side: float) -> None:
    """One half of a contact; `side` -1 is the left one. A socket is an open arc, a pin a bar."""
    if kind == "socket":
        start, sweep = (x + side * 1.0, "0" if side < 0 else "1")
        path = f"M {start:.1f} {y - 6.5:.1f} A 6.5 6.5 0 0 {sweep} {start:.1f} {y + 6.5:.1f}"
        ET.SubElement(svg, "path", {"d": path, "fill": "none", "stroke": INK, "stroke-width": "1.8"})
    elif kind == "pin":
        left = x - 8.0 if side < 0 else x - 2.0
        box(svg, left, y - 3.0, 10.0, 6.0, fill=INK, stroke="none")
    elif kind == "genderless":
        box(svg, x - 8.0 if side < 0 else x + 0.5, y - 4.0, 7.5, 8.0, thick="1.4")
    else:
        circle(svg, x + 4.0 * side, y, 2.6, thick="1.3")


def plug(svg: ET.Element, x: float, y: float, y_minus: float, poles: Sequence[tuple[str, str]]) -> None:
    """Both poles of a plug at `x`, tied by a dotted line; a joint is a dot on either conductor."""
    jointed = all("joint" in pole for pole in poles)
    if not jointed:
        line(svg, ((x, y + 8.0), (x, y_minus - 8.0)), "1.5", dash="1.5 3")
    for at, (live, other) in zip((y, y_minus), poles, strict=True):
        if "joint" in (live, other):
            dot(svg, x, at)
            continue
        box(svg, x - 5.0, at - 4.0, 10.0, 8.0, stroke="none")
        # The pin goes last: it stands in the arc.
        halves = sorted(((live, -1.0), (other, 1.0)), key=lambda each: each[0] == "pin")
        for kind, side in halves:
            half(svg, x, at, kind, side)


def lamp(svg: ET.Element, x: float, y: float) -> None:
    """A lamp: whatever small thing takes current beside the motor."""
    circle(svg, x, y, 10.0)
    for up in (-7.0, 7.0):
        line(svg, ((x - 7.0, y - up), (x + 7.0, y + up)), "1.5")


def port(svg: ET.Element, x: float, y: float) -> None:
    """A charging socket."""
    circle(svg, x, y, 5.5, thick="1.4")
    for at in (-2.2, 2.2):
        circle(svg, x + at, y, 1.1, fill=INK, thick="0")


def motor(svg: ET.Element, x: float, y: float) -> None:
    circle(svg, x, y, 17.0, thick="1.8")
    words(svg, x, y + 5.5, "M", 15.0, bold=True, anchor="middle")


def converter(svg: ET.Element, x: float, y: float) -> None:
    """From the mains to direct current: a charger."""
    box(svg, x, y, 22.0, 22.0, thick="1.5")
    line(svg, ((x, y + 22.0), (x + 22.0, y)))
    path = f"M {x + 3:.1f} {y + 8:.1f} q 2.5 -6 5 0 q 2.5 6 5 0"
    ET.SubElement(svg, "path", {"d": path, "fill": "none", "stroke": INK, "stroke-width": "1.3"})
    for at in (14.5, 18.0):
        line(svg, ((x + 10.5, y + at), (x + 19.5, y + at)))
