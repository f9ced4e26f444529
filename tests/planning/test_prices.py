"""Plans from a shop's shelf: what it costs, what is short, and sums worked out anew."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from packyoke.model import FITTED
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike, shop_of

SHOP = shop_of((Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8"))
PRICES = {item.part.name: float(item.price) for item in SHOP.items if item.price is not None}
STOCK = {item.part.name: item.stock for item in SHOP.items}
UNPRICED = ("holder for a class T fuse", "shrink sleeve", "cap for an open plug", "sheet of labels")
"""What the bench's shelf has not."""
CENT = 0.005
RUNS = [("bed", "tube", 400), ("tube", "motor", 500), ("bed", "motor", 800)]
PLACES = {"bed": "{holds: 1, mount: open air}", "tube": "{holds: 2, mount: frame metal}", "motor": "{holds: 0}"}


def planned(
    packs: int,
    prefer: tuple[str, ...] = (),
    *,
    joiners: dict[str, str] | None = None,
    outlet: str = "XT60",
    amps: float = 18,
) -> Plan:
    text = bike({f"p{n}": pack("bed", outlet=outlet) for n in range(packs)}, joiners or {}, PLACES, RUNS, amps=amps)
    found = plan(build_of(text, SHOP), SHOP, prefer)
    assert isinstance(found, Plan), found
    return found


def test_a_triple_joiner_is_cheaper_than_two_small_ones() -> None:
    found = planned(3)
    assert [line.item for line in found.bill if line.section == "joiners"] == ["triple"]
    assert found.proved


def test_two_packs_take_the_small_one() -> None:
    found = planned(2)
    assert [line.item for line in found.bill if line.section == "joiners"] == ["small yoke"]


def test_a_dearer_rating_is_left_for_a_larger_cheaper_fuse_with_the_same_wire() -> None:
    # 18 A needs 22.5 A: T25 would do, T30 costs less; a 32 V blade never stands 54.6 V.
    found = planned(2)
    assert {line.item for line in found.bill if line.section == "fuses"} == {"T30"}


def test_the_next_best_is_another_layout_where_there_is_one_to_choose_and_else_another_wire() -> None:
    laid = planned(3)
    assert laid.runner_up is not None
    assert laid.runner_up.about.startswith("another layout")
    assert laid.runner_up.values[1] > laid.objective.values[1] + CENT * len(laid.bill)
    leads = {
        "a lead": "{from: a, to: y, length: 200 mm}",
        "b lead": "{from: b, to: y, length: 200 mm}",
        "main lead": "{from: y, to: controller, length: 500 mm}",
    }
    mounted = joiner().replace("charge_port: none", "charge_port: none, mount: frame metal")
    text = bike({name: pack("bed") for name in "ab"}, {"y": mounted}, PLACES, [], leads=leads)
    drawn = plan(build_of(text, SHOP), SHOP)
    assert isinstance(drawn, Plan), drawn
    assert drawn.runner_up is not None
    assert drawn.runner_up.about == "another wire or fuse"


def test_the_sum_is_that_of_the_parts() -> None:
    found = planned(3)
    metres_of: dict[str, float] = {}
    for piece in found.pieces:
        assert piece.length_m is not None
        for name in (piece.plus_item, piece.minus_item):
            metres_of[name] = metres_of.get(name, 0.0) + piece.length_m
    # Each line of a bill is in whole cents.
    total = sum(round(metres * PRICES[name], 2) for name, metres in metres_of.items())
    total += sum(len([lead for lead in found.build.leads.values() if lead.fuse.presence == FITTED]) * [8.0])
    total += 1.20 * 2 * len(found.build.leads) + 80
    assert float(found.totals.amount) == pytest.approx(total, abs=CENT)
    assert found.totals.currency == "EUR"
    assert found.totals.unpriced == UNPRICED
    assert found.objective.names[:3] == ("findings", "weighed", "cost")
    # The search adds up before it rounds: half a cent for each line of wire.
    assert found.objective.values[2] == pytest.approx(total, abs=2 * CENT)
    minutes = 25 + sum(10 for line in found.bill for _ in range(int(line.quantity)) if line.section == "fuses")
    metres = sum(float(line.quantity) for line in found.bill if line.section == "wires" and line.minutes_s)
    assert found.totals.minutes == round(minutes + 2 * metres)


