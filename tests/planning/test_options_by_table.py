"""Every way to make one lead, by tables: its wires, fuses, length, ends, and what each of them counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.core.findings import Severity
from packyoke.making.stock import Cable
from packyoke.model import Build, End, Gauge, Lead, known
from packyoke.planning import options as made
from packyoke.planning.catalogue import FuseKind, catalogue
from packyoke.planning.options import Workbench
from packyoke.planning.ready import ready
from packyoke.planning.said import Said
from packyoke.planning.score import Score
from packyoke.rules import wire_does_not_fit
from packyoke.rules.outcome import PASSED, Failed
from packyoke.rules.rule import Rule
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of

AWG12 = Gauge("AWG", 12.0)
AWG14 = Gauge("AWG", 14.0)
AWG8 = Gauge("AWG", 8.0)
KG_PER_M = {14.0: 2 * 2.081e-6 * 8890, 12.0: 2 * 3.309e-6 * 8890, 10.0: 2 * 5.261e-6 * 8890}
"""Copper of two conductors: areas of ASTM B258, 8890 kg/m3."""
WIRES = """packyoke-shop: 1
shelf:
  wires:
    red 14: {pole: plus, gauge: 14 AWG, insulation: silicone, price: 1 EUR}
    black 14: {pole: minus, gauge: 14 AWG, insulation: silicone, price: 1 EUR}
    red 12: {pole: plus, gauge: 12 AWG, insulation: silicone, price: 2 EUR}
    black 12: {pole: minus, gauge: 12 AWG, insulation: silicone, price: 2 EUR}
"""
FUSES = """  fuses:
    T25: {family: class T, rating: 25 A, voltage: 160 V, price: 9 EUR}
    T30: {family: class T, rating: 30 A, voltage: 160 V, price: 8 EUR}
    T35: {family: class T, rating: 35 A, voltage: 160 V, price: 8 EUR}
