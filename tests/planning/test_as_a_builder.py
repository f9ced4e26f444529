"""What somebody who makes harnesses every day would send back."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from packyoke.buildfile.writing.complete import completed_text
from packyoke.core.findings import Severity
from packyoke.model import FITTED, Gauge
from packyoke.planning.growing import TooMany
from packyoke.planning.plan import plan
from packyoke.planning.result import NONE_FOUND, NoPlan, Plan, Refusal
from packyoke.planning.search import Search
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike, section, shop_of
from tests.planning.judging import weight

JOINERS = """  joiners:
    yoke: {type: ideal-diode, ceiling: 65 V, current: {continuous: 30 A}, resistance: 2 mohm, blocks_in: positive,
           inputs: %d, inlets: XT60 pin, outlet: XT60 socket, charge_port: none%s}
"""
SHELF = "packyoke-shop: 1\nshelf:\n"
WIRES = """  wires:
    red 14: {gauge: 14 AWG, insulation: silicone, pole: plus, price: 0.90 EUR}
    black 14: {gauge: 14 AWG, insulation: silicone, pole: minus, price: 0.80 EUR}
    red 12: {gauge: 12 AWG, insulation: silicone, pole: plus, price: 1.40 EUR}
    black 12: {gauge: 12 AWG, insulation: silicone, pole: minus, price: 1.30 EUR}
