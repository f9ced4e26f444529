"""The wires of a drawn harness, by tables: what is followed below a cap, and what a lead becomes that is made so."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.analysis.case import Case
from packyoke.making.stock import Cable
from packyoke.model import CUSTOMER, FITTED, NONE, SHOP, Gauge
from packyoke.planning import dress as dressing
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.dress import CAPS, HarnessTree, leaf, made, no_wire, obstacle, share
from packyoke.planning.labels import Label, Option
from packyoke.planning.ready import ready
from packyoke.planning.result import Obstacle
from tests.planning.bikes import pack
from tests.planning.test_leads_asked import FUSE
from tests.planning.test_options_by_table import bench, drawn
from tests.planning.toy import SCORE, fed, fuse, kg, wire

KIND = FuseKind("class T", 30.0, 160.0, 5000.0)
CABLE = Cable(Gauge("AWG", 12.0), "silicone")


def tree_of(**more: Any) -> HarnessTree:
    given = drawn(**more)
    build = ready(given, {})
    (controller,) = build.controllers.values()
    return HarnessTree(bench(build), build, given, controller)


# What is followed.


def test_a_label_is_followed_up_to_the_cap() -> None:
    tree = tree_of()
    score = tree.bench.score
    least = tree.least("controller")
    # The leads into y come to `mine` at least; a label of as much may come to the least of all.
    mine = tree.least("y")
    assert least == mine + min(option.score for option in tree.options(tree.build.leads["main lead"]))
    label = fed(over_v=0.0)._replace(score=mine)
    over = label._replace(over_v=0.5)
    for cap, alive, beyond in (
        (least, True, False),
        (least - 1, False, False),
        (least + score.missed(0.5), True, True),
        (least + score.missed(0.5) - 1, True, False),
        (None, True, True),
    ):
        tree.cap = cap
        assert tree.alive(label, mine) is alive
        assert tree.alive(over, mine) is beyond


def capped(*scores: float) -> list[tuple[float | None, list[float]]]:
    """What is found of labels with such weights, kind by kind, and below which caps it was looked for."""
    labels = [fed()._replace(score=kg(each), kind=number) for number, each in enumerate(scores)]
    asked: list[float | None] = []

    class Fake:
        bench = SimpleNamespace(score=SCORE)
        controller = SimpleNamespace(name="controller")
        cap: int | None = None

        def least(self, name: str) -> int:
            return kg(1.0)

        def behind(self, lead: Any) -> list[Label]:
            asked.append(None if self.cap is None else round(SCORE.shown(self.cap)[1], 6))
            return [each for each in labels if self.cap is None or each.score <= self.cap]

    found = dressing._best_two(cast(HarnessTree, Fake()), cast(Any, None))
    return [(asked[-1], [round(SCORE.shown(each.score)[1], 6) for each in found])]


@pytest.mark.parametrize(
    ("weights", "cap", "found"),
    [
        ((1.0, 1.04), 1.05, [1.0, 1.04]),
        ((1.0, 1.06), 1.1, [1.0, 1.06]),
        # A tenth beyond the best one no next best is looked for.
        ((1.0, 1.3), 1.15, [1.0]),
        ((1.2, 1.26), 1.3, [1.2, 1.26]),
        ((1.2, 1.4), 1.35, [1.2]),
        # Far above the least it is looked for without a cap.
        ((4.5, 5.0, 6.0), None, [4.5, 5.0]),
        ((4.5,), None, [4.5]),
    ],
)
def test_caps_rise_until_the_best_and_the_next_are_found(
    weights: tuple[float, ...], cap: float | None, found: list[float]
) -> None:
    assert capped(*weights) == [(cap, found)]
    assert max(CAPS) == 3.0


# What a lead becomes.


@pytest.mark.parametrize(
    ("lines", "fused", "holder_m", "length_m"),
    [
        # Its length follows the holder only where it is open and a fuse comes in.
        ("", True, 0.25, 0.25),
        ("", True, None, 0.12),
        ("", False, 0.25, 0.12),
        (", length: 500 mm", True, 0.25, 0.5),
    ],
)
def test_the_length_of_a_lead_with_a_holder(lines: str, fused: bool, holder_m: float | None, length_m: float) -> None:
    given = drawn({"a lead": f"{{from: a, to: y{lines}}}"})
    lead = given.leads["a lead"]
    build = replace(given, leads={**given.leads, "a lead": replace(lead, length_m=lead.length_m or 0.12)})
    option = Option(CABLE, KIND if fused else None, 0, 0.01, 0.1, 40.0, 54.6, holder_m)
    found = made(build, given, "a lead", option).leads["a lead"]
    assert found.length_m == length_m
    assert (found.gauge, found.insulation) == (CABLE.gauge, CABLE.insulation)
    assert (found.fuse.presence, found.fuse.rating_a) == ((FITTED, 30.0) if fused else (NONE, None))


@pytest.mark.parametrize(("owner", "fuse_owner"), [(CUSTOMER, SHOP), (None, None)])
def test_whose_the_fuse_is(owner: str | None, fuse_owner: str | None) -> None:
    given = drawn()
    given = given.with_value("leads.a lead", "owner", owner)
    option = Option(CABLE, KIND, 0, 0.01, 0.1, 40.0, 54.6)
    assert made(given, given, "a lead", option).leads["a lead"].fuse.owner == fuse_owner


def test_what_the_file_says_of_a_lead_stays() -> None:
    given = drawn({"a lead": "{from: a, to: y, length: 500 mm, fuse: none}"})
    option = Option(CABLE, KIND, 0, 0.01, 0.1, 40.0, 54.6)
    assert made(given, given, "a lead", option).leads["a lead"].fuse.presence == NONE
    assert made(given, given, "a lead", option._replace(cable=None)) is given
    # A cable that is there keeps the insulation that it has, known or not.
    whole = "{from: a, to: y, length: 500 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}"
    there = drawn({"a lead": whole})
    assert made(there, there, "a lead", option).leads["a lead"].insulation is None


# Packs.


@pytest.mark.parametrize(
    ("more", "fitted", "label"),
    [
        (FUSE, None, (30.0, 30.0, 1)),
        ("", None, (float("inf"), 0.0, 0)),
        ("", 25.0, (25.0, 25.0, 1)),
    ],
)
def test_what_a_pack_is_at_its_outlet(more: str, fitted: float | None, label: tuple[float, float, int]) -> None:
    build = drawn(packs={"a": pack("bed", more=more), "b": pack("bed")})
    (controller,) = build.controllers.values()
    kind = fuse(fitted) if fitted is not None else None
    found = leaf(Case(build), build.packs["a"], controller, kind)
    assert (found.total_a, found.largest_a, found.feeds, found.score) == (*label, 0)
    # 3 % of 40 V, where the controller cuts.
    assert found.over_v == pytest.approx(-1.2, rel=0.1)


@pytest.mark.parametrize(
    ("a_lead", "more", "fitted"),
    [
        # A lead that says that it has none leaves it to the pack; one that is silent takes it itself.
        (", fuse: none", "", True),
        ("", "", False),
        (f", {FUSE}", "", False),
        (", fuse: none", FUSE, False),
        (", fuse: none", "fuse: none", False),
    ],
)
def test_a_fuse_at_a_pack_whose_lead_takes_none(a_lead: str, more: str, fitted: bool) -> None:
    text = {"a lead": f"{{from: a, to: y, length: 500 mm{a_lead}}}"}
    tree = tree_of(leads=text, packs={"a": pack("bed", more=more), "b": pack("bed")})
    assert (tree.fuse_at("a") is not None) is fitted


def test_shares_go_by_capacity_and_where_one_is_not_known_by_number() -> None:
    build = drawn(packs={"a": pack("bed", 10), "b": pack("bed", 30)})
    assert share(build, ("b",), ("a", "b")) == pytest.approx(0.75)
    unknown = build.with_value("packs.a", "capacity_coulomb", None)
    assert share(unknown, ("b",), ("a", "b")) == 0.5


# Why nothing does.


def test_why_no_wire_does() -> None:
    one = bench(drawn())
    too_thin = [wire(0.1, amps_a=20.0), wire(0.2, amps_a=24.0)]
    said = no_wire(one, "leads.x", [fed(40.0), fed(50.0)], too_thin)
    assert said.rule == "fuse-oversized"
    assert "(40 A; 24 A)" in said.constraint
    one.obstacles = {
        ("r", "leads.x", "mine"): Obstacle("r", "leads.x", "mine"),
        ("r", "leads.y", "other"): Obstacle("r", "leads.y", "other"),
    }
    for before, options in (([], too_thin), ([fed()], [])):
        assert no_wire(one, "leads.x", before, options).constraint == "mine"
    assert obstacle([], "leads.x", "nothing").constraint == "nothing"