"""
LEADS = {
    "a lead": "{from: a, to: y, length: 500 mm}",
    "b lead": "{from: b, to: y, length: 500 mm}",
    "main lead": "{from: y, to: controller, length: 500 mm}",
}
PLACES = {"bed": "{holds: 1, mount: frame metal}"}


def drawn(leads: dict[str, str] | None = None, shop: Any = None, **more: Any) -> Build:
    yoke = joiner().replace("charge_port: none", "charge_port: none, mount: frame metal")
    packs = more.pop("packs", {name: pack("bed") for name in "ab"})
    return build_of(bike(packs, {"y": yoke}, PLACES, [], leads=LEADS | (leads or {}), at="bed", **more), shop)


def bench(build: Build, shop: Any = None, said: Said | None = None) -> Workbench:
    shelf = catalogue(build, shop)
    return Workbench(build, shelf, Score((), shelf.priced, shelf.currency, shelf.copper_price), said)


def figure(score: Score, value: int, name: str) -> float:
    return score.shown(value)[score.names.index(name)]


# Which wires.


def cable(gauge: Gauge, insulation: str) -> Cable:
    return Cable(gauge, insulation)


@pytest.mark.parametrize(
    ("gauge", "insulation", "exists", "wires"),
    [
        (None, None, False, [(14.0, "silicone"), (12.0, "PVC"), (12.0, "silicone")]),
        (AWG12, None, False, [(12.0, "PVC"), (12.0, "silicone")]),
        (None, "silicone", False, [(14.0, "silicone"), (12.0, "silicone")]),
        (AWG12, "silicone", False, [(12.0, "silicone")]),
        # Nothing of the shelf is like it: the wire that the lead names.
        (AWG8, None, False, [(8.0, "silicone")]),
        (AWG14, "PVC", False, [(14.0, "PVC")]),
        (None, "XLPE", False, [(14.0, "XLPE"), (12.0, "XLPE")]),
        # A cable that is there is what it is.
        (AWG12, None, True, [(12.0, None)]),
        (AWG8, "PVC", True, [(8.0, "PVC")]),
        (None, "silicone", True, []),
    ],
)
def test_wires_that_agree_with_what_the_lead_says(
    gauge: Gauge | None, insulation: str | None, exists: bool, wires: list[tuple[float, str | None]]
) -> None:
    build = drawn()
    one = bench(build)
    cables = (cable(AWG14, "silicone"), cable(AWG12, "PVC"), cable(AWG12, "silicone"))
    one.shelf = replace(one.shelf, cables=cables)
    lead = build.leads["a lead"].but(gauge=gauge, insulation=insulation)
    assert [(each.gauge.size, each.insulation) for each in one._cables(lead, exists)] == wires


# What rules count.


def rule(outcome: Any, name: str = "some-rule") -> Rule:
    def check(case: Case, part: Any) -> Any:
        return outcome

    return Rule(name=name, kind="damage", doubt="", page="", basis=(), parts=lambda case: (), check=check)


def made_leads(case: Case) -> Any:
    return case.build.leads.values()


def failed(severity: Severity) -> Failed:
    return Failed(message="too much", severity=severity)


@pytest.mark.parametrize(
    ("outcomes", "count"),
    [
        ([PASSED, None], 0),
        ([failed(Severity.CAUTION)], 1),
        ([failed(Severity.CAUTION), PASSED, failed(Severity.CAUTION)], 2),
        ([failed(Severity.OPEN)], 100),
        ([failed(Severity.NOTE)], 0),
        ([failed(Severity.CAUTION), failed(Severity.STOP)], None),
    ],
)
def test_what_rules_say_is_counted(outcomes: list[Any], count: int | None) -> None:
    build = drawn()
    one = bench(build)
    lead = build.leads["a lead"]
    assert one.findings_of(build, lead, [rule(each) for each in outcomes]) == count
    noted = [(each.rule, each.part, each.message, each.wire) for each in one.obstacles.values()]
    assert noted == ([("some-rule", lead.path, "too much", "")] if count is None else [])


def test_a_wire_that_does_not_go_into_its_connector_counts_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    build = drawn()
    own = rule(failed(Severity.CAUTION), "wire-does-not-fit")
    monkeypatch.setattr(made.wire_does_not_fit, "RULE", own)
    assert bench(build).findings_of(build, build.leads["a lead"], [own]) == 2
    assert wire_does_not_fit.RULE is own


def test_a_question_weighs_more_than_any_caution() -> None:
    build = drawn()

    def check(case: Case, part: Any) -> Any:
        # Passes with thin wire and stops thick: whoever does not know the wire does not know either.
        return failed(Severity.STOP) if known(part.gauge, part, "gauge").size > 12 else PASSED

    asking = Rule(name="some-rule", kind="damage", doubt="", page="", basis=(), parts=made_leads, check=check)
    assert bench(build).findings_of(build, build.leads["a lead"], [asking]) == 100


# A whole lead.


def ways(build: Build, shop: Any = None, name: str = "a lead", **more: Any) -> tuple[Workbench, list[Any]]:
    one = bench(build, shop)
    whole = ready(build, {})
    asked: dict[str, Any] = {"must_fuse": False, "may_fuse": False, "fixed": build.leads[name], **more}
    return one, one.options(Case(whole), whole.leads[name], ("a",), **asked)


def test_a_lead_by_hand() -> None:
    """500 mm of two wires for 2 and 4 EUR/m; two halves of XT60 without a price, 30 g of copper each at what copper
    costs as wire; four joints."""
    shop = shop_of(WIRES)
    one, found = ways(drawn(shop=shop), shop)
    assert [each.cable.gauge for each in found] == [AWG14, AWG12]
    for each, price in zip(found, (1.0, 2.0), strict=True):
        assert figure(one.score, each.score, "cost") == pytest.approx(price)
        assert figure(one.score, each.score, "joints") == 4
        assert figure(one.score, each.score, "findings") == 0
        kg = 2 * 0.030 + 4 * 0.040
        assert figure(one.score, each.score, "weighed") == pytest.approx(price + kg * one.shelf.copper_price, rel=1e-6)
        assert each.fuse is None
        assert each.holder_m == 0.5
    # 18 A through 1 m of wire, IEC 60028, a few percent more for its strands, and through the contacts.
    assert found[0].ohm > 1.7241e-8 / 2.081e-6
    assert found[0].volts_v == pytest.approx(18 * found[0].ohm)
    assert found[0].ohm - found[1].ohm == pytest.approx(1.7241e-8 * (1 / 2.081e-6 - 1 / 3.309e-6), rel=0.04)


def test_a_cable_that_is_there_costs_nothing() -> None:
    shop = shop_of(WIRES)
    given = "{from: a, to: y, length: 500 mm, gauge: 12 AWG, insulation: silicone, ends: [XT60 pin, XT60 socket]}"
    one, found = ways(drawn({"a lead": given}, shop), shop)
    assert [(each.cable.gauge, each.score) for each in found] == [(AWG12, 0)]
    # Its ends are there, the wire is not: what it costs is the wire.
    given = "{from: a, to: y, length: 500 mm, ends: [XT60 pin, XT60 socket]}"
    one, found = ways(drawn({"a lead": given}, shop), shop)
    assert [(figure(one.score, each.score, "cost"), figure(one.score, each.score, "joints")) for each in found] == [
        (pytest.approx(1.0), 0),
        (pytest.approx(2.0), 0),
    ]
    assert figure(one.score, found[0].score, "weighed") == pytest.approx(1.0)


def test_wire_that_has_to_be_bought_weighs_as_such() -> None:
    shop = shop_of(WIRES)
    build = drawn(shop=shop)
    one = bench(build, shop)
    one.shelf = replace(one.shelf, cables=(*one.shelf.cables, Cable(Gauge("AWG", 10.0), "silicone")))
    whole = ready(build, {})
    found = one.options(Case(whole), whole.leads["a lead"], ("a",), must_fuse=False, may_fuse=False)
    more = [figure(one.score, each.score, "weighed") - figure(one.score, each.score, "cost") for each in found]
    # 300 g of copper for a spool more.
    assert more[2] - more[1] == pytest.approx(0.3 * one.shelf.copper_price)
    assert more[1] == pytest.approx(more[0])


FUSED = [None, 25.0, 30.0]
"""Of the shelf below: 25 A, and 30 A for less; 35 A costs as much as 30 A and guards less."""


@pytest.mark.parametrize(
    ("length", "must", "may", "fuses"),
    [
        ("500 mm", False, False, [None]),
        ("500 mm", False, True, FUSED),
        ("500 mm", True, True, FUSED[1:]),
        ("500 mm", True, False, FUSED[1:]),
        # A holder, its joints and two ends need 250 mm: a lead that is there and shorter takes none.
        ("250 mm", False, True, FUSED),
        ("249 mm", False, True, [None]),
        ("249 mm", True, True, FUSED[1:]),
    ],
)
def test_with_and_without_a_fuse(length: str, must: bool, may: bool, fuses: list[float | None]) -> None:
    shop = shop_of(WIRES + FUSES)
    build = drawn({"a lead": f"{{from: a, to: y, length: {length}, gauge: 12 AWG}}"}, shop)
    one, found = ways(build, shop, must_fuse=must, may_fuse=may)
    assert [each.fuse.rating_a if each.fuse is not None else None for each in found] == fuses
    price = {None: 0.0, 25.0: 9.0, 30.0: 8.0}
    bare = float(length.removesuffix(" mm")) / 1000 * 4.0
    for each in found:
        rating_a = each.fuse.rating_a if each.fuse is not None else None
        assert figure(one.score, each.score, "cost") == pytest.approx(bare + price[rating_a])
        # A holder has two joints in the plus.
        assert figure(one.score, each.score, "joints") == (4 if rating_a is None else 6)


@pytest.mark.parametrize(("length_m", "held_m"), [(0.12, 0.25), (0.24, 0.25), (0.25, None), (0.4, None)])
def test_a_lead_whose_length_is_open_is_made_longer_for_a_holder(length_m: float, held_m: float | None) -> None:
    shop = shop_of(WIRES + FUSES)
    build = drawn({"a lead": "{from: a, to: y, gauge: 12 AWG}"}, shop)
    lead = build.leads["a lead"]
    build = replace(build, leads={**build.leads, "a lead": replace(lead, length_m=length_m)})
    one = bench(build, shop)
    whole = ready(build, {})
    plain, *others = one.options(Case(whole), whole.leads["a lead"], ("a",), must_fuse=False, may_fuse=True, fixed=lead)
    assert plain.holder_m == (length_m if held_m is None else None)
    assert [each.fuse.rating_a for each in others] == [25.0, 30.0]
    for each in others:
        assert each.holder_m == (held_m or length_m)
        price = {25.0: 9.0, 30.0: 8.0}[each.fuse.rating_a]
        assert figure(one.score, each.score, "cost") == pytest.approx(4.0 * (held_m or length_m) + price)
    if held_m is None:
        assert plain.held is None
    else:
        assert plain.held is not None
        assert plain.held.holder_m == held_m
        assert plain.held.ohm > plain.ohm


def test_a_lead_that_a_direct_plug_replaces() -> None:
    given = "{from: a, to: controller, direct: true}"
    build = build_of(bike({"a": pack("bed")}, {}, PLACES, [], leads={"a lead": given}, at="bed"))
    one = bench(build)
    (found,) = one.options(Case(build), build.leads["a lead"], ("a",), must_fuse=True, may_fuse=True)
    assert (found.cable, found.fuse, found.score, found.holder_m) == (None, None, 0, None)
    assert found.volts_v == pytest.approx(18 * found.ohm)
    other = build_of(bike({"a": pack("bed", outlet="XT90")}, {}, PLACES, [], leads={"a lead": given}, at="bed"))
    one = bench(other)
    assert one.options(Case(other), other.leads["a lead"], ("a",), must_fuse=True, may_fuse=True) == []
    assert {each.rule for each in one.obstacles.values()} == {"ends-do-not-mate"}


# Fuses and what they cost.


def test_fuses_that_cost_less_the_larger_they_are() -> None:
    shop = shop_of(WIRES + FUSES)
    one = bench(drawn(shop=shop), shop)
    assert [each.rating_a for each in one.fuses(20.0, ("a",))] == [25.0, 30.0]
    assert [each.rating_a for each in one.fuses(25.1, ("a",))] == [30.0]
    assert one.fuses(None, ("a",)) == ()


def test_a_fuse_with_its_holder_and_sleeves() -> None:
    more = """  sundries:
    clip: {use: holder, price: 3 EUR}
    sleeve: {use: sleeve, price: 0.5 EUR}
