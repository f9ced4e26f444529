"""What a file or its shop file says of all leads counts for those that are planned, as for those that are drawn.

Two packs at one place, a joiner at another and the controller at a third; the shelf has cheap wire with PVC on it and
dear wire with silicone.
"""

from __future__ import annotations

import pytest

from packyoke.answers.plan.answer import choices
from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.complete import completed_text
from packyoke.buildfile.writing.words import run_words
from packyoke.model import Build
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of

FUSED = "fuse: {family: 10x38, rating: 25 A, voltage: 1000 V}"
PLACES = {"bed": "{holds: 0}", "tube": "{holds: 1, mount: frame metal}", "motor": "{holds: 0}"}
RUNS = [("bed", "tube", 500), ("tube", "motor", 500)]
PACKS = {name: pack("bed", more=FUSED) for name in "ab"}
SHOP = """packyoke-shop: 1
defaults: {DEFAULTS}
shelf:
  connectors: {XT60: {per_contact: 30 A, contacts: pin and socket, contact_resistance: 0.5 mohm, price: 1 EUR}}
  wires:
    bare 12: {gauge: 12 AWG, price: 0.20 EUR}
    plain 14: {gauge: 14 AWG, insulation: PVC, price: 0.10 EUR}
    plain 12: {gauge: 12 AWG, insulation: PVC, price: 0.70 EUR}
    soft 14: {gauge: 14 AWG, insulation: silicone, price: 3 EUR}
    soft 12: {gauge: 12 AWG, insulation: silicone, price: 4 EUR}
"""
LEADS = {"main": "{from: y, to: controller}", "a lead": "{from: a, to: y}", "b lead": "{from: b, to: y}"}


@pytest.mark.parametrize("drawn", ["nothing", "some", "all"])
@pytest.mark.parametrize("whose", ["build", "shop"])
@pytest.mark.parametrize(
    ("line", "insulation", "lies"),
    [
        ("", "", "open"),
        ("all_leads: {insulation: silicone}", "silicone", "open"),
        ("all_leads: {insulation: PVC}", "PVC", "open"),
        ("all_leads: {kind: soft 14}", "silicone", "open"),
        ("all_leads: {insulation: silicone, run: in frame}", "silicone", "in frame"),
        ("all_leads: {run: beside 3 others}", "", "beside 3 others"),
        ("all_leads: {run: [moving, beside 2 others]}", "", "[moving, beside 2 others]"),
    ],
)
def test_planned_leads_are_as_all_leads(drawn: str, whose: str, line: str, insulation: str, lies: str) -> None:
    if whose == "shop" and "kind" in line:
        pytest.skip("no kind among the defaults of a shop file")
    shop = shop_of(SHOP.replace("{DEFAULTS}", f"{{{line}}}" if whose == "shop" else "{}"))
    leads = {name: LEADS[name] for name in list(LEADS)[: {"nothing": 0, "some": 2, "all": 3}[drawn]]}
    yoke = joiner()[:-1] + (", place: tube}" if leads else "}")
    text = bike(PACKS, {"y": yoke}, PLACES, RUNS, leads=leads)
    text = text.replace("region: EU\n", f"region: EU\n{line}\n" if whose == "build" else "region: EU\n")
    build = build_of(text, shop)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    written = load(completed_text(text, build, found), "completed.yaml", shop=shop)
    assert isinstance(written, Build), written
    for done in (found.build, written):
        assert len(done.leads) == 3
        for lead in done.leads.values():
            assert not insulation or lead.insulation == insulation
            assert run_words(lead.run) == lies


@pytest.mark.parametrize("whose", ["build", "shop"])
def test_what_the_shelf_has_not_is_bought_for_leads_that_are_drawn_alone(whose: str) -> None:
    """What has to be bought has no price: without it a plan would cost less than with what is there."""
    line = "all_leads: {insulation: XLPE}"
    shop = shop_of(SHOP.replace("{DEFAULTS}", f"{{{line}}}" if whose == "shop" else "{}"))
    text = bike(PACKS, {"y": joiner()[:-1] + ", place: tube}"}, PLACES, RUNS, leads={"main": LEADS["main"]})
    text = text.replace("region: EU\n", f"region: EU\n{line}\n" if whose == "build" else "region: EU\n")
    found = plan(build_of(text, shop), shop)
    assert isinstance(found, Plan), found
    wires = {name: lead.insulation for name, lead in found.build.leads.items()}
    assert wires.pop("main") == "XLPE"
    assert {*wires.values()} <= {"PVC", "silicone"}
    written = load(completed_text(text, build_of(text, shop), found), "completed.yaml", shop=shop)
    assert isinstance(written, Build), written
    assert {name: lead.insulation for name, lead in written.leads.items()} == {**wires, "main": "XLPE"}


