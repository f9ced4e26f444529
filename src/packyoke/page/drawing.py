"""The harness as a reduced drawing, who feeds whom: inline SVG that needs no colour, with words for screen readers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from textwrap import wrap
from typing import Literal, NamedTuple
from xml.etree import ElementTree as ET

from packyoke.page.elements import add
from packyoke.page.letters import wide

NodeKind = Literal["pack", "joiner", "controller"]

LINE, PADDING, SPACE = 14.0, 7.0, 8.0
LETTERS: Mapping[NodeKind, int] = {"pack": 22, "joiner": 13, "controller": 15}
"""Where the words in a box are broken."""
LABEL_LETTER, LABEL_AT, BELOW = 6.7, 8.0, 13.0
"""Width of a letter of a label, most of them figures; where it begins behind its box, and how far below the lead."""
GAP, TURN, STEP = 26.0, 13.0, 5.0
"""Between columns; where a lead turns before its target; between leads that turn beside each other."""


class DrawnNode(NamedTuple):
    """One box: what leads call it, what kind of part it is, its name, and a few words below the name."""

    key: str
    kind: NodeKind
    name: str
    about: str = ""


class Edge(NamedTuple):
    """One lead, from source to target; the first label stands above it, the second below."""

    source: str
    target: str
    labels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What is drawn, packs first; `title` and `words` are what a screen reader says instead of the picture."""

    title: str
    words: str
    nodes: tuple[DrawnNode, ...] = ()
    edges: tuple[Edge, ...] = ()


class _Box(NamedTuple):
    node: DrawnNode
    lines: tuple[str, ...]
    bold: int
    wide: float
    high: float


class _PlacedBox(NamedTuple):
    box: _Box
    x: float
    y: float

    @property
    def right(self) -> float:
        return self.x + self.box.wide


def harness_svg(drawing: Drawing, key: str = "harness") -> ET.Element:
    """The packs on the left, the controllers on the right, every lead from its source to its target.

    `key` makes the ids of the picture its own on a page with several. Leads to or from no node are left out.
    """
    boxes = {node.key: _box(node) for node in drawing.nodes}
    edges = [each for each in drawing.edges if {each.source, each.target} <= {*boxes}]
    placed, wide, high = _laid_out(boxes, edges)
    svg = ET.Element(
        "svg",
        {
            "viewBox": f"0 0 {wide:.0f} {high:.0f}",
            "width": f"{wide:.0f}",
            "height": f"{high:.0f}",
            "role": "img",
            "aria-labelledby": f"{key}-title {key}-words",
            "font-size": "12",
            "font-family": "sans-serif",
        },
    )
    add(svg, "title", drawing.title, id=f"{key}-title")
    add(svg, "desc", drawing.words, id=f"{key}-words")
    # A ground of its own: browsers that darken pages leave it light, and the lines on it dark.
    ET.SubElement(svg, "rect", {"width": f"{wide:.0f}", "height": f"{high:.0f}", "fill": "#fff"})
    for edge, ways in _ways(placed, edges):
        _lead(svg, edge, ways)
    for each in placed.values():
        _part(svg, each)
    return svg


def natural_size(drawing: Drawing) -> tuple[float, float]:
    """How wide and high the drawing is when its letters are 12 units high."""
    boxes = {node.key: _box(node) for node in drawing.nodes}
    edges = [each for each in drawing.edges if {each.source, each.target} <= {*boxes}]
    return _laid_out(boxes, edges)[1:]


def _box(node: DrawnNode) -> _Box:
    letters = LETTERS[node.kind]
    name = wrap(node.name, letters) or ["?"]
    about = wrap(node.about, letters)
    longest = max(max(wide(each, bold=True) for each in name), max(map(wide, about), default=0.0))
    ears = 7.0 if node.kind == "joiner" else 0.0
    return _Box(
        node, (*name, *about), len(name), longest + 2 * (PADDING + ears), LINE * (len(name) + len(about)) + 10.0
    )


def _laid_out(boxes: Mapping[str, _Box], edges: Sequence[Edge]) -> tuple[dict[str, _PlacedBox], float, float]:
    """Where every box stands; width and height of the whole."""
    if not boxes:
        return {}, 1.0, 1.0
    columns = _columns(boxes, edges)
    middles = _middles(boxes, edges, columns)
    widths: dict[int, float] = {}
    for name, column in columns.items():
        widths[column] = max(widths.get(column, 0.0), boxes[name].wide)
    left, at = {}, 1.0
    for column in sorted(widths, reverse=True):
        left[column] = at
        labels = [len(label) for edge in edges if columns[edge.source] == column for label in edge.labels]
        at += widths[column] + max((GAP, *(LABEL_AT + each * LABEL_LETTER + 2 * TURN for each in labels)))
    first = max(widths)
    placed = {
        # The packs end on one line, from which their leads start; the others begin on one.
        name: _PlacedBox(
            box, left[columns[name]] + (widths[first] - box.wide if columns[name] == first else 0.0), middles[name]
        )
        for name, box in boxes.items()
    }
    right = max(each.right for each in placed.values())
    bottom = max(each.y + each.box.high / 2 for each in placed.values())
    lowest = (placed[edge.source].y + BELOW + LINE * (len(edge.labels) - 2) for edge in edges if len(edge.labels) > 1)
    bottom = max((bottom, *lowest))
    return placed, right + 5.0, bottom + 3.0