def test_a_joiner_in_hand_costs_nothing_and_a_second_one_like_it_its_price() -> None:
    for packs, bought in ((2, 0), (3, 1), (4, 2)):
        found = planned(packs, joiners={"mine": joiner()}, amps=15)
        lines = [(line.item, line.quantity) for line in found.bill if line.section == "joiners"]
        assert sum(PRICES[name] * float(count) for name, count in lines) == (0, 48, 80)[bought], lines
        assert found.objective.values[2] == pytest.approx(float(found.totals.amount), abs=CENT * len(found.bill))


def test_red_is_plus_and_black_is_minus() -> None:
    for piece in planned(2).pieces:
        assert piece.plus_item.startswith("red")
        assert piece.minus_item.startswith("black")


def test_what_the_stock_lacks_is_said() -> None:
    found = planned(2, joiners={"mine": joiner()})
    assert not [line for line in found.bill if line.section == "joiners"]
    short = {line.item: float(line.short) for line in found.bill if line.short}
    for line in found.bill:
        quantity, stock = float(line.quantity), STOCK.get(line.item)
        assert short.get(line.item, 0.0) == pytest.approx(max(0.0, quantity - (stock if stock else quantity)))


def test_an_item_that_is_not_on_the_shelf_has_no_price() -> None:
    found = planned(2, outlet="XT90")
    missing = [line.item for line in found.bill if not line.on_shelf]
    assert missing == [*UNPRICED]
    found = planned(2, joiners={"mine": joiner(45, "XT90")})
    missing = [line.about for line in found.bill if not line.on_shelf and line.about]
    assert missing == ["XT90 socket"]
    assert found.totals.unpriced_count == 1 + len(UNPRICED)


def test_wire_that_the_shelf_does_not_have_is_listed_as_such() -> None:
    shop = shop_of("packyoke-shop: 1\nshelf:\n  wires:\n    thin: {gauge: 18 AWG, insulation: PVC, price: 0.50 EUR}\n")
    text = bike({"a": pack("bed"), "b": pack("bed")}, {"y": joiner()}, PLACES, RUNS)
    found = plan(build_of(text, shop), shop)
    assert isinstance(found, Plan), found
    assert "not on it" in found.doubt
    assert not found.proved
    assert {line.on_shelf for line in found.bill if line.section == "wires"} == {False}


def test_what_a_joiner_loses_is_in_the_figures_of_a_drawn_harness() -> None:
    """Each of two equal packs gives half of 18 A: 10 mohm more in both paths are 2 x 9 x 9 x 0.010 = 1.62 W."""
    leads = {
        **{f"{name} lead": f"{{from: {name}, to: y, length: 200 mm, gauge: 12 AWG}}" for name in "ab"},
        "main lead": "{from: y, to: controller, length: 500 mm, gauge: 12 AWG}",
    }
    lost = []
    for mohm in (2, 12):
        mounted = joiner(mohm=mohm).replace("charge_port: none", "charge_port: none, mount: frame metal")
        found = plan(build_of(bike({name: pack("bed") for name in "ab"}, {"y": mounted}, PLACES, [], leads=leads)))
        assert isinstance(found, Plan), found
        lost.append(found.objective.values[found.objective.names.index("loss")])
    assert lost[1] - lost[0] == pytest.approx(1.62, abs=1e-5)


def test_wire_that_mends_nothing_is_not_bought() -> None:
    """18 A through 2 x 6 m of 14 AWG that is there already (8.3 mohm/m) are 1.8 V, more than 3 % of 40 V: no other
    wire in the other leads changes that."""
    leads = {
        "a lead": "{from: a, to: y, length: 200 mm}",
        "b lead": "{from: b, to: y, length: 200 mm}",
        "main lead": "{from: y, to: controller, length: 6 m, gauge: 14 AWG, insulation: silicone}",
    }
    mounted = joiner().replace("charge_port: none", "charge_port: none, mount: frame metal")
    text = bike({name: pack("bed") for name in "ab"}, {"y": mounted}, PLACES, [], leads=leads)
    found = plan(build_of(text, SHOP), SHOP)
    assert isinstance(found, Plan), found
    assert "voltage-drop" in {each.rule for each in found.left}
    assert "not on it" not in found.doubt
    assert all(line.on_shelf for line in found.bill if line.section == "wires")


@pytest.mark.parametrize("word", ["loss", "copper", "cost", "joints"])
def test_what_is_preferred_comes_out_no_worse_than_without(word: str) -> None:
    usual, preferred = planned(3), planned(3, (word,))
    assert preferred.objective.names[1] == word
    both = [dict(zip(each.objective.names, each.objective.values, strict=True)) for each in (usual, preferred)]
    assert both[1]["findings"] == both[0]["findings"]
    if word in both[0]:
        assert both[1][word] <= both[0][word]
    assert preferred.proved


