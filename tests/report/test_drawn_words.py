"""What a drawing of the harness says at each part: one line of the file changed at a time."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.drawn import drawing, of_report, over_limit
from packyoke.core.findings import Amount, Finding, Severity
from packyoke.page.wiring import Box, DrawnWire, Tap, Wiring
from packyoke.verdict.report import PartLine, Report
from tests.planning.bikes import build_of
from tests.support import edited

NAME = "skerry-long-tail"


def drawn(put: dict[str, Any] | None = None, *drop: str, **more: Any) -> Wiring:
    return drawing(build_of(edited(NAME, put, drop)), **more)


def box(found: Wiring, name: str) -> Box:
    return next(each for each in found.boxes if each.key == name)


def wire(found: Wiring, name: str) -> DrawnWire:
    return next(each for each in found.wires if each.key == name)


def test_a_pack() -> None:
    keel = box(drawn(), "keel")
    assert (keel.kind, keel.head) == ("pack", ("14s NMC", "20 Ah", "58.8 V full"))
    assert (keel.fitted, keel.port, keel.over, keel.about) == (True, "counter", "", ())
    assert "class T" in keel.fuse
    assert "40 A" in keel.fuse
    assert "d.c." not in keel.fuse
    assert box(drawn(None, "packs.keel.capacity"), "keel").head == ("14s NMC", "58.8 V full")
    assert box(drawn(None, "packs.keel.chemistry"), "keel").head[0] == "14s"


@pytest.mark.parametrize(
    ("fuse", "in_lead", "said"),
    [("none", False, "no fuse"), (None, False, "fuse not in the file"), ("none", True, ""), (None, True, "")],
)
def test_a_pack_without_a_fuse(fuse: str | None, in_lead: bool, said: str) -> None:
    """One in its own lead is enough; one in the lead of another pack is none of its own."""
    where = "leads.keel lead.fuse" if in_lead else "leads.pannier lead.fuse"
    put = {where: "{family: class T, rating: 30 A, voltage: 160 V}", "packs.pannier.fuse": "none"}
    found = drawn(put | ({"packs.keel.fuse": fuse} if fuse else {}), *(() if fuse else ("packs.keel.fuse",)))
    keel = box(found, "keel")
    assert (keel.fuse, keel.fitted) == (said, False)
    assert (wire(found, "keel lead").fuse != "") is in_lead


@pytest.mark.parametrize(
    ("put", "drop", "port"),
    [
        ({}, (), "counter"),
        ({"chargers.counter.fits": "[pannier]"}, (), ""),
        ({}, ("chargers.counter.fits",), ""),
        ({"packs.keel.charge_inlet": "XLR 3 pin"}, (), "XLR 3: counter"),
        ({"packs.keel.charge_inlet": "XLR 3 pin"}, ("chargers.counter.fits",), "XLR 3"),
    ],
)
def test_where_a_pack_is_charged(put: dict[str, Any], drop: tuple[str, ...], port: str) -> None:
    assert box(drawn(put, *drop), "keel").port == port


@pytest.mark.parametrize(
    ("put", "drop", "path", "way"),
    [
        ({}, (), "diode", "ideal diode, 40 A"),
        ({}, ("joiners.yoke.current",), "diode", "ideal diode"),
        ({"joiners.yoke.type": "plain"}, ("joiners.yoke.blocks_in",), "plain", "plain: joined straight, 40 A"),
        ({"joiners.yoke.type": "selector"}, ("joiners.yoke.blocks_in",), "switch", "one at a time, 40 A"),
        ({}, ("joiners.yoke.type",), "unknown", "type not in the file, 40 A"),
    ],
)
def test_a_joiner(put: dict[str, Any], drop: tuple[str, ...], path: str, way: str) -> None:
    yoke = box(drawn(put, *drop), "yoke")
    assert (yoke.path, yoke.way) == (path, way)


@pytest.mark.parametrize(
    ("put", "drop", "head", "about"),
    [
        ({}, (), ("at most 75 V",), ("frame metal",)),
        ({}, ("joiners.yoke.ceiling",), (), ("frame metal",)),
        ({}, ("joiners.yoke.mount",), ("at most 75 V",), ()),
        ({"joiners.yoke.inputs": "3"}, (), ("at most 75 V",), ("frame metal", "1 inlet left empty: capped")),
        ({"joiners.yoke.inputs": "4"}, (), ("at most 75 V",), ("frame metal", "2 inlets left empty: capped")),
    ],
)
def test_what_is_written_at_a_joiner(
    put: dict[str, Any], drop: tuple[str, ...], head: tuple[str, ...], about: tuple[str, ...]
) -> None:
    yoke = box(drawn(put, *drop), "yoke")
    assert (yoke.head, yoke.about) == (head, about)
    assert not yoke.in_minus
    assert box(drawn({"joiners.yoke.blocks_in": "negative"}), "yoke").in_minus


def test_a_charging_port() -> None:
    assert box(drawn(), "yoke").port == ""
    port = {"joiners.yoke.charge_port": "{current: 5 A, blocks: each pack, reaches: [keel]}"}
    assert box(drawn(port), "yoke").port == "charging port"
    port = {"joiners.yoke.charge_port": "{current: 5 A, blocks: each pack, reaches: [keel], inlet: XLR 3 pin}"}
    assert box(drawn(port), "yoke").port == "charging port XLR 3"


def test_a_controller() -> None:
    assert box(drawn(), "controller").head == ("set to 25 A", "cuts at 43 V", "at most 63 V")
    bare = drawn(None, "controller.battery_current", "controller.low_voltage_cut", "controller.voltage")
    assert box(bare, "controller").head == ()


def test_a_lead() -> None:
    lead = wire(drawn(), "keel lead")
    assert (lead.source, lead.target, lead.number, lead.about) == ("keel", "yoke", "1", ("12 AWG", "400 mm"))
    assert (lead.fuse, lead.switch, lead.direct) == ("", "", False)
    assert wire(drawn(), "main lead").number == "3"
    bare = wire(drawn(None, "leads.keel lead.gauge", "leads.keel lead.length"), "keel lead")
    assert bare.about == ("wire not in the file", "length not in the file")
    assert wire(drawn({"leads.keel lead.inlet": "2"}), "keel lead").about[-1] == "inlet 2"
    switched = {"leads.main lead.switch": "{rating: 40 A, breaks: 60 V}"}
    assert wire(drawn(switched), "main lead").switch == "switch 40 A"
    assert wire(drawn({"leads.main lead.switch": "{breaks: 60 V}"}), "main lead").switch == "switch"
    straight = drawn({"leads.keel lead": "{from: keel, to: yoke, direct: yes}"})
    assert (wire(straight, "keel lead").about, wire(straight, "keel lead").direct) == (("direct",), True)
    assert drawn().words.startswith("1 keel lead from keel to yoke: 12 AWG, 400 mm; 2 pannier lead")
    fused = drawn({"leads.keel lead.fuse": "{family: class T, rating: 30 A, voltage: 160 V}"})
    assert "keel to yoke: 12 AWG, 400 mm, fuse class T 30 A" in fused.words
    assert "lamp fed from yoke." in drawn().words
    assert wire(drawn(system="us"), "keel lead").about[1] == "1 ft 3 3/4 in"


def plugs(found: Wiring, name: str) -> list[tuple[Any, ...] | None]:
    return [each and (each.family, each.plus, each.minus) for each in wire(found, name).plugs]


SOCKET, PIN = ("socket", "pin"), ("pin", "socket")


@pytest.mark.parametrize(
    ("put", "drop", "first", "second"),
    [
        ({}, (), ("XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        ({}, ("packs.keel.outlet",), ("XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        ({}, ("leads.keel lead.ends",), ("XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        ({"packs.keel.outlet": "XT90 socket"}, (), ("XT90 / XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        ({}, ("joiners.yoke.inlets",), ("XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        ({"joiners.yoke.inlets": "[XT60 pin, XT90 pin]"}, (), ("XT60", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)),
        (
            {"joiners.yoke.inlets": "[XT60 pin, XT90 pin]", "leads.keel lead.inlet": "1"},
            (),
            ("XT60", SOCKET, SOCKET),
            ("XT90 / XT60", SOCKET, SOCKET),
        ),
        (
            {"joiners.yoke.inlets": "[XT60 pin, XT90 pin]", "leads.keel lead.inlet": "2"},
            (),
            ("XT60", SOCKET, SOCKET),
            ("XT90", SOCKET, SOCKET),
        ),
    ],
)
def test_where_two_halves_meet(put: dict[str, Any], drop: tuple[str, ...], first: Any, second: Any) -> None:
    assert plugs(drawn(put, *drop), "keel lead") == [first, second]


def test_halves_of_the_motor_lead_and_of_nobody() -> None:
    assert plugs(drawn(), "main lead") == [("XT90", SOCKET, SOCKET), ("XT90", SOCKET, SOCKET)]
    other = drawn({"controller.inlet": "XT60 pin"})
    assert plugs(other, "main lead")[1] == ("XT90 / XT60", SOCKET, SOCKET)
    bare = drawn(None, "leads.keel lead.ends", "packs.keel.outlet", "joiners.yoke.inlets")
    assert plugs(bare, "keel lead") == [None, None]
    only = drawn(None, "leads.main lead.ends", "controller.inlet")
    assert plugs(only, "main lead") == [("XT90", SOCKET, SOCKET), None]
    crossed = drawn({"packs.keel.outlet": "{family: 4 mm bullet, plus: socket, minus: pin}"}, "leads.keel lead.ends")
    assert plugs(crossed, "keel lead")[0] == ("4 mm bullet", SOCKET, PIN)


def tap(put: dict[str, Any] | None = None, *drop: str, **more: Any) -> Tap:
    (found,) = drawn(put, *drop, **more).taps
    return found


@pytest.mark.parametrize(
    ("source", "at"),
    [("yoke", "main lead"), ("keel lead", "keel lead"), ("keel", "keel lead")],
)
def test_an_accessory_hangs_at_the_lead_that_feeds_it(source: str, at: str) -> None:
    assert tap({"accessories.lamp.from": source}).wire == at


def test_what_is_written_at_an_accessory() -> None:
    found = tap()
    assert (found.name, found.about, found.fitted) == ("lamp", "0.5 A, at most 60 V", True)
    assert "2 A" in found.fuse
    assert tap(None, "accessories.lamp.current", "accessories.lamp.max").about == ""
    none = tap({"accessories.lamp.fuse": "none"})
    assert (none.fuse, none.fitted) == ("no fuse", False)
    assert tap(None, "accessories.lamp.fuse").fuse == "fuse not in the file"
    assert tap(over={"accessories.lamp": "3 A, limit 2 A"}).about.endswith("! 3 A, limit 2 A")
    two = tap({"accessories.lamp.from": "[keel, pannier]"})
    assert (two.wire, two.about) == ("keel lead", "0.5 A, at most 60 V, also at pannier")


@pytest.mark.parametrize(
    ("put", "drop", "about"),
    [
        ({}, (), "58.8 V d.c., 4 A, plug 5.5 mm barrel, for keel and pannier"),
        ({}, ("chargers.counter.output",), "voltage not in the file, 4 A, plug 5.5 mm barrel, for keel and pannier"),
        ({}, ("chargers.counter.current", "chargers.counter.plug", "chargers.counter.fits"), "58.8 V d.c."),
        (
            {"chargers.counter.through": "yoke"},
            ("chargers.counter.fits",),
            "58.8 V d.c., 4 A, plug 5.5 mm barrel, at yoke",
        ),
    ],
)
def test_a_charger(put: dict[str, Any], drop: tuple[str, ...], about: str) -> None:
    (charger,) = drawn(put, *drop).chargers
    assert (charger.name, charger.about) == ("counter", about)


def test_what_is_over_a_limit_is_marked() -> None:
    """By its current, else by a stop that nobody accepted; what is just at its limit is not."""
    amps, limit = Amount(50.0, "A"), Amount(40.0, "A", "for 10 s")
    lines = [
        PartLine(f"leads.{name}", amps, amps, limit, margin, "wire", (), ())
        for name, margin in (("a", -0.25), ("b", 0.0))
    ]
    stop = Finding(rule="r", severity=Severity.STOP, part="packs.keel.fuse", message="", found=amps, limit=limit)
    others = [
        stop.but(part="packs.b", severity=Severity.CAUTION),
        stop.but(part="packs.c", accepted="as told"),
        stop.but(part="packs.d", found=None),
        stop.but(part="packs.e", limit=None),
        stop.but(part="leads.a", found=limit),
    ]
    report = Report(file="f", verdict="stop", findings=(stop, *others), parts=tuple(lines), labels={})
    assert over_limit(report) == {"leads.a": "50 A, limit 40 A", "packs.keel": "50 A, limit 40 A"}
    marked = drawn(
        over={"packs.keel": "50 A, limit 40 A", "leads.main lead": "x", "joiners.yoke": "y", "controller": "z"}
    )
    assert [each.over for each in marked.boxes] == ["50 A, limit 40 A", "", "y", "z"]
    assert [each.over for each in marked.wires] == ["", "", "x"]


def test_nothing_is_drawn_of_what_could_not_be_read_or_has_no_leads() -> None:
    report = Report(file="f", verdict="unreadable", labels={})
    assert of_report(report) == ()
    build = build_of(edited(NAME))
    assert of_report(report.but(build=build)) != ()
    assert of_report(report.but(build=build.but(leads={}))) == ()


def test_a_bike_maker_s_joiner_has_its_own_wire() -> None:
    own = build_of(edited(NAME, {"joiners.yoke": "{built_in: yes, inlets: XT90 pin, inputs: 3}"}, ["leads.main lead"]))
    found = drawing(own)
    assert (wire(found, "own yoke").target, wire(found, "own yoke").number) == ("controller", "")
    assert "built in" in box(found, "yoke").about
    assert "left empty" not in " ".join(box(found, "yoke").about)
    assert "own yoke" not in {each.key for each in drawn().wires}
