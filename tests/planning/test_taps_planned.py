"""Fuse and wire of a lamp: 80 % of a fuse at the most, and the 60 degC column of 33 CFR 183.425, table 5."""

from __future__ import annotations

import pytest

from packyoke.model import Accessory
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of

PLACES = {"bed": "{holds: 1, mount: open air}", "tube": "{holds: 2, mount: frame metal}", "motor": "{holds: 0}"}
RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]


def lamp(amps: float, more: str = "", fuses: str = "") -> tuple[Accessory, Plan]:
    tap = f"accessories:\n  lamp: {{from: a, max: 60 V, current: {amps} A{more}}}\n"
    packs = {name: pack("bed", capacity=30) for name in "ab"}
    shop = shop_of(f"packyoke-shop: 1\nshelf:\n  fuses:\n{fuses}") if fuses else None
    found = plan(build_of(bike(packs, {"y": joiner(45)}, PLACES, RUNS, amps=10, more=tap), shop), shop)
    assert isinstance(found, Plan), found
    return found.build.accessories["lamp"], found


@pytest.mark.parametrize(
    ("amps", "rating_a", "gauge"),
    [
        (1.6, 2.0, "18 AWG"),
        (1.61, 3.0, "18 AWG"),
        (4.0, 5.0, "18 AWG"),
        (4.1, 7.5, "18 AWG"),
        # 18 AWG: 10 A. Below 50 V nominal the fuse may be half as large again, 15 A (33 CFR 183.455(c)).
        (10.0, 15.0, "18 AWG"),
        (10.1, 15.0, "16 AWG"),
        # 14 AWG: 20 A; the fuse 25 A.
        (20.0, 25.0, "14 AWG"),
        (20.1, 30.0, "12 AWG"),
    ],
)
def test_fuse_and_wire_of_a_lamp(amps: float, rating_a: float, gauge: str) -> None:
    found, _ = lamp(amps)
    assert (found.fuse.family, found.fuse.rating_a, found.fuse.voltage_v) == ("10x38", rating_a, 1000.0)
    assert str(found.gauge) == gauge


@pytest.mark.parametrize(
    ("more", "gauge"),
    [
        (", fuse: {family: 10x38, rating: 5 A, voltage: 1000 V}", "None"),  # any wire will do for it
        (", fuse: {family: 10x38, rating: 5.1 A, voltage: 1000 V}", "18 AWG"),
        (", fuse: {family: 10x38, rating: 5.1 A, voltage: 1000 V}, gauge: 12 AWG", "12 AWG"),
        # Whatever it draws, its fuse is what the wire has to bear: half as much again as 20 A, and as 25 A.
        (", fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}", "14 AWG"),
        (", fuse: {family: class T, rating: 35 A, voltage: 160 V}", "12 AWG"),
        (", gauge: 12 AWG", "12 AWG"),
    ],
)
def test_what_the_file_says_of_a_tap_stays(more: str, gauge: str) -> None:
    found, _ = lamp(1, more)
    assert str(found.gauge) == gauge


def test_without_a_fuse_its_wire_is_as_thick_as_the_lead_it_leaves() -> None:
    found, made = lamp(1, ", fuse: none")
    assert found.fuse.presence == "none"
    lead = next(each for each in made.build.leads.values() if each.source == "a")
    assert found.gauge == lead.gauge


@pytest.mark.parametrize(
    ("fuses", "amps", "family", "rating_a"),
    [
        ("    t: {family: class T, rating: 5 A, voltage: 160 V}\n", 1.0, "class T", 5.0),  # any wire will do for 5 A
        ("    t: {family: class T, rating: 6 A, voltage: 160 V}\n", 1.0, "10x38", 2.0),  # larger than it need be
        ("    t: {family: class T, rating: 15 A, voltage: 160 V}\n", 10.0, "class T", 15.0),
        ("    t: {family: class T, rating: 20 A, voltage: 160 V}\n", 10.0, "10x38", 15.0),
        ("    t: {family: class T, rating: 2 A, voltage: 50 V}\n", 1.0, "10x38", 2.0),  # not made for 54.6 V
    ],
)
def test_a_fuse_of_the_shelf_goes_before_one_that_is_bought(
    fuses: str, amps: float, family: str, rating_a: float
) -> None:
    found, _ = lamp(amps, fuses=fuses)
    assert (found.fuse.family, found.fuse.rating_a) == (family, rating_a)
