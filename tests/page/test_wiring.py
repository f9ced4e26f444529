"""Wiring diagrams keep their words apart, in their boxes and off their lines, whatever the harness and its names."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from typing import NamedTuple
from xml.etree import ElementTree as ET

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from packyoke.page.laying import laid_out
from packyoke.page.letters import broken, wide
from packyoke.page.opened import ARRIVING, ONWARD, opened
from packyoke.page.wired import wiring_svg, wiring_svgs
from packyoke.page.wiring import Box, ChargerBox, DrawnWire, Half, Plug, Tap, Wiring

XT60 = Plug("XT60", ("socket", "pin"), ("socket", "pin"))
BULLETS = Plug("4 mm bullet in a long housing", ("socket", "pin"), ("pin", "socket"))
NAMES = st.sampled_from(
    ("a", "keel", "the big pack in the left bag of the carrier", "W" * 40, "荷台の左の電池", "שמאל")
)
HALVES: dict[Half, Half] = {"pin": "socket", "socket": "pin", "genderless": "genderless", "joint": "joint"}


class Text(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float
    words: str


def texts(svg: ET.Element) -> list[Text]:
    """The boxes of all texts, from the widths of their letters."""
    found = []
    for each in svg.iter("text"):
        words, size = "".join(each.itertext()), float(each.get("font-size", "0"))
        length = wide(words, size, each.get("font-weight") == "bold")
        x, y = float(each.get("x", "0")), float(each.get("y", "0"))
        left = x - {"start": 0.0, "middle": length / 2, "end": length}[each.get("text-anchor", "start")]
        found.append(Text(left, y - 0.72 * size, left + length, y, words))
    return found


def wires(svg: ET.Element) -> list[tuple[float, float, float, float]]:
    """The boxes of all conductors, piece by piece."""
    found = []
    for each in svg.iter("polyline"):
        if float(each.get("stroke-width", "0")) < 3.0 or each.get("stroke") != "#000":
            continue
        points = [tuple(map(float, point.split(","))) for point in each.get("points", "").split()]
        for (x, y), (x2, y2) in pairwise(points):
            half = float(each.get("stroke-width", "0")) / 2
            found.append((min(x, x2), min(y, y2) - half, max(x, x2), max(y, y2) + half))
    return found


def apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[2] <= other[0] + 0.6 or other[2] <= one[0] + 0.6 or one[3] <= other[1] + 0.6 or other[3] <= one[1] + 0.6


@st.composite
def harnesses(draw: st.DrawFn) -> Wiring:
    """A tree of one to six packs over up to four joiners, with all that can stand on a lead."""
    count = draw(st.integers(1, 6))
    packs = [
        Box(
            f"p{at}",
            "pack",
            draw(NAMES),
            ("14s NMC", "20 Ah", "58.8 V full"),
            draw(st.sampled_from(((), ("left pannier",)))),
            draw(st.sampled_from(("", "no fuse", "class T 40 A 160 V"))),
            draw(st.booleans()),
            port=draw(st.sampled_from(("", "5.5 mm barrel: counter"))),
            over=draw(st.sampled_from(("", "38.5 A, limit 30 A"))),
        )
        for at in range(count)
    ]
    boxes, feeding, leads, taps = [*packs], [box.key for box in packs], [], []

    def lead(source: str, target: str) -> None:
        key = f"l{len(leads)}"
        leads.append(
            DrawnWire(
                key,
                source,
                target,
                str(len(leads) + 1),
                draw(st.sampled_from((("12 AWG", "400 mm"), ("wire not in the file", "length not in the file"), ()))),
                (draw(st.sampled_from((XT60, BULLETS, None))), draw(st.sampled_from((XT60, BULLETS, None)))),
                draw(st.sampled_from(("", "10x38 2 A 1000 V"))),
                draw(st.sampled_from(("", "switch 40 A"))),
                draw(st.integers(0, 9)) == 0,
                draw(st.sampled_from(("", "25.5 A, limit 15 A"))),
            )
        )
        for at in range(draw(st.sampled_from((0, 0, 0, 1, 2, 6)))):
            taps.append(Tap(key, draw(NAMES) + str(at), "0.5 A, at most 60 V", "blade 2 A 58 V", draw(st.booleans())))

    for at in range(draw(st.integers(0, 4))):
        some = draw(st.integers(1, len(feeding)))
        path = draw(st.sampled_from(("diode", "switch", "plain", "unknown")))
        about = ("frame metal",) if draw(st.booleans()) else ()
        way = "ideal diode, 40 A"
        boxes.append(Box(f"j{at}", "joiner", draw(NAMES), ("at most 75 V",), about, path=path, way=way))
        for source in feeding[:some]:
            lead(source, f"j{at}")
        feeding = [*feeding[some:], f"j{at}"]
    boxes.append(Box("c", "controller", draw(NAMES), ("set to 25 A", "cuts at 43 V")))
    for source in feeding:
        lead(source, "c")
    return Wiring(
        title="harness",
        words="who feeds whom",
        boxes=tuple(boxes),
        wires=tuple(leads),
        taps=tuple(taps),
        chargers=(ChargerBox("counter", "58.8 V d.c., 4 A, for keel"),),
    )


@settings(max_examples=150, deadline=None)
@given(harnesses())
def test_words_stay_apart_and_off_the_lines(wiring: Wiring) -> None:
    svg = wiring_svg(wiring)
    found = texts(svg)
    over = [(one.words, other.words) for one, other in combinations(found, 2) if not apart(one, other)]
    assert over == []
    assert min(each.left for each in found) >= 0.0
    assert max(each.right for each in found) <= float(svg.get("width", "0"))
    assert max(each.bottom for each in found) <= float(svg.get("height", "0"))
    struck = [each.words for each in found for line in wires(svg) if each.words != "?" and not apart(each[:4], line)]
    assert struck == []


@settings(max_examples=100, deadline=None)
@given(harnesses())
def test_leads_run_straight_and_never_cross_a_box(wiring: Wiring) -> None:
    layout = laid_out(wiring)
    placed = [*layout.boxes.values()]
    for one, other in combinations(placed, 2):
        assert apart((one.x, one.top, one.right, one.bottom), (other.x, other.top, other.right, other.bottom))
    for run in layout.runs:
        source, target = layout.boxes[run.wire.source], layout.boxes[run.wire.target]
        assert run.row in source.rows_out
        assert run.row in target.rows_in
        lead = (source.right, run.row, target.x, run.row + 48.0)
        assert all(apart(lead, (box.x, box.top, box.right, box.bottom)) for box in placed)
    rows = sorted((run.row, run.wire.key) for run in layout.runs if run.wire.source.startswith("p"))
    assert len({row for row, _ in rows}) == len(rows)


@settings(max_examples=60, deadline=None)
@given(harnesses())
def test_names_stand_whole(wiring: Wiring) -> None:
    svg = wiring_svg(wiring)
    shown = "".join(each.words for each in texts(svg)).replace("\u00a0", "").replace(" ", "")
    for box in wiring.boxes:
        assert box.name.replace(" ", "") in shown
    for wire in wiring.wires:
        for each in wire.plugs:
            assert wire.direct or each is None or each.family.replace(" ", "") in shown


def test_the_picture_is_named_and_needs_no_colour() -> None:
    svg = wiring_svg(Wiring(title="harness", words="a goes to b", boxes=(Box("a", "pack", "a"),)), "one")
    assert svg.get("aria-labelledby") == "one-title one-words"
    assert (svg.findtext("title"), svg.findtext("desc")) == ("harness", "a goes to b")
    colours = {each.get(name) for each in svg.iter() for name in ("fill", "stroke")}
    assert colours <= {None, "none", "#000", "#fff"}


@st.composite
def tangles(draw: st.DrawFn) -> Wiring:
    """Up to four packs, four joiners and two controllers, with leads from anything to anything: rings, leads side by
    side, leads back to where they come from, parts that nothing feeds."""
    packs, joiners, controllers = (
        [f"{kind}{at}" for at in range(draw(st.integers(0, most)))]
        for kind, most in (("pack", 4), ("joiner", 4), ("controller", 2))
    )
    boxes = [Box(key, "pack", key, ("14s NMC",), fuse="blade 30 A 58 V", fitted=True) for key in packs]
    boxes += [Box(key, "joiner", key, path="diode", way="ideal diode, 40 A") for key in joiners]
    boxes += [Box(key, "controller", key, ("set to 25 A",)) for key in controllers]
    ends = (
        st.sampled_from([*packs, *joiners] or ["nowhere"]),
        st.sampled_from([*joiners, *controllers] or ["nowhere"]),
    )
    joined = draw(st.lists(st.tuples(*ends), max_size=12))
    wires = [
        DrawnWire(f"l{at}", source, target, str(at), ("12 AWG", "400 mm"), (XT60, XT60))
        for at, (source, target) in enumerate(joined, 1)
    ]
    return Wiring(title="harness", words="", boxes=tuple(boxes), wires=tuple(wires))


def seen_lead_by_lead(wiring: Wiring) -> None:
    """Every lead arrives where the file says, out of a box of the name that it comes from, and through no other box."""
    layout = laid_out(opened(wiring))
    names = {box.key: box.name for box in wiring.boxes}
    arriving = {run.wire.key: run.wire for run in layout.runs}
    for wire in wiring.wires:
        if wire.source in names and wire.target in names:
            assert arriving[wire.key].target == wire.target
            assert layout.boxes[arriving[wire.key].source].box.name == names[wire.source]
    boxes = [(placed.x, placed.top, placed.right, placed.bottom) for placed in layout.boxes.values()]
    assert all(apart(one, other) for one, other in combinations(boxes, 2))
    for run in layout.runs:
        start, end = layout.boxes[run.wire.source].right, layout.boxes[run.wire.target].x
        assert end - start > 20.0
        assert all(apart((start, run.row, end, run.row + 48.0), box) for box in boxes)


@settings(max_examples=150, deadline=None)
@given(tangles())
def test_whatever_a_file_draws_is_seen_lead_by_lead(wiring: Wiring) -> None:
    seen_lead_by_lead(wiring)


@pytest.mark.parametrize("leads", [36, 40, 120])
def test_a_large_tangle_is_cut_in_a_few_rounds(leads: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Joiners led to each other in every way: the drawing of 200 leads, cut one lead a round, took minutes."""
    rounds: list[Wiring] = []
    monkeypatch.setattr("packyoke.page.opened.laid_out", lambda each: rounds.append(each) or laid_out(each))
    joiners = [f"j{at}" for at in range(20)]
    pairs = [(one, other) for step in range(1, 20) for one, other in zip(joiners, joiners[step:], strict=False)]
    wires = [DrawnWire(f"l{at}", *pair, str(at)) for at, pair in enumerate(pairs[:leads])]
    boxes = tuple(Box(key, "joiner", key) for key in joiners)
    seen_lead_by_lead(Wiring(title="", words="", boxes=boxes, wires=tuple(wires)))
    assert 1 < len(rounds) <= 40