def _columns(names: Iterable[str], edges: Sequence[Edge]) -> dict[str, int]:
    """How many leads lie between each node and the end of its longest way; nodes that nothing feeds all first."""
    columns = dict.fromkeys(names, 0)
    for _ in range(len(columns)):  # a loop in a broken drawing ends here
        for edge in edges:
            columns[edge.source] = max(columns[edge.source], min(columns[edge.target] + 1, len(columns)))
    fed = {edge.target for edge in edges}
    first = max(columns.values())
    return {name: column if name in fed else first for name, column in columns.items()}


def _middles(boxes: Mapping[str, _Box], edges: Sequence[Edge], columns: Mapping[str, int]) -> dict[str, float]:
    """The height of each node's middle: what nothing feeds one below the other, the others amid what feeds them."""
    into: dict[str, list[str]] = {}
    for edge in edges:
        into.setdefault(edge.target, []).append(edge.source)
    feeding = {edge.source for edge in edges}
    middles: dict[str, float] = {}
    bottom = 1.0 - SPACE

    def visit(name: str, seen: frozenset[str]) -> float:
        nonlocal bottom
        if name not in middles:
            fed_by = [visit(each, seen | {name}) for each in into.get(name, ()) if each not in seen and each != name]
            if fed_by:
                middles[name] = (fed_by[0] + fed_by[-1]) / 2
            else:
                labels = max((len(edge.labels) for edge in edges if edge.source == name), default=0)
                high = max(boxes[name].high, LINE * labels + 6.0)
                middles[name] = bottom + SPACE + high / 2
                bottom += SPACE + high
        return middles[name]

    for name in [each for each in boxes if each not in feeding] + [*boxes]:
        visit(name, frozenset())
    for column in {*columns.values()}:
        inside = sorted((name for name in boxes if columns[name] == column), key=middles.__getitem__)
        for above, name in pairwise(inside):
            least = middles[above] + (boxes[above].high + boxes[name].high) / 2 + SPACE
            middles[name] = max(middles[name], least)
    top = min(middles[name] - boxes[name].high / 2 for name in boxes)
    return {name: middle - top + 2.0 for name, middle in middles.items()}


_DrawnWay = tuple[tuple[float, float], ...]


def _ways(placed: Mapping[str, _PlacedBox], edges: Sequence[Edge]) -> Iterable[tuple[Edge, _DrawnWay]]:
    """Each lead with its corners; leads into one box end beside each other and do not cross on the way."""
    for name, target in placed.items():
        leads = sorted((edge for edge in edges if edge.target == name), key=lambda edge: placed[edge.source].y)
        above = [edge for edge in leads if placed[edge.source].y < target.y]
        for index, edge in enumerate(leads):
            source = placed[edge.source]
            port_y = target.y + target.box.high * ((index + 1) / (len(leads) + 1) - 0.5)
            if len(leads) == 1 or abs(source.y - port_y) < 3.0:
                port_y = source.y if abs(source.y - target.y) < target.box.high / 2 - 2 else target.y
            rank = index if index < len(above) else len(leads) - 1 - index
            turn_x = target.x - TURN - STEP * rank
            corners = [(source.right, source.y), (turn_x, source.y), (turn_x, port_y), (target.x, port_y)]
            yield edge, tuple(corners if abs(source.y - port_y) > 0.5 else (corners[0], corners[3]))


def _lead(svg: ET.Element, edge: Edge, way: _DrawnWay) -> None:
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in way)
    ET.SubElement(svg, "polyline", {"points": points, "fill": "none", "stroke": "#000", "stroke-width": "2"})
    x, y = way[-1]
    ET.SubElement(
        svg, "polygon", {"points": f"{x:.1f},{y:.1f} {x - 7:.1f},{y - 4:.1f} {x - 7:.1f},{y + 4:.1f}", "fill": "#000"}
    )
    x, y = way[0]
    for index, label in enumerate(edge.labels):
        height = y - 5 if index == 0 else y + BELOW + LINE * (index - 1)
        add(svg, "text", label, x=f"{x + LABEL_AT:.1f}", y=f"{height:.1f}", fill="#000")


def _part(svg: ET.Element, placed: _PlacedBox) -> None:
    box, x, y = placed.box, placed.x, placed.y
    wide, top, bottom = box.wide, y - box.high / 2, y + box.high / 2
    outline = {"fill": "#fff", "stroke": "#000", "stroke-width": "2"}
    frame = {"x": f"{x:.1f}", "y": f"{top:.1f}", "width": f"{wide:.1f}", "height": f"{box.high:.1f}", **outline}
    if box.node.kind == "joiner":
        corners = ((x, y), (x + 9, top), (x + wide - 9, top), (x + wide, y), (x + wide - 9, bottom), (x + 9, bottom))
        ET.SubElement(svg, "polygon", {"points": " ".join(f"{px:.1f},{py:.1f}" for px, py in corners), **outline})
    elif box.node.kind == "pack":
        ET.SubElement(svg, "rect", {**frame, "rx": "5"})
        ET.SubElement(
            svg,
            "rect",
            {"x": f"{x:.1f}", "y": f"{top:.1f}", "width": "5", "height": f"{box.high:.1f}", "rx": "2", "fill": "#000"},
        )
    else:
        ET.SubElement(svg, "rect", {**frame, "stroke-width": "4"})
    for index, line in enumerate(box.lines):
        add(
            svg,
            "text",
            line,
            **{
                "x": f"{x + wide / 2:.1f}",
                "y": f"{top + 5 + LINE * (index + 0.8):.1f}",
                "text-anchor": "middle",
                "fill": "#000",
                "font-weight": "bold" if index < box.bold else "normal",
            },
        )
