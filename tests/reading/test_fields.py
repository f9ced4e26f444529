"""The field table: complete, consistent with the model, and every line of it read, with its mistakes in their place."""

from __future__ import annotations

import copy
import dataclasses
from pathlib import Path
from typing import Any

import pytest

from packyoke.buildfile import reading
from packyoke.core.findings import Finding
from packyoke.core.units import Kind, from_si
from packyoke.model import (
    Acceptance,
    Accessory,
    Bike,
    Build,
    BuiltIn,
    ChargePort,
    Charger,
    ConnectorPart,
    Controller,
    Fuse,
    Joiner,
    KnownRide,
    Lead,
    Measured,
    Pack,
    Place,
    Rack,
    Ride,
    RunBetween,
    Switch,
    fields,
)
from packyoke.model.fields import FIELDS, SUBPARTS, Field, field_for

PATHS = [
    line
    for line in (Path(__file__).parent / "field_paths.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
BY_PATH = {field.path: field for field in FIELDS}
PARTS: dict[str, type[Any]] = {
    "build": Build,
    "bike": Bike,
    "racks.rear": Rack,
    "packs.keel": Pack,
    "packs.keel.fuse": Fuse,
    "leads.keel lead.fuse": Fuse,
    "accessories.lamp.fuse": Fuse,
    "joiners.yoke": Joiner,
    "joiners.yoke.charge_port": ChargePort,
    "joiners.yoke.built_in": BuiltIn,
    "leads.keel lead": Lead,
    "leads.keel lead.switch": Switch,
    "controller": Controller,
    "controllers.left": Controller,
    "accessories.lamp": Accessory,
    "chargers.counter": Charger,
    "parts.connectors.5 mm dock": ConnectorPart,
    "places.seat tube": Place,
    "runs.1": RunBetween,
    "ride.everyday": Ride,
    "ride.everyday.known": KnownRide,
    "measured.1": Measured,
    "accept.1": Acceptance,
}
NOT_LINES = {"name", "path", "span", "spans", "fuse", "tested", "measured_ohm", "rise_fraction"}
"""Beside what makes a part: what follows from readings, and from the track of a ride."""
WHOLE_SECTIONS = {
    "file",
    "shelf",
    "bike",
    "racks",
    "packs",
    "joiners",
    "leads",
    "controllers",
    "accessories",
    "chargers",
    "connectors",
    "places",
    "runs",
    "rides",
    "measured",
    "accept",
    "guesses",
    "described",
    "stated",
    "items",
    "shop",
    "today",
}
INSTRUMENTS = {"", "label", "meter", "tape", "look", "settings", "maker", "scales", "customer"}

BASE: dict[str, Any] = {
    "packyoke": "1",
    "name": "Mail bike",
    "warmest": "50 degC",
    "racks": {"rear": {}},
    "packs": {"keel": {"rack": "none"}, "other": {}},
    "joiners": {"yoke": {}, "gate": {}},
    "leads": {"keel lead": {"from": "keel", "to": "yoke"}},
    "controller": {},
    "accessories": {"lamp": {"from": "yoke"}},
    "chargers": {"counter": {}, "other": {}},
    "places": {"seat tube": {}, "rear rack": {}},
    "runs": [{"between": "[seat tube, rear rack]", "length": "700 mm"}],
    "measured": [{"date": "2027-05-14", "part": "packs.keel", "what": "voltage", "value": "57 V"}],
    "accept": [
        {
            "rule": "voltage-drop",
            "part": "build",
            "found": "3.4 %",
            "because": "short frame",
            "by": "lead",
            "until": "2027-12-31",
        }
    ],
}
SHOP_BASE: dict[str, Any] = {"packyoke-shop": "1", "name": "Shop"}
SHOP = """packyoke-shop: 1
shelf:
  packs: {long pack: {chemistry: NMC, series: 13}}
  joiners: {small yoke: {type: ideal-diode}}
  controllers: {plain: {battery_current: 20 A}}
  chargers: {slow charger: {output: 54.6 V}}
  wires: {red: {gauge: 12 AWG, insulation: silicone}}
"""
KNOWN_RIDE = {"packs": "[keel]", "from": "100 %", "to": "20 %", "distance": "42 km"}
STARS = {
    "racks": "rear",
    "packs": "other",
    "joiners": "gate",
    "leads": "keel lead",
    "controllers": "left",
    "accessories": "lamp",
    "chargers": "other",
    "places": "seat tube",
    "ride": "everyday",
    "connectors": "dock",
}
SIBLINGS = {
    "measured.*.inlet": {"part": "joiners.yoke", "what": "blocks", "value": "yes"},
    "joiners.*.bonded.by": {"charged": "together"},
    "joiners.*.bonded.charged": {"by": "0.1 V"},
    **{
        f"ride.*.known.{each}": {key: value for key, value in KNOWN_RIDE.items() if key != each}
        for each in (*KNOWN_RIDE, "air", "on")
    },
}


def flow(node: Any) -> str:
    """A tree of texts on one line."""
    if isinstance(node, dict):
        return "{" + ", ".join(f"{key}: {flow(value)}" for key, value in node.items()) + "}"
    return "[" + ", ".join(map(flow, node)) + "]" if isinstance(node, list) else str(node)


def place_of(field: Field) -> tuple[list[str | int], str]:
    """Where a field goes in the test's file, and its path as mistakes print it."""
    path = field.path.removeprefix("shop: ").replace("FUSE.", "packs.*.fuse.")
    keys: list[str | int] = []
    for key in path.split("."):
        if key in ("*", "NAME"):
            section = str(keys[-1])
            keys.append(0 if section in ("runs", "measured", "accept") else STARS.get(section, "thing"))
        else:
            keys.append(key)
    if path.startswith("shelf.*"):
        keys = ["shelf", "packs", "thing", *keys[2:]]
    return keys, ".".join("1" if key == 0 else str(key) for key in keys)


def file_with(field: Field, value: str) -> str:
    """A file that is complete but for one line, with that line."""
    shop = field.path.startswith("shop:")
    tree = copy.deepcopy(SHOP_BASE if shop else BASE)
    keys, _ = place_of(field)
    if field.path.endswith(".holder"):
        tree["shelf"] = {"sundries": {field.example: {"use": "holder"}}}
    if keys[0] == "controllers":
        del tree["controller"]
    at: Any = tree
    for key in keys[:-1]:
        at = at[key] if isinstance(at, list) else at.setdefault(key, {})
    at.update(SIBLINGS.get(field.path, {}))
    at[keys[-1]] = value
    return "\n".join(f"{key}: {flow(node)}" for key, node in tree.items())


def mistakes(field: Field, value: str) -> list[Finding]:
    text = file_with(field, value)
    if field.path.startswith("shop:"):
        found: Any = reading.load_shop(text, "shop.yaml")
    else:
        shop = reading.load_shop(SHOP, "shop.yaml")
        assert isinstance(shop, reading.Shop)
        found = reading.load(text, "bike.yaml", shop)
    return found if isinstance(found, list) else []


def at_value(found: list[Finding], field: Field, value: str) -> list[Finding]:
    """The mistakes whose caret stands under the value and whose path is the field's."""
    _, path = place_of(field)
    return [
        each
        for each in found
        if each.span is not None
        and (each.field or "").startswith(path)
        and each.excerpt[each.span.column - 1 : each.span.end_column - 1] == value
    ]


@pytest.mark.parametrize("path", PATHS)
def test_every_line_of_the_format_has_its_row(path: str) -> None:
    assert path in BY_PATH


def test_no_path_is_there_twice() -> None:
    assert len(BY_PATH) == len(FIELDS)


@pytest.mark.parametrize("part", PARTS)
def test_every_attribute_of_the_model_has_a_row(part: str) -> None:
    names = {field.name for field in dataclasses.fields(PARTS[part])} - NOT_LINES
    for attr in names - (WHOLE_SECTIONS if part == "build" else set()):
        assert field_for(part, attr) in FIELDS


@pytest.mark.parametrize("part", PARTS)
def test_defaults_of_table_and_model_are_the_same(part: str) -> None:
    for attribute in dataclasses.fields(PARTS[part]):
        if attribute.name in NOT_LINES or (part == "build" and attribute.name in WHOLE_SECTIONS):
            continue
        row = field_for(part, attribute.name)
        if (
            row.default is not None
            and attribute.name == row.attr
            and (part, attribute.name) != ("ride.everyday", "air_k")
        ):
            if attribute.name == "presence":  # the reader fills it in: the model serves packs and leads alike
                continue
            assert attribute.default == row.default


def test_a_fuse_that_a_lead_does_not_mention_is_none() -> None:
    assert field_for("leads.keel lead.fuse", "presence").default == "none"
    assert field_for("packs.keel.fuse", "presence").ends == ("none", "fitted")
    assert field_for("packs.keel.fuse", "rating_a") is field_for("leads.x.fuse", "rating_a")


def test_an_attribute_that_no_line_fills_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        field_for("packs.keel", "colour")


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.path)
def test_row_is_sound(field: Field) -> None:
    assert field.about
    assert field.missing
    assert field.example
    assert field.ask in INSTRUMENTS
    assert field.need in ("must", "span", "default", "absent", "choice")
    for end in field.ends:
        if isinstance(end, int | float) and field.low is not None and field.path != "controller.regen":
            assert field.high is not None
            assert field.low <= end <= field.high
        elif isinstance(end, str) and field.kind == "word":
            assert end in field.words


NO_ENDS = {
    "end",
    "end or list",
    "ends",
    "name",
    "name or list",
    "names",
    "text",
    "date",
    "path",
    "rule",
    "list",
    "mapping",
    "integer",
    "any quantity",
    "quantity or yes/no",
    "two names",
}


@pytest.mark.parametrize(
    "field",
    [f for f in FIELDS if f.need in ("must", "span") and f.attr and f.kind not in NO_ENDS],
    ids=lambda f: f.path,
)
def test_a_verdict_can_try_the_ends_of_what_is_missing(field: Field) -> None:
    if field.path not in SIBLINGS:  # a bond is stated whole or not at all
        assert len(field.ends) >= 1


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.path)
def test_example_reads(field: Field) -> None:
    if field.path.endswith(".part") and field.path.split(".")[0] in ("measured", "accept"):
        assert mistakes(field, field.example) == []
        return
    assert [(each.field, each.message) for each in mistakes(field, field.example)] == []


