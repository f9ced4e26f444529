"""Bikes as they come to the counter, with what hangs on them: lamps, readings, a maker's dock, a charger in a joiner.

What is offered is what the check passes when it is built, and what comes off leaves nothing behind that speaks of it.
"""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build
from packyoke.planning.plan import plan
from packyoke.planning.quoting.candidates import Choice
from packyoke.planning.quoting.offers import Offer, Refused
from packyoke.planning.quoting.search import Quote, Wish, quote
from packyoke.planning.result import Plan, Refusal
from packyoke.verdict.check import check
from tests.planning.bikes import bike, build_of, joiner, pack
from tests.planning.test_quote import HEAD, RIDE
from tests.support import edited

ONE_PACK = """    fat: {label: 48 V, chemistry: NMC, series: 13, capacity: 20 Ah, mass: 5 kg, discharge: 30 A,
      charge: 4 A, outlet: XT60 socket, fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}, cells: power,
      cut_off: 36 V, bms: {charge_path: common, data: none, wakes: always}, price: 400 EUR}
"""
BIKE = "counter/parcel-bike"
ADDED, IN_PLACE = Choice(("fat",)), Choice(("fat",), ("keel",))
DOCK: dict[str, Any] = {
    "packs.hull": {"like": "keel", "place": "down tube"},
    "joiners.dock": "{type: ideal-diode, resistance: 2 mohm, blocks_in: positive, inlets: XT60 pin, "
    "mount: frame metal, charge_port: none, place: seat tube, "
    "built_in: {packs: 2, full_charge: 54.6 V, current: 25 A}}",
    "leads.keel lead.to": "dock",
    "leads.hull lead": "{from: hull, to: dock, length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}",
}
LAMP = "{max: 60 V, current: 0.5 A, fuse: {family: 10x38, rating: 2 A, voltage: 1000 V}, from: "


def shop() -> Shop:
    found = load_shop(HEAD + ONE_PACK, "shop")
    assert isinstance(found, Shop), found
    return found


def quoted(put: dict[str, Any], drop: tuple[str, ...] = ()) -> Quote:
    build = load(edited(BIKE, put, drop), "bike", shop=shop())
    assert isinstance(build, Build), build
    found = quote(build, shop(), Wish(ride=RIDE, add=(0, 1)))
    assert isinstance(found, Quote)
    return found


def offers(found: Quote) -> dict[Choice, Offer]:
    for each in found.front:
        assert check(each.build).verdict in ("none-found", "caution"), each.choice
    return {each.choice: each for each in found.front}


def reading(part: str, what: str, value: str, **more: str) -> dict[str, Any]:
    return {"measured": [{"date": "2026-10-01", "part": part, "what": what, "value": value, **more}]}


@pytest.mark.parametrize(
    "record",
    [
        reading("leads.keel lead", "drop", "30 mV", at="10 A"),
        reading("packs.keel", "capacity", "13 Ah"),
        reading("packs.keel.fuse", "fuse", "30 A"),
        {
            "accept": "[{rule: as-built-differs, part: leads.keel lead, found: 30 mV, because: measured twice, "
            "by: workshop lead, until: 2027-10-01}]"
        },
    ],
)
def test_a_reading_of_what_comes_off_is_of_nothing_that_is_offered(record: dict[str, Any]) -> None:
    found = offers(quoted(record))
    assert {ADDED, IN_PLACE} <= found.keys()
    gone = found[IN_PLACE].build
    assert not gone.measured
    assert not gone.accept


def test_an_offer_is_ridden_with_the_new_pack_whatever_sets_the_file_has() -> None:
    found = {choice: offer.build.sets for choice, offer in offers(quoted({"sets": [["keel"]]})).items()}
    assert found == {Choice(): (("keel",),), ADDED: None, IN_PLACE: None}


def test_a_reading_of_what_stays_is_kept() -> None:
    added = offers(quoted(reading("packs.keel", "capacity", "13 Ah")))[ADDED]
    assert [each.part for each in added.build.measured] == ["packs.keel"]


@pytest.mark.parametrize(
    ("source", "offered", "told"),
    [
        ("keel", {ADDED}, "lamp hangs on keel, which comes off"),
        # Where the lead of the only pack goes, nothing can be joined in either.
        ("keel lead", set(), "lamp hangs on keel lead, which comes off"),
    ],
)
def test_a_pack_that_a_lamp_hangs_on_stays_and_others_are_offered_beside_it(
    source: str, offered: set[Choice], told: str
) -> None:
    found = quoted({"accessories.lamp": f"{LAMP}{source}}}"})
    assert {each for each in offers(found) if each.added} == offered
    reasons = {each.choice: each.reason for each in found.refused}
    assert reasons[IN_PLACE] == told
    assert (ADDED in reasons) == (not offered)