"""
PLACES = {"bed": "{holds: 2, mount: frame metal}", "motor": "{holds: 0}"}
TWO = {"a": pack("bed"), "b": pack("bed")}


def two_packs(mm: int = 900, places: dict[str, str] | None = None, joiners: dict[str, str] | None = None) -> str:
    return bike(TWO, {"y": joiner()} if joiners is None else joiners, places or PLACES, [("bed", "motor", mm)])


def test_a_place_without_a_mount_is_a_question_and_no_crash() -> None:
    shop = shop_of(SHELF + JOINERS % (2, ""))
    found = plan(build_of(two_packs(places={"bed": "{holds: 1}", "motor": "{holds: 0}"}, joiners={}), shop), shop)
    assert isinstance(found, Plan), found
    # 0.65 W: cool enough wherever it is. At 12 mohm it depends on what takes its heat, and that is a question.
    assert not found.left
    hot = shop_of(SHELF + (JOINERS % (2, "")).replace("2 mohm", "12 mohm"))
    found = plan(build_of(two_packs(places={"bed": "{holds: 1}", "motor": "{holds: 0}"}, joiners={}), hot), hot)
    assert isinstance(found, Plan), found
    assert {each.severity for each in found.left if each.rule == "joiner-overheats"} == {Severity.OPEN}


@pytest.mark.parametrize("mm", range(900, 4500, 400))
def test_a_longer_run_never_gives_thinner_wire(mm: int) -> None:
    # XT60 takes 12 AWG at the most; where even that loses more than 3 %, it is still what misses it least.
    shorter, longer = (plan(build_of(two_packs(each))) for each in (mm, mm + 400))
    assert isinstance(shorter, Plan)
    assert isinstance(longer, Plan)
    one, other = (each.build.leads["main lead"].gauge for each in (shorter, longer))
    assert one is not None
    assert other is not None
    assert other.size <= one.size


def test_a_run_that_no_wire_makes_up_for_takes_the_thickest_that_fits() -> None:
    found = plan(build_of(two_packs(4900)))
    assert isinstance(found, Plan)
    assert {each.rule for each in found.left} == {"voltage-drop"}
    assert found.build.leads["main lead"].gauge == Gauge("AWG", 12.0)
    assert not found.proved


def test_no_lead_is_shorter_than_can_be_made() -> None:
    found = plan(build_of(two_packs()))
    assert isinstance(found, Plan)
    for lead in found.build.leads.values():
        assert lead.length_m is not None
        assert lead.length_m >= (0.25 if lead.fuse.presence == FITTED else 0.15)


def test_no_fuse_behind_the_joiners_for_a_few_grams_of_copper() -> None:
    # Two fuses of 25 A feed the main lead, 50 A. 33 CFR 183.425 table 5, 90 degC: 12 AWG 40 A, times 1.5 is 60 A;
    # 14 AWG 30 A, 45 A, so only with a third fuse in it. 0.5 m of the thicker wire is 2 x 0.5 m x 1.23 mm2 x 8.89 g
    # = 11 g more copper; a fuse with its holder and two joints is 280 g.
    found = plan(build_of(two_packs(360)))
    assert isinstance(found, Plan)
    fused = {name for name, lead in found.build.leads.items() if lead.fuse.presence == FITTED}
    assert fused == {"a lead", "b lead"}


def test_a_joiner_of_three_inputs_needs_no_second_one() -> None:
    shop = shop_of(SHELF + JOINERS % (3, ", mount: frame metal"))
    text = (
        bike({name: pack("bed") for name in "abc"}, {}, {}, [])
        .replace(", place: bed", "")
        .replace(", place: motor", "")
    )
    found = plan(build_of(text, shop), shop)
    assert isinstance(found, Refusal)
    assert found.missing == (("a", "yoke"), ("b", "yoke"), ("c", "yoke"), ("yoke", "controller"))


def test_a_fuse_that_the_shelf_lacks_is_planned_and_marked_to_buy() -> None:
    shop = shop_of(
        SHELF + WIRES + "  fuses:\n    small: {family: blade, rating: 10 A, voltage: 32 V, price: 0.40 EUR}\n"
    )
    found = plan(build_of(two_packs(), shop), shop)
    assert isinstance(found, Plan)
    assert {name for name, lead in found.build.leads.items() if lead.fuse.presence == FITTED} >= {"a lead", "b lead"}
    assert {line.on_shelf for line in found.bill if line.section == "fuses"} == {False}


def test_which_conductor_is_the_plus_is_said_by_the_shop_file_or_asked() -> None:
    told = shop_of(SHELF + WIRES)
    found = plan(build_of(two_packs(), told), told)
    assert isinstance(found, Plan)
    assert all(piece.plus_item.startswith("red") and piece.minus_item.startswith("black") for piece in found.pieces)
    untold = shop_of((SHELF + WIRES).replace("pole: plus, ", "").replace("pole: minus, ", ""))
    found = plan(build_of(two_packs(), untold), untold)
    assert isinstance(found, Plan)
    assert not any(piece.plus_item or piece.minus_item for piece in found.pieces)
    assert any("which is the plus" in note for note in found.notes)


def test_nothing_of_a_cable_that_exists_is_chosen() -> None:
    leads = {
        "a lead": "{from: a, to: y, length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket], fuse: none}",
        "b lead": "{from: b, to: y, length: 400 mm}",
        "main lead": "{from: y, to: controller, length: 900 mm}",
    }
    packs = {name: pack("bed", more="fuse: {family: class T, rating: 25 A, voltage: 160 V}") for name in "ab"}
    mounted = joiner().replace("charge_port: none", "charge_port: none, mount: frame metal")
    found = plan(build_of(bike(packs, {"y": mounted}, {}, [], leads=leads, at="bed").replace(", place: bed", "")))
    assert isinstance(found, Plan), found
    assert found.build.leads["a lead"].insulation is None
    assert found.build.leads["b lead"].insulation is not None
    assert not [each for each in found.filled if each.path == "leads.a lead"]


@pytest.mark.parametrize(("seed", "packs"), [(0, 7), (1, 8), (2, 9), (3, 12)])
def test_many_packs_are_planned_with_a_bound(seed: int, packs: int) -> None:
    found = plan(build_of(random_bike(Random(seed), packs, 8, holds=4)))
    if isinstance(found, NoPlan):
        assert "not every layout was tried" in found.constraint or found.rule
        return
    assert isinstance(found, Plan), found
    assert not found.proved
    assert "above the best possible" in found.doubt


def drawn(packs: int, inputs: int, rng: Random) -> str:
    """Places and runs by chance, a tree of joiners that is drawn whole, and no joiner with a place."""
    head, _, rest = random_bike(rng, packs, 5, holds=packs).partition("joiners:\n")
    waiting = [f"p{n}" for n in range(packs)]
    joiners: dict[str, str] = {}
    leads: dict[str, str] = {}
    while len(waiting) > 1:
        name = f"j{len(joiners)}"
        taken = [waiting.pop(rng.randrange(len(waiting))) for _ in range(min(inputs, len(waiting)))]
        joiners[name] = joiner(inputs=len(taken))
        leads |= {f"{each} to {name}": f"{{from: {each}, to: {name}}}" for each in taken}
        waiting.append(name)
    leads["main lead"] = f"{{from: {waiting[0]}, to: controller}}"
    return head + section("joiners", joiners) + section("leads", leads) + rest[rest.index("controller:") :]


@pytest.mark.parametrize(("packs", "inputs"), [(7, 2), (8, 3), (9, 9)])
def test_a_drawn_tree_of_many_packs_gets_its_places(packs: int, inputs: int) -> None:
    build = build_of(drawn(packs, inputs, Random(packs)))
    found = plan(build)
    assert isinstance(found, Plan), found
    assert found.proved
    assert not found.new
    assert weight(found.build)[0] == 0
    # No joiner anywhere else makes it better, the others where they are: with all lengths open and nothing else.
    mine = found.objective.values[:2]
    for name in build.joiners:
        for place in build.places.values():
            if place.holds < packs:
                continue
            moved = {
                other: replace(each, place_name=place.name, mount=place.mount)
                if other == name
                else replace(each, place_name=(at := found.build.joiners[other]).place_name, mount=at.mount)
                for other, each in build.joiners.items()
            }
            other_plan = plan(replace(build, joiners=moved))
            if isinstance(other_plan, Plan):
                assert other_plan.objective.values[:2] >= tuple(value - 1e-5 for value in mine)


TAPS = [
    # 1 A over 0.8 is 1.25 A, a 2 A fuse; 33 CFR 183.425 table 5 begins at 18 AWG, 10 A in the 60 degC column.
    ("current: 1 A", 2.0, 18.0),
    # Not known: up to 2 A, over 0.8 is 2.5 A.
    ("standby: 1 mA", 3.0, 18.0),
    # 8 A over 0.8 is 10 A.
    ("current: 8 A", 10.0, 18.0),
    # 9 A over 0.8 is 11.25 A: 15 A; below 50 V nominal 150 % of what the wire bears: 18 AWG, 10 A.
    ("current: 9 A", 15.0, 18.0),
]


@pytest.mark.parametrize(("said", "rating_a", "gauge"), TAPS)
def test_the_fuse_and_the_wire_of_a_tap_are_planned(said: str, rating_a: float, gauge: float) -> None:
    text = two_packs() + f"accessories:\n  lamp: {{from: y, max: 60 V, {said}}}\n"
    build = build_of(text)
    found = plan(build)
    assert isinstance(found, Plan), found
    tap = found.build.accessories["lamp"]
    assert (tap.fuse.presence, tap.fuse.rating_a, tap.gauge) == (FITTED, rating_a, Gauge("AWG", gauge))
    assert not [each for each in found.left if each.part == "accessories.lamp"]
    assert sum(line.quantity for line in found.bill if line.section == "fuses") >= 3
    assert [joint.end for joint in found.joints if joint.lead == "lamp"] == ["fuse", "fuse"]
    # What is written into the file is the same build.
    again = build_of(completed_text(text, build, found))
    assert again.accessories["lamp"].gauge == tap.gauge
    assert again.accessories["lamp"].fuse.rating_a == rating_a


def test_a_tap_that_has_no_fuse_is_as_thick_as_what_it_leaves() -> None:
    found = plan(build_of(two_packs() + "accessories:\n  lamp: {from: y, max: 60 V, current: 1 A, fuse: none}\n"))
    assert isinstance(found, Plan), found
    tap, main = found.build.accessories["lamp"], found.build.leads["main lead"]
    assert tap.gauge == main.gauge
    assert not [each for each in found.left if each.part == "accessories.lamp"]


def test_the_wire_of_a_tap_with_a_small_fuse_stays_as_it_is() -> None:
    lamp = "{from: y, max: 60 V, current: 1 A, fuse: {family: 10x38, rating: 2 A, voltage: 1000 V}}"
    found = plan(build_of(two_packs() + f"accessories:\n  lamp: {lamp}\n"))
    assert isinstance(found, Plan), found
    assert found.build.accessories["lamp"].gauge is None


def test_a_drawn_tree_with_too_many_ways_gets_what_turns_up_and_no_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    def gives_up(search: Search, *, first_only: bool = False) -> None:
        raise TooMany

    build = build_of(drawn(7, 2, Random(7)))
    monkeypatch.setattr(Search, "run", gives_up)
    found = plan(build)
    assert isinstance(found, Plan), found
    assert (found.proved, "too many layouts to try them all" in found.doubt) == (False, True)
    # That nothing turns up is no proof that there is nothing.
    monkeypatch.setattr(Search, "most_promising", lambda *_, **__: None)
    none = plan(build)
    assert isinstance(none, NoPlan), none
    assert none.constraint.startswith(NONE_FOUND)
