"""What is kept between the plans of a quote: it changes no answer, and only what is the same counts as the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.harness.changed import keep_drawing
from packyoke.analysis.harness.drawing import harness
from packyoke.buildfile.reading import load
from packyoke.making.stock import cables
from packyoke.model import Build
from packyoke.planning import said
from packyoke.planning.options import ENDS_RULES
from packyoke.planning.quoting.offers import Offer
from packyoke.verdict.check import check
from packyoke.verdict.judge import judgement
from tests.planning.test_quote import a_bike, a_shop, quoted
from tests.support import BASES, EXAMPLES

BUILDS = [*sorted(EXAMPLES.glob("*.yaml")), *sorted(BASES.glob("*.yaml"))]


def read(path: Path) -> Build:
    found = load(path.read_bytes(), path.name)
    assert isinstance(found, Build), found
    return found


def shown(offer: Offer) -> tuple[Any, ...]:
    leads = [(name, lead.gauge, lead.length_m, lead.fuse.rating_a) for name, lead in offer.build.leads.items()]
    texts = [each.message for each in (*offer.opens, *offer.cautions)]
    return offer.choice, offer.totals, offer.distance_m, offer.mass_kg, leads, texts


@pytest.mark.parametrize("seed", [3, 6])
def test_what_is_kept_changes_no_offer(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = a_shop(seed)
    build = a_bike(shop)
    kept = quoted(build, shop, reach_m=70_000.0)
    monkeypatch.setattr(said.Said, "of", lambda *_: None)
    anew = quoted(build, shop, reach_m=70_000.0)
    assert [shown(each) for each in kept.front] == [shown(each) for each in anew.front]
    assert kept.refused == anew.refused


def test_an_offer_says_what_the_check_of_its_build_says() -> None:
    """An offer is judged once, while it is planned: a check of its build from nothing says the same."""
    shop = a_shop(3)
    for each in quoted(a_bike(shop), shop, reach_m=70_000.0).front:
        found = [one for one in check(each.build, brief=True).findings if one.severity.word in ("open", "caution")]
        assert [one.fingerprint for one in (*each.opens, *each.cautions)] == [one.fingerprint for one in found]


def test_the_same_is_the_same_through_and_through() -> None:
    build = a_bike(None)
    (name,) = build.packs
    assert said.same(build, build.but(packs={name: build.packs[name].but()}))
    for attr, value in (("capacity_coulomb", 1.0), ("outlet", None), ("spans", {})):
        assert not said.same(build, build.with_value(f"packs.{name}", attr, value))
    assert not said.same(build, build.but(packs={}))
    assert not said.same(build, build.with_value(f"packs.{name}.fuse", "rating_a", 1.0))
    assert not said.same(build, build.with_value("build", "warmest_k", 300.0))


@pytest.mark.parametrize("path", BUILDS, ids=lambda each: each.stem)
def test_a_drawing_that_is_kept_is_that_of_the_build(path: Path) -> None:
    """Every lead of another gauge: the drawing has the new leads, and else what a new one has."""
    build = read(path)
    before = Case(build)
    harness(before)
    changed = build.but(leads={name: lead.but(splices=lead.splices + 1) for name, lead in build.leads.items()})
    after, anew = Case(changed), Case(changed)
    keep_drawing(before, after)
    assert after.known(harness) is not None
    assert harness(after) == harness(anew)
    for leads in harness(after).leads_from.values():
        assert all(lead is changed.leads[lead.name] for lead in leads)


def test_a_lead_that_goes_another_way_is_drawn_anew() -> None:
    build = a_bike(None)
    before = Case(build)
    harness(before)
    for attr, value in (("target", "keel"), ("source", "controller"), ("inlet", 2)):
        after = Case(build.with_value("leads.keel lead", attr, value))
        keep_drawing(before, after)
        assert after.known(harness) is None


@pytest.mark.parametrize("path", BUILDS, ids=lambda each: each.stem)
def test_rules_of_the_ends_do_not_ask_for_the_wire(path: Path) -> None:
    """What these rules say of a lead hangs on its ends alone: they are asked once for all wires that are tried."""
    build: Build = read(path)
    sizes = {cable.gauge for cable in cables(a_shop(1).items)}
    said_of: dict[object, set[str]] = {}
    for gauge in (*sizes, None):
        leads = {name: lead.but(gauge=gauge, insulation=None) for name, lead in build.leads.items()}
        for each in judgement(build.but(leads=leads), ENDS_RULES).decisions:
            said_of.setdefault((each.rule.name, each.path), set()).add(f"{each.severity} {each.asks}")
    assert all(len(each) == 1 for each in said_of.values()), said_of