def planned_of_two_joiners(leads: dict[str, str]) -> Plan:
    """Three packs into one joiner, that and a fourth pack into another."""
    three, two = (
        joiner(inputs=inputs).replace("charge_port: none", "charge_port: none, mount: frame metal") for inputs in (3, 2)
    )
    text = bike({name: pack("bed") for name in "abdc"}, {"y": three, "z": two}, PLACES, [], leads=leads)
    found = plan(build_of(text, SHOP), SHOP)
    assert isinstance(found, Plan), found
    return found


def test_a_fuse_where_three_packs_feed_a_lead_serves_the_next_one_too() -> None:
    # T30 in every pack's lead (18 A / 0.8 = 22.5 A; T30 costs less than T25). The link is fed by three of them, 90 A:
    # the thickest wire of the shop, 10 AWG, bears 1.5 x 55 = 82.5 A. With a T30 in the link two feed the main lead,
    # 60 A: 12 AWG bears 1.5 x 40 A. One in the main lead would leave the link as it is.
    leads = {
        "a lead": "{from: a, to: y, length: 200 mm}",
        "b lead": "{from: b, to: y, length: 200 mm}",
        "d lead": "{from: d, to: y, length: 200 mm}",
        "link": "{from: y, to: z, length: 1600 mm}",
        "c lead": "{from: c, to: z, length: 200 mm}",
        "main lead": "{from: z, to: controller, length: 300 mm}",
    }
    found = planned_of_two_joiners(leads)
    assert found.proved
    made = {name: (str(lead.gauge), lead.fuse.presence == FITTED) for name, lead in found.build.leads.items()}
    assert made["link"] == ("14 AWG", True)
    assert made["main lead"] == ("12 AWG", False)


@pytest.mark.parametrize(("length_mm", "fused"), [(100, False), (1600, True)])
def test_a_lead_that_is_there_and_too_short_for_a_holder_gets_no_fuse(length_mm: int, fused: bool) -> None:
    """The link of the bike above is fed by 90 A. A holder with its two joints needs more than 100 mm."""
    leads = {
        **{f"{name} lead": f"{{from: {name}, to: y, length: 200 mm}}" for name in "abd"},
        "link": f"{{from: y, to: z, length: {length_mm} mm}}",
        "c lead": "{from: c, to: z, length: 200 mm}",
        "main lead": "{from: z, to: controller, length: 300 mm}",
    }
    found = planned_of_two_joiners(leads)
    link = found.build.leads["link"]
    assert link.length_m == length_mm / 1000
    assert (link.fuse.presence == FITTED) is fused


def test_what_two_lines_draw_on_is_there_once() -> None:
    # Three pins and three sockets of one item that is there four times: two are to be ordered, not none.
    found = planned(2, joiners={"mine": joiner()})
    lines = [line for line in found.bill if line.section == "connectors"]
    assert {line.item for line in lines} == {"XT60"}
    needed = sum(line.quantity for line in lines)
    few = shop_of(
        (Path(__file__).parent / "shop.yaml")
        .read_text(encoding="utf-8")
        .replace("price: 1.20 EUR, stock: 40", "price: 1.20 EUR, stock: 4")
    )
    again = plan(build_of(bike({f"p{n}": pack("bed") for n in range(2)}, {"mine": joiner()}, PLACES, RUNS), few), few)
    assert isinstance(again, Plan)
    short = sum(line.short for line in again.bill if line.section == "connectors")
    assert (needed, short) == (6, 2)


@pytest.mark.parametrize("seed", range(12))
def test_no_next_best_is_better_than_the_best(seed: int) -> None:
    build = build_of(random_bike(Random(seed), 4, 6, families=("XT60", "XT90"), holds=2), SHOP)
    for prefer in ((), ("copper",), ("loss",)):
        found = plan(build, SHOP, prefer)
        if isinstance(found, Plan) and found.runner_up is not None:
            # The bill is in whole cents, half a cent a line; the search is not.
            assert found.runner_up.values[0] >= found.objective.values[0]
            first = 1 if found.runner_up.values[0] == found.objective.values[0] else 0
            assert found.runner_up.values[first] >= found.objective.values[first] - CENT * len(found.bill)
