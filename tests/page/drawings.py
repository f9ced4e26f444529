"""Drawings of every example, of every odd harness and of charts, as they are now, so that any change of them is seen.

    python -m tests.page.drawings           keeps what is drawn now, in tests/data/drawings.txt
    python -m tests.page.drawings FOLDER    writes them into a folder, to look at and to compare

They are our own output. That each drawing is right is held by other tests and by looking; these only say that it moved.
"""

from __future__ import annotations

import re
import sys
from hashlib import sha256
from pathlib import Path
from xml.etree import ElementTree as ET

from packyoke.answers.drawn import drawing, over_limit
from packyoke.api import Build, check, load
from packyoke.page.chart import Axis, LimitLine, Line, Moment, line_chart
from packyoke.page.drawing import Drawing, DrawnNode, Edge, NodeKind, harness_svg
from packyoke.page.wired import wiring_svgs
from packyoke.page.wiring import Wiring
from tests.odd import ODD

ROOT = Path(__file__).parent.parent.parent
KEPT = ROOT / "tests" / "data" / "drawings.txt"
"""A line a drawing: its name, how many elements it has, a digest of it."""
PAPER, PHONE = 700.0, 340.0


def _builds() -> dict[str, str]:
    """Examples, odd harnesses, and one with each kind of joiner and too much current, by names for files."""
    found = {path.stem: path.read_text(encoding="utf-8") for path in sorted((ROOT / "examples").glob("*.yaml"))}
    found |= {name.replace(" ", "-"): text for name, text in ODD.items()}
    tree = ODD["a tree"].replace("battery_current: 18 A", "battery_current: 48 A")
    ideal = "type: ideal-diode, ceiling: 65 V, current: 40 A, resistance: 2 mohm, blocks_in: positive"
    for kind, more in (("plain", ""), ("selector", ""), ("diode", ", forward_voltage: 0.5 V"), ("unknown", "")):
        found[f"tree-of-{kind}"] = tree.replace(ideal, f"type: {kind}, ceiling: 65 V, current: 40 A{more}")
    return found


_HOURS = [(0.1 * n, 54.0 - 0.4 * n) for n in range(21)]
_OTHER = [(0.1 * n, 50.0 - 0.1 * n) for n in range(21)]
_GAP = [(x, None if 0.5 < x < 0.9 else y + 1.0) for x, y in _HOURS]
BUILDS = _builds()
CHARTS = {
    "chart-one": [Line("keel", _HOURS)],
    "chart-crossing": [Line("keel", _HOURS), Line("stern", _OTHER)],
    "chart-short": [Line("keel", _HOURS), Line("stern", _HOURS[:9]), Line("rack", _OTHER)],
    "chart-gap": [Line("keel", _GAP), Line("stern", _HOURS)],
    "chart-alike": [Line("keel", _HOURS), Line("stern", _HOURS), Line("rack", _OTHER)],
    "chart-close": [Line(name, [(x, y + 0.05 * n) for x, y in _HOURS]) for n, name in enumerate("abcd")],
}


def drawn(name: str) -> list[ET.Element]:
    """The drawings of one build, for paper, for a telephone and as the customer sees it, or one chart without and with
    marks and limits."""
    if name in CHARTS:
        lines = CHARTS[name]
        marks = [Moment(0.4, "1"), Moment(0.45, "2"), Moment(1.5, "3")]
        limits = [LimitLine(47.0, "cut"), LimitLine(53.5, "full")]
        from_nothing = (Axis("time [min]", 60.0, zero=True), Axis("V", zero=True))
        return [
            line_chart(name, "words", Axis("time [h]"), Axis("voltage [V]"), lines),
            line_chart(name, "words", *from_nothing, lines, marks, limits, "charged"),
        ]
    build = load(BUILDS[name])
    assert isinstance(build, Build), build
    found = drawing(build, "metric", over_limit(check(build)))
    return [*wiring_svgs(found, "x", PAPER), *wiring_svgs(found, "x", PHONE), harness_svg(_reduced(found))]


def _reduced(found: Wiring) -> Drawing:
    kinds: dict[str, NodeKind] = {"pack": "pack", "joiner": "joiner", "controller": "controller"}
    nodes = tuple(DrawnNode(each.key, kinds[each.kind], each.name) for each in found.boxes if each.kind in kinds)
    edges = tuple(Edge(each.source, each.target, tuple(each.about[:2])) for each in found.wires)
    return Drawing(title=found.title, words=found.words, nodes=nodes, edges=edges)


def _text(svg: ET.Element) -> str:
    """A drawing as lines that can be compared: a figure of a hair more or less is the same."""
    ET.indent(svg)
    text = ET.tostring(svg, encoding="unicode")
    return re.sub(r"-?[0-9]+\.[0-9]+", lambda found: f"{float(found[0]):.1f}", text)


def kept_line(name: str) -> str:
    texts = [_text(svg) for svg in drawn(name)]
    counts = ",".join(str(text.count("<")) for text in texts)
    return f"{name} {counts} {sha256(''.join(texts).encode()).hexdigest()[:16]}"


if __name__ == "__main__":
    if len(sys.argv) > 1:
        Path(sys.argv[1]).mkdir(parents=True, exist_ok=True)
        for name in (*BUILDS, *CHARTS):
            for at, svg in enumerate(drawn(name), 1):
                (Path(sys.argv[1]) / f"{name}-{at}.svg").write_text(_text(svg), encoding="utf-8")
    else:
        KEPT.write_text("".join(f"{kept_line(name)}\n" for name in (*BUILDS, *CHARTS)), encoding="utf-8")