@settings(max_examples=60, deadline=None)
@given(tangles(), st.floats(300.0, 900.0))
def test_a_tangle_in_parts_loses_no_lead_and_no_part(wiring: Wiring, most: float) -> None:
    found = [text for svg in wiring_svgs(wiring, "x", most) for text in texts(svg)]
    shown = [each.words for each in found]
    keys = {box.key for box in wiring.boxes}
    assert keys <= {*shown}
    for wire in wiring.wires:
        assert wire.number in shown or not {wire.source, wire.target} <= keys
    for svg in wiring_svgs(wiring, "x", most):
        assert [1 for one, other in combinations(texts(svg), 2) if not apart(one, other)] == []


def test_a_tree_is_not_cut() -> None:
    boxes = (Box("a", "joiner", "a"), Box("c", "controller", "c"), Box("p", "pack", "p"), Box("q", "pack", "q"))
    tree = Wiring(
        title="",
        words="",
        boxes=boxes,
        wires=(DrawnWire("1", "p", "a"), DrawnWire("2", "q", "a"), DrawnWire("3", "a", "c")),
    )
    assert opened(tree) is tree
    ring = opened(replace(tree, wires=(*tree.wires, DrawnWire("4", "a", "a", "4", ("12 AWG",)))))
    halves = [(wire.source, wire.target, wire.number, wire.about) for wire in ring.wires[3:]]
    assert halves == [("a", "on with 4", "4", ()), ("from before 4", "a", "4", ("12 AWG",))]
    assert [(box.name, box.head) for box in ring.boxes[4:]] == [("a", (ONWARD,)), ("a", (ARRIVING,))]


def test_nothing_is_drawn_as_nothing() -> None:
    assert wiring_svg(Wiring(title="", words="")).tag == "svg"


@given(st.text(st.sampled_from("abc WM荷 "), max_size=60), st.floats(30.0, 200.0))
@example("m" * 40, 30.0)
def test_lines_are_never_wider_than_their_room(text: str, most: float) -> None:
    lines = broken(text, most)
    assert all(wide(line) <= most for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_widths_are_those_of_the_font_metrics() -> None:
    """Adobe Font Metrics of Helvetica and Helvetica-Bold: H 722, i 222 and 278, m 833 and 889, figures 556."""
    assert wide("Him", 1000.0) == 722 + 222 + 833
    assert wide("Him", 1000.0, bold=True) == 722 + 278 + 889
    assert wide("0123456789", 1000.0) == 5560
