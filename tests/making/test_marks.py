"""What is written on the parts of a bike, what a lead is cut from and what wire costs: each condition at both sides."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.making.cutting import is_made, is_whole_joint, new_fuse, piece
from packyoke.making.marks import labels, settings
from packyoke.making.stock import Cable, cables, fuse_item, price_of, sundry
from packyoke.model import NONE, Build, End, Fuse, Gauge, Lead
from packyoke.model.shop import Sundry
from tests.support import EXAMPLES

COUNTER = EXAMPLES / "counter"
CHARGER = "counter: 54.6 V d.c., for keel only"


def a_shop() -> Shop:
    found = load_shop((COUNTER / "packyoke-shop.yaml").read_text(encoding="utf-8"), "shop")
    assert isinstance(found, Shop), found
    return found


def a_bike() -> Build:
    text = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8")
    text = text.replace("plug: XT60 pin}", "plug: XT60 pin, fits: [keel]}")
    found = load(text, "bike")
    assert isinstance(found, Build), found
    return found


def written(build: Build, given: Build | None = None) -> list[str]:
    return list(labels(build, given or build, list(build.leads.values())))


def keel_lead(build: Build) -> Lead:
    return build.leads["keel lead"]


def with_lead(build: Build, lead: Lead) -> Build:
    return replace(build, leads={lead.name: lead})


def test_what_is_written_on_a_bike_with_nothing_new() -> None:
    """By hand: one pack of 13 NMC cells (54.6 V full, 4 A), a controller of 18 A, its charger; no lead is made."""
    assert written(a_bike()) == [
        "keel: charger 54.6 V d.c. only, at most 4 A",
        "controller: 18 A from the packs, no more",
        CHARGER,
    ]


@pytest.mark.parametrize(
    ("path", "attr", "value", "gone"),
    [
        ("packs.keel", "full_charge_v", None, "keel: charger"),
        ("packs.keel", "charge_a", None, ", at most 4 A"),
        ("controller", "limit_a", None, "controller:"),
        ("chargers.counter", "output_v", None, "counter:"),
        ("chargers.counter", "fits", (), "counter:"),
        ("chargers.counter", "fits", None, "counter:"),
    ],
)
def test_what_nobody_knows_is_not_written(path: str, attr: str, value: object, gone: str) -> None:
    build = a_bike()
    assert any(gone in each for each in written(build))
    assert not any(gone in each for each in written(build.with_value(path, attr, value)))


def test_a_fuse_is_written_where_it_is_fitted() -> None:
    """In a lead always; in a pack where it was not in it before."""
    build = a_bike()
    fuse = build.packs["keel"].fuse
    fused = with_lead(build, keel_lead(build).but(fuse=fuse))
    assert [each for each in written(fused) if each.startswith("keel lead")] == [
        "keel lead: 10x38 30 A 1000 V d.c. only"
    ]
    before = build.with_value("packs.keel.fuse", "presence", NONE)
    assert [each for each in written(build, before) if "30 A" in each] == ["keel: 10x38 30 A 1000 V d.c. only"]
    assert not [each for each in written(before, before) if "30 A" in each]


@pytest.mark.parametrize("change", [{"length_m": None}, {"gauge": None}, {"ends": (None, None)}])
def test_a_lead_of_which_something_is_open_is_made_and_has_its_ends_written_on_it(change: dict[str, object]) -> None:
    build = a_bike()
    lead = keel_lead(build)
    assert not is_made(lead)
    assert is_made(lead.but(**change))
    assert not is_made(lead.but(**change, direct=True))
    assert written(build, with_lead(build, lead.but(**change)))[:2] == ["keel lead: keel", "keel lead: controller"]


def test_a_lead_is_cut_from_wire_of_its_size_and_insulation() -> None:
    stocked = cables(a_shop().items)
    lead = keel_lead(a_bike())
    for cable in stocked:
        made = piece(a_bike(), lead.but(gauge=cable.gauge, insulation=cable.insulation), stocked, ())
        names = [each.part.name for each in (cable.plus, cable.minus) if each is not None]
        assert len(names) == 2
        assert all(name in str(made) for name in names), made
    for change in ({"insulation": "PVC"}, {"gauge": Gauge("AWG", 1.0)}):
        made = piece(
            a_bike(), lead.but(gauge=stocked[0].gauge, insulation=stocked[0].insulation).but(**change), stocked, ()
        )
        assert not any(each.part.name in str(made) for one in stocked for each in (one.plus, one.minus) if each)


def test_wire_has_a_price_where_both_conductors_have_one() -> None:
    cable = cables(a_shop().items)[0]
    plus, minus = cable.plus, cable.minus
    assert plus is not None
    assert minus is not None
    assert cable.price_per_m == (plus.price or 0) + (minus.price or 0)
    for one, other in ((None, minus), (plus, None), (plus.but(price=None), minus), (plus, minus.but(price=None))):
        assert Cable(cable.gauge, cable.insulation, one, other).price_per_m is None
    assert price_of(plus) == plus.price
    assert price_of(None) == price_of(plus.but(price=None)) == Decimal("Infinity")


def test_a_size_with_one_conductor_only_is_not_cut_from_while_another_has_both() -> None:
    items = a_shop().items
    whole = cables(items)
    first = whole[0].minus
    assert len(cables([each for each in items if each is not first])) == len(whole) - 1


def test_what_is_programmed_into_a_controller() -> None:
    """By hand: 18 A, 39 V and no braking as in the file; without a cut of its own, above the highest of the packs."""
    build = a_bike()
    said = [(each.what, each.value.value) for each in settings(build)]
    assert said == [("battery current", 18.0), ("low-voltage cut", 39.0), ("braking current into the packs", 0.0)]
    for attr, gone in (("limit_a", "battery current"), ("regen_a", "braking current into the packs")):
        left = [each.what for each in settings(build.with_value("controller", attr, None))]
        assert left == [what for what, _ in said if what != gone]
    falls = build.with_value("controller", "falls_to_a", 12.0).with_value("controller", "falls_after_s", 30.0)
    assert [str(each.value) for each in settings(falls)][1] == "12 A after 30 s"
    bare = build.with_value("controller", "low_voltage_cut_v", None)
    assert not any("low-voltage" in each.what for each in settings(bare))
    cut = bare.with_value("packs.keel", "cut_off_v", 36.0)
    assert ("low-voltage cut, above", 36.0) in [(each.what, each.value.value) for each in settings(cut)]


def test_a_fuse_is_new_where_none_was_fitted() -> None:
    fitted = a_bike().packs["keel"].fuse
    none = fitted.but(presence=NONE)
    assert new_fuse(fitted, none)
    assert new_fuse(fitted, None)
    assert not new_fuse(fitted, fitted)
    assert not new_fuse(none, none)
    assert not new_fuse(none, None)


def test_items_of_the_shelf_by_their_marks_and_their_use() -> None:
    items = a_shop().items
    fuse = next(each for each in items if each.section == "fuses")
    assert isinstance(fuse.part, Fuse)
    assert fuse_item(items, fuse.part) is fuse
    for change in ({"family": "class T"}, {"rating_a": 31.5}, {"voltage_v": 7.0}):
        assert fuse_item([fuse], fuse.part.but(**change)) is None
    any_voltage = fuse.but(part=fuse.part.but(voltage_v=None))
    assert fuse_item([any_voltage], fuse.part) is any_voltage
    for use in ("sleeve", "cap", "labels"):
        found = sundry(items, use)
        assert isinstance(found.part if found else None, Sundry)
        assert sundry([each for each in items if each is not found], use) is None
    assert is_whole_joint(End("joint", "joint", "joint"))
    assert not is_whole_joint(End("XT60", "pin", "pin"))