UNITS = {
    "voltage": ("V", Kind.VOLTAGE, ""),
    "current": ("A", Kind.CURRENT, ""),
    "charge": ("Ah", Kind.CHARGE, ""),
    "power": ("W", Kind.POWER, ""),
    "resistance": ("mohm", Kind.RESISTANCE, ""),
    "capacitance": ("uF", Kind.CAPACITANCE, ""),
    "length": ("mm", Kind.LENGTH, ""),
    "mass": ("kg", Kind.MASS, ""),
    "speed": ("km/h", Kind.SPEED, ""),
    "temperature": ("degC", Kind.TEMPERATURE, ""),
    "insulation": ("degC", Kind.TEMPERATURE, ""),
    "climb": ("m per km", Kind.CLIMB, ""),
    "time": ("s", Kind.TIME, ""),
    "count per distance": ("per km", Kind.COUNT_PER_DISTANCE, ""),
    "energy per distance": ("Wh/km", Kind.ENERGY_PER_DISTANCE, ""),
    "current for time": ("A", Kind.CURRENT, " for 10 s"),
    "current after time": ("A", Kind.CURRENT, " after 10 s"),
    "speed at voltage": ("km/h", Kind.SPEED, " at 50 V"),
    "current or none": ("A", Kind.CURRENT, ""),
    "speed or none": ("km/h", Kind.SPEED, ""),
    "voltage or none": ("V", Kind.VOLTAGE, ""),
    "voltage, may be at current": ("V", Kind.VOLTAGE, " at 20 A"),
    "voltage at current": ("mohm", Kind.RESISTANCE, ""),
    "voltage or isolates only": ("V", Kind.VOLTAGE, ""),
    "text or voltage": ("V", Kind.VOLTAGE, ""),
}
MEASURED = [field for field in FIELDS if field.kind in UNITS and field.low is not None]


