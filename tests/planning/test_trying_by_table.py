"""Wires tried on the whole build, by tables of what the check would find; and ways out where nothing passes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.core.findings import Severity
from packyoke.model import Build, Gauge
from packyoke.planning import trying, ways_out
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.effort import Effort
from packyoke.planning.ready import ready
from packyoke.planning.result import NoPlan, Obstacle, Stuck
from packyoke.rules import RULES
from packyoke.verdict.judge import judgement
from tests.planning.bikes import bike, build_of, joiner, pack, shop_of
from tests.planning.test_leads_asked import FUSE
from tests.planning.test_options_by_table import bench, drawn

Chosen = dict[str, int]
"""Of each lead the number of its wire: 0 is the thickest, higher ones are thinner."""


def tried(
    monkeypatch: pytest.MonkeyPatch, costs: dict[str, list[int]], finds: Callable[[Chosen], int]
) -> tuple[Chosen, int, list[Chosen]]:
    """What is chosen of wires with these costs, the thickest last; `finds`: what the check finds of a choice."""
    asked: list[Chosen] = []

    class Whole(SimpleNamespace):
        """A build by what was chosen for each lead."""

    def whole(chosen: Chosen) -> Any:
        leads = {
            name: SimpleNamespace(path=f"leads.{name}", direct=name == "plug", name=name) for name in ("x", "y", "plug")
        }
        return Whole(chosen=chosen, leads=leads)

    def weight(build: Any) -> int:
        asked.append(dict(build.chosen))
        return finds(build.chosen)

    behind = {f"leads.{name}": ("a",) for name in ("x", "y", "plug")}
    monkeypatch.setattr(trying, "Case", lambda build: None)
    monkeypatch.setattr(trying, "harness", lambda case: SimpleNamespace(packs_behind=behind))
    monkeypatch.setattr(trying, "_with_thickest", lambda bench, build, given, names: build)
    monkeypatch.setattr(trying, "_with_pack_fuses", lambda bench, build, given: build)
    monkeypatch.setattr(trying, "_options", lambda bench, build, given, lead: [*enumerate(costs[lead.name])])
    monkeypatch.setattr(trying, "_cost", lambda bench, build, name, option: option[1])
    monkeypatch.setattr(trying, "_checked", lambda bench, build: weight(build))
    monkeypatch.setattr(trying, "made", lambda build, given, name, option: whole(build.chosen | {name: option[0]}))
    thin = {("r", "leads.y", "m"): Obstacle("r", "leads.y", "too thin")}
    table = cast(Any, SimpleNamespace(obstacles=thin, effort=Effort()))
    found = trying.tried(table, whole({}), whole({}))
    assert not found.exact
    return cast(Any, found.build).chosen, found.score, asked


def test_each_lead_gets_the_cheapest_wire_of_which_the_check_finds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    costs = {"x": [1, 2, 5], "y": [3, 4, 9]}
    assert tried(monkeypatch, costs, lambda chosen: 0)[:2] == ({"x": 0, "y": 0}, 4)
    # The thinnest of x does not do, of y none but the thickest.
    chosen, score, _ = tried(monkeypatch, costs, lambda c: (c["x"] == 0) + (c["y"] < 2))
    assert (chosen, score) == ({"x": 1, "y": 2}, 11)
    # What finds least is taken where all find something.
    chosen, score, _ = tried(monkeypatch, costs, lambda c: [7, 5, 6][c["x"]])
    assert (chosen, score) == ({"x": 1, "y": 0}, 5)


def test_what_costs_no_less_is_not_tried_where_nothing_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    *_, asked = tried(monkeypatch, {"x": [5, 5], "y": [4, 4]}, lambda chosen: 0)
    # Only what is there is looked at, and once.
    assert asked == [{"x": 1, "y": 1}]
    *_, asked = tried(monkeypatch, {"x": [4, 5], "y": [4, 4]}, lambda chosen: 0)
    assert {"x": 0, "y": 1} in asked


@pytest.mark.parametrize(
    ("checks", "chosen"),
    [(2, {"x": 2, "y": 2}), (3, {"x": 0, "y": 2}), (5, {"x": 0, "y": 2}), (6, {"x": 0, "y": 0})],
)
def test_beyond_so_many_checks_the_leads_that_are_left_keep_the_thickest(
    checks: int, chosen: Chosen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of three leads each check counts as three; the cheapest wire is tried first and does."""
    monkeypatch.setattr(trying, "MOST_CHECKS", checks)
    assert tried(monkeypatch, {"x": [1, 2, 5], "y": [3, 4, 9]}, lambda chosen: 0)[0] == {"x": 2, "y": 2} | chosen


def test_rounds_go_on_while_something_gets_better(monkeypatch: pytest.MonkeyPatch) -> None:
    """x may be thin once y is thin: in the second round it is."""
    costs = {"x": [1, 5], "y": [1, 5]}
    chosen, score, _ = tried(monkeypatch, costs, lambda c: int(c["x"] == 0 and c["y"] == 1))
    assert (chosen, score) == ({"x": 0, "y": 0}, 2)


