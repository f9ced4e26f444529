import math

import pytest

from packyoke.physics.conductor import awg_area_m2
from packyoke.shelf.connectors import CONTACTS, connector, connector_names
from packyoke.shelf.wires import copper_area_m2


@pytest.mark.parametrize(("name", "amps"), [("XT30", 15), ("xt60", 30), ("XT90", 45), ("4 MM bullet", 40)])
def test_trade_practice_cautious_ratings(name, amps):
    found = connector(name)
    assert found.per_contact_a == amps
    assert found.status == "practice"
    assert found.both_poles_reachable
    assert found.contacts == "pin and socket"


def test_iec_61210_blade_takes_conductors_up_to_6_mm2():
    blade = connector("6.3 mm blade")
    assert blade.wire_m2[1] == pytest.approx(copper_area_m2("mm2", 6))
    assert blade.short_a is blade.short_s is None


def test_wire_range_is_copper_area():
    assert connector("XT60").wire_m2 == pytest.approx((awg_area_m2(14), awg_area_m2(12)))
    assert connector("M5 ring").wire_m2[0] == 0.0
    assert connector("5.5 mm barrel").wire_m2 is None


@pytest.mark.parametrize(
    ("text", "name", "amps"),
    [("genderless 45 A", "genderless 45 A", 45), ("Genderless 120A", "genderless 120 A", 120)],
)
def test_genderless_housing_carries_its_amps_in_its_name(text, name, amps):
    found = connector(text)
    assert (found.family, found.per_contact_a, found.contacts) == (name, amps, "genderless")


@pytest.mark.parametrize("text", ["joint", "joint crimp", "Joint Solder"])
def test_a_joint_does_not_limit(text):
    assert connector(text).per_contact_a is None
    assert connector(text).contacts == "joint"


@pytest.mark.parametrize("text", ["", "XT61", "genderless", "genderless 0 A", "genderless A", "joint glue", "XT60 pin"])
def test_unknown_families_are_none(text):
    assert connector(text) is None


def test_mains_couplers_are_marked():
    # IEC 60320-3: C13 and C14 are rated 10 A
    assert {name for name in connector_names() if name != "genderless" and connector(name).mains} == {
        "C13",
        "C14",
        "mains plug",
    }
    assert connector("c14").per_contact_a == 10


def test_every_family_is_whole():
    for name in connector_names():
        found = connector("genderless 50 A" if name == "genderless" else name)
        low, high = found.contact_resistance_ohm
        assert 0 < low < high < 0.1
        assert found.contacts in CONTACTS
        assert (found.short_a is None) == (found.short_s is None)
        if found.short_a is not None:
            # Twice the heat is 1.41 times the current; a short rating below the lasting one would be a slip.
            assert found.short_a > found.per_contact_a
        if found.wire_m2 is not None:
            assert found.wire_m2[0] <= found.wire_m2[1]


def test_contact_heat_at_the_cautious_rating_is_small():
    # A contact pair in plastic stands a watt or two (practice): the worst new contact at its rating stays near that.
    for name in ("XT30", "XT60", "XT90", "4 mm bullet", "6.3 mm blade"):
        found = connector(name)
        assert found.per_contact_a**2 * found.contact_resistance_ohm[1] < 2.0
        assert math.isfinite(found.per_contact_a)