@pytest.mark.parametrize(
    ("put", "offered", "stopped_at"),
    [
        ({"packs.keel.condition": "swollen"}, {IN_PLACE}, ("packs.keel",)),
        ({"packs.keel.fuse.voltage": "32 V"}, {IN_PLACE}, ("packs.keel",)),
        # A lead that comes off is no pack: what is at stop besides stays in the bike.
        ({"leads.keel lead.gauge": "20 AWG"}, set(), None),
        ({"packs.keel.condition": "swollen", "controller.voltage.max": "50 V"}, set(), None),
    ],
)
def test_in_place_of_a_pack_at_stop_another_one_is_offered(
    put: dict[str, Any], offered: set[Choice], stopped_at: tuple[str, ...] | None
) -> None:
    found = quoted(put)
    assert isinstance(found.now, Refused)
    assert stopped_at in (None, found.now.stops)
    assert offers(found).keys() == offered


def test_packs_go_into_the_makers_dock_and_nowhere_beside_it() -> None:
    found = quoted(DOCK)
    seen = offers(found)
    for choice, offer in seen.items():
        assert {lead.target for lead in offer.build.leads.values()} == {"dock"}, choice
    assert {each for each in seen if each.added} == {
        Choice(("fat",), off) for off in (("keel",), ("hull",), ("keel", "hull"))
    }
    assert "every inlet before it is taken" in {each.choice: each.reason for each in found.refused}[ADDED]


RUNS = [("bed", "tube", 400), ("tube", "motor", 500)]
PLACES = {"bed": "{holds: 0}", "tube": "{holds: 3, mount: frame metal}", "motor": "{holds: 0}"}
PORT = "charge_port: {current: 5 A, blocks: each pack, inlet: XT60 socket}"


@pytest.mark.parametrize("names", ["ab", "abc"])
def test_a_joiner_that_a_charger_works_through_is_given_a_place(names: str) -> None:
    """The tries of a plan have one joiner or none: the charger of another one is not in them."""
    joiners = {each: joiner().replace("charge_port: none", PORT) for each in "yz"[: len(names) - 1]}
    chargers = "chargers:\n  own: {output: 54.6 V, current: 3 A, plug: XT60 pin, through: y}\n"
    made = plan(build_of(bike({each: pack("bed") for each in names}, joiners, PLACES, RUNS, more=chargers)))
    assert isinstance(made, Plan), made
    assert made.build.chargers["own"].through == "y"
    assert check(made.build).verdict in ("none-found", "caution")
    assert all(each.place_name == "tube" for each in made.build.joiners.values())


@pytest.mark.parametrize("drawn", [False, True])
def test_a_plan_leads_packs_into_the_makers_dock(drawn: bool) -> None:
    dock = joiner().replace("ceiling", "built_in: {packs: 2, full_charge: 54.6 V, current: 30 A}, place: tube, ceiling")
    leads = {"a lead": "{from: a, to: y}"} if drawn else {}
    text = bike({each: pack("bed") for each in "ab"}, {"y": dock}, PLACES, RUNS, leads=leads)
    made = plan(build_of(text))
    assert isinstance(made, Plan), made
    assert {(lead.source, lead.target) for lead in made.build.leads.values()} == {("a", "y"), ("b", "y")}
    assert check(made.build).verdict in ("none-found", "caution")
    lost = plan(build_of(text.replace("place: tube, ceiling", "ceiling")))
    assert isinstance(lost, Refusal)
    assert (lost.text, lost.do) == ("not in the file: where y sits", "Write  place:  at y.")


@pytest.mark.parametrize(
    ("drop", "waiting"),
    [
        ((), ()),
        (("controller.battery_current",), (ADDED, IN_PLACE)),
        (("packs.keel.series", "packs.keel.label"), (ADDED,)),
        (("packs.keel.capacity",), (ADDED,)),
        (("packs.keel.outlet",), (ADDED,)),
        (("packs.keel.fuse",), ()),
        (("packs.keel.discharge",), ()),
    ],
)
def test_a_choice_that_nobody_can_plan_yet_waits_and_is_not_stopped(
    drop: tuple[str, ...], waiting: tuple[Choice, ...]
) -> None:
    found = quoted({}, drop)
    assert {each.choice for each in found.waiting} == {*waiting}
    assert found.counted == (2, 2 - len(waiting))
    assert not any(each.stopped for each in found.waiting)
    assert {each.choice for each in found.front} - {Choice()} == {ADDED, IN_PLACE} - {*waiting}
