"""The drawing of a build: faults do not depend on the order of the file, and one wrong lead is one fault."""

from __future__ import annotations

from random import Random

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.case import Case
from packyoke.analysis.harness.changed import with_value
from packyoke.analysis.harness.drawing import carrying_all, harness
from packyoke.analysis.harness.drawing import faults as faults_of
from packyoke.buildfile.reading import load
from packyoke.model import Build, Key
from tests.support import edited

LEAD = {"length": "300 mm", "gauge": "12 AWG", "ends": ["XT60 pin", "XT60 socket"]}
LINK = {**LEAD, "from": "first", "to": "second"}
MOST_FOLLOWED = 20_000
"""Enough for 24 packs to 6 controllers; ways that double at each joiner come beyond it at the 15th."""
BROKEN = (
    {"leads.link.from": "second", "leads.link.to": "first"},
    {"leads.round": {"from": "second", "to": "first", **LEAD}},
    {"leads.box lead.to": "first"},
    {"leads.motor lead.from": "first", "leads.round": {"from": "second", "to": "first", **LEAD}},
    {"joiners.spare": {"like": "first"}},
    {},
)


def faults(text: str) -> set[tuple[str, str, str]]:
    build = load(text, "case.yaml")
    assert isinstance(build, Build), build
    return {(fault.kind, fault.part, fault.about) for fault in faults_of(Case(build))}


@pytest.mark.parametrize(
    ("key", "value", "behind_first"),
    [
        (Key("leads.box lead", "gauge"), None, ["north", "south"]),
        (Key("leads.box lead", "target"), "first", ["box", "north", "south"]),
        (Key("leads.north lead", "target"), "second", ["south"]),
    ],
)
def test_a_lead_that_is_led_elsewhere_is_drawn_elsewhere(key: Key, value: str | None, behind_first: list[str]) -> None:
    """And one of which another value is changed is drawn as before."""
    build = load(edited("breakwater-three-packs", {}), "case.yaml")
    assert isinstance(build, Build), build
    case = Case(build)
    before = harness(case)
    after = harness(with_value(case, key, value))
    assert sorted(after.packs_behind["joiners.first"]) == behind_first
    assert (after.packs_behind is before.packs_behind) is (value is None)


