import math

import pytest

from packyoke.shelf.fuses import fuse_family
from packyoke.shelf.mounts import mount, mount_names
from packyoke.shelf.tables import items


@pytest.mark.parametrize(
    ("full_charge_v", "fits_32", "fits_58"),
    [(29.4, True, True), (42.0, False, True), (54.6, False, True), (58.8, False, False)],
)
def test_iso_8820_3_scope_32_and_58_v(full_charge_v, fits_32, fits_58):
    low, high = fuse_family("blade").voltage_v
    assert (full_charge_v <= low, full_charge_v <= high) == (fits_32, fits_58)


def test_iso_8820_3_scope_100_a_and_1000_a():
    blade = fuse_family("Blade")
    assert (blade.highest_a, blade.breaking_a, blade.status) == (100.0, (1000.0, 1000.0), "read")
    # 14s at full charge behind 40 mohm: more than it breaks.
    assert blade.breaking_a[1] < 58.8 / 0.040


@pytest.mark.parametrize(("name", "volts", "amps", "breaking_a"), [("strip", 32, 500, 2000), ("bolt", 58, 300, 2000)])
def test_iso_8820_5_and_6_scope(name, volts, amps, breaking_a):
    found = fuse_family(name)
    assert found.voltage_v[1] == volts
    assert found.highest_a == amps
    assert found.breaking_a[0] == breaking_a


def test_class_t_usual_marking():
    # UL 248-15, usual d.c. marking 160 V, 20 kA; a.c. 200 kA does not count (memory)
    assert fuse_family("class T").voltage_v == (160.0, 160.0)
    assert fuse_family("CLASS T").breaking_a == (10000.0, 20000.0)


def test_the_closed_list_of_families():
    names = ("blade", "strip", "bolt", "class T", "10x38", "miniature", "battery link", "breaker")
    assert tuple(items("fuses")) == names
    for name in names:
        found = fuse_family(name)
        assert 12 <= found.voltage_v[0] <= found.voltage_v[1] <= 1500
        assert found.breaking_a is None or found.breaking_a[0] <= found.breaking_a[1]
    assert fuse_family("slow") is None


def test_mounts_from_best_to_worst():
    bands = [(mount(name).low_k_per_w, mount(name).high_k_per_w) for name in mount_names()]
    assert mount_names() == ("frame metal", "open air", "boxed", "wrapped")
    assert bands == sorted(bands)
    unknown = mount("unknown")
    assert (unknown.low_k_per_w, unknown.high_k_per_w) == (bands[0][0], bands[-1][1])
    assert mount("boxed").status == "assumption"
    assert mount("glued") is None


def test_frame_tube_as_two_long_fins():
    # Tube 35 x 2 mm, aluminium 170 W/(m K), 12 W/(m2 K) outside: R = 1/(2 sqrt(h P k A)), both halves in parallel.
    perimeter_m = math.pi * 0.035
    section_m2 = math.pi * (0.035 - 0.002) * 0.002
    fin_k_per_w = 1 / (2 * math.sqrt(12 * perimeter_m * 170 * section_m2))
    found = mount("Frame Metal")
    assert found.low_k_per_w < fin_k_per_w < found.high_k_per_w


def test_open_air_body_by_textbook_convection_and_radiation():
    # 60 x 40 x 20 mm, 40 K above air of 30 degC: radiation at 0.85 or 0.1 and 4 to 9 W/(m2 K) of natural convection.
    area_m2 = 2 * (0.06 * 0.04 + 0.06 * 0.02 + 0.04 * 0.02)
    radiation = 5.67e-8 * (343.15**4 - 303.15**4) / 40
    best = 1 / (area_m2 * (9 + 0.85 * radiation))
    worst = 1 / (area_m2 * (7 + 0.10 * radiation))
    found = mount("open air")
    assert found.low_k_per_w == pytest.approx(best, rel=0.25)
    assert found.high_k_per_w == pytest.approx(worst, rel=0.25)