def written(field: Field, value_si: float) -> str:
    unit, kind, rest = UNITS[field.kind]
    if field.kind == "voltage at current":  # bounds are those of the resistance: at 1 A the drop in mV
        return f"{value_si * 1000:.6f} mV at 1 A"
    assert kind is not None
    return f"{from_si(value_si, unit):.6f} {unit}{rest}"


@pytest.mark.parametrize("field", MEASURED, ids=lambda field: field.path)
def test_bounds(field: Field) -> None:
    assert field.low is not None
    assert field.high is not None
    step = (field.high - field.low) * 0.001
    above = written(field, field.high + step)
    assert [each.message for each in at_value(mistakes(field, above), field, above)] == [f"{above} is out of bounds"]
    assert mistakes(field, written(field, field.high)) == []
    if field.low > step:
        below = written(field, field.low * 0.9)
        assert any("is out of bounds" in each.message for each in at_value(mistakes(field, below), field, below))


@pytest.mark.parametrize(
    "field",
    [f for f in FIELDS if f.kind == "count" and not f.path.startswith("shop")],
    ids=lambda field: field.path,
)
def test_counts(field: Field) -> None:
    assert field.high is not None
    for value, words in (
        (str(int(field.high) + 1), "out of bounds"),
        ("2.5", "is not a whole number"),
        ("-1", "is not a whole number"),
        ("03", "is not a whole number"),
    ):
        assert any(words in each.message for each in at_value(mistakes(field, value), field, value)), value


