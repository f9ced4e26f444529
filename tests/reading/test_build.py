"""From text to the model: what is written, worked out, taken over, guessed; and no text makes an exception."""

from __future__ import annotations

import dataclasses
import random
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.buildfile import reading
from packyoke.core.findings import Severity, Span
from packyoke.model import FITTED, NONE, Build, End, Gauge, Run

COMPLETE = (Path(__file__).parent / "complete.yaml").read_text(encoding="utf-8")
HEAD = "packyoke: 1\nname: x\n"
SHOP = """packyoke-shop: 1
name: Ropewalk
defaults: {warmest: 38 degC, region: GB, all_leads: {insulation: silicone}, ride: {everyday: {rider: 75 kg}}}
shelf:
  packs: {long pack: {chemistry: NMC, series: 13, condition: sound, price: 350 EUR, stock: 2}}
  wires: {red: {gauge: 12 AWG, insulation: 105 degC, price: 4.50 EUR, stock: 25 m, minutes: 3 min}}
  fuses: {small: {family: class T, rating: 30 A, price: 18 EUR}}
"""


def build(text: str, **more: Any) -> Build:
    found = reading.load(HEAD + text, "bike.yaml", **more)
    assert isinstance(found, Build), [(each.field, each.message) for each in found]
    return found


def shop() -> reading.Shop:
    found = reading.load_shop(SHOP, "packyoke-shop.yaml")
    assert isinstance(found, reading.Shop), found
    return found


def complete() -> Build:
    found = reading.load(COMPLETE, "complete.yaml")
    assert isinstance(found, Build)
    return found


