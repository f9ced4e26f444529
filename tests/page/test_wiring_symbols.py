"""Which symbols a wiring diagram and a chart have, counted: one thing of the harness changed at a time."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from packyoke.page import symbols
from packyoke.page.chart import Axis, Line, line_chart
from packyoke.page.drawing import Drawing, DrawnNode, Edge, natural_size
from packyoke.page.laying import laid_out
from packyoke.page.opened import opened
from packyoke.page.parted import parts
from packyoke.page.wired import wiring_svg
from packyoke.page.wiring import Box, ChargerBox, DrawnWire, Plug, Tap, Wiring

PLUG = Plug("XT60", ("socket", "pin"), ("socket", "pin"))
KEEL, BOX = Box("keel", "pack", "keel", ("14s NMC",)), Box("box", "pack", "box", ("14s NMC",))
YOKE, MOTOR = Box("yoke", "joiner", "yoke", way="ideal diode", path="diode"), Box("motor", "controller", "motor")
WIRES = (
    DrawnWire("k", "keel", "yoke", "1", ("12 AWG",)),
    DrawnWire("b", "box", "yoke", "2"),
    DrawnWire("m", "yoke", "motor", "3"),
)
NAMES = ("diode", "switch", "unknown", "fuse", "plug", "dot", "lamp", "motor", "battery", "port", "converter", "circle")


def harness(*boxes: Box, wires: tuple[DrawnWire, ...] = WIRES, **more: Any) -> Wiring:
    return Wiring(title="t", words="w", boxes=boxes or (KEEL, BOX, YOKE, MOTOR), wires=wires, **more)


def counted(name: str, found: Counter[str]) -> Any:
    was = getattr(symbols, name)

    def call(*args: Any, **more: Any) -> Any:
        found[name] += 1
        return was(*args, **more)

    return call


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Any:
    """How often each symbol is drawn in a diagram."""

    def count(wiring: Wiring) -> Counter[str]:
        found: Counter[str] = Counter()
        with monkeypatch.context() as patch:
            for name in NAMES:
                patch.setattr(symbols, name, counted(name, found))
            wiring_svg(wiring, explains=())
        return found

    return count


def test_what_lies_in_each_way_of_a_joiner(drawn: Any) -> None:
    for path, symbol in (("diode", "diode"), ("switch", "switch"), ("unknown", "unknown"), ("plain", "")):
        found = drawn(harness(KEEL, BOX, YOKE._replace(path=path), MOTOR))
        assert {each: found[each] for each in ("diode", "switch", "unknown")} == {
            each: 2 if each == symbol else 0 for each in ("diode", "switch", "unknown")
        }


def test_packs_and_controllers(drawn: Any) -> None:
    found = drawn(harness())
    assert (found["battery"], found["motor"], found["fuse"], found["port"], found["lamp"], found["converter"]) == (
        2,
        1,
        0,
        0,
        0,
        0,
    )
    fused = drawn(harness(KEEL._replace(fuse="class T", fitted=True), BOX._replace(fuse="no fuse"), YOKE, MOTOR))
    assert fused["fuse"] == 1
    assert drawn(harness(KEEL._replace(port="XLR 3: counter"), BOX, YOKE, MOTOR))["port"] == 1
    assert drawn(harness(chargers=(ChargerBox("counter", "58.8 V"),)))["converter"] == 1
    # Where the ways of two packs meet there is a dot on either conductor; where one goes straight on there is none.
    assert found["dot"] == 2
    straight = harness(KEEL, YOKE, MOTOR, wires=(WIRES[0], WIRES[2]))
    assert drawn(straight)["dot"] == 0


def test_what_stands_on_a_lead(drawn: Any) -> None:
    def lead(**more: Any) -> Counter[str]:
        found: Counter[str] = drawn(harness(wires=(WIRES[0]._replace(**more), *WIRES[1:])))
        return found

    assert lead()["plug"] == 0
    assert lead(plugs=(PLUG, None))["plug"] == 1
    assert lead(plugs=(PLUG, PLUG))["plug"] == 2
    assert lead(plugs=(None, PLUG))["plug"] == 1
    assert lead(plugs=(None, PLUG), direct=True)["plug"] == 1
    assert lead(plugs=(PLUG, PLUG), direct=True)["plug"] == 1
    assert (lead(fuse="class T")["fuse"], lead(switch="switch")["switch"]) == (1, 1)
    assert lead()["switch"] == 0
    assert lead(number="")["circle"] == lead()["circle"] - 1
    tap = drawn(harness(taps=(Tap("m", "lamp", "0.5 A", "10x38 2 A", True), Tap("m", "horn", "1 A", "no fuse"))))
    assert (tap["lamp"], tap["fuse"]) == (2, 1)


def halves(plug: Plug, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, float]]:
    import xml.etree.ElementTree as ET

    found: list[tuple[str, float]] = []
    with monkeypatch.context() as patch:
        patch.setattr(symbols, "half", lambda svg, x, y, kind, side: found.append((kind, side)))
        symbols.plug(ET.Element("svg"), 0.0, 0.0, 20.0, (plug.plus, plug.minus))
    return found


def test_the_halves_of_a_plug(monkeypatch: pytest.MonkeyPatch) -> None:
    """The live half on the left; the pin is drawn last, for it stands in the arc of the socket."""
    assert halves(PLUG, monkeypatch) == [("socket", -1.0), ("pin", 1.0)] * 2
    turned = Plug("x", ("pin", "socket"), ("socket", "pin"))
    assert halves(turned, monkeypatch) == [("socket", 1.0), ("pin", -1.0), ("socket", -1.0), ("pin", 1.0)]
    joint = Plug("x", ("joint", "joint"), ("socket", "pin"))
    assert halves(joint, monkeypatch) == [("socket", -1.0), ("pin", 1.0)]


def long_chain() -> Wiring:
    """Four joiners one behind the other, each with a pack of its own."""
    boxes, wires = [MOTOR], []
    for at in range(4):
        boxes += [Box(f"p{at}", "pack", f"pack {at}"), Box(f"j{at}", "joiner", f"joiner {at}", way="ideal diode")]
        wires.append(DrawnWire(f"w{at}", f"p{at}", f"j{at}", str(2 * at + 1), ("12 AWG",)))
        wires.append(DrawnWire(f"l{at}", f"j{at}", "motor" if at == 0 else f"j{at - 1}", str(2 * at + 2), ("12 AWG",)))
    boxes.append(Box("p9", "pack", "pack 9"))
    wires.append(DrawnWire("w9", "p9", "j3", "9", ("12 AWG",)))
    return harness(*boxes, wires=tuple(wires), chargers=(ChargerBox("counter", "58.8 V"),), taps=(Tap("l0", "lamp"),))


def test_a_wide_diagram_is_cut_and_nothing_is_lost() -> None:
    whole = long_chain()
    width = laid_out(whole).width
    assert parts(whole, width) == (whole,)
    cut = parts(whole, width / 2)
    assert len(cut) >= 2
    assert [each.title for each in cut] == [f"t, part {at} of {len(cut)}" for at in range(1, len(cut) + 1)]
    assert cut[0].words == "w"
    assert all(each.words.startswith("Goes on from part") for each in cut[1:])
    own = [box.key for part in cut for box in part.boxes if box.kind != "elsewhere"]
    assert sorted(own) == sorted(box.key for box in whole.boxes)
    lead_in = [wire.key for part in cut for wire in part.wires if not wire.key.startswith("on to")]
    assert sorted(lead_in) == sorted(wire.key for wire in whole.wires)
    assert sum(len(part.chargers) for part in cut) == 1
    assert sum(len(part.taps) for part in cut) == 1
    named = {line for part in cut for box in part.boxes if box.kind == "elsewhere" for line in box.head}
    assert named <= {f"in part {at}" for at in range(1, len(cut) + 1)}
    stray = replace(whole, wires=(*whole.wires, DrawnWire("x", "nobody", "motor"), DrawnWire("y", "p0", "nobody")))
    assert [len(each.boxes) for each in parts(stray, width / 2)] == [len(each.boxes) for each in cut]
    assert len(parts(whole, 1.0)) == 5  # the motor, and each joiner with its packs


def test_a_lead_that_leads_back_is_cut_and_stands_beside_what_it_comes_from() -> None:
    whole = long_chain()
    ring = replace(whole, wires=(*whole.wires, DrawnWire("back", "j0", "j3", "10")))
    open_ = opened(ring)
    ends = [box.key for box in open_.boxes if box.kind == "elsewhere"]
    assert len(ends) >= 2
    assert len(ends) % 2 == 0  # where it goes on, and where it comes from
    for part in parts(open_, laid_out(open_).width / 2):
        keys = {box.key for box in part.boxes}
        for wire in part.wires:
            assert {wire.source, wire.target} <= keys
        if "on with" in " ".join(keys):
            assert any(wire.target in ends for wire in part.wires)


def polylines(*lines: Line) -> tuple[int, set[str]]:
    svg = line_chart("t", "w", Axis("h"), Axis("V"), lines)
    thick = [each for each in svg.iter("polyline") if each.get("stroke-width") == "2"]
    return len(thick) - len([*{line.name for line in lines}]), {each.text or "" for each in svg.iter("text")}


def test_a_line_that_breaks_is_drawn_in_pieces() -> None:
    whole = Line("a", [(0.0, 1.0), (1.0, 2.0), (2.0, 1.0), (3.0, 3.0)])
    broken = Line("a", [(0.0, 1.0), (1.0, 2.0), (2.0, None), (3.0, 3.0)])
    assert polylines(whole)[0] == 1
    assert polylines(broken)[0] == 2
    assert polylines(Line("a", [(0.0, None), (1.0, 2.0), (2.0, 3.0)]))[0] == 1
    same = polylines(broken, broken._replace(name="b"))[1]
    assert "a, b" in same
    apart = polylines(broken, whole._replace(name="b"))[1]
    assert {"a", "b"} <= apart
    assert "a, b" not in apart


def test_labels_make_room_behind_their_own_column() -> None:
    nodes = (DrawnNode("a", "pack", "keel"), DrawnNode("y", "joiner", "yoke"), DrawnNode("c", "controller", "motor"))

    def size(first: tuple[str, ...], second: tuple[str, ...]) -> float:
        edges = (Edge("a", "y", first), Edge("y", "c", second))
        return natural_size(Drawing(title="t", words="w", nodes=nodes, edges=edges))[0]

    long = ("a label of thirty letters here",)
    bare, one, other, both = size((), ()), size(long, ()), size((), long), size(long, long)
    assert one > bare
    assert one == pytest.approx(other)
    assert both - bare == pytest.approx(2 * (one - bare))


EVERY = ("plus", "minus", "lead, as in all lists")


def explained(wiring: Wiring) -> set[str]:
    """What the key below a diagram says, without what stands in every one."""
    svg = wiring_svg(wiring)
    told = {each.text or "" for each in svg.iter("text")} - {
        each.text or "" for each in wiring_svg(wiring, explains=()).iter("text")
    }
    return told - {*EVERY, "Key", "1"}


def on_lead(**more: Any) -> Wiring:
    return harness(wires=(WIRES[0]._replace(**more), *WIRES[1:]))


def of_kind(*halves: Any) -> Plug:
    return Plug("x", (halves[0], halves[1]), (halves[0], halves[1]))


@pytest.mark.parametrize(
    ("wiring", "words"),
    [
        (harness(KEEL, BOX, YOKE._replace(path="plain"), MOTOR), set()),
        (harness(), {"lets current out only"}),
        (harness(KEEL, BOX, YOKE._replace(path="switch"), MOTOR), {"switch"}),
        (harness(KEEL, BOX, YOKE._replace(path="unknown"), MOTOR), {"not in the file"}),
        (on_lead(switch="switch 40 A"), {"lets current out only", "switch"}),
        (on_lead(fuse="class T"), {"lets current out only", "fuse, where the current comes from"}),
        (
            harness(KEEL._replace(fitted=True, fuse="x"), BOX, YOKE, MOTOR),
            {"lets current out only", "fuse, where the current comes from"},
        ),
        (on_lead(plugs=(PLUG, None)), {"lets current out only", "plug: arc = socket, bar = pin"}),
        (
            on_lead(plugs=(of_kind("genderless", "genderless"), None)),
            {"lets current out only", "plug of two halves alike"},
        ),
        (on_lead(plugs=(of_kind("joint", "joint"), None)), {"lets current out only", "joined, no plug"}),
        (harness(taps=(Tap("m", "lamp"),)), {"lets current out only", "accessory"}),
        (harness(KEEL._replace(port="XLR"), BOX, YOKE, MOTOR), {"lets current out only", "where it is charged"}),
        (on_lead(over="50 A, limit 40 A"), {"lets current out only", "over its limit"}),
        (harness(KEEL._replace(over="50 A"), BOX, YOKE, MOTOR), {"lets current out only", "over its limit"}),
    ],
)
def test_the_key_explains_what_is_drawn_and_nothing_else(wiring: Wiring, words: set[str]) -> None:
    assert explained(wiring) == words


@pytest.mark.parametrize(
    ("kind", "shape"), [("socket", "path"), ("pin", "rect"), ("genderless", "rect"), ("", "circle")]
)
def test_each_half_has_its_own_shape(kind: str, shape: str) -> None:
    import xml.etree.ElementTree as ET

    for side in (-1.0, 1.0):
        svg = ET.Element("svg")
        symbols.half(svg, 0.0, 0.0, kind, side)
        assert [each.tag for each in svg] == [shape]
        if kind == "pin":  # a filled bar on its own side
            assert svg[0].get("fill") == symbols.INK
            assert float(svg[0].get("x", "")) == (-8.0 if side < 0 else -2.0)
        if kind == "genderless":
            assert float(svg[0].get("x", "")) == (-8.0 if side < 0 else 0.5)


def test_packs_end_on_one_line_from_which_their_leads_start() -> None:
    from packyoke.page.drawing import harness_svg

    nodes = (DrawnNode("a", "pack", "keel"), DrawnNode("b", "pack", "a longer name"), DrawnNode("y", "joiner", "yoke"))
    svg = harness_svg(Drawing(title="t", words="w", nodes=nodes, edges=(Edge("a", "y"), Edge("b", "y"))))
    begins = {each.get("points", "").split()[0].split(",")[0] for each in svg.findall("polyline")}
    assert len(begins) == 1


def test_where_the_words_of_a_lead_stand() -> None:
    """At its near end they begin, at its far end they end; a fuse has them over its middle."""
    svg = wiring_svg(on_lead(plugs=(PLUG, Plug("XT90", PLUG.plus, PLUG.minus)), fuse="class T 30 A"), explains=())
    anchors = {each.text: each.get("text-anchor", "start") for each in svg.iter("text")}
    assert (anchors["XT60"], anchors["XT90"]) == ("start", "end")
    assert anchors[next(text for text in anchors if text and text.startswith("class T"))] == "middle"
    places = {each.text: float(each.get("x", "0")) for each in svg.iter("text")}
    assert places["XT60"] < places["XT90"]
