"""Lines of a build file that are more than one number or one word: each form that the format allows."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile import reading
from packyoke.model import Build, BuiltIn, End, Gauge, Run

HEAD = "packyoke: 1\nname: x\n"


def build(text: str) -> Build:
    found = reading.load(HEAD + text, "bike.yaml")
    assert isinstance(found, Build), [(each.field, each.message) for each in found]
    return found


def joiner(lines: str) -> Any:
    return build(f"packs: {{keel: {{}}}}\njoiners: {{j: {{{lines}}}}}").joiners["j"]


def pack(lines: str) -> Any:
    return build(f"packs: {{a: {{{lines}}}}}").packs["a"]


def lead(lines: str) -> Any:
    return build(f"packs: {{a: {{}}}}\njoiners: {{j: {{}}}}\nleads: {{l: {{from: A, to: j, {lines}}}, m: {{from: a, to: j}}}}").leads["l"]  # fmt: skip  # noqa: E501


def test_discharge_shorthand() -> None:
    assert pack("discharge: 30 A").discharge_continuous_a == 30.0


def test_charge_none_means_not_through_the_outlet() -> None:
    found = pack("charge: none")
    assert (found.charge_a, found.charges_at_outlet) == (None, False)


@pytest.mark.parametrize(
    ("text", "presence"),
    [("none", "none"), ("inside", "inside, not confirmed"), ("{rating: 40 A}", "fitted"), ("{}", "fitted")],
)
def test_fuse_words(text: str, presence: str) -> None:
    assert pack(f"fuse: {text}").fuse.presence == presence


def test_fuse_inside_not_confirmed_as_the_format_writes_it() -> None:
    found = build("packs:\n  a:\n    fuse: inside, not confirmed\n").packs["a"]
    assert found.fuse.presence == "inside, not confirmed"


@pytest.mark.parametrize(
    ("text", "label", "volts"),
    [("52 V", "52 V", 52.0), ("48V", "48V", 48.0), ("trail 48 V pack", "trail 48 V pack", 48.0), ("old", "old", None)],
)
def test_label(text: str, label: str, volts: float | None) -> None:
    found = pack(f"label: {text}")
    assert (found.label, found.label_v) == (label, volts)


def test_drop_is_a_resistance() -> None:
    assert joiner("type: ideal-diode, drop: 45 mV at 20 A").resistance_ohm == pytest.approx(0.00225)


@pytest.mark.parametrize("text", ["0.45 V", "450 mV at 20 A"])
def test_forward_voltage(text: str) -> None:
    assert joiner(f"type: diode, forward_voltage: {text}").forward_v == pytest.approx(0.45)


def test_unknown_type_is_the_same_as_none_written() -> None:
    found = joiner("type: unknown")
    assert (found.type, found.blocking, found.place("type").line) == (None, None, 4)


def test_ideal_diode_with_a_space() -> None:
    assert joiner("type: Ideal diode").type == "ideal-diode"


def test_lists_of_inlets_and_outlets() -> None:
    found = joiner("inputs: 3, inlets: [XT60 pin, XT90 pin, XT60 pin], outlet: [XT90 socket, XT60 socket]")
    assert [end.family for end in found.inlets] == ["XT60", "XT90", "XT60"]
    assert [end.family for end in found.outlets] == ["XT90", "XT60"]


def test_charge_port() -> None:
    port = joiner("charge_port: {current: 5 A, blocks: each pack, reaches: [Keel]}").charge_port
    assert (port.path, port.current_a, port.blocks, port.reaches) == (
        "joiners.j.charge_port",
        5.0,
        "each pack",
        ("keel",),
    )
    assert joiner("charge_port: none").charge_port is None


def test_built_in() -> None:
    assert isinstance(joiner("built_in: true").built_in, BuiltIn)
    assert joiner("built_in: yes").built_in.packs_count is None
    assert joiner("built_in: no").built_in is None
    stated = joiner("built_in: {packs: 2, full_charge: 54.6 V, current: 20 A}").built_in
    assert (stated.packs_count, stated.full_charge_v, stated.current_a) == (2, 54.6, 20.0)


def test_bonded() -> None:
    assert joiner("type: plain, bonded: {by: 0.1 V, charged: together}").bonded == (0.1, "together")


@pytest.mark.parametrize(
    ("text", "run"),
    [
        ("open", Run()),
        ("in frame", Run(in_frame=True)),
        ("[in frame, beside 2 others, moving]", Run(in_frame=True, moving=True, beside=2)),
        ("beside M", Run(beside_leads=("m",))),
        ("[beside 1 other, beside m]", Run(beside=1, beside_leads=("m",))),
    ],
)
def test_run(text: str, run: Run) -> None:
    assert lead(f"run: {text}").run == run


@pytest.mark.parametrize(
    ("text", "end"),
    [
        ("XT60 pin", End("XT60", "pin", "pin")),
        ("xt60 Socket", End("XT60", "socket", "socket")),
        ("XT-60 pin", End("XT60", "pin", "pin")),
        ("genderless 45 A", End("genderless 45 A", "genderless", "genderless")),
        ("M5 ring", End("M5 ring", "genderless", "genderless")),
        ("joint crimp", End("joint crimp", "joint", "joint")),
        ("{family: 4 mm bullet, plus: socket, minus: pin}", End("4 mm bullet", "socket", "pin")),
        ("8 mm lugged stud pin", End("8 mm lugged stud", "pin", "pin")),
    ],
)
def test_end(text: str, end: End) -> None:
    assert pack(f"outlet: {text}").outlet == end


def test_an_end_may_name_a_connector_of_the_file() -> None:
    found = build(
        "parts: {connectors: {dock blade: {per_contact: 15 A, contacts: genderless, wire: 14 to 12 AWG}}}\n"
        "packs: {a: {outlet: Dock Blade}}\n"
    )
    assert found.packs["a"].outlet == End("dock blade", "genderless", "genderless")
    assert found.connectors["dock blade"].wire == (Gauge("AWG", 14), Gauge("AWG", 12))


@pytest.mark.parametrize(
    ("text", "insulation"),
    [
        ("PVC", "PVC"),
        ("pvc 60", "PVC"),
        ("XLPE 90", "XLPE"),
        ("Silicone", "silicone"),
        ("105 degC", "105 degC"),
        ("105 °C", "105 degC"),
    ],
)
def test_insulation(text: str, insulation: str) -> None:
    assert lead(f"insulation: {text}").insulation == insulation


@pytest.mark.parametrize(
    ("text", "gauge"),
    [
        ("12 AWG", ("AWG", 12)),
        ("12awg", ("AWG", 12)),
        ("2/0 AWG", ("AWG", -1)),
        ("12 SAE", ("SAE", 12)),
        ("4 mm²", ("mm2", 4.0)),
    ],
)
def test_gauge(text: str, gauge: tuple[str, float]) -> None:
    assert lead(f"gauge: {text}").gauge == gauge


def test_switch() -> None:
    found = lead("switch: {rating: 40 A, breaks: isolates only}").switch
    assert (found.path, found.rating_a, found.breaks_v, found.isolates_only) == ("leads.l.switch", 40.0, None, True)
    assert lead("switch: {breaks: 60 V}").switch.breaks_v == 60.0


def test_direct_takes_no_default_for_all_leads() -> None:
    found = build(
        "packs: {a: {}}\njoiners: {j: {}}\nall_leads: {insulation: PVC}\nleads: {l: {from: a, to: j, direct: yes}}"
    )
    assert (found.leads["l"].direct, found.leads["l"].insulation) == (True, None)


def test_battery_current_that_falls() -> None:
    found = build("controller: {battery_current: {limit: 25 A, falls_to: 18 A after 60 s, adjustable_to: 30 A}}")
    drive = found.controllers["controller"]
    assert (drive.limit_a, drive.falls_to_a, drive.falls_after_s, drive.adjustable_a) == (25.0, 18.0, 60.0, 30.0)


def test_regen() -> None:
    drive = build("controller: {regen: {current: 8 A}}").controllers["controller"]
    assert drive.regen_a == 8.0


def test_two_controllers() -> None:
    found = build("controllers: {left: {battery_current: 20 A}, right: {}}")
    assert found.controllers["left"].path == "controllers.left"
    assert found.part("controllers.left").name == "left"


def test_assist_limit_none_is_no_limit() -> None:
    assert build("bike: {drive: {assist_limit: none}}").bike.assist_limit_m_s == float("inf")


def test_locked_geared_hub_counts_as_direct_drive() -> None:
    assert build('bike: {drive: {type: "geared hub, locked"}}').bike.drive_type == "direct-drive hub"


@pytest.mark.parametrize(
    ("text", "assist", "rider_w", "ratio"),
    [("rider 80 W", "rider", 80.0, None), ("ratio 2", "ratio", None, 2.0), ("throttle", "throttle", None, None)],
)
def test_ride(text: str, assist: str, rider_w: float | None, ratio: float | None) -> None:
    ride = build(f"ride: {{everyday: {{assist: {text}, hills: 8 m per km, stops: 2 per km, measured: 9 Wh/km}}}}").rides["everyday"]  # fmt: skip  # noqa: E501
    assert (ride.assist, ride.rider_w, ride.assist_ratio) == (assist, rider_w, ratio)
    assert (ride.hills_fraction, ride.stops_per_m, ride.measured_j_per_m) == (0.008, 0.002, pytest.approx(32.4))
    assert ride.air_k == 288.15


def test_sets_places_runs() -> None:
    found = build(
        "packs: {a: {place: front}, b: {}}\nplaces: {front: {holds: 0}, back: {mount: open air}}\nsets: [[A], [a, b]]\n"
        "runs: [{between: [front, back], length: 700 mm, run: in frame}]\n"
    )
    assert found.sets == (("a",), ("a", "b"))
    assert found.packs["a"].place_name == "front"
    assert (found.places["front"].holds, found.places["back"].mount) == (0, "open air")
    assert (found.runs[0].between, found.runs[0].length_m, found.runs[0].run) == (
        ("front", "back"),
        0.7,
        Run(in_frame=True),
    )


@pytest.mark.parametrize(
    ("what", "value", "si"),
    [
        ("voltage", "57.9 V", 57.9),
        ("drop", "48 mV", 0.048),
        ("blocks", "yes", 1.0),
        ("polarity", "no", 0.0),
        ("capacity", "18 Ah", 64800.0),
        ("fuse", "40 A", 40.0),
        ("fuse", "yes", 1.0),
        ("temperature", "40 degC", 313.15),
    ],
)
def test_readings(what: str, value: str, si: float) -> None:
    found = build(
        f"packs: {{a: {{}}}}\nmeasured: [{{date: 2027-05-14, part: packs.A, what: {what}, value: {value}, at: 20 A}}]"
    )
    reading_ = found.measured[0]
    assert (reading_.part, reading_.what, reading_.value, reading_.at_a) == ("packs.a", what, pytest.approx(si), 20.0)


@pytest.mark.parametrize(("text", "found", "unit"), [("3.4 %", 3.4, "%"), ("25 A", 25.0, "A"), ("2", 2.0, "")])
def test_acceptances(text: str, found: float, unit: str) -> None:
    accepted = build(
        f"accept: [{{rule: voltage-drop, part: build, found: {text}, because: short, by: lead, until: 2027-12-31}}]"
    ).accept[0]
    assert (accepted.rule, accepted.found, accepted.found_unit, accepted.until) == (
        "voltage-drop",
        found,
        unit,
        "2027-12-31",
    )