"""
    plain, held = (
        shop_of(WIRES + FUSES),
        shop_of(WIRES + FUSES.replace("price: 9 EUR", "price: 9 EUR, holder: clip") + more),
    )
    for shop, cost in ((plain, {25.0: 9.0, 30.0: 8.0}), (held, {25.0: 9 + 3 + 2 * 0.5, 30.0: 8 + 2 * 0.5})):
        one = bench(drawn(shop=shop), shop)
        for kind in one.shelf.fuses[:2]:
            for _ in range(2):  # the second time it is remembered
                assert figure(one.score, one.fuse_score(kind), "cost") == pytest.approx(cost[kind.rating_a])
            # A holder without a price weighs 100 g; two joints 80 g.
            kg = 0.08 + (0.0 if shop is held and kind.rating_a == 25.0 else 0.1)
            weighed = cost[kind.rating_a] + kg * one.shelf.copper_price
            assert figure(one.score, one.fuse_score(kind), "weighed") == pytest.approx(weighed, rel=1e-6)
    # Of no shelf: 100 g for it, 100 g for its holder.
    one = bench(drawn())
    assert figure(one.score, one.fuse_score(FuseKind("class T", 25.0, 160.0)), "weighed") == pytest.approx(0.28)


@pytest.mark.parametrize(
    ("line", "sleeves", "cost"),
    [
        ("sleeve: {use: sleeve, price: 0.25 EUR}", 4, 1.0),
        ("sleeve: {use: sleeve}", 4, 0.0),
        ("cap: {use: cap}", 4, 0.0),
    ],
)
def test_sleeves_where_the_shelf_has_a_price_for_them(line: str, sleeves: int, cost: float) -> None:
    shop = shop_of(WIRES + f"  sundries:\n    {line}\n")
    one = bench(drawn(shop=shop), shop)
    assert figure(one.score, one._sleeves(sleeves), "cost") == pytest.approx(cost)


def end(text: str) -> End:
    family, half = text.rsplit(" ", 1)
    return End(family, half, half)


@pytest.mark.parametrize(
    ("given", "halves", "joints"),
    [
        (None, 2, 4),
        ((True, True), 0, 0),
        ((True, False), 1, 2),
        ((False, True), 1, 2),
    ],
)
def test_ends_that_the_file_does_not_give_are_made(given: tuple[bool, bool] | None, halves: int, joints: int) -> None:
    ends = end("XT60 pin"), end("XT60 socket")
    build = drawn({"a lead": "{from: a, to: y, length: 500 mm, ends: [XT60 pin, XT60 socket]}"} if given else {})
    lead = build.leads["a lead"]
    own = tuple(each if there else None for each, there in zip(ends, given or (False, False), strict=True))
    one = bench(build)
    score = one.making(lead.but(ends=(own[0], own[1])), ends)
    assert figure(one.score, score, "joints") == joints
    assert figure(one.score, score, "weighed") == pytest.approx(halves * 0.03 + joints * 0.04)
    assert one.making(lead.but(ends=(None, None)), (None, None)) == 0


def test_half_a_connector_costs_its_price() -> None:
    shop = shop_of(WIRES + "  connectors:\n    XT60: {price: 1.50 EUR}\n")
    build = drawn(shop=shop)
    one = bench(build, shop)
    assert figure(one.score, one.making(build.leads["a lead"], (end("XT60 pin"), None)), "cost") == pytest.approx(1.5)
    assert figure(one.score, one.making(build.leads["a lead"], (end("XT90 pin"), None)), "cost") == 0.0


# What is remembered.


def test_a_lead_is_judged_once_for_each_of_what_decides(monkeypatch: pytest.MonkeyPatch) -> None:
    build = ready(drawn(), {})
    case, lead = Case(build), build.leads["a lead"]
    one = bench(build)
    asked = []

    def anew(self: Workbench, case: Case, lead: Lead, cables: Sequence[Cable]) -> Any:
        asked.append(lead.length_m)
        return made.WiresTold((), {})

    monkeypatch.setattr(Workbench, "_judged_anew", anew)

    def judged(length_m: float | None, key: object = "k", **more: Any) -> int:
        asked.clear()
        one.judged(case, replace(lead, length_m=length_m, **more), key)
        return len(asked)

    assert judged(0.5) == 1
    assert judged(0.4) == 0
    # From 180 mm on a lead is a lead; below it is a tail.
    assert (judged(0.179), judged(0.1), judged(0.18)) == (1, 0, 0)
    assert judged(None) == 0
    assert (judged(0.5, "other"), judged(None, "other")) == (1, 0)
    assert judged(0.5, gauge=AWG12) == 1
    # Without a key nothing is remembered.
    assert (judged(0.5, None), judged(0.5, None)) == (1, 1)


def test_answers_are_kept_from_one_plan_to_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    build = ready(drawn(), {})
    case, lead, said = Case(build), build.leads["a lead"], Said()
    first = bench(build, said=said)
    wanted = first.judged(case, lead, "k")
    assert wanted
    monkeypatch.setattr(Workbench, "_judged_anew", lambda *_: pytest.fail("asked again"))
    assert bench(build, said=said).judged(case, lead, "k") == wanted
    with pytest.raises(pytest.fail.Exception):
        bench(build, said=said).judged(case, lead)
    with pytest.raises(pytest.fail.Exception):
        bench(build).judged(case, lead, "k")


def test_why_thin_wires_do_not_do_is_told_where_none_does() -> None:
    """18 A through 14 AWG and 12 AWG pass; through 24 AWG they do not."""
    thin = shop_of(
        "packyoke-shop: 1\nshelf:\n  wires:\n    t: {gauge: 24 AWG, insulation: PVC}\n"
        "    u: {gauge: 22 AWG, insulation: PVC}\n"
    )
    build = ready(drawn(shop=thin), {})
    one = bench(build, thin)
    assert one.judged(Case(build), build.leads["a lead"]) == []
    assert {(each.rule, each.wire) for each in one.obstacles.values()} == {("lead-overheats", "22 AWG PVC")}
    both = bench(
        build,
        shop_of(
            WIRES.replace("red 14: {pole: plus, gauge: 14", "red 24: {pole: plus, gauge: 24").replace(
                "black 14: {pole: minus, gauge: 14", "black 24: {pole: minus, gauge: 24"
            )
        ),
    )
    assert [each.cable.gauge.size for each in both.judged(Case(build), build.leads["a lead"])] == [12.0]
    assert both.obstacles == {}
    # What lies on the ends stops every wire.
    other = ready(drawn({"a lead": "{from: a, to: y, length: 500 mm, ends: [XT90 pin, XT60 socket]}"}), {})
    one = bench(other)
    assert one.judged(Case(other), other.leads["a lead"]) == []
    assert "ends-do-not-mate" in {each.rule for each in one.obstacles.values()}
