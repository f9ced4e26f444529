"""Plans with wire that is sold in whole steps: what has to be bought counts, not what is used of it.

Two packs beside their joiner, 150 mm each, and 1200 mm on to the controller: 1.5 m of wire for each conductor, six
halves of plugs at 1 EUR.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from packyoke.planning.plan import plan
from packyoke.planning.result import NoPlan, Plan
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of

FUSED = "fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}"
PLACES = {"bed": "{holds: 1, mount: frame metal}", "motor": "{holds: 0}"}
BIKE = bike(
    {name: pack("bed", more=FUSED) for name in "ab"}, {"y": joiner()}, PLACES, [("bed", "motor", 1000)], amps=15
).replace("region: EU\n", "region: EU\nall_leads: {insulation: silicone}\n")
SHOP = """packyoke-shop: 1
shelf:
  connectors: {XT60: {per_contact: 30 A, contacts: pin and socket, contact_resistance: 0.5 mohm, price: 1 EUR}}
  wires:
"""


def planned(wires: list[tuple[int, str, str]], prefer: tuple[str, ...] = ()) -> Plan:
    """Wires by gauge, price of a metre of one conductor, and step."""
    lines = "".join(
        f"    {pole} {gauge}: {{gauge: {gauge} AWG, insulation: silicone, pole: {pole}, price: {price} EUR{step}}}\n"
        for gauge, price, step in ((gauge, price, f", step: {step}" if step else "") for gauge, price, step in wires)
        for pole in ("plus", "minus")
    )
    shop = shop_of(SHOP + lines)
    found = plan(build_of(BIKE, shop), shop, prefer)
    assert isinstance(found, Plan), found
    return found


@pytest.mark.parametrize(
    ("wires", "parts", "gauges", "proved"),
    [
        # By the metre 14 AWG is the cheaper one for the short leads, and ten metres of it would have to be bought.
        ([(12, "1.40", "0.5 m"), (14, "1.00", "10 m")], "10.20", "12 12 12", False),
        # 28 EUR and 20 EUR for a reel of each colour: 6 + 20.
        ([(12, "1.40", "10 m"), (14, "1.00", "10 m")], "26.00", "14 14 14", False),
        # 0.3 m are half a metre, 1.2 m are 1.5 m: 1.5 m of one kind is a half metre less.
        ([(12, "1.40", "0.5 m"), (14, "1.00", "0.5 m")], "10.20", "12 12 12", False),
        # Nothing else to choose from.
        ([(12, "1.40", "10 m")], "34.00", "12 12 12", True),
        # 2 x (1.2 m at 1.40 and 0.3 m at 1.00), and nothing is left over.
        ([(12, "1.40", ""), (14, "1.00", "")], "9.96", "12 14 14", True),
        ([(12, "1.40", "0.1 m"), (14, "1.00", "0.1 m")], "9.96", "12 14 14", True),
    ],
)
def test_what_is_left_over_counts(wires: list[tuple[int, str, str]], parts: str, gauges: str, proved: bool) -> None:
    found = planned(wires)
    assert found.totals.parts == Decimal(parts)
    cut = [lead.gauge for lead in found.build.leads.values()]
    assert " ".join(sorted(f"{gauge.size:g}" for gauge in cut if gauge is not None)) == gauges
    assert found.proved == proved
    assert ("whole steps" in found.doubt) != proved


def test_the_cheapest_is_what_costs_least_to_buy() -> None:
    found = planned([(12, "1.40", "0.5 m"), (14, "1.00", "10 m")], ("cost",))
    assert found.totals.parts == Decimal("10.20")
    assert dict(zip(found.objective.names, found.objective.values, strict=True))["cost"] == 10.2


def test_who_wants_little_loss_gets_the_thicker_wire_whatever_is_left_over() -> None:
    found = planned([(12, "1.40", "10 m"), (14, "1.00", "0.5 m")], ("loss",))
    assert {lead.gauge.size for lead in found.build.leads.values() if lead.gauge is not None} == {12.0}


def test_ways_out_are_looked_for_with_wire_that_is_sold_in_steps() -> None:
    """A larger joiner is tried from a shelf that has one: that ended in a traceback where wire has a step."""
    wires = "    red 12: {gauge: 12 AWG, insulation: silicone, pole: plus, price: 1.40 EUR, step: 0.5 m}\n"
    shop = shop_of(SHOP + wires + wires.replace("red", "black").replace("plus", "minus"))
    found = plan(build_of(BIKE.replace("ceiling: 65 V", "ceiling: 50 V"), shop), shop)
    assert isinstance(found, NoPlan), found
    assert [way.text for way in found.ways_out] == ["a 15 A joiner, for 54.6 V or more"]