def without_places(value: Any) -> Any:
    """A build as plain values, without where things stand."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in dataclasses.fields(value) if field.name not in ("span", "spans")]
        return {name: without_places(getattr(value, name)) for name in names}
    if isinstance(value, dict):
        return {key: without_places(each) for key, each in value.items()}
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        return tuple(map(without_places, value))
    return value


# the complete example


def test_file() -> None:
    found = complete()
    assert (found.name, found.ticket, found.status, found.region) == (
        "Skerry mail, long-tail no. 3",
        "quote 118",
        "quoted",
        "EU",
    )
    assert (found.warmest_k, found.coldest_k) == (308.15, 273.15)
    assert (found.bike.mass_kg, found.bike.drive_type) == (31.0, "geared hub")
    assert found.bike.assist_limit_m_s == pytest.approx(25 / 3.6)
    assert (found.racks["rear"].limit_kg, found.racks["rear"].load_kg) == (27.0, 8.0)


def test_pack() -> None:
    keel = complete().packs["keel"]
    assert (keel.label, keel.label_v, keel.chemistry, keel.series, keel.cells) == ("52 V", 52.0, "NMC", 14, "power")
    assert (keel.capacity_coulomb, keel.cut_off_v, keel.resistance_ohm, keel.mass_kg) == (72000.0, 42.0, 0.095, 5.6)
    assert (keel.discharge_continuous_a, keel.discharge_peak_a, keel.discharge_peak_s) == (40.0, 60.0, 10.0)
    assert (keel.charge_a, keel.charges_at_outlet, keel.rack) == (6.0, True, NONE)
    assert keel.outlet == End("XT60", "socket", "socket")
    assert (keel.charge_path, keel.data, keel.wired_data, keel.wakes) == ("common", NONE, NONE, "always")
    assert keel.condition == "sound"
    fuse = keel.fuse
    assert (fuse.path, fuse.presence, fuse.family) == ("packs.keel.fuse", FITTED, "class T")
    assert (fuse.rating_a, fuse.voltage_v, fuse.sealed) == (40.0, 160.0, False)


def test_full_charge_is_worked_out_and_stated() -> None:
    found = complete()
    assert found.packs["keel"].full_charge_v == pytest.approx(14 * 4.20)
    assert ("packs.keel", "full charge 58.8 V, from 14 cells in series and NMC") in [
        (each.part, each.text) for each in found.stated
    ]


def test_like_takes_whole_lines_over() -> None:
    found = complete()
    pannier = found.packs["pannier"]
    assert (pannier.discharge_continuous_a, pannier.discharge_peak_a, pannier.discharge_peak_s) == (30.0, None, None)
    assert (pannier.series, pannier.label_v, pannier.cut_off_v, pannier.rack) == (14, 52.0, 42.0, "rear")
    assert (pannier.fuse.path, pannier.fuse.rating_a) == ("packs.pannier.fuse", 35.0)
    assert pannier.place("series") == found.packs["keel"].place("series")
    assert pannier.place("capacity_coulomb").line == COMPLETE.split("\n").index("    capacity: 13 Ah") + 1
    assert [each.text for each in found.stated if each.part == "packs.pannier" and "condition" in each.text]


def test_joiner() -> None:
    yoke = complete().joiners["yoke"]
    assert (yoke.type, yoke.inputs, yoke.ceiling_v, yoke.resistance_ohm) == ("ideal-diode", 2, 75.0, 0.002)
    assert (yoke.current_continuous_a, yoke.current_peak_a, yoke.current_peak_s) == (40.0, 60.0, 10.0)
    assert yoke.inlets == (End("XT90", "pin", "pin"),) * 2
    assert yoke.outlets == (End("XT90", "socket", "socket"),)
    assert (yoke.blocks_in, yoke.mount, yoke.charge_port, yoke.body_limit_k) == (
        "positive",
        "frame metal",
        None,
        358.15,
    )


def test_lead() -> None:
    lead = complete().leads["pannier lead"]
    assert (lead.source, lead.target, lead.length_m, lead.gauge) == ("pannier", "yoke", 0.9, Gauge("AWG", 12))
    assert lead.ends == (End("XT60", "pin", "pin"), End("XT90", "socket", "socket"))
    assert (lead.insulation, lead.run, lead.splices, lead.direct) == ("silicone", Run(), 0, False)
    assert (lead.fuse.presence, lead.fuse.path) == (NONE, "leads.pannier lead.fuse")
    assert lead.place("insulation").line == 58


def test_controller_accessory_charger() -> None:
    found = complete()
    drive = found.controllers["controller"]
    assert (drive.path, drive.voltage_min_v, drive.voltage_max_v, drive.limit_a) == ("controller", 39.0, 63.0, 25.0)
    assert (drive.low_voltage_cut_v, drive.regen_a, drive.capacitance_f) == (43.0, 0.0, 0.001)
    lamp = found.accessories["lamp"]
    assert (lamp.sources, lamp.max_v, lamp.current_a, lamp.standby_a) == (("yoke",), 60.0, 0.5, 0.008)
    assert (lamp.fuse.family, lamp.fuse.rating_a, lamp.fuse.voltage_v) == ("10x38", 2.0, 1000.0)
    counter = found.chargers["counter"]
    assert (counter.output_v, counter.current_a, counter.plug) == (58.8, 4.0, "5.5 mm barrel")
    assert counter.fits == ("keel", "pannier")


def test_places_are_those_of_the_values() -> None:
    found = complete()
    line = COMPLETE.split("\n")[20]
    span = found.packs["keel"].place("discharge_peak_a")
    assert line[span.column - 1 : span.end_column - 1] == "60 A for 10 s"
    assert found.packs["keel"].place("tested_capacity_coulomb") == found.packs["keel"].span
    assert found.place("warmest_k") == Span(6, 10, 6, 17)


def test_parts_are_found_by_their_paths() -> None:
    found = complete()
    for path in ("build", "bike", "packs.keel", "packs.keel.fuse", "leads.keel lead.fuse", "controller", "racks.rear"):
        assert found.part(path).path == path


# identity of a pack


@pytest.mark.parametrize(
    ("lines", "series", "full_v"),
    [
        pytest.param("chemistry: NMC, series: 13", 13, 54.6, id="cells.md-48V-label-13s-NMC"),
        pytest.param("chemistry: NMC, full_charge: 58.8 V", 14, 58.8, id="cells.md-48V-label-14s-NMC"),
        pytest.param("chemistry: LFP, charger_label: 54.75 V", 15, 54.75, id="cells.md-48V-label-15s-LFP"),
        pytest.param("chemistry: LFP, full_charge: 58.4 V, series: 16", 16, 58.4, id="cells.md-48V-label-16s-LFP"),
        pytest.param("chemistry: LTO, series: 18", 18, 50.4, id="cells.md-LTO-2.80V-a-cell"),
    ],
)
def test_identity(lines: str, series: int, full_v: float) -> None:
    pack = build(f"packs: {{a: {{{lines}}}}}").packs["a"]
    assert pack.series == series
    assert pack.full_charge_v == pytest.approx(full_v)


def test_identity_without_chemistry_stays_as_written() -> None:
    pack = build("packs: {a: {series: 13, full_charge: 54.6 V}}").packs["a"]
    assert (pack.chemistry, pack.series, pack.full_charge_v) == (None, 13, 54.6)
    pack = build("packs: {a: {full_charge: 54.6 V}}").packs["a"]
    assert pack.series is None


# what a missing line means


def test_nothing_known() -> None:
    found = build(
        "packs: {a: {}}\njoiners: {j: {}}\nleads: {l: {from: a, to: j}}\ncontroller: {}\naccessories: {b: {from: a}}\n"
    )
    pack, joiner = found.packs["a"], found.joiners["j"]
    assert (pack.series, pack.fuse.presence, pack.rack, pack.condition) == (None, None, NONE, None)
    assert (joiner.type, joiner.inlets, joiner.outlets) == (None, (None, None), (None,))
    assert (found.leads["l"].gauge, found.leads["l"].ends, found.leads["l"].fuse.presence) == (None, (None, None), NONE)
    assert (found.controllers["controller"].limit_a, found.controllers["controller"].regen_a) == (None, None)
    assert found.accessories["b"].fuse.presence is None
    texts = [each.text for each in found.stated]
    assert "warmest air 30 degC" in texts
    assert "coldest air 0 degC" in texts


def test_a_rack_that_is_not_named_is_asked_for_once_there_are_racks() -> None:
    assert build("racks: {rear: {}}\npacks: {a: {}}").packs["a"].rack is None


# guesses


def test_a_guess_is_set_apart() -> None:
    found = build("packs: {a: {discharge: {continuous: 18 A ?, peak: 30 A for 5 s ?}, chemistry: NMC ?, series: 14?}}")
    one = found.packs["a"]
    assert (one.discharge_continuous_a, one.discharge_peak_a, one.chemistry, one.series) == (None, None, None, None)
    assert found.guesses == {
        ("packs.a", "discharge_continuous_a"): 18.0,
        ("packs.a", "discharge_peak_a"): 30.0,
        ("packs.a", "discharge_peak_s"): 5.0,
        ("packs.a", "chemistry"): "NMC",
        ("packs.a", "series"): 14,
    }
    assert one.place("series").line == 3


def test_guessed_ends_and_fuses() -> None:
    found = build("packs: {a: {outlet: XT60 socket ?, fuse: {rating: 30 A ?}}, b: {fuse: none ?}}\njoiners: {j: {inlets: [XT60 pin ?, XT60 pin]}}")  # fmt: skip  # noqa: E501
    pin, socket = End("XT60", "pin", "pin"), End("XT60", "socket", "socket")
    assert found.packs["a"].outlet is None
    assert (found.packs["a"].fuse.presence, found.packs["a"].fuse.rating_a) == (FITTED, None)
    assert found.packs["b"].fuse.presence is None
    assert found.joiners["j"].inlets == (None, pin)
    assert found.guesses == {
        ("packs.a", "outlet"): socket,
        ("packs.a.fuse", "rating_a"): 30.0,
        ("packs.b.fuse", "presence"): NONE,
        ("joiners.j", "inlets"): (pin, pin),
    }


def test_a_guess_in_place_of_a_default_counts_and_is_stated() -> None:
    found = build("warmest: 40 degC ?")
    assert found.warmest_k == 313.15
    assert "warmest 40 degC ?" in [each.text for each in found.stated]


# shop


def test_shop_defaults_and_shelf() -> None:
    found = build(
        "packs: {a: {part: long pack, series: 14}}\njoiners: {j: {}}\nleads: {l: {from: a, to: j}}", shop=shop()
    )
    assert (found.warmest_k, found.region, found.shop) == (311.15, "GB", "Ropewalk")
    assert found.leads["l"].insulation == "silicone"
    assert found.rides["everyday"].rider_kg == 75.0
    assert (found.packs["a"].chemistry, found.packs["a"].series) == ("NMC", 14)
    assert found.packs["a"].place("chemistry").line == 3
    assert "warmest 38 degC" in [each.text for each in found.stated if each.basis == "from the shop file"]
    assert any("condition sound" in each.text for each in found.stated)


def test_the_build_wins_over_the_shop() -> None:
    assert build("warmest: 20 degC", shop=shop()).warmest_k == 293.15


def test_kind_of_wire_from_the_shelf() -> None:
    found = build("packs: {a: {}}\njoiners: {j: {}}\nall_leads: {kind: Red}\nleads: {l: {from: a, to: j}}", shop=shop())
    assert found.leads["l"].insulation == "105 degC"


def test_shelf_items() -> None:
    items = {item.part.name: item for item in shop().items}
    assert (items["long pack"].price, items["long pack"].currency, items["long pack"].stock) == (350.0, "EUR", 2)
    wire = items["red"]
    assert (wire.section, wire.stock, wire.minutes_s, wire.price) == ("wires", 25.0, 180.0, 4.5)
    assert items["small"].part.rating_a == 30.0  # type: ignore[attr-defined]


def test_is_build() -> None:
    for text, answer in ((COMPLETE, True), (SHOP, False), ("a: 1", False)):
        document = reading.parse(text, "x.yaml")
        assert isinstance(document, reading.Document)
        assert reading.is_build(document) is answer


# properties


def shuffled(text: str, seed: int) -> str:
    """The same file with the lines of each mapping in another order."""
    import yaml

    chance = random.Random(seed)

    def mix(node: Any) -> Any:
        if isinstance(node, dict):
            entries = [(key, mix(value)) for key, value in node.items()]
            chance.shuffle(entries)
            return dict(entries)
        return node

    return yaml.safe_dump(mix(yaml.load(text, yaml.BaseLoader)), sort_keys=False)


@given(st.integers(0, 10**6))
@settings(max_examples=30, deadline=None)
def test_order_of_lines_changes_nothing(seed: int) -> None:
    first, second = without_places(complete()), without_places(reading.load(shuffled(COMPLETE, seed), "complete.yaml"))
    first["stated"], second["stated"] = (sorted(map(repr, each["stated"])) for each in (first, second))
    assert first == second


SPELLINGS = [
    ("95 mohm", "0.095 ohm"),
    ("20 Ah", "20000 mAh"),
    ("60 A for 10 s", "60A for 10 sec"),
    ("400 mm", "0.4 m"),
    ("40 cm", "400 mm"),
    ("12 AWG", "awg 12"),
    ("1 mF", "1000 uF"),
    ("8 mA", "0.008 A"),
    ("52 V", "52V"),
    ("45 mV at 20 A", "0.045 V at 20 A"),
]


@given(st.lists(st.sampled_from(SPELLINGS), min_size=1, max_size=6))
@settings(max_examples=40, deadline=None)
def test_spelling_of_units_changes_nothing(pairs: list[tuple[str, str]]) -> None:
    text = COMPLETE
    for one, other in pairs:
        text = text.replace(f" {one}", f" {other}")
    changed, before = without_places(reading.load(text, "complete.yaml")), without_places(complete())
    for found in (changed, before):
        for each in found["packs"].values():
            each.pop("label")
    assert changed == before


@given(st.data())
@settings(max_examples=300, deadline=None)
def test_no_change_of_the_example_makes_an_exception(data: st.DataObject) -> None:
    text = COMPLETE
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text) - 1))
        length = data.draw(st.integers(0, 12))
        text = text[:at] + data.draw(st.text(max_size=6) | st.sampled_from(("none", "{}", "[a, b]", "yes", "?", "keel"))) + text[at + length :]  # fmt: skip  # noqa: E501
    found = reading.load(text, "x.yaml", today="2027-01-01")
    if isinstance(found, list):
        assert found
        assert all(each.severity is Severity.STOP and each.span is not None for each in found)


WORDS = st.sampled_from(
    ("keel", "yoke", "none", "12 AWG", "20 A", "XT60 pin", "like", "all", "3", "", "yes", "58.8 V ?")
)
KEYS = st.sampled_from(
    (
        "packs",
        "joiners",
        "leads",
        "controller",
        "racks",
        "parts",
        "connectors",
        "ride",
        "runs",
        "sets",
        "measured",
        "accept",
        "bike",
        "drive",
        "keel",
        "yoke",
        "from",
        "to",
        "like",
        "part",
        "fuse",
        "switch",
        "ends",
        "outlet",
        "inlets",
        "regen",
        "charge_port",
        "built_in",
        "bonded",
        "discharge",
        "voltage",
        "battery_current",
        "run",
        "all_leads",
        "until",
        "value",
        "what",
        "between",
    )
)
TREES = st.recursive(
    WORDS, lambda inside: st.lists(inside, max_size=3) | st.dictionaries(KEYS, inside, max_size=5), max_leaves=25
)


@given(st.dictionaries(KEYS, TREES, max_size=8))
@settings(max_examples=300, deadline=None)
def test_no_tree_of_known_words_makes_an_exception(tree: dict[str, Any]) -> None:
    import yaml

    text = HEAD + (yaml.safe_dump(tree) if tree else "")
    for found in (reading.load(text, "x.yaml"), reading.load_shop("packyoke-shop: 1\n" + text[len(HEAD) :], "s.yaml")):
        assert isinstance(found, Build | reading.Shop) or all(each.rule == "unreadable" for each in found)


def test_what_is_not_seen_in_a_name_does_not_act_on_a_terminal() -> None:
    found = reading.load('packyoke: 1\nname: "a\\e[31mred\\u0007\\nb"\n', "bike.yaml")
    assert isinstance(found, Build)
    assert found.name == "a\ufffd[31mred\ufffd b"


def test_unknown_with_a_question_mark_guesses_nothing() -> None:
    """`type: unknown ?` is `type: unknown`: nothing counts with a word that is no value."""
    for text in ("unknown", "unknown ?", "unknown?"):
        build = reading.load(f"packyoke: 1\nname: x\njoiners:\n  yoke: {{type: {text}}}\n", "x.yaml")
        assert isinstance(build, Build)
        assert ("joiners.yoke", "type") not in build.guesses
        assert build.joiners["yoke"].type is None


@pytest.mark.parametrize(
    ("text", "price", "currency"),
    [
        ("5 EUR", "5", "EUR"),
        ("5EUR", "5", "EUR"),
        (".5 gbp", "0.5", "GBP"),
        ("0 EUR", "0", "EUR"),
        ("-0 EUR", "0", "EUR"),
        ("\u22120 EUR", "0", "EUR"),
        ("5\u00a0EUR", "5", "EUR"),
        ("0.10 EUR", "0.10", "EUR"),
    ],
)
def test_price_of_the_shelf_to_its_last_figure(text: str, price: str, currency: str) -> None:
    found = reading.load_shop(f"packyoke-shop: 1\nshelf: {{sundries: {{a: {{price: {text}}}}}}}\n", "s.yaml")
    assert isinstance(found, reading.Shop), found
    assert (str(found.items[0].price), found.items[0].currency) == (price, currency)


@pytest.mark.parametrize("text", ["5 EUR?", "5 EUR ?"])
def test_a_guess_is_not_a_price(text: str) -> None:
    found = reading.load_shop(f"packyoke-shop: 1\nshelf: {{sundries: {{a: {{price: {text}}}}}}}\n", "s.yaml")
    assert [each.message for each in found] == [f'"{text}" is a guess']  # type: ignore[union-attr]


@pytest.mark.parametrize(("text", "share"), [("20 %", "0.2"), (".5 %", "0.005"), ("-0 %", "0"), ("7.75%", "0.0775")])
def test_tax_to_its_last_figure(text: str, share: str) -> None:
    found = reading.load_shop(f"packyoke-shop: 1\nrates: {{tax: {text}}}\n", "s.yaml")
    assert isinstance(found, reading.Shop), found
    assert found.rates.tax == Decimal(share)


@pytest.mark.parametrize(
    ("kind", "drop", "ohm"),
    [
        ("ideal-diode", "25 mV at 5 A", None),  # 5 mohm, if it were one
        ("ideal-diode", "30 mV at 20 A", None),
        ("ideal-diode", "31 mV at 10 A", 0.0031),
        ("ideal-diode", "45 mV@20A", 0.00225),
        ("plain", "25 mV at 5 A", 0.005),
        ("selector", "25 mV at 5 A", 0.005),
    ],
)
def test_what_an_ideal_diode_holds_tells_no_resistance(kind: str, drop: str, ohm: float | None) -> None:
    found = build(f"joiners: {{yoke: {{type: {kind}, drop: {drop}}}}}")
    said = [each.text for each in found.stated if drop in each.text]
    assert found.joiners["yoke"].resistance_ohm == (None if ohm is None else pytest.approx(ohm, rel=1e-12))
    assert bool(said) == (ohm is None)


def test_a_guessed_drop_that_is_held_is_no_guess_of_a_resistance() -> None:
    found = build("joiners: {yoke: {type: ideal-diode, drop: 25 mV at 5 A ?}}")
    assert ("joiners.yoke", "resistance_ohm") not in found.guesses


@pytest.mark.parametrize("section", ["packs", "joiners", "controllers", "accessories", "racks", "chargers", "places"])
def test_a_part_without_a_line_is_one_of_which_nothing_is_known(section: str) -> None:
    """As with  {}  behind it; what follows without being indented is told as ever."""
    empty, braces = (reading.load(f"packyoke: 1\nname: x\n{section}:\n  one:{text}\n", "x") for text in ("", " {}"))
    assert isinstance(empty, Build | list)
    assert type(empty) is type(braces)
    if isinstance(empty, Build) and isinstance(braces, Build):
        assert vars(getattr(empty, section)["one"]).keys() == vars(getattr(braces, section)["one"]).keys()
    slipped = reading.load(f"packyoke: 1\nname: x\n{section}:\n  one:\n  mount: boxed\n", "x")
    assert isinstance(slipped, list)