@given(st.sampled_from(BROKEN), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_faults_do_not_depend_on_the_order_of_the_file(put: dict[str, object], random: object) -> None:
    text = edited("breakwater-three-packs", put)
    tree = yaml.load(text, Loader=yaml.BaseLoader)
    for section in ("packs", "joiners", "leads"):
        items = list(tree[section].items())
        random.shuffle(items)  # type: ignore[attr-defined]
        tree[section] = dict(items)
    assert faults(yaml.dump(tree, sort_keys=False)) == faults(text)


def test_a_lead_drawn_backwards_is_the_only_fault() -> None:
    assert faults(edited("breakwater-three-packs", BROKEN[0])) == {("backwards", "leads.link", "from second to first")}


def test_what_else_is_wrong_stays_beside_a_backwards_lead() -> None:
    text = edited("breakwater-three-packs", BROKEN[0], ["leads.box lead"])
    assert {(kind, part) for kind, part, _ in faults(text)} == {
        ("backwards", "leads.link"),
        ("reaches no controller", "packs.box"),
    }


def test_a_loop_is_one_fault_whoever_runs_into_it() -> None:
    found = faults(edited("breakwater-three-packs", BROKEN[1]))
    assert [part for kind, part, _ in found if kind == "loop"] == ["leads.round"]


def test_leads_beside_each_other_are_a_fault_and_one_is_followed() -> None:
    text = edited("breakwater-three-packs", {"leads.a": LINK, "leads.b": LINK, "leads.c": LINK}, ["leads.link"])
    found = faults(text)
    assert [part for kind, part, _ in found if kind == "two ways"] == ["leads.b"]
    build = load(text, "case.yaml")
    assert isinstance(build, Build)
    assert [lead.name for lead in harness(Case(build)).feeding("second") if lead.source == "first"] == ["a"]


@pytest.mark.parametrize(
    ("source", "target", "room"),
    [("first", "second", {}), ("north", "first", {}), ("second", "controller", {}), ("first", "second", "more")],
)
def test_a_lead_beside_another_is_one_fault_whatever_there_is_room_for(source: str, target: str, room: object) -> None:
    put: dict[str, object] = {"leads.z beside": {"from": source, "to": target}}
    if room:
        put |= {"joiners.first.outlet": ["XT60 socket", "XT60 socket"], "joiners.second.inputs": "3"}
    assert {(kind, part) for kind, part, _ in faults(edited("breakwater-three-packs", put))} == {
        ("two ways", "leads.z beside")
    }


def test_a_lead_too_many_is_told_beside_one_that_lies_beside_another() -> None:
    put = {
        "leads.z beside": {"from": "first", "to": "second"},
        "packs.late": {"like": "north"},
        "leads.late lead": {"from": "late", "to": "second"},
    }
    assert {(kind, part) for kind, part, _ in faults(edited("breakwater-three-packs", put))} == {
        ("two ways", "leads.z beside"),
        ("too many leads in", "joiners.second"),
    }


@pytest.mark.parametrize("seed", range(40))
def test_who_follows_leads_of_any_drawing_comes_to_an_end(seed: int) -> None:
    """As rules do: from a part back to the packs and on to the controllers, a part as often as ways come to it."""
    dice = Random(seed)
    joiners = dice.randrange(2, 41)
    controllers = dice.randrange(1, 7)
    drawing = harness(Case(web(dice.randrange(2, 25), joiners, controllers, dice.randrange(150), dice)))
    for ways in drawing.ways.values():
        assert len({way[-1] for way in ways}) == len(ways)
    for at in range(controllers):  # what feeds a controller is a tree: no part twice
        left, seen = [f"c{at}"], []
        while left:
            left += (further := [lead.source for lead in drawing.feeding(left.pop())])
            seen += further
        assert len(set(seen)) == len(seen)
    for start in [f"j{at}" for at in range(joiners)]:
        for further in (
            lambda name: [lead.source for lead in drawing.feeding(name)],
            lambda name: [lead.target for lead in drawing.onward(name)],
        ):
            steps, left = 0, [start]
            while left:
                left += further(left.pop())
                steps += 1
                assert steps < MOST_FOLLOWED


@pytest.mark.parametrize("seed", range(40))
def test_each_of_leads_beside_one_another_is_followed_where_the_first_is(seed: int) -> None:
    """In any drawing that follows the first: between others to the same controller too, whatever their names."""
    dice = Random(seed)
    build = web(dice.randrange(2, 9), dice.randrange(2, 5), dice.randrange(1, 4), dice.randrange(2, 20), dice)
    names = [*build.leads]
    others = dict(zip(names, dice.sample(names, len(names)), strict=True))
    leads = [build.leads[name].but(name=new, path=f"leads.{new}") for name, new in others.items()]
    case = Case(build.but(leads={lead.name: lead for lead in leads}))
    drawing = harness(case)
    for lead in leads:
        first = drawing.beside.get(lead.name)
        if first is not None and first in drawing.packs_behind:
            alone = harness(carrying_all(case, lead))
            assert alone.packs_behind[lead.path] == drawing.packs_behind[first]
            assert alone.controllers_ahead[lead.path] == drawing.controllers_ahead[first]
            assert first not in alone.packs_behind


def web(packs: int, joiners: int, controllers: int, leads: int, dice: Random) -> Build:
    """Parts led to each other by chance: leads beside each other, back, in rings."""
    template = load(edited("breakwater-three-packs", {}), "case.yaml")
    assert isinstance(template, Build)
    pack, joiner, lead = template.packs["north"], template.joiners["first"], template.leads["link"]
    (controller,) = template.controllers.values()
    steps = dice.choice(((1, 1, 2, 3), (1, 1, 2, 3), (-1, 1, 1, 1, 2, 3)))
    drawn = {
        f"p{at}": lead.but(
            name=f"p{at}", path=f"leads.p{at}", source=f"p{at}", target=f"j{dice.randrange(joiners)}", inlet=None
        )
        for at in range(packs)
    }
    for at in range(leads):
        source = dice.randrange(joiners)
        target = min(joiners - 1, max(0, source + dice.choice(steps)))
        drawn[f"w{at}"] = lead.but(
            name=f"w{at}", path=f"leads.w{at}", source=f"j{source}", target=f"j{target}", inlet=None
        )
    for at in range(controllers):
        source = dice.randrange(joiners)
        drawn[f"m{at}"] = lead.but(name=f"m{at}", path=f"leads.m{at}", source=f"j{source}", target=f"c{at}", inlet=None)
    for at in range(dice.randrange(3)):
        source, target = f"p{dice.randrange(packs)}", f"c{dice.randrange(controllers)}"
        drawn[f"x{at}"] = lead.but(name=f"x{at}", path=f"leads.x{at}", source=source, target=target, inlet=None)
    return template.but(
        packs={f"p{at}": pack.but(name=f"p{at}", path=f"packs.p{at}") for at in range(packs)},
        joiners={f"j{at}": joiner.but(name=f"j{at}", path=f"joiners.j{at}") for at in range(joiners)},
        controllers={f"c{at}": controller.but(name=f"c{at}", path=f"controllers.c{at}") for at in range(controllers)},
        leads=drawn,
    )