def test_leads_beside_others_are_planned_thicker_than_leads_in_the_open() -> None:
    gauges = {}
    for run in ("open", "beside 3 others"):
        shop = shop_of(SHOP.replace("{DEFAULTS}", f"{{all_leads: {{insulation: PVC, run: {run}}}}}"))
        found = plan(build_of(bike(PACKS, {"y": joiner()}, PLACES, RUNS, amps=12), shop), shop)
        assert isinstance(found, Plan), found
        gauges[run] = {lead.gauge.size for lead in found.build.leads.values() if lead.gauge is not None}
    assert gauges == {"open": {14.0}, "beside 3 others": {12.0}}


@pytest.mark.parametrize("drawn", [0, 2, 3])
@pytest.mark.parametrize("whose", ["build", "shop"])
@pytest.mark.parametrize(
    ("line", "run", "lies"),
    [
        ("", "in frame", "in frame"),
        ("all_leads: {run: moving}", "in frame", "[in frame, moving]"),
        ("all_leads: {run: beside 2 others}", "beside 1 other", "beside 2 others"),
        ("all_leads: {run: open}", "in frame", "in frame"),
        ("all_leads: {run: open}", "beside 3 others", "beside 3 others"),
    ],
)
def test_where_a_run_says_how_leads_lie_the_worse_counts(
    line: str, run: str, lies: str, whose: str, drawn: int
) -> None:
    """For leads that are drawn without a line of their own as for those that are not: the main lead had 12 AWG for 18 A
    as in the open, where three others lie beside it."""
    shop = shop_of(SHOP.replace("{DEFAULTS}", f"{{{line}}}" if whose == "shop" else "{}"))
    yoke = joiner()[:-1] + (", place: tube}" if drawn else "}")
    text = bike(PACKS, {"y": yoke}, PLACES, RUNS, leads={name: LEADS[name] for name in list(LEADS)[:drawn]}, amps=15)
    text = text.replace("region: EU\n", f"region: EU\n{line}\n" if whose == "build" else "region: EU\n")
    text = text.replace("length: 500 mm}", f"length: 500 mm, run: {run}}}")
    build = build_of(text, shop)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    written = load(completed_text(text, build, found), "completed.yaml", shop=shop)
    assert isinstance(written, Build), written
    for lead in (*found.build.leads.values(), *written.leads.values()):
        assert run_words(lead.run._replace(beside_leads=())) == lies


def test_a_lead_that_says_how_it_lies_lies_so() -> None:
    leads = {"main": "{from: y, to: controller, run: moving}"}
    text = bike(PACKS, {"y": joiner()[:-1] + ", place: tube}"}, PLACES, RUNS, leads=leads)
    found = plan(build_of(text.replace("region: EU\n", "region: EU\nall_leads: {run: in frame}\n")))
    assert isinstance(found, Plan), found
    assert str(found.build.leads["main"].run) == "moving"


@pytest.mark.parametrize("run", ["in frame", "moving", "beside 3 others", "[in frame, moving]", "open"])
def test_how_a_drawn_lead_is_laid_is_told_in_words(run: str) -> None:
    """As it is written in a file: values of the program came out of it before."""
    text = bike(PACKS, {"y": joiner()[:-1] + ", place: tube}"}, PLACES, RUNS, leads={"main": LEADS["main"]})
    build = build_of(text.replace("length: 500 mm}", f"length: 500 mm, run: {run}}}"))
    found = plan(build)
    assert isinstance(found, Plan), found
    (told,) = (dict(each.values) for each in choices(found) if each.part == "main")
    assert told.get("run", "open") == run
    assert not any(word in value for value in told.values() for word in ("False", "True", "()", "None"))