def test_a_lead_for_which_nothing_does_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    for costs, said in (
        ({"x": [1], "y": []}, "too thin"),
        ({"x": [], "y": [1]}, "nothing on the shelf will do for it"),
    ):
        with pytest.raises(Stuck) as caught:
            tried(monkeypatch, cast(Any, costs), lambda chosen: 0)
        answer = caught.value.answer
        assert isinstance(answer, NoPlan)
        assert answer.constraint == said
        assert answer.part == ("leads.y" if not costs["y"] else "leads.x")


@pytest.mark.parametrize(
    ("a_lead", "more", "kinds", "fitted"),
    [
        (", fuse: none", "", (FuseKind("class T", 25.0, 160.0),), True),
        (", fuse: none", "", (), False),
        (f", {FUSE}", "", (FuseKind("class T", 25.0, 160.0),), False),
        (", fuse: none", "fuse: none", (FuseKind("class T", 25.0, 160.0),), False),
        (", fuse: none", FUSE, (FuseKind("class T", 25.0, 160.0),), False),
    ],
)
def test_a_fuse_at_a_pack_whose_lead_has_none(
    a_lead: str, more: str, kinds: tuple[FuseKind, ...], fitted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = f"length: 500 mm, gauge: 12 AWG, insulation: silicone{a_lead}"
    build = drawn(
        {"a lead": f"{{from: a, to: y, {lines}}}"}, packs={"a": pack("bed", more=more), "b": pack("bed", more=FUSE)}
    )
    one = bench(build)
    monkeypatch.setattr(one, "fuses", lambda least_a, names: kinds)
    found = trying._with_pack_fuses(one, build, build).packs
    assert (found["a"].fuse.rating_a == 25.0) is fitted
    assert found["b"] == build.packs["b"]


@pytest.mark.parametrize(
    ("severities", "weight"),
    [
        ([], 0),
        ([Severity.NOTE], 0),
        ([Severity.CAUTION, Severity.CAUTION], 2),
        ([Severity.OPEN], 100),
        ([Severity.STOP, Severity.OPEN, Severity.CAUTION], 10_101),
    ],
)
def test_what_the_whole_check_finds_weighs(severities: list[Severity], weight: int) -> None:
    assert trying._weight([cast(Any, SimpleNamespace(severity=each)) for each in severities]) == weight


def test_a_check_of_a_bike_of_which_little_is_known_takes_more_of_the_steps() -> None:
    """150 steps a lead; 10 more for each run of a rule on values that are tried."""
    known = drawn()
    sparse = known.with_value("packs.a", "resistance_ohm", None).with_value("packs.a", "chemistry", None)
    spent = []
    for build in (known, sparse):
        one = bench(build)
        trying._checked(one, build)
        spent.append(one.effort.spent)
    runs = [judgement(each, RULES).trials.effort for each in (known, sparse)]
    assert spent == [150 * len(known.leads) + 10 * count for count in runs]
    assert runs[1] > runs[0]


@pytest.mark.parametrize(
    ("name", "more", "lines", "must"),
    [
        ("a lead", "", "", True),
        ("a lead", FUSE, "", False),
        ("a lead", "", ", fuse: none", False),
        ("main lead", "", "", False),
    ],
)
def test_whether_a_lead_that_is_tried_holds_a_fuse(
    name: str, more: str, lines: str, must: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = {"a lead": f"{{from: a, to: y, length: 500 mm{lines}}}"}
    given = drawn(text, packs={"a": pack("bed", more=more), "b": pack("bed")})
    build = ready(given, {})
    one = bench(build)
    asked: list[Any] = []
    ways = [SimpleNamespace(ohm=each) for each in (0.1, 0.3, 0.2)]
    monkeypatch.setattr(one, "options", lambda case, lead, packs, **more: asked.append((lead, packs, more)) or ways)
    lead = build.leads[name].but(gauge=Gauge("AWG", 12.0), insulation="silicone")
    found = trying._options(one, build, given, lead)
    # The least resistance last: with it all begins.
    assert [each.ohm for each in found] == [0.3, 0.2, 0.1]
    ((open_lead, packs, how),) = asked
    assert (open_lead.gauge, open_lead.insulation) == (None, None)
    assert (how["must_fuse"], how["may_fuse"]) == (must, must)
    assert packs == (("a",) if name == "a lead" else ("a", "b"))


# Ways out.


def passing(asked: list[tuple[Build, Any]], does: bool = True) -> Callable[..., bool]:
    def passes(changed: Build, stock: Any = None) -> bool:
        asked.append((changed, stock))
        return does

    return passes


SHELF = """packyoke-shop: 1
shelf:
  wires: {w: {gauge: 12 AWG, insulation: silicone}}
"""
SOLD = SHELF + f"  joiners:\n    yoke: {joiner(20)}\n"
PLACES = {"bed": "{holds: 1}"}
PLAIN = joiner(20).replace("type: ideal-diode", "type: plain").replace("blocks_in: positive, ", "")


def plain_bike(joiners: dict[str, str] | None = None, places: dict[str, str] | None = None) -> Build:
    return build_of(bike({"a": pack("bed"), "b": pack("bed")}, joiners or {}, places or PLACES, [], at="bed", amps=24))


@pytest.mark.parametrize(
    ("joiners", "shop", "told"),
    [({}, None, True), ({}, SHELF, True), ({}, SOLD, False), ({"y": joiner()}, None, False)],
)
def test_a_first_joiner_only_where_there_is_none(joiners: dict[str, str], shop: str | None, told: bool) -> None:
    stock = shop_of(shop) if shop else None
    found = [*ways_out._first_joiner(plain_bike(joiners), stock, passing([]))]
    assert bool(found) is told
    assert not told or "24 A a path" in found[0].text
    assert [*ways_out._first_joiner(plain_bike(joiners), stock, passing([], False))] == []


@pytest.mark.parametrize(
    ("joiners", "shop", "told", "amps"),
    [
        ({"y": joiner(20)}, None, True, [24.0]),
        ({"y": joiner(45)}, None, True, [45.0]),
        # Those of the file that do not block are not made larger; those of the shelf are.
        (
            {"y": PLAIN},
            None,
            False,
            [],
        ),
        ({}, SHELF, False, []),
        ({}, SOLD, True, []),
    ],
)
def test_larger_joiners(joiners: dict[str, str], shop: str | None, told: bool, amps: list[float]) -> None:
    asked: list[tuple[Build, Any]] = []
    build = plain_bike(joiners)
    found = [*ways_out._larger_joiner(build, shop_of(shop) if shop else None, passing(asked))]
    assert [each.text for each in found] == (["a 24 A joiner, for 54.6 V or more"] if told else [])
    if not told:
        return
    changed, stock = asked[0]
    assert [each.current_continuous_a for each in changed.joiners.values()] == amps
    assert (stock is not None) is (shop is not None)
    if shop:
        (sold,) = (each.part for each in stock.items if each.section == "joiners")
        assert (sold.current_continuous_a, sold.ceiling_v) == (24.0, 65.0)
        assert len(stock.items) == 2
    # Only what is other than it was is a change.
    assert [value for *_, value in found[0].changes] == ([24.0] if amps == [24.0] else [])


@pytest.mark.parametrize(
    ("mount", "at", "changes", "told"),
    [
        ("", "open air", 1, True),
        (", mount: open air", "frame metal", 1, True),
        (", mount: frame metal", "open air", 0, True),
        (", mount: frame metal", "frame metal", 0, False),
    ],
)
def test_a_better_mount_where_there_is_one(mount: str, at: str, changes: int, told: bool) -> None:
    mine = joiner().replace("charge_port: none", f"charge_port: none{mount}")
    build = plain_bike({"y": mine}, {"bed": f"{{holds: 1, mount: {at}}}"})
    found = [*ways_out._better_mount(build, None, passing([]))]
    assert [len(each.changes) for each in found] == ([changes] if told else [])
    assert [*ways_out._better_mount(build, None, passing([], False))] == []


@pytest.mark.parametrize(
    ("values", "limits"),
    [
        ({}, {"limit_a": 10.0}),
        ({"adjustable_a": 30.0}, {"limit_a": 10.0, "adjustable_a": 10.0}),
        ({"falls_to_a": 8.0}, {"limit_a": 10.0, "falls_to_a": 8.0}),
        ({"falls_to_a": 12.0}, {"limit_a": 10.0, "falls_to_a": 10.0}),
    ],
)
def test_what_is_set_at_a_controller_for_a_lower_current(values: dict[str, float], limits: dict[str, float]) -> None:
    build = plain_bike()
    (controller,) = build.controllers.values()
    found = {attr: value for _, attr, value in ways_out._limits(replace(controller, **values), 10.0)}
    assert found == limits


@pytest.mark.parametrize(
    ("limit_a", "passes_to", "told"),
    [
        (24.0, 20.4, 20),
        (24.0, 23.9, 23),
        (24.5, 24.2, 24),
        (24.0, 1.0, 1),
        (24.0, 0.5, None),
        (1.0, 9.0, None),
        (2.0, 1.5, 1),
    ],
)
def test_the_highest_whole_current_that_passes(limit_a: float, passes_to: float, told: int | None) -> None:
    build = plain_bike().with_value("controller", "limit_a", limit_a)

    def passes(changed: Build, stock: Any = None) -> bool:
        (controller,) = changed.controllers.values()
        return cast(float, controller.limit_a) <= passes_to

    found = [*ways_out._lower_current(build, None, passes)]
    assert [each.text for each in found] == ([] if told is None else [f"the controller limited to {told} A"])


def test_room_for_one_more_is_tried_at_the_first_places() -> None:
    build = plain_bike(places={f"p{n}": "{holds: 0}" for n in range(6)} | PLACES)
    (found,) = ways_out._more_room(build, None, passing([]))
    assert found.changes == (("places.p0", "holds", 1),)
    asked: list[tuple[Build, Any]] = []
    assert [*ways_out._more_room(build, None, passing(asked, False))] == []
    assert len(asked) == ways_out.MOST_ROOMS