FREE = {"text", "as in the build", "mapping", "list", "texts", "rule", "text or voltage"}


@pytest.mark.parametrize(
    "field", [f for f in FIELDS if f.kind not in FREE and "NAME" not in f.path.split(".")[-1:]], ids=lambda f: f.path
)
def test_a_word_nobody_knows_is_told_in_its_place(field: Field) -> None:
    assert at_value(mistakes(field, "qwertz"), field, "qwertz")


@pytest.mark.parametrize(
    "field", [f for f in FIELDS if f.kind in UNITS and f.kind != "text or voltage"], ids=lambda f: f.path
)
def test_a_quantity_of_another_kind_is_told(field: Field) -> None:
    value = "3 kg" if field.kind != "mass" else "3 V"
    if UNITS[field.kind][2]:
        value += UNITS[field.kind][2]
    _, path = place_of(field)
    found = mistakes(field, value)
    assert found
    assert all((each.field or "").startswith(path) for each in found)


@pytest.mark.parametrize("value", ["{}", "[]", "{a: b}", "[a]", '""', "~"], ids=repr)
@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.path)
def test_no_shape_of_a_value_makes_an_exception(field: Field, value: str) -> None:
    for each in mistakes(field, value):
        assert each.rule == "unreadable"
        assert each.message


@pytest.mark.parametrize("field", [f for f in FIELDS if f.kind == "word"], ids=lambda field: field.path)
def test_words_are_read_without_case(field: Field) -> None:
    for word in field.words:
        assert [each for each in mistakes(field, word.upper()) if "no word" in each.message] == []


def test_every_row_fills_an_attribute_that_its_part_has() -> None:
    """Parts are made from what was read, by name, and a name that they do not have would go unseen."""
    seen = set()
    for path, part in PARTS.items():
        section, _, rest = path.partition(".")
        section = {"controller": "controllers", "parts": "connectors", "ride": "rides"}.get(section, section)
        owner = f"{section}.{rest.rpartition('.')[2]}" if rest.rpartition(".")[2] in SUBPARTS else section
        attrs = {attr for each, attr in fields._INDEX if each == owner}
        assert attrs <= {*part.__dataclass_fields__}, owner
        seen.add(owner)
    assert {owner for owner, _ in fields._INDEX} <= seen | {"joiners.bonded"}
